//! Feed pumps that stand are kept warm, and none is started cold. Closed forms are of a mass that a stream passes and that
//! loses heat to the room; *practice* is common practice, no source.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, load};
use engine::alarms::Standing;
use engine::event::Code;
use engine::local::HandValve;
use engine::malfunction::Kind;
use engine::pump_logic::Mode;
use engine::{Command, Sim};
use steam::math;

const ROOM: f64 = 25.0;

fn open() -> Run {
    Run::open(PLANT).unwrap()
}

fn warm_up(pump: &str, position: f64) -> Command {
    Command::LocalValve { heater: pump.into(), valve: HandValve::WarmUp, position: Some(position) }
}

fn ask(word: fn(String) -> Command, pump: &str) -> Command {
    word(pump.into())
}

fn start(pump: String) -> Command {
    Command::StartPump { pump }
}

fn take_out(pump: String) -> Command {
    Command::TakePumpOut { pump }
}

fn put_back(pump: String) -> Command {
    Command::PutPumpBack { pump }
}

fn is(run: &Run, pump: &str, mode: Mode) -> bool {
    run.get(&format!("{pump}.state")) == mode.code()
}

fn events(run: &Run, code: Code, device: &str) -> usize {
    run.events().iter().filter(|e| e.code == code && e.device == device).count()
}

fn calls(run: &Run, alarm: &str) -> bool {
    run.sim.alarms().iter().any(|a| a.id == alarm && a.active && a.standing != Standing::SuppressedByDesign)
}

/// At rest the standing pump is passed by what the plant file says, and stands between its water and the room as the two
/// conductances have it: a t_w + U t_room over their sum, with t_w the header's water throttled to the suction.
#[test]
fn at_design_the_standing_pump_is_warm() {
    let run = open();
    let w = run.sim.plant().feed_pumps.equipment.as_ref().unwrap().warm_up.unwrap();
    assert!((run.get("fp3.warm_up_flow") - w.flow).abs() < 1e-9, "{}", run.get("fp3.warm_up_flow"));
    assert_eq!(run.get("fp1.warm_up_flow"), 0.0, "one pressure at both ends");
    let suction = run.get("unit.feed_pump_suction_temperature");
    // Capacity of steel at 0.49 kJ/(kg K) and of water at 4.4.
    let capacity = 0.49 * w.casing_metal + 4.4 * w.casing_water;
    let (a, u) = (w.flow * 4.4, capacity / w.cooling_time);
    let water = suction + run.sim.outputs().feed.rise / 4.4;
    let rest = (a * water + u * ROOM) / (a + u);
    assert!((run.get("fp3.casing_temperature") - rest).abs() < 0.3, "{rest}");
    // One that runs has the water's temperature but for the little it loses.
    assert!((run.get("fp1.casing_difference") - 0.3).abs() < 0.2, "{}", run.get("fp1.casing_difference"));
    assert!(run.get("fp3.casing_difference") < 0.0 && !calls(&run, "fp3.standby_cold"));
}

/// What warms is drawn from the tank, pumped, and brought back: the pumps give more than the boiler gets, by just that,
/// and the tank has back what the casing left of it.
#[test]
fn the_warm_up_is_a_true_flow() {
    let run = open();
    let warm = run.get("fp3.warm_up_flow");
    let pumped = run.get("fp1.pump_flow_true") + run.get("fp2.pump_flow_true");
    assert!((pumped - run.get("unit.feed_flow_true") - warm).abs() < 1e-6, "{pumped} {warm}");
    let drawn = run.sim.state().plant.feed.drawn;
    assert!((drawn - pumped).abs() < 1e-6, "{drawn} {pumped}");
    let balance = run.sim.component_balance("open4").unwrap();
    let back = balance.flows.iter().find(|f| f.name == "warm_up_from" && f.device == "fp3").unwrap();
    assert!(back.inward && back.mass == Some(warm));
    assert!(balance.energy_residual.abs() < 1e-6 * balance.energy_through.0, "{}", balance.energy_residual);
    // Shut, the pumps have that much less to do.
    let mut shut = open();
    shut.command(warm_up("fp3", 0.0)).unwrap();
    shut.minutes(30.0).unwrap();
    let less = run.get("unit.feed_pump_power") / shut.get("unit.feed_pump_power") - 1.0;
    assert!((less - warm / run.get("unit.feed_flow")).abs() < 0.3 * less && less > 0.001, "{less}");
}

/// Closed form: a casing without a stream falls to the room by exp(-t / tau). Nothing else shows it, until the alarm calls;
/// then the pump is barred, and says why.
#[test]
fn a_warm_up_valve_left_shut_shows_by_the_casing_alone() {
    let mut run = open();
    let before = open();
    run.insert(Kind::WarmUpShut, "fp3", None).unwrap();
    run.minutes(3.0).unwrap();
    let (from, at) = (run.get("fp3.casing_temperature_true"), run.sim.time());
    assert_eq!(run.get("fp3.warm_up_flow"), 0.0);
    run.minutes(4.0 * 60.0).unwrap();
    let tau = run.sim.plant().feed_pumps.equipment.as_ref().unwrap().warm_up.unwrap().cooling_time;
    let closed = |t: f64| ROOM + (from - ROOM) * math::exp(-t / tau);
    let now = run.get("fp3.casing_temperature_true");
    assert!((now - closed(run.sim.time() - at)).abs() < 1e-6, "{now} {}", closed(run.sim.time() - at));
    assert!(!calls(&run, "fp3.standby_cold"), "some hours pass before it is seen");
    for (signal, most) in
        [("unit.feed_flow", 0.1), ("unit.final_fw_temperature", 0.1), ("fp1.pump_flow", 1.0)]
    {
        assert!((run.get(signal) - before.get(signal)).abs() < most, "{signal}");
    }
    let waited = run.until(12 * 3600, |run| calls(run, "fp3.standby_cold")).unwrap();
    // 30 K under the suction water, by the closed form.
    let suction = run.get("unit.feed_pump_suction_temperature_true");
    let due = tau * math::ln((from - ROOM) / (suction - 30.0 - ROOM));
    assert!((run.sim.time() - at - due).abs() < 120.0, "{waited} {due}");
    let fault = run.sim.command(&ask(start, "fp3")).unwrap_err();
    let said = fault.to_string();
    assert!(
        fault.code == "refused" && said.contains("30 K colder") && said.contains("warm-up valve"),
        "{said}"
    );
}

/// *Practice*: a pump that comes back from maintenance is cold, cannot be started, and cannot stand in for one that trips:
/// the unit runs back, and says why. Warmed by hand at its valve, within one to two hours, it starts. Closed form of the
/// warming: T_end - (T_end - T_0) exp(-t (a + U) / C).
#[test]
fn a_pump_back_from_maintenance_is_warmed_first() {
    let mut run = open();
    run.command(ask(take_out, "fp3")).unwrap();
    run.minutes(2.0).unwrap();
    assert!(run.get("fp3.warm_up_valve") < 1e-9, "whoever isolates the pump shuts it");
    let said = run.sim.command(&warm_up("fp3", 1.0)).unwrap_err().to_string();
    assert!(said.contains("isolated for maintenance"), "{said}");
    run.minutes(20.0 * 60.0).unwrap();
    assert!(!calls(&run, "fp3.standby_cold"), "it is not meant to be ready");
    run.command(ask(put_back, "fp3")).unwrap();
    run.seconds(20.0).unwrap();
    assert!(calls(&run, "fp3.standby_cold"));
    assert_eq!(run.get("fp3.warm_up_valve"), 0.0, "it stays as it was left");
    assert!(run.sim.command(&ask(start, "fp3")).is_err());
    // A running pump trips: no standby, said once for the trip and not with every scan.
    let mut tripped = open();
    tripped.sim.restore(&run.sim.snapshot().unwrap()).unwrap();
    tripped.insert(Kind::FeedPumpTrip, "fp1", None).unwrap();
    tripped.minutes(3.0).unwrap();
    let refusals = events(&tripped, Code::StandbyCold, "fp3");
    assert!((1..=3).contains(&refusals) && is(&tripped, "fp3", Mode::Standby), "{refusals}");
    assert!(events(&tripped, Code::Runback, "unit") == 1 && tripped.get("unit.load_demand") < 0.65);
    // By hand at the valve.
    run.command(warm_up("fp3", 1.0)).unwrap();
    run.until(600, |run| run.get("fp3.warm_up_valve") == 1.0).unwrap();
    let (from, flow) = (run.get("fp3.casing_temperature_true"), run.get("fp3.warm_up_flow"));
    let p = run.sim.params().feed_pumps.casing.unwrap();
    let waited = run.until(7200, |run| run.get("fp3.casing_difference") < 27.0).unwrap();
    let (a, u, c) = (p.to_water(flow), p.loss, p.capacity);
    let water = run.get("unit.feed_pump_suction_temperature_true") + run.sim.outputs().feed.rise / p.water;
    let end = (a * water + u * ROOM) / (a + u);
    let closed = end + (from - end) * math::exp(-waited * (a + u) / c);
    let now = run.get("fp3.casing_temperature_true");
    assert!((now - closed).abs() < 0.3, "{now} {closed}");
    assert!((600.0..7200.0).contains(&waited), "{waited} s");
    run.seconds(20.0).unwrap();
    assert!(!calls(&run, "fp3.standby_cold"));
    run.command(ask(start, "fp3")).unwrap();
    run.minutes(1.0).unwrap();
    assert!(is(&run, "fp3", Mode::Running) && run.get("fp3.warm_up_flow") == 0.0);
    let (mass, energy) = run.sim.outputs().residuals;
    assert!(mass.abs() < 1e-9 && energy.abs() < 1e-6, "{mass:e} {energy:e}");
}

/// A casing follows its water late. When the load falls, and the tank's pressure with it, the water is the colder one, which
/// bars no start; when it rises again from the lowest load, the warm-up keeps the casing within what is permitted.
#[test]
fn the_casing_follows_the_load_and_bars_no_start() {
    let mut run = open();
    run.command(load(0.25)).unwrap();
    run.minutes(40.0).unwrap();
    let difference = run.get("fp3.casing_difference");
    assert!(difference < -12.0, "{difference}");
    let mut started = open();
    started.sim.restore(&run.sim.snapshot().unwrap()).unwrap();
    started.command(ask(start, "fp3")).unwrap();
    started.minutes(1.0).unwrap();
    assert!(is(&started, "fp3", Mode::Running));
    run.minutes(120.0).unwrap();
    run.command(load(1.0)).unwrap();
    let mut most = f64::NEG_INFINITY;
    for _ in 0..60 {
        run.minutes(1.0).unwrap();
        most = most.max(run.get("fp3.casing_difference"));
        assert!(!calls(&run, "fp3.standby_cold"));
        assert!(run.get("fp1.casing_difference") < 15.0, "one that runs follows in minutes");
    }
    assert!((10.0..28.0).contains(&most), "{most}");
}

/// What bars a start is what the transmitter shows, true or not.
#[test]
fn a_casing_transmitter_that_lies_bars_a_warm_pump() {
    let mut run = open();
    run.insert(Kind::TransmitterLow, "fp3.casing_temperature", None).unwrap();
    run.minutes(1.0).unwrap();
    assert!(run.get("fp3.casing_temperature_true") > 160.0 && calls(&run, "fp3.standby_cold"));
    assert!(run.sim.command(&ask(start, "fp3")).is_err());
}

/// A plant whose file says nothing of it follows no casing: nothing is warmed, read or barred.
#[test]
fn without_warm_up_nothing_is_barred() {
    let mut plant = open().sim.plant().clone();
    plant.feed_pumps.equipment.as_mut().unwrap().warm_up = None;
    let mut run = Run::of(Sim::new(plant).unwrap());
    assert!(run.definitions().iter().all(|d| !d.id.contains("casing") && !d.id.contains("warm_up")));
    assert!(run.sim.alarms().iter().all(|a| !a.id.contains("cold")));
    let drawn = run.sim.state().plant.feed.drawn;
    assert!((drawn - run.get("unit.feed_flow")).abs() < 1e-9, "{drawn}");
    let said = run.sim.command(&warm_up("fp3", 1.0)).unwrap_err().to_string();
    assert!(said.contains("no warm-up in the plant file"), "{said}");
    assert!(run.insert(Kind::WarmUpShut, "fp3", None).is_err());
    run.command(ask(take_out, "fp3")).unwrap();
    run.minutes(60.0).unwrap();
    run.command(ask(put_back, "fp3")).unwrap();
    run.command(ask(start, "fp3")).unwrap();
    run.minutes(1.0).unwrap();
    assert!(is(&run, "fp3", Mode::Running));
}

/// Whom the person outside refuses, and why.
#[test]
fn the_person_at_the_pump_says_why_not() {
    let mut run = open();
    let valve = |pump: &str, valve, position| Command::LocalValve { heater: pump.into(), valve, position };
    for (command, says) in [
        (valve("fp9", HandValve::WarmUp, Some(1.0)), "no feed pump of this id"),
        (valve("hp1", HandValve::WarmUp, Some(1.0)), "no feed pump of this id"),
        (valve("fp3", HandValve::StopValve, Some(1.0)), "no closed heater of this id"),
        (valve("fp3", HandValve::WarmUp, None), "a handwheel alone"),
        (valve("fp3", HandValve::WarmUp, Some(1.5)), "not a valve position"),
    ] {
        let said = run.sim.command(&command).unwrap_err().to_string();
        assert!(said.contains(says), "{said}");
    }
    // Half open it stays so; on the way to a pump that is isolated meanwhile, nothing is turned.
    run.command(warm_up("fp3", 0.5)).unwrap();
    run.minutes(10.0).unwrap();
    assert!((run.get("fp3.warm_up_valve") - 0.5).abs() < 1e-9 && events(&run, Code::LocalDone, "fp3") == 1);
    run.command(warm_up("fp3", 1.0)).unwrap();
    run.command(ask(take_out, "fp3")).unwrap();
    run.minutes(5.0).unwrap();
    assert!(run.get("fp3.warm_up_valve") == 0.0 && events(&run, Code::LocalStuck, "fp3") == 1);
}

/// A run may begin with a pump that nothing has kept warm: as cold as the room, and shown so from the first; it is barred and
/// called, mass and energy close from there, and the rest of the plant stays at rest but for the warm-up flow it lacks.
#[test]
fn a_run_may_begin_with_a_cold_standby() {
    let mut run = open();
    let (output, rest) = (run.get("unit.gross_output"), run.get("fp2.casing_temperature_true"));
    run.sim.begin_cold("fp3").unwrap();
    run = Run::of(run.sim);
    let casing = |run: &Run| (run.get("fp3.casing_temperature"), run.get("fp3.casing_temperature_true"));
    let (shown, truth) = casing(&run);
    assert!((shown - ROOM).abs() < 0.5 && truth == ROOM, "{shown} {truth}");
    assert_eq!(run.get("fp3.warm_up_valve"), 0.0);
    run.seconds(600.0).unwrap();
    assert!((casing(&run).1 - ROOM).abs() < 1e-9, "no stream, no difference to the room");
    assert!(calls(&run, "fp3.standby_cold"));
    let closes = |sim: &Sim| {
        let (mass, energy) = sim.outputs().residuals;
        assert!(mass.abs() < 1e-9 && energy.abs() < 1e-9, "{mass} {energy}");
    };
    closes(&run.sim);
    let mut restored = open().sim;
    restored.restore(&run.sim.snapshot().unwrap()).unwrap();
    closes(&restored);
    assert!((run.get("unit.gross_output") / output - 1.0).abs() < 1e-3);
    assert!((run.get("fp2.casing_temperature_true") - rest).abs() < 0.5);
    let refused = run.sim.command(&ask(start, "fp3")).unwrap_err();
    assert!(refused.message.contains("colder than the water"), "{}", refused.message);

    // Not later, not of a pump that runs, nor of one that there is not; a refusal changes nothing.
    assert_eq!(run.sim.begin_cold("fp3").unwrap_err().code, "refused");
    let mut fresh = open();
    let before = fresh.sim.state_hash().unwrap();
    assert_eq!(fresh.sim.begin_cold("fp1").unwrap_err().code, "refused");
    assert_eq!(fresh.sim.begin_cold("fp9").unwrap_err().code, "no_such_pump");
    assert_eq!(fresh.sim.state_hash().unwrap(), before);
}
