//! Every fault in the form of a plant file: missing and unknown fields, wrong types, words that are not in the list.
//!
//! Reading a file ends at its first fault. This walks the whole file along the schema, which comes from the same types;
//! of JSON Schema it knows what that schema is made of.

use engine::Fault;
use serde_json::{Map, Value};

/// Every fault of form; empty where the form is right, or the text is no JSON at all.
pub fn faults(text: &str) -> Vec<Fault> {
    let Ok(value) = serde_json::from_str::<Value>(text) else { return Vec::new() };
    along(&value, &engine::plant::schema())
}

/// Every fault of a value along a schema.
fn along(value: &Value, schema: &Value) -> Vec<Fault> {
    let mut walk = Walk { schema, faults: Vec::new() };
    walk.value(value, schema, "");
    walk.faults
}

struct Walk<'a> {
    schema: &'a Value,
    faults: Vec<Fault>,
}

impl<'a> Walk<'a> {
    fn report(&mut self, code: &str, place: &str, message: String, remedy: String) {
        let place = if place.is_empty() { "file" } else { place };
        self.faults.push(Fault::new(code, place, message, remedy));
    }

    /// Follows a reference to a definition.
    fn resolve(&self, schema: &'a Value) -> &'a Value {
        let name = schema["$ref"].as_str().and_then(|r| r.strip_prefix("#/$defs/"));
        name.map_or(schema, |name| &self.schema["$defs"][name])
    }

    /// `wanted`: the value's place in the schema, whose description says what it is for.
    fn value(&mut self, value: &Value, wanted: &'a Value, place: &str) {
        let schema = self.resolve(wanted);
        let choices = ["oneOf", "anyOf"].iter().find_map(|key| schema[key].as_array());
        if let Some(choices) = choices {
            match choices.iter().find(|c| self.suits(value, self.resolve(c))) {
                Some(choice) => self.value(value, choice, place),
                None => self.not_a_choice(value, choices, place),
            }
        } else if !has_type(value, schema) {
            let message = format!("{} stands here, expected is {}.", kind(value), self.expected(schema));
            self.report("wrong_type", place, message, meaning(wanted, "Mend the value at this place."));
        } else if !schema["const"].is_null() && schema["const"] != *value {
            self.not_a_choice(value, std::slice::from_ref(schema), place);
        } else if let (Value::Object(object), Value::Object(fields)) = (value, &schema["properties"]) {
            self.object(object, schema, fields, place);
        } else if let Value::Array(list) = value {
            for (k, item) in list.iter().enumerate() {
                self.value(item, &schema["items"], &format!("{place}[{k}]"));
            }
        }
    }

    fn object(
        &mut self,
        object: &Map<String, Value>,
        schema: &'a Value,
        fields: &'a Map<String, Value>,
        place: &str,
    ) {
        let inside = |key: &str| if place.is_empty() { key.to_owned() } else { format!("{place}.{key}") };
        for key in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
            if !object.contains_key(key) {
                let remedy = meaning(&fields[key], "Give this field.");
                self.report("missing_field", &inside(key), "this field is missing.".into(), remedy);
            }
        }
        for (key, value) in object {
            match fields.get(key) {
                Some(wanted) => self.value(value, wanted, &inside(key)),
                None if schema["additionalProperties"] == false => {
                    let known: Vec<&str> = fields.keys().map(String::as_str).collect();
                    let message = "there is no such field here.".into();
                    let remedy = format!("The fields here are {}.", known.join(", "));
                    self.report("unknown_field", &inside(key), message, remedy);
                }
                None => {}
            }
        }
    }

    /// Whether a value means this choice, be it right in every detail or not.
    fn suits(&self, value: &Value, choice: &Value) -> bool {
        let tags = choice["properties"].as_object().into_iter().flatten();
        has_type(value, choice)
            && (choice["const"].is_null() || choice["const"] == *value)
            && tags.filter(|(_, f)| !f["const"].is_null()).all(|(key, f)| value[key] == f["const"])
    }

    fn not_a_choice(&mut self, value: &Value, choices: &'a [Value], place: &str) {
        let list: Vec<String> = choices.iter().map(|c| self.expected(self.resolve(c))).collect();
        let shown = match value {
            Value::String(word) => format!("'{word}'"),
            other => kind(other).to_owned(),
        };
        let message = format!("{shown} stands here, expected is {}.", list.join(" or "));
        self.report("not_a_choice", place, message, "Give what is expected.".into());
    }

    /// What is expected, in words.
    fn expected(&self, schema: &Value) -> String {
        if let Some(word) = schema["const"].as_str() {
            return format!("'{word}'");
        }
        let tag = schema["properties"].as_object().into_iter().flatten().find(|(_, f)| !f["const"].is_null());
        if let Some((key, f)) = tag {
            return format!("an object with {key} '{}'", f["const"].as_str().unwrap_or_default());
        }
        types(schema).map(name).collect::<Vec<_>>().join(" or ")
    }
}

/// What the schema says a place is for, else `otherwise`.
fn meaning(schema: &Value, otherwise: &str) -> String {
    match schema["description"].as_str() {
        Some(text) => format!("Expected: {}", text.split_whitespace().collect::<Vec<_>>().join(" ")),
        None => otherwise.to_owned(),
    }
}

/// The types a schema allows; none where it does not say.
fn types(schema: &Value) -> impl Iterator<Item = &str> {
    let list = schema["type"].as_array().map(Vec::as_slice);
    let list = list.unwrap_or(std::slice::from_ref(&schema["type"]));
    list.iter().filter_map(Value::as_str)
}

fn has_type(value: &Value, schema: &Value) -> bool {
    let fits = |name: &str| match name {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "number" => value.is_number(),
        "integer" => value.is_u64(),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        _ => true,
    };
    types(schema).next().is_none() || types(schema).any(fits)
}

fn name(of_type: &str) -> &'static str {
    match of_type {
        "object" => "an object",
        "array" => "a list",
        "string" => "a text",
        "number" => "a number",
        "integer" => "a whole number from 0",
        "boolean" => "true or false",
        _ => "null",
    }
}

fn kind(value: &Value) -> &'static str {
    name(match value {
        Value::Object(_) => "object",
        Value::Array(_) => "array",
        Value::String(_) => "string",
        Value::Number(_) => "number",
        Value::Bool(_) => "boolean",
        Value::Null => "null",
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plant() -> Value {
        serde_json::from_str(catalog::PLANTS[0].json).unwrap()
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
                    let found: Vec<Fault> = along(&p, &schema)
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
}
