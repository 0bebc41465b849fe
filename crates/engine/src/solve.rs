//! One bracketed root finder for every implicit balance, and a small dense linear solve for the heat balance.

/// How a root search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Bracket closed to the tolerance.
    Converged,
    /// The function is positive on the whole range: the answer is the lower bound.
    AtLow,
    /// The function is negative on the whole range: the answer is the upper bound.
    AtHigh,
    /// Iterations used up; the bracket is wider than the tolerance.
    Exhausted,
}

/// Result of a root search.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Root {
    /// Best abscissa.
    pub x: f64,
    /// Value of the function there.
    pub residual: f64,
    /// Evaluations used.
    pub evaluations: u32,
    /// How it ended.
    pub outcome: Outcome,
}

/// Largest number of evaluations in one search: 60 halvings close any bracket to the last bit.
const LIMIT: u32 = 80;

/// Root of a function that does not fall, on `low..=high`, starting near `guess` with a first stride of `stride`;
/// the bracket is closed to `tolerance` (same unit as x).
///
/// The stride doubles until the sign changes, then false position with halved end weights (the Illinois rule) closes
/// the bracket, with a bisection whenever three rounds did not halve it. The bound on evaluations is absolute.
pub fn rising_root<E>(
    low: f64,
    high: f64,
    guess: f64,
    stride: f64,
    tolerance: f64,
    mut f: impl FnMut(f64) -> Result<f64, E>,
) -> Result<Root, E> {
    let mut evaluations = 0;
    let mut eval = |x: f64, n: &mut u32| {
        *n += 1;
        f(x)
    };
    let x0 = guess.clamp(low, high);
    let f0 = eval(x0, &mut evaluations)?;
    if f0 == 0.0 {
        return Ok(Root { x: x0, residual: 0.0, evaluations, outcome: Outcome::Converged });
    }
    // Walk down while positive, up while negative.
    let (mut a, mut fa, mut b, mut fb) = (x0, f0, x0, f0);
    let mut step = stride;
    loop {
        if f0 > 0.0 {
            if a <= low {
                return Ok(Root { x: low, residual: fa, evaluations, outcome: Outcome::AtLow });
            }
            (b, fb) = (a, fa);
            a = (a - step).max(low);
            fa = eval(a, &mut evaluations)?;
            if fa <= 0.0 {
                break;
            }
        } else {
            if b >= high {
                return Ok(Root { x: high, residual: fb, evaluations, outcome: Outcome::AtHigh });
            }
            (a, fa) = (b, fb);
            b = (b + step).min(high);
            fb = eval(b, &mut evaluations)?;
            if fb >= 0.0 {
                break;
            }
        }
        step *= 4.0;
    }
    let (mut wa, mut wb) = (fa, fb);
    let mut last_width = b - a;
    let mut round = 0;
    while b - a > tolerance && evaluations < LIMIT {
        if fa == 0.0 {
            b = a;
            fb = fa;
            break;
        }
        if fb == 0.0 {
            a = b;
            fa = fb;
            break;
        }
        round += 1;
        let slow = round % 3 == 0 && b - a > 0.5 * last_width;
        if round % 3 == 0 {
            last_width = b - a;
        }
        let mut x = if slow { 0.5 * (a + b) } else { a - wa * (b - a) / (wb - wa) };
        if !(x > a && x < b) {
            x = 0.5 * (a + b);
        }
        // Step a little past the estimate so that both ends close in once the root is nearly met.
        let nudge = 0.4 * tolerance;
        if x - a < nudge {
            x = (a + nudge).min(0.5 * (a + b));
        } else if b - x < nudge {
            x = (b - nudge).max(0.5 * (a + b));
        }
        let fx = eval(x, &mut evaluations)?;
        if fx <= 0.0 {
            if wa == fa && fx * fa > 0.0 && a != x {
                wb *= 0.5;
            }
            (a, fa, wa) = (x, fx, fx);
        } else {
            if wb == fb && fx * fb > 0.0 && b != x {
                wa *= 0.5;
            }
            (b, fb, wb) = (x, fx, fx);
        }
    }
    let (x, residual) = if -fa < fb { (a, fa) } else { (b, fb) };
    let outcome = if b - a <= tolerance { Outcome::Converged } else { Outcome::Exhausted };
    Ok(Root { x, residual, evaluations, outcome })
}

/// Most evaluations of [`near_root`] before it leaves the root to [`rising_root`].
const NEAR: u32 = 6;

/// Root of a function that does not fall, as [`rising_root`] finds it, where it is likely to lie near `guess` and the
/// function's slope there to be much what it was: at rest one evaluation tells, on the way two or three. `slope` is that
/// of the last search and becomes that of this one; 0 where none is known, and then `stride` makes one. Newton's
/// steps with the secant's slope; where they leave the range, do not come nearer, or run out, the bracket searches.
///
/// `f` gives the value and what else was found on the way; that of the root is returned.
pub fn near_root<T, E>(
    (low, high): (f64, f64),
    guess: f64,
    slope: &mut f64,
    stride: f64,
    tolerance: f64,
    mut f: impl FnMut(f64) -> Result<(f64, T), E>,
) -> Result<(Root, T), E> {
    let mut x = guess.clamp(low, high);
    let (mut fx, mut found) = f(x)?;
    let mut evaluations = 1;
    while evaluations < NEAR {
        let d = if *slope > 0.0 { -fx / *slope } else { -stride.copysign(fx) };
        if *slope > 0.0 && d.abs() <= tolerance || fx == 0.0 {
            return Ok((Root { x, residual: fx, evaluations, outcome: Outcome::Converged }, found));
        }
        let next = x + d;
        if !(next > low && next < high) {
            break;
        }
        let (f_next, found_next) = f(next)?;
        evaluations += 1;
        let nearer = f_next.abs() < fx.abs();
        *slope = (f_next - fx) / (next - x);
        if nearer {
            (x, fx, found) = (next, f_next, found_next);
        } else if !(*slope > 0.0) {
            break;
        }
    }
    *slope = 0.0;
    let mut root = rising_root(low, high, x, stride, tolerance, |x| f(x).map(|(value, _)| value))?;
    let (_, found) = f(root.x)?;
    root.evaluations += evaluations + 1;
    Ok((root, found))
}

/// Solves `a x = b` in place by Gaussian elimination with partial pivoting; `None` when `a` is singular.
///
/// `a` is row-major, `n` by `n`. At most a dozen unknowns: a library's blocking would cost more than it saves, and
/// its run-time choice of instructions would cost the same bits on every machine.
pub fn linear(a: &mut [f64], b: &mut [f64]) -> Option<()> {
    let n = b.len();
    debug_assert_eq!(a.len(), n * n);
    for col in 0..n {
        let pivot = (col..n).max_by(|&i, &j| a[i * n + col].abs().total_cmp(&a[j * n + col].abs()))?;
        if !(a[pivot * n + col].abs() > 1e-300) {
            return None;
        }
        if pivot != col {
            for k in 0..n {
                a.swap(pivot * n + k, col * n + k);
            }
            b.swap(pivot, col);
        }
        for row in col + 1..n {
            let m = a[row * n + col] / a[col * n + col];
            if m != 0.0 {
                for k in col..n {
                    a[row * n + k] -= m * a[col * n + k];
                }
                b[row] -= m * b[col];
            }
        }
    }
    for row in (0..n).rev() {
        let mut s = b[row];
        for k in row + 1..n {
            s -= a[row * n + k] * b[k];
        }
        b[row] = s / a[row * n + row];
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    fn solve(f: impl Fn(f64) -> f64, guess: f64) -> Root {
        rising_root::<Infallible>(0.0, 100.0, guess, 0.1, 1e-12, |x| Ok(f(x))).unwrap()
    }

    #[test]
    fn finds_roots_that_are_known() {
        for guess in [0.0, 1.0, 50.0, 100.0] {
            let r = solve(|x| x * x * x - 27.0, guess);
            assert!((r.x - 3.0).abs() < 1e-11, "{r:?}");
            assert_eq!(r.outcome, Outcome::Converged);
            // A square root's infinite slope at the root, as of a valve whose pressure difference vanishes.
            let r = solve(|x| (x - 5.0).signum() * (x - 5.0).abs().sqrt(), guess);
            assert!((r.x - 5.0).abs() < 1e-11, "{r:?}");
        }
    }

    #[test]
    fn says_which_bound_it_met() {
        assert_eq!(solve(|x| x + 1.0, 5.0).outcome, Outcome::AtLow);
        assert_eq!(solve(|x| x - 101.0, 5.0).outcome, Outcome::AtHigh);
    }

    #[test]
    fn a_warm_start_takes_few_evaluations() {
        let r = rising_root::<Infallible>(0.0, 100.0, 3.001, 0.01, 1e-9, |x| Ok(x * x * x - 27.0)).unwrap();
        assert!(r.evaluations <= 8, "{r:?}");
    }

    fn near(f: impl Fn(f64) -> f64, guess: f64, slope: &mut f64) -> Root {
        let search = |x| Ok::<_, Infallible>((f(x), x));
        let (root, seen) = near_root((0.0, 100.0), guess, slope, 0.1, 1e-12, search).unwrap();
        // What comes with the root is what was found there.
        assert_eq!(root.x, seen);
        root
    }

    #[test]
    fn a_root_that_moves_little_takes_few_evaluations() {
        let mut slope = 0.0;
        let mut x = near(|x| x * x * x - 27.0, 3.001, &mut slope).x;
        assert!((x - 3.0).abs() < 1e-11 && (slope - 27.0).abs() < 0.1, "{x} {slope}");
        let rest = near(|x| x * x * x - 27.0, x, &mut slope);
        assert_eq!((rest.x, rest.evaluations), (x, 1));
        for k in 1..=50 {
            let target = 27.0 + 0.01 * f64::from(k);
            let r = near(|x| x * x * x - target, x, &mut slope);
            assert!((r.x * r.x * r.x - target).abs() < 1e-10 && r.evaluations <= 4, "{r:?}");
            x = r.x;
        }
    }

    #[test]
    fn what_the_secant_does_not_find_the_bracket_does() {
        for guess in [0.0, 1.0, 50.0, 100.0] {
            for mut slope in [0.0, 1e-6, 1.0, 1e9] {
                let r = near(|x| (x - 5.0).signum() * (x - 5.0).abs().sqrt(), guess, &mut slope);
                assert!((r.x - 5.0).abs() < 1e-11, "{r:?}");
                let r = near(|x| (x - 5.0).clamp(-1.0, 1.0), guess, &mut slope);
                assert!((r.x - 5.0).abs() < 1e-11, "{r:?}");
                assert_eq!(near(|x| x + 1.0, guess, &mut slope).outcome, Outcome::AtLow);
                assert_eq!(near(|x| x - 101.0, guess, &mut slope).outcome, Outcome::AtHigh);
            }
        }
    }

    #[test]
    fn solves_a_linear_system_that_needs_a_pivot() {
        let mut a = vec![0.0, 2.0, 1.0, 1.0, 1.0, 1.0, 2.0, 0.0, 3.0];
        let mut b = vec![7.0, 6.0, 11.0];
        linear(&mut a, &mut b).unwrap();
        for (x, e) in b.iter().zip([1.0, 2.0, 3.0]) {
            assert!((x - e).abs() < 1e-14);
        }
        assert!(linear(&mut [1.0, 2.0, 2.0, 4.0], &mut [1.0, 2.0]).is_none());
    }
}
