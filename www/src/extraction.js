// What an extraction line passes: down into its heater, or back up to the turbine through a non-return valve that does not
// shut; and what its drain takes to the condenser.

import { say } from "./words.js";

/**
 * Flow into the heater [kg/s], below 0 back to the turbine, and whether it is water that runs back.
 * @param {import("./store.js").Store} store
 * @param {string} id  the heater
 */
export function lineFlow(store, id) {
  // Only a closed shell fills to its nozzle.
  const water = store.has(`${id}.inducted_flow`) ? store.get(`${id}.inducted_flow`) : 0;
  const back = store.get(`${id}.reverse_flow`) + water;
  return { flow: back > 0 ? -back : store.get(`${id}.extraction_flow`), water: water > 0 };
}

/**
 * What the drain of a line takes to the condenser [kg/s]; 0 where it has none.
 * @param {import("./store.js").Store} store
 * @param {string} id  the heater
 */
export const lineDrainFlow = (store, id) => (store.has(`${id}.line_drain_flow`) ? store.get(`${id}.line_drain_flow`) : 0);

/** Below it nothing is drawn to flow [kg/s]. */
export const DRAINS = 0.005;

/**
 * What a line passes in words, with what its drain takes while it takes any.
 * @param {import("./app.js").App} app
 * @param {string} id  the heater
 * @param {string} passes  what passes the line, in words
 */
export function lineWords({ store, units }, id, passes) {
  const flow = lineDrainFlow(store, id);
  return flow > DRAINS ? say("and_line_drain", { steam: passes, flow: units.full("mass_flow", flow, false, 2) }) : passes;
}

/**
 * What runs back, and how much, in words; none where nothing does.
 * @param {import("./app.js").App} app
 * @param {ReturnType<typeof lineFlow>} line
 */
export function backWords({ units }, { flow, water }) {
  return flow < 0 ? [say(water ? "line_water_back" : "line_steam_back"), units.full("mass_flow", -flow, false, 1)] : [];
}
