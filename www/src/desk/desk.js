// The instructor's desk: the band of time above, what can be done in tabs on the left, what is true on the right.

import { h, set, show } from "../dom.js";
import { say } from "../words.js";
import { createAsk } from "./ask.js";
import { createForce } from "./force.js";
import { createInsert } from "./insert.js";
import { createLock, isShut, whyShut } from "./lock.js";
import { createOther } from "./other.js";
import { createStart } from "./start.js";
import { createStrip } from "./strip.js";
import { createTruth } from "./truth.js";
import { isOwn } from "./travel.js";
import { createTune } from "./tune.js";

const TABS = /** @type {const} */ (["wrong", "start", "other", "tune", "ask", "lock"]);

/** @param {import("../app.js").App} app */
export function createDesk(app) {
  if (!isOwn(app)) {
    // An exercise has the views; when it is left they are built anew.
    const text = h("div", { class: "desk-part desk-closed" }, h("h2", { text: say("desk") }), h("p", { text: say("desk_closed") }));
    return { el: h("div", { class: "desk" }, text), drawn: () => true, update() {} };
  }
  const strip = createStrip(app);
  const force = createForce(app);
  const truth = createTruth(app);
  const panels = {
    wrong: createInsert(app, () => force.update()),
    start: createStart(app),
    other: createOther(app),
    tune: createTune(app),
    ask: createAsk(app),
    lock: createLock(app),
  };
  /** @type {(typeof TABS)[number]} */
  let open = "wrong";
  const tabs = TABS.map((tab) =>
    h("button", {
      type: "button",
      role: "tab",
      id: `desk-tab-${tab}`,
      "data-tab": tab,
      "aria-controls": `desk-${tab}`,
      text: say(`${tab}_tab`),
      on: { click: () => choose(tab) },
    }),
  );
  const list = h("div", { class: "desk-tabs", role: "tablist", "aria-label": say("desk") }, ...tabs);
  list.addEventListener("keydown", (event) => {
    const at = TABS.indexOf(open);
    const to = { ArrowLeft: at - 1, ArrowRight: at + 1, Home: 0, End: TABS.length - 1 }[event.key];
    const next = to === undefined ? undefined : TABS[(to + TABS.length) % TABS.length];
    if (!next) return;
    event.preventDefault();
    choose(next);
    tabs[TABS.indexOf(next)]?.focus();
  });
  const bodies = TABS.map((tab) =>
    h(
      "div",
      { class: "desk-body", role: "tabpanel", id: `desk-${tab}`, "aria-labelledby": `desk-tab-${tab}`, tabindex: -1 },
      panels[tab].el,
    ),
  );
  /** @param {(typeof TABS)[number]} tab */
  function choose(tab) {
    open = tab;
    TABS.forEach((one, at) => {
      const here = one === tab;
      const button = tabs[at];
      if (button) set(button, { "aria-selected": String(here), tabindex: here ? "0" : "-1" });
      const body = bodies[at];
      if (body) show(body, here);
    });
    panels[tab].update();
  }
  const closed = h("div", { class: "desk-part desk-closed" });
  const work = h(
    "div",
    { class: "desk-work" },
    strip.el,
    h(
      "div",
      { class: "desk-columns" },
      h("section", { class: "desk-part desk-do", "aria-label": say("desk") }, list, ...bodies),
      h("div", { class: "desk-true" }, force.el, truth.el),
    ),
  );
  const shut = whyShut(app, () => arrange());
  closed.append(shut.el);
  let drawn = false;
  /** Shows the desk, or why there is none. */
  function arrange() {
    const none = isShut();
    show(work, !none);
    show(closed, none);
    shut.update();
    return none;
  }
  choose(open);
  return {
    el: h("div", { class: "desk" }, closed, work),
    drawn: () => drawn,
    /** @param {boolean} slow */
    update(slow) {
      if (!slow && drawn) return;
      drawn = true;
      if (arrange()) return;
      strip.update();
      force.update();
      truth.update();
      panels[open].update();
    },
  };
}
