//! Water that fills a shell goes somewhere, and steam that runs back does what steam does.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::sane::Watch;
use bledsteam_tests::{Run, load};
use engine::Command;
use engine::event::Code;
use engine::heater::BRIM;
use engine::malfunction::{self, Class, Kind};
use engine::{turbine, vessel};

/// A heater whose tubes have broken, with both drains shut and the transmitter that would take it off dead.
fn drown(plant: &str, heater: &str, tubes: f64) -> Run {
    let mut run = Run::open(plant).unwrap();
    run.insert(Kind::LevelLow, &format!("{heater}.level_protection"), None).unwrap();
    run.insert(Kind::NormalDrainFails, heater, Some(0.0)).unwrap();
    run.insert(Kind::EmergencyDrainFails, heater, Some(0.0)).unwrap();
    run.insert(Kind::TubeRupture, heater, Some(tubes)).unwrap();
    run
}

/// Share of a shell that is water.
fn filled(run: &Run, k: usize) -> f64 {
    let q = &run.sim.params().closed[k].heater;
    let s = &run.sim.state().plant.closed[k].heater;
    let whole = q.geometry.whole();
    vessel::water_volume(s.shell.mass, whole, &steam::sat_p(s.pressure).unwrap()) / whole
}

/// A shell is no larger than it is: once full to the brim it sends away as much as comes, however much that is.
#[test]
fn a_full_shell_sends_away_as_much_as_comes() {
    for entry in catalog::PLANTS {
        let closed = Run::open(entry.name).unwrap().closed();
        for heater in [&closed[0], &closed[1], &closed[closed.len() - 1]] {
            let k = closed.iter().position(|id| id == heater).unwrap();
            let mut run = drown(entry.name, heater, 4.0);
            let mut watch = Watch::default();
            let full = |run: &Run| run.sim.outputs().closed[k].heater.carry_over > 0.0;
            let mut waited = 0;
            while !full(&run) && waited < 1800 {
                run.seconds(1.0).unwrap();
                watch.look(&run).unwrap();
                waited += 1;
            }
            assert!(full(&run), "{}, {heater}: not full after half an hour", entry.name);
            run.minutes(3.0).unwrap();
            let at = |run: &Run| run.sim.state().plant.closed[k].heater.shell.mass;
            let before = at(&run);
            let (mut came, mut left) = (0.0, 0.0);
            for _ in 0..480 {
                run.steps(1).unwrap();
                let c = &run.sim.outputs().closed[k];
                came += (c.leak + c.drain_in + c.heater.steam_flow) * run.sim.params().dt;
                left += (c.heater.carry_over + c.heater.vent) * run.sim.params().dt;
                watch.look(&run).unwrap();
            }
            // To 1e-6 of what came in two minutes.
            assert!((at(&run) - before - (came - left)).abs() < 1e-6 * came, "{}, {heater}", entry.name);
            let fill = filled(&run, k);
            assert!((fill - BRIM).abs() < 2e-3, "{}, {heater}: {fill} of the shell is water", entry.name);
        }
    }
}

/// Steam does not enter through a nozzle that is under water.
#[test]
fn a_full_shell_takes_no_steam() {
    let mut run = drown(bledsteam_tests::PLANT, "hp2", 4.0);
    run.until(1800, |run| run.sim.outputs().closed[1].heater.carry_over > 0.0).unwrap();
    run.minutes(2.0).unwrap();
    assert_eq!(run.get("hp2.extraction_flow"), 0.0);
}

/// Steam back through a heater's line [kg/s].
fn back(run: &Run, heater: &str) -> f64 {
    run.get(&format!("{heater}.reverse_flow"))
}

fn count(run: &Run, code: Code, device: &str) -> usize {
    run.events().iter().filter(|e| e.code == code && e.device == device).count()
}

/// A unit whose turbine trips with non-return valves stuck open, after five minutes at full load.
fn tripped(plant: &str, stuck: &[&str]) -> Run {
    let mut run = Run::open(plant).unwrap();
    for id in stuck {
        run.insert(Kind::NonReturnStuck, id, None).unwrap();
    }
    run.minutes(5.0).unwrap();
    for id in stuck {
        assert_eq!(back(&run, id), 0.0, "{plant}, {id}: at full load steam goes its way");
    }
    run.command(Command::TripTurbine).unwrap();
    run
}

/// All heaters of a plant, the open one among them.
fn heaters(run: &Run) -> Vec<String> {
    malfunction::devices(run.sim.params(), Class::Line)
}

/// With sound non-return valves a turbine trip takes nothing back out of the shells, which hold their pressure while the
/// stages fall to the condenser's (*practice*: in about a second).
#[test]
fn a_sound_non_return_valve_passes_nothing_back_on_a_turbine_trip() {
    for entry in catalog::PLANTS {
        let mut run = tripped(entry.name, &[]);
        let ids = heaters(&run);
        let before: Vec<f64> = ids.iter().map(|id| run.get(&format!("{id}.shell_pressure_true"))).collect();
        for s in 1..=600 {
            run.seconds(1.0).unwrap();
            assert!(ids.iter().all(|id| back(&run, id) == 0.0), "{}, {s} s", entry.name);
            if s == 3 {
                for (id, was) in ids.iter().zip(&before) {
                    let (shell, turbine) = (
                        run.get(&format!("{id}.shell_pressure_true")),
                        run.get(&format!("{id}.extraction_pressure_true")),
                    );
                    let condenser = run.get("unit.condenser_pressure_true");
                    assert!(
                        shell > 0.5 * was && turbine < 1.2 * condenser,
                        "{}, {id}: {shell} {turbine} {condenser}",
                        entry.name
                    );
                }
            }
        }
        assert_eq!((run.get("unit.returned_steam"), run.get("unit.inducted_water")), (0.0, 0.0));
        assert!(run.events().iter().all(|e| !matches!(e.code, Code::ReverseFlow | Code::WaterInduction)));
    }
}

/// Stuck open, steam runs back for minutes, the shell's pressure decays through the line to the condenser's, and the steam
/// works on its way: no more than the expansion allows (isentropic, IAPWS R7-97), and with the generator off it can only
/// drive the shaft. What comes back is counted.
#[test]
fn through_a_stuck_non_return_valve_steam_runs_back_for_minutes_after_a_trip() {
    for (plant, id, kilograms) in [
        ("reheat250", "hp2", 2000.0..3000.0),
        ("drum60", "lp3", 200.0..400.0),
        ("saturated300", "hp1", 2400.0..3600.0),
    ] {
        let mut run = tripped(plant, &[id]);
        let mut sound = tripped(plant, &[]);
        let mut watch = Watch::default();
        let pressure = |run: &Run| run.get(&format!("{id}.shell_pressure_true"));
        // Through the line, and what its open drain takes of that.
        let (mut sum, mut drained, mut last) = (0.0, 0.0, pressure(&run));
        for s in 1..=2400 {
            for _ in 0..4 {
                run.steps(1).unwrap();
                sum += back(&run, id) * run.sim.params().dt;
                drained += run.sim.working(&format!("{id}.line_drain_returned")).unwrap().value
                    * run.sim.params().dt;
            }
            watch.look(&run).unwrap();
            let settled = last < 1.5 * run.get("unit.condenser_pressure_true");
            assert!(settled || pressure(&run) < last, "{plant} {id}, {s} s");
            last = pressure(&run);
            if s == 60 {
                sound.minutes(1.0).unwrap();
                assert!(pressure(&run) < 0.7 * pressure(&sound), "{plant}: {last} {}", pressure(&sound));
                let from = steam::sat_p(last).unwrap();
                let start = steam::state_ph(last, from.hg).unwrap();
                let end = steam::state_ps(run.get("unit.condenser_pressure_true"), start.s).unwrap();
                let (work, most) = (run.get("unit.shaft_power"), back(&run, id) * (start.h - end.h));
                assert!(work > 0.2 * most && work < most, "{plant} {id}: {work} kW of {most}");
                assert!(sound.get("unit.shaft_power") < 0.01 * work);
                assert_eq!(run.get("unit.gross_output"), 0.0, "the generator is off");
            }
            if s == 120 {
                assert!(back(&run, id) > 0.5, "{plant} {id}: after two minutes {} kg/s", back(&run, id));
            }
        }
        assert!(
            (last / run.get("unit.condenser_pressure_true") - 1.0).abs() < 0.5,
            "{plant} {id}: {last} MPa at the end"
        );
        let counted = run.get("unit.returned_steam");
        assert!(
            (counted + drained - sum).abs() < 1e-6 * sum && kilograms.contains(&sum),
            "{plant} {id}: {sum} kg, {counted}, {drained}"
        );
        assert_eq!(count(&run, Code::ReverseFlow, id), 1);
        assert_eq!(count(&run, Code::WaterInduction, id), 0);
    }
}

/// The open heater's line likewise: the tank's pressure falls much faster than with a sound valve, and with the water in the
/// suction pipe still hot the pumps' margin answers.
#[test]
fn the_open_heater_empties_its_steam_through_a_stuck_valve_and_the_suction_head_answers() {
    let open = Run::open(bledsteam_tests::PLANT).unwrap().sim.params().open.id.clone();
    let mut stuck = tripped(bledsteam_tests::PLANT, &[&open]);
    let mut sound = tripped(bledsteam_tests::PLANT, &[]);
    let pressure = |run: &Run| run.get(&format!("{open}.shell_pressure_true"));
    stuck.minutes(3.0).unwrap();
    sound.minutes(3.0).unwrap();
    assert!(back(&stuck, &open) > 10.0 && pressure(&stuck) < 0.8 * pressure(&sound));
    let margin = |run: &Run| run.get("unit.suction_head_margin");
    assert!(margin(&stuck) < margin(&sound) - 5.0, "{} {}", margin(&stuck), margin(&sound));
    assert!(stuck.events().iter().any(|e| e.code == Code::SuctionHeadLow));
    assert_eq!(count(&stuck, Code::ReverseFlow, &open), 1);
}

/// A line chokes backwards as forwards. IEC 60534-2-1, compressible flow: choked, the expansion factor is 2/3 and the
/// pressure ratio no longer counts, so that flow over flow at design follows from pressures and volumes alone. Napier's rule
/// for saturated steam through an orifice (*from memory*, band 6 %): choked flow in proportion to the pressure before it.
#[test]
fn reverse_flow_chokes_by_the_published_equation() {
    let mut run = tripped(bledsteam_tests::PLANT, &["hp2"]);
    let design = &run.sim.balance().heaters[1];
    let (p1, p2) = (design.extraction_pressure, design.pressure);
    let v1 = run.sim.model().turbine_state.points[1].volume;
    let limit = 1.3 / 1.4 * 0.72;
    let x = (p1 - p2) / p1;
    let per_root = design.extraction_flow / ((1.0 - x / (3.0 * limit)) * (x * p1 / v1).sqrt());
    let (mut seen, mut over) = (0, Vec::new());
    for _ in 0..120 {
        run.seconds(1.0).unwrap();
        let (p, behind) = (run.get("hp2.shell_pressure_true"), run.get("hp2.extraction_pressure_true"));
        if run.sim.time() < 303.0 || behind > (1.0 - limit) * p {
            continue;
        }
        let v = steam::sat_p(run.sim.state().plant.closed[1].heater.pressure).unwrap().vg;
        let choked = per_root * 2.0 / 3.0 * (limit * p / v).sqrt();
        let flow = back(&run, "hp2");
        // A shell that holds a breath of gas sends that along.
        assert!((flow / choked - 1.0).abs() < 2e-3, "{flow} kg/s, by the equation {choked}");
        over.push(flow / p);
        seen += 1;
    }
    assert!(seen > 60, "choked in {seen} of 120 s");
    let (least, most) = over.iter().fold((f64::MAX, 0.0_f64), |(a, b), x| (a.min(*x), b.max(*x)));
    assert!(most / least < 1.06, "{least} to {most} kg/s per MPa");
}

/// The trickle of an ordinary swing of load calls nobody.
#[test]
fn a_swing_of_load_is_no_event() {
    let mut run = Run::open(bledsteam_tests::PLANT).unwrap();
    for id in run.closed() {
        run.insert(Kind::NonReturnStuck, &id, None).unwrap();
    }
    for x in [0.6, 1.0, 0.3, 0.9] {
        run.command(load(x)).unwrap();
        run.minutes(20.0).unwrap();
    }
    let called: Vec<_> =
        run.events().iter().filter(|e| matches!(e.code, Code::ReverseFlow | Code::WaterInduction)).collect();
    assert!(called.is_empty(), "{called:?}");
}

/// With the non-return valve stuck and the protection sensor dead a tube rupture gets water into the turbine, and it is said
/// so at the highest priority; with both sensors sound the same rupture does not.
#[test]
fn a_tube_rupture_reaches_the_turbine_only_past_a_dead_sensor_and_a_stuck_valve() {
    let ruptured = |stuck: bool, dead: bool| {
        let mut run = Run::open(bledsteam_tests::PLANT).unwrap();
        if stuck {
            run.insert(Kind::NonReturnStuck, "hp2", None).unwrap();
        }
        if dead {
            run.insert(Kind::LevelLow, "hp2.level_protection", None).unwrap();
        }
        run.insert(Kind::TubeRupture, "hp2", Some(10.0)).unwrap();
        let mut watch = Watch::default();
        for _ in 0..900 {
            run.seconds(1.0).unwrap();
            watch.look(&run).unwrap();
        }
        run
    };
    let run = ruptured(true, true);
    let water = run.get("unit.inducted_water");
    assert!(water > 1000.0, "{water} kg");
    assert_eq!(count(&run, Code::WaterInduction, "hp2"), 1);
    let alarms = &run.sim.params().alarms;
    let at = alarms.iter().position(|a| a.id == "hp2.water_induction").unwrap();
    assert_eq!(alarms[at].priority, engine::alarms::Priority::Critical);
    assert!(run.sim.alarms().iter().any(|a| a.id == "hp2.water_induction"), "it calls");
    for (stuck, dead) in [(true, false), (false, true), (false, false)] {
        let run = ruptured(stuck, dead);
        assert_eq!(run.get("unit.inducted_water"), 0.0, "stuck {stuck}, dead {dead}");
        assert_eq!(count(&run, Code::WaterInduction, "hp2"), 0);
    }
}

/// Water among the steam costs work: by Baumann's factor (one per cent of efficiency for one of moisture), where the same
/// mass of steam would have brought some.
#[test]
fn water_in_the_stages_costs_work() {
    let run = Run::open(bledsteam_tests::PLANT).unwrap();
    let (p, state) = (&run.sim.params().turbine, &run.sim.state().plant);
    let n = state.turbine.points.len();
    let mut taps = vec![turbine::Tap::NONE; n];
    let with = |water: f64, returned: f64, taps: &[turbine::Tap]| {
        let mut s = state.turbine.clone();
        s.joined[1].water = water;
        let inlet = turbine::expansion(p, &mut s, p.throttle, taps, state.condenser.pressure).unwrap();
        let mut lines = vec![turbine::Exchange::default(); n];
        lines[1] = turbine::Exchange { returned, returned_heat: 2800.0 * returned, ..lines[1] };
        (turbine::work(p, &s, inlet, p.throttle, &lines, true), s)
    };
    let (nothing, dry) = with(0.0, 0.0, &taps);
    let (wet, s) = with(0.1 * p.throttle, 0.0, &taps);
    let behind = |s: &turbine::State| (2..=n).map(|g| s.groups[g].0 - s.groups[g].1).sum::<f64>();
    let lost = 1.0 - behind(&s) / behind(&dry);
    // A tenth of the throttle's mass as water: 0.1/1.1 of what passes.
    let share = p.wetness_factor * 0.1 / 1.1;
    // Less than that in all: what one group loses stays in the steam as heat, of which the next makes some work.
    assert!(lost < share && lost > 0.5 * share, "{lost} of {share}");
    assert!(wet.shaft < nothing.shaft, "{} {}", wet.shaft, nothing.shaft);
    // As steam, by a line that lets as much back.
    let (shell, volume) = (20.0, 0.01);
    let line = 0.1 * p.throttle / engine::extraction::back_flow(1.0, shell, volume, 0.0);
    taps[1] = turbine::Tap {
        line,
        shell,
        back: Some(turbine::Back { line, volume, enthalpy: 2800.0 }),
        ..turbine::Tap::NONE
    };
    let (steam, _) = with(0.0, 0.1 * p.throttle, &taps);
    assert!(steam.shaft > nothing.shaft, "{} {}", steam.shaft, nothing.shaft);
}
