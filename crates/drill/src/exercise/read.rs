//! Reading an exercise file, and the schema of such files.

use super::Exercise;
use engine::plant::check;
use engine::{Fault, form};
use schemars::generate::SchemaSettings;
use serde_json::Value;
use std::sync::OnceLock;

/// Largest exercise file read [bytes]: a long one takes some 30 kB, the plant that it may carry as much again.
pub const LARGEST_FILE: usize = 1 << 18;

/// Reads an exercise file of the right form. What its figures must be is for [`super::check`].
///
/// # Errors
/// Every fault of form, each with its place; never an empty list.
pub fn read(json: &str) -> Result<Exercise, Vec<Fault>> {
    let one = |code: &str, place: &str, message: String, remedy: &str| {
        vec![Fault::new(code, place, message, remedy)]
    };
    if json.len() > LARGEST_FILE {
        let message =
            format!("the file has {} bytes; an exercise file has at most {LARGEST_FILE}.", json.len());
        return Err(one("file_too_large", "file", message, "Check that this is an exercise file."));
    }
    // Nesting is limited by the reader itself: no file can exhaust the stack.
    let value: Value = serde_json::from_str(json).map_err(|e| {
        let remedy = "Mend the file at this place; it must be one JSON object.";
        one("not_an_exercise_file", "file", format!("{e}."), remedy)
    })?;
    let faults = form::faults(&value, made_once());
    if !faults.is_empty() {
        return Err(faults);
    }
    let exercise: Exercise = serde_path_to_error::deserialize(value).map_err(|e| {
        let path = e.path().to_string();
        let place = if path == "." { "file" } else { &path };
        let message = format!("{}.", e.inner());
        one(
            "not_an_exercise_file",
            place,
            message,
            "Mend the file at this place; see the schema of exercises.",
        )
    })?;
    let faults = carried(&exercise);
    if faults.is_empty() { Ok(exercise) } else { Err(faults) }
}

/// Faults of the plant that an exercise carries.
fn carried(exercise: &Exercise) -> Vec<Fault> {
    let Some(plant) = &exercise.plant_file else { return Vec::new() };
    let mut faults: Vec<Fault> = check::check(plant).into_iter().map(in_plant).collect();
    if plant.name != exercise.plant {
        let message = format!("the exercise is for '{}', it carries '{}'.", exercise.plant, plant.name);
        let remedy = "Name the plant that it carries under 'plant', or take it out.";
        faults.push(Fault::new("exercise_value", "plant_file.name", message, remedy));
    }
    faults
}

/// A fault of a plant, at its place in the exercise that carries it.
pub(crate) fn in_plant(f: Fault) -> Fault {
    Fault { place: format!("plant_file.{}", f.place), ..f }
}

/// The schema of exercise files, made once: a page that lists all exercises reads each of them.
fn made_once() -> &'static Value {
    static SCHEMA: OnceLock<Value> = OnceLock::new();
    SCHEMA.get_or_init(schema)
}

/// Schema of exercise files (JSON Schema, draft 2020-12). Descriptions carry each figure's unit in square brackets.
pub fn schema() -> Value {
    let mut schema = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Exercise>();
    schema.insert("title".into(), "Bledsteam exercise".into());
    schema.into()
}
