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
    /// The drain pump before the valve, if there is one.
    pub pump: Option<Pump>,
}

/// A drain pump, as its line feels it.
#[derive(Clone, Copy, Debug)]
pub struct Pump {
    /// Pressure that it adds to liquid [MPa].
    pub boost: f64,
    /// Height of the shell above its suction [m].
    pub suction_head: f64,
}

impl Pump {
    /// One that reaches its line at `line` [MPa] from a shell without pressure: at part load the shell has little to add.
    pub fn for_line(pump: &DrainPump, line: f64) -> Pump {
        Pump { boost: line + PUMP_MARGIN, suction_head: pump.suction_head }
    }

    /// What stands at its suction: the drain of enthalpy `drain` [kJ/kg] from a shell at `shell` [MPa], under the column of
    /// water above the pump, which keeps a drain that is just saturated from boiling there.
    pub fn suction(&self, shell: f64, drain: f64) -> steam::Result<steam::State> {
        let column = self.suction_head * GRAVITY / steam::sat_p(shell)?.vf * 1e-6;
        steam::state_ph(shell + column, drain)
    }

    /// Pressure that it gives [MPa]. A pump gives head, not pressure: with steam in its suction the pressure is gone.
    pub fn gives(&self, suction: &steam::State) -> steam::Result<f64> {
        Ok(self.boost * (steam::sat_p(suction.p)?.vf / suction.v).min(1.0))
    }
}

/// Time that a drain takes from its shell to the valves [s] (*common practice, no source*). Without it, more drain, less
/// cooled, would flash and choke its own valve within the step, and less, better cooled, open it again in the next.
pub const PIPE_LAG: f64 = 5.0;

/// Most of what a shell holds that leaves by its drains in one step. The valves see water that left the shell seconds ago
/// ([`PIPE_LAG`]); a shell that has just run dry would otherwise give water that it has no more.
pub const MOST: f64 = 0.5;

/// Pressure that a drain pump leaves for its valve at design [MPa] (*common practice, no source*).
pub const PUMP_MARGIN: f64 = 0.3;

/// Heat that a drain pump gives to the drain [kJ/kg]: from the shell to its own pressure, or to the line's. With steam in its
/// suction the pressure it gives falls as the volume rises, so that each kilogram takes the work of liquid.
pub fn pump_rise(pump: &DrainPump, line: f64, shell: f64, drain: f64) -> steam::Result<f64> {
    let to = pump.pressure.unwrap_or(line);
    let volume = steam::state_ph(shell, drain)?.v.min(steam::sat_p(shell)?.vf);
    Ok((to - shell).max(0.0) * volume * 1e3 / pump.efficiency)
}

/// What stands before the valve of line `p`, from a shell at `shell` [MPa], for a drain of enthalpy `drain` [kJ/kg];
/// `None` where the head leaves no pressure.
pub fn upstream(shell: f64, drain: f64, p: &Params) -> steam::Result<Option<Upstream>> {
    before_valve(&steam::state_ph(shell, drain)?, p)
}

/// The same for a drain as it comes from the shell.
pub fn before_valve(leaving: &steam::State, p: &Params) -> steam::Result<Option<Upstream>> {
    let (shell, drain) = (leaving.p, leaving.h);
    let lift = |v: f64| p.head * GRAVITY / v * 1e-6;
    if let Some(pump) = &p.pump {
        // Behind a pump the drain is liquid, at pressures where there may be no saturation.
        let suction = pump.suction(shell, drain)?;
        let pressure = shell + pump.gives(&suction)? + lift(suction.v);
        let vapour_pressure = steam::p_sat(suction.t)?.min(pressure);
        return Ok((pressure > steam::SAT_P_LOW).then_some(Upstream {
            pressure,
            vapour_pressure,
            density: 1.0 / suction.v,
        }));
    }
    let pressure = shell + lift(leaving.v);
    if pressure <= steam::SAT_P_LOW {
        return Ok(None);
    }
    let boiling = drain >= steam::sat_p(pressure)?.hf;
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
            pump: None,
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
            pump: None,
        };
        let at = |h: f64| flow(&p, 0.6, &upstream(1.5, h, &p).unwrap(), 0.7);
        let cool = at(steam::liquid_pt(1.5, sat.t - 25.0).unwrap().h);
        let boiling = at(sat.hf);
        let mixed = at(sat.hf + 0.05 * sat.hfg());
        assert!(boiling < 0.7 * cool && mixed < 0.6 * boiling, "{cool} {boiling} {mixed}");
    }

    /// The column above a pump keeps a drain that is just saturated from boiling; more steam than that takes the pressure,
    /// and never more work than liquid takes.
    #[test]
    fn a_drain_pump_draws_what_boils_only_without_its_column() {
        let sat = steam::sat_p(0.2).unwrap();
        let pump = |suction_head: f64| {
            let pump = DrainPump { efficiency: 0.7, pressure: None, suction_head };
            (pump, Pump { boost: 2.0, suction_head })
        };
        let gives = |head: f64, h: f64| {
            let (_, p) = pump(head);
            p.gives(&p.suction(0.2, h).unwrap()).unwrap() / p.boost
        };
        let flashing = sat.hf + 0.002 * sat.hfg();
        assert!(gives(0.0, flashing) < 0.5);
        // 3 m of water at 120 °C are 0.0277 MPa, which lift saturation by 4 K, 18 kJ/kg: more than 0.2 % of steam holds.
        assert_eq!(gives(3.0, flashing), 1.0);
        assert!(gives(3.0, sat.hf + 0.05 * sat.hfg()) < 0.1);
        let liquid = pump_rise(&pump(3.0).0, 2.0, 0.2, sat.hf).unwrap();
        // v·Δp/η
        assert!((liquid - 1.8 * sat.vf * 1e3 / 0.7).abs() < 1e-9 * liquid);
        assert_eq!(pump_rise(&pump(3.0).0, 2.0, 0.2, sat.hf + 0.3 * sat.hfg()).unwrap(), liquid);
    }
}
