// What a signal is called on the page.

import { say, sayOr } from "../words.js";

/** @param {string} id @returns {[string, string]} device and name */
export function parts(id) {
  const at = id.indexOf(".");
  return [id.slice(0, at), id.slice(at + 1)];
}

/**
 * What the catalogue has no words for and is the truth beside a number that is shown: the name of that number.
 * @param {string} key
 * @param {string} name
 */
export function shownBeside(key, name) {
  return sayOr(key, "") || !name.endsWith("_true") ? "" : name.slice(0, -"_true".length);
}

/** A signal's own name, without its device. What the catalogue does not know is told as it came. @param {string} id @returns {string} */
export function nameOf(id) {
  const [device, name] = parts(id);
  const shown = shownBeside(`sig_${name}`, name);
  if (shown) return say("sig_true", { what: nameOf(`${device}.${shown}`) });
  const plain = name.replaceAll("_", " ");
  return sayOr(`sig_${name}`, sayOr(`fig_${name}`, sayOr(name, sayOr(`mean_${name}`, plain[0]?.toUpperCase() + plain.slice(1)))));
}

/** @param {import("../app.js").App} app @param {string} id */
export function fullNameOf(app, id) {
  const [device] = parts(id);
  return device === "unit" ? nameOf(id) : `${app.short(device)} ${nameOf(id)}`;
}

/** @param {import("../app.js").App} app @param {string} device */
export const deviceOf = (app, device) => (device === "unit" ? say("device_unit") : app.short(device));
