// Words for a screen reader: what changed, gathered for a moment, so that nobody is
// talked at thirty times a second. Alarms and violations interrupt.

import { byID } from './dom.js';

const PAUSE = 900; // ms

export class Speech {
  constructor() {
    this.waiting = [];
    this.timer = 0;
  }

  say(text) {
    if (this.waiting[this.waiting.length - 1] === text) return;
    this.waiting.push(text);
    if (this.waiting.length > 6) this.waiting.splice(0, this.waiting.length - 6);
    this.timer ||= setTimeout(() => this.flush(), PAUSE);
  }

  flush() {
    this.timer = 0;
    byID('speak').textContent = this.waiting.join('. ') + '.';
    this.waiting = [];
  }

  shout(text) {
    const box = byID('shout');
    box.textContent = '';
    setTimeout(() => { box.textContent = text; }, 30);
  }
}
