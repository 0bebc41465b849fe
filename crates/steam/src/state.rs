//! All properties of water or steam at one state, and the state from pressure and temperature.

use crate::error::{Result, SteamError, in_range};
use crate::point::Point;
use crate::saturation::{SAT_P_HIGH, SAT_P_LOW, Saturation};
use crate::table::table;
use crate::{region1, region2};

/// What the water is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// Liquid, at or below saturation temperature.
    Liquid,
    /// Liquid and steam together at saturation.
    Wet,
    /// Steam, at or above saturation temperature.
    Steam,
}

/// All properties at one state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// Pressure, MPa.
    pub p: f64,
    /// Temperature, °C.
    pub t: f64,
    /// Specific enthalpy, kJ/kg.
    pub h: f64,
    /// Specific volume, m³/kg.
    pub v: f64,
    /// Specific entropy, kJ/(kg K).
    pub s: f64,
    /// Specific heat capacity at constant pressure, kJ/(kg K). A wet mixture has none (it boils at one
    /// temperature): there this is the mass-weighted mean of both phases' own, finite and continuous, good for a
    /// stream's thermal inertia and for nothing that divides heat by it.
    pub cp: f64,
    /// Which phase.
    pub phase: Phase,
    /// Mass fraction of steam: 0 liquid, 1 steam.
    pub x: f64,
}

/// Temperatures may pass saturation by this much, K, and still count as that phase: the table's own error,
/// with room for the rounding of a caller that computed the temperature.
const AT_SATURATION: f64 = 1e-6;

pub(crate) fn pressure(p: f64) -> Result<f64> {
    in_range("pressure (MPa)", p, SAT_P_LOW, region1::P_HIGH)
}

/// Highest temperature of liquid at `p`, °C: saturation, or the end of region 1.
pub(crate) fn liquid_end(p: f64) -> f64 {
    if p <= SAT_P_HIGH { table().t(p).clamp(region1::T_LOW, region1::T_HIGH) } else { region1::T_HIGH }
}

/// Lowest temperature of steam at `p`, °C: saturation, or the boundary to region 3.
fn steam_end(p: f64) -> f64 {
    if p <= SAT_P_HIGH { table().t(p) } else { region2::t_boundary(p) }
}

/// The library reports failure as a finite negative number, -1000 and below.
pub(crate) fn sound(state: State) -> Result<State> {
    let failed = |value: f64| !(value.is_finite() && value > -999.0);
    let what = if failed(state.h) {
        "enthalpy"
    } else if failed(state.v) {
        "specific volume"
    } else if failed(state.s) {
        "entropy"
    } else if failed(state.cp) {
        "heat capacity"
    } else {
        return Ok(state);
    };
    Err(SteamError::Property { what, p: state.p, t: state.t })
}

pub(crate) fn liquid_at(p: f64, t: f64) -> State {
    of_point(p, t, region1::point(p, t), Phase::Liquid)
}

pub(crate) fn steam_at(p: f64, t: f64) -> State {
    of_point(p, t, region2::point(p, t), Phase::Steam)
}

/// The state of liquid or of steam.
pub(crate) fn of_point(p: f64, t: f64, at: Point, phase: Phase) -> State {
    let x = if phase == Phase::Steam { 1.0 } else { 0.0 };
    State { p, t, h: at.h, v: at.v, s: at.s, cp: at.cp, phase, x }
}

pub(crate) fn wet(sat: &Saturation, x: f64) -> State {
    let [cpf, cpg] = table().cp(sat.p);
    let mean = |liquid: f64, steam: f64| liquid + x * (steam - liquid);
    State {
        p: sat.p,
        t: sat.t,
        h: mean(sat.hf, sat.hg),
        v: mean(sat.vf, sat.vg),
        s: mean(sat.sf, sat.sg),
        cp: mean(cpf, cpg),
        phase: Phase::Wet,
        x,
    }
}

/// Liquid water at `p` MPa (0.000611212677 to 100) and `t` °C (0 to saturation or 350, the lower).
///
/// # Errors
/// When an argument is not finite or outside that range (1e-6 K past saturation is accepted).
pub fn liquid_pt(p: f64, t: f64) -> Result<State> {
    let p = pressure(p)?;
    let end = liquid_end(p);
    if t > end && t <= end + AT_SATURATION {
        return sound(liquid_at(p, t));
    }
    let t = in_range("liquid temperature (°C)", t, region1::T_LOW, end)?;
    sound(liquid_at(p, t))
}

/// Steam at `p` MPa (0.000611212677 to 100) and `t` °C (saturation, or above 16.529 MPa the boundary of region 3, to 800).
///
/// # Errors
/// When an argument is not finite or outside that range (1e-6 K below saturation is accepted).
pub fn steam_pt(p: f64, t: f64) -> Result<State> {
    let p = pressure(p)?;
    let end = steam_end(p);
    if t < end && t >= end - AT_SATURATION {
        return sound(steam_at(p, t));
    }
    if p > SAT_P_HIGH && t < end && t > region1::T_HIGH {
        return Err(SteamError::NearCritical { what: "temperature (°C)", value: t, p });
    }
    let t = in_range("steam temperature (°C)", t, end, region2::T_HIGH)?;
    sound(steam_at(p, t))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_phase_reaches_to_saturation_and_not_beyond() {
        let t = crate::t_sat(1.0).unwrap();
        assert_eq!(liquid_pt(1.0, t).unwrap().phase, Phase::Liquid);
        assert_eq!(steam_pt(1.0, t).unwrap().phase, Phase::Steam);
        assert!(liquid_pt(1.0, t + 0.9e-6).is_ok() && steam_pt(1.0, t - 0.9e-6).is_ok());
        let error = liquid_pt(1.0, t + 0.01).unwrap_err();
        assert_eq!(
            error,
            SteamError::OutOfRange { what: "liquid temperature (°C)", value: t + 0.01, low: 0.0, high: t }
        );
        assert_eq!(
            steam_pt(1.0, t - 0.01),
            Err(SteamError::OutOfRange {
                what: "steam temperature (°C)",
                value: t - 0.01,
                low: t,
                high: 800.0
            })
        );
    }

    #[test]
    fn high_pressure_is_served_on_both_sides_of_the_near_critical_region() {
        assert!(liquid_pt(100.0, 350.0).is_ok() && liquid_pt(25.0, 0.0).is_ok());
        assert!(liquid_pt(25.0, 350.1).is_err());
        let boundary = region2::t_boundary(25.0);
        assert!(steam_pt(25.0, boundary + 0.01).is_ok());
        assert_eq!(
            steam_pt(25.0, boundary - 0.01),
            Err(SteamError::NearCritical { what: "temperature (°C)", value: boundary - 0.01, p: 25.0 })
        );
        assert!(matches!(steam_pt(25.0, 300.0), Err(SteamError::OutOfRange { .. })));
    }

    #[test]
    fn what_is_no_number_is_named() {
        assert_eq!(liquid_pt(f64::NAN, 20.0), Err(SteamError::NotFinite { what: "pressure (MPa)" }));
        assert_eq!(liquid_pt(1.0, f64::NAN), Err(SteamError::NotFinite { what: "liquid temperature (°C)" }));
        assert_eq!(
            steam_pt(1.0, f64::INFINITY),
            Err(SteamError::NotFinite { what: "steam temperature (°C)" })
        );
        assert!(matches!(steam_pt(101.0, 500.0), Err(SteamError::OutOfRange { what: "pressure (MPa)", .. })));
        assert!(matches!(steam_pt(-1.0, 500.0), Err(SteamError::OutOfRange { what: "pressure (MPa)", .. })));
    }

    #[test]
    fn an_error_code_of_the_library_does_not_pass_as_a_property() {
        let mut state = liquid_at(1.0, 20.0);
        assert!(sound(state).is_ok());
        state.h = seuif97::pt(f64::NAN, 20.0, seuif97::OH);
        assert_eq!(sound(state), Err(SteamError::Property { what: "enthalpy", p: 1.0, t: 20.0 }));
        let mut state = liquid_at(1.0, 20.0);
        state.cp = f64::NAN;
        assert_eq!(sound(state), Err(SteamError::Property { what: "heat capacity", p: 1.0, t: 20.0 }));
    }
}
