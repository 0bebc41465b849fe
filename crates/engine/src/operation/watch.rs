//! What is worth an event: levels that leave their marks, valves that leave their seats.

use super::{LEVEL_DEADBAND, Log, Mode, Params, RAMP_BACK, SHUT, State};
use crate::event::Code;
use crate::measurements::Measurements;

/// Watches levels and valves for what is worth an event.
pub fn watch(p: &Params, s: &mut State, m: &Measurements, log: &mut Log) {
    for (k, (hp, c)) in p.heaters.iter().zip(&mut s.heaters).enumerate() {
        let hm = &m.heaters[k];
        let was = c.level_high || c.level_low;
        if !c.level_high && hm.level > hp.level.high {
            c.level_high = true;
            log.push((Code::LevelHigh, Some(k), hm.level));
        } else if c.level_high && hm.level < hp.level.high - LEVEL_DEADBAND {
            c.level_high = false;
        }
        // A heater that is off, or fills again on its way back, is meant to be low.
        let filled = matches!(c.mode, Mode::InService | Mode::Isolated);
        if !c.level_low && hm.level < hp.level.low && filled {
            c.level_low = true;
            log.push((Code::LevelLow, Some(k), hm.level));
        } else if c.level_low && (hm.level > hp.level.low + LEVEL_DEADBAND || !filled) {
            c.level_low = false;
        }
        if was && !c.level_high && !c.level_low {
            log.push((Code::LevelNormal, Some(k), hm.level));
        }
        if !c.emergency_open && hm.emergency > 0.02 {
            c.emergency_open = true;
            log.push((Code::EmergencyDrainOpen, Some(k), 0.0));
        } else if c.emergency_open && hm.emergency <= SHUT {
            c.emergency_open = false;
            log.push((Code::EmergencyDrainShut, Some(k), 0.0));
        }
        if !c.ramp_high && hm.ramp.abs() > hp.ramp_limit {
            c.ramp_high = true;
            log.push((Code::RampExceeded, Some(k), hm.ramp));
        } else if hm.ramp.abs() < RAMP_BACK * hp.ramp_limit {
            c.ramp_high = false;
        }
    }
}
