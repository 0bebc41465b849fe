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
                // Segment angle th (0..2 pi): th - sin th = 2 pi share. Newton from the cube-root start of small
                // angles, by symmetry on the lower half only; bounded.
                let (s, mirrored) = if share > 0.5 { (1.0 - share, true) } else { (share, false) };
                let target = 2.0 * PI * s;
                let mut th = math::cbrt(6.0 * target).min(PI);
                for _ in 0..8 {
                    let slope = 1.0 - math::cos(th);
                    if slope < 1e-12 {
                        break;
                    }
                    let d = (th - math::sin(th) - target) / slope;
                    th = (th - d).clamp(0.0, PI);
                    if d.abs() < 1e-13 {
                        break;
                    }
                }
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
