//! The figures of a heat balance as a practitioner reads them: of each heater, each group of stages, turbine, pumps,
//! unit, and the solution. Every form of result (table, CSV, JSON, comparison) is made from this one list.

use crate::units::{Measure, Units};
use engine::layout::Layout;
use engine::plant::file::{DrainTo, Heater, Plant};
use engine::steady::{Balance, HeaterBalance, Outage};
use engine::surface::{CONDENSING, DESUPERHEATING, DRAIN_COOLING};
use serde::{Serialize, Serializer};
use steam::units::Quantity as Q;

/// A figure.
pub struct Figure {
    /// Name for programs.
    pub key: &'static str,
    /// Name for people.
    pub label: &'static str,
    /// What it measures.
    pub measure: Measure,
    /// Value as the engine keeps it; none where it has no meaning.
    pub value: Option<f64>,
}

/// A property that is a word.
pub struct Word {
    /// Name for programs.
    pub key: &'static str,
    /// Name for people.
    pub label: &'static str,
    /// The word.
    pub word: String,
}

/// A thing with figures.
pub struct Device {
    /// Id, unique in its section.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Properties that are words.
    pub words: Vec<Word>,
    /// Figures; of all devices of one section the same, in the same order.
    pub figures: Vec<Figure>,
}

/// A balance as a list of figures.
pub struct Sheet {
    /// Heaters, heater 1 first.
    pub heaters: Vec<Device>,
    /// Groups of turbine stages in the order of the steam.
    pub stages: Vec<Device>,
    /// Turbine.
    pub turbine: Device,
    /// Pumps.
    pub pumps: Device,
    /// The whole unit.
    pub unit: Device,
    /// How the solution ended.
    pub solution: Device,
}

impl Sheet {
    /// The figures of a balance of this plant.
    pub fn new(plant: &Plant, b: &Balance) -> Sheet {
        let heaters = b.heaters.iter().zip(&plant.heaters).zip(&b.case.outages);
        Sheet {
            heaters: heaters.map(|((h, file), outage)| heater(h, file, *outage, b.throttle)).collect(),
            stages: stages(plant, b),
            turbine: Device { name: "Turbine".into(), ..lone("turbine", turbine(plant, b)) },
            pumps: Device { name: "Pumps".into(), ..lone("pumps", pumps(plant, b)) },
            unit: Device { name: "Unit".into(), ..lone("unit", unit(plant, b)) },
            solution: Device {
                name: "Solution".into(),
                words: vec![Word {
                    key: "ended",
                    label: "Ended",
                    word: if b.report.converged { "closed" } else { "accepted" }.into(),
                }],
                ..lone("solution", solution(b))
            },
        }
    }

    /// Every device with the name of its section; the whole first, then its parts.
    pub fn devices(&self) -> Vec<(&'static str, &Device)> {
        let lone = [("unit", &self.unit), ("turbine", &self.turbine), ("pumps", &self.pumps)];
        let stages = self.stages.iter().map(|d| ("stages", d));
        let heaters = self.heaters.iter().map(|d| ("heaters", d));
        lone.into_iter().chain(stages).chain(heaters).chain([("solution", &self.solution)]).collect()
    }
}

/// A device that is the only one of its section.
fn lone(id: &str, figures: Vec<Figure>) -> Device {
    Device { id: id.into(), name: String::new(), words: Vec::new(), figures }
}

fn some(key: &'static str, label: &'static str, measure: impl Into<Measure>, value: f64) -> Figure {
    maybe(key, label, measure, Some(value))
}

fn maybe(key: &'static str, label: &'static str, measure: impl Into<Measure>, value: Option<f64>) -> Figure {
    Figure { key, label, measure: measure.into(), value }
}

fn heater(h: &HeaterBalance, file: &Heater, outage: Outage, throttle: f64) -> Device {
    let closed = if let Heater::Closed(c) = file { Some(c) } else { None };
    // Round a heater that is out there is no water, and nothing in it exchanges heat.
    let watered = (outage != Outage::Out).then_some(());
    let shell = closed.filter(|_| watered.is_some());
    let cooler = shell.filter(|c| c.drain_cooling.is_some());
    let desuperheater = shell.filter(|c| c.desuperheating.is_some());
    let drained = shell.filter(|_| h.drain_flow > 0.0);
    // Flooded tubes cool the drain of a heater that has no drain cooler.
    let cooled = shell.filter(|c| c.drain_cooling.is_some() || h.zone_duty[DRAIN_COOLING] > 0.0);
    let levelled = shell.filter(|c| c.equipment.is_some());
    let duty = |zone: usize| h.zone_duty[zone];
    // No surface is sized for an ideal heater.
    let surface = |zone: usize| Some(h.conductance[zone]).filter(|ua| *ua > 0.0);
    let (kelvin, degrees) = (Q::TemperatureDifference, Q::Temperature);
    let figures = vec![
        some("extraction_pressure", "Extraction pressure", Q::Pressure, h.extraction_pressure),
        some("extraction_enthalpy", "Extraction enthalpy", Q::Enthalpy, h.extraction_enthalpy),
        some("extraction_flow", "Extraction flow", Q::MassFlow, h.extraction_flow),
        some(
            "extraction_share",
            "Extraction, of the steam flow",
            Measure::Finer(Q::Fraction, 2),
            h.extraction_flow / throttle,
        ),
        maybe(
            "line_drain_flow",
            "Drain of its extraction line",
            Q::MassFlow,
            file.extraction_valves().and_then(|v| v.line_drain.as_ref()).map(|_| h.line_drain),
        ),
        some("shell_pressure", "Shell pressure", Q::Pressure, h.pressure),
        some("saturation_temperature", "Saturation temperature", degrees, h.saturation),
        maybe("ttd", "TTD", kelvin, shell.map(|_| h.ttd)),
        maybe("dca", "DCA", kelvin, cooler.map(|_| h.dca)),
        some("fw_flow", "Feedwater flow", Q::MassFlow, h.water_flow),
        maybe("fw_in_temperature", "Feedwater in", degrees, watered.map(|()| h.water_in_t)),
        maybe("fw_out_temperature", "Feedwater out", degrees, watered.map(|()| h.water_out_t)),
        maybe("fw_in_enthalpy", "Feedwater enthalpy in", Q::Enthalpy, watered.map(|()| h.water_in)),
        maybe("fw_out_enthalpy", "Feedwater enthalpy out", Q::Enthalpy, watered.map(|()| h.water_out)),
        some("drain_in_flow", "Drain in", Q::MassFlow, h.drain_in),
        maybe("drain_flow", "Drain out", Q::MassFlow, closed.map(|_| h.drain_flow)),
        maybe("spill", "Of which spilled to the condenser", Q::MassFlow, closed.map(|_| h.spill)),
        maybe("vent", "Vented from the shell", Q::MassFlow, closed.map(|_| h.vent)),
        maybe("drain_temperature", "Drain temperature", degrees, drained.map(|_| h.drain_t)),
        maybe("drain_enthalpy", "Drain enthalpy", Q::Enthalpy, drained.map(|_| h.drain)),
        maybe(
            "drain_subcooling",
            "Drain below saturation",
            kelvin,
            drained.map(|_| h.saturation - h.drain_t),
        ),
        maybe("level", "Level about normal", Q::LevelOffset, levelled.map(|_| h.level)),
        some("duty", "Duty", Q::HeatFlow, h.duty),
        maybe(
            "duty_desuperheating",
            "Duty, desuperheating",
            Q::HeatFlow,
            desuperheater.map(|_| duty(DESUPERHEATING)),
        ),
        maybe("duty_condensing", "Duty, condensing", Q::HeatFlow, shell.map(|_| duty(CONDENSING))),
        maybe("duty_drain_cooling", "Duty, drain cooling", Q::HeatFlow, cooled.map(|_| duty(DRAIN_COOLING))),
        maybe("ua_desuperheating", "Design UA, desuperheating", Q::Conductance, surface(DESUPERHEATING)),
        maybe("ua_condensing", "Design UA, condensing", Q::Conductance, surface(CONDENSING)),
        maybe("ua_drain_cooling", "Design UA, drain cooling", Q::Conductance, surface(DRAIN_COOLING)),
    ];
    let service = match outage {
        Outage::None => "in_service",
        Outage::Out => "out",
        Outage::Isolated => "isolated",
    };
    let drains_to = match closed.map(|c| &c.drains_to) {
        None => "-",
        Some(DrainTo::Next) => "next",
        Some(DrainTo::Condenser) => "condenser",
        Some(DrainTo::Forward(_)) => "forward",
    };
    let kind = if closed.is_some() { "closed" } else { "open" };
    let words =
        [("kind", "Kind", kind), ("service", "Service", service), ("drains_to", "Drains to", drains_to)];
    Device {
        id: file.id().into(),
        name: file.name().into(),
        words: words.map(|(key, label, word)| Word { key, label, word: word.into() }).into(),
        figures,
    }
}

fn stages(plant: &Plant, b: &Balance) -> Vec<Device> {
    let layout = Layout::new(plant);
    let list = b.stages.iter().enumerate();
    list.map(|(k, s)| {
        let ends_at = match layout.points.get(k) {
            Some(Some(i)) => plant.heaters[*i].id(),
            Some(None) if b.separator.is_some() => "separator",
            Some(None) => "reheater",
            None => "condenser",
        };
        Device {
            id: format!("stage{}", k + 1),
            name: format!("Group of stages {}, to {ends_at}", k + 1),
            words: vec![Word { key: "ends_at", label: "Ends at", word: ends_at.into() }],
            figures: vec![
                some("flow", "Flow", Q::MassFlow, s.flow),
                some("pressure_in", "p in", Q::Pressure, s.pressure_in),
                some("pressure_out", "p out", Q::Pressure, s.pressure_out),
                some("enthalpy_in", "h in", Q::Enthalpy, s.enthalpy_in),
                some("enthalpy_out", "h out", Q::Enthalpy, s.enthalpy_out),
                some("quality_out", "x out", Measure::Finer(Q::Fraction, 1), s.quality_out),
                some("work", "Work", Q::Power, s.work),
            ],
        }
    })
    .collect()
}

fn turbine(plant: &Plant, b: &Balance) -> Vec<Figure> {
    let (boiler, reheat) = (&plant.boiler, plant.boiler.reheat.as_ref());
    let hot = reheat.map(|_| b.hot_reheat_pressure);
    let dried = b.separator.as_ref();
    let hotter = dried.and_then(|s| s.reheater.as_ref());
    vec![
        some("steam_flow", "Steam flow to the turbine", Q::MassFlow, b.throttle),
        some("steam_pressure", "Main steam pressure", Q::Pressure, boiler.steam_pressure),
        maybe("steam_temperature", "Main steam temperature", Q::Temperature, boiler.steam_temperature),
        maybe("steam_quality", "Main steam quality", Measure::Finer(Q::Fraction, 1), boiler.steam_quality),
        some("inlet_pressure", "Pressure behind the valves", Q::Pressure, b.inlet_pressure),
        maybe("hot_reheat_pressure", "Hot reheat pressure", Q::Pressure, hot),
        maybe(
            "hot_reheat_temperature",
            "Hot reheat temperature",
            Q::Temperature,
            reheat.map(|r| r.temperature),
        ),
        maybe("separator_pressure", "Moisture separator, pressure", Q::Pressure, dried.map(|s| s.pressure)),
        maybe(
            "separator_quality_in",
            "Moisture separator, quality in",
            Measure::Finer(Q::Fraction, 1),
            dried.map(|s| s.quality_in),
        ),
        maybe("moisture_removed", "Moisture taken out", Q::MassFlow, dried.map(|s| s.drain_flow)),
        maybe("dried_steam", "Steam from the separator", Q::MassFlow, dried.map(|s| s.flow_out)),
        maybe("reheated_temperature", "Reheated steam", Q::Temperature, hotter.map(|r| r.temperature_out)),
        maybe("reheater_ttd", "Steam reheater, TTD", Q::TemperatureDifference, hotter.map(|r| r.ttd)),
        maybe("heating_flow", "Steam reheater, heating steam", Q::MassFlow, hotter.map(|r| r.heating_flow)),
        maybe("reheater_duty", "Steam reheater, duty", Q::HeatFlow, hotter.map(|r| r.duty)),
        some("condenser_pressure", "Condenser pressure", Q::LowPressure, b.condenser_pressure),
        some("condenser_temperature", "Condenser temperature", Q::Temperature, b.condenser_temperature),
        some("exhaust_flow", "Exhaust flow", Q::MassFlow, b.exhaust),
        some("exhaust_enthalpy", "Exhaust enthalpy", Q::Enthalpy, b.exhaust_enthalpy),
        some("work", "Work of the steam", Q::Power, b.shaft),
    ]
}

fn pumps(plant: &Plant, b: &Balance) -> Vec<Figure> {
    let condensate_power = b.condensate * b.condensate_rise;
    let feed_work = b.feed * b.feed_rise + b.recirculation_heat + b.pump_loss;
    let pumped_drain =
        |h: &Heater| matches!(h, Heater::Closed(c) if matches!(c.drains_to, DrainTo::Forward(_)));
    let others = plant.heaters.iter().any(pumped_drain) || plant.feed_pumps.heater_pressure.is_some();
    let beside = others.then_some(b.pumping - condensate_power - feed_work);
    let alone = (!others).then_some(b.auxiliary - condensate_power);
    vec![
        some("condensate_flow", "Condensate flow", Q::MassFlow, b.condensate),
        some("condensate_pump_rise", "Condensate pumps, enthalpy rise", Q::Enthalpy, b.condensate_rise),
        some("condensate_pump_power", "Condensate pumps, power", Q::Power, condensate_power),
        some("feed_flow", "Feed flow", Q::MassFlow, b.feed),
        some("feed_pump_recirculation", "Feed pumps, back to the tank", Q::MassFlow, b.recirculation),
        some(
            "feed_pump_recirculation_heat",
            "Feed pumps, heat brought back to the tank",
            Q::HeatFlow,
            b.recirculation_heat,
        ),
        some("feed_pump_loss", "Feed pumps, lost by their casings", Q::HeatFlow, b.pump_loss),
        some("feed_pump_suction", "Feed pumps, suction", Q::Pressure, b.suction),
        some("feed_pump_discharge", "Feed pumps, discharge", Q::Pressure, b.discharge),
        some("feed_pump_rise", "Feed pumps, enthalpy rise", Q::Enthalpy, b.feed_rise),
        some("feed_pump_work", "Feed pumps, work on the water", Q::Power, feed_work),
        maybe("feed_pump_power", "Feed pumps, power", Q::Power, alone),
        maybe("other_pump_work", "Drain pumps, last stage: work", Q::Power, beside),
        some("pump_work", "All pumps, work on the water", Q::Power, b.pumping),
        some("pump_power", "All pumps, power", Q::Power, b.auxiliary),
    ]
}

fn unit(plant: &Plant, b: &Balance) -> Vec<Figure> {
    let priced = |value| plant.economics.as_ref().map(|_| value);
    let net = b.gross - b.auxiliary;
    vec![
        some("gross_output", "Gross output", Q::Power, b.gross),
        some("net_output", "Net output, less pump power", Q::Power, net),
        some("heat_added", "Heat added", Q::HeatFlow, b.heat_added),
        maybe("reheat", "Of which by reheat", Q::HeatFlow, plant.boiler.reheat.as_ref().map(|_| b.reheat)),
        some("heat_rejected", "Heat rejected in the condenser", Q::HeatFlow, b.rejected),
        some("heat_rate", "Gross heat rate", Measure::Finer(Q::HeatRate, 1), b.heat_rate),
        some("net_heat_rate", "Net heat rate", Measure::Finer(Q::HeatRate, 1), b.heat_added / net * 3600.0),
        some("efficiency", "Thermal efficiency of the cycle", Measure::Finer(Q::Fraction, 2), b.efficiency),
        some("steam_rate", "Steam per gross output", Q::SteamRate, b.steam_rate),
        some("net_steam_rate", "Steam per net output", Q::SteamRate, b.throttle / net * 3600.0),
        some("final_fw_temperature", "Final feedwater temperature", Q::Temperature, b.final_temperature),
        some("final_fw_enthalpy", "Final feedwater enthalpy", Q::Enthalpy, b.final_enthalpy),
        some("vent_flow", "Open heater's vent, made up", Q::MassFlow, b.vent),
        maybe("fuel_flow", "Fuel", Q::MassRate, priced(b.fuel)),
        maybe("fuel_cost", "Fuel, money", Q::MoneyRate, priced(b.money)),
        maybe("co2", "Carbon dioxide", Q::MassRate, priced(b.carbon_dioxide)),
    ]
}

fn solution(b: &Balance) -> Vec<Figure> {
    vec![
        some("mass_residual", "Mass residual, of the steam flow", Q::Residual, b.mass_residual),
        some("energy_residual", "Energy residual, of the heat added", Q::Residual, b.energy_residual),
        some("equation_residual", "Largest residual of an equation", Q::Residual, b.report.residual),
        some("evaluations", "Evaluations of the equations", Q::Count, f64::from(b.report.evaluations)),
    ]
}

/// A device as an object: its words, then its figures as numbers.
pub struct Numbers<'a> {
    /// The device.
    pub device: &'a Device,
    /// Units of the numbers.
    pub units: Units,
    /// Whether it needs its id: it is one of several.
    pub named: bool,
}

impl Serialize for Numbers<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        use serde::ser::SerializeMap;
        let mut map = to.serialize_map(None)?;
        if self.named {
            map.serialize_entry("id", &self.device.id)?;
            map.serialize_entry("name", &self.device.name)?;
        }
        for w in &self.device.words {
            map.serialize_entry(w.key, &w.word)?;
        }
        for f in &self.device.figures {
            map.serialize_entry(f.key, &f.value.map(|v| self.units.number(f.measure, v)))?;
        }
        map.end()
    }
}

/// The unit of each figure of a device, under the same keys.
pub struct Symbols<'a> {
    /// The device.
    pub device: Option<&'a Device>,
    /// Units of the numbers.
    pub units: Units,
    /// Sign of the money.
    pub currency: &'a str,
}

impl Serialize for Symbols<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let figures = self.device.iter().flat_map(|d| &d.figures);
        to.collect_map(figures.map(|f| (f.key, self.units.symbol(f.measure, self.currency))))
    }
}
