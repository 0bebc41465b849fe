//! The published schema of plant files: it is the one that the types give, it says what every figure means, and the
//! plants there are keep to it.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_engine::plant;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// When set, the file is written anew instead of compared.
const RENEW: &str = "BLEDSTEAM_RENEW_SCHEMA";

fn here(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

#[test]
fn the_committed_schema_is_the_one_the_types_give() {
    let file = here("schema/plant.schema.json");
    let now = serde_json::to_string_pretty(&plant::schema()).unwrap() + "\n";
    if std::env::var_os(RENEW).is_some() {
        std::fs::write(file, now).unwrap();
        return;
    }
    assert!(
        read(&file) == now,
        "{} is not what the types of the plant file give. Set {RENEW}=1, run this test again and commit the file.",
        file.display()
    );
}

/// Plant files of this repository.
fn plants() -> Vec<(String, Value)> {
    let mut found = Vec::new();
    for folder in ["../catalog/plants", "../../tests/books", "benches"] {
        for entry in std::fs::read_dir(here(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|e| e == "json") {
                let plant = serde_json::from_str(&read(&path)).unwrap();
                found.push((path.display().to_string(), plant));
            }
        }
    }
    assert!(found.len() >= 9, "{} plant files found", found.len());
    found
}

#[test]
fn every_plant_keeps_to_it() {
    let validator = jsonschema::validator_for(&plant::schema()).unwrap();
    for (name, plant) in plants() {
        let faults: Vec<String> =
            validator.iter_errors(&plant).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(faults.is_empty(), "{name}: {faults:#?}");
    }
}

/// What the schema refuses, reading refuses too: each change of a good plant is met by both.
#[test]
fn what_it_refuses_is_refused_by_reading() {
    let validator = jsonschema::validator_for(&plant::schema()).unwrap();
    let good = plants().into_iter().find(|(name, _)| name.ends_with("nag-2-6.json")).unwrap().1;
    let bad: [(&str, Value); 9] = [
        ("/format", json!("bledsteam-plant/0")),
        ("/boiler/steam_flow", json!("much")),
        ("/boiler/steam_flow", Value::Null),
        ("/heaters/0/kind", json!("half-open")),
        ("/heaters/0/drains_to", json!("nowhere")),
        ("/heaters/4/drains_to", json!({ "forward": { "presure": 0.15 } })),
        ("/heaters/2/extraction", json!({ "pressure": 0.5, "loss": 0.0 })),
        ("/heaters", json!([])),
        ("/water", json!("wet")),
    ];
    for (place, value) in bad {
        let mut plant = good.clone();
        *plant.pointer_mut(place).unwrap() = value;
        assert!(!validator.is_valid(&plant), "{place}: {plant}");
        assert!(plant::read(&plant.to_string()).is_err(), "{place}");
    }
    let mut plant = good;
    plant["heaters"][0]["colour"] = json!("red");
    assert!(!validator.is_valid(&plant));
    assert!(plant::read(&plant.to_string()).is_err());
}

/// Every field has a description, and that of a number its unit, if only [share], in square brackets.
#[test]
fn every_field_is_explained() {
    let mut missing = Vec::new();
    let mut numbers = 0;
    explain(&plant::schema(), "", &mut missing, &mut numbers);
    assert!(missing.is_empty(), "{missing:#?}");
    assert!(numbers > 80, "{numbers} numbers found");
}

fn explain(schema: &Value, place: &str, missing: &mut Vec<String>, numbers: &mut u32) {
    let properties = schema.get("properties").and_then(Value::as_object);
    // What is set apart by its very name has nothing to add: the kind of a heater, the pump of a drain pumped forward.
    let named = ["kind", "forward"];
    for (name, of) in properties.into_iter().flatten().filter(|(name, _)| !named.contains(&name.as_str())) {
        let description = of.get("description").and_then(Value::as_str).unwrap_or("");
        if description.is_empty() {
            missing.push(format!("{place}.{name}: no description"));
        }
        let kind = [of.get("type"), of.pointer("/items/type")]
            .map(|t| t.map(Value::to_string).unwrap_or_default())
            .concat();
        if kind.contains("number") {
            *numbers += 1;
            if !description.contains('[') {
                missing.push(format!("{place}.{name}: no unit in '{description}'"));
            }
        }
    }
    match schema {
        Value::Object(all) => {
            all.iter().for_each(|(k, v)| explain(v, &format!("{place}.{k}"), missing, numbers))
        }
        Value::Array(all) => all.iter().for_each(|v| explain(v, place, missing, numbers)),
        _ => {}
    }
}
