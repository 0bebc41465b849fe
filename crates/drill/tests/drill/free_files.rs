//! Files of a free run: what comes back is what was kept, what is of another plant or build or was changed is refused with the
//! reason, and of what is refused nothing is kept.

use crate::free::{eventful, plant, trip, when};
use bledsteam_drill::Free;
use bledsteam_drill::exercise::Start;
use bledsteam_drill::free::file::{read_snapshot, read_tape};
use bledsteam_drill::free::{Again, MARK};
use engine::malfunction::{Kind, Malfunction};
use serde_json::{Value, json};

fn changed(text: &str, change: impl Fn(&mut Value)) -> String {
    let mut value: Value = serde_json::from_str(text).unwrap();
    change(&mut value);
    value.to_string()
}

fn load(run: &mut Free, text: &str) -> Result<(), engine::Fault> {
    run.load(&read_snapshot(text)?)
}

#[test]
fn a_snapshot_is_where_it_was_and_waits_for_what_it_waited() {
    let mut run = Free::new(plant()).unwrap();
    run.command(&trip("hp1")).unwrap();
    run.advance(333).unwrap();
    let stuck = Malfunction {
        kind: Kind::NormalDrainStuck,
        device: "hp2".into(),
        size: None,
        delay_s: 0.0,
        ramp_s: 0.0,
    };
    run.schedule(when(json!({ "is": "after", "time_s": 20.0 })), stuck).unwrap();
    let text = run.snapshot_file("A heater is out", "today").unwrap();
    let here = run.sim().state_hash().unwrap();
    assert!(text.len() < 100_000, "{} bytes", text.len());
    run.advance(80).unwrap();
    let there = run.sim().state_hash().unwrap();

    let mut other = Free::new(plant()).unwrap();
    other.advance(10).unwrap();
    load(&mut other, &text).unwrap();
    assert_eq!(other.sim().state_hash().unwrap(), here);
    other.advance(80).unwrap();
    assert_eq!(other.sim().state_hash().unwrap(), there);
    assert_eq!(other.sim().state().malfunctions.len(), 1);
    // Its tape begins there; the run that was left is not lost.
    assert_eq!(other.back(332).unwrap_err().code, "not_kept");
    other.back_to_left().unwrap();
    assert_eq!(other.step(), 10);
    other.back(3).unwrap();
    other.back_to_left().unwrap();
    assert_eq!(other.sim().state_hash().unwrap(), there);
}

/// The same row of bytes with another last digit.
fn other_end(state: &Value) -> Value {
    let mut digits = state.as_str().unwrap().to_owned();
    let last = digits.pop().unwrap();
    digits.push(if last == '0' { '1' } else { '0' });
    digits.into()
}

#[test]
fn what_is_not_of_this_plant_and_build_is_refused_and_nothing_is_kept_of_it() {
    let mut run = Free::new(plant()).unwrap();
    run.advance(100).unwrap();
    let text = run.snapshot_file("mine", "").unwrap();
    run.advance(100).unwrap();
    let here = run.sim().state_hash().unwrap();
    let mut elsewhere = Free::new(catalog::plant("drum60").unwrap()).unwrap();
    elsewhere.advance(1).unwrap();
    let foreign = elsewhere.snapshot_file("theirs", "").unwrap();
    let cases = [
        (foreign.clone(), "other_plant", "drum60"),
        (changed(&text, |v| v["made"]["plant_hash"] = "0".into()), "other_plant", "differs"),
        (changed(&text, |v| v["made"]["behaviour"] = "0".into()), "other_engine", "another build"),
        (changed(&text, |v| v["made"]["engine"] = "9.9.9".into()), "other_engine", "9.9.9"),
        (changed(&text, |v| v["format"] = "bledsteam-snapshot/2".into()), "not_such_a_file", "snapshot/2"),
        (changed(&text, |v| v["more"] = 1.into()), "not_such_a_file", "more"),
        (changed(&text, |v| v["state"] = "0g".into()), "damaged_file", "row of bytes"),
        (changed(&text, |v| v["state"] = "00ff".into()), "damaged_snapshot", "cut short"),
        (changed(&text, |v| v["state"] = other_end(&v["state"])), "damaged_snapshot", "changed"),
        (text[..text.len() - 5].into(), "not_such_a_file", "EOF"),
        (format!("{text}{text}"), "not_such_a_file", "trailing"),
        ("[".repeat(100_000), "not_such_a_file", "sequence"),
        (" ".repeat(9_000_000), "not_such_a_file", "bytes"),
        (run.tape_file("", "").unwrap(), "not_such_a_file", "bledsteam-tape/1"),
    ];
    for (text, code, says) in cases {
        let f = load(&mut run, &text).unwrap_err();
        assert_eq!(f.code, code, "{f:?}");
        assert!(f.message.contains(says) || f.place.contains(says), "{f:?} does not say {says}");
        assert_eq!(run.sim().state_hash().unwrap(), here);
        assert_eq!(run.tape().reaches(), 0);
        assert!(!run.has_left());
    }
    // A state with the sums right but parts missing: what another plant's bytes look like when only their label was changed.
    let mine: Value = serde_json::from_str(&text).unwrap();
    let relabelled = changed(&foreign, |v| v["made"] = mine["made"].clone());
    assert_eq!(load(&mut run, &relabelled).unwrap_err().code, "other_snapshot");
    assert_eq!(run.sim().state_hash().unwrap(), here);
}

#[test]
fn a_tape_plays_again_and_an_edited_one_is_found_out() {
    let (mut run, hashes) = eventful();
    let text = run.tape_file("six minutes", "today").unwrap();
    let mut again = Free::new(plant()).unwrap();
    again.open_tape(read_tape(&text).unwrap()).unwrap();
    assert_eq!(again.ahead().unwrap().0, 6 * MARK);
    again.advance(6 * MARK as u32).unwrap();
    assert_eq!(again.again(), Some(&Again::Same));
    assert_eq!(again.sim().state_hash().unwrap(), hashes[6 * MARK as usize]);
    assert_eq!(again.tape_file("six minutes", "today").unwrap(), text);

    // What is done at the very end of a run belongs to it, and nothing after it is compared.
    let mut last = Free::new(plant()).unwrap();
    last.advance(10).unwrap();
    last.begin_here().unwrap();
    last.command(&trip("hp1")).unwrap();
    let mut at_once = Free::new(plant()).unwrap();
    at_once.open_tape(read_tape(&last.tape_file("at once", "today").unwrap()).unwrap()).unwrap();
    at_once.advance(1).unwrap();
    assert_eq!((at_once.again(), at_once.ahead()), (Some(&Again::Same), None));

    // The trip a second later: found at the next mark, a minute on.
    let edited = changed(&text, |v| {
        let trip = v["deeds"].as_array_mut().unwrap().iter_mut().find(|d| d["step"] == 250).unwrap();
        trip["step"] = 254.into();
    });
    let mut run2 = Free::new(plant()).unwrap();
    run2.open_tape(read_tape(&edited).unwrap()).unwrap();
    run2.advance(6 * MARK as u32).unwrap();
    assert_eq!(run2.again(), Some(&Again::Differs { step: 480 }));

    let unsorted = changed(&text, |v| v["deeds"].as_array_mut().unwrap().reverse());
    assert_eq!(read_tape(&unsorted).unwrap_err().place, "deeds");
    let moved = changed(&text, |v| v["checks"][0]["state"] = "0".into());
    let before = run.sim().state_hash().unwrap();
    assert_eq!(run.open_tape(read_tape(&moved).unwrap()).unwrap_err().code, "damaged_file");
    assert_eq!(run.sim().state_hash().unwrap(), before);
}

#[test]
fn a_start_is_brought_about_and_begun() {
    let mut run = Free::new(plant()).unwrap();
    run.advance(40).unwrap();
    let start = |json| serde_json::from_value::<Start>(json).unwrap();
    let f = run.begin(&start(json!({ "out": ["hp9"] }))).unwrap_err();
    assert!(f.place.starts_with("start.out[0]") && run.step() == 40 && !run.has_left());
    run.begin(&start(json!({ "load": 0.8, "out": ["hp1"] }))).unwrap();
    run.advance(600).unwrap();
    run.begin_here().unwrap();
    assert_eq!(run.tape().reaches(), 600);
    assert!((run.sim().state().control.load - 0.8).abs() < 1e-12);
    run.back_to_left().unwrap();
    assert_eq!(run.step(), 40);
}
