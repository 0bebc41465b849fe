// The table of protection: what each row watches, its mark, whether it acts, what acted first, and its reset.

import { h, set, setText } from "../dom.js";
import { say } from "../words.js";
import { latchedRows, nameOf, reset, shown } from "./name.js";

/** @typedef {import("./name.js").Row} Row */

/** @param {import("../app.js").App} app */
export function createProtection(app) {
  const answer = h("p", { class: "refusal", role: "status" });
  /** @param {Row[]} rows */
  const ask = (rows) => {
    const why = reset(app, rows);
    setText(answer, why ?? "");
    update();
  };
  const all = h("button", {
    type: "button",
    "data-action": "reset_all",
    text: say("protection_reset_all"),
    on: { click: () => ask(latchedRows(app)) },
  });
  const rows = app.session.protection().map((row) => {
    const what = nameOf(app, row.id);
    const shape = h("span", { class: "shape", "aria-hidden": "true" });
    const state = h("span");
    const chip = h("span", { class: "chip" }, shape, " ", state);
    const value = h("td", { class: "alarm-value", title: row.sensor });
    const mark = h("td", { class: "alarm-value" });
    const first = h("span", { class: "alarm-note" });
    const button = row.latched
      ? h("button", {
          type: "button",
          "data-action": "reset",
          "data-row": row.id,
          text: say("protection_reset"),
          "aria-label": say("alarms_act_on", { action: say("protection_reset"), what }),
          on: {
            click: () => ask(app.session.protection().filter((one) => one.id === row.id && one.latched && one.tripped)),
          },
        })
      : null;
    const el = h(
      "tr",
      { "data-row": row.id },
      h("th", { scope: "row" }, h("span", { text: what }), first),
      value,
      mark,
      h("td", {}, chip),
      h("td", { class: "alarm-do" }, button),
    );
    return {
      el,
      /** @param {Row} now */
      update(now) {
        const look = !now.tripped
          ? now.armed
            ? { shape: "○", text: say("protection_ready"), weight: "calm" }
            : { shape: "◌", text: say("protection_unarmed"), weight: "calm" }
          : now.cause
            ? // What goes back by itself is control, not a trip.
              { shape: "◆", text: say("protection_acts"), weight: now.latched ? "alarm" : "warn" }
            : { shape: "■", text: say("protection_latched"), weight: "warn" };
        setText(shape, look.shape);
        setText(state, look.text);
        set(chip, { "data-weight": look.weight });
        set(el, { "data-tripped": now.tripped ? "yes" : null, "data-cause": now.cause ? "yes" : null });
        setText(first, now.first_out ? `⚑ ${say("alarms_first_out")}` : "");
        setText(value, shown(app, now, now.value));
        setText(
          mark,
          now.quantity === "state"
            ? say("protection_yes")
            : `${now.above ? ">" : "<"} ${app.units.full(now.quantity, now.setpoint)}`,
        );
        if (button) set(button, { "aria-disabled": now.tripped ? null : "true" });
      },
    };
  });

  function update() {
    const now = app.session.protection();
    rows.forEach((row, at) => {
      const one = now[at];
      if (one) row.update(one);
    });
  }

  const heads = ["protection_row", "protection_sensor", "alarms_mark", "alarms_state", "alarms_actions"];
  return {
    el: h(
      "section",
      { class: "alarm-part", "aria-labelledby": "protection-title" },
      h("div", { class: "alarm-head" }, h("h2", { id: "protection-title", text: say("protection") }), all),
      answer,
      h(
        "div",
        { class: "alarm-scroll", role: "region", tabindex: 0, "aria-label": say("protection") },
        h(
          "table",
          { class: "alarm-table protection-table" },
          h(
            "thead",
            {},
            h(
              "tr",
              {},
              ...heads.map((head) =>
                h("th", { scope: "col", text: say(/** @type {import("../words.js").Word} */ (head)) }),
              ),
            ),
          ),
          h("tbody", {}, ...rows.map((row) => row.el)),
        ),
      ),
    ),
    update,
  };
}
