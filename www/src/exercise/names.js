// Devices and signals by name, as a trainee says them.

import { fullNameOf } from "../trends/names.js";
import { say } from "../words.js";

/** @param {import("../app.js").App} app @param {string} device */
export const nameOfDevice = (app, device) => (device === "unit" ? say("device_unit") : app.short(device));

/** @param {import("../app.js").App} app @param {string} id  of a signal */
export const nameOfSignal = (app, id) => (app.store.has(id) ? fullNameOf(app, id) : id);

/** Everything that can be named as an answer: heaters in the water's order, then what else the plant has. @param {import("../app.js").App} app */
export function devicesOf(app) {
  const heaters = app.manifest.heaters.map(({ id }) => id);
  const others = app.manifest.signals.map(({ device }) => device).filter((one) => one !== "unit" && !heaters.includes(one));
  return [...heaters, ...new Set(others)];
}

/** Text as paragraphs; it stays text. @param {string} text */
export const paragraphs = (text) => text.split(/\n\s*\n/).map((part) => part.trim()).filter(Boolean);
