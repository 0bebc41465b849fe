// What a device's valves and controllers are called, by the end of their ids.

import { say, sayOr } from "./words.js";

/** @type {Record<import("bledsteam_web").HeldValve["valve"], import("./words.js").Word>} */
export const HAND_VALVES = {
  stop_valve: "fig_stop_valve",
  bypass: "local_bypass",
  line_drain: "local_line_drain",
  normal_drain: "normal_drain",
  emergency_drain: "emergency_drain",
  start_up_vent: "local_start_up_vent",
  warm_up: "sig_warm_up_valve",
};

/** A valve. @param {string} part  `normal` and `emergency` are drains, as in commands */
export function nameOfValve(part) {
  const known = /** @type {Record<string, import("./words.js").Word>} */ ({ ...HAND_VALVES, normal: "normal_drain", emergency: "emergency_drain" });
  const word = known[part];
  return word ? say(word) : part.replaceAll("_", " ");
}

/** A controller, by what it moves and what it keeps. @param {string} part */
export const nameOfController = (part) => sayOr(`controller_${part}`, part.replaceAll("_", " "));
