//! What each malfunction shows: its signature on the instruments, how it begins, grows and is taken away.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, load, trip};
use engine::Command;
use engine::malfunction::{Kind, Malfunction, SPECS, devices};

fn insert(run: &mut Run, kind: Kind, device: &str, size: Option<f64>, delay_s: f64, ramp_s: f64) {
    let malfunction = Malfunction { kind, device: device.into(), size, delay_s, ramp_s };
    run.command(Command::InsertMalfunction { malfunction }).unwrap();
}

fn remove(run: &mut Run, kind: Kind, device: &str) {
    run.command(Command::RemoveMalfunction { kind, device: device.into() }).unwrap();
}

fn open() -> Run {
    Run::open(PLANT).unwrap()
}

/// A normal drain stuck where it was: the level wanders once the load moves, and the controller asks in vain.
#[test]
fn a_stuck_normal_drain_lets_the_level_go_when_the_load_moves() {
    let mut run = open();
    insert(&mut run, Kind::NormalDrainStuck, "hp2", None, 0.0, 0.0);
    let was = run.get("hp2.normal_drain_valve");
    run.minutes(5.0).unwrap();
    assert!(run.get("hp2.level").abs() < 1.0, "nothing shows while nothing moves");
    run.command(load(0.7)).unwrap();
    run.minutes(8.0).unwrap();
    assert_eq!(run.get("hp2.normal_drain_valve"), was);
    assert!(run.get("hp2.level").abs() > 20.0, "{}", run.get("hp2.level"));
    remove(&mut run, Kind::NormalDrainStuck, "hp2");
    run.minutes(40.0).unwrap();
    assert!(run.get("hp2.level").abs() < 2.0, "{}", run.get("hp2.level"));
}

/// An emergency drain that leaks: the stem says shut and yet water passes; the normal drain passes as much less.
#[test]
fn a_leaking_emergency_drain_passes_with_its_stem_shut() {
    let mut run = open();
    let before = run.get("hp2.normal_drain_flow");
    insert(&mut run, Kind::EmergencyDrainLeaks, "hp2", Some(0.1), 0.0, 60.0);
    run.minutes(20.0).unwrap();
    assert_eq!(run.get("hp2.emergency_drain_valve"), 0.0);
    let (leaks, normal) = (run.get("hp2.emergency_drain_flow"), run.get("hp2.normal_drain_flow"));
    assert!(leaks > 1.0, "{leaks}");
    assert!(normal < before - 0.8 * leaks, "{normal} {before} {leaks}");
    assert!(run.get("hp2.level").abs() < 2.0);
}

/// The normal drain loses its supply and shuts: level up, the emergency drain takes over before the heater is lost.
#[test]
fn a_normal_drain_that_fails_shut_gives_way_to_the_emergency_drain() {
    let mut run = open();
    insert(&mut run, Kind::NormalDrainFails, "hp2", None, 30.0, 0.0);
    run.seconds(29.0).unwrap();
    assert!(run.get("hp2.normal_drain_valve") > 0.2, "not before its delay");
    run.minutes(10.0).unwrap();
    assert_eq!(run.get("hp2.normal_drain_valve"), 0.0);
    assert!(run.get("hp2.emergency_drain_flow") > 10.0);
    assert!(run.get("hp2.level") > 20.0);
    assert_eq!(run.get("hp2.mode"), 0.0, "the heater stays in service");
}

/// A stop valve that runs shut: the heater's steam goes, its step sinks, the next higher heater takes more.
#[test]
fn a_stop_valve_that_shuts_takes_the_steam_away() {
    let mut run = open();
    let (rise, above) = (run.get("hp2.fw_out_temperature"), run.get("hp1.extraction_flow"));
    insert(&mut run, Kind::StopValveShuts, "hp2", None, 0.0, 0.0);
    run.minutes(10.0).unwrap();
    assert_eq!((run.get("hp2.stop_valve"), run.get("hp2.extraction_flow_true")), (0.0, 0.0));
    assert!(run.get("hp2.fw_out_temperature") < rise - 20.0);
    assert!(run.get("hp1.extraction_flow") > 1.2 * above);
}

/// With the stop valve stuck a tripped heater is not shut off: the sequence waits and says so by its mode.
#[test]
fn a_stuck_stop_valve_hinders_a_trip() {
    let mut run = open();
    insert(&mut run, Kind::StopValveStuck, "hp1", None, 0.0, 0.0);
    run.command(trip("hp1")).unwrap();
    run.minutes(5.0).unwrap();
    assert_eq!(run.get("hp1.stop_valve"), 1.0);
    assert_eq!(run.get("hp1.bypass"), 0.0, "steam first, then water");
    // The second line of defence does not depend on the first.
    assert_eq!(run.get("hp1.extraction_flow_true"), 0.0, "the assisted non-return valve has shut");
}

/// Every kind can be inserted on every device of its class with its default, grows on time, and leaves no trace but in
/// the plant once it is removed.
#[test]
fn every_kind_comes_and_goes() {
    for spec in SPECS {
        let mut run = open();
        let device = devices(run.sim.params(), spec.class).pop().unwrap();
        let before = run.sim.state_hash().unwrap();
        insert(&mut run, spec.kind, &device, None, 5.0, 10.0);
        let again =
            Malfunction { kind: spec.kind, device: device.clone(), size: None, delay_s: 0.0, ramp_s: 0.0 };
        let refused = run.command(Command::InsertMalfunction { malfunction: again }).unwrap_err();
        assert_eq!(refused.code, "in_force", "{:?}", spec.kind);
        let (shares, list) = ([4.0, 5.0, 10.0, 15.0, 99.0], &run.sim.state().malfunctions);
        assert_eq!(shares.map(|t| list[0].share(t)), [0.0, 0.0, 0.5, 1.0, 1.0]);
        remove(&mut run, spec.kind, &device);
        assert_eq!(run.sim.state_hash().unwrap(), before);
        let gone = run.command(Command::RemoveMalfunction { kind: spec.kind, device }).unwrap_err();
        assert_eq!(gone.code, "not_in_force");
    }
}

#[test]
fn a_wrong_malfunction_is_refused_with_its_place() {
    let mut run = open();
    for (device, size, delay_s, says) in [
        ("open4", None, 0.0, "hp1"),
        ("hp9", None, 0.0, "It can befall"),
        ("hp1", Some(1.5), 0.0, "from 0 to 1"),
        ("hp1", Some(f64::NAN), 0.0, "from 0 to 1"),
        ("hp1", None, -1.0, "delay"),
        ("hp1", None, f64::INFINITY, "delay"),
    ] {
        let m =
            Malfunction { kind: Kind::NormalDrainLeaks, device: device.into(), size, delay_s, ramp_s: 0.0 };
        let fault = run.command(Command::InsertMalfunction { malfunction: m }).unwrap_err();
        assert!(fault.to_string().contains(says), "{fault}");
    }
    assert!(run.sim.state().malfunctions.is_empty());
}
