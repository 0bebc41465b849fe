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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::error::SteamError;

    #[test]
    fn temperature_and_pressure_are_each_other_s_inverse() {
        for k in 0..=100_000 {
            let t = SAT_T_LOW + (SAT_T_HIGH - SAT_T_LOW) * f64::from(k) / 100_000.0;
            let p = p_sat(t).unwrap();
            assert!((t_sat(p).unwrap() - t).abs() < 1e-10, "{t} °C");
            assert!((p / crate::region4::p_sat(t) - 1.0).abs() < 1e-8, "{t} °C");
        }
    }

    #[test]
    fn one_truth_by_either_door() {
        for t in [0.01, 1.0, 33.3, 99.61, 212.4, 349.9, 350.0] {
            let by_t = sat_t(t).unwrap();
            let by_p = sat_p(p_sat(t).unwrap()).unwrap();
            assert_eq!(by_t, by_p);
            assert_eq!(by_p.t, t_sat(by_p.p).unwrap());
        }
    }

    /// Clapeyron: dp/dT = hfg / (T (vg - vf)). The slope of equation 30 against values of regions 1 and 2: three
    /// equations fitted apart, which IAPWS reconciled to some 1e-4 of each other.
    #[test]
    fn clapeyron_holds_between_the_three_equations() {
        for k in 1..=34 {
            let t = 10.0 * f64::from(k);
            let slope = (p_sat(t + 0.01).unwrap() - p_sat(t - 0.01).unwrap()) / 0.02;
            let s = sat_t(t).unwrap();
            let clapeyron = s.hfg() / ((t + 273.15) * (s.vg - s.vf)) / 1_000.0;
            assert!((slope / clapeyron - 1.0).abs() < 5e-4, "{t} °C: {slope} {clapeyron}");
        }
    }

    /// Equal Gibbs energy of both phases: h - T s.
    #[test]
    fn both_phases_have_one_gibbs_energy() {
        for k in 1..=35 {
            let s = sat_t(10.0 * f64::from(k)).unwrap();
            let kelvin = s.t + 273.15;
            let (liquid, steam) = (s.hf - kelvin * s.sf, s.hg - kelvin * s.sg);
            assert!((liquid - steam).abs() < 0.1, "{} °C: {liquid} {steam}", s.t);
        }
    }

    #[test]
    fn internal_energy_is_enthalpy_less_flow_work() {
        let s = sat_p(1.0).unwrap();
        // Steam at 1 MPa: u = 2777.1 - 1000 * 0.19435 = 2582.8 kJ/kg, computed from R7-97's h and v.
        assert!(
            (s.ug() - (s.hg - 1_000.0 * s.vg)).abs() < 1e-9 && (s.ug() - 2_582.8).abs() < 0.1,
            "{}",
            s.ug()
        );
        assert!((s.uf() - (s.hf - 1_000.0 * s.vf)).abs() < 1e-9);
    }

    #[test]
    fn outside_the_range_is_refused_by_name() {
        let error = sat_p(17.0).unwrap_err();
        assert_eq!(
            error,
            SteamError::OutOfRange {
                what: "saturation pressure (MPa)",
                value: 17.0,
                low: SAT_P_LOW,
                high: SAT_P_HIGH
            }
        );
        assert!(error.to_string().contains("saturation pressure (MPa) is 17"), "{error}");
        assert!(matches!(sat_t(350.1), Err(SteamError::OutOfRange { .. })));
        assert!(matches!(sat_t(0.0), Err(SteamError::OutOfRange { .. })));
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert_eq!(sat_p(value), Err(SteamError::NotFinite { what: "saturation pressure (MPa)" }));
            assert_eq!(p_sat(value), Err(SteamError::NotFinite { what: "saturation temperature (°C)" }));
        }
        assert!(sat_p(SAT_P_LOW).is_ok() && sat_p(SAT_P_HIGH).is_ok());
        assert!(sat_p(SAT_P_LOW.next_down()).is_err() && sat_p(SAT_P_HIGH.next_up()).is_err());
    }
}
