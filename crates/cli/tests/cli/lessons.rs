//! Exercises and records from a shell.

use crate::shell::{call, file};
use serde_json::Value;
use std::time::Instant;

/// A record of a shipped exercise's run, in a file for this test alone.
fn record(exercise: &str, run: &str, name: &str) -> String {
    let done = call("exercise take", &[exercise, "--run", run, "--by", name]);
    assert_eq!(done.code, 0, "{}", done.err);
    file(&format!("{name}.jsonl"), done.out.as_bytes()).display().to_string()
}

#[test]
fn every_shipped_exercise_is_listed_and_sound() {
    let list = call("exercises --json", &[]).json();
    let ids: Vec<&str> = list.as_array().unwrap().iter().map(|e| e["id"].as_str().unwrap()).collect();
    assert_eq!(ids, catalog::EXERCISES.iter().map(|e| e.id).collect::<Vec<_>>());
    for id in ids {
        let done = call("exercise check", &[id]);
        assert!(done.code == 0 && done.out.contains("no faults"), "{id}: {}", done.err);
    }
}

#[test]
fn the_faults_of_a_file_are_listed_with_their_places() {
    let mut e: Value = serde_json::from_str(catalog::EXERCISES[0].json).unwrap();
    e["trends"][0] = "hp9.ttd".into();
    e["pass_mark"] = 200.into();
    let path = file("faulty.json", e.to_string().as_bytes());
    let done = call("exercise check", &[path.to_str().unwrap()]);
    assert_eq!((done.code, done.out.as_str()), (1, ""));
    for place in ["trends[0]: ", "pass_mark: "] {
        assert!(done.err.contains(place), "{}", done.err);
    }
    e["titel"] = "?".into();
    let path = file("misshapen.json", e.to_string().as_bytes());
    let found = call("exercise check --json", &[path.to_str().unwrap()]);
    let found: Value = serde_json::from_str(&found.out).unwrap();
    assert_eq!(found["faults"].as_array().unwrap().len(), 1, "{found}");
    assert_eq!(call("exercise check nowhere", &[]).code, 2);
}

#[test]
fn a_record_is_replayed_and_an_edited_one_found_out() {
    let path = record("where-heat-comes-from", "model", "honest");
    let done = call("replay", &[&path]);
    assert_eq!(done.code, 0, "{}", done.err);
    assert!(done.out.contains("Reproduced to the last bit.") && done.out.contains("100.0 of 100   passed"));
    let text = std::fs::read_to_string(&path).unwrap();
    let later = text.replace("\"step\":240,\"command\"", "\"step\":244,\"command\"");
    assert_ne!(later, text);
    let edited = file("edited.jsonl", later.as_bytes());
    let done = call("replay", &[edited.to_str().unwrap()]);
    assert_eq!(done.code, 6);
    assert!(done.out.contains("Not reproduced from minute 2 on"), "{}", done.out);
    let found = call("replay --json", &[&path]).json();
    assert_eq!(found["verdict"]["is"], "reproduced");
    assert_eq!(found["debrief"]["score"]["passed"], true);
}

/// A free run as the desk saves it: played again here from its start to its end, and an edited one found out.
#[test]
fn a_saved_run_is_replayed_and_an_edited_one_found_out() {
    let mut run = drill::Free::new(catalog::plant("reheat250").unwrap()).unwrap();
    run.advance(250).unwrap();
    run.command(&serde_json::from_str(r#"{"do":"trip_heater","heater":"hp1"}"#).unwrap()).unwrap();
    run.advance(500).unwrap();
    let text = run.tape_file("an afternoon", "today").unwrap();
    let path = file("tape.json", text.as_bytes());
    let done = call("replay", &[path.to_str().unwrap()]);
    assert_eq!((done.code, done.err.as_str()), (0, ""));
    assert!(done.out.contains("an afternoon: a run of reheat250, 0:00:00 to 0:03:07.5"), "{}", done.out);
    assert!(done.out.contains("Reproduced to the last bit."), "{}", done.out);
    let later = text.replace("\"step\":250,", "\"step\":251,");
    assert_ne!(later, text);
    let edited = file("tape-edited.json", later.as_bytes());
    let done = call("replay", &[edited.to_str().unwrap()]);
    assert_eq!(done.code, 6, "{}", done.err);
    assert!(done.out.contains("Not reproduced from minute 2 on, plant time 0:02:00"), "{}", done.out);
    let found = call("replay --json", &[path.to_str().unwrap()]).json();
    assert_eq!((&found["reproduced"], &found["deeds"]), (&true.into(), &1.into()));
    // Of a plant that is not at hand, and with its file.
    let own = text.replace("\"plant\":\"reheat250\"", "\"plant\":\"elsewhere\"");
    let own = file("tape-elsewhere.json", own.as_bytes());
    let done = call("replay", &[own.to_str().unwrap()]);
    assert!(
        done.code == 2 && done.err.contains("elsewhere: the plant of this run is not at hand"),
        "{}",
        done.err
    );
}

/// An instructor's own plant: its file lies beside exercise and records, and is named where it is missing.
#[test]
fn records_of_an_own_plant_are_graded_with_its_file() {
    let entry = catalog::EXERCISES.iter().find(|e| e.id == "where-heat-comes-from").unwrap();
    let mut exercise: Value = serde_json::from_str(entry.json).unwrap();
    let named = exercise["plant"].as_str().unwrap().to_owned();
    let shipped = catalog::PLANTS.iter().find(|p| p.name == named).unwrap();
    let mut plant: Value = serde_json::from_str(shipped.json).unwrap();
    (plant["name"], exercise["plant"], exercise["id"]) = ("home".into(), "home".into(), "at-home".into());
    let plant = file("home.json", plant.to_string().as_bytes()).display().to_string();
    let exercise = file("at-home.json", exercise.to_string().as_bytes()).display().to_string();
    let runs = file("at-home-run.json", b"[]").display().to_string();
    let done = call("exercise take", &[&exercise, "--plant", &plant, "--script", &runs, "--by", "Own"]);
    assert_eq!(done.code, 0, "{}", done.err);
    let record = file("own-record.jsonl", done.out.as_bytes()).display().to_string();
    let with = call("grade --csv", &[&record, "--exercise", &exercise, "--plant", &plant]);
    assert!(with.code == 0 && with.out.contains(",at-home,reproduced,"), "{}{}", with.out, with.err);
    let without = call("grade", &[&record, "--exercise", &exercise]);
    assert!(
        without.err.contains("home: the plant of the exercise 'at-home' is not at hand. Give its file"),
        "{}",
        without.err
    );
    let neither = call("grade", &[&record]);
    assert!(
        neither.err.contains("at-home: there is no exercise of this id at hand. Give its file"),
        "{}",
        neither.err
    );
    // Packed into the exercise, the plant needs no file of its own: neither to be taken nor to be judged.
    let packed = call("exercise pack", &[&exercise, "--plant", &plant]);
    assert_eq!(packed.code, 0, "{}", packed.err);
    let one = file("at-home-packed.json", packed.out.as_bytes()).display().to_string();
    let done = call("exercise take", &[&one, "--script", &runs]);
    assert_eq!(done.code, 0, "{}", done.err);
    let record = file("packed-record.jsonl", done.out.as_bytes()).display().to_string();
    let alone = call("grade --csv", &[&record, "--exercise", &one]);
    assert!(alone.code == 0 && alone.out.contains(",at-home,reproduced,"), "{}{}", alone.out, alone.err);
    assert_eq!(call("replay", &[&record, "--exercise", &one]).code, 0);
    // One of another name, or another beside it, is refused and named.
    let other = call("exercise pack", &[&exercise, "--plant", &named]);
    assert!(other.code == 1 && other.err.contains("plant: the exercise is for 'home'"), "{}", other.err);
    let two = call("exercise check", &[&one, "--plant", &named]);
    assert!(two.code == 1 && two.err.contains("plant_file: the exercise carries a plant"), "{}", two.err);
}

/// Points only to what is reproduced; the table tells what was hard.
#[test]
fn a_class_is_graded() {
    let good = record("where-heat-comes-from", "model", "good");
    let wrong = record("where-heat-comes-from", "wrong", "mistaken");
    let text = std::fs::read_to_string(&wrong).unwrap();
    let cheat =
        file("cheat.jsonl", text.replace("\"total\":", "\"total\":9").as_bytes()).display().to_string();
    let none = file("none.jsonl", b"{}").display().to_string();
    let done = call("grade", &[&good, &wrong, &cheat, &none]);
    assert_eq!(done.code, 0, "{}", done.err);
    for says in ["good", "100.0", "not reproduced from minute", "Most missed", "Foresee the heat rate"] {
        assert!(done.out.contains(says), "{says} not in {}", done.out);
    }
    assert!(done.err.contains("none.jsonl:"), "{}", done.err);
    let csv = call("grade --csv", &[&good, &wrong, &cheat, &none]);
    assert_eq!(csv.out.lines().count(), 5);
    let json = call("grade --json", &[&good, &wrong]).json();
    assert_eq!(json["rows"][0]["total"], 100.0);
    assert!(json["difficulties"][0]["mean"].as_f64().unwrap() <= 0.5);
}

/// Thirty records of 40 minutes within ten seconds is what a release build keeps; this build, whose exercise crate is
/// not optimised, is given six times of that for a third of it.
#[test]
fn grading_takes_seconds() {
    let path = record("where-heat-comes-from", "model", "timed");
    let paths: Vec<&str> = std::iter::repeat_n(path.as_str(), 10).collect();
    let start = Instant::now();
    let done = call("grade --csv", &paths);
    assert_eq!(done.out.lines().count(), 11, "{}", done.err);
    assert!(start.elapsed().as_secs() < 60, "{:?}", start.elapsed());
}
