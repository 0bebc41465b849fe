// Pegging steam of the open heater: its valve follows the tank's pressure, or a hand.

import { createByHand } from "./byhand.js";
import { say } from "./words.js";

/**
 * What flows of it [kg/s]; 0 where the plant has none.
 * @param {import("./store.js").Store} store
 * @param {string} id  the open heater
 */
export const peggingFlow = (store, id) => (store.has(`${id}.pegging_flow`) ? store.get(`${id}.pegging_flow`) : 0);

/**
 * Steam that an open heater takes, in words: what its extraction line passes, and pegging steam while it flows.
 * @param {import("./app.js").App} app
 * @param {string} id
 * @param {string} line  what the line passes, in words
 */
export function steamWords({ store, units }, id, line) {
  const flow = peggingFlow(store, id);
  return flow > 0 ? say("and_pegging", { steam: line, flow: units.full("mass_flow", flow, false, 1) }) : line;
}

/**
 * @param {import("./app.js").App} app
 * @param {import("./types.js").Heater} heater
 */
export function createPegging(app, heater) {
  const { id } = heater;
  const controller = `${id}.pegging`;
  return createByHand(app, {
    kind: "drain pegging",
    device: id,
    heater: heater.name,
    name: say("pegging_steam"),
    key: `${id}-pegging`,
    way: ` ← ${say("auxiliary_header")}`,
    signals: { flow: `${id}.pegging_flow`, opening: `${id}.pegging_valve`, hand: `${id}.pegging_hand` },
    actions: { move: "move_pegging", take: "take_pegging", release: "release_pegging" },
    data: {},
    release: () => ({ do: "set_controller", id: controller, mode: "auto" }),
    move: (output) => ({ do: "set_controller", id: controller, mode: "manual", output }),
  });
}
