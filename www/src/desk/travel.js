// Moving the run in time: back to an instant, fast forward, to another start. The page's own memory follows: readings, trends
// and events behind the instant are forgotten, so that nothing is shown that has not happened.

import { asFault } from "../fault.js";

/** @typedef {import("../app.js").App} App */

/** Wall time that one portion of long work may take (ms), so that the page answers meanwhile. */
const PORTION_MS = 24;
/** Steps in one call: some milliseconds. */
const SLICE = 120;

/** Whether the reader's own plant has the views, not an exercise's: only that one has a desk. @param {App} app */
export const isOwn = (app) => "desk" in app.session;

/** The reader's own run. @param {App} app @returns {import("../engine.js").Session} */
export const own = (app) => /** @type {import("../engine.js").Session} */ (/** @type {unknown} */ (app.session));

/** The latest event that the plant has reported. @param {App} app */
const lastEvent = (app) => own(app).events(0).at(-1)?.seq ?? 0;

/**
 * Goes back to an instant of the run.
 * @param {App} app
 * @param {number} time  s of plant time
 * @returns {import("../types.js").Fault | null}
 */
export function goBack(app, time) {
  try {
    own(app).back(time);
  } catch (thrown) {
    return asFault(thrown);
  }
  app.stopped = null;
  app.store.cut(own(app).desk().time_s, lastEvent(app));
  app.seen = Math.min(app.seen, lastEvent(app));
  app.takeReading();
  app.version += 1;
  return null;
}

/**
 * After the session has gone to another run altogether: the page's memory begins anew.
 * @param {App} app
 */
export function begunAnew(app) {
  app.stopped = null;
  app.freeze();
  app.store.clear();
  app.seen = 0;
  app.takeReading();
  app.version += 1;
}

/**
 * Long work in portions between frames; what comes back says how it ended.
 * @param {(budget: number) => number} portion  works so long (ms) and gives the share that is done, 1 at the end
 * @param {(share: number) => void} tell
 * @param {AbortSignal} signal
 * @returns {Promise<"done" | "stopped">}
 */
export async function inPortions(portion, tell, signal) {
  for (;;) {
    const share = portion(PORTION_MS);
    tell(share);
    if (share >= 1) return "done";
    await new Promise((resolve) => setTimeout(resolve, 0));
    if (signal.aborted) return "stopped";
  }
}

/**
 * Runs the plant on to a time as fast as it goes.
 * @param {App} app
 * @param {number} time  s of plant time
 * @param {(share: number) => void} tell
 * @param {AbortSignal} signal
 */
export function runTo(app, time, tell, signal) {
  app.freeze();
  const step = app.manifest.step_s;
  const from = own(app).desk().time_s;
  return inPortions(
    (budget) => {
      const began = performance.now();
      let now = app.store.get("unit.time");
      while (now < time - step / 2 && performance.now() - began < budget) {
        // By seconds, so that the trends get a point for each.
        const second = Math.floor(now / 1 + 1e-6) + 1;
        own(app).advance(Math.max(1, Math.min(SLICE, Math.round((Math.min(second, time) - now) / step))));
        app.takeReading();
        now = app.store.get("unit.time");
      }
      app.version += 1;
      return now >= time - step / 2 ? 1 : Math.min(0.999, (now - from) / Math.max(step, time - from));
    },
    tell,
    signal,
  );
}

/** One step, frozen. @param {App} app @returns {import("../types.js").Fault | null} */
export function oneStep(app) {
  app.freeze();
  try {
    own(app).advance(1);
  } catch (thrown) {
    app.stopped = asFault(thrown);
    return app.stopped;
  } finally {
    app.takeReading();
    app.version += 1;
  }
  return null;
}

/** A time as it is typed, h:mm:ss or mm:ss; NaN where it is none. @param {string} text */
export function typedTime(text) {
  const parts = text.trim().split(":");
  if (parts.length < 2 || parts.length > 3 || parts.some((part) => !/^\d+([.,]\d+)?$/.test(part.trim()))) return NaN;
  return parts.reduce((sum, part) => sum * 60 + Number(part.replace(",", ".")), 0);
}
