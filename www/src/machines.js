// How turbine and feed pumps stand, in a word and its weight: a picture that shows them at rest has to say so.

/** @typedef {{ word: import("./words.js").Word, weight: import("./state.js").Weight }} Standing */

/** @param {import("./app.js").App} app @returns {Standing} */
export function turbineStands({ manifest, store }) {
  const standing = manifest.standings[store.get("unit.standing")];
  if (standing === "tripped") return { word: "turbine_tripped", weight: "alarm" };
  return standing === "house_load" ? { word: "turbine_alone", weight: "warn" } : { word: "turbine", weight: "calm" };
}

/** Share of its speed at design below which a pump moves nothing. */
const AT_REST = 0.1;

/** Looks once for what there is to ask. @param {import("./app.js").App} app @returns {() => Standing} */
export function feedPumpsStand({ manifest, store }) {
  const speeds = manifest.signals.map(({ id }) => id).filter((id) => /^fp\d+\.speed$/.test(id));
  const running = Math.max(...speeds.map((id) => store.design(id)), 0);
  return () => {
    const stopped = running > 0 && speeds.every((id) => store.get(id) < AT_REST * running);
    return stopped ? { word: "feed_pumps_stopped", weight: "alarm" } : { word: "feed_pumps", weight: "calm" };
  };
}
