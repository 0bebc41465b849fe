//! What an operator asks: carried out, or refused with the reason.

use super::{Log, Mode, Params, State, trip_group};
use crate::command::{Command, LOAD_RANGE, WhichDrain};
use crate::event::Code;
use crate::fault::Fault;
use crate::measurements::Measurements;

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
                Mode::InService | Mode::Returning => {
                    s.heaters[k].mode = Mode::Isolated;
                    log.push((Code::ExtractionIsolated, Some(k), 0.0));
                }
                _ => return Err(refuse(heater, "its steam is already shut off.", "Put it back first.")),
            }
        }
        Command::PutBack { heater } => {
            let k = find(heater)?;
            match s.heaters[k].mode {
                Mode::InService => {
                    return Err(refuse(heater, "the heater is in service.", "There is nothing to put back."));
                }
                Mode::Returning => {
                    return Err(refuse(
                        heater,
                        "the heater is being put back.",
                        "Wait until its steam is on.",
                    ));
                }
                Mode::Tripping => {
                    return Err(refuse(
                        heater,
                        "the heater is still being taken off.",
                        "Wait until its steam is shut and its water goes round it.",
                    ));
                }
                Mode::Isolated | Mode::Out => {}
            }
            let marks = &p.heaters[k].level;
            if m.heaters[k].level >= marks.emergency + marks.emergency_band {
                return Err(refuse(
                    heater,
                    "its level is above what the emergency drain holds: steam must not be opened on a flooded shell.",
                    "Drain the shell first.",
                ));
            }
            // A group shares its water: its members come back together.
            for &j in &p.groups[p.heaters[k].group] {
                let c = &mut s.heaters[j];
                if j == k || c.mode == Mode::Out {
                    c.mode = Mode::Returning;
                    c.opening_speed = 0.0;
                    log.push((Code::PutBack, Some(j), 0.0));
                }
            }
        }
        Command::MoveDrain { heater, valve, position } => {
            let k = find(heater)?;
            share(*position, (0.0, 1.0), heater, "valve position")?;
            match valve {
                WhichDrain::Normal => s.heaters[k].normal_hand = Some(*position),
                WhichDrain::Emergency => s.heaters[k].emergency_hand = Some(*position),
            }
            log.push((Code::DrainMoved, Some(k), *position));
        }
        Command::ReleaseDrain { heater, valve } => {
            let k = find(heater)?;
            let c = &mut s.heaters[k];
            match valve {
                WhichDrain::Normal => {
                    if c.normal_hand.take().is_some() && c.mode == Mode::InService {
                        c.level.track(&p.heaters[k].level_control, m.heaters[k].level, m.heaters[k].normal);
                    }
                }
                WhichDrain::Emergency => c.emergency_hand = None,
            }
            log.push((Code::DrainReleased, Some(k), 0.0));
        }
        Command::SetLoad { fraction } => {
            share(*fraction, LOAD_RANGE, "unit", "load")?;
            s.load = *fraction;
            log.push((Code::LoadSet, None, *fraction));
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
