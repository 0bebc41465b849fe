// The balance as tables: heaters across, stages down, the unit in total; each figure next to its design value.

import { h } from "../dom.js";
import { showsZero } from "../units.js";
import { say, sayOr } from "../words.js";
import { endOf } from "./flows.js";
import { HEATER_ROWS, RESIDUALS, STAGE_ROWS, difference, digitsOf, unitRows } from "./rows.js";

/**
 * @typedef {import("../app.js").App} App
 * @typedef {import("../types.js").Balance} Balance
 * @typedef {"change" | "design"} Beside  what stands next to each figure
 */

/**
 * @template T
 * @typedef {import("./rows.js").Row<T>} Row
 */

/** @param {{ key: string }} row */
export const nameOf = ({ key }) => sayOr(`bal_${key}`, key.replaceAll("_", " "));
/** @param {{ key: string }} row */
const titleOf = ({ key }) => sayOr(`bal_${key}_title`, "") || null;

/**
 * A figure and, smaller, its change from design or its design value.
 * @param {App} app
 * @param {{ quantity: string, more?: number }} row
 * @param {number} value
 * @param {number} design
 * @param {Beside} beside
 * @returns {Node[]}
 */
function figure({ units }, row, value, design, beside) {
  if (!Number.isFinite(value) && !Number.isFinite(design))
    return [h("td", { class: "none", text: "–" }), h("td", { class: "beside" })];
  const digits = digitsOf(units, row);
  const change = units.fixed(difference(row.quantity), value - design, digits, true);
  const moved = !showsZero(change);
  const other = beside === "design" ? units.fixed(row.quantity, design, digits) : moved ? change : "";
  return [
    h("td", { "data-value": value, text: units.fixed(row.quantity, value, digits) }),
    h("td", { class: "beside", text: other === "–" ? "" : other }),
  ];
}

/**
 * The head of a column of figures, and the empty one over what stands beside them.
 * @param {(Node | string)[]} words
 * @param {string | null} [title]
 */
const head = (words, title = null) => [h("th", { scope: "col", title }, ...words), h("td", { class: "beside" })];

/**
 * @param {string} label
 * @param {string} kind
 * @param {Node[]} heads
 * @param {Node[]} rows
 */
const table = (label, kind, heads, rows) =>
  h(
    "table",
    { class: `figures-table ${kind}` },
    h("caption", { text: label }),
    h("thead", {}, h("tr", {}, ...heads)),
    h("tbody", {}, ...rows),
  );

/**
 * @param {App} app
 * @param {Balance} balance
 * @param {Balance} design
 * @param {Beside} beside
 */
export function heaterTable(app, balance, design, beside) {
  const { heaters } = app.manifest;
  const outOf = (/** @type {number} */ number) => balance.case.outages[number - 1] ?? "none";
  const rows = HEATER_ROWS.flatMap((row) => {
    const cells = heaters.flatMap((heater) => {
      const [now, was] = [balance.heaters[heater.number - 1], design.heaters[heater.number - 1]];
      if (!now || !was) return [];
      return figure(
        app,
        row,
        row.get(now, heater, outOf(heater.number) === "out"),
        row.get(was, heater, false),
        beside,
      );
    });
    const line = h(
      "tr",
      { "data-row": row.key },
      h(
        "th",
        { scope: "row", title: titleOf(row) },
        nameOf(row),
        " ",
        h("span", { class: "unit", text: app.units.unit(row.quantity) }),
      ),
      ...cells,
    );
    const group = row.group
      ? [
          h(
            "tr",
            { class: "group" },
            h("th", { scope: "rowgroup", colspan: 1 + 2 * heaters.length, text: say(row.group) }),
          ),
        ]
      : [];
    return [...group, line];
  });
  const heads = heaters.flatMap((heater) => {
    const outage = outOf(heater.number);
    const chip = h("span", {
      class: "chip small",
      "data-weight": outage === "out" ? "warn" : "note",
      text: say(`bal_${outage}`),
    });
    return head(outage === "none" ? [app.short(heater.id)] : [chip, h("br"), app.short(heater.id)], heater.name);
  });
  return table(say("bal_heaters"), "of-heaters", [h("th", { scope: "col", text: say("bal_figure") }), ...heads], rows);
}

/**
 * @param {App} app
 * @param {Balance} balance
 * @param {Balance} design
 * @param {Beside} beside
 */
export function stageTable(app, balance, design, beside) {
  const any = app.manifest.heaters[0];
  if (!any) return h("table");
  const rows = balance.stages.map((stage, at) => {
    const was = design.stages[at] ?? stage;
    return h(
      "tr",
      { "data-stage": at + 1 },
      h("th", { scope: "row", text: say("bal_stage", { n: at + 1, to: app.short(endOf(balance, stage)) }) }),
      ...STAGE_ROWS.flatMap((row) => figure(app, row, row.get(stage, any, false), row.get(was, any, false), beside)),
    );
  });
  const heads = STAGE_ROWS.flatMap((row) =>
    head([nameOf(row), " ", h("span", { class: "unit", text: app.units.unit(row.quantity) })], titleOf(row)),
  );
  return table(
    say("bal_stages"),
    "of-stages",
    [h("th", { scope: "col", text: say("bal_stage_head") }), ...heads],
    rows,
  );
}

/**
 * The unit in total: a table for each group of figures, what does not balance at the end of the last.
 * @param {App} app
 * @param {Balance} balance
 * @param {Balance} design
 * @param {Beside} beside
 */
export function unitTables(app, balance, design, beside) {
  const any = app.manifest.heaters[0];
  if (!any) return [];
  /** @type {{ label: string, rows: Node[] }[]} */
  const parts = [];
  for (const row of unitRows(design)) {
    if (row.group) parts.push({ label: say(row.group), rows: [] });
    parts
      .at(-1)
      ?.rows.push(
        h(
          "tr",
          { "data-row": row.key },
          h(
            "th",
            { scope: "row", title: titleOf(row) },
            nameOf(row),
            " ",
            h("span", { class: "unit", text: app.units.unit(row.quantity) }),
          ),
          ...figure(app, row, row.get(balance, any, false), row.get(design, any, false), beside),
        ),
      );
  }
  for (const row of RESIDUALS) {
    const value = row.get(balance, any, false);
    parts.at(-1)?.rows.push(
      h(
        "tr",
        { "data-row": row.key },
        h("th", { scope: "row", title: titleOf(row), text: nameOf(row) }),
        h("td", {
          colspan: 2,
          class: "closes",
          "data-value": value,
          text: say("bal_closes", { residual: app.units.text("residual", value) }),
        }),
      ),
    );
  }
  const heads = () => [h("th", { scope: "col", text: say("bal_figure") }), ...head([say("bal_value")])];
  return parts.map(({ label, rows }) => h("div", { class: "sheet" }, table(label, "of-unit", heads(), rows)));
}
