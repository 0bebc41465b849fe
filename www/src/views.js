// Which view is shown. The address carries it, so that a reload or a bookmark comes back to it.

import { h, s, set, setText, show } from "./dom.js";
import { packed } from "./learning/packed.js";
import { say } from "./words.js";

/** @typedef {"climb" | "sheet" | "heater" | "trends" | "balance" | "alarms" | "desk" | "exercise" | "editor" | "review"} View */

const ALL = /** @type {const} */ (["climb", "sheet", "heater", "trends", "balance", "alarms", "desk", "exercise", "editor", "review"]);

/** Views for those who teach: not in a learning package, which is a trainee's. @type {Set<View>} */
const TEACHING = new Set(/** @type {View[]} */ (["desk", "editor", "review"]));

export const VIEWS = ALL.filter((view) => !packed || !TEACHING.has(view));

/** Views that show a running heater, and so can do something to the one that is picked. @type {Set<View>} */
export const WORKING = new Set(/** @type {View[]} */ (["climb", "sheet", "heater"]));

/** What stands before each name: the view's own shape in little. @type {Record<View, string>} */
const MARKS = {
  climb: "M2 18h4v-5h5v-5h5V3h4",
  sheet: "M2 11h4m10 0h4M6 7l10 8V7L6 15z",
  heater: "M2 6h13a5 5 0 0 1 0 10H2zM5 9h9a2 2 0 0 1 0 4H5",
  trends: "M3 2v17h17M6 14l4-6 4 4 5-8",
  alarms: "M3 16h16l-2-3V9a6 6 0 0 0-12 0v4zM9 19h4",
  desk: "M2 9h18M4 9v10M18 9v10M8 9V5h6v4M8 14h6",
  editor: "M4 18l1-5L15 3l4 4L9 17zM13 5l4 4M4 18h15",
  exercise: "M4 3h11l3 3v13H4zM7 8h8M7 12h5M7 16l2 2 4-5",
  review: "M3 3h16v16H3zM3 8h16M8 3v16M11 13l2 2 4-5",
  balance: "M11 3v16M6 19h10M4 6h14M4 6l-3 7h6zM18 6l-3 7h6z",
};

/** @param {string} part */
const decoded = (part) => {
  try {
    return decodeURIComponent(part);
  } catch {
    return part; // not an address of ours: it will name nothing
  }
};

/** The view that the address asks for, and of what. @returns {{ view: View, of: string | null }} */
export function inAddress() {
  const [name, of] = location.hash.slice(1).split("/");
  return { view: VIEWS.find((view) => view === name) ?? (packed ? "exercise" : "climb"), of: of ? decoded(of) : null };
}

/** @returns {View} */
export function viewInAddress() {
  return inAddress().view;
}

/** The address of a heater's inside. @param {string} heater */
export const addressOfInside = (heater) => `#heater/${encodeURIComponent(heater)}`;

/** The view after this one, as the key asks for it. */
export function nextView() {
  const at = VIEWS.indexOf(viewInAddress());
  location.hash = VIEWS[(at + 1) % VIEWS.length] ?? "climb";
}

/**
 * The rail of views: links, so that the browser's own ways (open in a tab, go back) work too.
 * @param {import("./app.js").App} app
 */
export function createRail(app) {
  const links = VIEWS.map((view) =>
    h(
      "a",
      { href: `#${view}`, "data-view": view, title: say(`view_${view}_title`) },
      s("svg", { viewBox: "0 0 22 22", "aria-hidden": "true" }, s("path", { d: MARKS[view] })),
      h("span", { text: say(`view_${view}`) }),
    ),
  );
  const alarms = links.find((link) => link.dataset.view === "alarms");
  const badge = h("strong", { class: "badge", hidden: true, "aria-hidden": "true" });
  const told = h("span", { class: "visually-hidden" });
  alarms?.append(badge, told);
  return {
    el: h("nav", { class: "rail", "aria-label": say("views") }, ...links),
    update() {
      for (const link of links) set(link, { "aria-current": link.dataset.view === app.view ? "page" : null });
    },
    /** How many alarms wait to be acknowledged. @param {number} count */
    calls(count) {
      show(badge, count > 0);
      setText(badge, String(count));
      setText(told, count > 0 ? `, ${say("alarms_unseen", { n: count })}` : "");
    },
  };
}
