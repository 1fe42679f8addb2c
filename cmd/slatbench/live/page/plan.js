// The truck from above: its front to the left, the curb above, the road below.
// Every bay is a button that selects it; the lock bar of a side runs along its doors.

import { el, say, mark } from './dom.js';
import { sentence } from './names.js';

export class Plan {
  constructor(box, choose) {
    this.box = box;
    this.choose = choose;
  }

  setBench(bench) {
    this.bench = bench;
    this.bays = bench.bays.map((bay, i) => this.bayButton(bay, i));
    this.bars = bench.sides.map(side => this.lockBar(side));
    const order = side => bench.bays.map((b, i) => ({ b, i })).filter(x => x.b.side === side).sort((p, q) => p.b.station_m - q.b.station_m);
    const row = side => el('div', { class: 'bays' }, ...order(side).map(x => this.bays[x.i].button));
    const bar = id => this.bars[bench.sides.findIndex(s => s.id === id)]?.box;
    const words = id => this.bars[bench.sides.findIndex(s => s.id === id)]?.words;
    this.box.replaceChildren(
      el('div', { class: 'edge-name curb' }, el('span', {}, 'curb'), words('curbside')),
      el('div', { class: 'cab', 'aria-hidden': 'true' }, el('span', {}, 'front')),
      el('div', { class: 'hull' }, bar('curbside'), row('curbside'), el('div', { class: 'aisle', 'aria-hidden': 'true' }), row('roadside'), bar('roadside')),
      el('div', { class: 'edge-name road' }, el('span', {}, 'road'), words('roadside')),
    );
  }

  bayButton(bay, i) {
    const name = el('b', {}, bay.id), state = el('span', { class: 'bay-state' }), lamp = el('i', { class: 'bay-lamp', 'aria-hidden': 'true' });
    const gap = el('i', { class: 'gap', 'aria-hidden': 'true' }, el('i')), alarm = el('span', { class: 'bay-alarm' }), lampWord = el('span', { class: 'unseen' });
    const button = el('button', { class: 'bay', 'data-bay': bay.id, 'aria-pressed': 'false', onclick: () => this.choose(i) }, lamp, name, state, lampWord, alarm, gap);
    return { button, state, lamp, lampWord, alarm, fill: gap.firstChild };
  }

  lockBar(side) {
    const hooks = side.bays.map(() => el('i', { class: 'hook' }));
    const rod = el('div', { class: 'rod', 'aria-hidden': 'true' }, ...hooks);
    const word = el('span', { class: 'bar-word' }), lampWord = el('span', { class: 'unseen' }), lamp = el('i', { class: 'bay-lamp', 'aria-hidden': 'true' });
    const box = el('div', { class: 'guide' }, rod);
    const words = el('p', { class: 'bar-words', 'data-side': side.id }, lamp, el('b', {}, `${sentence(side.id)} lock bar`), word, lampWord);
    return { box, words, rod, word, lamp, lampWord };
  }

  select(i) {
    this.bays.forEach((b, k) => b.button.setAttribute('aria-pressed', k === i ? 'true' : 'false'));
  }

  // draw shows a frame. bays and sides have their numbers by name.
  draw(bays, sides, states, alarms) {
    bays.forEach((f, i) => {
      const b = this.bays[i], open = Math.max(0, Math.min(1, f.height_m / this.bench.bays[i].opening_m));
      const scale = `scaleX(${(1 - open).toFixed(3)})`;
      if (b.scale !== scale) b.fill.style.transform = b.scale = scale;
      const word = f.awake ? states[f.state] ?? 'running' : 'no power';
      say(b.state, word);
      mark(b.lamp, 'lit', f.lamp === 1);
      say(b.lampWord, f.lamp === 1 ? ', lamp on' : '');
      mark(b.button, 'alarming', f.pulses_heard > 0);
      say(b.alarm, alarms[i] ?? '');
    });
    sides.forEach((f, i) => {
      const bar = this.bars[i], stroke = this.bench.sides[i].stroke_m, shift = `translateX(${(f.bar_m / stroke * 100).toFixed(1)}%)`;
      if (bar.shift !== shift) bar.rod.style.setProperty('--way', (f.bar_m / stroke).toFixed(3));
      bar.shift = shift;
      mark(bar.lamp, 'lit', f.lamp === 1);
      say(bar.lampWord, f.lamp === 1 ? ', lamp on' : '');
      say(bar.word, barWord(f, stroke));
    });
  }
}

export function barWord(f, stroke) {
  const where = f.bar_m < 0.004 ? 'unlocked' : f.bar_m > stroke - 0.004 ? 'locked' : `${Math.round(f.bar_m * 1000)} of ${Math.round(stroke * 1000)} mm`;
  return where + (f.drive > 0 ? ', driven to lock' : f.drive < 0 ? ', driven to unlock' : '');
}
