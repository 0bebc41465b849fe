//! The state from pressure and enthalpy, or pressure and entropy.
//!
//! The phase is decided by the saturation table; in the wet region everything is linear in the steam fraction; in
//! one phase the temperature is found by Newton on the forward equation and never passes saturation. Table and
//! forward equations differ by about 1e-7 K at saturation, so temperature is continuous across it to that order.
//! The library's own backward equations are 25 mK off and jump across saturation: they serve only as a first guess,
//! and only where they are the same bits on every target (liquid; not entropy of steam, which takes `powf`).

use crate::error::{Result, SteamError};
use crate::point::Point;
use crate::region4::KELVIN;
use crate::saturation::{SAT_P_HIGH, Saturation};
use crate::solve::{self, Found};
use crate::state::{Phase, State, of_point, pressure, sound, wet};
use crate::table::table;
use crate::{region1, region2};

/// The property that goes with the pressure.
#[derive(Clone, Copy)]
enum By {
    Enthalpy,
    Entropy,
}

/// A value this near beyond the end of the range is taken as the end: rounding of the caller's arithmetic.
const END_SLACK: f64 = 1e-9;

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

    /// Of the saturated liquid and the saturated steam.
    fn ends(self, sat: &Saturation) -> (f64, f64) {
        match self {
            By::Enthalpy => (sat.hf, sat.hg),
            By::Entropy => (sat.sf, sat.sg),
        }
    }

    /// Value, liquid.
    fn liquid(self, at: &Point) -> f64 {
        match self {
            By::Enthalpy => at.h,
            By::Entropy => at.s,
        }
    }

    /// Value, steam.
    fn steam(self, at: &Point) -> f64 {
        match self {
            By::Enthalpy => at.h,
            By::Entropy => at.s,
        }
    }

    /// Slope of the value in temperature, where the heat capacity is `cp`.
    fn slope(self, cp: f64, t: f64) -> f64 {
        match self {
            By::Enthalpy => cp,
            By::Entropy => cp / (t + KELVIN),
        }
    }

    /// The state with the value asked for in place of the search's last bits.
    fn exactly(self, mut state: State, value: f64) -> State {
        match self {
            By::Enthalpy => state.h = value,
            By::Entropy => state.s = value,
        }
        state
    }

    /// First guess for liquid: the backward equation of region 1.
    fn liquid_guess(self, p: f64, value: f64) -> f64 {
        match self {
            By::Enthalpy => region1::t_of_h(p, value),
            By::Entropy => region1::t_of_s(p, value),
        }
    }

    /// First guess for steam that stands `rise` kJ/kg, or kJ/(kg K), above its value at `t` °C, where its heat
    /// capacity is `cp`. Away from there the capacity is taken to fall to [`CP_FAR`] as 1 / (1 + distance / [`REACH`])²,
    /// whose integral is a quadratic in the distance.
    fn steam_guess(self, rise: f64, t: f64, cp: f64) -> f64 {
        let distance = |heat: f64| {
            let (a, b) = (CP_FAR / REACH, cp - heat / REACH);
            (-b + (b * b + 4.0 * a * heat).sqrt()) / (2.0 * a)
        };
        match self {
            By::Enthalpy => t + distance(rise),
            By::Entropy => {
                // Heat is the entropy times the mean temperature on the way.
                let first = distance(rise * (t + KELVIN));
                let second = distance(rise * (t + KELVIN + 0.5 * first));
                t + distance(rise * (t + KELVIN + 0.5 * second))
            }
        }
    }
}

/// Heat capacity, kJ/(kg K), of steam far from saturation, and the distance, K, over which it falls to that: fitted by
/// eye, since they only set where Newton starts.
const CP_FAR: f64 = 2.1;
const REACH: f64 = 60.0;

fn lost(p: f64, t: f64) -> SteamError {
    SteamError::Property { what: "temperature", p, t }
}

/// Liquid between 0 °C and `end`; `value` is at most that at `end`, or past it by the table's error.
fn liquid_by(by: By, p: f64, value: f64, end: f64, guess: Option<f64>) -> Result<State> {
    let guess = guess.unwrap_or_else(|| by.liquid_guess(p, value));
    let range = (region1::T_LOW, end.max(region1::T_LOW));
    let evaluate = |t| region1::point(p, t);
    let found =
        solve::temperature(range, guess, value, evaluate, |at, t| (by.liquid(at), by.slope(at.cp, t)));
    let Found { t, point, step } = found.ok_or_else(|| lost(p, guess))?;
    let (t, point) = (t + step, point.moved(t, step));
    if t <= region1::T_LOW && value < by.liquid(&point) - END_SLACK {
        let (low, high) = (by.liquid(&point), by.liquid(&region1::point(p, end)));
        return Err(SteamError::OutOfRange { what: by.name(), value, low, high });
    }
    Ok(by.exactly(sound(of_point(p, t, point, Phase::Liquid))?, value))
}

/// Steam between `end` and 800 °C.
fn steam_by(by: By, p: f64, value: f64, end: f64, guess: f64) -> Result<State> {
    let evaluate = |t| region2::point(p, t);
    let found = solve::temperature((end, region2::T_HIGH), guess, value, evaluate, |at, t| {
        (by.steam(at), by.slope(at.cp, t))
    });
    let Found { t, point, step } = found.ok_or_else(|| lost(p, guess))?;
    // The last step is so small that its square vanishes: no need to evaluate once more.
    let (t, point) = (t + step, point.moved(t, step));
    let state = sound(of_point(p, t, point, Phase::Steam))?;
    let at_end = by.of(&state);
    if t >= region2::T_HIGH && value > at_end + END_SLACK {
        let low = by.steam(&region2::point(p, end));
        return Err(SteamError::OutOfRange { what: by.name(), value, low, high: at_end });
    }
    if p > SAT_P_HIGH && t <= end && value < at_end - END_SLACK {
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
        return if value <= by.liquid(&region1::point(p, region1::T_HIGH)) {
            liquid_by(by, p, value, region1::T_HIGH, t_guess)
        } else {
            let end = region2::t_boundary(p);
            steam_by(by, p, value, end, t_guess.unwrap_or(end + 100.0))
        };
    }
    let sat = table().saturation(p);
    let (liquid, steam) = by.ends(&sat);
    if value <= liquid {
        liquid_by(by, p, value, sat.t, t_guess)
    } else if value < steam {
        Ok(by.exactly(wet(&sat, (value - liquid) / (steam - liquid)), value))
    } else {
        let guess = t_guess.unwrap_or_else(|| by.steam_guess(value - steam, sat.t, table().cp(p)[1]));
        steam_by(by, p, value, sat.t, guess)
    }
}

/// The state, in any phase, at `p` MPa (0.000611212677 to 100) and enthalpy `h` kJ/kg.
///
/// From the liquid at 0 °C to the steam at 800 °C; above 16.529 MPa the states of region 3 are refused. `h` comes back
/// unchanged; the temperature agrees with [`crate::liquid_pt`] and [`crate::steam_pt`] to 1e-9 K.
///
/// # Errors
/// When an argument is not finite, outside that range, or near-critical.
pub fn state_ph(p: f64, h: f64) -> Result<State> {
    state_by(By::Enthalpy, p, h, None)
}

/// The state, in any phase, at `p` MPa and entropy `s` kJ/(kg K): range and precision as [`state_ph`].
///
/// # Errors
/// As [`state_ph`].
pub fn state_ps(p: f64, s: f64) -> Result<State> {
    state_by(By::Entropy, p, s, None)
}

/// As [`state_ph`], with a temperature near the answer (°C; last step's, say) to start from where there is one phase; 0 or
/// less is none. It saves time only: the answer is the same to 1e-9 K, not to the last bit, so the guess must itself be
/// reproducible.
///
/// # Errors
/// As [`state_ph`].
pub fn state_ph_near(p: f64, h: f64, t_guess: f64) -> Result<State> {
    state_by(By::Enthalpy, p, h, given(t_guess))
}

/// As [`state_ps`], with a temperature near the answer (°C), as [`state_ph_near`].
///
/// # Errors
/// As [`state_ph`].
pub fn state_ps_near(p: f64, s: f64, t_guess: f64) -> Result<State> {
    state_by(By::Entropy, p, s, given(t_guess))
}

/// A temperature to start from, or none.
fn given(t_guess: f64) -> Option<f64> {
    (t_guess > 0.0).then_some(t_guess)
}
