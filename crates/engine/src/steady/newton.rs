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

/// Solves `residuals(x) = 0` from `x`, which ends at the last point; an error there ends the solution.
pub fn solve<S: System>(
    system: &mut S,
    x: &mut [f64],
    unknowns: &[Unknown],
    tolerance: f64,
) -> Result<Report, S::Error> {
    let n = x.len();
    let mut r = Vec::with_capacity(n);
    let mut rt = Vec::with_capacity(n);
    let mut trial = x.to_vec();
    let mut jacobian = vec![0.0; n * n];
    let mut stale = true;
    system.residuals(x, &mut r)?;
    system.renew();
    system.residuals(x, &mut r)?;
    let mut evaluations = 2;
    let (mut size, mut worst) = norm(&r);
    // A round after convergence: what is held fixed between evaluations has to settle too.
    let mut settled = false;
    while evaluations < LIMIT {
        if size < tolerance {
            if settled {
                break;
            }
            settled = true;
        }
        let fresh = stale;
        if stale {
            for j in 0..n {
                let u = &unknowns[j];
                let step = if x[j] + u.difference <= u.high { u.difference } else { -u.difference };
                trial.copy_from_slice(x);
                trial[j] += step;
                system.residuals(&trial, &mut rt)?;
                evaluations += 1;
                for i in 0..n {
                    jacobian[i * n + j] = (rt[i] - r[i]) / step;
                }
            }
        }
        let mut a = jacobian.clone();
        let mut d: Vec<f64> = r.iter().map(|v| -v).collect();
        if solve::linear(&mut a, &mut d).is_none() {
            if fresh {
                break;
            }
            stale = true;
            continue;
        }
        // Shorten the step as a whole to the strides, then halve it until it does not make things much worse.
        let mut scale =
            unknowns.iter().zip(&d).fold(1.0f64, |s, (u, d)| s.min(u.stride / d.abs().max(1e-300)));
        let step = d.clone();
        let mut halvings = 0;
        let next = loop {
            for j in 0..n {
                trial[j] = (x[j] + scale * step[j]).clamp(unknowns[j].low, unknowns[j].high);
                d[j] = trial[j] - x[j];
            }
            let last = halvings == MOST_HALVINGS;
            evaluations += 1;
            let next = match system.residuals(&trial, &mut rt) {
                Ok(()) => norm(&rt).0,
                Err(e) if last => return Err(e),
                Err(_) => f64::INFINITY,
            };
            if last || next < 1.2 * size || next < tolerance {
                break next;
            }
            scale *= 0.5;
            halvings += 1;
        };
        // Broyden's rank-one correction: the Jacobian explains the step just made.
        let length: f64 = d.iter().map(|v| v * v).sum();
        if length > 0.0 {
            for i in 0..n {
                let told: f64 = (0..n).map(|j| jacobian[i * n + j] * d[j]).sum();
                let miss = (rt[i] - r[i] - told) / length;
                for j in 0..n {
                    jacobian[i * n + j] += miss * d[j];
                }
            }
        }
        stale = (next > 0.3 * size || halvings > 0) && size >= tolerance && !fresh;
        x.copy_from_slice(&trial);
        system.renew();
        system.residuals(x, &mut r)?;
        evaluations += 1;
        (size, worst) = norm(&r);
    }
    Ok(Report { residual: size, worst, evaluations, converged: size < tolerance })
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
        let report = solve(&mut himmelblau, &mut x, &[u, u], 1e-12).unwrap();
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
        let report = solve(&mut Plain(|x: &[f64]| vec![x[0] * x[0] + 1.0]), &mut x, &[u], 1e-12).unwrap();
        assert!(!report.converged);
    }
}
