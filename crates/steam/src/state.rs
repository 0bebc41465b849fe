//! All properties of water or steam at one state, and the state from pressure and temperature.

use crate::error::{Result, SteamError, in_range};
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
    State {
        p,
        t,
        h: region1::h(p, t),
        v: region1::v(p, t),
        s: region1::s(p, t),
        cp: region1::cp(p, t),
        phase: Phase::Liquid,
        x: 0.0,
    }
}

pub(crate) fn steam_at(p: f64, t: f64) -> State {
    of_point(p, t, region2::point(p, t))
}

pub(crate) fn of_point(p: f64, t: f64, at: region2::Point) -> State {
    State { p, t, h: at.h, v: at.v, s: at.s, cp: at.cp, phase: Phase::Steam, x: 1.0 }
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
    use crate::{p_sat, sat_p, sat_t, state_ph, state_ps, t_sat};

    #[test]
    fn quick() {
        for k in 3..=100 {
            let t = 3.5 * f64::from(k);
            let p = p_sat(t).unwrap();
            assert!((t_sat(p).unwrap() - t).abs() < 1e-9);
            let sat = sat_t(t).unwrap();
            for h in [
                17.0,
                0.5 * sat.hf,
                sat.hf - 1e-7,
                sat.hf,
                sat.hf + 1e-7,
                0.5 * (sat.hf + sat.hg),
                sat.hg,
                sat.hg + 1e-7,
                3500.0,
            ] {
                let st = state_ph(p, h).unwrap();
                let back = state_ps(p, st.s).unwrap();
                assert!((back.t - st.t).abs() < 1e-6 && (back.h - h).abs() < 1e-6, "{st:?} {back:?}");
            }
            assert_eq!(sat_p(p).unwrap(), sat);
            let line = crate::LiquidLine::new(p).unwrap();
            for i in 0..=100 {
                let t = (0.01 + (t - 0.01) * f64::from(i) / 100.0).min(line.t_high());
                let h = line.h(t).unwrap();
                assert!((line.t(h).unwrap() - t).abs() < 1e-10);
                let full = liquid_pt(p, t).unwrap();
                assert!((full.h - h).abs() < 2e-5, "{} {h} at {p} {t}", full.h);
                assert!((full.v / line.v(t).unwrap() - 1.0).abs() < 1e-6);
                assert!((full.cp / line.cp(t).unwrap() - 1.0).abs() < 1e-4, "{t}");
            }
        }
    }
}
