// One drain valve of a closed heater.

import { createByHand } from "./byhand.js";
import { say } from "./words.js";

/**
 * @param {import("./app.js").App} app
 * @param {import("./types.js").Heater} heater
 * @param {"normal" | "emergency"} valve
 * @param {string} target  where it drains to, in words
 */
export function createDrainControl(app, heater, valve, target) {
  const { id } = heater;
  return createByHand(app, {
    kind: `drain ${valve}`,
    device: id,
    heater: heater.name,
    name: say(`${valve}_drain`),
    key: `${id}-${valve}`,
    way: ` → ${target}`,
    signals: { flow: `${id}.${valve}_drain_flow`, opening: `${id}.${valve}_drain_valve`, hand: `${id}.${valve}_drain_hand` },
    actions: { move: "move_drain", take: "take_drain", release: "release_drain" },
    data: { "data-valve": valve },
    release: () => ({ do: "release_drain", heater: id, valve }),
    move: (position) => ({ do: "move_drain", heater: id, valve, position }),
  });
}
