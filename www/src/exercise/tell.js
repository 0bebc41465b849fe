// What was done and what came of it, in words: commands, reasons for a score, lines of the time line.

import { nameOf as nameOfControl } from "../alarms/name.js";
import { describe } from "../events.js";
import { nameOfValve } from "../parts.js";
import { plantTime, tickText } from "../units.js";
import { say, sayOr } from "../words.js";
import { nameOfDevice, nameOfSignal } from "./names.js";
import { wayText } from "./predict.js";

/** @param {number} points */
export const pointsText = (points) => tickText(points, Math.abs(points - Math.round(points)) < 0.05 ? 0 : 1);

/** What of a controller is set, in words. @type {Record<string, import("../words.js").Word>} */
const FIELDS = { setpoint: "tune_setpoint", gain: "ex_gain", integral_time: "tune_integral", lowest: "tune_lowest", highest: "tune_highest" };

/**
 * A command in words.
 * @param {import("../app.js").App} app
 * @param {{ do: string, [field: string]: unknown }} command
 */
export function commandText(app, command) {
  const { units } = app;
  const name = sayOr(`ex_do_${command.do}`, command.do.replaceAll("_", " "));
  /** @type {string[]} */
  const about = [];
  for (const [key, value] of Object.entries(command)) {
    const field = FIELDS[key];
    if (key === "do" || value === undefined || value === null) continue;
    if (key === "heater" || key === "pump") about.push(nameOfDevice(app, String(value)));
    else if (key === "valve") about.push(nameOfValve(String(value)));
    else if (command.do === "set_controller" && key === "id") about.push(nameOfControl(app, String(value), "controller"));
    else if (key === "mode") about.push(say(value === "manual" ? "tune_manual" : "tune_auto"));
    else if (key === "fraction" || key === "position" || key === "output") about.push(units.full("fraction", Number(value)));
    else if (key === "malfunction") about.push(sayOr(`mal_${/** @type {any} */ (value).kind}`, String(/** @type {any} */ (value).kind).replaceAll("_", " ")), nameOfDevice(app, String(/** @type {any} */ (value).device)));
    else if (field) about.push(`${say(field)} ${tickText(Number(value), Number(value) % 1 ? 2 : 0)}`);
    else if (typeof value === "number") about.push(`${key.replaceAll("_", " ")} ${tickText(value, value % 1 ? 2 : 0)}`);
    else if (typeof value === "string") about.push(nameOf(app, value));
  }
  return about.length ? `${name}: ${about.join(", ")}` : name;
}

/** An id of a device, an alarm or a row. @param {import("../app.js").App} app @param {string} id */
function nameOf(app, id) {
  const [device, name] = id.split(".");
  if (name === undefined) return nameOfDevice(app, id);
  return `${nameOfDevice(app, device ?? "")} ${sayOr(`alarm_${name}`, name.replaceAll("_", " "))}`;
}

/**
 * Why an objective gave what it gave. Every reason of the engine has a sentence.
 * @param {import("../app.js").App} app
 * @param {{ why: string, [field: string]: unknown }} reason
 * @param {{ signal?: string }} [about]  the signal that a prediction is of
 */
export function reasonText(app, reason, about = {}) {
  const { units, store } = app;
  /** @type {Record<string, string>} */
  const fields = {};
  const signal = typeof reason.signal === "string" ? reason.signal : about.signal;
  const quantity = signal ? store.quantity(signal) : "count";
  for (const [key, value] of Object.entries(reason)) {
    if (key === "why") continue;
    if (key === "signal") fields.signal = nameOfSignal(app, String(value));
    else if (key === "way") fields.way = wayText(/** @type {any} */ (value));
    else if (["worst", "from", "to"].includes(key)) fields[key] = units.full(quantity, Number(value));
    // A distance: the offset of a temperature scale is no part of it.
    else if (key === "by") fields.by = distanceText(app, quantity, Number(value));
    else if (key.endsWith("_s")) fields[key] = value === null ? say("ex_never") : plantTime(Number(value));
    else fields[key] = String(value);
  }
  const why = reason.why === "order" ? orderWhy(reason) : reason.why;
  return sayOr(`why_${why}`, why.replaceAll("_", " ")).replace(/\{(\w+)\}/g, (whole, name) => fields[name] ?? whole);
}

/** @param {{ why: string, [field: string]: unknown }} reason */
function orderWhy({ first_s, then_s }) {
  if (typeof first_s !== "number") return typeof then_s === "number" ? "order_only_second" : "order_neither";
  if (typeof then_s !== "number") return "order_only_first";
  return first_s < then_s ? "order_right" : "order_wrong";
}

/** A difference of two values. @param {import("../app.js").App} app @param {string} quantity @param {number} by */
export function distanceText(app, quantity, by) {
  const { factor, digits } = app.units.display(quantity);
  const unit = quantity === "temperature" ? app.units.unit("temperature_difference") : app.units.unit(quantity);
  return `${tickText(by * factor, digits)} ${unit}`.trim();
}

/** Why it was over. @param {import("./file.js").Exercise} exercise @param {import("bledsteam_web").Ended | null} ended */
export function endedText(exercise, ended) {
  if (!ended) return "";
  if (ended.by === "condition") return exercise.ends?.[ended.end]?.text ?? say("ex_ended_condition");
  if (ended.by === "stopped") return say("ex_ended_stopped", { why: ended.fault.message });
  return say(ended.by === "length" ? "ex_ended_length" : "ex_ended_handed_in");
}

/**
 * A line of the time line: its shape, its words, and whose it is.
 * @param {import("../app.js").App} app
 * @param {import("./file.js").Exercise} exercise
 * @param {{ at_s: number, what: { is: string, [field: string]: any } }} line
 * @returns {{ shape: string, text: string, whose: "you" | "exercise" | "plant", weight: string }}
 */
export function lineText(app, exercise, { what, at_s }) {
  const mine = (/** @type {string} */ text, shape = "◇") => ({ shape, text, whose: /** @type {const} */ ("you"), weight: "calm" });
  if (what.is === "command") {
    const text = commandText(app, what.command);
    return what.refused ? { ...mine(say("ex_line_refused", { what: text, why: what.refused.message }), "✕"), weight: "warn" } : mine(text);
  }
  if (what.is === "answer") return mine(say("ex_line_answer", { what: exercise.questions?.find((one) => one.id === what.question)?.text ?? what.question }));
  if (what.is === "prediction") return mine(say("ex_line_prediction", { what: exercise.predictions?.find((one) => one.id === what.prediction)?.text ?? what.prediction }));
  if (what.is === "hint") return mine(say("ex_line_hint"), "?");
  if (what.is === "ended") return { shape: "■", text: endedText(exercise, what.why), whose: "exercise", weight: "calm" };
  if (what.is === "happening") {
    const one = exercise.timeline?.find(({ id }) => id === what.id);
    const done = (one?.commands ?? []).map((command) => commandText(app, /** @type {any} */ (command)));
    return { shape: "●", text: [one?.note, ...done].filter(Boolean).join(" · ") || say("ex_line_moment"), whose: "exercise", weight: "note" };
  }
  const { text, shape, weight } = describe({ seq: 0, time_s: at_s, code: what.code, device: what.device, part: what.part, value: what.value }, app);
  return { shape, text, whose: "plant", weight };
}
