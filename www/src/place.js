// Finds the trend its place: in the free corner under the stair, as tall as the stair leaves it.

/** Shares of the picture's height, tallest first. In steps, so that the trend does not breathe with the water. */
const HEIGHTS = [48, 45, 42, 39, 36, 33, 30, 27];

let chosen = 0;

/**
 * @param {HTMLElement} stage
 * @param {{ reachBelow: (x: number) => number }} climb
 * @param {HTMLElement} trend
 */
export function placeTrend(stage, climb, trend) {
  if (getComputedStyle(trend).position !== "absolute") {
    trend.style.removeProperty("height");
    return;
  }
  const height = stage.clientHeight;
  const reach = climb.reachBelow(trend.offsetLeft);
  const fits = (/** @type {number} */ step, /** @type {number} */ spare) =>
    height * (1 - (HEIGHTS[step] ?? 27) / 100) - 8 >= reach + spare;
  // Grows back only with room to spare.
  while (chosen > 0 && fits(chosen - 1, 14)) chosen -= 1;
  // Down at once, however far the stair has come: each step draws the trend anew.
  while (!fits(chosen, 0) && chosen < HEIGHTS.length - 1) chosen += 1;
  const wanted = `${HEIGHTS[chosen]}%`;
  if (trend.style.height !== wanted) trend.style.height = wanted;
}
