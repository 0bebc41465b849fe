//! A centrifugal pump: head, efficiency and power over flow and speed; what vapour in the impeller and wear do to its
//! head; how it runs up and coasts down.
//!
//! With speed n and flow q as shares of design, head is Hd (s n² - (s - 1) q²), s being the shut-off head over the design
//! head. That keeps the affinity laws: at flows that go with n, head goes with n² and power with n³.

use serde::{Deserialize, Serialize};

/// Standard gravity [m/s²] (exact, 3rd General Conference on Weights and Measures).
pub const GRAVITY: f64 = 9.806_65;
/// Speed below which bearings and glands bring a coasting pump to a stand [share] (*common practice, no source*).
const STANDS: f64 = 0.02;
/// Time in which vapour fills the impeller, or leaves it [s] (*common practice, no source*: a second or two).
const VAPOUR_LAG: f64 = 1.0;
/// How steeply the efficiency falls away from its best point (*common practice, no source*).
pub const EFFICIENCY_CURVE: f64 = 0.6;
/// Least efficiency, over that at the best point; only near shut-off does the parabola fall below it.
pub const LEAST_EFFICIENCY: f64 = 0.3;

/// What a pump is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    /// Flow at design [kg/s].
    pub flow: f64,
    /// Head at design [m].
    pub head: f64,
    /// Shut-off head over design head.
    pub shutoff: f64,
    /// Efficiency at design [share].
    pub efficiency: f64,
    /// Net positive suction head required at design [m].
    pub npsh_required: f64,
}

impl Curve {
    /// Head [m] at a speed and a flow, both as shares of design.
    pub fn head(&self, n: f64, q: f64) -> f64 {
        self.head * (self.shutoff * n * n - (self.shutoff - 1.0) * q * q)
    }

    /// Flow [kg/s] at a speed against a head [m], when the pump gives `strength` of its head; 0 where it does not reach
    /// that head: a check valve stands behind it.
    pub fn flow(&self, n: f64, strength: f64, head: f64) -> f64 {
        if !(strength > 0.0 && n > 0.0) {
            return 0.0;
        }
        let spare = self.shutoff * n * n - head / (self.head * strength);
        if spare > 0.0 { self.flow * (spare / (self.shutoff - 1.0)).sqrt() } else { 0.0 }
    }

    /// Speed [share] at which a flow share is lifted by `head` [m].
    pub fn speed(&self, q: f64, head: f64) -> f64 {
        ((head / self.head + (self.shutoff - 1.0) * q * q) / self.shutoff).max(0.0).sqrt()
    }

    /// Efficiency: best at the design flow times the speed, less by [`EFFICIENCY_CURVE`] times the square of the distance from there
    /// (*common practice, no source*). What the disc rubs into standing water at no flow is not counted.
    pub fn efficiency(&self, n: f64, q: f64) -> f64 {
        let off = if n > 0.0 { q / n - 1.0 } else { 1.0 };
        self.efficiency * (1.0 - EFFICIENCY_CURVE * off * off).max(LEAST_EFFICIENCY)
    }

    /// Enthalpy given to the water [kJ/kg]: the work of the whole head, with what wear lets leak back, over the
    /// efficiency.
    pub fn rise(&self, n: f64, q: f64, vapour: f64) -> f64 {
        (self.head(n, q) * vapour).max(0.0) * GRAVITY * 1e-3 / self.efficiency(n, q)
    }

    /// Net positive suction head required [m]: with the square of the speed by affinity, more at more flow (*common
    /// practice, no source*).
    pub fn npsh_required(&self, n: f64, q: f64) -> f64 {
        self.npsh_required * (0.6 * n * n + 0.4 * q * q)
    }
}

/// Share of its head that a pump keeps when it has `ratio` times the suction head that it needs: all of it from 1 up, then
/// the ratio's fourth power, steep as a collapse is (*common practice, no source*).
pub fn head_left(ratio: f64) -> f64 {
    let r = ratio.clamp(0.0, 1.0);
    let square = r * r;
    square * square
}

/// How a pump moves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive {
    /// Time from rest to design speed under power [s].
    pub run_up: f64,
    /// Time in which it falls from design to half speed without power [s].
    pub coast: f64,
}

/// Kept from step to step.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rotor {
    /// Speed [share of design].
    pub speed: f64,
    /// Share of its head that vapour leaves it.
    pub vapour: f64,
}

impl Rotor {
    /// At this speed, full of water.
    pub fn at(speed: f64) -> Rotor {
        Rotor { speed, vapour: 1.0 }
    }

    /// Under power, towards `target` speed, no faster than the drive can; `None` without power.
    ///
    /// Without power the water's torque, which goes with n², brakes the inertia: dn/dt = -n² / T, whose exact solution
    /// n0 / (1 + n0 t / T) is taken over each step, so that the step's length does not matter.
    pub fn turn(&mut self, drive: &Drive, target: Option<f64>, dt: f64) {
        match target {
            Some(target) => {
                let most = dt / drive.run_up;
                self.speed += (target - self.speed).clamp(-most, most);
            }
            None => {
                self.speed /= 1.0 + self.speed * dt / drive.coast;
                if self.speed < STANDS {
                    self.speed = 0.0;
                }
            }
        }
    }

    /// Vapour comes and goes with the suction head available and required [m].
    pub fn draw(&mut self, available: f64, required: f64, dt: f64) {
        let target = if required > 0.0 { head_left(available / required) } else { 1.0 };
        self.vapour += (target - self.vapour) * dt / (VAPOUR_LAG + dt);
        // The last rounding error goes too: a pump at rest is at rest.
        if target >= 1.0 && self.vapour > 1.0 - 1e-12 {
            self.vapour = 1.0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const P: Curve =
        Curve { flow: 100.0, head: 2000.0, shutoff: 1.25, efficiency: 0.82, npsh_required: 10.0 };

    /// Affinity (any pump text): flow with n, head with n², power with n³.
    #[test]
    fn affinity() {
        for n in [0.5, 0.8, 1.1] {
            for q in [0.3, 1.0, 1.2] {
                assert!((P.head(n, n * q) / P.head(1.0, q) - n * n).abs() < 1e-12);
                let power = |n: f64, q: f64| q * P.rise(n, q, 1.0);
                assert!((power(n, n * q) / power(1.0, q) - n * n * n).abs() < 1e-12);
                assert!((P.npsh_required(n, n * q) / P.npsh_required(1.0, q) - n * n).abs() < 1e-12);
                let flow = P.flow(n, 1.0, P.head(n, n * q));
                assert!((flow / (100.0 * q) - n).abs() < 1e-9, "{flow}");
                assert!((P.speed(n * q, P.head(n, n * q)) - n).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn no_water_flows_back_through_a_pump_that_does_not_reach_the_head() {
        assert_eq!(P.flow(1.0, 1.0, 2501.0), 0.0);
        assert!(P.flow(1.0, 1.0, 2499.0) > 0.0);
        assert_eq!(P.flow(0.0, 1.0, 1.0), 0.0);
        // A tenth of the head lost to wear: less flow against the same head, and none where it used to reach.
        assert!(P.flow(1.0, 0.9, 2000.0) < 0.8 * P.flow(1.0, 1.0, 2000.0));
        assert_eq!(P.flow(1.0, 0.9, 2300.0), 0.0);
    }

    #[test]
    fn head_collapses_below_the_suction_head_required() {
        assert_eq!(head_left(1.0), 1.0);
        assert_eq!(head_left(3.0), 1.0);
        assert!((head_left(0.9) - 0.6561).abs() < 1e-12);
        assert!(head_left(0.5) < 0.07 && head_left(-1.0) == 0.0);
        let mut r = Rotor::at(1.0);
        let mut t = 0.0;
        while r.vapour > 0.5 {
            r.draw(2.0, 10.0, 0.25);
            t += 0.25;
        }
        assert!((0.5..2.0).contains(&t), "{t} s");
        for _ in 0..400 {
            r.draw(20.0, 10.0, 0.25);
        }
        assert_eq!(r.vapour, 1.0);
    }

    /// Coast-down against the exact solution of dn/dt = -n² / T, at any step.
    #[test]
    fn coasts_down_as_its_inertia_says() {
        let drive = Drive { run_up: 20.0, coast: 12.0 };
        for dt in [0.05, 0.25, 1.0] {
            let mut r = Rotor::at(1.04);
            for k in 1..=(60.0 / dt) as u32 {
                r.turn(&drive, None, dt);
                let t = f64::from(k) * dt;
                let exact = 1.04 / (1.0 + 1.04 * t / 12.0);
                assert!((r.speed - exact).abs() < 1e-12, "{t} s: {} for {exact}", r.speed);
            }
        }
        let mut r = Rotor::at(1.0);
        r.turn(&drive, None, 12.0);
        assert!((r.speed - 0.5).abs() < 1e-12);
        for _ in 0..4000 {
            r.turn(&drive, None, 0.25);
        }
        assert_eq!(r.speed, 0.0);
    }

    #[test]
    fn runs_up_in_its_time() {
        let drive = Drive { run_up: 20.0, coast: 12.0 };
        let mut r = Rotor::at(0.0);
        let mut t = 0.0;
        while r.speed < 1.0 {
            r.turn(&drive, Some(1.0), 0.25);
            t += 0.25;
        }
        assert!((20.0..=20.25).contains(&t), "{t} s");
    }
}
