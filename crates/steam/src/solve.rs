//! The one root finder of the crate: temperature from a property that rises with it.

/// Newton steps are accepted as final below this, K: the error left is the square of it times the curvature,
/// under 1e-11 K anywhere in regions 1 and 2.
const STEP_ENOUGH: f64 = 1e-5;
/// Bisection alone would need 60 to exhaust a double; Newton takes 2 to 5.
const MOST_STEPS: usize = 60;

/// The temperature in `low..=high` at which a rising property takes the value `target`; the nearer end when the
/// target lies beyond it. `property` gives value and slope. Newton inside a shrinking bracket.
pub(crate) fn temperature(
    (low, high): (f64, f64),
    guess: f64,
    target: f64,
    property: impl Fn(f64) -> (f64, f64),
) -> f64 {
    let (mut below, mut above) = (low, high);
    let (mut below_known, mut above_known) = (false, false);
    let mut t = if guess >= low && guess <= high { guess } else { 0.5 * (low + high) };
    for _ in 0..MOST_STEPS {
        let (value, slope) = property(t);
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
            return t;
        } else {
            0.5 * (below + above)
        };
        if (next - t).abs() < STEP_ENOUGH {
            return next;
        }
        t = next;
    }
    t
}
