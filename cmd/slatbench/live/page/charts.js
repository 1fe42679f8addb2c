// Strip charts of one bay over one time axis, with one cursor through all of them.

import uPlot from './vendor/uplot/uPlot.esm.js';
import { el, say, choices, byID } from './dom.js';
import { clock, fixed } from './names.js';

const SPANS = [[15, '15 s'], [60, '1 min'], [300, '5 min']];
const MOST_POINTS = 1400;
const PROJECTOR = 1800; // px of the window from which letters are for the back row

export class Charts {
  constructor(box, history, moved) {
    this.box = box;
    this.history = history;
    this.moved = moved; // called with the instant looked back at, or null
    this.span = 60;
    this.back = null;   // the instant looked back at
    this.marks = [];
    this.watch = [];    // keys of the strips to put first, as a lesson asks
    this.strips = [];
    this.showSpan = choices(byID('spans'), SPANS, v => this.setSpan(v));
    this.showSpan(this.span);
    new ResizeObserver(() => this.fit()).observe(box);
  }

  setBench(bench) {
    this.bench = bench;
    this.column = Object.fromEntries(bench.sample_columns.map((n, i) => [n, i]));
    this.bay = 0;
    this.build();
  }

  select(bay) {
    this.bay = bay;
    this.build();
  }

  setSpan(span) {
    this.span = span;
    this.showSpan(span);
    this.draw();
  }

  definitions() {
    const b = this.bench.bays[this.bay], l = this.bench.limits;
    const list = [
      { key: 'height', title: 'Height', unit: 'm', tall: 1.7, digits: 2, lines: [['height_m', 'true', 'lake'], ['counted_m', 'counted', 'carrot']], range: [-0.05, b.opening_m * 1.08], limits: [] },
      { key: 'state', title: 'Controller', band: true },
      { key: 'supply', title: 'Supply', unit: 'V', digits: 2, lines: [['supply_v', '', 'lake']], low: Math.min(l.supply_start_v, 9), high: 13, limits: [[l.supply_start_v, 'no start'], [l.brown_out_v, 'brown-out']] },
      { key: 'current', title: 'Motor current', unit: 'A', digits: 1, lines: [['current_a', '', 'lake']], low: -2, high: l.current_axis_a, limits: [] },
      { key: 'tension', title: 'Cable tension', unit: 'N', digits: 0, lines: [['tension_n', '', 'lake']], low: 0, high: l.tension_axis_n, limits: [] },
      { key: 'slack', title: 'Slack cable', unit: 'm', digits: 2, lines: [['slack_m', '', 'lake']], low: 0, high: 0.2, limits: [[l.slack_m, `${l.slack_m} m`]], asked: true },
      { key: 'force', title: 'Contact force', unit: 'N', digits: 0, lines: [['contact_n', '', 'lake']], low: 0, high: l.contact_axis_n, limits: [[l.contact_peak_n, `${l.contact_peak_n} N`], [l.contact_static_n, `${l.contact_static_n} N`]] },
    ];
    list.push(...this.fromFrames(b));
    return this.ordered(list);
  }

  // fromFrames are the strips that only a lesson asks for, of numbers that samples lack.
  fromFrames(b) {
    const bar = this.bench.side_columns.indexOf('bar_m'), speed = this.bench.bay_columns.indexOf('speed_m_s');
    const most = Math.max(0.01, ...this.bench.sides.map(s => s.stroke_m));
    const looks = ['lake', 'carrot'];
    return [
      { key: 'speed', title: 'Speed', unit: 'm/s', digits: 2, lines: [['', '', 'lake']], low: -0.45, high: 0.45, limits: [], asked: true, frames: [this.history.bayColumn(this.bay, speed)] },
      { key: 'lock', title: 'Lock bars', unit: 'm', digits: 3, lines: this.bench.sides.map((s, i) => ['', s.id, looks[i % 2]]), low: 0, high: most * 1.05, limits: [], asked: true,
        frames: this.bench.sides.map((s, i) => this.history.sideColumn(i, bar)) },
    ];
  }

  // ordered puts strips that a lesson asks for first and makes them taller.
  ordered(list) {
    const first = this.watch.map(k => list.find(d => d.key === k)).filter(Boolean);
    for (const d of first) d.tall = (d.tall ?? 1) * 1.5;
    return [...first, ...list.filter(d => !first.includes(d) && !d.asked)];
  }

  // build makes the strips anew: for another bay, and when colours change.
  build() {
    if (!this.bench) return;
    for (const s of this.strips) s.plot.destroy();
    this.look = readColours();
    const list = this.definitions();
    this.strips = list.map((d, i) => this.strip(d, i === list.length - 1));
    this.box.replaceChildren(...this.strips.map(s => s.box));
    for (const s of this.strips) s.mount();
    this.fit();
    this.draw();
  }

  strip(d, last) {
    const now = el('output', { class: 'strip-now' });
    const head = el('p', { class: 'strip-head' }, el('b', {}, d.title), ...(d.lines ?? []).filter(l => l[1]).map(l => el('span', { class: `key ${l[2]}` }, l[1])), now);
    const holder = el('div', { class: 'strip-plot' });
    const box = el('div', { class: d.band ? 'strip band' : 'strip', 'data-strip': d.key }, head, holder);
    const s = { d, box, holder, now, last, data: [[], []] };
    s.mount = () => { s.plot = new uPlot(this.options(s), s.data, holder); };
    return s;
  }

  options(s) {
    const { d } = s, look = this.look;
    const series = [{}];
    for (const [, , colour] of d.lines ?? [['state', '', 'lake']]) {
      series.push({ stroke: d.band ? 'transparent' : look[colour], width: 1.75, dash: colour === 'carrot' ? [7, 4] : undefined, points: { show: false }, spanGaps: false });
    }
    return {
      width: 300, height: 80, pxAlign: false, padding: [8, 16, s.last ? 0 : 6, 0],
      cursor: { sync: { key: 'bench', scales: ['x', null] }, drag: { x: false, y: false }, points: { size: 7 }, y: false, bind: { dblclick: () => null } },
      legend: { show: false },
      scales: { x: { time: false, range: () => this.window() }, y: { range: (u, lo, hi) => this.yRange(d, lo, hi) } },
      axes: [
        { show: s.last, stroke: look.dim, grid: { stroke: look.faint, width: 1 }, ticks: { stroke: look.line, size: 4 }, font: look.font, size: look.letters + 15, values: (u, v) => v.map(x => `${+x.toFixed(2)} s`) },
        d.band ? { stroke: 'transparent', size: look.axis, grid: { show: false }, ticks: { show: false }, values: () => [] }
          : { stroke: look.dim, size: look.axis, grid: { stroke: look.faint, width: 1 }, ticks: { show: false }, font: look.font, space: look.letters * 2, gap: 6 },
      ],
      series,
      hooks: {
        drawAxes: [u => this.drawLimits(u, d)],
        draw: [u => this.drawMarks(u, s)],
        setCursor: [u => this.read(u, s)],
        ready: [u => u.over.addEventListener('click', () => this.clicked(u))],
      },
    };
  }

  yRange(d, lo, hi) {
    if (d.band) return [0, 1];
    if (d.range) return [Math.min(d.range[0], lo ?? 0), Math.max(d.range[1], hi ?? 0)];
    return [Math.min(d.low, lo ?? d.low), Math.max(d.high, (hi ?? d.high) * 1.04)];
  }

  // window is the time shown: up to now, or around the instant looked back at.
  window() {
    const last = this.lastTime();
    if (this.back !== null) {
      const half = Math.min(this.span, 15) / 2;
      return [this.back - half, this.back + half];
    }
    const from = Math.max(0, last - this.span * 0.98);
    return [from, from + this.span];
  }

  lastTime() {
    const s = this.history.samples;
    return s?.length ? s.at(s.length - 1) : 0;
  }

  fit() {
    if (!this.strips.length || !this.box.clientWidth) return;
    if (this.look.letters !== readColours().letters) return this.build();
    const width = this.box.clientWidth;
    const fixed = this.strips.reduce((h, s) => h + s.box.firstChild.offsetHeight, 0) + 30 + this.look.letters + 19;
    const shares = this.strips.reduce((n, s) => n + (s.d.band ? 0 : s.d.tall ?? 1), 0);
    const least = 64, free = Math.max(least, (this.box.clientHeight - fixed) / shares);
    for (const s of this.strips) {
      const height = s.d.band ? 30 : Math.floor(free * (s.d.tall ?? 1)) + (s.last ? this.look.letters + 15 : 0);
      s.plot.setSize({ width, height });
    }
  }

  draw() {
    if (!this.strips.length || document.hidden) return;
    const [from, to] = this.window();
    const data = this.cut(from, to);
    for (const s of this.strips) {
      s.data = s.d.frames ? this.cutFrames(from, to, s.d.frames) : [data.t, ...(s.d.lines ?? [['state']]).map(l => data[l[0]])];
      s.plot.setData(s.data);
      if (this.back === null && s.plot.cursor.left < 0) this.latest(s);
    }
  }

  // cut takes the samples of a window, two a bucket (least and greatest) where there
  // are more than a strip has points.
  cut(from, to) {
    const r = this.history.samples, out = { t: [] }, names = this.bench.sample_columns;
    for (const n of names) out[n] = [];
    if (!r?.length) return out;
    const first = Math.max(0, r.find(from)), end = Math.min(r.length - 1, r.find(to) + 1), count = end - first + 1;
    const bucket = Math.max(1, Math.ceil(count / (MOST_POINTS / 2)));
    const base = this.bay * names.length;
    const value = (i, c) => { const v = r.get(i, base + c); return Number.isNaN(v) ? null : v; };
    if (bucket === 1) {
      for (let i = first; i <= end; i++) {
        out.t.push(r.at(i));
        names.forEach((n, c) => out[n].push(value(i, c)));
      }
      return out;
    }
    // Buckets begin at whole multiples since the start, so that a moving window does not shimmer.
    const start = first - (r.first + first) % bucket;
    for (let i = Math.max(0, start); i <= end; i += bucket) this.bucket(out, names, value, r, i, Math.min(i + bucket, end + 1));
    return out;
  }

  // cutFrames takes the pictures of a window, some left out where there are many.
  cutFrames(from, to, columns) {
    const r = this.history.frames, out = [[], ...columns.map(() => [])];
    if (!r?.length) return out;
    const first = Math.max(0, r.find(from)), end = Math.min(r.length - 1, r.find(to) + 1), stride = Math.max(1, Math.ceil((end - first) / MOST_POINTS));
    for (let i = first; i <= end; i += stride) {
      out[0].push(r.at(i));
      columns.forEach((c, k) => out[k + 1].push(r.get(i, c)));
    }
    return out;
  }

  bucket(out, names, value, r, from, to) {
    out.t.push(r.at(from), r.at(to - 1) > r.at(from) ? r.at(to - 1) : r.at(from) + 1e-6);
    names.forEach((n, c) => {
      let low = null, high = null, lowAt = 0, highAt = 0;
      for (let i = from; i < to; i++) {
        const v = value(i, c);
        if (v === null) continue;
        if (low === null || v < low) { low = v; lowAt = i; }
        if (high === null || v > high) { high = v; highAt = i; }
      }
      if (n === 'state') out[n].push(value(from, c), value(to - 1, c));
      else if (lowAt <= highAt) out[n].push(low, high);
      else out[n].push(high, low);
    });
  }

  drawLimits(u, d) {
    const { ctx } = u, look = this.look;
    ctx.save();
    ctx.font = look.fontCanvas;
    for (const [level, name] of d.limits ?? []) {
      const y = u.valToPos(level, 'y', true);
      if (y < u.bbox.top || y > u.bbox.top + u.bbox.height) continue;
      ctx.strokeStyle = look.beet;
      ctx.setLineDash([2 * devicePixelRatio, 4 * devicePixelRatio]);
      ctx.beginPath(); ctx.moveTo(u.bbox.left, y); ctx.lineTo(u.bbox.left + u.bbox.width, y); ctx.stroke();
      ctx.fillStyle = look.beet;
      ctx.textAlign = 'left';
      ctx.textBaseline = 'bottom';
      ctx.fillText(name, u.bbox.left + 4 * devicePixelRatio, y - 1.5 * devicePixelRatio);
    }
    ctx.restore();
  }

  // drawMarks draws the state band, what happened, and the instant looked back at.
  drawMarks(u, s) {
    if (s.d.band) this.drawBand(u);
    const { ctx } = u, look = this.look, ratio = devicePixelRatio, bay = this.bench.bays[this.bay].id;
    ctx.save();
    ctx.beginPath(); ctx.rect(u.bbox.left, u.bbox.top, u.bbox.width, u.bbox.height); ctx.clip();
    const [from, to] = this.window();
    for (const m of this.marks) {
      if (m.at < from || m.at > to || (m.bay && m.bay !== bay)) continue;
      const x = u.valToPos(m.at, 'x', true);
      ctx.strokeStyle = m.kind === 'press' ? look.dim : look.beet;
      ctx.lineWidth = (m.kind === 'violated' ? 2 : 1) * ratio;
      ctx.setLineDash(m.kind === 'violated' ? [] : m.kind === 'alarm' ? [2 * ratio, 3 * ratio] : [1 * ratio, 4 * ratio]);
      ctx.beginPath(); ctx.moveTo(x, u.bbox.top); ctx.lineTo(x, u.bbox.top + u.bbox.height); ctx.stroke();
      if (s.d.key === 'height') this.flag(ctx, m, x, u.bbox.top, look, ratio);
    }
    if (this.back !== null) {
      const x = u.valToPos(this.back, 'x', true);
      ctx.setLineDash([]);
      ctx.strokeStyle = look.ink;
      ctx.lineWidth = 1.5 * ratio;
      ctx.beginPath(); ctx.moveTo(x, u.bbox.top); ctx.lineTo(x, u.bbox.top + u.bbox.height); ctx.stroke();
    }
    ctx.restore();
  }

  // flag tells marks apart by shape: a cross for a violation, a bell's count for an
  // alarm, a dot for a press.
  flag(ctx, m, x, top, look, ratio) {
    const r = 4 * ratio, y = top + 8 * ratio;
    ctx.setLineDash([]);
    if (m.kind === 'violated') {
      ctx.lineWidth = 2.2 * ratio;
      ctx.beginPath(); ctx.moveTo(x - r, y - r); ctx.lineTo(x + r, y + r); ctx.moveTo(x + r, y - r); ctx.lineTo(x - r, y + r); ctx.stroke();
      return;
    }
    ctx.fillStyle = m.kind === 'press' ? look.dim : look.beet;
    ctx.beginPath(); ctx.arc(x, y, m.kind === 'press' ? r * 0.7 : r * 1.7, 0, 7); ctx.fill();
    if (m.pulses) {
      ctx.fillStyle = look.sheet;
      ctx.font = look.fontBold;
      ctx.textAlign = 'center';
      ctx.textBaseline = 'middle';
      ctx.fillText(String(m.pulses), x, y + ratio * 0.5);
    }
  }

  drawBand(u) {
    const { ctx } = u, look = this.look, t = u.data[0], v = u.data[1], ratio = devicePixelRatio;
    ctx.save();
    ctx.beginPath(); ctx.rect(u.bbox.left, u.bbox.top, u.bbox.width, u.bbox.height); ctx.clip();
    ctx.font = look.fontCanvas;
    ctx.textBaseline = 'middle';
    ctx.textAlign = 'left';
    for (let i = 0; i < t.length;) {
      let j = i + 1;
      while (j < t.length && v[j] === v[i]) j++;
      const x0 = Math.max(u.bbox.left, u.valToPos(t[i], 'x', true)), x1 = Math.min(u.bbox.left + u.bbox.width, u.valToPos(t[Math.min(j, t.length - 1)], 'x', true));
      this.span1(ctx, u, v[i], x0, x1, look, ratio);
      i = j;
    }
    ctx.restore();
  }

  span1(ctx, u, state, x0, x1, look, ratio) {
    const word = state === null || state < 0 ? 'no power' : this.bench.states[state] ?? '?';
    const rests = /^(down|open|between|waking|freed)$/.test(word) || state < 0;
    ctx.fillStyle = state < 0 || state === null ? look.ink : rests ? look.faint : look.spruceSoft;
    ctx.fillRect(x0, u.bbox.top, Math.max(ratio, x1 - x0), u.bbox.height);
    ctx.fillStyle = look.ink;
    ctx.fillRect(x0, u.bbox.top, ratio, u.bbox.height);
    if (x1 - x0 > ctx.measureText(word).width + 10 * ratio) {
      ctx.fillStyle = state < 0 || state === null ? look.sheet : look.ink;
      ctx.fillText(word, x0 + 6 * ratio, u.bbox.top + u.bbox.height / 2);
    }
  }

  read(u, s) {
    const i = u.cursor.idx;
    if (i === null || i === undefined || u.cursor.left < 0) return this.latest(s);
    say(s.now, (s.d.key === 'height' ? `${clock(u.data[0][i] ?? 0)} s   ` : '') + this.words(s, k => u.data[k][i]));
  }

  latest(s) {
    if (!s.data[0].length) return say(s.now, '');
    let n = s.data[0].length - 1;
    if (this.back !== null) while (n > 0 && s.data[0][n] > this.back) n--;
    say(s.now, this.words(s, k => s.data[k][n]));
  }

  words(s, value) {
    if (s.d.band) {
      const v = value(1);
      return v === null || v < 0 ? 'no power' : this.bench.states[v] ?? '';
    }
    return s.d.lines.map((l, k) => {
      const v = value(k + 1);
      return v === null || v === undefined ? '–' : fixed(v, s.d.digits);
    }).join(' / ') + ' ' + s.d.unit;
  }

  clicked(u) {
    const t = u.posToVal(u.cursor.left, 'x');
    if (t >= 0 && t <= this.lastTime()) this.lookBack(t);
  }

  // lookBack shows the charts around an instant that is past.
  lookBack(t) {
    const first = this.history.samples.length ? this.history.samples.at(0) : 0;
    this.back = Math.max(first, Math.min(this.lastTime(), t));
    this.moved(this.back);
    this.draw();
    for (const s of this.strips) this.latest(s);
  }

  toNow() {
    this.back = null;
    this.moved(null);
    this.draw();
  }

  addMark(m) {
    this.marks.push(m);
    if (this.marks.length > 2000) this.marks.splice(0, 1000);
  }

  clearMarks(after) {
    this.marks = after === undefined ? [] : this.marks.filter(m => m.at <= after);
  }
}

function readColours() {
  const style = getComputedStyle(document.documentElement), v = n => style.getPropertyValue(n).trim();
  const family = getComputedStyle(document.body).fontFamily, letters = innerWidth >= PROJECTOR ? 14 : 11, px = letters * devicePixelRatio;
  return {
    ink: v('--ink'), dim: v('--dim'), line: v('--line'), faint: v('--faint'), sheet: v('--sheet'), lake: v('--lake'), carrot: v('--carrot'), beet: v('--beet'), spruceSoft: v('--spruce-soft'),
    letters, axis: letters * 4.2, font: `${letters}px ${family}`, fontCanvas: `${px}px ${family}`, fontBold: `bold ${px}px ${family}`,
  };
}
