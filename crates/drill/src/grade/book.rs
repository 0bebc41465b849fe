//! Rows put together: what a class found hard, and the gradebook as CSV.

use super::Row;
use super::missed::{Guessing, Missed, guessings, missed};
use crate::exercise::Exercise;
use crate::part::{Worth, parts};
use serde::Serialize;

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
    /// Questions, the most missed first.
    pub questions: Vec<Missed>,
    /// Predictions, the most missed first.
    pub predictions: Vec<Guessing>,
    /// What was foreseen, done and explained: of each exercise the class, then each record that counts.
    pub understood: Vec<Understood>,
}

/// What of an exercise was foreseen, done and explained.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Understood {
    /// Exercise's id.
    pub exercise: String,
    /// The record's file; none for the class.
    pub file: Option<String>,
    /// The parts that the exercise has.
    pub parts: Vec<Worth>,
}

/// Below this credit somebody struggled.
pub(super) const HALF: f64 = 0.5;

impl Gradebook {
    /// Puts rows together. `exercises`: those that the rows were judged by.
    pub fn new(rows: Vec<Row>, exercises: &[&Exercise]) -> Gradebook {
        let mut difficulties: Vec<Difficulty> = Vec::new();
        for row in &rows {
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
                if p.credit < HALF {
                    d.struggled.push(row.name().to_owned());
                }
            }
        }
        difficulties.sort_by(|a, b| a.mean.total_cmp(&b.mean));
        let (questions, predictions) = (missed(&rows, exercises), guessings(&rows, exercises));
        let understood = understood(&rows, exercises);
        Gradebook { rows, difficulties, questions, predictions, understood }
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

fn understood(rows: &[Row], exercises: &[&Exercise]) -> Vec<Understood> {
    let mut list = Vec::new();
    for e in exercises {
        let own: Vec<&Row> = rows.iter().filter(|r| r.exercise == e.id && !r.objectives.is_empty()).collect();
        if own.is_empty() || list.iter().any(|u: &Understood| u.exercise == e.id) {
            continue;
        }
        let class = parts(e, own.iter().flat_map(|r| &r.objectives));
        list.push(Understood { exercise: e.id.clone(), file: None, parts: class });
        list.extend(own.iter().map(|r| Understood {
            exercise: e.id.clone(),
            file: Some(r.file.clone()),
            parts: parts(e, &r.objectives),
        }));
    }
    list
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
