//! What a run was worth, and for each objective why: as data, so that page, shell and gradebook say the same.

use crate::exercise::objective::Rule;
use crate::exercise::prediction::Way;
use crate::exercise::{seconds, steps};
use crate::guess::falling;
use crate::track::{Track, When};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a run was worth.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Score {
    /// Objectives, in the exercise's order.
    pub objectives: Vec<Points>,
    /// Hints taken.
    pub hints: u32,
    /// What they cost [points of 100].
    pub hints_price: f64,
    /// Total, 0 to 100, the hints taken off [points].
    pub total: f64,
    /// The total reaches the pass mark, and nothing ended the exercise that fails it.
    pub passed: bool,
}

/// What an objective gave.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Points {
    /// Its id.
    pub objective: String,
    /// Its share of the total, 0 to 1 [share].
    pub share: f64,
    /// Credit, 0 to 1 [share].
    pub credit: f64,
    /// Why.
    pub reason: Reason,
}

/// Why an objective gave what it gave. Times are seconds from the start, values in inside units.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "why", rename_all = "snake_case", deny_unknown_fields)]
pub enum Reason {
    /// Its moment has not come.
    NotBegun,
    /// Reached.
    Reached {
        /// When [s].
        at_s: f64,
        /// After the moment from which the time ran [s].
        after_s: f64,
        /// What full credit allows [s].
        within_s: f64,
    },
    /// Not reached.
    NotReached {
        /// What full credit allows [s].
        within_s: f64,
    },
    /// Kept inside its band.
    Kept,
    /// Outside its band.
    Outside {
        /// Signal's id.
        signal: String,
        /// How long in all [s].
        outside_s: f64,
        /// First [s].
        first_s: f64,
        /// Worst value [inside unit].
        worst: f64,
        /// Beyond the band by [inside unit].
        by: f64,
        /// When that was [s].
        worst_s: f64,
    },
    /// It came, and should not have.
    Came {
        /// When [s].
        at_s: f64,
    },
    /// It never came, as it should be.
    NeverCame,
    /// In order, or not: when each came, if it did.
    Order {
        /// First of the two [s].
        first_s: Option<f64>,
        /// Second [s].
        then_s: Option<f64>,
    },
    /// The command was given.
    Acted {
        /// When [s].
        at_s: f64,
        /// After the moment [s].
        after_s: f64,
        /// What full credit allows [s].
        within_s: f64,
    },
    /// The command was not given.
    NotActed {
        /// What full credit allows [s].
        within_s: f64,
    },
    /// Answered.
    Answered {
        /// When [s].
        at_s: f64,
    },
    /// Not answered.
    NotAnswered,
    /// Predicted, and observed.
    Predicted {
        /// Way it went.
        way: Way,
        /// From [inside unit].
        from: f64,
        /// To [inside unit].
        to: f64,
    },
    /// Not predicted.
    NotPredicted,
    /// Predicted, but the exercise ended before the window did.
    NotObserved,
}

/// What is known of an answer or a prediction when it is counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    /// Credit.
    pub credit: f64,
    /// Reason.
    pub reason: Reason,
}

impl Known {
    fn new(credit: f64, reason: Reason) -> Known {
        Known { credit, reason }
    }
}

/// Counts an objective. `fired`: when each happening took place.
pub fn count(
    rule: &Rule,
    track: &Track,
    fired: &[Option<u64>],
    answers: &[Known],
    guesses: &[Known],
) -> Known {
    match (rule, track) {
        (Rule::Reach { within_s, late_s, .. }, Track::Reach { from, hit, .. }) => {
            in_time(from, *hit, fired, *within_s, *late_s, Timed::Reach)
        }
        (Rule::Act { within_s, late_s, .. }, Track::Act { from, hit, .. }) => {
            in_time(from, *hit, fired, *within_s, *late_s, Timed::Act)
        }
        (
            Rule::Keep { signal, allowed_s, lost_s, lost_by, .. },
            Track::Keep { seen, outside, first, worst, .. },
        ) => match (first, worst) {
            _ if *seen == 0 => Known::new(0.0, Reason::NotBegun),
            (Some(first), Some((by, value, at))) => {
                let outside_s = seconds(*outside);
                let time = falling(outside_s, *allowed_s, allowed_s + lost_s);
                let depth = lost_by.map_or(1.0, |lost| falling(*by, 0.0, lost));
                // What costs nothing by its time costs nothing by its depth either.
                let credit = if outside_s <= *allowed_s { 1.0 } else { time.min(depth) };
                Known::new(
                    credit,
                    Reason::Outside {
                        signal: signal.clone(),
                        outside_s,
                        first_s: seconds(*first),
                        worst: *value,
                        by: *by,
                        worst_s: seconds(*at),
                    },
                )
            }
            _ => Known::new(1.0, Reason::Kept),
        },
        (Rule::Never { .. }, Track::Never { hit, .. }) => match hit {
            Some(at) => Known::new(0.0, Reason::Came { at_s: seconds(*at) }),
            None => Known::new(1.0, Reason::NeverCame),
        },
        (Rule::Before { .. }, Track::Before { hits, .. }) => {
            let credit = match hits {
                (Some(a), Some(b)) if a < b => 1.0,
                (Some(_), None) => 0.5,
                _ => 0.0,
            };
            let reason = Reason::Order { first_s: hits.0.map(seconds), then_s: hits.1.map(seconds) };
            Known::new(credit, reason)
        }
        (Rule::Answer { .. }, Track::Answer(k)) => answers[*k].clone(),
        (Rule::Predict { .. }, Track::Predict(k)) => guesses[*k].clone(),
        // A track is made from its rule.
        _ => Known::new(0.0, Reason::NotBegun),
    }
}

enum Timed {
    Reach,
    Act,
}

fn in_time(
    from: &When,
    hit: Option<u64>,
    fired: &[Option<u64>],
    within_s: f64,
    late_s: f64,
    of: Timed,
) -> Known {
    let Some(from) = from.step(fired) else { return Known::new(0.0, Reason::NotBegun) };
    let Some(hit) = hit else {
        let reason = match of {
            Timed::Reach => Reason::NotReached { within_s },
            Timed::Act => Reason::NotActed { within_s },
        };
        return Known::new(0.0, reason);
    };
    let after = hit.saturating_sub(from);
    // Times are compared in whole steps, as everything that happens is.
    let credit =
        if after <= steps(within_s) { 1.0 } else { falling(seconds(after), within_s, within_s + late_s) };
    let (at_s, after_s) = (seconds(hit), seconds(after));
    let reason = match of {
        Timed::Reach => Reason::Reached { at_s, after_s, within_s },
        Timed::Act => Reason::Acted { at_s, after_s, within_s },
    };
    Known::new(credit, reason)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exercise::Moment;
    use crate::exercise::condition::Condition;
    use crate::watch::Watch;

    fn reach(hit: Option<f64>, late_s: f64) -> f64 {
        let rule = Rule::Reach {
            when: Condition::After { time_s: 0.0 },
            from: Moment::start(),
            within_s: 60.0,
            late_s,
        };
        let track =
            Track::Reach { watch: Watch::After(0), from: When::AfterHappening(0, 0), hit: hit.map(steps) };
        count(&rule, &track, &[Some(steps(100.0))], &[], &[]).credit
    }

    #[test]
    fn what_comes_late_counts_less() {
        assert_eq!(reach(Some(160.0), 0.0), 1.0);
        assert_eq!(reach(Some(160.25), 0.0), 0.0);
        assert_eq!(reach(Some(175.0), 60.0), 0.75);
        assert_eq!(reach(Some(220.0), 60.0), 0.0);
        assert_eq!(reach(None, 60.0), 0.0);
    }

    fn keep(outside_s: f64, by: f64, allowed_s: f64, lost_by: Option<f64>) -> f64 {
        let rule = Rule::Keep {
            signal: "s".into(),
            low: None,
            high: Some(50.0),
            from: Moment::start(),
            until: None,
            allowed_s,
            lost_s: 100.0,
            lost_by,
        };
        let outside = steps(outside_s);
        let track = Track::Keep {
            index: 0,
            band: (f64::NEG_INFINITY, 50.0),
            from: When::Step(0),
            until: None,
            seen: 4000,
            outside,
            first: (outside > 0).then_some(8),
            worst: (outside > 0).then_some((by, 50.0 + by, 9)),
        };
        count(&rule, &track, &[], &[], &[]).credit
    }

    #[test]
    fn time_outside_and_worst_excursion_count() {
        assert_eq!(keep(0.0, 0.0, 0.0, None), 1.0);
        assert_eq!(keep(25.0, 10.0, 0.0, None), 0.75);
        assert_eq!(keep(25.0, 10.0, 0.0, Some(20.0)), 0.5);
        assert_eq!(keep(25.0, 30.0, 0.0, Some(20.0)), 0.0);
        assert_eq!(keep(25.0, 30.0, 30.0, Some(20.0)), 1.0);
        assert_eq!(keep(130.0, 1.0, 30.0, None), 0.0);
    }

    #[test]
    fn order_counts_half_for_the_first_alone() {
        let after = |s| Condition::After { time_s: s };
        let rule = Rule::Before { first: after(0.0), then: after(0.0) };
        let of = |a, b| {
            let track = Track::Before { first: Watch::After(0), then: Watch::After(0), hits: (a, b) };
            count(&rule, &track, &[], &[], &[]).credit
        };
        assert_eq!([of(Some(1), Some(2)), of(Some(2), Some(1)), of(Some(1), Some(1))], [1.0, 0.0, 0.0]);
        assert_eq!([of(Some(1), None), of(None, Some(1)), of(None, None)], [0.5, 0.0, 0.0]);
    }
}
