// A heater in the climb as something to pick: its column takes the pointer, its ring shows focus and choice.

import { s, set } from "../dom.js";
import { levelText } from "../signals.js";
import { modeLook } from "../state.js";

/**
 * @param {import("../app.js").App} app
 * @param {string} id      the heater's
 * @param {string} kind    class besides `heater`
 * @param {number} round   radius of the ring's corners (px)
 * @param {Node[]} kids
 */
export function createPickable(app, id, kind, round, ...kids) {
  const ring = s("rect", { class: "ring", rx: round });
  const hit = s("rect", { class: "hit" });
  const el = s("g", { class: `heater ${kind}`, "data-pick": id, tabindex: 0, role: "button" }, hit, ring, ...kids);
  const pick = () => app.pick(id);
  el.addEventListener("click", pick);
  el.addEventListener("dblclick", () => app.look(id));
  el.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    pick();
  });
  return {
    el,
    hit,
    ring,
    /** Writes mode and choice on the element; gives the mode with its look. */
    state() {
      const mode = app.store.mode(id);
      const look = modeLook(mode);
      const picked = String(app.picked === id);
      set(el, { "data-mode": mode, "data-weight": look.weight, "aria-pressed": picked, "data-picked": picked });
      return { mode, ...look };
    },
  };
}

/**
 * What stands beside a heater's name when something is not as usual: its mode, else its level.
 * @param {import("../app.js").App} app
 * @param {string} id  of the heater
 * @param {{ mode: string, shape: string, text: string }} state
 * @param {{ weight: string, shape: string }} level  calm where it does not matter
 */
export function alertWords(app, id, state, level) {
  if (state.mode !== "in_service") return `${state.shape} ${state.text}`;
  return level.weight === "calm" ? "" : `${level.shape} ${levelText(app, id)}`;
}
