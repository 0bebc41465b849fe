// Behind the instruments, for the instructor's eyes: every level transmitter beside the level as it is, and of the others
// those that are off.

import { h, set, setText, show } from "../dom.js";
import { fullNameOf, nameOf } from "../trends/names.js";
import { say } from "../words.js";
import { own } from "./travel.js";

/** What a transmitter is off [share of its range] when that is told: more than its lag makes of a slow change. */
const OFF = 0.005;

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

  const others = h("tbody");
  const none = h("p", { class: "label", text: say("truth_none") });
  const otherTable = h(
    "table",
    { class: "alarm-table", "data-truth": "others" },
    h("thead", {}, h("tr", {}, ...(/** @type {const} */ (["shows", "is", "shown"])).map((head) => h("th", { scope: "col", text: say(`truth_${head}`) })))),
    others,
  );
  /** @type {Map<string, { el: HTMLElement, is: HTMLElement, shown: HTMLElement }>} */
  const off = new Map();

  /** @param {import("bledsteam_web").ReadingBeside} one */
  function other(one) {
    const tells = !one.sound || Math.abs(one.off_share) > OFF;
    let made = off.get(one.id);
    if (!made && !tells) return;
    if (!made) {
      const [is, shown] = [h("td"), h("td")];
      made = { el: h("tr", { "data-transmitter": one.id }, h("th", { scope: "row", text: fullNameOf(app, one.id) }), is, shown), is, shown };
      off.set(one.id, made);
      others.append(made.el);
    }
    show(made.el, tells);
    if (!tells) return;
    setText(made.is, app.units.full(one.quantity, one.truth));
    const text = app.units.full(one.quantity, one.shown);
    setText(made.shown, one.sound ? text : `⚑ ${text}, ${say("truth_lies")}`);
    set(made.shown, { "data-lies": one.sound ? null : "yes" });
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
      h("h3", { text: say("truth_others") }),
      none,
      otherTable,
    ),
    update() {
      for (const one of own(app).readings()) {
        if (one.quantity !== "level_offset") {
          other(one);
          continue;
        }
        const [heater = "", which] = one.id.split(".level_");
        // Hotwell and drum have one transmitter for all who read them.
        const made = row(which ? heater : one.id);
        const cell = which === "protection" ? made.protection : made.control;
        setText(made.is, app.units.full("level_offset", one.truth, true));
        const shown = app.units.full("level_offset", one.shown, true);
        setText(cell, one.sound ? shown : `⚑ ${shown}, ${say("truth_lies")}`);
        set(cell, { "data-lies": one.sound ? null : "yes" });
      }
      const any = [...off.values()].some(({ el }) => !el.hidden);
      show(otherTable, any);
      show(none, !any);
    },
  };
}
