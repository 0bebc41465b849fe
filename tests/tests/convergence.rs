//! The answer is the plant's, not the step's: halving the step changes no trajectory by more than 0.5 % of span.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, isolate, load, trip};
use engine::Command;
use engine::train::STEP;
use steam::units::Quantity;

/// Largest difference, over span.
const ALLOWED: f64 = 5e-3;

/// Known to break the promise, with the most they may differ by; one that comes to keep it has to leave this list.
///
/// After a trip: the rate of a temperature in the second in which the non-return valve shuts. A valve counts for the
/// whole step as it stands at the step's end, so everything happens half a step early; the rate shows it.
const TRIP: &[(&str, f64)] =
    &[("hp1.duty", 0.007), ("hp1.fw_ramp", 0.02), ("hp2.fw_ramp", 0.007), ("hp3.fw_ramp", 0.007)];
/// While the load falls: the turbine's pressures are found with the shells as they stood a step ago. Where hardly any
/// pressure is left to drive the open heater's steam, the flow, its square root, shows it for some seconds.
const LOAD: &[(&str, f64)] = &[("open4.extraction_flow", 0.02)];

/// Runs the same commands with the step and with half of it, and compares every signal every second.
fn compare(what: &str, commands: &[Command], minutes: u32, known: &[(&str, f64)]) {
    let mut whole = Run::with_step(PLANT, STEP).unwrap();
    let mut half = Run::with_step(PLANT, 0.5 * STEP).unwrap();
    for run in [&mut whole, &mut half] {
        run.seconds(10.0).unwrap();
        commands.iter().for_each(|c| run.command(c.clone()).unwrap());
    }
    let mut worst: Vec<(f64, f64)> = vec![(0.0, 0.0); whole.values().len()];
    for _ in 0..60 * minutes {
        whole.seconds(1.0).unwrap();
        half.seconds(1.0).unwrap();
        assert_eq!(whole.sim.time(), half.sim.time());
        let pairs = whole.values().iter().zip(half.values());
        for ((d, (a, b)), w) in whole.definitions().iter().zip(pairs).zip(&mut worst) {
            let apart = (a - b).abs() / (d.high - d.low);
            // A mode is a code: it may change a step earlier or later.
            if d.quantity != Quantity::State && !matches!(d.quantity, Quantity::Residual) && apart > w.0 {
                *w = (apart, whole.sim.time());
            }
        }
    }
    let all = whole.definitions().iter().zip(&worst);
    let found: Vec<String> = all
        .filter(|(d, w)| match known.iter().find(|k| k.0 == d.id) {
            Some(k) => !(w.0 > ALLOWED && w.0 < k.1),
            None => w.0 > ALLOWED,
        })
        .map(|(d, w)| format!("{}: {:.2} % of span at {} s", d.id, 100.0 * w.0, w.1))
        .collect();
    assert!(found.is_empty(), "{what}, against {ALLOWED} and the known ones {known:?}: {found:#?}");
    // The two did not run the same steps: otherwise the comparison says nothing.
    assert!(worst.iter().any(|w| w.0 > 1e-6), "{what}: no signal tells the steps apart");
}

#[test]
fn halving_the_step_does_not_change_a_trip() {
    compare("top heater tripped", &[trip("hp1")], 15, TRIP);
}

#[test]
fn halving_the_step_does_not_change_an_isolation() {
    compare("middle extraction isolated", &[isolate("hp2")], 15, &[]);
}

#[test]
fn halving_the_step_does_not_change_a_change_of_load() {
    compare("load to 60 %", &[load(0.6)], 25, LOAD);
}
