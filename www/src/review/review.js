// The class review: records dropped on the page, each verified by running it again, and what the class found hard.

import { exercise_file, exercises } from "bledsteam_web";
import { h, show } from "../dom.js";
import { createParts } from "../exercise/parts.js";
import { asFault } from "../fault.js";
import { say } from "../words.js";
import { createPaper } from "./debrief.js";
import { group } from "./group.js";
import { hard } from "./hard.js";
import { createList, saveGradebook, takeDrops } from "./list.js";
import { ORDERS, matrix } from "./matrix.js";
import { holds, nameOf, pointsText } from "./verdict.js";

/** The exercise of an id as its file has it: one that was added, or shipped. @param {string} id */
function exerciseOf(id) {
  const added = group.exercises.find((one) => one.id === id && one.faults.length === 0);
  if (added) return JSON.parse(added.json);
  return exercises().some((one) => one.id === id) ? JSON.parse(exercise_file(id)) : null;
}

/** @param {import("../app.js").App} app */
export function createReview(app) {
  /** @type {import("./matrix.js").Order} */
  let order = "points";
  /** @type {AbortController | null} */
  let opening = null;
  const list = createList(pick);
  const orders = h(
    "select",
    {
      id: "rev-order",
      on: {
        change: () => {
          order = ORDERS.find((one) => one === orders.value) ?? "points";
          fill();
        },
      },
    },
    ...ORDERS.map((one) => h("option", { value: one, text: say(`rev_order_${one}`) })),
  );
  const csv = h("button", {
    type: "button",
    text: "CSV",
    title: say("rev_csv_title"),
    "data-action": "rev_csv",
    on: { click: saveGradebook },
  });
  const print = h("button", { type: "button", text: say("rev_print"), on: { click: () => window.print() } });
  const tools = h(
    "div",
    { class: "rev-tools" },
    h("label", { for: "rev-order", class: "label", text: say("rev_order") }),
    orders,
    csv,
    print,
  );
  const empty = h("p", { class: "rev-empty", text: say("rev_empty") });
  const results = h("div", { class: "rev-results" });
  const klass = h(
    "section",
    { class: "rev-part rev-class", "aria-labelledby": "rev-gradebook", tabindex: -1 },
    h("div", { class: "rev-head" }, h("h2", { id: "rev-gradebook", text: say("rev_gradebook") }), tools),
    empty,
    results,
  );
  const one = h("section", { class: "rev-part rev-one", tabindex: -1, hidden: true });
  const el = h("div", { class: "review" }, list.el, klass, one);
  takeDrops(el);

  /** @type {ReturnType<typeof createPaper> | null} */
  let paper = null;

  function back() {
    opening?.abort();
    paper = null;
    show(one, false);
    show(klass, true);
    klass.focus();
  }

  /** @param {string} path */
  async function pick(path) {
    opening?.abort();
    paper = null;
    const mine = (opening = new AbortController());
    const row = group.rows.get(path);
    if (!row) return;
    const home = h("button", { type: "button", text: `← ${say("rev_back")}`, on: { click: back } });
    const state = h("p", { class: "label", role: "status", text: say("rev_opening") });
    const title = exerciseOf(row.exercise)?.title ?? row.exercise;
    one.replaceChildren(
      h("div", { class: "rev-head" }, h("h2", { text: say("rev_by", { name: nameOf(row), title }) }), home),
      state,
    );
    show(klass, false);
    show(one, true);
    one.focus();
    try {
      const found = await group.debrief(path, mine.signal);
      if (mine.signal.aborted) return;
      if (found) {
        paper = createPaper(app, found.debrief, found.standing, found.exercise);
        state.replaceWith(paper.el);
        paper.update(true);
      }
      else state.textContent = say("rev_no_debrief", { why: row.fault?.message ?? say("rev_not_judged") });
    } catch (thrown) {
      state.textContent = say("rev_no_debrief", { why: asFault(thrown).message });
    }
  }

  function fill() {
    const { book } = group;
    show(empty, !book);
    show(tools, book !== null);
    const ids = [...new Set(book?.rows.filter(holds).map((row) => row.exercise) ?? [])];
    results.replaceChildren(
      ...ids.map((id) => {
        const rows = book?.rows.filter((row) => row.exercise === id) ?? [];
        const sound = rows.filter(holds);
        const exercise = exerciseOf(id);
        const texts = new Map(book?.difficulties.filter((d) => d.exercise === id).map((d) => [d.objective, d.text]));
        const mean = sound.reduce((sum, row) => sum + (row.total ?? 0), 0) / sound.length;
        const title = exercise?.title ?? id;
        const understood = book?.understood.filter((one) => one.exercise === id) ?? [];
        const whole = understood.find(({ file }) => file === null);
        return h(
          "article",
          { class: "rev-exercise", "data-exercise": id },
          h("h3", { text: title }),
          h("p", {
            class: "label",
            text: say("rev_summary", {
              n: sound.length,
              passed: sound.filter((row) => row.passed).length,
              mean: pointsText(mean),
            }),
          }),
          whole ? createParts(whole.parts, false) : null,
          h(
            "div",
            { class: "rev-scroll", tabindex: 0, role: "group", "aria-label": title },
            matrix(title, rows, texts, order, pick, understood),
          ),
          h("p", { class: "rev-file", text: say("rev_matrix_hint") }),
          book ? hard(app, book, id, exercise) : null,
        );
      }),
    );
  }

  let seen = -1;
  /** @type {import("./group.js").Gradebook | null} */
  let booked = null;
  let units = app.units.system;
  return {
    el,
    drawn: () => seen >= 0,
    /** @param {boolean} slow */
    update(slow) {
      paper?.update(slow);
      if ((!slow && seen >= 0) || (seen === group.version && units === app.units.system)) return;
      seen = group.version;
      list.update();
      if (booked === group.book && units === app.units.system && group.book) return;
      booked = group.book;
      units = app.units.system;
      fill();
    },
  };
}
