//! The command words: what a person types, one for one with [`engine::Command`].

mod controller;

use crate::duration;
use engine::command::{LOAD_RANGE, WhichDrain};
use engine::local::HandValve;
use engine::malfunction::{self, Kind, Malfunction};
use engine::{Command, Fault, unit};

/// A command word: how it is written, what it does, an example.
pub struct Form {
    /// First word.
    pub word: &'static str,
    /// The words that follow it.
    pub follow: &'static str,
    /// What it does.
    pub does: &'static str,
    /// A command of this form.
    pub example: &'static str,
}

/// Every command word.
pub const FORMS: &[Form] = &[
    Form {
        word: "trip",
        follow: "HEATER",
        does: "take a closed heater off: steam shut, drains to the condenser, water round its bypass group",
        example: "trip hp1",
    },
    Form {
        word: "isolate",
        follow: "HEATER",
        does: "shut a closed heater's extraction stop valve; its water stays on",
        example: "isolate hp2",
    },
    Form {
        word: "put-back",
        follow: "HEATER",
        does: "put a heater back: water first, then steam, inside the permitted ramp",
        example: "put-back hp1",
    },
    Form {
        word: "move",
        follow: "HEATER normal|emergency PERCENT",
        does: "take a drain valve by hand to an opening of 0 to 100 %",
        example: "move hp1 emergency 40",
    },
    Form {
        word: "release",
        follow: "HEATER normal|emergency",
        does: "give a drain valve back to its controller",
        example: "release hp1 emergency",
    },
    Form {
        word: "set",
        follow: "CONTROLLER [auto|manual] [setpoint NUMBER] [output SHARE] [gain NUMBER] [integral TIME] [lowest SHARE] [highest SHARE]",
        does: "set a controller: automatic or manual, its setpoint, its output in manual, its tuning",
        example: "set hp1.normal_drain auto setpoint 20",
    },
    Form {
        word: "reset",
        follow: "protection|ROW",
        does: "reset what protection has latched, where the cause is gone: all of it, or one row",
        example: "reset hp1.level_high_high",
    },
    Form {
        word: "acknowledge",
        follow: "all|ALARM",
        does: "say that an alarm was seen, or all that call",
        example: "acknowledge hp1.high_level",
    },
    Form {
        word: "shelve",
        follow: "ALARM TIME",
        does: "put an alarm aside for a time",
        example: "shelve hp1.low_level 30min",
    },
    Form {
        word: "unshelve",
        follow: "ALARM",
        does: "take an alarm from the shelf",
        example: "unshelve hp1.low_level",
    },
    Form {
        word: "alarm",
        follow: "ALARM out|back",
        does: "take an alarm out of service, or back",
        example: "alarm hp1.low_level out",
    },
    Form {
        word: "load",
        follow: "PERCENT",
        does: "ask for 0 to 110 % of design of what is held (the steam flow, if not told otherwise), approached at the \
               plant's load rate",
        example: "load 80",
    },
    Form {
        word: "start-pump",
        follow: "PUMP",
        does: "start a pump that stands by",
        example: "start-pump fp3",
    },
    Form {
        word: "stop-pump",
        follow: "PUMP",
        does: "stop a pump, where those left carry the load",
        example: "stop-pump fp1",
    },
    Form {
        word: "pump-out",
        follow: "PUMP",
        does: "take a pump that stands out for maintenance",
        example: "pump-out fp3",
    },
    Form {
        word: "pump-in",
        follow: "PUMP",
        does: "put a pump on standby again, after maintenance or a trip",
        example: "pump-in fp3",
    },
    Form {
        word: "hold",
        follow: "steam-flow|gross-output|firing",
        does: "hold something else from now on, at the value it has",
        example: "hold gross-output",
    },
    Form {
        word: "local",
        follow: "HEATER|PUMP normal-drain|emergency-drain|stop-valve|bypass|line-drain|start-up-vent|warm-up PERCENT|back",
        does: "send somebody to a valve, to turn its handwheel or to hand it back; it takes minutes",
        example: "local hp2 emergency-drain 0",
    },
    Form {
        word: "turbine",
        follow: "trip|reset",
        does: "trip the turbine, or bring the unit back to the grid at the steam flow it has",
        example: "turbine trip",
    },
    Form {
        word: "malfunction",
        follow: "KIND DEVICE [size NUMBER] [after TIME] [over TIME]",
        does: "make something go wrong, as far as the size says, after a delay, growing over a time",
        example: "malfunction normal-drain-leaks hp2 size 30% after 1min over 5min",
    },
    Form {
        word: "repair",
        follow: "KIND DEVICE",
        does: "take a malfunction away",
        example: "repair normal-drain-leaks hp2",
    },
];

/// Reads a command.
///
/// # Errors
/// Unknown word, a word too few or too many, not a number, a share out of range; the place is the text itself. Whether
/// the plant has the heater and takes the command is for the engine to say.
pub fn parse(text: &str) -> Result<Command, Fault> {
    let wrong = |message: String, remedy: String| {
        Fault::new("not_a_command", format!("'{}'", text.trim()), message, remedy)
    };
    let words: Vec<&str> = text.split_whitespace().collect();
    let Some((&first, rest)) = words.split_first() else {
        return Err(wrong("no command is given.".into(), every_word()));
    };
    let Some(form) = FORMS.iter().find(|f| f.word == first) else {
        return Err(wrong(format!("'{first}' is not a command word."), every_word()));
    };
    // '80 %' is as good as '80%'.
    let rest = match rest {
        [given @ .., "%"] if form.follow.ends_with("PERCENT") => given,
        _ => rest,
    };
    let write = || format!("Write '{} {}', as in '{}'.", form.word, form.follow, form.example);
    let valve = |word: &str| match word {
        "normal" => Ok(WhichDrain::Normal),
        "emergency" => Ok(WhichDrain::Emergency),
        _ => Err(wrong(format!("'{word}' is not a drain valve."), write())),
    };
    let share = |word: &str, range: (f64, f64)| {
        // The engine would refuse it too, but in shares of 1 and only when its time has come.
        share(word, range).map_err(|message| wrong(message, write()))
    };
    match (first, rest) {
        ("trip", &[heater]) => Ok(Command::TripHeater { heater: heater.into() }),
        ("isolate", &[heater]) => Ok(Command::IsolateExtraction { heater: heater.into() }),
        ("put-back", &[heater]) => Ok(Command::PutBack { heater: heater.into() }),
        ("move", &[heater, which, percent]) => Ok(Command::MoveDrain {
            heater: heater.into(),
            valve: valve(which)?,
            position: share(percent, (0.0, 1.0))?,
        }),
        ("release", &[heater, which]) => {
            Ok(Command::ReleaseDrain { heater: heater.into(), valve: valve(which)? })
        }
        ("set", &[id, ref rest @ ..]) if !rest.is_empty() => {
            controller::parse(id, rest).map_err(|message| wrong(message, write()))
        }
        ("reset", &["protection"]) => Ok(Command::ResetProtection { row: None }),
        ("reset", &[row]) => Ok(Command::ResetProtection { row: Some(row.into()) }),
        ("acknowledge", &["all"]) => Ok(Command::AcknowledgeAlarm { alarm: None }),
        ("acknowledge", &[alarm]) => Ok(Command::AcknowledgeAlarm { alarm: Some(alarm.into()) }),
        ("shelve", &[alarm, time]) => Ok(Command::ShelveAlarm {
            alarm: alarm.into(),
            seconds: duration::parse(time).map_err(|f| wrong(f.message, write()))?,
        }),
        ("unshelve", &[alarm]) => Ok(Command::UnshelveAlarm { alarm: alarm.into() }),
        ("alarm", &[alarm, word @ ("out" | "back")]) => {
            Ok(Command::AlarmOutOfService { alarm: alarm.into(), out: word == "out" })
        }
        ("alarm", &[_, word]) => Err(wrong(format!("'{word}' is not understood."), write())),
        ("malfunction", &[kind, device, ref rest @ ..]) => {
            let mut m = Malfunction {
                kind: kind_of(kind)
                    .ok_or_else(|| wrong(format!("'{kind}' is no kind of malfunction."), kinds()))?,
                device: device.into(),
                size: None,
                delay_s: 0.0,
                ramp_s: 0.0,
            };
            for pair in rest.chunks(2) {
                let time = |word: &str| duration::parse(word).map_err(|f| wrong(f.message, write()));
                match pair {
                    ["size", number] => {
                        m.size = Some(number_or_share(number).map_err(|e| wrong(e, write()))?)
                    }
                    ["after", t] => m.delay_s = time(t)?,
                    ["over", t] => m.ramp_s = time(t)?,
                    _ => return Err(wrong(format!("'{}' is not understood.", pair.join(" ")), write())),
                }
            }
            Ok(Command::InsertMalfunction { malfunction: m })
        }
        ("repair", &[kind, device]) => Ok(Command::RemoveMalfunction {
            kind: kind_of(kind)
                .ok_or_else(|| wrong(format!("'{kind}' is no kind of malfunction."), kinds()))?,
            device: device.into(),
        }),
        ("start-pump", &[pump]) => Ok(Command::StartPump { pump: pump.into() }),
        ("stop-pump", &[pump]) => Ok(Command::StopPump { pump: pump.into() }),
        ("pump-out", &[pump]) => Ok(Command::TakePumpOut { pump: pump.into() }),
        ("pump-in", &[pump]) => Ok(Command::PutPumpBack { pump: pump.into() }),
        ("hold", &[what]) => {
            let held = unit::Hold::ALL.into_iter().zip(unit::Hold::NAMES);
            let found = held.into_iter().find(|(_, name)| name.replace('_', "-") == what);
            let (hold, _) = found.ok_or_else(|| wrong(format!("'{what}' cannot be held."), write()))?;
            Ok(Command::SetHold { hold })
        }
        ("local", &[heater, valve, to]) => {
            let found = HandValve::ALL.into_iter().find(|v| v.name().replace('_', "-") == valve);
            let valve = found.ok_or_else(|| wrong(format!("'{valve}' has no handwheel."), write()))?;
            let position = if to == "back" { None } else { Some(share(to, (0.0, 1.0))?) };
            Ok(Command::LocalValve { heater: heater.into(), valve, position })
        }
        ("turbine", &["trip"]) => Ok(Command::TripTurbine),
        ("turbine", &["reset"]) => Ok(Command::ResetTurbine),
        ("turbine", &[word]) => Err(wrong(format!("the turbine cannot be told to '{word}'."), write())),
        ("load", &[percent]) => Ok(Command::SetLoad { fraction: share(percent, LOAD_RANGE)? }),
        _ => {
            let wants = form.follow.split(' ').count();
            let amount = if rest.len() < wants { "few" } else { "many" };
            Err(wrong(format!("too {amount} words for '{first}'."), write()))
        }
    }
}

/// Reads a percentage, with or without its sign, as a share of 1.
///
/// # Errors
/// What is wrong with it, in a sentence.
pub fn share(word: &str, (low, high): (f64, f64)) -> Result<f64, String> {
    let bare = word.strip_suffix('%').unwrap_or(word).trim_end();
    let percent = bare.parse::<f64>().ok().filter(|p| p.is_finite());
    let percent = percent.ok_or_else(|| format!("'{word}' is not a percentage."))?;
    let share = percent / 100.0;
    if share >= low && share <= high {
        return Ok(share);
    }
    Err(format!("{percent} % is outside {} to {} %.", self::percent(low), self::percent(high)))
}

/// A malfunction's kind from its word, with hyphens or underlines.
fn kind_of(word: &str) -> Option<Kind> {
    let word = word.replace('-', "_");
    malfunction::SPECS.iter().map(|s| s.kind).find(|k| k.word() == word)
}

fn kinds() -> String {
    let all: Vec<String> = malfunction::SPECS.iter().map(|s| s.kind.word().replace('_', "-")).collect();
    format!("The kinds are {}.", all.join(", "))
}

/// Reads a number in the inside unit of what it measures, or a percentage as a share of 1.
fn number_or_share(word: &str) -> Result<f64, String> {
    let (bare, scale) = word.strip_suffix('%').map_or((word, 1.0), |b| (b, 100.0));
    let number = bare.parse::<f64>().ok().filter(|p| p.is_finite());
    number.map(|n| n / scale).ok_or_else(|| format!("'{word}' is not a number."))
}

/// The words of a command: what [`parse`] reads back to the same command.
pub fn write(command: &Command) -> String {
    let name = |valve: &WhichDrain| match valve {
        WhichDrain::Normal => "normal",
        WhichDrain::Emergency => "emergency",
    };
    match command {
        Command::TripHeater { heater } => format!("trip {heater}"),
        Command::IsolateExtraction { heater } => format!("isolate {heater}"),
        Command::PutBack { heater } => format!("put-back {heater}"),
        Command::MoveDrain { heater, valve, position } => {
            format!("move {heater} {} {}", name(valve), percent(*position))
        }
        Command::ReleaseDrain { heater, valve } => format!("release {heater} {}", name(valve)),
        Command::StartPump { pump } => format!("start-pump {pump}"),
        Command::StopPump { pump } => format!("stop-pump {pump}"),
        Command::TakePumpOut { pump } => format!("pump-out {pump}"),
        Command::PutPumpBack { pump } => format!("pump-in {pump}"),
        Command::SetLoad { fraction } => format!("load {}", percent(*fraction)),
        Command::ResetProtection { row } => format!("reset {}", row.as_deref().unwrap_or("protection")),
        Command::AcknowledgeAlarm { alarm } => format!("acknowledge {}", alarm.as_deref().unwrap_or("all")),
        Command::ShelveAlarm { alarm, seconds } => format!("shelve {alarm} {seconds}s"),
        Command::UnshelveAlarm { alarm } => format!("unshelve {alarm}"),
        Command::AlarmOutOfService { alarm, out } => {
            format!("alarm {alarm} {}", if *out { "out" } else { "back" })
        }
        Command::SetController { id, mode, setpoint, output, gain, integral_time, lowest, highest } => {
            let parts = [setpoint, output, gain, integral_time, lowest, highest].map(|v| *v);
            controller::write(id, *mode, parts)
        }
        Command::SetHold { hold } => {
            let at = unit::Hold::ALL.iter().position(|h| h == hold).unwrap_or(0);
            format!("hold {}", unit::Hold::NAMES[at].replace('_', "-"))
        }
        Command::LocalValve { heater, valve, position } => {
            let name = valve.name().replace('_', "-");
            let to = position.map_or("back".into(), percent);
            format!("local {heater} {name} {to}")
        }
        Command::TripTurbine => "turbine trip".into(),
        Command::ResetTurbine => "turbine reset".into(),
        Command::InsertMalfunction { malfunction: m } => {
            let mut text = format!("malfunction {} {}", m.kind.word().replace('_', "-"), m.device);
            if let Some(size) = m.size {
                text += &format!(" size {size}");
            }
            for (word, seconds) in [("after", m.delay_s), ("over", m.ramp_s)] {
                if seconds > 0.0 {
                    text += &format!(" {word} {seconds}s");
                }
            }
            text
        }
        Command::RemoveMalfunction { kind, device } => {
            format!("repair {} {device}", kind.word().replace('_', "-"))
        }
    }
}

/// The heater a command is about.
pub fn heater(command: &Command) -> Option<&str> {
    match command {
        Command::TripHeater { heater }
        | Command::IsolateExtraction { heater }
        | Command::PutBack { heater }
        | Command::MoveDrain { heater, .. }
        | Command::ReleaseDrain { heater, .. }
        | Command::LocalValve { heater, .. } => Some(heater),
        Command::InsertMalfunction { malfunction: Malfunction { device, .. } }
        | Command::RemoveMalfunction { device, .. } => Some(device),
        Command::AcknowledgeAlarm { alarm } => alarm.as_deref().and_then(|id| id.split('.').next()),
        Command::ShelveAlarm { alarm, .. }
        | Command::UnshelveAlarm { alarm }
        | Command::AlarmOutOfService { alarm, .. } => alarm.split('.').next(),
        Command::ResetProtection { row } => row.as_deref().and_then(|id| id.split('.').next()),
        Command::SetController { id, .. } => id.split('.').next().filter(|device| *device != "unit"),
        Command::SetLoad { .. }
        | Command::SetHold { .. }
        | Command::TripTurbine
        | Command::ResetTurbine
        | Command::StartPump { .. }
        | Command::StopPump { .. }
        | Command::TakePumpOut { .. }
        | Command::PutPumpBack { .. } => None,
    }
}

/// A share in percent, in the fewest digits that are read back to the same share: 0.55 times 100 is not 55 in binary.
fn percent(share: f64) -> String {
    let of_digits = |digits: usize| format!("{:.digits$}", share * 100.0);
    (0..17)
        .map(of_digits)
        .find(|text| text.parse::<f64>().is_ok_and(|p| p / 100.0 == share))
        .unwrap_or_else(|| (share * 100.0).to_string())
}

fn every_word() -> String {
    let words: Vec<&str> = FORMS.iter().map(|f| f.word).collect();
    format!("The command words are {}; 'bledsteam run --help' explains them.", words.join(", "))
}

/// The table of command words for the help.
pub fn help() -> String {
    let mut text = String::from(
        "Command words (HEATER is a heater's id, PUMP a pump's, PERCENT a number with or without %):\n",
    );
    for f in FORMS {
        text += &format!("  {} {}\n      {}, as in '{}'\n", f.word, f.follow, f.does, f.example);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::controller::Mode;

    /// One of each kind, with shares that have no finite binary form.
    fn commands() -> Vec<Command> {
        let heater = || "hp1".to_owned();
        let mut list = vec![
            Command::TripHeater { heater: heater() },
            Command::IsolateExtraction { heater: heater() },
            Command::PutBack { heater: heater() },
            Command::TripTurbine,
            Command::ResetTurbine,
            Command::ReleaseDrain { heater: heater(), valve: WhichDrain::Normal },
            Command::ReleaseDrain { heater: heater(), valve: WhichDrain::Emergency },
            Command::StartPump { pump: "fp3".to_owned() },
            Command::StopPump { pump: "fp1".to_owned() },
            Command::TakePumpOut { pump: "fp2".to_owned() },
            Command::PutPumpBack { pump: "fp2".to_owned() },
        ];
        for k in 0..=110 {
            let share = f64::from(k) / 100.0;
            if share >= LOAD_RANGE.0 {
                list.push(Command::SetLoad { fraction: share });
            }
            if share <= 1.0 {
                let valve = WhichDrain::Emergency;
                list.push(Command::MoveDrain { heater: heater(), valve, position: share });
            }
        }
        for (mode, setpoint, output) in [
            (Some(Mode::Auto), Some(12.5), None),
            (Some(Mode::Manual), None, Some(0.4)),
            (None, None, Some(1.0 / 3.0)),
        ] {
            let (gain, integral_time) = (setpoint.map(|_| 0.003), output.map(|_| 90.5));
            let id = "hp1.normal_drain".to_owned();
            let (lowest, highest) = (setpoint.map(|_| 0.125), output.map(|_| 0.9));
            list.push(Command::SetController {
                id,
                mode,
                setpoint,
                output,
                gain,
                integral_time,
                lowest,
                highest,
            });
        }
        list.push(Command::AcknowledgeAlarm { alarm: None });
        list.push(Command::AcknowledgeAlarm { alarm: Some("hp1.ramp".into()) });
        list.push(Command::ShelveAlarm { alarm: "hp1.ramp".into(), seconds: 90.5 });
        list.push(Command::UnshelveAlarm { alarm: "hp1.ramp".into() });
        list.push(Command::AlarmOutOfService { alarm: "hp1.ramp".into(), out: true });
        list.push(Command::AlarmOutOfService { alarm: "hp1.ramp".into(), out: false });
        list.push(Command::ResetProtection { row: None });
        list.push(Command::ResetProtection { row: Some("hp1.level_high_high".into()) });
        list.extend(unit::Hold::ALL.map(|hold| Command::SetHold { hold }));
        for (valve, position) in HandValve::ALL.into_iter().zip([
            None,
            Some(0.0),
            Some(1.0),
            Some(0.5),
            Some(1.0),
            Some(0.3),
            Some(0.7),
        ]) {
            list.push(Command::LocalValve { heater: heater(), valve, position });
        }
        for spec in malfunction::SPECS {
            let malfunction = Malfunction {
                kind: spec.kind,
                device: heater(),
                size: spec.size.map(|s| s.default / 3.0),
                delay_s: 90.5,
                ramp_s: 600.0,
            };
            list.push(Command::InsertMalfunction { malfunction });
            list.push(Command::RemoveMalfunction { kind: spec.kind, device: heater() });
        }
        for share in [1.0 / 3.0, 0.1 + 0.2, 1e-9, 0.123_456_789] {
            list.push(Command::MoveDrain { heater: heater(), valve: WhichDrain::Normal, position: share });
        }
        list
    }

    #[test]
    fn what_is_written_is_read_back() {
        for command in commands() {
            let words = write(&command);
            let again = parse(&words).unwrap();
            match (&again, &command) {
                // A third has no finite decimal form either: the last bit may differ.
                (Command::MoveDrain { position: a, .. }, Command::MoveDrain { position: b, .. }) => {
                    assert!((a - b).abs() <= 1e-15 * b.abs(), "{words}");
                }
                _ => assert_eq!(again, command, "{words}"),
            }
        }
        assert_eq!(write(&parse("load 55").unwrap()), "load 55");
        assert_eq!(parse("load 55 %"), parse("load 55"));
        assert_eq!(write(&parse(" move  hp1 normal 7.5% ").unwrap()), "move hp1 normal 7.5");
    }

    #[test]
    fn every_form_reads_its_example_and_every_command_has_a_form() {
        for form in FORMS {
            assert!(parse(form.example).is_ok(), "{}", form.example);
            assert!(form.example.starts_with(form.word));
        }
        for command in commands() {
            let words = write(&command);
            assert!(FORMS.iter().any(|f| words.starts_with(f.word)), "{words}");
        }
    }

    #[test]
    fn errors_name_the_place_and_the_way_out() {
        for (text, says, remedy) in [
            (
                "tirp hp1",
                "'tirp' is not a command word",
                "trip, isolate, put-back, move, release, set, reset, acknowledge, shelve, unshelve, alarm, load",
            ),
            ("", "no command", "trip"),
            ("trip", "too few", "'trip HEATER'"),
            ("trip hp1 %", "too many", "'trip HEATER'"),
            ("trip hp1 now", "too many", "'trip HEATER'"),
            ("move hp1 normal", "too few", "PERCENT"),
            ("move hp1 spare 10", "'spare' is not a drain valve", "normal|emergency"),
            ("move hp1 normal half", "'half' is not a percentage", "move hp1 emergency 40"),
            ("load NaN", "'NaN' is not a percentage", "load 80"),
            ("load 1e999", "not a percentage", "load 80"),
            ("load 111", "111 % is outside 0 to 110", "load 80"),
            ("hold still", "'still' cannot be held", "hold gross-output"),
            ("turbine stop", "cannot be told to 'stop'", "trip|reset"),
            ("load -80", "-80 % is outside", "load 80"),
            ("move hp1 normal 100.1", "100.1 % is outside 0 to 100 %", "PERCENT"),
            ("load %", "too few", "load 80"),
            ("malfunction normal-drain hp1", "'normal-drain' is no kind", "normal-drain-stuck"),
            ("malfunction normal-drain-leaks hp1 size big", "'big' is not a number", "size NUMBER"),
            ("malfunction normal-drain-leaks hp1 size", "'size' is not understood", "size NUMBER"),
            ("set hp1.normal_drain", "too few", "auto|manual"),
            ("set hp1.normal_drain auto fast", "'fast' is not understood", "set hp1.normal_drain auto"),
            ("set hp1.normal_drain output much", "'much' is not a number", "output SHARE"),
            ("repair hp1", "too few", "repair KIND DEVICE"),
        ] {
            let fault = parse(text).unwrap_err();
            assert_eq!(fault.place, format!("'{text}'"));
            assert!(fault.message.contains(says), "{text}: {fault}");
            assert!(fault.remedy.contains(remedy), "{text}: {fault}");
        }
    }

    #[test]
    fn the_help_names_every_word_and_the_range_of_load() {
        let text = help();
        for form in FORMS {
            assert!(text.contains(&format!("{} {}", form.word, form.follow)));
        }
        let (low, high) = LOAD_RANGE;
        assert!(text.contains(&format!("{} to {} % of design", percent(low), percent(high))));
    }
}
