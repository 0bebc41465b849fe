// What a plant has that an exercise can name: signals, heaters, devices, controllers, alarms. Asked of the plant itself.

import { Session } from "bledsteam_web";
import { say, sayOr } from "../words.js";

/**
 * @typedef {import("../types.js").Manifest} Manifest
 * @typedef {{ manifest: Manifest, closed: string[], devices: string[], pumps: string[], feedPumps: string[], controllers: string[],
 *   rows: string[], alarms: string[], signal: (id: string) => import("bledsteam_web").Signal | undefined }} Names
 */

/** Of shipped plants, by name. @type {Map<string, Names | null>} */
const shipped = new Map();
/** Of plants that exercises carry. @type {WeakMap<object, Names | null>} */
const carried = new WeakMap();

/**
 * @param {{ plant?: any, plant_file?: any }} exercise  as it is written, faulty or not
 * @returns {Names | null}  null where its plant is not at hand, or cannot be run
 */
export function namesOf({ plant, plant_file: own }) {
  const held = typeof own === "object" && own !== null;
  const had = held ? carried.get(own) : shipped.get(plant);
  if (had !== undefined) return had;
  const names = asked(() => (held ? Session.of_file(JSON.stringify(own)) : new Session(String(plant))));
  if (held) carried.set(own, names);
  else shipped.set(plant, names);
  return names;
}

/** @param {() => Session} open @returns {Names | null} */
function asked(open) {
  /** @type {Session} */
  let session;
  try {
    session = open();
  } catch {
    return null;
  }
  const manifest = session.manifest();
  const devices = [...new Set(manifest.signals.map((signal) => signal.device))];
  const index = new Map(manifest.signals.map((signal) => [signal.id, signal]));
  const names = {
    manifest,
    closed: manifest.heaters.filter((heater) => heater.kind === "closed").map((heater) => heater.id),
    devices,
    pumps: devices.filter((device) => /^(fp|cp)\d+$/.test(device)),
    feedPumps: devices.filter((device) => /^fp\d+$/.test(device)),
    controllers: session.controllers().map((one) => one.id),
    rows: session.protection().map((one) => one.id),
    alarms: session.alarms().map((one) => one.id),
    signal: (/** @type {string} */ id) => index.get(id),
  };
  session.free();
  return names;
}

/**
 * A device's short name, as on a drawing of its own plant.
 * @param {Names | null} names
 * @param {string} device
 */
export function shortOf(names, device) {
  if (device === "unit") return say("device_unit");
  const pump = /^(fp|cp)(\d+)$/.exec(device);
  if (pump) return say(pump[1] === "fp" ? "short_feed_pump" : "short_condensate_pump", { n: pump[2] ?? "" });
  const [own = device, part] = device.split(".");
  const heater = names?.manifest.heaters.find((one) => one.id === own);
  if (!heater) return sayOr(`device_${device}`, device);
  const word = heater.kind === "open" ? "short_open" : heater.side === "high" ? "short_high" : "short_low";
  const name = say(word, { n: heater.number });
  return part ? `${name}, ${sayOr(part, part.replaceAll("_", " "))}` : name;
}
