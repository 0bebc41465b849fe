//! Published cycles: `balance` on each book's plant file prints the book's figures.

use crate::shell::{book, call};
use serde_json::Value;

fn printed(name: &str) -> Value {
    call("balance --json", &[&book(name)]).json()
}

/// Each figure by its pointer, as the book has it and within the band its rounding and its steam tables leave; then as
/// IAPWS-IF97 has it, by an independent computation over other software.
fn holds(name: &str, figures: &[(&str, f64, f64, f64)]) {
    let b = printed(name);
    for (pointer, of_book, band, if97) in figures {
        let got =
            b.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("{name}: no {pointer}"));
        assert!((got - of_book).abs() <= *band, "{name} {pointer}: {got}, the book has {of_book}");
        // Of a small share, half the last digit given is more than that.
        let allowed = (1e-4 * if97).max(0.5e-5);
        assert!((got - if97).abs() <= allowed, "{name} {pointer}: {got}, IF97 gives {if97}");
    }
    for residual in ["mass_residual", "energy_residual"] {
        assert!(b["solution"][residual].as_f64().unwrap() < 1e-9, "{}", b["solution"]);
    }
}

/// Y. A. Cengel and M. A. Boles, Thermodynamics, 5th ed., example 10-5.
#[test]
fn cengel_10_5() {
    holds(
        "cengel-10-5",
        &[("/heaters/0/extraction_share", 0.2270, 3e-4, 0.22713), ("/unit/efficiency", 0.463, 5e-4, 0.46314)],
    );
}

/// The same, example 10-6. The book's efficiency counts the last pump's lift, 4 to 15 MPa, of the drain alone; the plant
/// lifts all the feedwater (the engine's test of this cycle tells why). From the printed figures without that work, and
/// without the heat it saves, the book's efficiency follows.
#[test]
fn cengel_10_6() {
    holds(
        "cengel-10-6",
        &[
            ("/heaters/0/extraction_share", 0.1766, 3e-4, 0.17666),
            ("/heaters/1/extraction_share", 0.1306, 3e-4, 0.13071),
        ],
    );
    let b = printed("cengel-10-6");
    let of = |pointer: &str| b.pointer(pointer).and_then(Value::as_f64).unwrap();
    let left_out = (1.0 - of("/heaters/0/extraction_share")) * of("/pumps/other_pump_work");
    let net = of("/unit/net_output") + left_out;
    let efficiency = net / (of("/unit/heat_added") + left_out);
    assert!((efficiency - 0.492).abs() < 5e-4 && (efficiency - 0.49189).abs() < 5e-5, "{efficiency}");
    assert!((of("/unit/efficiency") - 0.48991).abs() < 5e-5, "{}", b["unit"]);
}

/// The same with feedwater and drain pumped to boiler pressure before they meet.
#[test]
fn cengel_10_6_at_boiler_pressure() {
    let b = printed("cengel-10-6-pumped");
    let of = |pointer: &str| b.pointer(pointer).and_then(Value::as_f64).unwrap();
    assert!((of("/heaters/0/extraction_share") - 0.17270).abs() < 2e-5, "{}", b["heaters"]);
    assert!((of("/unit/efficiency") - 0.48982).abs() < 5e-5, "{}", b["unit"]);
}

/// M. J. Moran and H. N. Shapiro, Fundamentals of Engineering Thermodynamics, example 8.5: 3.69e5 kg/h at 100 MW.
#[test]
fn moran_8_5() {
    holds(
        "moran-8-5",
        &[
            ("/heaters/0/extraction_share", 0.1966, 3e-4, 0.19653),
            ("/unit/efficiency", 0.369, 5e-4, 0.36913),
            ("/unit/net_steam_rate", 3.69, 5e-3, 3.6882),
        ],
    );
    // And as a person reads it.
    let table = call("balance", &[&book("moran-8-5")]);
    assert_eq!((table.code, table.err.as_str()), (0, ""));
    let last = |label: &str| {
        let line = table.out.lines().find(|l| l.starts_with(label)).unwrap();
        line.split_whitespace().last().unwrap().to_owned()
    };
    assert_eq!(last("Extraction, of the steam flow"), "19.653");
    assert_eq!(last("Thermal efficiency"), "36.913");
}

/// The same, example 8.6; the book takes the feedwater's enthalpy as h + v dp, which moves y' and y".
#[test]
fn moran_8_6() {
    holds(
        "moran-8-6",
        &[
            ("/heaters/0/extraction_share", 0.1522, 3e-3, 0.14970),
            ("/heaters/1/extraction_share", 0.0941, 1e-3, 0.09474),
            ("/unit/efficiency", 0.4306, 5e-4, 0.43053),
        ],
    );
}

/// P. K. Nag, Power Plant Engineering, 2nd ed., example 2.6.
#[test]
fn nag_2_6() {
    holds(
        "nag-2-6",
        &[
            ("/heaters/0/extraction_share", 0.19994, 1e-4, 0.19991),
            ("/heaters/1/extraction_share", 0.01198, 1e-3, 0.011_42),
            ("/heaters/2/extraction_share", 0.01450, 1e-3, 0.014_56),
            ("/heaters/3/extraction_share", 0.03082, 1e-3, 0.030_92),
            ("/heaters/4/extraction_share", 0.08330, 1e-3, 0.083_72),
            ("/unit/efficiency", 0.4858, 1e-3, 0.48607),
            ("/unit/net_heat_rate", 7411.0, 10.0, 7406.4),
            ("/unit/net_output", 111.58e3, 200.0, 111.717e3),
            ("/unit/final_fw_temperature", 264.0, 0.5, 263.94),
        ],
    );
}
