// What was: the last ten minutes of frames and samples, as the page received them.

import { Ring } from './ring.js';

const MINUTES = 10;
const number = v => v === null || v === undefined ? NaN : v;

export class History {
  // fit makes room for a truck. With keepUntil it goes on from an earlier instant of
  // the same run.
  fit(bench, framesPerSecond, keepUntil) {
    const wide = { bay: bench.bay_columns.length, side: bench.side_columns.length, truck: bench.truck_columns.length, sample: bench.sample_columns.length };
    const shape = JSON.stringify([wide, bench.bays.length, bench.sides.length]);
    if (shape !== this.shape || keepUntil === undefined) {
      this.shape = shape;
      this.wide = wide;
      this.bays = bench.bays.length;
      this.sides = bench.sides.length;
      this.frames = new Ring(MINUTES * 60 * framesPerSecond, this.bays * wide.bay + this.sides * wide.side + wide.truck);
      this.samples = new Ring(MINUTES * 60 * 100, this.bays * wide.sample);
      return;
    }
    this.frames.cut(keepUntil);
    this.samples.cut(keepUntil);
  }

  add(frame) {
    this.addFrame(frame);
    this.addSamples(frame.samples);
  }

  addFrame(frame) {
    const f = this.frames;
    if (f.length && frame.t <= f.at(f.length - 1)) return;
    let k = f.push(frame.t);
    for (const list of [frame.bays, frame.sides, [frame.truck]]) {
      for (const row of list) for (const v of row) f.rows[k++] = number(v);
    }
  }

  addSamples(samples) {
    if (!samples?.t) return;
    const s = this.samples, wide = this.wide.sample;
    for (let i = 0; i < samples.t.length; i++) {
      if (s.length && samples.t[i] <= s.at(s.length - 1)) continue;
      const k = s.push(samples.t[i]);
      samples.bays.forEach((columns, b) => {
        for (let c = 0; c < wide; c++) {
          const v = columns[c];
          s.rows[k + b * wide + c] = number(Array.isArray(v) ? v[i] : v);
        }
      });
    }
  }

  // sampleAt is what the charts show of a bay at an instant, by the names of the columns.
  sampleAt(t, bay, names) {
    const s = this.samples, i = s.find(t);
    if (i < 0) return null;
    return Object.fromEntries(names.map((n, c) => [n, s.get(i, bay * names.length + c)]));
  }

  // bayColumn and sideColumn are where in a row of the frames a number is.
  bayColumn(bay, column) { return bay * this.wide.bay + column; }
  sideColumn(side, column) { return this.bays * this.wide.bay + side * this.wide.side + column; }

  // frameAt is the picture at an instant, in the shape of a frame.
  frameAt(t) {
    const f = this.frames, i = f.find(t);
    if (i < 0) return null;
    const base = f.slot(i) * f.width, w = this.wide;
    const take = (from, n) => Array.from(f.rows.subarray(from, from + n));
    const sides = base + this.bays * w.bay;
    return {
      t: f.at(i),
      bays: Array.from({ length: this.bays }, (_, b) => take(base + b * w.bay, w.bay)),
      sides: Array.from({ length: this.sides }, (_, s) => take(sides + s * w.side, w.side)),
      truck: take(sides + this.sides * w.side, w.truck),
    };
  }
}
