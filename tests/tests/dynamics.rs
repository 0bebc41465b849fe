//! How fast and how far: the moving plant against solutions that are worked out here by another road. Each says where it
//! comes from; the plant's own figures (volumes, strokes, diameters) are read from its file.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, emergency_drain, isolate, load, normal_drain, trip};
use engine::Command;
use engine::extraction::Source;
use engine::malfunction::Kind;
use engine::open_heater::{self, Inputs};
use engine::plant::file::{ClosedHeater, Heater, OpenHeater};
use engine::train::STEP;

fn open() -> Run {
    Run::open(PLANT).unwrap()
}

fn closed_heater(run: &Run, id: &str) -> ClosedHeater {
    let found = run.sim.plant().heaters.iter().find_map(|h| match h {
        Heater::Closed(c) if c.id == id => Some((**c).clone()),
        _ => None,
    });
    found.unwrap()
}

fn open_heater_of(run: &Run) -> OpenHeater {
    let found = run.sim.plant().heaters.iter().find_map(|h| match h {
        Heater::Open(o) => Some(o.clone()),
        Heater::Closed(_) => None,
    });
    found.unwrap()
}

/// A saturated tank by IAPWS R7-97 itself (the property library's saturation equations, not the engine's table), searched
/// by bisection: pressure [MPa] at which this mass [kg] with this energy [kJ] fills the volume [m³], and t [°C], hf, hg.
fn saturated(mass: f64, energy: f64, volume: f64) -> (f64, [f64; 3]) {
    use seuif97::{OH, OT, OV, px};
    let at = |p: f64| {
        let (vf, vg) = (px(p, 0.0, OV), px(p, 1.0, OV));
        let (uf, ug) = (px(p, 0.0, OH) - 1e3 * p * vf, px(p, 1.0, OH) - 1e3 * p * vg);
        let steam = (volume - mass * vf) / (vg - vf);
        (mass - steam) * uf + steam * ug
    };
    let (mut low, mut high) = (0.001, 10.0);
    for _ in 0..80 {
        let mid = 0.5 * (low + high);
        if at(mid) < energy { low = mid } else { high = mid }
    }
    (low, [px(low, 0.0, OT), px(low, 0.0, OH), px(low, 1.0, OH)])
}

/// Mass, energy and temperature of the steel: as they change, for Runge and Kutta.
type Tank = [f64; 3];

fn along(a: Tank, b: Tank, by: f64) -> Tank {
    [a[0] + by * b[0], a[1] + by * b[1], a[2] + by * b[2]]
}

/// The open heater after its steam is lost, with colder condensate coming in and the pumps drawing as much.
///
/// Textbook: the energy balance of a well-stirred saturated tank, d(m u)/dt = m' h_in - m' h_f - vent h_g - steel (any text on
/// engineering thermodynamics, uniform-state filling and emptying), integrated here by the classical fourth-order
/// Runge-Kutta method in steps of 2 s with the formulation's own saturation equations. Beside it the closed form without
/// steam space, vent and steel: the water's enthalpy nears what comes in as exp(-m' t / m).
#[test]
fn the_tank_loses_its_pressure_as_a_stirred_tank_does() {
    let run = open();
    let (p, mut s) = (run.sim.params().open.clone(), run.sim.state().plant.open.clone());
    let volume = std::f64::consts::PI / 4.0 * 3.4 * 3.4 * 24.0;
    let tank = open_heater_of(&run).equipment.unwrap().tank;
    assert_eq!((tank.diameter, tank.length, tank.tube_share), (3.4, 24.0, 0.0));
    let (flow, cold) = (180.0, steam::liquid_pt(1.0, 120.0).unwrap().h);
    let inputs = Inputs {
        dt: STEP,
        source: Source { pressure: 0.1, enthalpy: 2700.0, volume: 1.7 },
        line: 0.0,
        water_in: flow,
        water_in_heat: flow * cold,
        drain_in: 0.0,
        drain_in_heat: 0.0,
        returned: 0.0,
        warm_up: 0.0,
        warm_up_heat: 0.0,
        vents: 0.0,
        vents_heat: 0.0,
        vents_gas: 0.0,
        water_out: flow,
        back: 0.0,
        pegging: 0.0,
        condition: open_heater::Condition::default(),
    };
    let mut y: Tank = [s.tank.mass, s.tank.energy, s.metal];
    let (p0, [t0, hf0, _]) = saturated(y[0], y[1], volume);
    assert!((p0 / s.pressure - 1.0).abs() < 1e-6, "{p0} MPa by the formulation, {} MPa", s.pressure);
    let first = s.tank.mass;
    let rates = |y: Tank| -> Tank {
        let (pressure, [t, hf, hg]) = saturated(y[0], y[1], volume);
        // A critical orifice, shut below the atmosphere.
        let vent = if pressure > 0.101_325 { p.vent * pressure } else { 0.0 };
        let steel = p.metal_conductance * (t - y[2]);
        [-vent, flow * (cold - hf) - vent * hg - steel, steel / p.metal_capacity]
    };
    let step = 2.0;
    let mut worst: f64 = 0.0;
    for k in 1..=900 {
        for _ in 0..(step / STEP) as u32 {
            open_heater::step(&p, &mut s, &inputs).unwrap();
        }
        let a = rates(y);
        let b = rates(along(y, a, 0.5 * step));
        let c = rates(along(y, b, 0.5 * step));
        let d = rates(along(y, c, step));
        for i in 0..3 {
            y[i] += step / 6.0 * (a[i] + 2.0 * b[i] + 2.0 * c[i] + d[i]);
        }
        let (pressure, [t, ..]) = saturated(y[0], y[1], volume);
        worst = worst.max((s.pressure / pressure - 1.0).abs());
        if k % 300 == 0 {
            // Steam space and steel give back heat: slower than the water alone, but not by much.
            let alone = cold + (hf0 - cold) * steam::math::exp(-flow * step * f64::from(k) / first);
            let water = steam::state_ph(2.0, alone).unwrap().t;
            let fallen = (t0 - t, t0 - water);
            assert!(
                fallen.0 < fallen.1 && fallen.0 > 0.9 * fallen.1,
                "after {k} x 2 s fallen by {fallen:?} K"
            );
        }
    }
    println!("worst difference of pressure over half an hour: {worst:e}");
    // The step is implicit, of first order: half a step in the tank's quarter of an hour.
    assert!(worst < 2e-4, "{worst}");
    assert!(s.pressure < 0.6 * p0, "{} of {p0} MPa: it has to fall to say something", s.pressure);
}

/// Cross-section of a lying cylinder below a height [m²], by adding up its chords: the engine has a closed form.
fn below(radius: f64, height: f64) -> f64 {
    let n = 4000;
    let each = height / f64::from(n);
    (0..n)
        .map(|i| {
            let y = (f64::from(i) + 0.5) * each - radius;
            2.0 * (radius * radius - y * y).max(0.0).sqrt() * each
        })
        .sum()
}

/// A shell's level after a step of its drain, down and up again: what came in and went out, added up, in the shell's own
/// geometry (chords added up, turned round by bisection) with steam above the water. Arithmetic; conservation of mass.
#[test]
fn a_shell_s_level_is_the_integral_of_its_flows() {
    for id in ["hp2", "hp3", "lp5"] {
        let mut run = open();
        let shell = closed_heater(&run, id).equipment.unwrap().shell;
        let (radius, free) = (0.5 * shell.diameter, shell.length * (1.0 - shell.tube_share));
        let whole = below(radius, shell.diameter) * free;
        let get = |run: &Run, what: &str| run.get(&format!("{id}.{what}"));
        // Water stands where the level says; steam fills the rest.
        let densities = |run: &Run| {
            let sat = steam::sat_p(get(run, "shell_pressure_true")).unwrap();
            (1.0 / sat.vf, 1.0 / sat.vg)
        };
        let (water, vapour) = densities(&run);
        let filled = below(radius, shell.normal_level) * free;
        let mut held = filled * water + (whole - filled) * vapour;
        let (mut worst, mut range): (f64, (f64, f64)) = (0.0, (0.0, 0.0));
        let opened = get(&run, "normal_drain_valve");
        for step in 0..4 * 120 {
            match step {
                0 => run.command(normal_drain(id, (opened + 0.3).min(1.0))).unwrap(),
                120 => run.command(normal_drain(id, 0.3 * opened)).unwrap(),
                _ => {}
            }
            run.steps(1).unwrap();
            let came = get(&run, "extraction_flow_true") + get(&run, "drain_in_flow");
            let went =
                get(&run, "normal_drain_flow") + get(&run, "emergency_drain_flow") + get(&run, "vent_flow");
            held += STEP * (came - went);
            if step % 20 == 19 {
                let (water, vapour) = densities(&run);
                let volume = (held - vapour * whole) / (water - vapour);
                let (mut low, mut high) = (0.0, shell.diameter);
                for _ in 0..40 {
                    let mid = 0.5 * (low + high);
                    if below(radius, mid) * free < volume { low = mid } else { high = mid }
                }
                let told = 1e3 * (low - shell.normal_level);
                let shown = get(&run, "level_true");
                worst = worst.max((told - shown).abs());
                range = (range.0.min(shown), range.1.max(shown));
            }
        }
        println!("{id}: level from {range:?} mm, {worst} mm from the integral");
        assert!(range.0 < -10.0 && range.1 > 15.0, "{id}: {range:?}");
        assert!(worst < 0.01, "{id}: {worst} mm");
    }
}

/// A pipe in the plant: signals at inlet and outlet, its volume [m³], density [kg/m³] and flow, and what is done.
struct Way {
    what: &'static str,
    inlet: &'static str,
    outlet: &'static str,
    flow: &'static str,
    holds: f64,
    done: Command,
    seconds: u32,
}

/// What leaves a pipe went in one pipe volume earlier (plug flow; arithmetic): volume over flow. Water's density by
/// IAPWS R7-97 at what it has at rest. The lag at which the outlet repeats the inlet best is that, within the mixing
/// that the pipe is given (1/48 of it) and a step; a fifth off it, the two do not agree.
#[test]
fn a_front_arrives_after_volume_over_flow() {
    let run = open();
    let density = |signal: &str, pressure: f64| 1.0 / steam::liquid_pt(pressure, run.get(signal)).unwrap().v;
    let discharge = run.get("unit.feed_pump_discharge");
    let feed_line = run.sim.plant().boiler.equipment.as_ref().unwrap().feed_line_volume;
    let hp1 = closed_heater(&run, "hp1").equipment.unwrap().outlet_pipe;
    let hp2 = closed_heater(&run, "hp2").equipment.unwrap().outlet_pipe;
    let lp6 = closed_heater(&run, "lp6").equipment.unwrap().outlet_pipe;
    let suction = open_heater_of(&run).equipment.unwrap().suction_pipe;
    let ways = [
        Way {
            what: "feed line",
            inlet: "hp1.fw_out_temperature",
            outlet: "unit.final_fw_temperature",
            flow: "unit.feed_flow",
            // The heater's own outlet pipe comes before it.
            holds: (feed_line + hp1) * density("unit.final_fw_temperature", discharge),
            done: isolate("hp1"),
            seconds: 240,
        },
        Way {
            what: "heater 2 to heater 1",
            inlet: "hp2.fw_out_temperature",
            outlet: "hp1.fw_in_temperature",
            flow: "unit.feed_flow",
            holds: hp2 * density("hp2.fw_out_temperature", discharge),
            done: isolate("hp2"),
            seconds: 240,
        },
        Way {
            what: "heater 6 to heater 5",
            inlet: "lp6.fw_out_temperature",
            outlet: "lp5.fw_in_temperature",
            flow: "unit.condensate_flow",
            holds: lp6 * density("lp6.fw_out_temperature", 1.5),
            done: isolate("lp6"),
            seconds: 240,
        },
        Way {
            what: "suction pipe",
            inlet: "open4.fw_out_temperature",
            outlet: "unit.feed_pump_suction_temperature",
            flow: "unit.feed_flow",
            holds: suction * density("open4.fw_out_temperature", 1.0),
            done: load(0.8),
            seconds: 900,
        },
    ];
    for way in ways {
        let mut run = open();
        run.command(way.done.clone()).unwrap();
        // Water passed [kg], inlet and outlet [°C], step by step.
        let mut rows = vec![(0.0, run.get(way.inlet), run.get(way.outlet))];
        for _ in 0..4 * way.seconds {
            run.steps(1).unwrap();
            let passed = rows.last().unwrap().0 + STEP * run.get(way.flow);
            rows.push((passed, run.get(way.inlet), run.get(way.outlet)));
        }
        // The friction in the pipe warms the water a little: what stays the same is no part of a front.
        let rest = rows[0].2 - rows[0].1;
        let moved = rows.iter().map(|r| (r.1 - rows[0].1).abs()).fold(0.0, f64::max);
        let apart = |held: f64| {
            let mut sum = 0.0;
            let mut k = 0;
            for &(passed, _, out) in &rows {
                if passed < held {
                    continue;
                }
                while rows[k + 1].0 < passed - held {
                    k += 1;
                }
                let (a, b) = (rows[k], rows[k + 1]);
                let share = (passed - held - a.0) / (b.0 - a.0);
                let went = a.1 + share * (b.1 - a.1) + rest;
                sum += (out - went) * (out - went);
            }
            (sum / rows.len() as f64).sqrt()
        };
        let best = (50..200)
            .map(|k| f64::from(k) / 100.0)
            .min_by(|a, b| apart(a * way.holds).total_cmp(&apart(b * way.holds)));
        let best = best.unwrap();
        let (at, early, late) = (apart(way.holds), apart(0.8 * way.holds), apart(1.2 * way.holds));
        let transit = way.holds / run.get(way.flow);
        println!(
            "{}: {transit:.1} s, best at {best} of it; {at:.4} K, {early:.4} and {late:.4} K a fifth off",
            way.what
        );
        // A grain of 1/48, half of it on the mean, and a step either way.
        let allowed = 1.0 / 48.0 + 2.0 * STEP / transit + 0.01;
        assert!((best - 1.0).abs() < allowed, "{}: arrives after {best} of {transit} s", way.what);
        assert!(
            moved > 0.5 && early > 3.0 * at && late > 3.0 * at,
            "{}: {moved} K, {at} {early} {late}",
            way.what
        );
    }
}

/// Seconds from a command until a signal stands at `end`, and whether it moved evenly on the way.
fn stroke(run: &mut Run, signal: &str, end: f64) -> f64 {
    let from = run.get(signal);
    let mut rows = vec![from];
    while run.get(signal) != end {
        assert!(rows.len() < 2000, "{signal} does not come to {end}: {:?}", rows.last());
        run.steps(1).unwrap();
        rows.push(run.get(signal));
    }
    // Where it has begun to move, at one speed.
    let moving: Vec<f64> = rows.windows(2).map(|w| w[1] - w[0]).filter(|d| *d != 0.0).collect();
    let inner = &moving[1..moving.len().max(2) - 1];
    let (low, high) = inner.iter().fold((f64::MAX, f64::MIN), |(l, h), d| (l.min(*d), h.max(*d)));
    assert!(inner.is_empty() || high - low < 1e-9, "{signal} moves unevenly: {low} to {high} a step");
    moving.len() as f64 * STEP / (end - from).abs()
}

/// Every valve takes the stroke time of its data sheet (the plant file), to a step, at one speed.
#[test]
fn valves_take_their_stroke_times() {
    let near = |what: &str, took: f64, stroke: f64| {
        println!("{what}: {took} s for a whole stroke, {stroke} s in the plant file");
        assert!(
            (took - stroke).abs() <= STEP * (1.0 + took / stroke),
            "{what}: {took} s instead of {stroke} s"
        );
    };
    let hp1 = closed_heater(&open(), "hp1").equipment.unwrap();
    let mut run = open();
    run.command(normal_drain("hp1", 1.0)).unwrap();
    let took = stroke(&mut run, "hp1.normal_drain_valve", 1.0);
    // Over less than half a stroke a step counts twice.
    assert!((took / hp1.normal_drain.stroke - 1.0).abs() < 0.06, "{took}");
    run.command(emergency_drain("hp1", 1.0)).unwrap();
    near("emergency drain", stroke(&mut run, "hp1.emergency_drain_valve", 1.0), hp1.emergency_drain.stroke);
    run.command(normal_drain("hp1", 0.0)).unwrap();
    near("normal drain", stroke(&mut run, "hp1.normal_drain_valve", 0.0), hp1.normal_drain.stroke);
    let mut run = open();
    run.command(trip("hp1")).unwrap();
    near("non-return valve", stroke(&mut run, "hp1.non_return_valve", 0.0), hp1.extraction.non_return_close);
    let mut run = open();
    run.command(trip("hp1")).unwrap();
    near("stop valve", stroke(&mut run, "hp1.stop_valve", 0.0), hp1.extraction.stop_stroke);
    let mut run = open();
    run.command(trip("hp1")).unwrap();
    near("bypass", stroke(&mut run, "hp1.bypass", 1.0), run.sim.plant().bypass_stroke);
    let mut run = open();
    run.command(Command::TripTurbine).unwrap();
    near(
        "turbine stop valves",
        stroke(&mut run, "unit.main_stop_valve", 0.0),
        run.sim.plant().turbine.stop_valve_stroke,
    );
    let mut run = open();
    run.insert(Kind::RecirculationStuckOpen, "fp1", None).unwrap();
    let pumps = run.sim.plant().feed_pumps.equipment.clone().unwrap();
    near("minimum flow", stroke(&mut run, "fp1.recirculation_valve", 1.0), pumps.recirculation_stroke);
}

/// Affinity laws (any pump text): a tripped feed pump coasts against nothing but the resistance of its minimum-flow line,
/// whose loss goes with the square of the flow. So its flow falls with the speed and its power with the cube of it, but
/// for the metre or so that friction in the common suction pipe takes; the speed halves in the time that the plant file
/// gives, and again in twice that.
#[test]
fn a_coasting_pump_follows_the_affinity_laws() {
    let mut run = open();
    run.insert(Kind::FeedPumpTrip, "fp1", None).unwrap();
    let (n0, q) = (run.get("fp1.speed"), run.sim.params().feed_pumps.clone());
    let coast = run.sim.plant().feed_pumps.equipment.as_ref().unwrap().coast_down;
    let mut rows = Vec::new();
    for _ in 0..4 * 60 {
        // Friction of what all pumps drew in the step before is what this one has to do besides.
        let drawn = run.sim.state().plant.feed.drawn / q.design_drawn;
        run.steps(1).unwrap();
        let [n, flow, power] =
            ["speed", "pump_flow_true", "power"].map(|what| run.get(&format!("fp1.{what}")));
        rows.push((run.sim.time(), n / q.speed, flow, power, q.suction_loss * drawn * drawn));
        let open = run.get("fp1.recirculation_valve");
        assert!(open == 1.0 || run.sim.time() < 5.0, "the minimum-flow valve is open by now");
    }
    let reaches = |share: f64| *rows.iter().find(|r| r.1 * q.speed <= share * n0).unwrap();
    let (half, quarter, eighth) = (reaches(0.5), reaches(0.25), reaches(0.125));
    // n = n0 / (1 + n0 t / T): from a half to a quarter takes twice as long as to the half.
    for (row, times) in [(half, 1.0), (quarter, 3.0), (eighth, 7.0)] {
        let due = times * coast * q.speed / n0;
        assert!((row.0 - due).abs() <= 2.0 * STEP, "{row:?}, {due} s");
    }
    let shutoff = q.curve.shutoff * q.curve.head;
    for (fast, slow) in [(half, quarter), (quarter, eighth)] {
        let (speeds, flows, powers) = (slow.1 / fast.1, slow.2 / fast.2, slow.3 / fast.3);
        let left = |r: (f64, f64, f64, f64, f64)| (shutoff * r.1 * r.1 - r.4).sqrt();
        let exact = left(slow) / left(fast);
        println!("speed {speeds}, flow {flows} ({exact} by hand), power {powers}");
        assert!((flows / exact - 1.0).abs() < 1e-3, "flow {flows}, by hand {exact}");
        assert!((flows / speeds - 1.0).abs() < 0.02, "flow {flows}, speed {speeds}");
        assert!((powers / (speeds * speeds * speeds) - 1.0).abs() < 0.04, "power {powers}, speed {speeds}");
    }
    assert!(quarter.2 > 1.0, "{} kg/s", quarter.2);
}
