//! Steam, IF97 region 2: the forward equation of IAPWS R7-97(2012), section 6.1, in one pass.
//!
//! The library's region 2 takes `ln` for the entropy, which is not pinned across targets, and computes one property
//! a call. Entropy needs the whole equation in any case, so enthalpy, volume and heat capacity come from
//! the same pass here; a test holds them to the library's own values.

use crate::math;
use crate::point::{Point, powers};
use crate::region4::KELVIN;

/// Highest temperature of the region, °C (1073.15 K).
pub(crate) const T_HIGH: f64 = 800.0;

/// Specific gas constant of water, kJ/(kg K): R7-97 equation 1.
const R: f64 = 0.461_526;
/// Reducing temperature, K (section 6.1); the reducing pressure is 1 MPa.
const T_STAR: f64 = 540.0;

/// Ideal-gas part, R7-97 Table 10: n of the exponents J = 3 down to -5.
const IDEAL: [f64; 9] = [
    0.021_268_463_753_307,
    -0.284_086_324_607_72,
    10.086_655_968_018,
    -9.692_768_650_021_7,
    -4.383_951_131_945,
    1.424_081_917_144_4,
    -0.407_104_982_239_28,
    0.071_452_738_081_455,
    -0.005_608_791_128_302,
];

/// The same with J·n and J·(J - 1)·n beside, for the derivatives.
const IDEAL_FALLING: [(f64, f64, f64); 9] = {
    let mut terms = [(0.0, 0.0, 0.0); 9];
    let mut k = 0;
    while k < 9 {
        let j = 3.0 - k as f64;
        terms[k] = (IDEAL[k], IDEAL[k] * j, IDEAL[k] * (j * (j - 1.0)));
        k += 1;
    }
    terms
};

/// The residual part, R7-97 equation 17, and its derivatives, each times the variable it is a derivative by.
#[derive(Default)]
struct Residual {
    /// γʳ
    g: f64,
    /// π γʳ_π
    p: f64,
    /// χ γʳ_τ, with χ = τ - 1/2
    t: f64,
    /// χ² γʳ_ττ
    tt: f64,
    /// π χ γʳ_πτ
    pt: f64,
}

/// Terms that share one exponent I: its power of π, and (J, n) of each. Unrolled by the compiler, so the table is
/// code: an array walked at run time is a third slower.
struct Sums {
    chi: [f64; 59],
    to: Residual,
}

impl Sums {
    #[inline(always)]
    fn add<const COUNT: usize>(&mut self, pi: f64, i: f64, terms: [(usize, f64); COUNT]) {
        let (mut g, mut t, mut tt) = (0.0, 0.0, 0.0);
        for (j, n) in terms {
            let (power, j) = (self.chi[j], j as f64);
            g += n * power;
            t += n * j * power;
            tt += n * (j * (j - 1.0)) * power;
        }
        self.to.g += pi * g;
        self.to.p += i * pi * g;
        self.to.t += pi * t;
        self.to.tt += pi * tt;
        self.to.pt += i * pi * t;
    }
}

/// R7-97 Table 11, one call an exponent I: (J, n).
#[inline(always)]
#[rustfmt::skip]
#[allow(clippy::unreadable_literal, clippy::excessive_precision, reason = "digits as the release prints them")]
fn residual(p: f64, chi: f64) -> Residual {
    let pi = powers::<25>(p);
    let mut sums = Sums { chi: powers::<59>(chi), to: Residual::default() };
    sums.add(pi[1], 1.0, [(0, -0.0017731742473213), (1, -0.017834862292358), (2, -0.045996013696365),
        (3, -0.057581259083432), (6, -0.05032527872793)]);
    sums.add(pi[2], 2.0, [(1, -3.3032641670203e-05), (2, -0.00018948987516315), (4, -0.0039392777243355),
        (7, -0.043797295650573), (36, -2.6674547914087e-05)]);
    sums.add(pi[3], 3.0, [(0, 2.0481737692309e-08), (1, 4.3870667284435e-07), (3, -3.227767723857e-05),
        (6, -0.0015033924542148), (35, -0.040668253562649)]);
    sums.add(pi[4], 4.0, [(1, -7.8847309559367e-10), (2, 1.2790717852285e-08), (3, 4.8225372718507e-07)]);
    sums.add(pi[5], 5.0, [(7, 2.2922076337661e-06)]);
    sums.add(pi[6], 6.0, [(3, -1.6714766451061e-11), (16, -0.0021171472321355), (35, -23.895741934104)]);
    sums.add(pi[7], 7.0, [(0, -5.905956432427e-18), (11, -1.2621808899101e-06), (25, -0.038946842435739)]);
    sums.add(pi[8], 8.0, [(8, 1.1256211360459e-11), (36, -8.2311340897998)]);
    sums.add(pi[9], 9.0, [(13, 1.9809712802088e-08)]);
    sums.add(pi[10], 10.0, [(4, 1.0406965210174e-19), (10, -1.0234747095929e-13),
        (14, -1.0018179379511e-09)]);
    sums.add(pi[16], 16.0, [(29, -8.0882908646985e-11), (50, 0.10693031879409)]);
    sums.add(pi[18], 18.0, [(57, -0.33662250574171)]);
    sums.add(pi[20], 20.0, [(20, 8.9185845355421e-25), (35, 3.0629316876232e-13),
        (48, -4.2002467698208e-06)]);
    sums.add(pi[21], 21.0, [(21, -5.9056029685639e-26)]);
    sums.add(pi[22], 22.0, [(53, 3.7826947613457e-06)]);
    sums.add(pi[23], 23.0, [(39, -1.2768608934681e-15)]);
    sums.add(pi[24], 24.0, [(26, 7.3087610595061e-29), (40, 5.5414715350778e-17),
        (58, -9.436970724121e-07)]);
    sums.to
}

/// All properties at `p` MPa, `t` °C. Not range-checked.
pub(crate) fn point(p: f64, t: f64) -> Point {
    let kelvin = t + KELVIN;
    let tau = T_STAR / kelvin;
    // Ideal-gas sums: gamma without ln(pi), tau * gamma_tau, tau² * gamma_tautau. The exponents are -5 to 3, none
    // missing, so each is one polynomial over tau to the fifth.
    let (mut g0, mut g0_t, mut g0_tt) = (0.0, 0.0, 0.0);
    for (n, by_j, by_jj) in IDEAL_FALLING {
        g0 = g0 * tau + n;
        g0_t = g0_t * tau + by_j;
        g0_tt = g0_tt * tau + by_jj;
    }
    let square = tau * tau;
    let fifth = 1.0 / (square * square * tau);
    let chi = tau - 0.5;
    let r = residual(p, chi);
    let slope = tau / chi;
    let tau_gamma_tau = g0_t * fifth + r.t * slope;
    Point {
        h: R * kelvin * tau_gamma_tau,
        v: 0.001 * R * kelvin * (1.0 + r.p) / p,
        s: R * (tau_gamma_tau - (math::ln(p) + g0 * fifth + r.g)),
        cp: -R * (g0_tt * fifth + r.tt * slope * slope),
        dv_dt: 0.001 * R * (1.0 + r.p - r.pt * slope) / p,
    }
}

/// Coefficients of the boundary between regions 2 and 3, R7-97 Table 1, n1 to n5.
const B23: [f64; 5] =
    [348.051_856_289_69, -1.167_185_987_997_5, 1.019_297_003_932_6e-3, 572.544_598_627_46, 13.918_839_778_87];

/// Pressure, MPa, on the boundary between regions 2 and 3 at `t` °C: equation 5.
#[cfg(test)]
pub(crate) fn p_boundary(t: f64) -> f64 {
    let kelvin = t + KELVIN;
    (B23[2] * kelvin + B23[1]) * kelvin + B23[0]
}

/// Temperature, °C, on the boundary between regions 2 and 3 at `p` MPa (16.529 MPa or more): equation 6.
pub(crate) fn t_boundary(p: f64) -> f64 {
    B23[3] + ((p - B23[4]) / B23[2]).sqrt() - KELVIN
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn table_15_of_r7_97() {
        // IAPWS R7-97(2012) Table 15: T (K), p (MPa), v, h, s, cp.
        for (kelvin, p, v, h, s, cp) in [
            (300.0, 0.0035, 39.491_386_6, 2_549.911_45, 8.522_389_67, 1.913_001_62),
            (700.0, 0.0035, 92.301_589_8, 3_335.683_75, 10.174_999_6, 2.081_412_74),
            (700.0, 30.0, 0.542_946_619e-2, 2_631.494_74, 5.175_402_98, 10.350_509_2),
        ] {
            let at = point(p, kelvin - KELVIN);
            for (got, printed) in [(at.v, v), (at.h, h), (at.s, s), (at.cp, cp)] {
                assert!((got / printed - 1.0).abs() < 1e-8, "{got} {printed} at {kelvin} K, {p} MPa");
            }
        }
    }

    /// The same equation by another hand: the library's, over the whole region.
    #[test]
    fn the_library_agrees() {
        use seuif97::{OCP, ODVDT, OH, OS, OV, pt};
        let mut count = 0;
        for p in [0.000_62, 0.004, 0.05, 0.4, 1.0, 2.7, 6.0, 12.0, 16.5, 20.0, 35.0, 60.0, 100.0] {
            let start = if p < 16.529 { crate::region4::t_sat(p) } else { t_boundary(p) };
            for k in 0..=200 {
                let t = start + (T_HIGH - start) * f64::from(k) / 200.0;
                let at = point(p, t);
                for (got, library) in [
                    (at.h, pt(p, t, (OH, 2))),
                    (at.v, pt(p, t, (OV, 2))),
                    (at.s, pt(p, t, (OS, 2))),
                    (at.cp, pt(p, t, (OCP, 2))),
                    (at.dv_dt, pt(p, t, (ODVDT, 2))),
                ] {
                    assert!((got / library - 1.0).abs() < 1e-12, "{got} {library} at {p} MPa, {t} °C");
                    count += 1;
                }
            }
        }
        assert_eq!(count, 13 * 201 * 5);
    }

    #[test]
    fn the_boundary_to_region_3_meets_its_published_point() {
        // IAPWS R7-97(2012) section 4: 623.15 K and 16.5291643 MPa.
        assert!((p_boundary(350.0) - 16.529_164_3).abs() < 5e-8);
        assert!((t_boundary(16.529_164_3) - 350.0).abs() < 5e-7);
    }
}
