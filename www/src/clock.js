// Wall time enters the page here, and only here: as a whole number of steps that are due.

export const SPEEDS = [1, 2, 5, 10, 30, 60];

/** A tab that slept, or a machine that could not keep up, does not try to make up for more than this (s). */
const CATCH_UP_S = 0.25;

export class Clock {
  /** @param {number} step  s of plant time */
  constructor(step) {
    this.step = step;
    this.speed = 1;
    this.running = false;
    /** @type {number | null} */
    this.last = null;
    this.owed = 0;
    /** Plant seconds done and wall seconds gone, both fading: how fast the plant really runs. */
    this.done = 0;
    this.gone = 0;
  }

  run() {
    this.running = true;
    this.last = null;
    this.owed = 0;
    this.done = this.gone = 0;
  }

  freeze() {
    this.running = false;
  }

  /** @param {number} speed */
  setSpeed(speed) {
    this.speed = speed;
    this.done = this.gone = 0;
  }

  /**
   * Steps due at this moment.
   * @param {number} now  ms, of the frame
   * @returns {number}
   */
  due(now) {
    if (!this.running) return 0;
    const wall = this.last === null ? 0 : Math.max(0, (now - this.last) / 1000);
    this.last = now;
    this.gone = this.gone * 0.98 + wall;
    this.done *= 0.98;
    this.owed += Math.min(wall, CATCH_UP_S) * this.speed;
    return Math.floor(this.owed / this.step + 1e-9);
  }

  /**
   * Says how many of the due steps were taken; what was too much for this machine is let go.
   * @param {number} steps
   * @param {boolean} all
   */
  took(steps, all) {
    this.done += steps * this.step;
    this.owed = all ? Math.max(0, this.owed - steps * this.step) : 0;
  }

  /** The speed reached, or null while too little time has gone to tell. */
  reached() {
    return this.gone > 0.75 ? this.done / this.gone : null;
  }
}
