//! Liquid water, IF97 region 1: the door to the library's forward equation.
//!
//! The region is named and the property given as a literal, so that the linker keeps only what is used. A call
//! with the region named is not range-checked by the library: callers in this crate check first.

use seuif97::{OCP, ODVDT, OH, OS, OT, OV, ph, ps, pt};

/// Temperatures of the region, °C.
pub(crate) const T_LOW: f64 = 0.0;
/// The region's upper temperature, °C (623.15 K).
pub(crate) const T_HIGH: f64 = 350.0;
/// Highest pressure of the formulation, MPa.
pub(crate) const P_HIGH: f64 = 100.0;

/// Specific enthalpy, kJ/kg.
#[inline]
pub(crate) fn h(p: f64, t: f64) -> f64 {
    pt(p, t, (OH, 1))
}

/// Specific volume, m³/kg.
#[inline]
pub(crate) fn v(p: f64, t: f64) -> f64 {
    pt(p, t, (OV, 1))
}

/// Specific entropy, kJ/(kg K).
#[inline]
pub(crate) fn s(p: f64, t: f64) -> f64 {
    pt(p, t, (OS, 1))
}

/// Specific heat capacity at constant pressure, kJ/(kg K).
#[inline]
pub(crate) fn cp(p: f64, t: f64) -> f64 {
    pt(p, t, (OCP, 1))
}

/// Change of specific volume with temperature at constant pressure, m³/(kg K).
#[inline]
pub(crate) fn dv_dt(p: f64, t: f64) -> f64 {
    pt(p, t, (ODVDT, 1))
}

/// Temperature, °C, by the backward equation of enthalpy: within 25 mK (R7-97 section 5.2.1), a first guess.
#[inline]
pub(crate) fn t_of_h(p: f64, h: f64) -> f64 {
    ph(p, h, (OT, 1))
}

/// Temperature, °C, by the backward equation of entropy: within 25 mK (R7-97 section 5.2.2), a first guess.
#[inline]
pub(crate) fn t_of_s(p: f64, s: f64) -> f64 {
    ps(p, s, (OT, 1))
}
