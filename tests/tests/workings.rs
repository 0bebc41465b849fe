//! Every number can be followed to where it comes from, and what is shown on the way is what the engine computed.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{Run, emergency_drain, isolate, load, normal_drain, put_back, trip};
use engine::Command;
use engine::malfunction::{self, Kind, Malfunction, SPECS};
use engine::working::expr::Expr;
use engine::working::{Origin, Working, balance, names};
use std::collections::{BTreeMap, BTreeSet};

/// Largest difference between an equation and the engine's number, as a share of what the equation is made of: rounding.
const ROUNDING: f64 = 1e-9;
/// Numbers whose equation does not come to the engine's value within rounding, how near it comes, and why.
const LESS_NEAR: &[(&str, f64, &str)] = &[
    (
        "water_volume_by_height",
        1e-6,
        "the height of a horizontal shell's segment is found to 0.2 micrometres per metre",
    ),
    ("flooded", 1e-6, "the height of a horizontal shell's segment is found to 0.2 micrometres per metre"),
];

/// Signals without an equation, and why that is right.
const READ: &[(&str, &str)] = &[
    (
        "shell_pressure_true",
        "root of the shell's balance; the energy it holds at that pressure has a working",
    ),
    ("condenser_temperature", "root of the condenser's balance; the heat it holds has a working"),
    ("over_ramp", "sum over all steps of what the measured ramp exceeded"),
    ("over_ramp_time", "sum over all steps of what the measured ramp exceeded"),
    ("shell_pressure", "what its transmitter shows"),
    ("fw_in_temperature", "what its transmitter shows"),
    ("fw_out_temperature", "what its transmitter shows"),
    ("drain_temperature", "what its transmitter shows"),
    ("extraction_flow", "what its transmitter shows"),
    ("extraction_pressure", "what its transmitter shows"),
    ("fw_flow", "what its transmitter shows"),
    ("throttle_flow", "what its transmitter shows"),
    ("gross_output", "what its transmitter shows"),
    ("final_fw_temperature", "what its transmitter shows"),
    ("feed_flow", "what its transmitter shows"),
    ("condensate_flow", "what its transmitter shows"),
    ("condenser_pressure", "what its transmitter shows"),
    ("feed_pump_discharge", "what its transmitter shows"),
    ("feed_pump_suction_temperature", "what its transmitter shows"),
    ("suction_head_available", "what its transmitter shows"),
    ("pump_flow", "what its transmitter shows"),
    ("level", "what a transmitter shows; the true level has a working"),
    ("level_protection", "what a transmitter shows; the true level has a working"),
    ("hotwell_level", "what its transmitter shows"),
    ("drum_level", "what its transmitter shows"),
    ("normal_drain_valve", "position of a valve"),
    ("emergency_drain_valve", "position of a valve"),
    ("stop_valve", "position of a valve"),
    ("start_up_vent_valve", "position of a valve"),
    ("non_return_valve", "position of a valve"),
    ("bypass", "position of a valve"),
    ("mode", "state of a sequence"),
    ("normal_drain_hand", "switch"),
    ("pegging_hand", "switch"),
    ("pegging_valve", "position of a valve"),
    ("emergency_drain_hand", "switch"),
    ("time", "count of steps"),
    ("load_demand", "what an operator asks for"),
    ("local_remaining", "the time that walking and turning still take"),
    ("standing", "state of the unit"),
    ("hold", "what the unit holds, as an operator asks for"),
    ("load_limited", "state of a limit"),
    ("main_stop_valve", "position of a valve"),
    ("throttle_flow_true", "follows the load asked at the unit's rate"),
    ("feed_flow_true", "root of pumps and line; the discharge pressure at that flow has a working"),
    ("pump_flow_true", "root of pumps and line; the head at that flow has a working"),
    ("recirculation_valve", "position of a valve"),
    ("warm_up_valve", "position of a valve"),
    ("casing_temperature", "what its transmitter shows"),
    ("state", "state of a sequence"),
    ("speed_share", "follows what is asked as its drive and inertia let it"),
    ("speed", "follows what is asked as its drive and inertia let it"),
    (
        "condensate_flow_true",
        "what the store asks for, or the root of pumps and line; the head has a working",
    ),
    ("level_setpoint", "what a controller is set to"),
    ("normal_drain_demand", "what a controller asks for"),
    ("emergency_drain_demand", "what a controller asks for"),
    ("makeup_flow", "what a controller asks for"),
    ("returned_steam", "sum over all steps; the flows have workings"),
    ("inducted_water", "sum over all steps; the flows have workings"),
    ("drained_water", "sum over all steps; the flows have workings"),
    ("line_drain_valve", "position of a valve"),
    ("mass_residual", "sum over all steps; the plant's balance of the last step closes on its own"),
    ("energy_residual", "sum over all steps; the plant's balance of the last step closes on its own"),
];

fn plants() -> impl Iterator<Item = &'static str> {
    catalog::PLANTS.iter().map(|e| e.name)
}

fn name_of(id: &str) -> &str {
    id.split_once('.').map_or(id, |(_, name)| name)
}

/// What is wrong with a working by itself, if anything.
fn fault_of(w: &Working) -> Option<String> {
    let Some(e) = &w.equation else {
        return w.why.is_none().then(|| format!("{}: neither an equation nor a reason", w.id));
    };
    // What is stored is a difference of what is held, and loses digits to its size: `closes` judges it by that.
    if ["mass_rate", "energy_rate"].contains(&w.meaning.as_str()) {
        return None;
    }
    let near = LESS_NEAR.iter().find(|(n, ..)| *n == w.meaning).map_or(ROUNDING, |(_, x, _)| *x);
    let off = (e.evaluated - w.value).abs();
    // What is next to nothing may be nothing.
    let close = off <= near * e.scale.max(w.value.abs()) + 1e-15;
    (!close).then(|| {
        format!(
            "{}: {} by its equation, {} in the engine ({off:e} of {:e})",
            w.id, e.evaluated, w.value, e.scale
        )
    })
}

/// Follows every link from every signal; gives what is wrong, and the ids seen.
fn follow(run: &Run) -> (Vec<String>, BTreeSet<String>) {
    let mut faults = Vec::new();
    let mut seen = BTreeSet::new();
    let mut next: Vec<String> = run.definitions().iter().map(|d| d.id.clone()).collect();
    let mut cache: BTreeMap<String, f64> = BTreeMap::new();
    let mut wanted: Vec<(String, String, f64)> = Vec::new();
    while let Some(id) = next.pop() {
        if !seen.insert(id.clone()) {
            continue;
        }
        let w = match run.sim.working(&id) {
            Ok(w) => w,
            Err(f) => {
                faults.push(format!("{id}: {f}"));
                continue;
            }
        };
        if !names::known(name_of(&id)) {
            faults.push(format!("{id}: crates/engine/src/working/names.rs does not know how it is written"));
        }
        faults.extend(fault_of(&w));
        cache.insert(id.clone(), w.value);
        next.extend(w.see.iter().cloned());
        for t in w.equation.iter().flat_map(|e| &e.terms) {
            match &t.origin {
                Origin::Working { id: to, before } => {
                    next.push(to.clone());
                    if !before {
                        wanted.push((id.clone(), to.clone(), t.value));
                    }
                }
                Origin::Flow { id: to } => next.push(to.clone()),
                Origin::Plant { .. } | Origin::Sized | Origin::Constant { .. } => {}
            }
        }
    }
    for (from, to, value) in wanted {
        let Some(got) = cache.get(&to) else { continue };
        if (got - value).abs() > 1e-12 * value.abs().max(1e-3) {
            faults.push(format!("{from} reckons with {value} for {to}, whose own working says {got}"));
        }
    }
    (faults, seen)
}

fn held(run: &Run, when: &str) {
    let (faults, seen) = follow(run);
    assert!(faults.is_empty(), "{when}:\n{}", faults.join("\n"));
    assert!(seen.len() > run.definitions().len() + 40, "{when}: followed only {} numbers", seen.len());
    for device in balance::devices(&run.sim) {
        closes(run, &device, when);
    }
}

/// What flows in less what flows out is what is stored.
fn closes(run: &Run, device: &str, when: &str) {
    let b = run.sim.component_balance(device).unwrap();
    let dt = run.sim.params().dt;
    let through = |of: fn(&balance::Flow) -> f64| b.flows.iter().map(|f| of(f).abs()).sum::<f64>();
    let (mass, energy) = (through(|f| f.mass.unwrap_or(0.0)), through(|f| f.energy));
    // Differences of what is held lose digits to its size.
    let least = (1e-9 * mass + 1e-14 * b.mass / dt, 1e-9 * energy + 1e-14 * b.energy / dt);
    assert!(
        b.mass_residual.abs() <= least.0 && b.energy_residual.abs() <= least.1,
        "{when}: {device} is off by {} kg/s of {mass} and {} kW of {energy}; if a flow crosses its boundary that \
         crates/engine/src/working/balance.rs does not name, name it there: {:#?}",
        b.mass_residual,
        b.energy_residual,
        b.flows
    );
}

/// The signals of every plant: each has a working, of its own value and quantity, and only those above have no equation.
#[test]
fn every_signal_has_a_working() {
    let mut read = BTreeSet::new();
    for plant in plants() {
        let run = Run::open(plant).unwrap();
        let missing: Vec<&str> = run
            .definitions()
            .iter()
            .filter(|d| run.sim.working(&d.id).is_err_and(|f| f.code == "no_such_number"))
            .map(|d| d.id.as_str())
            .collect();
        assert!(
            missing.is_empty(),
            "{plant}: nobody can see how these signals come about: {}.\n\
             For a calculated number, write its equation in the file of its component in crates/engine/src/working \
             (an arm of `working` that ends in `d.is(value, equation, source)`), its symbol and unit in names.rs, and what \
             it means in the section 'Working' of www/src/words.js. For a reading or a state, add a line to READ in \
             working/plain.rs and to READ in this test, with the reason.",
            missing.join(", ")
        );
        for (d, value) in run.definitions().iter().zip(run.values()) {
            let w = run.sim.working(&d.id).unwrap();
            assert_eq!(
                (w.unit.quantity, w.unit.fixed),
                (d.quantity, None),
                "{}: working/names.rs has another quantity",
                d.id
            );
            assert!(w.value == *value, "{}: the signal says {value}, its working {}", d.id, w.value);
            if w.equation.is_none() {
                read.insert(name_of(&d.id).to_owned());
            }
        }
    }
    let listed: BTreeSet<String> = READ.iter().map(|(n, _)| (*n).to_owned()).collect();
    assert_eq!(read, listed, "signals without an equation, against the list of those that need none");
}

#[test]
fn every_equation_gives_the_engines_number_at_design() {
    for plant in plants() {
        let mut run = Run::open(plant).unwrap();
        held(&run, &format!("{plant} at design, before the first step"));
        run.steps(1).unwrap();
        held(&run, &format!("{plant} at design"));
    }
}

#[test]
fn every_equation_holds_in_the_middle_of_a_trip_and_settled_after_it() {
    for plant in plants() {
        let mut run = Run::open(plant).unwrap();
        let first = run.closed()[0].clone();
        run.seconds(2.0).unwrap();
        run.command(trip(&first)).unwrap();
        for s in [0.5, 3.0, 10.0, 25.0, 60.0] {
            run.seconds(s).unwrap();
            held(&run, &format!("{plant}, {} s, {first} tripped at 2 s", run.sim.time()));
        }
        run.minutes(30.0).unwrap();
        held(&run, &format!("{plant} settled without {first}"));
        run.command(put_back(&first)).unwrap();
        run.seconds(90.0).unwrap();
        held(&run, &format!("{plant} as {first} comes back"));
    }
}

/// Where the pieces of the equations change: low load, drained and flooded shells, choked and starved valves.
#[test]
fn every_equation_holds_off_the_beaten_track() {
    for plant in plants() {
        let mut run = Run::open(plant).unwrap();
        let closed = run.closed();
        let at = |run: &mut Run, s: f64, what: &str| {
            run.seconds(s).unwrap();
            held(run, &format!("{plant}, {} s: {what}", run.sim.time()));
        };
        run.command(load(0.4)).unwrap();
        at(&mut run, 200.0, "load on its way down");
        at(&mut run, 1500.0, "low load");
        run.command(emergency_drain(&closed[1], 1.0)).unwrap();
        at(&mut run, 30.0, "a shell being drained");
        at(&mut run, 200.0, "a drained shell");
        run.command(normal_drain(&closed[0], 0.02)).unwrap();
        run.command(emergency_drain(&closed[0], 0.0)).unwrap();
        at(&mut run, 120.0, "a shell filling");
        at(&mut run, 400.0, "a flooded shell");
        run.command(isolate(&closed[closed.len() - 1])).unwrap();
        run.command(load(1.0)).unwrap();
        at(&mut run, 120.0, "the last heater without steam");
    }
}

/// Steam and water that run back: every non-return valve stuck, the turbine tripped, a shell full to the brim.
#[test]
fn every_equation_holds_for_what_runs_back() {
    for plant in plants() {
        let mut run = Run::open(plant).unwrap();
        let lines = malfunction::devices(run.sim.params(), malfunction::Class::Line);
        for id in &lines {
            run.insert(Kind::NonReturnStuck, id, None).unwrap();
        }
        run.command(load(0.5)).unwrap();
        run.seconds(30.0).unwrap();
        held(&run, &format!("{plant}: load comes down with every non-return valve stuck"));
        let id = &run.closed()[0];
        run.insert(Kind::LevelLow, &format!("{id}.level_protection"), None).unwrap();
        run.insert(Kind::NormalDrainFails, id, Some(0.0)).unwrap();
        run.insert(Kind::EmergencyDrainFails, id, Some(0.0)).unwrap();
        run.insert(Kind::TubeRupture, id, Some(4.0)).unwrap();
        run.until(1800, |run| run.get("unit.inducted_water") > 0.0).unwrap();
        held(&run, &format!("{plant}: water begins to run back from {id}"));
        run.seconds(20.0).unwrap();
        held(&run, &format!("{plant}: water runs back from {id}"));
        // A drum that ran low for the water lost may have tripped it already.
        if run.get("unit.standing") != 2.0 {
            run.command(Command::TripTurbine).unwrap();
        }
        for s in [0.25, 0.5, 1.0, 30.0, 300.0] {
            run.seconds(s).unwrap();
            held(&run, &format!("{plant}, {} s: everything runs back", run.sim.time()));
        }
        assert!(run.get("unit.returned_steam") > 100.0);
        for pump in malfunction::devices(run.sim.params(), malfunction::Class::FeedPump) {
            run.insert(Kind::FeedPumpTrip, &pump, None).unwrap();
        }
        for s in [1.0, 10.0, 120.0] {
            run.seconds(s).unwrap();
            held(&run, &format!("{plant}, {} s: no pump feeds the leak", run.sim.time()));
        }
    }
}

/// Every kind of malfunction, on the first and the last of what it can befall, early and grown.
#[test]
fn every_equation_holds_with_whatever_is_wrong() {
    for spec in SPECS {
        let mut run = Run::open(bledsteam_tests::PLANT).unwrap();
        let devices = malfunction::devices(run.sim.params(), spec.class);
        for device in [&devices[0], &devices[devices.len() - 1]] {
            let malfunction = Malfunction {
                kind: spec.kind,
                device: device.clone(),
                size: None,
                delay_s: 0.0,
                ramp_s: 120.0,
            };
            // On the only one there is, it is in force already.
            let _ = run.command(Command::InsertMalfunction { malfunction });
        }
        for seconds in [30.0, 270.0] {
            run.seconds(seconds).unwrap();
            held(&run, &format!("{:?}, {} s", spec.kind, run.sim.time()));
        }
    }
}

#[test]
fn what_is_not_there_is_refused_by_name() {
    let run = Run::open(bledsteam_tests::PLANT).unwrap();
    for id in ["hp1.colour", "nobody.level", "level", "", "turbine.work_0", "turbine.work_99"] {
        assert_eq!(run.sim.working(id).unwrap_err().code, "no_such_number", "{id}");
    }
    assert_eq!(run.sim.component_balance("chimney").unwrap_err().code, "no_such_component");
}

/// The check would notice: an equation with one term left out does not give the number.
#[test]
fn a_wrong_equation_would_be_noticed() {
    let run = Run::open(bledsteam_tests::PLANT).unwrap();
    let mut w = run.sim.working("unit.net_output").unwrap();
    assert_eq!(fault_of(&w), None);
    let e = w.equation.as_mut().unwrap();
    e.formula = Expr::Term { index: 0 };
    let values: Vec<f64> = e.terms.iter().map(|t| t.value).collect();
    e.evaluated = e.formula.evaluate(&values, run.sim.params()).unwrap().value;
    assert!(fault_of(&w).is_some());
}

/// Shown units: an equation of like quantities can be checked with the numbers on the screen; one with conversions says
/// that it cannot.
#[test]
fn a_working_says_whether_the_shown_numbers_can_be_put_in() {
    let run = Run::open(bledsteam_tests::PLANT).unwrap();
    let plain = |id: &str| run.sim.working(id).unwrap().equation.unwrap().plain;
    assert_eq!(plain("hp1.ttd"), [true, true]);
    assert_eq!(plain("unit.net_output"), [true, true]);
    // kg/s times kJ/kg is kW, and MW is shown.
    assert_eq!(plain("unit.heat_added"), [false, false]);
    // The saturation line is a function of MPa.
    assert_eq!(plain("hp1.saturation_temperature"), [true, false]);
}
