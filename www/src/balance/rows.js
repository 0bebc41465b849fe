// What the balance's tables list, once for the page, the print and the file: name, quantity, and where to read it.

/**
 * @typedef {import("../words.js").Word} Word
 * @typedef {import("../types.js").Balance} Balance
 * @typedef {import("../types.js").HeaterBalance} HeaterBalance
 * @typedef {import("../types.js").StageBalance} StageBalance
 * @typedef {import("../types.js").Heater} Heater
 */

/**
 * @template T
 * @typedef {object} Row
 * @property {string} key        in the file's header and on the element; `bal_<key>` in the catalogue
 * @property {string} quantity
 * @property {number} [more]     digits more than usual, where the values are small
 * @property {Word} [group]      starts a group of rows
 * @property {(of: T, heater: Heater, out: boolean) => number} get  NaN where there is no such thing
 */

/**
 * @template T
 * @param {string} key
 * @param {string} quantity
 * @param {Row<T>["get"]} get
 * @param {Partial<Row<T>>} [more]
 * @returns {Row<T>}
 */
const row = (key, quantity, get, more = {}) => ({ key, quantity, get, ...more });

/** Zones in the engine's order. */
const [COOLING, CONDENSING, SUPERHEAT] = /** @type {const} */ ([0, 1, 2]);

/** A heater has no terminal difference when no water passes it, and an open one never has. */
const closed = (/** @type {(b: HeaterBalance) => number} */ get) =>
  /** @type {Row<HeaterBalance>["get"]} */ ((b, heater, out) => (heater.kind === "open" || out ? NaN : get(b)));
/** Nor has one in which no steam condenses. */
const gap = (/** @type {(b: HeaterBalance, heater: Heater) => number} */ get) =>
  /** @type {Row<HeaterBalance>["get"]} */ (
    (b, heater, out) => closed(() => (b.zone_duty.some((duty) => duty > 0) ? get(b, heater) : NaN))(b, heater, out)
  );
const zone = (
  /** @type {"zone_duty" | "conductance"} */ of,
  /** @type {0 | 1 | 2} */ at,
  /** @type {(heater: Heater, b: HeaterBalance) => boolean} */ has,
) =>
  /** @type {Row<HeaterBalance>["get"]} */ ((b, heater) => (heater.kind === "closed" && has(heater, b) ? b[of][at] : NaN));

/** @type {Row<HeaterBalance>[]} */
export const HEATER_ROWS = [
  row("extraction_pressure", "pressure", (b) => b.extraction_pressure, { group: "bal_steam", more: 1 }),
  row("extraction_enthalpy", "enthalpy", (b) => b.extraction_enthalpy),
  row("extraction_flow", "mass_flow", (b) => b.extraction_flow),
  row("line_drain", "mass_flow", (b) => b.line_drain),
  row("pressure", "pressure", (b) => b.pressure, { more: 1 }),
  row("saturation", "temperature", (b) => b.saturation),
  row(
    "ttd",
    "temperature_difference",
    gap((b) => b.ttd),
    { group: "bal_gaps" },
  ),
  row(
    "dca",
    "temperature_difference",
    gap((b, heater) => (heater.drain_cooling ? b.dca : NaN)),
  ),
  row("water_flow", "mass_flow", (b) => b.water_flow, { group: "bal_water" }),
  row("water_in_t", "temperature", (b) => b.water_in_t),
  row("water_out_t", "temperature", (b) => b.water_out_t),
  row("drain_in", "mass_flow", (b) => b.drain_in, { group: "bal_drains" }),
  row("drain_flow", "mass_flow", (b, heater) => (heater.kind === "open" ? NaN : b.drain_flow)),
  row("spill", "mass_flow", (b, heater) => (heater.kind === "open" ? NaN : b.spill)),
  row("shell_vent", "mass_flow", (b, heater) => (heater.kind === "open" ? NaN : b.vent)),
  row(
    "drain_t",
    "temperature",
    closed((b) => b.drain_t),
  ),
  row(
    "drain",
    "enthalpy",
    closed((b) => b.drain),
  ),
  row(
    "level",
    "level_offset",
    closed((b) => b.level),
  ),
  row("duty", "heat_flow", (b) => b.duty, { group: "bal_duties" }),
  row(
    "duty_superheat",
    "heat_flow",
    zone("zone_duty", SUPERHEAT, (heater) => heater.desuperheating),
  ),
  row(
    "duty_condensing",
    "heat_flow",
    zone("zone_duty", CONDENSING, () => true),
  ),
  row(
    "duty_cooling",
    "heat_flow",
    // Flooded tubes cool the drain of a heater that has no drain cooler.
    zone("zone_duty", COOLING, (heater, b) => heater.drain_cooling || b.zone_duty[COOLING] > 0),
  ),
  row(
    "ua_superheat",
    "conductance",
    zone("conductance", SUPERHEAT, (heater) => heater.desuperheating),
    { group: "bal_ua" },
  ),
  row(
    "ua_condensing",
    "conductance",
    zone("conductance", CONDENSING, () => true),
  ),
  row(
    "ua_cooling",
    "conductance",
    zone("conductance", COOLING, (heater) => heater.drain_cooling),
  ),
];

/** @type {Row<StageBalance>[]} */
export const STAGE_ROWS = [
  row("stage_flow", "mass_flow", (s) => s.flow),
  row("pressure_in", "pressure", (s) => s.pressure_in, { more: 1 }),
  row("pressure_out", "pressure", (s) => s.pressure_out, { more: 1 }),
  row("enthalpy_in", "enthalpy", (s) => s.enthalpy_in),
  row("enthalpy_out", "enthalpy", (s) => s.enthalpy_out),
  row("quality_out", "fraction", (s) => s.quality_out),
  row("work", "power", (s) => s.work),
];

/** @type {Row<Balance>[]} */
export const UNIT_ROWS = [
  row("gross", "power", (b) => b.gross, { group: "bal_output" }),
  row("shaft", "power", (b) => b.shaft),
  row("auxiliary", "power", (b) => b.auxiliary),
  row("heat_added", "heat_flow", (b) => b.heat_added),
  row("reheat", "heat_flow", (b) => b.reheat),
  row("rejected", "heat_flow", (b) => b.rejected),
  row("heat_rate", "heat_rate", (b) => b.heat_rate, { more: 1 }),
  row("efficiency", "fraction", (b) => b.efficiency, { more: 1 }),
  row("steam_rate", "steam_rate", (b) => b.steam_rate),
  row("fuel", "mass_rate", (b) => b.fuel, { more: 1 }),
  row("money", "money_rate", (b) => b.money),
  row("carbon_dioxide", "mass_rate", (b) => b.carbon_dioxide, { more: 1 }),
  row("throttle", "mass_flow", (b) => b.throttle, { group: "bal_ends" }),
  row("exhaust", "mass_flow", (b) => b.exhaust),
  row("condensate", "mass_flow", (b) => b.condensate),
  row("feed", "mass_flow", (b) => b.feed),
  row("vent", "mass_flow", (b) => b.vent),
  row("final_temperature", "temperature", (b) => b.final_temperature),
  row("final_enthalpy", "enthalpy", (b) => b.final_enthalpy),
  row("condenser_pressure", "low_pressure", (b) => b.condenser_pressure),
  row("condenser_temperature", "temperature", (b) => b.condenser_temperature),
  row("suction", "pressure", (b) => b.suction),
  row("discharge", "pressure", (b) => b.discharge),
];

/** @type {Row<Balance>[]} */
const SEPARATOR_ROWS = [
  row("separator_pressure", "pressure", (b) => b.separator?.pressure ?? NaN, { group: "bal_separator" }),
  row("separator_quality", "fraction", (b) => b.separator?.quality_in ?? NaN),
  row("moisture_removed", "mass_flow", (b) => b.separator?.drain_flow ?? NaN),
  row("dried_steam", "mass_flow", (b) => b.separator?.flow_out ?? NaN),
  row("reheated_temperature", "temperature", (b) => b.separator?.reheater?.temperature_out ?? NaN),
  row("reheater_ttd", "temperature_difference", (b) => b.separator?.reheater?.ttd ?? NaN),
  row("heating_flow", "mass_flow", (b) => b.separator?.reheater?.heating_flow ?? NaN),
  row("reheater_duty", "heat_flow", (b) => b.separator?.reheater?.duty ?? NaN),
];

/**
 * Rows of the unit in total, for a plant of this kind: those of a moisture separator only where there is one.
 * @param {Balance} b
 */
export const unitRows = (b) => (b.separator ? [...SEPARATOR_ROWS, ...UNIT_ROWS] : UNIT_ROWS);

/** @type {Row<Balance>[]} */
export const RESIDUALS = [
  row("mass_residual", "residual", (b) => b.mass_residual),
  row("energy_residual", "residual", (b) => b.energy_residual),
];

/** A difference of temperatures has no offset; other quantities differ in their own unit. */
export const difference = (/** @type {string} */ quantity) =>
  quantity === "temperature" ? "temperature_difference" : quantity;

/**
 * Digits after the point for a row.
 * @param {import("../units.js").Units} units
 * @param {{ quantity: string, more?: number }} row
 */
export const digitsOf = (units, { quantity, more = 0 }) => units.display(quantity).digits + more;
