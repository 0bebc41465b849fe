// One drain valve: where it stands, what it passes, and moving it by hand.

import { h, set, setText } from "./dom.js";
import { value } from "./signals.js";
import { say } from "./words.js";

/**
 * @param {import("./app.js").App} app
 * @param {import("./types.js").Heater} heater
 * @param {"normal" | "emergency"} valve
 * @param {string} target  where it drains to, in words
 */
export function createDrainControl(app, heater, valve, target) {
  const { id } = heater;
  const name = say(`${valve}_drain`);
  const key = `${id}-${valve}`;
  const slider = h("input", {
    type: "range",
    min: 0,
    max: 100,
    step: 1,
    "aria-label": say("drain_slider", { name, heater: heater.name }),
  });
  const number = h("input", {
    type: "number",
    min: 0,
    max: 100,
    step: 1,
    id: `hand-${key}`,
    inputmode: "decimal",
    "data-action": "move_drain",
    "data-heater": id,
    "data-valve": valve,
    "aria-label": say("drain_number", { name, heater: heater.name }),
  });
  const auto = h("button", {
    type: "button",
    text: say("auto"),
    title: say("auto_title"),
    "data-action": "release_drain",
    "data-heater": id,
    "data-valve": valve,
    on: { click: () => tell(null) },
  });
  const hand = h("button", {
    type: "button",
    text: say("hand"),
    title: say("hand_title"),
    "data-action": "take_drain",
    "data-heater": id,
    "data-valve": valve,
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
        ? app.command({ do: "release_drain", heater: id, valve })
        : percent.trim() === "" || !Number.isFinite(position)
          ? { place: "", message: say("not_a_number"), remedy: say("percent_remedy") }
          : app.command({ do: "move_drain", heater: id, valve, position });
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
      { class: `drain ${valve}`, role: "group", "aria-label": name },
      h(
        "p",
        {},
        h("span", { class: "label", text: name }),
        h("span", { class: "to", text: ` → ${target}` }),
        h("span", { class: "flow" }, value(`${id}.${valve}_drain_flow`)),
      ),
      h(
        "div",
        { class: "hand" },
        slider,
        h("span", { class: "with-unit" }, number, h("span", { text: "%", "aria-hidden": "true" })),
        h(
          "div",
          { class: "segmented", role: "group", "aria-label": say("drain_mode", { name, heater: heater.name }) },
          auto,
          hand,
        ),
      ),
      refusal,
    ),
    update() {
      const position = app.store.get(`${id}.${valve}_drain_valve`);
      const byHand = app.store.get(`${id}.${valve}_drain_hand`) > 0.5;
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
