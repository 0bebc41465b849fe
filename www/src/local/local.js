// What is done at the valves of a heater or of the feed pumps themselves: somebody walks there, turns the handwheel, and holds the valve until it is
// handed back to its drive.

import { h, set, setText, show } from "../dom.js";
import { HAND_VALVES } from "../parts.js";
import { value } from "../signals.js";
import { say } from "../words.js";

/** @typedef {import("bledsteam_web").HeldValve["valve"]} HandValve */

/**
 * A valve with a handwheel; one without a drive is not handed back.
 * @typedef {{ device: string, valve: HandValve, name: string, driven: boolean }} Wheel
 */

/** The valves of a closed heater. @param {import("../app.js").App} app @param {import("../types.js").Heater} heater */
export function createLocal(app, heater) {
  const there = Object.entries(HAND_VALVES).filter(
    ([valve]) => valve !== "warm_up" && (valve !== "line_drain" || app.store.has(`${heater.id}.line_drain_valve`)),
  );
  const wheels = there.map(([valve, word]) => ({
    device: heater.id,
    valve: /** @type {HandValve} */ (valve),
    name: say(word),
    driven: true,
  }));
  return createWheels(app, wheels, {
    note: say("local_note"),
    valve: say("local_valve", { heater: heater.name }),
    to: say("local_to", { heater: heater.name }),
  });
}

/**
 * The warm-up valves of the feed pumps, and the drain of the open heater's extraction line.
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Heater} heater
 * @param {string[]} pumps
 */
export function createOpenLocal(app, heater, pumps) {
  /** @type {Wheel[]} */
  const wheels = pumps.map((device) => ({
    device,
    valve: "warm_up",
    name: say("local_warm_up", { pump: app.short(device) }),
    driven: false,
  }));
  if (app.store.has(`${heater.id}.line_drain_valve`))
    wheels.push({ device: heater.id, valve: "line_drain", name: say(HAND_VALVES.line_drain), driven: true });
  if (!wheels.length) return null;
  return createWheels(app, wheels, {
    note: say(pumps.length ? "local_note_pump" : "local_note"),
    valve: say("local_valve", { heater: heater.name }),
    to: say("local_to", { heater: heater.name }),
  });
}

/**
 * @param {import("../app.js").App} app
 * @param {Wheel[]} wheels
 * @param {{ note: string, valve: string, to: string }} words
 */
function createWheels(app, wheels, words) {
  const { store, units } = app;
  const key = (/** @type {{ device: string, valve: string }} */ { device, valve }) => `${device} ${valve}`;
  const valve = h(
    "select",
    { "aria-label": words.valve },
    ...wheels.map((wheel) => h("option", { value: key(wheel), text: wheel.name })),
  );
  /** @returns {Wheel | undefined} */
  const chosen = () => wheels.find((wheel) => key(wheel) === valve.value);
  const number = h("input", {
    type: "number",
    min: 0,
    max: 100,
    step: 1,
    value: 0,
    inputmode: "decimal",
    "aria-label": words.to,
  });
  const send = h("button", {
    type: "button",
    text: say("local_send"),
    title: say("local_send_title"),
    "data-action": "local_valve",
    "data-heater": wheels[0]?.device,
    "data-valve": wheels[0]?.valve,
    on: { click: () => tell(chosen(), number.value) },
  });
  const refusal = h("p", { class: "refusal", role: "status" });
  const left = h("p", { class: "local-left", hidden: true }, `${say("local_left")} `, value("unit.local_remaining"));
  const list = h("ul", { class: "local-held" });
  const count = h("span", { class: "chip", "data-weight": "note", hidden: true });
  valve.addEventListener("change", () => set(send, { "data-heater": chosen()?.device ?? null, "data-valve": chosen()?.valve ?? null }));
  number.addEventListener("keydown", ({ key }) => {
    if (key === "Enter") tell(chosen(), number.value);
  });

  /** @param {Wheel | undefined} wheel @param {string | null} percent  null hands the valve back to its drive */
  function tell(wheel, percent) {
    if (!wheel) return;
    const { device: heater, valve: which } = wheel;
    const position = Number(percent) / 100;
    /** @type {Pick<import("../types.js").Fault, "place" | "message" | "remedy"> | null} */
    let fault;
    if (percent === null) fault = app.command({ do: "local_valve", heater, valve: which });
    else if (percent.trim() === "" || !Number.isFinite(position))
      fault = { place: "", message: say("not_a_number"), remedy: say("percent_remedy") };
    else fault = app.command({ do: "local_valve", heater, valve: which, position });
    setText(refusal, fault ? app.explain(fault) : "");
    update();
  }

  /** @type {Map<string, { el: HTMLElement, at: HTMLElement }>} */
  const rows = new Map();

  /** @param {Wheel} wheel */
  function row(wheel) {
    const at = h("strong");
    const back = h("button", {
      type: "button",
      text: say("local_back"),
      "aria-label": say("local_back_title", { valve: wheel.name }),
      "data-action": "local_valve",
      "data-hand-back": wheel.valve,
      "data-heater": wheel.device,
      "data-valve": wheel.valve,
      on: { click: () => tell(wheel, null) },
    });
    return { at, el: h("li", {}, h("span", { text: `${wheel.name}: ` }), at, ...(wheel.driven ? [back] : [])) };
  }

  function update() {
    const all = app.session.held_by_hand();
    const held = wheels.flatMap((wheel) => {
      const one = all.find(({ heater, valve: which }) => heater === wheel.device && which === wheel.valve);
      return one ? [{ wheel, position: one.position }] : [];
    });
    for (const [which, { el }] of rows)
      if (!held.some(({ wheel }) => key(wheel) === which)) {
        // The focus stays here when its button goes.
        if (el.contains(document.activeElement)) send.focus();
        el.remove();
        rows.delete(which);
      }
    for (const { wheel, position } of held) {
      let one = rows.get(key(wheel));
      if (!one) {
        rows.set(key(wheel), (one = row(wheel)));
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
      h("p", { class: "label", text: words.note }),
      h("div", { class: "local-ask" }, valve, h("span", { class: "with-unit" }, number, h("span", { text: "%", "aria-hidden": "true" })), send),
      refusal,
      left,
      list,
    ),
    update,
  };
}
