//! What a page has to know of a plant before it draws anything.

use engine::malfunction::{self, SPECS, Spec};
use engine::plant::file::{Attitude, DrainTo, Heater, Shell};
use engine::signals::{self, Definition};
use engine::{Fault, Sim};
use serde::Serialize;
use std::collections::BTreeMap;
use steam::units::{Display, Quantity, System};
use wasm_bindgen::prelude::wasm_bindgen;

/// Names of these shapes on the page's side, kept beside them.
#[wasm_bindgen(typescript_custom_section)]
const TYPES: &str = r#"
export interface PlantInfo { name: string; title: string; summary: string }
export interface Fault { code: string; place: string; message: string; remedy: string }
export interface Display { unit: string; factor: number; offset: number; digits: number }
export interface Signal { id: string; device: string; quantity: string; low: number; high: number; range: [number, number] | null; truth: boolean }
export interface LevelMarks { low: number; high: number; emergency: number; high_high: number }
export interface ShellInfo {
  attitude: "horizontal" | "vertical"; diameter: number; length: number; height: number; normal_level: number;
  lowest_tube: number; outlet: [number, number] | null;
}
export interface HeaterInfo {
  id: string; number: number; kind: "closed" | "open"; name: string; side: "high" | "low";
  desuperheating: boolean; drain_cooling: boolean; drains_to: string; bypass_group: string[];
  ramp_limit: number; level_marks: LevelMarks | null; shell: ShellInfo | null;
}
export interface Manifest {
  plant: PlantInfo; engine: string; currency: string; step_s: number; load_range: [number, number];
  balance_range: [number, number]; holds: string[]; standings: string[];
  modes: string[]; casing_limit: number | null; signals: Signal[]; design: Record<string, number>;
  quantities: Record<string, { si: Display; us: Display }>;
  heaters: HeaterInfo[]; malfunctions: MalfunctionKind[];
}
export type Command =
  | { do: "trip_heater" | "isolate_extraction" | "put_back"; heater: string }
  | { do: "move_drain"; heater: string; valve: "normal" | "emergency"; position: number }
  | { do: "release_drain"; heater: string; valve: "normal" | "emergency" }
  | { do: "start_pump" | "stop_pump" | "take_pump_out" | "put_pump_back"; pump: string }
  | { do: "set_load"; fraction: number }
  | { do: "reset_protection"; row?: string }
  | { do: "acknowledge_alarm"; alarm?: string }
  | { do: "shelve_alarm"; alarm: string; seconds: number }
  | { do: "unshelve_alarm"; alarm: string }
  | { do: "alarm_out_of_service"; alarm: string; out: boolean }
  | { do: "set_controller"; id: string; mode?: "auto" | "manual"; setpoint?: number; output?: number; gain?: number;
      integral_time?: number; lowest?: number; highest?: number }
  | { do: "set_hold"; hold: "steam_flow" | "gross_output" | "firing" }
  | { do: "local_valve"; heater: string; valve: "normal_drain" | "emergency_drain" | "stop_valve" | "bypass" | "line_drain"
      | "start_up_vent" | "warm_up";
      position?: number }
  | { do: "trip_turbine" | "reset_turbine" }
  | { do: "insert_malfunction"; malfunction: Malfunction }
  | { do: "remove_malfunction"; kind: string; device: string };
export interface HeldValve {
  heater: string; valve: "normal_drain" | "emergency_drain" | "stop_valve" | "bypass" | "line_drain"
      | "start_up_vent" | "warm_up"; position: number;
}
export interface ProtectionRow {
  id: string; quantity: string; sensor: string; above: boolean; setpoint: number; deadband: number; delay: number;
  actions: (Record<string, number> | string)[]; latched: boolean; value: number; armed: boolean; cause: boolean;
  tripped: boolean; first_out: boolean;
}
export interface AlarmView {
  id: string; device: string; priority: "critical" | "high" | "medium" | "low";
  standing: "normal" | "unacknowledged" | "acknowledged" | "returned_unacknowledged" | "latched_unacknowledged"
    | "latched_acknowledged" | "shelved" | "suppressed_by_design" | "out_of_service";
  active: boolean; value: number; setpoint: number | null; raised_at: number; shelved_for: number;
  under: string | null; first_out: boolean;
}
export interface AlarmFigures {
  called: number; grouped: number; in_ten_minutes: number; peak: number; standing: number;
}
export interface ControllerView {
  id: string; quantity: "level_offset" | "pressure"; mode: "auto" | "manual"; setpoint: number; measured: number; output: number; gain: number;
  integral_time: number | null; setpoints: [number, number]; limits: [number, number]; rate: number;
  gains: [number, number]; integral_times: [number, number];
  file: { setpoint: number; gain: number; integral_time: number | null; limits: [number, number] };
}
export interface Malfunction { kind: string; device: string; size?: number; delay_s?: number; ramp_s?: number }
export interface ActiveMalfunction { kind: string; device: string; size: number; begins: number; ramp: number }
export interface MalfunctionKind {
  kind: string; class: string; size: { quantity: string; low: number; high: number; default: number } | null;
  devices: string[];
}
export type Outage = "none" | "out" | "isolated";
export type Hold = { steam_flow: number } | { gross_output: number } | { firing: number };
export interface BalanceCase { hold: Hold; outages: Outage[] }
export interface HeaterBalance {
  id: string; extraction_pressure: number; extraction_enthalpy: number; extraction_volume: number;
  extraction_flow: number; line_drain: number; pressure: number; saturation: number; water_flow: number; water_in_t: number;
  water_out_t: number; water_in: number; water_out: number; ttd: number; dca: number; drain_in: number;
  drain_flow: number; spill: number; vent: number; drain: number; drain_t: number; duty: number;
  zone_duty: [number, number, number]; conductance: [number, number, number]; level: number;
}
export interface StageBalance {
  flow: number; pressure_in: number; pressure_out: number; enthalpy_in: number; enthalpy_out: number;
  quality_out: number; work: number;
}
export interface SeparatorBalance {
  pressure_in: number; pressure: number; flow_in: number; quality_in: number; drain_flow: number; drain: number;
  drains_to: string; spill: number; flow_out: number; enthalpy_out: number; reheater: ReheaterBalance | null;
}
export interface ReheaterBalance {
  pressure_out: number; temperature_out: number; enthalpy_out: number; heating_flow: number;
  heating_pressure: number; heating_temperature: number; ttd: number; duty: number; conductance: number;
  drain: number; drains_to: string; spill: number;
}
export interface Balance {
  case: BalanceCase; heaters: HeaterBalance[]; stages: StageBalance[]; throttle: number; condensate: number;
  open_water_in: number; feed: number; vent: number; exhaust: number; exhaust_enthalpy: number;
  condenser_pressure: number; condenser_temperature: number; inlet_pressure: number; hot_reheat_pressure: number;
  separator: SeparatorBalance | null;
  hotwell: number; condensate_rise: number; suction: number; discharge: number; feed_rise: number;
  recirculation: number; recirculation_heat: number; pump_loss: number;
  final_temperature: number; final_enthalpy: number; shaft: number; gross: number; auxiliary: number;
  pumping: number; heat_added: number; reheat: number; rejected: number; heat_rate: number; efficiency: number;
  steam_rate: number; fuel: number; money: number; carbon_dioxide: number; mass_residual: number;
  energy_residual: number;
}
export interface Cost {
  heater: string; change: "out" | "ttd" | "dca"; heat_rate: number; share: number; heat_added: number;
  money: number; carbon_dioxide: number; final_temperature: number; throttle: number;
}
export interface MathSymbol { base: string; sub: string }
export type MathOp =
  "sum" | "difference" | "product" | "quotient" | "power" | "root" | "exp" | "ln" | "arccos" | "min" | "max";
export type Expr =
  | { kind: "number"; value: number } | { kind: "term"; index: number } | { kind: "op"; op: MathOp; of: Expr[] }
  | { kind: "call"; symbol: MathSymbol; of: Expr[] };
export interface Source {
  ground: "definition" | "conservation" | "standard" | "book" | "practice" | "memory"; text: string;
}
export type Origin =
  | { kind: "working"; id: string; before: boolean } | { kind: "flow"; id: string } | { kind: "sized" }
  | { kind: "plant"; place: string } | { kind: "constant"; source: Source };
export interface WorkingTerm {
  symbol: MathSymbol; meaning: string; device: string | null; quantity: string; unit: string | null; value: number;
  origin: Origin;
}
export interface Equation {
  formula: Expr; terms: WorkingTerm[]; evaluated: number; scale: number; plain: [boolean, boolean]; case: string;
  source: Source;
}
export interface Working {
  id: string; device: string; meaning: string; symbol: MathSymbol; quantity: string; unit: string | null; value: number;
  equation: Equation | null; why: string | null; see: string[]; balance: string;
}
export interface BalanceFlow {
  name: string; device: string; inward: boolean; mass: number | null; energy: number; working: string;
}
export interface ComponentBalance {
  device: string; flows: BalanceFlow[]; mass: number; energy: number; mass_through: [number, number];
  energy_through: [number, number]; mass_stored: number; energy_stored: number;
  mass_residual: number; energy_residual: number;
}
export interface PlantEvent { seq: number; time_s: number; code: string; device: string; part?: string; value: number }
"#;

#[derive(Serialize)]
pub struct PlantInfo {
    pub name: String,
    pub title: String,
    pub summary: String,
}

#[derive(Serialize)]
pub struct Units {
    si: Display,
    us: Display,
}

#[derive(Serialize)]
pub struct LevelMarks {
    low: f64,
    high: f64,
    emergency: f64,
    high_high: f64,
}

/// The inside of a shell or tank in metres, heights above its bottom; the outlet is that of the drain.
#[derive(Serialize)]
pub struct ShellInfo {
    attitude: Attitude,
    diameter: f64,
    length: f64,
    height: f64,
    normal_level: f64,
    lowest_tube: f64,
    outlet: Option<(f64, f64)>,
}

impl ShellInfo {
    fn new(s: &Shell, height: f64, outlet: Option<(f64, f64)>) -> ShellInfo {
        ShellInfo {
            attitude: s.attitude,
            diameter: s.diameter,
            length: s.length,
            height,
            normal_level: s.normal_level,
            lowest_tube: s.lowest_tube,
            outlet,
        }
    }
}

#[derive(Serialize)]
pub struct HeaterInfo {
    id: String,
    number: usize,
    kind: &'static str,
    name: String,
    side: &'static str,
    desuperheating: bool,
    drain_cooling: bool,
    drains_to: String,
    bypass_group: Vec<String>,
    ramp_limit: f64,
    level_marks: Option<LevelMarks>,
    shell: Option<ShellInfo>,
}

#[derive(Serialize)]
pub struct Manifest {
    plant: PlantInfo,
    engine: &'static str,
    currency: String,
    step_s: f64,
    load_range: (f64, f64),
    balance_range: (f64, f64),
    holds: [&'static str; 3],
    standings: [&'static str; 3],
    modes: [&'static str; 5],
    /// How much colder than the suction water a feed pump's casing may be for a start [K], where that is followed.
    casing_limit: Option<f64>,
    signals: Vec<Definition>,
    design: BTreeMap<String, f64>,
    quantities: BTreeMap<&'static str, Units>,
    heaters: Vec<HeaterInfo>,
    malfunctions: Vec<MalfunctionKind>,
}

/// A kind of malfunction and what it can befall in this plant.
#[derive(Serialize)]
pub struct MalfunctionKind {
    #[serde(flatten)]
    spec: &'static Spec,
    devices: Vec<String>,
}

/// The manifest of a plant; its design values are those of a plant at rest at its design point.
pub fn of(sim: &Sim) -> Result<Manifest, Fault> {
    let plant = sim.plant();
    let signals = signals::definitions(sim);
    let at_rest = Sim::new(plant.clone())?;
    let mut values = Vec::new();
    signals::read(&at_rest, &mut values);
    let design = signals.iter().map(|s| s.id.clone()).zip(values).collect();
    let quantities = Quantity::ALL
        .iter()
        .map(|q| (q.key(), Units { si: q.display(System::Si), us: q.display(System::Us) }))
        .collect();
    Ok(Manifest {
        plant: PlantInfo {
            name: plant.name.clone(),
            title: plant.title.clone(),
            summary: plant.summary.clone(),
        },
        engine: env!("CARGO_PKG_VERSION"),
        currency: plant.currency().to_owned(),
        step_s: sim.params().dt,
        load_range: engine::command::LOAD_RANGE,
        balance_range: engine::steady::case::LOAD_RANGE,
        holds: engine::unit::Hold::NAMES,
        standings: engine::unit::Standing::NAMES,
        modes: engine::operation::Mode::NAMES,
        casing_limit: sim.params().operation.pumps.casing_limit,
        signals,
        design,
        quantities,
        heaters: heaters(sim),
        malfunctions: SPECS
            .iter()
            .map(|spec| MalfunctionKind { spec, devices: malfunction::devices(sim.params(), spec.class) })
            .collect(),
    })
}

/// Heaters in the order the water meets them.
fn heaters(sim: &Sim) -> Vec<HeaterInfo> {
    let (plant, p) = (sim.plant(), sim.params());
    let mut list = Vec::new();
    for (i, h) in plant.heaters.iter().enumerate().rev() {
        let mut info = HeaterInfo {
            id: h.id().to_owned(),
            number: i + 1,
            kind: "open",
            name: h.name().to_owned(),
            side: if i < p.high { "high" } else { "low" },
            desuperheating: false,
            drain_cooling: false,
            drains_to: String::new(),
            bypass_group: Vec::new(),
            ramp_limit: 0.0,
            level_marks: None,
            shell: None,
        };
        if let Heater::Open(o) = h {
            let tank = o.equipment.as_ref().map(|e| &e.tank);
            info.shell = tank.map(|t| ShellInfo::new(t, p.open.geometry.height(), None));
        }
        if let Heater::Closed(c) = h {
            info.kind = "closed";
            info.desuperheating = c.desuperheating.is_some();
            info.drain_cooling = c.drain_cooling.is_some();
            info.drains_to = match (&c.drains_to, plant.heaters.get(i + 1)) {
                (DrainTo::Next, Some(next)) => next.id().to_owned(),
                (DrainTo::Forward(_), _) => "forward".to_owned(),
                _ => "condenser".to_owned(),
            };
            let k = if i < p.high { i } else { i - 1 };
            info.bypass_group = p.groups[p.group(k)].iter().map(|&j| p.closed[j].heater.id.clone()).collect();
            if let Some(e) = &c.equipment {
                let q = &p.closed[k].heater;
                info.shell = Some(ShellInfo::new(&e.shell, q.geometry.height(), Some(q.outlet)));
                info.ramp_limit = e.ramp_limit;
                info.level_marks = Some(LevelMarks {
                    low: e.level.low,
                    high: e.level.high,
                    emergency: e.level.emergency,
                    high_high: e.level.high_high,
                });
            }
        }
        list.push(info);
    }
    list
}
