//! Directions that a practitioner checks: what goes up, what goes down, by about how much, and after how long.
//!
//! Each sentence carries where it comes from. *Practice* is common practice, no source; *memory* is remembered from a
//! document, not read, with a wide band. Magnitudes are bands; signs are signs.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, emergency_drain, isolate, load, normal_drain, release, set, trip};
use engine::Command;
use engine::controller::Request;

/// The plant at design, and the same after `commands` and `minutes`.
fn after(commands: &[Command], minutes: f64) -> (Run, Run) {
    let design = Run::open(PLANT).unwrap();
    let mut run = Run::open(PLANT).unwrap();
    commands.iter().for_each(|c| run.command(c.clone()).unwrap());
    run.minutes(minutes).unwrap();
    (design, run)
}

/// Change of a signal from the first plant to the second.
fn change(id: &str, (design, run): &(Run, Run)) -> f64 {
    run.get(id) - design.get(id)
}

/// Change over the value at design.
fn share(id: &str, pair: &(Run, Run)) -> f64 {
    change(id, pair) / pair.0.get(id)
}

/// *Practice*: heater 1 is the highest pressure, pressures fall to the last, and the water grows hotter on its way up.
#[test]
fn pressures_fall_from_heater_one_to_the_last() {
    let run = Run::open(PLANT).unwrap();
    let order = ["hp1", "hp2", "hp3", "open4", "lp5", "lp6", "lp7"];
    for two in order.windows(2) {
        let of = |name: &str, what: &str| run.get(&format!("{name}.{what}"));
        assert!(of(two[0], "shell_pressure") > 1.3 * of(two[1], "shell_pressure"), "{two:?}");
        assert!(of(two[0], "fw_out_temperature") > of(two[1], "fw_out_temperature") + 10.0, "{two:?}");
        // The higher the pressure, the smaller the steam's specific volume.
        let v = |name| steam::sat_p(of(name, "shell_pressure")).unwrap().vg;
        assert!(v(two[0]) < v(two[1]), "{two:?}");
    }
}

/// *Practice*: extraction steam at the high-pressure heaters is superheated; the open heater's outlet is saturated water
/// at tank pressure; the feed pumps' discharge stands above drum pressure, and above 1,000 psi.
#[test]
fn states_are_what_they_are_in_every_such_plant() {
    let run = Run::open(PLANT).unwrap();
    for id in ["hp1", "hp2", "hp3"] {
        let at = |what: &str| run.get(&format!("{id}.{what}"));
        let saturation = steam::t_sat(at("extraction_pressure")).unwrap();
        assert!(at("extraction_temperature") > saturation + 50.0, "{id}");
    }
    let tank = steam::t_sat(run.get("open4.shell_pressure")).unwrap();
    assert!((run.get("open4.fw_out_temperature") - tank).abs() < 1e-6);
    let discharge = run.get("unit.feed_pump_discharge");
    let drum = run.sim.plant().boiler.drum_pressure;
    assert!(discharge > drum + 0.5 && discharge > 1000.0 * 0.006_894_757, "{discharge} MPa, drum {drum} MPa");
}

/// Top heater out at the same throttle flow: output up, heat rate up by 0.5-2.5 %, feedwater temperature down by about
/// that heater's rise (25-45 K usual), the next heater's extraction unchanged or slightly up, reheat and later flows up.
/// Derived from P. K. Nag, Power Plant Engineering, 2nd ed., example 2.6; the bands *memory*.
#[test]
fn top_heater_out() {
    let pair = after(&[trip("hp1")], 60.0);
    let (design, run) = &pair;
    assert!((run.get("unit.throttle_flow") - design.get("unit.throttle_flow")).abs() < 1e-9);
    let more = share("unit.gross_output", &pair);
    assert!(more > 0.01 && more < 0.08, "output by {more}");
    let worse = share("unit.heat_rate", &pair);
    assert!(worse > 0.005 && worse < 0.025, "heat rate by {worse}");
    let rise = design.get("hp1.fw_out_temperature") - design.get("hp1.fw_in_temperature");
    let fall = -change("unit.final_fw_temperature", &pair);
    assert!(
        (25.0..45.0).contains(&rise) && (fall / rise - 1.0).abs() < 0.2,
        "{fall} K, the rise was {rise} K"
    );
    let next = share("hp2.extraction_flow", &pair);
    assert!(next > -0.01 && next < 0.15, "next extraction by {next}");
    for later in ["hp3", "open4", "lp5", "lp6", "lp7"] {
        assert!(change(&format!("{later}.extraction_flow"), &pair) > 0.0, "{later}");
    }
    assert!(run.sim.outputs().turbine.reheat_flow > design.sim.outputs().turbine.reheat_flow);
    // The colder feedwater is paid for with fuel.
    assert!(change("unit.fuel_flow", &pair) > 0.0 && change("unit.co2", &pair) > 0.0);
}

/// ... and it is watched: hardly begun after a quarter of a minute, nine tenths there within one to three minutes
/// (*practice*: valve strokes, the metal's heat, the water's way).
#[test]
fn the_feedwater_temperature_falls_over_one_to_three_minutes() {
    let whole = -change("unit.final_fw_temperature", &after(&[trip("hp1")], 60.0));
    let (design, mut run) = after(&[trip("hp1")], 0.25);
    let fall = |run: &Run| design.get("unit.final_fw_temperature") - run.get("unit.final_fw_temperature");
    assert!(fall(&run) < 0.1 * whole, "{} K after 15 s", fall(&run));
    let took = 15.0 + run.until(600, |run| fall(run) > 0.9 * whole).unwrap();
    assert!((60.0..=180.0).contains(&took), "{took} s");
}

/// *Practice*: the tripped heater's drain no longer arrives at the next; upstream heater out, less drain arrives below
/// and the heater below takes more steam.
#[test]
fn upstream_heater_out() {
    let pair = after(&[trip("hp1")], 30.0);
    assert_eq!(pair.1.get("hp2.drain_in_flow"), 0.0);
    assert!(change("hp2.extraction_flow", &pair) > 0.0);
    assert!(share("hp3.drain_in_flow", &pair) < -0.3);
    let pair = after(&[trip("hp2")], 30.0);
    assert_eq!(pair.1.get("hp3.drain_in_flow"), 0.0);
    assert!(share("hp3.extraction_flow", &pair) > 0.1);
    // A heater that is out takes no drain either: the one above sends its own to the condenser.
    assert_eq!(pair.1.get("hp1.normal_drain_flow"), 0.0);
    let (sent, taken) = (pair.1.get("hp1.emergency_drain_flow"), pair.1.get("hp1.extraction_flow"));
    assert!((sent / taken - 1.0).abs() < 0.01, "{sent} of {taken} kg/s");
}

/// *Practice*: a middle extraction isolated, the heater above gets colder water and takes more steam, and the steam that
/// is not taken passes the turbine.
#[test]
fn middle_extraction_isolated() {
    for (isolated, above) in [("hp2", "hp1"), ("hp3", "hp2"), ("lp6", "lp5"), ("lp7", "lp6")] {
        let pair = after(&[isolate(isolated)], 30.0);
        assert_eq!(pair.1.get(&format!("{isolated}.extraction_flow")), 0.0);
        assert!(change(&format!("{above}.fw_in_temperature"), &pair) < -10.0, "{above}");
        let more = share(&format!("{above}.extraction_flow"), &pair);
        assert!(more > 0.2 && more < 1.5, "{above} by {more}");
        // The heaters above make up for most of it: the boiler's feedwater is colder, but by far less.
        let fall = -change("unit.final_fw_temperature", &pair);
        assert!(fall > 0.0 && fall < 12.0, "{isolated}: {fall} K");
        // Its water still passes: isolated is not bypassed.
        assert_eq!(pair.1.get(&format!("{isolated}.bypass")), 0.0);
    }
}

/// *Practice*: a level held too high takes condensing surface and cools the drain longer: TTD up, DCA down. Held too low, it
/// uncovers the drain cooler: DCA up, TTD hardly moves, and the flashing drain needs a wider valve. In between nothing
/// shows.
#[test]
fn level_held_off_normal() {
    for id in ["hp1", "hp2", "lp5", "lp7"] {
        let at = |mm: f64| {
            let request = Request { setpoint: Some(mm), ..Request::default() };
            let pair = after(&[set(&format!("{id}.normal_drain"), &request)], 15.0);
            assert!((pair.1.get(&format!("{id}.level")) - mm).abs() < 2.0, "{id} at {mm} mm");
            ["ttd", "dca", "normal_drain_valve"].map(|what| change(&format!("{id}.{what}"), &pair))
        };
        let [high, higher, low] = [50.0, 60.0, -80.0].map(at);
        assert!(high[0] > 0.01 && higher[0] > high[0] + 0.01, "{id}: TTD by {}, {} K", high[0], higher[0]);
        assert!(high[1] < -0.05 && higher[1] < high[1] - 0.05, "{id}: DCA by {}, {} K", high[1], higher[1]);
        assert!(low[0].abs() < 0.1 && low[1] > 0.5, "{id}: TTD by {}, DCA by {} K", low[0], low[1]);
        assert!(low[2] > 0.002, "{id}: drain valve by {}", low[2]);
        for between in [30.0, -30.0].map(at) {
            assert!(between[0].abs() < 0.02 && between[1].abs() < 0.02, "{id}: {between:?}");
        }
    }
}

/// *Practice*: tubes flooded, TTD rises.
#[test]
fn tubes_flooded() {
    let (design, mut run) = after(&[normal_drain("lp5", 0.0), emergency_drain("lp5", 0.0)], 0.0);
    let mut last = design.get("lp5.ttd");
    for share in [0.02, 0.04, 0.06, 0.08] {
        run.until(600, |run| run.get("lp5.flooded") > share).unwrap();
        assert_eq!(run.get("lp5.mode"), 0.0, "tripped at {share} flooded");
        let now = run.get("lp5.ttd");
        assert!(now > last + 0.05, "TTD {now} K at {share} flooded, {last} K before");
        last = now;
    }
    // High-high level then takes the heater off: steam shut, so that no water reaches the turbine.
    run.until(600, |run| run.get("lp5.non_return_valve") == 0.0).unwrap();
    assert!(run.get("lp5.level") > 130.0 && run.get("lp5.extraction_flow_true") == 0.0);
}

/// *Practice*: drain cooler uncovered, DCA steps up, subcooling is lost, the drain flashes, TTD hardly moves.
#[test]
fn drain_cooler_uncovered() {
    let pair = after(&[normal_drain("hp2", 1.0)], 5.0);
    let run = &pair.1;
    assert!(run.get("hp2.level") < -80.0 && run.get("hp2.drain_cooler_covered") < 0.9);
    assert!(change("hp2.dca", &pair) > 15.0);
    let (was, is) = (
        pair.0.get("hp2.saturation_temperature") - pair.0.get("hp2.drain_temperature"),
        run.get("hp2.saturation_temperature") - run.get("hp2.drain_temperature"),
    );
    assert!(is < 0.2 * was, "subcooled by {is} K, {was} K before");
    assert!(change("hp2.ttd", &pair).abs() < 0.5);
    // The valve stands at nearly twice its opening and passes hardly more: what flashes takes room.
    let (opening, flow) = (share("hp2.normal_drain_valve", &pair), share("hp2.normal_drain_flow", &pair));
    assert!(opening > 0.8 && flow < 0.1, "opening by {opening}, flow by {flow}");
}

/// *Practice*: emergency drain stuck open, level, shell pressure, feedwater temperature and output fall, condenser
/// pressure rises.
#[test]
fn emergency_drain_stuck_open() {
    let pair = after(&[emergency_drain("hp2", 1.0)], 10.0);
    assert!(change("hp2.level", &pair) < -100.0);
    for falls in
        ["hp2.shell_pressure", "hp2.fw_out_temperature", "unit.final_fw_temperature", "unit.gross_output"]
    {
        assert!(change(falls, &pair) < 0.0, "{falls}");
    }
    assert!(change("unit.condenser_pressure", &pair) > 0.0);
    assert!(change("unit.heat_rate", &pair) > 0.0);
    // The steam that now warms the heaters below comes from the turbine.
    assert!(change("hp3.extraction_flow", &pair) > 0.0 && pair.1.get("hp3.drain_in_flow") == 0.0);
}

/// *Practice*: a cascaded drain arrives two-phase: its heat is above that of boiling water at the receiving pressure.
#[test]
fn drains_arrive_two_phase() {
    let run = Run::open(PLANT).unwrap();
    for (from, to) in [("hp1", "hp2"), ("hp2", "hp3"), ("hp3", "open4"), ("lp5", "lp6"), ("lp6", "lp7")] {
        let k = run.closed().iter().position(|id| id == from).unwrap();
        let arriving = run.sim.outputs().closed[k].heater.drain;
        let there = steam::sat_p(run.get(&format!("{to}.shell_pressure"))).unwrap();
        let x = (arriving - there.hf) / there.hfg();
        assert!(x > 0.0 && x < 0.1, "{from} to {to}: steam share {x}");
    }
}

/// *Practice*: at low load there is not enough pressure between neighbours. All shell pressures come down together, the
/// drains' valves open further for the flow that is left, and where the drain has to climb, into the open heater whose
/// store keeps its pressure up while the load falls, it goes to the condenser.
#[test]
fn low_load() {
    let mut run = Run::open(PLANT).unwrap();
    let between = |run: &Run, a: &str, b: &str| {
        run.get(&format!("{a}.shell_pressure")) - run.get(&format!("{b}.shell_pressure"))
    };
    let pairs = [("hp1", "hp2"), ("hp2", "hp3"), ("hp3", "open4"), ("lp5", "lp6"), ("lp6", "lp7")];
    let design: Vec<f64> = pairs.iter().map(|(a, b)| between(&run, a, b)).collect();
    let sent = |run: &Run| run.get("hp3.emergency_drain_flow") > 0.5 && run.get("hp3.level") > 50.0;
    run.command(load(0.25)).unwrap();
    run.until(3600, sent).unwrap();
    // Its own valve is wide open by then: it is the pressure that fails.
    assert!(run.get("hp3.normal_drain_valve") > 0.9);
    run.minutes(90.0).unwrap();
    for ((a, b), was) in pairs.iter().zip(design) {
        assert!(between(&run, a, b) < 0.45 * was, "{a} to {b}: {} of {was} MPa", between(&run, a, b));
    }
    let (heat_rate, reference) = (run.get("unit.heat_rate"), run.sim.balance().heat_rate);
    assert!(heat_rate > 1.05 * reference, "{heat_rate} kJ/kWh at quarter load");
}

/// Storage of at least 10 minutes of full-load feedwater (UFC 3-540-02N).
#[test]
fn storage() {
    let run = Run::open(PLANT).unwrap();
    let stored = run.sim.state().plant.open.tank.mass;
    let minutes = stored / run.get("unit.feed_flow") / 60.0;
    assert!(minutes >= 10.0, "{minutes} min");
}

/// Over a saturated tank at rest the pressure cancels: head available = static head - friction (any pump text).
#[test]
fn suction_head() {
    let run = Run::open(PLANT).unwrap();
    let plant = run.sim.plant();
    let engine::plant::file::Heater::Open(open) = &plant.heaters[3] else {
        panic!("heater 4 is the open one")
    };
    let (open, pumps) = (open.equipment.as_ref().unwrap(), plant.feed_pumps.equipment.as_ref().unwrap());
    let head = open.tank.elevation + open.tank.normal_level - pumps.elevation - open.suction_loss;
    assert!((run.get("unit.suction_head_available") - head).abs() < 1e-6, "{head} m");
    assert!(run.get("unit.suction_head_required") < 0.8 * head);
}

/// *Practice*: when the tank loses pressure, hot water stands in the suction pipe for one transit, and the margin is
/// least then; it comes back when the pipe has been flushed.
#[test]
fn suction_head_while_the_tank_loses_pressure() {
    let mut run = Run::open(PLANT).unwrap();
    let rest = run.get("unit.suction_head_available");
    run.command(load(0.5)).unwrap();
    run.minutes(10.0).unwrap();
    let falling = run.get("unit.suction_head_available");
    assert!(run.get("unit.feed_pump_suction_temperature") > run.get("open4.fw_out_temperature") + 0.1);
    assert!(falling < rest - 0.2, "{falling} m while the pressure falls, {rest} m at rest");
    run.minutes(120.0).unwrap();
    // Less flow, less friction: above the head at full load.
    assert!(run.get("unit.suction_head_available") > rest);
}

/// *Practice*: two of three half-duty pumps carry full load, with something in hand.
#[test]
fn two_of_three_pumps_carry_full_load() {
    let mut run = Run::open(PLANT).unwrap();
    let pumps = run.sim.plant().feed_pumps.equipment.as_ref().unwrap();
    assert_eq!((pumps.installed, pumps.running), (3, 2));
    run.command(load(1.05)).unwrap();
    run.minutes(60.0).unwrap();
    let (feed, steam) = (run.get("unit.feed_flow"), run.get("unit.throttle_flow"));
    assert!((feed / steam - 1.0).abs() < 1e-3, "{feed} kg/s of feed for {steam} kg/s of steam");
    assert!(!run.sim.outputs().feed.at_limit);
}

/// *Practice*: more load, more of everything: each pressure, each extraction, the feedwater's temperature.
#[test]
fn all_pressures_follow_the_load() {
    let mut last: Option<Run> = None;
    for share in [0.25, 0.6, 1.05] {
        let mut run = Run::open(PLANT).unwrap();
        run.command(load(share)).unwrap();
        run.minutes(60.0).unwrap();
        if let Some(less) = &last {
            for id in ["hp1", "hp2", "hp3", "open4", "lp5", "lp6", "lp7"] {
                for what in ["shell_pressure", "extraction_flow", "extraction_pressure", "fw_out_temperature"]
                {
                    let signal = format!("{id}.{what}");
                    assert!(run.get(&signal) > less.get(&signal), "{signal} at {share}");
                }
            }
            assert!(run.get("unit.condenser_pressure") > less.get("unit.condenser_pressure"));
            assert!(run.get("unit.gross_output") > less.get("unit.gross_output"));
        }
        last = Some(run);
    }
}

/// *Practice*: a valve given back takes over without a bump.
#[test]
fn releasing_a_drain_does_not_bump_it() {
    let mut run = Run::open(PLANT).unwrap();
    run.command(normal_drain("hp3", 0.5)).unwrap();
    run.seconds(20.0).unwrap();
    let before = run.get("hp3.normal_drain_valve");
    release("hp3").into_iter().for_each(|c| run.command(c).unwrap());
    run.seconds(1.0).unwrap();
    assert!((run.get("hp3.normal_drain_valve") - before).abs() < 0.02);
}
