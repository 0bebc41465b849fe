// The balance in six figures, each with its change from design.

import { h, set, setText } from "../dom.js";
import { showsZero } from "../units.js";
import { say, sayOr } from "../words.js";
import { UNIT_ROWS, difference, digitsOf } from "./rows.js";

const LEAD = "final_temperature";
const SHOWN = [LEAD, "gross", "heat_rate", "efficiency", "money", "carbon_dioxide"];

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Balance} design
 */
export function createTiles(app, design) {
  const any = app.manifest.heaters[0];
  const tiles = SHOWN.flatMap((key) => {
    const row = UNIT_ROWS.find((one) => one.key === key);
    if (!row) return [];
    const number = h("span", { class: "number", "data-figure": key });
    const unit = h("span", { class: "unit" });
    const note = h("span", { class: "note", title: say("bal_beside_change_title") });
    const el = h(
      "div",
      { class: key === LEAD ? "tile lead" : "tile" },
      h("dt", { text: sayOr(`bal_tile_${key}`, sayOr(`bal_${key}`, key)) }),
      h("dd", {}, h("span", { class: "figure" }, number, " ", unit), h("span", { class: "under" }, note)),
    );
    return [{ row, number, unit, note, el }];
  });
  return {
    el: h("dl", { class: "totals" }, ...tiles.map((tile) => tile.el)),
    /** @param {import("../types.js").Balance} balance */
    update(balance) {
      if (!any) return;
      const { units } = app;
      for (const { row, number, unit, note } of tiles) {
        const [now, was] = [row.get(balance, any, false), row.get(design, any, false)];
        const digits = digitsOf(units, row);
        set(number, { "data-value": String(now) });
        setText(number, units.fixed(row.quantity, now, digits));
        setText(unit, units.unit(row.quantity));
        const quantity = difference(row.quantity);
        const change = units.fixed(quantity, now - was, digits, true);
        const moved = !showsZero(change);
        setText(note, moved ? `${now < was ? "▼" : "▲"} ${change} ${units.unit(quantity)}` : say("bal_as_design"));
      }
    },
  };
}
