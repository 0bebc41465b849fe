// A pipe in which something flows: a line as wide as its flow, with strokes that travel along it. Nothing flows,
// nothing moves.

import { s, set, show } from "../dom.js";

/** Distance from stroke to stroke (px); the style sheet moves them by as much. */
const PITCH = 16;
/** Travel at full flow (px/s). */
const FULL_SPEED = 60;

/**
 * @param {"water" | "steam" | "drain" | "drain emergency" | "vapour"} kind
 * @param {number} widest  px at full flow
 */
export function createMoving(kind, widest) {
  const line = s("path", { class: `pipe ${kind}` });
  const strokes = s("path", { class: `moving ${kind}`, "stroke-dasharray": `5 ${PITCH - 5}` });
  let speed = 0;
  return {
    el: s("g", { "aria-hidden": "true" }, line, strokes),
    /**
     * @param {string} d      the way, in the direction of flow
     * @param {number} share  flow over full flow; negative runs backwards
     */
    update(d, share) {
      const size = Math.min(1.6, Math.abs(share));
      const flows = size > 0.002;
      const width = flows ? 2 + (widest - 2) * Math.sqrt(size) : 1.4;
      set(line, { d, "stroke-width": width, "data-flow": flows ? (share < 0 ? "back" : "yes") : "no" });
      show(strokes, flows);
      if (!flows) return;
      set(strokes, { d, "stroke-width": Math.max(1.2, width * 0.3) });
      // The browser would restart the motion at every change: only one that can be seen is handed on.
      const next = Math.sign(share) * Math.max(8, FULL_SPEED * size);
      if (Math.sign(next) === Math.sign(speed) && Math.abs(next / speed - 1) < 0.15) return;
      speed = next;
      strokes.style.animationDuration = `${(PITCH / Math.abs(speed)).toFixed(2)}s`;
      strokes.style.animationDirection = speed < 0 ? "reverse" : "normal";
    },
  };
}
