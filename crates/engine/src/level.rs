//! From a volume of water in a shell to its level, and what that level covers.

use crate::plant::file::{Attitude, Shell};
use std::f64::consts::PI;
use steam::math;

/// The inside of a shell or tank: volumes against height.
#[derive(Clone, Debug)]
pub struct Geometry {
    attitude: Attitude,
    radius: f64,
    length: f64,
    free: f64,
    lowest_tube: f64,
}

impl Geometry {
    /// From the plant file.
    pub fn new(s: &Shell) -> Geometry {
        Geometry {
            attitude: s.attitude,
            radius: 0.5 * s.diameter,
            length: s.length,
            free: 1.0 - s.tube_share,
            lowest_tube: s.lowest_tube,
        }
    }

    /// How it lies.
    pub fn attitude(&self) -> Attitude {
        self.attitude
    }

    /// Inner radius [m].
    pub fn radius(&self) -> f64 {
        self.radius
    }

    /// Inner length [m].
    pub fn length(&self) -> f64 {
        self.length
    }

    /// Share that tubes leave free.
    pub fn free(&self) -> f64 {
        self.free
    }

    /// Height of the lowest tube [m].
    pub fn lowest_tube(&self) -> f64 {
        self.lowest_tube
    }

    /// Height of the inside [m].
    pub fn height(&self) -> f64 {
        match self.attitude {
            Attitude::Horizontal => 2.0 * self.radius,
            Attitude::Vertical => self.length,
        }
    }

    /// Cross-section below height `y` [m²] (horizontal), as a circle's segment.
    fn segment(&self, y: f64) -> f64 {
        let r = self.radius;
        let y = y.clamp(0.0, 2.0 * r);
        let c = (r - y) / r;
        r * r * (math::acos(c) - c * (1.0 - c * c).max(0.0).sqrt())
    }

    /// Volume of water below height `y` [m³].
    pub fn volume(&self, y: f64) -> f64 {
        match self.attitude {
            Attitude::Horizontal => self.segment(y) * self.length * self.free,
            Attitude::Vertical => PI * self.radius * self.radius * y.clamp(0.0, self.length) * self.free,
        }
    }

    /// Whole volume open to steam and water [m³].
    pub fn whole(&self) -> f64 {
        PI * self.radius * self.radius * self.length * self.free
    }

    /// Height of the water [m] for its volume [m³]; 0 when empty, the full height when solid.
    pub fn height_of(&self, volume: f64) -> f64 {
        let share = (volume / self.whole()).clamp(0.0, 1.0);
        match self.attitude {
            Attitude::Vertical => share * self.length,
            Attitude::Horizontal => {
                // Segment angle th (0..2 pi): th - sin th = 2 pi share, by symmetry on the lower half only.
                let (s, mirrored) = if share > 0.5 { (1.0 - share, true) } else { (share, false) };
                let th = segment_angle(2.0 * PI * s);
                let y = self.radius * (1.0 - math::cos(0.5 * th));
                if mirrored { 2.0 * self.radius - y } else { y }
            }
        }
    }

    /// Share of the condensing tubes that lies under water when the water stands at height `y`, 0..=1.
    /// The bundle fills the shell from its lowest tube to the top.
    pub fn flooded(&self, y: f64) -> f64 {
        let dry = self.volume(self.lowest_tube);
        ((self.volume(y) - dry) / (self.whole() - dry)).clamp(0.0, 1.0)
    }
}

/// The angle th in 0..=pi for which th - sin th = `m`, 0..=pi.
fn segment_angle(m: f64) -> f64 {
    // The equation's series in x = (6 m)^(1/3), turned round term by term: x^13 on, the rest is below 1e-2 at most.
    let x = math::cbrt(6.0 * m);
    let q = x * x;
    let series = 1.0
        + q * (1.0 / 60.0
            + q * (1.0 / 1_400.0
                + q * (1.0 / 25_200.0 + q * (43.0 / 17_248_000.0 + q * (1_213.0 / 7_207_200_000.0)))));
    let mut th = (x * series).min(PI);
    if x < SERIES_ALONE {
        return th;
    }
    // Halley's method: each step leaves the cube of what it moves.
    for _ in 0..4 {
        let (sin, cos) = (math::sin(th), math::cos(th));
        let (f, slope) = (th - sin - m, 1.0 - cos);
        let newton = f / slope;
        let d = newton / (1.0 - 0.5 * newton * sin / slope);
        th = (th - d).clamp(0.0, PI);
        if d.abs() < 1e-6 {
            break;
        }
    }
    th
}

/// Below this the series is good to the last digit, which the equation itself loses to rounding there.
const SERIES_ALONE: f64 = 0.1;

#[cfg(test)]
mod tests {
    use super::*;

    fn shell(attitude: Attitude) -> Geometry {
        Geometry::new(&Shell {
            attitude,
            diameter: 2.0,
            length: 10.0,
            tube_share: 0.2,
            lowest_tube: 0.5,
            normal_level: 0.4,
            metal: 1.0,
            metal_lag: 1.0,
            elevation: 0.0,
        })
    }

    #[test]
    fn a_segment_s_angle_solves_its_equation() {
        for k in 0..=10_000 {
            let m = PI * f64::from(k) / 10_000.0;
            let th = segment_angle(m);
            assert!((th - math::sin(th) - m).abs() < 1e-14, "{m}: {th}");
        }
        // Where the difference th - sin th rounds away: th³/6 - th⁵/120 there.
        for th in [1e-6, 1e-3, 0.05, 0.0999] {
            let q: f64 = th * th;
            let m = th * q / 6.0 * (1.0 - q / 20.0 * (1.0 - q / 42.0 * (1.0 - q / 72.0)));
            assert!((segment_angle(m) / th - 1.0).abs() < 1e-14, "{th}");
        }
    }

    #[test]
    fn volume_and_height_are_inverse() {
        for attitude in [Attitude::Horizontal, Attitude::Vertical] {
            let g = shell(attitude);
            for i in 0..=200 {
                let y = g.height() * f64::from(i) / 200.0;
                assert!((g.height_of(g.volume(y)) - y).abs() < 2e-7, "{attitude:?} {y}");
            }
        }
    }

    /// Area of a segment by Simpson's rule over the chord: another route to the same number.
    #[test]
    fn segment_area_agrees_with_quadrature() {
        let g = shell(Attitude::Horizontal);
        let y = 0.7;
        let n = 20_000;
        let chord = |z: f64| 2.0 * (1.0 - (1.0 - z) * (1.0 - z)).max(0.0).sqrt();
        let mut area = 0.0;
        for i in 0..n {
            let (a, b) = (y * f64::from(i) / f64::from(n), y * f64::from(i + 1) / f64::from(n));
            area += (b - a) / 6.0 * (chord(a) + 4.0 * chord(0.5 * (a + b)) + chord(b));
        }
        assert!((g.volume(y) - area * 10.0 * 0.8).abs() < 1e-4);
        assert!((g.volume(2.0) - g.whole()).abs() < 1e-12);
    }

    #[test]
    fn tubes_flood_from_the_lowest_up() {
        let g = shell(Attitude::Horizontal);
        assert_eq!(g.flooded(0.5), 0.0);
        assert!(g.flooded(0.6) > 0.0 && g.flooded(0.6) < g.flooded(1.0));
        assert!((g.flooded(2.0) - 1.0).abs() < 1e-12);
    }
}
