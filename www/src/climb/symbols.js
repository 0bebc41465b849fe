// The few symbols of the climb: valves after ISO 10628 (two triangles, tip to tip), pump, gap with its figure.

import { s, set, show } from "../dom.js";

/**
 * A valve: hollow while open, half filled while it moves or throttles, filled with a bar when shut.
 * @param {boolean} upright  on a vertical line
 */
export function createValve(upright) {
  const a = s("path", { class: "valve-half", d: upright ? "M-6 -7h12L0 0z" : "M-7 -6v12L0 0z" });
  const b = s("path", { class: "valve-half", d: upright ? "M-6 7h12L0 0z" : "M7 -6v12L0 0z" });
  const bar = s("path", { class: "valve-bar", d: upright ? "M-8 0h16" : "M0 -8v16" });
  const el = s("g", { class: "valve" }, a, b, bar);
  return {
    el,
    /**
     * @param {number} x
     * @param {number} y
     * @param {number} open  0..1
     */
    update(x, y, open) {
      set(el, {
        transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`,
        "data-open": open <= 0.005 ? "shut" : open >= 0.995 ? "open" : "part",
      });
    },
  };
}

/** A non-return valve: a triangle in the direction of flow against its seat. */
export function createNonReturn() {
  const el = s(
    "g",
    { class: "valve" },
    s("path", { class: "valve-half", d: "M-5 -5h10L0 3z" }),
    s("path", { class: "valve-seat", d: "M-5 4h10" }),
  );
  return {
    el,
    /**
     * @param {number} x
     * @param {number} y
     * @param {number} open
     */
    update(x, y, open) {
      set(el, {
        transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`,
        "data-open": open <= 0.005 ? "shut" : "open",
      });
    },
  };
}

/** @param {number} radius */
export function createPump(radius) {
  const r = radius;
  return s(
    "g",
    { class: "pump" },
    s("circle", { r }),
    s("path", { d: `M${-r * 0.5} ${-r * 0.86}L${r} 0L${-r * 0.5} ${r * 0.86}` }),
  );
}

/** Width of a letter of a gap's figure (px), rather more than less. */
const LETTER = 7.2;

/** Pixels per kelvin in a magnified gap: about twice the picture's own scale. */
const MAGNIFIED = 3.6;

/**
 * A gap of few kelvin drawn magnified, as a dimension with its figure beside it.
 * @param {string} tag    TTD or DCA
 * @param {SVGTextElement} figure
 * @param {1 | -1} side   which side of the line the figure is on
 */
export function createGap(tag, figure, side) {
  const line = s("path", { class: "gap-line" });
  const name = s("text", { class: "gap-tag", text: tag, "text-anchor": side > 0 ? "start" : "end" });
  figure.setAttribute("class", "gap-figure");
  figure.setAttribute("text-anchor", side > 0 ? "start" : "end");
  const el = s("g", { class: "gap" }, line, name, figure);
  return {
    el,
    /**
     * @param {number} x
     * @param {number} y       the gap's foot when it hangs above, its head when below
     * @param {number} kelvin
     * @param {boolean} above
     * @param {number} edge    where the neighbour begins: the figure keeps off it
     * @param {number} down    how much lower the figure stands to be clear of the water, negative higher
     */
    update(x, y, kelvin, above, edge, down) {
      const shown = Number.isFinite(kelvin);
      show(el, shown);
      if (!shown) return;
      const long = Math.min(30, Math.max(2, Math.abs(kelvin) * MAGNIFIED));
      const end = above ? y - long : y + long;
      set(line, { d: `M${(x - 3.5).toFixed(1)} ${y.toFixed(1)}h7m-3.5 0V${end.toFixed(1)}m-3.5 0h7` });
      set(line, { "data-sign": kelvin < 0 ? "crossed" : "clear" });
      // A crossed gap is short: its figure stands over it, not beside.
      const base = above ? y - 1 + (down > 0 ? down : Math.min(down, kelvin < 0 ? -long : 0)) : y + 22;
      const clear = (/** @type {number} */ width) => side * Math.min(side * (x + side * 6), side * edge - width - 3);
      set(figure, { x: clear(LETTER * (figure.textContent ?? "").length), y: base });
      set(name, { x: clear(20), y: base - 12.5 });
    },
  };
}
