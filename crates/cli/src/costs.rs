//! `bledsteam costs`: what a heater out, a kelvin of TTD or of DCA costs at the same gross output.

use crate::args::{Costs as Args, UnitsArg};
use crate::case;
use crate::failure::{Failure, within};
use crate::figures::Figure;
use crate::output::{Sink, csv_cell};
use crate::plant_source;
use crate::units::{Measure, Units};
use engine::plant::file::Plant;
use engine::steady::{Change, Cost, Model};
use serde::{Serialize, Serializer};
use std::collections::BTreeMap;
use std::io::{self, Write};
use steam::units::{Quantity as Q, System};

/// Prints the costs of every change to every closed heater.
pub fn costs(args: &Args) -> Result<(), Failure> {
    let source = args.plant.path();
    let plant = plant_source::load(source)?;
    let share = case::load("--load", args.load.as_deref()).map_err(Failure::usage)?;
    let here = |f| Failure::Plant(vec![within(&format!("{}:", source.display()), f)]);
    let model = Model::new(&plant).map_err(here)?;
    let list = engine::steady::costs(&model, &plant, share).map_err(here)?;
    let page = Page {
        plant: &plant,
        share,
        output: share * model.design.gross,
        units: UnitsArg::of(args.units, args.form.for_programs()),
        rows: list
            .iter()
            .map(|c| Row { cost: c, with: with(&plant, c), figures: figures(&plant, c) })
            .collect(),
    };
    let mut out = Sink::standard();
    if args.form.json {
        page.json(&mut out)?;
    } else if args.form.csv {
        page.csv(&mut out)?;
    } else {
        page.table(&mut out)?;
    }
    Ok(out.flush()?)
}

/// Heaters that go out with this one: those of its bypass group.
fn with<'a>(plant: &'a Plant, c: &Cost) -> Vec<&'a str> {
    if c.change != Change::Out {
        return Vec::new();
    }
    let groups = plant.bypass_groups.iter().filter(|g| g.contains(&c.heater));
    groups.flatten().filter(|id| **id != c.heater).map(String::as_str).collect()
}

fn figures(plant: &Plant, c: &Cost) -> Vec<Figure> {
    let priced = plant.economics.as_ref();
    let figure = |key, label, measure: Measure, value| Figure { key, label, measure, value: Some(value) };
    let with_prices =
        |key, label, measure: Measure, value| Figure { key, label, measure, value: priced.map(|_| value) };
    vec![
        figure("heat_rate", "Heat rate", Measure::Finer(Q::HeatRate, 2), c.heat_rate),
        figure("heat_rate_share", "Heat rate", Measure::Finer(Q::Fraction, 2), c.share),
        figure("heat_added", "Heat added", Measure::Finer(Q::HeatFlow, 1), c.heat_added),
        with_prices("money", "Money", Measure::Finer(Q::MoneyRate, 2), c.money),
        with_prices("co2", "CO2", Measure::Finer(Q::MassRate, 2), c.carbon_dioxide),
        figure("final_fw_temperature", "Final fw", Q::TemperatureDifference.into(), c.final_temperature),
        figure("steam_flow", "Steam flow", Measure::Finer(Q::MassFlow, 1), c.throttle),
    ]
}

/// One change.
struct Row<'a> {
    cost: &'a Cost,
    with: Vec<&'a str>,
    figures: Vec<Figure>,
}

impl Row<'_> {
    fn change(&self) -> &'static str {
        match self.cost.change {
            Change::Out => "out",
            Change::Ttd => "ttd",
            Change::Dca => "dca",
        }
    }
}

/// A row as an object of words and numbers.
struct Numbers<'a>(&'a Row<'a>, Units);

impl Serialize for Numbers<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        use serde::ser::SerializeMap;
        let mut map = to.serialize_map(None)?;
        map.serialize_entry("heater", &self.0.cost.heater)?;
        map.serialize_entry("change", self.0.change())?;
        map.serialize_entry("with", &self.0.with)?;
        for f in &self.0.figures {
            map.serialize_entry(f.key, &f.value.map(|v| self.1.number(f.measure, v)))?;
        }
        map.end()
    }
}

#[derive(Serialize)]
struct Whole<'a> {
    plant: &'a str,
    title: &'a str,
    version: &'static str,
    held: &'static str,
    share: f64,
    units: &'static str,
    costs: Vec<Numbers<'a>>,
    unit_of: BTreeMap<&'static str, String>,
}

struct Page<'a> {
    plant: &'a Plant,
    share: f64,
    /// Gross output [kW].
    output: f64,
    units: Units,
    rows: Vec<Row<'a>>,
}

impl Page<'_> {
    fn symbol(&self, f: &Figure) -> String {
        self.units.symbol(f.measure, self.plant.currency())
    }

    fn json(&self, out: &mut Sink) -> io::Result<()> {
        let first = self.rows.first().into_iter().flat_map(|r| &r.figures);
        out.json(&Whole {
            plant: &self.plant.name,
            title: &self.plant.title,
            version: env!("CARGO_PKG_VERSION"),
            held: "gross_output",
            share: self.share,
            units: self.units.name(),
            costs: self.rows.iter().map(|r| Numbers(r, self.units)).collect(),
            unit_of: first.map(|f| (f.key, self.symbol(f))).collect(),
        })
    }

    /// One line to a figure, as in the CSV of a balance; the section is the change.
    fn csv(&self, out: &mut Sink) -> io::Result<()> {
        writeln!(out, "section,device,figure,value,unit")?;
        for r in &self.rows {
            for f in &r.figures {
                let Some(value) = f.value else { continue };
                let (value, unit) = (self.units.number(f.measure, value), csv_cell(&self.symbol(f)));
                writeln!(out, "{},{},{},{value},{unit}", r.change(), r.cost.heater, f.key)?;
            }
        }
        Ok(())
    }

    /// A change in words; the engine's kelvin in the units of the rest.
    fn change(&self, r: &Row) -> String {
        let kelvin = match self.units {
            Units::Shown(System::Us) => "1.8 °F",
            _ => "1 K",
        };
        match r.cost.change {
            Change::Out if r.with.is_empty() => "out".into(),
            Change::Out => format!("out with {}", r.with.join(" ")),
            Change::Ttd => format!("TTD {kelvin} more"),
            Change::Dca => format!("DCA {kelvin} more"),
        }
    }

    fn table(&self, out: &mut Sink) -> io::Result<()> {
        let (share, output) = (self.share * 100.0, self.units.text(Q::Power, self.output));
        let unit = self.units.symbol(Q::Power, "");
        writeln!(
            out,
            "{} ({}): what a change costs at {output} {unit} gross, {share} % of design\n",
            self.plant.title, self.plant.name
        )?;
        let Some(first) = self.rows.first() else {
            return writeln!(out, "No closed heater can be changed.");
        };
        let changes: Vec<String> = self.rows.iter().map(|r| self.change(r)).collect();
        let change = changes.iter().map(|c| c.chars().count()).max().unwrap_or(0);
        let columns: Vec<usize> =
            (0..first.figures.len()).filter(|k| first.figures[*k].value.is_some()).collect();
        let mut row = |id: &str, what: &str, cell: &dyn Fn(usize) -> String| {
            let cells: String = columns.iter().map(|k| format!("  {:>10}", cell(*k))).collect();
            writeln!(out, "{id:12}  {what:change$}{cells}")
        };
        row("Heater", "", &|k| first.figures[k].label.into())?;
        row("", "", &|k| self.symbol(&first.figures[k]))?;
        for (r, what) in self.rows.iter().zip(&changes) {
            row(&r.cost.heater, what, &|k| {
                let f = &r.figures[k];
                f.value.map_or_else(|| "-".into(), |v| self.units.text(f.measure, v))
            })?;
        }
        Ok(())
    }
}
