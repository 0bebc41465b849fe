// Alarms, rows of protection and controllers in words, and the looks of their states. Shape and text carry a state;
// colour marks only what is abnormal.

import { say, sayOr } from "../words.js";

/** @typedef {import("bledsteam_web").AlarmView} Alarm */
/** @typedef {import("bledsteam_web").ProtectionRow} Row */

/** @param {string} id  `<device>.<name>` */
const parts = (id) => {
  const at = id.indexOf(".");
  return at < 0 ? { device: id, name: "" } : { device: id.slice(0, at), name: id.slice(at + 1) };
};

/** @param {import("../app.js").App} app @param {string} id  of an alarm or a row @param {string} [kind] */
export function nameOf(app, id, kind = "alarm") {
  const { device, name } = parts(id);
  const words = sayOr(`${kind}_${name}`, name.replaceAll("_", " "));
  return device === "unit" ? `${app.short(device)}: ${words}` : `${app.short(device)} ${words}`;
}

/** The device that an alarm or a row is about. @param {string} id */
export const deviceOf = (id) => parts(id).device;

/** Waits for somebody to say that it was seen. @param {Alarm} alarm */
export const unseen = ({ standing }) =>
  standing === "unacknowledged" || standing === "returned_unacknowledged" || standing === "latched_unacknowledged";

/** @type {Record<Alarm["standing"], string>} */
const SHAPES = {
  normal: "●",
  unacknowledged: "◆",
  acknowledged: "◇",
  returned_unacknowledged: "◈",
  latched_unacknowledged: "■",
  latched_acknowledged: "□",
  shelved: "▽",
  suppressed_by_design: "◌",
  out_of_service: "✕",
};

/** @param {Alarm} alarm */
export function alarmLook(alarm) {
  const { standing, priority } = alarm;
  const aside = standing === "shelved" || standing === "out_of_service";
  const urgent = priority === "critical" || priority === "high";
  const weight = aside ? "note" : unseen(alarm) ? (urgent ? "alarm" : "warn") : alarm.active ? "warn" : "calm";
  return { shape: SHAPES[standing], text: say(`alarm_standing_${standing}`), means: say(`alarm_means_${standing}`), weight };
}

/** @type {Record<string, string>} */
const QUANTITIES = { emergency_open: "fraction", drain_off: "fraction", ramp: "temperature_rate", standby_cold: "temperature_difference" };

/** What an alarm watches is of this quantity. @param {string} id */
export const quantityOf = (id) => QUANTITIES[parts(id).name] ?? "level_offset";

/** What a row's sensor shows, or its mark: a figure, or yes and no. @param {import("../app.js").App} app @param {Row} row @param {number} value */
export const shown = (app, row, value) =>
  row.quantity === "state"
    ? say(value > 0.5 ? "protection_yes" : "protection_no")
    : app.units.full(row.quantity, value);

/**
 * Why a row is not reset, in the reader's language and units; null when it can be.
 * @param {import("../app.js").App} app
 * @param {Row} row
 */
export function whyNot(app, row) {
  if (!row.cause) return null;
  return say(row.above ? "protection_stands" : "protection_stands_low", {
    what: nameOf(app, row.id),
    value: shown(app, row, row.value),
    back: shown(app, row, row.above ? row.setpoint - row.deadband : row.setpoint + row.deadband),
  });
}

/**
 * Asks the plant to reset rows.
 * @param {import("../app.js").App} app
 * @param {Row[]} rows  latched ones that act
 * @returns {string | null}  why it was refused
 */
export function reset(app, rows) {
  if (!rows.length) return say("protection_nothing");
  const refused = [];
  for (const row of rows) {
    const fault = app.command({ do: "reset_protection", row: row.id });
    if (fault) refused.push(whyNot(app, row) ?? app.explain(fault));
  }
  return refused.length ? refused.join(" ") : null;
}

/** Latched rows that act. @param {import("../app.js").App} app */
export const latchedRows = (app) => app.session.protection().filter((row) => row.latched && row.tripped);
