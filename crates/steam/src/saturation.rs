//! Both phases at saturation. Everything here reads one table, so that the pressure found for a temperature gives
//! that temperature back, and a phase decided by `hf` is the phase whose `hf` is reported.

use crate::error::{Result, in_range};
use crate::table::table;

/// Lowest saturation pressure served, MPa: IF97 equation 30 at 0 °C (273.15 K).
pub const SAT_P_LOW: f64 = 0.000_611_212_677;
/// Highest saturation pressure served, MPa: equation 30 at 350 °C (623.15 K), where region 3 begins.
pub const SAT_P_HIGH: f64 = 16.529_165;
/// Lowest saturation temperature served, °C: the triple point.
pub const SAT_T_LOW: f64 = 0.01;
/// Highest saturation temperature served, °C (623.15 K), where region 3 begins.
pub const SAT_T_HIGH: f64 = 350.0;

/// Saturated liquid and saturated steam at one pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saturation {
    /// Pressure, MPa.
    pub p: f64,
    /// Saturation temperature, °C.
    pub t: f64,
    /// Enthalpy of the liquid, kJ/kg.
    pub hf: f64,
    /// Enthalpy of the steam, kJ/kg.
    pub hg: f64,
    /// Specific volume of the liquid, m³/kg.
    pub vf: f64,
    /// Specific volume of the steam, m³/kg.
    pub vg: f64,
    /// Entropy of the liquid, kJ/(kg K).
    pub sf: f64,
    /// Entropy of the steam, kJ/(kg K).
    pub sg: f64,
}

impl Saturation {
    /// Enthalpy of evaporation, kJ/kg.
    #[must_use]
    pub fn hfg(&self) -> f64 {
        self.hg - self.hf
    }

    /// Internal energy of the liquid, kJ/kg (1 MPa m³ = 1000 kJ).
    #[must_use]
    pub fn uf(&self) -> f64 {
        self.hf - 1000.0 * self.p * self.vf
    }

    /// Internal energy of the steam, kJ/kg.
    #[must_use]
    pub fn ug(&self) -> f64 {
        self.hg - 1000.0 * self.p * self.vg
    }
}

/// Both phases at `p` MPa, 0.000611212677 to 16.529165 MPa.
///
/// # Errors
/// When `p` is not finite or outside that range.
pub fn sat_p(p: f64) -> Result<Saturation> {
    let p = in_range("saturation pressure (MPa)", p, SAT_P_LOW, SAT_P_HIGH)?;
    Ok(table().saturation(p))
}

/// Both phases at `t` °C, 0.01 to 350 °C: the same as `sat_p(p_sat(t))`, bit for bit.
///
/// # Errors
/// When `t` is not finite or outside that range.
pub fn sat_t(t: f64) -> Result<Saturation> {
    sat_p(p_sat(t)?)
}

/// Saturation temperature, °C, at `p` MPa.
///
/// # Errors
/// As [`sat_p`].
pub fn t_sat(p: f64) -> Result<f64> {
    let p = in_range("saturation pressure (MPa)", p, SAT_P_LOW, SAT_P_HIGH)?;
    Ok(table().t(p))
}

/// Saturation pressure, MPa, at `t` °C: the pressure at which [`t_sat`] gives `t` back, to 1e-9 K.
///
/// # Errors
/// As [`sat_t`].
pub fn p_sat(t: f64) -> Result<f64> {
    let t = in_range("saturation temperature (°C)", t, SAT_T_LOW, SAT_T_HIGH)?;
    // The equation is within 1e-7 K of the table already: one Newton step squares that.
    let p = crate::region4::p_sat(t);
    let (at, slope) = table().t_and_slope(p);
    Ok((p - (at - t) / slope).clamp(SAT_P_LOW, SAT_P_HIGH))
}
