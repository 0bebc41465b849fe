// What is done at a heater's valves themselves: somebody walks there, turns the handwheel, and holds the valve until it is
// handed back to its drive.

import { h, set, setText, show } from "../dom.js";
import { HAND_VALVES } from "../parts.js";
import { value } from "../signals.js";
import { say } from "../words.js";

/** @typedef {import("bledsteam_web").HeldValve["valve"]} HandValve */

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Heater} heater  a closed one
 */
export function createLocal(app, heater) {
  const { store, units } = app;
  const { id } = heater;
  const valve = h(
    "select",
    { "aria-label": say("local_valve", { heater: heater.name }) },
    ...Object.entries(HAND_VALVES).filter(([key]) => key !== "line_drain" || store.has(`${id}.line_drain_valve`)).map(([key, word]) => h("option", { value: key, text: say(word) })),
  );
  const number = h("input", {
    type: "number",
    min: 0,
    max: 100,
    step: 1,
    value: 0,
    inputmode: "decimal",
    "aria-label": say("local_to", { heater: heater.name }),
  });
  const send = h("button", {
    type: "button",
    text: say("local_send"),
    title: say("local_send_title"),
    "data-action": "local_valve",
    "data-heater": id,
    "data-valve": "stop_valve",
    on: { click: () => tell(chosen(), number.value) },
  });
  const refusal = h("p", { class: "refusal", role: "status" });
  const left = h("p", { class: "local-left", hidden: true }, `${say("local_left")} `, value("unit.local_remaining"));
  const list = h("ul", { class: "local-held" });
  const count = h("span", { class: "chip", "data-weight": "note", hidden: true });
  const chosen = () => /** @type {HandValve} */ (valve.value);
  valve.addEventListener("change", () => set(send, { "data-valve": valve.value }));
  number.addEventListener("keydown", ({ key }) => {
    if (key === "Enter") tell(chosen(), number.value);
  });

  /** @param {HandValve} which @param {string | null} percent  null hands the valve back to its drive */
  function tell(which, percent) {
    const position = Number(percent) / 100;
    /** @type {Pick<import("../types.js").Fault, "place" | "message" | "remedy"> | null} */
    let fault;
    if (percent === null) fault = app.command({ do: "local_valve", heater: id, valve: which });
    else if (percent.trim() === "" || !Number.isFinite(position))
      fault = { place: "", message: say("not_a_number"), remedy: say("percent_remedy") };
    else fault = app.command({ do: "local_valve", heater: id, valve: which, position });
    setText(refusal, fault ? app.explain(fault) : "");
    update();
  }

  /** @type {Map<HandValve, { el: HTMLElement, at: HTMLElement }>} */
  const rows = new Map();

  /** @param {HandValve} which */
  function row(which) {
    const at = h("strong");
    const name = say(HAND_VALVES[which]);
    const back = h("button", {
      type: "button",
      text: say("local_back"),
      "aria-label": say("local_back_title", { valve: name }),
      "data-action": "local_valve",
      "data-hand-back": which,
      "data-heater": id,
      "data-valve": which,
      on: { click: () => tell(which, null) },
    });
    return { at, el: h("li", {}, h("span", { text: `${name}: ` }), at, back) };
  }

  function update() {
    const held = app.session.held_by_hand().filter((one) => one.heater === id);
    for (const [which, { el }] of rows)
      if (!held.some((one) => one.valve === which)) {
        // The focus stays here when its button goes.
        if (el.contains(document.activeElement)) send.focus();
        el.remove();
        rows.delete(which);
      }
    for (const { valve: which, position } of held) {
      let one = rows.get(which);
      if (!one) {
        rows.set(which, (one = row(which)));
        list.append(one.el);
      }
      setText(one.at, units.full("fraction", position));
    }
    setText(count, `◇ ${say("local_count", { n: held.length })}`);
    show(count, held.length > 0);
    show(left, store.get("unit.local_remaining") > 0);
  }

  return {
    el: h(
      "details",
      { class: "local" },
      h("summary", {}, say("local"), " ", count),
      h("p", { class: "label", text: say("local_note") }),
      h("div", { class: "local-ask" }, valve, h("span", { class: "with-unit" }, number, h("span", { text: "%", "aria-hidden": "true" })), send),
      refusal,
      left,
      list,
    ),
    update,
  };
}
