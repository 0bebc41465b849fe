//! Proportional-integral control with limits: the one controller that every loop uses.

use serde::{Deserialize, Serialize};

/// Settings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PiParams {
    /// Output per unit of error.
    pub gain: f64,
    /// Integral time [s].
    pub integral_time: f64,
}

/// Memory of a controller: the integral part of its output.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pi {
    /// Integral part, in units of the output.
    pub integral: f64,
}

impl Pi {
    /// At rest with this output.
    pub fn at(output: f64) -> Pi {
        Pi { integral: output }
    }

    /// Output for an error over `dt` seconds, within `limits`. Once the output stands at a limit, the integral moves
    /// only away from it, so that it does not wind up.
    pub fn step(&mut self, p: &PiParams, error: f64, limits: (f64, f64), dt: f64) -> f64 {
        let change = p.gain * error * dt / p.integral_time;
        let raw = p.gain * error + self.integral + change;
        if (raw < limits.1 || change < 0.0) && (raw > limits.0 || change > 0.0) {
            self.integral += change;
        }
        (p.gain * error + self.integral).clamp(limits.0, limits.1)
    }

    /// Takes over from a hand without a bump: the output at this error is `output`.
    pub fn track(&mut self, p: &PiParams, error: f64, output: f64) {
        self.integral = output - p.gain * error;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const P: PiParams = PiParams { gain: 2.0, integral_time: 10.0 };

    /// Open-loop step response: gain at once, as much again after one integral time.
    #[test]
    fn responds_as_a_pi_controller() {
        let mut c = Pi::at(0.0);
        let mut out = 0.0;
        for _ in 0..1000 {
            out = c.step(&P, 0.1, (-10.0, 10.0), 0.01);
        }
        assert!((out - 0.4).abs() < 1e-9, "{out}");
    }

    #[test]
    fn does_not_wind_up_and_does_not_bump() {
        let mut c = Pi::at(0.5);
        for _ in 0..10_000 {
            assert!(c.step(&P, 1.0, (0.0, 1.0), 0.1) <= 1.0);
        }
        // Comes off the limit as soon as the error turns.
        assert!(c.step(&P, -0.5, (0.0, 1.0), 0.1) < 1.0);
        c.track(&P, 0.2, 0.35);
        assert!((c.step(&P, 0.2, (0.0, 1.0), 1e-9) - 0.35).abs() < 1e-9);
    }
}
