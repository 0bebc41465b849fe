// Every signal over the whole session, in bounded memory: a point a second for the last hour, and before that ever
// coarser, each interval by its lowest and highest value in the order in which they came, so that no peak is lost.

/**
 * Length of an interval (s of plant time) and how many are kept. Together a week of plant time; an hour at a point a
 * second.
 */
export const TIERS = /** @type {const} */ ([
  { every: 1, keep: 3600 },
  { every: 10, keep: 1440 },
  { every: 60, keep: 1440 },
  { every: 600, keep: 1008 },
]);

/** One resolution: rows of all signals in a ring. */
class Tier {
  /**
   * @param {number} every
   * @param {number} keep
   * @param {number} count  signals
   * @param {boolean} finest
   */
  constructor(every, keep, count, finest) {
    this.every = every;
    this.count = count;
    this.finest = finest;
    /** The finest keeps what was read; a coarser one two rows for each interval. */
    this.rows = finest ? keep : 2 * keep;
    this.times = new Float64Array(this.rows);
    /** Grows with the session, so that a short one costs little. */
    this.data = new Float32Array(0);
    this.room = 0;
    this.first = 0;
    this.length = 0;
    /** The interval that is being gathered. */
    this.start = NaN;
    this.low = new Float64Array(finest ? 0 : count);
    this.high = new Float64Array(finest ? 0 : count);
    this.lowAt = new Float64Array(finest ? 0 : count);
    this.highAt = new Float64Array(finest ? 0 : count);
  }

  /** @param {number} row  from the oldest */
  place(row) {
    return (this.first + row) % this.rows;
  }

  /** @param {number} row */
  time(row) {
    return this.times[this.place(row)] ?? NaN;
  }

  /** @param {number} time @returns {number} where the new row's values start */
  push(time) {
    if (this.length === this.rows) {
      this.first = (this.first + 1) % this.rows;
      this.length -= 1;
    }
    const at = this.place(this.length);
    if (at >= this.room) {
      this.room = Math.min(this.rows, Math.max(256, this.room * 2));
      const data = new Float32Array(this.room * this.count);
      data.set(this.data);
      this.data = data;
    }
    this.times[at] = time;
    this.length += 1;
    return at * this.count;
  }

  /** @param {number} time @param {Float64Array} values */
  take(time, values) {
    if (this.finest) {
      if (this.length > 0 && time - this.time(this.length - 1) < this.every - 1e-6) return;
      const at = this.push(time); // may make room: the data are looked up after it
      this.data.set(values, at);
      return;
    }
    const start = Math.floor(time / this.every) * this.every;
    if (start !== this.start) {
      if (Number.isFinite(this.start)) this.close();
      this.start = start;
      this.low.set(values);
      this.high.set(values);
      this.lowAt.fill(time);
      this.highAt.fill(time);
      return;
    }
    for (let at = 0; at < this.count; at += 1) {
      const value = values[at] ?? NaN;
      if (value < /** @type {number} */ (this.low[at])) {
        this.low[at] = value;
        this.lowAt[at] = time;
      } else if (value > /** @type {number} */ (this.high[at])) {
        this.high[at] = value;
        this.highAt[at] = time;
      }
    }
  }

  close() {
    const a = this.push(this.start);
    for (let at = 0; at < this.count; at += 1)
      this.data[a + at] = (this.lowAt[at] ?? 0) <= (this.highAt[at] ?? 0) ? (this.low[at] ?? NaN) : (this.high[at] ?? NaN);
    const b = this.push(this.start + this.every / 2);
    for (let at = 0; at < this.count; at += 1)
      this.data[b + at] = (this.lowAt[at] ?? 0) <= (this.highAt[at] ?? 0) ? (this.high[at] ?? NaN) : (this.low[at] ?? NaN);
  }

  /** Forgets what lies behind a time: the plant has been set back to it. @param {number} time */
  cut(time) {
    while (this.length > 0 && this.time(this.length - 1) > time) this.length -= 1;
    this.start = NaN;
  }
}

export class History {
  /** @param {number} count  signals */
  constructor(count) {
    this.tiers = TIERS.map(({ every, keep }, at) => new Tier(every, keep, count, at === 0));
    this.last = -Infinity;
  }

  /**
   * @param {number} time  s of plant time
   * @param {Float64Array} values
   */
  take(time, values) {
    if (!Number.isFinite(time)) return;
    if (time < this.last) for (const tier of this.tiers) tier.cut(time);
    else if (time === this.last) return;
    this.last = time;
    for (const tier of this.tiers) tier.take(time, values);
  }

  /** Forgets what lies behind a time; without one, everything. @param {number} [time] */
  cut(time = -Infinity) {
    for (const tier of this.tiers) tier.cut(time);
    this.last = this.tiers[0]?.length ? Math.min(this.last, time) : -Infinity;
  }

  /** The oldest time that is known. */
  from() {
    return Math.min(...this.tiers.filter((tier) => tier.length > 0).map((tier) => tier.time(0)));
  }

  /**
   * Signals between two times, and one point beyond on either side, so that lines run to the edge. As fine as it is
   * kept; at most about `most` points.
   * @param {number[]} signals  their indices
   * @param {number} from
   * @param {number} to
   * @param {number} [most]
   * @returns {number[][]} times, then a column for each signal
   */
  read(signals, from, to, most = 4000) {
    /** @type {number[][]} */
    const columns = [[], ...signals.map(() => [])];
    const parts = this.tiers.map((tier, at) => {
      // Where the finer one begins this one ends.
      const finer = this.tiers.slice(0, at).findLast((one) => one.length > 0);
      const end = finer ? finer.time(0) : Infinity;
      let a = 0;
      let b = tier.length;
      while (a < b) {
        const middle = (a + b) >> 1;
        if (tier.time(middle) < from) a = middle + 1;
        else b = middle;
      }
      const first = Math.max(0, a - 1);
      let stop = first;
      while (stop < tier.length && tier.time(stop) < end && (stop === first || tier.time(stop - 1) <= to)) stop += 1;
      return { tier, first, stop };
    });
    const whole = parts.reduce((sum, { first, stop }) => sum + stop - first, 0);
    const every = Math.max(1, Math.ceil(whole / most));
    for (const { tier, first, stop } of parts.reverse()) {
      for (let row = first; row < stop; row += every) {
        const base = tier.place(row) * tier.count;
        columns[0]?.push(tier.time(row));
        signals.forEach((signal, at) => columns[at + 1]?.push(tier.data[base + signal] ?? NaN));
      }
    }
    return columns;
  }
}
