//! What a trainee does: commands, answers, predictions, hints, handing in. Each is recorded with its step.

use super::{MOST_ENTRIES, Run};
use crate::entry::{Ended, Entry};
use crate::exercise::prediction::{Guess, MOST_POINTS, Predicted};
use crate::exercise::question::{self, Answer, Asked};
use crate::exercise::{seconds, steps};
use crate::score::{Known, Reason};
use engine::{Command, Fault};

fn refuse(code: &str, place: &str, message: &str, remedy: &str) -> Fault {
    Fault::new(code, place, message, remedy)
}

impl Run {
    fn room(&self) -> Result<(), Fault> {
        if self.ended.is_some() {
            return Err(refuse("ended", "exercise", "the exercise is over.", "Begin it anew to try again."));
        }
        if self.entries.len() >= MOST_ENTRIES {
            let message = "the record holds as many entries as it can.";
            return Err(refuse("record_full", "record", message, "Hand the exercise in."));
        }
        Ok(())
    }

    /// Gives a command to the plant. One that is refused is recorded too.
    ///
    /// # Errors
    /// It is locked, or the plant refuses it, or the exercise is over.
    pub fn command(&mut self, command: &Command) -> Result<(), Fault> {
        self.room()?;
        // What cannot be written and read again the same cannot be replayed.
        let same = serde_json::to_string(command).ok().and_then(|t| serde_json::from_str(&t).ok());
        if same.as_ref() != Some(command) {
            let message = "a figure of this command is no number.";
            return Err(refuse("out_of_range", "command", message, "Give a number."));
        }
        let admitted = self.lesson.exercise().controls.admit(command);
        let outcome = admitted.and_then(|()| self.sim.command(command));
        let refused = outcome.as_ref().err().map(Into::into);
        self.entries.push(Entry::Command { step: self.step, command: command.clone(), refused });
        if outcome.is_ok() {
            self.commands.push(command.clone());
        }
        outcome
    }

    /// Answers a question; the last answer counts.
    ///
    /// # Errors
    /// There is no such question, it is not open now, or the answer is not of its kind.
    pub fn answer(&mut self, id: &str, answer: &Answer) -> Result<(), Fault> {
        self.room()?;
        let k = self.lesson.exercise().questions.iter().position(|q| q.id == id);
        let Some(k) = k else {
            return Err(refuse("no_such_question", id, "there is no such question.", "Answer one of those."));
        };
        let q = &self.lesson.exercise().questions[k];
        if self.step < steps(q.from_s) || q.until_s.is_some_and(|s| self.step >= steps(s)) {
            let message = "this question cannot be answered now.";
            return Err(refuse("not_open", id, message, "Answer it while it is asked."));
        }
        let reading = match &q.answer {
            Asked::Number { signal: Some(id), .. } => Some(self.values[self.lesson.signal(id)?]),
            _ => None,
        };
        let finite = !matches!(answer, Answer::Number { value } if !value.is_finite());
        let credit = question::credit(&q.answer, answer, reading).filter(|_| finite);
        let Some(credit) = credit else {
            let message = "this is no answer to such a question.";
            return Err(refuse("not_an_answer", id, message, "Answer in the form that is asked for."));
        };
        let known = Known { credit, reason: Reason::Answered { at_s: seconds(self.step) } };
        self.answers[k] = Some((answer.clone(), known));
        self.readings[k] = reading;
        self.entries.push(Entry::Answer { step: self.step, question: id.into(), answer: answer.clone() });
        Ok(())
    }

    /// Makes a prediction; the last one before its moment counts.
    ///
    /// # Errors
    /// There is no such prediction, its moment has passed, or the guess is not of its kind.
    pub fn predict(&mut self, id: &str, guess: &Guess) -> Result<(), Fault> {
        self.room()?;
        let k = self.lesson.exercise().predictions.iter().position(|p| p.id == id);
        let Some(k) = k else {
            let message = "there is no such prediction.";
            return Err(refuse("no_such_prediction", id, message, "Make one of those asked for."));
        };
        if self.foreseen[k].locked.is_some() {
            let message = "its moment has passed: what happens can be seen.";
            return Err(refuse("locked", id, message, "Predict before the moment."));
        }
        if !is_guess(&self.lesson.exercise().predictions[k].what, guess) {
            let message = "this is no guess of the kind that is asked for.";
            let remedy = "Give a direction, a number, or points with rising times from 0, as asked.";
            return Err(refuse("not_a_guess", id, message, remedy));
        }
        self.foreseen[k].guess = Some(guess.clone());
        self.entries.push(Entry::Prediction { step: self.step, prediction: id.into(), guess: guess.clone() });
        Ok(())
    }

    /// Takes the next hint.
    ///
    /// # Errors
    /// There is none left, or the exercise is over.
    pub fn hint(&mut self) -> Result<String, Fault> {
        self.room()?;
        let Some(hint) = self.lesson.exercise().hints.get(self.hints) else {
            return Err(refuse("no_more_hints", "hints", "there are no more hints.", "Go on without."));
        };
        let text = hint.text.clone();
        self.hints += 1;
        self.entries.push(Entry::Hint { step: self.step });
        Ok(text)
    }

    /// Hints taken so far.
    pub fn hints_taken(&self) -> usize {
        self.hints
    }

    /// Ends the exercise before its length.
    ///
    /// # Errors
    /// It is over already.
    pub fn hand_in(&mut self) -> Result<(), Fault> {
        if self.ended.is_some() {
            return Err(refuse("ended", "exercise", "the exercise is over.", "Begin it anew to try again."));
        }
        self.end(Ended::HandedIn)
    }

    /// Predictions that can still be made, by id.
    pub fn open_predictions(&self) -> Vec<&str> {
        let list = self.foreseen.iter().zip(&self.lesson.exercise().predictions);
        list.filter(|(f, _)| f.locked.is_none()).map(|(_, p)| p.id.as_str()).collect()
    }
}

fn is_guess(what: &Predicted, guess: &Guess) -> bool {
    match (what, guess) {
        (Predicted::Direction { .. }, Guess::Direction { .. }) => true,
        (Predicted::Value { .. }, Guess::Value { value }) => value.is_finite(),
        (Predicted::Curve { .. }, Guess::Curve { points }) => {
            let finite = points.iter().all(|(t, v)| t.is_finite() && v.is_finite() && *t >= 0.0);
            let rising = points.windows(2).all(|w| w[0].0 < w[1].0);
            finite && rising && !points.is_empty() && points.len() <= MOST_POINTS
        }
        _ => false,
    }
}
