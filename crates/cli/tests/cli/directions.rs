//! What a practitioner would say, seen in what the shell prints: each command of `bledsteam directions` is typed, and the
//! numbers it prints are compared here.

use crate::shell::{BINARY, call};
use serde_json::Value;
use std::path::Path;
use std::process::Command;

/// Seconds of a time like `90s`, `10min`, `1h`.
fn seconds(text: &str) -> f64 {
    let digits = text.trim_end_matches(char::is_alphabetic);
    let unit = match &text[digits.len()..] {
        "s" => 1.0,
        "min" => 60.0,
        "h" => 3600.0,
        other => panic!("{other}"),
    };
    digits.parse::<f64>().unwrap() * unit
}

/// What a run printed: ids, and lines that begin with the time.
struct Printed {
    ids: Vec<String>,
    lines: Vec<Vec<f64>>,
}

impl Printed {
    fn of(command: &str) -> Printed {
        let bin = Path::new(BINARY).parent().unwrap().to_str().unwrap();
        let script = format!("PATH='{bin}':\"$PATH\"\n{command} --json");
        let output = Command::new("sh").arg("-c").arg(script).output().unwrap();
        assert!(output.status.success(), "{command}: {}", String::from_utf8_lossy(&output.stderr));
        let all: Value = serde_json::from_slice(&output.stdout).unwrap();
        let ids =
            all["signals"].as_array().unwrap().iter().map(|s| s["id"].as_str().unwrap().into()).collect();
        let lines = serde_json::from_value(all["lines"].clone()).unwrap();
        Printed { ids, lines }
    }

    fn at(&self, signal: &str, time: &str) -> f64 {
        let k =
            self.ids.iter().position(|id| id == signal).unwrap_or_else(|| panic!("{signal} is not printed"));
        let line = self.lines.iter().find(|l| l[0] == seconds(time));
        line.unwrap_or_else(|| panic!("no line at {time}"))[k]
    }
}

#[test]
fn every_direction_is_seen_in_what_the_shell_prints() {
    let all = call("directions --json", &[]).json();
    let all = all.as_array().unwrap();
    assert!(all.len() >= 18, "{} sentences", all.len());
    for direction in all {
        let id = direction["id"].as_str().unwrap();
        assert_eq!(direction["holds"], true, "{id}");
        for run in direction["runs"].as_array().unwrap() {
            let printed = Printed::of(run["command"].as_str().unwrap());
            for see in run["see"].as_array().unwrap() {
                let signal = see["signal"].as_str().unwrap();
                let value = printed.at(signal, see["when"].as_str().unwrap());
                let than = &see["than"];
                let number = |name: &str, otherwise: f64| than[name].as_f64().unwrap_or(otherwise);
                let bound = than["number"].as_f64().unwrap_or_else(|| {
                    let other = than["signal"].as_str().unwrap_or(signal);
                    let was = printed.at(other, than["at"].as_str().unwrap_or("0s"));
                    was * number("times", 1.0) + number("plus", 0.0)
                });
                let holds = match see["is"].as_str().unwrap() {
                    "above" => value > bound,
                    "below" => value < bound,
                    "equal" => (value - bound).abs() <= 1e-3 * value.abs().max(bound.abs()).max(1.0),
                    other => panic!("{other}"),
                };
                assert!(holds, "{id}: {see}, printed {value} against {bound}");
                // The same run: the same bits.
                assert_eq!(
                    (see["value"].as_f64(), see["bound"].as_f64()),
                    (Some(value), Some(bound)),
                    "{id}"
                );
            }
        }
    }
}

#[test]
fn a_sentence_can_be_asked_for_by_name() {
    let done = call("directions upstream-heater-out", &[]);
    assert_eq!(done.code, 0, "{}", done.err);
    for says in
        ["Upstream heater out", "--at 1min 'trip hp2'", "upstream-heater-out: holds", "1 of 1 sentence"]
    {
        assert!(done.out.contains(says), "{}", done.out);
    }
    let wrong = call("directions upstream", &[]);
    assert_eq!((wrong.code, wrong.out.as_str()), (2, ""));
    assert!(wrong.err.contains("Name one of") && wrong.err.contains("upstream-heater-out"), "{}", wrong.err);
}
