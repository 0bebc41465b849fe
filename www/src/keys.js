// The keyboard. Single letters act only where no text is being typed.

import { SPEEDS } from "./clock.js";
import { openHelp, singleKeys } from "./help.js";
import { WORKING, nextView } from "./views.js";

/**
 * @param {import("./app.js").App} app
 * @param {(action: "trip_heater" | "isolate_extraction" | "put_back") => void} act  on the picked heater
 * @param {(id: string) => void} explain  shows how a number comes about
 * @param {AbortSignal} signal  ends it
 */
export function startKeys(app, act, explain, signal) {
  const { heaters } = app.manifest;

  /** @param {number} by */
  const walk = (by) => {
    const at = heaters.findIndex((heater) => heater.id === app.picked);
    const next = heaters[Math.min(heaters.length - 1, Math.max(0, at + by))];
    if (!next) return;
    app.pick(next.id);
    // Whoever walks the climb by keyboard keeps the focus on the heater that is picked.
    if (!document.activeElement?.hasAttribute("data-pick")) return;
    const heater = document.querySelector(`[data-pick="${CSS.escape(next.id)}"]`);
    if (heater instanceof SVGElement) heater.focus();
  };
  /** @param {number} by */
  const gear = (by) => {
    const next = SPEEDS[SPEEDS.indexOf(app.clock.speed) + by];
    if (next !== undefined) app.setSpeed(next);
  };

  /** @type {Record<string, () => void>} */
  const bindings = {
    " ": () => (app.clock.running ? app.freeze() : app.run()),
    ArrowLeft: () => walk(-1),
    ArrowRight: () => walk(1),
    t: () => act("trip_heater"),
    i: () => act("isolate_extraction"),
    b: () => act("put_back"),
    "+": () => gear(1),
    "-": () => gear(-1),
    u: () => app.setUnits(app.units.system === "si" ? "us" : "si"),
    v: nextView,
    w: () => explain(app.view === "balance" ? "unit.heat_rate" : `${app.picked}.fw_out_temperature`),
    o: () => app.look(app.picked),
    "?": openHelp,
  };
  for (const heater of heaters) bindings[String(heater.number % 10)] = () => app.pick(heater.id);
  /** What picks or moves a heater of the running plant acts only where that plant is in view. */
  const elsewhere = new Set([" ", "+", "-", "u", "v", "o", "w", "?"]);

  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return;
    if (!singleKeys() && event.key.length === 1) return;
    // What was closed a moment ago may still have the focus, and no longer asks for letters.
    const gone = event.target instanceof Element && event.target.closest("dialog:not([open])");
    const at = event.target instanceof Element && !gone ? event.target : document.body;
    if (at.closest("input, select, textarea, dialog")) return;
    // Space and arrows belong to a focused control first.
    if (event.key === " " && at.closest("button, summary, [role=button], [role=tab]")) return;
    if (event.key.startsWith("Arrow") && at.closest("[role=tab], [role=slider]")) return;
    const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    const binding = bindings[key];
    if (!binding || (!WORKING.has(app.view) && !elsewhere.has(key))) return;
    event.preventDefault();
    binding();
  }, { signal });
}
