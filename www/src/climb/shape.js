// The geometry of one heater from its temperatures: shell, water inside, steam side, and the gaps between them.

/** @typedef {[number, number]} Point */

/**
 * @typedef {object} Shape
 * @property {number} left
 * @property {number} right
 * @property {number} top
 * @property {number} bottom
 * @property {number} cold    where the water enters the tubes
 * @property {number} warm    where it leaves them
 * @property {number} yIn
 * @property {number} yOut
 * @property {number} ySat    height of saturation, as drawn
 * @property {number} yDrain
 * @property {Point[]} water  along the tubes
 */

const SAMPLES = 10;
const LEAST_HEIGHT = 58;
/** Room (px) above the water's inlet that a gauge needs; with less it stands under the water, and the shell is drawn so far down. */
export const GAUGE_ABOVE = 36;
export const GAUGE_BELOW = 56;
/** An empty shell may lie far below the water: it is drawn hanging under its step, not among the others. */
const LOWEST_HANG = 36;

/**
 * The water in the tubes nears the shell's temperature as an exponential does; its end points are the measured ones.
 * @param {number} tIn
 * @param {number} tOut
 * @param {number} tSat
 */
function approach(tIn, tOut, tSat) {
  const units = Math.log(Math.max(1e-6, tSat - tIn) / Math.max(0.06 * Math.max(1e-6, tSat - tIn), tSat - tOut));
  const k = Math.min(2.8, Math.max(0.05, Number.isFinite(units) ? units : 0.05));
  return (/** @type {number} */ along) => tIn + (tOut - tIn) * ((1 - Math.exp(-k * along)) / (1 - Math.exp(-k)));
}

/**
 * @param {import("./layout.js").Layout} layout
 * @param {import("./layout.js").Column} column
 * @param {{ tIn: number, tOut: number, tSat: number, tDrain: number }} t  °C
 * @returns {Shape}
 */
export function heaterShape(layout, column, t) {
  const { y, vessel, compact, tight } = layout;
  const left = column.x - vessel / 2;
  const right = column.x + vessel / 2;
  const cold = left + (compact ? 8 : tight ? 16 : 22);
  const warm = right - (compact ? 3 : 6);
  const yIn = y(t.tIn);
  const yOut = y(t.tOut);
  const ySat = Math.min(y(t.tSat), yIn + LOWEST_HANG);
  const top = Math.min(ySat, column.kind === "open" ? ySat : Math.max(yOut, ySat - 12)) - (compact ? 5 : 9);
  const yDrain = Math.min(Math.max(y(t.tDrain), ySat), Math.max(ySat, yIn) + 40);
  const foot = Math.max(ySat > yIn ? ySat : yIn, yDrain) + (compact ? 7 : 12);
  const low = !compact && column.kind === "closed" && yIn - top < GAUGE_ABOVE ? yIn + GAUGE_BELOW : foot;
  const bottom = Math.max(foot, low, top + (compact ? 34 : LEAST_HEIGHT));
  const curve = approach(t.tIn, t.tOut, t.tSat);
  /** @type {Point[]} */
  const water = [];
  for (let at = 0; at <= SAMPLES; at += 1) {
    const along = at / SAMPLES;
    water.push([cold + (warm - cold) * along, y(curve(along))]);
  }
  return { left, right, top, bottom, cold, warm, yIn, yOut, ySat, yDrain, water };
}

/**
 * The shell side from the warm end to the cold: a step for superheat, flat while it condenses, a fall where the
 * drain is cooled.
 * @param {Shape} shape
 * @param {boolean} superheat
 * @returns {Point[]}
 */
export function shellSide({ cold, warm, ySat, yDrain }, superheat) {
  const length = warm - cold;
  /** @type {Point[]} */
  const points = superheat
    ? [
        [warm, ySat - 7],
        [warm - length * 0.08, ySat - 2.5],
        [warm - length * 0.16, ySat],
      ]
    : [[warm, ySat]];
  points.push([cold + length * 0.26, ySat], [cold + length * 0.1, ySat + (yDrain - ySat) * 0.45], [cold, yDrain]);
  return points;
}

/** @param {Point[]} points */
export function pathOf(points) {
  let d = "";
  for (const [x, y] of points) d += `${d ? "L" : "M"}${x.toFixed(1)} ${y.toFixed(1)}`;
  return d;
}
