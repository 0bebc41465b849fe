// From inside units to what the reader chose, and back. Every factor comes from the engine's manifest.

import { say } from "./words.js";

/** @typedef {import("./types.js").System} System */

const SUPERSCRIPT = "⁰¹²³⁴⁵⁶⁷⁸⁹";

/** @param {number} power */
function superscript(power) {
  const digits = [...String(Math.abs(power))].map((d) => SUPERSCRIPT[Number(d)]).join("");
  return (power < 0 ? "⁻" : "") + digits;
}

/** @param {string} text  a number as JavaScript writes it */
function trueMinus(text) {
  // "-0.0" would claim a sign that the digits do not show.
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text.replace("-", "−");
}

/** With the language's own decimal sign. @param {string} text */
export const spoken = (text) => text.replace(".", say("decimal"));

/** A mark of an axis. @param {number} mark @param {number} digits */
export const tickText = (mark, digits) => spoken(mark.toFixed(digits).replace("-", "−"));

/** Whether a number's text shows nothing but zeros, in any language. @param {string} text */
export const showsZero = (text) => /^[+−]?[0.,]*$/.test(text);

export class Units {
  /**
   * @param {import("./types.js").Manifest["quantities"]} quantities
   * @param {System} system
   * @param {string} currency  of the plant, before a money rate's unit
   */
  constructor(quantities, system, currency) {
    this.quantities = quantities;
    this.currency = currency;
    this.system = system;
  }

  /** @param {string} quantity */
  display(quantity) {
    const both = this.quantities[quantity];
    return both ? both[this.system] : { unit: "", factor: 1, offset: 0, digits: 2 };
  }

  /** @param {string} quantity */
  unit(quantity) {
    const { unit } = this.display(quantity);
    return quantity === "money_rate" ? this.currency + unit : unit;
  }

  /**
   * @param {string} quantity
   * @param {number} inside
   */
  shown(quantity, inside) {
    const { factor, offset } = this.display(quantity);
    return inside * factor + offset;
  }

  /**
   * @param {string} quantity
   * @param {number} shown
   */
  inside(quantity, shown) {
    const { factor, offset } = this.display(quantity);
    return (shown - offset) / factor;
  }

  /**
   * The number with its fixed digits, without the unit.
   * @param {string} quantity
   * @param {number} inside
   * @param {boolean} [signed]  a plus sign before positive values: for changes
   * @param {number} [most]     at most so many digits after the point, where space is short
   */
  text(quantity, inside, signed = false, most = 9) {
    if (!Number.isFinite(inside)) return "–";
    if (quantity === "residual") return scientific(inside);
    const { digits } = this.display(quantity);
    const text = trueMinus(this.shown(quantity, inside).toFixed(Math.min(digits, most)));
    return spoken(signed && !text.startsWith("−") && Number(text) !== 0 ? `+${text}` : text);
  }

  /**
   * The number with digits of the caller's choice, for a column whose values need more or fewer than usual.
   * @param {string} quantity
   * @param {number} inside
   * @param {number} digits
   * @param {boolean} [signed]
   */
  fixed(quantity, inside, digits, signed = false) {
    if (!Number.isFinite(inside)) return "–";
    const text = trueMinus(this.shown(quantity, inside).toFixed(digits));
    return spoken(signed && !text.startsWith("−") && Number(text) !== 0 ? `+${text}` : text);
  }

  /**
   * The number and its unit.
   * @param {string} quantity
   * @param {number} inside
   * @param {boolean} [signed]
   * @param {number} [most]
   */
  full(quantity, inside, signed = false, most = 9) {
    const unit = this.unit(quantity);
    return unit ? `${this.text(quantity, inside, signed, most)} ${unit}` : this.text(quantity, inside, signed, most);
  }
}

/** @param {number} value */
function scientific(value) {
  if (value === 0) return "0";
  const [mantissa, power] = value.toExponential(1).split("e");
  return `${spoken(trueMinus(mantissa ?? ""))}·10${superscript(Number(power))}`;
}

/**
 * Plant time as h:mm:ss.
 * @param {number} seconds
 */
export function plantTime(seconds) {
  const whole = Math.max(0, Math.floor(seconds + 1e-6));
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  return `${Math.floor(whole / 3600)}:${two(Math.floor(whole / 60) % 60)}:${two(whole % 60)}`;
}
