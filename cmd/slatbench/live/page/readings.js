// The numbers under the drawing.

import { el, say, mark } from './dom.js';
import { fixed } from './names.js';

const LIST = [
  ['height', 'Height', f => `${fixed(f.height_m, 2)} m`],
  ['counted', 'Counted', f => Number.isFinite(f.counted_m) ? `${fixed(f.counted_m, 2)} m` : 'unknown'],
  ['speed', 'Speed', f => `${fixed(f.speed_m_s * 1000, 0)} mm/s`],
  ['supply', 'Supply', f => `${fixed(f.supply_v, 2)} V`],
  ['current', 'Current', f => `${fixed(f.current_a, 1)} A`],
  ['cable', 'Cable', f => `${fixed(f.tension_n, 0)} N`],
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
      say(this.cells[i].dd, words(f));
      const odd = key === 'slack' ? f.slack_m > 0.002 : key === 'contact' ? f.contact_n > 0.5 : key === 'counted' ? Math.abs(f.counted_m - f.height_m) > 0.03 : false;
      mark(this.cells[i].cell, 'odd', odd);
    });
  }
}
