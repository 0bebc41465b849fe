// The chart of the trends: pens on one or two axes, events across, zoom by dragging.

import uPlot from "uplot";
import { markEvents } from "../events-mark.js";
import { colour } from "../theme.js";
import { plantTime, tickText } from "../units.js";
import { DASHES } from "./pens.js";

/**
 * @param {import("../app.js").App} app
 * @param {object} place
 * @param {{ id: string, place: number }[]} place.pens
 * @param {string[]} place.quantities   one or two; the first on the left
 * @param {number} place.width
 * @param {number} place.height
 * @param {HTMLElement} place.into
 * @param {() => [number, number]} place.span       shown plant time
 * @param {(from: number, to: number) => void} place.zoom
 * @param {(time: number | null) => void} place.hover
 */
export function createPlot(app, { pens, quantities, width, height, into, span, zoom, hover }) {
  const { units } = app;
  const ink = colour("ink-soft");
  const grid = { stroke: colour("grid"), width: 1 };
  const font = `12px ${getComputedStyle(document.body).fontFamily}`;
  const scale = (/** @type {string} */ quantity) => `q-${quantity}`;
  /** @type {uPlot.Scales} */
  const scales = { x: { time: false, range: () => span() } };
  for (const quantity of quantities) {
    // Noise in the last digit is not blown up to a mountain.
    const { digits } = units.display(quantity);
    const least = 20 * 10 ** -digits;
    scales[scale(quantity)] = {
      range: (_, low, high) => {
        if (!Number.isFinite(low) || !Number.isFinite(high)) return [0, 1];
        const half = (Math.max(high - low, least) / 2) * 1.1;
        return [(low + high) / 2 - half, (low + high) / 2 + half];
      },
    };
  }
  /** @type {uPlot.Axis[]} */
  const axes = [
    {
      stroke: ink,
      grid,
      ticks: { stroke: grid.stroke, width: 1, size: 4 },
      font,
      size: 26,
      gap: 3,
      space: 80,
      incrs: [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 28800, 86400],
      values: (_, marks) => marks.map((mark) => (mark >= 0 ? plantTime(mark) : "")),
    },
    ...quantities.map((quantity, at) => ({
      scale: scale(quantity),
      side: /** @type {0 | 1 | 2 | 3} */ (at === 0 ? 3 : 1),
      stroke: ink,
      grid: at === 0 ? grid : { show: false },
      ticks: { show: false },
      font,
      size: 62,
      gap: 5,
      space: 34,
      values: (/** @type {uPlot} */ _, /** @type {number[]} */ marks) => {
        const step = Math.abs((marks[1] ?? 0) - (marks[0] ?? 0));
        // As many as the step has: 2.5 needs one.
        const digits = [0, 1, 2, 3].find((one) => Math.abs(step * 10 ** one - Math.round(step * 10 ** one)) < 1e-6) ?? 4;
        return marks.map((mark) => tickText(mark, digits));
      },
    })),
  ];
  const plot = new uPlot(
    {
      width,
      height,
      legend: { show: false },
      padding: [14, quantities.length < 2 ? 14 : 0, 0, 0],
      cursor: { y: false, drag: { x: true, y: false, setScale: false }, points: { size: 8 } },
      scales,
      axes,
      series: [
        {},
        ...pens.map(({ id, place }) => ({
          scale: scale(app.store.quantity(id)),
          stroke: colour(`pen-${place}`),
          width: 2,
          points: { show: false },
          dash: DASHES[place] ?? [],
        })),
      ],
      hooks: {
        draw: [
          (plot) => {
            const { ctx, bbox } = plot;
            ctx.save();
            ctx.beginPath();
            ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
            ctx.clip();
            markEvents(app, plot, span()[0], true);
            ctx.restore();
          },
        ],
        setSelect: [
          (plot) => {
            const { left, width } = plot.select;
            if (width > 4) zoom(plot.posToVal(left, "x"), plot.posToVal(left + width, "x"));
            plot.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
          },
        ],
        setCursor: [
          (plot) => {
            const left = plot.cursor.left ?? -1;
            hover(left >= 0 ? plot.posToVal(left, "x") : null);
          },
        ],
      },
    },
    [[], ...pens.map(() => [])],
    into,
  );
  // The wheel zooms about the pointer; with shift, or sideways, it moves along.
  plot.over.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      const [from, to] = span();
      const along = event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY);
      if (along) {
        const by = (Math.sign(event.deltaX || event.deltaY) * (to - from)) / 10;
        zoom(from + by, to + by);
        return;
      }
      const at = plot.posToVal(plot.cursor.left ?? 0, "x");
      const factor = event.deltaY > 0 ? 1.25 : 0.8;
      zoom(at - (at - from) * factor, at + (to - at) * factor);
    },
    { passive: false },
  );
  return plot;
}
