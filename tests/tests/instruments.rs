//! Instruments that lie: what the trainee, the controller and protection then see, and what is true.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run};
use engine::Command;
use engine::event::Code;
use engine::malfunction::{Kind, Malfunction};

fn open() -> Run {
    Run::open(PLANT).unwrap()
}

fn insert(run: &mut Run, kind: Kind, device: &str, size: Option<f64>, ramp_s: f64) {
    let malfunction = Malfunction { kind, device: device.into(), size, delay_s: 0.0, ramp_s };
    run.command(Command::InsertMalfunction { malfunction }).unwrap();
}

/// What a transmitter shows is told with the ends of its range, and a failed one stands at one of them.
#[test]
fn shown_values_are_told_with_their_range() {
    let mut run = open();
    let range = |run: &Run, id: &str| run.definitions().iter().find(|d| d.id == id).unwrap().range;
    insert(&mut run, Kind::LevelHigh, "hp2.level_control", None, 0.0);
    insert(&mut run, Kind::TransmitterHigh, "unit.feed_flow", None, 0.0);
    insert(&mut run, Kind::TransmitterLow, "hp1.fw_out_temperature", None, 0.0);
    run.seconds(20.0).unwrap();
    assert_eq!(range(&run, "hp2.level").unwrap().1, run.get("hp2.level"));
    assert_eq!(range(&run, "unit.feed_flow").unwrap().1, run.get("unit.feed_flow"));
    assert_eq!(range(&run, "hp1.fw_out_temperature").unwrap().0, run.get("hp1.fw_out_temperature"));
    for id in ["unit.feed_flow_true", "hp1.ttd", "hp1.normal_drain_valve"] {
        assert_eq!(range(&run, id), None, "{id}");
    }
}

/// The controller's transmitter falls to its low end: the drain shuts on a level that is not there, the shell fills, and
/// with the emergency drain lost too the transmitter for protection takes the heater off.
#[test]
fn a_control_transmitter_at_its_low_end_fills_the_shell_and_protection_sees_it() {
    let mut run = open();
    insert(&mut run, Kind::LevelLow, "hp2.level_control", None, 0.0);
    insert(&mut run, Kind::EmergencyDrainStuck, "hp2", None, 0.0);
    run.seconds(20.0).unwrap();
    assert_eq!(run.get("hp2.level"), -400.0);
    assert_eq!(run.get("hp2.normal_drain_valve"), 0.0);
    let took = run.until(600, |run| run.get("hp2.mode") == 2.0).unwrap();
    assert!(run.get("hp2.level_protection") >= 140.0 && run.get("hp2.level_true") >= 140.0, "{took}");
    assert_eq!(run.get("hp2.level"), -400.0, "the trainee still sees an empty shell");
    let what = run.events().iter().rev().find(|e| e.code == Code::LevelHighHigh).unwrap();
    assert_eq!(what.device, "hp2");
}

/// The controller holds what it is shown: a transmitter that drifts down by 60 mm lets the true level up by 60 mm, while
/// the indication rests at normal. The two transmitters part, and that is how it is told from a drain that is stuck.
#[test]
fn a_drifting_control_transmitter_shows_by_parting_from_its_twin() {
    let mut run = open();
    let (ttd, dca) = (run.get("hp2.ttd"), run.get("hp2.dca"));
    insert(&mut run, Kind::LevelDrift, "hp2.level_control", Some(-60.0), 1200.0);
    run.minutes(35.0).unwrap();
    assert!(run.get("hp2.level").abs() < 3.0, "{}", run.get("hp2.level"));
    assert!((run.get("hp2.level_protection") - 60.0).abs() < 3.0, "{}", run.get("hp2.level_protection"));
    assert!((run.get("hp2.level_true") - run.get("hp2.level_protection")).abs() < 0.1);
    assert!(run.get("hp2.ttd") > ttd && run.get("hp2.dca") < dca - 0.1, "lowest tubes flooded");
    // A stuck drain: both transmitters agree on a level that the controller cannot hold.
    let mut other = open();
    insert(&mut other, Kind::NormalDrainStuck, "hp2", None, 0.0);
    other.command(bledsteam_tests::load(0.7)).unwrap();
    other.minutes(8.0).unwrap();
    assert!(other.get("hp2.level").abs() > 20.0);
    assert!((other.get("hp2.level") - other.get("hp2.level_protection")).abs() < 0.1);
}

/// A transmitter stuck at a moment shows a level that no load change moves; its twin moves.
#[test]
fn a_stuck_transmitter_does_not_move_when_the_plant_does() {
    let mut run = open();
    insert(&mut run, Kind::LevelStuck, "lp5.level_control", None, 0.0);
    run.command(bledsteam_tests::load(0.6)).unwrap();
    run.minutes(10.0).unwrap();
    assert_eq!(run.get("lp5.level"), 0.0);
    assert!(run.get("lp5.level_protection").abs() > 1.0, "{}", run.get("lp5.level_protection"));
}

/// A transmitter for protection at its high end takes a sound heater off, and the other transmitter says that it was
/// sound.
#[test]
fn a_protection_transmitter_at_its_high_end_trips_a_sound_heater() {
    let mut run = open();
    insert(&mut run, Kind::LevelHigh, "hp1.level_protection", None, 0.0);
    run.seconds(10.0).unwrap();
    assert_eq!(run.get("hp1.mode"), 2.0);
    assert!(run.get("hp1.level_true").abs() < 60.0, "{}", run.get("hp1.level_true"));
}

/// Noise moves what is shown and, by the controller, the valve; not the level by much. The open heater has its two
/// transmitters as well.
#[test]
fn a_restless_transmitter_moves_its_valve() {
    let mut run = open();
    insert(&mut run, Kind::LevelNoisy, "hp3.level_control", Some(10.0), 0.0);
    let (mut shown, mut travel, mut was) = (0.0_f64, 0.0, run.get("hp3.normal_drain_valve"));
    for _ in 0..300 {
        run.seconds(1.0).unwrap();
        shown = shown.max((run.get("hp3.level") - run.get("hp3.level_true")).abs());
        let now = run.get("hp3.normal_drain_valve");
        travel += (now - was).abs();
        was = now;
    }
    assert!(shown > 10.0 && shown < 60.0, "{shown}");
    assert!(travel > 1.0, "{travel} strokes in five minutes");
    assert!(run.get("hp3.level_true").abs() < 20.0);
    let open_heater = run.sim.params().open.id.clone();
    insert(&mut run, Kind::LevelHigh, &format!("{open_heater}.level_control"), None, 0.0);
    let before = run.get("unit.condensate_flow");
    run.minutes(2.0).unwrap();
    assert_eq!(run.get(&format!("{open_heater}.level")), 1500.0);
    assert!(run.get("unit.condensate_flow") < 0.8 * before, "the controller takes the condensate back");
}

/// Noise included, the same inputs give the same bits, whatever the batching, and a snapshot goes on with them.
#[test]
fn noise_is_replayed_to_the_bit() {
    let mut a = open();
    insert(&mut a, Kind::LevelNoisy, "hp3.level_control", Some(10.0), 0.0);
    a.seconds(60.0).unwrap();
    let snapshot = a.sim.snapshot().unwrap();
    a.seconds(60.0).unwrap();
    let mut b = open();
    b.sim.restore(&snapshot).unwrap();
    for _ in 0..240 {
        b.steps(1).unwrap();
    }
    assert_eq!(a.sim.state_hash().unwrap(), b.sim.state_hash().unwrap());
}
