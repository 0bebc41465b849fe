//! Every fault in the form of a plant file is told, each with its place.

use bledsteam_catalog as catalog;
use engine::{Fault, form};

use serde_json::Value;

/// What reading a file finds; empty where there is nothing.
fn faults(text: &str) -> Vec<Fault> {
    engine::plant::read(text).err().unwrap_or_default()
}

fn plant() -> Value {
    serde_json::from_str(catalog::PLANTS[0].json).unwrap_or_default()
}

fn places(plant: &Value) -> Vec<(String, String)> {
    let mut list: Vec<_> = faults(&plant.to_string()).into_iter().map(|f| (f.place, f.code)).collect();
    list.sort();
    list
}

#[test]
fn the_shipped_plants_have_the_form() {
    for entry in catalog::PLANTS {
        assert_eq!(faults(entry.json), []);
    }
}

#[test]
fn every_fault_is_found_with_its_place() {
    let mut p = plant();
    p["boiler"]["steam_flow"] = "many".into();
    p["boiler"]["efficiency"] = Value::Null;
    p["boiler"]["reheat"]["colour"] = 3.into();
    p["turbine"]["section_efficiency"][2] = true.into();
    p["heaters"][0].as_object_mut().unwrap().remove("id");
    p["heaters"][1]["kind"] = "shut".into();
    p["heaters"][2]["drains_to"] = "nowhere".into();
    p["heaters"][4]["equipment"]["shell"]["attitude"] = "askew".into();
    p["heaters"][5]["drains_to"] = serde_json::json!({"forward": {"efficency": 0.8}});
    p["feed_pumps"]["equipment"]["running"] = (-1).into();
    p["condenser"] = serde_json::json!([]);
    p["format"] = "bledsteam-plant/9".into();
    let expected = [
        ("boiler.efficiency", "wrong_type"),
        ("boiler.reheat.colour", "unknown_field"),
        ("boiler.steam_flow", "wrong_type"),
        ("condenser", "wrong_type"),
        ("feed_pumps.equipment.running", "wrong_type"),
        ("format", "not_a_choice"),
        ("heaters[0].id", "missing_field"),
        ("heaters[1]", "not_a_choice"),
        ("heaters[2].drains_to", "not_a_choice"),
        ("heaters[4].equipment.shell.attitude", "not_a_choice"),
        ("heaters[5].drains_to.forward.efficency", "unknown_field"),
        ("turbine.section_efficiency[2]", "wrong_type"),
    ];
    assert_eq!(places(&p), expected.map(|(place, code)| (place.to_owned(), code.to_owned())));
}

/// Wherever a field is taken away or its value made another, this finds a fault if and only if reading does.
#[test]
fn it_agrees_with_reading() {
    let schema = engine::plant::schema();
    let (mut tried, mut refused) = (0, 0);
    for entry in catalog::PLANTS {
        let whole: Value = serde_json::from_str(entry.json).unwrap();
        for path in paths(&whole, String::new()) {
            let changes = [
                None,
                Some(serde_json::json!([null])),
                Some(Value::Null),
                Some(7.5.into()),
                Some("next".into()),
            ];
            for change in changes {
                let mut p = whole.clone();
                let (parent, key) = path.rsplit_once('/').unwrap();
                match (p.pointer_mut(parent).unwrap(), change) {
                    (Value::Object(o), None) => drop(o.remove(key)),
                    (_, None) => continue,
                    (_, Some(new)) => *p.pointer_mut(&path).unwrap() = new,
                }
                // A format of another version has the form of a text; refusing it is a matter of values.
                let found: Vec<Fault> = form::faults(&p, &schema)
                    .into_iter()
                    .filter(|f| f.place != "format" || !p["format"].is_string())
                    .collect();
                let read = serde_json::from_value::<engine::plant::file::Plant>(p);
                assert_eq!(found.is_empty(), read.is_ok(), "{}{path}: {:?}", entry.name, read.err());
                tried += 1;
                refused += usize::from(read.is_err());
            }
        }
    }
    assert!(tried > 1000 && refused > tried / 4 && refused < tried, "{refused} of {tried}");
}

/// Pointers to everything in a value.
fn paths(value: &Value, here: String) -> Vec<String> {
    let inside: Vec<(String, &Value)> = match value {
        Value::Object(o) => o.iter().map(|(k, v)| (k.clone(), v)).collect(),
        Value::Array(a) => a.iter().enumerate().map(|(k, v)| (k.to_string(), v)).collect(),
        _ => Vec::new(),
    };
    let mut list = Vec::new();
    for (key, v) in inside {
        let path = format!("{here}/{key}");
        list.extend(paths(v, path.clone()));
        list.push(path);
    }
    list
}

#[test]
fn it_says_what_was_expected() {
    let mut p = plant();
    p["boiler"].as_object_mut().unwrap().remove("steam_flow");
    let f = &faults(&p.to_string())[0];
    assert_eq!(f.remedy, "Expected: Steam flow to the throttle at design [kg/s].");
    let mut p = plant();
    p["heaters"][0]["drains_to"] = "nowhere".into();
    let f = &faults(&p.to_string())[0];
    assert_eq!(f.message, "'nowhere' stands here, expected is 'next' or 'condenser' or an object.");
}
