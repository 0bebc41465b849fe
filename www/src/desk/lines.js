// A small chart of one signal: lines over plant time, drawn as shapes of the page. Two outcomes, or a guess and what came.

import { s } from "../dom.js";
import { plantTime, tickText } from "../units.js";

export const WIDTH = 640;
const LEFT = 58;
const RIGHT = 12;
const TOP = 10;
const BOTTOM = 22;

/** A round step near a span's fifth. @param {number} span */
function round(span) {
  const rough = span / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  return ([1, 2, 5, 10].find((one) => one * power >= rough) ?? 10) * power;
}
/** Round steps of time (s). */
const TIMES = [10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600];

/** @typedef {{ points: [number, number][], style: string }} Line  time (s) and value as shown */

/**
 * @param {object} of
 * @param {Line[]} of.lines
 * @param {[number, number]} of.span      plant time (s)
 * @param {[number, number]} [of.values]  values as shown; of the lines where not given
 * @param {number} of.least               the least height of the axis, as shown
 * @param {number | null} [of.now]        a dotted line stands there
 * @param {number} [of.height]            of the picture, whose width is 640
 */
export function chart({ lines, span, values, least, now = null, height = 190 }) {
  const all = lines.flatMap(({ points }) => points.map(([, value]) => value)).filter(Number.isFinite);
  let [low, high] = values ?? [Math.min(...all), Math.max(...all)];
  if (!Number.isFinite(low) || !Number.isFinite(high)) [low, high] = [0, 1];
  if (!values) {
    const middle = (low + high) / 2;
    const half = (Math.max(high - low, least) / 2) * 1.12;
    [low, high] = [middle - half, middle + half];
  }
  const x = (/** @type {number} */ time) => LEFT + ((time - span[0]) / Math.max(1e-9, span[1] - span[0])) * (WIDTH - LEFT - RIGHT);
  const y = (/** @type {number} */ value) => TOP + (1 - (value - low) / Math.max(1e-12, high - low)) * (height - TOP - BOTTOM);
  const step = round(high - low);
  const digits = Math.max(0, Math.min(4, -Math.floor(Math.log10(step) + 1e-9)));
  const marks = [];
  for (let v = Math.ceil(low / step) * step; v <= high + step * 1e-6; v += step) marks.push(v);
  const every = TIMES.find((one) => (span[1] - span[0]) / one <= 7) ?? 7200;
  const times = [];
  for (let t = Math.ceil(span[0] / every) * every; t <= span[1] - (span[1] - span[0]) * 0.04; t += every) times.push(t);
  const path = (/** @type {[number, number][]} */ points) =>
    points
      .filter(([, value]) => Number.isFinite(value))
      .map(([time, value], at) => `${at ? "L" : "M"}${x(time).toFixed(1)} ${y(value).toFixed(1)}`)
      .join("");
  const el = s(
    "svg",
    { viewBox: `0 0 ${WIDTH} ${height}`, class: "lines", "aria-hidden": "true" },
    ...marks.map((v) => s("path", { d: `M${LEFT} ${y(v).toFixed(1)}H${WIDTH - RIGHT}`, class: "lines-grid" })),
    ...marks.map((v) => s("text", { x: LEFT - 6, y: y(v) + 4, class: "lines-mark end", text: tickText(v, digits) })),
    ...times.map((t) => s("path", { d: `M${x(t).toFixed(1)} ${TOP}V${height - BOTTOM}`, class: "lines-grid" })),
    ...times.map((t) => s("text", { x: x(t), y: height - 6, class: "lines-mark middle", text: plantTime(t) })),
    now !== null && now > span[0] && now < span[1] ? s("path", { d: `M${x(now).toFixed(1)} ${TOP}V${height - BOTTOM}`, class: "lines-now" }) : null,
    ...lines.map(({ points, style }) => s("path", { d: path(points), class: `line ${style}` })),
  );
  return {
    el,
    x,
    y,
    /** @param {number} px */
    time: (px) => span[0] + ((px - LEFT) / (WIDTH - LEFT - RIGHT)) * (span[1] - span[0]),
    /** @param {number} py */
    value: (py) => low + (1 - (py - TOP) / (height - TOP - BOTTOM)) * (high - low),
  };
}
