// TTD and DCA judge how a heater passes on its heat: where it passes none they are numbers without a meaning, and every view
// says why instead of showing them.

/** Below this share of design's heat the temperatures tell of what stands in the shell, not of how it works. */
export const LITTLE = 0.04;

/** @typedef {"gap_no_water" | "gap_no_steam" | "gap_no_cooler"} Reason  why there is no such gap, a word of the catalogue */

/**
 * Why a heater's gap has no meaning now; null where it has, and for every other signal.
 * @param {import("./store.js").Store} store
 * @param {string} signal
 * @returns {Reason | null}
 */
export function noGap(store, signal) {
  if (!signal.endsWith(".ttd") && !signal.endsWith(".dca")) return null;
  const [id = "", gap] = signal.split(".");
  if (gap === "dca" && !store.heater(id)?.drain_cooling) return "gap_no_cooler";
  if (store.mode(id) === "out" || store.get(`${id}.bypass`) > 0.99) return "gap_no_water";
  return store.get(`${id}.duty`) > LITTLE * store.design(`${id}.duty`) ? null : "gap_no_steam";
}
