//! Pegging steam: what holds the open heater's pressure at a load too low for its extraction. *Practice* is common practice,
//! no source.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{Run, load, set};
use engine::controller::{Mode, Request};
use engine::plant::file::{Heater, Plant};
use engine::sim::Sim;

fn plant(name: &str) -> Plant {
    let entry = catalog::PLANTS.iter().find(|p| p.name == name).unwrap();
    engine::plant::read(entry.json).unwrap()
}

fn open(plant: &mut Plant) -> &mut engine::plant::file::OpenHeater {
    let found = plant.heaters.iter_mut().find_map(|h| if let Heater::Open(o) = h { Some(o) } else { None });
    found.unwrap()
}

fn by_hand(output: Option<f64>) -> Request {
    Request { mode: Some(Mode::Manual), output, ..Request::default() }
}

/// *Practice*: a deaerator is kept above atmospheric pressure by auxiliary steam when extraction cannot, and that valve is
/// shut while extraction can. What it passes then is what the heat balance of the tank asks for.
#[test]
fn at_a_tenth_of_load_pegging_steam_holds_the_pressure_and_the_tank_balances() {
    for entry in catalog::PLANTS {
        let mut run = Run::open(entry.name).unwrap();
        let id = run.sim.params().open.id.clone();
        let at = |run: &Run, name: &str| run.get(&format!("{id}.{name}"));
        run.command(load(0.25)).unwrap();
        run.minutes(60.0).unwrap();
        assert_eq!(at(&run, "pegging_valve"), 0.0, "{}", entry.name);
        run.command(load(0.1)).unwrap();
        run.minutes(150.0).unwrap();
        let pressure = at(&run, "shell_pressure_true");
        assert!((pressure - 0.13).abs() < 0.001, "{}: {pressure} MPa", entry.name);
        assert!(at(&run, "extraction_flow_true") == 0.0, "{}", entry.name);
        // Heat that condensate takes up, less what drains bring, over what a kilogram of steam gives.
        let balance = run.sim.component_balance(&id).unwrap();
        let sat = steam::sat_p(pressure).unwrap();
        let others = |inward: bool| -> f64 {
            let of = balance.flows.iter().filter(|f| f.inward == inward && f.name != "pegging_steam");
            of.filter_map(|f| Some(f.energy - f.mass? * sat.hf)).sum()
        };
        let g = open(&mut plant(entry.name)).equipment.clone().unwrap().pegging.unwrap();
        let header = steam::steam_pt(g.pressure, g.temperature).unwrap();
        let asked = (others(false) - others(true)) / (header.h - sat.hf);
        let flow = at(&run, "pegging_flow");
        assert!(flow > 0.1 && (flow / asked - 1.0).abs() < 0.01, "{}: {flow}, {asked} kg/s", entry.name);
        // It serves the water: what leaves is still free of oxygen.
        assert!(at(&run, "oxygen") < 10.0, "{}: {} µg/kg", entry.name, at(&run, "oxygen"));
    }
}

/// Without it the pressure falls with the extraction's, below the atmosphere's, where the vent passes nothing.
#[test]
fn without_it_the_tank_falls_below_the_atmosphere() {
    let mut plant = plant("reheat250");
    open(&mut plant).equipment.as_mut().unwrap().pegging = None;
    let mut run = Run::of(Sim::new(plant).unwrap());
    run.command(load(0.25)).unwrap();
    run.minutes(60.0).unwrap();
    run.command(load(0.1)).unwrap();
    run.minutes(150.0).unwrap();
    let pressure = run.get("open4.shell_pressure_true");
    assert!(pressure < 0.1, "{pressure} MPa");
    assert!(run.command(set("open4.pegging", &by_hand(None))).is_err());
}

/// The valve is opened by hand, the pressure rises and the extraction gives less; what cannot be set is refused with the
/// range.
#[test]
fn by_hand_it_takes_the_place_of_extraction() {
    let mut run = Run::open("reheat250").unwrap();
    let id = "open4.pegging";
    let before = (run.get("open4.shell_pressure_true"), run.get("open4.extraction_flow_true"));
    run.command(set(id, &by_hand(Some(1.0)))).unwrap();
    run.minutes(20.0).unwrap();
    let after = (run.get("open4.shell_pressure_true"), run.get("open4.extraction_flow_true"));
    assert!(after.0 > before.0 && after.1 < before.1 - 1.0, "{before:?}, {after:?}");
    assert_eq!(run.get("open4.pegging_hand"), 1.0);
    let fault =
        run.command(set(id, &Request { setpoint: Some(1.2), ..Request::default() })).unwrap_err().to_string();
    assert!(fault.contains("setpoint [MPa]") && fault.contains("0.02 to 0.9"), "{fault}");
    run.command(set(id, &Request { mode: Some(Mode::Auto), ..Request::default() })).unwrap();
    run.minutes(30.0).unwrap();
    assert_eq!(run.get("open4.pegging_valve"), 0.0);
}

/// A plant file that asks for what no header could give is refused at its place.
#[test]
fn what_cannot_be_pegged_is_refused() {
    let mut plant = plant("reheat250");
    let g = open(&mut plant).equipment.as_mut().unwrap().pegging.as_mut().unwrap();
    (g.setpoint, g.temperature) = (0.95, 150.0);
    let text = serde_json::to_string(&plant).unwrap();
    let faults = engine::plant::read(&text).unwrap_err();
    let places: Vec<&str> = faults.iter().map(|f| f.place.as_str()).collect();
    assert_eq!(faults.len(), 3, "{faults:?}");
    assert!(places.iter().filter(|p| p.ends_with("pegging.setpoint")).count() == 2, "{places:?}");
    assert!(places.iter().any(|p| p.ends_with("pegging.temperature")), "{places:?}");
}
