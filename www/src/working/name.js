// What a number is called: its meaning in words, and whose it is.

import { shownBeside } from "../trends/names.js";
import { say, sayOr } from "../words.js";

/**
 * @param {import("../app.js").App} app
 * @param {string} device
 */
export function deviceName(app, device) {
  return device === "plant" ? say("device_plant") : app.short(device);
}

/**
 * The engine's word in the reader's: what the catalogue lacks is shown as it came, with spaces.
 * @param {string} meaning
 * @returns {string}
 */
export function meaningOf(meaning) {
  const shown = shownBeside(`mean_${meaning}`, meaning);
  if (shown) return say("sig_true", { what: meaningOf(shown) });
  return sayOr(`mean_${meaning}`, meaning.replaceAll("_", " "));
}

/**
 * The number that one of several alike carries at the end of its id, such as of a group of stages.
 * @param {string} id
 * @param {string} meaning
 */
export function which(id, meaning) {
  const tail = /_(\d+)$/.exec(id)?.[1];
  return tail && !meaning.endsWith(tail) ? ` ${tail}` : "";
}

/**
 * @param {import("../app.js").App} app
 * @param {{ id: string, device: string, meaning: string }} working
 */
export function nameOf(app, { id, device, meaning }) {
  return say("wk_name", { what: meaningOf(meaning) + which(id, meaning), device: deviceName(app, device) });
}

/**
 * The same from an id alone.
 * @param {import("../app.js").App} app
 * @param {string} id
 */
export function nameOfId(app, id) {
  const [device = "", name = ""] = id.split(".");
  return nameOf(app, { id, device, meaning: name.replace(/_\d+$/, "") });
}
