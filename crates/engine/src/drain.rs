//! A drain line with its valve: from a heater's drain outlet to the next heater, or to the condenser.
//!
//! Driving force: the difference of pressure plus the static head. What has lost its subcooling boils before or in the
//! valve, which then chokes earlier and passes a lighter mixture: less drain at the same opening.

use crate::feed_pump::GRAVITY;
use crate::plant::file::{Characteristic, DrainPump};
use crate::valve::{self, Upstream};

/// Sized once, never changes.
#[derive(Clone, Copy, Debug)]
pub struct Params {
    /// Kv of the open valve [m³/h at 1 bar].
    pub coefficient: f64,
    /// Liquid pressure recovery factor FL.
    pub recovery: f64,
    /// Stroke time [s].
    pub stroke: f64,
    /// Flow characteristic.
    pub characteristic: Characteristic,
    /// Height of the heater above where the drain arrives [m]; the valve stands at the lower pressure end.
    pub head: f64,
    /// Pressure that a drain pump adds before the valve [MPa]; 0 without one.
    pub boost: f64,
}

/// Time that a drain takes from its shell to the valves [s] (*common practice, no source*). Without it, more drain, less
/// cooled, would flash and choke its own valve within the step, and less, better cooled, open it again in the next.
pub const PIPE_LAG: f64 = 5.0;

/// Most of what a shell holds that leaves by its drains in one step. The valves see water that left the shell seconds ago
/// ([`PIPE_LAG`]); a shell that has just run dry would otherwise give water that it has no more.
pub const MOST: f64 = 0.5;

/// Pressure that a drain pump leaves for its valve at design [MPa] (*common practice, no source*).
pub const PUMP_MARGIN: f64 = 0.3;

/// Heat that a drain pump gives to the drain [kJ/kg]: from the shell to its own pressure, or to the line's.
pub fn pump_rise(pump: &DrainPump, line: f64, shell: f64, drain: f64) -> steam::Result<f64> {
    let to = pump.pressure.unwrap_or(line);
    Ok((to - shell).max(0.0) * steam::state_ph(shell, drain)?.v * 1e3 / pump.efficiency)
}

/// What stands before the valve of line `p`, from a shell at `shell` [MPa], for a drain of enthalpy `drain` [kJ/kg];
/// `None` where the head leaves no pressure.
pub fn upstream(shell: f64, drain: f64, p: &Params) -> steam::Result<Option<Upstream>> {
    before_valve(&steam::state_ph(shell, drain)?, p)
}

/// The same for a drain as it comes from the shell.
pub fn before_valve(leaving: &steam::State, p: &Params) -> steam::Result<Option<Upstream>> {
    let (shell, drain) = (leaving.p, leaving.h);
    // A pump gives head, not pressure: with steam in its suction the pressure it gives is gone.
    let boost = if p.boost > 0.0 { p.boost * (steam::sat_p(shell)?.vf / leaving.v).min(1.0) } else { 0.0 };
    let pressure = shell + boost + p.head * GRAVITY / leaving.v * 1e-6;
    if pressure <= steam::SAT_P_LOW {
        return Ok(None);
    }
    // Behind a pump the drain is liquid, at pressures where there may be no saturation.
    let boiling = p.boost <= 0.0 && drain >= steam::sat_p(pressure)?.hf;
    let up = if boiling {
        let sat = steam::sat_p(pressure)?;
        let x = (drain - sat.hf) / sat.hfg();
        Upstream { pressure, vapour_pressure: pressure, density: 1.0 / (sat.vf + x * (sat.vg - sat.vf)) }
    } else {
        Upstream {
            pressure,
            vapour_pressure: steam::p_sat(leaving.t)?.min(pressure),
            density: 1.0 / leaving.v,
        }
    };
    Ok(Some(up))
}

/// Flow [kg/s] through the valve at an opening 0..=1 to a place at `down` [MPa].
pub fn flow(p: &Params, opening: f64, up: &Option<Upstream>, down: f64) -> f64 {
    match up {
        Some(up) if opening > 0.0 => valve::liquid_flow(
            p.coefficient * valve::opening_share(p.characteristic, opening),
            p.recovery,
            up,
            down,
        ),
        _ => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drain_that_has_to_climb_needs_pressure() {
        let sat = steam::sat_p(0.3).unwrap();
        let p = Params {
            coefficient: 100.0,
            recovery: 0.9,
            stroke: 10.0,
            characteristic: Characteristic::Linear,
            head: -20.0,
            boost: 0.0,
        };
        let cool = steam::liquid_pt(0.3, sat.t - 30.0).unwrap().h;
        let at = |shell: f64| flow(&p, 1.0, &upstream(shell, cool, &p).unwrap(), 0.28);
        // 20 m of water take away about 0.18 MPa.
        assert_eq!(at(0.3), 0.0);
        assert!(at(0.6) > 0.0);
    }

    #[test]
    fn a_flashing_drain_passes_less() {
        let sat = steam::sat_p(1.5).unwrap();
        let p = Params {
            coefficient: 100.0,
            recovery: 0.85,
            stroke: 10.0,
            characteristic: Characteristic::Linear,
            head: 0.0,
            boost: 0.0,
        };
        let at = |h: f64| flow(&p, 0.6, &upstream(1.5, h, &p).unwrap(), 0.7);
        let cool = at(steam::liquid_pt(1.5, sat.t - 25.0).unwrap().h);
        let boiling = at(sat.hf);
        let mixed = at(sat.hf + 0.05 * sat.hfg());
        assert!(boiling < 0.7 * cool && mixed < 0.6 * boiling, "{cool} {boiling} {mixed}");
    }
}
