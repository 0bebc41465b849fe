// Who got how much of each objective: people across objectives, credit by shade and figure.

import { h } from "../dom.js";
import { say } from "../words.js";
import { holds, nameOf, pointsText } from "./verdict.js";

/** @typedef {import("./crew.js").Row} Row */
/** @typedef {"points" | "name" | "file"} Order */

export const ORDERS = /** @type {const} */ (["points", "name", "file"]);

/** @type {Record<Order, (a: Row, b: Row) => number>} */
const BY = {
  points: (a, b) => (a.total ?? 0) - (b.total ?? 0) || nameOf(a).localeCompare(nameOf(b)),
  name: (a, b) => nameOf(a).localeCompare(nameOf(b)),
  file: () => 0,
};

/** Steps of shade: none where all the credit is there. */
const SHADES = 5;
/** @param {number} credit */
const shade = (credit) => Math.min(SHADES, Math.ceil((1 - credit) * SHADES - 1e-9));

/** @param {number} credit */
const cell = (credit) =>
  h("td", { class: "rev-credit", "data-shade": shade(credit), text: String(Math.round(credit * 100)) });

/**
 * The table of one exercise's true records.
 * @param {string} title
 * @param {Row[]} rows
 * @param {Map<string, string>} texts  of the objectives
 * @param {Order} order
 * @param {(path: string) => void} pick
 * @param {import("./group.js").Gradebook["understood"]} understood  of this exercise
 */
export function matrix(title, rows, texts, order, pick, understood) {
  const list = rows.filter(holds).sort(BY[order]);
  const objectives = list[0]?.objectives.map(({ objective }) => objective) ?? [];
  const mean = (/** @type {(row: Row) => number} */ of) => list.reduce((sum, row) => sum + of(row), 0) / list.length;
  const parts = understood.find(({ file }) => file === null)?.parts.map(({ part }) => part) ?? [];
  /** @param {string | null} file @param {string} part */
  const share = (file, part) => understood.find((one) => one.file === file)?.parts.find((one) => one.part === part)?.credit ?? 0;
  const credit = (/** @type {Row} */ row, /** @type {string} */ id) =>
    row.objectives.find(({ objective }) => objective === id)?.credit ?? 0;
  return h(
    "table",
    { class: "rev-matrix", "aria-label": say("rev_matrix", { title }) },
    h(
      "thead",
      {},
      h(
        "tr",
        {},
        h("th", { scope: "col", text: say("rev_who") }),
        h("th", { scope: "col", class: "rev-points", text: say("rev_points") }),
        ...parts.map((part) => h("th", { scope: "col", class: "rev-part-of" }, h("span", { text: say(`part_${part}`) }))),
        ...objectives.map((id) => h("th", { scope: "col", title: texts.get(id) || id }, h("span", { text: texts.get(id) || id }))),
      ),
    ),
    h(
      "tbody",
      {},
      ...list.map((row) =>
        h(
          "tr",
          {},
          h(
            "th",
            { scope: "row" },
            h("button", {
              type: "button",
              class: "link",
              text: nameOf(row),
              "aria-label": say("rev_show", { name: nameOf(row) }),
              on: { click: () => pick(row.file) },
            }),
          ),
          h(
            "td",
            { class: "rev-points", "data-passed": row.passed ? "yes" : "no" },
            h("strong", { text: pointsText(row.total ?? 0) }),
            " ",
            h("span", { class: "rev-mark", "aria-hidden": "true", title: say(row.passed ? "rev_passed" : "rev_not_passed"), text: row.passed ? "✓" : "✕" }),
            h("span", { class: "visually-hidden", text: say(row.passed ? "rev_passed" : "rev_not_passed") }),
          ),
          ...parts.map((part) => cell(share(row.file, part))),
          ...objectives.map((id) => cell(credit(row, id))),
        ),
      ),
    ),
    h(
      "tfoot",
      {},
      h(
        "tr",
        {},
        h("th", { scope: "row", text: say("rev_mean") }),
        h("td", { class: "rev-points" }, h("strong", { text: pointsText(mean((row) => row.total ?? 0)) })),
        ...parts.map((part) => cell(share(null, part))),
        ...objectives.map((id) => cell(mean((row) => credit(row, id)))),
      ),
    ),
  );
}
