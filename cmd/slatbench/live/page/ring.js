// Rows of numbers by time, the oldest given up for the newest.

export class Ring {
  constructor(capacity, width) {
    this.capacity = capacity;
    this.width = width;
    this.time = new Float64Array(capacity);
    this.rows = new Float32Array(capacity * width);
    this.clear();
  }

  clear() {
    this.first = 0;
    this.length = 0;
  }

  slot(i) { return (this.first + i) % this.capacity; }
  at(i) { return this.time[this.slot(i)]; }
  get(i, column) { return this.rows[this.slot(i) * this.width + column]; }

  // push gives the offset at which the new row's numbers go.
  push(t) {
    let k;
    if (this.length < this.capacity) k = this.slot(this.length++);
    else {
      k = this.first;
      this.first = (this.first + 1) % this.capacity;
    }
    this.time[k] = t;
    return k * this.width;
  }

  // cut forgets what is later than t.
  cut(t) {
    while (this.length && this.at(this.length - 1) > t + 1e-9) this.length--;
  }

  // find is the index of the last row not later than t, −1 where there is none.
  find(t) {
    let low = 0, high = this.length;
    while (low < high) {
      const mid = (low + high) >> 1;
      if (this.at(mid) <= t + 1e-9) low = mid + 1;
      else high = mid;
    }
    return low - 1;
  }
}
