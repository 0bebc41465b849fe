//! A class's records for the page: each verified and scored in pieces, so that the page answers meanwhile; then put
//! together. The same judgement, and the same CSV, as the shell's.

use crate::lessons::{fault, first, taken};
use crate::{thrown, to_js, too_many};
use drill::debrief::debrief;
use drill::exercise::read::{is_meant, read};
use drill::grade::{Gradebook, Judging, Row};
use drill::lesson::hash_of;
use drill::standing::standing;
use drill::{Exercise, Lesson, Run, record};
use engine::Fault;
use serde::Serialize;
use std::cell::RefCell;
use std::sync::Arc;
use wasm_bindgen::prelude::*;

/// Names of these shapes on the page's side, kept beside them.
#[wasm_bindgen(typescript_custom_section)]
const TYPES: &str = r#"
export type Verdict =
  | { is: "reproduced"; over: boolean }
  | { is: "not_reproduced"; minute: number; what: "state" | "entries" | "marks" | "outcome" | "score" }
  | { is: "other_exercise" | "other_plant" } | { is: "other_engine"; made_by: string };
export interface Answered { question: string; answer: Answer | null; credit: number }
export interface Guessed { prediction: string; way: Way | null; went: Way | null; made: boolean; credit: number }
export interface GradeRow {
  file: string; by: string; begun: string; exercise: string; verdict: Verdict | null;
  fault: Fault | null; total: number | null; passed: boolean | null; time_s: number; hints: number;
  objectives: Points[]; questions: Answered[]; predictions: Guessed[];
}
export interface Difficulty {
  exercise: string; objective: string; text: string; counted: number; mean: number; struggled: string[];
}
export interface Missed {
  exercise: string; question: string; text: string; counted: number; answered: number; mean: number;
  struggled: string[]; given: { answer: Answer; credit: number; count: number }[];
}
export interface Guessing {
  exercise: string; prediction: string; text: string; counted: number; made: number; mean: number;
  struggled: string[]; foresaw: [number, number, number]; went: [number, number, number];
}
export interface Gradebook {
  rows: GradeRow[]; csv: string; difficulties: Difficulty[]; questions: Missed[]; predictions: Guessing[];
}
export interface Judged { done: boolean; steps: number; of: number }
"#;

/// Exercises that records may be of: those given first, then those shipped.
struct Shelf {
    known: Vec<Known>,
}

/// An exercise, its content's hash and its file.
struct Known {
    hash: String,
    exercise: Exercise,
    json: String,
}

impl Shelf {
    fn new(exercises: &[String]) -> Result<Shelf, Vec<Fault>> {
        let mut known = Vec::new();
        let shipped = catalog::EXERCISES.iter().map(|e| e.json);
        for json in exercises.iter().map(String::as_str).chain(shipped) {
            let exercise = read(json)?;
            let hash = hash_of(&exercise).map_err(|f| vec![f])?;
            known.push(Known { hash, exercise, json: json.to_owned() });
        }
        Ok(Shelf { known })
    }

    /// That of the same content; of the same id where no content is the same.
    fn find(&self, id: &str, hash: &str) -> Result<&Known, Fault> {
        let same = self.known.iter().find(|k| k.hash == hash);
        same.or_else(|| self.known.iter().find(|k| k.exercise.id == id)).ok_or_else(|| {
            let message = "there is no exercise of this id at hand.";
            Fault::new("no_such_exercise", id, message, "Add the exercise's file beside its records.")
        })
    }
}

/// Judges records, one after the other.
#[wasm_bindgen]
pub struct Marker {
    shelf: Shelf,
    lessons: RefCell<Vec<(String, Arc<Lesson>)>>,
    judging: Option<Judging>,
    run: Option<Run>,
}

#[wasm_bindgen]
impl Marker {
    /// `exercises`: files besides those shipped.
    #[wasm_bindgen(constructor)]
    pub fn new(exercises: Vec<String>) -> Result<Marker, JsValue> {
        let shelf = Shelf::new(&exercises).map_err(|f| first(&f))?;
        Ok(Marker { shelf, lessons: RefCell::default(), judging: None, run: None })
    }

    /// Begins with a record's file. What is wrong with it comes out in its row.
    pub fn open(&mut self, file: &str, bytes: &[u8]) {
        self.run = None;
        self.judging = Some(match text(file, bytes) {
            Ok(text) => Judging::new(file, text, &|id, hash| self.lesson(id, hash)),
            Err(fault) => Judging::unread(file, fault),
        });
    }

    fn lesson(&self, id: &str, hash: &str) -> Result<Arc<Lesson>, Fault> {
        let Known { hash: key, exercise, .. } = self.shelf.find(id, hash)?;
        if let Some((_, lesson)) = self.lessons.borrow().iter().find(|(k, _)| k == key) {
            return Ok(lesson.clone());
        }
        let one = |mut faults: Vec<Fault>| faults.remove(0);
        let plant = catalog::plant(&exercise.plant).map_err(one)?;
        let lesson = Arc::new(Lesson::new(exercise.clone(), plant).map_err(one)?);
        self.lessons.borrow_mut().push((key.clone(), lesson.clone()));
        Ok(lesson)
    }

    /// Goes on by a number of steps.
    #[wasm_bindgen(unchecked_return_type = "Judged")]
    pub fn advance(&mut self, steps: f64) -> Result<JsValue, JsValue> {
        #[derive(Serialize)]
        struct Judged {
            done: bool,
            steps: u64,
            of: u64,
        }
        if !(1.0..=MOST_STEPS).contains(&steps) || steps.fract() != 0.0 {
            return Err(thrown(&too_many("steps", steps, MOST_STEPS)));
        }
        let Some(judging) = &mut self.judging else { return Err(nothing()) };
        let done = judging.advance(steps as u64);
        let (steps, of) = judging.steps();
        to_js(&Judged { done, steps, of })
    }

    /// The row of the record that was opened last, once it is through.
    #[wasm_bindgen(unchecked_return_type = "GradeRow")]
    pub fn row(&mut self) -> Result<JsValue, JsValue> {
        let Some(judging) = self.judging.take() else { return Err(nothing()) };
        let (row, run) = judging.finish();
        let holds = row.verdict.as_ref().is_some_and(|v| v.holds());
        self.run = run.filter(|_| holds);
        to_js(&row)
    }

    /// Everything about the record whose row came last; null where its run does not hold.
    #[wasm_bindgen(unchecked_return_type = "Debrief | null")]
    pub fn debrief(&self) -> Result<JsValue, JsValue> {
        self.run.as_ref().map_or(Ok(JsValue::NULL), |run| to_js(&debrief(run)))
    }

    /// How it stood at its end, with what was read when questions were answered; null likewise.
    #[wasm_bindgen(unchecked_return_type = "Standing | null")]
    pub fn standing(&self) -> Result<JsValue, JsValue> {
        self.run.as_ref().map_or(Ok(JsValue::NULL), |run| to_js(&standing(run)))
    }
}

fn nothing() -> JsValue {
    fault("no_record", "record", "no record is open.".into(), "Open one first.")
}

/// Most steps in one call, as of a session.
const MOST_STEPS: f64 = 14_400.0;

/// A record's bytes as text: refused as the shell refuses the file.
fn text<'a>(file: &str, bytes: &'a [u8]) -> Result<&'a str, Fault> {
    if bytes.len() > record::LARGEST {
        let message = format!("it has more than {} bytes.", record::LARGEST);
        return Err(Fault::new("file_too_large", file, message, "Check that this is the file you mean."));
    }
    let text = std::str::from_utf8(bytes).map_err(|e| {
        let at = e.valid_up_to();
        let line = 1 + bytes[..at].iter().filter(|b| **b == b'\n').count();
        let message = format!("line {line} is not UTF-8 text (byte {at}).");
        Fault::new("not_text", file, message, "Give the file as the page wrote it.")
    })?;
    Ok(text.strip_prefix('\u{feff}').unwrap_or(text))
}

/// Puts rows together; `exercises` as for the marker that made them.
#[wasm_bindgen(unchecked_return_type = "Gradebook")]
pub fn gradebook(
    #[wasm_bindgen(unchecked_param_type = "GradeRow[]")] rows: JsValue,
    exercises: Vec<String>,
) -> Result<JsValue, JsValue> {
    #[derive(Serialize)]
    struct Book<'a> {
        #[serde(flatten)]
        book: &'a Gradebook,
        csv: String,
    }
    let rows: Vec<Row> = taken(rows, "list of rows")?;
    let shelf = Shelf::new(&exercises).map_err(|f| first(&f))?;
    let used: Vec<&Exercise> = shelf.known.iter().map(|k| &k.exercise).collect();
    let book = Gradebook::new(rows, &used);
    to_js(&Book { csv: book.csv(), book: &book })
}

/// The text of a file that means to be an exercise; null where it does not, and so is taken for a record.
#[wasm_bindgen(unchecked_return_type = "string | null")]
pub fn exercise_in(bytes: &[u8]) -> JsValue {
    text("file", bytes).ok().filter(|t| is_meant(t)).map_or(JsValue::NULL, JsValue::from_str)
}

/// The file of the exercise that a record names: one of those given, or shipped; null where neither is.
#[wasm_bindgen(unchecked_return_type = "string | null")]
pub fn exercise_of(record: &[u8], exercises: Vec<String>) -> Result<JsValue, JsValue> {
    let head = text("record", record).and_then(drill::Record::read).map(|r| r.head);
    let shelf = Shelf::new(&exercises).map_err(|f| first(&f))?;
    let known = head.ok().and_then(|h| shelf.find(&h.exercise, &h.exercise_hash).ok());
    Ok(known.map_or(JsValue::NULL, |k| JsValue::from_str(&k.json)))
}
