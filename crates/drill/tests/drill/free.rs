//! A free run: set back to any instant it is the same to the last bit; what waits happens when its condition holds; the other
//! outcome.

use bledsteam_drill::Free;
use bledsteam_drill::exercise::condition::Condition;
use bledsteam_drill::free::other::Without;
use bledsteam_drill::free::{Again, FINE, MARK};
use engine::Command;
use engine::malfunction::{Kind, Malfunction};
use engine::plant::file::Plant;
use serde_json::json;
use std::time::Instant;

pub fn plant() -> Plant {
    catalog::plant("reheat250").unwrap()
}

pub fn trip(heater: &str) -> Command {
    Command::TripHeater { heater: heater.into() }
}

fn malfunction(kind: Kind, device: &str, size: f64) -> Malfunction {
    Malfunction { kind, device: device.into(), size: Some(size), delay_s: 0.0, ramp_s: 0.0 }
}

pub fn when(json: serde_json::Value) -> Condition {
    serde_json::from_value(json).unwrap()
}

/// Six minutes with something of everything, and the hash and the deeds at every step.
pub fn eventful() -> (Free, Vec<String>) {
    let mut run = Free::new(plant()).unwrap();
    run.schedule(
        when(json!({ "is": "above", "signal": "hp2.level", "value": 5.0, "held_s": 2.0 })),
        malfunction(Kind::LevelDrift, "hp2.level_control", -60.0),
    )
    .unwrap();
    run.schedule(
        when(json!({ "is": "done", "command": { "do": "set_load" } })),
        malfunction(Kind::EmergencyDrainLeaks, "lp5", 0.1),
    )
    .unwrap();
    let never = when(json!({ "is": "below", "signal": "unit.load", "value": 0.1 }));
    let doomed = run.schedule(never, malfunction(Kind::Fouling, "hp3", 0.5)).unwrap();
    let mut hashes = Vec::new();
    for step in 0..6 * MARK {
        hashes.push(run.sim().state_hash().unwrap());
        match step {
            250 => run.command(&trip("hp1")).unwrap(),
            // Two at one step, one of them on a mark.
            480 => {
                let leak = malfunction(Kind::TubeLeak, "hp2", 1.0);
                run.command(&Command::InsertMalfunction { malfunction: leak }).unwrap();
                run.cancel(doomed).unwrap();
            }
            703 => run.command(&Command::SetLoad { fraction: 0.9 }).unwrap(),
            900 => run.command(&Command::AcknowledgeAlarm { alarm: None }).unwrap(),
            _ => {}
        }
        run.advance(1).unwrap();
    }
    hashes.push(run.sim().state_hash().unwrap());
    (run, hashes)
}

#[test]
fn set_back_to_any_step_it_is_the_same_bits() {
    let (mut run, hashes) = eventful();
    assert_eq!(run.queue().fired().len(), 2, "{:?}", run.queue());
    let end = 6 * MARK;
    for step in [1439, 1201, 1200, 961, 960, 959, 704, 703, 702, 481, 480, 479, 251, 250, 240, 3, 0] {
        run.back(step).unwrap();
        assert_eq!(run.step(), step);
        assert_eq!(run.sim().state_hash().unwrap(), hashes[step as usize], "{step}");
        assert_eq!(run.ahead().unwrap().0, end);
    }
    // And forward again: with its deeds, to where it was.
    for step in 1..=end {
        run.advance(1).unwrap();
        if step < end {
            assert_eq!(run.sim().state_hash().unwrap(), hashes[step as usize], "{step}");
        }
    }
    assert_eq!(run.again(), Some(&Again::Same));
    assert_eq!(run.ahead(), None);
    assert_eq!(run.queue().fired().len(), 2);
    assert_eq!(run.tape().deeds().len(), 8);
}

#[test]
fn a_command_leads_another_way() {
    let (mut run, hashes) = eventful();
    run.back(600).unwrap();
    run.advance(50).unwrap();
    run.command(&trip("lp6")).unwrap();
    assert_eq!(run.ahead(), None);
    run.advance(200).unwrap();
    assert_ne!(run.sim().state_hash().unwrap(), hashes[850]);
    assert_eq!(run.tape().deeds().last().unwrap().step, 650);
    // Before the fork nothing has changed.
    run.back(640).unwrap();
    assert_eq!(run.sim().state_hash().unwrap(), hashes[640]);
    // A refusal leaves what lies ahead alone.
    assert!(run.command(&trip("hp1")).is_err());
    assert!(run.ahead().is_some());
    assert_eq!(run.back(641).unwrap_err().code, "not_kept");
    assert_eq!(run.sim().state_hash().unwrap(), hashes[640]);
}

#[test]
fn what_waits_happens_when_its_condition_holds() {
    let mut run = Free::new(plant()).unwrap();
    let high = when(json!({ "is": "above", "signal": "hp2.level", "value": 5.0, "held_s": 10.0 }));
    let leak = malfunction(Kind::TubeLeak, "hp2", 1.0);
    let stuck = Malfunction { size: None, ..malfunction(Kind::NormalDrainStuck, "hp2", 0.0) };
    run.schedule(high, stuck.clone()).unwrap();
    run.advance(200).unwrap();
    assert!(run.sim().state().malfunctions.is_empty() && run.queue().waiting().len() == 1);
    run.command(&Command::InsertMalfunction { malfunction: leak }).unwrap();
    run.advance(20 * 240).unwrap();
    let fired = run.queue().fired()[0].clone();
    assert_eq!((fired.malfunction, fired.refused), (stuck, None));
    assert!(run.queue().waiting().is_empty() && run.sim().state().malfunctions.len() == 2);
    // The signal says so: it stood above the mark from ten seconds before, and not earlier.
    let at = (fired.at_s / 0.25) as u64;
    let level = |run: &mut Free, step| {
        run.back(step).unwrap();
        let mut values = Vec::new();
        engine::signals::read(run.sim(), &mut values);
        let ids = engine::signals::definitions(run.sim());
        values[ids.iter().position(|d| d.id == "hp2.level").unwrap()]
    };
    assert!((0..40).all(|k| level(&mut run, at - k) > 5.0));
    assert!(level(&mut run, at - 40) <= 5.0);
}

#[test]
fn what_cannot_wait_is_refused_with_its_place() {
    let mut run = Free::new(plant()).unwrap();
    let leak = || malfunction(Kind::TubeLeak, "hp2", 1.0);
    let soon = || when(json!({ "is": "after", "time_s": 5.0 }));
    let mut refused = |c, m| run.schedule(c, m).unwrap_err();
    let unknown = when(json!({ "is": "above", "signal": "hp9.level", "value": 1.0 }));
    assert!(refused(unknown, leak()).place.contains("when.signal"));
    let none = when(json!({ "is": "fired", "happening": "x" }));
    assert!(refused(none, leak()).place.contains("happening"));
    assert_eq!(refused(soon(), malfunction(Kind::TubeLeak, "fp1", 1.0)).code, "no_such_device");
    assert_eq!(refused(soon(), malfunction(Kind::TubeLeak, "hp2", 5.0)).code, "out_of_range");
    assert_eq!(run.cancel(1).unwrap_err().code, "not_waiting");
    assert!(run.tape().deeds().is_empty());
    // Times count from when it was set.
    run.advance(100).unwrap();
    run.schedule(soon(), leak()).unwrap();
    run.advance(19).unwrap();
    assert!(run.sim().state().malfunctions.is_empty());
    run.advance(1).unwrap();
    assert_eq!(run.sim().state().malfunctions.len(), 1);
}

fn column(run: &Free, without: &Without, plus_s: f64) -> (Vec<f64>, Vec<f64>, f64) {
    let signals = ["unit.final_fw_temperature".to_owned()];
    let mut other = run.other(without, &signals, plus_s).unwrap();
    let mut share = 0.0;
    while share < 1.0 {
        let more = other.go(500).unwrap();
        assert!(more > share);
        share = more;
    }
    let t = &other.outcome().twin;
    (t.with[0].clone(), t.without[0].clone(), t.from_s)
}

#[test]
fn the_other_outcome_lacks_what_is_left_out_and_nothing_else() {
    let mut run = Free::new(plant()).unwrap();
    run.advance(4 * 90).unwrap();
    let leak = Command::InsertMalfunction { malfunction: malfunction(Kind::TubeLeak, "hp2", 1.0) };
    run.command(&leak).unwrap();
    run.advance(4 * 60).unwrap();
    run.command(&trip("hp1")).unwrap();
    run.advance(4 * 300).unwrap();
    run.command(&Command::AcknowledgeAlarm { alarm: None }).unwrap();
    let before = run.sim().state_hash().unwrap();
    let read = |run: &Free| {
        let mut values = Vec::new();
        engine::signals::read(run.sim(), &mut values);
        let ids = engine::signals::definitions(run.sim());
        values[ids.iter().position(|d| d.id == "unit.final_fw_temperature").unwrap()]
    };
    let now = read(&run);

    let (with, without, from) = column(&run, &Without::LastAction, 0.0);
    assert_eq!(from, 90.0);
    assert_eq!((with.len(), without.len()), (361, 361));
    assert_eq!(with.last(), Some(&now));
    assert!(with[..60] == without[..60] && with[61..] != without[61..]);
    assert!(without.last().unwrap() - now > 15.0, "the trip takes some 27 K away");

    // The same run without the leak, and no more.
    let one = Without::Malfunction { kind: Kind::TubeLeak, device: "hp2".into() };
    let (_, without, from) = column(&run, &one, 0.0);
    assert_eq!(from, 30.0);
    let mut sound = Free::new(plant()).unwrap();
    sound.advance(4 * 150).unwrap();
    sound.command(&trip("hp1")).unwrap();
    sound.advance(4 * 300).unwrap();
    assert_eq!(without.last(), Some(&read(&sound)));
    assert_eq!(column(&run, &Without::Malfunctions, 0.0).1, without);

    // A look ahead is what comes.
    let (with, _, _) = column(&run, &Without::LastAction, 60.0);
    assert_eq!(run.sim().state_hash().unwrap(), before, "looking changes nothing");
    run.advance(240).unwrap();
    assert_eq!(with.last(), Some(&read(&run)));

    // In force before the tape began: left out from its start.
    run.begin_here().unwrap();
    run.advance(400).unwrap();
    let signals = ["hp2.level".to_owned()];
    assert_eq!(run.other(&Without::LastAction, &signals, 0.0).err().unwrap().code, "no_action");
    let (with, without, _) = column(&run, &one, 0.0);
    assert!(with[0] == without[0] && with.last() != without.last());
}

/// What the class drew is laid beside what happened, also after it was gone through once more.
#[test]
fn a_question_to_the_class_is_marked_by_what_happens() {
    let mut run = Free::new(plant()).unwrap();
    run.advance(130).unwrap();
    assert_eq!(run.ask("hp9.level", 60.0).unwrap_err().code, "no_such_signal");
    assert_eq!(run.ask("hp1.level", 5.0).unwrap_err().code, "out_of_range");
    run.ask("unit.final_fw_temperature", 240.0).unwrap();
    assert_eq!(run.asked().unwrap().marks(&[(0.0, 260.0)]).unwrap_err().code, "too_early");
    run.command(&trip("hp1")).unwrap();
    run.advance(4 * 300).unwrap();
    let seen = run.asked().unwrap().clone();
    assert_eq!(seen.observed.len(), 241);
    let (first, last) = (seen.observed[0], seen.observed[240]);
    let drawn: Vec<(f64, f64)> =
        (0..=48).map(|k| (5.0 * f64::from(k), seen.observed[5 * k as usize])).collect();
    assert!(seen.marks(&drawn).unwrap().credit > 0.99);
    let upside_down: Vec<(f64, f64)> = drawn.iter().map(|(t, v)| (*t, 2.0 * first - v)).collect();
    let marks = seen.marks(&upside_down).unwrap();
    assert!(marks.direction == Some(0.0) && marks.credit < 0.3 && last < first);
    assert_eq!(seen.marks(&[(0.0, f64::NAN)]).unwrap_err().code, "not_a_guess");
    run.back(400).unwrap();
    assert_eq!(run.asked().unwrap().observed, seen.observed[..68]);
    run.back(20).unwrap();
    run.advance(2000).unwrap();
    assert_eq!(run.asked().unwrap().observed, seen.observed);
}

/// What the kept hour costs. Generous bounds: the figures are printed, a debug build is ten times slower.
#[test]
fn an_hour_is_kept_in_little_memory_and_any_second_of_it_is_near() {
    let mut run = Free::new(plant()).unwrap();
    run.command(&trip("hp1")).unwrap();
    run.advance(FINE as u32 + 100).unwrap();
    let (marks, bytes) = run.tape().size();
    let mut worst = 0.0_f64;
    for step in [FINE + 99, FINE - 1, FINE / 2 - 1, 2 * MARK - 1, 239, 110] {
        let began = Instant::now();
        run.back(step).unwrap();
        worst = worst.max(began.elapsed().as_secs_f64());
    }
    println!("{marks} marks, {bytes} bytes of snapshots; the slowest way back took {:.1} ms", worst * 1e3);
    assert!(marks >= 60 && bytes < 4_000_000, "{marks} marks, {bytes} bytes");
    assert!(worst < if cfg!(debug_assertions) { 5.0 } else { 0.2 }, "{worst} s");
}
