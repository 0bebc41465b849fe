//! Many records at once: each verified by replaying it, scored anew, and what the class found hard.

use crate::exercise::Exercise;
use crate::exercise::seconds;
use crate::lesson::Lesson;
use crate::record::Record;
use crate::replay::{Verdict, verify};
use crate::score::Points;
use engine::Fault;
use serde::Serialize;
use std::sync::Arc;

/// One record's line of a gradebook.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// File it was in.
    pub file: String,
    /// Who took it, by their own word.
    pub by: String,
    /// When it was begun, by the page's clock.
    pub begun: String,
    /// Exercise's id.
    pub exercise: String,
    /// What the record is found to be; none where it could not be judged.
    pub verdict: Option<Verdict>,
    /// Why it could not be judged.
    pub fault: Option<Fault>,
    /// Total made here [points]; none where it cannot be relied on.
    pub total: Option<f64>,
    /// Passed; likewise.
    pub passed: Option<bool>,
    /// How long it went on [s].
    pub time_s: f64,
    /// Hints taken.
    pub hints: u32,
    /// Objectives.
    pub objectives: Vec<Points>,
}

/// How a class did on an objective.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Difficulty {
    /// Exercise's id.
    pub exercise: String,
    /// Objective's id.
    pub objective: String,
    /// What was to be achieved.
    pub text: String,
    /// Records counted.
    pub counted: usize,
    /// Mean credit, 0 to 1.
    pub mean: f64,
    /// Who has less than half of it, by name or file.
    pub struggled: Vec<String>,
}

/// A gradebook.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Gradebook {
    /// Records, in the order given.
    pub rows: Vec<Row>,
    /// Objectives, the most missed first.
    pub difficulties: Vec<Difficulty>,
}

/// Finds the lesson of an exercise's id and content hash.
pub type Find<'a> = dyn Fn(&str, &str) -> Result<Arc<Lesson>, Fault> + 'a;

/// Judges a record's text. `lesson` finds the lesson of an exercise's id and content hash.
pub fn row(file: &str, text: &str, lesson: &Find) -> (Row, Option<Arc<Lesson>>) {
    let mut row = Row {
        file: file.into(),
        by: String::new(),
        begun: String::new(),
        exercise: String::new(),
        verdict: None,
        fault: None,
        total: None,
        passed: None,
        time_s: 0.0,
        hints: 0,
        objectives: Vec::new(),
    };
    match judge(text, lesson, &mut row) {
        Ok(lesson) => (row, Some(lesson)),
        Err(fault) => {
            row.fault = Some(fault);
            (row, None)
        }
    }
}

fn judge(text: &str, lesson: &Find, row: &mut Row) -> Result<Arc<Lesson>, Fault> {
    let record = Record::read(text)?;
    row.by = record.head.by.clone().unwrap_or_default();
    row.begun = record.head.begun.clone().unwrap_or_default();
    row.exercise.clone_from(&record.head.exercise);
    row.time_s = seconds(record.last_step());
    let lesson = lesson(&record.head.exercise, &record.head.exercise_hash)?;
    let replayed = verify(&lesson, &record)?;
    if replayed.verdict.holds()
        && let Some(score) = replayed.score()
    {
        row.total = Some(score.total);
        row.passed = Some(score.passed);
        row.hints = score.hints;
        row.objectives = score.objectives;
    }
    row.verdict = Some(replayed.verdict);
    Ok(lesson)
}

impl Gradebook {
    /// Puts rows together. `exercises`: those that the rows were judged by.
    pub fn new(rows: Vec<Row>, exercises: &[&Exercise]) -> Gradebook {
        let mut difficulties: Vec<Difficulty> = Vec::new();
        for row in &rows {
            let name = if row.by.is_empty() { &row.file } else { &row.by };
            for p in &row.objectives {
                let found = difficulties
                    .iter_mut()
                    .position(|d| d.exercise == row.exercise && d.objective == p.objective);
                let k = found.unwrap_or_else(|| {
                    difficulties.push(Difficulty {
                        exercise: row.exercise.clone(),
                        objective: p.objective.clone(),
                        text: text_of(exercises, &row.exercise, &p.objective),
                        counted: 0,
                        mean: 0.0,
                        struggled: Vec::new(),
                    });
                    difficulties.len() - 1
                });
                let d = &mut difficulties[k];
                d.mean = (d.mean * d.counted as f64 + p.credit) / (d.counted + 1) as f64;
                d.counted += 1;
                if p.credit < 0.5 {
                    d.struggled.push(name.clone());
                }
            }
        }
        difficulties.sort_by(|a, b| a.mean.total_cmp(&b.mean));
        Gradebook { rows, difficulties }
    }

    /// The records as CSV: one line each, objectives as `id=credit` in one cell. Page and shell give this same text.
    pub fn csv(&self) -> String {
        let mut csv = String::from("file,by,begun,exercise,verdict,total,passed,minutes,hints,objectives\n");
        for r in &self.rows {
            let credits: Vec<String> =
                r.objectives.iter().map(|p| format!("{}={:.2}", p.objective, p.credit)).collect();
            let cells = [
                r.file.clone(),
                r.by.clone(),
                r.begun.clone(),
                r.exercise.clone(),
                r.finding(),
                r.total.map_or(String::new(), |t| format!("{t:.1}")),
                r.passed.map_or("", |p| if p { "yes" } else { "no" }).into(),
                format!("{:.1}", r.time_s / 60.0),
                r.hints.to_string(),
                credits.join(" "),
            ];
            let cells: Vec<String> = cells.iter().map(|c| cell(c)).collect();
            csv.push_str(&cells.join(","));
            csv.push('\n');
        }
        csv
    }
}

impl Row {
    /// What the record is found to be, as a short word.
    pub fn finding(&self) -> String {
        match &self.verdict {
            Some(Verdict::Reproduced { over: true }) => "reproduced".into(),
            Some(Verdict::Reproduced { over: false }) => "unfinished".into(),
            Some(Verdict::NotReproduced { minute, .. }) => format!("not reproduced from minute {minute}"),
            Some(Verdict::OtherExercise) => "other exercise".into(),
            Some(Verdict::OtherPlant) => "other plant".into(),
            Some(Verdict::OtherEngine { made_by }) => format!("other engine ({made_by})"),
            None => self.fault.as_ref().map_or_else(|| "not judged".into(), |f| f.code.clone()),
        }
    }
}

fn text_of(exercises: &[&Exercise], id: &str, objective: &str) -> String {
    let exercise = exercises.iter().find(|e| e.id == id);
    let found = exercise.and_then(|e| e.objectives.iter().find(|o| o.id == objective));
    found.map(|o| o.text.clone()).unwrap_or_default()
}

/// A cell: quoted where it has to be, and never read as a formula by a spreadsheet, since names come from strangers.
fn cell(text: &str) -> String {
    let text: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let text = if text.starts_with(['=', '+', '-', '@']) { format!("'{text}") } else { text };
    if text.contains([',', '"']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text }
}

#[cfg(test)]
mod tests {
    use super::cell;

    #[test]
    fn a_name_is_no_formula() {
        assert_eq!(cell("=1+1"), "'=1+1");
        assert_eq!(cell("Lee, \"Kim\""), "\"Lee, \"\"Kim\"\"\"");
        assert_eq!(cell("two\nlines"), "two lines");
    }
}
