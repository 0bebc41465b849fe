// The card of one heater: its state, what an operator asks of it, and what can be done to it.

import { deviceOf, latchedRows, reset } from "./alarms/name.js";
import { h, set, setText, show } from "./dom.js";
import { createDrainControl } from "./drain.js";
import { createLocal, createOpenLocal } from "./local/local.js";
import { createLevelBar } from "./level.js";
import { createPegging } from "./pegging.js";
import { createPumps, pumpsOf } from "./pumps/pumps.js";
import { value } from "./signals.js";
import { modeLook } from "./state.js";
import { addressOfInside } from "./views.js";
import { say, sayOr } from "./words.js";

/** @typedef {"trip_heater" | "isolate_extraction" | "put_back"} Action */
const ACTIONS = /** @type {const} */ (["trip_heater", "isolate_extraction", "put_back"]);

/** The figures, three in a row: water, gaps, shell and drains, steam. */
const FIGURES = {
  closed: [
    "fw_in_temperature",
    "fw_out_temperature",
    "fw_ramp",
    "dca",
    "ttd",
    "saturation_temperature",
    "drain_temperature",
    "drain_in_flow",
    "shell_pressure",
    "extraction_flow",
    "extraction_temperature",
    "stop_valve",
  ],
  open: [
    "fw_in_temperature",
    "fw_out_temperature",
    "fw_flow",
    "saturation_temperature",
    "shell_pressure",
    "drain_in_flow",
    "extraction_flow",
    "extraction_temperature",
    "stop_valve",
    "extraction_pressure",
    "vent_flow",
    "oxygen",
  ],
};

/**
 * @param {import("./app.js").App} app
 * @param {import("./types.js").Heater} heater
 */
export function createCard(app, heater) {
  const { store } = app;
  const { id } = heater;
  const target = app.short(heater.drains_to);
  const chip = h("span", { class: "chip" });
  const refusal = h("p", { class: "refusal", role: "status" });

  /** @param {Action} action */
  const act = (action) => {
    const fault = app.command({ do: action, heater: id });
    setText(refusal, fault ? app.explain(fault) : "");
    show(resetButton, fault !== null && action === "put_back" && latched().length > 0);
  };
  /** What keeps the heater off: rows of its own or of one that shares its bypass. */
  const latched = () =>
    latchedRows(app).filter((row) => [id, ...heater.bypass_group].includes(deviceOf(row.id)));
  const resetButton = h("button", {
    type: "button",
    hidden: true,
    "data-action": "card_reset",
    text: say("protection_reset_all"),
    on: {
      click: () => {
        const why = reset(app, latched());
        setText(refusal, why ?? say("protection_was_reset"));
        if (latched().length) return;
        show(resetButton, false);
        buttons.at(-1)?.focus();
      },
    },
  });
  const buttons = ACTIONS.map((action) =>
    h("button", {
      type: "button",
      "data-action": action,
      "data-heater": id,
      text: say(action),
      title: say(`${action}_title`),
      on: { click: () => act(action) },
    }),
  );

  const limit = app.units.full("temperature_rate", heater.ramp_limit, false, 1);
  const figures = FIGURES[heater.kind]
    .filter((name) => store.has(`${id}.${name}`))
    .map((name) => {
      const title = sayOr(`fig_${name}_title`, "").replace("{limit}", limit);
      return {
        name,
        el: h(
          "div",
          { title: title || null },
          h("dt", { text: sayOr(`fig_${name}`, name) }),
          h("dd", {}, value(`${id}.${name}`, { digits: name === "fw_ramp" ? 1 : 9 })),
        ),
      };
    });
  const ramp = figures.find((figure) => figure.name === "fw_ramp")?.el;

  const level = store.has(`${id}.level`) ? createLevelBar(app, heater) : null;
  const valves =
    heater.kind === "closed"
      ? /** @type {const} */ (["normal", "emergency"]).map((valve) =>
          createDrainControl(app, heater, valve, valve === "normal" ? target : say("device_condenser")),
        )
      : store.has(`${id}.pegging_flow`)
        ? [createPegging(app, heater)]
        : [];
  const warmed = pumpsOf(store, "fp").filter((pump) => store.has(`${pump}.casing_temperature`));
  const local = heater.kind === "closed" ? createLocal(app, heater) : createOpenLocal(app, heater, warmed);
  // The open heater's water goes to the feed pumps and comes from those of the condensate.
  const pumps = heater.kind === "open" ? [createPumps(app, "fp", true), createPumps(app, "cp", false)] : [];
  const partners = heater.bypass_group.filter((one) => one !== id);
  const kind = [
    heater.kind === "open" ? say("kind_open") : "",
    heater.desuperheating ? say("has_desuperheating") : "",
    heater.kind === "closed" ? say("has_condensing") : "",
    heater.kind === "closed" && heater.drain_cooling ? say("has_drain_cooling") : "",
    partners.length ? say("bypass_with", { names: partners.map((one) => app.short(one)).join(", ") }) : "",
  ];

  const look = h("a", {
    class: "inside-link",
    href: addressOfInside(id),
    text: say("inside_open"),
    "aria-label": say("inside_open_title", { name: app.short(id) }),
  });
  const el = h(
    "div",
    { class: "card", role: "tabpanel", id: `card-${id}`, "aria-labelledby": `tab-${id}` },
    h("div", { class: "card-head" }, h("h2", { text: app.short(id), title: heater.name }), look, chip),
    h("p", { class: "kind", text: kind.filter(Boolean).join(" · "), title: kind.filter(Boolean).join(" · ") }),
    // An open heater is not taken out: it holds the feed pumps' water.
    heater.kind === "closed"
      ? h(
          "div",
          { class: "actions", role: "group", "aria-label": say("actions_of", { name: heater.name }) },
          ...buttons,
        )
      : null,
    refusal,
    resetButton,
    h("dl", { class: "figures" }, ...figures.map((figure) => figure.el)),
    level?.el ?? null,
    ...valves.map((valve) => valve.el),
    ...pumps.map((group) => group.el),
    local?.el ?? null,
  );

  return {
    el,
    heater,
    act,
    /**
     * @param {boolean} picked
     * @param {boolean} slow
     */
    update(picked, slow) {
      show(el, picked);
      if (!picked) return;
      const look = modeLook(store.mode(id));
      setText(chip, `${look.shape} ${look.text}`);
      set(chip, { "data-weight": look.weight });
      level?.update();
      if (ramp)
        set(ramp, {
          "data-over": heater.ramp_limit > 0 && Math.abs(store.get(`${id}.fw_ramp`)) > heater.ramp_limit ? "yes" : null,
        });
      if (!slow) return;
      for (const valve of valves) valve.update();
      for (const group of pumps) group.update();
      local?.update();
    },
  };
}
