// A question: choice, number, component or order; what was answered can be changed as long as it is asked.

import { h, set, setText, show } from "../dom.js";
import { say } from "../words.js";
import { createItem } from "./item.js";
import { devicesOf, nameOfDevice } from "./names.js";
import { createNumber } from "./number.js";

/** @typedef {import("bledsteam_web").Answer} Answer */
/** @typedef {import("./file.js").Asked} Asked */

/**
 * An answer in words.
 * @param {import("../app.js").App} app
 * @param {Asked} asked
 * @param {Answer | null} answer
 */
export function answerText(app, asked, answer) {
  if (!answer) return say("ex_no_answer");
  if (answer.kind === "choice" && asked.kind === "choice") {
    return answer.chosen.map((k) => asked.choices[k] ?? "").join("; ") || say("ex_none_chosen");
  }
  if (answer.kind === "number" && asked.kind === "number") return app.units.full(asked.quantity, answer.value);
  if (answer.kind === "component") return nameOfDevice(app, answer.device);
  if (answer.kind === "order" && asked.kind === "order") {
    return answer.order.map((k, at) => `${at + 1}. ${asked.actions[k] ?? ""}`).join("  ");
  }
  return "";
}

/**
 * @param {import("../app.js").App} app
 * @param {import("./taking.js").Taking} taking
 * @param {import("./file.js").Question} question
 */
export function createQuestion(app, taking, question) {
  const { id, answer: asked } = question;
  const item = createItem({ id, kind: "question", text: question.text, changed: () => update(taking.standing()) });
  const { el, body, status, refusal, chip, change } = item;
  let built = false;
  let redraw = () => {};

  const give = (/** @type {Answer} */ answer) => item.given(taking.answer(id, answer), app);
  /** @param {() => void} click */
  const button = (click) => h("button", { type: "button", class: "primary", "data-action": "answer", text: say("ex_answer"), on: { click } });

  function build() {
    built = true;
    if (asked.kind === "number") {
      const number = createNumber(app, {
        quantity: asked.quantity,
        label: question.text,
        draft: taking.drafts.get(id),
        changed: (value) => taking.drafts.set(id, value),
        done: (value) => give({ kind: "number", value }),
        button: say("ex_answer"),
        refusal,
      });
      redraw = number.update;
      return body.replaceChildren(number.el);
    }
    if (asked.kind === "component") {
      const select = h(
        "select",
        { "aria-label": question.text },
        h("option", { value: "", text: say("ex_pick_one") }),
        ...devicesOf(app).map((device) => h("option", { value: device, text: nameOfDevice(app, device) })),
      );
      select.value = taking.drafts.get(id) ?? "";
      select.addEventListener("change", () => taking.drafts.set(id, select.value));
      return body.replaceChildren(
        h(
          "div",
          { class: "ex-number-row" },
          select,
          button(() => (select.value ? give({ kind: "component", device: select.value }) : setText(refusal, say("ex_pick_one")))),
          h("button", {
            type: "button",
            "data-action": "pick_on_climb",
            text: say("ex_pick_on_climb"),
            on: {
              click: () => {
                taking.picking = id;
                location.hash = "climb";
              },
            },
          }),
        ),
      );
    }
    if (asked.kind === "order") return buildOrder(asked.actions);
    // One right answer or several: that alone may be known.
    const several = asked.right.length > 1;
    /** @type {number[]} */
    const draft = taking.drafts.get(id) ?? [];
    const inputs = asked.choices.map((_, k) =>
      h("input", { type: several ? "checkbox" : "radio", name: `ex-${id}`, id: `ex-${id}-${k}`, value: String(k), checked: draft.includes(k) }),
    );
    const chosen = () => inputs.flatMap((input, k) => (input.checked ? [k] : []));
    for (const input of inputs) input.addEventListener("change", () => taking.drafts.set(id, chosen()));
    body.replaceChildren(
      h(
        "fieldset",
        {},
        h("legend", { class: "visually-hidden", text: question.text }),
        several ? h("p", { class: "label", text: say("ex_choose_all") }) : null,
        ...asked.choices.map((text, k) => h("label", { class: "ex-choice" }, inputs[k] ?? "", h("span", { text }))),
      ),
      button(() => (chosen().length || several ? give({ kind: "choice", chosen: chosen() }) : setText(refusal, say("ex_choose_one")))),
    );
  }

  /** @param {string[]} actions */
  function buildOrder(actions) {
    /** @type {number[]} */
    const order = taking.drafts.get(id) ?? actions.map((_, k) => k);
    const list = h("ol", { class: "ex-order" });
    /** @param {number} at @param {number} by */
    const move = (at, by) => {
      const [one] = order.splice(at, 1);
      order.splice(at + by, 0, one ?? 0);
      taking.drafts.set(id, order);
      draw();
      const buttons = list.children[at + by]?.querySelectorAll("button");
      const same = buttons?.[by < 0 ? 0 : 1];
      const other = buttons?.[by < 0 ? 1 : 0];
      (same?.disabled ? other : same)?.focus();
    };
    const draw = () =>
      list.replaceChildren(
        ...order.map((k, at) =>
          h(
            "li",
            {},
            h("span", { text: actions[k] ?? "" }),
            h("button", { type: "button", text: "▲", disabled: at === 0, "aria-label": say("ex_earlier", { what: actions[k] ?? "" }), on: { click: () => move(at, -1) } }),
            h("button", { type: "button", text: "▼", disabled: at === order.length - 1, "aria-label": say("ex_later_one", { what: actions[k] ?? "" }), on: { click: () => move(at, 1) } }),
          ),
        ),
      );
    draw();
    body.replaceChildren(h("p", { class: "label", text: say("ex_order_hint") }), list, button(() => give({ kind: "order", order: [...order] })));
  }

  /** @param {import("./taking.js").Standing} standing */
  function update(standing) {
    const now = standing.questions.find((one) => one.question === id);
    if (!now) return;
    const coming = !now.open && !now.answer && standing.time_s < (question.from_s ?? 0);
    show(el, !coming);
    if (coming) return;
    const form = now.open && (item.editing() || !now.answer);
    if (form && !built) build();
    set(el, { "data-open": now.open ? "yes" : null, "data-made": now.answer ? "yes" : null });
    show(body, form);
    show(change, now.open && !form);
    if (form) redraw();
    setText(status, now.answer ? say("ex_you_said", { guess: answerText(app, asked, now.answer) }) : now.open ? "" : say("ex_no_answer"));
    setText(chip, now.answer ? say("ex_answered") : now.open ? say("ex_to_answer") : say("ex_closed"));
    set(chip, { "data-weight": now.open && !now.answer ? "note" : "calm" });
  }
  return { el, update };
}
