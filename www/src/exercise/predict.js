// A prediction: its question, the guess in its own form, and afterwards what was guessed.

import { h, set, setText, show } from "../dom.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { createCurve } from "./curve.js";
import { createItem } from "./item.js";
import { nameOfSignal } from "./names.js";
import { createNumber } from "./number.js";

/** @typedef {import("bledsteam_web").Guess} Guess */

export const WAYS = /** @type {const} */ (["up", "same", "down"]);
const SHAPES = { up: "▲", same: "■", down: "▼" };

/** @param {import("bledsteam_web").Way} way */
export const wayText = (way) => `${SHAPES[way]} ${say(`ex_way_${way}`)}`;

/**
 * A guess in words.
 * @param {import("../app.js").App} app
 * @param {string} signal
 * @param {Guess | null} guess
 */
export function guessText(app, signal, guess) {
  const quantity = app.store.quantity(signal);
  if (!guess) return say("ex_no_guess");
  if (guess.kind === "direction") return wayText(guess.way);
  if (guess.kind === "value") return app.units.full(quantity, guess.value);
  const [first, last] = [guess.points[0], guess.points.at(-1)];
  return say("ex_curve_said", { from: app.units.full(quantity, first?.[1] ?? NaN), to: app.units.full(quantity, last?.[1] ?? NaN) });
}

/**
 * @param {import("../app.js").App} app
 * @param {import("./taking.js").Taking} taking
 * @param {import("./file.js").Prediction} asked
 */
export function createPrediction(app, taking, asked) {
  const { id, signal, what } = asked;
  const quantity = app.store.quantity(signal);
  const item = createItem({
    id,
    kind: "prediction",
    text: asked.text,
    label: say("ex_span", { name: nameOfSignal(app, signal), time: span(asked.window_s) }),
    changed: () => update(taking.standing()),
  });
  const { el, body, status, refusal, chip, change } = item;
  let built = false;
  /** @type {() => void} */
  let redraw = () => {};

  const say_ = (/** @type {Guess} */ guess) => item.given(taking.predict(id, guess), app);

  function build() {
    built = true;
    if (what.kind === "direction") {
      body.replaceChildren(
        h(
          "div",
          { class: "ex-ways", role: "group", "aria-label": asked.text },
          ...WAYS.map((way) =>
            h("button", { type: "button", "data-way": way, text: wayText(way), on: { click: () => say_({ kind: "direction", way }) } }),
          ),
        ),
      );
      return;
    }
    if (what.kind === "value") {
      const number = createNumber(app, {
        quantity,
        label: asked.text,
        draft: taking.drafts.get(id),
        changed: (value) => taking.drafts.set(id, value),
        done: (value) => say_({ kind: "value", value }),
        button: say("ex_predict"),
        refusal,
        from: () => app.store.get(signal),
      });
      body.replaceChildren(number.el);
      redraw = number.update;
      return;
    }
    const curve = createCurve(app, asked, taking.drafts.get(id) ?? null, (draft) => taking.drafts.set(id, draft));
    body.replaceChildren(
      curve.el,
      h("button", {
        type: "button",
        class: "primary",
        "data-action": "predict",
        text: say("ex_predict"),
        on: { click: () => say_({ kind: "curve", points: curve.points() }) },
      }),
    );
    redraw = curve.update;
  }

  /** @param {import("./taking.js").Standing} standing */
  function update(standing) {
    const now = standing.predictions.find((one) => one.prediction === id);
    if (!now) return;
    const open = now.locked_s === null && !taking.over;
    const form = open && (item.editing() || !now.guess);
    const waits = taking.waiting.includes(id);
    set(el, { "data-waits": waits ? "yes" : null, "data-made": now.guess ? "yes" : null, "data-open": open ? "yes" : null });
    if (form && !built) build();
    show(body, form);
    show(change, open && !form);
    if (form) redraw();
    setText(
      status,
      now.guess ? say("ex_you_said", { guess: guessText(app, signal, now.guess) }) : open ? "" : say("ex_not_predicted"),
    );
    if (now.locked_s !== null) {
      const until = now.locked_s + asked.window_s;
      setText(chip, standing.time_s < until ? say("ex_watching", { time: plantTime(until) }) : say("ex_watched"));
      set(chip, { "data-weight": "calm" });
    } else {
      setText(chip, waits ? say("ex_now") : now.guess ? say("ex_made") : say("ex_to_make"));
      set(chip, { "data-weight": waits ? "warn" : now.guess ? "calm" : "note" });
    }
  }
  return { el, update };
}

/** A length of time in words. @param {number} seconds */
export function span(seconds) {
  return seconds < 120 || seconds % 60 ? say("ex_seconds", { n: Math.round(seconds) }) : say("minutes", { n: Math.round(seconds / 60) });
}
