// The pumps on the card of the heater that they draw from or feed: what each does, and what an operator asks of it.

import { h, set, setText } from "../dom.js";
import { value } from "../signals.js";
import { say } from "../words.js";

/** What a pump is doing, in the order of its signal's codes. */
const STATES = /** @type {const} */ (["standby", "run_up", "running", "coast_down", "tripped", "out"]);
/** @typedef {typeof STATES[number]} State */
/** @typedef {"start_pump" | "stop_pump" | "take_pump_out" | "put_pump_back"} Ask */

/** @type {Record<State, { shape: string, weight: import("../state.js").Weight }>} */
const LOOKS = {
  standby: { shape: "○", weight: "calm" },
  run_up: { shape: "▲", weight: "note" },
  running: { shape: "●", weight: "calm" },
  coast_down: { shape: "▽", weight: "note" },
  tripped: { shape: "✕", weight: "alarm" },
  out: { shape: "◌", weight: "note" },
};

/** @param {import("../store.js").Store} store @param {string} pump @returns {State} */
export const pumpState = (store, pump) => STATES[store.get(`${pump}.state`)] ?? "standby";

/** Ids of the plant's pumps: fp of feed, cp of condensate. @param {import("../store.js").Store} store @param {"fp" | "cp"} kind */
export function pumpsOf(store, kind) {
  const ids = [];
  while (store.has(`${kind}${ids.length + 1}.state`)) ids.push(`${kind}${ids.length + 1}`);
  return ids;
}

/**
 * One pump: its state, its figures, and two buttons, each for what fits its state.
 * @param {import("../app.js").App} app
 * @param {string} id
 * @param {(why: string) => void} refuse
 */
function createPump(app, id, refuse) {
  const { store, manifest } = app;
  const name = app.short(id);
  const chip = h("span", { class: "pump-state" });
  const warm = store.has(`${id}.casing_temperature`);
  const casing = h(
    "span",
    { class: "pump-casing", title: say("pump_casing_title", { limit: app.units.full("temperature_difference", manifest.casing_limit ?? 0, false, 0) }) },
    h("span", { class: "label", text: `${say("pump_casing")} ` }),
    value(`${id}.casing_temperature`, { digits: 0 }),
  );
  /** @param {() => Ask} what */
  const button = (what) =>
    h("button", {
      type: "button",
      "data-pump": id,
      on: {
        click: () => {
          const fault = app.command({ do: what(), pump: id });
          refuse(fault ? app.explain(fault) : "");
        },
      },
    });
  const turns = () => ["run_up", "running"].includes(pumpState(store, id));
  const away = () => ["tripped", "out"].includes(pumpState(store, id));
  /** @type {(() => Ask)[]} */
  const fitting = [() => (turns() ? "stop_pump" : "start_pump"), () => (away() ? "put_pump_back" : "take_pump_out")];
  const asks = fitting.map((what) => ({ what, el: button(what) }));
  const el = h(
    "li",
    { class: "pump" },
    h("span", { class: "pump-name", text: name }),
    chip,
    value(`${id}.pump_flow`, { digits: 1 }),
    ...(warm ? [casing] : []),
    ...asks.map((ask) => ask.el),
  );
  return {
    el,
    update() {
      const state = pumpState(store, id);
      const look = LOOKS[state];
      setText(chip, `${look.shape} ${say(`pump_${state}`)}`);
      set(chip, { "data-weight": look.weight });
      for (const { what, el: one } of asks) {
        const action = what();
        if (one.dataset.action === action) continue;
        set(one, { "data-action": action, "aria-label": say(`${action}_title`, { name }) });
        setText(one, say(action));
      }
      if (!warm) return;
      const cold = state === "standby" && store.get(`${id}.casing_difference`) > (manifest.casing_limit ?? Infinity);
      set(casing, { "data-cold": cold ? "yes" : null });
    },
  };
}

/**
 * Pumps of a kind under their heading.
 * @param {import("../app.js").App} app
 * @param {"fp" | "cp"} kind
 * @param {boolean} open  at first
 */
export function createPumps(app, kind, open) {
  const refusal = h("p", { class: "refusal", role: "status" });
  const pumps = pumpsOf(app.store, kind).map((id) => createPump(app, id, (why) => setText(refusal, why)));
  return {
    el: h(
      "details",
      { class: "pumps", open },
      h("summary", { text: say(kind === "fp" ? "feed_pumps" : "condensate_pumps") }),
      h("ul", {}, ...pumps.map((pump) => pump.el)),
      refusal,
    ),
    update() {
      for (const pump of pumps) pump.update();
    },
  };
}
