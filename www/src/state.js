// A heater's state in the words and shapes that every view shares. Shape and text carry it; colour only helps.

import { sayOr } from "./words.js";

/**
 * Calm: nothing asks for attention. Note: not as usual, but meant. Warn: look at it. Alarm: protection acts or has acted.
 * @typedef {"calm" | "note" | "warn" | "alarm"} Weight
 */

/** @type {Record<string, { shape: string, weight: Weight }>} */
const MODES = {
  in_service: { shape: "●", weight: "calm" },
  isolated: { shape: "◌", weight: "note" },
  tripping: { shape: "◆", weight: "alarm" },
  out: { shape: "✕", weight: "warn" },
  returning: { shape: "▲", weight: "note" },
};

/** @param {string} mode */
export function modeLook(mode) {
  const look = MODES[mode] ?? { shape: "?", weight: /** @type {Weight} */ ("note") };
  return { ...look, text: sayOr(`mode_${mode}`, mode.replaceAll("_", " ")) };
}

/**
 * Where the level stands among its marks.
 * @param {number} level  mm about normal
 * @param {import("./types.js").LevelMarks | null} marks
 * @returns {{ weight: Weight, key: string, shape: string }}
 */
export function levelLook(level, marks) {
  if (!marks) return { weight: "calm", key: "level_about_normal", shape: "" };
  if (level >= marks.high_high) return { weight: "alarm", key: "level_is_high_high", shape: "◆" };
  if (level >= marks.emergency) return { weight: "warn", key: "level_is_emergency", shape: "△" };
  if (level >= marks.high) return { weight: "warn", key: "level_is_high", shape: "△" };
  if (level <= marks.low) return { weight: "warn", key: "level_is_low", shape: "▽" };
  return { weight: "calm", key: "level_is_normal", shape: "" };
}

/**
 * How far a gauge reaches to either side of normal (mm): a little beyond the outer marks, so that the pointer can be
 * seen to pass them.
 * @param {import("./app.js").App} app
 * @param {import("./types.js").Heater} heater
 */
export function levelReach(app, { id, level_marks }) {
  if (level_marks) return Math.max(Math.abs(level_marks.low), level_marks.high_high) * 1.25;
  return app.manifest.signals.find((signal) => signal.id === `${id}.level`)?.high ?? 1000;
}

/**
 * A heater that is off is meant to be empty: only water that rises in it is worth a word.
 * @param {string} mode
 * @param {number} level  mm about normal
 * @param {import("./types.js").LevelMarks | null} marks
 */
export function levelMatters(mode, level, marks) {
  return mode !== "out" || (marks !== null && level >= marks.high);
}
