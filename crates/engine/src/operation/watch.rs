//! What is worth an event: levels that leave their marks, valves that leave their seats.

use super::{LEVEL_DEADBAND, Log, Mode, Params, RAMP_BACK, SHUT, State};
use crate::event::{Code, Device};
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
        let drain = [Code::EmergencyDrainOpen, Code::EmergencyDrainShut];
        seat(&mut c.emergency_open, hm.emergency, Device::Closed(k), drain, log);
        seat(&mut c.line_drain_open, hm.line_drain, Device::Closed(k), LINE_DRAIN, log);
        if !c.ramp_high && hm.ramp.abs() > hp.ramp_limit {
            c.ramp_high = true;
            log.push((Code::RampExceeded, Some(k), hm.ramp));
        } else if hm.ramp.abs() < RAMP_BACK * hp.ramp_limit {
            c.ramp_high = false;
        }
    }
    seat(&mut s.open_line_drain, m.open_line_drain, Device::Open, LINE_DRAIN, log);
}

/// What is said of the drain of an extraction line.
const LINE_DRAIN: [Code; 2] = [Code::LineDrainOpen, Code::LineDrainShut];
/// Opening at which a drain valve has left its seat.
const OFF_SEAT: f64 = 0.02;

/// Says when a drain valve leaves its seat, and when it is back on it.
fn seat(off: &mut bool, opening: f64, device: Device, [open, shut]: [Code; 2], log: &mut Log) {
    if !*off && opening > OFF_SEAT {
        *off = true;
        log.put(open, device, 0.0);
    } else if *off && opening <= SHUT {
        *off = false;
        log.put(shut, device, 0.0);
    }
}
