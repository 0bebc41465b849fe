//! The state of water or steam from two properties.
//!
//! The phase is decided by the saturation table; in the wet region everything is linear in the steam fraction; in
//! one phase the temperature is found by Newton on the forward equation and never passes saturation. Table and
//! forward equations differ by about 1e-7 K at saturation, so temperature is continuous across it to that order.

use crate::error::{Result, SteamError, in_range};
use crate::saturation::{SAT_P_HIGH, SAT_P_LOW, Saturation};
use crate::table::{self, table};
use crate::{region1, region2, solve};

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

fn pressure(p: f64) -> Result<f64> {
    in_range("pressure (MPa)", p, SAT_P_LOW, region1::P_HIGH)
}

/// Highest temperature of liquid at `p`, °C: saturation, or the end of region 1.
pub(crate) fn liquid_end(p: f64) -> f64 {
    if p <= SAT_P_HIGH { table().column(table::T, p).0.min(region1::T_HIGH) } else { region1::T_HIGH }
}

/// Lowest temperature of steam at `p`, °C: saturation, or the boundary to region 3.
fn steam_end(p: f64) -> f64 {
    if p <= SAT_P_HIGH { table().column(table::T, p).0 } else { region2::t_boundary(p) }
}

/// The library reports failure as a finite negative number, -1000 and below.
fn sound(state: State) -> Result<State> {
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

fn liquid_at(p: f64, t: f64) -> State {
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

fn steam_at(p: f64, t: f64) -> State {
    let at = region2::point(p, t);
    State { p, t, h: at.h, v: at.v, s: at.s, cp: at.cp, phase: Phase::Steam, x: 1.0 }
}

fn wet(sat: &Saturation, x: f64) -> State {
    let (cpf, cpg) = table().cp(sat.p);
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

/// Which second property goes with the pressure.
#[derive(Clone, Copy)]
enum By {
    Enthalpy,
    Entropy,
}

impl By {
    fn name(self) -> &'static str {
        match self {
            By::Enthalpy => "enthalpy (kJ/kg)",
            By::Entropy => "entropy (kJ/(kg K))",
        }
    }

    fn of(self, state: &State) -> f64 {
        match self {
            By::Enthalpy => state.h,
            By::Entropy => state.s,
        }
    }

    fn ends(self, sat: &Saturation) -> (f64, f64) {
        match self {
            By::Enthalpy => (sat.hf, sat.hg),
            By::Entropy => (sat.sf, sat.sg),
        }
    }

    /// Value and slope in temperature, liquid.
    fn liquid(self, p: f64, t: f64) -> (f64, f64) {
        let cp = region1::cp(p, t);
        match self {
            By::Enthalpy => (region1::h(p, t), cp),
            By::Entropy => (region1::s(p, t), cp / (t + crate::region4::KELVIN)),
        }
    }

    /// Value and slope in temperature, steam.
    fn steam(self, p: f64, t: f64) -> (f64, f64) {
        let at = region2::point(p, t);
        match self {
            By::Enthalpy => (at.h, at.cp),
            By::Entropy => (at.s, at.cp / (t + crate::region4::KELVIN)),
        }
    }

    /// The state with the value asked for put back in place of the solver's last bits.
    fn exactly(self, mut state: State, value: f64) -> State {
        match self {
            By::Enthalpy => state.h = value,
            By::Entropy => state.s = value,
        }
        state
    }
}

/// A value this near beyond the end of a range is taken as the end: relative rounding of the caller's arithmetic.
const END_SLACK: f64 = 1e-9;

fn liquid_by(by: By, p: f64, value: f64, end: f64, guess: f64) -> Result<State> {
    let t = solve::temperature((region1::T_LOW, end), guess, value, |t| by.liquid(p, t));
    let state = sound(liquid_at(p, t))?;
    let found = by.of(&state);
    if t <= region1::T_LOW && value < found - END_SLACK {
        let high = by.liquid(p, end).0;
        return Err(SteamError::OutOfRange { what: by.name(), value, low: found, high });
    }
    if p > SAT_P_HIGH && t >= end && value > found + END_SLACK {
        return Err(SteamError::NearCritical { what: by.name(), value, p });
    }
    Ok(by.exactly(state, value))
}

fn steam_by(by: By, p: f64, value: f64, end: f64, guess: f64) -> Result<State> {
    let t = solve::temperature((end, region2::T_HIGH), guess, value, |t| by.steam(p, t));
    let state = sound(steam_at(p, t))?;
    let found = by.of(&state);
    if t >= region2::T_HIGH && value > found + END_SLACK {
        let low = by.steam(p, end).0;
        return Err(SteamError::OutOfRange { what: by.name(), value, low, high: found });
    }
    if p > SAT_P_HIGH && t <= end && value < found - END_SLACK {
        return Err(SteamError::NearCritical { what: by.name(), value, p });
    }
    Ok(by.exactly(state, value))
}

fn state_by(by: By, p: f64, value: f64, t_guess: Option<f64>) -> Result<State> {
    let p = pressure(p)?;
    if !value.is_finite() {
        return Err(SteamError::NotFinite { what: by.name() });
    }
    if p > SAT_P_HIGH {
        let end = region1::T_HIGH;
        return if value <= by.liquid(p, end).0 {
            liquid_by(by, p, value, end, t_guess.unwrap_or(0.5 * end))
        } else {
            let end = region2::t_boundary(p);
            steam_by(by, p, value, end, t_guess.unwrap_or(end + 100.0))
        };
    }
    let sat = table().saturation(p);
    let (liquid, steam) = by.ends(&sat);
    if value <= liquid {
        // Liquid heat capacity is near 4.2 kJ/(kg K) where it matters: a straight line through saturation.
        let guess = match by {
            By::Enthalpy => sat.t - (liquid - value) / 4.5,
            By::Entropy => sat.t - (liquid - value) * (sat.t + 200.0) / 4.5,
        };
        liquid_by(by, p, value, sat.t, t_guess.unwrap_or(guess))
    } else if value >= steam {
        let guess = match by {
            By::Enthalpy => sat.t + (value - steam) / 2.3,
            By::Entropy => sat.t + (value - steam) * (sat.t + 300.0) / 2.3,
        };
        steam_by(by, p, value, sat.t, t_guess.unwrap_or(guess))
    } else {
        Ok(by.exactly(wet(&sat, (value - liquid) / (steam - liquid)), value))
    }
}

/// The state, in any phase, at `p` MPa (0.000611212677 to 100) and enthalpy `h` kJ/kg.
///
/// From the liquid at 0 °C to the steam at 800 °C; above 16.529 MPa the states of region 3 are refused.
///
/// # Errors
/// When an argument is not finite, outside that range, or near-critical.
pub fn state_ph(p: f64, h: f64) -> Result<State> {
    state_by(By::Enthalpy, p, h, None)
}

/// The state, in any phase, at `p` MPa and entropy `s` kJ/(kg K): range and errors as [`state_ph`].
///
/// # Errors
/// As [`state_ph`].
pub fn state_ps(p: f64, s: f64) -> Result<State> {
    state_by(By::Entropy, p, s, None)
}

/// As [`state_ph`], with a temperature near the answer (°C; last step's, say) to start from. It saves time only: the
/// answer is the same to 1e-11 K, not to the last bit.
///
/// # Errors
/// As [`state_ph`].
pub fn state_ph_near(p: f64, h: f64, t_guess: f64) -> Result<State> {
    state_by(By::Enthalpy, p, h, Some(t_guess))
}

/// As [`state_ps`], with a temperature near the answer (°C) to start from.
///
/// # Errors
/// As [`state_ph`].
pub fn state_ps_near(p: f64, s: f64, t_guess: f64) -> Result<State> {
    state_by(By::Entropy, p, s, Some(t_guess))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{p_sat, sat_p, sat_t, t_sat};

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
