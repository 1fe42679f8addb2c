// Scenario files: a list to open from, a file of one's own, one dropped on the page,
// and what was done here as a download.

import { el, byID } from './dom.js';
import { sentence } from './names.js';

const GROUPS = { demo: 'Demonstrations', faults: 'One fault each', lessons: 'Lessons', yours: 'Yours' };

export class Files {
  constructor(open) {
    this.open = open;
    this.dialog = byID('openDialog');
    this.dropping();
  }

  setLists(scenarios, lessons) {
    this.scenarios = scenarios;
    this.lessons = lessons;
  }

  show(lessonsOnly) {
    const body = this.dialog.querySelector('.dialog-body');
    byID('openTitle').textContent = lessonsOnly ? 'Lessons' : 'Open a scenario';
    body.replaceChildren(...(lessonsOnly ? [this.lessonList()] : [this.picker(), ...this.scenarioLists()]));
    this.dialog.showModal();
    (body.querySelector('button, input, .file-pick') ?? this.dialog).focus();
  }

  picker() {
    const input = el('input', { type: 'file', accept: '.yaml,.yml,.txt', id: 'filePick', onchange: () => { if (input.files[0]) this.read(input.files[0]); } });
    return el('p', { class: 'file-pick' }, el('label', {}, 'A scenario or counterexample file of your own: ', input), el('span', {}, ' It can also be dropped anywhere on this page.'));
  }

  scenarioLists() {
    const groups = new Map();
    for (const s of this.scenarios) groups.set(s.group, [...(groups.get(s.group) ?? []), s]);
    return [...groups].map(([g, list]) => el('section', {}, el('h3', {}, GROUPS[g] ?? sentence(g)), el('ul', { class: 'open-list' }, ...list.map(s => el('li', {}, this.item(s, { name: s.name }))))));
  }

  lessonList() {
    if (!this.lessons.length) return el('p', {}, 'No lessons are installed.');
    return el('ul', { class: 'open-list lessons' }, ...this.lessons.map(l => el('li', {}, this.item(l, { lesson: l.name }))));
  }

  item(s, what) {
    return el('button', { 'data-open': s.name, onclick: () => { this.dialog.close(); this.open(what); } }, el('b', {}, s.title), s.doc ? el('span', {}, s.doc) : null);
  }

  async read(file) {
    if (this.dialog.open) this.dialog.close();
    this.open({ text: await file.text(), file: file.name });
  }

  dropping() {
    const veil = byID('drop');
    let depth = 0;
    const files = e => [...(e.dataTransfer?.types ?? [])].includes('Files');
    addEventListener('dragenter', e => { if (files(e)) { depth++; veil.hidden = false; } });
    addEventListener('dragleave', e => { if (files(e) && --depth <= 0) { depth = 0; veil.hidden = true; } });
    addEventListener('dragover', e => { if (files(e)) e.preventDefault(); });
    addEventListener('drop', e => {
      if (!files(e)) return;
      e.preventDefault();
      depth = 0;
      veil.hidden = true;
      if (e.dataTransfer.files[0]) this.read(e.dataTransfer.files[0]);
    });
  }
}

// download hands a text to the browser as a file.
export function download(name, text) {
  const address = URL.createObjectURL(new Blob([text], { type: 'application/yaml' }));
  const a = el('a', { href: address, download: name });
  document.body.append(a);
  a.click();
  a.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
}
