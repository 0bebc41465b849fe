//! A prediction against what was observed: by stated rules, each a number from 0 to 1.

use crate::exercise::prediction::{Guess, Predicted, Prediction, Way};
use serde::{Deserialize, Serialize};

/// How a prediction fared; times in s after the moment, values in the signal's inside unit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Marks {
    /// What was observed: value at the moment and at the end of the window.
    pub from: f64,
    /// See `from`.
    pub to: f64,
    /// Way it went.
    pub way: Way,
    /// Way predicted.
    pub guessed_way: Option<Way>,
    /// Final value predicted.
    pub guessed_to: Option<f64>,
    /// Time by which half of the change was made.
    pub half_s: Option<f64>,
    /// The same as predicted.
    pub guessed_half_s: Option<f64>,
    /// Credit of each part that the kind of prediction has: direction, final value, time to half, shape.
    pub direction: Option<f64>,
    /// See `direction`.
    pub value: Option<f64>,
    /// See `direction`.
    pub half: Option<f64>,
    /// See `direction`.
    pub shape: Option<f64>,
    /// Mean of the parts.
    pub credit: f64,
}

/// Share of the time to half within which a guess has full credit; at four times of it none is left.
const HALF_TOLERANCE: f64 = 0.25;
/// Least tolerance of the time to half [s].
const HALF_LEAST: f64 = 10.0;
/// Mean distance of a shape that costs nothing: a hand draws no better [share of the observed range].
const SHAPE_FREE: f64 = 0.05;
/// Mean distance at which it has no credit [share of the observed range].
const SHAPE_LOST: f64 = 0.5;

/// Marks a guess against values observed at every second from the moment on. `span` is the signal's. None where the
/// guess is not of the prediction's kind, or nothing was observed.
pub fn mark(p: &Prediction, guess: &Guess, observed: &[f64], span: f64) -> Option<Marks> {
    let (&from, &to) = (observed.first()?, observed.last()?);
    let mut m = Marks {
        from,
        to,
        way: Way::Same,
        guessed_way: None,
        guessed_to: None,
        half_s: None,
        guessed_half_s: None,
        direction: None,
        value: None,
        half: None,
        shape: None,
        credit: 0.0,
    };
    match (&p.what, guess) {
        (Predicted::Direction { dead_band }, Guess::Direction { way }) => {
            m.way = way_of(to - from, dead_band * span);
            m.guessed_way = Some(*way);
            m.direction = Some(credit_of(m.way == *way));
        }
        (Predicted::Value { tolerance }, Guess::Value { value }) => {
            m.way = way_of(to - from, 0.0);
            m.guessed_to = Some(*value);
            m.value = Some(falling((value - to).abs(), *tolerance, 3.0 * tolerance));
        }
        (Predicted::Curve { tolerance, dead_band }, Guess::Curve { points }) => {
            let drawn: Vec<f64> = (0..observed.len()).map(|s| at(points, s as f64)).collect::<Option<_>>()?;
            let (first, last) = (*drawn.first()?, *drawn.last()?);
            m.way = way_of(to - from, dead_band * span);
            let guessed = way_of(last - first, dead_band * span);
            m.guessed_way = Some(guessed);
            m.guessed_to = Some(last);
            m.direction = Some(credit_of(m.way == guessed));
            m.value = Some(falling((last - to).abs(), *tolerance, 3.0 * tolerance));
            m.half_s = half(observed);
            m.guessed_half_s = half(&drawn);
            // Where nothing changes there is no half of it.
            m.half = match (m.way, m.half_s, m.guessed_half_s) {
                (Way::Same, _, _) => Some(credit_of(guessed == Way::Same)),
                (_, Some(a), Some(b)) if guessed == m.way => {
                    let good = (HALF_TOLERANCE * a).max(HALF_LEAST);
                    Some(falling((a - b).abs(), good, 4.0 * good))
                }
                _ => Some(0.0),
            };
            let distance: f64 = observed.iter().zip(&drawn).map(|(a, b)| (a - b).abs()).sum();
            let (low, high) = observed.iter().fold((from, from), |(l, h), v| (l.min(*v), h.max(*v)));
            let range = (high - low).max(2.0 * tolerance);
            m.shape = Some(falling(distance / observed.len() as f64 / range, SHAPE_FREE, SHAPE_LOST));
        }
        _ => return None,
    }
    let parts: Vec<f64> = [m.direction, m.value, m.half, m.shape].into_iter().flatten().collect();
    m.credit = parts.iter().sum::<f64>() / parts.len() as f64;
    Some(m)
}

fn credit_of(right: bool) -> f64 {
    if right { 1.0 } else { 0.0 }
}

fn way_of(change: f64, band: f64) -> Way {
    if change > band {
        Way::Up
    } else if change < -band {
        Way::Down
    } else {
        Way::Same
    }
}

/// 1 up to `good`, falling in proportion to 0 at `none`; 0 for what is no number.
pub fn falling(x: f64, good: f64, none: f64) -> f64 {
    if x <= good {
        1.0
    } else if x < none {
        (none - x) / (none - good)
    } else {
        0.0
    }
}

/// Value of a drawn curve [inside unit] at a time [s]: straight between points, level before and after.
pub fn at(points: &[(f64, f64)], t: f64) -> Option<f64> {
    let next = points.partition_point(|p| p.0 <= t);
    match (next.checked_sub(1).map(|k| points[k]), points.get(next).copied()) {
        (Some((t0, v0)), Some((t1, v1))) => Some(v0 + (v1 - v0) * (t - t0) / (t1 - t0)),
        (Some((_, v)), None) | (None, Some((_, v))) => Some(v),
        (None, None) => None,
    }
}

/// Seconds by which half of the change from first to last was made.
fn half(series: &[f64]) -> Option<f64> {
    let (first, last) = (series.first()?, series.last()?);
    let middle = 0.5 * (first + last);
    let up = last > first;
    let k = series.iter().position(|v| if up { *v >= middle } else { *v <= middle })?;
    Some(k as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exercise::Moment;

    fn prediction(what: Predicted) -> Prediction {
        Prediction {
            id: "p".into(),
            text: String::new(),
            signal: "s".into(),
            moment: Moment::start(),
            window_s: 100.0,
            what,
            explanation: String::new(),
        }
    }

    /// From 200 down to 170, half of it after 30 s of 100.
    fn fall() -> Vec<f64> {
        (0..=100).map(|s| 200.0 - 30.0 * (f64::from(s) / 60.0).min(1.0)).collect()
    }

    fn curve(points: &[(f64, f64)]) -> Marks {
        let p = prediction(Predicted::Curve { tolerance: 3.0, dead_band: 0.01 });
        mark(&p, &Guess::Curve { points: points.into() }, &fall(), 350.0).unwrap()
    }

    #[test]
    fn a_direction_is_right_or_wrong_beyond_its_dead_band() {
        let p = prediction(Predicted::Direction { dead_band: 0.01 });
        let credit = |way, to| mark(&p, &Guess::Direction { way }, &[200.0, to], 350.0).unwrap().credit;
        assert_eq!(credit(Way::Down, 190.0), 1.0);
        assert_eq!(credit(Way::Up, 190.0), 0.0);
        assert_eq!(credit(Way::Same, 197.0), 1.0);
        assert_eq!(credit(Way::Down, 197.0), 0.0);
        assert_eq!(credit(Way::Up, 204.0), 1.0);
    }

    #[test]
    fn a_value_counts_by_its_tolerance() {
        let p = prediction(Predicted::Value { tolerance: 2.0 });
        let credit = |value| mark(&p, &Guess::Value { value }, &[200.0, 170.0], 350.0).unwrap().credit;
        assert_eq!(credit(172.0), 1.0);
        assert_eq!(credit(174.0), 0.5);
        assert_eq!(credit(164.0), 0.0);
        assert!(mark(&p, &Guess::Direction { way: Way::Up }, &[1.0], 1.0).is_none());
        assert!(mark(&p, &Guess::Value { value: 1.0 }, &[], 1.0).is_none());
    }

    #[test]
    fn the_curve_that_came_has_full_marks() {
        let m = curve(&[(0.0, 200.0), (60.0, 170.0), (100.0, 170.0)]);
        assert_eq!((m.direction, m.value, m.half), (Some(1.0), Some(1.0), Some(1.0)));
        assert!(m.shape.unwrap() > 0.999 && m.credit > 0.999, "{m:?}");
        assert_eq!((m.way, m.half_s), (Way::Down, Some(30.0)));
    }

    #[test]
    fn each_part_is_lost_for_its_own_reason() {
        // At once instead of over a minute: the way and the end are right, the time is not.
        let m = curve(&[(0.0, 200.0), (1.0, 170.0)]);
        assert_eq!((m.direction, m.value), (Some(1.0), Some(1.0)));
        // 29 s off, of 10 s that are free and 40 s at which all is lost; a mean distance of 9 K of 30 K.
        assert!((m.half.unwrap() - 11.0 / 30.0).abs() < 1e-9, "{m:?}");
        assert!((m.shape.unwrap() - 0.451).abs() < 0.02, "{m:?}");
        // The right time, half the depth.
        let m = curve(&[(0.0, 200.0), (60.0, 185.0)]);
        assert_eq!((m.direction, m.value, m.half), (Some(1.0), Some(0.0), Some(1.0)));
        // The wrong way.
        let m = curve(&[(0.0, 200.0), (60.0, 230.0)]);
        assert_eq!((m.direction, m.value, m.half, m.shape), (Some(0.0), Some(0.0), Some(0.0), Some(0.0)));
        // Nothing happens, it is thought.
        let m = curve(&[(0.0, 200.0)]);
        assert_eq!((m.direction, m.value, m.half), (Some(0.0), Some(0.0), Some(0.0)));
        assert_eq!(m.guessed_way, Some(Way::Same));
    }

    #[test]
    fn a_drawn_curve_is_straight_between_its_points() {
        let points = [(10.0, 1.0), (20.0, 3.0)];
        let values = [0.0, 10.0, 15.0, 20.0, 99.0].map(|t| at(&points, t).unwrap());
        assert_eq!(values, [1.0, 1.0, 2.0, 3.0, 3.0]);
        assert_eq!(at(&[], 0.0), None);
    }
}
