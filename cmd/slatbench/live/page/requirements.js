// How every requirement stands. A violated one stays marked, with its time; a click
// takes the charts there.

import { el, say, byID } from './dom.js';
import { margin, seconds, plain } from './names.js';

const MARKS = {
  'holds': 'M4 10.500l4 4l8-9', 'violated': 'M4.500 4.500l11 11M15.500 4.500l-11 11',
  'not exercised': 'M5 10h10', 'exempt': 'M10 4l6 12H4z', 'measured': 'M4 15V9M10 15V4M16 15V7',
};
const FIRST = { violated: 0, exempt: 1, holds: 2, measured: 3, 'not exercised': 4 };

export class Requirements {
  constructor(list, goTo) {
    this.list = list;
    this.goTo = goTo;
    this.rows = new Map();
  }

  setWords(requirements) {
    this.words = requirements;
  }

  clear() {
    this.rows.clear();
    this.list.replaceChildren(...this.words.map(w => this.row(w)));
  }

  row(w) {
    const path = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
    path.setAttribute('viewBox', '0 0 20 20');
    path.setAttribute('aria-hidden', 'true');
    path.innerHTML = `<path d="${MARKS['not exercised']}"/>`;
    const state = el('span', { class: 'req-state' }, 'not exercised'), number = el('span', { class: 'req-margin' });
    const when = el('button', { class: 'req-when', hidden: true }), text = el('p', { class: 'req-text' });
    const li = el('li', { 'data-requirement': w.id, 'data-state': 'not exercised', title: w.text },
      path, el('b', {}, plain(w.id)), number, el('p', { class: 'req-line' }, state, when), text);
    this.rows.set(w.id, { li, path: path.firstChild, state, number, when, text, w });
    return li;
  }

  take(list) {
    for (const j of list) this.judge(j);
    this.sum();
  }

  judge(j) {
    const r = this.rows.get(j.id);
    if (!r) return;
    r.li.dataset.state = j.state;
    r.path.setAttribute('d', MARKS[j.state] ?? MARKS['not exercised']);
    const where = j.bay || j.side || '';
    say(r.state, j.state + (where && j.state !== 'not exercised' ? `, ${where}` : ''));
    say(r.number, j.state === 'not exercised' ? '' : margin(j.margin, j.unit));
    const timed = j.at_s !== null && j.at_s !== undefined && (j.state === 'violated' || j.state === 'exempt');
    r.when.hidden = !timed;
    if (timed) {
      say(r.when, `at ${seconds(j.at_s)}`);
      r.when.setAttribute('aria-label', `${plain(j.id)} ${j.state} at ${seconds(j.at_s)}: show the charts there`);
      r.when.onclick = () => this.goTo(j.at_s, j.bay);
    }
    say(r.text, j.text ?? '');
    r.li.style.order = FIRST[j.state] ?? 5;
    r.j = j;
  }

  sum() {
    const n = {};
    for (const r of this.rows.values()) n[r.li.dataset.state] = (n[r.li.dataset.state] ?? 0) + 1;
    const parts = ['violated', 'exempt', 'holds'].filter(s => n[s]).map(s => `${n[s]} ${s === 'holds' && n[s] > 1 ? 'hold' : s}`);
    say(byID('judgedSum'), parts.join(', ') || 'none exercised yet');
    byID('judgedSum').className = n.violated ? 'bad' : '';
  }
}
