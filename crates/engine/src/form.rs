//! Every fault in the form of a document: missing and unknown fields, wrong types, words that are not in the list.
//!
//! Reading a file ends at its first fault. This walks the whole of it along its schema, which comes from the same types;
//! of JSON Schema it knows what those schemas are made of.

use crate::fault::Fault;
use serde_json::{Map, Value};

/// Every fault of a value along a schema; empty where the form is right.
pub fn faults(value: &Value, schema: &Value) -> Vec<Fault> {
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
            let suiting = choices.iter().find(|c| self.suits(value, self.resolve(c)));
            match suiting.or_else(|| self.only_object(value, choices)) {
                Some(choice) => self.value(value, choice, place),
                None => self.not_a_choice(value, choices, place),
            }
        } else if !has_type(value, schema) {
            let message = format!("{} stands here, expected is {}.", kind(value), self.expected(schema));
            self.report("wrong_type", place, message, meaning(wanted, "Mend the value at this place."));
        } else if !schema["const"].is_null() && schema["const"] != *value {
            self.not_a_choice(value, std::slice::from_ref(schema), place);
        } else if let Some(words) = schema["enum"].as_array().filter(|words| !words.contains(value)) {
            let list: Vec<&str> = words.iter().filter_map(Value::as_str).collect();
            let message = format!("{} stands here, expected is one of {}.", shown(value), list.join(", "));
            self.report("not_a_choice", place, message, "Give what is expected.".into());
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

    /// The one choice that an object can mean, though it is not what this says: what is wrong in it is told at its place.
    fn only_object(&self, value: &Value, choices: &'a [Value]) -> Option<&'a Value> {
        let mut fits = choices.iter().filter(|c| value.is_object() && has_type(value, self.resolve(c)));
        fits.next().filter(|_| fits.next().is_none())
    }

    fn not_a_choice(&mut self, value: &Value, choices: &'a [Value], place: &str) {
        let list: Vec<String> = choices.iter().map(|c| self.expected(self.resolve(c))).collect();
        let message = format!("{} stands here, expected is {}.", shown(value), list.join(" or "));
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

/// A word as it stands, anything else by its kind.
fn shown(value: &Value) -> String {
    match value {
        Value::String(word) => format!("'{word}'"),
        other => kind(other).to_owned(),
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
