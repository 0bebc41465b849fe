// A transmitter stands still at the ends of its range: of what lies beyond it tells no more than that it is beyond.

/**
 * The sign before a number whose transmitter stands at an end of its range; nothing before any other.
 * @param {import("./store.js").Store} store
 * @param {string} id
 * @returns {"≥" | "≤" | ""}
 */
export function endSign(store, id) {
  const range = store.ranges.get(id);
  if (!range) return "";
  const value = store.get(id);
  if (value >= range[1]) return "≥";
  // Where the range begins at nothing, nothing is what there is.
  return range[0] !== 0 && value <= range[0] ? "≤" : "";
}
