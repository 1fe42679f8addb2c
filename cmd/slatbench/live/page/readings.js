// The numbers under the drawing.

import { el, say, mark } from './dom.js';

const LIST = [
  ['height', 'Height', f => `${f.height_m.toFixed(2)} m`],
  ['counted', 'Counted', f => Number.isFinite(f.counted_m) ? `${f.counted_m.toFixed(2)} m` : 'unknown'],
  ['speed', 'Speed', f => `${Math.round(f.speed_m_s * 1000)} mm/s`],
  ['supply', 'Supply', f => `${f.supply_v.toFixed(2)} V`],
  ['current', 'Current', f => `${f.current_a.toFixed(1)} A`],
  ['cable', 'Cable', f => `${Math.round(f.tension_n)} N`],
  ['slack', 'Slack', f => f.slack_m > 0.0005 ? `${Math.round(f.slack_m * 1000)} mm` : 'taut'],
  ['contact', 'Contact', f => f.contact_n > 0.5 ? `${Math.round(f.contact_n)} N` : f.floor_n > 0.5 ? `floor ${Math.round(f.floor_n)} N` : 'none'],
];

export class Readings {
  constructor(box) {
    this.cells = LIST.map(([key, name]) => {
      const dd = el('dd', {}), cell = el('div', { 'data-reading': key }, el('dt', {}, name), dd);
      box.append(cell);
      return { dd, cell };
    });
  }

  draw(f) {
    LIST.forEach(([key, , words], i) => {
      say(this.cells[i].dd, words(f).replace('-', '−'));
      const odd = key === 'slack' ? f.slack_m > 0.002 : key === 'contact' ? f.contact_n > 0.5 : key === 'counted' ? Math.abs(f.counted_m - f.height_m) > 0.03 : false;
      mark(this.cells[i].cell, 'odd', odd);
    });
  }
}
