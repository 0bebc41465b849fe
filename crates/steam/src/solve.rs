//! The one root finder of the crate: temperature from a property that rises with it.

/// A Newton step this small, K, is the last. The error left is its square times the curvature: under 3e-10 K
/// anywhere in regions 1 and 2.
const STEP_ENOUGH: f64 = 1e-4;
/// Bisection alone would need 60 to exhaust a double; Newton takes 1 to 5.
const MOST_STEPS: usize = 60;

/// What the search ended with.
pub(crate) struct Found<Point> {
    /// Temperature at which the property was last evaluated, °C.
    pub t: f64,
    /// What the evaluation there gave.
    pub point: Point,
    /// What remains to be added to `t`, K; at most [`STEP_ENOUGH`] either way.
    pub step: f64,
}

/// The temperature in `low..=high` at which a rising property takes the value `target`; the nearer end when the
/// target lies beyond it; `None` when the steps run out. `evaluate` gives a point, `read` its value and slope. Newton inside a shrinking bracket.
#[inline]
pub(crate) fn temperature<Point>(
    (low, high): (f64, f64),
    guess: f64,
    target: f64,
    evaluate: impl Fn(f64) -> Point,
    read: impl Fn(&Point, f64) -> (f64, f64),
) -> Option<Found<Point>> {
    let (mut below, mut above) = (low, high);
    let (mut below_known, mut above_known) = (false, false);
    // A guess beyond an end is drawn to it; one that is no number, to the low end.
    let mut t = if guess >= high {
        high
    } else if guess > low {
        guess
    } else {
        low
    };
    let mut point = evaluate(t);
    for _ in 0..MOST_STEPS {
        let (value, slope) = read(&point, t);
        if value < target {
            (below, below_known) = (t, true);
        } else {
            (above, above_known) = (t, true);
        }
        let newton = t - (value - target) / slope;
        let next = if newton > below && newton < above {
            newton
        } else if newton >= high && !above_known {
            high
        } else if newton <= low && !below_known {
            low
        } else if (newton - t).abs() < STEP_ENOUGH {
            // On the root to rounding, and the bracket has closed on it.
            t
        } else {
            0.5 * (below + above)
        };
        if (next - t).abs() < STEP_ENOUGH {
            return Some(Found { t, point, step: next - t });
        }
        t = next;
        point = evaluate(t);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn root(range: (f64, f64), guess: f64, target: f64, property: impl Fn(f64) -> (f64, f64)) -> f64 {
        let found = temperature(range, guess, target, property, |point, _| *point).unwrap();
        found.t + found.step
    }

    #[test]
    fn a_curve_on_which_newton_alone_runs_away_is_bisected() {
        // Flat far from the root: from 0 Newton would leap far beyond the range.
        let step = |t: f64| {
            let rise = crate::math::tanh(t - 70.0);
            (rise, 1.0 - rise * rise)
        };
        for guess in [0.0, 40.0, 69.0, 70.0, 74.0, 100.0] {
            assert!(
                (root((0.0, 100.0), guess, 0.3, step) - 70.0 - 0.309_519_604_203_111_7).abs() < 1e-9,
                "{guess}"
            );
        }
    }

    #[test]
    fn without_a_slope_it_still_ends_near_the_root() {
        let found = root((0.0, 100.0), 10.0, 55.5, |t| (t, f64::NAN));
        assert!((found - 55.5).abs() < 1.5 * STEP_ENOUGH, "{found}");
    }

    #[test]
    fn a_target_beyond_an_end_gives_the_end() {
        let line = |t: f64| (4.2 * t, 4.2);
        assert_eq!(root((10.0, 20.0), 15.0, 1_000.0, line), 20.0);
        assert_eq!(root((10.0, 20.0), 15.0, -1_000.0, line), 10.0);
        assert_eq!(root((10.0, 20.0), 20.0, 84.0, line), 20.0);
    }
}
