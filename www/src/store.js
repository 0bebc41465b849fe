// The one state that the page draws: the latest values, what they were before the last upset, and their history.

import { noGap } from "./gaps.js";
import { History } from "./history.js";

/** Signals kept for the trend beside the climb. */
export const PENS = ["unit.final_fw_temperature", "unit.gross_output", "unit.heat_rate_change"];

const SAMPLE_S = 1; // one point per second of plant time: finer than a pixel in the shortest window
const KEEP_S = 3660; // the longest window, and a little

/** Upsets closer together than this (s of plant time) are one story, and share one picture of "before". */
const SAME_UPSET_S = 90;

/** What an upset starts with: the picture from before it is worth keeping. */
const UPSETS = new Set([
  "heater_tripped",
  "extraction_isolated",
  "load_set",
  "drain_moved",
  "put_back",
  "level_high_high",
  "group_tripped",
  "turbine_tripped",
  "load_rejected",
  "pump_stopped",
  "pump_tripped",
  "pump_starved",
  "pump_low_flow",
  "open_heater_shut",
  "open_heater_low",
  "drum_level_low",
  "drum_level_high",
  "vacuum_low",
]);

/** What calls where nobody did anything: it begins a story of its own once all was quiet for this long (s of plant time). */
const QUIET_S = 600;
const SIGNS = new Set(["level_high", "level_low", "emergency_drain_open", "ramp_exceeded", "reverse_flow", "water_induction", "carry_over", "suction_head_low", "standby_started", "runback"]);

export class Store {
  /** @param {import("./types.js").Manifest} manifest */
  constructor(manifest) {
    this.manifest = manifest;
    /** @type {Map<string, number>} */
    this.index = new Map(manifest.signals.map((signal, at) => [signal.id, at]));
    this.quantities = new Map(manifest.signals.map((signal) => [signal.id, signal.quantity]));
    /** Of what a transmitter shows: the ends of its range. */
    this.ranges = new Map(manifest.signals.flatMap(({ id, range }) => (range ? [[id, range]] : [])));
    /** @type {Float64Array} */
    this.values = new Float64Array(manifest.signals.length).fill(NaN);
    /** @type {Float64Array | null} */
    this.before = null;
    this.beforeTime = NaN;
    this.lastUpset = -Infinity;
    /** What the last upset began with. @type {import("./types.js").PlantEvent | null} */
    this.began = null;
    /** @type {import("./types.js").PlantEvent[]} */
    this.events = [];
    /** @type {number[]} */
    this.times = [];
    /** @type {number[][]} */
    this.columns = PENS.map(() => []);
    this.history = new History(manifest.signals.length);
    /** How often something was forgotten. */
    this.cuts = 0;
    /** Counts changes, so that a view can tell whether it has anything to do. */
    this.version = 0;
  }

  /**
   * Takes in a new reading and what happened since the last.
   * @param {Float64Array} values
   * @param {import("./types.js").PlantEvent[]} events
   */
  take(values, events) {
    for (const event of events) {
      this.events.push(event);
      const since = event.time_s - this.lastUpset;
      if (!UPSETS.has(event.code) && !(SIGNS.has(event.code) && since > QUIET_S)) continue;
      if (since > SAME_UPSET_S) {
        // `values` may already show the upset; what was read before it does not.
        this.before = this.known() ? this.values : values;
        this.beforeTime = event.time_s;
        this.began = event;
      }
      this.lastUpset = event.time_s;
    }
    this.values = values;
    this.history.take(this.get("unit.time"), values);
    this.sample();
    this.version += 1;
  }

  /**
   * The plant has been set back: forgets what lies behind a time, and the events after a number.
   * @param {number} time  s of plant time
   * @param {number} seq
   */
  cut(time, seq) {
    this.history.cut(time);
    const keep = this.times.findLastIndex((one) => one <= time) + 1;
    for (const column of [this.times, ...this.columns]) column.length = keep;
    const events = this.events.findLastIndex((event) => event.seq <= seq && event.time_s <= time) + 1;
    this.events.length = events;
    this.cuts += 1;
    if (this.beforeTime > time) {
      this.before = null;
      this.beforeTime = NaN;
      this.began = null;
    }
    this.lastUpset = Math.min(this.lastUpset, this.events.findLast(({ code }) => UPSETS.has(code))?.time_s ?? -Infinity);
    this.version += 1;
  }

  /** Forgets everything: another run begins. */
  clear() {
    this.cut(-Infinity, 0);
  }

  known() {
    return !Number.isNaN(this.get("unit.time"));
  }

  sample() {
    const now = this.get("unit.time");
    const last = this.times.at(-1);
    if (last !== undefined && now - last < SAMPLE_S - 1e-6) return;
    this.times.push(now);
    PENS.forEach((id, pen) => this.columns[pen]?.push(this.meant(id)));
    const first = this.times[0] ?? now;
    // In blocks, so that the arrays are not moved at every sample.
    if (now - first > KEEP_S + 300) {
      const drop = this.times.findIndex((t) => t > now - KEEP_S);
      for (const column of [this.times, ...this.columns]) column.splice(0, drop);
    }
  }

  /** @param {string} id */
  has(id) {
    return this.index.has(id);
  }

  /**
   * The latest value, in inside units; NaN when the plant has no such signal.
   * @param {string} id
   */
  get(id) {
    return this.from(this.values, id);
  }

  /** The latest value; NaN where it has no meaning. @param {string} id */
  meant(id) {
    return noGap(this, id) ? NaN : this.get(id);
  }

  /**
   * @param {Float64Array} values
   * @param {string} id
   */
  from(values, id) {
    const at = this.index.get(id);
    return at === undefined ? NaN : (values[at] ?? NaN);
  }

  /**
   * The value at the design point.
   * @param {string} id
   */
  design(id) {
    return this.manifest.design[id] ?? NaN;
  }

  /**
   * The value before the last upset; NaN before the first.
   * @param {string} id
   */
  was(id) {
    return this.before ? this.from(this.before, id) : NaN;
  }

  /** @param {string} id */
  quantity(id) {
    return this.quantities.get(id) ?? "count";
  }

  /**
   * The name of a heater's mode, such as "in_service".
   * @param {string} heater
   */
  mode(heater) {
    return this.manifest.modes[this.get(`${heater}.mode`)] ?? "in_service";
  }

  /** @param {string} device */
  heater(device) {
    return this.manifest.heaters.find((heater) => heater.id === device);
  }
}
