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
/// Intervals to an octave.
const PIECES: f64 = (1_u64 << PIECE_BITS) as f64;
/// The exponent bits of a positive float.
const EXPONENT: u64 = 0x7ff << 52;
/// Exponent bits e make the power of two whose inverse has the exponent bits `TWICE_BIAS - e`.
const TWICE_BIAS: u64 = 2 * (1_023 << 52);
/// Columns: t, hf, hg, vf, p·vg, sf, sg, and, kept apart, cpf, cpg.
const COLUMNS: usize = 7;

/// Value and slope in pressure of each column at one pressure. Arrays, so that all columns are interpolated abreast.
#[derive(Clone, Copy)]
struct Node {
    value: [f64; COLUMNS],
    slope: [f64; COLUMNS],
    cp: [f64; 2],
}

pub(crate) struct Table {
    /// Number of the first interval, as the leading bits of a float.
    first: u64,
    nodes: Vec<Node>,
}

/// A pressure's place in the table: the nodes on both sides and how far it stands between them.
struct Place<'a> {
    left: &'a Node,
    right: &'a Node,
    /// 0 at the left node, 1 at the right.
    u: f64,
    /// MPa between the nodes.
    width: f64,
}

impl Place<'_> {
    /// A column by the cubic through both nodes.
    #[inline(always)]
    fn value(&self, c: usize) -> f64 {
        let (from, to, u) = (self.left.value[c], self.right.value[c], self.u);
        let (leave, arrive) = (self.left.slope[c] * self.width, self.right.slope[c] * self.width);
        let rise = to - from;
        from + u * (leave + u * ((3.0 * rise - 2.0 * leave - arrive) + u * (leave + arrive - 2.0 * rise)))
    }
}

impl Table {
    fn build() -> Self {
        let first = SAT_P_LOW.to_bits() >> PLACE_BITS;
        let last = (SAT_P_HIGH.to_bits() >> PLACE_BITS) + 1;
        let nodes = (first..=last).map(|number| node(f64::from_bits(number << PLACE_BITS))).collect();
        Self { first, nodes }
    }

    /// Outside the table's range the nearest end is taken: callers check.
    #[inline(always)]
    fn place(&self, p: f64) -> Place<'_> {
        let p = p.clamp(SAT_P_LOW, SAT_P_HIGH);
        let number = p.to_bits() >> PLACE_BITS;
        let from = f64::from_bits(number << PLACE_BITS);
        // Two to the power of the exponent, times 2^-6; its inverse is exact too, so no division.
        let octave = f64::from_bits(p.to_bits() & EXPONENT);
        let inverse = f64::from_bits(TWICE_BIAS - (p.to_bits() & EXPONENT));
        let index = (number - self.first) as usize;
        Place {
            left: &self.nodes[index],
            right: &self.nodes[index + 1],
            u: (p - from) * inverse * PIECES,
            width: octave * (1.0 / PIECES),
        }
    }

    /// All columns at `p` MPa.
    #[inline]
    pub(crate) fn saturation(&self, p: f64) -> Saturation {
        let at = self.place(p);
        // A loop, not `from_fn`, which stays a call of its own.
        let mut column = [0.0; COLUMNS];
        for (c, value) in column.iter_mut().enumerate() {
            *value = at.value(c);
        }
        let [t, hf, hg, vf, pvg, sf, sg] = column;
        Saturation { p, t, hf, hg, vf, vg: pvg / p, sf, sg }
    }

    /// Saturation temperature, °C, at `p` MPa.
    #[inline]
    pub(crate) fn t(&self, p: f64) -> f64 {
        self.place(p).value(0)
    }

    /// Saturation temperature, °C, and its slope in pressure, K/MPa.
    pub(crate) fn t_and_slope(&self, p: f64) -> (f64, f64) {
        let at = self.place(p);
        let rise = (at.right.value[0] - at.left.value[0]) / at.width;
        let (leave, arrive) = (at.left.slope[0], at.right.slope[0]);
        let bend = 2.0 * (3.0 * rise - 2.0 * leave - arrive) + at.u * 3.0 * (leave + arrive - 2.0 * rise);
        (at.value(0), leave + at.u * bend)
    }

    /// Heat capacities of saturated liquid and steam at `p` MPa, kJ/(kg K): linear between nodes, within 1e-3.
    #[inline]
    pub(crate) fn cp(&self, p: f64) -> [f64; 2] {
        let at = self.place(p);
        core::array::from_fn(|c| at.left.cp[c] + at.u * (at.right.cp[c] - at.left.cp[c]))
    }
}

/// The columns by the formulation at `p` MPa.
fn formulation(p: f64) -> [f64; COLUMNS] {
    let t = region4::t_sat(p);
    let (liquid, steam) = (region1::point(p, t), region2::point(p, t));
    [t, liquid.h, steam.h, liquid.v, p * steam.v, liquid.s, steam.s]
}

fn node(p: f64) -> Node {
    // 1/1024 of the pressure: the rule's own error, step⁴ / 30, is then 1e-13 of the slope.
    let step = p / 1024.0;
    let [far_below, below, above, far_above] = [-2.0, -1.0, 1.0, 2.0].map(|k| formulation(p + k * step));
    let slope = core::array::from_fn(|c| {
        (8.0 * (above[c] - below[c]) - (far_above[c] - far_below[c])) / (12.0 * step)
    });
    let t = region4::t_sat(p);
    Node { value: formulation(p), slope, cp: [region1::point(p, t).cp, region2::point(p, t).cp] }
}

/// The one table of the process, built at first use (about a millisecond).
#[inline]
pub(crate) fn table() -> &'static Table {
    static TABLE: OnceLock<Table> = OnceLock::new();
    TABLE.get_or_init(Table::build)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pressures over the whole range, rising: 16 to a piece, just below, on and just past the piece's sixteenths.
    fn dense() -> impl Iterator<Item = f64> {
        let sixteenth = PLACE_BITS - 4;
        let (first, last) = (SAT_P_LOW.to_bits() >> sixteenth, SAT_P_HIGH.to_bits() >> sixteenth);
        (first..=last)
            .flat_map(move |k| {
                let p = f64::from_bits(k << sixteenth);
                [p.next_down(), p, p * (1.0 + 1e-5)]
            })
            .filter(|p| (SAT_P_LOW..=SAT_P_HIGH).contains(p))
    }

    fn columns(p: f64) -> [f64; COLUMNS] {
        let s = table().saturation(p);
        [s.t, s.hf, s.hg, s.vf, p * s.vg, s.sf, s.sg]
    }

    /// The promise is 5e-7 K and 1e-6; the table keeps 1e-7 K and 5e-9, and this holds it there.
    #[test]
    fn the_table_is_the_formulation() {
        let mut count = 0;
        for p in dense() {
            count += 1;
            for (c, (got, expected)) in columns(p).into_iter().zip(formulation(p)).enumerate() {
                // Liquid enthalpy and entropy pass through zero near 0 °C: their error is counted against
                // 100 kJ/kg and 1 kJ/(kg K) there.
                let (scale, allowed) = match c {
                    0 => (1.0, 1e-7),
                    1 => (expected.abs().max(100.0), 5e-9),
                    5 => (expected.abs().max(1.0), 5e-9),
                    _ => (expected, 5e-9),
                };
                assert!(((got - expected) / scale).abs() < allowed, "column {c} at {p}: {got} {expected}");
            }
        }
        assert!(count > 40_000, "{count}");
    }

    #[test]
    fn heat_capacities_are_near_the_formulation() {
        for p in dense() {
            let t = region4::t_sat(p);
            let [liquid, steam] = table().cp(p);
            assert!((liquid / region1::point(p, t).cp - 1.0).abs() < 2e-3, "{p}");
            assert!((steam / region2::point(p, t).cp - 1.0).abs() < 2e-3, "{p}");
        }
    }

    #[test]
    fn columns_rise_or_fall_without_a_reversal() {
        let rising = [true, true, false, true, false, true, false];
        let mut last: Option<(f64, [f64; COLUMNS])> = None;
        for p in dense() {
            let now = columns(p);
            if let Some((q, before)) = last
                && p > q * (1.0 + 1e-9)
            {
                // Not steam enthalpy, which has a maximum near 235 °C, nor liquid volume below its minimum at 4 °C.
                for c in [0, 1, 3, 5, 6] {
                    if c == 3 && q < 0.000_82 {
                        continue;
                    }
                    assert_eq!(now[c] > before[c], rising[c], "column {c} between {q} and {p} MPa");
                }
                assert!(now[4] / p < before[4] / q, "steam volume between {q} and {p} MPa");
            }
            last = Some((p, now));
        }
    }

    #[test]
    fn value_and_slope_go_on_from_piece_to_piece() {
        let first = table().first;
        for number in first + 1..first + table().nodes.len() as u64 - 1 {
            let p = f64::from_bits(number << PLACE_BITS);
            let (left, right) = (columns(p.next_down()), columns(p));
            for c in 0..COLUMNS {
                assert!((left[c] - right[c]).abs() <= 1e-12 * right[c].abs().max(1.0), "column {c} at {p}");
            }
            let (left, right) = (table().t_and_slope(p.next_down()).1, table().t_and_slope(p).1);
            assert!((left / right - 1.0).abs() < 1e-9, "slope at {p}: {left} {right}");
        }
    }

    #[test]
    fn the_slope_is_that_of_the_value() {
        for p in dense().step_by(7).filter(|p| *p > 0.000_62 && *p < 16.5) {
            let d = 1e-5 * p;
            let by_difference = (table().t(p + d) - table().t(p - d)) / (2.0 * d);
            assert!((table().t_and_slope(p).1 / by_difference - 1.0).abs() < 1e-6, "{p}");
        }
    }
}
