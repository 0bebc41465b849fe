// Mass and energy of one component over the last step, flow by flow, down to what is left over.

import { h, setText } from "../dom.js";
import { say } from "../words.js";
import { deviceName, meaningOf } from "./name.js";

/** @typedef {import("bledsteam_web").ComponentBalance} ComponentBalance */

/**
 * @param {import("../app.js").App} app
 * @param {string} device
 * @param {(id: string) => void} go
 */
export function createBalanceTable(app, device, go) {
  const { units } = app;
  const mass = { quantity: "mass_flow", unit: null };
  const energy = { quantity: "heat_flow", unit: null };
  const first = app.session.component_balance(device);
  const cells = () => [h("td", { class: "number" }), h("td", { class: "number" })];
  const of = (/** @type {string} */ quantity) => (units.unit(quantity) ? `, ${units.unit(quantity)}` : "");
  const name = (/** @type {string} */ text) => h("th", { scope: "row", text });

  const rows = first.flows.map((flow) => {
    const [m, e] = cells();
    const words = meaningOf(`flow_${flow.name}`) + (flow.device ? ` ${deviceName(app, flow.device)}` : "");
    const link = h("button", {
      type: "button",
      class: "link",
      "data-working": flow.working,
      text: words,
      on: { click: () => go(flow.working) },
    });
    return { m, e, el: h("tr", {}, h("th", { scope: "row" }, flow.inward ? "+ " : "− ", link), m ?? null, e ?? null) };
  });
  const sums = /** @type {const} */ (["wk_in", "wk_out", "wk_stored", "wk_residual"]).map((key) => {
    const [m, e] = cells();
    return { m, e, el: h("tr", { class: key === "wk_residual" ? "residual" : null }, name(say(key)), m ?? null, e ?? null) };
  });

  return {
    el: h(
      "table",
      { class: "wk-balance" },
      h("caption", { text: say("wk_balance_of", { device: deviceName(app, device) }) }),
      h(
        "thead",
        {},
        h(
          "tr",
          {},
          h("th", { scope: "col", text: say("wk_flow") }),
          h("th", { scope: "col", text: say("wk_mass") + of("mass_flow") }),
          h("th", { scope: "col", text: say("wk_energy") + of("heat_flow") }),
        ),
      ),
      h("tbody", {}, ...rows.map((row) => row.el)),
      h("tfoot", {}, ...sums.map((row) => row.el)),
    ),
    update() {
      const b = app.session.component_balance(device);
      // As many digits as let a reader add them up: the table is there to be checked.
      const text = (/** @type {{ quantity: string }} */ { quantity }, /** @type {number} */ x) =>
        (units.shown(quantity, x) - units.shown(quantity, 0)).toFixed(4).replace(/^-(0\.0+)$/, "$1").replace("-", "−");
      const put = (/** @type {Element | undefined} */ el, /** @type {string} */ words) => el && setText(el, words);
      b.flows.forEach((flow, at) => {
        put(rows[at]?.m, flow.mass === null ? "" : text(mass, flow.mass));
        put(rows[at]?.e, text(energy, flow.energy));
      });
      const all = [0, 1].map((way) => ({ m: b.mass_through[way] ?? NaN, e: b.energy_through[way] ?? NaN }));
      all.push({ m: b.mass_stored, e: b.energy_stored }, { m: b.mass_residual, e: b.energy_residual });
      all.forEach(({ m, e }, at) => {
        put(sums[at]?.m, text(mass, m));
        put(sums[at]?.e, text(energy, e));
      });
    },
  };
}
