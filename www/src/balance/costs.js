// What each heater out, and each kelvin of TTD or DCA, costs at the same output: ranked, as bars and as figures.

import { h, s } from "../dom.js";
import { say } from "../words.js";

/**
 * @typedef {import("../types.js").Cost} Cost
 * @typedef {{ change: Cost["change"], title: string, rows: { name: string, cost: Cost }[] }} Ranking
 */

const CHANGES = /** @type {const} */ (["out", "ttd", "dca"]);

/** The columns, by the quantity that each is shown in. */
const COLUMNS = /** @type {const} */ ([
  { key: "heat_rate", quantity: "heat_rate" },
  { key: "money", quantity: "money_rate" },
  { key: "carbon_dioxide", quantity: "mass_rate" },
]);
/** The file has room for what explains them, too. */
export const COST_COLUMNS = /** @type {const} */ ([
  ...COLUMNS,
  { key: "final_temperature", quantity: "temperature_difference" },
  { key: "throttle", quantity: "mass_flow" },
]);

/**
 * Dearest first. Heaters that can only go out together share a line.
 * @param {import("../app.js").App} app
 * @param {Cost[]} costs
 * @returns {Ranking[]}
 */
export function rank(app, costs) {
  const kelvin = app.units.full("temperature_difference", 1, false, 1);
  return CHANGES.map((change) => {
    /** @type {Map<string, { name: string, cost: Cost }>} */
    const rows = new Map();
    for (const cost of costs.filter((one) => one.change === change)) {
      const group = app.store.heater(cost.heater)?.bypass_group ?? [];
      const members = change === "out" && group.length ? group : [cost.heater];
      const key = [...members].sort().join(" ");
      if (!rows.has(key)) rows.set(key, { name: members.map((one) => app.short(one)).join(" + "), cost });
    }
    return {
      change,
      title: say(`cost_${change}`, { kelvin }),
      rows: [...rows.values()].sort((a, b) => b.cost.heat_rate - a.cost.heat_rate),
    };
  });
}

/** As many digits as give the largest of a column three figures. @param {number[]} shown */
export function digitsFor(shown) {
  const most = Math.max(...shown.map(Math.abs));
  return most > 0 ? Math.min(5, Math.max(0, 2 - Math.floor(Math.log10(most)))) : 0;
}

/**
 * @param {import("../app.js").App} app
 * @param {Ranking} ranking
 */
function chart({ units }, { change, title, rows }) {
  const most = Math.max(...rows.map(({ cost }) => cost.heat_rate), 0);
  const digits = COLUMNS.map(({ key, quantity }) =>
    digitsFor(rows.map(({ cost }) => units.shown(quantity, cost[key]))),
  );
  return h(
    "table",
    { class: "figures-table costs", "data-change": change },
    h("caption", { text: title }),
    h(
      "thead",
      {},
      h(
        "tr",
        {},
        h("th", { scope: "col", text: say("cost_heater") }),
        h("td", { class: "bar-cell" }),
        ...COLUMNS.map(({ key, quantity }) =>
          h(
            "th",
            { scope: "col", title: say(`cost_${key}_title`) },
            say(`cost_${key}`),
            " ",
            h("span", { class: "unit", text: units.unit(quantity) }),
          ),
        ),
      ),
    ),
    h(
      "tbody",
      {},
      ...rows.map(({ name, cost }) =>
        h(
          "tr",
          { "data-cost-of": cost.heater },
          h("th", { scope: "row", text: name }),
          h(
            "td",
            { class: "bar-cell", "aria-hidden": "true" },
            s(
              "svg",
              { class: "cost-bar", viewBox: "0 0 100 10", preserveAspectRatio: "none" },
              s("rect", {
                x: 0,
                y: 1,
                height: 8,
                width: most > 0 ? Math.max(0.5, (100 * Math.max(0, cost.heat_rate)) / most).toFixed(1) : 0,
              }),
            ),
          ),
          ...COLUMNS.map(({ key, quantity }, at) =>
            h("td", { "data-value": cost[key], text: units.fixed(quantity, cost[key], digits[at] ?? 0, true) }),
          ),
        ),
      ),
    ),
  );
}

/**
 * @param {import("../app.js").App} app
 * @param {Cost[]} costs
 */
export const costTables = (app, costs) =>
  rank(app, costs)
    .filter(({ rows }) => rows.length > 0)
    .map((ranking) => chart(app, ranking));
