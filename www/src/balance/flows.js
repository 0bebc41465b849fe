// The streams of a balance, each with its flow, its name and its figures, for the picture. No geometry here.

import { say } from "../words.js";

/**
 * @typedef {object} Stream
 * @property {string} id
 * @property {"steam" | "water" | "drain" | "spill" | "vent"} kind
 * @property {number} flow   kg/s
 * @property {string} name
 * @property {string} facts  the figures beside the flow
 *
 * @typedef {object} Train
 * @property {import("../types.js").Heater} heater
 * @property {import("../types.js").HeaterBalance} balance
 * @property {import("../types.js").Outage} outage
 * @property {Stream} extraction
 * @property {Stream | null} drain   to the next heater, to the condenser, or pumped forward
 * @property {Stream | null} spill   to the condenser, because the normal drain cannot pass it
 * @property {Stream | null} vent
 * @property {Stream | null} lineDrain  off its extraction line to the condenser, while that is shut
 * @property {Stream} water          that enters it, or goes round it
 *
 * @typedef {object} Flows
 * @property {Train[]} train         in the order of the water
 * @property {Stream[]} stages       of the turbine, in the order of the steam
 * @property {boolean[]} reheated    whether a stage starts with reheated steam
 * @property {Stream} exhaust
 * @property {Stream} feed           that enters the boiler
 * @property {Dried | null} dried    where a moisture separator stands
 *
 * What leaves and heats a moisture separator and its reheater.
 * @typedef {object} Dried
 * @property {Branch} moisture
 * @property {Stream | null} heating  steam off the main steam line, to the reheater
 * @property {Branch | null} heated   what it condenses to
 *
 * @typedef {object} Branch
 * @property {string} to             id of the heater where it arrives, or "condenser"
 * @property {Stream | null} drain   to there
 * @property {Stream | null} spill   to the condenser, because that heater does not take it
 */

/** Less than this is none (kg/s): what a solved balance leaves of a flow that is shut. */
export const NONE = 1e-6;

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Balance} b
 * @returns {Flows}
 */
export function flowsOf(app, b) {
  const { units } = app;
  const full = (/** @type {string} */ quantity, /** @type {number} */ value) => units.full(quantity, value);
  /**
   * @param {string} id
   * @param {Stream["kind"]} kind
   * @param {number} flow
   * @param {string} name
   * @param {(string | null)[]} facts
   * @returns {Stream}
   */
  const stream = (id, kind, flow, name, ...facts) => ({
    id,
    kind,
    flow,
    name,
    facts: [full("mass_flow", flow), ...facts.filter((fact) => fact !== null)].join(", "),
  });

  const { heaters } = app.manifest;
  const of = (/** @type {import("../types.js").Heater} */ heater) => b.heaters[heater.number - 1];
  const condenser = say("device_condenser");
  /** Water that goes round a heater is what the next one gets; behind the last it is what the boiler gets. */
  const waterInto = (/** @type {number} */ at) => {
    for (const heater of heaters.slice(at)) {
      const flow = of(heater)?.water_flow ?? 0;
      if (flow > NONE) return flow;
    }
    return b.throttle;
  };

  /** Steam that carries off what does not condense; the open heater's own leaves the plant. */
  const vented = (
    /** @type {import("../types.js").Heater} */ heater,
    /** @type {string} */ name,
    /** @type {import("../types.js").HeaterBalance} */ balance,
  ) => {
    const open = heater.kind === "open";
    const flow = open ? b.vent : balance.vent;
    const words = say(open ? "flow_vent" : "flow_shell_vent", { heater: name });
    return flow > NONE ? stream(`${heater.id}-vent`, "vent", flow, words) : null;
  };

  /** @type {Train[]} */
  const train = [];
  heaters.forEach((heater, at) => {
    const balance = of(heater);
    if (!balance) return;
    const name = app.short(heater.id);
    const outage = b.case.outages[heater.number - 1] ?? "none";
    const to =
      heater.drains_to === "condenser"
        ? condenser
        : heater.drains_to === "forward"
          ? say("flow_forward")
          : app.short(heater.drains_to);
    const passed = balance.drain_flow - balance.spill;
    const drain = (/** @type {"drain" | "spill"} */ kind, /** @type {number} */ flow, /** @type {string} */ target) =>
      stream(
        `${heater.id}-${kind}`,
        kind,
        flow,
        say(`flow_${kind}`, { heater: name, to: target }),
        full("temperature", balance.drain_t),
        full("enthalpy", balance.drain),
      );
    train.push({
      heater,
      balance,
      outage,
      extraction: stream(
        `${heater.id}-extraction`,
        "steam",
        balance.extraction_flow,
        say("flow_extraction", { heater: name }),
        full("pressure", balance.extraction_pressure),
        full("enthalpy", balance.extraction_enthalpy),
        say("flow_gives", { duty: full("heat_flow", balance.duty) }),
      ),
      drain: heater.kind === "closed" && passed > NONE ? drain("drain", passed, to) : null,
      spill: balance.spill > NONE ? drain("spill", balance.spill, condenser) : null,
      vent: vented(heater, name, balance),
      lineDrain:
        balance.line_drain > NONE
          ? stream(
              `${heater.id}-line-drain`,
              "steam",
              balance.line_drain,
              say("flow_line_drain", { heater: name }),
              full("pressure", balance.extraction_pressure),
              full("enthalpy", balance.extraction_enthalpy),
            )
          : null,
      water: stream(
        `${heater.id}-water`,
        "water",
        waterInto(at),
        say(outage === "out" ? "flow_round" : at === 0 ? "flow_condensate" : "flow_into", { heater: name }),
        full("temperature", balance.water_in_t),
        full("enthalpy", balance.water_in),
      ),
    });
  });

  /**
   * @param {"moisture" | "heated"} what
   * @param {{ drains_to: string, spill: number, drain: number }} from
   * @param {number} flow
   * @returns {Branch}
   */
  const branch = (what, from, flow) => {
    const one = (/** @type {"drain" | "spill"} */ kind, /** @type {number} */ amount, /** @type {string} */ to) =>
      amount > NONE
        ? stream(
            `${what}-${kind}`,
            kind,
            amount,
            say(`flow_${what}`, { to: to === "condenser" ? condenser : app.short(to) }),
            full("enthalpy", from.drain),
          )
        : null;
    // What is meant for the condenser is no spill.
    const led = from.drains_to === "condenser" ? 0 : flow - from.spill;
    return {
      to: from.drains_to,
      drain: one("drain", led, from.drains_to),
      spill: one("spill", flow - led, "condenser"),
    };
  };
  const { separator } = b;
  const reheater = separator?.reheater;

  return {
    train,
    dried: separator && {
      moisture: branch("moisture", separator, separator.drain_flow),
      heating: reheater
        ? stream(
            "heating",
            "steam",
            reheater.heating_flow,
            say("flow_heating"),
            full("pressure", reheater.heating_pressure),
            say("flow_gives", { duty: full("heat_flow", reheater.duty) }),
          )
        : null,
      heated: reheater ? branch("heated", reheater, reheater.heating_flow) : null,
    },
    stages: b.stages.map((stage, at) =>
      stream(
        `stage-${at + 1}`,
        "steam",
        stage.flow,
        say("flow_stage", { n: at + 1, to: app.short(endOf(b, stage)) }),
        `${units.text("pressure", stage.pressure_in)} → ${full("pressure", stage.pressure_out)}`,
        `${units.text("enthalpy", stage.enthalpy_in)} → ${full("enthalpy", stage.enthalpy_out)}`,
        full("power", stage.work),
      ),
    ),
    // Drying and reheating are the only things that raise the enthalpy between two stages.
    reheated: b.stages.map(
      (stage, at) => at > 0 && stage.enthalpy_in - (b.stages[at - 1]?.enthalpy_out ?? Infinity) > 1,
    ),
    exhaust: stream(
      "exhaust",
      "steam",
      b.exhaust,
      say("flow_exhaust"),
      full("low_pressure", b.condenser_pressure),
      full("enthalpy", b.exhaust_enthalpy),
      say("flow_rejects", { heat: full("heat_flow", b.rejected) }),
    ),
    feed: stream(
      "feed",
      "water",
      b.throttle,
      say("flow_feed"),
      full("temperature", b.final_temperature),
      full("enthalpy", b.final_enthalpy),
    ),
  };
}

/**
 * Where the steam of a stage comes to: the heater that takes some of it, "condenser" behind the last, or what dries or
 * reheats it where no heater stands.
 * @param {import("../types.js").Balance} b
 * @param {import("../types.js").StageBalance} stage
 */
export function endOf(b, stage) {
  const same = (/** @type {number} */ p) => Math.abs(p - stage.pressure_out) <= 1e-9 * stage.pressure_out;
  const heater = b.heaters.find((one) => same(one.extraction_pressure));
  if (heater) return heater.id;
  if (stage === b.stages.at(-1)) return "condenser";
  return b.separator ? "separator" : "reheater";
}
