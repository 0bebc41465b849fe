//! Liquid water, IF97 region 1: the door to the library's forward equation.
//!
//! The region is named and the property given as a literal, so that the linker keeps only what is used. A call
//! with the region named is not range-checked by the library: callers in this crate check first.

use seuif97::{OCP, ODVDT, OH, OS, OT, OV, ph, ps, pt};

/// Temperatures of the region, °C.
pub(crate) const T_LOW: f64 = 0.0;
/// The region's upper temperature, °C (623.15 K).
pub(crate) const T_HIGH: f64 = 350.0;
/// Highest pressure of the formulation, MPa.
pub(crate) const P_HIGH: f64 = 100.0;

/// Specific enthalpy, kJ/kg.
#[inline]
pub(crate) fn h(p: f64, t: f64) -> f64 {
    pt(p, t, (OH, 1))
}

/// Specific volume, m³/kg.
#[inline]
pub(crate) fn v(p: f64, t: f64) -> f64 {
    pt(p, t, (OV, 1))
}

/// Specific entropy, kJ/(kg K).
#[inline]
pub(crate) fn s(p: f64, t: f64) -> f64 {
    pt(p, t, (OS, 1))
}

/// Specific heat capacity at constant pressure, kJ/(kg K).
#[inline]
pub(crate) fn cp(p: f64, t: f64) -> f64 {
    pt(p, t, (OCP, 1))
}

/// Change of specific volume with temperature at constant pressure, m³/(kg K).
#[inline]
pub(crate) fn dv_dt(p: f64, t: f64) -> f64 {
    pt(p, t, (ODVDT, 1))
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
    use crate::region4::KELVIN;

    /// IAPWS R7-97(2012) Table 5: T (K), p (MPa), v, h, s, cp.
    #[test]
    fn table_5_of_r7_97() {
        for (kelvin, p, printed) in [
            (300.0, 3.0, [0.100_215_168e-2, 115.331_273, 0.392_294_792, 4.173_012_18]),
            (300.0, 80.0, [0.971_180_894e-3, 184.142_828, 0.368_563_852, 4.010_089_87]),
            (500.0, 3.0, [0.120_241_800e-2, 975.542_239, 2.580_419_12, 4.655_806_82]),
        ] {
            let t = kelvin - KELVIN;
            let got = [v(p, t), h(p, t), s(p, t), cp(p, t)];
            for (got, printed) in got.into_iter().zip(printed) {
                assert!((got / printed - 1.0).abs() < 3e-9, "{got} {printed} at {kelvin} K, {p} MPa");
            }
        }
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
            let by_difference = (v(p, t + d) - v(p, t - d)) / (2.0 * d);
            assert!((dv_dt(p, t) / by_difference - 1.0).abs() < 1e-5, "volume at {p} MPa, {t} °C");
            let by_difference = (h(p, t + d) - h(p, t - d)) / (2.0 * d);
            assert!((cp(p, t) / by_difference - 1.0).abs() < 1e-6, "enthalpy at {p} MPa, {t} °C");
        }
    }
}
