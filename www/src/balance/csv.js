// The balance as a file of comma-separated values (RFC 4180): the shown units, named in each column's head.

import { quoted } from "../download.js";
import { say } from "../words.js";
import { COST_COLUMNS } from "./costs.js";
import { endOf } from "./flows.js";
import { HEATER_ROWS, RESIDUALS, STAGE_ROWS, unitRows } from "./rows.js";
import { nameOf } from "./tables.js";

/** Figures that a shown number carries: more than the page shows, less than the noise of a solution. */
const SIGNIFICANT = 9;

/**
 * @param {import("../app.js").App} app
 * @param {string} asked  the case, in words
 * @param {import("../types.js").Balance} balance
 * @param {import("../types.js").Balance} design
 * @param {{ output: number, costs: import("../types.js").Cost[] } | null} dear
 */
export function csv(app, asked, balance, design, dear) {
  const { units, manifest } = app;
  const number = (/** @type {string} */ quantity, /** @type {number} */ inside) =>
    Number.isFinite(inside) ? Number(units.shown(quantity, inside).toPrecision(SIGNIFICANT)) : "";
  const title = (/** @type {string} */ name, /** @type {string} */ quantity) => {
    const unit = units.unit(quantity);
    return unit ? `${name} [${unit}]` : name;
  };
  const heads = (/** @type {{ key: string, quantity: string }[]} */ rows) =>
    rows.map((row) => title(nameOf(row), row.quantity));
  const cases = /** @type {const} */ ([
    [say("bal_this"), balance],
    [say("bal_design"), design],
  ]);
  const any = manifest.heaters[0];
  if (!any) return "";

  /** @type {(string | number)[][]} */
  const lines = [[manifest.plant.title], [asked], [say("caution_short")], []];
  const unit = [...unitRows(design), ...RESIDUALS];
  lines.push([say("csv_case"), ...heads(unit)]);
  for (const [name, b] of cases)
    lines.push([name, ...unit.map((row) => number(row.quantity, row.get(b, any, false)))]);
  lines.push([], [say("csv_case"), say("csv_heater"), say("csv_outage"), ...heads(HEATER_ROWS)]);
  for (const [name, b] of cases) {
    for (const heater of manifest.heaters) {
      const of = b.heaters[heater.number - 1];
      const outage = b.case.outages[heater.number - 1] ?? "none";
      if (of)
        lines.push([
          name,
          app.short(heater.id),
          say(`bal_${outage}`),
          ...HEATER_ROWS.map((row) => number(row.quantity, row.get(of, heater, outage === "out"))),
        ]);
    }
  }
  lines.push([], [say("csv_case"), say("bal_stage_head"), ...heads(STAGE_ROWS)]);
  for (const [name, b] of cases)
    b.stages.forEach((stage, at) =>
      lines.push([
        name,
        say("bal_stage", { n: at + 1, to: app.short(endOf(b, stage)) }),
        ...STAGE_ROWS.map((row) => number(row.quantity, row.get(stage, any, false))),
      ]),
    );
  if (dear) {
    const kelvin = units.full("temperature_difference", 1, false, 1);
    lines.push([], [say("costs"), title(say("cost_at"), "power"), number("power", dear.output)]);
    lines.push([
      say("csv_change"),
      say("cost_heater"),
      ...COST_COLUMNS.map(({ key, quantity }) => title(say(`cost_${key}`), quantity)),
    ]);
    for (const cost of dear.costs)
      lines.push([
        say(`cost_${cost.change}`, { kelvin }),
        app.short(cost.heater),
        ...COST_COLUMNS.map(({ key, quantity }) => number(quantity, cost[key])),
      ]);
  }
  return lines.map((line) => line.map(quoted).join(",")).join("\r\n") + "\r\n";
}
