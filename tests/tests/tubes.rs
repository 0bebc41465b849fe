//! What goes wrong inside a heater's tubes and channel, as a practitioner sees it from outside.
//!
//! Signs are from the checks of the trade (*common practice, no source*); magnitudes are bands.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, trip};
use engine::Command;
use engine::malfunction::{Kind, Malfunction};
use engine::surface::{CONDENSING, DESUPERHEATING, DRAIN_COOLING, Streams};

fn insert(run: &mut Run, kind: Kind, device: &str, size: f64) {
    let malfunction =
        Malfunction { kind, device: device.into(), size: Some(size), delay_s: 0.0, ramp_s: 0.0 };
    run.command(Command::InsertMalfunction { malfunction }).unwrap();
}

/// The plant at design, and the same so many minutes after something went wrong in a heater.
fn with(kind: Kind, device: &str, size: f64, minutes: f64) -> (Run, Run) {
    let (design, mut run) = (Run::open(PLANT).unwrap(), Run::open(PLANT).unwrap());
    insert(&mut run, kind, device, size);
    run.minutes(minutes).unwrap();
    (design, run)
}

/// Change of a signal from the first plant to the second.
fn change(id: &str, (design, run): &(Run, Run)) -> f64 {
    run.get(id) - design.get(id)
}

/// Tube leak: drain valve opens further, pump flow rises above steam flow, feedwater temperature falls, drain
/// temperature falls.
#[test]
fn tube_leak() {
    for id in ["hp1", "hp2"] {
        let pair = with(Kind::TubeLeak, id, 1.0, 30.0);
        let here = |what: &str| change(&format!("{id}.{what}"), &pair);
        let run = &pair.1;
        assert!(here("normal_drain_valve") > 0.1, "{id}: {}", here("normal_drain_valve"));
        assert!(run.get(&format!("{id}.level")).abs() < 2.0, "{id}: the valve keeps the level");
        // What leaks is not fed to the boiler: the pumps give it besides the steam's flow, and the drain carries it away.
        let leak = run.get(&format!("{id}.leak_flow"));
        let above = run.get("unit.feed_flow") - run.get("unit.throttle_flow");
        assert!(
            leak > 8.0 && (above / leak - 1.0).abs() < 1e-3,
            "{id}: {leak} kg/s leak, {above} above steam flow"
        );
        let drained = here("normal_drain_flow") + here("emergency_drain_flow");
        assert!((drained / leak - 1.0).abs() < 0.05, "{id}: {leak} kg/s leak, {drained} more are drained");
        assert!(
            here("fw_out_temperature") < -0.05 && change("unit.final_fw_temperature", &pair) < -0.02,
            "{id}"
        );
        assert!(here("drain_temperature") < -1.0, "{id}: {}", here("drain_temperature"));
    }
    // At the condensate's pressure less comes through the same hole, and nobody sees it at the feed pumps.
    let pair = with(Kind::TubeLeak, "lp5", 1.0, 30.0);
    let leak = pair.1.get("lp5.leak_flow");
    assert!(leak > 2.0 && leak < 6.0, "{leak}");
    assert!(change("lp5.normal_drain_valve", &pair) > 0.1 && change("lp5.drain_temperature", &pair) < -1.0);
    assert!(change("unit.feed_flow", &pair).abs() < 1e-3);
}

/// The flow of a broken tube, by hand: two bores of 12.5 mm, 0.61 √(2 ρ Δp), the pressure from the pumps to the shell.
#[test]
fn a_broken_tube_lets_through_what_an_orifice_does() {
    let pair = with(Kind::TubeRupture, "hp2", 1.0, 10.0);
    let run = &pair.1;
    let difference = (run.get("unit.feed_pump_discharge") - run.get("hp2.shell_pressure")) * 1e6;
    let water =
        steam::liquid_pt(run.get("unit.feed_pump_discharge"), run.get("hp2.fw_in_temperature")).unwrap();
    let area = 2.0 * std::f64::consts::PI / 4.0 * 0.0125 * 0.0125;
    let by_hand = 0.61 * area * (2.0 * difference / water.v).sqrt();
    let leak = run.get("hp2.leak_flow");
    assert!((leak / by_hand - 1.0).abs() < 2e-3, "{leak} kg/s, by hand {by_hand}");
}

/// Three broken tubes are more than both drains can take: level up to high-high, steam shut, water round the heater; and
/// once the water is isolated the leak is no longer fed, so that the shell drains.
#[test]
fn broken_tubes_fill_the_shell_until_the_water_goes_round_it() {
    let mut run = Run::open(PLANT).unwrap();
    insert(&mut run, Kind::TubeRupture, "hp1", 3.0);
    let took = run.until(300, |run| run.get("hp1.level") > 140.0).unwrap();
    assert!(took < 120.0, "{took} s");
    assert!(run.get("hp1.leak_flow") > 50.0 && run.get("hp1.emergency_drain_valve") > 0.5);
    run.until(60, |run| run.get("hp1.extraction_flow_true") == 0.0).unwrap();
    run.until(120, |run| run.get("hp1.bypass") == 1.0).unwrap();
    run.seconds(1.0).unwrap();
    assert_eq!(run.get("hp1.leak_flow"), 0.0);
    assert_eq!(run.get("hp1.fw_flow_true"), 0.0);
    run.minutes(10.0).unwrap();
    assert!(run.get("hp1.level") < 0.0, "{} mm", run.get("hp1.level"));
    let (feed, steam) = (run.get("unit.feed_flow"), run.get("unit.throttle_flow"));
    assert!((feed / steam - 1.0).abs() < 0.01, "feed {feed} for {steam} kg/s of steam");
}

/// After a turbine trip nothing goes on to the boiler, but the pumps on minimum flow still stand on the tubes: a broken one
/// is fed, and with its drains shut fills its shell past high-high, until somebody isolates the water. What leaks is what the
/// pumps give.
#[test]
fn a_broken_tube_leaks_on_after_a_turbine_trip_until_the_water_is_isolated() {
    let mut run = Run::open(PLANT).unwrap();
    // The bypass does not obey, so that it is the leak alone that is seen.
    let bypass = |position| Command::LocalValve {
        heater: "hp1".into(),
        valve: engine::local::HandValve::Bypass,
        position,
    };
    run.command(bypass(Some(0.0))).unwrap();
    run.minutes(4.0).unwrap();
    run.command(Command::TripTurbine).unwrap();
    run.minutes(5.0).unwrap();
    assert!(run.sim.outputs().boiler_feed < 1.0 && run.get("hp1.extraction_flow_true") == 0.0);
    insert(&mut run, Kind::TubeRupture, "hp1", 3.0);
    run.minutes(2.0).unwrap();
    for _ in 0..20 {
        run.seconds(30.0).unwrap();
        let (leak, onward) = (run.get("hp1.leak_flow"), run.sim.outputs().boiler_feed);
        assert!(leak > 10.0, "{leak} kg/s");
        let fed = run.get("unit.feed_flow_true");
        assert!((fed - onward - leak).abs() < 1e-9 * fed, "{fed} {onward} {leak}");
    }
    insert(&mut run, Kind::NormalDrainFails, "hp1", 0.0);
    insert(&mut run, Kind::EmergencyDrainFails, "hp1", 0.0);
    run.until(600, |run| run.get("hp1.level_true") > 140.0).unwrap();
    assert!(run.get("hp1.leak_flow") > 10.0);
    // Handed back, the bypass does what high-high level asks of it: the water goes round, and the leak is over.
    run.command(bypass(None)).unwrap();
    run.minutes(6.0).unwrap();
    assert_eq!((run.get("hp1.bypass"), run.get("hp1.leak_flow")), (1.0, 0.0));
}

/// Without a pump there is nothing that feeds a leak: it dies away as they run down.
#[test]
fn without_feed_pumps_nothing_leaks() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(Command::TripTurbine).unwrap();
    for device in ["fp1", "fp2", "fp3"] {
        let (kind, device) = (Kind::FeedPumpTrip, device.into());
        let malfunction = Malfunction { kind, device, size: None, delay_s: 0.0, ramp_s: 0.0 };
        run.command(Command::InsertMalfunction { malfunction }).unwrap();
    }
    insert(&mut run, Kind::TubeRupture, "hp2", 1.0);
    run.seconds(2.0).unwrap();
    let mut last = run.get("hp2.leak_flow");
    assert!(last > 10.0, "{last}");
    for _ in 0..60 {
        run.seconds(2.0).unwrap();
        let leak = run.get("hp2.leak_flow");
        assert!(leak <= last, "{leak} after {last}");
        last = leak;
    }
    assert_eq!(last, 0.0);
}

/// A heater that is out leaks nothing, however large the hole.
#[test]
fn tubes_without_water_feed_no_leak() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(trip("hp2")).unwrap();
    run.minutes(5.0).unwrap();
    insert(&mut run, Kind::TubeRupture, "hp2", 10.0);
    run.minutes(5.0).unwrap();
    assert_eq!((run.get("hp2.leak_flow"), run.get("hp2.bypass")), (0.0, 1.0));
}

/// Fouled, or with tubes plugged, a heater's TTD rises and it takes less steam; the one above, with colder water, more.
#[test]
fn fouled_and_plugged_tubes() {
    for kind in [Kind::Fouling, Kind::PluggedTubes] {
        let mut last = 0.0;
        for size in [0.1, 0.2, 0.4] {
            let pair = with(kind, "hp2", size, 30.0);
            let ttd = change("hp2.ttd", &pair);
            assert!(ttd > last + 0.3 && ttd < 10.0, "{kind:?} {size}: TTD by {ttd} K after {last} K");
            last = ttd;
            assert!(
                change("hp2.extraction_flow", &pair) < -0.1 && change("hp1.extraction_flow", &pair) > 0.1
            );
            // The same surface cools the drain.
            assert!(change("hp2.dca", &pair) > 0.2, "{kind:?}: DCA by {}", change("hp2.dca", &pair));
            assert!(change("hp2.shell_pressure", &pair) > 0.0);
        }
    }
}

/// A level held 60 mm too high: the tubes under water condense nothing, so TTD rises, and cool what drains, so DCA falls, by a
/// kelvin or so (band *from memory* of level tests); without a drain cooler the drain leaves a little below saturation.
/// At rest the moving heater gives what the steady balance's surface gives with the same streams.
#[test]
fn flooded_tubes_cool_the_drain() {
    let mut without = 0;
    for plant in [PLANT, "drum60", "saturated300"] {
        let design = Run::open(plant).unwrap();
        for (k, id) in design.closed().iter().enumerate() {
            let mut run = Run::open(plant).unwrap();
            insert(&mut run, Kind::LevelDrift, &format!("{id}.level_control"), -60.0);
            run.minutes(60.0).unwrap();
            let get = |what: &str| run.get(&format!("{id}.{what}"));
            let change = |what: &str| get(what) - design.get(&format!("{id}.{what}"));
            assert!((get("level_true") - 60.0).abs() < 1.0 && get("flooded") > 0.005, "{plant} {id}");
            assert!(change("ttd") > 0.02, "{plant} {id}: TTD by {} K", change("ttd"));
            assert!((-3.0..-0.1).contains(&change("dca")), "{plant} {id}: DCA by {} K", change("dca"));
            let params = &run.sim.params().closed[k].heater;
            if params.surface.conductance[DRAIN_COOLING] == 0.0 {
                let subcooled = get("saturation_temperature") - get("drain_temperature");
                assert!((0.2..3.0).contains(&subcooled), "{plant} {id}: {subcooled} K below saturation");
                without += 1;
            }
            let (h, s) = (&run.sim.outputs().closed[k].heater, &run.sim.state().plant.closed[k].heater);
            let line = run.sim.params().line(k);
            let streams = Streams {
                water_flow: get("fw_flow"),
                water_in: line.h(get("fw_in_temperature")).unwrap(),
                steam_flow: h.steam_flow,
                steam: run.sim.state().plant.turbine.points[run.sim.params().point(k)].enthalpy,
                drain_flow: get("normal_drain_flow") + get("emergency_drain_flow"),
                flooded: h.flooded,
                clean: (1.0 - h.blanketed) / (1.0 - params.vent.lost),
            };
            let sat = steam::sat_p(s.pressure).unwrap();
            let x = params.surface.exchange(id, &streams, &sat, line).unwrap();
            for (what, moving, steady) in
                [("drain", h.drain, x.drain), ("water", h.water_out, x.water[DESUPERHEATING])]
            {
                assert!((moving - steady).abs() < 2e-3, "{plant} {id} {what}: {moving}, {steady} kJ/kg");
            }
        }
    }
    assert!(without > 0, "no heater without a drain cooler was tried");
}

/// From the lowest tube to the brim: the more tubes stand in water, the colder the water leaves condensing (TTD up) and
/// the colder the drain, without a jump and never colder than the water that cools it.
#[test]
fn flooding_has_no_step() {
    for plant in [PLANT, "drum60", "saturated300"] {
        let run = Run::open(plant).unwrap();
        for (k, id) in run.closed().iter().enumerate() {
            let surface = &run.sim.params().closed[k].heater.surface;
            let h = &run.sim.outputs().closed[k].heater;
            let line = run.sim.params().line(k);
            let sat = steam::sat_p(run.sim.state().plant.closed[k].heater.pressure).unwrap();
            let at = |flooded: f64| {
                let streams = Streams {
                    water_flow: surface.water_flow,
                    water_in: line.h(h.water_in_t).unwrap(),
                    steam_flow: surface.steam_flow,
                    steam: sat.hg + 300.0,
                    drain_flow: surface.drain_flow,
                    flooded,
                    clean: 1.0,
                };
                let x = surface.exchange(id, &streams, &sat, line).unwrap();
                (x.drain, x.water[CONDENSING])
            };
            let coldest = steam::liquid_pt(sat.p, h.water_in_t).unwrap().h;
            let (mut was, mut slope) = (at(0.0), None);
            for i in 1..=1000 {
                let now = at(f64::from(i) * 1e-3);
                let (cooler, water) = (was.0 - now.0, was.1 - now.1);
                assert!(cooler > 0.0 && water > 0.0, "{plant} {id} at {i}: by {cooler}, {water} kJ/kg");
                assert!(now.0 > coldest, "{plant} {id} at {i}");
                // The slope falls off steadily: each tube has a colder drain to cool than the one before.
                assert!(slope.is_none_or(|s| cooler < s * 1.001 && cooler > s * 0.9), "{plant} {id} at {i}");
                (was, slope) = (now, Some(cooler));
            }
        }
    }
}

/// A leaking partition plate: part of the water passes no tube. The outlet is colder and TTD rises, as if fouled; but
/// the drain cooler, with less water, hardly shows it, and the tubes' own water leaves as hot as ever.
#[test]
fn partition_plate_leak() {
    let pair = with(Kind::PartitionLeak, "hp2", 0.1, 30.0);
    let ttd = change("hp2.ttd", &pair);
    assert!(ttd > 2.0 && change("hp2.fw_out_temperature", &pair) < -2.0, "{ttd}");
    assert!(change("hp2.extraction_flow", &pair) < -0.5);
    let fouled = with(Kind::Fouling, "hp2", 0.5, 30.0);
    let approach = |pair| change("hp2.dca", pair) / change("hp2.ttd", pair);
    assert!(approach(&pair) < 0.3 * approach(&fouled), "{} {}", approach(&pair), approach(&fouled));
    let tubes =
        |run: &Run| run.sim.params().lines.high.t(run.sim.state().plant.closed[1].heater.water[2]).unwrap();
    assert!(tubes(&pair.1) > tubes(&pair.0));
}

/// What a tube sheet has borne beyond its permitted ramp: nothing at rest, nothing where the ramp is kept, and after a
/// trip what the record of the ramp adds up to.
#[test]
fn over_ramp_is_counted() {
    let mut run = Run::open(PLANT).unwrap();
    let limit = run.sim.params().operation.heaters[0].ramp_limit;
    run.command(trip("hp1")).unwrap();
    let (mut kelvin, mut seconds) = (0.0, 0.0);
    for _ in 0..4 * 600 {
        run.steps(1).unwrap();
        let beyond = run.get("hp1.fw_ramp_true").abs() - limit;
        if beyond > 0.0 {
            kelvin += beyond * 0.25 / 60.0;
            seconds += 0.25;
        }
    }
    assert!(kelvin > 1.0, "{kelvin} K");
    assert!((run.get("hp1.over_ramp") - kelvin).abs() < 1e-9 && run.get("hp1.over_ramp_time") == seconds);
    assert!(run.events().iter().any(|e| e.code == engine::event::Code::RampExceeded && e.device == "hp1"));
    assert_eq!(run.get("lp7.over_ramp"), 0.0);
}
