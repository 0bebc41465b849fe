//! What a practitioner would look at first in each shipped plant: that it sizes, balances at every load and with any
//! heater out, and that its figures lie where those of such units lie.
//!
//! Bands without a source beside them are *common practice, no source*.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_catalog as catalog;
use engine::feed_pump::{self, Suction};
use engine::level::Geometry;
use engine::plant::check;
use engine::plant::file::{DrainTo, Heater, OpenEquipment, Plant};
use engine::steady::{Balance, Case, Hold, Model, Outage};

/// Every shipped plant, sized.
fn plants() -> impl Iterator<Item = (Plant, Model)> {
    catalog::PLANTS.iter().map(|e| {
        let plant = catalog::plant(e.name).unwrap();
        let model = Model::new(&plant).unwrap();
        (plant, model)
    })
}

fn design(name: &str) -> Balance {
    Model::new(&catalog::plant(name).unwrap()).unwrap().design
}

fn lies(what: &str, value: f64, low: f64, high: f64) {
    assert!(value >= low && value <= high, "{what}: {value} is outside {low} to {high}");
}

/// Storage tank and what belongs to it.
fn storage(plant: &Plant) -> &OpenEquipment {
    let open = plant.heaters.iter().find_map(|h| match h {
        Heater::Open(o) => o.equipment.as_ref(),
        Heater::Closed(_) => None,
    });
    open.unwrap()
}

#[test]
fn nothing_in_a_shipped_plant_is_unlikely_or_missing() {
    for (plant, _) in plants() {
        assert_eq!(check::advise(&plant), Vec::new(), "{}", plant.name);
        assert!(check::equipped(&plant).is_ok(), "{}", plant.name);
    }
}

/// Loads of 25 to 105 %, each heater out and isolated: closed to 1e-9 of the flow and of the heat added, water rising in
/// every heater in service, heat rate rising as load falls.
#[test]
fn every_load_and_outage_balances() {
    for (plant, model) in plants() {
        let n = plant.heaters.len();
        let mut heat_rate = 0.0;
        for load in [1.05, 1.0, 0.85, 0.7, 0.55, 0.4, 0.25] {
            let all = Case::at(Hold::SteamFlow(load), n);
            let mut cases = vec![all.clone()];
            for i in (0..n).filter(|&i| Some(i) != model.layout.open) {
                for outage in [Outage::Out, Outage::Isolated] {
                    let mut case = all.clone();
                    case.outages[i] = outage;
                    cases.push(case);
                }
            }
            for case in &cases {
                let b = model.solve(&plant, case).unwrap();
                assert!(b.mass_residual < 1e-9 && b.energy_residual < 1e-9, "{} {case:?}", plant.name);
                for (h, outage) in b.heaters.iter().zip(&b.case.outages) {
                    let heats = h.water_out_t > h.water_in_t + 5.0;
                    assert!(heats || *outage != Outage::None, "{} {load} {}", plant.name, h.id);
                }
            }
            let b = model.solve(&plant, &all).unwrap();
            assert!(b.heat_rate > heat_rate, "{} {load}", plant.name);
            heat_rate = b.heat_rate;
        }
    }
}

/// Terminal difference: about 0 to -3 K with a desuperheating zone, 2 to 4 K without; approach: 5 to 7 K (heater
/// manufacturers' standard figures are 2.8 and 5.6 K, from memory). Water rises 20 to 50 K in a heater.
#[test]
fn heaters_are_of_the_usual_size() {
    for (plant, model) in plants() {
        for (h, b) in plant.heaters.iter().zip(&model.design.heaters) {
            let what = format!("{} {}", plant.name, b.id);
            lies(&format!("{what} rise"), b.water_out_t - b.water_in_t, 20.0, 50.0);
            let Heater::Closed(c) = h else { continue };
            let (low, high) = if c.desuperheating.is_some() { (-3.0, 0.5) } else { (2.0, 4.0) };
            lies(&format!("{what} ttd"), b.ttd, low, high);
            if c.drain_cooling.is_some() {
                lies(&format!("{what} dca"), b.dca, 5.0, 7.0);
            }
        }
    }
}

/// Storage of at least ten minutes of full-load feedwater (UFC 3-540-02N); a quarter of an hour is much.
#[test]
fn the_tank_stores_ten_minutes() {
    for (plant, model) in plants() {
        let tank = &storage(&plant).tank;
        let at = &model.design.heaters[model.layout.open.unwrap()];
        let water = Geometry::new(tank).volume(tank.normal_level) / steam::sat_p(at.pressure).unwrap().vf;
        lies(&format!("{} minutes", plant.name), water / model.design.feed / 60.0, 10.0, 15.0);
    }
}

/// Three half-duty pumps: two carry 105 %, one does not carry the unit; a third above the suction head they need. Their
/// discharge stands above the drum by line and height, and above 1,000 psi.
#[test]
fn feed_pumps_carry_the_unit() {
    for (plant, model) in plants() {
        let e = plant.feed_pumps.equipment.as_ref().unwrap();
        assert_eq!((e.installed, e.running), (3, 2), "{}", plant.name);
        let sized = model.feed_pumps.as_ref().unwrap();
        let tank = model.design.heaters[model.layout.open.unwrap()].pressure;
        let volume = steam::sat_p(tank).unwrap().vf;
        let temperature = steam::t_sat(tank).unwrap();
        let suction = Suction { tank, level: 0.0, volume, vapour_pressure: tank, temperature };
        let most = |pumps| sized.largest(pumps, &suction) / sized.design_flow;
        assert!(most(e.running) >= 1.05 && most(e.running - 1) < 1.0, "{}", plant.name);
        let o = feed_pump::at(sized, sized.design_flow, &suction);
        assert!(o.npsh_available > 1.33 * o.npsh_required, "{} {o:?}", plant.name);
        lies(&format!("{} over the drum", plant.name), o.discharge - plant.boiler.drum_pressure, 0.5, 2.5);
        assert!(o.discharge > 6.895, "{}", plant.name);
    }
}

/// Normal drain valves stand half open at design, emergency valves pass the whole drain with travel to spare.
#[test]
fn drain_valves_have_travel_to_spare() {
    for (plant, _) in plants() {
        for h in &plant.heaters {
            let Heater::Closed(c) = h else { continue };
            let e = c.equipment.as_ref().unwrap();
            lies(&format!("{} {} normal", plant.name, c.id), e.normal_drain.design_opening, 0.4, 0.7);
            lies(&format!("{} {} emergency", plant.name, c.id), e.emergency_drain.design_opening, 0.15, 0.5);
        }
    }
}

/// Gross heat rate [kJ/kWh], feedwater temperature [°C], exhaust wetness.
fn cycle(name: &str, output: (f64, f64), heat_rate: (f64, f64), feedwater: (f64, f64), wetness: (f64, f64)) {
    let b = design(name);
    lies(&format!("{name} output"), b.gross / 1e3, output.0, output.1);
    lies(&format!("{name} heat rate"), b.heat_rate, heat_rate.0, heat_rate.1);
    lies(&format!("{name} feedwater"), b.final_temperature, feedwater.0, feedwater.1);
    let wet = 1.0 - b.stages.last().unwrap().quality_out;
    lies(&format!("{name} exhaust wetness"), wet, wetness.0, wetness.1);
}

#[test]
fn the_reheat_unit_lies_among_its_like() {
    cycle("reheat250", (240.0, 280.0), (7700.0, 8200.0), (245.0, 280.0), (0.06, 0.11));
}

/// Blades of a condensing turbine stand some 12 to 13 % of water at the last row.
#[test]
fn the_drum_unit_lies_among_its_like() {
    cycle("drum60", (50.0, 70.0), (9000.0, 9700.0), (195.0, 225.0), (0.09, 0.13));
}

/// With its moisture separated and its steam reheated between the cylinders, such a unit needs some 10,000 to 11,500 kJ/kWh
/// and ends at 10 to 14 % of water (*from memory* of published heat balances of such units). One expansion without would
/// end far wetter: at 0.7 of the isentropic one still above 15 %, which is derived here.
#[test]
fn the_saturated_unit_lies_among_its_like() {
    let plant = catalog::plant("saturated300").unwrap();
    cycle("saturated300", (250.0, 350.0), (10_000.0, 11_500.0), (215.0, 235.0), (0.10, 0.14));
    let b = design("saturated300");
    lies("efficiency", b.efficiency, 0.32, 0.35);
    let (p, x) = (plant.boiler.steam_pressure, plant.boiler.steam_quality.unwrap());
    let main = steam::sat_p(p).unwrap();
    let start = steam::state_ph(p, main.hf + x * main.hfg()).unwrap();
    let end = steam::state_ps(plant.condenser.pressure, start.s).unwrap();
    let h = start.h - 0.7 * (start.h - end.h);
    assert!(1.0 - steam::state_ph(plant.condenser.pressure, h).unwrap().x > 0.15);
    // Steam is wet up to the crossover and hot behind it; the reheater
    // takes some 5 to 12 % of the throttle's steam (from memory).
    let m = b.separator.as_ref().unwrap();
    let after = b.stages.iter().position(|s| s.pressure_out == m.pressure_in).unwrap();
    for (k, s) in b.stages.iter().enumerate() {
        assert!(k > after || s.quality_out < 1.0, "{k}");
    }
    lies("wetness before the separator", 1.0 - m.quality_in, 0.08, 0.14);
    lies("moisture taken out", m.drain_flow / m.flow_in / (1.0 - m.quality_in), 0.9, 0.99);
    let r = m.reheater.as_ref().unwrap();
    lies("heating steam", r.heating_flow / b.throttle, 0.05, 0.12);
    let superheat = r.temperature_out - steam::t_sat(r.pressure_out).unwrap();
    lies("superheat behind the reheater", superheat, 60.0, 100.0);
    let pumped = |h: &Heater| matches!(h, Heater::Closed(c) if matches!(c.drains_to, DrainTo::Forward(_)));
    assert!(plant.heaters.iter().any(pumped));
}

/// The files are written as the types read them: every line comes in the same order, in the same digits, when the plant
/// is written anew. No figure claims more than four digits.
#[test]
fn the_files_are_short_and_in_order() {
    for e in catalog::PLANTS {
        let anew = serde_json::to_string_pretty(&catalog::plant(e.name).unwrap()).unwrap();
        let mut rest = anew.lines().map(|l| l.trim_end_matches(','));
        for (k, line) in e.json.lines().enumerate() {
            let line = line.trim_end_matches(',');
            assert!(rest.any(|l| l == line), "{}, line {}: {line}", e.name, k + 1);
            let figure = line.rsplit(' ').next().unwrap();
            if figure.parse::<f64>().is_ok() {
                let digits: String = figure.chars().filter(char::is_ascii_digit).collect();
                let claimed = digits.trim_matches('0').len();
                assert!(claimed <= 4, "{}, line {}: {line}", e.name, k + 1);
            }
        }
    }
}
