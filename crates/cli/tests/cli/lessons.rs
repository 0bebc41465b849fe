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
