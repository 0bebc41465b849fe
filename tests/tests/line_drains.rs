//! Drains of extraction lines: who opens them, what they pass, what they cost, and what they keep from the turbine.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::sane::Watch;
use bledsteam_tests::{PLANT, Run, isolate, normal_drain, put_back, trip};
use engine::Command;
use engine::event::Code;
use engine::local::HandValve;
use engine::malfunction::{self, Class, Kind};
use engine::plant::file::{Heater, Plant};
use engine::sim::Sim;
use engine::steady::{Case, Hold, Outage};

/// A plant whose lines have no drains.
fn without(plant: &str) -> Plant {
    let mut p = catalog::plant(plant).unwrap();
    for h in &mut p.heaters {
        match h {
            Heater::Closed(c) => c.equipment.as_mut().unwrap().extraction.line_drain = None,
            Heater::Open(o) => o.equipment.as_mut().unwrap().extraction.line_drain = None,
        }
    }
    p
}

fn open(run: &Run, heater: &str) -> f64 {
    run.get(&format!("{heater}.line_drain_valve"))
}

/// What was said of the drain of a heater's extraction line.
fn said(run: &Run, heater: &str) -> Vec<Code> {
    let of = |code: Code| matches!(code, Code::LineDrainOpen | Code::LineDrainShut);
    run.events().iter().filter(|e| e.device == heater && of(e.code)).map(|e| e.code).collect()
}

fn lines(run: &Run) -> Vec<String> {
    malfunction::devices(run.sim.params(), Class::Line)
}

fn by_hand(heater: &str, position: Option<f64>) -> Command {
    Command::LocalValve { heater: heater.into(), valve: HandValve::LineDrain, position }
}

/// A heater at full load whose drains do not take what comes, whose protection is blind and whose non-return valve does not
/// shut, with the drain of its line opened by hand before, unless it sticks: its steam is not shut, so that nothing else does.
fn drowning(stuck: bool) -> Run {
    let mut run = Run::open(PLANT).unwrap();
    if stuck {
        run.insert(Kind::LineDrainStuck, "hp2", None).unwrap();
    }
    run.command(by_hand("hp2", Some(1.0))).unwrap();
    run.minutes(6.0).unwrap();
    run.insert(Kind::NonReturnStuck, "hp2", None).unwrap();
    run.insert(Kind::LevelLow, "hp2.level_protection", None).unwrap();
    run.insert(Kind::EmergencyDrainStuck, "hp2", None).unwrap();
    run.command(normal_drain("hp2", 0.1)).unwrap();
    run
}

/// Shut at rest; open as soon as an extraction is isolated or a heater taken off, until it is in service again; all open at
/// a turbine trip and while the grid is lost.
#[test]
fn protection_opens_them_when_steam_is_shut_and_shuts_them_again() {
    let mut run = Run::open(PLANT).unwrap();
    run.minutes(1.0).unwrap();
    assert!(lines(&run).iter().all(|id| open(&run, id) == 0.0));
    run.command(isolate("hp2")).unwrap();
    run.command(trip("lp6")).unwrap();
    run.seconds(15.0).unwrap();
    // The stop valve is still on its way.
    assert!(run.get("hp2.stop_valve") > 0.5 && open(&run, "hp2") == 1.0 && open(&run, "lp6") == 1.0);
    for id in lines(&run) {
        // One that is taken off takes its bypass group with it.
        assert_eq!(open(&run, &id) == 1.0, run.get(&format!("{id}.mode")) > 0.0, "{id}");
    }
    run.minutes(20.0).unwrap();
    run.command(put_back("hp2")).unwrap();
    run.minutes(2.0).unwrap();
    assert_eq!(open(&run, "hp2"), 1.0, "it drains what the line collects until the extraction is in service");
    run.until(7200, |run| run.get("hp2.mode") == 0.0).unwrap();
    run.seconds(15.0).unwrap();
    assert_eq!((open(&run, "hp2"), run.get("hp2.line_drain_flow")), (0.0, 0.0));
    run.command(Command::TripTurbine).unwrap();
    run.seconds(15.0).unwrap();
    assert!(lines(&run).iter().all(|id| open(&run, id) == 1.0));
    // Each time one leaves its seat or comes back to it, that is said once.
    let (up, down) = (Code::LineDrainOpen, Code::LineDrainShut);
    assert_eq!(said(&run, "hp2"), [up, down, up]);
    assert_eq!(said(&run, "lp6"), [up], "it was open when the turbine tripped");
    assert_eq!((said(&run, "hp1"), said(&run, "open4")), (vec![up], vec![up]));
    let mut run = Run::open(PLANT).unwrap();
    run.insert(Kind::LoadRejection, "unit", None).unwrap();
    run.seconds(15.0).unwrap();
    assert!(lines(&run).iter().all(|id| open(&run, id) == 1.0));
}

/// The open heater's has a handwheel like the others': somebody walks there, it passes steam to the condenser, stays in hand,
/// and shuts by its drive when handed back. Other valves of the open heater have none.
#[test]
fn the_open_heaters_drain_is_turned_by_hand() {
    let mut run = Run::open(PLANT).unwrap();
    let turn = |valve, position| Command::LocalValve { heater: "open4".into(), valve, position };
    run.command(turn(HandValve::LineDrain, Some(1.0))).unwrap();
    run.minutes(10.0).unwrap();
    assert!(open(&run, "open4") == 1.0 && run.get("open4.line_drain_flow") > 0.01);
    assert_eq!(run.sim.local().len(), 1);
    run.command(turn(HandValve::LineDrain, None)).unwrap();
    run.minutes(10.0).unwrap();
    assert_eq!((open(&run, "open4"), run.get("open4.line_drain_flow")), (0.0, 0.0));
    assert_eq!(said(&run, "open4"), [Code::LineDrainOpen, Code::LineDrainShut]);
    assert!(run.sim.command(&turn(HandValve::StopValve, Some(0.0))).is_err());
    let mut bare = Sim::new(without(PLANT)).unwrap();
    assert_eq!(bare.command(&turn(HandValve::LineDrain, Some(1.0))).unwrap_err().code, "refused");
}

/// By level: the drain opens although the stop valve does not move.
#[test]
fn high_high_level_opens_the_drain_whatever_the_stop_valve_does() {
    let mut run = Run::open(PLANT).unwrap();
    run.insert(Kind::StopValveStuck, "hp2", None).unwrap();
    run.insert(Kind::LevelHigh, "hp2.level_protection", None).unwrap();
    run.seconds(20.0).unwrap();
    assert!(run.get("hp2.stop_valve") == 1.0 && open(&run, "hp2") == 1.0);
}

/// The flow that the standard's equation gives: choked, with Y = 2/3, an orifice of 10 mm and the discharge coefficient 0.61
/// of a sharp edge (IEC 60534-2-1, compressible flow; W = C Y √(x p/v)).
#[test]
fn the_orifice_chokes_as_published() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(isolate("hp2")).unwrap();
    run.minutes(10.0).unwrap();
    let at = run.sim.state().plant.turbine.points[1];
    let area = std::f64::consts::PI * 0.005 * 0.005;
    let x = 1.3 / 1.4 * 0.72;
    let flow = 0.61 * area * (2.0f64 / 3.0) * (2.0 * x * at.pressure * 1e6 / at.volume).sqrt();
    let shown = run.get("hp2.line_drain_flow");
    assert!((shown / flow - 1.0).abs() < 1e-3, "{shown} {flow}");
}

/// What an open drain costs: its flow by the drop that it no longer works, some hundredths to tenths of a per cent of the
/// output; moving plant and balance say the same.
#[test]
fn an_open_drain_costs_a_little_output_in_balance_and_moving_plant() {
    for entry in catalog::PLANTS {
        let drained = Sim::new(catalog::plant(entry.name).unwrap()).unwrap();
        let bare = Sim::new(without(entry.name)).unwrap();
        for (i, h) in drained.plant().heaters.iter().enumerate() {
            let Heater::Closed(_) = h else { continue };
            let mut case = Case::at(Hold::SteamFlow(1.0), drained.plant().heaters.len());
            case.outages[i] = Outage::Isolated;
            let a = drained.model().solve(drained.plant(), &case).unwrap();
            let b = bare.model().solve(bare.plant(), &case).unwrap();
            let lost = (b.gross - a.gross) / b.gross;
            let flow = a.heaters[i].line_drain;
            assert!(flow > 0.0 && b.heaters[i].line_drain == 0.0);
            // Every kilogram loses what it would have worked in the stages behind, less what the rest then leaves less behind: the
            // leaving loss goes with the square of the exhaust's volume, so that 3 of it fall with each kilogram.
            let behind = drained.model().layout.point_of[i] + 1;
            let drop: f64 = a.stages[behind..].iter().map(|s| s.enthalpy_in - s.enthalpy_out).sum();
            let leaving = a.exhaust_enthalpy - a.stages.last().unwrap().enthalpy_out;
            let expected = drained.params().turbine.efficiency * (drop - 3.0 * leaving);
            let kw = (b.gross - a.gross) / flow;
            assert!(
                (kw / expected - 1.0).abs() < 0.25,
                "{} {}: {kw} of {expected} kJ/kg",
                entry.name,
                h.id()
            );
            assert!(lost > 2e-5 && lost < 2.5e-3, "{} {}: {lost}", entry.name, h.id());
        }
    }
}

/// An open drain keeps from the turbine what its bore passes, a stuck one nothing; the account of what came tells both, and
/// water that costs work in the stages shows in the output.
#[test]
fn an_open_drain_takes_its_part_of_water_that_runs_back_and_a_stuck_one_none() {
    let after = |stuck: bool| {
        let (mut run, mut watch, mut through) = (drowning(stuck), Watch::default(), 0.0);
        for _ in 0..1200 {
            for _ in 0..4 {
                run.steps(1).unwrap();
                through += run.get("hp2.inducted_flow") * run.sim.params().dt;
            }
            watch.look(&run).unwrap();
        }
        (run, through)
    };
    let ((open, through), (shut, shut_through)) = (after(false), after(true));
    let water = |run: &Run| (run.get("unit.inducted_water"), run.get("unit.drained_water"));
    let ((reached, drained), (all, none)) = (water(&open), water(&shut));
    assert!(none == 0.0 && (all - shut_through).abs() < 1e-6 * all);
    assert!((reached + drained - through).abs() < 1e-6 * through, "{reached} + {drained} of {through}");
    assert!(drained > 0.05 * through && reached < 0.95 * all, "{drained} of {through}; {reached} and {all}");
    // By an orifice of 10 mm: Torricelli's jet under all the pressure of the point, contracted to 0.61, passes more, a
    // flashing one less (IEC 60534-2-1: no less than by the difference to FF times the vapour pressure).
    let p = open.get("hp2.extraction_pressure_true");
    let jet = 0.61 * std::f64::consts::PI * 0.005 * 0.005 * (2.0 * 1000.0 * p * 1e6).sqrt();
    let flow = open.get("hp2.line_drain_flow");
    assert!(flow < jet && flow > 0.25 * jet, "{flow} of {jet}");
    assert!(open.get("unit.gross_output") > shut.get("unit.gross_output"));
}

/// What the bore passes whole never reaches the turbine: water runs back up the line, and none is inducted.
#[test]
fn a_drain_that_takes_all_of_it_keeps_the_turbine_dry() {
    let mut run = drowning(false);
    run.until(1800, |run| run.get("hp2.inducted_flow") > 10.0).unwrap();
    assert!(run.events().iter().any(|e| e.code == Code::WaterInduction));
    // Opened bit by bit, the normal drain leaves ever less to run back.
    for percent in 40..80 {
        run.command(normal_drain("hp2", 0.01 * f64::from(percent))).unwrap();
        run.minutes(2.0).unwrap();
        if run.get("hp2.inducted_flow") < run.get("hp2.line_drain_flow") {
            break;
        }
    }
    let before = (run.get("unit.inducted_water"), run.get("unit.drained_water"));
    run.minutes(2.0).unwrap();
    let (back, drain) = (run.get("hp2.inducted_flow"), run.get("hp2.line_drain_flow"));
    assert!(back > 0.2 && drain > back, "{back} {drain}");
    assert_eq!(run.get("unit.inducted_water"), before.0);
    assert!(run.get("unit.drained_water") > before.1);
}

/// By hand, in minutes; refused where the line has no drain; handed back it shuts.
#[test]
fn a_person_opens_it_and_hands_it_back() {
    let mut run = Run::open(PLANT).unwrap();
    let local = |position| by_hand("lp5", position);
    run.command(local(Some(1.0))).unwrap();
    run.minutes(3.0).unwrap();
    assert_eq!(open(&run, "lp5"), 0.0);
    run.minutes(2.0).unwrap();
    assert!(open(&run, "lp5") == 1.0 && run.get("lp5.line_drain_flow") > 0.05);
    assert!(run.events().iter().any(|e| e.code == Code::LocalDone && e.device == "lp5"));
    assert!(run.sim.alarms().iter().any(|a| a.id == "lp5.drain_off"), "it is not where it is asked to be");
    run.command(local(None)).unwrap();
    run.minutes(2.0).unwrap();
    assert_eq!(open(&run, "lp5"), 0.0);
    let mut bare = Run::of(Sim::new(without(PLANT)).unwrap());
    assert_eq!(bare.command(local(Some(1.0))).unwrap_err().code, "refused");
    assert!(bare.sim.protection().iter().all(|row| !row.row.id.ends_with(".extraction_off")));
}
