//! Protection: who acts first, what stays latched, why a reset is refused, and that water does not reach the turbine while
//! the sensors are sound.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::upset::{self, Act, Upset};
use bledsteam_tests::{PLANT, Run, emergency_drain, normal_drain, put_back, release};
use engine::Command;
use engine::event::Code;
use engine::malfunction::{Class, Kind, SPECS};
use proptest::prelude::*;

fn reset(run: &mut Run, row: Option<&str>) -> Result<(), engine::Fault> {
    run.command(Command::ResetProtection { row: row.map(Into::into) })
}

fn first_out(run: &Run) -> Option<String> {
    run.sim.protection().into_iter().find(|r| r.first_out).map(|r| r.row.id)
}

/// Water to the turbine, and what a full shell sends to the condenser instead [kg/s], of all shells.
fn carried_over(run: &Run) -> f64 {
    run.sim.outputs().closed.iter().map(|c| c.heater.inducted + c.heater.carry_over).sum()
}

/// Every closed heater has its two lines, each from a transmitter apart from the controller's; the open one has its mark.
#[test]
fn the_table_of_every_plant_is_whole() {
    for entry in catalog::PLANTS {
        let run = Run::open(entry.name).unwrap();
        let rows = run.sim.protection();
        for id in run.closed() {
            for name in ["level_high", "level_high_high"] {
                let row = rows.iter().find(|r| r.row.id == format!("{id}.{name}")).unwrap();
                assert_eq!(row.row.sensor, format!("{id}.level_protection"));
                assert!(!row.tripped && !row.cause && !row.row.actions.is_empty());
            }
        }
        let open = &run.sim.params().open.id;
        let mark = rows.iter().find(|r| r.row.id == format!("{open}.level_high_high")).unwrap();
        assert!(mark.row.setpoint > 100.0, "{}: {}", entry.name, mark.row.setpoint);
        assert_eq!(first_out(&run), None);
    }
}

/// The first line: with the normal drain lost and the controller's transmitter lying low, the emergency drain is opened by
/// protection, and the heater stays in service.
#[test]
fn protection_opens_the_emergency_drain_that_the_controller_keeps_shut() {
    let mut run = Run::open(PLANT).unwrap();
    run.insert(Kind::LevelLow, "hp2.level_control", None).unwrap();
    run.until(600, |run| run.get("hp2.emergency_drain_valve") > 0.9).unwrap();
    run.minutes(20.0).unwrap();
    assert_eq!((run.get("hp2.level"), run.get("hp2.mode")), (-400.0, 0.0));
    assert!(run.get("hp2.level_true") < 140.0);
    assert_eq!(first_out(&run), None, "nothing latches by that");
}

/// The second: latched, kept as first out, no way back before the cause is gone and the reset given.
#[test]
fn high_high_latches_and_says_why_it_is_not_reset() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(normal_drain("hp3", 0.0)).unwrap();
    run.command(emergency_drain("hp3", 0.0)).unwrap();
    run.until(600, |run| run.get("hp3.mode") == 2.0).unwrap();
    assert_eq!(first_out(&run).unwrap(), "hp3.level_high_high");
    let refused = reset(&mut run, None).unwrap_err();
    assert_eq!(refused.code, "refused");
    assert!(refused.message.contains("hp3.level_protection") && refused.remedy.contains("120"), "{refused}");
    run.minutes(3.0).unwrap();
    for command in release("hp3") {
        run.command(command).unwrap();
    }
    run.minutes(10.0).unwrap();
    assert!(run.get("hp3.level_protection") < 60.0);
    assert_eq!(first_out(&run).unwrap(), "hp3.level_high_high", "kept though the level is back");
    let refused = run.command(put_back("hp3")).unwrap_err();
    assert!(refused.message.contains("hp3.level_high_high"), "{refused}");
    reset(&mut run, Some("hp3.level_high_high")).unwrap();
    assert_eq!(first_out(&run), None);
    assert_eq!(reset(&mut run, None).unwrap_err().code, "refused");
    assert_eq!(reset(&mut run, Some("hp3.level")).unwrap_err().code, "no_such_row");
    run.command(put_back("hp3")).unwrap();
    run.minutes(60.0).unwrap();
    assert_eq!(run.get("hp3.mode"), 0.0);
}

/// What acts first is kept when more follows.
#[test]
fn the_first_out_is_the_first() {
    let mut run = Run::open(PLANT).unwrap();
    run.insert(Kind::LevelHigh, "lp5.level_protection", None).unwrap();
    run.seconds(20.0).unwrap();
    run.insert(Kind::LevelHigh, "hp1.level_protection", None).unwrap();
    run.seconds(20.0).unwrap();
    let latched: Vec<String> =
        run.sim.protection().into_iter().filter(|r| r.tripped && r.row.latched).map(|r| r.row.id).collect();
    assert_eq!(latched, ["hp1.level_high_high", "lp5.level_high_high"]);
    assert_eq!(first_out(&run).unwrap(), "lp5.level_high_high");
}

/// The open heater's own line: steam shut, the drain of the heater above kept away.
#[test]
fn an_overfull_open_heater_loses_its_steam_and_its_drains() {
    let mut run = Run::open(PLANT).unwrap();
    let open = run.sim.params().open.id.clone();
    run.insert(Kind::LevelHigh, &format!("{open}.level_protection"), None).unwrap();
    run.minutes(2.0).unwrap();
    assert_eq!(run.get(&format!("{open}.stop_valve")), 0.0);
    assert_eq!(run.get(&format!("{open}.extraction_flow")), 0.0);
    assert_eq!(run.get(&format!("{open}.drain_in_flow")), 0.0);
    assert!(run.events().iter().any(|e| e.code == Code::OpenHeaterShut));
    assert_eq!(first_out(&run).unwrap(), format!("{open}.level_high_high"));
}

/// A non-return valve stuck open, both drains lost and the protection transmitter dead: nothing keeps the water from the
/// turbine, and it is said so. With the transmitter sound nothing gets there.
#[test]
fn a_dead_protection_sensor_and_a_stuck_non_return_valve_let_water_to_the_turbine() {
    let carried = |dead: bool| {
        let mut run = Run::open(PLANT).unwrap();
        run.insert(Kind::NonReturnStuck, "hp2", None).unwrap();
        run.insert(Kind::NormalDrainFails, "hp2", Some(0.0)).unwrap();
        run.insert(Kind::EmergencyDrainStuck, "hp2", None).unwrap();
        if dead {
            run.insert(Kind::LevelLow, "hp2.level_protection", None).unwrap();
        }
        let mut sum = 0.0;
        for _ in 0..1800 {
            run.seconds(1.0).unwrap();
            sum += carried_over(&run);
        }
        let said = run.events().iter().any(|e| e.code == Code::WaterInduction && e.device == "hp2");
        (sum, said)
    };
    let (sum, said) = carried(true);
    assert!(sum > 100.0 && said, "{sum} kg, said: {said}");
    assert_eq!(carried(false), (0.0, false));
}

/// Any upset without a fault of an instrument.
fn sound() -> impl Strategy<Value = Upset> {
    upset::any().prop_map(|mut u| {
        u.script.retain(|(_, act)| match act {
            Act::Break(kind, ..) => SPECS[kind % SPECS.len()].class != Class::LevelTransmitter,
            _ => true,
        });
        u
    })
}

proptest! {
    #![proptest_config(upset::config())]

    /// With sound sensors no upset gets water to the turbine, whatever else is broken or held by hand.
    #[test]
    fn with_sound_sensors_no_upset_gets_water_to_the_turbine(u in sound()) {
        let found = upset::run(PLANT, &u, |run| {
            let carried = carried_over(run);
            if carried > 0.0 { Err(format!("{carried} kg/s of water to the turbine")) } else { Ok(()) }
        });
        prop_assert!(found.is_ok(), "{}", found.unwrap_err());
    }
}
