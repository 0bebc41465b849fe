//! Protection: evaluated after control, so that it wins.

use super::{Demands, Log, Params, State, trip_group};
use crate::controller::Loop;
use crate::event::Code;
use crate::extraction;
use crate::measurements::Measurements;

/// Protection, after control: high-high level takes a heater off; a heater that is off receives no drain.
pub fn protect(p: &Params, s: &mut State, m: &Measurements, d: &mut Demands, dt: f64, log: &mut Log) {
    for k in 0..p.heaters.len() {
        let (hp, hm) = (&p.heaters[k], &m.heaters[k]);
        let c = &mut s.heaters[k];
        c.high_high_for = if hm.level_protection >= hp.level.high_high { c.high_high_for + dt } else { 0.0 };
        if c.high_high_for > hp.level.high_high_delay && !c.mode.is_off() {
            log.push((Code::LevelHighHigh, Some(k), hm.level_protection));
            trip_group(p, s, k, true, log);
        }
    }
    for k in 0..p.heaters.len() {
        if s.heaters[k].mode.is_off() {
            let dk = &mut d.heaters[k];
            dk.extraction = extraction::Demand { stop: 0.0, shut_non_return: true };
            if let Some(above) = p.heaters[k].drained_into_by {
                // Cascade in shut: the heater above drains to the condenser under its own level controller.
                let da = &mut d.heaters[above];
                let asked = std::mem::replace(&mut da.normal, 0.0);
                if s.controller(Loop::EmergencyDrain(above)).is_auto() {
                    da.emergency = da.emergency.max(asked);
                }
            }
        }
    }
}
