// The torsion spring, seen from inside the truck. The line painted along it is
// straight while the spring is slack and winds into a helix: its turns can be counted.

import { node, put, write } from './svg.js';

const COILS = 30, HIGH = 58;

export function drawSpring(group, width) {
  const body = width - 40, left = 20, mid = 52;
  const title = node('text', { class: 'spring-title', x: 0, y: 6 }, 'counterbalance, from inside');
  const number = node('text', { class: 'spring-number', x: 0, y: mid + 92 });
  const shaft = node('path', { class: 'shaft', d: `M0 ${mid}H${width}` });
  const coils = node('path', { class: 'coils' });
  const paint = node('path', { class: 'paint' });
  const bar = node('rect', { class: 'wound', x: 0, y: mid + 42, height: 6 });
  const scale = node('path', { class: 'wound-scale' });
  group.append(shaft, coils, paint, node('path', { class: 'cone', d: `M8 ${mid - 20}h12v40h-12zM${width - 20} ${mid - 20}h12v40h-12z` }), scale, bar, title, number);

  return {
    turn(turns, initial, faults) {
      const broken = faults.has('broken-counterbalance');
      put(coils, 'd', coilPath(left, body, mid, broken));
      put(paint, 'd', broken ? 'M0 0' : paintPath(left, body, mid, turns));
      write(number, broken ? 'broken: no torque' : `${turns.toFixed(1)} turns wound`);
      const most = Math.max(1, Math.ceil(initial + 0.4));
      put(bar, 'width', (broken ? 0 : Math.max(0, Math.min(1, turns / most)) * width).toFixed(1));
      let d = '';
      for (let i = 0; i <= most; i++) d += `M${(width * i / most).toFixed(1)} ${mid + 40}v10`;
      put(scale, 'd', d);
      group.classList.toggle('broken', broken);
    },
  };
}

function coilPath(left, body, mid, broken) {
  const pitch = body / COILS;
  let d = '';
  for (let i = 0; i < COILS; i++) {
    let x = left + i * pitch;
    if (broken) x += i < COILS / 2 ? -3 : 7;
    if (broken && (i === COILS / 2 - 1 || i === COILS / 2)) continue;
    d += `M${x.toFixed(1)} ${mid + HIGH / 2}L${(x + pitch * 0.6).toFixed(1)} ${mid - HIGH / 2}`;
  }
  return d;
}

// paintPath is the front half of a helix of that many turns.
function paintPath(left, body, mid, turns) {
  const n = Math.max(0, turns), r = HIGH / 2 - 2;
  if (n < 0.05) return `M${left} ${mid}H${left + body}`;
  const points = Math.ceil(n * 24);
  let d = '', pen = false;
  for (let i = 0; i <= points; i++) {
    const a = i / points * n * 2 * Math.PI, front = Math.cos(a) >= -1e-9;
    if (front) d += `${pen ? 'L' : 'M'}${(left + body * i / points).toFixed(1)} ${(mid - Math.sin(a) * r).toFixed(1)}`;
    pen = front;
  }
  return d;
}
