// Bands as wide as their flows: their lines and outlines, and the element that can be pointed at and focused.

import { s } from "../dom.js";

/** @typedef {import("./flows.js").Stream} Stream */

/** A coordinate. */
export const n = (/** @type {number} */ value) => value.toFixed(1);
/** A path's beginning. */
export const from = (/** @type {number} */ x, /** @type {number} */ y) => `M${n(x)} ${n(y)}`;
/** On from (x1, y1) to (x2, y2), level at both ends. */
export const wave = (
  /** @type {number} */ x1,
  /** @type {number} */ y1,
  /** @type {number} */ x2,
  /** @type {number} */ y2,
) => {
  const middle = n((x1 + x2) / 2);
  return `C${middle} ${n(y1)} ${middle} ${n(y2)} ${n(x2)} ${n(y2)}`;
};

/**
 * One stream: a band as wide as its flow, with a wider zone around it for the pointer and the focus.
 * @param {Stream} stream
 * @param {string} d  its middle line; the outline, if the width is 0
 * @param {number} width
 */
export function band({ id, kind, name, facts }, d, width) {
  const shape = width > 0 ? "line" : "outline";
  return s(
    "g",
    {
      class: `band ${shape}`,
      "data-kind": kind,
      role: "img",
      tabindex: -1,
      "data-band": id,
      "aria-label": `${name}: ${facts}`,
    },
    s("path", { class: "zone", d, "stroke-width": n(width > 0 ? Math.max(12, width + 7) : 7) }),
    s("path", { class: "body", d, ...(width > 0 ? { "stroke-width": n(width) } : {}) }),
  );
}

/**
 * The outline of a wide band that rises from (x1, y1) to (x2, y2) and goes on level to x3. As a thick line it would
 * tear where the rise is steep.
 * @param {number} width
 * @param {[number, number]} begin
 * @param {[number, number]} end
 * @param {number} x3
 */
export function ribbon(width, [x1, y1], [x2, y2], x3) {
  const half = width / 2;
  const upper = `${from(x1, y1 - half)}${wave(x1, y1 - half, x2, y2 - half)}H${n(x3)}`;
  return `${upper}V${n(y2 + half)}H${n(x2)}${wave(x2, y2 + half, x1, y1 + half)}z`;
}
