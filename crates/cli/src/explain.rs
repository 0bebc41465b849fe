//! `bledsteam explain`: how a number of a plant came about, or how a component's mass and energy balance.

use crate::args::{self, UnitsArg};
use crate::failure::{Failure, within};
use crate::output::Sink;
use crate::units::Units;
use crate::{duration, plant_source, schedule, words};
use engine::train::STEP;
use engine::working::expr::{Expr, Op};
use engine::working::{
    ComponentBalance, Equation, Ground, Origin, Source, Symbol, Term, Unit, Working, balance,
};
use engine::{Fault, Sim};
use std::io::{self, Write};
use steam::units::Quantity;

/// Steps made in one go.
const CHUNK: u64 = 14_400;

/// Explains a number or a component's balance.
pub fn explain(a: &args::Explain) -> Result<(), Failure> {
    let end = schedule::steps(args::time("--for", &a.duration).map_err(Failure::usage)?);
    let commands = schedule::build(&a.commands, None, end).map_err(Failure::Usage)?;
    let mut sim = plant_source::start(&a.plant)?;
    let mut step = 0;
    for t in &commands {
        advance(&mut sim, t.step - step)?;
        step = t.step;
        sim.command(&t.command).map_err(|f| {
            let place = format!("at {} '{}':", duration::clock(sim.time()), words::write(&t.command));
            Failure::usage(within(&place, f))
        })?;
    }
    advance(&mut sim, end - step)?;
    let p = Printer { units: UnitsArg::of(a.units, a.json), currency: sim.plant().currency().to_owned() };
    let mut out = Sink::standard();
    if balance::devices(&sim).contains(&a.number) {
        let b = sim.component_balance(&a.number).map_err(Failure::Stopped)?;
        if a.json { out.json(&b)? } else { p.balance(&mut out, &b)? }
    } else {
        let w = sim.working(&a.number).map_err(|f| Failure::usage(listed(&sim, f)))?;
        if a.json { out.json(&w)? } else { p.working(&mut out, &w)? }
    }
    Ok(out.flush()?)
}

fn advance(sim: &mut Sim, mut steps: u64) -> Result<(), Failure> {
    while steps > 0 {
        let some = steps.min(CHUNK);
        sim.advance(some as u32).map_err(|f| {
            Failure::Stopped(within(&format!("at {}:", duration::clock(sim.time() + STEP)), f))
        })?;
        steps -= some;
    }
    Ok(())
}

/// Says where the numbers are listed.
fn listed(sim: &Sim, mut f: Fault) -> Fault {
    if f.code == "no_such_number" {
        f.remedy = format!(
            "'bledsteam signals --plant {}' lists them; of a component's balance give its name alone: {}.",
            sim.plant().name,
            balance::devices(sim).join(", ")
        );
    }
    f
}

/// Writes workings in some units.
struct Printer {
    units: Units,
    currency: String,
}

impl Printer {
    fn unit(&self, u: Unit) -> String {
        match u.fixed {
            // A price is in the plant's currency.
            Some(unit) if unit.starts_with('/') => format!("{}{unit}", self.currency),
            Some(unit) => unit.to_owned(),
            None => self.units.symbol(u.quantity, &self.currency).replace('-', ""),
        }
    }

    fn value(&self, u: Unit, inside: f64) -> String {
        let shown = if u.fixed.is_some() { inside } else { self.units.number(u.quantity, inside) };
        format!("{} {}", digits(shown), self.unit(u)).trim_end().to_owned()
    }

    fn working(&self, out: &mut impl Write, w: &Working) -> io::Result<()> {
        writeln!(out, "{}: {} = {}", w.id, spaced(&w.meaning), self.value(w.unit, w.value))?;
        if let Some(e) = &w.equation {
            self.equation(out, w, e)?;
        }
        if let Some(why) = w.why.and_then(|why| serde_json::to_value(why).ok()) {
            writeln!(out, "  no equation: {}", spaced(why.as_str().unwrap_or_default()))?;
        }
        if !w.see.is_empty() {
            writeln!(out, "  see        {}", w.see.join(", "))?;
        }
        writeln!(out, "  balance    {}", w.balance)
    }

    fn equation(&self, out: &mut impl Write, w: &Working, e: &Equation) -> io::Result<()> {
        let name = symbol(&w.symbol);
        let indent = name.chars().count() + 3;
        let letters = text(&e.formula, &|k| e.terms.get(k).map_or("?".into(), |t| symbol(&t.symbol)));
        let shown = text(&e.formula, &|k| e.terms.get(k).map_or("?".into(), |t| self.value(t.unit, t.value)));
        let bare = text(&e.formula, &|k| e.terms.get(k).map_or("?".into(), |t| digits(t.value)));
        writeln!(out, "  {name} = {letters}")?;
        writeln!(out, "{:>indent$} {shown}", "=")?;
        writeln!(out, "{:>indent$} {}", "=", self.value(w.unit, e.evaluated))?;
        writeln!(out, "  in kg, s, m, MPa, °C, kJ/kg, kW:  {bare} = {}", digits(e.evaluated))?;
        if !e.case.is_empty() {
            writeln!(out, "  case       {}", spaced(e.case))?;
        }
        writeln!(out, "  rests on   {}", source(&e.source))?;
        let width =
            |of: &dyn Fn(&Term) -> String| e.terms.iter().map(|t| of(t).chars().count()).max().unwrap_or(0);
        let (a, b) = (width(&|t| symbol(&t.symbol)), width(&|t| self.value(t.unit, t.value)));
        let c = width(&|t| spaced(&t.meaning));
        for t in &e.terms {
            let (s, v, m) = (symbol(&t.symbol), self.value(t.unit, t.value), spaced(&t.meaning));
            writeln!(out, "    {s:a$}  {v:>b$}  {m:c$}  {}", origin(&t.origin))?;
        }
        Ok(())
    }

    fn balance(&self, out: &mut impl Write, b: &ComponentBalance) -> io::Result<()> {
        let mass = |x: f64| self.value(engine::working::of(Quantity::MassFlow), x);
        let heat = |x: f64| self.value(engine::working::of(Quantity::HeatFlow), x);
        writeln!(out, "{}: mass and energy over the last step", b.device)?;
        for f in &b.flows {
            let sign = if f.inward { '+' } else { '-' };
            let name = format!("{} {}", spaced(f.name), f.device);
            let m = f.mass.map_or(String::new(), mass);
            writeln!(out, "  {sign} {name:32}{m:>18}{:>18}  {}", heat(f.energy), f.working)?;
        }
        writeln!(out, "  stored {:>45}{:>18}", mass(b.mass_stored), heat(b.energy_stored))?;
        writeln!(
            out,
            "  in less out less stored {:>28}{:>18}",
            mass(b.mass_residual),
            heat(b.energy_residual)
        )
    }
}

fn spaced(word: &str) -> String {
    word.replace('_', " ")
}

fn symbol(s: &Symbol) -> String {
    if s.sub.is_empty() { s.base.clone() } else { format!("{}_{}", s.base, s.sub) }
}

/// Six significant digits, without zeros at the end.
fn digits(x: f64) -> String {
    if x == 0.0 || !x.is_finite() {
        return format!("{x}").replace("-0", "0");
    }
    let size = x.abs().log10_floor();
    if !(-4..7).contains(&size) {
        return format!("{x:.4e}");
    }
    let text = format!("{x:.*}", (5 - size).max(0) as usize);
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

/// Power of ten of a number's first digit.
trait FirstDigit {
    fn log10_floor(self) -> i32;
}

impl FirstDigit for f64 {
    fn log10_floor(self) -> i32 {
        steam::math::log10(self).floor() as i32
    }
}

fn source(s: &Source) -> String {
    let ground = match s.ground {
        Ground::Definition => "definition",
        Ground::Conservation => "conservation of mass and energy",
        Ground::Standard | Ground::Book => "",
        Ground::Practice => "common practice, no source",
        Ground::Memory => "from memory: ",
    };
    format!("{ground}{}", s.text)
}

fn origin(o: &Origin) -> String {
    match o {
        Origin::Working { id, before: true } => format!("{id} as the step began"),
        Origin::Working { id, .. } | Origin::Flow { id } => id.clone(),
        Origin::Sized => "sized once, from the design balance".into(),
        Origin::Plant { place } => format!("plant file: {place}"),
        Origin::Constant { source: s } => source(s),
    }
}

/// An expression on one line, `leaf` standing for its terms.
fn text(e: &Expr, leaf: &dyn Fn(usize) -> String) -> String {
    let of = |x: &Expr| text(x, leaf);
    let loose = |x: &Expr| matches!(x, Expr::Op { op: Op::Sum | Op::Difference, .. });
    let closed = |x: &Expr| if loose(x) { format!("({})", of(x)) } else { of(x) };
    // Under a stroke or an exponent only what stands by itself goes without brackets.
    let tight = |x: &Expr| match x {
        Expr::Op { op: Op::Root | Op::Min | Op::Max | Op::Exp | Op::Ln | Op::Arccos, .. }
        | Expr::Term { .. }
        | Expr::Number { .. }
        | Expr::Call { .. } => of(x),
        Expr::Op { .. } => format!("({})", of(x)),
    };
    let list = |of_: &[Expr], by: &str, each: &dyn Fn(&Expr) -> String| {
        of_.iter().map(each).collect::<Vec<_>>().join(by)
    };
    match e {
        Expr::Number { value } => digits(*value),
        Expr::Term { index } => leaf(*index),
        Expr::Call { symbol: s, of: args, .. } => format!("{}({})", symbol(s), list(args, ", ", &of)),
        Expr::Op { op, of: parts } => match (op, parts.as_slice()) {
            (Op::Sum, p) => list(p, " + ", &of),
            (Op::Difference, [Expr::Number { value }, b]) if *value == 0.0 => format!("-{}", closed(b)),
            (Op::Difference, [a, b]) => format!("{} - {}", of(a), closed(b)),
            (Op::Product, p) => list(p, " · ", &closed),
            (Op::Quotient, [a, b]) => format!("{} / {}", closed(a), tight(b)),
            (Op::Power, [a, b]) => format!("{}^{}", tight(a), tight(b)),
            (Op::Root, [a]) => format!("√({})", of(a)),
            (Op::Exp, [a]) => format!("e^({})", of(a)),
            (Op::Ln, p) => format!("ln({})", list(p, ", ", &of)),
            (Op::Arccos, p) => format!("arccos({})", list(p, ", ", &of)),
            (Op::Min, p) => format!("min({})", list(p, ", ", &of)),
            (Op::Max, p) => format!("max({})", list(p, ", ", &of)),
            (_, p) => list(p, " ? ", &of),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_six_digits() {
        for (x, shown) in [
            (0.0, "0"),
            (254.043_21, "254.043"),
            (-3.5, "-3.5"),
            (0.001_234_567_8, "0.00123457"),
            (1_234_567.0, "1234567"),
            (2.5e9, "2.5000e9"),
            (1e-7, "1.0000e-7"),
            (1000.0, "1000"),
        ] {
            assert_eq!(digits(x), shown);
        }
    }

    #[test]
    fn expressions_keep_their_brackets() {
        let t = |index| Expr::Term { index };
        let leaf = |k: usize| ["a", "b", "c"][k].to_owned();
        let show = |e: &Expr| text(e, &leaf);
        assert_eq!(show(&(t(0) - (t(1) - t(2)))), "a - (b - c)");
        assert_eq!(show(&(t(0) * (t(1) + t(2)))), "a · (b + c)");
        assert_eq!(show(&(t(0) / (t(1) * t(2)))), "a / (b · c)");
        assert_eq!(show(&engine::working::expr::root(t(0) / t(1))), "√(a / b)");
    }
}
