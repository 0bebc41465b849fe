// Where everything in the climb stands across the picture, and how temperature becomes height. No elements here.

/**
 * @typedef {object} Column
 * @property {"condenser" | "closed" | "open" | "pump" | "boiler"} kind
 * @property {string} id      the heater's id, or the kind
 * @property {number} left
 * @property {number} right
 * @property {number} x       the middle
 *
 * @typedef {object} Layout
 * @property {number} width
 * @property {number} height
 * @property {boolean} compact   too narrow for figures: shapes and names only
 * @property {boolean} tight     narrow: figures stand closer
 * @property {number} axis       where the temperature axis ends and the water's way begins
 * @property {Column[]} columns
 * @property {number} vessel     width of a heater's shell
 * @property {(x: number) => number} band  the turbine's lower edge
 * @property {number} bandTop
 * @property {(celsius: number) => number} y
 * @property {(y: number) => number} celsius  the inverse of y
 */

/** How wide a place is, next to a closed heater's. */
const SHARES = { condenser: 0.8, closed: 1, open: 1.1, pump: 0.74, boiler: 1.08 };

/**
 * @param {number} width
 * @param {number} height
 * @param {import("../types.js").Heater[]} heaters
 * @param {{ cold: number, hot: number }} range  °C: coldest water at any load, hottest saturation at the design point
 * @returns {Layout}
 */
export function layOut(width, height, heaters, range) {
  const compact = width < 700;
  const axis = compact ? 30 : 44;
  /** @type {{ kind: Column["kind"], id: string }[]} */
  const places = [{ kind: "condenser", id: "condenser" }];
  for (const { kind, id } of heaters) {
    places.push({ kind, id });
    if (kind === "open") places.push({ kind: "pump", id: "pump" });
  }
  if (!places.some((place) => place.kind === "pump")) places.splice(1, 0, { kind: "pump", id: "pump" });
  places.push({ kind: "boiler", id: "boiler" });

  const shares = compact ? { ...SHARES, condenser: 0.6, boiler: 1.5 } : SHARES;
  const total = places.reduce((sum, place) => sum + shares[place.kind], 0);
  const one = (width - axis - 6) / total;
  let left = axis;
  const columns = places.map(({ kind, id }) => {
    const right = left + shares[kind] * one;
    const column = { kind, id, left, right, x: (left + right) / 2 };
    left = right;
    return column;
  });

  const bandTop = 6;
  // The turbine opens towards the condenser, as the steam needs ever more room.
  const [thin, thick] = compact ? [16, 28] : [24, 44];
  const first = columns[0]?.x ?? 0;
  const last = columns.at(-1)?.left ?? width;
  const band = (/** @type {number} */ x) => bandTop + thick + ((thin - thick) * (x - first)) / (last - first);

  const top = bandTop + thin + (compact ? 44 : 76);
  const bottom = height - (compact ? 46 : 74);
  const scale = (bottom - top) / (range.hot - range.cold);
  return {
    width,
    height,
    compact,
    tight: !compact && one < 88,
    axis,
    columns,
    band,
    bandTop,
    vessel: Math.min(86, one * (compact ? 0.74 : one < 88 ? 0.55 : 0.59)),
    y: (celsius) => bottom - (celsius - range.cold) * scale,
    celsius: (y) => range.cold + (bottom - y) / scale,
  };
}

/** The condenser's edge towards the heaters. @param {Layout} layout @param {Column} column */
export const condenserEdge = ({ compact, tight }, { x }) => x + (compact ? 10 : tight ? 12 : 18);

/** Where the water ends, inside the boiler. @param {Layout} layout @param {Column} column */
export const boilerEnd = ({ compact }, { left }) => left + (compact ? 8 : 34);

/**
 * Round marks for the axis, in the unit that is shown.
 * @param {number} low
 * @param {number} high
 */
export function ticks(low, high) {
  const step = [10, 20, 25, 50, 100, 200].find((size) => (high - low) / size <= 7) ?? 500;
  const marks = [];
  for (let mark = Math.ceil(low / step) * step; mark <= high; mark += step) marks.push(mark);
  return marks;
}
