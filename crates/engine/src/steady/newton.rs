//! Newton's method for a dozen unknowns, with a Jacobian by differences that is kept while it serves (Broyden).

use crate::solve;

/// How a solution ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Report {
    /// Largest residual, relative.
    pub residual: f64,
    /// Index of the equation that has it.
    pub worst: usize,
    /// Evaluations of all equations.
    pub evaluations: u32,
    /// Below the tolerance.
    pub converged: bool,
    /// An unknown that ended at an end of its range, and at which.
    pub bound: Option<(usize, End)>,
}

/// An end of an unknown's range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The lower.
    Low,
    /// The upper.
    High,
}

/// An unknown: where it may lie, how far one step may take it, and the difference for its derivative.
#[derive(Clone, Copy, Debug)]
pub struct Unknown {
    /// Lower bound.
    pub low: f64,
    /// Upper bound.
    pub high: f64,
    /// Largest change in one step.
    pub stride: f64,
    /// Difference for the derivative.
    pub difference: f64,
}

/// A step that leaves more than this share of the residual has the derivatives taken anew. Known derivatives miss what
/// follows from what is held fixed; the steps learn it.
const SLOW: f64 = 0.8;
/// Nearer than this a step is not shortened: what it seems to make worse is what renewing makes good.
const NEAR: f64 = 1e-5;
/// After so many evaluations a step that makes things worse, even by little, is shortened: it may be one of a circle.
const PATIENT: u32 = 60;
/// There the derivatives are only taken anew for a step that makes it so much worse.
const WORSE: f64 = 3.0;
/// Most evaluations spent on one solution.
const LIMIT: u32 = 600;

/// Largest magnitude and its place; a NaN counts as the largest.
fn norm(r: &[f64]) -> (f64, usize) {
    let mut worst = (0.0, 0);
    for (i, v) in r.iter().enumerate() {
        if !(v.abs() <= worst.0) {
            worst = (v.abs(), i);
        }
    }
    worst
}

/// What is to be solved.
pub trait System {
    /// What can go wrong in an evaluation.
    type Error;
    /// Residuals at `x`, with what is held fixed between evaluations as it was last renewed.
    fn residuals(&mut self, x: &[f64], r: &mut Vec<f64>) -> Result<(), Self::Error>;
    /// Renews what is held fixed from the evaluation made last.
    fn renew(&mut self);
}

/// Solves `residuals(x) = 0` from `x`, which ends at the last point; an error there ends the solution. `jacobian` is what is
/// known of the derivatives (row by row), if anything is.
///
/// What is held fixed between evaluations is renewed after each step. As long as known derivatives serve, nothing is
/// evaluated anew for that: what it changes, the next step finds, and Broyden's correction learns. Once they do not, they
/// are taken by differences, for which each step has to be evaluated as renewed. A solution counts as closed when two
/// evaluations running find it closed.
pub fn solve<S: System>(
    system: &mut S,
    x: &mut [f64],
    unknowns: &[Unknown],
    tolerance: f64,
    jacobian: Option<Vec<f64>>,
) -> Result<Report, S::Error> {
    let n = x.len();
    let mut r = Vec::with_capacity(n);
    let mut rt = Vec::with_capacity(n);
    let mut trial = x.to_vec();
    let jacobian = jacobian.filter(|j| j.len() == n * n);
    let mut careful = jacobian.is_none();
    let mut stale = careful;
    let mut known = jacobian.unwrap_or_else(|| vec![0.0; n * n]);
    let mut a = known.clone();
    let mut step = vec![0.0; n];
    let mut d = vec![0.0; n];
    system.residuals(x, &mut r)?;
    system.renew();
    let mut evaluations = 1;
    let (mut size, mut worst) = norm(&r);
    let mut settled = false;
    while evaluations < LIMIT {
        if size < tolerance {
            if settled {
                break;
            }
            settled = true;
        } else {
            settled = false;
        }
        let fresh = stale;
        if stale {
            // Differences are taken with what is held fixed as it now is.
            system.residuals(x, &mut r)?;
            evaluations += 1;
            (size, worst) = norm(&r);
            for j in 0..n {
                let u = &unknowns[j];
                let step = if x[j] + u.difference <= u.high { u.difference } else { -u.difference };
                trial.copy_from_slice(x);
                trial[j] += step;
                system.residuals(&trial, &mut rt)?;
                evaluations += 1;
                for i in 0..n {
                    known[i * n + j] = (rt[i] - r[i]) / step;
                }
            }
        }
        a.copy_from_slice(&known);
        step.iter_mut().zip(&r).for_each(|(d, v)| *d = -v);
        if solve::linear(&mut a, &mut step).is_none() {
            if fresh {
                break;
            }
            stale = true;
            continue;
        }
        // Shorten the step as a whole to the strides, then halve it until it does not make things much worse.
        let mut scale =
            unknowns.iter().zip(&step).fold(1.0f64, |s, (u, d)| s.min(u.stride / d.abs().max(1e-300)));
        let mut halvings = 0;
        let next = loop {
            for j in 0..n {
                trial[j] = (x[j] + scale * step[j]).clamp(unknowns[j].low, unknowns[j].high);
                d[j] = trial[j] - x[j];
            }
            let last = halvings == MOST_HALVINGS;
            evaluations += 1;
            let next = match system.residuals(&trial, &mut rt) {
                Ok(()) => norm(&rt),
                Err(e) if last => return Err(e),
                Err(_) => (f64::INFINITY, 0),
            };
            let worse = if evaluations < PATIENT { 1.2 } else { 0.95 };
            if last || next.0 < worse * size.max(NEAR) || next.0 < tolerance {
                break next;
            }
            scale *= 0.5;
            halvings += 1;
        };
        system.renew();
        x.copy_from_slice(&trial);
        let before = size;
        let reached = if careful {
            system.residuals(x, &mut rt)?;
            evaluations += 1;
            norm(&rt)
        } else {
            next
        };
        // Broyden's rank-one correction: the Jacobian explains the step just made, and what came of renewing.
        let length: f64 = d.iter().map(|v| v * v).sum();
        if length > 0.0 {
            for i in 0..n {
                let row = &mut known[i * n..(i + 1) * n];
                let told: f64 = row.iter().zip(&d).map(|(k, d)| k * d).sum();
                let miss = (rt[i] - r[i] - told) / length;
                row.iter_mut().zip(&d).for_each(|(k, d)| *k += miss * d);
            }
        }
        std::mem::swap(&mut r, &mut rt);
        (size, worst) = reached;
        let slow = if before < NEAR { WORSE } else { SLOW };
        stale = (size > slow * before || halvings > 0) && before >= tolerance && !fresh;
        careful |= stale;
    }
    let bound = x.iter().zip(unknowns).enumerate().find_map(|(j, (x, u))| {
        let end = if *x <= u.low {
            End::Low
        } else if *x >= u.high {
            End::High
        } else {
            return None;
        };
        Some((j, end))
    });
    Ok(Report { residual: size, worst, evaluations, converged: size < tolerance, bound })
}

/// Most halvings of one step.
const MOST_HALVINGS: u32 = 6;

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    struct Plain<F>(F);

    impl<F: Fn(&[f64]) -> Vec<f64>> System for Plain<F> {
        type Error = Infallible;
        fn residuals(&mut self, x: &[f64], r: &mut Vec<f64>) -> Result<(), Infallible> {
            *r = (self.0)(x);
            Ok(())
        }
        fn renew(&mut self) {}
    }

    #[test]
    fn solves_a_curved_system() {
        let u = Unknown { low: 0.0, high: 10.0, stride: 1.0, difference: 1e-6 };
        let mut x = [1.0, 1.0];
        let mut himmelblau = Plain(|x: &[f64]| vec![x[0] * x[0] + x[1] - 11.0, x[0] + x[1] * x[1] - 7.0]);
        let report = solve(&mut himmelblau, &mut x, &[u, u], 1e-12, None).unwrap();
        // Himmelblau's function has a zero at (3, 2).
        assert!(
            report.converged && (x[0] - 3.0).abs() < 1e-10 && (x[1] - 2.0).abs() < 1e-10,
            "{x:?} {report:?}"
        );
    }

    #[test]
    fn says_when_there_is_none() {
        let u = Unknown { low: -10.0, high: 10.0, stride: 1.0, difference: 1e-6 };
        let mut x = [1.0];
        let report =
            solve(&mut Plain(|x: &[f64]| vec![x[0] * x[0] + 1.0]), &mut x, &[u], 1e-12, None).unwrap();
        assert!(!report.converged && report.bound.is_none());
    }

    #[test]
    fn says_which_bound_it_met() {
        let u = Unknown { low: -10.0, high: 10.0, stride: 5.0, difference: 1e-6 };
        for (wanted, end) in [(25.0, End::High), (-25.0, End::Low)] {
            let mut x = [1.0, 1.0];
            let mut beyond = Plain(|x: &[f64]| vec![x[0] - 2.0, x[1] + x[0] - wanted]);
            let report = solve(&mut beyond, &mut x, &[u, u], 1e-12, None).unwrap();
            assert!(!report.converged && report.worst == 1, "{report:?}");
            assert_eq!(report.bound, Some((1, end)));
        }
    }
}
