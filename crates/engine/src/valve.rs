//! Valves: how far they are, how fast they move, and what passes.
//!
//! Liquid sizing after IEC 60534-2-1 (the published equations for incompressible flow without fittings, choked flow
//! included); extraction steam by the same standard's equation for compressible flow. Pressures in MPa, flow in
//! kg/s, Kv in m³/h of cold water at 1 bar.

use crate::plant::file::Characteristic;
use serde::{Deserialize, Serialize};
use steam::math;

/// Critical pressure of water [MPa] (IAPWS R7-97).
pub(crate) const CRITICAL_PRESSURE: f64 = 22.064;
/// N1 = 0.1 of the standard (kPa, m³/h), over the seconds of an hour.
pub(crate) const LIQUID: f64 = 0.1 / 3600.0;
/// Density that the standard's relative density refers to: water at 15 °C [kg/m³].
pub(crate) const REFERENCE_DENSITY: f64 = 999.1;
/// Rangeability of the equal-percentage characteristic (*common practice, no source*).
pub(crate) const RANGEABILITY: f64 = 30.0;

/// Critical pressure ratio factor FF of the liquid.
pub fn liquid_critical_ratio(vapour_pressure: f64) -> f64 {
    0.96 - 0.28 * (vapour_pressure / CRITICAL_PRESSURE).sqrt()
}

/// What stands before a drain valve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Upstream {
    /// Pressure at the valve's inlet [MPa].
    pub pressure: f64,
    /// Pressure at which the water boils [MPa]; the inlet pressure itself when it boils already.
    pub vapour_pressure: f64,
    /// Density of the (homogeneous) mixture [kg/m³].
    pub density: f64,
}

/// Flow through a valve [kg/s], never negative; `coefficient` is the Kv at the present opening.
///
/// The effective difference is the smaller of p1 - p2 and FL² (p1 - FF pv): beyond, the vapour formed in the throat
/// chokes the flow, so that a drain that has lost its subcooling passes less at the same opening.
pub fn liquid_flow(coefficient: f64, recovery: f64, up: &Upstream, down: f64) -> f64 {
    let difference = liquid_difference(recovery, up, down);
    // Q[m³/h] = 0.1 Kv sqrt(dp[kPa] rho0 / rho); W = Q rho / 3600.
    coefficient * LIQUID * (difference * 1e3 * REFERENCE_DENSITY * up.density).sqrt()
}

/// Pressure difference that drives a liquid to `down` [MPa]: no more than that at which it chokes.
pub fn liquid_difference(recovery: f64, up: &Upstream, down: f64) -> f64 {
    let choked =
        recovery * recovery * (up.pressure - liquid_critical_ratio(up.vapour_pressure) * up.vapour_pressure);
    (up.pressure - down).min(choked).max(0.0)
}

/// Whether that flow is choked.
pub fn is_choked(recovery: f64, up: &Upstream, down: f64) -> bool {
    up.pressure - down
        > recovery * recovery * (up.pressure - liquid_critical_ratio(up.vapour_pressure) * up.vapour_pressure)
}

/// Specific heat ratio factor of steam over 1.4 and the pressure differential ratio at which a line with an open
/// gate valve chokes: together the choking pressure ratio. 1.3/1.4 x 0.72 (*common practice, no source*).
pub(crate) const CHOKING_RATIO: f64 = 1.3 / 1.4 * 0.72;

/// Steam through a line [kg/s] per unit of line coefficient, from `p1` [MPa] and `v1` [m³/kg] to `p2`; 0 where the
/// pressure does not drive it. The expansion factor falls to 2/3 where the flow chokes.
pub fn steam_flow(coefficient: f64, p1: f64, v1: f64, p2: f64) -> f64 {
    if p2 >= p1 || p1 <= 0.0 {
        return 0.0;
    }
    let x = ((p1 - p2) / p1).min(CHOKING_RATIO);
    let expansion = 1.0 - x / (3.0 * CHOKING_RATIO);
    coefficient * expansion * (x * p1 / v1).sqrt()
}

/// Pressure behind a line that passes `flow` from `p1`, `v1`: the inverse of [`steam_flow`] below choking. Beyond, and
/// for flows below 0, it goes on smoothly, so that a search can pass there on its way.
pub fn steam_pressure_behind(coefficient: f64, p1: f64, v1: f64, flow: f64) -> f64 {
    let w = flow / coefficient;
    let q = w * w * v1 / p1;
    if flow < 0.0 {
        return p1 * (1.0 + q);
    }
    let most = CHOKING_RATIO * 4.0 / 9.0;
    if q >= most {
        return p1 * (1.0 - CHOKING_RATIO - (q - most)).max(0.02);
    }
    // x (1 - x / 3X)² = q rises to its end at X: bisection steps guard Newton's.
    let (mut a, mut b) = (0.0, CHOKING_RATIO);
    let mut x = q;
    for _ in 0..60 {
        let y = 1.0 - x / (3.0 * CHOKING_RATIO);
        let f = x * y * y - q;
        if f > 0.0 {
            b = x
        } else {
            a = x
        }
        let slope = y * y - 2.0 * x * y / (3.0 * CHOKING_RATIO);
        let mut next = if slope > 0.0 { x - f / slope } else { 0.5 * (a + b) };
        if !(next >= a && next <= b) {
            next = 0.5 * (a + b);
        }
        if (next - x).abs() < 1e-15 {
            break;
        }
        x = next;
    }
    p1 * (1.0 - x)
}

/// Share of the full flow coefficient at an opening 0..=1.
pub fn opening_share(characteristic: Characteristic, opening: f64) -> f64 {
    let y = opening.clamp(0.0, 1.0);
    match characteristic {
        Characteristic::Linear => y,
        Characteristic::EqualPercentage => {
            // A straight line closes the last twentieth, so that shut is shut.
            let knee = 0.05;
            let at = |y: f64| math::pow(RANGEABILITY, y - 1.0);
            if y < knee { at(knee) * y / knee } else { at(y) }
        }
    }
}

/// A stem that moves at no more than its stroke rate.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Stem {
    /// Opening, 0 shut to 1 open.
    pub opening: f64,
}

/// What is wrong with a valve.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Condition {
    /// It stays where it is.
    pub stuck: bool,
    /// It passes as if open by this much, even when its stem says shut (0..=1).
    pub leak: f64,
    /// It has lost its supply and goes here, whatever is asked (0..=1).
    pub fails_to: Option<f64>,
    /// It is turned by hand to this position (0..=1), with a full stroke in this time [s].
    pub hand: Option<(f64, f64)>,
}

impl Condition {
    /// Opening that passes where the stem stands at `opening`.
    pub fn passing(&self, opening: f64) -> f64 {
        opening.max(self.leak)
    }
}

impl Stem {
    /// Moves towards `target` for `dt` seconds with a full stroke in `stroke` seconds, unless something is wrong. Returns
    /// the way it went, whose mean is what passes: a valve that counted as it stands at the end of a step would act half
    /// a step early.
    pub fn drive(&mut self, target: f64, stroke: f64, condition: &Condition, dt: f64) -> Travel {
        if condition.stuck {
            return Travel { from: self.opening, way: 0.0, moving: 1.0 };
        }
        let driven = (condition.fails_to.unwrap_or(target), stroke);
        let (target, stroke) = condition.hand.unwrap_or(driven);
        let most = dt / stroke;
        let from = self.opening;
        let way = (target.clamp(0.0, 1.0) - from).clamp(-most, most);
        self.opening += way;
        Travel { from, way, moving: way.abs() / most }
    }
}

/// The way of a stem in one step: it moves for a share of the time and stands at its end for the rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Travel {
    from: f64,
    way: f64,
    moving: f64,
}

impl Travel {
    /// Opening at a share of the step, 0 at its beginning to 1 at its end.
    pub fn at(&self, share: f64) -> f64 {
        if share >= self.moving { self.from + self.way } else { self.from + self.way * (share / self.moving) }
    }

    /// Mean opening.
    pub fn mean(&self) -> f64 {
        self.from + self.way * (1.0 - 0.5 * self.moving)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 60534-2-1, Annex E: water, 965.4 kg/m³, pv 70.1 kPa, p1 680, p2 220 kPa, 360 m³/h. Example 1: FL 0.90, not
    /// choked, Kv 165. Example 2: FL 0.60, choked, Kv 238.
    #[test]
    fn liquid_sizing_as_published() {
        let up = Upstream { pressure: 0.680, vapour_pressure: 0.0701, density: 965.4 };
        // The examples take pc = 22.120 MPa.
        assert!((0.96 - 0.28 * (70.1f64 / 22120.0).sqrt() - 0.94424).abs() < 1e-5);
        assert!((liquid_critical_ratio(0.0701) - 0.94424).abs() < 3e-5);
        let wanted = 360.0 * 965.4 / 3600.0;
        assert!(!is_choked(0.90, &up, 0.220));
        let kv = wanted / liquid_flow(1.0, 0.90, &up, 0.220);
        assert!((kv - 165.0).abs() < 0.5, "{kv}");
        assert!(is_choked(0.60, &up, 0.220));
        let kv = wanted / liquid_flow(1.0, 0.60, &up, 0.220);
        assert!((kv - 238.06).abs() < 0.1, "{kv}");
    }

    #[test]
    fn a_drain_without_subcooling_passes_less() {
        let cool = Upstream { pressure: 2.0, vapour_pressure: 1.0, density: 850.0 };
        let boiling = Upstream { pressure: 2.0, vapour_pressure: 2.0, density: 850.0 };
        let (a, b) = (liquid_flow(100.0, 0.85, &cool, 1.0), liquid_flow(100.0, 0.85, &boiling, 1.0));
        assert!(b < 0.5 * a && b > 0.0, "{a} {b}");
    }

    #[test]
    fn steam_flow_falls_as_the_back_pressure_rises_and_chokes() {
        let mut last = f64::INFINITY;
        for i in 0..=100 {
            let w = steam_flow(1.0, 1.0, 0.2, 0.01 * f64::from(i));
            assert!(w <= last);
            last = w;
        }
        assert_eq!(steam_flow(1.0, 1.0, 0.2, 0.1), steam_flow(1.0, 1.0, 0.2, 0.0));
        assert_eq!(steam_flow(1.0, 1.0, 0.2, 1.0), 0.0);
    }

    #[test]
    fn the_pressure_behind_a_line_is_found_from_its_flow() {
        for i in 0..=100 {
            let p2 = 1.0 - 0.0066 * f64::from(i);
            let w = steam_flow(3.0, 1.0, 0.2, p2);
            assert!((steam_pressure_behind(3.0, 1.0, 0.2, w) - p2).abs() < 1e-7, "{p2}");
        }
        assert!(steam_pressure_behind(3.0, 1.0, 0.2, -1.0) > 1.0);
    }

    #[test]
    fn a_stem_takes_its_stroke_time() {
        let mut s = Stem { opening: 1.0 };
        let mut t: f64 = 0.0;
        while s.opening > 0.0 {
            s.drive(0.0, 40.0, &Condition::default(), 0.25);
            t += 0.25;
        }
        assert!((t - 40.0).abs() <= 0.25);
        // Shut after a quarter of the last step: the mean of 0.1 falling to 0 and of 0.
        let last = Stem { opening: 0.1 }.drive(0.0, 1.0, &Condition::default(), 0.4);
        assert!((last.mean() - 0.0125).abs() < 1e-12, "{last:?}");
        assert!((last.at(0.125) - 0.05).abs() < 1e-12 && last.at(0.5).abs() < 1e-12, "{last:?}");
    }

    #[test]
    fn a_valve_can_stick_fail_and_leak() {
        let mut s = Stem { opening: 0.3 };
        s.drive(1.0, 4.0, &Condition { stuck: true, fails_to: Some(0.0), ..Condition::default() }, 1.0);
        assert_eq!(s.opening, 0.3);
        s.drive(1.0, 4.0, &Condition { fails_to: Some(0.0), ..Condition::default() }, 1.0);
        assert!((s.opening - 0.05).abs() < 1e-12);
        let leaks = Condition { leak: 0.2, ..Condition::default() };
        assert_eq!((leaks.passing(0.0), leaks.passing(0.5)), (0.2, 0.5));
    }

    #[test]
    fn shut_is_shut_and_open_is_open() {
        for c in [Characteristic::Linear, Characteristic::EqualPercentage] {
            assert_eq!(opening_share(c, 0.0), 0.0);
            assert_eq!(opening_share(c, 1.0), 1.0);
        }
    }
}
