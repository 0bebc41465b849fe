//! Liquid water, IF97 region 1: the forward equation of IAPWS R7-97(2012), section 5.1, in one pass.
//!
//! The library computes one property a call, each from the whole equation; a state asks for four of them. Here they come
//! from the same sums, and a test holds them to the library's own values. The backward equations are the library's, with
//! the region named and the property given as a literal, so that the linker keeps only what is used.

use crate::point::{Point, powers};
use crate::region4::KELVIN;
use seuif97::{OT, ph, ps};

/// Temperatures of the region, °C.
pub(crate) const T_LOW: f64 = 0.0;
/// The region's upper temperature, °C (623.15 K).
pub(crate) const T_HIGH: f64 = 350.0;
/// Highest pressure of the formulation, MPa.
pub(crate) const P_HIGH: f64 = 100.0;

/// Specific gas constant of water, kJ/(kg K): R7-97 equation 1.
const R: f64 = 0.461_526;
/// Reducing pressure, MPa, and temperature, K (section 5.1).
const P_STAR: f64 = 16.53;
const T_STAR: f64 = 1386.0;
/// What π and τ are taken from and less by, equation 7.
const PI_0: f64 = 7.1;
const TAU_0: f64 = 1.222;

/// γ and its derivatives, each times the variable it is a derivative by: ψ = 7.1 - π, falling with π, and χ = τ - 1.222.
struct Sums {
    psi: [f64; 33],
    chi: [f64; 18],
    /// From χ to the power of 0 down.
    under: [f64; 42],
    g: f64,
    /// ψ γ_ψ
    p: f64,
    /// χ γ_χ
    t: f64,
    /// χ² γ_χχ
    tt: f64,
    /// ψ χ γ_ψχ
    pt: f64,
}

impl Sums {
    /// Terms that share one exponent I of ψ: (J, n) of each. Unrolled by the compiler, as in region 2.
    #[inline(always)]
    fn add<const COUNT: usize>(&mut self, i: usize, terms: [(i32, f64); COUNT]) {
        let (mut g, mut t, mut tt) = (0.0, 0.0, 0.0);
        for (j, n) in terms {
            let power = if j < 0 { self.under[j.unsigned_abs() as usize] } else { self.chi[j as usize] };
            let j = f64::from(j);
            g += n * power;
            t += n * j * power;
            tt += n * (j * (j - 1.0)) * power;
        }
        let psi = self.psi[i];
        let i = i as f64;
        self.g += psi * g;
        self.p += i * psi * g;
        self.t += psi * t;
        self.tt += psi * tt;
        self.pt += i * psi * t;
    }
}

/// R7-97 Table 2, one call an exponent I: (J, n).
#[inline(always)]
#[rustfmt::skip]
#[allow(clippy::unreadable_literal, clippy::excessive_precision, reason = "digits as the release prints them")]
fn sums(psi: f64, chi: f64) -> Sums {
    let (psi, under, chi) = (powers(psi), powers(1.0 / chi), powers(chi));
    let mut sums = Sums { psi, chi, under, g: 0.0, p: 0.0, t: 0.0, tt: 0.0, pt: 0.0 };
    sums.add(0, [(-2, 0.14632971213167), (-1, -0.84548187169114), (0, -3.7563603672040), (1, 3.3855169168385), (2, -0.95791963387872), (3, 0.15772038513228), (4, -0.016616417199501), (5, 0.00081214629983568)]);
    sums.add(1, [(-9, 0.00028319080123804), (-7, -0.00060706301565874), (-1, -0.018990068218419), (0, -0.032529748770505), (1, -0.021841717175414), (3, -0.00005283835796993)]);
    sums.add(2, [(-3, -0.00047184321073267), (0, -0.00030001780793026), (1, 0.000047661393906987), (3, -0.0000044141845330846), (17, -7.2694996297594e-16)]);
    sums.add(3, [(-4, -0.000031679644845054), (0, -0.0000028270797985312), (6, -8.5205128120103e-10)]);
    sums.add(4, [(-5, -0.0000022425281908), (-2, -6.5171222895601e-7), (10, -1.4341729937924e-13)]);
    sums.add(5, [(-8, -4.0516996860117e-7)]);
    sums.add(8, [(-11, -1.2734301741641e-9), (-6, -1.7424871230634e-10)]);
    sums.add(21, [(-29, -6.8762131295531e-19)]);
    sums.add(23, [(-31, 1.4478307828521e-20)]);
    sums.add(29, [(-38, 2.6335781662795e-23)]);
    sums.add(30, [(-39, -1.1947622640071e-23)]);
    sums.add(31, [(-40, 1.8228094581404e-24)]);
    sums.add(32, [(-41, -9.3537087292458e-26)]);
    sums
}

/// All properties at `p` MPa, `t` °C. Not range-checked.
pub(crate) fn point(p: f64, t: f64) -> Point {
    let kelvin = t + KELVIN;
    let tau = T_STAR / kelvin;
    let (psi, chi) = (PI_0 - p / P_STAR, tau - TAU_0);
    let sums = sums(psi, chi);
    // γ_π = -γ_ψ; γ_τ = γ_χ.
    let slope = tau / chi;
    let tau_gamma_tau = sums.t * slope;
    let volume = -0.001 * R / (P_STAR * psi);
    Point {
        h: R * kelvin * tau_gamma_tau,
        v: volume * kelvin * sums.p,
        s: R * (tau_gamma_tau - sums.g),
        cp: -R * sums.tt * slope * slope,
        dv_dt: volume * (sums.p - sums.pt * slope),
    }
}

/// Temperature, °C, by the backward equation of enthalpy: within 25 mK (R7-97 section 5.2.1), a first guess.
#[inline]
pub(crate) fn t_of_h(p: f64, h: f64) -> f64 {
    ph(p, h, (OT, 1))
}

/// Temperature, °C, by the backward equation of entropy: within 25 mK (R7-97 section 5.2.2), a first guess.
#[inline]
pub(crate) fn t_of_s(p: f64, s: f64) -> f64 {
    ps(p, s, (OT, 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IAPWS R7-97(2012) Table 5: T (K), p (MPa), v, h, s, cp.
    #[test]
    fn table_5_of_r7_97() {
        for (kelvin, p, printed) in [
            (300.0, 3.0, [0.100_215_168e-2, 115.331_273, 0.392_294_792, 4.173_012_18]),
            (300.0, 80.0, [0.971_180_894e-3, 184.142_828, 0.368_563_852, 4.010_089_87]),
            (500.0, 3.0, [0.120_241_800e-2, 975.542_239, 2.580_419_12, 4.655_806_82]),
        ] {
            let t = kelvin - KELVIN;
            let at = point(p, t);
            for (got, printed) in [at.v, at.h, at.s, at.cp].into_iter().zip(printed) {
                assert!((got / printed - 1.0).abs() < 3e-9, "{got} {printed} at {kelvin} K, {p} MPa");
            }
        }
    }

    /// The same equation by another hand: the library's, over the whole region.
    #[test]
    fn the_library_agrees() {
        use seuif97::{OCP, ODVDT, OH, OS, OV, pt};
        let mut count = 0;
        for p in [0.000_62, 0.004, 0.05, 0.4, 1.0, 2.7, 6.0, 12.0, 16.5, 20.0, 35.0, 60.0, 100.0] {
            let end = if p < 16.529 { crate::region4::t_sat(p) } else { T_HIGH };
            for k in 0..=200 {
                let t = end * f64::from(k) / 200.0;
                let at = point(p, t);
                for (got, library, scale) in [
                    (at.h, pt(p, t, (OH, 1)), 1.0),
                    (at.v, pt(p, t, (OV, 1)), 1e-3),
                    (at.s, pt(p, t, (OS, 1)), 1e-2),
                    (at.cp, pt(p, t, (OCP, 1)), 1.0),
                    (at.dv_dt, pt(p, t, (ODVDT, 1)), 1e-6),
                ] {
                    assert!(
                        (got - library).abs() < 1e-11 * library.abs().max(scale),
                        "{got} {library} at {p} MPa, {t} °C"
                    );
                    count += 1;
                }
            }
        }
        assert_eq!(count, 13 * 201 * 5);
    }

    /// IAPWS R7-97(2012) Tables 7 and 9: the backward equations, K.
    #[test]
    fn tables_7_and_9_of_r7_97() {
        for (p, h, kelvin) in
            [(3.0, 500.0, 391.798_509), (80.0, 500.0, 378.108_626), (80.0, 1_500.0, 611.041_229)]
        {
            assert!((t_of_h(p, h) + KELVIN - kelvin).abs() < 1e-6, "{p} MPa, {h} kJ/kg");
        }
        for (p, s, kelvin) in [(3.0, 0.5, 307.842_258), (80.0, 0.5, 309.979_785), (80.0, 3.0, 565.899_909)] {
            assert!((t_of_s(p, s) + KELVIN - kelvin).abs() < 1e-6, "{p} MPa, {s} kJ/(kg K)");
        }
    }

    #[test]
    fn slopes_are_those_of_the_values() {
        for (p, t) in [(0.1, 20.0), (3.0, 150.0), (17.0, 250.0), (17.0, 340.0), (100.0, 300.0)] {
            let d = 1e-3;
            let (above, at, below) = (point(p, t + d), point(p, t), point(p, t - d));
            let by_difference = (above.v - below.v) / (2.0 * d);
            assert!((at.dv_dt / by_difference - 1.0).abs() < 1e-5, "volume at {p} MPa, {t} °C");
            let by_difference = (above.h - below.h) / (2.0 * d);
            assert!((at.cp / by_difference - 1.0).abs() < 1e-6, "enthalpy at {p} MPa, {t} °C");
        }
    }
}
