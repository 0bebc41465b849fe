// What the views share: the plant, its state, and what the reader has chosen.

import { Clock } from "./clock.js";
import { isShut } from "./desk/lock.js";
import { asFault } from "./fault.js";
import { recall, remember } from "./settings.js";
import { Store } from "./store.js";
import { Units } from "./units.js";
import { addressOfInside, viewInAddress } from "./views.js";
import { say, sayOr } from "./words.js";

/**
 * @typedef {import("./types.js").Command} Command
 * @typedef {import("./types.js").Fault} Fault
 * @typedef {import("./types.js").System} System
 */

/** Steps between two looks at the wall clock while catching up. */
const SLICE = 8;
/** Wall time that one frame may spend on the model (ms): the rest of the frame is for drawing. */
const BUDGET_MS = 9;

/** What a change of hands has to keep of the plant that waits. @typedef {"session" | "manifest" | "store" | "seen" | "picked" | "compare" | "stopped"} Kept */

/** What the page makes of a plant before it runs. @param {import("./engine.js").Handle} handle */
function opened(handle) {
  const manifest = handle.manifest();
  const top = manifest.heaters.find((heater) => heater.number === 1) ?? manifest.heaters.at(-1);
  return { manifest, store: new Store(manifest), picked: top?.id ?? "" };
}

export class App {
  /** @param {import("./engine.js").Opened} plant */
  constructor({ session, file }) {
    const { manifest, store, picked } = opened(session);
    /** What drives the plant: the reader by a session of their own, or an exercise. @type {import("./engine.js").Handle} */
    this.session = session;
    /** The file of the reader's own plant, where it is not shipped. */
    this.plantFile = file;
    this.manifest = manifest;
    this.store = store;
    this.picked = picked;
    /** What the faint picture behind the climb shows. @type {"before" | "design" | "none"} */
    this.compare = "before";
    this.seen = 0;
    /** What stopped the plant, if something did. @type {Fault | null} */
    this.stopped = null;
    /** The exercise that is being taken, or looked at afterwards. @type {import("./exercise/taking.js").Taking | null} */
    this.exercise = null;
    /** The reader's own plant while an exercise has the views. @type {Pick<App, Kept> | null} */
    this.own = null;
    /** Called when another plant has the views: they have to be built anew. @type {() => void} */
    this.onHandle = () => {};
    this.view = viewInAddress();
    /** The alarms as last asked for, and of which moment. @type {{ of: string, list: import("./alarms/name.js").Alarm[] }} */
    this.called = { of: "", list: [] };
    /** Counts the reader's choices, as the store counts the plant's changes. */
    this.version = 0;
    this.units = new Units(manifest.quantities, recall("units") === "us" ? "us" : "si", manifest.currency);
    this.clock = new Clock(manifest.step_s);
    this.takeReading();
  }

  /** Lets the views read another handle from its first moment on. @param {import("./engine.js").Handle} handle */
  adopt(handle) {
    /** @type {Pick<App, Kept>} */
    const fresh = { ...opened(handle), session: handle, seen: 0, compare: "before", stopped: null };
    Object.assign(this, fresh);
    this.fit();
    this.takeReading();
  }

  /** Units and clock of the plant that now has the views; it stands still. */
  fit() {
    this.called.of = "";
    this.units = new Units(this.manifest.quantities, this.units.system, this.manifest.currency);
    this.clock = new Clock(this.manifest.step_s);
    this.version += 1;
  }

  /**
   * Gives the views to an exercise; the reader's own plant waits where it stands.
   * @param {import("./exercise/taking.js").Taking} exercise
   */
  take(exercise) {
    if (this.exercise) this.exercise.close();
    else {
      const { session, manifest, store, seen, picked, compare, stopped } = this;
      this.own = { session, manifest, store, seen, picked, compare, stopped };
    }
    this.exercise = exercise;
    this.adopt(exercise.drill);
    this.onHandle();
  }

  /** Leaves the exercise: its record is kept, and the reader's own plant is back, standing still. */
  leave() {
    if (!this.exercise || !this.own) return;
    this.exercise.close();
    this.exercise = null;
    Object.assign(this, this.own);
    this.own = null;
    this.fit();
    this.onHandle();
  }

  /** The plant that has the views, as its file has it, where it is not shipped; null where it is. */
  get ownPlant() {
    if (this.exercise) return this.exercise.exercise.plant_file ?? null;
    return this.plantFile === null ? null : JSON.parse(this.plantFile);
  }

  takeReading() {
    const events = this.session.events(this.seen);
    this.seen = events.at(-1)?.seq ?? this.seen;
    // A trainee's copy: an exercise hides by itself what no instrument shows.
    if ("shut" in this.session) this.session.shut(isShut());
    this.store.take(this.session.read(), events);
  }

  /**
   * Moves the plant on by the steps that are due.
   * @param {number} now  ms, of the frame
   */
  advance(now) {
    const due = this.clock.due(now);
    if (due === 0) return;
    const started = performance.now();
    let done = 0;
    try {
      while (done < due && performance.now() - started < BUDGET_MS) {
        const slice = Math.min(SLICE, due - done);
        const made = this.session.advance(slice);
        done += made ? made.steps : slice;
        if (!made || made.steps === slice) continue;
        // An exercise waits for a prediction, or is over.
        this.exercise?.paused(made.waiting);
        this.freeze();
        break;
      }
    } catch (thrown) {
      this.stopped = asFault(thrown);
      this.clock.freeze();
      this.version += 1;
    }
    this.clock.took(done, done === due);
    this.takeReading();
  }

  /**
   * Gives the plant a command. Nothing is thrown: a refusal comes back as its reason.
   * @param {Command} command
   * @returns {Fault | null}
   */
  command(command) {
    const locked = this.locked(command);
    if (locked) return locked;
    try {
      this.session.command(command);
    } catch (thrown) {
      return asFault(thrown);
    }
    this.takeReading();
    return null;
  }

  /**
   * Why an exercise does not leave this control to the trainee; null where it does, and outside exercises.
   * @param {import("./exercise/taking.js").Given} given  a command, or the fields that are known of it
   * @returns {Fault | null}
   */
  locked(given) {
    if (!this.exercise || this.exercise.may(given)) return null;
    const over = this.exercise.over;
    return {
      code: "locked",
      place: "",
      message: say(over ? "ex_locked_over" : "ex_locked"),
      remedy: say(over ? "ex_locked_over_remedy" : "ex_locked_remedy"),
    };
  }

  /** Every alarm as it stands now; the engine is asked once for each reading, whoever looks. */
  alarms() {
    const of = `${this.store.version} ${this.version}`;
    if (this.called.of !== of) this.called = { of, list: this.session.alarms() };
    return this.called.list;
  }

  run() {
    if (this.stopped) return;
    if (this.exercise && !this.exercise.mayRun()) {
      location.hash = "exercise";
      return;
    }
    this.clock.run();
    this.version += 1;
  }

  freeze() {
    this.clock.freeze();
    this.version += 1;
  }

  /** @param {number} speed */
  setSpeed(speed) {
    this.clock.setSpeed(speed);
    this.version += 1;
  }

  /** @param {string} heater */
  pick(heater) {
    if (!this.store.heater(heater)) return;
    this.picked = heater;
    // The inside shows the picked heater: its address goes along, without a step for the browser's way back.
    if (this.view === "heater") history.replaceState(null, "", addressOfInside(heater));
    this.version += 1;
  }

  /** Shows the inside of a heater. @param {string} heater */
  look(heater) {
    if (this.store.heater(heater)) location.hash = addressOfInside(heater);
  }

  /** @param {import("./views.js").View} view */
  show(view) {
    this.view = view;
    this.version += 1;
  }

  /** @param {System} system */
  setUnits(system) {
    this.units.system = system;
    remember("units", system);
    this.version += 1;
  }

  /** @param {"before" | "design" | "none"} compare */
  setCompare(compare) {
    this.compare = compare;
    this.version += 1;
  }

  /**
   * A heater's short name, as on a drawing: HP 1, LP 7, Open 4. Other devices by their own name.
   * @param {string} device
   */
  short(device) {
    const heater = this.store.heater(device);
    const pump = /^(fp|cp)(\d+)$/.exec(device);
    if (pump) return say(pump[1] === "fp" ? "short_feed_pump" : "short_condensate_pump", { n: pump[2] });
    if (!heater) return sayOr(`device_${device}`, device);
    return say(heater.kind === "open" ? "short_open" : heater.side === "high" ? "short_high" : "short_low", {
      n: heater.number,
    });
  }

  /**
   * What is wrong, where, and what to do, in one paragraph.
   * @param {{ place: string, message: string, remedy: string }} fault
   */
  explain({ place, message, remedy }) {
    const where = place ? `${this.short(place)}: ` : "";
    return `${where}${message} ${remedy}`;
  }

  /**
   * The value that the faint picture shows; NaN when there is none.
   * @param {string} id
   */
  reference(id) {
    if (this.compare === "before") return this.store.was(id);
    return this.compare === "design" ? this.store.design(id) : NaN;
  }
}
