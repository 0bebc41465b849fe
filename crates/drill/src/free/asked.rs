//! A question to the class in a free run: what will this signal do? What is drawn beforehand is laid beside what happens, and
//! marked by the rules of an exercise's predictions.

use crate::exercise::Moment;
use crate::exercise::prediction::{Guess, MOST_POINTS, Predicted, Prediction};
use crate::exercise::{seconds, steps};
use crate::guess::{Marks, mark};
use crate::run::SECOND;
use engine::Fault;
use serde::Serialize;

/// Shortest and longest window [s].
const WINDOW: (f64, f64) = (10.0, 3600.0);
/// How near the end of a drawn curve has to be, where nothing else is asked [share of the signal's span].
const TOLERANCE: f64 = 0.01;
/// What counts as no change [share of the span].
const DEAD_BAND: f64 = 0.002;

/// A question and what has been observed since.
#[derive(Clone, Debug, Serialize)]
pub struct Asked {
    /// Signal's id.
    pub signal: String,
    /// Plant time at which it was asked [s].
    pub from_s: f64,
    /// How long is watched [s].
    pub window_s: f64,
    /// A value every second since [inside unit].
    pub observed: Vec<f64>,
    #[serde(skip)]
    pub(super) index: usize,
    #[serde(skip)]
    from: u64,
    #[serde(skip)]
    span: f64,
}

impl Asked {
    /// A question at a step about a signal.
    pub(super) fn new(
        signal: (&str, usize, f64),
        window_s: f64,
        step: u64,
        now: f64,
    ) -> Result<Asked, Fault> {
        let (id, index, span) = signal;
        if !(window_s >= WINDOW.0 && window_s <= WINDOW.1) {
            return Err(Fault::new(
                "out_of_range",
                "window_s",
                format!("{window_s} s cannot be watched."),
                format!("Give {} to {} s.", WINDOW.0, WINDOW.1),
            ));
        }
        Ok(Asked {
            signal: id.into(),
            from_s: seconds(step),
            window_s,
            observed: vec![now],
            index,
            from: step,
            span,
        })
    }

    /// Whether a value is wanted at a step: every second, once.
    pub(super) fn wants(&self, step: u64) -> bool {
        let since = step.checked_sub(self.from);
        since.is_some_and(|s| {
            s.is_multiple_of(SECOND) && s <= steps(self.window_s) && self.observed.len() as u64 == s / SECOND
        })
    }

    /// Forgets what was observed behind a step.
    pub(super) fn cut(&mut self, step: u64) {
        let keep = step.checked_sub(self.from).map_or(0, |s| s / SECOND + 1);
        self.observed.truncate(keep as usize);
    }

    /// Marks a curve, points as time after the question [s] and value [inside unit], against what has been observed.
    ///
    /// # Errors
    /// The points are no curve, or nothing has been observed yet.
    pub fn marks(&self, points: &[(f64, f64)]) -> Result<Marks, Fault> {
        let finite = points.iter().all(|(t, v)| t.is_finite() && v.is_finite() && *t >= 0.0);
        let rising = points.windows(2).all(|w| w[0].0 < w[1].0);
        let wrong = |code: &str, message: &str, remedy: &str| Fault::new(code, "guess", message, remedy);
        if !finite || !rising || points.is_empty() || points.len() > MOST_POINTS {
            return Err(wrong("not_a_guess", "this is no curve.", "Give points with rising times from 0."));
        }
        let p = Prediction {
            id: "asked".into(),
            text: String::new(),
            signal: self.signal.clone(),
            moment: Moment::start(),
            window_s: self.window_s,
            what: Predicted::Curve { tolerance: TOLERANCE * self.span, dead_band: DEAD_BAND },
            explanation: String::new(),
        };
        let guess = Guess::Curve { points: points.to_vec() };
        let marks = if self.observed.len() < 2 { None } else { mark(&p, &guess, &self.observed, self.span) };
        marks.ok_or_else(|| wrong("too_early", "nothing has been seen yet.", "Run on, then compare."))
    }
}
