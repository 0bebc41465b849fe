// Pegging steam of the open heater: its valve follows the tank's pressure, or a hand.

import { createByHand } from "./byhand.js";
import { say } from "./words.js";

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
