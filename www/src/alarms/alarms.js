// The view of alarms and protection.

import { h } from "../dom.js";
import { createList } from "./list.js";
import { createProtection } from "./protection.js";

/** @param {import("../app.js").App} app */
export function createAlarms(app) {
  const list = createList(app);
  const protection = createProtection(app);
  let drawn = false;
  return {
    el: h("div", { class: "alarm-view" }, list.el, protection.el),
    drawn: () => drawn,
    /** @param {boolean} slow */
    update(slow) {
      if (!slow && drawn) return;
      drawn = true;
      list.update();
      protection.update();
    },
  };
}
