//! Alarms: what calls the operator, how often, and under which cause.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, emergency_drain, load, normal_drain, release, set, trip};
use engine::Command;
use engine::alarms::{Standing, View};
use engine::controller::Request;
use engine::malfunction::{Kind, Malfunction};

fn insert(run: &mut Run, kind: Kind, device: &str, size: Option<f64>, ramp_s: f64) {
    let malfunction = Malfunction { kind, device: device.into(), size, delay_s: 0.0, ramp_s };
    run.command(Command::InsertMalfunction { malfunction }).unwrap();
}

fn alarm(run: &Run, id: &str) -> View {
    run.sim.alarms().into_iter().find(|a| a.id == id).unwrap()
}

fn acknowledge(run: &mut Run, id: Option<&str>) -> Result<(), engine::Fault> {
    run.command(Command::AcknowledgeAlarm { alarm: id.map(Into::into) })
}

fn open_ones(run: &Run) -> Vec<(String, Standing)> {
    let quiet = [Standing::Normal, Standing::SuppressedByDesign];
    run.sim
        .alarms()
        .into_iter()
        .filter(|a| !quiet.contains(&a.standing))
        .map(|a| (a.id, a.standing))
        .collect()
}

/// A plant at rest calls nobody, at any of its loads once it is there.
#[test]
fn a_plant_at_rest_is_silent() {
    for entry in catalog::PLANTS {
        let mut run = Run::open(entry.name).unwrap();
        run.minutes(10.0).unwrap();
        assert_eq!(open_ones(&run), [], "{}", entry.name);
        assert_eq!(run.sim.alarm_figures().called, 0);
    }
}

/// ISA-18.2 and the guides that go with it (*from memory*): after an upset no more than ten new alarms in ten minutes
/// reach the operator by themselves. The first out is the trip, not what followed.
#[test]
fn a_top_heater_trip_calls_no_more_than_ten_times_in_ten_minutes() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(trip("hp1")).unwrap();
    run.minutes(10.0).unwrap();
    let f = run.sim.alarm_figures();
    assert!(f.called >= 1 && f.called <= 10 && f.peak <= 10, "{f:?}");
    let first: Vec<String> = run.sim.alarms().into_iter().filter(|a| a.first_out).map(|a| a.id).collect();
    assert_eq!(first, ["hp1.off"]);
}

/// A heater lost with its drains held by hand: the high level calls before the trip, the trip is first out, what follows
/// stands under it; latched until the reset though its cause is gone.
#[test]
fn consequences_stand_under_the_trip_that_caused_them() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(normal_drain("hp3", 0.0)).unwrap();
    run.command(emergency_drain("hp3", 0.0)).unwrap();
    run.until(600, |run| run.get("hp3.mode") == 2.0).unwrap();
    run.seconds(30.0).unwrap();
    assert_eq!(alarm(&run, "hp3.high_level").under, None, "it called before");
    let cause = alarm(&run, "hp3.level_high_high");
    assert!(cause.first_out && cause.standing == Standing::Unacknowledged && cause.under.is_none());
    assert_eq!(alarm(&run, "hp3.off").under.as_deref(), Some("hp3.level_high_high"));
    acknowledge(&mut run, None).unwrap();
    assert_eq!(alarm(&run, "hp3.level_high_high").standing, Standing::Acknowledged);
    run.minutes(3.0).unwrap();
    for command in release("hp3") {
        run.command(command).unwrap();
    }
    run.minutes(15.0).unwrap();
    assert_eq!(alarm(&run, "hp3.level_high_high").standing, Standing::LatchedAcknowledged);
    assert!(alarm(&run, "hp3.level_high_high").first_out, "kept until it is reset");
    assert_eq!(alarm(&run, "hp3.low_level").standing, Standing::SuppressedByDesign);
    run.command(Command::ResetProtection { row: None }).unwrap();
    run.seconds(5.0).unwrap();
    assert_eq!(alarm(&run, "hp3.level_high_high").standing, Standing::Normal);
    assert!(run.sim.alarm_figures().called <= 10, "{:?}", run.sim.alarm_figures());
}

/// What tells a transmitter that lies from a drain that is stuck and from a frozen controller: which alarm comes.
#[test]
fn a_lying_transmitter_a_stuck_drain_and_a_frozen_controller_raise_different_alarms() {
    let raised = |kind: Kind, device: &str| {
        let mut run = Run::open(PLANT).unwrap();
        let size = (kind == Kind::LevelDrift).then_some(-45.0);
        insert(&mut run, kind, device, size, if size.is_some() { 300.0 } else { 0.0 });
        run.command(load(0.7)).unwrap();
        let mut ids = Vec::new();
        for _ in 0..600 {
            run.seconds(1.0).unwrap();
            for (id, _) in open_ones(&run) {
                if id.starts_with("hp2.") && !ids.contains(&id) {
                    ids.push(id);
                }
            }
        }
        ids
    };
    let lying = raised(Kind::LevelDrift, "hp2.level_control");
    assert!(
        lying.contains(&"hp2.levels_apart".into()) && !lying.contains(&"hp2.drain_off".into()),
        "{lying:?}"
    );
    let stuck = raised(Kind::NormalDrainStuck, "hp2");
    assert!(
        stuck.contains(&"hp2.drain_off".into()) && !stuck.contains(&"hp2.levels_apart".into()),
        "{stuck:?}"
    );
    let frozen = raised(Kind::ControllerFrozen, "hp2.normal_drain");
    assert!(!frozen.iter().any(|id| id == "hp2.drain_off" || id == "hp2.levels_apart"), "{frozen:?}");
    assert!(!frozen.is_empty(), "its level leaves the marks");
}

/// Deadband and delays: a restless transmitter at its mark does not chatter.
#[test]
fn an_alarm_at_its_mark_does_not_chatter() {
    let mut run = Run::open(PLANT).unwrap();
    let setpoint = set("hp2.normal_drain", &Request { setpoint: Some(50.0), ..Request::default() });
    run.command(setpoint).unwrap();
    insert(&mut run, Kind::LevelNoisy, "hp2.level_control", Some(2.0), 0.0);
    run.minutes(60.0).unwrap();
    let called = run.sim.alarm_figures().called;
    assert!((1..=6).contains(&called), "{called} calls in an hour at the mark");
}

#[test]
fn an_alarm_is_shelved_for_a_time_and_taken_out_of_service() {
    let mut run = Run::open(PLANT).unwrap();
    let shelve = |id: &str, seconds: f64| Command::ShelveAlarm { alarm: id.into(), seconds };
    run.command(shelve("hp2.high_level", 300.0)).unwrap();
    insert(&mut run, Kind::LevelHigh, "hp2.level_control", None, 0.0);
    run.minutes(4.0).unwrap();
    let a = alarm(&run, "hp2.high_level");
    assert!(
        a.active && a.standing == Standing::Shelved && a.shelved_for > 0.0 && a.shelved_for < 70.0,
        "{a:?}"
    );
    run.minutes(2.0).unwrap();
    assert_eq!(alarm(&run, "hp2.high_level").standing, Standing::Unacknowledged, "it still holds");
    let out = |out: bool| Command::AlarmOutOfService { alarm: "hp2.high_level".into(), out };
    run.command(out(true)).unwrap();
    assert_eq!(alarm(&run, "hp2.high_level").standing, Standing::OutOfService);
    run.command(out(false)).unwrap();
    run.seconds(1.0).unwrap();
    assert_eq!(alarm(&run, "hp2.high_level").standing, Standing::Unacknowledged);
    acknowledge(&mut run, Some("hp2.high_level")).unwrap();
    for (command, code) in [
        (shelve("hp2.level_high_high", 60.0), "refused"),
        (shelve("hp2.high_level", 1e6), "out_of_range"),
        (shelve("hp2.level", 60.0), "no_such_alarm"),
        (Command::UnshelveAlarm { alarm: "hp2.high_level".into() }, "refused"),
        (out(false), "refused"),
        (Command::AcknowledgeAlarm { alarm: Some("hp2.high_level".into()) }, "refused"),
    ] {
        assert_eq!(run.command(command.clone()).unwrap_err().code, code, "{command:?}");
    }
}

/// The same after the turbine has tripped at full load, on every shipped plant, whether its valves shut, protection shut
/// them or a hand did: no more than ten calls in ten minutes, and the first out is the trip.
#[test]
fn a_turbine_trip_calls_no_more_than_ten_times_in_ten_minutes() {
    type Trip = fn(&mut Run);
    let trips: [(&str, Trip); 3] = [
        ("unit.stop_valves_shut", |run| insert(run, Kind::TurbineTrip, "unit", None, 0.0)),
        ("unit.tripped", |run| run.command(Command::TripTurbine).unwrap()),
        ("unit.vacuum_low", |run| insert(run, Kind::CoolingWaterLoss, "condenser", Some(0.95), 0.0)),
    ];
    for entry in catalog::PLANTS {
        for (cause, trip) in &trips {
            let mut run = Run::open(entry.name).unwrap();
            trip(&mut run);
            run.until(900, |run| run.get("unit.standing") == 2.0).unwrap();
            run.minutes(10.0).unwrap();
            let f = run.sim.alarm_figures();
            let open: Vec<String> = run
                .sim
                .alarms()
                .into_iter()
                .filter(|a| a.raised_at > 0.0 || a.active)
                .map(|a| a.id)
                .collect();
            assert!(
                f.called >= 1 && f.called <= 10 && f.peak <= 10,
                "{} {cause}: {f:?} {open:?}",
                entry.name
            );
            assert!(f.grouped > 0, "{} {cause}: nothing followed? {open:?}", entry.name);
            let first: Vec<String> =
                run.sim.alarms().into_iter().filter(|a| a.first_out).map(|a| a.id).collect();
            assert_eq!(first, [*cause], "{}: {open:?}", entry.name);
        }
    }
}
