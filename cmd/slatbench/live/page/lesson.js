// A lesson: its text, what the learner must say before the run goes on, what has to
// come about, the workshop, and the bench's own check at the end.

import { el } from './dom.js';

const PHASES = {
  asking: 'Time stands until you have answered.', waiting: 'It goes on once that has come about.', finding: 'Your turn at the truck.',
  checking: 'The bench is checking. Hands off.', passed: 'The lesson is over.',
};

export class Lesson {
  constructor(box, shop, bench, speech) {
    this.box = box;
    this.shop = shop;   // where the workshop is offered
    this.bench = bench; // { ask, leave() }
    this.speech = speech;
    this.clear();
  }

  clear() {
    this.state = null;
    this.box.hidden = true;
    document.body.classList.remove('taught');
    this.box.replaceChildren();
    this.shop.replaceChildren();
    this.spoken = new Set();
  }

  take(m) {
    const s = m.state, focus = this.focused();
    this.state = s;
    this.box.hidden = false;
    document.body.classList.add('taught');
    this.box.dataset.phase = s.phase;
    this.box.dataset.step = s.step;
    this.shop.replaceChildren(...this.workshop(s));
    const body = el('div', { class: 'lesson-body', tabindex: -1 },
      el('div', { class: 'lesson-text' }, s.title && el('h3', { tabindex: -1, 'data-key': 'title' }, s.title), ...paragraphs(s.text)),
      this.question(s), this.waits(s.waits), this.results(s), this.told(s), this.caution(s.caution));
    this.box.replaceChildren(
      el('header', {}, el('p', { class: 'lesson-name' }, el('b', {}, m.title), el('button', { 'data-key': 'leave', onclick: () => this.bench.leave() }, 'Leave')), this.progress(s)),
      body, el('footer', {}, this.next(s)));
    this.refocus(focus);
    this.toNewest(body, s);
    this.speak(m, s);
  }

  // toNewest brings what has just been told into view.
  toNewest(body, s) {
    const told = body.querySelector('.told'), key = `${s.step} ${s.phase} ${s.remarks?.length} ${s.hints?.length}`;
    if (told && key !== this.newest) body.scrollTop = told.offsetTop - body.offsetTop - body.clientHeight * 0.35;
    else if (this.newest === key) body.scrollTop = this.scrolled ?? 0;
    this.newest = key;
    body.addEventListener('scroll', () => { this.scrolled = body.scrollTop; }, { passive: true });
    this.scrolled = body.scrollTop;
  }

  // focused is what has the focus in here, to be found again after all is made anew.
  focused() {
    const a = document.activeElement;
    return this.box.contains(a) || this.shop.contains(a) ? a.dataset.key ?? 'title' : null;
  }

  refocus(key) {
    if (!key) return;
    const find = where => where.querySelector(`[data-key="${key}"]:not(:disabled)`);
    const again = find(this.box) ?? find(this.shop) ?? this.box.querySelector('[data-key="title"]');
    again?.focus({ preventScroll: true });
  }

  progress(s) {
    const n = s.steps + 1;
    const dots = Array.from({ length: n }, (_, i) => el('li', { class: i + 1 < s.step || s.passed ? 'past' : i + 1 === s.step ? 'here' : '' }));
    const words = s.step > s.steps ? 'The check' : `Step ${s.step} of ${s.steps}`;
    const score = s.predictions ? `, ${s.predicted_right} of ${s.predictions} foretold` : '';
    return el('div', { class: 'progress' }, el('ol', { 'aria-hidden': 'true' }, ...dots), el('span', {}, words + score));
  }

  caution(text) {
    return text ? el('p', { class: 'lesson-caution' }, text) : null;
  }

  question(s) {
    if (!s.question) return null;
    const asking = s.phase === 'asking';
    const choice = (c, i) => {
      const chosen = s.answered === i, right = s.right === i;
      const note = asking ? '' : right && chosen ? 'your answer, right' : right ? 'right' : chosen ? (s.right < 0 ? 'your answer' : 'your answer, not so') : '';
      return el('button', { class: `answer${chosen ? ' chosen' : ''}${right ? ' right' : ''}`, 'data-key': `choice ${i}`, 'data-choice': i, disabled: !asking, onclick: () => this.bench.ask('answer', { choice: i }) },
        el('i', { 'aria-hidden': 'true' }, right ? '✓' : chosen && s.right >= 0 ? '✕' : String.fromCharCode(65 + i)), el('span', {}, c), note && el('em', {}, note));
    };
    // Once it is answered, only the answer that was given and the right one stay.
    const shown = s.choices.map(choice).filter((_, i) => asking || i === s.answered || i === s.right);
    return el('fieldset', { class: asking ? 'ask' : 'ask answered' }, el('legend', {}, s.question), ...shown);
  }

  waits(list) {
    if (!list?.length) return null;
    return el('ul', { class: 'waits' }, ...list.map(w => el('li', { class: w.met ? 'met' : '' }, el('i', { 'aria-hidden': 'true' }, w.met ? '✓' : '○'), el('span', {}, w.text), w.met ? el('span', { class: 'unseen' }, ', done') : null)));
  }

  results(s) {
    if (!s.results?.length) return null;
    return el('ul', { class: 'waits results' }, ...s.results.map(w => el('li', { class: w.met ? 'met' : 'missed' }, el('i', { 'aria-hidden': 'true' }, w.met ? '✓' : '✕'), el('span', {}, w.text), el('span', { class: 'unseen' }, w.met ? ', met' : ', not met'))));
  }

  // told is what is said on an answer, on what came about, and on jobs.
  told(s) {
    const wrong = s.answered >= 0 && s.right >= 0 && s.answered !== s.right;
    const list = [];
    if (s.reply) list.push(el('div', { class: wrong ? 'result wrong' : 'result right' }, el('b', {}, wrong ? '✕ Not so.' : '✓ So it is.'), ...paragraphs(s.reply)));
    if (s.phase === 'passed') list.push(el('p', { class: 'result right' }, el('b', {}, '✓ Cured. '), 'The bench has tried it.'));
    if (s.phase === 'failed') list.push(el('p', { class: 'result wrong' }, el('b', {}, '✕ Not cured yet. '), 'Work on, and let the bench check again.'));
    if (s.then) list.push(el('div', { class: 'then' }, ...paragraphs(s.then)));
    for (const r of s.remarks ?? []) list.push(el('div', { class: 'remark' }, ...paragraphs(r)));
    for (const h of s.hints ?? []) list.push(el('p', { class: 'hint' }, el('b', {}, 'Hint: '), h));
    return list.length ? el('div', { class: 'told' }, ...list) : null;
  }

  workshop(s) {
    if (!s.jobs?.length) return [];
    return [el('fieldset', { class: 'workshop' }, el('legend', {}, 'Workshop'),
      ...s.jobs.map(j => el('button', { 'data-key': `job ${j.name}`, 'data-job': j.name, class: j.done ? 'job done' : 'job', disabled: !s.hands, onclick: () => this.bench.ask('job', { job: j.name }) }, el('i', { 'aria-hidden': 'true' }, j.done ? '✓' : '⚒'), el('span', {}, j.text), j.done ? el('span', { class: 'unseen' }, ', done') : null)))];
  }

  next(s) {
    if (s.next) return el('button', { class: 'go', id: 'lessonNext', 'data-key': 'next', onclick: () => this.bench.ask('next') }, el('span', {}, s.next));
    return PHASES[s.phase] ? el('p', { class: 'phase' }, PHASES[s.phase]) : null;
  }

  // speak says what has not been said in this step.
  speak(m, s) {
    const said = [`${m.title}, step ${s.step}: ${s.title}. ${s.text}`, s.question, s.reply, s.then, ...(s.remarks ?? []), ...(s.hints ?? []), s.phase === 'passed' || s.phase === 'failed' ? `The check is ${s.phase}.` : ''];
    for (const text of said) {
      const key = `${s.step} ${s.tries} ${text}`;
      if (!text || this.spoken.has(key)) continue;
      this.spoken.add(key);
      this.speech.say(text.replace(/\s+/g, ' '));
    }
  }
}

function paragraphs(text) {
  return (text ?? '').split(/\n\s*\n|\n/).filter(p => p.trim()).map(p => el('p', {}, p.replace(/\s+/g, ' ').trim()));
}
