// Less and more beside a number, for whoever has no keys at hand: held down, it goes on, faster by and by.

import { h } from "./dom.js";
import { say } from "./words.js";

/** Before it goes on by itself, and from then on (ms). */
const WAIT_MS = 450;
const EVERY_MS = 70;
/** After so many steps it takes ten at once. */
const SLOW = 12;

/**
 * @param {string} label  what the number is
 * @param {(steps: number) => void} move
 * @param {() => void} [done]  once it is let go
 */
export function createStepper(label, move, done = () => {}) {
  /** @param {number} way */
  const button = (way) => {
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    let timer;
    let taken = 0;
    const again = () => {
      taken += 1;
      move(taken > SLOW ? 10 * way : way);
      timer = setTimeout(again, taken > 1 ? EVERY_MS : WAIT_MS);
    };
    const stop = () => {
      if (timer === undefined) return;
      clearTimeout(timer);
      timer = undefined;
      done();
    };
    const el = h("button", {
      type: "button",
      class: "step",
      "data-step": way < 0 ? "less" : "more",
      text: way < 0 ? "−" : "+",
      "aria-label": say(way < 0 ? "step_less" : "step_more", { name: label }),
      on: {
        // A key's press comes as a click that no pointer made.
        click: (/** @type {Event} */ event) => {
          if (/** @type {PointerEvent} */ (event).detail !== 0) return;
          move(way);
          done();
        },
      },
    });
    el.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      el.setPointerCapture(event.pointerId);
      taken = 0;
      again();
    });
    for (const kind of ["pointerup", "pointercancel", "lostpointercapture"]) el.addEventListener(kind, stop);
    // A long press of a finger is no call for a menu here.
    el.addEventListener("contextmenu", (event) => event.preventDefault());
    return el;
  };
  return { less: button(-1), more: button(1) };
}
