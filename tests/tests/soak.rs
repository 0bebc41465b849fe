//! A short soak with every check, and proof that a soak finds what is broken, makes it
//! small, and that what it writes can be played again. Longer ones: `cargo xtask soak --hours N`.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::soak::laws::Breach;
use bledsteam_tests::soak::record::{Ending, Given, Of, Record};
use bledsteam_tests::soak::{Enough, case, play, shrink, soak, tally::Tally};
use bledsteam_tests::{PLANT, emergency_drain, load, normal_drain, trip};
use engine::malfunction::{Kind, Malfunction};
use engine::{Command, Sim};

/// Cases, always the same: a check fails for a reason in the change.
const FIRST: u64 = 1;
const FEW: u64 = 12;

#[test]
fn a_short_soak_finds_nothing() {
    let tally = soak(Enough::Seeds(FEW), FIRST, |_, _| {});
    // Shown by `--nocapture`.
    println!("from seed {FIRST}: {tally}");
    let found: Vec<String> = tally
        .found
        .iter()
        .map(|f| {
            let script = f.record.script_text().unwrap();
            let Breach { law, what, at_s } = &f.breach;
            format!(
                "seed {}, {}: {law} broken at {at_s} s: {what}\n{script}",
                f.record.seed,
                f.record.plant.name()
            )
        })
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
    assert!(tally.cases >= 5 && tally.random > 0 && tally.same_bits > 0, "{tally}");
}

/// What a soak has found, once mended, stays mended: the records kept in `tests/soak`.
#[test]
fn kept_records_break_no_law_any_more() {
    let kept = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/soak")).unwrap();
    let mut played = 0;
    for entry in kept {
        let path = entry.unwrap().path();
        let record: Record = serde_json::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        assert_eq!(play::again(&record), Ok(()), "{}", path.display());
        played += 1;
    }
    assert!(played > 0);
}

/// Three quarters of an hour in which much happens.
fn eventful() -> Record {
    let at = |at_s: f64, command: Command| Given { at_s, command };
    let fouling = Malfunction {
        kind: Kind::Fouling,
        device: "lp6".into(),
        size: Some(1.3),
        delay_s: 20.0,
        ramp_s: 300.0,
    };
    let script = vec![
        at(0.0, load(0.87)),
        at(200.0, normal_drain("hp2", 0.7)),
        at(340.0, Command::InsertMalfunction { malfunction: fouling }),
        at(600.0, trip("lp6")),
        at(900.0, trip("hp1")),
        at(1000.0, trip("hp1")),
        at(1300.0, emergency_drain("hp3", 0.4)),
        at(1500.0, Command::AcknowledgeAlarm { alarm: None }),
    ];
    Record {
        seed: 0,
        found: None,
        end_s: 2700.0,
        close_s: 2700.0,
        kept_s: Some((700.0, 2700.0)),
        ending: Ending::Stops,
        script,
        plant: Of::Shipped(PLANT.to_owned()),
    }
}

/// The detector: a law that the plant is bound to break is broken, and of eight commands the one is left that breaks it,
/// at once and in no more time than it takes. The record, written and read again, still shows it.
#[test]
fn what_breaks_a_law_is_made_small() {
    let record = eventful();
    assert_eq!(play::again(&record), Ok(()));
    // As if there were a law that the top heater stays in service.
    let mut play_it = |r: &Record| {
        play::again_with(r, &mut |run| match run.get("hp1.bypass") {
            open if open > 0.5 => Err(Breach::new("stays", format!("hp1.bypass = {open}"), run.sim.time())),
            _ => Ok(()),
        })
    };
    let breach = play_it(&record).unwrap_err();
    assert!(breach.at_s > 900.0, "{breach:?}");
    let (small, still) = shrink::shrink_by(&record, &breach, &mut play_it);
    assert_eq!(small.script, [Given { at_s: 0.0, command: trip("hp1") }], "{still:?}");
    assert!(small.end_s == still.at_s && small.end_s < 120.0, "{} s", small.end_s);
    let text = serde_json::to_string(&small).unwrap();
    let again: Record = serde_json::from_str(&text).unwrap();
    assert_eq!(again, small);
    assert_eq!(play_it(&again).unwrap_err(), still);
    // A script by itself is what the shell takes.
    let script: Vec<Given> = serde_json::from_str(&small.script_text().unwrap()).unwrap();
    assert_eq!(script, small.script);
}

/// The detector of the bits: a script that the second run does not get in full leads elsewhere, and is noticed.
#[test]
fn other_bits_would_be_noticed() {
    let whole = eventful();
    let mut short = whole.clone();
    short.script.retain(|g| g.at_s != 1300.0);
    let end = |r: &Record| {
        let mut sim = Sim::new(r.plant.plant().unwrap()).unwrap();
        for g in &r.script {
            sim.advance((4.0 * (g.at_s - sim.time())) as u32).unwrap();
            let _ = sim.command(&g.command);
        }
        sim.advance((4.0 * (r.end_s - sim.time())) as u32).unwrap();
        sim.state_hash().unwrap()
    };
    assert_ne!(end(&whole), end(&short));
}

/// One seed, one case: the same plant and the same script, whenever it is drawn.
#[test]
fn a_seed_gives_one_case() {
    for seed in 0..12 {
        match (case::draw(seed), case::draw(seed)) {
            (Ok(a), Ok(b)) => assert!(a.record == b.record && a.restored_at == b.restored_at, "{seed}"),
            (Err(a), Err(b)) => assert_eq!(a.fault, b.fault),
            _ => panic!("seed {seed} gives a case once, and once none"),
        }
    }
    let mut tally = Tally::default();
    let drawn = (0..40).find_map(|seed| case::draw(seed).ok().filter(|c| c.restored_at.is_none())).unwrap();
    let (record, end) = play::first(drawn, &mut tally);
    assert_eq!(play::again(&record), end);
}
