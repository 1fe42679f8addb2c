// The list of what happened, newest first.

import { el } from './dom.js';
import { clock } from './names.js';

const MOST = 200;
const MARKS = { alarm: '♪', violated: '✕', press: '●', action: '▸', 'fault-on': '+', 'fault-off': '−', refused: '⊘', silent: '∅', trouble: '!', reset: '↯', end: '■', state: '·' };

export class Events {
  constructor(list, goTo) {
    this.list = list;
    this.goTo = goTo;
  }

  clear(after) {
    if (after === undefined) return this.list.replaceChildren();
    for (const li of [...this.list.children]) if (Number(li.dataset.at) > after) li.remove();
  }

  add(e) {
    const where = e.bay || e.side || '';
    const li = el('li', { 'data-kind': e.kind, 'data-at': e.at_s },
      el('button', { onclick: () => this.goTo(e.at_s, e.bay), 'aria-label': `${clock(e.at_s)} seconds, ${e.text}: show the charts there` },
        el('time', {}, clock(e.at_s)), el('i', { 'aria-hidden': 'true' }, MARKS[e.kind] ?? '·'), el('span', {}, e.text), where && !e.text.includes(where) ? el('em', {}, where) : null));
    // An alarm is told when its count is over, and stands where it began.
    const before = [...this.list.children].find(n => Number(n.dataset.at) <= e.at_s);
    this.list.insertBefore(li, before ?? null);
    while (this.list.children.length > MOST) this.list.lastChild.remove();
  }
}
