// The foot: whether the model's books balance, and what this is not for.

import { h } from "./dom.js";
import { value } from "./signals.js";
import { say } from "./words.js";

/** @param {import("./app.js").App} app */
export function createFooter(app) {
  return h(
    "footer",
    { class: "foot" },
    h(
      "p",
      { class: "books", title: say("books_title") },
      h("span", { text: `${say("mass_books")} ` }),
      value("unit.mass_residual"),
      h("span", { text: ` · ${say("energy_books")} ` }),
      value("unit.energy_residual"),
      h("span", { class: "books-why", text: ` ${say("books_why")}` }),
    ),
    h(
      "details",
      { class: "caution" },
      h("summary", {}, h("strong", { text: say("caution_short") }), ` ${say("caution_more")}`),
      h("p", { text: say("caution") }),
    ),
    h("p", { class: "engine", text: app.manifest.engine }),
  );
}
