// The Exercise view: choose one, read its brief, take it, and see what it was worth. All judgement is the engine's.

import { h } from "../dom.js";
import { inAddress } from "../views.js";
import { say } from "../words.js";
import { createBrief } from "./brief.js";
import { createDebrief } from "./debrief.js";
import { createLearning, learning } from "../learning/learning.js";
import { shippedFile } from "./file.js";
import { createList } from "./list.js";
import { createTask } from "./task.js";

/** @typedef {{ el: HTMLElement, update: (slow: boolean) => void }} Part */

/** The exercise whose brief is read, across languages. @type {{ text: string, shipped: boolean } | null} */
let chosen = null;
/** Counts what was handed over from elsewhere: another exercise may be as long. */
let offered = 0;

/**
 * Shows the brief of an exercise, given as the text of a sound file: what a link or an editor hands over.
 * @param {string} text
 * @param {boolean} [shipped]
 */
export function offer(text, shipped = false) {
  chosen = { text, shipped };
  offered += 1;
  location.hash = "exercise";
}

/** @param {import("../app.js").App} app */
export function createExercise(app) {
  const platform = learning ? createLearning() : null;
  const el = h("section", { class: "exercise", "aria-label": say("view_exercise") });
  /** @type {Part | null} */
  let part = null;
  let shown = "";

  /** @param {boolean} focus  to where the eye goes: the new part's heading */
  function arrange(focus) {
    const { exercise } = app;
    // A link may name a shipped exercise: #exercise/heater-trip.
    const { view, of } = inAddress();
    // A learning package holds one exercise, and no list.
    if (learning) chosen ??= { text: learning.exercise, shipped: false };
    else if (view === "exercise" && of && !exercise) {
      const text = shippedFile(of);
      if (text) chosen = { text, shipped: true };
      history.replaceState(null, "", "#exercise");
    }
    const named = learning?.name ?? "";
    const now = exercise ? (exercise.over ? "debrief" : "task") : chosen ? `brief ${chosen.text.length} ${offered} ${named}` : "list";
    if (now === shown) return;
    shown = now;
    el.dataset.part = now.split(" ")[0];
    part = exercise
      ? exercise.over
        ? createDebrief(app, exercise)
        : createTask(app, exercise)
      : chosen
        ? createBrief(app, chosen, () => {
            chosen = null;
            arrange(true);
          })
        : createList(app, (text, shipped) => {
            chosen = { text, shipped };
            arrange(true);
          });
    if (exercise) chosen = null;
    el.replaceChildren(...(platform ? [platform.el] : []), part.el);
    el.scrollTop = 0;
    const heading = el.querySelector("h2");
    if (focus && heading instanceof HTMLElement) {
      heading.tabIndex = -1;
      heading.focus();
    }
  }
  arrange(false);

  return {
    el,
    drawn: () => true,
    /** @param {boolean} slow */
    update(slow) {
      arrange(el.contains(document.activeElement) || document.activeElement === document.body);
      if (slow) platform?.update();
      part?.update(slow);
    },
  };
}
