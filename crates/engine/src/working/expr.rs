//! Equations as data: a tree that can be shown, filled with numbers and evaluated.
//!
//! Written with the ordinary signs: the four operations on [`Expr`] build the tree. Evaluation goes through
//! `steam::math`, so it gives the same bits everywhere.

use crate::train::Params;
use serde::Serialize;
use steam::{SteamError, math};

/// A symbol with its index, such as t with index s.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Symbol {
    /// Letter.
    pub base: String,
    /// Index; empty without.
    pub sub: String,
}

impl Symbol {
    /// From `t_s`: what follows the first underscore is the index.
    pub fn new(text: &str) -> Symbol {
        let (base, sub) = text.split_once('_').unwrap_or((text, ""));
        Symbol { base: base.into(), sub: sub.into() }
    }
}

/// What joins the parts of an expression.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Op {
    /// a + b + …
    Sum,
    /// a - b
    Difference,
    /// a b …
    Product,
    /// a / b
    Quotient,
    /// a to the power b.
    Power,
    /// Square root.
    Root,
    /// e to the power a.
    Exp,
    /// Natural logarithm.
    Ln,
    /// Inverse cosine, in radians.
    Arccos,
    /// The least.
    Min,
    /// The largest.
    Max,
}

/// Properties of water and steam by IAPWS R7-97, and the two functions that belong to a plant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Function {
    /// Saturation temperature of a pressure.
    SaturationTemperature,
    /// Saturation pressure of a temperature.
    SaturationPressure,
    /// Enthalpy of saturated liquid at a pressure.
    LiquidEnthalpy,
    /// Enthalpy of saturated steam at a pressure.
    SteamEnthalpy,
    /// Specific volume of saturated liquid at a pressure.
    LiquidVolume,
    /// Specific volume of saturated steam at a pressure.
    SteamVolume,
    /// Enthalpy of saturated liquid at a temperature.
    LiquidEnthalpyAt,
    /// Specific volume of saturated liquid at a temperature.
    LiquidVolumeAt,
    /// Enthalpy of liquid at a pressure and temperature.
    WaterEnthalpy,
    /// Enthalpy of steam at a pressure and temperature.
    SuperheatedEnthalpy,
    /// Temperature at a pressure and enthalpy.
    Temperature,
    /// Specific volume at a pressure and enthalpy.
    Volume,
    /// Entropy at a pressure and enthalpy.
    Entropy,
    /// Steam quality at a pressure and enthalpy.
    Quality,
    /// Enthalpy at a pressure and entropy.
    IsentropicEnthalpy,
    /// Temperature of saturated liquid of an enthalpy.
    SaturatedAt,
    /// Temperature of condensate or low-pressure feedwater of an enthalpy, at that line's pressure.
    LowWaterTemperature,
    /// Temperature of high-pressure feedwater of an enthalpy, at that line's pressure.
    HighWaterTemperature,
    /// Enthalpy of condensate or low-pressure feedwater of a temperature, at that line's pressure.
    LowWaterEnthalpy,
    /// Enthalpy of high-pressure feedwater of a temperature, at that line's pressure.
    HighWaterEnthalpy,
    /// Heat capacity of condensate or low-pressure feedwater at a temperature.
    LowWaterCapacity,
    /// Heat capacity of high-pressure feedwater at a temperature.
    HighWaterCapacity,
    /// Specific volume of condensate or low-pressure feedwater at a temperature.
    LowWaterVolume,
    /// Specific volume of high-pressure feedwater at a temperature.
    HighWaterVolume,
    /// Height of the water in the shell of a closed heater, by index, from the water's volume.
    ShellHeight(usize),
    /// Height of the water in the storage tank from its volume.
    TankHeight,
}

impl Function {
    /// How it is written.
    fn symbol(self) -> Symbol {
        Symbol::new(match self {
            Function::SaturationTemperature => "t_s",
            Function::SaturationPressure => "p_s",
            Function::LiquidEnthalpy | Function::LiquidEnthalpyAt => "h′",
            Function::SteamEnthalpy => "h″",
            Function::LiquidVolume | Function::LiquidVolumeAt => "v′",
            Function::SteamVolume => "v″",
            Function::WaterEnthalpy
            | Function::SuperheatedEnthalpy
            | Function::IsentropicEnthalpy
            | Function::LowWaterEnthalpy
            | Function::HighWaterEnthalpy => "h",
            Function::Temperature => "t",
            Function::Volume | Function::LowWaterVolume | Function::HighWaterVolume => "v",
            Function::Entropy => "s",
            Function::Quality => "x",
            Function::SaturatedAt => "t′",
            Function::LowWaterTemperature | Function::HighWaterTemperature => "t_w",
            Function::LowWaterCapacity | Function::HighWaterCapacity => "c_p",
            Function::ShellHeight(_) | Function::TankHeight => "y",
        })
    }

    /// Its value; arguments in the inside units, and so the result.
    fn value(self, p: &Params, a: &[f64]) -> steam::Result<f64> {
        let (x, y) = (a.first().copied().unwrap_or(f64::NAN), a.get(1).copied().unwrap_or(f64::NAN));
        Ok(match self {
            Function::SaturationTemperature => steam::sat_p(x)?.t,
            Function::SaturationPressure => steam::p_sat(x)?,
            Function::LiquidEnthalpy => steam::sat_p(x)?.hf,
            Function::SteamEnthalpy => steam::sat_p(x)?.hg,
            Function::LiquidVolume => steam::sat_p(x)?.vf,
            Function::SteamVolume => steam::sat_p(x)?.vg,
            Function::LiquidEnthalpyAt => steam::sat_t(x)?.hf,
            Function::LiquidVolumeAt => steam::sat_t(x)?.vf,
            Function::WaterEnthalpy => steam::liquid_pt(x, y)?.h,
            Function::SuperheatedEnthalpy => steam::steam_pt(x, y)?.h,
            Function::Temperature => steam::state_ph(x, y)?.t,
            Function::Volume => steam::state_ph(x, y)?.v,
            Function::Entropy => steam::state_ph(x, y)?.s,
            Function::Quality => steam::state_ph(x, y)?.x,
            Function::IsentropicEnthalpy => steam::state_ps(x, y)?.h,
            Function::SaturatedAt => crate::water::saturated_at(x, x / 4.3)?,
            Function::LowWaterTemperature => p.lines.low.t(x)?,
            Function::HighWaterTemperature => p.lines.high.t(x)?,
            Function::LowWaterEnthalpy => p.lines.low.h(x)?,
            Function::HighWaterEnthalpy => p.lines.high.h(x)?,
            Function::LowWaterCapacity => p.lines.low.cp(x)?,
            Function::HighWaterCapacity => p.lines.high.cp(x)?,
            Function::LowWaterVolume => p.lines.low.v(x)?,
            Function::HighWaterVolume => p.lines.high.v(x)?,
            Function::ShellHeight(k) => p.closed.get(k).map_or(f64::NAN, |c| c.heater.geometry.height_of(x)),
            Function::TankHeight => p.open.geometry.height_of(x),
        })
    }
}

/// An expression.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Expr {
    /// A number.
    Number {
        /// Its value.
        value: f64,
    },
    /// A term of the equation, by its place in the list.
    Term {
        /// Index.
        index: usize,
    },
    /// Parts joined.
    Op {
        /// How.
        op: Op,
        /// The parts.
        of: Vec<Expr>,
    },
    /// A function.
    Call {
        /// Which.
        #[serde(skip)]
        function: Function,
        /// How it is written.
        symbol: Symbol,
        /// Its arguments.
        of: Vec<Expr>,
    },
}

/// A value with the size of what it was made of, which is the measure of its rounding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evaluated {
    /// The value.
    pub value: f64,
    /// What a relative error of one in every part would make of it.
    pub scale: f64,
}

impl Expr {
    /// The value when the terms have these values.
    ///
    /// # Errors
    /// When an argument of a property leaves its range.
    pub fn evaluate(&self, terms: &[f64], p: &Params) -> Result<Evaluated, SteamError> {
        match self {
            Expr::Number { value } => Ok(Evaluated { value: *value, scale: value.abs() }),
            Expr::Term { index } => {
                let value = terms.get(*index).copied().unwrap_or(f64::NAN);
                Ok(Evaluated { value, scale: value.abs() })
            }
            Expr::Op { op, of } => {
                let parts = of.iter().map(|e| e.evaluate(terms, p)).collect::<Result<Vec<_>, _>>()?;
                Ok(op.apply(&parts))
            }
            Expr::Call { function, of, .. } => {
                let parts = of.iter().map(|e| e.evaluate(terms, p)).collect::<Result<Vec<_>, _>>()?;
                let values: Vec<f64> = parts.iter().map(|x| x.value).collect();
                let value = function.value(p, &values)?;
                let worst = parts.iter().map(|x| relative(*x)).fold(1.0, f64::max);
                Ok(Evaluated { value, scale: value.abs() * worst })
            }
        }
    }
}

/// Scale over value; 1 where there is no value.
fn relative(x: Evaluated) -> f64 {
    if x.value == 0.0 { 1.0 } else { x.scale / x.value.abs() }
}

impl Op {
    fn apply(self, parts: &[Evaluated]) -> Evaluated {
        let nothing = Evaluated { value: f64::NAN, scale: f64::NAN };
        let a = parts.first().copied().unwrap_or(nothing);
        let b = parts.get(1).copied().unwrap_or(nothing);
        let scales = |e: &[Evaluated]| e.iter().map(|x| x.scale).fold(0.0, f64::max);
        let values = parts.iter().map(|x| x.value);
        let (value, scale) = match self {
            Op::Sum => (values.sum(), parts.iter().map(|x| x.scale).sum()),
            Op::Difference => (a.value - b.value, a.scale + b.scale),
            Op::Product => (values.product(), parts.iter().map(|x| x.scale).product()),
            Op::Quotient => (a.value / b.value, a.scale / b.value.abs() * relative(b)),
            Op::Power => {
                let v = math::pow(a.value, b.value);
                (v, v.abs() * (1.0 + b.value.abs() * relative(a)))
            }
            Op::Root => {
                let v = a.value.sqrt();
                (v, if v > 0.0 { 0.5 * a.scale / v } else { a.scale.sqrt() })
            }
            Op::Exp => {
                let v = math::exp(a.value);
                (v, v * (1.0 + a.scale))
            }
            Op::Ln => (math::ln(a.value), math::ln(a.value).abs() + relative(a)),
            Op::Arccos => (math::acos(a.value), 1.0 + a.scale),
            Op::Min => (values.fold(f64::INFINITY, f64::min), scales(parts)),
            Op::Max => (values.fold(f64::NEG_INFINITY, f64::max), scales(parts)),
        };
        Evaluated { value, scale }
    }
}

fn op(op: Op, of: Vec<Expr>) -> Expr {
    Expr::Op { op, of }
}

/// Joins two expressions, taking up what is joined in the same way already.
fn join(kind: Op, a: Expr, b: Expr) -> Expr {
    match a {
        Expr::Op { op: k, mut of } if k == kind => {
            of.push(b);
            op(kind, of)
        }
        a => op(kind, vec![a, b]),
    }
}

/// A number.
pub fn number(value: f64) -> Expr {
    Expr::Number { value }
}

/// A sum of any number of parts; 0 without any.
pub fn sum(parts: Vec<Expr>) -> Expr {
    match parts.len() {
        0 => number(0.0),
        1 => parts.into_iter().next().unwrap_or(number(0.0)),
        _ => op(Op::Sum, parts),
    }
}

/// Square root.
pub fn root(a: Expr) -> Expr {
    op(Op::Root, vec![a])
}

/// Square.
pub fn square(a: Expr) -> Expr {
    power(a, 2.0)
}

/// A power.
pub fn power(a: Expr, b: f64) -> Expr {
    op(Op::Power, vec![a, number(b)])
}

/// A power whose exponent is an expression.
pub fn power_of(a: Expr, b: Expr) -> Expr {
    op(Op::Power, vec![a, b])
}

/// e to the power of.
pub fn exp(a: Expr) -> Expr {
    op(Op::Exp, vec![a])
}

/// Natural logarithm.
pub fn ln(a: Expr) -> Expr {
    op(Op::Ln, vec![a])
}

/// Inverse cosine.
pub fn arccos(a: Expr) -> Expr {
    op(Op::Arccos, vec![a])
}

/// The least of two.
pub fn min(a: Expr, b: Expr) -> Expr {
    op(Op::Min, vec![a, b])
}

/// The largest of two.
pub fn max(a: Expr, b: Expr) -> Expr {
    op(Op::Max, vec![a, b])
}

/// Within two limits.
pub fn within(a: Expr, low: f64, high: f64) -> Expr {
    max(number(low), min(a, number(high)))
}

/// A function of one or two arguments.
pub fn call<const N: usize>(function: Function, of: [Expr; N]) -> Expr {
    Expr::Call { function, symbol: function.symbol(), of: of.into() }
}

impl std::ops::Add for Expr {
    type Output = Expr;
    fn add(self, b: Expr) -> Expr {
        join(Op::Sum, self, b)
    }
}

impl std::ops::Sub for Expr {
    type Output = Expr;
    fn sub(self, b: Expr) -> Expr {
        op(Op::Difference, vec![self, b])
    }
}

impl std::ops::Mul for Expr {
    type Output = Expr;
    fn mul(self, b: Expr) -> Expr {
        join(Op::Product, self, b)
    }
}

impl std::ops::Div for Expr {
    type Output = Expr;
    fn div(self, b: Expr) -> Expr {
        op(Op::Quotient, vec![self, b])
    }
}

impl std::ops::Add<Expr> for f64 {
    type Output = Expr;
    fn add(self, b: Expr) -> Expr {
        number(self) + b
    }
}

impl std::ops::Sub<Expr> for f64 {
    type Output = Expr;
    fn sub(self, b: Expr) -> Expr {
        number(self) - b
    }
}

impl std::ops::Sub<f64> for Expr {
    type Output = Expr;
    fn sub(self, b: f64) -> Expr {
        self - number(b)
    }
}

impl std::ops::Mul<Expr> for f64 {
    type Output = Expr;
    fn mul(self, b: Expr) -> Expr {
        number(self) * b
    }
}

impl std::ops::Div<Expr> for f64 {
    type Output = Expr;
    fn div(self, b: Expr) -> Expr {
        number(self) / b
    }
}

impl std::ops::Add<f64> for Expr {
    type Output = Expr;
    fn add(self, b: f64) -> Expr {
        self + number(b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn params() -> Params {
        crate::sizing::size(
            &crate::plant::read(include_str!("../../../catalog/plants/reheat250.json")).unwrap(),
        )
        .unwrap()
        .params
    }

    fn term(index: usize) -> Expr {
        Expr::Term { index }
    }

    /// The tree against the same arithmetic written as code.
    #[test]
    fn an_expression_gives_what_the_code_gives() {
        let p = params();
        let (a, b, c) = (3.7, 0.42, -1.9);
        let tree = root(square(term(0)) + term(1) * term(2) + 2.0) / exp(term(1) - term(2))
            + max(min(term(0), term(1)), term(2)) * power(term(0), 0.8)
            - arccos(term(1));
        let by_hand =
            (a * a + b * c + 2.0f64).sqrt() / math::exp(b - c) + b * math::pow(a, 0.8) - math::acos(b);
        let got = tree.evaluate(&[a, b, c], &p).unwrap();
        assert!((got.value - by_hand).abs() <= 1e-15 * got.scale, "{} {by_hand}", got.value);
        assert!(got.scale > got.value.abs() && got.scale < 100.0);
    }

    #[test]
    fn a_term_that_is_not_there_is_no_number() {
        assert!(term(3).evaluate(&[1.0], &params()).unwrap().value.is_nan());
    }

    /// IAPWS R7-97, Table 36: 1 MPa, 453.035632 K; Table 5: 300 K, 3 MPa, 115.331273 kJ/kg.
    #[test]
    fn properties_are_those_of_the_formulation() {
        let p = params();
        let of = |f, a: &[f64]| {
            let of = (0..a.len()).map(term).collect();
            Expr::Call { function: f, symbol: Symbol::new("x"), of }.evaluate(a, &p).unwrap().value
        };
        assert!((of(Function::SaturationTemperature, &[1.0]) + 273.15 - 453.035_632).abs() < 1e-5);
        assert!((of(Function::WaterEnthalpy, &[3.0, 26.85]) - 115.331_273).abs() < 1e-5);
        let out = call(Function::SaturationTemperature, [number(-1.0)]);
        assert!(out.evaluate(&[], &p).is_err());
    }

    /// What cancels is measured by what it was made of.
    #[test]
    fn the_scale_of_a_difference_is_that_of_its_parts() {
        let e = (term(0) - term(1)).evaluate(&[1000.0, 999.0], &params()).unwrap();
        assert_eq!((e.value, e.scale), (1.0, 1999.0));
    }
}
