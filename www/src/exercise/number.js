// A number with its unit: typed in the units shown, handed on in inside units. Another choice of units turns what stands there.

import { h, setText } from "../dom.js";
import { createStepper } from "../stepper.js";
import { say } from "../words.js";

/** A number as somebody types it, with either decimal sign. @param {string} text */
export function typed(text) {
  const plain = text.trim().replace(/[\s\u00a0]/g, "").replace("−", "-").replace(",", ".");
  return plain === "" ? NaN : Number(plain);
}

/**
 * @param {import("../app.js").App} app
 * @param {object} what
 * @param {string} what.quantity
 * @param {string} what.label
 * @param {number | undefined} what.draft    in inside units
 * @param {(value: number) => void} what.changed
 * @param {(value: number) => void} what.done
 * @param {string} what.button
 * @param {HTMLElement} what.refusal
 * @param {() => number} [what.from]  where less and more begin while nothing stands there (inside units); at nothing without
 */
export function createNumber(app, { quantity, label, draft, changed, done, button, refusal, from }) {
  const { units } = app;
  const { digits } = units.display(quantity);
  const shownText = (/** @type {number} */ inside) => String(Number(units.shown(quantity, inside).toFixed(digits + 1)));
  let inside = draft ?? NaN;
  let system = units.system;
  const input = h("input", { type: "text", inputmode: "decimal", class: "ex-number-input", "aria-label": label, value: Number.isFinite(inside) ? shownText(inside) : "" });
  const unit = h("span", { class: "ex-number-unit", text: units.unit(quantity) });
  const send = () => {
    const value = typed(input.value);
    if (!Number.isFinite(value)) {
      setText(refusal, `${say("not_a_number")} ${say("ex_number_remedy")}`);
      input.focus();
      return;
    }
    done(units.inside(quantity, value));
  };
  input.addEventListener("input", () => {
    const value = typed(input.value);
    inside = Number.isFinite(value) ? units.inside(quantity, value) : NaN;
    changed(inside);
  });
  input.addEventListener("keydown", (event) => {
    if (event.key === "Enter") send();
  });
  const steps = createStepper(label, (by) => {
    const was = typed(input.value);
    const start = from ? units.shown(quantity, from()) : 0;
    // The first press only puts the start there.
    const value = Number.isFinite(was) ? was + by * 10 ** -digits : start;
    input.value = String(Number(value.toFixed(digits)));
    inside = units.inside(quantity, Number(input.value));
    changed(inside);
  });
  return {
    el: h("div", { class: "ex-number-row" }, steps.less, input, steps.more, unit, h("button", { type: "button", class: "primary", "data-action": "give_number", text: button, on: { click: send } })),
    update() {
      if (system === units.system) return;
      system = units.system;
      setText(unit, units.unit(quantity));
      if (Number.isFinite(inside)) input.value = shownText(inside);
    },
  };
}
