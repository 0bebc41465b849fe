// The unit in six figures, each with what it was before the last upset.

import { h, set, setText, show } from "./dom.js";
import { noGap } from "./gaps.js";
import { bind } from "./signals.js";
import { plantTime, showsZero } from "./units.js";
import { say, sayOr } from "./words.js";

/** The figures, and the change that is shown under each. `change` names a signal that already is a change. */
const FIGURES = [
  { id: "unit.final_fw_temperature", difference: "temperature_difference", lead: true },
  { id: "unit.gross_output", difference: "power" },
  { id: "unit.heat_rate", change: "unit.heat_rate_change" },
  { id: "unit.feed_flow", difference: "mass_flow" },
  { id: "unit.condenser_pressure", difference: "low_pressure" },
  { id: "unit.fuel_cost", difference: "money_rate" },
];

/** @param {import("./app.js").App} app */
export function createTotals(app) {
  const tiles = FIGURES.filter(({ id }) => app.store.has(id)).map((figure) => {
    const number = bind(h("span", { class: "number" }), figure.id);
    const unit = h("span", { class: "unit" });
    const note = figure.change
      ? bind(h("span", { class: "note" }), figure.change, { unit: true, signed: true })
      : h("span", { class: "note" });
    const kind = figure.change ? h("span", { class: "note-kind", text: say("from_design") }) : null;
    const name = figure.id.replace("unit.", "");
    return {
      ...figure,
      unit,
      note,
      kind,
      el: h(
        "div",
        { class: figure.lead ? "tile lead" : "tile" },
        h("dt", { text: sayOr(name, name), title: sayOr(`${name}_title`, "") || null }),
        h(
          "dd",
          {},
          h("span", { class: "figure" }, number, " ", unit),
          h("span", { class: "under" }, note, kind ? " " : null, kind),
        ),
      ),
    };
  });
  const el = h(
    "section",
    { "aria-label": say("totals") },
    h("dl", { class: "totals" }, ...tiles.map((tile) => tile.el)),
  );

  return {
    el,
    /** @param {boolean} slow */
    update(slow) {
      if (!slow) return;
      const { store, units } = app;
      for (const tile of tiles) {
        setText(tile.unit, units.unit(store.quantity(tile.id)));
        if (tile.change) {
          // Without output there is no heat rate, and nothing to compare.
          const none = noGap(store, tile.id);
          show(tile.note, !none);
          if (tile.kind) setText(tile.kind, say(none ?? "from_design"));
          continue;
        }
        const change = store.get(tile.id) - store.was(tile.id);
        const quantity = tile.difference || store.quantity(tile.id);
        const text = Number.isFinite(change)
          ? units.text(quantity, change, true, quantity === "low_pressure" ? 2 : 1)
          : "";
        const moved = !showsZero(text);
        setText(
          tile.note,
          !moved
            ? ""
            : `${change < 0 ? "▼" : "▲"} ${text} ${units.unit(quantity)} ${say("since", { time: plantTime(store.beforeTime) })}`,
        );
        set(tile.el, { "data-moved": moved ? (change < 0 ? "down" : "up") : null });
      }
    },
  };
}
