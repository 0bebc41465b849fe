//! Mass and energy close, and nothing leaves the physical, whatever is done to the plant.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, trip, upset};
use engine::vessel::Holdup;
use proptest::prelude::*;

/// Mass unaccounted for, over the feedwater passed.
const MASS: f64 = 1e-9;
/// Energy unaccounted for, over the heat added.
const ENERGY: f64 = 1e-6;

/// What must hold at any moment.
fn sane(run: &Run) -> Result<(), String> {
    for (d, &v) in run.definitions().iter().zip(run.values()) {
        let holds = v.is_finite() && possible(&d.id, v);
        if !holds {
            return Err(format!("{} = {v}", d.id));
        }
    }
    let (mass, energy) = (run.get("unit.mass_residual"), run.get("unit.energy_residual"));
    if mass.abs() > MASS || energy.abs() > ENERGY {
        return Err(format!("residuals: mass {mass:e}, energy {energy:e}"));
    }
    for q in &run.sim.params().closed {
        let id = &q.heater.id;
        let (normal, level) = (q.heater.normal_level * 1e3, run.get(&format!("{id}.level")));
        let top = q.heater.geometry.height() * 1e3 - normal;
        if !(-normal..=top).contains(&level) {
            return Err(format!("{id}.level = {level} mm, the shell reaches from {} to {top} mm", -normal));
        }
    }
    for (id, holdup, volume, pressure, offered) in shells(run) {
        let sat = steam::sat_p(pressure).map_err(|e| format!("{id}: {e}"))?;
        // More water than fits, or less than none, would be hidden by the level's limits. Less than none is superheated
        // steam in a shell drained dry: never hotter than the extraction steam that it is offered.
        let water = holdup.mass - engine::vessel::steam_mass(holdup.mass, volume, &sat);
        let steam = engine::vessel::steam_temperature(holdup.mass, volume, &sat);
        if !(holdup.mass > 0.0 && water * sat.vf < volume && steam <= offered.max(sat.t) + 0.01) {
            let mass = holdup.mass;
            return Err(format!(
                "{id} holds {mass} kg, {water} kg of it water, in {volume} m³ at {pressure} MPa; steam at {steam} °C, \
                 offered at {offered} °C"
            ));
        }
    }
    Ok(())
}

/// Holdup of every shell and the tank, its volume [m³], its pressure [MPa] and the temperature of the extraction steam
/// that it is offered [°C].
fn shells(run: &Run) -> Vec<(String, Holdup, f64, f64, f64)> {
    let (p, s) = (run.sim.params(), &run.sim.state().plant);
    let offered = |point: usize| {
        let x = s.turbine.points[point];
        steam::state_ph(x.pressure, x.enthalpy).map_or(f64::NAN, |x| x.t)
    };
    let closed = p.closed.iter().zip(&s.closed).enumerate();
    let mut all: Vec<_> = closed
        .map(|(k, (q, c))| {
            let (id, whole) = (q.heater.id.clone(), q.heater.geometry.whole());
            (id, c.heater.shell, whole, c.heater.pressure, offered(p.point(k)))
        })
        .collect();
    let tank = (p.open.id.clone(), s.open.tank, p.open.geometry.whole(), s.open.pressure);
    all.push((tank.0, tank.1, tank.2, tank.3, offered(p.open_point())));
    all
}

/// Whether a signal can have this value at all.
fn possible(id: &str, v: f64) -> bool {
    let name = id.split('.').next_back().unwrap_or(id);
    match name {
        // Make-up below zero is the hotwell's overflow.
        "makeup_flow" => true,
        _ if name.ends_with("_flow") => v >= 0.0,
        _ if name.ends_with("_pressure") => v > 0.0,
        _ if name.ends_with("_temperature") => v > 0.0,
        _ if name.ends_with("_valve") => (0.0..=1.0).contains(&v),
        "bypass" | "flooded" | "drain_cooler_covered" => (0.0..=1.0).contains(&v),
        "mode" => (0.0..=4.0).contains(&v) && v.fract() == 0.0,
        "load" | "load_demand" => (0.25..=1.05).contains(&v),
        "gross_output" | "net_output" | "heat_added" | "heat_rate" => v > 0.0,
        _ => true,
    }
}

proptest! {
    #![proptest_config(upset::config())]

    #[test]
    fn mass_and_energy_close_under_any_upset(u in upset::any()) {
        for plant in catalog::PLANTS {
            let end = upset::run(plant.name, &u, sane);
            prop_assert!(end.is_ok(), "{}: {}", plant.name, end.unwrap_err());
        }
    }
}

/// The account itself: a gram that vanishes in an hour shows, and so does the heat of a hundred grams of steam.
#[test]
fn the_account_would_notice() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(trip("hp1")).unwrap();
    run.minutes(60.0).unwrap();
    let (state, params) = (run.sim.state(), run.sim.params());
    let start = Run::open(PLANT).unwrap();
    let before = &start.sim.state().plant;
    let residuals = |plant: &engine::train::PlantState| {
        (
            state.ledger.mass_residual(plant.mass() - before.mass()),
            state.ledger.energy_residual(plant.energy(params) - before.energy(params)),
        )
    };
    let kept = residuals(&state.plant);
    assert_eq!(kept, run.sim.outputs().residuals);
    let mut lost = state.plant.clone();
    lost.closed[2].heater.shell.mass -= 1e-3;
    lost.open.tank.energy -= 2.5e3;
    let found = residuals(&lost);
    assert!(found.0 < -MASS && found.1 < -ENERGY, "{found:?}");
}
