//! A class's records for the page: each verified and scored in pieces, so that the page answers meanwhile; then put
//! together. The same judgement, and the same CSV, as the shell's.

use crate::lessons::{fault, first, taken};
use crate::{thrown, to_js, too_many};
use drill::Library;
use drill::debrief::debrief;
use drill::exercise::read::read;
use drill::grade::{Gradebook, Judging, Row};
use drill::kind::{Kind, kind_of};
use drill::standing::standing;
use drill::{Run, record};
use engine::Fault;
use serde::Serialize;
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
  understood: { exercise: string; file: string | null; parts: Worth[] }[];
}
export interface BesideRecords { is: "exercise" | "plant"; json: string }
export interface Judged { done: boolean; steps: number; of: number }
"#;

/// Exercises and plants that records may be of: those given first, then those shipped.
fn library(files: &[String]) -> Result<Library, JsValue> {
    let (mut exercises, mut plants) = (Vec::new(), Vec::new());
    for json in files {
        match kind_of(json) {
            Some(Kind::Plant) => plants.push(engine::plant::read(json).map_err(|f| first(&f))?),
            _ => exercises.push(read(json).map_err(|f| first(&f))?),
        }
    }
    for entry in catalog::EXERCISES {
        exercises.push(read(entry.json).map_err(|f| first(&f))?);
    }
    for entry in catalog::PLANTS {
        plants.push(catalog::plant(entry.name).map_err(|f| first(&f))?);
    }
    Library::new(exercises, plants).map_err(|f| thrown(&f))
}

/// Judges records, one after the other.
#[wasm_bindgen]
pub struct Marker {
    library: Library,
    judging: Option<Judging>,
    run: Option<Run>,
}

#[wasm_bindgen]
impl Marker {
    /// `files`: exercises and plants besides those shipped.
    #[wasm_bindgen(constructor)]
    pub fn new(files: Vec<String>) -> Result<Marker, JsValue> {
        Ok(Marker { library: library(&files)?, judging: None, run: None })
    }

    /// Begins with a record's file. What is wrong with it comes out in its row.
    pub fn open(&mut self, file: &str, bytes: &[u8]) {
        self.run = None;
        self.judging = Some(match text(file, bytes) {
            Ok(text) => Judging::new(file, text, &|head| self.library.find(head)),
            Err(fault) => Judging::unread(file, fault),
        });
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

/// Puts rows together; `files` as for the marker that made them.
#[wasm_bindgen(unchecked_return_type = "Gradebook")]
pub fn gradebook(
    #[wasm_bindgen(unchecked_param_type = "GradeRow[]")] rows: JsValue,
    files: Vec<String>,
) -> Result<JsValue, JsValue> {
    #[derive(Serialize)]
    struct Book<'a> {
        #[serde(flatten)]
        book: &'a Gradebook,
        csv: String,
    }
    let rows: Vec<Row> = taken(rows, "list of rows")?;
    let book = Gradebook::new(rows, &library(&files)?.exercises());
    to_js(&Book { csv: book.csv(), book: &book })
}

/// A file that means to be an exercise or a plant; null where it means neither, and so is taken for a record.
#[wasm_bindgen(unchecked_return_type = "BesideRecords | null")]
pub fn beside_records(bytes: &[u8]) -> Result<JsValue, JsValue> {
    #[derive(Serialize)]
    struct Beside<'a> {
        is: &'static str,
        json: &'a str,
    }
    let Ok(json) = text("file", bytes) else { return Ok(JsValue::NULL) };
    let is = match kind_of(json) {
        Some(Kind::Exercise) => "exercise",
        Some(Kind::Plant) => "plant",
        Some(Kind::Tape) | None => return Ok(JsValue::NULL),
    };
    to_js(&Beside { is, json })
}

/// The file of the exercise that a record names: one of those given, or shipped; null where neither is.
#[wasm_bindgen(unchecked_return_type = "string | null")]
pub fn exercise_of(record: &[u8], files: Vec<String>) -> Result<JsValue, JsValue> {
    let Ok(head) = text("record", record).and_then(drill::Record::read).map(|r| r.head) else {
        return Ok(JsValue::NULL);
    };
    let exercises = files.iter().map(String::as_str).filter(|json| kind_of(json) != Some(Kind::Plant));
    let exercises: Vec<&str> = exercises.chain(catalog::EXERCISES.iter().map(|e| e.json)).collect();
    let at = library(&files)?.exercise_of(&head);
    Ok(at.and_then(|at| exercises.get(at)).map_or(JsValue::NULL, |json| JsValue::from_str(json)))
}
