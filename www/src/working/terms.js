// The terms of an equation as a list: what each means, its value now, and where it comes from.

import { h, setText } from "../dom.js";
import { say, sayOr } from "../words.js";
import { line, symbol } from "./math.js";
import { deviceName, meaningOf, which } from "./name.js";
import { valueOf } from "./show.js";

/**
 * @typedef {import("bledsteam_web").WorkingTerm} Term
 * @typedef {import("bledsteam_web").Source} Source
 */

/** @param {Source} source */
export function sourceWords({ ground, text }) {
  const words = sayOr(`ground_${ground}`, ground);
  return text ? say("wk_ground_of", { ground: words, text }) : words;
}

/**
 * @param {Term} term
 * @param {(id: string) => void} go
 */
function origin({ origin, meaning }, go) {
  switch (origin.kind) {
    case "working":
    case "flow":
      return h(
        "span",
        {},
        h("button", {
          type: "button",
          class: "link",
          "data-working": origin.id,
          "aria-label": say("wk_show_of", { what: meaningOf(meaning) }),
          text: say("wk_show"),
          on: { click: () => go(origin.id) },
        }),
        origin.kind === "working" && origin.before ? h("span", { class: "label", text: ` ${say("wk_before")}` }) : null,
      );
    case "plant":
      return h("span", { text: say("wk_plant", { place: origin.place }) });
    case "constant":
      return h("span", { text: sourceWords(origin.source) });
    default:
      return h("span", { text: say("wk_sized") });
  }
}

/**
 * @param {import("../app.js").App} app
 * @param {Term[]} terms
 * @param {(id: string) => void} go
 */
export function createTerms(app, terms, go) {
  const cells = terms.map(() => h("td", { class: "number" }));
  const rows = terms.map((term, at) => {
    const owner = term.device ? `, ${deviceName(app, term.device)}` : "";
    return h(
      "tr",
      {},
      h("th", { scope: "row" }, mathOf(term)),
      h("td", { text: meaningOf(term.meaning) + (term.origin.kind === "working" ? which(term.origin.id, term.meaning) : "") + owner }),
      cells[at] ?? null,
      h("td", {}, origin(term, go)),
    );
  });
  const heads = /** @type {const} */ (["wk_symbol", "wk_meaning", "wk_value", "wk_from"]);
  return {
    el: h(
      "table",
      { class: "wk-terms" },
      h("caption", { class: "visually-hidden", text: say("wk_terms") }),
      h("thead", {}, h("tr", {}, ...heads.map((key) => h("th", { scope: "col", text: say(key) })))),
      h("tbody", {}, ...rows),
    ),
    /** @param {Term[]} now */
    update(now) {
      cells.forEach((cell, at) => {
        const term = now[at];
        if (term) setText(cell, valueOf(app, term, term.value));
      });
    },
  };
}

/** @param {Term} term */
function mathOf(term) {
  const el = line("", symbol(term.symbol));
  // A letter needs neither focus nor a name of its own in a row that names it.
  for (const name of ["tabindex", "role", "aria-label"]) el.removeAttribute(name);
  return el;
}
