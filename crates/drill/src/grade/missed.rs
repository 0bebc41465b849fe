//! Questions and predictions over a class: how they fared, and what was given instead.

use super::book::HALF;
use super::{Guessed, Row};
use crate::exercise::Exercise;
use crate::exercise::prediction::Way;
use crate::exercise::question::Answer;
use serde::Serialize;

/// How a class did on a question.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Missed {
    /// Exercise's id.
    pub exercise: String,
    /// Question's id.
    pub question: String,
    /// What was asked.
    pub text: String,
    /// Records counted.
    pub counted: usize,
    /// How many answered.
    pub answered: usize,
    /// Mean credit, 0 to 1; no answer counts as 0.
    pub mean: f64,
    /// Who has less than half of it, by name or file.
    pub struggled: Vec<String>,
    /// Answers, the most frequent first.
    pub given: Vec<Given>,
}

/// An answer and how often it was given.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Given {
    /// The answer; chosen indices in rising order, since their order says nothing.
    pub answer: Answer,
    /// Its credit in the first record that gives it; a reading's right value moves with the plant.
    pub credit: f64,
    /// How many gave it.
    pub count: usize,
}

/// How a class did on a prediction.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Guessing {
    /// Exercise's id.
    pub exercise: String,
    /// Prediction's id.
    pub prediction: String,
    /// What was asked.
    pub text: String,
    /// Records counted.
    pub counted: usize,
    /// How many predicted.
    pub made: usize,
    /// Mean credit, 0 to 1; no prediction counts as 0.
    pub mean: f64,
    /// Who has less than half of it, by name or file.
    pub struggled: Vec<String>,
    /// How many foresaw up, down and the same.
    pub foresaw: [usize; 3],
    /// How often it went up, down and stayed.
    pub went: [usize; 3],
}

fn running(mean: f64, counted: usize, credit: f64) -> f64 {
    (mean * counted as f64 + credit) / (counted + 1) as f64
}

/// The place of the entry that `is` finds, made where there is none yet.
fn place<T>(list: &mut Vec<T>, is: impl Fn(&T) -> bool, make: impl FnOnce() -> T) -> &mut T {
    let k = list.iter().position(is).unwrap_or_else(|| {
        list.push(make());
        list.len() - 1
    });
    &mut list[k]
}

/// Answers that say the same are the same.
fn plain(answer: &Answer) -> Answer {
    match answer {
        Answer::Choice { chosen } => {
            let mut chosen = chosen.clone();
            chosen.sort_unstable();
            Answer::Choice { chosen }
        }
        other => other.clone(),
    }
}

pub(super) fn missed(rows: &[Row], exercises: &[&Exercise]) -> Vec<Missed> {
    let text = |row: &Row, id: &str| {
        let e = exercises.iter().find(|e| e.id == row.exercise);
        let q = e.and_then(|e| e.questions.iter().find(|q| q.id == id));
        q.map(|q| q.text.clone()).unwrap_or_default()
    };
    let mut list: Vec<Missed> = Vec::new();
    for row in rows {
        for a in &row.questions {
            let m = place(
                &mut list,
                |m| m.exercise == row.exercise && m.question == a.question,
                || Missed {
                    exercise: row.exercise.clone(),
                    question: a.question.clone(),
                    text: text(row, &a.question),
                    counted: 0,
                    answered: 0,
                    mean: 0.0,
                    struggled: Vec::new(),
                    given: Vec::new(),
                },
            );
            m.mean = running(m.mean, m.counted, a.credit);
            m.counted += 1;
            if a.credit < HALF {
                m.struggled.push(row.name().to_owned());
            }
            if let Some(answer) = a.answer.as_ref().map(plain) {
                m.answered += 1;
                let of = |g: &Given| g.answer == answer;
                let new = || Given { answer: answer.clone(), credit: a.credit, count: 0 };
                place(&mut m.given, of, new).count += 1;
            }
        }
    }
    list.sort_by(|a, b| a.mean.total_cmp(&b.mean));
    list.iter_mut().for_each(|m| m.given.sort_by_key(|g| std::cmp::Reverse(g.count)));
    list
}

fn index(way: Way) -> usize {
    match way {
        Way::Up => 0,
        Way::Down => 1,
        Way::Same => 2,
    }
}

pub(super) fn guessings(rows: &[Row], exercises: &[&Exercise]) -> Vec<Guessing> {
    let text = |row: &Row, id: &str| {
        let e = exercises.iter().find(|e| e.id == row.exercise);
        let p = e.and_then(|e| e.predictions.iter().find(|p| p.id == id));
        p.map(|p| p.text.clone()).unwrap_or_default()
    };
    let mut list: Vec<Guessing> = Vec::new();
    for row in rows {
        for Guessed { prediction, way, went, made, credit } in &row.predictions {
            let g = place(
                &mut list,
                |g| g.exercise == row.exercise && g.prediction == *prediction,
                || Guessing {
                    exercise: row.exercise.clone(),
                    prediction: prediction.clone(),
                    text: text(row, prediction),
                    counted: 0,
                    made: 0,
                    mean: 0.0,
                    struggled: Vec::new(),
                    foresaw: [0; 3],
                    went: [0; 3],
                },
            );
            g.mean = running(g.mean, g.counted, *credit);
            g.counted += 1;
            g.made += usize::from(*made);
            if *credit < HALF {
                g.struggled.push(row.name().to_owned());
            }
            way.iter().for_each(|w| g.foresaw[index(*w)] += 1);
            went.iter().for_each(|w| g.went[index(*w)] += 1);
        }
    }
    list.sort_by(|a, b| a.mean.total_cmp(&b.mean));
    list
}
