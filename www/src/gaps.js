// TTD and DCA judge how a heater passes on its heat, the heat rate how the unit turns heat into output: where there is none they
// are numbers without a meaning, and every view says why instead of showing them.

/** Below this share of design's heat the temperatures tell of what stands in the shell, not of how it works. */
export const LITTLE = 0.04;

/** @typedef {"gap_no_water" | "gap_no_steam" | "gap_no_cooler" | "no_output"} Reason  why there is no such gap, a word of the catalogue */

const HEAT_RATES = new Set(["unit.heat_rate", "unit.heat_rate_change"]);

/**
 * The signals by which is told whether a signal has a meaning; none where it always has.
 * @param {string} signal
 */
export function judgedBy(signal) {
  if (HEAT_RATES.has(signal)) return ["unit.heat_rate"];
  const [id = "", gap] = signal.split(".");
  return gap === "ttd" || gap === "dca" ? [`${id}.mode`, `${id}.bypass`, `${id}.duty`] : [];
}

/**
 * Why a signal has no meaning at an instant; null where it has, and for every other signal.
 * @param {import("./store.js").Store} store
 * @param {string} signal
 * @param {(id: string) => number} get  values of that instant
 * @returns {Reason | null}
 */
export function gapWith(store, signal, get) {
  if (judgedBy(signal).length === 0) return null;
  // The engine gives nothing where next to nothing comes out.
  if (HEAT_RATES.has(signal)) return get("unit.heat_rate") === 0 ? "no_output" : null;
  const [id = "", gap] = signal.split(".");
  if (gap === "dca" && !store.heater(id)?.drain_cooling) return "gap_no_cooler";
  if (store.manifest.modes[get(`${id}.mode`)] === "out" || get(`${id}.bypass`) > 0.99) return "gap_no_water";
  return get(`${id}.duty`) > LITTLE * store.design(`${id}.duty`) ? null : "gap_no_steam";
}

/**
 * Why a signal has no meaning now.
 * @param {import("./store.js").Store} store
 * @param {string} signal
 */
export const noGap = (store, signal) => gapWith(store, signal, (id) => store.get(id));
