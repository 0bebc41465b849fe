//! Protection of the unit and its pumps: what trips on what, what is kept as the first out, what is refused and why.
//! *Practice* is common practice, no source.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, load, set};
use engine::Command;
use engine::controller::{self, Request};
use engine::event::Code;
use engine::malfunction::Kind;
use engine::operation::protection::View;
use engine::pump_logic::Mode;

fn remove(run: &mut Run, kind: Kind, device: &str) {
    run.command(Command::RemoveMalfunction { kind, device: device.into() }).unwrap();
}

fn row(run: &Run, id: &str) -> View {
    run.sim.protection().into_iter().find(|r| r.row.id == id).unwrap()
}

fn first_out(run: &Run) -> Option<String> {
    run.sim.protection().into_iter().find(|r| r.first_out).map(|r| r.row.id)
}

fn by_hand(output: f64) -> Request {
    Request { mode: Some(controller::Mode::Manual), output: Some(output), ..Request::default() }
}

fn put_back(pump: &str) -> Command {
    Command::PutPumpBack { pump: pump.into() }
}

/// *Practice*: with every feed pump lost the load is run back and the drum empties; the unit trips on low-low drum level,
/// long before the drum is dry, and is not reset until a pump has filled it again.
#[test]
fn with_every_feed_pump_lost_the_unit_trips_on_drum_level() {
    for entry in catalog::PLANTS {
        let mut run = Run::open(entry.name).unwrap();
        for pump in ["fp1", "fp2", "fp3"] {
            run.insert(Kind::FeedPumpTrip, pump, None).unwrap();
        }
        let took = run.until(900, |run| run.get("unit.standing") == 2.0).unwrap();
        assert!(took > 10.0, "{}: {took} s", entry.name);
        assert_eq!(first_out(&run).unwrap(), "unit.drum_low_low", "{}", entry.name);
        assert!(run.events().iter().any(|e| e.code == Code::DrumLevelLow));
        run.minutes(10.0).unwrap();
        let level = run.get("unit.drum_level");
        assert!(level > -500.0 && level < -200.0, "{}: {level} mm", entry.name);
        assert_eq!(run.get("unit.throttle_flow"), 0.0);
        let why = run.command(Command::ResetTurbine).unwrap_err().to_string();
        assert!(why.contains("unit.drum_level shows"), "{why}");
        for pump in ["fp1", "fp2", "fp3"] {
            remove(&mut run, Kind::FeedPumpTrip, pump);
            run.seconds(1.0).unwrap();
            run.command(put_back(pump)).unwrap();
        }
        // The feed is missing: the first that stands by is started.
        run.seconds(15.0).unwrap();
        assert!(run.events().iter().any(|e| e.code == Code::StandbyStarted), "{}", entry.name);
        run.until(3600, |run| !row(run, "unit.drum_low_low").cause).unwrap();
        run.command(Command::ResetTurbine).unwrap();
        assert_eq!(first_out(&run), None, "{}", entry.name);
        run.minutes(1.0).unwrap();
        run.command(load(0.2)).unwrap();
        run.minutes(20.0).unwrap();
        assert!(run.get("unit.load") > 0.15, "{}: {}", entry.name, run.get("unit.load"));
    }
}

/// *Practice*: a drum overfilled, here by its controller held at its most, trips the turbine before water follows the
/// steam.
#[test]
fn an_overfull_drum_trips_the_turbine() {
    let mut run = Run::open(PLANT).unwrap();
    let full = set("unit.feed_trim", &by_hand(0.2));
    run.command(full).unwrap();
    run.until(3600, |run| run.get("unit.standing") == 2.0).unwrap();
    assert_eq!(first_out(&run).unwrap(), "unit.drum_high_high");
    assert!(run.get("unit.drum_level") > 249.0);
}

/// *Practice*: one of two feed pumps lost with no standby: the row that runs the load back acts, and no longer once the
/// load is there. The other lost too on the way: the load is led further down.
#[test]
fn the_load_is_run_back_further_when_more_is_lost() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(Command::TakePumpOut { pump: "fp3".into() }).unwrap();
    run.insert(Kind::FeedPumpTrip, "fp1", None).unwrap();
    run.seconds(10.0).unwrap();
    assert!(row(&run, "unit.feed_excess").tripped && row(&run, "fp1.tripped").tripped);
    assert!(run.get("unit.load_demand") > 0.5);
    run.insert(Kind::FeedPumpTrip, "fp2", None).unwrap();
    run.seconds(5.0).unwrap();
    assert!((run.get("unit.load_demand") - 0.25).abs() < 1e-12);
    assert_eq!(run.events().iter().filter(|e| e.code == Code::Runback).count(), 2);
}

/// *Practice*: a feed pump whose minimum-flow valve stays shut gets too little flow at low load, and is tripped after its
/// delay before its water boils; the standby pump starts.
#[test]
fn a_feed_pump_with_too_little_flow_is_tripped() {
    let mut run = Run::open(PLANT).unwrap();
    run.insert(Kind::RecirculationStuck, "fp1", None).unwrap();
    run.minutes(2.0).unwrap();
    assert!(!row(&run, "fp1.low_flow").tripped, "nothing shows at full load");
    run.command(load(0.05)).unwrap();
    run.until(3600, |run| row(run, "fp1.low_flow").tripped).unwrap();
    run.seconds(1.0).unwrap();
    assert!(run.get("fp2.recirculation_flow") > 0.0 && run.get("fp1.recirculation_flow") == 0.0);
    assert_eq!(run.get("fp1.state"), Mode::Tripped.code());
    assert!(run.events().iter().any(|e| e.code == Code::PumpLowFlow && e.device == "fp1"));
    assert!(run.events().iter().any(|e| e.code == Code::StandbyStarted && e.device == "fp3"));
    assert_eq!(first_out(&run).unwrap(), "fp1.low_flow");
    // Put back on standby, its row is reset with it.
    run.minutes(10.0).unwrap();
    run.command(put_back("fp1")).unwrap();
    assert!(!row(&run, "fp1.low_flow").tripped && first_out(&run).is_none());
}

/// *Practice*: a tank that runs empty trips the feed pumps before they draw steam, none starts by itself or by hand, and
/// the unit follows on drum level.
#[test]
fn an_empty_tank_trips_the_feed_pumps() {
    let mut run = Run::open(PLANT).unwrap();
    for pump in ["cp1", "cp2", "cp3"] {
        run.insert(Kind::CondensatePumpTrip, pump, None).unwrap();
    }
    run.until(3600, |run| row(run, "open4.level_low_low").tripped).unwrap();
    assert_eq!(first_out(&run).unwrap(), "open4.level_low_low");
    assert!(run.get("open4.level_true") < -1500.0);
    run.seconds(1.0).unwrap();
    for pump in ["fp1", "fp2"] {
        assert_eq!(run.get(&format!("{pump}.state")), Mode::Tripped.code());
    }
    assert_eq!(run.get("fp3.state"), Mode::Standby.code());
    let why = run.command(Command::StartPump { pump: "fp3".into() }).unwrap_err().to_string();
    assert!(why.contains("open4.level_low_low has acted"), "{why}");
    run.until(900, |run| run.get("unit.standing") == 2.0).unwrap();
    assert_eq!(first_out(&run).unwrap(), "open4.level_low_low", "kept");
    assert!(row(&run, "unit.drum_low_low").tripped);
    run.until(900, |run| run.get("fp1.speed") == 0.0).unwrap();
    let why = run.command(put_back("fp1")).unwrap_err().to_string();
    assert!(why.contains("open4.level_protection shows"), "{why}");
    assert_eq!(run.get("fp1.state"), Mode::Tripped.code(), "refused, nothing has changed");
}

/// *Practice*: a tank that fills has its condensate kept away before steam and drains are.
#[test]
fn a_full_tank_gets_no_condensate() {
    let mut run = Run::open(PLANT).unwrap();
    let most = set("open4.condensate", &by_hand(1.35));
    run.command(most).unwrap();
    run.until(7200, |run| row(run, "open4.level_very_high").tripped).unwrap();
    run.seconds(30.0).unwrap();
    assert!(run.get("unit.condensate_flow") < 1.0, "{}", run.get("unit.condensate_flow"));
    run.minutes(60.0).unwrap();
    assert!(!row(&run, "open4.level_high_high").tripped, "it never got there");
    assert_eq!(run.get("unit.standing"), 0.0);
}

/// Where the plant file says so, a heater's high-high level trips the turbine too.
#[test]
fn a_heater_that_nothing_else_keeps_off_trips_the_turbine() {
    let mut file = catalog::plant(PLANT).unwrap();
    file.protection.heaters_trip_turbine = vec!["lp7".into()];
    let mut run = Run::of(engine::Sim::new(file.clone()).unwrap());
    run.insert(Kind::LevelHigh, "lp6.level_protection", None).unwrap();
    run.seconds(20.0).unwrap();
    assert_eq!(run.get("unit.standing"), 0.0);
    run.insert(Kind::LevelHigh, "lp7.level_protection", None).unwrap();
    run.seconds(20.0).unwrap();
    assert_eq!(run.get("unit.standing"), 2.0);
    assert_eq!(first_out(&run).unwrap(), "lp6.level_high_high");
    let why = run.command(Command::ResetTurbine).unwrap_err().to_string();
    assert!(why.contains("lp7.level_protection shows"), "{why}");
    file.protection.heaters_trip_turbine = vec!["open4".into()];
    let faults = engine::plant::check::check(&file);
    assert!(faults[0].place.contains("heaters_trip_turbine[0]"), "{faults:?}");
}

/// Load rejection and turbine trip are rows as well: each is kept as the first out and reset with the turbine.
#[test]
fn what_takes_the_unit_off_the_grid_is_kept_until_the_turbine_is_reset() {
    for (kind, id) in
        [(Kind::LoadRejection, "unit.load_rejection"), (Kind::TurbineTrip, "unit.stop_valves_shut")]
    {
        let mut run = Run::open(PLANT).unwrap();
        run.insert(kind, "unit", None).unwrap();
        run.minutes(2.0).unwrap();
        assert_eq!(first_out(&run).unwrap(), id);
        remove(&mut run, kind, "unit");
        run.seconds(2.0).unwrap();
        run.command(Command::ResetTurbine).unwrap();
        assert_eq!(first_out(&run), None);
        run.seconds(20.0).unwrap();
        assert_eq!(run.get("unit.standing"), 0.0);
    }
}
