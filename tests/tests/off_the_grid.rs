//! The unit off the grid: turbine trip, load rejection, and the way back.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, load};
use engine::Command;
use engine::event::Code;
use engine::malfunction::{Kind, Malfunction};
use engine::plant::file::{Heater, VentTo};
use engine::unit::{Hold, Standing};

const HEATERS: [&str; 7] = ["hp1", "hp2", "hp3", "open4", "lp5", "lp6", "lp7"];

fn broken(kind: Kind) -> Command {
    let malfunction = Malfunction { kind, device: "unit".into(), size: None, delay_s: 0.0, ramp_s: 0.0 };
    Command::InsertMalfunction { malfunction }
}

fn mended(kind: Kind) -> Command {
    Command::RemoveMalfunction { kind, device: "unit".into() }
}

fn has(run: &Run, code: Code) -> bool {
    run.events().iter().any(|e| e.code == code)
}

fn at(run: &Run, id: &str, what: &str) -> f64 {
    run.get(&format!("{id}.{what}"))
}

/// *Practice*: turbine trip: the low- and intermediate-pressure stages fall to condenser pressure in about a second, the
/// heaters hold theirs: the non-return valves must shut.
#[test]
fn turbine_trip() {
    let mut run = Run::open(PLANT).unwrap();
    let before: Vec<f64> = HEATERS.iter().map(|id| at(&run, id, "shell_pressure")).collect();
    run.command(Command::TripTurbine).unwrap();
    run.seconds(2.0).unwrap();
    assert_eq!((run.get("unit.throttle_flow_true"), run.get("unit.gross_output")), (0.0, 0.0));
    let condenser = run.get("unit.condenser_pressure_true");
    for (id, was) in HEATERS.iter().zip(before) {
        let stage = at(&run, id, "extraction_pressure_true");
        assert!(stage < 1.05 * condenser, "{id}: {stage} MPa at the stage, condenser {condenser} MPa");
        let holds = at(&run, id, "shell_pressure") / was;
        assert!(holds > 0.85, "{id} holds {holds} of its pressure");
        assert_eq!(at(&run, id, "extraction_flow_true"), 0.0, "{id}");
    }
    assert_eq!(run.get("unit.standing"), Standing::Tripped.code());
    assert!(has(&run, Code::TurbineTripped));
    // Nothing can be asked of the unit until it is reset.
    let refused = run.command(load(0.5)).unwrap_err();
    assert!(refused.remedy.contains("Reset the turbine"), "{refused}");
}

/// Tripped for hours: no steam flows anywhere, the shells cool by what water still passes, the open heater
/// is warmed by the feed pumps alone, nothing leaves the physical.
#[test]
fn a_tripped_unit_stays_lawful_for_hours() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(Command::TripTurbine).unwrap();
    let held = |run: &Run| run.sim.state().plant.open.tank.energy;
    let mut before = held(&run);
    let venting: Vec<String> = run
        .sim
        .plant()
        .heaters
        .iter()
        .filter_map(|h| match h {
            Heater::Closed(c) if c.vents_to == VentTo::Open => Some(format!("{}.vent_flow", c.id)),
            _ => None,
        })
        .collect();
    for hour in 0..6 {
        // What the shells' vents bring, with the most that a kilogram of saturated steam holds (kJ): 2804 at 3 MPa.
        let mut vented = 0.0;
        for _ in 0..60 {
            vented += venting.iter().map(|id| run.get(id) * 60.0 * 2804.0).sum::<f64>();
            run.minutes(1.0).unwrap();
        }
        for id in HEATERS {
            assert_eq!(at(&run, id, "extraction_flow"), 0.0, "{id} after {hour} h");
        }
        // The feed pumps on their minimum flow warm the tank, and the steam that hot shells still vent to it; nothing
        // else does.
        let warmed = held(&run) - before;
        let pumps = run.get("unit.feed_pump_power") * 3600.0;
        assert!(
            warmed < 1.01 * pumps + vented,
            "{warmed} kJ in hour {hour}, the pumps gave {pumps}, vents {vented}"
        );
        before = held(&run);
        assert!(run.get("open4.shell_pressure") > run.get("unit.condenser_pressure"));
        // What was on its way to the drum stays there: no steam leaves.
        let drum = run.get("unit.drum_level");
        assert!(drum.abs() < 400.0, "{drum} mm");
        assert!(run.values().iter().all(|v| v.is_finite()));
    }
}

/// A stop valve that shuts by itself is a trip too, and so it stays while the valve stays shut.
#[test]
fn stop_valves_that_shut_are_a_trip() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(broken(Kind::TurbineTrip)).unwrap();
    run.seconds(5.0).unwrap();
    assert_eq!(
        (run.get("unit.standing"), run.get("unit.throttle_flow_true")),
        (Standing::Tripped.code(), 0.0)
    );
    run.command(Command::ResetTurbine).unwrap();
    run.minutes(1.0).unwrap();
    assert_eq!(run.get("unit.standing"), Standing::Tripped.code());
    run.command(mended(Kind::TurbineTrip)).unwrap();
    run.command(Command::ResetTurbine).unwrap();
    run.command(load(0.3)).unwrap();
    run.minutes(30.0).unwrap();
    assert!((run.get("unit.load") - 0.3).abs() < 1e-9);
}

/// *Practice*: load rejection: the steam falls to what the unit needs for itself, the tank's pressure falls in minutes,
/// the water in the suction pipe stays hot for one transit.
#[test]
fn load_rejection() {
    let mut run = Run::open(PLANT).unwrap();
    let tank = run.get("open4.shell_pressure");
    run.command(broken(Kind::LoadRejection)).unwrap();
    run.seconds(2.0).unwrap();
    let house = run.sim.plant().turbine.house_load;
    let carried = run.get("unit.throttle_flow_true") / run.sim.plant().boiler.steam_flow;
    assert!((carried - house).abs() < 1e-6, "{carried}");
    assert!(has(&run, Code::LoadRejected));
    // Seconds after, the tank has hardly noticed; minutes after, it has.
    assert!(run.get("open4.shell_pressure") > 0.97 * tank);
    run.minutes(1.0).unwrap();
    assert!(run.get("unit.feed_pump_suction_temperature") >= run.get("open4.fw_out_temperature"));
    run.minutes(20.0).unwrap();
    let left = run.get("open4.shell_pressure") / tank;
    assert!(left < 0.9, "{left} of the pressure left");
    // There is no way back before the grid is there.
    assert!(run.command(Command::ResetTurbine).is_err());
    run.command(mended(Kind::LoadRejection)).unwrap();
    run.seconds(1.0).unwrap();
    let steam = run.get("unit.throttle_flow");
    run.command(Command::ResetTurbine).unwrap();
    run.seconds(5.0).unwrap();
    assert!((run.get("unit.throttle_flow") - steam).abs() < 1e-6, "no bump on the way back to the grid");
    assert!(run.get("unit.gross_output") > 0.0);
}

/// What is held changes without a bump, and stays held when a heater goes out.
#[test]
fn holding_something_else_does_not_bump() {
    for (hold, signal) in [(Hold::GrossOutput, "unit.gross_output"), (Hold::Firing, "unit.heat_added")] {
        let mut run = Run::open(PLANT).unwrap();
        run.command(load(0.8)).unwrap();
        run.minutes(60.0).unwrap();
        let (steam, held) = (run.get("unit.throttle_flow"), run.get(signal));
        run.command(Command::SetHold { hold }).unwrap();
        run.minutes(1.0).unwrap();
        assert!((run.get("unit.throttle_flow") / steam - 1.0).abs() < 1e-5, "{hold:?} bumps the steam");
        run.command(bledsteam_tests::trip("hp1")).unwrap();
        run.minutes(60.0).unwrap();
        assert!((run.get(signal) / held - 1.0).abs() < 1e-4, "{hold:?}: {} of {held}", run.get(signal));
        // Output held: less steam does it, since none is taken. Firing held: colder water, less steam.
        assert!(run.get("unit.throttle_flow") < 0.995 * steam, "{hold:?}");
    }
}

/// Every load from nothing to 110 %, in either direction.
#[test]
fn any_load_from_nothing_to_110_percent() {
    let mut run = Run::open(PLANT).unwrap();
    for share in [1.1, 0.0, 0.05, 1.1, 0.15] {
        run.command(load(share)).unwrap();
        run.minutes(60.0).unwrap();
        assert!((run.get("unit.load") - share).abs() < 1e-9, "{share}");
        assert!(run.values().iter().all(|v| v.is_finite()), "{share}");
        assert!(run.get("unit.drum_level").abs() < 100.0, "{share}");
    }
}
