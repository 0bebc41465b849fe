//! The published backward equations are fits to the forward ones, within 25 mK: our inverses must lie that near.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_steam::{state_ph, state_ps};

const KELVIN: f64 = 273.15;
/// Largest tolerance IAPWS gives a backward temperature of regions 1 and 2: 25 mK (R7-97, Tables 8, 23 and 28).
const TOLERANCE: f64 = 0.025;

/// IAPWS R7-97(2012) Tables 7 (liquid) and 24 (steam): p MPa, h kJ/kg, T K.
#[test]
fn temperature_of_enthalpy_as_tables_7_and_24() {
    for (p, h, kelvin) in [
        (3.0, 500.0, 391.798_509),
        (80.0, 500.0, 378.108_626),
        (80.0, 1_500.0, 611.041_229),
        (0.001, 3_000.0, 534.433_241),
        (3.0, 3_000.0, 575.373_370),
        (3.0, 4_000.0, 1_010.775_77),
        (5.0, 3_500.0, 801.299_102),
        (5.0, 4_000.0, 1_015.315_83),
        (25.0, 3_500.0, 875.279_054),
        (40.0, 2_700.0, 743.056_411),
        (60.0, 2_700.0, 791.137_067),
        (60.0, 3_200.0, 882.756_860),
    ] {
        let t = state_ph(p, h).unwrap().t;
        assert!((t + KELVIN - kelvin).abs() < TOLERANCE, "{p} MPa {h} kJ/kg: {} K", t + KELVIN);
    }
}

/// IAPWS R7-97(2012) Tables 9 (liquid) and 29 (steam): p MPa, s kJ/(kg K), T K.
#[test]
fn temperature_of_entropy_as_tables_9_and_29() {
    for (p, s, kelvin) in [
        (3.0, 0.5, 307.842_258),
        (80.0, 0.5, 309.979_785),
        (80.0, 3.0, 565.899_909),
        (0.1, 7.5, 399.517_097),
        (0.1, 8.0, 514.127_081),
        (2.5, 8.0, 1_039.849_17),
        (8.0, 6.0, 600.484_040),
        (8.0, 7.5, 1_064.955_56),
        (90.0, 6.0, 1_038.011_26),
        (20.0, 5.75, 697.992_849),
        (80.0, 5.25, 854.011_484),
        (80.0, 5.75, 949.017_998),
    ] {
        let t = state_ps(p, s).unwrap().t;
        assert!((t + KELVIN - kelvin).abs() < TOLERANCE, "{p} MPa {s} kJ/(kg K): {} K", t + KELVIN);
    }
}
