// Which signals are drawn: pens on at most two quantities, each with a colour and a stroke of its own, kept between
// visits.

import { recall, remember } from "../settings.js";

/** More than this could not be told apart. */
export const MOST = 8;
/** Strokes that tell pens apart without colour. */
export const DASHES = [[], [9, 4], [2.5, 3], [12, 3, 2.5, 3], [5, 2.5], [16, 5], [2.5, 6], [9, 3, 2.5, 3, 2.5, 3]];

/** Of these signals, those of the first two quantities: there are two axes. @param {import("../app.js").App} app @param {string[]} ids */
function twoQuantities(app, ids) {
  const first = [...new Set(ids.map((id) => app.store.quantity(id)))].slice(0, 2);
  return ids.filter((id) => first.includes(app.store.quantity(id)));
}

export class Pens {
  /** @param {import("../app.js").App} app */
  constructor(app) {
    this.app = app;
    // An exercise brings its own pens, and leaves those that are kept for the plant alone.
    const { exercise } = app;
    this.key = exercise ? null : `pens.${app.manifest.plant.name}`;
    const [last, before] = app.manifest.heaters.slice().reverse();
    const known = (/** @type {string[]} */ ids) => ids.filter((id) => app.store.has(id));
    const usual = known([
      "unit.final_fw_temperature",
      `${last?.id}.fw_out_temperature`,
      `${before?.id}.fw_out_temperature`,
      "unit.gross_output",
    ]);
    const asked = exercise ? twoQuantities(app, known(exercise.exercise.trends ?? [])).join(" ") : recall(this.key ?? "");
    const kept = known((asked ?? "").split(" ").filter(Boolean)).slice(0, MOST);
    /** A pen keeps its place, and so its look, while others go. @type {(string | null)[]} */
    this.places = Array(MOST).fill(null);
    (kept.length && new Set(kept.map((id) => app.store.quantity(id))).size <= 2 ? kept : usual).forEach(
      (id, at) => (this.places[at] = id),
    );
    this.version = 0;
  }

  list() {
    return this.places.flatMap((id, place) => (id ? [{ id, place }] : []));
  }

  /** @param {string} id */
  has(id) {
    return this.places.includes(id);
  }

  /** The quantities, in the order in which they came: the first has the axis on the left. @returns {string[]} */
  quantities() {
    return [...new Set(this.list().map(({ id }) => this.app.store.quantity(id)))];
  }

  /**
   * @param {string} id
   * @returns {"" | "most" | "axes"} why it could not be added
   */
  add(id) {
    if (this.has(id)) return "";
    const free = this.places.indexOf(null);
    if (free < 0) return "most";
    const quantities = this.quantities();
    if (quantities.length >= 2 && !quantities.includes(this.app.store.quantity(id))) return "axes";
    this.places[free] = id;
    this.changed();
    return "";
  }

  /** @param {string} id */
  remove(id) {
    this.places = this.places.map((one) => (one === id ? null : one));
    this.changed();
  }

  changed() {
    this.version += 1;
    if (this.key) remember(this.key, this.list().map(({ id }) => id).join(" "));
  }
}
