//! An exercise that carries its plant: one file, whose plant is checked, hashed and replayed like a shipped one.

use crate::common::{document, go, trip};
use bledsteam_drill::entry::Head;
use bledsteam_drill::exercise::read::{read, schema};
use bledsteam_drill::lesson::hash_of;
use bledsteam_drill::replay::{Verdict, resume, verify};
use bledsteam_drill::{Entry, Exercise, Lesson, Library, Record, Run};
use engine::plant::file::Plant;
use serde_json::{Value, json};
use std::sync::Arc;

/// The sample on a plant that is not shipped: the first one with somewhat less steam.
fn own() -> Value {
    let mut plant = serde_json::to_value(catalog::plant("reheat250").unwrap()).unwrap();
    (plant["name"], plant["title"]) = (json!("home"), json!("Home"));
    let steam = plant["boiler"]["steam_flow"].as_f64().unwrap();
    plant["boiler"]["steam_flow"] = json!(steam * 0.97);
    let mut d = document();
    (d["id"], d["plant"], d["plant_file"]) = (json!("at-home"), json!("home"), plant);
    d
}

fn of(d: &Value) -> Exercise {
    read(&d.to_string()).unwrap()
}

/// The lesson as page and shell make it, with nothing beside the exercise.
fn alone(d: &Value) -> Arc<Lesson> {
    let exercise = of(d);
    let plant = exercise.plant_or(catalog::plant).unwrap();
    Arc::new(Lesson::new(exercise, plant).unwrap())
}

fn taken(d: &Value) -> Record {
    let mut run = Run::new(alone(d), None, None).unwrap();
    go(&mut run, 30.0);
    run.command(&trip("hp1")).unwrap();
    go(&mut run, 200.0);
    Record::of(run.entries().to_vec()).unwrap()
}

fn find(exercises: Vec<Exercise>, plants: Vec<Plant>, head: &Head) -> Result<Arc<Lesson>, engine::Fault> {
    Library::new(exercises, plants).unwrap().find(head)
}

#[test]
fn it_keeps_to_the_schema_and_is_taken_without_another_file() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    let faults: Vec<String> = validator.iter_errors(&own()).map(|e| e.to_string()).collect();
    assert_eq!(faults, [""; 0]);
    let lesson = alone(&own());
    assert_eq!(lesson.plant().name, "home");
    assert_eq!(lesson.identity().plant, hash_of(of(&own()).plant_file.as_deref().unwrap()).unwrap());
    // Another plant, not the shipped one under another name.
    assert_ne!(lesson.identity().behaviour, alone(&document()).identity().behaviour);
}

#[test]
fn its_record_is_judged_with_the_exercise_alone_and_resumes() {
    let record = taken(&own());
    let lesson = find(vec![of(&own())], Vec::new(), &record.head).unwrap();
    assert_eq!(verify(&lesson, &record).unwrap().verdict, Verdict::Reproduced { over: false });
    let again = resume(&lesson, &record).unwrap();
    assert_eq!(again.entries(), [vec![Entry::Head(record.head.clone())], record.entries.clone()].concat());
    // A plant of its name beside it is another, and is not taken for it.
    let mut other = catalog::plant("reheat250").unwrap();
    other.name = "home".into();
    let lesson = find(vec![of(&own())], vec![other], &record.head).unwrap();
    assert_eq!(verify(&lesson, &record).unwrap().verdict, Verdict::Reproduced { over: false });
}

/// What the plant is belongs to what the exercise is: a figure of it changed, or the plant taken out, is another exercise.
#[test]
fn another_plant_in_it_is_another_exercise() {
    let record = taken(&own());
    let mut changed = own();
    changed["plant_file"]["boiler"]["efficiency"] = json!(0.9);
    let lesson = find(vec![of(&changed)], Vec::new(), &record.head).unwrap();
    assert_eq!(verify(&lesson, &record).unwrap().verdict, Verdict::OtherExercise);
    let mut bare = own();
    let plant = bare.as_object_mut().unwrap().remove("plant_file").unwrap();
    let missing = find(vec![of(&bare)], Vec::new(), &record.head).map(drop).unwrap_err();
    assert_eq!((missing.code.as_str(), missing.place.as_str()), ("no_such_plant", "home"));
    let beside = serde_json::from_value(plant).unwrap();
    let lesson = find(vec![of(&bare)], vec![beside], &record.head).unwrap();
    assert_eq!(verify(&lesson, &record).unwrap().verdict, Verdict::OtherExercise);
}

/// An exercise that carries no plant is written, and so hashed, as before there were such: old records still hold.
#[test]
fn without_one_nothing_is_written_of_it() {
    for entry in catalog::EXERCISES {
        let written = serde_json::to_value(read(entry.json).unwrap()).unwrap();
        assert!(!written.as_object().unwrap().contains_key("plant_file"), "{}", entry.id);
    }
}

fn refused(d: &Value) -> Vec<(String, String)> {
    let faults = match read(&d.to_string()) {
        Err(faults) => faults,
        Ok(e) => {
            let plant = e.plant_or(catalog::plant);
            plant.and_then(|plant| Lesson::new(e, plant)).err().unwrap_or_default()
        }
    };
    faults.into_iter().map(|f| (f.place, f.message + " " + &f.remedy)).collect()
}

#[test]
fn a_plant_that_is_damaged_or_another_is_refused_with_its_place() {
    let told = |change: &dyn Fn(&mut Value)| {
        let mut d = own();
        change(&mut d);
        let mut faults = refused(&d);
        assert_eq!(faults.len(), 1, "{faults:?}");
        faults.remove(0)
    };
    let (place, _) = told(&|d| d["plant_file"]["boiler"]["steam_flow"] = json!("much"));
    assert_eq!(place, "plant_file.boiler.steam_flow");
    let (place, _) = told(&|d| d["plant_file"]["boiler"]["efficiency"] = json!(1.4));
    assert_eq!(place, "plant_file.boiler.efficiency");
    let (place, said) = told(&|d| d["plant_file"]["name"] = json!("away"));
    assert!(
        place == "plant_file.name" && said.contains("'home'") && said.contains("'away'"),
        "{place}: {said}"
    );
    let (place, said) = told(&|d| d["plant_file"]["format"] = json!("bledsteam-plant/9"));
    assert!(place == "plant_file.format" && said.contains("bledsteam-plant/1"), "{place}: {said}");
    let (place, said) =
        told(&|d| drop(d["plant_file"]["boiler"].as_object_mut().unwrap().remove("equipment")));
    assert!(place == "plant_file.boiler.equipment" && said.contains("not run"), "{place}: {said}");
    let (place, said) = told(&|d| drop(d.as_object_mut().unwrap().remove("plant_file")));
    assert!(
        place == "home" && said.contains("does not carry it") && said.contains("exercise pack"),
        "{said}"
    );
    // Given beside one that it carries, another plant is not quietly left aside.
    let other = catalog::plant("reheat250").unwrap();
    let faults = Lesson::new(of(&own()), other).map(drop).unwrap_err();
    assert!(faults.iter().any(|f| f.place == "plant_file"), "{faults:?}");
}
