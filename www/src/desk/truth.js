// Behind the instruments: every level transmitter beside the level as it is, for the instructor's eyes.

import { h, set, setText } from "../dom.js";
import { nameOf } from "../trends/names.js";
import { say } from "../words.js";
import { own } from "./travel.js";

/** @param {import("../app.js").App} app */
export function createTruth(app) {
  const body = h("tbody");
  const heads = /** @type {const} */ (["shell", "is", "control", "protection"]);
  /** @type {Map<string, { el: HTMLElement, is: HTMLElement, control: HTMLElement, protection: HTMLElement }>} */
  const rows = new Map();

  /** @param {string} heater */
  function row(heater) {
    const known = rows.get(heater);
    if (known) return known;
    const cell = () => h("td");
    const [is, control, protection] = [cell(), cell(), cell()];
    const el = h("tr", { "data-shell": heater }, h("th", { scope: "row", text: heater.includes(".") ? nameOf(heater) : app.short(heater) }), is, control, protection);
    const made = { el, is, control, protection };
    rows.set(heater, made);
    body.append(el);
    return made;
  }

  return {
    el: h(
      "section",
      { class: "desk-part desk-truth", "aria-labelledby": "truth-title" },
      h("h2", { id: "truth-title", text: say("truth") }),
      h("p", { class: "label", text: say("truth_note") }),
      h(
        "table",
        { class: "alarm-table" },
        h("thead", {}, h("tr", {}, ...heads.map((head) => h("th", { scope: "col", text: say(`truth_${head}`) })))),
        body,
      ),
    ),
    update() {
      for (const one of own(app).readings()) {
        const [heater = "", which] = one.id.split(".level_");
        // Hotwell and drum have one transmitter for all who read them.
        const made = row(which ? heater : one.id);
        const cell = which === "protection" ? made.protection : made.control;
        setText(made.is, app.units.full("level_offset", one.truth, true, 0));
        const shown = app.units.full("level_offset", one.shown, true, 0);
        setText(cell, one.sound ? shown : `⚑ ${shown}, ${say("truth_lies")}`);
        set(cell, { "data-lies": one.sound ? null : "yes" });
      }
    },
  };
}
