// What the last upset began with, and what has come of it so far, as a sentence in the climb's free ground.

import { describe } from "../events.js";
import { h, set, setText, show } from "../dom.js";
import { plantTime, showsZero } from "../units.js";
import { say } from "../words.js";
import { WORTH } from "./ghost.js";

/** Kept free under the turbine for what stands beside the lines (px), and to either side of them. */
const UNDER_TURBINE = 56;
const BESIDE = 10;

/** @param {import("../app.js").App} app */
export function createStory(app) {
  const shape = h("span", { class: "shape", "aria-hidden": "true" });
  const what = h("span");
  const since = h("p", { class: "since" });
  const el = h("div", { class: "story", hidden: true }, h("p", { class: "what" }, shape, " ", what), since);

  /** By how much a figure moved, in words. @param {string} signal @param {string} quantity @param {number} worth  least change that is worth a word, in inside units @param {[string, string]} words  for less and for more */
  function moved(signal, quantity, worth, [less, more]) {
    const change = app.store.get(signal) - app.store.was(signal);
    if (!(Math.abs(change) >= worth) || showsZero(app.units.text(quantity, change, false, 1))) return [];
    // A figure stays with its unit.
    const figure = app.units.full(quantity, Math.abs(change), false, 1).replaceAll(" ", "\u00a0");
    return [say(/** @type {any} */ (change < 0 ? less : more), { change: figure })];
  }

  return {
    el,
    /** Takes its place in the widest gap between the lines of steam. @param {import("./layout.js").Layout} layout @param {number} zoom */
    place(layout, zoom) {
      const lines = layout.columns.filter(({ kind }) => kind !== "pump" && kind !== "boiler").map(({ x, kind }) => (kind === "condenser" ? x : x + layout.vessel / 2 - 15));
      let [from, to] = [0, 0];
      lines.forEach((x, at) => {
        const next = lines[at + 1];
        if (next !== undefined && next - x > to - from) [from, to] = [x, next];
      });
      // Further down the next shell stands left of its line.
      const shell = to - layout.vessel + 15;
      const px = (/** @type {number} */ n) => `${(n * zoom).toFixed(0)}px`;
      for (const [name, at] of /** @type {const} */ ([["left", from + BESIDE], ["top", layout.band(from) + UNDER_TURBINE], ["width", to - from - 2 * BESIDE], ["narrow", shell - from - 2 * BESIDE]]))
        el.style.setProperty(`--gap-${name}`, px(at));
    },
    update() {
      const { began } = app.store;
      show(el, began !== null);
      if (!began) return;
      const told = describe(began, app);
      setText(shape, told.shape);
      setText(what, told.text);
      set(el, { "data-weight": told.weight });
      const came = [
        ...moved("unit.final_fw_temperature", "temperature_difference", WORTH, ["story_colder", "story_warmer"]),
        ...moved("unit.gross_output", "power", 0, ["story_lower", "story_higher"]),
      ].join(", ");
      const ago = say("story_ago", { time: plantTime(app.store.get("unit.time") - began.time_s) });
      setText(since, came ? `${ago}: ${came}` : ago);
    },
  };
}
