//! The saturation table: cubic Hermite pieces in pressure, built once, the same bits on every target.
//!
//! An interval is one sixty-fourth of an octave of pressure. Its number is the exponent and the leading six bits of the
//! fraction of the float itself, and the place inside is the rest of the fraction: no logarithm, no search, no
//! rounding. Sixty-four to the octave keeps the temperature within 1e-7 K of equation 31 (32 would give 1.2e-6 K:
//! t goes as ln p, whose fourth derivative times width⁴ / 384 is that). Steam volume is held as p·v, which
//! hardly bends. Slopes at the nodes come from a five-point difference of the formulation itself.

use std::sync::OnceLock;

use crate::saturation::{SAT_P_HIGH, SAT_P_LOW, Saturation};
use crate::{region1, region2, region4};

/// Bits of the fraction that number the interval inside its octave.
const PIECE_BITS: u32 = 6;
/// Bits of the fraction that remain for the place inside the interval.
const PLACE_BITS: u32 = 52 - PIECE_BITS;
/// Columns: t, hf, hg, vf, p·vg, sf, sg, cpf, cpg.
const COLUMNS: usize = 9;
/// Saturation temperature, °C.
pub(crate) const T: usize = 0;
/// Heat capacities of the saturated liquid and steam, kJ/(kg K).
const CPF: usize = 7;

/// Value and slope of each column at one pressure.
type Node = [(f64, f64); COLUMNS];

pub(crate) struct Table {
    /// Number of the first interval, as the leading bits of a float.
    first: u64,
    nodes: Vec<Node>,
}

/// Place in the table: the two nodes and the weights of their values and slopes.
struct Place<'a> {
    left: &'a Node,
    right: &'a Node,
    u: f64,
    width: f64,
}

impl Place<'_> {
    /// Value and slope of a column by the cubic through both nodes.
    #[inline]
    fn value(&self, column: usize) -> f64 {
        let ((f0, d0), (f1, d1)) = (self.left[column], self.right[column]);
        let u = self.u;
        let (m0, m1) = (d0 * self.width, d1 * self.width);
        let rise = f1 - f0;
        f0 + u * (m0 + u * ((3.0 * rise - 2.0 * m0 - m1) + u * (m0 + m1 - 2.0 * rise)))
    }

    fn slope(&self, column: usize) -> f64 {
        let ((f0, d0), (f1, d1)) = (self.left[column], self.right[column]);
        let u = self.u;
        let rise = (f1 - f0) / self.width;
        d0 + u * (2.0 * (3.0 * rise - 2.0 * d0 - d1) + u * 3.0 * (d0 + d1 - 2.0 * rise))
    }
}

impl Table {
    fn build() -> Self {
        let first = SAT_P_LOW.to_bits() >> PLACE_BITS;
        let last = (SAT_P_HIGH.to_bits() >> PLACE_BITS) + 1;
        let nodes = (first..=last).map(|number| node(f64::from_bits(number << PLACE_BITS))).collect();
        Self { first, nodes }
    }

    /// `p` must lie in the table's range; outside, the nearest piece is used.
    #[inline]
    fn place(&self, p: f64) -> Place<'_> {
        let p = p.clamp(SAT_P_LOW, SAT_P_HIGH);
        let bits = p.to_bits();
        let number = bits >> PLACE_BITS;
        let index = (number - self.first) as usize;
        let from = f64::from_bits(number << PLACE_BITS);
        let width = f64::from_bits((number + 1) << PLACE_BITS) - from;
        Place { left: &self.nodes[index], right: &self.nodes[index + 1], u: (p - from) / width, width }
    }

    /// All columns at `p` MPa.
    #[inline]
    pub(crate) fn saturation(&self, p: f64) -> Saturation {
        let at = self.place(p);
        Saturation {
            p,
            t: at.value(T),
            hf: at.value(1),
            hg: at.value(2),
            vf: at.value(3),
            vg: at.value(4) / p,
            sf: at.value(5),
            sg: at.value(6),
        }
    }

    /// Value and slope of one column at `p` MPa.
    pub(crate) fn column(&self, column: usize, p: f64) -> (f64, f64) {
        let at = self.place(p);
        (at.value(column), at.slope(column))
    }

    /// Heat capacities of both saturated phases at `p` MPa.
    pub(crate) fn cp(&self, p: f64) -> (f64, f64) {
        let at = self.place(p);
        (at.value(CPF), at.value(CPF + 1))
    }
}

/// The columns by the formulation at `p` MPa.
fn formulation(p: f64) -> [f64; COLUMNS] {
    let t = region4::t_sat(p);
    let steam = region2::point(p, t);
    [
        t,
        region1::h(p, t),
        steam.h,
        region1::v(p, t),
        p * steam.v,
        region1::s(p, t),
        steam.s,
        region1::cp(p, t),
        steam.cp,
    ]
}

fn node(p: f64) -> Node {
    // 1/1024 of the pressure: the formula's own error, step⁴ / 30, is then 1e-13 of the slope.
    let step = p / 1024.0;
    let near = [
        formulation(p - 2.0 * step),
        formulation(p - step),
        formulation(p + step),
        formulation(p + 2.0 * step),
    ];
    let here = formulation(p);
    core::array::from_fn(|c| {
        let slope = (8.0 * (near[2][c] - near[1][c]) - (near[3][c] - near[0][c])) / (12.0 * step);
        (here[c], slope)
    })
}

/// The one table of the process, built at first use (about a millisecond).
#[inline]
pub(crate) fn table() -> &'static Table {
    static TABLE: OnceLock<Table> = OnceLock::new();
    TABLE.get_or_init(Table::build)
}
