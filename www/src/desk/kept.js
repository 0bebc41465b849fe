// Snapshots kept in the browser: texts that only the engine understands, by plant, with a limit to their number.

/** @typedef {{ id: string, name: string, kept: string, time_s: number, text: string }} Kept */

const PREFIX = "bledsteam.snapshots.";
/** Most kept of a plant: some forty kilobytes each, in the few megabytes that a browser gives. */
export const MOST = 24;

/** @param {string} plant @returns {Kept[]} */
export function list(plant) {
  try {
    const kept = JSON.parse(localStorage.getItem(PREFIX + plant) ?? "[]");
    const fits = (/** @type {any} */ one) => one && ["id", "name", "kept", "text"].every((key) => typeof one[key] === "string");
    return Array.isArray(kept) ? kept.filter(fits) : [];
  } catch {
    return []; // nothing is kept, or somebody else wrote there
  }
}

/** @param {string} plant @param {Kept[]} kept @returns {boolean}  whether there was room */
export function write(plant, kept) {
  try {
    localStorage.setItem(PREFIX + plant, JSON.stringify(kept));
    return true;
  } catch {
    return false;
  }
}

/** @param {string} plant @param {Kept} one @returns {"kept" | "full" | "no_room"} */
export function keep(plant, one) {
  const all = list(plant);
  if (all.length >= MOST) return "full";
  return write(plant, [...all, one]) ? "kept" : "no_room";
}
