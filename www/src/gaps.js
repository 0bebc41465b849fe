// TTD and DCA judge how a heater passes on its heat: where it passes none they are numbers without a meaning, and every view
// says why instead of showing them.

/** Below this share of design's heat the temperatures tell of what stands in the shell, not of how it works. */
export const LITTLE = 0.04;

/** @typedef {"gap_no_water" | "gap_no_steam" | "gap_no_cooler"} Reason  why there is no such gap, a word of the catalogue */

/**
 * The signals by which is told whether a signal is a gap with a meaning; none where it is no gap.
 * @param {string} signal
 */
export function judgedBy(signal) {
  const [id = "", gap] = signal.split(".");
  return gap === "ttd" || gap === "dca" ? [`${id}.mode`, `${id}.bypass`, `${id}.duty`] : [];
}

/**
 * Why a heater's gap has no meaning at an instant; null where it has, and for every other signal.
 * @param {import("./store.js").Store} store
 * @param {string} signal
 * @param {(id: string) => number} get  values of that instant
 * @returns {Reason | null}
 */
export function gapWith(store, signal, get) {
  if (judgedBy(signal).length === 0) return null;
  const [id = "", gap] = signal.split(".");
  if (gap === "dca" && !store.heater(id)?.drain_cooling) return "gap_no_cooler";
  if (store.manifest.modes[get(`${id}.mode`)] === "out" || get(`${id}.bypass`) > 0.99) return "gap_no_water";
  return get(`${id}.duty`) > LITTLE * store.design(`${id}.duty`) ? null : "gap_no_steam";
}

/**
 * Why a heater's gap has no meaning now.
 * @param {import("./store.js").Store} store
 * @param {string} signal
 */
export const noGap = (store, signal) => gapWith(store, signal, (id) => store.get(id));
