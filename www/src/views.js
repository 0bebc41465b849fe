// Which view is shown. The address carries it, so that a reload or a bookmark comes back to it.

import { h, set } from "./dom.js";
import { say } from "./words.js";

/** @typedef {"climb" | "balance"} View */

const VIEWS = /** @type {const} */ (["climb", "balance"]);

/** @returns {View} */
export function viewInAddress() {
  return VIEWS.find((view) => location.hash === `#${view}`) ?? "climb";
}

/** The view after this one, as the key asks for it. */
export function nextView() {
  const at = VIEWS.indexOf(viewInAddress());
  location.hash = VIEWS[(at + 1) % VIEWS.length] ?? "climb";
}

/**
 * The switch in the header: links, so that the browser's own ways (open in a tab, go back) work too.
 * @param {import("./app.js").App} app
 */
export function createSwitch(app) {
  const links = VIEWS.map((view) => h("a", { href: `#${view}`, "data-view": view, text: say(`view_${view}`) }));
  return {
    el: h("nav", { class: "segmented views", "aria-label": say("views") }, ...links),
    update() {
      for (const link of links) set(link, { "aria-current": link.dataset.view === app.view ? "page" : null });
    },
  };
}
