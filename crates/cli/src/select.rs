//! Which signals a result shows.

use crate::schedule::Timed;
use crate::words;
use engine::Fault;
use engine::signals::Definition;

/// First column of every result.
const TIME: &str = "unit.time";
/// Shown of the unit when nothing is asked for.
const OF_UNIT: [&str; 5] =
    ["unit.load", "unit.gross_output", "unit.heat_rate", "unit.final_fw_temperature", "unit.feed_flow"];
/// Shown besides of a heater that a command names.
const OF_HEATER: [&str; 4] = ["mode", "extraction_flow", "fw_out_temperature", "level"];
/// Of that many heaters at most.
const MOST_HEATERS: usize = 2;
/// Signals offered when one is not found.
const OFFERED: usize = 4;

/// Indices of the signals asked for, the time first. `asked` is a list of ids parted by commas, in which `*` stands for
/// any characters, or `all`.
///
/// # Errors
/// Every id that no signal has, with those most like it.
pub fn signals(
    list: &[Definition],
    asked: Option<&str>,
    commands: &[Timed],
) -> Result<Vec<usize>, Vec<Fault>> {
    let patterns: Vec<String> = match asked {
        None => by_default(list, commands),
        Some("all") => vec!["*".into()],
        Some(text) => text.split(',').map(|p| p.trim().to_owned()).filter(|p| !p.is_empty()).collect(),
    };
    let mut chosen = Vec::new();
    let mut faults = Vec::new();
    for pattern in std::iter::once(TIME).chain(patterns.iter().map(String::as_str)) {
        let mut found = false;
        for (k, _) in list.iter().enumerate().filter(|(_, d)| matches(pattern, &d.id)) {
            found = true;
            if !chosen.contains(&k) {
                chosen.push(k);
            }
        }
        if !found {
            faults.push(Fault::new(
                "no_such_signal",
                format!("--signals '{pattern}'"),
                "the plant has no such signal.",
                format!("Like it: {}. 'bledsteam signals' lists all.", like(pattern, list).join(", ")),
            ));
        }
    }
    if faults.is_empty() { Ok(chosen) } else { Err(faults) }
}

fn by_default(list: &[Definition], commands: &[Timed]) -> Vec<String> {
    let mut heaters: Vec<&str> = Vec::new();
    for heater in commands.iter().filter_map(|t| words::heater(&t.command)) {
        if !heaters.contains(&heater) && heaters.len() < MOST_HEATERS {
            heaters.push(heater);
        }
    }
    let of_heaters = heaters.iter().flat_map(|h| OF_HEATER.map(|name| format!("{h}.{name}")));
    let wanted = OF_UNIT.map(str::to_owned).into_iter().chain(of_heaters);
    // A command may name a heater that the plant does not have: it will be refused in its time.
    wanted.filter(|id| list.iter().any(|d| d.id == *id)).collect()
}

/// Whether an id fits a pattern in which `*` stands for any characters.
fn matches(pattern: &str, id: &str) -> bool {
    match pattern.split_once('*') {
        None => pattern == id,
        Some((head, tail)) => id.strip_prefix(head).is_some_and(|rest| {
            rest.char_indices()
                .map(|(at, _)| at)
                .chain(std::iter::once(rest.len()))
                .any(|at| matches(tail, &rest[at..]))
        }),
    }
}

/// The ids that share most of their beginning and end with what was typed.
fn like<'a>(typed: &str, list: &'a [Definition]) -> Vec<&'a str> {
    let score = |id: &str| {
        let head = typed.bytes().zip(id.bytes()).take_while(|(a, b)| a == b).count();
        let tail = typed.bytes().rev().zip(id.bytes().rev()).take_while(|(a, b)| a == b).count();
        head + tail
    };
    let mut ids: Vec<&str> = list.iter().map(|d| d.id.as_str()).collect();
    ids.sort_by_key(|id| std::cmp::Reverse(score(id)));
    ids.truncate(OFFERED);
    ids
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::{Command, Sim};

    fn list() -> Vec<Definition> {
        engine::signals::definitions(&Sim::new(catalog::plant("reheat250").unwrap()).unwrap())
    }

    fn ids(asked: Option<&str>, commands: &[Timed]) -> Vec<String> {
        let list = list();
        signals(&list, asked, commands).unwrap().into_iter().map(|k| list[k].id.clone()).collect()
    }

    #[test]
    fn patterns_fit() {
        assert!(matches("hp1.*", "hp1.level") && matches("*.level", "hp1.level") && matches("*", "x"));
        assert!(matches("hp*.*_flow", "hp1.normal_drain_flow") && matches("a*b", "ab"));
        assert!(!matches("hp1.*", "hp2.level") && !matches("level", "hp1.level") && !matches("a*b", "abc"));
    }

    #[test]
    fn time_comes_first_and_nothing_twice() {
        assert_eq!(ids(Some("hp1.level, unit.time,hp1.*level"), &[]), ["unit.time", "hp1.level"]);
        assert_eq!(ids(Some("all"), &[]).len(), list().len());
    }

    #[test]
    fn the_default_holds_the_heaters_named() {
        let trip = |heater: &str| Timed { step: 0, command: Command::TripHeater { heater: heater.into() } };
        let plain = ids(None, &[]);
        assert_eq!(plain.len(), 1 + OF_UNIT.len(), "every default signal exists: {plain:?}");
        let named = ids(None, &[trip("hp1"), trip("hp9"), trip("hp1")]);
        assert_eq!(named.len(), plain.len() + OF_HEATER.len(), "{named:?}");
        assert!(named.contains(&"hp1.level".to_owned()));
    }

    #[test]
    fn what_is_not_found_is_named_with_its_like() {
        let faults = signals(&list(), Some("hp1.levle,unit.gross_ouput"), &[]).unwrap_err();
        assert_eq!(faults.len(), 2);
        assert!(
            faults[0].place.contains("hp1.levle") && faults[0].remedy.contains("hp1.level"),
            "{}",
            faults[0]
        );
        assert!(faults[1].remedy.contains("unit.gross_output"), "{}", faults[1]);
    }
}
