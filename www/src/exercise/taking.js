// An exercise being taken: the handle that drives and judges it, what it waits for, and its record.

import { Drill } from "../engine.js";
import { asFault } from "../fault.js";
import { say } from "../words.js";
import { hold } from "./hold.js";
import { textOf } from "./records.js";
import { Recorder } from "./recorder.js";

/** @typedef {import("bledsteam_web").Standing} Standing */
/** @typedef {import("../types.js").Fault} Fault */
/** A command, or some of its fields. @typedef {{ do: string, [field: string]: unknown }} Given */

export class Taking {
  /**
   * @param {Drill} drill
   * @param {import("./file.js").Exercise} exercise
   * @param {import("./records.js").Head} head
   * @param {boolean} shipped
   */
  constructor(drill, exercise, head, shipped) {
    this.drill = drill;
    this.exercise = exercise;
    this.head = head;
    this.shipped = shipped;
    this.recorder = new Recorder(drill, head);
    /** Predictions for which the run waits. @type {string[]} */
    this.waiting = [];
    this.over = drill.ended() !== null;
    /** The question for which a component is being picked on the climb. @type {string | null} */
    this.picking = null;
    /** What somebody is drawing or typing, so that another language does not wipe it. @type {Map<string, any>} */
    this.drafts = new Map();
    /** @type {Map<string, boolean>} */
    this.free = new Map();
    this.version = 0;
    /** @type {{ key: string, standing: Standing } | null} */
    this.known = null;
    this.closed = false;
    /** Lets the record go, once it is held. @type {() => void} */
    this.release = () => {};
    const away = new AbortController();
    this.away = away;
    // A page that goes out of sight may not come back.
    document.addEventListener("visibilitychange", () => document.hidden && this.recorder.keep(true), { signal: away.signal });
    this.recorder.keep(true);
  }

  /** @returns {Standing} */
  standing() {
    const key = `${this.drill.step()} ${this.version}`;
    if (this.known?.key !== key) this.known = { key, standing: this.drill.standing() };
    return this.known.standing;
  }

  /** The run has stopped by itself. @param {string[]} waiting  for these predictions; none when it is over */
  paused(waiting) {
    this.waiting = waiting;
    this.over = this.drill.ended() !== null;
    this.changed();
  }

  changed() {
    this.version += 1;
    this.recorder.keep(true);
  }

  mayRun() {
    return !this.over && this.waiting.length === 0;
  }

  /** What is not predicted by now will not be. */
  goOn() {
    this.waiting = [];
    this.changed();
  }

  /** @param {Given} given */
  may(given) {
    if (this.over) return false;
    const key = JSON.stringify(given);
    let may = this.free.get(key);
    if (may === undefined) {
      if (this.free.size > 2000) this.free.clear();
      const known = Object.entries(given).filter((entry) => ["string", "number"].includes(typeof entry[1]));
      may = this.drill.may(/** @type {{ do: string }} */ (Object.fromEntries(known)));
      this.free.set(key, may);
    }
    return may;
  }

  /** Does something of the trainee's. @param {() => void} what @returns {Fault | null} */
  attempt(what) {
    try {
      what();
    } catch (thrown) {
      return asFault(thrown);
    }
    this.changed();
    return null;
  }

  /** @param {string} id @param {import("bledsteam_web").Guess} guess */
  predict(id, guess) {
    const fault = this.attempt(() => this.drill.predict(id, guess));
    if (!fault) this.waiting = this.waiting.filter((one) => one !== id);
    return fault;
  }

  /** @param {string} id @param {import("bledsteam_web").Answer} answer */
  answer(id, answer) {
    return this.attempt(() => this.drill.answer(id, answer));
  }

  hint() {
    return this.attempt(() => this.drill.hint());
  }

  handIn() {
    const fault = this.attempt(() => this.drill.hand_in());
    this.over = this.drill.ended() !== null;
    this.waiting = [];
    this.changed();
    return fault;
  }

  /** The whole record as it stands, as text. */
  text() {
    return this.drill.entries(0) + (this.over ? "" : this.drill.reached());
  }

  /** Keeps what is new and lets the handle go. */
  close() {
    if (this.closed) return;
    this.recorder.keep(true);
    this.closed = true;
    this.away.abort();
    void this.recorder.work.then(() => this.release());
    this.drill.free();
  }
}

/**
 * What is known of a record from its first moment on.
 * @param {string} file
 * @param {string} by
 * @param {string} begun
 * @returns {import("./records.js").Head}
 */
function headOf(file, by, begun) {
  const exercise = JSON.parse(file);
  return {
    id: crypto.randomUUID?.() ?? `${begun}-${Math.random()}`,
    exercise: exercise.id,
    title: exercise.title,
    plant: exercise.plant,
    by,
    begun,
    file,
    reached: "",
    entries: 0,
    time_s: 0,
    length_s: exercise.length_s,
    over: false,
    total: null,
    passed: null,
    changed: begun,
    deleted: false,
  };
}

/**
 * Begins an exercise. It stands at its first moment, so that the brief can be read and the plant be looked at.
 * @param {import("../app.js").App} app
 * @param {string} file
 * @param {string} by      the trainee's name, or nothing
 * @param {boolean} shipped
 */
export function begin(app, file, by, shipped) {
  const begun = new Date().toISOString();
  const drill = new Drill(file, by || undefined, begun);
  const taking = new Taking(drill, JSON.parse(file), headOf(file, by, begun), shipped);
  void hold(taking.head.id).then((release) => (taking.release = release ?? taking.release));
  app.take(taking);
}

/**
 * Takes up a kept record where it broke off; one that is over is shown as it ended.
 * @param {import("../app.js").App} app
 * @param {import("./records.js").Head} head
 * @param {boolean} shipped
 */
export async function takeUp(app, head, shipped) {
  const release = await hold(head.id);
  if (!release) throw { code: "record_held", place: "", message: say("ex_held"), remedy: say("ex_held_remedy") };
  try {
    const drill = Drill.resume(head.file, await textOf(head));
    const taking = new Taking(drill, JSON.parse(head.file), { ...head }, shipped);
    taking.release = release;
    app.take(taking);
  } catch (thrown) {
    release();
    throw thrown;
  }
}

/**
 * Takes up the short form of a record, as a learning platform keeps it.
 * @param {import("../app.js").App} app
 * @param {string} file
 * @param {string} short
 */
export function restored(app, file, short) {
  const drill = Drill.restore(file, short);
  const { by = "", begun = new Date().toISOString() } = JSON.parse(short.slice(0, short.indexOf("\n")));
  const taking = new Taking(drill, JSON.parse(file), headOf(file, by, begun), false);
  app.take(taking);
  return taking;
}
