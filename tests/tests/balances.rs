//! Random plants, random cases: the steady balance of whatever validates closes, keeps the second law, and where it cannot
//! be had, says at which component and how much is left over.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::any_plant::{REFUSALS, any_plant};
use bledsteam_tests::upset;
use engine::plant::{check, file::Heater, file::Plant};
use engine::steady::{Balance, Case, Hold, Model, Outage};
use engine::water::WaterLine;
use engine::{Fault, surface, valve};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use std::collections::BTreeMap;

/// Mass and energy close to this share of the largest flow and of the heat added.
const CLOSED: f64 = 1e-9;
/// Temperatures this near to each other are equal [K]: the properties' own inverses.
const EQUAL: f64 = 1e-5;
/// Heat below this share of the heat added is none.
const NOTHING: f64 = 1e-9;

/// A case for a plant of any size.
#[derive(Clone, Debug)]
struct Asked {
    hold: Hold,
    /// Chances of each heater, used as far as there are heaters.
    outages: Vec<Outage>,
}

impl Asked {
    fn case(&self, plant: &Plant) -> Case {
        let outage = |(h, o): (&Heater, &Outage)| match h {
            Heater::Open(_) => Outage::None,
            Heater::Closed(_) => *o,
        };
        Case { hold: self.hold, outages: plant.heaters.iter().zip(&self.outages).map(outage).collect() }
    }
}

fn hold(range: std::ops::RangeInclusive<f64>) -> impl Strategy<Value = Hold> {
    (0..3, range).prop_map(|(kind, share)| match kind {
        0 => Hold::SteamFlow(share),
        1 => Hold::GrossOutput(share),
        _ => Hold::Firing(share),
    })
}

fn asked() -> impl Strategy<Value = Asked> {
    let outage = prop_oneof![8 => Just(Outage::None), 1 => Just(Outage::Out), 1 => Just(Outage::Isolated)];
    (hold(0.25..=1.05), proptest::collection::vec(outage, 11))
        .prop_map(|(hold, outages)| Asked { hold, outages })
}

/// What is wrong with a balance; none: nothing.
fn wrong(plant: &Plant, model: &Model, b: &Balance) -> Result<(), String> {
    let need = |holds: bool, what: String| if holds { Ok(()) } else { Err(what) };
    need(b.mass_residual <= CLOSED, format!("mass: {:e}", b.mass_residual))?;
    need(b.energy_residual <= CLOSED, format!("energy: {:e}", b.energy_residual))?;
    need(b.throttle > 0.0 && b.gross > 0.0 && b.exhaust > 0.0, "nothing passes the turbine".into())?;
    for (i, h) in b.heaters.iter().enumerate() {
        let outage = b.case.outages[i];
        let line = if i < model.layout.high { &model.lines.high } else { &model.lines.low };
        if outage == Outage::Out {
            continue;
        }
        extraction(i, model, b)?;
        if matches!(plant.heaters[i], Heater::Open(_)) {
            continue;
        }
        // Each heater by itself, from what the result shows.
        let above = if i > 0 { b.heaters[i - 1].drain } else { 0.0 };
        let (led, led_heat) = led_to(&h.id, b);
        let vent = h.vent * steam::sat_p(h.pressure).map_err(|e| e.to_string())?.hg;
        let left = h.extraction_flow * h.extraction_enthalpy + (h.drain_in - led) * above + led_heat
            - h.drain_flow * h.drain
            - vent
            - h.duty;
        need(left.abs() <= CLOSED * b.heat_added, format!("{}: {left} kW left over", h.id))?;
        let mass = h.extraction_flow + h.drain_in - h.drain_flow - h.vent;
        need(mass.abs() <= CLOSED * b.throttle, format!("{}: {mass} kg/s left over", h.id))?;
        zones(i, line, model, b)?;
    }
    separation(plant, model, b)?;
    entropy(plant, model, b)
}

/// Flow [kg/s] and heat [kW] that separator and steam reheater drain to a heater.
fn led_to(id: &str, b: &Balance) -> (f64, f64) {
    let Some(s) = &b.separator else { return (0.0, 0.0) };
    let to = |to: &str, flow: f64, h: f64| if to == id { (flow, flow * h) } else { (0.0, 0.0) };
    let water = to(&s.drains_to, s.drain_flow - s.spill, s.drain);
    let steam =
        s.reheater.as_ref().map_or((0.0, 0.0), |r| to(&r.drains_to, r.heating_flow - r.spill, r.drain));
    (water.0 + steam.0, water.1 + steam.1)
}

/// Separator and steam reheater by themselves: mass and heat close, steam is dried and heated by hotter steam only.
fn separation(plant: &Plant, model: &Model, b: &Balance) -> Result<(), String> {
    let Some((s, file)) = b.separator.as_ref().zip(plant.turbine.moisture_separator.as_ref()) else {
        return Ok(());
    };
    let need = |holds: bool, what: &str| if holds { Ok(()) } else { Err(format!("{what}: {s:?}")) };
    let after = model.layout.separator.unwrap();
    let (before, behind) = (&b.stages[after], &b.stages[after + 1]);
    let small = |x: f64| x.abs() <= CLOSED * b.heat_added;
    need(small((s.flow_in - s.drain_flow - s.flow_out) * s.enthalpy_out), "separator's mass")?;
    let heat = s.flow_in * before.enthalpy_out - s.drain_flow * s.drain - s.flow_out * s.enthalpy_out;
    need(small(heat), "separator's heat")?;
    need((s.flow_out - behind.flow).abs() <= CLOSED * b.throttle, "flow behind the separator")?;
    let sat = steam::sat_p(s.pressure).map_err(|e| e.to_string())?;
    let wet = ((sat.hg - before.enthalpy_out) / sat.hfg()).max(0.0);
    let taken = s.drain_flow / s.flow_in.max(1e-300);
    // What is found by rounds is closed to the tolerance of the solution.
    need((taken - file.efficiency * wet).abs() < 1e-8, "moisture taken out")?;
    need(
        s.pressure <= s.pressure_in && s.spill >= 0.0 && s.spill <= s.drain_flow * (1.0 + CLOSED),
        "pressures",
    )?;
    let Some(r) = &s.reheater else { return Ok(()) };
    let given = r.heating_flow * (model.turbine.main_enthalpy - r.drain);
    need(small(given - s.flow_out * (r.enthalpy_out - s.enthalpy_out)), "reheater's heat")?;
    need(r.temperature_out < r.heating_temperature + EQUAL && r.duty >= 0.0, "reheated beyond what heats")?;
    need(r.heating_pressure < plant.boiler.steam_pressure, "heating steam above the throttle")?;
    // Sizing and the exchange at rest are each other's inverse at design.
    let design = b.case == model.design.case;
    let ttd = file.reheater.as_ref().map_or(0.0, |r| r.ttd);
    need(!design || (r.ttd - ttd).abs() < 1e-6, "terminal difference at design")
}

/// Steam flows one way, from the higher pressure to the lower, and no more than the line passes when it chokes.
fn extraction(i: usize, model: &Model, b: &Balance) -> Result<(), String> {
    let h = &b.heaters[i];
    if b.case.outages[i] != Outage::None {
        return if h.extraction_flow == 0.0 {
            Ok(())
        } else {
            Err(format!("{}: steam through a shut valve", h.id))
        };
    }
    let most = valve::steam_flow(model.extraction[i], h.extraction_pressure, h.extraction_volume, 0.0);
    let flow = h.extraction_flow;
    let shut = flow == 0.0 && h.pressure >= h.extraction_pressure;
    if shut || flow > 0.0 && flow <= most * (1.0 + CLOSED) && h.pressure <= h.extraction_pressure {
        return Ok(());
    }
    let (p1, p2) = (h.extraction_pressure, h.pressure);
    Err(format!("{}: {flow} kg/s of at most {most} from {p1} to {p2} MPa", h.id))
}

/// How many lines choke, and how many non-return valves are shut, of heaters in service.
fn limits(model: &Model, b: &Balance) -> (u32, u32) {
    let (mut choked, mut shut) = (0, 0);
    for (i, h) in b.heaters.iter().enumerate().filter(|(i, _)| b.case.outages[*i] == Outage::None) {
        let most = valve::steam_flow(model.extraction[i], h.extraction_pressure, h.extraction_volume, 0.0);
        choked += u32::from(h.extraction_flow > most * (1.0 - CLOSED));
        shut += u32::from(h.extraction_flow == 0.0);
    }
    (choked, shut)
}

/// No zone of closed heater `i` heats up-temperature, and no streams cross.
fn zones(i: usize, line: &WaterLine, model: &Model, b: &Balance) -> Result<(), String> {
    let h = &b.heaters[i];
    let t = |enthalpy: f64| line.t(enthalpy).map_err(|e| e.to_string());
    let mut water = [0.0; surface::ZONES];
    let mut enthalpy = h.water_in;
    for (w, duty) in water.iter_mut().zip(h.zone_duty) {
        enthalpy += duty / h.water_flow;
        *w = t(enthalpy)?;
    }
    let steam = steam::state_ph(h.pressure, h.extraction_enthalpy).map_err(|e| e.to_string())?.t;
    let hottest = steam.max(h.saturation).max(h.water_in_t);
    let some = |duty: f64| duty.abs() > NOTHING * b.heat_added;
    let [cooling, condensing, superheat] = h.zone_duty;
    let ideal = model.closed[i].as_ref().is_none_or(|m| m.surface.is_none());
    let found = if h.water_out_t > hottest + EQUAL {
        "water above the hottest steam"
    } else if some(cooling) && (cooling < 0.0) != (h.saturation < h.water_in_t) {
        "drain cooling"
    } else if some(cooling) && h.drain_t < h.water_in_t.min(h.saturation) - EQUAL {
        "drain below the water that cools it"
    } else if some(condensing) && condensing > 0.0 && water[surface::CONDENSING] > h.saturation + EQUAL {
        "condensing above saturation"
    } else if some(condensing)
        && condensing < 0.0
        && water[surface::CONDENSING] < h.saturation - EQUAL
        && !ideal
    {
        "condensing heats the steam"
    } else if some(superheat) && superheat > 0.0 && h.water_out_t > steam + EQUAL {
        "desuperheating above the steam"
    } else if some(superheat) && superheat < 0.0 {
        "desuperheating heats the steam"
    } else {
        return Ok(());
    };
    Err(format!("{}, {found}: steam {steam}, water {water:?}, {h:?}", h.id))
}

/// The entropy of turbine, heaters, pumps and condenser together does not fall.
fn entropy(plant: &Plant, model: &Model, b: &Balance) -> Result<(), String> {
    let s = |p: f64, h: f64| steam::state_ph(p, h).map(|x| x.s).map_err(|e| e.to_string());
    let main = s(plant.boiler.steam_pressure, model.turbine.main_enthalpy)?;
    let feedwater = match &model.lines.high {
        WaterLine::Compressed(l) => s(l.p(), b.final_enthalpy)?,
        // Saturated liquid of that enthalpy; its entropy is that of the line's water but for the pumps' work.
        WaterLine::Saturated(_) => return Ok(()),
    };
    let mut made = b.throttle * (feedwater - main) + b.rejected / (b.condenser_temperature + 273.15);
    if let Some(r) = model.layout.reheat {
        let (cold, hot) = (&b.stages[r], &b.stages[r + 1]);
        made += hot.flow
            * (s(cold.pressure_out, cold.enthalpy_out)? - s(b.hot_reheat_pressure, hot.enthalpy_in)?);
    }
    if let Some(o) = model.layout.open {
        let vent = steam::sat_p(b.heaters[o].pressure).map_err(|e| e.to_string())?.sg;
        let makeup = steam::sat_t(plant.condenser.makeup_temperature).map_err(|e| e.to_string())?.sf;
        made += b.vent * (vent - makeup);
    }
    let scale = b.heat_added / (b.condenser_temperature + 273.15);
    if made < -1e-6 * scale { Err(format!("entropy falls by {} of {scale} kW/K", -made)) } else { Ok(()) }
}

/// Whether a fault of the balance says where and how much.
fn is_typed(plant: &Plant, f: &Fault) -> bool {
    let place = |p: &str| p == "turbine" || p == "condenser" || plant.heaters.iter().any(|h| h.id() == p);
    match f.code.as_str() {
        "not_closed" => place(&f.place) && f.message.contains('e') && f.message.contains("evaluations"),
        "steam_range" => place(&f.place) || f.place == "reheater",
        _ => false,
    }
}

proptest! {
    #![proptest_config(upset::config())]

    #[test]
    fn whatever_validates_balances(plant in any_plant(), cases in proptest::collection::vec(asked(), 8)) {
        prop_assert_eq!(check::check(&plant), vec![]);
        let model = match Model::new(&plant) {
            Ok(model) => model,
            Err(f) => {
                prop_assert!(REFUSALS.contains(&f.code.as_str()), "{}: {}", f.code, f);
                return Ok(());
            }
        };
        let found = wrong(&plant, &model, &model.design);
        prop_assert!(found.is_ok(), "design: {}", found.unwrap_err());
        for asked in cases {
            match model.solve(&plant, &asked.case(&plant)) {
                Ok(b) => {
                    let found = wrong(&plant, &model, &b);
                    prop_assert!(found.is_ok(), "{asked:?}: {}", found.unwrap_err());
                }
                Err(f) => prop_assert!(is_typed(&plant, &f), "{asked:?}: {}: {f}", f.code),
            }
        }
    }
}

/// Plants looked at, at least, for the counts below, and cases of each.
const COUNTED: u32 = 300;
const EACH: u32 = 5;

/// What became of many plants and cases.
#[derive(Debug, Default)]
struct Count {
    plants: u32,
    sized: u32,
    solved: u32,
    /// Lines that choke, non-return valves that are shut.
    choked: u32,
    shut: u32,
    /// Faults by their codes.
    faults: BTreeMap<String, u32>,
    /// Cases that were not solved, and why.
    unsolved: Vec<String>,
}

impl Count {
    fn share(&self) -> f64 {
        f64::from(self.solved) / f64::from(EACH * self.sized)
    }
}

fn count(asked: impl Strategy<Value = Asked>) -> Count {
    let config = upset::config();
    let mut n = Count { plants: config.cases.max(COUNTED), ..Count::default() };
    let mut runner = TestRunner::new(config);
    let plants = any_plant();
    for _ in 0..n.plants {
        let plant = plants.new_tree(&mut runner).unwrap().current();
        let model = match Model::new(&plant) {
            Ok(model) => model,
            Err(f) => {
                *n.faults.entry(format!("sizing: {}", f.code)).or_default() += 1;
                continue;
            }
        };
        n.sized += 1;
        for _ in 0..EACH {
            let asked = asked.new_tree(&mut runner).unwrap().current();
            match model.solve(&plant, &asked.case(&plant)) {
                Ok(b) => {
                    let found = wrong(&plant, &model, &b);
                    assert!(found.is_ok(), "{asked:?}: {}, {plant:#?}", found.unwrap_err());
                    n.solved += 1;
                    let at = limits(&model, &b);
                    (n.choked, n.shut) = (n.choked + at.0, n.shut + at.1);
                }
                Err(f) => {
                    n.unsolved.push(format!("{asked:?}: {f}"));
                    *n.faults.entry(f.code).or_default() += 1;
                }
            }
        }
    }
    println!(
        "{} plants, {} sized, {} of {} cases solved, {} choked, {} shut, {:?}",
        n.plants,
        n.sized,
        n.solved,
        EACH * n.sized,
        n.choked,
        n.shut,
        n.faults
    );
    n
}

/// A plant in its right order is seldom refused, and a failure to solve is rare: at most one in a hundred cases at loads
/// near design with all heaters in service.
#[test]
fn near_design_all_but_all_cases_are_solved() {
    let n = count(hold(0.6..=1.05).prop_map(|hold| Asked { hold, outages: vec![Outage::None; 11] }));
    assert!(n.sized * 10 > n.plants * 9, "{n:#?}");
    assert!(n.share() >= 0.99, "{n:#?}");
}

/// At any load, with any heaters out, it is still rare.
#[test]
fn with_anything_out_all_but_all_cases_are_solved() {
    let n = count(asked());
    assert!(n.share() >= 0.99, "{n:#?}");
}

/// Every combination of heaters in service, out and isolated, of the shipped plants, at the ends of the load range and
/// between, whatever is held. Among them are what a solver meets only there: lines that choke because heaters below are out, and shells
/// that drains keep above the turbine's pressure.
#[test]
fn every_combination_of_outages_is_solved() {
    let (mut solved, mut choked, mut shut, mut most) = (0, 0, 0, 0);
    for entry in catalog::PLANTS {
        let plant = catalog::plant(entry.name).unwrap();
        let model = Model::new(&plant).unwrap();
        let closed: Vec<usize> =
            (0..plant.heaters.len()).filter(|&i| matches!(plant.heaters[i], Heater::Closed(_))).collect();
        for number in 0..3_usize.pow(closed.len() as u32 + 2) {
            let load = [0.25, 0.6, 1.05][number % 3];
            let hold = [Hold::SteamFlow, Hold::GrossOutput, Hold::Firing][number / 3 % 3];
            let mut case = Case::at(hold(load), plant.heaters.len());
            let mut rest = number / 9;
            for &i in &closed {
                case.outages[i] = [Outage::None, Outage::Out, Outage::Isolated][rest % 3];
                rest /= 3;
            }
            let b = model.solve(&plant, &case).unwrap_or_else(|f| panic!("{}, {case:?}: {f}", plant.name));
            let found = wrong(&plant, &model, &b);
            assert!(found.is_ok(), "{}, {case:?}: {}", plant.name, found.unwrap_err());
            solved += 1;
            most = most.max(b.report.evaluations);
            let at = limits(&model, &b);
            (choked, shut) = (choked + at.0, shut + at.1);
        }
    }
    println!(
        "{solved} cases; {choked} lines choked, {shut} non-return valves shut; at most {most} evaluations"
    );
    assert!(choked > 0);
}

/// At part load against a vacuum that is held, the last heater's shell comes down to where its drain alone gives the water
/// all that it takes: no steam flows then, none flows back, and the shell stands above the turbine.
#[test]
fn drains_may_shut_a_non_return_valve() {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/books/nag-2-3.json");
    let mut plant = engine::plant::read(&std::fs::read_to_string(file).unwrap()).unwrap();
    plant.condenser.pressure = 0.015;
    let model = Model::new(&plant).unwrap();
    for share in [0.25, 0.3, 0.5] {
        let b = model.solve(&plant, &Case::at(Hold::SteamFlow(share), plant.heaters.len())).unwrap();
        assert_eq!(limits(&model, &b), (0, 1), "{share}");
        assert_eq!(wrong(&plant, &model, &b), Ok(()), "{share}");
        let last = &b.heaters[6];
        assert!(last.extraction_flow == 0.0 && last.pressure > 1.01 * last.extraction_pressure, "{last:?}");
    }
}

/// The detector: a balance with one figure off by a little is found out.
#[test]
fn a_wrong_balance_would_be_noticed() {
    let plant = catalog::plant(bledsteam_tests::PLANT).unwrap();
    let model = Model::new(&plant).unwrap();
    let good = &model.design;
    assert_eq!(wrong(&plant, &model, good), Ok(()));
    let spoilt = |spoil: fn(&mut Balance)| {
        let mut b = good.clone();
        spoil(&mut b);
        wrong(&plant, &model, &b).is_err()
    };
    assert!(spoilt(|b| b.mass_residual = 2e-9));
    assert!(spoilt(|b| b.energy_residual = 2e-9));
    assert!(spoilt(|b| b.heaters[0].extraction_flow *= 1.0 + 1e-6));
    assert!(spoilt(|b| b.heaters[1].drain *= 1.0 + 1e-6));
    assert!(spoilt(|b| b.heaters[1].vent *= 1.0 + 1e-3));
    assert!(spoilt(|b| b.heaters[4].zone_duty[0] = -b.heaters[4].zone_duty[0]));
    assert!(spoilt(|b| b.heaters[2].saturation = b.heaters[2].water_in_t));
    assert!(spoilt(|b| b.heaters[2].pressure = 1.01 * b.heaters[2].extraction_pressure));
    // A condenser that rejects much less heat would be against the second law.
    assert!(spoilt(|b| b.rejected *= 0.7));
}

/// What cannot be had says so: against cooling water that hardly warms, a quarter of the load would have the condenser
/// colder than any that is sought, and the fault names it and the bound.
#[test]
fn a_balance_that_cannot_close_names_what_stands_in_the_way() {
    let mut plant = catalog::plant(bledsteam_tests::PLANT).unwrap();
    let cooling = plant.condenser.cooling.as_mut().unwrap();
    let cold = 0.5;
    (cooling.inlet, cooling.rise) = (cold, 3.0);
    plant.condenser.pressure = steam::sat_t(cold + 4.0).unwrap().p;
    let model = Model::new(&plant).unwrap();
    let at = |share| model.solve(&plant, &Case::at(Hold::SteamFlow(share), plant.heaters.len()));
    // In proportion to the heat rejected, half the load still lies within.
    assert!(at(0.5).is_ok_and(|b| b.condenser_temperature < cold + 3.0));
    let fault = at(0.25).unwrap_err();
    assert_eq!((fault.code.as_str(), fault.place.as_str()), ("not_closed", "condenser"), "{fault}");
    assert!(fault.message.contains("the condenser stands at the lowest that is sought, 2.0 °C"), "{fault}");
}
