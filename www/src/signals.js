// Elements that show one signal each. They carry its id and its value in inside units, for tests and for tools.

import { h, set, setText } from "./dom.js";
import { endSign } from "./ends.js";
import { noGap } from "./gaps.js";
import { say } from "./words.js";

/**
 * `digits`: at most so many after the point, where space is short.
 * @typedef {{ unit?: boolean, signed?: boolean, digits?: number }} Style
 */

/** @type {{ el: Element, id: string, style: Style }[]} */
const bound = [];

/**
 * Lets an element, of HTML or SVG, show a signal.
 * @template {Element} E
 * @param {E} el
 * @param {string} id
 * @param {Style} [style]
 * @returns {E}
 */
export function bind(el, id, style = {}) {
  el.setAttribute("data-signal", id);
  bound.push({ el, id, style });
  return el;
}

/** Forgets the elements that have left the page: the climb is drawn anew when its size changes. */
export function dropDetached() {
  for (let at = bound.length - 1; at >= 0; at -= 1) if (!bound[at]?.el.isConnected) bound.splice(at, 1);
}

/**
 * A new element that shows a signal with its unit.
 * @param {string} id
 * @param {Style} [style]
 */
export function value(id, style = {}) {
  return bind(h("span", { class: "value" }), id, { unit: true, ...style });
}

/**
 * The level of a shell about normal, as its transmitter shows it.
 * @param {import("./app.js").App} app
 * @param {string} heater
 */
export function levelText({ store, units }, heater) {
  const id = `${heater}.level`;
  const [sign, text] = [endSign(store, id), units.full("level_offset", store.get(id), true)];
  return sign ? `${sign} ${text}` : text;
}

/**
 * A signal in words: its number and unit, or why it has none.
 * @param {import("./app.js").App} app
 * @param {string} id
 */
export function fullText({ store, units }, id) {
  const why = noGap(store, id);
  return why ? `– (${say(why)})` : endSign(store, id) + units.full(store.quantity(id), store.get(id));
}

/**
 * @param {import("./app.js").App} app
 */
export function updateSignals({ store, units }) {
  for (const { el, id, style } of bound) {
    const inside = store.get(id);
    const quantity = store.quantity(id);
    const raw = String(inside);
    if (el.getAttribute("data-value") !== raw) el.setAttribute("data-value", raw);
    const why = noGap(store, id);
    set(el, { "data-none": why ? "yes" : null });
    if (why) {
      setText(el, style.unit ? `– ${say(why)}` : "–");
      continue;
    }
    const sign = endSign(store, id);
    set(el, { "data-end": sign || null });
    const number = sign + units.text(quantity, inside, style.signed, style.digits);
    const unit = style.unit ? units.unit(quantity) : "";
    setText(el, unit ? `${number} ${unit}` : number);
  }
}
