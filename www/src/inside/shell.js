// Where everything inside a closed heater stands: one height in metres, one length for the picture. No elements here.

/**
 * @typedef {object} ShellPlan
 * @property {boolean} compact
 * @property {number} left     tube sheet
 * @property {number} right    end of the shell
 * @property {number} top
 * @property {number} bottom
 * @property {(metres: number) => number} y  height above the shell's bottom
 * @property {number} zone     right end of the zones at the tube sheet
 * @property {number} middle   between the lower and the upper pass
 * @property {{ low: number, high: number, turn: number }[]} tubes  heights of both legs and where the bend starts
 */

const PASSES = 5;

/**
 * @param {number} width
 * @param {number} height
 * @param {import("../types.js").ShellInfo} shell
 * @returns {ShellPlan}
 */
export function planShell(width, height, shell) {
  const compact = width < 640;
  const left = compact ? 106 : 148;
  const right = width - (compact ? 92 : 138);
  const top = compact ? 78 : 92;
  const bottom = height - (compact ? 66 : 74);
  const tall = bottom - top;
  const y = (/** @type {number} */ metres) => bottom - (metres / shell.height) * tall;
  // The bundle fills the shell from its lowest tube to near the top, the passes alike on both sides of the middle.
  const lowest = y(shell.attitude === "horizontal" ? shell.lowest_tube : 0.28 * shell.height);
  const highest = top + 0.09 * tall;
  const middle = (lowest + highest) / 2;
  const reach = (lowest - highest) / 2;
  const tubes = Array.from({ length: PASSES }, (_, at) => {
    const off = reach * (1 - (at / (PASSES - 1)) * 0.74);
    return { low: middle + off, high: middle - off, turn: right - 26 - reach };
  });
  return { compact, left, right, top, bottom, y, zone: left + (right - left) * 0.29, middle, tubes };
}
