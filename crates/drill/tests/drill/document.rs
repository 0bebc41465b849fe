//! Reading and checking: every fault with its place, nothing that does not mean something.

use crate::common::{document, lesson, sample};
use bledsteam_drill::Lesson;
use bledsteam_drill::exercise::read::{LARGEST_FILE, read, schema};
use bledsteam_drill::record;
use engine::Fault;
use serde_json::{Value, json};
use std::path::Path;

/// When set, the schemas are written anew instead of compared.
const RENEW: &str = "BLEDSTEAM_RENEW_SCHEMA";

#[test]
fn the_committed_schemas_are_those_the_types_give() {
    for (name, schema) in [("exercise", schema()), ("record", record::schema())] {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("schema/{name}.schema.json"));
        let now = serde_json::to_string_pretty(&schema).unwrap() + "\n";
        if std::env::var_os(RENEW).is_some() {
            std::fs::write(file, now).unwrap();
            continue;
        }
        let kept = std::fs::read_to_string(&file).unwrap();
        assert!(
            kept == now,
            "{} is not what the types give. Set {RENEW}=1, run this test again and commit the file.",
            file.display()
        );
    }
}

#[test]
fn the_sample_keeps_to_the_schema() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    let faults: Vec<String> = validator.iter_errors(&document()).map(|e| e.to_string()).collect();
    assert_eq!(faults, [""; 0]);
    assert_eq!(sample().exercise().objectives.len(), 7);
}

fn places(faults: Vec<Fault>) -> Vec<String> {
    let mut list: Vec<String> = faults.into_iter().map(|f| f.place).collect();
    list.sort();
    list.dedup();
    list
}

fn refused(document: &Value) -> Vec<String> {
    match read(&document.to_string()) {
        Err(faults) => places(faults),
        Ok(e) => {
            let plant = catalog::plant("reheat250").unwrap();
            Lesson::new(e, plant).map_or_else(places, |_| Vec::new())
        }
    }
}

#[test]
fn every_fault_of_form_is_told() {
    let mut d = document();
    d["length_s"] = json!("long");
    d["objectives"][0]["rule"]["kind"] = json!("wish");
    d["timeline"][0]["when"]["is"] = json!("maybe");
    d["questions"][1]["answer"]["quantity"] = json!("colour");
    d["predictions"][0]["what"] = json!({ "kind": "value" });
    d["colour"] = json!("red");
    d.as_object_mut().unwrap().remove("brief");
    d["timeline"][1]["commands"][0]["malfunction"]["kind"] = json!("gremlins");
    assert_eq!(
        refused(&d),
        [
            "brief",
            "colour",
            "length_s",
            "objectives[0].rule",
            "predictions[0].what.tolerance",
            "questions[1].answer.quantity",
            "timeline[0].when",
            "timeline[1].commands[0].malfunction.kind"
        ]
    );
}

#[test]
fn every_fault_of_value_is_told() {
    let mut d = document();
    d["id"] = json!("Sample One");
    d["plant"] = json!("drum60");
    d["title"] = json!("x".repeat(300));
    d["brief"] = json!("bell \u{7}");
    d["pass_mark"] = json!(101.0);
    d["start"] =
        json!({ "load": 1.2, "out": ["open4"], "commands": [{ "do": "trip_heater", "heater": "hp9" }] });
    d["timeline"][0]["when"]["command"]["heater"] = json!("hp8");
    d["timeline"][1]["at_s"] = json!(601.0);
    d["timeline"][1]["commands"][0]["malfunction"]["device"] = json!("lp9");
    d["controls"]["lock"][0] = json!({ "do": "set_lode" });
    d["trends"] = json!(["hp1.colour"]);
    d["hints"][0]["price"] = json!(-1.0);
    d["questions"][0]["answer"]["right"] = json!(["hp1", "attic"]);
    d["questions"][1]["answer"]["quantity"] = json!("pressure");
    d["predictions"][0]["moment"] = json!({ "at_s": 500.0 });
    d["predictions"][0]["signal"] = json!("unit.mood");
    for k in 0..7 {
        d["objectives"][k]["weight"] = json!(0.0);
    }
    d["objectives"][1]["id"] = json!("act");
    d["objectives"][3]["rule"]["high"] = json!(-200.0);
    d["objectives"][4]["rule"]["question"] = json!("lowest");
    d["objectives"][6]["rule"]["prediction"] = json!("weather");
    let nested = (0..8).fold(json!({ "is": "after", "time_s": 1.0 }), |c, _| json!({ "is": "not", "of": c }));
    d["ends"][0]["when"] = nested;
    assert_eq!(
        refused(&d),
        [
            "brief",
            "controls.lock[0]",
            "ends[0].when.of.of.of.of.of.of",
            "hints[0].price",
            "id",
            "objectives",
            "objectives[1].id",
            "objectives[3].rule.low",
            "objectives[4].rule.question",
            "objectives[6].rule.prediction",
            "pass_mark",
            "plant",
            "predictions[0].signal",
            "predictions[0].window_s",
            "questions[0].answer.right[1]",
            "questions[1].answer.quantity",
            "start.commands[0]",
            "start.load",
            "start.out[0]",
            "timeline[0].when.command.heater",
            "timeline[1].at_s",
            "timeline[1].commands[0]",
            "title",
            "trends[0]"
        ]
    );
}

/// A file from a stranger is refused in good time, whatever it holds.
#[test]
fn size_and_depth_are_limited() {
    let long = format!("{{\"brief\": \"{}\"}}", "x".repeat(LARGEST_FILE));
    assert_eq!(read(&long).unwrap_err()[0].code, "file_too_large");
    let deep = format!("{}1{}", "[".repeat(50_000), "]".repeat(50_000));
    assert_eq!(read(&deep).unwrap_err()[0].code, "not_an_exercise_file");
    assert!(read("").is_err() && read("[]").is_err() && read("{}{}").is_err());
}

/// Whatever one value is changed to, reading and checking end with faults or a lesson, never otherwise; and what is
/// taken keeps to the schema.
#[test]
fn no_change_of_a_value_passes_by_accident() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    let whole = document();
    let mut tried = 0;
    for path in paths(&whole, String::new()) {
        for new in [Value::Null, json!(-1.0), json!(1e18), json!(""), json!([]), json!({}), json!(true)] {
            let mut d = whole.clone();
            *d.pointer_mut(&path).unwrap() = new;
            let read = read(&d.to_string());
            assert!(read.is_err() || validator.is_valid(&d), "{path}: {d}");
            tried += 1;
        }
    }
    assert!(tried > 500, "{tried}");
}

fn paths(value: &Value, here: String) -> Vec<String> {
    let inside: Vec<(String, &Value)> = match value {
        Value::Object(o) => o.iter().map(|(k, v)| (k.clone(), v)).collect(),
        Value::Array(a) => a.iter().enumerate().map(|(k, v)| (k.to_string(), v)).collect(),
        _ => Vec::new(),
    };
    let below = |(key, v): (String, &Value)| {
        let path = format!("{here}/{key}");
        let mut list = paths(v, path.clone());
        list.push(path);
        list
    };
    inside.into_iter().flat_map(below).collect()
}

/// A start away from design is reached, and kept.
#[test]
fn an_exercise_begins_where_it_says() {
    let mut d = document();
    d["start"] = json!({
        "load": 0.8, "out": ["lp7", "lp6"], "isolated": ["hp3"], "settle_s": 1800.0,
        "commands": [{ "do": "insert_malfunction", "malfunction": { "kind": "normal_drain_stuck", "device": "hp2" } }]
    });
    let lesson = lesson(&d);
    for _ in 0..2 {
        let run = bledsteam_drill::Run::new(lesson.clone(), None, None).unwrap();
        let value = |id| crate::common::value(&run, id);
        assert!((value("unit.load") - 0.8).abs() < 1e-6);
        assert_eq!([value("lp6.mode"), value("lp7.mode"), value("hp3.mode")], [3.0, 3.0, 1.0]);
        assert_eq!((run.step(), run.began_s()), (0, 1800.0));
    }
}
