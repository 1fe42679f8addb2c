// Every kind of fault, by what of the truck it strikes: a switch, and how severe.

import { el, byID, say } from './dom.js';
import { plain, sentence, shown, seconds } from './names.js';

export class Faults {
  constructor(box, bench) {
    this.box = box;
    this.bench = bench; // { ask, bay(), side() }
    this.on = [];
    this.rows = new Map();
    byID('faultSearch').addEventListener('input', e => this.search(e.target.value));
    byID('mendAll').addEventListener('click', () => this.mendAll());
  }

  setKinds(kinds) {
    this.kinds = kinds;
    const groups = new Map();
    for (const k of kinds) {
      if (!groups.has(k.group)) groups.set(k.group, []);
      groups.get(k.group).push(k);
    }
    this.rows.clear();
    this.groups = [...groups].map(([name, list]) => this.group(name, list));
    this.box.replaceChildren(...this.groups.map(g => g.box), this.none = el('p', { class: 'nothing', hidden: true }, 'No fault has that in its words.'));
  }

  group(name, kinds) {
    const count = el('span', { class: 'count' }), rows = kinds.map(k => this.row(k));
    const box = el('details', { class: 'fault-group' }, el('summary', {}, el('b', {}, sentence(name)), el('em', {}, String(kinds.length)), count), ...rows.map(r => r.li));
    return { box, rows, count };
  }

  row(kind) {
    const sw = el('button', { class: 'switch', role: 'switch', 'aria-checked': 'false', 'data-fault': kind.name, onclick: () => this.flip(row) }, el('i', { 'aria-hidden': 'true' }), el('span', {}, sentence(plain(kind.name))));
    const inputs = kind.params.map(p => this.param(kind, p, () => this.changed(row)));
    const side = kind.on === 'side' ? el('select', { 'aria-label': 'Side', onchange: () => this.mark() }, el('option', { value: 'curbside' }, 'curbside'), el('option', { value: 'roadside' }, 'roadside')) : null;
    const li = el('div', { class: 'fault' }, el('div', { class: 'fault-head' }, sw, side), el('p', { class: 'fault-doc' }, sentence(kind.doc)), ...inputs.map(i => i.row));
    const row = { kind, li, sw, inputs, side, words: `${plain(kind.name)} ${kind.doc} ${kind.group}`.toLowerCase() };
    this.rows.set(kind.name, row);
    return row;
  }

  param(kind, p, changed) {
    const id = `f-${kind.name}-${p.name}`.replaceAll(' ', '-');
    if (p.words?.length) {
      const select = el('select', { id, onchange: changed }, ...p.words.map((w, i) => el('option', { value: i, selected: i === p.usual }, w)));
      return { p, row: el('label', { class: 'row' }, el('span', {}, sentence(p.name)), select), value: () => Number(select.value), set: v => { select.value = v; } };
    }
    // The slider goes from mild on the left to severe on the right, whichever is the greater.
    const [from, to] = p.severity ? [p.mild, p.severe] : [p.min, p.max];
    const scale = v => from + (to - from) * v, unscale = v => (v - from) / (to - from || 1);
    const input = el('input', { type: 'range', id, min: 0, max: 1, step: 0.01, value: clamp(unscale(p.usual)) }), out = el('output', { for: id });
    let exact = p.usual;
    const tell = () => { const t = shown(p, exact); say(out, t); input.setAttribute('aria-valuetext', t); };
    input.addEventListener('input', () => { exact = scale(Number(input.value)); tell(); });
    input.addEventListener('change', changed);
    tell();
    const row = el('label', { class: 'row wide', for: id }, el('span', {}, sentence(p.name)), out, input, p.severity ? el('small', {}, el('span', {}, 'mild'), el('span', {}, 'severe')) : null);
    return { p, row, value: () => exact, set: v => { exact = v; input.value = clamp(unscale(v)); tell(); } };
  }

  place(row) {
    if (row.kind.on === 'bay') return this.bench.bay();
    return row.kind.on === 'side' ? row.side.value : row.kind.part;
  }

  values(row) { return Object.fromEntries(row.inputs.map(i => [i.p.name, i.value()])); }

  flip(row) {
    const on = row.sw.getAttribute('aria-checked') !== 'true';
    this.bench.ask('fault', on ? { kind: row.kind.name, place: this.place(row), on, values: this.values(row) } : { kind: row.kind.name, place: this.place(row) });
  }

  changed(row) {
    if (row.sw.getAttribute('aria-checked') === 'true') this.bench.ask('fault', { kind: row.kind.name, place: this.place(row), on: true, values: this.values(row) });
  }

  mendAll() {
    for (const f of this.on) this.bench.ask('fault', { kind: f.kind, place: f.place });
  }

  // take is told all that are on.
  take(list) {
    this.on = list;
    this.mark();
  }

  // mark shows which are on at the bay that is selected.
  mark() {
    for (const row of this.rows.values()) {
      const f = this.on.find(x => x.kind === row.kind.name && x.place === this.place(row));
      row.sw.setAttribute('aria-checked', f ? 'true' : 'false');
      row.li.classList.toggle('is-on', Boolean(f));
      if (f && document.activeElement?.closest('.fault') !== row.li) for (const i of row.inputs) if (f.values?.[i.p.name] !== undefined) i.set(f.values[i.p.name]);
    }
    for (const g of this.groups ?? []) {
      const n = g.rows.filter(r => r.li.classList.contains('is-on')).length;
      say(g.count, n ? `${n} on` : '');
    }
    this.now();
  }

  now() {
    const box = byID('nowWrong');
    byID('mendAll').hidden = this.on.length === 0;
    if (!this.on.length) return box.replaceChildren('Nothing is wrong with this truck.');
    box.replaceChildren(...this.on.map(f => el('button', { class: 'on-now', 'aria-label': `Mend ${plain(f.kind)} at ${f.place}`, title: `since ${seconds(f.since_s)}; click to mend`, onclick: () => this.bench.ask('fault', { kind: f.kind, place: f.place }) },
      el('b', {}, f.place), ` ${plain(f.kind)}`, el('i', { 'aria-hidden': 'true' }, '×'))));
  }

  search(text) {
    const words = text.toLowerCase().split(/\s+/).filter(Boolean);
    let any = false;
    for (const g of this.groups) {
      let hits = 0;
      for (const r of g.rows) {
        const hit = words.every(w => r.words.includes(w));
        r.li.hidden = !hit;
        hits += hit ? 1 : 0;
      }
      g.box.hidden = hits === 0;
      g.box.open = words.length > 0 && hits > 0;
      any ||= hits > 0;
    }
    this.none.hidden = any;
  }

  // at gives the faults of a bay by kind, for the drawing.
  at(bay) {
    const m = new Map();
    for (const f of this.on) if (f.place === bay) m.set(f.kind, f.values ?? {});
    return m;
  }
}

function clamp(v) { return Math.max(0, Math.min(1, v)); }
