//! From a volume of water in a shell to its level, and what that level covers.

use crate::plant::file::{Attitude, Shell};
use std::f64::consts::PI;
use std::sync::OnceLock;
use steam::math;

/// The inside of a shell or tank: volumes against height.
#[derive(Clone, Debug)]
pub struct Geometry {
    attitude: Attitude,
    radius: f64,
    length: f64,
    free: f64,
    lowest_tube: f64,
    /// Volume below the lowest tube [m³].
    dry: f64,
}

impl Geometry {
    /// From the plant file.
    pub fn new(s: &Shell) -> Geometry {
        let bare = Geometry {
            attitude: s.attitude,
            radius: 0.5 * s.diameter,
            length: s.length,
            free: 1.0 - s.tube_share,
            lowest_tube: s.lowest_tube,
            dry: 0.0,
        };
        Geometry { dry: bare.volume(s.lowest_tube), ..bare }
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
                // By symmetry on the lower half only.
                let (s, mirrored) = if share > 0.5 { (1.0 - share, true) } else { (share, false) };
                let y = self.radius * heights().of(s);
                if mirrored { 2.0 * self.radius - y } else { y }
            }
        }
    }

    /// Share of the condensing tubes that lies under water when the water stands at height `y`, 0..=1.
    /// The bundle fills the shell from its lowest tube to the top.
    pub fn flooded(&self, y: f64) -> f64 {
        self.flooded_by(self.volume(y))
    }

    /// The same by the volume of the water [m³].
    pub fn flooded_by(&self, water: f64) -> f64 {
        ((water - self.dry) / (self.whole() - self.dry)).clamp(0.0, 1.0)
    }
}

/// Height of the water over the radius in a lying cylinder, for the share of the cylinder that it fills, up to the half:
/// the equation of [`segment_angle`] solved once for all, in cubic pieces with its own slopes. A piece is one
/// sixty-fourth of an octave of the share, numbered by the leading bits of the float as in the saturation table: within
/// 2e-10 of the equation's height.
struct Heights {
    /// Height and its slope at the lower end of each piece, and at the half.
    nodes: Vec<(f64, f64)>,
}

/// Smallest share that the pieces reach down to: below, the angle's series is good to the last digit.
const LEAST_SHARE: f64 = 1.0 / 65_536.0;
/// Bits of the fraction that number a piece inside its octave.
const PIECE_BITS: u32 = 6;

/// Height over the radius by the equation itself, and the angle.
fn solved(share: f64) -> (f64, f64) {
    let th = segment_angle(2.0 * PI * share);
    (1.0 - math::cos(0.5 * th), th)
}

impl Heights {
    fn number(share: f64) -> u64 {
        share.to_bits() >> (52 - PIECE_BITS)
    }

    fn start(number: u64) -> f64 {
        f64::from_bits(number << (52 - PIECE_BITS))
    }

    fn build() -> Heights {
        let node = |number| {
            let (y, th) = solved(Heights::start(number));
            // dy/dth = sin(th/2) / 2 and dm/dth = 1 - cos th = 2 sin²(th/2), with m = 2 pi share.
            (y, 0.5 * PI / math::sin(0.5 * th))
        };
        Heights { nodes: (Heights::number(LEAST_SHARE)..=Heights::number(0.5)).map(node).collect() }
    }

    fn of(&self, share: f64) -> f64 {
        if share < LEAST_SHARE {
            return solved(share).0;
        }
        let number = Heights::number(share);
        let at = (number - Heights::number(LEAST_SHARE)) as usize;
        let (Some(&(y, slope)), Some(&(y_end, slope_end))) = (self.nodes.get(at), self.nodes.get(at + 1))
        else {
            return 1.0;
        };
        let (from, to) = (Heights::start(number), Heights::start(number + 1));
        let (width, u) = (to - from, (share - from) / (to - from));
        let (leave, arrive, rise) = (slope * width, slope_end * width, y_end - y);
        y + u * (leave + u * ((3.0 * rise - 2.0 * leave - arrive) + u * (leave + arrive - 2.0 * rise)))
    }
}

/// The one table of the process.
fn heights() -> &'static Heights {
    static HEIGHTS: OnceLock<Heights> = OnceLock::new();
    HEIGHTS.get_or_init(Heights::build)
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
    fn the_heights_are_those_of_the_equation() {
        let (mut last, mut count) = (0.0, 0);
        let mut share = LEAST_SHARE / 16.0;
        while share < 0.5 {
            let (y, (exact, _)) = (heights().of(share), solved(share));
            assert!((y / exact - 1.0).abs() < 2e-10, "{share}: {y} {exact}");
            assert!(y > last, "{share}");
            (last, share, count) = (y, share * 1.000_7, count + 1);
        }
        assert!(count > 15_000, "{count}");
        // Half full stands at the axis; nothing has no height.
        assert_eq!((heights().of(0.5), heights().of(0.0)), (1.0, 0.0));
        assert!((heights().of(0.5_f64.next_down()) - 1.0).abs() < 1e-15);
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
