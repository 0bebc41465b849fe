//! Lists of what there is: shipped plants, a plant's signals.

use crate::args::{Plants, Signals, UnitsArg};
use crate::failure::Failure;
use crate::output::Sink;
use crate::plant_source;
use crate::units::Units;
use engine::operation::Mode;
use engine::signals::{self, Definition};
use serde::Serialize;
use std::io::Write;
use steam::units::Quantity;

/// `bledsteam plants`.
pub fn plants(args: &Plants) -> Result<(), Failure> {
    #[derive(Serialize)]
    struct Entry {
        name: String,
        title: String,
        summary: String,
    }
    let mut list = Vec::new();
    for e in catalog::PLANTS {
        let p = catalog::plant(e.name).map_err(Failure::Plant)?;
        list.push(Entry { name: p.name, title: p.title, summary: p.summary });
    }
    let mut out = Sink::standard();
    if args.json {
        out.json(&list)?;
    } else {
        for e in list {
            writeln!(out, "{}  {}\n    {}", e.name, e.title, e.summary)?;
        }
    }
    Ok(out.flush()?)
}

/// A signal as a result states it.
#[derive(Serialize)]
pub struct Described<'a> {
    id: &'a str,
    device: &'a str,
    quantity: &'static str,
    unit: String,
    low: f64,
    high: f64,
    /// Names of the codes 0, 1, …, where the signal is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    codes: Option<[&'static str; 5]>,
}

/// Describes a signal in these units.
pub fn describe<'a>(d: &'a Definition, units: Units, currency: &str) -> Described<'a> {
    Described {
        id: &d.id,
        device: &d.device,
        quantity: d.quantity.key(),
        unit: units.symbol(d.quantity, currency),
        low: units.number(d.quantity, d.low),
        high: units.number(d.quantity, d.high),
        codes: is_mode(d).then_some(Mode::NAMES),
    }
}

/// Whether a signal is the code of a heater's mode.
pub fn is_mode(d: &Definition) -> bool {
    d.quantity == Quantity::State && d.id.ends_with(".mode")
}

/// `bledsteam signals`.
pub fn signals(args: &Signals) -> Result<(), Failure> {
    let sim = plant_source::start(&args.plant)?;
    let units = UnitsArg::of(args.units, args.json);
    let currency = sim.plant().currency();
    let list = signals::definitions(&sim);
    let mut out = Sink::standard();
    if args.json {
        let described: Vec<Described> = list.iter().map(|d| describe(d, units, currency)).collect();
        out.json(&described)?;
    } else {
        let width = list.iter().map(|d| d.id.chars().count()).max().unwrap_or(0);
        for d in &list {
            let (q, unit) = (d.quantity, units.symbol(d.quantity, currency));
            let span = format!("{} to {}", units.text(q, d.low), units.text(q, d.high));
            let codes = if is_mode(d) { format!("  {}", Mode::NAMES.join(", ")) } else { String::new() };
            writeln!(out, "{:width$}  {:24}{unit:8}  {span}{codes}", d.id, q.key())?;
        }
    }
    Ok(out.flush()?)
}
