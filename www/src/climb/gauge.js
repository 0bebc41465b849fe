// A gauge glass with its marks: low, high, emergency, high-high.

import { s, set } from "../dom.js";

/**
 * @param {import("../types.js").LevelMarks | null} marks
 * @param {number} reach  mm to either side of normal
 * @param {number} wide   px
 */
export function createGauge(marks, reach, wide) {
  const glass = s("rect", { class: "glass", rx: 2 });
  const water = s("rect", { class: "glass-water", rx: 1 });
  const ruling = s("path", { class: "glass-marks" });
  const outer = s("path", { class: "glass-marks outer" });
  const pointer = s("path", { class: "glass-pointer" });
  const el = s("g", { class: "gauge", "aria-hidden": "true" }, glass, water, ruling, outer, pointer);
  return {
    el,
    /**
     * @param {number} x
     * @param {number} y
     * @param {number} height
     * @param {number} level   mm about normal
     * @param {string} weight
     */
    update(x, y, height, level, weight) {
      const at = (/** @type {number} */ mm) =>
        y + height / 2 - (Math.max(-reach, Math.min(reach, mm)) / reach) * (height / 2);
      const surface = at(Number.isFinite(level) ? level : 0);
      set(el, { "data-weight": weight });
      set(glass, { x, y, width: wide, height });
      set(water, { x: x + 1, y: surface, width: wide - 2, height: Math.max(0, y + height - surface - 1) });
      const tick = (/** @type {number} */ mm, /** @type {number} */ from, /** @type {number} */ to) =>
        `M${(x + from).toFixed(1)} ${at(mm).toFixed(1)}h${to}`;
      set(ruling, { d: tick(0, -2, wide + 4) + (marks ? tick(marks.low, 0, wide) + tick(marks.high, 0, wide) : "") });
      if (marks) set(outer, { d: tick(marks.emergency, 0, wide + 2) + tick(marks.high_high, 0, wide + 2) });
      set(pointer, { d: `M${(x + wide).toFixed(1)} ${surface.toFixed(1)}l5 -3.5v7z` });
    },
  };
}
