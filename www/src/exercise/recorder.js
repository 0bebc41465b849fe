// Keeps the record of the exercise that is being taken: what is new at once, how far it has come about twice a second.

import { keep } from "./records.js";

/** Wall time between two notes of how far it has come (ms). */
const EVERY_MS = 400;

export class Recorder {
  /**
   * @param {import("bledsteam_web").Drill} drill
   * @param {import("./records.js").Head} head
   */
  constructor(drill, head) {
    this.drill = drill;
    this.head = head;
    this.step = -1;
    this.at = -Infinity;
    /** One transaction after the other: none overtakes. */
    this.work = Promise.resolve();
    /** The browser keeps nothing: then the file is all there is. */
    this.failed = false;
  }

  /** Keeps what is new. @param {boolean} [now]  also how far it has come, whatever the time */
  keep(now = false) {
    const { drill, head } = this;
    const step = drill.step();
    const entries = drill.entry_count();
    const fresh = entries > head.entries;
    const wall = performance.now();
    if (!fresh && (step === this.step || (!now && wall - this.at < EVERY_MS))) return;
    this.step = step;
    this.at = wall;
    const from = head.entries;
    const over = drill.ended() !== null;
    const score = over ? drill.score() : null;
    Object.assign(head, {
      entries,
      reached: drill.reached(),
      time_s: drill.standing().time_s,
      over,
      total: score?.total ?? null,
      passed: score?.passed ?? null,
      changed: new Date().toISOString(),
    });
    const copy = { ...head };
    const text = fresh ? drill.entries(from) : "";
    this.work = this.work.then(() => keep(copy, from, text)).catch(() => void (this.failed = true));
  }
}
