// A lesson: its text, what the learner must say before the run goes on, and what
// came of it.

import { el, byID } from './dom.js';
import { sentence } from './names.js';

const WAITS = {
  reading: 'Read, then go on.', prediction: 'Say what will happen before the truck moves.', question: 'Answer before the truck moves.',
  action: 'It is your turn at the truck.', running: 'Watch the truck.', done: 'The lesson is over.',
};

export class Lesson {
  constructor(box, bench, speech) {
    this.box = box;
    this.bench = bench; // { ask, leave() }
    this.speech = speech;
    this.choice = null;
  }

  clear() {
    this.box.hidden = true;
    document.body.classList.remove('taught');
    this.box.replaceChildren();
    this.key = '';
  }

  take(m) {
    const key = `${m.name} ${m.step} ${m.waits}`, fresh = key !== this.key;
    if (fresh) this.choice = null;
    this.key = key;
    this.box.hidden = false;
    document.body.classList.add('taught');
    this.box.dataset.waits = m.waits;
    this.box.dataset.step = m.step;
    this.box.replaceChildren(
      el('header', {}, el('p', { class: 'lesson-name' }, el('b', {}, m.title), el('button', { onclick: () => this.bench.leave() }, 'Leave')), this.progress(m)),
      el('div', { class: 'lesson-text' }, ...paragraphs(m.text), this.hint(m)),
      el('div', { class: 'lesson-act' }, this.result(m), this.ask(m), this.cured(m), this.next(m)),
    );
    if (fresh) this.speech.say(`${m.title}, step ${m.step + 1} of ${m.of}. ${m.text} ${m.ask?.text ?? ''}`);
    if (m.result) this.speech.say(m.result.text);
  }

  progress(m) {
    const dots = Array.from({ length: m.of }, (_, i) => el('li', { class: i < m.step ? 'past' : i === m.step ? 'here' : '', title: m.past?.[i] ?? '' }));
    return el('div', { class: 'progress' }, el('ol', { 'aria-hidden': 'true' }, ...dots), el('span', {}, `Step ${m.step + 1} of ${m.of}`));
  }

  ask(m) {
    if (!m.ask) return null;
    const box = el('fieldset', { class: 'ask' }, el('legend', {}, m.ask.text), ...m.ask.choices.map((c, i) => el('button', { class: 'answer', 'data-choice': i, onclick: () => this.bench.ask('answer', { choice: i }) }, el('i', { 'aria-hidden': 'true' }, String.fromCharCode(65 + i)), el('span', {}, c))));
    return box;
  }

  result(m) {
    if (!m.result) return null;
    return el('p', { class: m.result.right ? 'result right' : 'result wrong' }, el('b', {}, m.result.right ? '✓ So it is. ' : '✕ Not so. '), m.result.text);
  }

  cured(m) {
    if (m.cured === null || m.cured === undefined) return null;
    return el('p', { class: m.cured ? 'result right' : 'result wrong' }, el('b', {}, m.cured ? '✓ Cured. ' : '✕ Not cured. '), m.cured ? 'The bench checked the door: the fault is gone.' : 'The bench checked the door: the fault is still there.');
  }

  next(m) {
    if (m.waits === 'reading') return el('button', { class: 'go', id: 'lessonNext', onclick: () => this.bench.ask('next') }, el('span', {}, 'Go on'));
    return el('p', { class: 'waits' }, WAITS[m.waits] ?? '');
  }

  hint(m) {
    if (!m.hint) return null;
    return el('details', { class: 'hint' }, el('summary', {}, 'A hint'), el('p', {}, m.hint));
  }
}

function paragraphs(text) {
  return text.split(/\n\s*\n/).map(p => el('p', {}, p.replace(/\s+/g, ' ').trim()));
}
