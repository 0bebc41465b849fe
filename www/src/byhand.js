// One valve that its controller moves: where it stands, what it passes, and moving it by hand.

import { h, set, setText } from "./dom.js";
import { value } from "./signals.js";
import { say } from "./words.js";

/**
 * @typedef {object} Valve
 * @property {string} kind    class of its group
 * @property {string} device  id of the heater
 * @property {string} heater  name of the heater
 * @property {string} name    of the valve, in words
 * @property {string} key     that no other valve has
 * @property {string} way     where it leads or what it comes from, in words
 * @property {{ flow: string, opening: string, hand: string }} signals
 * @property {{ move: string, take: string, release: string }} actions  names of what its controls do
 * @property {Record<string, string>} data  further attributes of these
 * @property {() => import("./types.js").Command} release  gives it back to its controller
 * @property {(position: number) => import("./types.js").Command} move
 */

/**
 * @param {import("./app.js").App} app
 * @param {Valve} valve
 */
export function createByHand(app, valve) {
  const { name, heater, key, signals, actions } = valve;
  const data = { "data-heater": valve.device, ...valve.data };
  const slider = h("input", {
    type: "range",
    min: 0,
    max: 100,
    step: 1,
    "aria-label": say("drain_slider", { name, heater }),
  });
  const number = h("input", {
    type: "number",
    min: 0,
    max: 100,
    step: 1,
    id: `hand-${key}`,
    inputmode: "decimal",
    "data-action": actions.move,
    ...data,
    "aria-label": say("drain_number", { name, heater }),
  });
  const auto = h("button", {
    type: "button",
    text: say("auto"),
    title: say("auto_title"),
    "data-action": actions.release,
    ...data,
    on: { click: () => tell(null) },
  });
  const hand = h("button", {
    type: "button",
    text: say("hand"),
    title: say("hand_title"),
    "data-action": actions.take,
    ...data,
    on: { click: () => tell(number.value) },
  });
  const refusal = h("p", { class: "refusal", role: "status" });
  let touched = -Infinity;

  /** @param {string | null} percent  null gives the valve back to its controller */
  const tell = (percent) => {
    touched = -Infinity;
    const position = Number(percent) / 100;
    const fault =
      percent === null
        ? app.command(valve.release())
        : percent.trim() === "" || !Number.isFinite(position)
          ? { place: "", message: say("not_a_number"), remedy: say("percent_remedy") }
          : app.command(valve.move(position));
    setText(refusal, fault ? app.explain(fault) : "");
    number.defaultValue = number.value;
  };
  const hold = () => (touched = performance.now());
  slider.addEventListener("input", () => {
    hold();
    number.value = slider.value;
  });
  slider.addEventListener("change", () => tell(slider.value));
  // From the first key on: a figure that is followed meanwhile would undo the selection of what is typed over.
  for (const kind of ["focus", "keydown", "input"]) number.addEventListener(kind, hold);
  number.addEventListener("change", () => tell(number.value));
  // Also for the number that already stands there: it takes the valve by hand where it is.
  number.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && number.value === number.defaultValue) tell(number.value);
  });

  return {
    el: h(
      "div",
      { class: valve.kind, role: "group", "aria-label": name },
      h(
        "p",
        {},
        h("span", { class: "label", text: name }),
        h("span", { class: "to", text: valve.way }),
        h("span", { class: "flow" }, value(signals.flow)),
      ),
      h(
        "div",
        { class: "hand" },
        slider,
        h("span", { class: "with-unit" }, number, h("span", { text: "%", "aria-hidden": "true" })),
        h(
          "div",
          { class: "segmented", role: "group", "aria-label": say("drain_mode", { name, heater }) },
          auto,
          hand,
        ),
      ),
      refusal,
    ),
    update() {
      const position = app.store.get(signals.opening);
      const byHand = app.store.get(signals.hand) > 0.5;
      set(hand, { "aria-pressed": String(byHand), "data-weight": byHand ? "note" : "calm" });
      set(auto, { "aria-pressed": String(!byHand) });
      // What somebody is setting is not snatched from under the finger.
      const typing = document.activeElement === number && number.value !== number.defaultValue;
      if (typing || performance.now() - touched < 4000) return;
      const percent = String(Math.round(position * 100));
      if (slider.value !== percent) slider.value = percent;
      if (number.value !== percent) number.value = number.defaultValue = percent;
    },
  };
}
