// A value of a working in the chosen units: those of its quantity, or the one unit it has.

import { digits } from "./math.js";

/** @typedef {{ quantity: string, unit: string | null }} Unit */

/**
 * @param {import("../app.js").App} app
 * @param {Unit} of
 */
export function unitOf({ units, manifest }, { quantity, unit }) {
  if (unit === null) return units.unit(quantity);
  // A price is in the plant's currency.
  return unit.startsWith("/") ? manifest.currency + unit : unit;
}

/**
 * @param {import("../app.js").App} app
 * @param {Unit} of
 * @param {number} inside
 */
export function numberOf({ units }, { quantity, unit }, inside) {
  return digits(unit === null ? units.shown(quantity, inside) : inside);
}

/**
 * @param {import("../app.js").App} app
 * @param {Unit} of
 * @param {number} inside
 */
export function valueOf(app, of, inside) {
  const unit = unitOf(app, of);
  return unit ? `${numberOf(app, of, inside)} ${unit}` : numberOf(app, of, inside);
}
