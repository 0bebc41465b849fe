//! `bledsteam balance`: the heat balance as data-sheet readers know it, one column to a heater.

use crate::args::{Balance as Args, UnitsArg};
use crate::case::{self, Described};
use crate::failure::Failure;
use crate::figures::{Device, Figure, Numbers, Sheet, Symbols};
use crate::output::{Sink, csv_cell};
use crate::plant_source;
use crate::units::Units;
use engine::plant::file::Plant;
use serde::Serialize;
use std::io::{self, Write};
use steam::units::Quantity;

/// Prints the heat balance of a case.
pub fn balance(args: &Args) -> Result<(), Failure> {
    let source = args.plant.path();
    let plant = plant_source::load(source)?;
    let solved = case::solve(source, &plant, &args.case)?;
    let units = UnitsArg::of(args.units, args.form.for_programs());
    let page = Page {
        plant: &plant,
        case: case::describe(&plant, &solved),
        sheet: Sheet::new(&plant, &solved.balance),
        units,
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

struct Page<'a> {
    plant: &'a Plant,
    case: Described<'a>,
    sheet: Sheet,
    units: Units,
}

/// The same figures twice: as numbers and as their units.
#[derive(Serialize)]
struct Parts<M, O> {
    heaters: M,
    stages: M,
    turbine: O,
    pumps: O,
    unit: O,
    solution: O,
}

#[derive(Serialize)]
struct Whole<'a> {
    plant: &'a str,
    title: &'a str,
    version: &'static str,
    case: &'a Described<'a>,
    units: &'static str,
    #[serde(flatten)]
    numbers: Parts<Vec<Numbers<'a>>, Numbers<'a>>,
    unit_of: Parts<Symbols<'a>, Symbols<'a>>,
}

impl Page<'_> {
    fn json(&self, out: &mut Sink) -> io::Result<()> {
        let (s, units, currency) = (&self.sheet, self.units, self.plant.currency());
        fn several(list: &[Device], units: Units) -> Vec<Numbers<'_>> {
            list.iter().map(|device| Numbers { device, units, named: true }).collect()
        }
        let one = |device| Numbers { device, units, named: false };
        let symbols = |device| Symbols { device, units, currency };
        out.json(&Whole {
            plant: &self.plant.name,
            title: &self.plant.title,
            version: env!("CARGO_PKG_VERSION"),
            case: &self.case,
            units: units.name(),
            numbers: Parts {
                heaters: several(&s.heaters, units),
                stages: several(&s.stages, units),
                turbine: one(&s.turbine),
                pumps: one(&s.pumps),
                unit: one(&s.unit),
                solution: one(&s.solution),
            },
            unit_of: Parts {
                heaters: symbols(s.heaters.first()),
                stages: symbols(s.stages.first()),
                turbine: symbols(Some(&s.turbine)),
                pumps: symbols(Some(&s.pumps)),
                unit: symbols(Some(&s.unit)),
                solution: symbols(Some(&s.solution)),
            },
        })
    }

    /// One line to a figure; what has no meaning has no line.
    fn csv(&self, out: &mut Sink) -> io::Result<()> {
        writeln!(out, "section,device,figure,value,unit")?;
        let share = self.units.symbol(Quantity::Fraction, "");
        for (device, name, value) in self.case.figures() {
            let (value, unit) = match device {
                "unit" => (self.units.number(Quantity::Fraction, value), share.as_str()),
                _ => (value, "-"),
            };
            writeln!(out, "case,{device},{name},{value},{unit}")?;
        }
        for (section, device) in self.sheet.devices() {
            for f in &device.figures {
                let Some(value) = f.value else { continue };
                let value = self.units.number(f.measure, value);
                let unit = csv_cell(&self.symbol(f));
                writeln!(out, "{section},{},{},{value},{unit}", device.id, f.key)?;
            }
        }
        Ok(())
    }

    fn symbol(&self, f: &Figure) -> String {
        self.units.symbol(f.measure, self.plant.currency())
    }

    fn show(&self, f: &Figure) -> String {
        f.value.map_or_else(|| "-".to_owned(), |v| self.units.text(f.measure, v))
    }

    fn table(&self, out: &mut Sink) -> io::Result<()> {
        let s = &self.sheet;
        let lone = [&s.unit, &s.turbine, &s.pumps, &s.solution];
        let all = || lone.iter().copied().chain(&s.heaters).flat_map(|d| &d.figures);
        let label = all().map(|f| f.label.chars().count()).max().unwrap_or(0);
        let unit = all().map(|f| self.symbol(f).chars().count()).max().unwrap_or(0);
        writeln!(out, "{} ({}): {}\n", self.plant.title, self.plant.name, self.case.words())?;
        self.heaters(out, label, unit)?;
        self.stages(out)?;
        for device in lone {
            writeln!(out)?;
            for w in &device.words {
                writeln!(out, "{:label$}  {:unit$}  {:>10}", device.name, "", w.word)?;
            }
            for f in device.figures.iter().filter(|f| f.value.is_some()) {
                writeln!(out, "{:label$}  {:unit$}  {:>10}", f.label, self.symbol(f), self.show(f))?;
            }
        }
        Ok(())
    }

    /// One column to a heater; rows that have a value for none of them are left out.
    fn heaters(&self, out: &mut Sink, label: usize, unit: usize) -> io::Result<()> {
        let heaters = &self.sheet.heaters;
        let words = heaters.iter().flat_map(|h| &h.words).map(|w| w.word.chars().count());
        let ids = heaters.iter().map(|h| h.id.chars().count());
        let width = words.chain(ids).max().unwrap_or(0).max(8);
        let mut row = |name: &str, symbol: &str, cells: Vec<String>| {
            let cells: String = cells.iter().map(|c| format!("  {c:>width$}")).collect();
            writeln!(out, "{name:label$}  {symbol:unit$}{cells}")
        };
        row("Heater", "", heaters.iter().map(|h| h.id.clone()).collect())?;
        let Some(first) = heaters.first() else { return Ok(()) };
        for (k, w) in first.words.iter().enumerate() {
            row(w.label, "", heaters.iter().map(|h| h.words[k].word.replace('_', " ")).collect())?;
        }
        for (k, f) in first.figures.iter().enumerate() {
            if heaters.iter().any(|h| h.figures[k].value.is_some()) {
                row(f.label, &self.symbol(f), heaters.iter().map(|h| self.show(&h.figures[k])).collect())?;
            }
        }
        Ok(())
    }

    /// One line to a group of stages.
    fn stages(&self, out: &mut Sink) -> io::Result<()> {
        let stages = &self.sheet.stages;
        let Some(first) = stages.first() else { return Ok(()) };
        let heading = |text: fn(&Self, &Figure) -> String| -> String {
            first.figures.iter().map(|f| format!("  {:>9}", text(self, f))).collect()
        };
        writeln!(out, "\n{:22}{}", "Turbine, stages to", heading(|_, f| f.label.into()))?;
        writeln!(out, "{:22}{}", "", heading(Self::symbol))?;
        for (k, s) in stages.iter().enumerate() {
            let to = s.words.first().map_or("", |w| w.word.as_str());
            let cells: String = s.figures.iter().map(|f| format!("  {:>9}", self.show(f))).collect();
            writeln!(out, "{:22}{cells}", format!("{:>2}  {to}", k + 1))?;
        }
        Ok(())
    }
}
