// What a person at the truck can do: remote, lock switches, teach, releases, power,
// and things that get in the way.

import { el, say } from './dom.js';
import { sentence } from './names.js';
import { barWord } from './plan.js';

const LENGTHS = [[0.2, 'short, 0.2 s'], [0.05, 'a touch, 0.05 s'], [1, 'long, 1 s'], [3, 'very long, 3 s'], ['hold', 'until let go']];
const HEIGHTS = [[0.0254, '25 mm, a plank'], [0.15, '150 mm, a sack'], [0.3, '300 mm, a crate'], [0.6, '600 mm, two crates'], [1.2, '1.2 m, a person bent down']];
const STIFFNESS = [[5000, 'soft, 5 N/mm'], [20000, 'a crate, 20 N/mm'], [500000, 'instrument, 500 N/mm']];

export class Controls {
  constructor(box, bench) {
    this.box = box;
    this.bench = bench; // { ask, bay() }
    this.remote();
    this.inTheWay();
    this.locks = el('div', { class: 'locks' });
    this.box.append(this.group('Locks, cab switch', this.locks));
    this.service();
  }

  group(title, ...children) {
    return el('fieldset', {}, el('legend', {}, title), ...children);
  }

  remote() {
    this.press = el('button', { class: 'remote', id: 'press', 'aria-keyshortcuts': 'Space' }, el('i', { 'aria-hidden': 'true' }), el('b', {}, 'Press the remote'), el('span', { class: 'remote-note' }, 'Space'));
    this.length = el('select', { id: 'pressLength' }, ...LENGTHS.map(([v, t]) => el('option', { value: v }, t)));
    this.aim = this.slider('pressAim', 'Aim', -45, 45, 1, 0, v => v === 0 ? 'straight at it' : `${Math.abs(v)}° ${v > 0 ? 'to the next bay' : 'away from it'}`);
    this.distance = this.slider('pressDistance', 'Distance', 0.5, 20, 0.5, 3, v => `${v} m`);
    const hold = on => e => { if (this.length.value === 'hold') { on ? this.pressNow() : this.letGo(); e?.preventDefault(); } };
    this.press.addEventListener('pointerdown', hold(true));
    for (const name of ['pointerup', 'pointercancel', 'pointerleave']) this.press.addEventListener(name, () => this.letGo());
    this.press.addEventListener('click', () => { if (this.length.value !== 'hold') this.pressNow(); });
    this.press.addEventListener('keydown', e => { if ((e.key === ' ' || e.key === 'Enter') && this.length.value === 'hold') { e.preventDefault(); if (!e.repeat) this.pressNow(); } });
    this.press.addEventListener('keyup', e => { if (e.key === ' ' || e.key === 'Enter') this.letGo(); });
    this.box.append(this.press, el('details', { class: 'fine' }, el('summary', {}, 'How it is pressed'),
      el('label', { class: 'row' }, el('span', {}, 'How long'), this.length), this.distance.row, this.aim.row));
  }

  slider(id, name, min, max, step, value, words) {
    const input = el('input', { type: 'range', id, min, max, step, value }), out = el('output', { for: id }, words(value));
    input.addEventListener('input', () => say(out, words(Number(input.value))));
    input.setAttribute('aria-valuetext', words(value));
    input.addEventListener('input', () => input.setAttribute('aria-valuetext', words(Number(input.value))));
    return { row: el('label', { class: 'row wide', for: id }, el('span', {}, name), out, input), get value() { return Number(input.value); } };
  }

  pressNow() {
    const hold = this.length.value === 'hold';
    this.held = hold ? this.bench.bay() : null;
    const how = hold ? { hold: true } : { length_s: Number(this.length.value) };
    return this.bench.ask('press', { bay: this.bench.bay(), aim_deg: this.aim.value, distance_m: this.distance.value, ...how });
  }

  letGo() {
    if (!this.held) return;
    this.bench.ask('let go', { what: 'press', bay: this.held });
    this.held = null;
  }

  setSides(sides) {
    this.sides = sides;
    this.lockWords = sides.map(() => el('em', {}));
    this.locks.replaceChildren(...sides.map((s, i) => el('div', { class: 'row', role: 'group', 'aria-label': `${s.id} lock` },
      el('span', { class: 'lock-name' }, sentence(s.id), this.lockWords[i]),
      el('button', { 'data-lock': s.id, onclick: () => this.bench.ask('lock', { side: s.id }) }, 'Lock'),
      el('button', { 'data-unlock': s.id, onclick: () => this.bench.ask('unlock', { side: s.id }) }, 'Unlock'))),
      el('details', { class: 'fine' }, el('summary', {}, 'Move a bar by hand'), ...sides.map(s => el('div', { class: 'row' }, el('span', {}, sentence(s.id)),
        el('button', { onclick: () => this.bench.ask('bypass', { side: s.id, to: 'locked' }) }, 'To locked'),
        el('button', { onclick: () => this.bench.ask('bypass', { side: s.id, to: 'unlocked' }) }, 'To unlocked')))));
  }

  service() {
    const toggle = (id, text, act) => {
      const b = el('button', { id, class: 'switch', role: 'switch', 'aria-checked': 'false', onclick: () => act(b.getAttribute('aria-checked') !== 'true') }, el('i', { 'aria-hidden': 'true' }), el('span', {}, text));
      return b;
    };
    this.retrain = el('button', { id: 'retrain', onclick: () => this.teach() }, 'Retrain this door');
    this.teachHeld = toggle('teachHeld', 'Teach button held', on => this.bench.ask('teach', { bay: this.bench.bay(), on }));
    this.release = toggle('release', 'Manual release pulled', on => this.bench.ask('release', { bay: this.bench.bay(), on }));
    this.power = toggle('power', 'Battery switch on', on => this.bench.ask('supply', { on }));
    this.box.append(this.group('Service', this.retrain, this.release, this.power, el('details', { class: 'fine' }, el('summary', {}, 'Teach by hand'), this.teachHeld)));
  }

  // teach is a whole teaching: the bench holds the button, and presses the remote.
  teach() { return this.bench.ask('teach', { bay: this.bench.bay(), on: true, length_s: 2 }); }

  inTheWay() {
    this.height = el('select', { id: 'obstacleHeight' }, ...HEIGHTS.map(([v, t]) => el('option', { value: v, selected: v === 0.3 }, t)));
    this.stiff = el('select', { id: 'obstacleStiffness' }, ...STIFFNESS.map(([v, t]) => el('option', { value: v, selected: v === 20000 }, t)));
    this.obstacle = el('button', { id: 'obstacle', class: 'switch', role: 'switch', 'aria-checked': 'false', 'aria-keyshortcuts': 'C',
      onclick: () => this.putObstacle(this.obstacle.getAttribute('aria-checked') !== 'true') }, el('i', { 'aria-hidden': 'true' }), el('span', {}, 'Object under the door'));
    for (const s of [this.height, this.stiff]) s.addEventListener('change', () => { if (this.obstacle.getAttribute('aria-checked') === 'true') this.putObstacle(true); });
    const group = this.group('In the way', this.obstacle, el('details', { class: 'fine' }, el('summary', {}, 'How high and how hard'),
      el('label', { class: 'row' }, el('span', {}, 'How high'), this.height), el('label', { class: 'row' }, el('span', {}, 'How hard'), this.stiff)));
    group.id = 'inTheWay';
    this.box.append(group);
  }

  putObstacle(on) {
    return this.bench.ask('obstruction', { bay: this.bench.bay(), on, height_m: Number(this.height.value), stiffness_n_m: Number(this.stiff.value) });
  }

  toggleObstacle() { return this.putObstacle(this.obstacle.getAttribute('aria-checked') !== 'true'); }

  draw(bay, sides, truck) {
    check(this.teachHeld, bay.teach === 1);
    check(this.release, bay.released === 1);
    check(this.power, truck.supply_on === 1);
    check(this.obstacle, bay.obstacle_m !== 0);
    sides.forEach((s, i) => say(this.lockWords[i], barWord(s, this.sides[i].stroke_m)));
  }
}

function check(b, on) {
  const word = on ? 'true' : 'false';
  if (b.getAttribute('aria-checked') !== word) b.setAttribute('aria-checked', word);
}
