//! The signature of every malfunction: what the instruments of the plant do, against the same run without it, as direction
//! and rough size; and what tells those apart that look alike at first. Directions are those of the trade (*common practice,
//! no source*), sizes bands about what the model does.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, load, normal_drain, trip};
use engine::Command;
use engine::local::HandValve;
use engine::malfunction::{Kind, Malfunction, SPECS};
use std::ops::Range;

/// The plant after a command, without and with a malfunction, so many minutes on.
fn pair(kind: Kind, device: &str, then: Option<&Command>, minutes: f64) -> (Run, Run) {
    let one = |broken: bool| {
        let mut run = Run::open(PLANT).unwrap();
        if broken {
            run.insert(kind, device, None).unwrap();
        }
        then.iter().for_each(|c| run.command((*c).clone()).unwrap());
        run.minutes(minutes).unwrap();
        run
    };
    (one(false), one(true))
}

fn shows(kind: Kind, device: &str, then: Option<&Command>, minutes: f64, signs: &[(&str, Range<f64>)]) {
    let (sound, broken) = pair(kind, device, then, minutes);
    for (id, range) in signs {
        let change = broken.get(id) - sound.get(id);
        assert!(range.contains(&change), "{kind:?}: {id} by {change}, not within {range:?}");
    }
}

/// A sign that must be missing: the signal hardly moves.
const STILL: Range<f64> = -0.3..0.3;
/// A valve that stands open where it would be shut, and the other way round.
const OPENS: Range<f64> = 0.99..1.01;
const SHUTS: Range<f64> = -1.01..-0.99;

macro_rules! signatures {
    ($($(#[$doc:meta])* $name:ident: $kind:ident at $device:literal, $then:expr, $minutes:literal min
        { $($signal:literal: $range:expr,)* })*) => {
        $($(#[$doc])* #[test] fn $name() {
            let then: Option<Command> = $then;
            shows(Kind::$kind, $device, then.as_ref(), $minutes, &[$(($signal, $range)),*]);
        })*
        /// Kinds whose signature is here.
        const SHOWN: &[Kind] = &[$(Kind::$kind),*];
    };
}

signatures! {
    /// The load comes down and the valve does not: it passes too much, the level falls, the drain cooler is uncovered.
    normal_drain_stuck: NormalDrainStuck at "hp2", Some(load(0.7)), 15.0 min {
        "hp2.normal_drain_valve": 0.1..0.2, "hp2.normal_drain_demand": -1.0..-0.3,
        "hp2.level": -250.0..-80.0, "hp2.dca": 10.0..40.0,
    }
    /// At low load more leaks past the shut plug than condenses: the level falls although the stem stands low.
    normal_drain_leaks: NormalDrainLeaks at "hp2", Some(load(0.4)), 40.0 min {
        "hp2.normal_drain_valve": -0.6..-0.03, "hp2.level": -250.0..-20.0,
    }
    /// The drain goes to the condenser, past two heaters: the level stands where the emergency drain holds it, more
    /// condensate, a worse heat rate.
    normal_drain_fails: NormalDrainFails at "hp2", None, 15.0 min {
        "hp2.normal_drain_valve": -0.6..-0.5, "hp2.emergency_drain_flow": 25.0..45.0, "hp2.level": 40.0..140.0,
        "unit.condensate_flow": 20.0..60.0, "unit.heat_rate_change": 80.0..300.0,
    }
    /// Needed, it does not come: the level rises to high-high, and protection takes the heater off.
    emergency_drain_stuck: EmergencyDrainStuck at "hp2", Some(normal_drain("hp2", 0.0)), 15.0 min {
        "hp2.emergency_drain_demand": 0.3..1.0, "hp2.emergency_drain_flow": -45.0..-25.0, "hp2.mode": 1.5..3.5,
        "hp2.stop_valve": SHUTS,
    }
    /// The stem says shut; the normal drain passes less, the condensate more, output falls.
    emergency_drain_leaks: EmergencyDrainLeaks at "hp2", None, 15.0 min {
        "hp2.emergency_drain_valve": STILL, "hp2.normal_drain_valve": -0.5..-0.15, "hp2.level": -3.0..3.0,
        "unit.condensate_flow": 8.0..40.0, "unit.gross_output": -8e3..-1e3,
    }
    /// It stands open: the shell is emptied, steam enters the drain cooler, the drain leaves hot.
    emergency_drain_fails: EmergencyDrainFails at "hp2", None, 15.0 min {
        "hp2.emergency_drain_valve": OPENS, "hp2.level": -250.0..-80.0, "hp2.dca": 15.0..60.0,
        "hp2.drain_temperature": 15.0..50.0, "unit.heat_rate_change": 100.0..400.0,
    }
    /// Both drains go where they fail to, the one shut and the other open, whatever is asked: as if the emergency drain
    /// alone had failed, but that the normal drain does not answer either.
    air_lost: AirLost at "hp2", None, 15.0 min {
        "hp2.emergency_drain_valve": OPENS, "hp2.normal_drain_valve": -0.56..-0.54, "hp2.level": -250.0..-80.0,
        "hp2.dca": 15.0..60.0, "hp2.emergency_drain_flow": 25.0..45.0,
    }
    /// A trip finds it open: the sequence waits, the water stays on.
    stop_valve_stuck: StopValveStuck at "hp2", Some(trip("hp2")), 15.0 min {
        "hp2.stop_valve": OPENS, "hp2.bypass": SHUTS, "hp2.mode": -1.01..-0.99,
    }
    /// No steam: the heater's step is gone, the next higher takes far more.
    stop_valve_shuts: StopValveShuts at "hp2", None, 15.0 min {
        "hp2.stop_valve": SHUTS, "hp2.extraction_flow": -20.0..-15.0, "hp2.fw_out_temperature": -50.0..-20.0,
        "hp1.extraction_flow": 8.0..20.0,
    }
    /// A trip: steam goes on until the slow stop valve is shut, so that the shell stands hotter afterwards.
    non_return_stuck: NonReturnStuck at "hp2", Some(trip("hp2")), 5.0 min {
        "hp2.shell_pressure": 0.2..1.5, "hp2.saturation_temperature": 4.0..40.0, "hp2.mode": -0.01..0.01,
    }
    /// Shut in service, it says nothing until the heater trips: then it does not open, and no steam leaves by it.
    line_drain_stuck: LineDrainStuck at "hp2", Some(trip("hp2")), 5.0 min {
        "hp2.line_drain_valve": SHUTS, "hp2.line_drain_flow": -0.5..-0.2, "hp2.mode": STILL, "hp2.level": STILL,
    }
    /// TTD up, less steam, the next higher takes over; the drains hardly move.
    fouling: Fouling at "hp2", None, 15.0 min {
        "hp2.ttd": 2.0..6.0, "hp2.extraction_flow": -3.0..-0.5, "hp1.extraction_flow": 0.5..3.0, "hp2.level": -3.0..3.0,
        "unit.feed_flow": STILL,
    }
    /// As fouling, with a tenth of the tubes much less of it; the water side loses more pressure, which is not measured.
    plugged_tubes: PluggedTubes at "hp2", None, 15.0 min {
        "hp2.ttd": 0.3..2.0, "hp2.dca": 0.3..2.0, "hp2.extraction_flow": -1.0..-0.05,
    }
    /// The drain valve opens further, the pumps give more than the steam takes.
    tube_leak: TubeLeak at "hp2", None, 15.0 min {
        "hp2.normal_drain_valve": 0.03..0.15, "unit.feed_flow": 2.0..8.0, "unit.throttle_flow": STILL, "hp2.level": -3.0..3.0,
    }
    /// The same, at once and much more: some 13 kg/s from each end of the tube.
    tube_rupture: TubeRupture at "hp2", None, 15.0 min {
        "hp2.normal_drain_valve": 0.25..0.5, "unit.feed_flow": 15.0..40.0, "hp2.normal_drain_flow": 15.0..40.0,
    }
    /// Part of the water passes the tubes: TTD up, as with fouling, but the drain cooler's approach is not.
    partition_leak: PartitionLeak at "hp2", None, 15.0 min {
        "hp2.ttd": 2.0..6.0, "hp2.extraction_flow": -3.0..-0.5, "hp2.dca": -1.0..1.5,
    }
    /// The controller holds what it is shown: the indication rests, its twin rises. Flooded tubes: TTD up, DCA down.
    level_drift: LevelDrift at "hp2.level_control", None, 15.0 min {
        "hp2.level": -3.0..3.0, "hp2.level_protection": 75.0..85.0, "hp2.level_true": 75.0..85.0,
        "hp2.ttd": 0.1..0.5, "hp2.dca": -1.5..-0.3,
    }
    /// The load moves and the indication does not; its twin falls.
    level_stuck: LevelStuck at "hp2.level_control", Some(load(0.7)), 15.0 min {
        "hp2.level": -0.5..0.5, "hp2.normal_drain_demand": 0.1..0.2, "hp2.level_protection": -250.0..-80.0,
    }
    /// The controllers open both drains on a level that is not there, and the shell is emptied.
    level_high: LevelHigh at "hp2.level_control", None, 15.0 min {
        "hp2.level": 399.0..401.0, "hp2.normal_drain_valve": 0.4..0.5, "hp2.emergency_drain_valve": OPENS,
        "hp2.level_protection": -250.0..-80.0,
    }
    /// The controllers shut both drains; the twin rises until protection opens the emergency drain.
    level_low: LevelLow at "hp2.level_control", None, 15.0 min {
        "hp2.level": -401.0..-399.0, "hp2.normal_drain_valve": -0.6..-0.5, "hp2.level_protection": 40.0..140.0,
    }
    /// What is shown swings, what is true hardly.
    level_noisy: LevelNoisy at "hp2.level_control", None, 15.0 min {
        "hp2.level": -60.0..60.0, "hp2.level_true": -20.0..20.0, "hp2.level_protection": -20.0..20.0,
    }
    /// Three-element control believes it: feed as shown stands above steam, while drum and pumps' own flows say that nothing
    /// more goes in.
    transmitter_drift: TransmitterDrift at "unit.feed_flow", None, 60.0 min {
        "unit.feed_flow": 8.0..12.0, "unit.feed_flow_true": -1.0..1.0, "unit.throttle_flow": STILL,
        "fp1.pump_flow": -1.0..1.0, "unit.drum_level": -5.0..5.0,
    }
    /// The heater is gone and its outlet thermometer does not know: the next one's inlet does.
    transmitter_stuck: TransmitterStuck at "hp2.fw_out_temperature", Some(trip("hp2")), 15.0 min {
        "hp2.fw_out_temperature": 20.0..50.0, "hp2.fw_out_temperature_true": STILL, "hp1.fw_in_temperature": STILL,
    }
    /// No vacuum, says the transmitter, and the turbine is tripped on it; the condenser's temperature knows better.
    transmitter_high: TransmitterHigh at "unit.condenser_pressure", None, 5.0 min {
        "unit.condenser_pressure": 0.1..0.2, "unit.standing": 1.9..2.1, "unit.condenser_temperature": -20.0..0.0,
    }
    /// Too little flow, says the transmitter: the minimum-flow valve opens and the pump is tripped; the standby starts.
    transmitter_low: TransmitterLow at "fp1.pump_flow", None, 5.0 min {
        "fp1.state": 1.9..2.1, "fp3.pump_flow": 110.0..114.0, "unit.feed_flow": -2.0..2.0,
    }
    /// What is shown swings, and with it what is reckoned of it; nothing else does.
    transmitter_noisy: TransmitterNoisy at "hp1.shell_pressure", None, 15.0 min {
        "hp1.shell_pressure": -0.5..0.5, "hp1.shell_pressure_true": -1e-3..1e-3, "hp1.extraction_flow": -0.05..0.05,
    }
    /// The load comes down and the output does not: valve where it is asked to be, and both transmitters agree.
    controller_frozen: ControllerFrozen at "hp2.normal_drain", Some(load(0.7)), 15.0 min {
        "hp2.normal_drain_demand": 0.1..0.2, "hp2.normal_drain_valve": 0.1..0.2, "hp2.level": -250.0..-80.0,
        "hp2.level_protection": -250.0..-80.0,
    }
    /// The standby pump has taken its place.
    feed_pump_trip: FeedPumpTrip at "fp1", None, 15.0 min {
        "fp1.pump_flow": -113.0..-112.0, "fp3.pump_flow": 112.0..114.0, "unit.feed_flow": -2.0..2.0, "fp1.state": 1.9..2.1,
    }
    /// All turn faster, the others carry more than it, and nothing goes back to the tank.
    worn_pump: WornPump at "fp1", None, 15.0 min {
        "unit.feed_pump_speed": 30.0..300.0, "fp1.pump_flow": -20.0..-4.0, "fp2.pump_flow": 4.0..20.0,
        "fp1.recirculation_flow": STILL, "unit.feed_pump_power": 100.0..600.0,
    }
    /// All turn faster, both give more than the boiler gets, and the difference goes back to the tank.
    recirculation_stuck_open: RecirculationStuckOpen at "fp1", None, 15.0 min {
        "unit.feed_pump_speed": 30.0..300.0, "fp1.recirculation_valve": OPENS, "fp1.recirculation_flow": 15.0..50.0,
        "fp1.pump_flow": 5.0..30.0, "fp2.pump_flow": 5.0..30.0, "unit.feed_pump_power": 300.0..1500.0,
    }
    /// Low load, and it stays shut: the pump has too little flow and is tripped; the others' valves are open.
    recirculation_stuck: RecirculationStuck at "fp1", Some(load(0.05)), 60.0 min {
        "fp1.recirculation_flow": -60.0..-5.0, "fp1.state": 1.9..2.1, "fp3.state": 1.9..2.1,
    }
    /// Nothing but the standing pump's casing shows it, which cools by some four kelvin in an hour; the others stay.
    warm_up_shut: WarmUpShut at "fp3", None, 60.0 min {
        "fp3.casing_temperature": -6.0..-3.0, "fp3.casing_difference": 3.0..6.0, "fp1.casing_temperature": STILL,
        "unit.feed_flow": STILL, "unit.feed_pump_suction_temperature": STILL, "fp3.state": -0.01..0.01,
    }
    /// The standby pump has taken its place.
    condensate_pump_trip: CondensatePumpTrip at "cp1", None, 15.0 min {
        "cp1.pump_flow": -90.0..-80.0, "cp3.pump_flow": 80.0..90.0, "unit.condensate_flow": -2.0..2.0,
    }
    /// Pressure up beyond what the condensate's temperature says; the cooling water leaves as warm as before.
    condenser_air: CondenserAir at "condenser", None, 15.0 min {
        "unit.condenser_pressure": 0.0008..0.004, "unit.cooling_outlet_temperature": -0.2..0.4,
        "unit.gross_output": -8e3..-1e3,
    }
    /// Pressure up as the condensate's temperature says; the cooling water leaves warmer.
    cooling_water_loss: CoolingWaterLoss at "condenser", None, 15.0 min {
        "unit.condenser_pressure": 0.0005..0.004, "unit.cooling_outlet_temperature": 2.0..8.0,
        "unit.gross_output": -8e3..-1e3,
    }
    /// Air blankets the tubes: the terminal difference creeps up, less steam is drawn, the level keeps still.
    vent_shut: VentShut at "lp7", None, 40.0 min {
        "lp7.ttd": 2.0..15.0, "lp7.extraction_flow": -4.0..-0.5, "lp7.vent_flow": -1.0..-1e-3,
        "lp7.level": -5.0..5.0, "lp7.normal_drain_demand": -0.3..0.0,
    }
    /// The oxygen stays in, and nothing else is to be seen of it.
    open_vent_shut: OpenVentShut at "open4", None, 40.0 min {
        "open4.oxygen": 4.0..100.0, "open4.vent_flow": -5.0..-0.01, "open4.shell_pressure": -0.02..0.02,
        "open4.level": -5.0..5.0,
    }
    /// Everything that steam drives is gone.
    turbine_trip: TurbineTrip at "unit", None, 15.0 min {
        "unit.main_stop_valve": SHUTS, "unit.standing": 1.9..2.1, "unit.gross_output": -280e3..-270e3,
        "hp1.extraction_flow": -20.0..-10.0,
    }
    /// The unit carries itself.
    load_rejection: LoadRejection at "unit", None, 15.0 min {
        "unit.standing": 0.9..1.1, "unit.main_stop_valve": STILL, "unit.load": -0.94..-0.9,
        "unit.gross_output": -260e3..-240e3,
    }
}

#[test]
fn every_malfunction_has_a_signature() {
    let missing: Vec<Kind> = SPECS.iter().map(|s| s.kind).filter(|k| !SHOWN.contains(k)).collect();
    assert!(missing.is_empty(), "no signature of {missing:?}");
}

/// Alarms that call for a device.
fn called(run: &Run, device: &str) -> Vec<String> {
    let all = run.sim.alarms().into_iter();
    all.filter(|a| a.device == device && (a.active || a.raised_at > 0.0)).map(|a| a.id).collect()
}

/// First sign of all three: a level that does not keep to its setpoint, or a drain valve that stands elsewhere than it
/// should. Evidence: a tube leak keeps both transmitters together and the valve where it is asked to be, and the pumps give
/// more than the steam takes; a stuck valve stands elsewhere than asked; of a lying transmitter the twin tells.
#[test]
fn a_tube_leak_a_stuck_drain_and_a_lying_transmitter_are_told_apart() {
    let apart = |run: &Run| (run.get("hp2.level") - run.get("hp2.level_protection")).abs();
    let off = |run: &Run| (run.get("hp2.normal_drain_demand") - run.get("hp2.normal_drain_valve")).abs();
    let over = |run: &Run| run.get("unit.feed_flow") - run.get("unit.throttle_flow");
    let after = load(0.8);
    let evidence = |kind: Kind, device: &str| {
        let (_, run) = pair(kind, device, Some(&after), 20.0);
        (apart(&run) > 20.0, off(&run) > 0.05, over(&run) > 2.0)
    };
    assert_eq!(evidence(Kind::TubeLeak, "hp2"), (false, false, true));
    assert_eq!(evidence(Kind::NormalDrainStuck, "hp2"), (false, true, false));
    assert_eq!(evidence(Kind::LevelDrift, "hp2.level_control"), (true, false, false));
    assert_eq!(evidence(Kind::LevelStuck, "hp2.level_control"), (true, false, false));
    let (_, frozen) = pair(Kind::ControllerFrozen, "hp2.normal_drain", Some(&after), 20.0);
    assert!(apart(&frozen) < 1.0 && off(&frozen) < 0.01 && over(&frozen) < 1.0, "none of the three");
    assert!(frozen.get("hp2.level").abs() > 20.0, "yet the level is gone");
    assert!(called(&frozen, "hp2").contains(&"hp2.low_level".to_owned()));
}

/// The drum's transmitter drifts: the controller keeps the indication at normal and the true level leaves it, until
/// feed and steam have long been equal again and nothing but the truth tells. Stuck low, it fills the drum.
#[test]
fn a_drum_transmitter_that_lies_leads_the_feed_astray() {
    let mut run = Run::open(PLANT).unwrap();
    let malfunction = Malfunction {
        kind: Kind::LevelDrift,
        device: "unit.drum_level".into(),
        size: Some(-60.0),
        delay_s: 0.0,
        ramp_s: 600.0,
    };
    run.command(Command::InsertMalfunction { malfunction }).unwrap();
    run.minutes(90.0).unwrap();
    assert!(run.get("unit.drum_level").abs() < 3.0, "{}", run.get("unit.drum_level"));
    assert!((run.get("unit.drum_level_true") - 60.0).abs() < 4.0, "{}", run.get("unit.drum_level_true"));
    let mut run = Run::open(PLANT).unwrap();
    run.insert(Kind::LevelLow, "unit.drum_level", None).unwrap();
    run.seconds(30.0).unwrap();
    assert_eq!(run.get("unit.drum_level"), -400.0);
    assert_eq!(run.get("unit.standing"), 2.0, "protection believes it too");
    // A hotwell that seems empty is filled by the make-up until it runs over.
    let mut run = Run::open(PLANT).unwrap();
    run.insert(Kind::LevelLow, "unit.hotwell_level", None).unwrap();
    run.minutes(15.0).unwrap();
    assert!(run.get("unit.hotwell_level") < -1000.0 && run.get("unit.hotwell_level_true") > 100.0);
}

/// First sign of both: all pumps turn faster and take more power. Evidence: a worn pump gives less than its neighbours and
/// nothing goes back; with a minimum-flow valve open all give alike, and more than the boiler gets.
#[test]
fn a_worn_pump_and_an_open_minimum_flow_valve_are_told_apart() {
    let evidence = |kind: Kind| {
        let (sound, run) = pair(kind, "fp1", None, 30.0);
        assert!(run.get("unit.feed_pump_speed") > sound.get("unit.feed_pump_speed") + 30.0, "{kind:?}");
        let (one, two) = (run.get("fp1.pump_flow"), run.get("fp2.pump_flow"));
        (one < 0.95 * two, one + two > 1.05 * run.get("unit.feed_flow"))
    };
    assert_eq!(evidence(Kind::WornPump), (true, false));
    assert_eq!(evidence(Kind::RecirculationStuckOpen), (false, true));
}

/// First sign of both: condenser pressure up, output down. Evidence: the cooling water's rise, and whether the pressure
/// belongs to the condensate's temperature.
#[test]
fn air_and_lost_cooling_water_are_told_apart() {
    let evidence = |kind: Kind| {
        let (sound, run) = pair(kind, "condenser", None, 30.0);
        let t = run.get("unit.condenser_temperature");
        let beyond = run.get("unit.condenser_pressure") / steam::p_sat(t).unwrap() - 1.0;
        let warmer =
            run.get("unit.cooling_outlet_temperature") - sound.get("unit.cooling_outlet_temperature");
        (beyond > 0.03, warmer > 1.0)
    };
    assert_eq!(evidence(Kind::CondenserAir), (true, false));
    assert_eq!(evidence(Kind::CoolingWaterLoss), (false, true));
}

/// First sign of both: TTD up. Evidence: fouled tubes take less steam and the next heater more, and its water comes colder;
/// of a thermometer that shows too little none of that follows.
#[test]
fn fouling_and_a_lying_thermometer_are_told_apart() {
    let evidence = |kind: Kind, device: &str, size: Option<f64>| {
        let (mut sound, mut run) = (Run::open(PLANT).unwrap(), Run::open(PLANT).unwrap());
        run.insert(kind, device, size).unwrap();
        sound.minutes(30.0).unwrap();
        run.minutes(30.0).unwrap();
        assert!(run.get("hp2.ttd") > sound.get("hp2.ttd") + 2.0, "{kind:?}");
        let change = |id: &str| run.get(id) - sound.get(id);
        (change("hp1.fw_in_temperature") < -2.0, change("hp1.extraction_flow") > 0.5)
    };
    assert_eq!(evidence(Kind::Fouling, "hp2", None), (true, true));
    let lying = evidence(Kind::TransmitterDrift, "hp2.fw_out_temperature", Some(-0.012));
    assert_eq!(lying, (false, false));
}

/// First sign of both: TTD up and less steam. Evidence: what passes the tubes by the partition plate is not cooled drain's
/// water, so that the approach of the drain cooler is hardly touched, and fouling touches it.
#[test]
fn fouling_and_a_leaking_partition_plate_are_told_apart() {
    let approach = |kind: Kind| {
        let (sound, run) = pair(kind, "hp2", None, 60.0);
        assert!(run.get("hp2.ttd") > sound.get("hp2.ttd") + 2.0);
        run.get("hp2.dca") - sound.get("hp2.dca")
    };
    let (fouled, leaking) = (approach(Kind::Fouling), approach(Kind::PartitionLeak));
    assert!(fouled > 2.0 && leaking < 0.5 * fouled, "{fouled} {leaking}");
}

/// First sign of both: TTD up, less steam, the level keeps still. Evidence at the load it has: a deposit covers the drain
/// cooler's tubes as well and its approach widens, air is swept to the vent and leaves it alone. Evidence by another load:
/// less heat has to pass a deposit and its TTD falls, while air is drawn in the more and swept the less as the shell's
/// pressure falls. And opening the start-up vent takes air away, which no vent does to a deposit.
#[test]
fn fouling_and_air_are_told_apart() {
    let evidence = |kind: Kind, size: f64| {
        let (mut sound, mut run) = (Run::open(PLANT).unwrap(), Run::open(PLANT).unwrap());
        run.insert(kind, "lp7", Some(size)).unwrap();
        let beyond = |run: &Run, sound: &Run, id: &str| run.get(id) - sound.get(id);
        sound.minutes(120.0).unwrap();
        run.minutes(120.0).unwrap();
        let (full, approach) = (beyond(&run, &sound, "lp7.ttd"), beyond(&run, &sound, "lp7.dca"));
        sound.command(load(0.6)).unwrap();
        run.command(load(0.6)).unwrap();
        sound.minutes(120.0).unwrap();
        run.minutes(120.0).unwrap();
        let part = beyond(&run, &sound, "lp7.ttd");
        run.command(Command::LocalValve {
            heater: "lp7".into(),
            valve: HandValve::StartUpVent,
            position: Some(1.0),
        })
        .unwrap();
        run.minutes(60.0).unwrap();
        let vented = beyond(&run, &sound, "lp7.ttd");
        assert!(full > 2.0, "{kind:?}: {full} K");
        (approach > 1.0, part > full, vented < 0.3 * part)
    };
    assert_eq!(evidence(Kind::Fouling, 1.0), (true, false, false));
    assert_eq!(evidence(Kind::VentShut, 1.0), (false, true, true));
}
