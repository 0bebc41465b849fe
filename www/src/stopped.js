// What stopped the plant, where, and what can be done: in view until it is dealt with.

import { h, setText, show } from "./dom.js";
import { say } from "./words.js";

/** @param {import("./app.js").App} app */
export function createStopped(app) {
  const text = h("p");
  const el = h("div", { class: "stopped", role: "alert", hidden: true }, h("strong", { text: say("stopped") }), text);
  return {
    el,
    update() {
      const fault = app.stopped;
      show(el, fault !== null);
      if (fault) setText(text, `${app.explain(fault)} ${say("stopped_remedy")}`);
    },
  };
}
