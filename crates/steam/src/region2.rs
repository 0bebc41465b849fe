//! Steam, IF97 region 2: the forward equation of IAPWS R7-97(2012), section 6.1, in one pass.
//!
//! The library's region 2 takes `ln` for the entropy, which is not pinned across targets, and computes one property
//! a call. Entropy needs the whole equation in any case, so enthalpy, volume and heat capacity come from
//! the same pass here; a test holds them to the library's own values.

use crate::math;
use crate::region4::KELVIN;

/// Highest temperature of the region, °C (1073.15 K).
pub(crate) const T_HIGH: f64 = 800.0;

/// Specific gas constant of water, kJ/(kg K): R7-97 equation 1.
const R: f64 = 0.461_526;
/// Reducing temperature, K (section 6.1); the reducing pressure is 1 MPa.
const T_STAR: f64 = 540.0;

/// Ideal-gas part, R7-97 Table 10: (J, n).
#[rustfmt::skip]
const IDEAL: [(i32, f64); 9] = [
    (0, -9.6927686500217),
    (1, 10.086655968018),
    (-5, -0.005608791128302),
    (-4, 0.071452738081455),
    (-3, -0.40710498223928),
    (-2, 1.4240819171444),
    (-1, -4.383951131945),
    (2, -0.28408632460772),
    (3, 0.021268463753307),
];

/// Residual part, R7-97 Table 11: (I, J, n).
#[rustfmt::skip]
#[allow(clippy::unreadable_literal, reason = "printed as the release prints them")]
const RESIDUAL: [(usize, usize, f64); 43] = [
    (1, 0, -0.0017731742473213),
    (1, 1, -0.017834862292358),
    (1, 2, -0.045996013696365),
    (1, 3, -0.057581259083432),
    (1, 6, -0.05032527872793),
    (2, 1, -3.3032641670203e-05),
    (2, 2, -0.00018948987516315),
    (2, 4, -0.0039392777243355),
    (2, 7, -0.043797295650573),
    (2, 36, -2.6674547914087e-05),
    (3, 0, 2.0481737692309e-08),
    (3, 1, 4.3870667284435e-07),
    (3, 3, -3.227767723857e-05),
    (3, 6, -0.0015033924542148),
    (3, 35, -0.040668253562649),
    (4, 1, -7.8847309559367e-10),
    (4, 2, 1.2790717852285e-08),
    (4, 3, 4.8225372718507e-07),
    (5, 7, 2.2922076337661e-06),
    (6, 3, -1.6714766451061e-11),
    (6, 16, -0.0021171472321355),
    (6, 35, -23.895741934104),
    (7, 0, -5.905956432427e-18),
    (7, 11, -1.2621808899101e-06),
    (7, 25, -0.038946842435739),
    (8, 8, 1.1256211360459e-11),
    (8, 36, -8.2311340897998),
    (9, 13, 1.9809712802088e-08),
    (10, 4, 1.0406965210174e-19),
    (10, 10, -1.0234747095929e-13),
    (10, 14, -1.0018179379511e-09),
    (16, 29, -8.0882908646985e-11),
    (16, 50, 0.10693031879409),
    (18, 57, -0.33662250574171),
    (20, 20, 8.9185845355421e-25),
    (20, 35, 3.0629316876232e-13),
    (20, 48, -4.2002467698208e-06),
    (21, 21, -5.9056029685639e-26),
    (22, 53, 3.7826947613457e-06),
    (23, 39, -1.2768608934681e-15),
    (24, 26, 7.3087610595061e-29),
    (24, 40, 5.5414715350778e-17),
    (24, 58, -9.436970724121e-07),
];

/// Properties of steam at one pressure and temperature.
#[derive(Clone, Copy)]
pub(crate) struct Point {
    /// Specific enthalpy, kJ/kg.
    pub h: f64,
    /// Specific volume, m³/kg.
    pub v: f64,
    /// Specific entropy, kJ/(kg K).
    pub s: f64,
    /// Specific heat capacity at constant pressure, kJ/(kg K).
    pub cp: f64,
}

/// Powers 0 to 58 of a number, each from the power of half its exponent, so that no long chain forms.
fn powers<const COUNT: usize>(x: f64) -> [f64; COUNT] {
    let mut power = [1.0; COUNT];
    power[1] = x;
    for k in 2..COUNT {
        power[k] = power[k / 2] * power[k - k / 2];
    }
    power
}

/// All properties at `p` MPa, `t` °C. Not range-checked.
pub(crate) fn point(p: f64, t: f64) -> Point {
    let kelvin = t + KELVIN;
    let tau = T_STAR / kelvin;
    // Ideal-gas sums: gamma without ln(pi), tau * gamma_tau, tau² * gamma_tautau.
    let (mut g0, mut g0_t, mut g0_tt) = (0.0, 0.0, 0.0);
    for (j, n) in IDEAL {
        let term = n * tau.powi(j);
        let j = f64::from(j);
        g0 += term;
        g0_t += term * j;
        g0_tt += term * j * (j - 1.0);
    }
    // Residual sums: gamma, pi * gamma_pi, (tau - 1/2) * gamma_tau, (tau - 1/2)² * gamma_tautau.
    let x = tau - 0.5;
    let pi = powers::<25>(p);
    let chi = powers::<59>(x);
    let (mut gr, mut gr_p, mut gr_t, mut gr_tt) = (0.0, 0.0, 0.0, 0.0);
    for (i, j, n) in RESIDUAL {
        let term = n * pi[i] * chi[j];
        let (i, j) = (i as f64, j as f64);
        gr += term;
        gr_p += term * i;
        gr_t += term * j;
        gr_tt += term * j * (j - 1.0);
    }
    let slope = tau / x;
    let tau_gamma_tau = g0_t + gr_t * slope;
    Point {
        h: R * kelvin * tau_gamma_tau,
        v: 0.001 * R * kelvin * (1.0 + gr_p) / p,
        s: R * (tau_gamma_tau - (math::ln(p) + g0 + gr)),
        cp: -R * (g0_tt + gr_tt * slope * slope),
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

    #[test]
    fn the_boundary_to_region_3_meets_its_published_point() {
        // IAPWS R7-97(2012) section 4: 623.15 K and 16.5291643 MPa.
        assert!((p_boundary(350.0) - 16.529_164_3).abs() < 5e-8);
        assert!((t_boundary(16.529_164_3) - 350.0).abs() < 5e-7);
    }
}
