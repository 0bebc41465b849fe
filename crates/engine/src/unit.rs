//! The unit as a whole: on the grid, carrying its own load, or tripped; and what is held while it is on the grid.
//!
//! * **Held**: the steam flow; the gross output, by a controller that trims the steam flow; or the firing, where the steam
//!   flow is what that heat makes of the feedwater that arrives. What is asked is approached at the unit's load rate.
//! * **Turbine trip**: stop valves shut in about a second, the generator leaves the grid, nothing passes the throttle.
//! * **Load rejection**: the grid is gone, the governing valves close on what the unit needs for itself.
//!
//! From both the unit comes back by a reset, at the steam flow it has; load is asked for then. The rotor's speed is not
//! followed: what the steam gives more than the load takes in the second in which the valves shut goes with the work.

use crate::control::{Pi, PiParams};
use crate::event::Code;
use crate::fault::Fault;
use crate::measurements::Measurements;
use crate::operation::Log;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Trim of the steam flow by the gross output, both as shares of design (*common practice, no source*).
const OUTPUT_CONTROL: PiParams = PiParams { gain: 0.4, integral_time: 60.0 };
/// Most that the trim takes off or adds [share of design steam flow].
const TRIM: (f64, f64) = (-0.3, 0.3);
/// Most steam that a controller asks for [share of design].
const MOST_STEAM: f64 = 1.10;
/// Least steam flow whose heat is measured well enough to hold the firing by [share of design].
const LEAST_STEAM: f64 = 0.02;
/// After a reset the stop valves have this long to open before a shut one counts as a trip [s] (*common practice, no
/// source*).
const TO_OPEN: f64 = 10.0;

/// What is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Hold {
    /// Steam flow to the throttle.
    SteamFlow,
    /// Output at the generator's terminals.
    GrossOutput,
    /// Heat added by boiler and reheater.
    Firing,
}

impl Hold {
    /// All, in the order of their codes.
    pub const ALL: [Hold; 3] = [Hold::SteamFlow, Hold::GrossOutput, Hold::Firing];
    /// Name of each, in the same order.
    pub const NAMES: [&str; 3] = ["steam_flow", "gross_output", "firing"];

    /// Its code, as the signal shows it.
    pub fn code(self) -> f64 {
        Hold::ALL.iter().position(|h| *h == self).unwrap_or(0) as f64
    }
}

/// Where the unit stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// On the grid.
    OnGrid,
    /// Off the grid, running for itself.
    HouseLoad,
    /// Stop valves shut, generator off.
    Tripped,
}

impl Standing {
    /// All, in the order of their codes.
    pub const ALL: [Standing; 3] = [Standing::OnGrid, Standing::HouseLoad, Standing::Tripped];
    /// Name of each, in the same order.
    pub const NAMES: [&str; 3] = ["on_grid", "house_load", "tripped"];

    /// Its code, as the signal shows it.
    pub fn code(self) -> f64 {
        Standing::ALL.iter().position(|h| *h == self).unwrap_or(0) as f64
    }
}

/// Sized once, never changes.
#[derive(Clone, Copy, Debug)]
pub struct Params {
    /// Steam flow at design [kg/s].
    pub steam: f64,
    /// Gross output at design [kW].
    pub gross: f64,
    /// Heat added at design [kW].
    pub heat: f64,
    /// Load rate [share of design per second].
    pub load_rate: f64,
    /// Steam flow that the unit needs for itself [share of design].
    pub house_load: f64,
    /// Stroke of stop and governing valves [s].
    pub stroke: f64,
}

/// Memory.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Where the unit stands.
    pub standing: Standing,
    /// What is held.
    pub hold: Hold,
    /// What is asked, on its way at the load rate [share of design].
    target: f64,
    /// Trim by the gross output.
    trim: Pi,
    /// Since the last reset [s], up to the time the stop valves have.
    since_reset: f64,
    /// A controller would ask for more steam than there is.
    limited: bool,
}

impl State {
    /// On the grid at design, steam flow held.
    pub fn at_design() -> State {
        State {
            standing: Standing::OnGrid,
            hold: Hold::SteamFlow,
            target: 1.0,
            trim: Pi::at(0.0),
            since_reset: TO_OPEN,
            limited: false,
        }
    }

    /// The stop valves are meant to be open, and have had the time: one that is shut has tripped.
    pub fn expects_open(&self) -> bool {
        self.standing != Standing::Tripped && self.since_reset >= TO_OPEN
    }

    /// A controller would ask for more steam than there is.
    pub fn limited(&self) -> bool {
        self.limited
    }
}

/// Asked of boiler, turbine and generator.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Demand {
    /// Steam flow [kg/s].
    pub steam: f64,
    /// Governing valves close at their own speed, not at the load rate.
    pub at_once: bool,
    /// Stop valves, 0..=1.
    pub stop: f64,
    /// The generator is excited and gives what the shaft gives.
    pub generating: bool,
}

/// What is asked of a tripped unit.
pub const TRIPPED: Demand = Demand { steam: 0.0, at_once: true, stop: 0.0, generating: false };

/// What is asked in this scan; `load` is the share of design that was asked for.
pub fn control(p: &Params, s: &mut State, load: f64, m: &Measurements, dt: f64) -> Demand {
    s.since_reset = (s.since_reset + dt).min(TO_OPEN);
    s.limited = false;
    match s.standing {
        Standing::Tripped => TRIPPED,
        Standing::HouseLoad => {
            Demand { steam: p.house_load * p.steam, at_once: true, stop: 1.0, generating: true }
        }
        Standing::OnGrid => {
            let way = p.load_rate * dt;
            s.target += (load - s.target).clamp(-way, way);
            let share = match s.hold {
                // The boiler moves to it at the same rate.
                Hold::SteamFlow => load,
                Hold::GrossOutput => trimmed(p, s, m, dt),
                Hold::Firing => {
                    let has = m.steam_flow / p.steam;
                    let heat = m.heat_added / p.heat;
                    // Heat per kilogram, over that at design.
                    let each = if has > LEAST_STEAM && heat > 0.0 { heat / has } else { 1.0 };
                    s.target / each
                }
            };
            if s.hold != Hold::SteamFlow {
                s.limited = share > MOST_STEAM;
            }
            let most = if s.limited { MOST_STEAM } else { f64::INFINITY };
            Demand { steam: p.steam * share.min(most).max(0.0), at_once: false, stop: 1.0, generating: true }
        }
    }
}

/// Steam flow that holds the output [share of design].
fn trimmed(p: &Params, s: &mut State, m: &Measurements, dt: f64) -> f64 {
    let error = s.target - m.gross / p.gross;
    // While the steam flow is still on its way at the load rate, there is nothing to learn from the error.
    let wanted = s.target + OUTPUT_CONTROL.gain * error + s.trim.integral;
    let on_its_way = (wanted - m.steam_flow / p.steam).abs() > 4.0 * p.load_rate * dt;
    let learn = if on_its_way { 0.0 } else { dt };
    s.target + s.trim.step(&OUTPUT_CONTROL, error, TRIM, learn)
}

/// Holds the steam flow while the load is run back: a controller of output or firing would work against it.
pub fn fall_back(s: &mut State, log: &mut Log) {
    if s.hold != Hold::SteamFlow {
        s.hold = Hold::SteamFlow;
        log.push((Code::HoldSet, None, Hold::SteamFlow.code()));
    }
}

/// What the loss of the grid does to a unit that is on it.
pub fn lose_grid(p: &Params, s: &mut State, load: &mut f64, m: &Measurements, log: &mut Log) {
    if s.standing == Standing::OnGrid {
        s.standing = Standing::HouseLoad;
        s.hold = Hold::SteamFlow;
        *load = p.house_load;
        s.target = p.house_load;
        log.push((Code::LoadRejected, None, m.gross));
    }
}

/// Trips the turbine.
pub fn trip(s: &mut State, load: &mut f64, log: &mut Log) {
    s.standing = Standing::Tripped;
    s.hold = Hold::SteamFlow;
    *load = 0.0;
    s.target = 0.0;
    log.push((Code::TurbineTripped, None, 0.0));
}

fn refuse(message: &str, remedy: &str) -> Fault {
    Fault::new("refused", "unit", message, remedy)
}

/// Trips by command.
///
/// # Errors
/// When it is tripped already.
pub fn trip_by_command(s: &mut State, load: &mut f64, log: &mut Log) -> Result<(), Fault> {
    if s.standing == Standing::Tripped {
        return Err(refuse("the turbine is tripped already.", "Reset it first."));
    }
    trip(s, load, log);
    Ok(())
}

/// Whether the unit can come back to the grid.
///
/// # Errors
/// When it is on the grid, or there is no grid.
pub fn may_reset(s: &State, m: &Measurements) -> Result<(), Fault> {
    if s.standing == Standing::OnGrid {
        return Err(refuse("the unit is on the grid.", "There is nothing to reset."));
    }
    if !m.grid {
        return Err(refuse("there is no grid to come back to.", "Wait until the grid is there again."));
    }
    Ok(())
}

/// Brings the unit back to the grid at the steam flow it has.
pub fn reset(s: &mut State, load: &mut f64, log: &mut Log) {
    if s.standing == Standing::Tripped {
        s.since_reset = 0.0;
        *load = 0.0;
    }
    s.standing = Standing::OnGrid;
    s.target = *load;
    log.push((Code::TurbineReset, None, *load));
}

/// Whether a load can be asked for.
///
/// # Errors
/// When the unit is off the grid.
pub fn may_load(s: &State) -> Result<(), Fault> {
    if s.standing == Standing::OnGrid {
        Ok(())
    } else {
        Err(refuse("the unit is off the grid.", "Reset the turbine first."))
    }
}

/// Holds something else from now on, without a bump: what is asked for is what is there.
///
/// # Errors
/// When the unit is off the grid.
pub fn set_hold(
    p: &Params,
    s: &mut State,
    load: &mut f64,
    m: &Measurements,
    hold: Hold,
    log: &mut Log,
) -> Result<(), Fault> {
    may_load(s)?;
    let steam = m.steam_flow / p.steam;
    *load = match hold {
        Hold::SteamFlow => steam,
        Hold::GrossOutput => m.gross / p.gross,
        Hold::Firing => m.heat_added / p.heat,
    };
    s.hold = hold;
    s.target = *load;
    s.trim.track(&OUTPUT_CONTROL, 0.0, steam - *load);
    log.push((Code::HoldSet, None, hold.code()));
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const P: Params = Params {
        steam: 200.0,
        gross: 250e3,
        heat: 600e3,
        load_rate: 0.05 / 60.0,
        house_load: 0.06,
        stroke: 1.0,
    };

    fn measured() -> Measurements {
        Measurements {
            steam_flow: 180.0,
            gross: 230e3,
            heat_added: 545e3,
            main_stop: 1.0,
            grid: true,
            ..Measurements::default()
        }
    }

    #[test]
    fn holding_something_else_does_not_bump_the_steam() {
        let m = measured();
        for hold in Hold::ALL {
            let (mut s, mut load) = (State::at_design(), 0.9);
            set_hold(&P, &mut s, &mut load, &m, hold, &mut Log::new()).unwrap();
            let d = control(&P, &mut s, load, &m, 0.25);
            assert!((d.steam - 180.0).abs() < 1e-9, "{hold:?}: {}", d.steam);
        }
    }

    #[test]
    fn a_trip_keeps_the_steam_off_until_it_is_reset() {
        let (mut s, mut load) = (State::at_design(), 1.0);
        let shut = Measurements { main_stop: 0.5, ..measured() };
        assert!(s.expects_open());
        trip(&mut s, &mut load, &mut Log::new());
        assert_eq!((s.standing, load, s.expects_open()), (Standing::Tripped, 0.0, false));
        assert_eq!(control(&P, &mut s, load, &shut, 0.25).stop, 0.0);
        assert!(may_load(&s).is_err());
        may_reset(&s, &shut).unwrap();
        reset(&mut s, &mut load, &mut Log::new());
        // The valves have some seconds to open; one that stays shut is a trip again.
        assert!(s.standing == Standing::OnGrid && !s.expects_open());
        for _ in 0..41 {
            control(&P, &mut s, load, &shut, 0.25);
        }
        assert!(s.expects_open());
    }
}
