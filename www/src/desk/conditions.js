// Conditions that a malfunction waits for: a signal above or below a value, held for some time; several, all or any of them.
// What they mean and when they hold is the engine's; here they are only written down.

import { h, set, setText, show } from "../dom.js";
import { say } from "../words.js";
import { createSignalField } from "./signal-field.js";

/** @typedef {import("bledsteam_web").Condition} Condition */

const MOST = 4;

/** @param {import("../app.js").App} app */
export function createConditions(app) {
  const { units, store } = app;
  /** @type {ReturnType<typeof createRow>[]} */
  let rows = [];
  const list = h("div", { class: "cond-rows" });
  const join = h(
    "select",
    { id: "cond-join" },
    h("option", { value: "all", text: say("wrong_all") }),
    h("option", { value: "any", text: say("wrong_any") }),
  );
  const joined = h("div", { class: "field inline" }, h("label", { for: "cond-join", text: say("wrong_join") }), join);
  const more = h("button", { type: "button", "data-desk": "and", text: say("wrong_and"), on: { click: () => add()?.focus() } });
  let count = 0;

  /** @param {string} first */
  function createRow(first) {
    count += 1;
    const n = count;
    const value = h("input", { type: "number", id: `cond-value-${n}`, step: "any", "aria-label": say("wrong_value") });
    const unit = h("span", { class: "unit" });
    const fill = () => {
      const id = signal.chosen();
      const quantity = store.quantity(id ?? "");
      setText(unit, id ? units.unit(quantity) : "");
      if (id) value.value = String(Number(units.shown(quantity, store.get(id)).toFixed(units.display(quantity).digits)));
    };
    const signal = createSignalField(app, `cond-signal-${n}`, say("wrong_signal"), first, fill);
    const compare = h(
      "select",
      { id: `cond-compare-${n}`, "aria-label": say("wrong_compare") },
      h("option", { value: "above", text: say("wrong_above") }),
      h("option", { value: "below", text: say("wrong_below") }),
    );
    const held = h("input", { type: "number", id: `cond-held-${n}`, min: 0, value: 5, step: "any", "aria-label": say("wrong_held") });
    const drop = h("button", {
      type: "button",
      class: "remove",
      text: "✕",
      "aria-label": say("wrong_drop"),
      title: say("wrong_drop"),
      on: {
        click: () => {
          rows = rows.filter((one) => one.el !== el);
          el.remove();
          arrange();
          more.focus();
        },
      },
    });
    const el = h(
      "div",
      { class: "cond-row" },
      signal.el,
      compare,
      h("span", { class: "with-unit" }, value, unit),
      h("span", { class: "with-unit" }, h("label", { for: `cond-held-${n}`, text: say("wrong_held") }), held, h("span", { text: "s" })),
      drop,
    );
    fill();
    return {
      el,
      drop,
      fill,
      focus: () => signal.focus(),
      /** @returns {Condition | string} */
      read() {
        const id = signal.chosen();
        if (!id) return say("wrong_no_signal");
        const shown = value.value.trim() === "" ? NaN : Number(value.value);
        const seconds = Number(held.value);
        if (!Number.isFinite(shown) || !Number.isFinite(seconds)) return say("not_a_number");
        const is = compare.value === "below" ? "below" : "above";
        return { is, signal: id, value: units.inside(store.quantity(id), shown), held_s: seconds };
      },
    };
  }
  function add() {
    if (rows.length >= MOST) return null;
    const heater = app.store.heater(app.picked);
    const row = createRow(heater ? `${heater.id}.level` : "unit.load");
    rows.push(row);
    list.append(row.el);
    arrange();
    return row;
  }
  function arrange() {
    show(joined, rows.length > 1);
    set(more, { "aria-disabled": rows.length >= MOST ? "true" : null });
    for (const row of rows) show(row.drop, rows.length > 1);
  }
  add();
  return {
    el: h("fieldset", { class: "conds" }, h("legend", { text: say("wrong_if") }), joined, list, more),
    /** The condition, or what is missing. @returns {Condition | string} */
    read() {
      const of = rows.map((row) => row.read());
      const wrong = of.find((one) => typeof one === "string");
      if (typeof wrong === "string") return wrong;
      const whole = /** @type {Condition[]} */ (of);
      const [only] = whole;
      if (whole.length === 1 && only) return only;
      return { is: join.value === "any" ? "any" : "all", of: whole };
    },
    /** In other units. */
    renew() {
      for (const row of rows) row.fill();
    },
  };
}
