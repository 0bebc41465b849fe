//! The one root finder of the crate: temperature from a property that rises with it.

/// A Newton step this small, K, is the last. The error left is its square times the curvature: under 1e-11 K
/// anywhere in regions 1 and 2.
const STEP_ENOUGH: f64 = 2e-5;
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
/// target lies beyond it; `None` when the search did not end, as with a slope that is no number. `evaluate` gives a point, `read` its value and slope. Newton inside a shrinking bracket.
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
