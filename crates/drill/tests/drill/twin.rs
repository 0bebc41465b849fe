//! The twin: what an action, or the malfunction, changed.

use crate::common::{begin, go, sample, trip, well};
use bledsteam_drill::Record;
use bledsteam_drill::twin::{Without, twin};

fn ids(list: &[&str]) -> Vec<String> {
    list.iter().map(|s| (*s).to_owned()).collect()
}

#[test]
fn without_the_last_action_the_feedwater_stays() {
    let record = Record::of(well().entries().to_vec()).unwrap();
    let signals = ids(&["unit.final_fw_temperature"]);
    let t =
        twin(&sample(), &record, Without::LastAction { before_s: 200.0 }, &signals, (0.0, 290.0)).unwrap();
    assert_eq!(t.action, Some(trip("hp1")));
    let (with, without) = (&t.with[0], &t.without[0]);
    assert_eq!((with.len(), without.len()), (291, 291));
    // Up to the action both are the same plant, bit for bit.
    assert_eq!(with[..=30], without[..=30]);
    assert!((without[290] - without[0]).abs() < 0.1 && with[290] < with[0] - 15.0);
    let none = twin(&sample(), &record, Without::LastAction { before_s: 29.0 }, &signals, (0.0, 290.0));
    assert_eq!(none.unwrap_err().code, "no_action");
}

#[test]
fn without_the_malfunction_the_level_stays() {
    let record = Record::of(well().entries().to_vec()).unwrap();
    let t = twin(&sample(), &record, Without::Malfunctions, &ids(&["lp5.level"]), (290.0, 400.0)).unwrap();
    assert_eq!((t.from_s, t.with[0].len(), &t.action), (290.0, 111, &None));
    assert_eq!(t.with[0][..=10], t.without[0][..=10]);
    let most = |c: &[f64]| c.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    assert!(most(&t.with[0]) > 40.0 && most(&t.without[0]) < 15.0);
}

/// Without the action that ended the exercise, the plant goes on.
#[test]
fn the_end_does_not_end_the_twin() {
    let mut run = begin();
    go(&mut run, 10.0);
    run.command(&trip("hp3")).unwrap();
    go(&mut run, 600.0);
    let record = Record::of(run.entries().to_vec()).unwrap();
    let signals = ids(&["hp3.mode"]);
    let t = twin(&sample(), &record, Without::LastAction { before_s: 60.0 }, &signals, (0.0, 120.0)).unwrap();
    assert_eq!((t.with[0][120], t.without[0][120]), (3.0, 0.0));
    let wrong = twin(&sample(), &record, Without::Malfunctions, &signals, (0.0, 1e9));
    assert_eq!(wrong.unwrap_err().code, "out_of_range");
    let wrong = twin(&sample(), &record, Without::Malfunctions, &ids(&["hp3.mood"]), (0.0, 60.0));
    assert_eq!(wrong.unwrap_err().code, "no_such_signal");
}
