//! What is to be done when: the commands of `--at` and of a script, in order of time.

use crate::duration::{self, clock};
use crate::failure::within;
use crate::{text_file, words};
use engine::train::STEP;
use engine::{Command, Fault};
use serde::Deserialize;
use std::path::Path;

/// Largest script read [bytes].
const LARGEST_SCRIPT: usize = 1 << 20;

/// A command and when it is given.
#[derive(Clone, Debug, PartialEq)]
pub struct Timed {
    /// Number of steps made before it.
    pub step: u64,
    /// The command.
    pub command: Command,
}

/// One entry of a script file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    /// Plant time [s].
    at_s: f64,
    /// The command.
    command: Command,
}

/// Whole steps nearest to a time.
pub fn steps(seconds: f64) -> u64 {
    (seconds / STEP).round() as u64
}

/// Commands in order of time; at one time, the script's come first, each source in its own order.
///
/// # Errors
/// Everything that is wrong, each with its place.
pub fn build(at: &[Vec<String>], script: Option<&Path>, end: u64) -> Result<Vec<Timed>, Vec<Fault>> {
    let mut list = Vec::new();
    let mut faults = Vec::new();
    let mut take = |place: String, seconds: f64, command: Command| match step_of(seconds, end) {
        Ok(step) => list.push(Timed { step, command }),
        Err((message, remedy)) => faults.push(Fault::new("bad_time", place, message, remedy)),
    };
    let mut unread = Vec::new();
    if let Some(path) = script {
        match read_script(path) {
            Ok(entries) => {
                for (k, e) in entries.into_iter().enumerate() {
                    take(format!("{}: [{k}].at_s", path.display()), e.at_s, e.command);
                }
            }
            Err(f) => unread.push(f),
        }
    }
    for group in at {
        let Some((time, command)) = group.split_first() else { continue };
        match (duration::parse(time), words::parse(&command.join(" "))) {
            (Ok(seconds), Ok(command)) => {
                take(format!("--at {time} '{}'", words::write(&command)), seconds, command);
            }
            (seconds, command) => {
                unread.extend(seconds.err().map(|f| within("--at", f)));
                unread.extend(command.err().map(|f| within(&format!("--at {time}"), f)));
            }
        }
    }
    faults.extend(unread);
    if !faults.is_empty() {
        return Err(faults);
    }
    list.sort_by_key(|t| t.step);
    Ok(list)
}

/// The step a command is given before; a command that no step would follow has no effect and is refused.
fn step_of(seconds: f64, end: u64) -> Result<u64, (String, &'static str)> {
    if !(seconds >= 0.0) {
        return Err((
            format!("{seconds} s lies before the start of the run."),
            "Give a time of 0 s or more.",
        ));
    }
    let step = steps(seconds);
    if step >= end {
        let (at, end) = (clock(seconds), clock(end as f64 * STEP));
        return Err((
            format!("{at} is not before the end of the run at {end}, so the command would never act."),
            "Run for longer with --for, or give the command earlier.",
        ));
    }
    Ok(step)
}

fn read_script(path: &Path) -> Result<Vec<Entry>, Fault> {
    let text = text_file::read(path, LARGEST_SCRIPT)?;
    let place = path.display();
    let wrong = |place: String, e: serde_json::Error| {
        Fault::new(
            "not_a_script",
            place,
            format!("{e}."),
            r#"Write a list like [{"at_s": 600, "command": {"do": "trip_heater", "heater": "hp1"}}]."#,
        )
    };
    let mut de = serde_json::Deserializer::from_str(&text);
    let entries: Vec<Entry> = serde_path_to_error::deserialize(&mut de).map_err(|e| {
        let inside = e.path().to_string();
        let place = if inside == "." { place.to_string() } else { format!("{place}: {inside}") };
        wrong(place, e.into_inner())
    })?;
    de.end().map_err(|e| wrong(place.to_string(), e))?;
    Ok(entries)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(list: &[(&str, &str)]) -> Vec<Vec<String>> {
        list.iter().map(|(t, c)| vec![(*t).to_owned(), (*c).to_owned()]).collect()
    }

    #[test]
    fn commands_come_in_order_of_time() {
        let list = build(&at(&[("5min", "load 80"), ("10s", "trip hp1"), ("5min", "load 90")]), None, 4000);
        let steps: Vec<(u64, String)> =
            list.unwrap().into_iter().map(|t| (t.step, words::write(&t.command))).collect();
        let expected = [(40, "trip hp1"), (1200, "load 80"), (1200, "load 90")];
        assert_eq!(steps, expected.map(|(s, c)| (s, c.to_owned())));
    }

    #[test]
    fn words_need_no_quotes() {
        let spread = vec!["1min".to_owned(), "trip".to_owned(), "hp1".to_owned()];
        let quoted = at(&[("1min", "trip hp1")]);
        assert_eq!(build(&[spread], None, 4000), build(&quoted, None, 4000));
    }

    #[test]
    fn everything_wrong_is_told_at_once() {
        let faults =
            build(&at(&[("soon", "tirp hp1"), ("20min", "trip hp1"), ("10min", "trip hp1")]), None, 2400)
                .unwrap_err();
        let places: Vec<&str> = faults.iter().map(|f| f.place.as_str()).collect();
        assert_eq!(
            places,
            ["--at 20min 'trip hp1'", "--at 10min 'trip hp1'", "--at 'soon'", "--at soon 'tirp hp1'"]
        );
        assert!(faults[1].message.contains("0:10:00 is not before the end of the run at 0:10:00"));
    }

    #[test]
    fn no_odd_number_passes_for_a_time() {
        for (seconds, says) in [
            (-0.1, "before the start"),
            (f64::NAN, "before the start"),
            (f64::NEG_INFINITY, "before the start"),
            (1e300, "not before the end"),
            (f64::INFINITY, "not before the end"),
        ] {
            let (message, _) = step_of(seconds, 100).unwrap_err();
            assert!(message.contains(says), "{seconds}: {message}");
        }
        assert_eq!(step_of(24.8, 100), Ok(99));
    }
}
