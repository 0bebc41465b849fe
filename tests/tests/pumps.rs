//! How pumps behave in the plant: standby, runback, minimum flow, suction head, permissives. Each sentence with where it
//! comes from; *practice* is common practice, no source.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, load};
use engine::Command;
use engine::event::Code;
use engine::malfunction::{Kind, Malfunction};
use engine::pump_logic::Mode;

fn open() -> Run {
    Run::open(PLANT).unwrap()
}

fn remove(run: &mut Run, kind: Kind, device: &str) {
    run.command(Command::RemoveMalfunction { kind, device: device.into() }).unwrap();
}

fn start(pump: &str) -> Command {
    Command::StartPump { pump: pump.into() }
}

fn stop(pump: &str) -> Command {
    Command::StopPump { pump: pump.into() }
}

fn take_out(pump: &str) -> Command {
    Command::TakePumpOut { pump: pump.into() }
}

fn put_back(pump: &str) -> Command {
    Command::PutPumpBack { pump: pump.into() }
}

fn is(run: &Run, pump: &str, mode: Mode) -> bool {
    run.get(&format!("{pump}.state")) == mode.code()
}

fn happened(run: &Run, code: Code, device: &str) -> bool {
    run.events().iter().any(|e| e.code == code && e.device == device)
}

fn refused(run: &mut Run, command: Command, says: &str) {
    let fault = run.sim.command(&command).unwrap_err();
    assert_eq!(fault.code, "refused", "{fault}");
    assert!(fault.to_string().contains(says), "{fault}");
}

/// *Practice*: a running feed pump trips, the standby pump starts by itself and is up within half a minute; the feed
/// comes back and the load need not move.
#[test]
fn the_standby_pump_starts_on_a_trip() {
    let mut run = open();
    run.insert(Kind::FeedPumpTrip, "fp1", None).unwrap();
    run.seconds(1.0).unwrap();
    assert!(is(&run, "fp1", Mode::Tripped) && is(&run, "fp3", Mode::RunUp));
    // The other takes what it can meanwhile, and the drum gives the rest.
    run.seconds(8.0).unwrap();
    assert!(run.get("fp2.pump_flow") > 120.0 && run.get("unit.feed_flow") < 140.0);
    // What the coasting pump still moves goes round through its minimum-flow valve; its check valve is shut.
    assert!((run.get("fp1.pump_flow_true") - run.get("fp1.recirculation_flow")).abs() < 1e-9);
    assert!(run.get("fp1.speed") < 0.6 * run.get("fp2.speed"));
    let waited = run.until(30, |run| is(run, "fp3", Mode::Running)).unwrap();
    assert!(waited > 2.0, "{waited} s");
    let least = run.get("unit.drum_level");
    assert!(least < -10.0, "{least} mm");
    run.minutes(45.0).unwrap();
    assert!(run.get("unit.drum_level").abs() < 5.0, "{}", run.get("unit.drum_level"));
    assert_eq!(run.get("unit.load_demand"), 1.0);
    assert!((run.get("unit.feed_flow") / run.get("unit.throttle_flow") - 1.0).abs() < 1e-3);
    assert!((run.get("fp2.pump_flow") / run.get("fp3.pump_flow") - 1.0).abs() < 1e-6);
    assert!(happened(&run, Code::PumpTripped, "fp1") && happened(&run, Code::StandbyStarted, "fp3"));
    assert!(!run.events().iter().any(|e| e.code == Code::Runback));
}

/// *Practice*: with the third pump out for maintenance one half-duty pump is left, and the load is run back to what it
/// carries, at the runback rate and not at the unit's own. More cannot be asked for until another pump runs.
#[test]
fn the_load_is_run_back_when_no_standby_is_left() {
    let mut run = open();
    run.command(take_out("fp3")).unwrap();
    run.insert(Kind::FeedPumpTrip, "fp1", None).unwrap();
    run.minutes(2.0).unwrap();
    let equipment = run.sim.plant().feed_pumps.equipment.clone().unwrap();
    let carries = equipment.largest_flow / f64::from(equipment.running);
    let end = run.events().iter().find(|e| e.code == Code::Runback).unwrap().value;
    assert!(end < carries && end > 0.9 * carries, "{end} of {carries}");
    assert!((run.get("unit.load_demand") - end).abs() < 1e-12);
    assert!((run.get("unit.load") - end).abs() < 0.01, "{}", run.get("unit.load"));
    refused(&mut run, load(0.9), "carry 60 %");
    run.minutes(60.0).unwrap();
    assert!(run.get("unit.drum_level").abs() < 5.0, "{}", run.get("unit.drum_level"));
    assert!(run.get("fp2.pump_flow") <= 1.01 * carries * run.sim.params().feed_pumps.design_flow);
    // Put back, started, loaded again.
    run.command(put_back("fp3")).unwrap();
    run.command(start("fp3")).unwrap();
    run.command(load(1.0)).unwrap();
    run.minutes(60.0).unwrap();
    assert!((run.get("unit.load") - 1.0).abs() < 1e-9);
    assert!(run.get("unit.drum_level").abs() < 5.0);
}

/// *Practice*: two of three half-duty pumps carry full load, one does not: stopping one of two is refused at full load and
/// allowed at half load.
#[test]
fn one_pump_carries_half_load_and_no_more() {
    let mut run = open();
    refused(&mut run, stop("fp1"), "60 % of the load of 100 %");
    run.command(load(0.5)).unwrap();
    run.minutes(30.0).unwrap();
    run.command(stop("fp1")).unwrap();
    run.minutes(30.0).unwrap();
    assert!(is(&run, "fp1", Mode::Standby) && run.get("fp1.speed") == 0.0);
    assert!((run.get("unit.feed_flow") / run.get("unit.throttle_flow") - 1.0).abs() < 1e-3);
    // It also warms the two that stand.
    let warm = run.get("fp1.warm_up_flow") + run.get("fp3.warm_up_flow");
    assert!((run.get("fp2.pump_flow") - warm - run.get("unit.feed_flow")).abs() < 1e-6 && warm > 1.0);
    // Nothing is asked of the stopped pump, and it does not start by itself.
    assert!(!happened(&run, Code::StandbyStarted, "fp1"));
}

/// What a pump needs before it may be started, stopped, taken out or put back, with the reason.
#[test]
fn a_pump_says_why_not() {
    let mut run = open();
    refused(&mut run, start("fp1"), "is running");
    refused(&mut run, stop("fp3"), "not running");
    refused(&mut run, take_out("fp1"), "Stop it first");
    refused(&mut run, put_back("fp3"), "neither out nor tripped");
    run.command(take_out("fp3")).unwrap();
    refused(&mut run, take_out("fp3"), "out already");
    refused(&mut run, start("fp3"), "out for maintenance");
    run.command(put_back("fp3")).unwrap();
    run.insert(Kind::FeedPumpTrip, "fp2", None).unwrap();
    run.seconds(1.0).unwrap();
    refused(&mut run, start("fp2"), "has tripped");
    refused(&mut run, put_back("fp2"), "still stands");
    remove(&mut run, Kind::FeedPumpTrip, "fp2");
    run.seconds(1.0).unwrap();
    refused(&mut run, put_back("fp2"), "still turning");
    refused(&mut run, take_out("fp2"), "still turning");
    run.until(600, |run| run.get("fp2.speed") == 0.0).unwrap();
    run.command(put_back("fp2")).unwrap();
    run.command(start("fp2")).unwrap();
    run.minutes(1.0).unwrap();
    assert!(is(&run, "fp2", Mode::Running));
    assert_eq!(run.sim.command(&start("fp9")).unwrap_err().code, "no_such_pump");
}

/// *Practice*: a worn pump gives less at the same speed; the speed of all comes up until the feed is met, and the others
/// carry more than it.
#[test]
fn a_worn_pump_makes_all_turn_faster() {
    let mut run = open();
    let before = (run.get("unit.feed_pump_speed"), run.get("unit.feed_pump_power"));
    run.insert(Kind::WornPump, "fp1", Some(0.06)).unwrap();
    run.minutes(60.0).unwrap();
    assert!(run.get("unit.feed_pump_speed") > 1.005 * before.0);
    assert!(run.get("unit.feed_pump_power") > 1.005 * before.1);
    assert!(run.get("fp1.pump_flow") < 0.95 * run.get("fp2.pump_flow"));
    assert!((run.get("unit.feed_flow") / run.get("unit.throttle_flow") - 1.0).abs() < 1e-3);
}

/// *Practice*: a minimum-flow valve stuck open: the pump's own flow stands above what the boiler gets, all pumps turn
/// faster and take more power, and the tank is warmed by what comes back, so that it takes less steam.
#[test]
fn a_minimum_flow_valve_stuck_open_costs_power() {
    let mut run = open();
    let before = (run.get("unit.feed_pump_power"), run.get("open4.extraction_flow"));
    assert_eq!(run.get("fp1.recirculation_flow"), 0.0);
    run.insert(Kind::RecirculationStuckOpen, "fp1", None).unwrap();
    run.minutes(90.0).unwrap();
    let back = run.get("fp1.recirculation_flow");
    assert!(back > 20.0, "{back}");
    let through = run.get("fp1.pump_flow") + run.get("fp2.pump_flow");
    let warm = run.get("fp3.warm_up_flow");
    assert!((through - back - warm - run.get("unit.feed_flow")).abs() < 1e-6);
    assert!(run.get("unit.feed_pump_power") > 1.05 * before.0);
    assert!(run.get("open4.extraction_flow") < before.1);
    assert!((run.get("unit.feed_flow") / run.get("unit.throttle_flow") - 1.0).abs() < 1e-3);
}

/// The minimum-flow valves hold each pump at its least flow when little is fed; the steady balance has the same flow and
/// the same work.
#[test]
fn pumps_are_held_at_their_least_flow() {
    let mut run = open();
    run.command(start("fp3")).unwrap();
    run.command(load(0.25)).unwrap();
    run.minutes(150.0).unwrap();
    let q = &run.sim.params().feed_pumps;
    let least = q.minimum_flow * q.curve.flow;
    for pump in ["fp1", "fp2", "fp3"] {
        let flow = run.get(&format!("{pump}.pump_flow"));
        assert!((flow / least - 1.0).abs() < 1e-3, "{pump}: {flow} of {least}");
        assert!(run.get(&format!("{pump}.recirculation_flow")) > 0.1 * least);
    }
    let feed = run.get("unit.feed_flow");
    let suction = engine::feed_pump::Suction {
        tank: run.get("open4.shell_pressure"),
        level: 0.0,
        volume: steam::sat_p(run.get("open4.shell_pressure")).unwrap().vf,
        vapour_pressure: run.get("open4.shell_pressure"),
        temperature: run.get("open4.saturation_temperature"),
    };
    let three = engine::feed_pump::Params { running: 3, ..q.clone() };
    let steady = engine::feed_pump::at(&three, feed, &suction);
    let power = run.get("unit.feed_pump_power");
    assert!((steady.power / power - 1.0).abs() < 2e-3, "{} {power}", steady.power);
    assert!((steady.speed / run.get("unit.feed_pump_speed") - 1.0).abs() < 1e-3);
}

/// Arithmetic: what arrives at the impellers left the tank one transit ago, volume over flow, as hot as it was then. So the
/// head available is the static head and the level, less friction, less what the tank's pressure has fallen by in one
/// transit; when the load is thrown off it is least not before one transit has passed, and comes back.
#[test]
fn the_suction_head_follows_the_tank_one_transit_late() {
    let mut run = open();
    let q = run.sim.params().feed_pumps.clone();
    let sat = |p: f64| steam::sat_p(p).unwrap();
    let held = run.sim.state().plant.suction.mass();
    let transit = held / run.get("unit.feed_flow");
    // A pump trips with no standby: the runback takes half the steam off the tank within a minute.
    run.command(take_out("fp3")).unwrap();
    run.insert(Kind::FeedPumpTrip, "fp1", None).unwrap();
    // Drawn so far [kg] and the tank's pressure then.
    let mut past = vec![(0.0, run.get("open4.shell_pressure_true")); 1];
    let (mut drawn, mut least, mut foretold) = (0.0, (f64::INFINITY, 0_i32), (f64::INFINITY, 0));
    let mut seen = (f64::INFINITY, f64::NEG_INFINITY);
    for second in 1..=1500 {
        run.seconds(1.0).unwrap();
        let flow = run.sim.state().plant.feed.drawn;
        drawn += flow;
        let now = run.get("open4.shell_pressure_true");
        let left = past.iter().rev().find(|(at, _)| *at <= drawn - held).map_or(past[0].1, |x| x.1);
        past.push((drawn, now));
        let friction = q.suction_loss * (flow / q.design_drawn) * (flow / q.design_drawn);
        let per_metre = engine::pump::GRAVITY / sat(left).vf * 1e-6;
        let still = q.suction_head + 1e-3 * run.get("open4.level_true") - friction;
        let (head, told) = (run.get("unit.suction_head_available_true"), still + (now - left) / per_metre);
        seen = (seen.0.min(head - told), seen.1.max(head - told));
        let (head, told) = (head + friction, told + friction);
        if head < least.0 {
            least = (head, second);
        }
        if told < foretold.0 {
            foretold = (told, second);
        }
    }
    // The parcels that the pipe is counted in blur it a little; the first pump's fall in flow is gone in a second.
    assert!(seen.0 > -0.35 && seen.1 < 0.35, "{seen:?} m from what the tank's fall foretells");
    assert!(least.0 < q.suction_head - 2.0, "{least:?}");
    assert!(
        f64::from(least.1) > transit && (least.1 - foretold.1).abs() < 30,
        "{least:?} {foretold:?} {transit} s"
    );
    assert!(run.get("unit.suction_head_available_true") > least.0 + 1.0);
}

/// *Practice*: short of suction head the head collapses, the flow goes, and the pump trips after its delay; the standby pump
/// draws the same water and is not started into it.
#[test]
fn a_pump_short_of_suction_head_trips() {
    let mut plant = catalog::plant(PLANT).unwrap();
    // The same plant with its tank hung low: a little above what the pumps need.
    for h in &mut plant.heaters {
        if let engine::plant::file::Heater::Open(o) = h {
            o.equipment.as_mut().unwrap().tank.elevation = 12.6;
        }
    }
    let mut sim = engine::Sim::new(plant).unwrap();
    let (head, needed) = (sim.outputs().feed.npsh_available, sim.outputs().feed.npsh_required);
    assert!(head > needed && head < 1.1 * needed, "{head} {needed}");
    sim.command(&take_out("fp3")).unwrap();
    let malfunction =
        Malfunction { kind: Kind::FeedPumpTrip, device: "fp1".into(), size: None, delay_s: 0.0, ramp_s: 0.0 };
    // One pump left, running out: it needs more head just when the tank begins to lose pressure.
    sim.command(&Command::InsertMalfunction { malfunction }).unwrap();
    sim.advance(4 * 120).unwrap();
    let starved = sim.events(0).iter().find(|e| e.code == Code::PumpStarved);
    let starved = starved.unwrap_or_else(|| panic!("{:?}", sim.outputs().feed));
    assert_eq!(starved.device, "fp2");
    assert_eq!(sim.outputs().feed.flow, 0.0);
}

/// At rest with pumps of its own each, the plant of saturated steam and the small one do the same.
#[test]
fn every_plant_survives_the_loss_of_a_pump() {
    for plant in catalog::PLANTS {
        let mut run = Run::open(plant.name).unwrap();
        run.insert(Kind::FeedPumpTrip, "fp2", None).unwrap();
        run.minutes(30.0).unwrap();
        assert!(is(&run, "fp3", Mode::Running), "{}", plant.name);
        let (feed, was) = (run.get("unit.feed_flow"), run.sim.balance().feed);
        assert!((feed / was - 1.0).abs() < 0.01, "{}: {feed} of {was}", plant.name);
    }
}
