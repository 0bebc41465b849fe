//! Gas that does not condense: what vents carry off, what happens where they do not, and the oxygen that stays in the
//! feedwater.
//!
//! Signs are from the checks of the trade (*common practice, no source*); magnitudes are bands.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, load};
use engine::Command;
use engine::malfunction::Kind;

fn remove(run: &mut Run, kind: Kind, device: &str) {
    run.command(Command::RemoveMalfunction { kind, device: device.into() }).unwrap();
}

/// Vent shut: TTD creeps up over tens of minutes, the heater takes less steam, and both recover on venting.
#[test]
fn vent_shut() {
    for entry in catalog::PLANTS {
        let ids = Run::open(entry.name).unwrap().closed();
        for id in &ids {
            let mut run = Run::open(entry.name).unwrap();
            let ttd = |run: &Run| run.get(&format!("{id}.ttd"));
            let (air, taken) = (format!("{id}.air"), format!("{id}.extraction_flow"));
            let steam = run.get(&taken);
            let (design, what) = (ttd(&run), format!("{} {id}", entry.name));
            run.insert(Kind::VentShut, id, None).unwrap();
            run.seconds(10.0).unwrap();
            assert!((ttd(&run) - design).abs() < 0.25, "{what}: {} K at once", ttd(&run) - design);
            assert_eq!(run.get(&format!("{id}.vent_flow")), 0.0);
            let mut last = ttd(&run);
            for minutes in [10, 20, 30, 40] {
                run.minutes(10.0).unwrap();
                let now = ttd(&run);
                assert!(
                    now > last + 0.02 && now < last + 12.0,
                    "{what}: {now} K after {minutes} min, {last} before"
                );
                last = now;
            }
            assert!(run.get(&air) > 0.03);
            let less = 1.0 - run.get(&taken) / steam;
            assert!(less > 0.002 && less < 0.5, "{what}: {less} less steam");
            remove(&mut run, Kind::VentShut, id);
            run.minutes(30.0).unwrap();
            assert!((ttd(&run) - design).abs() < 0.05, "{what}: {} K instead of {design}", ttd(&run));
            let back = run.get(&taken) / steam - 1.0;
            assert!(run.get(&air) < 0.03 && back.abs() < 2e-3, "{what}: {back} of the steam");
        }
    }
}

/// What a vent costs: about half a per cent of the extraction (*common practice, no source*: 0.3 to 1 %).
#[test]
fn a_vent_costs_a_little_steam() {
    for entry in catalog::PLANTS {
        let run = Run::open(entry.name).unwrap();
        for id in run.closed() {
            let share = run.get(&format!("{id}.vent_flow")) / run.get(&format!("{id}.extraction_flow"));
            assert!((0.003..=0.01).contains(&share), "{} {id}: {share}", entry.name);
        }
    }
}

/// What builds up is what comes: with the vent shut, the steam's millionths and the air drawn in, to the gram.
#[test]
fn gas_builds_up_as_it_comes() {
    let mut run = Run::open(PLANT).unwrap();
    let before = run.get("lp7.air");
    run.insert(Kind::VentShut, "lp7", None).unwrap();
    let mut came = 0.0;
    for _ in 0..4 * 1200 {
        run.steps(1).unwrap();
        came += 0.25 * (5e-6 * run.get("lp7.extraction_flow_true") + 5e-5);
    }
    assert!((run.get("lp7.air") - before - came).abs() < 1e-12, "{} {came}", run.get("lp7.air") - before);
    // A pressurised shell draws nothing in.
    let mut run = Run::open(PLANT).unwrap();
    let before = run.get("hp1.air");
    run.insert(Kind::VentShut, "hp1", None).unwrap();
    run.minutes(20.0).unwrap();
    let steam = 5e-6 * 1200.0 * run.get("hp1.extraction_flow");
    assert!(((run.get("hp1.air") - before) / steam - 1.0).abs() < 0.02);
}

/// Gas takes part of the shell's pressure: what the terminal difference counts from lies above what the steam condenses
/// at, by as much as the partial pressure says.
#[test]
fn gas_takes_part_of_the_pressure() {
    let mut run = Run::open(PLANT).unwrap();
    run.insert(Kind::VentShut, "lp7", None).unwrap();
    run.minutes(60.0).unwrap();
    let (x, h) = (&run.sim.state().plant.closed[5].heater, &run.sim.outputs().closed[5].heater);
    assert!(x.gas_pressure > 5e-4, "{} MPa", x.gas_pressure);
    assert!((run.get("lp7.shell_pressure_true") - x.pressure - x.gas_pressure).abs() < 1e-12);
    assert!((h.condensing - steam::t_sat(x.pressure).unwrap()).abs() < 1e-9);
    assert!(run.get("lp7.saturation_temperature") > h.condensing + 0.3);
}

/// Open heater: no more than 7 µg/kg of oxygen at the outlet over the load range (HEI and ASME PTC 12.3 figure, 0.005
/// cm³/L; UFC 3-540-02N repeats it).
#[test]
fn the_open_heater_deaerates_over_the_load_range() {
    for entry in catalog::PLANTS {
        let mut run = Run::open(entry.name).unwrap();
        let oxygen = format!("{}.oxygen", run.sim.params().open.id);
        assert!((run.get(&oxygen) - 7.0).abs() < 0.01, "{}: {}", entry.name, run.get(&oxygen));
        for share in [0.4, 0.7, 1.05] {
            run.command(load(share)).unwrap();
            run.minutes(90.0).unwrap();
            let now = run.get(&oxygen);
            assert!(now > 2.0 && now < 7.4, "{} at {share}: {now} µg/kg", entry.name);
        }
    }
}

/// Open heater, vent shut: oxygen up; and down again on venting.
#[test]
fn open_heater_vent_shut() {
    let mut run = Run::open(PLANT).unwrap();
    run.insert(Kind::OpenVentShut, "open4", None).unwrap();
    let mut last = run.get("open4.oxygen");
    for _ in 0..4 {
        run.minutes(10.0).unwrap();
        let now = run.get("open4.oxygen");
        assert!(now > last + 0.5, "{now} after {last} µg/kg");
        last = now;
    }
    assert!(last > 15.0 && run.get("open4.vent_flow") == 0.0, "{last} µg/kg");
    remove(&mut run, Kind::OpenVentShut, "open4");
    run.minutes(90.0).unwrap();
    assert!(run.get("open4.oxygen") < 7.2, "{} µg/kg", run.get("open4.oxygen"));
}

/// Open heater, steam short: oxygen up. Its pressure falls when the load does, and until it has, the store's own flashing
/// keeps steam from the trays.
#[test]
fn open_heater_short_of_steam() {
    let mut run = Run::open(PLANT).unwrap();
    let before = run.get("open4.extraction_flow");
    run.command(load(0.5)).unwrap();
    let mut most = 0.0_f64;
    let mut least = before;
    for _ in 0..20 {
        run.minutes(1.0).unwrap();
        most = most.max(run.get("open4.oxygen"));
        least = least.min(run.get("open4.extraction_flow"));
    }
    assert!(least < 0.3 * before, "{least} of {before} kg/s");
    assert!(most > 7.5, "{most} µg/kg");
}
