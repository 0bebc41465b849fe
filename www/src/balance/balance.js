// The balance: the plant at rest at any load, with any heater out. Computed and drawn only when it is looked at and
// something has changed; the running plant is not touched.

import { downloadTable } from "../download.js";
import { h, set, setText, show } from "../dom.js";
import { asFault } from "../fault.js";
import { segmented } from "../header.js";
import { say } from "../words.js";
import { createControls } from "./controls.js";
import { costTables } from "./costs.js";
import { csv } from "./csv.js";
import { createPicture } from "./picture.js";
import { heaterTable, stageTable, unitTables } from "./tables.js";
import { createTiles } from "./tiles.js";

/**
 * The costs take some thirty balances and six sizings: they wait until they are looked at, and until the case has been
 * left alone for so long (ms).
 */
const SETTLED_MS = 250;

/** @param {import("../app.js").App} app */
export function createBalance(app) {
  const { session, manifest } = app;
  const count = manifest.heaters.length;
  /** @type {import("../types.js").Balance} */
  const design = session.balance({ hold: { steam_flow: 1 }, outages: Array(count).fill("none") });
  /** @type {import("../types.js").Balance | null} */
  let balance = null;
  /** @type {{ output: number, costs: import("../types.js").Cost[] } | null} */
  let dear = null;
  /** @type {import("./tables.js").Beside} */
  let beside = "change";
  let stale = true;
  let drawnFor = "";
  let dearFor = NaN;
  let dearShownFor = "";
  let settled = -Infinity;
  let costsSeen = false;
  let size = { width: 0, height: 0 };

  const controls = createControls(app, () => (stale = true));
  const tiles = createTiles(app, design);
  const picture = createPicture(app, design);
  new ResizeObserver(([entry]) => {
    if (entry) size = { width: Math.round(entry.contentRect.width), height: Math.round(entry.contentRect.height) };
  }).observe(picture.svg);

  const besides = segmented(
    say("bal_beside"),
    /** @type {const} */ (["change", "design"]).map((one) => ({
      text: say(`bal_beside_${one}`),
      title: say(`bal_beside_${one}_title`),
      data: { beside: one },
      click: () => {
        beside = one;
        drawnFor = "";
      },
    })),
  );
  const file = () => {
    price();
    if (balance)
      downloadTable(`${manifest.plant.name}-balance.csv`, csv(app, controls.words(balance.case), balance, design, dear));
  };
  const tools = h(
    "div",
    { class: "paper-tools" },
    h("span", { class: "label", text: say("bal_beside") }),
    besides.el,
    h("button", {
      type: "button",
      "data-action": "csv",
      text: say("bal_csv"),
      title: say("bal_csv_title"),
      on: { click: file },
    }),
    h("button", {
      type: "button",
      "data-action": "print",
      text: say("bal_print"),
      title: say("bal_print_title"),
      on: { click: () => print() },
    }),
  );
  const asked = h("p", { class: "asked-words" });
  const heaters = h("div", { class: "sheet" });
  const stages = h("div", { class: "sheet" });
  const unit = h("div", { class: "pair" });
  const costs = h("div", { class: "rankings" });
  const costsAt = h("p", { class: "label" });
  const costPart = h(
    "section",
    { class: "cost-part", "aria-labelledby": "costs-title" },
    h("h2", { id: "costs-title", text: say("costs") }),
    costsAt,
    costs,
  );
  new IntersectionObserver(([entry]) => (costsSeen = entry?.isIntersecting ?? false)).observe(costPart);
  addEventListener("beforeprint", () => app.view === "balance" && price());
  const results = h("div", { class: "results" }, picture.el, heaters, stages, unit, costPart);
  const none = h("p", { class: "nothing", text: say("bal_nothing"), hidden: true });
  const el = h(
    "div",
    { class: "paper" },
    h(
      "aside",
      { class: "ask", "aria-label": say("bal_case") },
      h("h2", { text: say("balance") }),
      h("p", { class: "label", text: say("bal_steady") }),
      controls.el,
    ),
    h(
      "div",
      { class: "answer", role: "region", tabindex: 0, "aria-label": say("bal_result") },
      h("div", { class: "paper-head" }, asked, tools),
      tiles.el,
      none,
      results,
    ),
  );

  function solve() {
    stale = false;
    /** @type {import("../types.js").Fault | null} */
    let fault = controls.empty() ? controls.emptyFault() : null;
    balance = null;
    if (!fault) {
      try {
        balance = session.balance(controls.read());
      } catch (thrown) {
        fault = asFault(thrown);
      }
    }
    controls.answer(fault, balance?.case ?? null);
    show(none, balance === null);
    show(results, balance !== null);
    show(tiles.el, balance !== null);
    show(tools, balance !== null);
    setText(asked, balance ? controls.words(balance.case) : "");
    set(el, { "data-solved": balance ? "yes" : "no" });
    settled = performance.now() + SETTLED_MS;
    drawnFor = "";
  }

  /** Costs belong to an output; a heater more or less out does not change what is asked of all in service. */
  function price() {
    if (!balance) return;
    const [low, high] = manifest.balance_range;
    const share = Math.min(high, Math.max(low, balance.gross / design.gross));
    if (Math.abs(share - dearFor) > 5e-4 || !(dearFor > 0)) {
      dearFor = share;
      try {
        dear = { output: share * design.gross, costs: session.costs(share) };
      } catch (thrown) {
        dear = null;
        costs.replaceChildren(h("p", { class: "refusal", text: app.explain(asFault(thrown)) }));
      }
      dearShownFor = "";
    }
    const key = `${dearFor} ${app.units.system}`;
    if (dear && key !== dearShownFor) {
      dearShownFor = key;
      setText(costsAt, say("costs_at", { output: app.units.full("power", dear.output, false, 1) }));
      costs.replaceChildren(...costTables(app, dear.costs));
    }
  }

  return {
    el,
    drawn: () => balance !== null && drawnFor !== "",
    update() {
      if (stale) solve();
      const key = `${size.width} ${size.height} ${app.units.system}`;
      if (balance && size.width > 60 && key !== drawnFor) {
        drawnFor = key;
        picture.draw(balance, size.width, size.height);
        tiles.update(balance);
        heaters.replaceChildren(heaterTable(app, balance, design, beside));
        stages.replaceChildren(stageTable(app, balance, design, beside));
        unit.replaceChildren(...unitTables(app, balance, design, beside));
        for (const sheet of el.querySelectorAll(".sheet, .rankings")) {
          // What has to be scrolled sideways can be reached by keyboard.
          const scrolls = sheet.scrollWidth > sheet.clientWidth;
          set(sheet, { tabindex: scrolls ? "0" : null });
        }
        for (const button of besides.buttons) set(button, { "aria-pressed": String(button.dataset.beside === beside) });
      }
      if (costsSeen && performance.now() >= settled) price();
    },
  };
}
