// One lane of the trend: one figure over plant time, what happened marked across it.

import uPlot from "uplot";
import { markEvents } from "./events-mark.js";
import { PENS } from "./store.js";
import { colour } from "./theme.js";
import { plantTime, tickText } from "./units.js";

/** The least height of a lane in inside units, so that noise is not blown up to a mountain: K, kW, kJ/kWh. */
const LEAST = [6, 4000, 60];
const AXIS = 52;
const TITLE = 17;
/** A mark's figure keeps so far off the edges of its lane (px). */
const EDGE = 4;
/** Height of the time axis under the last lane (px). */
export const FOOT = 22;

/**
 * @param {import("./app.js").App} app
 * @param {object} place
 * @param {number} place.pen       which of the pens, and so which lane
 * @param {number} place.width
 * @param {number} place.height
 * @param {HTMLElement | undefined} place.into
 * @param {() => number} place.minutes   length of the window
 * @param {(index: number | null) => void} place.hover  the sample under the pointer, told by the first lane
 */
export function createLane(app, { pen, width, height, into, minutes, hover }) {
  const { store, units } = app;
  const ink = colour("ink-soft");
  const grid = { stroke: colour("grid"), width: 1 };
  const font = `11px ${getComputedStyle(document.body).fontFamily}`;
  const last = pen === PENS.length - 1;
  const quantity = store.quantity(PENS[pen] ?? "");
  const least = (LEAST[pen] ?? 1) * units.display(quantity).factor;
  return new uPlot(
    {
      width,
      height,
      legend: { show: false },
      padding: [4, 8, last ? 0 : 4, 0],
      cursor: { y: false, drag: { x: false, y: false }, sync: { key: "bledsteam" }, points: { size: 7 } },
      scales: {
        x: {
          time: false,
          range: () => {
            const now = store.get("unit.time");
            return [now - minutes() * 60, now];
          },
        },
        y: {
          range: (_, low, high) => {
            const known = Number.isFinite(low) && Number.isFinite(high);
            const middle = known ? (low + high) / 2 : units.shown(quantity, store.get(PENS[pen] ?? ""));
            const half = (Math.max(known ? high - low : 0, least) / 2) * 1.12;
            // Head room for the lane's title, so that the line never runs under it.
            const title = Math.min(0.55, TITLE / Math.max(1, height - (last ? FOOT : 0)));
            return Number.isFinite(middle) ? [middle - half, middle + half + (2 * half * title) / (1 - title)] : [0, 1];
          },
        },
      },
      axes: [
        {
          show: true,
          size: last ? FOOT : 0,
          stroke: ink,
          grid,
          ticks: { show: last, stroke: grid.stroke, width: 1, size: 4 },
          font,
          gap: 3,
          space: 70,
          incrs: [30, 60, 120, 300, 600, 900],
          values: (_, marks) => {
            // None before the start, none that the right edge would cut.
            const now = store.get("unit.time");
            return marks.map((mark) =>
              last && mark >= 0 && mark < now - minutes() * 60 * 0.05 ? plantTime(mark) : "",
            );
          },
        },
        {
          size: AXIS,
          stroke: ink,
          grid,
          ticks: { show: false },
          font,
          gap: 4,
          space: 20,
          values: (plot, marks) => {
            const digits = marks.every((mark) => Number.isInteger(mark)) ? 0 : 1;
            // None that the lane's edge would cut, or that would meet its neighbour's, unless no other is left.
            const tall = height - (last ? FOOT : 0) - 8;
            const clear = (/** @type {number} */ mark) => Math.abs(plot.valToPos(mark, "y") - tall / 2) < tall / 2 - EDGE;
            const some = marks.some(clear);
            return marks.map((mark) => (!some || clear(mark) ? tickText(mark, digits) : ""));
          },
        },
      ],
      series: [
        {},
        { stroke: colour(`pen-${pen}`), width: 2, points: { show: false }, dash: [[], [9, 4], [2.5, 3]][pen] ?? [] },
      ],
      hooks: {
        draw: [(plot) => mark(app, plot, pen, minutes())],
        setCursor: [
          (plot) => {
            if (pen === 0) hover((plot.cursor.left ?? -1) >= 0 ? (plot.cursor.idx ?? null) : null);
          },
        ],
      },
    },
    [[], []],
    into,
  );
}

/**
 * Events as upright lines, their shapes in the first lane; the value from before as a faint level line.
 * @param {import("./app.js").App} app
 * @param {uPlot} plot
 * @param {number} pen
 * @param {number} minutes
 */
function mark(app, plot, pen, minutes) {
  const { store, units } = app;
  const { ctx, bbox } = plot;
  const px = devicePixelRatio;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  const reference = app.reference(PENS[pen] ?? "");
  if (Number.isFinite(reference)) {
    const y = plot.valToPos(units.shown(store.quantity(PENS[pen] ?? ""), reference), "y", true);
    ctx.strokeStyle = colour("ghost");
    ctx.lineWidth = px;
    ctx.setLineDash([2 * px, 4 * px]);
    ctx.beginPath();
    ctx.moveTo(bbox.left, y);
    ctx.lineTo(bbox.left + bbox.width, y);
    ctx.stroke();
  }
  markEvents(app, plot, store.get("unit.time") - minutes * 60, pen === 0);
  ctx.restore();
}
