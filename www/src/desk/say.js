// Malfunctions, conditions and deeds in words.

import { nameOf as alarmName } from "../alarms/name.js";
import { fullNameOf } from "../trends/names.js";
import { plantTime } from "../units.js";
import { say, sayOr } from "../words.js";

/**
 * @typedef {import("../app.js").App} App
 * @typedef {import("bledsteam_web").Malfunction} Malfunction
 * @typedef {import("bledsteam_web").Condition} Condition
 * @typedef {import("bledsteam_web").Deed} Deed
 */

/** The device that something stands at: heater, pump, condenser, unit. @param {string} id */
export const placeOf = (id) => id.split(".")[0] ?? id;

/** What a malfunction befalls, in full. @param {App} app @param {string} id */
export function befallen(app, id) {
  const transmitter = /^(.*)\.level_(control|protection)$/.exec(id);
  if (transmitter)
    return say(transmitter[2] === "control" ? "wrong_transmitter_control" : "wrong_transmitter_protection", {
      heater: app.short(transmitter[1] ?? ""),
    });
  if (app.store.has(id)) return say("wrong_transmitter", { signal: fullNameOf(app, id) });
  return id.includes(".") ? alarmName(app, id, "controller") : app.short(id);
}

/** @param {string} kind */
export const kindName = (kind) => sayOr(`mal_${kind}`, kind.replaceAll("_", " "));

/** The name of a malfunction and where it is. @param {App} app @param {{ kind: string, device: string }} malfunction */
export const shortly = (app, { kind, device }) => `${befallen(app, device)}: ${kindName(kind)}`;

/** Its truth in one line. @param {App} app @param {{ kind: string, device: string, size?: number }} malfunction */
export function truthOf(app, { kind, device, size }) {
  const spec = app.manifest.malfunctions.find((one) => one.kind === kind);
  const value = size ?? spec?.size?.default ?? 0;
  // A drift goes either way: which is said in a word, not by a sign.
  const drift = kind.endsWith("_drift");
  const figure = spec?.size ? app.units.full(spec.size.quantity, drift ? Math.abs(value) : value) : "";
  const text = sayOr(`mal_is_${kind}${drift && value < 0 ? "_down" : ""}`, `{device}: ${kindName(kind)} {size}`);
  return text.replaceAll("{device}", befallen(app, device)).replaceAll("{size}", figure);
}

/** @param {App} app @param {Condition} condition @returns {string} */
export function conditionText(app, condition) {
  if (condition.is === "above" || condition.is === "below") {
    const what = say(condition.is === "above" ? "cond_above" : "cond_below", {
      signal: fullNameOf(app, condition.signal),
      value: app.units.full(app.store.quantity(condition.signal), condition.value),
    });
    return condition.held_s ? say("cond_held", { what, s: condition.held_s }) : what;
  }
  if (condition.is === "all" || condition.is === "any")
    return condition.of
      .map((one) => conditionText(app, one))
      .reduce((a, b) => say(condition.is === "all" ? "cond_and" : "cond_or", { a, b }));
  return say("cond_other");
}

/** What was done, shortly. @param {App} app @param {Deed} deed */
export function deedText(app, deed) {
  if (deed.deed === "cancel") return say("deed_cancel");
  if (deed.deed === "schedule") return say("deed_schedule", { what: shortly(app, deed.malfunction) });
  const { command } = deed;
  if (command.do === "insert_malfunction") return say("deed_insert", { what: shortly(app, command.malfunction) });
  if (command.do === "remove_malfunction") return say("deed_remove", { what: shortly(app, command) });
  const fields = /** @type {Record<string, unknown>} */ (command);
  const device = ["heater", "pump", "id", "alarm", "row"].map((key) => fields[key]).find((one) => typeof one === "string");
  return say("deed_command", {
    what: sayOr(command.do, command.do.replaceAll("_", " ")),
    device: typeof device === "string" ? befallen(app, device) : "",
  }).trim();
}

/** Whether a deed makes something go wrong or takes it away. @param {Deed} deed */
export const isInstructors = (deed) => deed.deed !== "command" || deed.command.do.endsWith("_malfunction");

export { plantTime };
