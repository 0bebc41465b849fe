//! Left alone, the plant stays where it is; let go after a disturbance, it comes back.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{Run, emergency_drain, isolate, load, normal_drain, put_back, release, trip};
use engine::signals::Definition;
use engine::{Command, Fault};
use steam::units::Quantity;

/// Every shipped plant.
fn plants() -> impl Iterator<Item = &'static str> {
    catalog::PLANTS.iter().map(|e| e.name)
}

/// The clock runs, and what a tube sheet has borne stays counted; residuals have tests of their own.
fn is_compared(d: &Definition) -> bool {
    let counted = d.id.ends_with(".over_ramp") || d.id.ends_with(".over_ramp_time");
    !matches!(d.quantity, Quantity::Residual) && d.id != "unit.time" && !counted
}

/// Signals of `run` that differ from `from` by more than `allowed`.
fn strays(run: &Run, from: &[f64], allowed: impl Fn(&Definition, f64) -> f64) -> Vec<String> {
    let all = run.definitions().iter().zip(run.values().iter().zip(from));
    all.filter(|(d, (now, was))| is_compared(d) && !((*now - *was).abs() <= allowed(d, **was)))
        .map(|(d, (now, was))| format!("{}: {now} instead of {was}", d.id))
        .collect()
}

/// Started at design and left alone for 24 hours, every value stays within 0.01 % of its span.
#[test]
fn a_day_at_rest_moves_nothing() {
    for plant in plants() {
        let mut run = Run::open(plant).unwrap();
        let design = run.values().to_vec();
        for minute in 0..24 * 60 {
            let found = strays(&run, &design, |d, _| 1e-4 * (d.high - d.low));
            assert!(found.is_empty(), "{plant}, after {minute} min: {found:#?}");
            run.minutes(1.0).unwrap();
        }
    }
}

/// Within 0.1 K and 0.1 % of the design value (of half the span where the design value is smaller: an emergency drain
/// stands at zero).
fn close(d: &Definition, design: f64) -> f64 {
    match d.quantity {
        Quantity::Temperature | Quantity::TemperatureDifference | Quantity::TemperatureRate => 0.1,
        Quantity::State => 0.0,
        _ => 1e-3 * design.abs().max(0.5 * (d.high - d.low)),
    }
}

/// Waits until every signal is back and has stayed so for half an hour.
fn comes_back(run: &mut Run, design: &[f64], what: &str) -> Result<(), Fault> {
    let mut kept = 0;
    let mut found = Vec::new();
    for _ in 0..6 * 12 {
        run.minutes(5.0)?;
        found = strays(run, design, close);
        kept = if found.is_empty() { kept + 1 } else { 0 };
        if kept > 6 {
            return Ok(());
        }
    }
    panic!("{what}: six hours later {found:#?}");
}

/// Begins a disturbance, leaves it for `minutes`, undoes it as an operator would, and waits.
fn heater_returns(
    plant: &str,
    heater: &str,
    what: &str,
    command: Command,
    minutes: f64,
) -> Result<(), Fault> {
    let mut run = Run::open(plant)?;
    let design = run.values().to_vec();
    run.command(command)?;
    run.minutes(minutes)?;
    if run.get(&format!("{heater}.mode")) > 0.0 {
        // A shell that its neighbour's drain has filled above its high mark is drained first: steam waits for that.
        run.command(emergency_drain(heater, 0.6))?;
        run.until(600, |run| run.get(&format!("{heater}.level")) < 0.0)?;
        // What protection has latched meanwhile is reset, now that its cause is gone.
        if run.sim.protection().iter().any(|row| row.tripped && row.row.latched) {
            run.command(Command::ResetProtection { row: None })?;
        }
        run.command(put_back(heater))?;
    }
    release(heater).into_iter().try_for_each(|c| run.command(c))?;
    comes_back(&mut run, &design, &format!("{plant}, {heater}, {what}"))
}

/// Every closed heater of every plant.
fn each(what: &str, command: impl Fn(&str) -> Command, minutes: f64) {
    for plant in plants() {
        for heater in Run::open(plant).unwrap().closed() {
            heater_returns(plant, &heater, what, command(&heater), minutes).unwrap();
        }
    }
}

#[test]
fn a_tripped_heater_comes_back() {
    each("trip", trip, 20.0);
}

#[test]
fn an_isolated_extraction_comes_back() {
    each("isolated", isolate, 20.0);
}

#[test]
fn a_drain_moved_by_hand_comes_back() {
    each("normal drain", |heater| normal_drain(heater, 0.3), 2.0);
    each("emergency drain", |heater| emergency_drain(heater, 0.5), 2.0);
}

#[test]
fn any_load_comes_back() {
    for plant in plants() {
        let design = Run::open(plant).unwrap().values().to_vec();
        for share in [0.25, 0.6, 1.05] {
            let mut run = Run::open(plant).unwrap();
            run.command(load(share)).unwrap();
            run.minutes(45.0).unwrap();
            run.command(load(1.0)).unwrap();
            comes_back(&mut run, &design, &format!("{plant}, load {share}")).unwrap();
        }
    }
}
