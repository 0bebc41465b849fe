//! How each number came about: the equation, its terms with today's values, and where it is from.
//!
//! Beside each component's code stands here, in a file of the same name, what that code reckons, as data: a tree that
//! a page or a shell can draw, fill with numbers and follow from value to value. Nothing here drives the plant; a test
//! holds every tree to the number that the engine itself found.
//!
//! A working's id is `<device>.<name>`, like a signal's. Every signal has one; values that are only steps on the way have
//! one too. What is no result of an equation (the position of a valve, a mass that a balance has summed up) says so.
//!
//! **Adding a signal?** Give it an arm in the `working` function of its component's file here (an equation), or a line in
//! [`plain`] (a reading or a state, with the reason), and its symbol in [`names`]. The test
//! `every_signal_has_a_working` names what is missing.

pub mod balance;
pub mod condensate_pump;
pub mod condenser;
pub mod drain;
pub mod expr;
pub mod extraction;
pub mod feed_pump;
pub mod gas;
pub mod heater;
pub mod line_drain;
pub mod names;
pub mod open_heater;
pub mod plain;
mod pump;
pub mod separator;
pub mod shell;
pub mod shown;
pub mod turbine;
pub mod unit;
mod zone_flows;
pub mod zones;

pub use balance::{ComponentBalance, Flow};
pub use expr::{Expr, Symbol};
pub use plain::Why;

use crate::event::Device;
use crate::fault::{At, Fault};
use crate::sim::Sim;
use serde::Serialize;
use steam::units::{Quantity, System};

/// Unit of a value: that of a quantity, shown as the reader likes it, or one that stays as it is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Unit {
    /// Quantity; a bare number where the unit is fixed.
    pub quantity: Quantity,
    /// Unit that has no other form, such as that of a valve's coefficient.
    #[serde(rename = "unit")]
    pub fixed: Option<&'static str>,
}

/// Of a quantity.
pub const fn of(quantity: Quantity) -> Unit {
    Unit { quantity, fixed: None }
}

/// One that stays as it is.
pub const fn fixed(unit: &'static str) -> Unit {
    Unit { quantity: Quantity::Ratio, fixed: Some(unit) }
}

/// What an equation or a figure rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Ground {
    /// True by definition, or exact.
    Definition,
    /// Conservation of mass or energy.
    Conservation,
    /// A standard or release.
    Standard,
    /// A book.
    Book,
    /// Common practice, no source.
    Practice,
    /// Remembered from the named place, not read.
    Memory,
}

/// Ground and, where there is one, the document.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Source {
    /// What it rests on.
    pub ground: Ground,
    /// Title of the document; empty without.
    pub text: &'static str,
}

/// True by definition.
pub const DEFINITION: Source = Source { ground: Ground::Definition, text: "" };
/// Conservation of mass or energy.
pub const CONSERVATION: Source = Source { ground: Ground::Conservation, text: "" };
/// Common practice, no source.
pub const PRACTICE: Source = Source { ground: Ground::Practice, text: "" };
/// Water and steam.
pub const IAPWS: Source = Source { ground: Ground::Standard, text: "IAPWS R7-97(2012)" };
/// Gases dissolved in water.
pub const IAPWS_HENRY: Source = Source { ground: Ground::Standard, text: "IAPWS G7-04" };
/// Terminal differences of feedwater heaters.
pub const PTC_12: Source = Source { ground: Ground::Standard, text: "ASME PTC 12.1" };
/// Liquid through valves.
pub const IEC_LIQUID: Source =
    Source { ground: Ground::Standard, text: "IEC 60534-2-1, incompressible flow" };
/// Steam through lines and valves.
pub const IEC_STEAM: Source = Source { ground: Ground::Standard, text: "IEC 60534-2-1, compressible flow" };
/// Effectiveness and NTU.
pub const INCROPERA: Source = Source {
    ground: Ground::Book,
    text: "F. P. Incropera, D. P. DeWitt, Fundamentals of Heat and Mass Transfer, 3rd ed., chapter 11",
};
/// The ellipse law.
pub const STODOLA: Source = Source { ground: Ground::Book, text: "A. Stodola, Steam and Gas Turbines" };
/// A jet from a sharp edge.
pub const ORIFICE: Source = Source {
    ground: Ground::Book,
    text: "textbooks of fluid mechanics, from Kirchhoff's free jet: pi/(pi + 2)",
};
/// Film coefficients and flow.
pub const FILMS: Source = Source {
    ground: Ground::Memory,
    text: "Dittus and Boelter (flow to the 0.8 in tubes), Grimison (to the 0.6 across a bank)",
};

/// Where the value of a term comes from.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Origin {
    /// It has a working of its own.
    Working {
        /// Id of that working.
        id: String,
        /// The value is that at the beginning of the step, the working shows the end.
        before: bool,
    },
    /// Sized once, from the design heat balance.
    Sized,
    /// Given in the plant file.
    Plant {
        /// Place in the file.
        place: String,
    },
    /// A constant.
    Constant {
        /// What it rests on.
        source: Source,
    },
    /// A flow of a balance; its mass, or what carries it, has a working.
    Flow {
        /// Id of that working.
        id: String,
    },
}

/// A value in an equation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Term {
    /// How it is written.
    pub symbol: Symbol,
    /// Word for what it means.
    pub meaning: String,
    /// Device it belongs to, where that is another than the working's.
    pub device: Option<String>,
    /// Its unit.
    #[serde(flatten)]
    pub unit: Unit,
    /// Its value, in the inside unit.
    pub value: f64,
    /// Where it comes from.
    pub origin: Origin,
}

/// An equation with its terms.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Equation {
    /// The right-hand side.
    pub formula: Expr,
    /// What stands in it.
    pub terms: Vec<Term>,
    /// What the formula gives with the terms' values.
    pub evaluated: f64,
    /// What a relative error of one in every term would make of it: the measure of rounding.
    pub scale: f64,
    /// Numbers in SI or US units as shown, put into the formula, give the result as shown: [SI, US]. Where not, the
    /// engine's own units are needed: kg, s, m, MPa, °C, kJ/kg, kW.
    pub plain: [bool; 2],
    /// Which of several cases holds, as a word; empty where there is but one.
    pub case: &'static str,
    /// What it rests on.
    pub source: Source,
}

/// How a number came about.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Working {
    /// `<device>.<name>`.
    pub id: String,
    /// Device.
    pub device: String,
    /// Word for what it means.
    pub meaning: String,
    /// How it is written.
    pub symbol: Symbol,
    /// Its unit.
    #[serde(flatten)]
    pub unit: Unit,
    /// Its value as the engine has it, in the inside unit.
    pub value: f64,
    /// The equation; none for what is read or summed up.
    pub equation: Option<Equation>,
    /// Why there is no equation.
    pub why: Option<Why>,
    /// Other ways to the same number, or what explains a state.
    pub see: Vec<String>,
    /// Device whose balance of mass and energy it belongs to.
    pub balance: String,
}

/// A working while it is written down.
pub struct Draft<'a> {
    sim: &'a Sim,
    /// What it links to are truths.
    of_truths: bool,
    device: String,
    name: String,
    terms: Vec<Term>,
    case: &'static str,
    see: Vec<String>,
    balance: String,
}

impl<'a> Draft<'a> {
    /// Of the number `name` of a device, reckoned of what is true: where a transmitter shows that number, this is the truth
    /// beside it, and so are the values that it links to.
    pub fn new(sim: &'a Sim, device: &str, name: &str) -> Draft<'a> {
        let name = shown::truth(sim, device, name).unwrap_or(name);
        Draft { of_truths: true, ..Draft::shown(sim, device, name) }
    }

    /// Of the number `name` of a device, reckoned of what is shown.
    pub fn shown(sim: &'a Sim, device: &str, name: &str) -> Draft<'a> {
        Draft {
            sim,
            of_truths: false,
            device: device.into(),
            name: name.into(),
            terms: Vec::new(),
            case: "",
            see: Vec::new(),
            balance: balance::device_of(sim, device),
        }
    }

    fn put(&mut self, term: Term) -> Expr {
        // A value that stands twice in an equation is one term.
        let known = self.terms.iter().position(|t| {
            (&t.symbol, &t.meaning, &t.device, &t.origin)
                == (&term.symbol, &term.meaning, &term.device, &term.origin)
        });
        let index = known.unwrap_or_else(|| {
            self.terms.push(term);
            self.terms.len() - 1
        });
        Expr::Term { index }
    }

    /// The name by which it calls a number of a device.
    fn named<'b>(&self, device: &str, name: &'b str) -> &'b str {
        if self.of_truths { shown::truth(self.sim, device, name).unwrap_or(name) } else { name }
    }

    fn linked(&mut self, device: &str, name: &str, value: f64, before: bool) -> Expr {
        let name = self.named(device, name);
        let (symbol, unit) = names::of(name);
        let other = (device != self.device).then(|| device.to_owned());
        let mut symbol = Symbol::new(&symbol);
        if let Some(d) = other.as_deref().filter(|d| balance::is_heater(self.sim, d)) {
            let gap = if symbol.sub.is_empty() { "" } else { "," };
            symbol.sub = format!("{}{gap}{d}", symbol.sub);
        }
        self.put(Term {
            symbol,
            meaning: names::meaning(name),
            device: other,
            unit,
            value,
            origin: Origin::Working { id: format!("{device}.{name}"), before },
        })
    }

    /// A value of the same device that has a working of its own.
    pub fn link(&mut self, name: &str, value: f64) -> Expr {
        let device = self.device.clone();
        self.linked(&device, name, value, false)
    }

    /// The same, as it was at the beginning of the step.
    pub fn before(&mut self, name: &str, value: f64) -> Expr {
        let device = self.device.clone();
        self.linked(&device, name, value, true)
    }

    /// A value of another device that has a working of its own.
    pub fn link_of(&mut self, device: &str, name: &str, value: f64) -> Expr {
        self.linked(device, name, value, false)
    }

    /// The same, as it was at the beginning of the step.
    pub fn before_of(&mut self, device: &str, name: &str, value: f64) -> Expr {
        self.linked(device, name, value, true)
    }

    /// What gas adds to the pressure of this closed heater's shell now, or as it was at the beginning of the step [MPa].
    fn gas_pressure(&self, before: bool) -> f64 {
        let k = self.sim.params().closed.iter().position(|c| c.heater.id == self.device);
        let plant = if before { &self.sim.previous().plant } else { &self.sim.state().plant };
        k.map_or(0.0, |k| plant.closed[k].heater.gas_pressure)
    }

    /// Pressure of the steam in a vessel: all of the shell's, unless gas takes part of it.
    pub fn steam_pressure(&mut self, value: f64) -> Expr {
        let gas = self.gas_pressure(false) > 0.0;
        self.link(if gas { "steam_pressure" } else { "shell_pressure" }, value)
    }

    /// The same, as it was at the beginning of the step.
    pub fn steam_pressure_before(&mut self, value: f64) -> Expr {
        let gas = self.gas_pressure(true) > 0.0;
        self.before(if gas { "steam_pressure" } else { "shell_pressure" }, value)
    }

    /// Temperature at which steam condenses in a vessel: saturation, unless gas takes part of the pressure.
    pub fn condensing(&mut self, value: f64) -> Expr {
        let gas = self.gas_pressure(false) > 0.0;
        self.link(if gas { "condensing_temperature" } else { "saturation_temperature" }, value)
    }

    fn given(&mut self, symbol: &str, meaning: &str, unit: Unit, value: f64, origin: Origin) -> Expr {
        let symbol = Symbol::new(symbol);
        self.put(Term { symbol, meaning: meaning.into(), device: None, unit, value, origin })
    }

    /// A figure that was sized once.
    pub fn sized(&mut self, symbol: &str, meaning: &str, unit: Unit, value: f64) -> Expr {
        self.given(symbol, meaning, unit, value, Origin::Sized)
    }

    /// A figure of the plant file.
    pub fn plant(&mut self, symbol: &str, meaning: &str, unit: Unit, value: f64, place: &str) -> Expr {
        self.given(symbol, meaning, unit, value, Origin::Plant { place: place.into() })
    }

    /// A constant.
    pub fn constant(&mut self, symbol: &str, meaning: &str, unit: Unit, value: f64, source: Source) -> Expr {
        self.given(symbol, meaning, unit, value, Origin::Constant { source })
    }

    /// The length of a step [s].
    pub fn step(&mut self) -> Expr {
        self.constant("Δτ", "step", of(Quantity::Duration), self.sim.params().dt, DEFINITION)
    }

    /// A flow of a balance, the `n`th: its mass or its energy.
    pub fn flow(&mut self, f: &Flow, n: usize, of_mass: bool, value: f64) -> Expr {
        let (base, unit) =
            if of_mass { ("ṁ", of(Quantity::MassFlow)) } else { ("E", of(Quantity::HeatFlow)) };
        let origin = if of_mass {
            Origin::Working { id: shown::true_id(self.sim, &f.working), before: false }
        } else {
            Origin::Flow { id: shown::true_id(self.sim, &f.working) }
        };
        let symbol = Symbol { base: base.into(), sub: n.to_string() };
        let device = (!f.device.is_empty()).then(|| f.device.clone());
        self.put(Term { symbol, meaning: format!("flow_{}", f.name), device, unit, value, origin })
    }

    /// Names the case that holds.
    pub fn case(&mut self, case: &'static str) {
        self.case = case;
    }

    /// Points to another way to the same number, of the same device.
    pub fn see(&mut self, name: &str) {
        let name = self.named(&self.device, name);
        self.see.push(format!("{}.{name}", self.device));
    }

    /// Points to another device's working.
    pub fn see_of(&mut self, device: &str, name: &str) {
        let name = self.named(device, name);
        self.see.push(format!("{device}.{name}"));
    }

    /// Finishes it: `value` as the engine has it, the right-hand side, what it rests on.
    pub fn is(self, value: f64, formula: Expr, source: Source) -> Result<Option<Working>, Fault> {
        let p = self.sim.params();
        let (symbol, unit) = names::of(&self.name);
        let values: Vec<f64> = self.terms.iter().map(|t| t.value).collect();
        let e = formula.evaluate(&values, p).at(&self.device)?;
        let plain = [System::Si, System::Us].map(|system| {
            let show =
                |u: Unit, x: f64| if u.fixed.is_some() { x } else { u.quantity.display(system).show(x) };
            let shown: Vec<f64> = self.terms.iter().map(|t| show(t.unit, t.value)).collect();
            let wanted = show(unit, e.value);
            formula.evaluate(&shown, p).is_ok_and(|s| (s.value - wanted).abs() <= 1e-9 * s.scale)
        });
        let equation = Equation {
            formula,
            terms: self.terms,
            evaluated: e.value,
            scale: e.scale,
            plain,
            case: self.case,
            source,
        };
        Ok(Some(Working {
            id: format!("{}.{}", self.device, self.name),
            meaning: names::meaning(&self.name),
            device: self.device,
            symbol: Symbol::new(&symbol),
            unit,
            value,
            equation: Some(equation),
            why: None,
            see: self.see,
            balance: self.balance,
        }))
    }

    /// Finishes what is read or summed up, with the reason.
    pub fn read(self, value: f64, why: Why) -> Result<Option<Working>, Fault> {
        let (symbol, unit) = names::of(&self.name);
        Ok(Some(Working {
            id: format!("{}.{}", self.device, self.name),
            meaning: names::meaning(&self.name),
            device: self.device,
            symbol: Symbol::new(&symbol),
            unit,
            value,
            equation: None,
            why: Some(why),
            see: self.see,
            balance: self.balance,
        }))
    }
}

impl Sim {
    /// How a number came about in the last step: any signal, or any value that another working links to.
    ///
    /// # Errors
    /// When no number is called that, or a property on the way left its range.
    pub fn working(&self, id: &str) -> Result<Working, Fault> {
        let unknown = || {
            Fault::new(
                "no_such_number",
                id,
                "no number of this plant is called that.",
                "Take a signal's id, such as unit.heat_rate, or one that another working links to.",
            )
        };
        let (device, name) = id.split_once('.').ok_or_else(unknown)?;
        // What a transmitter shows is read; under the truth's name the components reckon.
        let name = match shown::beside(self, device, name) {
            Some(base) => base,
            None => match shown::working(self, device, name)? {
                Some(w) => return Ok(w),
                None => name.to_owned(),
            },
        };
        let name = name.as_str();
        let closed = self.params().closed.iter().position(|c| c.heater.id == device);
        let rates = balance::rate(self, device, name)?;
        let pumps = self.state().control.pumps.ids();
        let pump = match pumps.iter().find(|(known, _)| known == device).map(|x| x.1) {
            Some(Device::FeedPump(k)) => feed_pump::of_pump(self, k, name)?,
            Some(Device::CondensatePump(k)) => condensate_pump::of_pump(self, k, name)?,
            _ => None,
        };
        if let Some(w) = pump {
            return Ok(w);
        }
        let found = match (rates, closed, device) {
            (Some(w), ..) => Some(w),
            (_, Some(k), _) => heater::working(self, k, name)?,
            (.., d) if d == self.params().open.id => open_heater::working(self, name)?,
            (.., "turbine") => turbine::working(self, name)?,
            (.., "condenser") => condenser::working(self, name)?,
            (.., "feed_pumps") => feed_pump::working(self, name)?,
            (.., "unit") => unit::working(self, name)?,
            _ => None,
        };
        match found {
            Some(w) => Ok(w),
            None => plain::working(self, device, name)?.ok_or_else(unknown),
        }
    }
}
