//! The saturation line, IF97 region 4: equations 30 and 31 of IAPWS R7-97(2012).
//!
//! Both are written out here because the library's inverse takes `powf`, whose last bit differs between native
//! and wasm. A fourth root is two square roots, which are correctly rounded everywhere.

/// Kelvin at 0 °C (definition of the Celsius scale).
pub(crate) const KELVIN: f64 = 273.15;

/// Coefficients of R7-97 Table 34, n1 to n10.
const N: [f64; 10] = [
    1_167.052_145_276_7,
    -724_213.167_032_06,
    -17.073_846_940_092,
    12_020.824_702_47,
    -3_232_555.032_233_3,
    14.915_108_613_53,
    -4_823.265_736_159_1,
    405_113.405_420_57,
    -0.238_555_575_678_49,
    650.175_348_447_98,
];

/// Saturation pressure, MPa, at `t` °C: equation 30.
#[must_use]
pub(crate) fn p_sat(t: f64) -> f64 {
    let kelvin = t + KELVIN;
    let theta = kelvin + N[8] / (kelvin - N[9]);
    let a = (theta + N[0]) * theta + N[1];
    let b = (N[2] * theta + N[3]) * theta + N[4];
    let c = (N[5] * theta + N[6]) * theta + N[7];
    let root = 2.0 * c / (-b + (b * b - 4.0 * a * c).sqrt());
    let square = root * root;
    square * square
}

/// Saturation temperature, °C, at `p` MPa: equation 31.
#[must_use]
pub(crate) fn t_sat(p: f64) -> f64 {
    let beta = p.sqrt().sqrt();
    let e = (beta + N[2]) * beta + N[5];
    let f = (N[0] * beta + N[3]) * beta + N[6];
    let g = (N[1] * beta + N[4]) * beta + N[7];
    let d = 2.0 * g / (-f - (f * f - 4.0 * e * g).sqrt());
    let sum = N[9] + d;
    0.5 * (sum - (sum * sum - 4.0 * (N[8] + N[9] * d)).sqrt()) - KELVIN
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IAPWS R7-97(2012) Tables 35 (T in K, p in MPa) and 36 (p, T).
    #[test]
    fn tables_35_and_36_of_r7_97() {
        for (kelvin, p) in [(300.0, 0.353_658_941e-2), (500.0, 2.638_897_76), (600.0, 12.344_314_6)] {
            assert!((p_sat(kelvin - KELVIN) / p - 1.0).abs() < 2e-9, "{kelvin} K");
        }
        for (p, kelvin) in [(0.1, 372.755_919), (1.0, 453.035_632), (10.0, 584.149_488)] {
            assert!((t_sat(p) + KELVIN - kelvin).abs() < 1e-6, "{p} MPa");
        }
    }

    /// The same two equations by another hand: the library's, which takes `powf` for the root.
    #[test]
    fn the_library_agrees() {
        for k in 0..=3_500 {
            let t = 0.1 * f64::from(k);
            let p = p_sat(t);
            assert!((seuif97::tx(t, 0.0, seuif97::OP) / p - 1.0).abs() < 1e-13, "{t} °C");
            if t > 0.0 {
                assert!((seuif97::px(p, 0.0, seuif97::OT) - t_sat(p)).abs() < 1e-9, "{t} °C");
            }
        }
    }
}
