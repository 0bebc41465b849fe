// Where everything in the picture of the flows stands. No elements here.

/** How wide a place is, next to a closed heater's. */
const SHARES = { condenser: 1.15, closed: 1, open: 1.12, pump: 0.62, boiler: 0.85 };

/** Room above the turbine for heating steam (px). */
export const HEATING = 9;

/**
 * @typedef {object} Place
 * @property {"condenser" | "closed" | "open" | "pump" | "boiler"} kind
 * @property {string} id
 * @property {number} left   of its vessel
 * @property {number} right
 * @property {number} x      its middle
 * @property {number} water  height of the water's middle line
 * @property {number} drain  height of the lower edge of its drain
 *
 * @typedef {object} Places
 * @property {number} width
 * @property {number} height
 * @property {boolean} compact  too narrow for figures
 * @property {(flow: number) => number} wide  px of a flow in kg/s
 * @property {number} turbine   upper edge of the turbine's band
 * @property {number} lanes     height at which drains to the condenser run back, the first of them
 * @property {Place[]} places
 */

/**
 * @param {number} width
 * @param {number} height
 * @param {import("../types.js").Heater[]} heaters
 * @param {number} most  kg/s, the largest flow at design
 * @param {number} drains  kg/s, the largest drain at design
 * @param {boolean} heating  whether steam to a reheater runs above the turbine
 * @returns {Places}
 */
export function placesOf(width, height, heaters, most, drains, heating) {
  const compact = width < 700;
  /** @type {{ kind: Place["kind"], id: string }[]} */
  const kinds = [{ kind: "condenser", id: "condenser" }];
  for (const { kind, id } of heaters) {
    kinds.push({ kind, id });
    if (kind === "open") kinds.push({ kind: "pump", id: "pump" });
  }
  if (!kinds.some(({ kind }) => kind === "pump")) kinds.splice(1, 0, { kind: "pump", id: "pump" });
  kinds.push({ kind: "boiler", id: "boiler" });

  const thick = Math.min(64, Math.max(26, height * 0.135));
  const wide = (/** @type {number} */ flow) => Math.max(1, (flow / most) * thick);
  const turbine = (compact ? 22 : 30) + (heating ? HEATING : 0);
  const lanes = height - 16;
  // The stair: the hottest heater stands close under the turbine, the coldest above the lanes of the condenser's drains.
  const gap = wide(drains) + (compact ? 8 : 14);
  const highest = turbine + thick + (compact ? 34 : 48) + gap + thick / 2;
  const lowest = lanes - (compact ? 30 : 38) - thick / 2;
  const total = kinds.reduce((sum, { kind }) => sum + SHARES[kind], 0);
  const one = (width - 8) / total;
  let left = 4;
  const places = kinds.map(({ kind, id }, at) => {
    const room = SHARES[kind] * one;
    const x = left + room / 2;
    const half =
      kind === "condenser"
        ? room / 2 - (compact ? 3 : 13)
        : kind === "boiler"
          ? room / 2 - 2
          : Math.min(46, room * (compact ? 0.4 : 0.29));
    left += room;
    const water = lowest + ((highest - lowest) * at) / (kinds.length - 1);
    return { kind, id, x, left: x - half, right: x + half, water, drain: water - thick / 2 - (compact ? 5 : 8) };
  });
  return { width, height, compact, wide, turbine, lanes, places };
}
