// The side view of one bay, to scale, seen along the side of the truck: outside on
// the left, the load on the right. Lengths in m become S units a metre.

import { makeTrack, hanging } from './geometry.js';
import { node, put, write, show } from './svg.js';
import { drawSpring } from './spring.js';
import { fixed } from './names.js';

const S = 260;
const LEFT = -1.08, RIGHT = 1.98, BELOW = -0.25, ROOM_ABOVE = 0.36;
const SLATS = 24;
const FACE = 0.017;    // half the thickness of the curtain, m
const ROPE = -0.09;    // where the cable runs: before the curtain
const WIRE = 0.05;     // where the encoder's wire runs: behind it

export class BayView {
  constructor(svg) {
    this.svg = svg;
    this.named = true;
    new ResizeObserver(() => this.fit()).observe(svg);
  }

  // fit keeps letters at their size on the screen, whatever the scale of the drawing.
  fit() {
    const width = this.svg.clientWidth, height = this.svg.clientHeight;
    if (!width || !this.size) return;
    const scale = Math.min(width / this.size.w, height / this.size.h);
    const big = Math.max(1, Math.min(1.5, scale * 1.15));
    this.svg.style.setProperty('--u', String(big / scale));
    this.svg.classList.toggle('tight', scale < 0.52);
  }

  // setBay draws all that does not move.
  setBay(bay) {
    this.bay = bay;
    this.track = makeTrack({ vertical: bay.vertical_m, bend: bay.bend_m });
    this.roof = bay.vertical_m + bay.bend_m + ROOM_ABOVE;
    const end = this.track(bay.opening_m + bay.curtain_m).x;
    this.right = Math.max(RIGHT, end + 0.18);
    this.size = { w: (this.right - LEFT) * S, h: (this.roof + 0.07 - BELOW) * S };
    this.svg.setAttribute('viewBox', `0 0 ${this.size.w} ${this.size.h}`);
    this.svg.replaceChildren();
    this.parts = {};
    this.hatches();
    this.body();
    this.cargo();
    this.ruler();
    this.rails();
    this.moving();
    this.fit();
  }

  X(x) { return (x - LEFT) * S; }
  Y(z) { return (this.roof + 0.07 - z) * S; }
  at(x, z) { return `${this.X(x).toFixed(1)} ${this.Y(z).toFixed(1)}`; }

  add(name, tag, attributes, ...children) {
    const n = node(tag, attributes, ...children);
    (this.into ?? this.svg).append(n);
    if (name) this.parts[name] = n;
    return n;
  }

  box(kind, x0, z0, x1, z1, extra = {}) {
    return this.add(null, 'rect', { class: kind, x: this.X(x0), y: this.Y(z1), width: (x1 - x0) * S, height: (z1 - z0) * S, ...extra });
  }

  text(name, kind, x, z, words, anchor = 'start') {
    return this.add(name, 'text', { class: kind, x: this.X(x), y: this.Y(z), 'text-anchor': anchor }, words);
  }

  // label names a part, with a line that leads to it.
  label(x, z, toX, toZ, words, anchor = 'start') {
    const g = node('g', { class: 'part-name' });
    g.append(node('path', { class: 'leader', d: `M${this.at(x, z)}L${this.at(toX, toZ)}` }));
    g.append(node('circle', { class: 'leader-end', cx: this.X(toX), cy: this.Y(toZ), r: 3 }));
    const t = node('text', { x: this.X(x) + (anchor === 'end' ? -5 : 5), y: this.Y(z), dy: '.35em', 'text-anchor': anchor }, words);
    g.append(t);
    this.svg.append(g);
  }

  hatches() {
    const pattern = (id, step, angle, kind) => node('pattern', { id, width: step, height: step, patternUnits: 'userSpaceOnUse', patternTransform: `rotate(${angle})` },
      node('path', { class: kind, d: `M0 0V${step}` }));
    this.add(null, 'defs', {}, pattern('cut', 9, 45, 'cut-line'), pattern('rub', 7, -45, 'rub-line'), pattern('press-hatch', 6, 45, 'press-line'));
  }

  body() {
    const { roof, right, bay } = this;
    this.box('room', 0, 0, right, roof);
    const walls = [[-0.11, -0.11, right, 0], [-0.16, roof, right, roof + 0.05], [-0.16, bay.opening_m + 0.14, -0.12, roof]];
    for (const w of walls) {
      this.box('cut', ...w);
      this.box('cut-edge', ...w);
    }
    this.add(null, 'path', { class: 'break', d: `M${this.at(right - 0.02, -0.16)}l6 14l-12 8l6 14` });
  }

  // cargo is crates of the load, faint: they give the eye a scale, and lean on the
  // curtain when that fault is on.
  cargo() {
    this.into = this.add('cargo', 'g', { class: 'cargo' });
    const crate = (x, z, w, h) => {
      this.box('crate', x, z, x + w, z + h);
      for (let i = 1; i < 3; i++) this.add(null, 'path', { class: 'crate-line', d: `M${this.at(x, z + h * i / 3)}H${this.X(x + w)}` });
    };
    const base = this.right - 0.66;
    crate(base, 0, 0.58, 0.34);
    crate(base, 0.34, 0.58, 0.34);
    crate(base + 0.05, 0.68, 0.5, 0.3);
    this.into = null;
  }

  ruler() {
    const x = -0.57, top = this.bay.opening_m;
    let ticks = '';
    this.tickTexts = [];
    for (let i = 0; i <= Math.round(top * 10); i++) {
      const long = i % 5 === 0 ? 0.05 : 0.025;
      ticks += `M${this.at(x, i / 10)}h${(-long * S).toFixed(1)}`;
      if (i % 5 === 0) this.tickTexts[i / 5] = this.text(null, 'tick', x - 0.065, i / 10 - 0.014, `${(i / 10).toFixed(1)} m`, 'end');
    }
    this.add(null, 'path', { class: 'ruler', d: `M${this.at(x, 0)}V${this.Y(top)}${ticks}` });
    this.rulerX = x;
    this.add('trueLine', 'path', { class: 'true-line' });
    this.add('trueMark', 'path', { class: 'true-mark' });
    this.parts.trueText = this.twoLines('true-text', x + 0.09, 'start', 'true');
    this.add('countMark', 'path', { class: 'count-mark' });
    this.add('countLine', 'path', { class: 'count-line' });
    this.parts.countText = this.twoLines('count-text', x - 0.1, 'end', 'counted');
  }

  // twoLines is a word above a line at height 0 and a number below it.
  twoLines(kind, x, anchor, word) {
    const line = (text, dy) => node('text', { class: kind, x: this.X(x), y: 0, dy, 'text-anchor': anchor }, text);
    const number = line('', '1.05em'), box = node('g', {}, line(word, '-.35em'), number);
    this.svg.append(box);
    return { box, number };
  }

  rails() {
    const rail = side => {
      let d = '';
      const end = this.bay.opening_m + this.bay.curtain_m + 0.05;
      for (let i = 0; i <= 60; i++) {
        const s = end * i / 60, p = this.track(s);
        const x = p.x + Math.cos(p.lean) * side, z = p.z - Math.sin(p.lean) * side;
        d += (i ? 'L' : 'M') + this.at(x, z);
      }
      return d;
    };
    this.add('rub', 'path', { class: 'rub' });
    this.add(null, 'path', { class: 'rail', d: rail(FACE + 0.012) });
    this.add(null, 'path', { class: 'rail', d: rail(-FACE - 0.012) });
  }

  moving() {
    const top = this.bay.vertical_m + this.bay.bend_m;
    this.drum = { x: ROPE + this.bay.drum_m, z: top + 0.15 };
    this.reelAt = { x: 0.33, z: this.bay.vertical_m - 0.06 };

    this.into = this.add('obstacle', 'g', { class: 'obstacle' });
    this.add('obstacleBox', 'rect', { class: 'obstacle-box', x: this.X(-0.3), width: 0.46 * S });
    this.add('obstacleLines', 'path', { class: 'obstacle-line' });
    this.text('obstacleText', 'obstacle-text', -0.33, 0, '', 'end');
    this.into = null;

    this.add('spool', 'path', { class: 'spool' });
    this.add('closing', 'path', { class: 'closing' });
    this.text('closingText', 'broken-text', 0.16, 0.06, '');
    this.add('slats', 'path', { class: 'slats' });
    this.add('joints', 'path', { class: 'joints' });
    this.add('bulb', 'path', { class: 'bulb' });
    this.add('bracket', 'path', { class: 'bracket' });
    this.add('rope', 'path', { class: 'rope' });
    this.add('wire', 'path', { class: 'wire' });
    this.driveAndDrum();
    this.reel();
    this.outside();
    this.spring = drawSpring(this.add(null, 'g', { class: 'spring', transform: `translate(${this.X(0.6)} ${this.Y(top - 0.42)})` }), 1.05 * S);
    this.forces();
    this.names(top);
    this.svg.append(this.parts.trueLine, this.parts.trueMark, this.parts.trueText.box);
  }

  driveAndDrum() {
    const { x, z } = this.drum, r = this.bay.drum_m * S;
    this.add(null, 'path', { class: 'shaft', d: `M${this.at(x, z)}H${this.X(x + 0.3)}` });
    this.add('clutch', 'path', { class: 'clutch' });
    this.box('motor', x + 0.27, z - 0.062, x + 0.55, z + 0.062, { rx: 5 });
    this.add('motorArrow', 'path', { class: 'motor-arrow' });
    this.text('motorText', 'motor-text', x + 0.6, z - 0.018, '');
    this.add(null, 'circle', { class: 'drum', cx: this.X(x), cy: this.Y(z), r });
    this.add('spoke', 'path', { class: 'spoke' });
    this.add(null, 'circle', { class: 'hub', cx: this.X(x), cy: this.Y(z), r: r * 0.28 });
  }

  reel() {
    const { x, z } = this.reelAt;
    this.add(null, 'circle', { class: 'reel', cx: this.X(x), cy: this.Y(z), r: 0.05 * S });
    this.add('reelMark', 'path', { class: 'reel-mark' });
  }

  // outside is what the driver sees and hears: receiver, lamp, sounder.
  outside() {
    const z = this.roof - 0.1;
    this.add('beam', 'path', { class: 'beam', d: [0.08, 0.17, 0.26].map(r => `M${this.at(-0.2 - r, z - 0.07 - r * 0.34)}q${-9} ${-16} 0 ${-34}`).join('') });
    this.add('eye', 'rect', { class: 'eye', x: this.X(-0.205), y: this.Y(z - 0.02), width: 0.045 * S, height: 0.1 * S, rx: 4 });
    this.add('lamp', 'circle', { class: 'door-lamp', cx: this.X(-0.38), cy: this.Y(z - 0.03), r: 0.042 * S });
    let rays = '';
    for (let i = 0; i < 8; i++) {
      const a = i * Math.PI / 4, c = Math.cos(a), s = Math.sin(a);
      rays += `M${(this.X(-0.38) + c * 15).toFixed(1)} ${(this.Y(z - 0.03) + s * 15).toFixed(1)}l${(c * 8).toFixed(1)} ${(s * 8).toFixed(1)}`;
    }
    this.add('rays', 'path', { class: 'rays', d: rays });
    const hx = this.X(-0.6), hy = this.Y(z - 0.03);
    this.add('horn', 'path', { class: 'horn', d: `M${hx + 12} ${hy - 6}h-8l-11 -8v28l11 -8h8z` });
    this.add('waves', 'path', { class: 'waves', d: [8, 16, 24].map(r => `M${hx - 10 - r * .55} ${hy - r * .7}q${-r * .5} ${r * .7} 0 ${r * 1.4}`).join('') });
  }

  forces() {
    this.add('arrow', 'path', { class: 'force' });
    this.text('arrowText', 'force-text', 0.2, 0, '');
    this.text('slackText', 'slack-text', -0.34, 0, '', 'end');
    const z = 0;
    this.add('sill', 'path', { class: 'sill' });
    this.text('sillText', 'small', -0.05, z - 0.215, '');
  }

  names(top) {
    this.label(0.56, this.roof - 0.07, this.drum.x + 0.03, this.drum.z + 0.02, 'drum');
    this.label(0.56, this.bay.vertical_m - 0.06, this.reelAt.x + 0.05, this.reelAt.z, 'encoder reel');
    this.label(-0.3, 1.05 * this.bay.opening_m / 1.8, ROPE - 0.004, 1.0 * this.bay.opening_m / 1.8, 'cable', 'end');
    this.label(0.42, 0.2, 0.09, 0.1, 'closing spring');
    this.label(-0.26, this.roof - 0.3, -0.185, this.roof - 0.2, 'receiver', 'end');
  }

  // draw shows a frame: numbers of this bay by name, and what is broken.
  draw(f, faults) {
    if (!this.bay) return;
    this.curtain(f);
    this.cable(f, faults);
    this.encoder(f);
    this.closingSpring(f, faults);
    this.drive(f);
    this.lampAndTone(f);
    this.marks(f);
    this.obstruction(f);
    this.touching(f);
    this.spring.turn(f.spring_turns, this.bay.initial_turns, faults);
    this.damage(faults);
  }

  curtain(f) {
    const y = f.height_m, seal = this.bay.seal_m, pitch = (this.bay.curtain_m - seal) / SLATS;
    let bars = '', pins = '';
    for (let i = 0; i < SLATS; i++) {
      const a = this.track(y + seal + i * pitch), b = this.track(y + seal + (i + 0.93) * pitch);
      bars += `M${this.at(a.x, a.z)}L${this.at(b.x, b.z)}`;
      pins += `M${this.at(a.x, a.z)}h.1`;
    }
    put(this.parts.slats, 'd', bars);
    put(this.parts.joints, 'd', pins);
    this.edge = this.track(y + seal);
    const support = Math.max(0, f.obstacle_m > 0 ? f.obstacle_m : 0);
    const tip = this.track(Math.max(y, y < support + seal ? support : y));
    this.bulbShape(tip, f);
  }

  bulbShape(tip, f) {
    const e = this.edge, squeeze = Math.max(0.25, Math.hypot(e.x - tip.x, e.z - tip.z) / this.bay.seal_m);
    const w = 0.02 + 0.012 * (1 - squeeze), c = Math.cos(e.lean), s = Math.sin(e.lean);
    const p = (u, v) => this.at(e.x + u * c + v * s, e.z - u * s + v * c);
    const h = -this.bay.seal_m * squeeze;
    put(this.parts.bulb, 'd', `M${p(-0.016, 0)}C${p(-w * 1.3, h * 0.4)} ${p(-w, h)} ${p(0, h)}C${p(w, h)} ${p(w * 1.3, h * 0.4)} ${p(0.016, 0)}Z`);
    this.parts.bulb.classList.toggle('pressed', f.edge === 1);
    put(this.parts.bracket, 'd', `M${this.at(e.x + (ROPE + 0.008), e.z + 0.03)}L${this.at(e.x + WIRE, e.z + 0.03)}`);
  }

  cable(f, faults) {
    const e = this.edge, top = { x: ROPE, z: this.drum.z }, end = { x: e.x + ROPE + 0.006, z: e.z + 0.03 };
    const slack = f.slack_m > 0.002 ? f.slack_m : 0;
    const [a, b, c, d] = hanging(top, end, slack, -1);
    put(this.parts.rope, 'd', `M${this.at(a.x, a.z)}C${this.at(b.x, b.z)} ${this.at(c.x, c.z)} ${this.at(d.x, d.z)}`);
    this.parts.rope.classList.toggle('slack', slack > 0);
    show(this.parts.slackText, slack > 0);
    if (slack > 0) {
      write(this.parts.slackText, `slack ${Math.round(slack * 1000)} mm`);
      this.placeSlackText(e.z, (a.z + d.z) / 2 - slack * 0.3);
    }
    const angle = f.drum_rad, r = this.bay.drum_m * S * 0.8, cx = this.X(this.drum.x), cy = this.Y(this.drum.z);
    const dx = Math.cos(angle) * r, dy = Math.sin(angle) * r;
    put(this.parts.spoke, 'd', `M${(cx - dx).toFixed(1)} ${(cy - dy).toFixed(1)}L${(cx + dx).toFixed(1)} ${(cy + dy).toFixed(1)}M${(cx + dy * .8).toFixed(1)} ${(cy - dx * .8).toFixed(1)}L${(cx - dy * .8).toFixed(1)} ${(cy + dx * .8).toFixed(1)}`);
  }

  // placeSlackText keeps the words beside the bow, and out of the labels at the top.
  placeSlackText(edge, bow) {
    const high = edge > this.bay.vertical_m * 0.75, n = this.parts.slackText;
    put(n, 'text-anchor', high ? 'start' : 'end');
    put(n, 'x', this.X(high ? 0.24 : -0.34).toFixed(1));
    put(n, 'y', this.Y(high ? this.bay.vertical_m * 0.4 : Math.max(0.32, bow)).toFixed(1));
  }

  encoder(f) {
    const e = this.edge, top = { x: this.reelAt.x - 0.05, z: this.reelAt.z }, end = { x: e.x + WIRE, z: e.z + 0.03 };
    const loose = Math.max(0, f.reel_out_m - (this.bay.opening_m - f.height_m));
    const [a, b, c, d] = hanging(top, end, loose > 0.004 ? loose : 0, 1);
    put(this.parts.wire, 'd', `M${this.at(a.x, a.z)}C${this.at(b.x, b.z)} ${this.at(c.x, c.z)} ${this.at(d.x, d.z)}`);
    const turn = f.reel_out_m * this.bay.pulses_per_m / Math.max(1, this.bay.pulses_per_turn) * 2 * Math.PI;
    const r = 0.042 * S, cx = this.X(this.reelAt.x), cy = this.Y(this.reelAt.z);
    put(this.parts.reelMark, 'd', `M${cx} ${cy}l${(Math.cos(turn) * r).toFixed(1)} ${(Math.sin(turn) * r).toFixed(1)}`);
  }

  closingSpring(f, faults) {
    const x = 0.09, from = 0.03, broken = faults.has('broken-closing-spring'), jammed = faults.has('jammed-closing-spring');
    const e = this.edge, to = broken ? 0.2 : Math.max(0.1, e.z + 0.03), endX = broken ? x : e.x + 0.07;
    const coils = broken ? 7 : 17, wide = 0.022 * (faults.has('weak-closing-spring') ? 1.5 : 1);
    let d = `M${this.at(x, 0)}V${this.Y(from)}`;
    for (let i = 0; i <= coils * 2; i++) {
      const k = i / (coils * 2), kink = jammed ? 0.06 * Math.sin(Math.PI * k) : 0;
      d += `L${this.at(x + (endX - x) * k + kink + (i % 2 ? wide : -wide), from + (to - from) * k)}`;
    }
    if (!broken) d += `L${this.at(endX, to)}`;
    if (broken) d += `M${this.at(e.x + 0.07, e.z + 0.03)}l4 12l-8 6l8 8`;
    put(this.parts.closing, 'd', d);
    write(this.parts.closingText, broken ? 'broken' : jammed ? 'off its guide' : '');
    put(this.parts.closingText, 'y', this.Y(0.3).toFixed(1));
  }

  drive(f) {
    const { x, z } = this.drum, released = f.released === 1;
    const g = released ? 0.035 : 0.004, cx = x + 0.15;
    put(this.parts.clutch, 'd', `M${this.at(cx - g, z + 0.045)}V${this.Y(z - 0.045)}M${this.at(cx + g, z + 0.045)}V${this.Y(z - 0.045)}`);
    this.parts.clutch.classList.toggle('open', released);
    const mx = x + 0.41, up = f.energised > 0, down = f.energised < 0;
    put(this.parts.motorArrow, 'd', up ? `M${this.at(mx, z + 0.045)}l13 20h-26z` : down ? `M${this.at(mx, z - 0.045)}l13 -20h-26z` : `M${this.at(mx - 0.05, z)}h26`);
    this.parts.motorArrow.classList.toggle('still', !up && !down);
    write(this.parts.motorText, released ? 'released by hand' : up ? `up ${Math.round(f.duty_pct)} %` : down ? `down ${Math.round(f.duty_pct)} %` : 'drive off');
  }

  lampAndTone(f) {
    const p = this.parts;
    p.lamp.classList.toggle('lit', f.lamp === 1);
    show(p.rays, f.lamp === 1);
    show(p.waves, f.tone === 1);
    p.horn.classList.toggle('sounding', f.tone === 1);
    p.eye.classList.toggle('heard', f.press === 1);
    show(p.beam, f.press === 1);
  }

  marks(f) {
    const x = this.rulerX, p = this.parts, clampZ = z => Math.max(-0.12, Math.min(this.bay.opening_m + 0.2, z));
    const t = clampZ(f.height_m), c = clampZ(f.counted_m);
    put(p.trueMark, 'd', `M${this.at(x + 0.006, t)}l17 -9v18z`);
    put(p.trueLine, 'd', `M${this.at(x + 0.07, t)}H${this.X(-0.1)}`);
    put(p.trueText.box, 'transform', `translate(0 ${this.Y(t).toFixed(1)})`);
    write(p.trueText.number, fixed(f.height_m, 2));
    const known = Number.isFinite(f.counted_m);
    this.tickTexts.forEach((n, i) => show(n, !known || Math.abs(i * 0.5 - c) > 0.13)); // not under the label
    show(p.countMark, known); show(p.countText.box, known); show(p.countLine, known);
    if (!known) return;
    put(p.countMark, 'd', `M${this.at(x - 0.015, c)}l-10 -8l-10 8l10 8z`);
    put(p.countLine, 'd', `M${this.at(x - 0.1, c)}H${this.X(x - 0.4)}`);
    put(p.countText.box, 'transform', `translate(0 ${this.Y(c).toFixed(1)})`);
    write(p.countText.number, fixed(f.counted_m, 2));
  }

  obstruction(f) {
    const z = f.obstacle_m, on = z > 0;
    show(this.parts.obstacle, on);
    if (!on) return;
    put(this.parts.obstacleBox, 'y', this.Y(z).toFixed(1));
    put(this.parts.obstacleBox, 'height', (z * S).toFixed(1));
    const n = Math.max(1, Math.round(z / 0.1));
    let d = '';
    for (let i = 1; i < n; i++) d += `M${this.at(-0.3, z * i / n)}H${this.X(0.16)}`;
    put(this.parts.obstacleLines, 'd', d);
    put(this.parts.obstacleText, 'y', this.Y(Math.max(0.02, z - 0.09)).toFixed(1));
    write(this.parts.obstacleText, '');
  }

  touching(f) {
    const object = f.contact_n > 0.5, floor = f.floor_n > 0.5, force = object ? f.contact_n : f.floor_n;
    const on = object || floor, e = this.edge, p = this.parts;
    show(p.arrow, on); show(p.arrowText, on);
    if (on) {
      const long = Math.min(0.42, 0.06 + force / 900), z = Math.max(0, f.height_m);
      put(p.arrow, 'd', `M${this.at(0.19, z)}V${this.Y(z + long)}m-9 14l9 -15l9 15`);
      put(p.arrowText, 'y', this.Y(z + long * 0.5).toFixed(1));
      put(p.arrowText, 'x', this.X(0.24).toFixed(1));
      write(p.arrowText, `${Math.round(force)} N ${object ? 'on the object' : 'on the floor'}`);
      p.arrow.classList.toggle('on-object', object);
      p.arrowText.classList.toggle('on-object', object);
    }
    const made = f.sill === 1;
    put(p.sill, 'd', made ? `M${this.at(0.045, -0.055)}h16v10h-16zm8 0v-4` : `M${this.at(0.045, -0.055)}h16v10h-16zm8 0v-16`);
    p.sill.classList.toggle('made', made);
    const edge = f.edge < 0 ? 'no sensing edge' : f.edge ? 'edge pressed' : 'edge free';
    write(p.sillText, `sill switch ${made ? 'made' : 'open'} · ${edge}`);
  }

  // damage shows faults that have a place in this drawing.
  damage(faults) {
    const stretch = faults.get('added-friction');
    let d = '';
    if (stretch) {
      const from = stretch['low-end'] ?? 0.6, to = stretch['high-end'] ?? 0.9;
      for (let i = 0; i <= 20; i++) {
        const p = this.track(from + (to - from) * i / 20);
        d += (i ? 'L' : 'M') + this.at(p.x, p.z);
      }
    }
    put(this.parts.rub, 'd', d || 'M0 0');
    show(this.parts.rub, d !== '');
    const lean = faults.has('leaning-cargo');
    put(this.parts.cargo, 'transform', lean ? `translate(${((0.1 - (this.right - 0.66)) * S).toFixed(0)} 0)` : '');
    this.parts.cargo.classList.toggle('leaning', lean);
  }
}
