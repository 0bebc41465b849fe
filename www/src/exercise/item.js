// The card of one thing that is asked of the trainee, a prediction or a question: what it says, the form, what was said
// and the way to change it.

import { h, setText } from "../dom.js";
import { say } from "../words.js";

/** What the button that changes it is called, by what it is. */
const CHANGES = { prediction: "change_prediction", question: "change_answer" };

/**
 * @param {{ id: string, kind: "prediction" | "question", text: string, label?: string, changed: () => void }} asked
 *   `changed`: draws the card anew
 */
export function createItem({ id, kind, text, label, changed }) {
  let editing = false;
  const status = h("p", { class: "ex-said", role: "status" });
  const refusal = h("p", { class: "refusal", role: "status" });
  const chip = h("span", { class: "chip small" });
  const body = h("div", { class: "ex-form" });
  const change = h("button", {
    type: "button",
    "data-action": CHANGES[kind],
    [`data-${kind}`]: id,
    text: say("ex_change"),
    on: {
      click: () => {
        editing = true;
        changed();
        const first = body.querySelector("button, input, select, [tabindex]");
        if (first instanceof HTMLElement) first.focus();
      },
    },
  });
  const el = h(
    "article",
    { class: "ex-item", [`data-${kind}`]: id, "aria-label": text },
    h("div", { class: "ex-item-head" }, h("h4", { text }), chip),
    label ? h("p", { class: "label", text: label }) : null,
    body,
    status,
    change,
    refusal,
  );
  return {
    el,
    body,
    status,
    refusal,
    chip,
    change,
    /** Whether what was said is being changed. */
    editing: () => editing,
    /**
     * What was said has been taken, or refused.
     * @param {import("../types.js").Fault | null | undefined} fault
     * @param {import("../app.js").App} app
     */
    given(fault, app) {
      setText(refusal, fault ? app.explain(fault) : "");
      if (fault) return;
      editing = false;
      changed();
      change.focus();
    },
  };
}
