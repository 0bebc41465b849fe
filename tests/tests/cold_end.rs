//! The cold end in the plant: condensate pumps, cooling water, air in the condenser. Each sentence with where it comes
//! from; *practice* is common practice, no source.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, load};
use engine::Command;
use engine::event::Code;
use engine::malfunction::Kind;
use engine::pump_logic::Mode;

fn open() -> Run {
    Run::open(PLANT).unwrap()
}

fn remove(run: &mut Run, kind: Kind, device: &str) {
    run.command(Command::RemoveMalfunction { kind, device: device.into() }).unwrap();
}

fn close(a: f64, b: f64, share: f64) -> bool {
    (a - b).abs() <= share * b.abs()
}

/// *Practice*: a condensate pump trips, the standby pump is up within seconds and the store hardly feels it.
#[test]
fn the_standby_condensate_pump_starts() {
    let mut run = open();
    let before = run.get("unit.condensate_flow");
    run.insert(Kind::CondensatePumpTrip, "cp1", None).unwrap();
    run.seconds(1.5).unwrap();
    assert!(run.get("cp1.state") == Mode::Tripped.code() && run.get("cp3.state") == Mode::RunUp.code());
    run.seconds(30.0).unwrap();
    assert_eq!(run.get("cp3.state"), Mode::Running.code());
    assert!(close(run.get("unit.condensate_flow"), before, 0.03), "{}", run.get("unit.condensate_flow"));
    run.minutes(60.0).unwrap();
    assert!(close(run.get("unit.condensate_flow"), before, 1e-3));
    assert!(run.get("open4.level").abs() < 5.0, "{}", run.get("open4.level"));
    assert!(close(run.get("cp2.pump_flow"), run.get("cp3.pump_flow"), 1e-6));
    assert!(run.events().iter().any(|e| e.code == Code::StandbyStarted && e.device == "cp3"));
}

/// *Practice*: with no standby left one pump gives what its curve gives, the flow falls short and so does the storage
/// level, minute by minute, by exactly what is missing; at part load the pump is enough again.
#[test]
fn one_condensate_pump_lets_the_store_run_down() {
    let mut run = open();
    let before = run.get("unit.condensate_flow");
    run.command(Command::TakePumpOut { pump: "cp3".into() }).unwrap();
    run.insert(Kind::CondensatePumpTrip, "cp1", None).unwrap();
    run.minutes(1.0).unwrap();
    let (level, mass) = (run.get("open4.level"), run.sim.state().plant.open.tank.mass);
    let flow = run.get("unit.condensate_flow");
    assert!(flow > 0.55 * before && flow < 0.9 * before, "{flow} of {before}");
    assert!(close(run.get("cp2.pump_flow"), flow, 1e-9));
    run.minutes(4.0).unwrap();
    assert!(run.get("open4.level") < level - 30.0, "{} after {level} mm", run.get("open4.level"));
    let lost = mass - run.sim.state().plant.open.tank.mass;
    let missing = 240.0 * (before - flow);
    assert!(lost > 0.6 * missing && lost < 1.2 * missing, "{lost} kg lost, {missing} kg missing");
    // The hotwell fills meanwhile, and spills.
    assert!(run.get("unit.hotwell_level") > 50.0 && run.get("unit.makeup_flow") < 0.0);
    run.command(load(0.5)).unwrap();
    run.minutes(240.0).unwrap();
    assert!(run.get("open4.level").abs() < 20.0, "{}", run.get("open4.level"));
}

/// *Practice*: less cooling water: it leaves warmer, the condenser's pressure rises, output falls and the heat rate rises;
/// back with the water, all comes back.
#[test]
fn losing_cooling_water_costs_output() {
    let mut run = open();
    let at = |run: &Run| {
        ["condenser_pressure", "gross_output", "heat_rate", "cooling_outlet_temperature"]
            .map(|name| run.get(&format!("unit.{name}")))
    };
    let before = at(&run);
    let rise =
        |run: &Run| run.get("unit.cooling_outlet_temperature") - run.sim.params().condenser.cooling_inlet;
    let full = rise(&run);
    run.insert(Kind::CoolingWaterLoss, "condenser", Some(0.4)).unwrap();
    run.minutes(60.0).unwrap();
    let lost = at(&run);
    assert!(lost[0] > 1.2 * before[0] && lost[0] < 4.0 * before[0], "{lost:?}");
    assert!(lost[1] < 0.995 * before[1] && lost[2] > 1.005 * before[2], "{lost:?} {before:?}");
    // The heat is nearly the same: 0.6 of the water is warmed 1/0.6 times as much.
    assert!(close(rise(&run) / full, 1.0 / 0.6, 0.05), "{}", rise(&run) / full);
    remove(&mut run, Kind::CoolingWaterLoss, "condenser");
    run.minutes(240.0).unwrap();
    for (now, was) in at(&run).iter().zip(before) {
        assert!(close(*now, was, 1e-3), "{now} {was}");
    }
}

/// *Practice*: air in the condenser raises its pressure above the condensate's saturation, hinders the heat, and goes when
/// the leak is mended, at the vacuum pump's pace: minutes.
#[test]
fn air_raises_the_condenser_pressure() {
    let mut run = open();
    let before = run.get("unit.condenser_pressure");
    run.insert(Kind::CondenserAir, "condenser", None).unwrap();
    run.minutes(60.0).unwrap();
    let (now, t) = (run.get("unit.condenser_pressure_true"), run.get("unit.condenser_temperature"));
    let air = run.get("unit.condenser_air");
    assert!(now > 1.2 * before && now < 3.0 * before, "{now} after {before}");
    assert!(close(now, steam::p_sat(t).unwrap() + air, 1e-9) && air > 0.0003);
    assert!(steam::p_sat(t).unwrap() > 1.05 * before, "the heat is hindered too");
    remove(&mut run, Kind::CondenserAir, "condenser");
    let pump = &run.sim.params().condenser;
    let pace = pump.steam_volume / pump.vacuum_pump;
    run.seconds(pace.round()).unwrap();
    let left = run.get("unit.condenser_air") / air;
    // A volume drawn from a stirred space: e^-1 after one change, but for the falling temperature.
    assert!((left - steam::math::exp(-1.0)).abs() < 0.03, "{left}");
    run.minutes(240.0).unwrap();
    assert!(close(run.get("unit.condenser_pressure"), before, 1e-3));
}

/// *Practice*: nearly all cooling water lost at full load: the turbine trips on low vacuum within a minute or two, before
/// the condenser blows off, and is not reset while the vacuum is missing.
#[test]
fn the_turbine_trips_on_low_vacuum() {
    for plant in catalog::PLANTS {
        let mut run = Run::open(plant.name).unwrap();
        run.insert(Kind::CoolingWaterLoss, "condenser", Some(0.95)).unwrap();
        let mark = run.sim.plant().protection.vacuum(run.sim.plant().condenser.pressure).unwrap();
        let took = run.until(900, |run| run.get("unit.standing") == 2.0).unwrap();
        assert!(took > 10.0 && took < 600.0, "{}: {took} s", plant.name);
        assert!(run.get("unit.condenser_pressure") > mark);
        let first: Vec<String> =
            run.sim.protection().into_iter().filter(|r| r.first_out).map(|r| r.row.id).collect();
        assert_eq!(first, ["unit.vacuum_low"], "{}", plant.name);
        assert!(run.events().iter().any(|e| e.code == Code::VacuumLow));
        let refused = run.command(Command::ResetTurbine).unwrap_err();
        assert!(refused.to_string().contains("condenser_pressure shows"), "{refused}");
        run.minutes(5.0).unwrap();
        assert_eq!(run.get("unit.condenser_relief_flow"), 0.0, "{}", plant.name);
        remove(&mut run, Kind::CoolingWaterLoss, "condenser");
        run.minutes(30.0).unwrap();
        run.command(Command::ResetTurbine).unwrap();
        assert!(
            run.sim.protection().iter().all(|r| !r.first_out && r.row.id != "unit.vacuum_low" || !r.tripped)
        );
    }
}

/// Nearly all cooling water lost at full load, on plants without a trip on low vacuum: the condenser blows off to the air
/// and goes no higher, and what blows off is in the books.
#[test]
fn the_condenser_blows_off_rather_than_burst() {
    for plant in catalog::PLANTS {
        let mut file = catalog::plant(plant.name).unwrap();
        file.protection.vacuum_trip = false;
        let mut run = Run::of(engine::Sim::new(file).unwrap());
        run.insert(Kind::CoolingWaterLoss, "condenser", Some(0.95)).unwrap();
        // Before what is blown off leaves the tank too empty for the feed pumps.
        run.minutes(30.0).unwrap();
        let p = run.get("unit.condenser_pressure_true");
        assert!(p > 0.13 && p < 0.17, "{}: {p} MPa", plant.name);
        assert!(run.get("unit.condenser_relief_flow") > 0.0);
        assert!(run.events().iter().any(|e| e.code == Code::CondenserRelief));
        assert!(run.get("unit.mass_residual").abs() < 1e-9 && run.get("unit.energy_residual").abs() < 1e-6);
    }
}
