//! `bledsteam compare`: two heat balances figure by figure, with the differences.

use crate::args::{CaseArgs, Compare as Args, UnitsArg};
use crate::case::{self, Described, Solved};
use crate::failure::Failure;
use crate::figures::{Device, Sheet};
use crate::output::{Sink, csv_cell};
use crate::plant_source;
use crate::units::{Measure, Units};
use engine::Fault;
use engine::plant::file::Plant;
use serde::Serialize;
use std::io::{self, Write};
use std::path::Path;
use steam::units::Quantity;

/// A plant in a case.
struct Side {
    plant: Plant,
    solved: Solved,
    sheet: Sheet,
}

impl Side {
    fn new(source: &Path, case: &CaseArgs) -> Result<Side, Failure> {
        let plant = plant_source::load(source)?;
        let solved = case::solve(source, &plant, case)?;
        let sheet = Sheet::new(&plant, &solved.balance);
        Ok(Side { plant, solved, sheet })
    }

    fn described(&self) -> OneSide<'_> {
        OneSide {
            plant: &self.plant.name,
            title: &self.plant.title,
            case: case::describe(&self.plant, &self.solved),
        }
    }
}

/// Prints two balances side by side.
pub fn compare(args: &Args) -> Result<(), Failure> {
    if !args.has_b() {
        return Err(Failure::usage(Fault::new(
            "usage",
            "command line",
            "there is nothing to compare A with.",
            "Name a second plant, or a case for B: --out-b hp1, --load-b 80.",
        )));
    }
    let a = Side::new(&args.a, &args.case)?;
    let b = Side::new(args.b.as_deref().unwrap_or(&args.a), &args.case_b())?;
    let units = UnitsArg::of(args.units, args.form.for_programs());
    let page = Page::new(&a, &b, units);
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

/// A figure on both sides.
struct Pair {
    key: &'static str,
    label: &'static str,
    measure: Measure,
    a: Option<f64>,
    b: Option<f64>,
    /// B less A, where both have the figure in one unit.
    difference: Option<f64>,
}

impl Pair {
    fn share(&self) -> Option<f64> {
        let a = self.a.filter(|a| *a > 0.0 && self.measure.has_shares())?;
        self.difference.map(|d| d / a)
    }
}

/// A device on both sides.
struct Both<'a> {
    section: &'static str,
    id: &'a str,
    name: String,
    pairs: Vec<Pair>,
}

/// Devices of A, then those that only B has.
fn pairs<'a>(a: &'a Side, b: &'a Side) -> Vec<Both<'a>> {
    let (of_a, of_b) = (a.sheet.devices(), b.sheet.devices());
    // Sums of different moneys have no difference, and how a solution ended has none that matters.
    let one_money = a.plant.currency() == b.plant.currency();
    let differs = |measure| match measure {
        Measure::Of(Quantity::MoneyRate) => one_money,
        Measure::Of(q) => !matches!(q, Quantity::Residual | Quantity::Count),
        _ => true,
    };
    let fits = |x: &(&str, &Device), y: &(&str, &Device)| x.0 == y.0 && x.1.id == y.1.id;
    let only_b = of_b.iter().filter(|y| !of_a.iter().any(|x| fits(x, y))).map(|y| (y, None, Some(y.1)));
    let all = of_a.iter().map(|x| (x, Some(x.1), of_b.iter().find(|y| fits(x, y)).map(|y| y.1)));
    let mut list = Vec::new();
    for (&(section, device), da, db) in all.chain(only_b) {
        let name = match (da, db) {
            (Some(x), Some(y)) if x.name != y.name => format!("{} / {}", x.name, y.name),
            _ => device.name.clone(),
        };
        let mut pairs = Vec::new();
        for (k, f) in device.figures.iter().enumerate() {
            let value = |d: Option<&Device>| d.and_then(|d| d.figures.get(k)).and_then(|f| f.value);
            let (va, vb) = (value(da), value(db));
            if va.is_none() && vb.is_none() {
                continue;
            }
            let difference = va.zip(vb).filter(|_| differs(f.measure)).map(|(x, y)| y - x);
            pairs.push(Pair { key: f.key, label: f.label, measure: f.measure, a: va, b: vb, difference });
        }
        list.push(Both { section, id: &device.id, name, pairs });
    }
    // What only B has belongs to the rest of its section.
    list.sort_by_key(|d| of_a.iter().position(|x| x.0 == d.section));
    list
}

#[derive(Serialize)]
struct OneSide<'a> {
    plant: &'a str,
    title: &'a str,
    case: Described<'a>,
}

#[derive(Serialize)]
struct One<'a> {
    section: &'a str,
    device: &'a str,
    figure: &'a str,
    unit: String,
    a: Option<f64>,
    b: Option<f64>,
    difference: Option<f64>,
    difference_unit: String,
}

#[derive(Serialize)]
struct Whole<'a> {
    version: &'static str,
    a: OneSide<'a>,
    b: OneSide<'a>,
    units: &'static str,
    figures: Vec<One<'a>>,
}

/// Two sides and what is between them.
struct Page<'a> {
    sides: [&'a Side; 2],
    list: Vec<Both<'a>>,
    units: Units,
    /// Sign of the money; both, where they differ.
    currency: String,
}

impl<'a> Page<'a> {
    fn new(a: &'a Side, b: &'a Side, units: Units) -> Page<'a> {
        let (x, y) = (a.plant.currency(), b.plant.currency());
        let currency = if x == y { x.to_owned() } else { format!("{x}|{y}") };
        Page { sides: [a, b], list: pairs(a, b), units, currency }
    }

    fn symbol(&self, measure: Measure) -> String {
        self.units.symbol(measure, &self.currency)
    }

    /// Every figure as programs read it.
    fn ones(&self) -> Vec<One<'_>> {
        let number = |m: Measure, v: Option<f64>| v.map(|v| self.units.number(m, v));
        let all = self.list.iter().flat_map(|d| d.pairs.iter().map(move |p| (d, p)));
        all.map(|(d, p)| {
            let apart = p.measure.difference();
            One {
                section: d.section,
                device: d.id,
                figure: p.key,
                unit: self.symbol(p.measure),
                a: number(p.measure, p.a),
                b: number(p.measure, p.b),
                difference: number(apart, p.difference),
                difference_unit: self.symbol(apart),
            }
        })
        .collect()
    }

    fn json(&self, out: &mut Sink) -> io::Result<()> {
        let [a, b] = self.sides;
        out.json(&Whole {
            version: env!("CARGO_PKG_VERSION"),
            a: a.described(),
            b: b.described(),
            units: self.units.name(),
            figures: self.ones(),
        })
    }

    fn csv(&self, out: &mut Sink) -> io::Result<()> {
        writeln!(out, "section,device,figure,a,b,unit,difference,difference_unit")?;
        let cell = |v: Option<f64>| v.map(|v| v.to_string()).unwrap_or_default();
        for f in self.ones() {
            let (unit, apart) = (csv_cell(&f.unit), csv_cell(&f.difference_unit));
            let (va, vb, difference) = (cell(f.a), cell(f.b), cell(f.difference));
            writeln!(out, "{},{},{},{va},{vb},{unit},{difference},{apart}", f.section, f.device, f.figure)?;
        }
        Ok(())
    }

    fn table(&self, out: &mut Sink) -> io::Result<()> {
        let labels = self.list.iter().flat_map(|d| &d.pairs).map(|p| p.label.chars().count());
        let label = labels.max().unwrap_or(0);
        let symbols = self.list.iter().flat_map(|d| &d.pairs).map(|p| self.symbol(p.measure).chars().count());
        let unit_width = symbols.max().unwrap_or(0);
        for (letter, side) in ["A", "B"].iter().zip(self.sides) {
            let s = side.described();
            writeln!(out, "{letter}  {} ({}): {}", s.title, s.plant, s.case.words())?;
        }
        let mut row = |name: &str, cells: [&str; 5]| {
            let [unit, a, b, difference, share] = cells;
            let line =
                format!("{name:label$}  {unit:unit_width$}  {a:>10}  {b:>10}  {difference:>10}  {share:>8}");
            writeln!(out, "{}", line.trim_end())
        };
        row("", ["", "", "", "", ""])?;
        row("", ["", "A", "B", "B - A", "% of A"])?;
        for d in self.list.iter().filter(|d| !d.pairs.is_empty()) {
            row("", ["", "", "", "", ""])?;
            let heading =
                if d.section == "heaters" { format!("{}  {}", d.id, d.name) } else { d.name.clone() };
            row(&heading, ["", "", "", "", ""])?;
            for p in &d.pairs {
                let text =
                    |m: Measure, v: Option<f64>| v.map_or_else(|| "-".into(), |v| self.units.text(m, v));
                let difference = signed(text(p.measure.difference(), p.difference));
                let share = p.share().map_or_else(String::new, |s| signed(format!("{:.2}", s * 100.0)));
                let (a, b) = (text(p.measure, p.a), text(p.measure, p.b));
                row(p.label, [&self.symbol(p.measure), &a, &b, &difference, &share])?;
            }
        }
        Ok(())
    }
}

/// Puts a plus before what has no sign and is not nothing.
fn signed(text: String) -> String {
    let digits = text.trim_start_matches('-');
    if digits.is_empty() {
        return text;
    }
    if !digits.chars().any(|c| c.is_ascii_digit() && c != '0') {
        return digits.to_owned();
    }
    if text.starts_with('-') { text } else { format!("+{text}") }
}

#[cfg(test)]
mod tests {
    use super::signed;

    #[test]
    fn a_difference_shows_its_sign() {
        for (text, shown) in [
            ("1.5", "+1.5"),
            ("-1.5", "-1.5"),
            ("0.00", "0.00"),
            ("-0.00", "0.00"),
            ("1.0e-12", "+1.0e-12"),
            ("-", "-"),
        ] {
            assert_eq!(signed(text.into()), shown);
        }
    }
}
