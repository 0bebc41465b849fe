//! Controllers from the desk: by hand without a bump, to another setpoint, retuned, frozen.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::sane::Watch;
use bledsteam_tests::second_law::{self, Hottest};
use bledsteam_tests::upset::{self, Tune, any_tune};
use bledsteam_tests::{PLANT, Run, load, normal_drain, release, set as ask};
use engine::Command;
use engine::controller::{Loop, Mode, Request, View};
use engine::malfunction::{Kind, Malfunction};
use proptest::prelude::*;

fn set(id: &str, mode: Option<Mode>, setpoint: Option<f64>, output: Option<f64>) -> Command {
    ask(id, &Request { mode, setpoint, output, ..Request::default() })
}

fn freeze(run: &mut Run, id: &str) {
    let malfunction = Malfunction {
        kind: Kind::ControllerFrozen,
        device: id.into(),
        size: None,
        delay_s: 0.0,
        ramp_s: 0.0,
    };
    run.command(Command::InsertMalfunction { malfunction }).unwrap();
}

/// Every level that has a controller goes where its setpoint is put.
#[test]
fn a_level_follows_its_setpoint() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(set("hp2.normal_drain", None, Some(30.0), None)).unwrap();
    run.command(set("unit.feed_trim", None, Some(50.0), None)).unwrap();
    run.minutes(30.0).unwrap();
    assert!((run.get("hp2.level_true") - 30.0).abs() < 1.0, "{}", run.get("hp2.level_true"));
    assert!((run.get("unit.drum_level") - 50.0).abs() < 3.0, "{}", run.get("unit.drum_level"));
}

/// By hand and back: the valve does not jump; and what moves a drain is one of the forms of setting its controller.
#[test]
fn manual_and_back_moves_no_valve() {
    let mut run = Run::open(PLANT).unwrap();
    let was = run.get("hp2.normal_drain_valve");
    run.command(set("hp2.normal_drain", Some(Mode::Manual), None, None)).unwrap();
    run.minutes(2.0).unwrap();
    assert_eq!(run.get("hp2.normal_drain_hand"), 1.0);
    assert!((run.get("hp2.normal_drain_valve") - was).abs() < 1e-3);
    run.command(set("hp2.normal_drain", Some(Mode::Auto), None, None)).unwrap();
    run.minutes(2.0).unwrap();
    assert!((run.get("hp2.normal_drain_valve") - was).abs() < 1e-2);
    let (mut a, mut b) = (Run::open(PLANT).unwrap(), Run::open(PLANT).unwrap());
    a.command(normal_drain("hp2", 0.3)).unwrap();
    b.command(set("hp2.normal_drain", Some(Mode::Manual), None, Some(0.3))).unwrap();
    a.seconds(30.0).unwrap();
    b.seconds(30.0).unwrap();
    assert_eq!(a.get("hp2.level"), b.get("hp2.level"));
    for command in release("hp2") {
        a.command(command).unwrap();
    }
    assert_eq!(a.get("hp2.normal_drain_hand"), 0.0);
}

/// A controller tuned far too sharp swings; tuned back it rests.
#[test]
fn a_retune_from_the_desk_acts() {
    let mut run = Run::open(PLANT).unwrap();
    let design = run.sim.controllers().into_iter().find(|c| c.id == "hp2.normal_drain").unwrap();
    let tune = |gain: f64, integral_time: f64| {
        let (gain, integral_time) = (Some(gain), Some(integral_time));
        ask("hp2.normal_drain", &Request { gain, integral_time, ..Request::default() })
    };
    let travel = |run: &mut Run| {
        let (mut sum, mut was) = (0.0, run.get("hp2.normal_drain_valve"));
        for _ in 0..300 {
            run.seconds(1.0).unwrap();
            let now = run.get("hp2.normal_drain_valve");
            sum += (now - was).abs();
            was = now;
        }
        sum
    };
    run.command(tune(100.0 * design.gain, 1.0)).unwrap();
    run.command(load(0.9)).unwrap();
    run.minutes(5.0).unwrap();
    let sharp = travel(&mut run);
    run.command(tune(design.gain, design.integral_time.unwrap())).unwrap();
    run.minutes(20.0).unwrap();
    let mild = travel(&mut run);
    assert!(sharp > 5.0 && mild < 0.1, "{sharp} {mild} strokes in five minutes");
}

/// A frozen controller keeps its output while the level goes, with both transmitters agreed on it and the valve where the
/// controller asks: the first tells it from a transmitter that lies, the second from a drain that is stuck.
#[test]
fn a_frozen_controller_is_told_from_a_stuck_drain_by_what_it_asks() {
    let mut run = Run::open(PLANT).unwrap();
    freeze(&mut run, "hp2.normal_drain");
    let was = run.get("hp2.normal_drain_demand");
    run.command(load(0.7)).unwrap();
    run.minutes(8.0).unwrap();
    assert!(run.get("hp2.level").abs() > 20.0);
    assert!((run.get("hp2.level") - run.get("hp2.level_protection")).abs() < 0.1);
    assert_eq!(run.get("hp2.normal_drain_demand"), was);
    assert!((run.get("hp2.normal_drain_valve") - was).abs() < 1e-9);
    let mut stuck = Run::open(PLANT).unwrap();
    let malfunction = Malfunction {
        kind: Kind::NormalDrainStuck,
        device: "hp2".into(),
        size: None,
        delay_s: 0.0,
        ramp_s: 0.0,
    };
    stuck.command(Command::InsertMalfunction { malfunction }).unwrap();
    stuck.command(load(0.7)).unwrap();
    stuck.minutes(8.0).unwrap();
    assert!(stuck.get("hp2.level").abs() > 20.0);
    assert!((stuck.get("hp2.normal_drain_valve") - stuck.get("hp2.normal_drain_demand")).abs() > 0.05);
    // Mended, it takes the level back from where it stands.
    run.command(Command::RemoveMalfunction {
        kind: Kind::ControllerFrozen,
        device: "hp2.normal_drain".into(),
    })
    .unwrap();
    run.minutes(30.0).unwrap();
    assert!(run.get("hp2.level").abs() < 2.0);
}

#[test]
fn a_request_that_cannot_be_is_refused_with_the_reason() {
    let mut run = Run::open(PLANT).unwrap();
    let auto = run.command(set("hp2.normal_drain", None, None, Some(0.2))).unwrap_err();
    assert_eq!((auto.code.as_str(), auto.remedy.contains("manual")), ("refused", true));
    let far = run.command(set("hp2.normal_drain", None, Some(5000.0), None)).unwrap_err();
    assert_eq!(far.code, "out_of_range");
    let none = run.command(set("hp9.normal_drain", None, None, None)).unwrap_err();
    assert!(none.remedy.contains("hp2.normal_drain"));
}

/// An output that is limited at the desk stands at its limit, however far the level goes, in hand too; let go it moves off
/// within seconds, for the controller has not wound up.
#[test]
fn an_output_keeps_within_the_limits_it_is_given() {
    let mut run = Run::open(PLANT).unwrap();
    let id = "hp2.normal_drain";
    let limits = |lowest: f64, highest: f64| {
        ask(id, &Request { lowest: Some(lowest), highest: Some(highest), ..Request::default() })
    };
    let stands = run.get("hp2.normal_drain_valve");
    run.command(limits(0.1, stands - 0.1)).unwrap();
    run.minutes(5.0).unwrap();
    assert!((run.get("hp2.normal_drain_valve") - (stands - 0.1)).abs() < 1e-3);
    let view = |run: &Run| run.sim.controllers().into_iter().find(|c| c.id == id).unwrap();
    assert_eq!(view(&run).limits, (0.1, stands - 0.1));
    assert_eq!(view(&run).file.limits, (0.0, 1.0));
    assert!(run.get("hp2.level_true") > 20.0, "{} mm", run.get("hp2.level_true"));
    let over = Request { mode: Some(Mode::Manual), output: Some(0.95), ..Request::default() };
    let fault = run.command(ask(id, &over)).unwrap_err().to_string();
    assert!(fault.contains("from 0.1 to"), "{fault}");
    let fault = run.command(limits(0.6, 0.5)).unwrap_err().to_string();
    assert!(fault.contains("a range to move in"), "{fault}");
    run.command(limits(0.0, 1.0)).unwrap();
    run.seconds(30.0).unwrap();
    assert!(run.get("hp2.normal_drain_valve") > stands, "{}", run.get("hp2.normal_drain_valve"));
}

/// Retunes controller `k` and says what is wrong with how its output answers: it must not move by the command, and in the
/// step that follows by no more than proportional and integral part ask for, from where it stood.
fn retune(run: &mut Run, k: usize, tune: Tune) -> Result<(), String> {
    let settings = run.sim.params().operation.controllers.clone();
    let k = k % settings.len();
    let view = |run: &Run| -> View { run.sim.controllers().remove(k) };
    let earlier = view(run);
    run.steps(1).map_err(|f| f.to_string())?;
    let before = view(run);
    let events = run.events().len();
    run.command(tune.command(&settings[k])).map_err(|f| format!("the desk refuses {tune:?}: {f}"))?;
    let given = view(run);
    if given.output != before.output {
        return Err(format!("{}: output from {} to {} by {tune:?}", given.id, before.output, given.output));
    }
    let said = run.events().len() - events;
    run.steps(1).map_err(|f| f.to_string())?;
    let after = view(run);
    let moved = (after.output - given.output).abs();
    let dt = run.sim.params().dt;
    // Where the plant's own logic takes a hand as well, an event says so.
    let alone = run.events().len() == events + said;
    let error = (given.measured - given.setpoint).abs();
    // Where nothing is retuned, the output goes on from what was measured a step before.
    let noted = (after.measured - given.measured).abs() + (given.measured - earlier.measured).abs();
    let gain = given.gain.max(before.gain);
    let asked = given.integral_time.map(|t| gain * (noted + (error + noted) * dt / t));
    // Proportional only, it has nowhere to keep what it was: it goes to its line, no faster than its rate; so does one
    // whose limits now leave its output outside, and one that waits below its setpoint.
    let held = tune.limits().is_some() || settings[k].acts == Loop::OpenPressure;
    let most = asked.filter(|_| !held).unwrap_or(f64::INFINITY).min(given.rate * dt) + 1e-12;
    if alone && !(moved <= most) {
        return Err(format!("{}: {moved} in a step after {tune:?}, at most {most}; {given:?}", given.id));
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: upset::config().cases.div_ceil(3), ..upset::config() })]

    /// Whatever tuning the desk accepts, on whichever controllers, at any moment of a change of load: nothing jumps by it,
    /// and the laws hold, though a level may swing as far as it likes.
    #[test]
    fn any_tuning_at_any_moment_moves_nothing_by_itself_and_breaks_no_law(
        plant in 0..catalog::PLANTS.len(),
        to in 0.25..1.05,
        tunes in proptest::collection::vec((0..120_u32, 0..40_usize, any_tune()), 1..10),
    ) {
        let mut run = Run::open(catalog::PLANTS[plant].name).unwrap();
        let (mut watch, mut hottest) = (Watch::default(), Hottest::default());
        let mut wait = |run: &mut Run, seconds: u32| {
            for _ in 0..seconds {
                run.seconds(1.0).map_err(|f| f.to_string())?;
                watch.look(run)?;
                second_law::breaches(run)?;
                hottest.look(run)?;
            }
            Ok::<(), String>(())
        };
        run.command(load(to)).unwrap();
        let mut end = Ok(());
        for (pause, k, tune) in tunes {
            end = end.and_then(|()| wait(&mut run, pause)).and_then(|()| retune(&mut run, k, tune));
        }
        end = end.and_then(|()| wait(&mut run, 900));
        prop_assert!(end.is_ok(), "{}: {}", catalog::PLANTS[plant].name, end.unwrap_err());
    }
}
