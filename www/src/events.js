// What happened, in plain words, the latest first.

import { h, set, setText, show } from "./dom.js";
import { nameOfController, nameOfValve } from "./parts.js";
import { plantTime } from "./units.js";
import { say, sayOr } from "./words.js";

const SHOWN = 200;

/** How an event is marked in the list and on the trend. @type {Record<string, string>} */
const SHAPES = {
  heater_tripped: "✕",
  turbine_tripped: "✕",
  load_rejected: "✕",
  turbine_reset: "▲",
  hold_set: "◇",
  extraction_isolated: "◌",
  put_back: "▲",
  load_set: "◇",
  drain_moved: "◇",
  drain_released: "◇",
  local_sent: "◇",
  local_done: "◇",
  local_stuck: "△",
  local_handed_back: "◇",
  controller_set: "◇",
  protection_reset: "◇",
  open_heater_shut: "◆",
  open_heater_low: "◆",
  drum_level_low: "◆",
  drum_level_high: "◆",
  vacuum_low: "◆",
  pump_low_flow: "◆",
  group_tripped: "✕",
  level_high: "△",
  level_high_high: "◆",
  level_low: "▽",
  suction_head_low: "◆",
  carry_over: "◆",
  reverse_flow: "◆",
  water_induction: "◆",
  feed_pumps_at_limit: "△",
  pump_started: "▲",
  pump_stopped: "◇",
  pump_tripped: "✕",
  pump_starved: "◆",
  standby_started: "▲",
  standby_cold: "◆",
  pump_taken_out: "◌",
  runback: "◆",
  condenser_relief: "◆",
  pressure_out_of_range: "△",
  emergency_drain_open: "△",
  ramp_exceeded: "△",
};
const WEIGHTS = /** @type {Record<string, import("./state.js").Weight>} */ ({
  heater_tripped: "alarm",
  turbine_tripped: "alarm",
  load_rejected: "alarm",
  group_tripped: "alarm",
  level_high_high: "alarm",
  suction_head_low: "alarm",
  carry_over: "warn",
  reverse_flow: "warn",
  water_induction: "alarm",
  level_high: "warn",
  level_low: "warn",
  emergency_drain_open: "warn",
  ramp_exceeded: "warn",
  feed_pumps_at_limit: "warn",
  pump_tripped: "alarm",
  pump_starved: "alarm",
  pump_low_flow: "alarm",
  open_heater_shut: "alarm",
  open_heater_low: "alarm",
  drum_level_low: "alarm",
  drum_level_high: "alarm",
  vacuum_low: "alarm",
  runback: "alarm",
  condenser_relief: "alarm",
  standby_started: "warn",
  standby_cold: "alarm",
  pressure_out_of_range: "warn",
});

/** What an event's figure measures, where it is neither a level nor a share. @type {Record<string, string>} */
const QUANTITIES = {
  pump_starved: "length",
  standby_cold: "temperature_difference",
  local_sent: "duration",
  open_heater_shut: "level_offset",
  open_heater_low: "level_offset",
  drum_level_low: "level_offset",
  drum_level_high: "level_offset",
  vacuum_low: "low_pressure",
  reverse_flow: "mass_flow",
  water_induction: "mass_flow",
};

/** Worth a mark on the trend: what somebody did, and what protection did. */
const MARKED = new Set([
  "heater_tripped",
  "turbine_tripped",
  "load_rejected",
  "turbine_reset",
  "extraction_isolated",
  "put_back",
  "load_set",
  "level_high_high",
  "suction_head_low",
  "pump_started",
  "pump_stopped",
  "pump_tripped",
  "pump_starved",
  "pump_low_flow",
  "open_heater_low",
  "drum_level_low",
  "drum_level_high",
  "vacuum_low",
  "standby_started",
  "standby_cold",
  "runback",
  "drain_moved",
  "carry_over",
  "reverse_flow",
  "water_induction",
]);

/**
 * @param {import("./types.js").PlantEvent} event
 * @param {import("./app.js").App} app
 */
export function describe(event, app) {
  const device = app.short(event.device);
  const quantity = event.code.startsWith("level") ? "level_offset" : (QUANTITIES[event.code] ?? "fraction");
  // A code that this page does not know yet is still told, in its own words.
  const sentence = sayOr(`event_${event.code}`, `{device}: ${event.code.replaceAll("_", " ")}`);
  const { part = "" } = event;
  const name = event.code === "controller_set" ? nameOfController(part) : nameOfValve(part);
  const text = sentence.replaceAll("{device}", device).replaceAll("{part}", name).replaceAll("{value}", app.units.full(quantity, event.value));
  return {
    text: text.charAt(0).toLocaleUpperCase() + text.slice(1),
    shape: SHAPES[event.code] ?? "•",
    weight: WEIGHTS[event.code] ?? "calm",
    marked: MARKED.has(event.code),
  };
}

/** @param {import("./app.js").App} app */
export function createEvents(app) {
  const list = h("ol", { class: "event-list", tabindex: 0, "aria-label": say("events") });
  const none = h("p", { class: "nothing", text: say("no_events") });
  const live = h("p", { class: "visually-hidden", "aria-live": "polite", role: "status" });
  // What the last upset began with stays in view, whatever follows: once its row is out of sight it stands under the list.
  const pinned = h("p", { class: "event-began", hidden: true, "aria-hidden": "true" });
  const sight = new IntersectionObserver((entries) => show(pinned, entries.at(-1)?.isIntersecting === false), { root: list, threshold: 0.7 });
  /** @param {import("./types.js").PlantEvent | null} event @param {HTMLElement | null} line */
  const pin = (event, line) => {
    sight.disconnect();
    show(pinned, false);
    if (!event || !line) return;
    const { text, shape, weight } = describe(event, app);
    pinned.replaceChildren(h("span", { class: "time", text: plantTime(event.time_s) }), h("span", { class: "shape", text: shape }), h("span", { text }));
    set(pinned, { "data-weight": weight });
    sight.observe(line);
  };
  /** @param {import("./types.js").PlantEvent} event */
  const add = (event) => {
    const line = row(event);
    list.prepend(line);
    if (event === app.store.began) pin(event, line);
  };
  // The list ends with a whole row: half a line of text says nothing.
  const fit = () => {
    list.style.maxHeight = "";
    const room = list.clientHeight;
    if (list.scrollHeight <= room) return;
    let end = 0;
    for (const line of list.children) {
      const bottom = end + line.getBoundingClientRect().height;
      if (bottom > room + 0.5) break;
      end = bottom;
    }
    if (end > 0) list.style.maxHeight = `${end}px`;
  };
  const resized = new ResizeObserver(fit);
  resized.observe(list);
  let shown = 0;
  let units = app.units.system;
  let cuts = app.store.cuts;

  /** @param {import("./types.js").PlantEvent} event */
  const row = (event) => {
    const { text, shape, weight } = describe(event, app);
    const heater = app.store.heater(event.device);
    return h(
      "li",
      { "data-weight": weight, "data-event": event.code },
      h("time", { text: plantTime(event.time_s) }),
      h("span", { class: "shape", "aria-hidden": "true", text: shape }),
      heater
        ? h("button", { type: "button", class: "link", text, on: { click: () => app.pick(heater.id) } })
        : h("span", { text }),
    );
  };

  return {
    el: h(
      "section",
      { class: "events", "aria-labelledby": "events-title" },
      h("h2", { id: "events-title", text: say("events") }),
      none,
      list,
      pinned,
      live,
    ),
    update() {
      const { events } = app.store;
      if (units !== app.units.system || cuts !== app.store.cuts) {
        units = app.units.system;
        // Set back, the list ends earlier; what comes then is new again.
        if (cuts !== app.store.cuts) shown = events.length;
        cuts = app.store.cuts;
        list.replaceChildren();
        pin(null, null);
        for (const event of events.slice(-SHOWN)) add(event);
        none.hidden = events.length > 0;
        fit();
      }
      if (events.length === shown) return;
      const fresh = events.slice(shown);
      for (const event of fresh) add(event);
      while (list.children.length > SHOWN) list.lastElementChild?.remove();
      none.hidden = true;
      fit();
      // Read out what happened, never the numbers of every frame.
      setText(
        live,
        fresh
          .slice(-3)
          .map((event) => describe(event, app).text)
          .join(". "),
      );
      shown = events.length;
    },
  };
}
