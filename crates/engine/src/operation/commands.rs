//! What an operator asks: carried out, or refused with the reason.

use super::protection::{self, Action};
use super::{Log, Mode as HeaterMode, Params, State, measured, trip_group};
use crate::command::{Command, LOAD_RANGE, WhichDrain};
use crate::controller::{Loop, Mode, Request};
use crate::event::{Code, Device};
use crate::fault::Fault;
use crate::measurements::Measurements;
use crate::pump_logic::{self, Ask};
use crate::unit;

/// Carries out a command, or says why not.
pub fn command(
    p: &Params,
    s: &mut State,
    m: &Measurements,
    command: &Command,
    log: &mut Log,
) -> Result<(), Fault> {
    let find = |id: &str| {
        p.heaters.iter().position(|h| h.id == id).ok_or_else(|| {
            let ids: Vec<&str> = p.heaters.iter().map(|h| h.id.as_str()).collect();
            Fault::new(
                "no_such_heater",
                id,
                "there is no closed heater of this id that can be operated.",
                format!("The closed heaters are {}.", ids.join(", ")),
            )
        })
    };
    let share = |v: f64, (low, high): (f64, f64), place: &str, what: &str| {
        if v >= low && v <= high {
            Ok(())
        } else {
            Err(Fault::new(
                "out_of_range",
                place,
                format!("{v} is not a {what} that can be asked for."),
                format!("Give a value from {low} to {high}."),
            ))
        }
    };
    match command {
        Command::TripHeater { heater } => {
            let k = find(heater)?;
            if s.heaters[k].mode.is_off() {
                return Err(refuse(heater, "the heater is already off.", "Put it back first."));
            }
            log.push((Code::HeaterTripped, Some(k), 0.0));
            trip_group(p, s, k, false, log);
        }
        Command::IsolateExtraction { heater } => {
            let k = find(heater)?;
            match s.heaters[k].mode {
                HeaterMode::InService | HeaterMode::Returning => {
                    s.heaters[k].mode = HeaterMode::Isolated;
                    log.push((Code::ExtractionIsolated, Some(k), 0.0));
                }
                _ => return Err(refuse(heater, "its steam is already shut off.", "Put it back first.")),
            }
        }
        Command::PutBack { heater } => {
            let k = find(heater)?;
            match s.heaters[k].mode {
                HeaterMode::InService => {
                    return Err(refuse(heater, "the heater is in service.", "There is nothing to put back."));
                }
                HeaterMode::Returning => {
                    return Err(refuse(
                        heater,
                        "the heater is being put back.",
                        "Wait until its steam is on.",
                    ));
                }
                HeaterMode::Tripping => {
                    return Err(refuse(
                        heater,
                        "the heater is still being taken off.",
                        "Wait until its steam is shut and its water goes round it.",
                    ));
                }
                HeaterMode::Isolated | HeaterMode::Out => {}
            }
            for &j in &p.groups[p.heaters[k].group] {
                if let Some(row) = s.protection.latched(&p.protection, Action::TakeOff(j)) {
                    return Err(refuse(
                        heater,
                        &format!("protection keeps it off: {} has acted.", row.id),
                        "Reset protection, once the cause is gone.",
                    ));
                }
            }
            let marks = &p.heaters[k].level;
            if m.heaters[k].level.max(m.heaters[k].level_protection) >= marks.emergency + marks.emergency_band
            {
                return Err(refuse(
                    heater,
                    "its level is above what the emergency drain holds: steam must not be opened on a flooded shell.",
                    "Drain the shell first.",
                ));
            }
            // A group shares its water: its members come back together.
            for &j in &p.groups[p.heaters[k].group] {
                let c = &mut s.heaters[j];
                if j == k || c.mode == HeaterMode::Out {
                    c.mode = HeaterMode::Returning;
                    c.opening_speed = 0.0;
                    log.push((Code::PutBack, Some(j), 0.0));
                }
            }
        }
        Command::MoveDrain { heater, valve, position } => {
            let k = find(heater)?;
            share(*position, (0.0, 1.0), heater, "valve position")?;
            let request = Request { mode: Some(Mode::Manual), output: Some(*position), ..Request::default() };
            let (c, settings) = s.loop_of(p, drain(*valve, k));
            c.request(settings, m.heaters[k].level, &request)?;
            log.of(Code::DrainMoved, Device::Closed(k), valve.name(), *position);
        }
        Command::ReleaseDrain { heater, valve } => {
            let k = find(heater)?;
            let in_service = s.heaters[k].mode == HeaterMode::InService;
            let (c, settings) = s.loop_of(p, drain(*valve, k));
            if in_service {
                let request = Request { mode: Some(Mode::Auto), ..Request::default() };
                c.request(settings, m.heaters[k].level, &request)?;
            } else {
                // Meanwhile its controller keeps the level by the other drain, and goes on so.
                c.hand = None;
            }
            log.of(Code::DrainReleased, Device::Closed(k), valve.name(), 0.0);
        }
        Command::SetLoad { fraction } => {
            share(*fraction, LOAD_RANGE, "unit", "load")?;
            unit::may_load(&s.unit)?;
            let carried = pump_logic::carried(p, s);
            if *fraction > carried {
                return Err(refuse(
                    "unit",
                    &format!("the feed pumps that run carry {:.0} % of the load.", carried * 100.0),
                    "Start another feed pump first.",
                ));
            }
            s.load = *fraction;
            log.push((Code::LoadSet, None, *fraction));
        }
        Command::SetController { id, mode, setpoint, output, gain, integral_time, lowest, highest } => {
            let Some(i) = p.controllers.iter().position(|c| c.id == *id) else {
                let ids: Vec<&str> = p.controllers.iter().map(|c| c.id.as_str()).collect();
                return Err(Fault::new(
                    "no_such_controller",
                    id,
                    "there is no controller of this id.",
                    format!("The controllers are {}.", ids.join(", ")),
                ));
            };
            let request = Request {
                mode: *mode,
                setpoint: *setpoint,
                output: *output,
                gain: *gain,
                integral_time: *integral_time,
                lowest: *lowest,
                highest: *highest,
            };
            let settings = &p.controllers[i];
            s.controllers[i].request(settings, measured(settings.acts, m), &request)?;
            let device = match settings.acts {
                Loop::NormalDrain(k) | Loop::EmergencyDrain(k) => Device::Closed(k),
                Loop::OpenLevel | Loop::OpenPressure => Device::Open,
                Loop::Hotwell | Loop::Drum => Device::Unit,
            };
            let part = id.rsplit('.').next().unwrap_or_default();
            log.of(Code::ControllerSet, device, part, 0.0);
        }
        Command::StartPump { pump } => pump_logic::command(p, s, m, (pump, Ask::Start), log)?,
        Command::StopPump { pump } => pump_logic::command(p, s, m, (pump, Ask::Stop), log)?,
        Command::TakePumpOut { pump } => pump_logic::command(p, s, m, (pump, Ask::TakeOut), log)?,
        Command::PutPumpBack { pump } => pump_logic::command(p, s, m, (pump, Ask::PutBack), log)?,
        Command::ResetProtection { row } => {
            protection::reset(p, s, row.as_deref(), m)?;
            log.push((Code::ProtectionReset, None, 0.0));
        }
        Command::AcknowledgeAlarm { .. }
        | Command::ShelveAlarm { .. }
        | Command::UnshelveAlarm { .. }
        | Command::AlarmOutOfService { .. } => {
            return Err(refuse("alarms", "controls keep no alarms.", "Give it to the simulator."));
        }
        Command::SetHold { hold } => unit::set_hold(&p.unit, &mut s.unit, &mut s.load, m, *hold, log)?,
        Command::TripTurbine => unit::trip_by_command(&mut s.unit, &mut s.load, log)?,
        Command::ResetTurbine => {
            unit::may_reset(&s.unit, m)?;
            // What has tripped it is reset with it.
            protection::reset_for(p, s, m, |a| matches!(a, Action::TripTurbine | Action::HouseLoad))?;
            unit::reset(&mut s.unit, &mut s.load, log);
        }
        Command::LocalValve { heater, .. } => {
            return Err(refuse(heater, "controls do not walk.", "Give it to the simulator."));
        }
        Command::InsertMalfunction { .. } | Command::RemoveMalfunction { .. } => {
            return Err(refuse(
                "unit",
                "controls do not make or mend malfunctions.",
                "Give it to the simulator.",
            ));
        }
    }
    Ok(())
}

fn refuse(heater: &str, message: &str, remedy: &str) -> Fault {
    Fault::new("refused", heater, message, remedy)
}

/// The controller of a drain valve.
fn drain(valve: WhichDrain, k: usize) -> Loop {
    match valve {
        WhichDrain::Normal => Loop::NormalDrain(k),
        WhichDrain::Emergency => Loop::EmergencyDrain(k),
    }
}
