//! What a run is worth as it stands.

use super::Run;
use crate::entry::Ended;
use crate::exercise::prediction::Guess;
use crate::exercise::question::Answer;
use crate::guess::{self, Marks};
use crate::score::{Known, Points, Reason, Score, count};
use crate::track::Track;

/// A prediction with what came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome<'a> {
    /// Step of its moment.
    pub locked: Option<u64>,
    /// Guess.
    pub guess: Option<&'a Guess>,
    /// Values observed at every second from the moment on [inside unit].
    pub observed: &'a [f64],
    /// Marks, once its window is over.
    pub marks: Option<Marks>,
}

impl Run {
    /// What came of each prediction, in the exercise's order.
    pub fn outcomes(&self) -> Vec<Outcome<'_>> {
        let e = self.lesson.exercise();
        let list = self.foreseen.iter().zip(&e.predictions);
        list.map(|(f, p)| {
            let d = &self.lesson.signals()[f.index];
            let over = f.observed.len() as u64 > f.window;
            let guess = f.guess.as_ref();
            let marks = guess.filter(|_| over).and_then(|g| guess::mark(p, g, &f.observed, d.high - d.low));
            Outcome { locked: f.locked, guess, observed: &f.observed, marks }
        })
        .collect()
    }

    /// What the run is worth as it stands; final once it is over.
    pub fn score(&self) -> Score {
        let e = self.lesson.exercise();
        let none = Known { credit: 0.0, reason: Reason::NotAnswered };
        let answers: Vec<Known> =
            self.answers.iter().map(|a| a.as_ref().map_or_else(|| none.clone(), |a| a.1.clone())).collect();
        let predicted = |o: Outcome| match (o.guess, o.marks) {
            (None, _) => Known { credit: 0.0, reason: Reason::NotPredicted },
            (Some(_), None) => Known { credit: 0.0, reason: Reason::NotObserved },
            (Some(_), Some(m)) => {
                Known { credit: m.credit, reason: Reason::Predicted { way: m.way, from: m.from, to: m.to } }
            }
        };
        let guesses: Vec<Known> = self.outcomes().into_iter().map(predicted).collect();
        let whole: f64 = e.objectives.iter().map(|o| o.weight).sum();
        let mut objectives = Vec::new();
        for (o, track) in e.objectives.iter().zip(&self.tracks) {
            let Known { credit, reason } = count(&o.rule, track, &self.fired, &answers, &guesses);
            objectives.push(Points { objective: o.id.clone(), share: o.weight / whole, credit, reason });
        }
        // Not a sum, which of nothing is -0.
        let hints_price = e.hints.iter().take(self.hints).fold(0.0, |sum, h| sum + h.price);
        let points: f64 = objectives.iter().map(|p| 100.0 * p.share * p.credit).sum();
        let total = (points - hints_price).max(0.0);
        let failed = match &self.ended {
            Some(Ended::Condition { end }) => e.ends.get(*end).is_some_and(|x| x.fails),
            Some(Ended::Stopped { .. }) => true,
            _ => false,
        };
        // A sum of shares may miss its mark by its last bits.
        let passed = total >= e.pass_mark - 1e-9 && !failed;
        Score { objectives, hints: self.hints as u32, hints_price, total, passed }
    }

    /// The answer to a question that counts, and its credit.
    pub fn answered(&self, question: usize) -> Option<(&Answer, f64)> {
        self.answers.get(question)?.as_ref().map(|(answer, known)| (answer, known.credit))
    }

    /// What a question's signal showed when the answer that counts was given [inside unit].
    pub fn reading(&self, question: usize) -> Option<f64> {
        *self.readings.get(question)?
    }

    /// For each objective, the places of the signals it is judged by.
    pub fn judged_signals(&self) -> Vec<Vec<usize>> {
        let of = |track: &Track| {
            let mut list = Vec::new();
            match track {
                Track::Predict(k) => list.push(self.foreseen[*k].index),
                other => other.signals(&mut list),
            }
            list
        };
        self.tracks.iter().map(of).collect()
    }
}
