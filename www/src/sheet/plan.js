// Where everything stands on the flow sheet, for any number of heaters. No elements here.

/**
 * @typedef {object} Place
 * @property {string} id
 * @property {number} x      the middle
 * @property {number} left
 * @property {number} right
 *
 * @typedef {object} Plan
 * @property {number} width
 * @property {number} height
 * @property {number} column   width of a heater's column
 * @property {Place[]} heaters  in the water's order
 * @property {Place} condenser
 * @property {Place | null} pumps  behind the open heater
 * @property {Place} boiler
 * @property {Record<"turbine" | "band" | "flow" | "stop" | "back" | "round" | "shell" | "water" | "foot" | "drain" | "lower" | "header" | "condenser" | "pump", number>} y
 */

/** Least width of a heater's column and height of the whole (px): below it the picture is made smaller. */
export const LEAST_COLUMN = 86;
export const LEAST_HEIGHT = 492;
const SHARES = { condenser: 1.5, closed: 1, open: 1.12, pumps: 0.86, boiler: 0.95 };

/** @param {import("../types.js").Heater[]} heaters */
const shares = (heaters) =>
  SHARES.condenser +
  SHARES.boiler +
  heaters.reduce((sum, { kind }) => sum + SHARES[kind] + (kind === "open" ? SHARES.pumps : 0), 0);

/** @param {import("../types.js").Heater[]} heaters */
export const leastWidth = (heaters) => shares(heaters) * LEAST_COLUMN;

/**
 * @param {number} width
 * @param {number} height
 * @param {import("../types.js").Heater[]} heaters
 * @returns {Plan}
 */
export function planSheet(width, height, heaters) {
  const column = (width - 8) / shares(heaters);
  let left = 4;
  const place = (/** @type {string} */ id, /** @type {number} */ share) => {
    const right = left + share * column;
    // The condenser stands at the outer edge: its condensate rises between it and the first heater.
    const x = id === "condenser" ? left + 44 : (left + right) / 2;
    const here = { id, left, right, x };
    left = right;
    return here;
  };
  const condenser = place("condenser", SHARES.condenser);
  /** @type {Place | null} */
  let pumps = null;
  const row = heaters.map((heater) => {
    const here = place(heater.id, SHARES[heater.kind]);
    if (heater.kind === "open") pumps = place("pumps", SHARES.pumps);
    return here;
  });
  const boiler = place("boiler", SHARES.boiler);
  // Heights as shares of what there is, so that a tall picture is not a small one with empty ground.
  const k = height / LEAST_HEIGHT;
  const y = {
    turbine: 8,
    band: 52,
    flow: 52 + 36 * k,
    stop: 52 + 76 * k,
    back: 52 + 104 * k,
    round: 52 + 124 * k,
    shell: 52 + 148 * k,
    water: 52 + 204 * k,
    foot: 52 + 250 * k,
    pump: 52 + 274 * k,
    drain: 52 + 314 * k,
    lower: 52 + 356 * k,
    header: 52 + 386 * k,
    condenser: 52 + 300 * k,
  };
  return { width, height, column, heaters: row, condenser, pumps, boiler, y };
}
