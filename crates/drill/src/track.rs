//! What is kept of each objective while the exercise runs.

use crate::exercise::control::Pattern;
use crate::exercise::objective::Rule;
use crate::exercise::{Exercise, Moment, steps};
use crate::lesson::Lesson;
use crate::watch::{Sight, Watch, happening_at};
use engine::Fault;

/// A moment at work: a step, or so many steps after a happening.
#[derive(Clone, Copy, Debug)]
pub enum When {
    /// A step.
    Step(u64),
    /// Steps after a happening.
    AfterHappening(usize, u64),
}

impl When {
    /// Prepares a moment.
    ///
    /// # Errors
    /// The timeline has no such entry; a checked exercise names none such.
    pub fn new(m: &Moment, e: &Exercise) -> Result<When, Fault> {
        match &m.happening {
            Some(id) => Ok(When::AfterHappening(happening_at(e, id)?, steps(m.plus_s))),
            None => Ok(When::Step(steps(m.at_s.unwrap_or(0.0) + m.plus_s))),
        }
    }

    /// Its step, once that is known.
    pub fn step(self, fired: &[Option<u64>]) -> Option<u64> {
        match self {
            When::Step(s) => Some(s),
            When::AfterHappening(k, plus) => fired[k].map(|s| s + plus),
        }
    }

    /// Whether it has come.
    pub fn come(self, step: u64, fired: &[Option<u64>]) -> bool {
        self.step(fired).is_some_and(|s| step >= s)
    }
}

/// The kept figures of an objective.
#[derive(Clone, Debug)]
pub enum Track {
    /// Something to be reached.
    Reach {
        /// Condition.
        watch: Watch,
        /// From when.
        from: When,
        /// Step at which it was.
        hit: Option<u64>,
    },
    /// A band.
    Keep {
        /// Place of the signal.
        index: usize,
        /// Band.
        band: (f64, f64),
        /// From when.
        from: When,
        /// Until when.
        until: Option<When>,
        /// Steps looked at.
        seen: u64,
        /// Steps outside.
        outside: u64,
        /// Step of the first outside.
        first: Option<u64>,
        /// Worst excursion, its value and step.
        worst: Option<(f64, f64, u64)>,
    },
    /// Something that must not be.
    Never {
        /// Condition.
        watch: Watch,
        /// Step at which it was.
        hit: Option<u64>,
    },
    /// Two in order.
    Before {
        /// First.
        first: Watch,
        /// Second.
        then: Watch,
        /// Steps at which each was.
        hits: (Option<u64>, Option<u64>),
    },
    /// A command.
    Act {
        /// From when.
        from: When,
        /// Commands.
        commands: Vec<Pattern>,
        /// Step at which one was given.
        hit: Option<u64>,
    },
    /// Question, by place.
    Answer(usize),
    /// Prediction, by place.
    Predict(usize),
}

impl Track {
    /// Prepares an objective of a lesson.
    ///
    /// # Errors
    /// A name is unknown; a checked exercise has none.
    pub fn new(rule: &Rule, lesson: &Lesson) -> Result<Track, Fault> {
        let e = lesson.exercise();
        let unknown = |id: &str| {
            Fault::new("no_such_entry", id, "the exercise has no such entry.", "Name one of its entries.")
        };
        Ok(match rule {
            Rule::Reach { when, from, .. } => {
                Track::Reach { watch: Watch::new(when, lesson)?, from: When::new(from, e)?, hit: None }
            }
            Rule::Keep { signal, low, high, from, until, .. } => Track::Keep {
                index: lesson.signal(signal)?,
                band: (low.unwrap_or(f64::NEG_INFINITY), high.unwrap_or(f64::INFINITY)),
                from: When::new(from, e)?,
                until: until.as_ref().map(|m| When::new(m, e)).transpose()?,
                seen: 0,
                outside: 0,
                first: None,
                worst: None,
            },
            Rule::Never { when } => Track::Never { watch: Watch::new(when, lesson)?, hit: None },
            Rule::Before { first, then } => Track::Before {
                first: Watch::new(first, lesson)?,
                then: Watch::new(then, lesson)?,
                hits: (None, None),
            },
            Rule::Act { from, commands, .. } => {
                Track::Act { from: When::new(from, e)?, commands: commands.clone(), hit: None }
            }
            Rule::Answer { question } => {
                let k = e.questions.iter().position(|q| q.id == *question);
                Track::Answer(k.ok_or_else(|| unknown(question))?)
            }
            Rule::Predict { prediction } => {
                let k = e.predictions.iter().position(|p| p.id == *prediction);
                Track::Predict(k.ok_or_else(|| unknown(prediction))?)
            }
        })
    }

    /// Looks after a step. A command given at step n is seen here after step n + 1 and counts for n.
    pub fn look(&mut self, s: &Sight) {
        match self {
            Track::Reach { watch, from, hit } => {
                let holds = watch.look(s);
                if hit.is_none() && holds && from.come(s.step, s.fired) {
                    *hit = Some(s.step);
                }
            }
            Track::Keep { index, band, from, until, seen, outside, first, worst } => {
                let over = until.is_some_and(|u| u.come(s.step, s.fired));
                if over || !from.come(s.step, s.fired) {
                    return;
                }
                *seen += 1;
                let v = s.values[*index];
                let by = (band.0 - v).max(v - band.1);
                if !(by <= 0.0) {
                    *outside += 1;
                    first.get_or_insert(s.step);
                    if worst.is_none_or(|(most, _, _)| by > most) {
                        *worst = Some((by, v, s.step));
                    }
                }
            }
            Track::Never { watch, hit } => {
                if watch.look(s) {
                    hit.get_or_insert(s.step);
                }
            }
            Track::Before { first, then, hits } => {
                let (a, b) = (first.look(s), then.look(s));
                if a {
                    hits.0.get_or_insert(s.step);
                }
                if b {
                    hits.1.get_or_insert(s.step);
                }
            }
            Track::Act { from, commands, hit } => {
                let given = s.step.saturating_sub(1);
                let fits = |c| commands.iter().any(|p: &Pattern| p.fits(c));
                if hit.is_none() && from.come(given, s.fired) && s.commands.iter().any(fits) {
                    *hit = Some(given);
                }
            }
            Track::Answer(_) | Track::Predict(_) => {}
        }
    }

    /// Places of the signals it looks at.
    pub fn signals(&self, into: &mut Vec<usize>) {
        match self {
            Track::Reach { watch, .. } | Track::Never { watch, .. } => watch.signals(into),
            Track::Before { first, then, .. } => {
                first.signals(into);
                then.signals(into);
            }
            Track::Keep { index, .. } if !into.contains(index) => into.push(*index),
            _ => {}
        }
    }
}
