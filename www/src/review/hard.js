// What was hard: objectives, questions and predictions of a class, the worst first.

import { h, s } from "../dom.js";
import { say } from "../words.js";

/** @typedef {import("./group.js").Gradebook} Gradebook */
/** @typedef {Record<string, any>} Exercise  as its file has it; read only to name what was answered */

/** @param {number} mean */
function bar(mean) {
  const width = Math.max(0, Math.min(1, mean)) * 60;
  return s(
    "svg",
    { class: "rev-bar", viewBox: "0 0 60 10", "aria-hidden": "true" },
    s("rect", { class: "rev-bar-all", width: 60, height: 10 }),
    s("rect", { class: "rev-bar-part", width, height: 10 }),
  );
}

/**
 * @param {number} mean
 * @param {string} text
 * @param {string[]} struggled
 * @param {(Node | null)[]} more
 */
function line(mean, text, struggled, ...more) {
  return h(
    "li",
    {},
    h("span", { class: "rev-mean" }, bar(mean), h("strong", { text: `${Math.round(mean * 100)} %` })),
    h(
      "div",
      {},
      h("p", { text }),
      ...more,
      struggled.length > 0
        ? h("p", { class: "rev-file", text: say("rev_struggled", { names: struggled.join(", ") }) })
        : null,
    ),
  );
}

/**
 * An answer in words.
 * @param {import("../app.js").App} app
 * @param {import("bledsteam_web").Answer} answer
 * @param {Record<string, any> | undefined} asked
 */
export function answerText(app, answer, asked) {
  const named = (/** @type {string[] | undefined} */ list, /** @type {number} */ at) => list?.[at] ?? `#${at + 1}`;
  switch (answer.kind) {
    case "choice":
      return answer.chosen.map((at) => named(asked?.choices, at)).join("; ") || say("rev_nothing_chosen");
    case "order":
      return answer.order.map((at) => named(asked?.actions, at)).join(" → ");
    case "component":
      return app.short(answer.device);
    case "number":
      return asked?.quantity ? app.units.full(asked.quantity, answer.value) : String(answer.value);
  }
}

/** @param {[number, number, number]} ways */
const waysText = (ways) =>
  /** @type {const} */ (["up", "down", "same"])
    .map((way, at) => [say(`rev_way_${way}`), ways[at] ?? 0])
    .filter(([, n]) => n !== 0)
    .map(([way, n]) => `${way} ${n}×`)
    .join(", ");

/** @param {string} title @param {HTMLElement[]} lines */
const part = (title, lines) =>
  h(
    "section",
    { class: "rev-hard" },
    h("h3", { text: title }),
    lines.length > 0 ? h("ol", {}, ...lines) : h("p", { class: "label", text: say("rev_all_right") }),
  );

/**
 * @param {import("../app.js").App} app
 * @param {Gradebook} book
 * @param {string} id  of the exercise
 * @param {Exercise | null} exercise
 */
export function hard(app, book, id, exercise) {
  const own = (/** @type {{ exercise: string, mean: number }} */ one) => one.exercise === id && one.mean < 1;
  /** @param {Gradebook["questions"][number]} q */
  const given = (q) => {
    const asked = exercise?.questions?.find((/** @type {any} */ one) => one.id === q.question)?.answer;
    return h(
      "ul",
      { class: "rev-given" },
      ...q.given.slice(0, 6).map((g) => {
        const how = g.credit >= 1 ? "right" : g.credit > 0 ? "part" : "wrong";
        return h(
          "li",
          { "data-how": how },
          h("span", { class: "rev-count", text: `${g.count}×` }),
          h("span", { class: "rev-how", text: `${{ right: "✓", part: "◐", wrong: "✕" }[how]} ${say(`rev_given_${how}`)}` }),
          h("span", { text: answerText(app, g.answer, asked) }),
        );
      }),
    );
  };
  const parts = [
    part(
      say("rev_hard"),
      book.difficulties.filter(own).map((d) => line(d.mean, d.text || d.objective, d.struggled)),
    ),
  ];
  if (book.questions.some((q) => q.exercise === id))
    parts.push(
      part(
        say("rev_hard_questions"),
        book.questions
          .filter(own)
          .map((q) =>
            line(
              q.mean,
              q.text || q.question,
              q.struggled,
              given(q),
              q.answered < q.counted
                ? h("p", { class: "rev-file", text: say("rev_answered_of", { n: q.answered, all: q.counted }) })
                : null,
            ),
          ),
      ),
    );
  if (book.predictions.some((p) => p.exercise === id))
    parts.push(
      part(
        say("rev_hard_predictions"),
        book.predictions.filter(own).map((p) => {
          const words = [];
          if (p.made < p.counted) words.push(say("rev_predicted_of", { n: p.made, all: p.counted }));
          if (p.foresaw.some((n) => n > 0)) words.push(say("rev_foresaw", { list: waysText(p.foresaw) }));
          if (p.went.some((n) => n > 0)) words.push(say("rev_went", { list: waysText(p.went) }));
          return line(p.mean, p.text || p.prediction, p.struggled, h("p", { class: "rev-file", text: words.join("; ") }));
        }),
      ),
    );
  return h("div", { class: "rev-hards" }, ...parts);
}
