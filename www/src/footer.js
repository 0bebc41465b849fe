// The foot: whether the model's books balance, whether the page opens without a network, and what this is not for.

import { h, setText, show } from "./dom.js";
import { leaveFirst } from "./exercise/leave.js";
import { onKept, takeNewer } from "./kept.js";
import { value } from "./signals.js";
import { say } from "./words.js";

/**
 * @param {import("./app.js").App} app
 * @param {AbortSignal} signal
 */
export function createFooter(app, signal) {
  const kept = h("span", { role: "status" });
  const take = h("button", { type: "button", "data-action": "take_newer", text: say("kept_take"), title: say("kept_take_title"), on: { click: () => leaveFirst(app, takeNewer) } });
  onKept((state) => {
    setText(kept, state === "none" ? "" : say(`kept_${state}`));
    show(take, state === "newer");
  }, signal);
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
    h("p", { class: "kept", title: say("kept_title") }, kept, " ", take),
    h("p", { class: "engine", text: app.manifest.engine }),
  );
}
