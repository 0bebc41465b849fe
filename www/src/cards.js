// One card per heater, of which the picked one is in view; tabs in the water's order choose it.

import { createCard } from "./card.js";
import { h, set, setText } from "./dom.js";
import { modeLook } from "./state.js";
import { say } from "./words.js";

/** @param {import("./app.js").App} app */
export function createCards(app) {
  const { heaters } = app.manifest;
  const cards = heaters.map((heater) => createCard(app, heater));
  const tabs = heaters.map((heater) => {
    const shape = h("span", { class: "shape", "aria-hidden": "true" });
    const state = h("span", { class: "visually-hidden" });
    return {
      heater,
      shape,
      state,
      el: h(
        "button",
        {
          type: "button",
          role: "tab",
          id: `tab-${heater.id}`,
          "aria-controls": `card-${heater.id}`,
          on: { click: () => app.pick(heater.id) },
        },
        shape,
        app.short(heater.id),
        state,
      ),
    };
  });

  const list = h("div", { class: "tabs", role: "tablist", "aria-label": say("heaters") }, ...tabs.map((tab) => tab.el));
  list.addEventListener("keydown", (event) => {
    const at = heaters.findIndex((heater) => heater.id === app.picked);
    const to = { ArrowLeft: at - 1, ArrowRight: at + 1, Home: 0, End: heaters.length - 1 }[event.key];
    const next = to === undefined ? undefined : tabs[to];
    if (!next) return;
    event.preventDefault();
    app.pick(next.heater.id);
    set(next.el, { tabindex: "0" });
    next.el.focus();
  });

  return {
    el: h("section", { class: "cards", "aria-label": say("cards") }, list, ...cards.map((card) => card.el)),
    /** @param {"trip_heater" | "isolate_extraction" | "put_back"} action */
    act(action) {
      cards.find((card) => card.heater.id === app.picked)?.act(action);
    },
    /** @param {boolean} slow */
    update(slow) {
      for (const tab of tabs) {
        const picked = tab.heater.id === app.picked;
        set(tab.el, { "aria-selected": String(picked), tabindex: picked ? "0" : "-1" });
        const look = modeLook(app.store.mode(tab.heater.id));
        setText(tab.shape, look.shape);
        setText(tab.state, `, ${look.text}`);
        set(tab.el, { "data-weight": look.weight });
      }
      for (const card of cards) card.update(card.heater.id === app.picked, slow);
    },
  };
}
