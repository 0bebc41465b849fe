//! The answer is the plant's, not the step's: halving the step changes no trajectory by more than 0.5 % of span.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_tests::{PLANT, Run, emergency_drain, isolate, load, normal_drain, put_back, release, trip};
use engine::Command;
use engine::malfunction::{Kind, Malfunction};
use engine::signals::Definition;
use engine::train::STEP;
use engine::unit::Hold;
use steam::units::Quantity;

/// Largest difference, over span.
const ALLOWED: f64 = 5e-3;

/// Commands, each given at its second.
struct Script {
    what: &'static str,
    commands: Vec<(usize, Command)>,
    minutes: usize,
    /// Seconds by which the two may come to the same value at different times. The plant itself decides when a sequence
    /// goes on (a valve that is inched open has arrived, a valve that was let go leaves its seat, a non-return valve shuts), and what then moves
    /// crosses its span in seconds, so that a second in half an hour would show as per cents. 0 where nothing of the
    /// kind happens.
    play: usize,
    /// Known to break the promise, with the most they may differ by; one that comes to keep it has to leave this list.
    known: &'static [(&'static str, f64)],
}

/// Of a heater's trip: the steam as its transmitter shows it while the non-return valve shuts in a second. The flow itself
/// keeps the promise; the transmitter's lag is shorter than a step.
const SHOWN: [&[(&str, f64)]; 3] = [
    &[("hp1.extraction_flow", 0.012)],
    &[("hp3.extraction_flow", 0.012)],
    &[("lp6.extraction_flow", 0.012), ("lp7.extraction_flow", 0.012)],
];

/// Values of every signal, second by second. What stands (a pressure, a level, a valve) is read at the end of the second;
/// what flows, the turbine's pressures and how a drain leaves, is the mean of a step and therefore taken as the mean of the second,
/// which steps of any length can tell.
fn record(script: &Script, dt: f64) -> (Run, Vec<Vec<f64>>) {
    let mut run = Run::with_step(PLANT, dt).unwrap();
    let steps = (1.0 / dt).round() as u32;
    let mut rows = Vec::new();
    // Since when each signal says something [s].
    let mut since = vec![0; run.values().len()];
    for second in 0..60 * script.minutes {
        script.commands.iter().filter(|c| c.0 == second).for_each(|c| run.command(c.1.clone()).unwrap());
        let mut row = vec![0.0; run.values().len()];
        for _ in 0..steps {
            run.steps(1).unwrap();
            row.iter_mut().zip(run.values()).for_each(|(sum, v)| *sum += v / f64::from(steps));
        }
        for (k, v) in row.iter_mut().enumerate() {
            let d = &run.definitions()[k];
            if !says_something(&run, d) {
                since[k] = second + 1;
            }
            // A thermometer remembers for a while what said nothing.
            let memory = if measured(d) { MEMORY } else { 0 };
            if since[k] > 0 && second < since[k] + memory {
                *v = f64::NAN;
            } else if !flows(d) {
                *v = run.values()[k];
            }
        }
        rows.push(row);
    }
    (run, rows)
}

/// Whether a signal is the mean of a step.
fn flows(d: &Definition) -> bool {
    use Quantity as Q;
    matches!(d.quantity, Q::MassFlow | Q::MassRate | Q::Power | Q::HeatFlow | Q::HeatRate | Q::MoneyRate)
        || d.id.contains(".extraction_")
        || matches!(name(d), "dca_true" | "drain_temperature_true" | "steam_cooled_temperature")
}

fn name(d: &Definition) -> &str {
    d.id.split('.').next_back().unwrap_or_default()
}

/// Shown by a thermometer, or reckoned of what one shows.
fn measured(d: &Definition) -> bool {
    matches!(name(d), "dca" | "drain_temperature")
}

/// How long a thermometer remembers [s]: ten time constants.
const MEMORY: usize = 50;

/// A mode is a code; how a drain leaves says nothing where next to none does, or next to no water cools it.
fn says_something(run: &Run, d: &Definition) -> bool {
    let at = |what: &str| run.get(&format!("{}.{what}", d.device));
    match name(d) {
        "dca" | "drain_temperature" | "dca_true" | "drain_temperature_true" => {
            let design = run.sim.balance().heaters.iter().find(|h| h.id == d.device);
            let (drain, water) = design.map_or((0.0, 0.0), |h| (h.drain_flow, h.water_flow));
            at("normal_drain_flow") + at("emergency_drain_flow") > 0.1 * drain
                && at("fw_flow_true") > 0.1 * water
        }
        "drain_in_flash" => {
            let design = run.sim.balance().heaters.iter().find(|h| h.id == d.device);
            at("drain_in_flow") > 0.1 * design.map_or(0.0, |h| h.drain_in)
        }
        "steam_cooled_temperature" => {
            let design = run.sim.balance().heaters.iter().find(|h| h.id == d.device);
            at("extraction_flow_true") > 0.1 * design.map_or(0.0, |h| h.extraction_flow)
        }
        _ => !matches!(d.quantity, Quantity::State | Quantity::Residual) && d.id != "unit.time",
    }
}

/// How far `value` lies from what the other run passed through around the same second.
fn apart(value: f64, other: &[Vec<f64>], k: usize) -> f64 {
    let around = other.iter().map(|row| row[k]).filter(|v| v.is_finite());
    let (low, high) = around.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
    // Nothing to compare with: not a number, and never the worst.
    (low - value).max(value - high).max(0.0)
}

/// Runs a script with the step and with half of it, and compares every signal every second.
fn compare(script: &Script) {
    let (run, whole) = record(script, STEP);
    let (_, half) = record(script, 0.5 * STEP);
    let mut all = Vec::new();
    for (k, d) in run.definitions().iter().enumerate() {
        let mut worst = (0.0, 0);
        for (second, row) in half.iter().enumerate() {
            let from = second.saturating_sub(script.play);
            let to = (second + script.play + 1).min(whole.len());
            let x = apart(row[k], &whole[from..to], k) / (d.high - d.low);
            if x.is_finite() && x > worst.0 {
                worst = (x, second + 1);
            }
        }
        all.push((d.id.as_str(), worst));
    }
    all.sort_by(|a, b| b.1.0.total_cmp(&a.1.0));
    let say = |(id, w): &(&str, (f64, usize))| format!("{id}: {:.3} % of span at {} s", 100.0 * w.0, w.1);
    // Shown by `--nocapture`: how near the worst come.
    let what = script.what;
    println!("{what}: {:?}", all.iter().take(4).map(say).collect::<Vec<_>>());
    let wrong = |(id, w): &&(&str, (f64, usize))| match script.known.iter().find(|k| k.0 == *id) {
        Some(k) => !(w.0 > ALLOWED && w.0 < k.1),
        None => w.0 > ALLOWED,
    };
    let found: Vec<String> = all.iter().filter(wrong).map(say).collect();
    assert!(found.is_empty(), "{what}, against {ALLOWED}: {found:#?}");
    // The two did not run the same steps: otherwise the comparison says nothing.
    assert!(all[0].1.0 > 1e-6, "{what}: no signal tells the steps apart");
}

fn at_once(what: &'static str, command: Command) -> Script {
    Script { what, commands: vec![(10, command)], minutes: 15, play: 0, known: &[] }
}

#[test]
fn halving_the_step_does_not_change_a_trip() {
    compare(&Script { known: SHOWN[0], ..at_once("top heater tripped", trip("hp1")) });
    compare(&Script { known: SHOWN[1], ..at_once("heater before the open one tripped", trip("hp3")) });
    compare(&Script { known: SHOWN[2], ..at_once("group tripped", trip("lp6")) });
}

#[test]
fn halving_the_step_does_not_change_an_isolation() {
    compare(&at_once("middle extraction isolated", isolate("hp2")));
    compare(&at_once("low-pressure extraction isolated", isolate("lp5")));
}

#[test]
fn halving_the_step_does_not_change_putting_back() {
    let commands = vec![(10, trip("hp2")), (600, put_back("hp2"))];
    compare(&Script { what: "heater put back", commands, minutes: 60, play: 1, known: &[] });
}

#[test]
fn halving_the_step_does_not_change_a_change_of_load() {
    compare(&Script { minutes: 25, ..at_once("load to 60 %", load(0.6)) });
    let commands = vec![(10, load(0.3)), (900, load(1.0))];
    compare(&Script { what: "load to 30 % and back", commands, minutes: 40, play: 0, known: &[] });
}

#[test]
fn halving_the_step_does_not_change_a_drain_by_hand() {
    compare(&at_once("normal drain stuck shut", normal_drain("hp3", 0.0)));
    let mut commands = vec![(10, emergency_drain("hp1", 1.0))];
    commands.extend(release("hp1").map(|c| (300, c)));
    compare(&Script { what: "emergency drain open for a while", commands, minutes: 15, play: 1, known: &[] });
}

#[test]
fn halving_the_step_does_not_change_a_turbine_trip() {
    compare(&Script { play: 1, known: &[], ..at_once("turbine tripped", Command::TripTurbine) });
    let commands = vec![(10, Command::TripTurbine), (300, Command::ResetTurbine), (330, load(0.6))];
    compare(&Script { what: "turbine tripped, reset, loaded", commands, minutes: 30, play: 1, known: &[] });
}

#[test]
fn halving_the_step_does_not_change_a_load_rejection() {
    let malfunction = Malfunction {
        kind: Kind::LoadRejection,
        device: "unit".into(),
        size: None,
        delay_s: 0.0,
        ramp_s: 0.0,
    };
    compare(&Script {
        play: 1,
        known: &[],
        ..at_once("load rejected", Command::InsertMalfunction { malfunction })
    });
}

#[test]
fn halving_the_step_does_not_change_a_held_output() {
    let commands = vec![(10, Command::SetHold { hold: Hold::GrossOutput }), (20, trip("hp1"))];
    compare(&Script {
        what: "top heater tripped, output held",
        commands,
        minutes: 20,
        play: 0,
        known: SHOWN[0],
    });
}

/// The comparison itself: a value half a per cent and a little off, or two seconds late, is noticed.
#[test]
fn a_difference_would_be_noticed() {
    let rows: Vec<Vec<f64>> = [1.0, 2.0, 3.0].iter().map(|v| vec![*v]).collect();
    assert_eq!(apart(2.0, &rows, 0), 0.0);
    assert!((apart(3.006, &rows, 0) - 0.006).abs() < 1e-12);
    assert!((apart(0.9, &rows, 0) - 0.1).abs() < 1e-12);
    assert!(!apart(1.0, &[vec![f64::NAN]], 0).is_finite());
}
