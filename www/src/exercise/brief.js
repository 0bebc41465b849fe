// The brief of an exercise before it begins: what it is about, what may be operated, what hints cost.

import { h, setText } from "../dom.js";
import { asFault } from "../fault.js";
import { recall, remember } from "../settings.js";
import { tickText } from "../units.js";
import { say, sayOr } from "../words.js";
import { learning } from "../learning/learning.js";
import { createPackaging } from "../learning/offer.js";
import { plantTitle } from "./file.js";
import { paragraphs } from "./names.js";
import { createSiNote } from "./si.js";
import { begin } from "./taking.js";

/**
 * What the trainee may operate, in words.
 * @param {import("./file.js").Exercise} exercise
 * @param {(word: string) => string} [nameOf]  of a device, where its plant is at hand
 */
export function permitted(exercise, nameOf = (word) => word.toUpperCase()) {
  const { permit } = exercise.controls ?? {};
  if (!permit) return say("ex_may_all");
  if (!permit.length) return say("ex_may_none");
  /** @param {Record<string, string | number>} pattern */
  const one = (pattern) => {
    const name = sayOr(`ex_do_${pattern.do}`, String(pattern.do).replaceAll("_", " "));
    const rest = Object.entries(pattern).filter(([key]) => key !== "do").map(([, value]) => nameOf(String(value)));
    return rest.length ? `${name} (${rest.join(", ")})` : name;
  };
  return permit.map(one).join(" · ");
}

/** What is asked of the trainee, in words. @param {import("./file.js").Exercise} exercise */
export function askedIn({ predictions, questions }) {
  const [p, q] = [predictions?.length ?? 0, questions?.length ?? 0];
  const parts = [
    p ? say(p === 1 ? "ex_one_prediction" : "ex_n_predictions", { n: p }) : "",
    q ? say(q === 1 ? "ex_one_question" : "ex_n_questions", { n: q }) : "",
  ];
  return parts.filter(Boolean).join(", ") || "–";
}

/** What hints cost, in words. @param {import("./file.js").Exercise} exercise */
export function prices(exercise) {
  const hints = exercise.hints ?? [];
  if (!hints.length) return say("ex_hints_none");
  return say("ex_hints_are", { n: hints.length, prices: hints.map(({ price }) => tickText(price, price % 1 ? 1 : 0)).join(", ") });
}

/**
 * @param {import("../app.js").App} app
 * @param {{ text: string, shipped: boolean }} chosen
 * @param {() => void} back
 */
export function createBrief(app, chosen, back) {
  /** @type {import("./file.js").Exercise} */
  const exercise = JSON.parse(chosen.text);
  const status = h("p", { class: "refusal", role: "status" });
  const by = h("input", {
    type: "text",
    id: "ex-by",
    maxlength: 80,
    autocomplete: "name",
    value: learning?.name || recall("trainee") || "",
    "aria-describedby": "ex-by-note",
  });
  const start = h("button", {
    type: "button",
    class: "primary big",
    "data-action": "begin_exercise",
    text: say("ex_begin"),
    on: {
      click: async () => {
        start.disabled = true;
        setText(status, say("ex_preparing"));
        // The sentence is seen before the plant is brought where the exercise begins.
        await new Promise((done) => setTimeout(done, 30));
        try {
          const name = by.value.trim();
          remember("trainee", name);
          begin(app, chosen.text, name, chosen.shipped);
        } catch (thrown) {
          setText(status, app.explain(asFault(thrown)));
          start.disabled = false;
        }
      },
    },
  });
  const si = createSiNote(app, exercise.brief, false);
  /** @param {string} name @param {string} text */
  const fact = (name, text) => h("div", {}, h("dt", { text: name }), h("dd", { text }));
  return {
    el: h(
      "div",
      { class: "ex-brief" },
      // A learning package holds one exercise: there is no list to go back to.
      learning ? null : h("button", { type: "button", class: "link", "data-action": "back_to_list", text: `← ${say("ex_back_to_list")}`, on: { click: back } }),
      h("h2", { text: exercise.title }),
      h("div", { class: "ex-text" }, ...paragraphs(exercise.brief).map((text) => h("p", { text })), si.el),
      h(
        "dl",
        { class: "ex-facts" },
        fact(say("ex_plant"), plantTitle(exercise)),
        fact(say("ex_length"), say("minutes", { n: Math.round(exercise.length_s / 60) })),
        fact(say("ex_may"), permitted(exercise)),
        fact(say("ex_asked"), askedIn(exercise)),
        fact(say("ex_hints"), prices(exercise)),
        fact(say("ex_pass"), say("ex_points", { n: tickText(exercise.pass_mark, 0) })),
      ),
      h("h3", { text: say("ex_how") }),
      h("ol", { class: "ex-how" }, ...(/** @type {const} */ (["ex_how_1", "ex_how_2", "ex_how_3", "ex_how_4"])).map((key) => h("li", { text: say(key) }))),
      h(
        "p",
        { class: "ex-name" },
        h("label", { for: "ex-by", text: say("ex_name") }),
        by,
        h("span", { id: "ex-by-note", class: "label", text: say("ex_name_note") }),
      ),
      start,
      status,
      learning ? null : createPackaging(app, chosen.text),
    ),
    update: () => si.update(),
  };
}
