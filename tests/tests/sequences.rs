//! Taking a heater out and putting it back: in which order, and how fast.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, put_back, trip};
use engine::event::Code;

/// Every shipped plant, at rest, with the id of a closed heater: all of them.
fn everywhere() -> impl Iterator<Item = (&'static str, String)> {
    catalog::PLANTS.iter().flat_map(|e| {
        let heaters = Run::open(e.name).unwrap().closed();
        heaters.into_iter().map(|heater| (e.name, heater))
    })
}

/// One second on a heater's way out or back.
#[derive(Clone, Copy, Debug)]
struct Moment {
    stop: f64,
    bypass: f64,
    steam: f64,
    ramp: f64,
}

fn follow(run: &mut Run, heater: &str, seconds: u32, done: impl Fn(&Run) -> bool) -> Vec<Moment> {
    let mut all = Vec::new();
    for _ in 0..seconds {
        let at = |what: &str| run.get(&format!("{heater}.{what}"));
        all.push(Moment {
            stop: at("stop_valve"),
            bypass: at("bypass"),
            steam: at("extraction_flow_true"),
            ramp: at("fw_ramp"),
        });
        if done(run) {
            return all;
        }
        run.seconds(1.0).unwrap();
    }
    panic!("{heater}: not done after {seconds} s: {:?}", all.last());
}

/// *Common practice, no source*: taking out, steam first, then water. By command the water stays until the stop valve
/// is shut.
#[test]
fn taking_out_is_steam_first_then_water() {
    for (plant, heater) in everywhere() {
        let mut run = Run::open(plant).unwrap();
        run.command(trip(&heater)).unwrap();
        let way = follow(&mut run, &heater, 300, |run| run.get(&format!("{heater}.bypass")) == 1.0);
        let moved = way.iter().find(|m| m.bypass > 0.0).unwrap();
        assert!(moved.steam == 0.0 && moved.stop == 0.0, "{plant}, {heater}: the water left with {moved:?}");
        // The non-return valve has shut off the steam long before.
        let steam = way.iter().position(|m| m.steam == 0.0).unwrap();
        assert!(steam <= 2, "{plant}, {heater}: steam for {steam} s");
    }
}

/// *Common practice, no source*: when the shell fills, water must not reach the turbine: steam is shut off within
/// seconds of high-high level, and the bypass does not wait for the slow stop valve.
#[test]
fn high_high_level_takes_a_heater_off() {
    let mut run = Run::open(PLANT).unwrap();
    let heater = "hp3";
    run.command(bledsteam_tests::normal_drain(heater, 0.0)).unwrap();
    run.command(bledsteam_tests::emergency_drain(heater, 0.0)).unwrap();
    run.until(600, |run| run.get("hp3.level") >= 140.0).unwrap();
    let delay = 2.0;
    run.seconds(delay + 3.0).unwrap();
    assert!(run.events().iter().any(|e| e.code == Code::LevelHighHigh && e.device == heater));
    assert_eq!((run.get("hp3.non_return_valve"), run.get("hp3.extraction_flow_true")), (0.0, 0.0));
    assert!(run.get("hp3.stop_valve") > 0.5 && run.get("hp3.bypass") > 0.0);
    // The heater above no longer drains into it.
    run.seconds(15.0).unwrap();
    assert_eq!(run.get("hp3.drain_in_flow"), 0.0);
}

/// *Common practice, no source*: heaters that share a bypass go and come together.
#[test]
fn a_group_shares_its_bypass() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(trip("lp7")).unwrap();
    run.minutes(3.0).unwrap();
    assert_eq!((run.get("lp6.mode"), run.get("lp7.mode")), (3.0, 3.0));
    assert_eq!(run.get("lp5.mode"), 0.0);
    run.command(put_back("lp6")).unwrap();
    assert_eq!((run.get("lp6.mode"), run.get("lp7.mode")), (4.0, 4.0));
}

/// *Common practice, no source*: putting in, water first, then steam.
#[test]
fn putting_back_is_water_first_then_steam() {
    for (plant, heater) in everywhere() {
        let mut run = Run::open(plant).unwrap();
        run.command(trip(&heater)).unwrap();
        run.minutes(20.0).unwrap();
        run.command(put_back(&heater)).unwrap();
        let way = follow(&mut run, &heater, 3600, |run| run.get(&format!("{heater}.mode")) == 0.0);
        for m in &way {
            assert!(m.steam == 0.0 || m.bypass == 0.0, "{plant}, {heater}: steam before water, {m:?}");
        }
        let minutes = way.len() as f64 / 60.0;
        assert!((2.0..60.0).contains(&minutes), "{plant}, {heater}: back in {minutes} min");
    }
}

/// Inside the permitted ramp of the plant file (*from memory*: 1-4 K/min are usual), from the first steam on.
#[test]
fn putting_back_keeps_the_ramp() {
    let mut found = Vec::new();
    for (plant, heater) in everywhere() {
        let mut run = Run::open(plant).unwrap();
        let k = run.closed().iter().position(|id| *id == heater).unwrap();
        run.command(trip(&heater)).unwrap();
        run.minutes(20.0).unwrap();
        run.command(put_back(&heater)).unwrap();
        let way = follow(&mut run, &heater, 3600, |run| run.get(&format!("{heater}.mode")) == 0.0);
        let steam = way.iter().position(|m| m.steam > 0.0).unwrap();
        let worst = way[steam..].iter().fold(0.0_f64, |w, m| w.max(m.ramp));
        let limit = run.sim.params().operation.heaters[k].ramp_limit;
        if worst > limit {
            found.push(format!("{plant}, {heater}: {worst:.2} K/min, permitted {limit}"));
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}
