//! `bledsteam balance`: the design heat balance as data-sheet readers know it, one column to a heater.

use crate::args::{Balance as Args, UnitsArg};
use crate::failure::{Failure, within};
use crate::output::Sink;
use crate::plant_source;
use crate::units::Units;
use engine::plant::file::{Heater, Plant};
use engine::steady::{Balance, HeaterBalance, Model};
use serde::{Serialize, Serializer};
use std::io::{self, Write};
use steam::units::Quantity as Q;

/// A figure: key for programs, label for people, quantity, value inside; none where it has no meaning.
struct Figure(&'static str, &'static str, Q, Option<f64>);

/// Figures of the plant apart from its heaters.
struct Rest {
    turbine: Vec<Figure>,
    pumps: Vec<Figure>,
    unit: Vec<Figure>,
}

/// Figures of a heater.
fn of_heater(h: &HeaterBalance, file: &Heater) -> Vec<Figure> {
    let closed = matches!(file, Heater::Closed(_)).then_some(());
    let cooled = matches!(file, Heater::Closed(c) if c.drain_cooling.is_some()).then_some(());
    vec![
        Figure("extraction_pressure", "Extraction pressure", Q::Pressure, Some(h.extraction_pressure)),
        Figure("extraction_enthalpy", "Extraction enthalpy", Q::Enthalpy, Some(h.extraction_enthalpy)),
        Figure("extraction_flow", "Extraction flow", Q::MassFlow, Some(h.extraction_flow)),
        Figure("shell_pressure", "Shell pressure", Q::Pressure, Some(h.pressure)),
        Figure("saturation_temperature", "Saturation temperature", Q::Temperature, Some(h.saturation)),
        Figure("ttd", "TTD", Q::TemperatureDifference, closed.map(|()| h.ttd)),
        Figure("dca", "DCA", Q::TemperatureDifference, cooled.map(|()| h.dca)),
        Figure("fw_flow", "Feedwater flow", Q::MassFlow, Some(h.water_flow)),
        Figure("fw_in_temperature", "Feedwater in", Q::Temperature, Some(h.water_in_t)),
        Figure("fw_out_temperature", "Feedwater out", Q::Temperature, Some(h.water_out_t)),
        Figure("fw_in_enthalpy", "Feedwater enthalpy in", Q::Enthalpy, Some(h.water_in)),
        Figure("fw_out_enthalpy", "Feedwater enthalpy out", Q::Enthalpy, Some(h.water_out)),
        Figure("drain_in_flow", "Drain in", Q::MassFlow, Some(h.drain_in)),
        Figure("drain_flow", "Drain out", Q::MassFlow, closed.map(|()| h.drain_flow)),
        Figure("drain_temperature", "Drain temperature", Q::Temperature, closed.map(|()| h.drain_t)),
        Figure("drain_enthalpy", "Drain enthalpy", Q::Enthalpy, closed.map(|()| h.drain)),
        Figure("duty", "Duty", Q::Power, Some(h.duty)),
    ]
}

/// Figures of turbine, pumps and unit.
fn of_rest(b: &Balance, plant: &Plant) -> Rest {
    let reheat = plant.boiler.reheat.as_ref();
    let condensate_power = b.condensate * b.condensate_rise;
    let some = |key, label, quantity, value| Figure(key, label, quantity, Some(value));
    Rest {
        turbine: vec![
            some("steam_flow", "Steam flow to the turbine", Q::MassFlow, b.throttle),
            some("steam_pressure", "Main steam pressure", Q::Pressure, plant.boiler.steam_pressure),
            Figure(
                "steam_temperature",
                "Main steam temperature",
                Q::Temperature,
                plant.boiler.steam_temperature,
            ),
            some("inlet_pressure", "Pressure behind the valves", Q::Pressure, b.inlet_pressure),
            Figure(
                "hot_reheat_pressure",
                "Hot reheat pressure",
                Q::Pressure,
                reheat.map(|_| b.hot_reheat_pressure),
            ),
            Figure(
                "hot_reheat_temperature",
                "Hot reheat temperature",
                Q::Temperature,
                reheat.map(|r| r.temperature),
            ),
            some("condenser_pressure", "Condenser pressure", Q::LowPressure, plant.condenser.pressure),
            some("exhaust_flow", "Exhaust flow", Q::MassFlow, b.exhaust),
            some("exhaust_enthalpy", "Exhaust enthalpy", Q::Enthalpy, b.exhaust_enthalpy),
        ],
        pumps: vec![
            some("condensate_flow", "Condensate flow", Q::MassFlow, b.condensate),
            some("condensate_pump_rise", "Condensate pumps, enthalpy rise", Q::Enthalpy, b.condensate_rise),
            some("condensate_pump_power", "Condensate pumps, power", Q::Power, condensate_power),
            some("feed_pump_suction", "Feed pumps, suction", Q::Pressure, b.suction),
            some("feed_pump_discharge", "Feed pumps, discharge", Q::Pressure, b.discharge),
            some("feed_pump_rise", "Feed pumps, enthalpy rise", Q::Enthalpy, b.feed_rise),
            some("feed_pump_power", "Feed pumps, power", Q::Power, b.auxiliary - condensate_power),
        ],
        unit: vec![
            some("gross_output", "Gross output", Q::Power, b.gross),
            some("net_output", "Output less pump power", Q::Power, b.gross - b.auxiliary),
            some("heat_added", "Heat added", Q::Power, b.heat_added),
            some("heat_rejected", "Heat rejected in the condenser", Q::Power, b.rejected),
            some("heat_rate", "Gross heat rate", Q::HeatRate, b.heat_rate),
            some("vent_flow", "Open heater's vent, made up", Q::MassFlow, b.vent),
            some("mass_residual", "Mass residual, of the steam flow", Q::Residual, b.mass_residual),
            some("energy_residual", "Energy residual, of the heat added", Q::Residual, b.energy_residual),
        ],
    }
}

/// Prints the design heat balance.
pub fn balance(args: &Args) -> Result<(), Failure> {
    let plant = plant_source::load(&args.plant)?;
    let b = Model::new(&plant)
        .map(|m| m.design)
        .map_err(|f| Failure::Plant(vec![within(&format!("{}:", args.plant.display()), f)]))?;
    let units = UnitsArg::of(args.units, args.json);
    let mut out = Sink::standard();
    if args.json { json(&mut out, &plant, &b, units) } else { table(&mut out, &plant, &b, units) }?;
    Ok(out.flush()?)
}

/// Figures as an object of numbers, in their order.
struct Numbers<'a>(&'a [Figure], Units);

impl Serialize for Numbers<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(self.0.iter().map(|f| (f.0, f.3.map(|v| self.1.number(f.2, v)))))
    }
}

/// The unit of each figure, under the same keys.
struct Symbols<'a>(&'a [Figure], Units);

impl Serialize for Symbols<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(self.0.iter().map(|f| (f.0, self.1.symbol(f.2, ""))))
    }
}

#[derive(Serialize)]
struct OneHeater<'a> {
    id: &'a str,
    name: &'a str,
    kind: &'static str,
    #[serde(flatten)]
    figures: Numbers<'a>,
}

/// The same figures twice: as numbers and as their units.
#[derive(Serialize)]
struct Parts<H, F> {
    heaters: H,
    turbine: F,
    pumps: F,
    unit: F,
}

#[derive(Serialize)]
struct Whole<'a> {
    plant: &'a str,
    title: &'a str,
    version: &'static str,
    units: &'static str,
    #[serde(flatten)]
    numbers: Parts<Vec<OneHeater<'a>>, Numbers<'a>>,
    unit_of: Parts<Symbols<'a>, Symbols<'a>>,
}

fn json(out: &mut Sink, plant: &Plant, b: &Balance, units: Units) -> io::Result<()> {
    let heaters: Vec<Vec<Figure>> =
        b.heaters.iter().zip(&plant.heaters).map(|(h, file)| of_heater(h, file)).collect();
    let of_first = heaters.first().map_or(&[] as &[Figure], Vec::as_slice);
    let rest = of_rest(b, plant);
    out.json(&Whole {
        plant: &plant.name,
        title: &plant.title,
        version: env!("CARGO_PKG_VERSION"),
        units: units.name(),
        numbers: Parts {
            heaters: heaters
                .iter()
                .zip(&plant.heaters)
                .map(|(figures, file)| OneHeater {
                    id: file.id(),
                    name: file.name(),
                    kind: if matches!(file, Heater::Closed(_)) { "closed" } else { "open" },
                    figures: Numbers(figures, units),
                })
                .collect(),
            turbine: Numbers(&rest.turbine, units),
            pumps: Numbers(&rest.pumps, units),
            unit: Numbers(&rest.unit, units),
        },
        unit_of: Parts {
            heaters: Symbols(of_first, units),
            turbine: Symbols(&rest.turbine, units),
            pumps: Symbols(&rest.pumps, units),
            unit: Symbols(&rest.unit, units),
        },
    })
}

fn table(out: &mut Sink, plant: &Plant, b: &Balance, units: Units) -> io::Result<()> {
    let show = |f: &Figure| f.3.map_or_else(|| "-".to_owned(), |v| units.text(f.2, v));
    let rest = of_rest(b, plant);
    let sections = [&rest.turbine, &rest.pumps, &rest.unit];
    let columns: Vec<Vec<Figure>> =
        b.heaters.iter().zip(&plant.heaters).map(|(h, file)| of_heater(h, file)).collect();
    let labels = sections.into_iter().flatten().chain(columns.iter().flatten());
    let label = labels.map(|f| f.1.chars().count()).max().unwrap_or(0);
    let unit = 8;

    writeln!(out, "{} ({}): design heat balance\n", plant.title, plant.name)?;
    write!(out, "{:label$}  {:unit$}", "Heater", "")?;
    for h in &b.heaters {
        write!(out, "  {:>8}", h.id)?;
    }
    writeln!(out)?;
    for (row, first) in columns.first().into_iter().flatten().enumerate() {
        write!(out, "{:label$}  {:unit$}", first.1, units.symbol(first.2, ""))?;
        for figures in &columns {
            write!(out, "  {:>8}", show(&figures[row]))?;
        }
        writeln!(out)?;
    }
    for figures in sections {
        writeln!(out)?;
        for f in figures.iter().filter(|f| f.3.is_some()) {
            writeln!(out, "{:label$}  {:unit$}  {:>8}", f.1, units.symbol(f.2, ""), show(f))?;
        }
    }
    Ok(())
}
