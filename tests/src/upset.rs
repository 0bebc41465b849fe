//! Upsets at random: what a trainee with no plan might do to a plant, at any load, for up to an hour.

use crate::{Run, emergency_drain, isolate, load, normal_drain, put_back, set, trip};
use engine::command::WhichDrain;
use engine::controller::{Mode, Request, Settings};
use engine::event::Device;
use engine::local::HandValve;
use engine::malfunction::{self, Class, Kind, Malfunction, SPECS, Spec};
use engine::train::Params;
use engine::unit::Hold;
use engine::{Command, Fault};
use proptest::prelude::*;
use proptest::test_runner::{FileFailurePersistence, RngSeed};

/// Sets how many cases a property is tried on; they are then new ones at every run.
pub const CASES: &str = "BLEDSTEAM_CASES";
/// Cases without that setting: always the same ones, so that a check passes or fails for a reason in the change.
const FEW: u32 = 24;

/// Some commands, each after a pause, from a load.
#[derive(Clone, Debug)]
pub struct Upset {
    /// Load asked for at the start.
    pub load: f64,
    /// Seconds to wait, then what to ask.
    pub script: Vec<(u32, Act)>,
    /// Seconds to go on afterwards.
    pub rest: u32,
}

/// A command with its heater by number, so that it fits any plant.
#[derive(Clone, Debug)]
pub enum Act {
    /// Trips a heater.
    Trip(usize),
    /// Isolates its extraction.
    Isolate(usize),
    /// Puts it back.
    PutBack(usize),
    /// Takes its normal drain by hand.
    Normal(usize, f64),
    /// Takes its emergency drain by hand.
    Emergency(usize, f64),
    /// Gives the normal drain back.
    ReleaseNormal(usize),
    /// Gives the emergency drain back.
    ReleaseEmergency(usize),
    /// Sets the load.
    Load(f64),
    /// Resets protection, where that can be.
    Reset,
    /// Holds something else, by number.
    Hold(usize),
    /// Trips the turbine.
    TripTurbine,
    /// Brings the unit back to the grid.
    ResetTurbine,
    /// Makes something go wrong: kind and device by number, size as a share of its range, delay and ramp [s].
    Break(usize, usize, f64, u32, u32),
    /// Mends something that was broken before, by number.
    Mend(usize),
    /// Makes a heater's non-return valve stick, that of the open heater among them.
    StickNonReturn(usize),
    /// Asks something of a pump: what, and which, by number.
    Pump(usize, usize),
    /// Takes a controller, by number, by hand to a share of its output's range, or back to automatic.
    Control(usize, Option<f64>),
    /// Retunes a controller, by number.
    Retune(usize, Tune),
    /// Sends somebody to a valve, by number, to turn it to a position or to hand it back.
    Local(usize, usize, Option<f64>),
    /// Acknowledges what calls.
    Acknowledge,
}

/// What was broken so far, by kind and device.
pub type Broken = Vec<(Kind, String)>;

/// A retune that the desk accepts.
#[derive(Clone, Copy, Debug)]
pub struct Tune {
    /// Setpoint, as a share of its range.
    setpoint: Option<f64>,
    /// Gain over the file's, as a power of ten.
    gain: Option<f64>,
    /// Integral time [s], as a power of ten.
    integral_time: Option<f64>,
    /// Two ends of what the output is limited to, as shares of its range: apart, or there is nothing to move in.
    limits: Option<(f64, f64)>,
}

impl Tune {
    /// The command to a controller with these settings.
    pub fn command(&self, c: &Settings) -> Command {
        let setpoint = self.setpoint.map(|share| between(c.setpoints, share));
        let gain = self.gain.map(|e| steam::math::pow(10.0, e).clamp(0.01, 100.0) * c.gain);
        let integral_time = self.integral_time.map(|e| steam::math::pow(10.0, e).clamp(1.0, 1e5));
        let limits = self.limits.map(|(a, b)| (between(c.limits, a.min(b)), between(c.limits, a.max(b))));
        let request = Request {
            setpoint,
            gain,
            // One that is proportional only has none.
            integral_time: integral_time.filter(|_| c.integral_time.is_some()),
            lowest: limits.map(|l| l.0),
            highest: limits.map(|l| l.1),
            ..Request::default()
        };
        set(&c.id, &request)
    }

    /// Two ends of what the output is limited to, as shares of its range, if it is.
    pub fn limits(&self) -> Option<(f64, f64)> {
        self.limits
    }
}

fn between((low, high): (f64, f64), share: f64) -> f64 {
    (low + share * (high - low)).clamp(low, high)
}

impl Act {
    /// The command, on this plant with these closed heaters, after so much was broken: to that it adds.
    pub fn command(&self, params: &Params, closed: &[String], broken: &mut Broken) -> Command {
        let mut insert = |malfunction: Malfunction| {
            broken.push((malfunction.kind, malfunction.device.clone()));
            Command::InsertMalfunction { malfunction }
        };
        let id = |k: &usize| closed[k % closed.len()].as_str();
        match self {
            Act::Trip(k) => trip(id(k)),
            Act::Isolate(k) => isolate(id(k)),
            Act::PutBack(k) => put_back(id(k)),
            Act::Normal(k, x) => normal_drain(id(k), *x),
            Act::Emergency(k, x) => emergency_drain(id(k), *x),
            Act::ReleaseNormal(k) => {
                Command::ReleaseDrain { heater: id(k).into(), valve: WhichDrain::Normal }
            }
            Act::ReleaseEmergency(k) => {
                Command::ReleaseDrain { heater: id(k).into(), valve: WhichDrain::Emergency }
            }
            Act::Load(x) => load(*x),
            Act::Reset => Command::ResetProtection { row: None },
            Act::Hold(k) => Command::SetHold { hold: Hold::ALL[k % Hold::ALL.len()] },
            Act::TripTurbine => Command::TripTurbine,
            Act::ResetTurbine => Command::ResetTurbine,
            Act::Break(kind, k, share, delay, ramp) => {
                let (spec, device) = befallen(params, *kind, *k);
                let malfunction = Malfunction {
                    kind: spec.kind,
                    device,
                    size: spec.size.map(|s| s.low + share * (s.high - s.low)),
                    delay_s: f64::from(*delay),
                    ramp_s: f64::from(*ramp),
                };
                insert(malfunction)
            }
            Act::StickNonReturn(k) => {
                let devices = malfunction::devices(params, Class::Line);
                let device = devices[k % devices.len()].clone();
                let kind = Kind::NonReturnStuck;
                insert(Malfunction { kind, device, size: None, delay_s: 0.0, ramp_s: 0.0 })
            }
            Act::Mend(k) => {
                // Where nothing is broken this is refused.
                let (kind, device) = match broken.len() {
                    0 => (Kind::Fouling, id(k).to_owned()),
                    n => broken.swap_remove(k % n),
                };
                Command::RemoveMalfunction { kind, device }
            }
            Act::Pump(ask, k) => {
                let mut pumps = malfunction::devices(params, Class::FeedPump);
                pumps.extend(malfunction::devices(params, Class::CondensatePump));
                let pump = pumps[k % pumps.len()].clone();
                match ask % 4 {
                    0 => Command::StartPump { pump },
                    1 => Command::StopPump { pump },
                    2 => Command::TakePumpOut { pump },
                    _ => Command::PutPumpBack { pump },
                }
            }
            Act::Control(k, share) => {
                let all = &params.operation.controllers;
                let c = &all[k % all.len()];
                let mode = Some(if share.is_some() { Mode::Manual } else { Mode::Auto });
                let output = share.map(|x| between(c.limits, x));
                set(&c.id, &Request { mode, output, ..Request::default() })
            }
            Act::Retune(k, tune) => {
                let all = &params.operation.controllers;
                tune.command(&all[k % all.len()])
            }
            Act::Local(k, valve, position) => {
                let valve = HandValve::ALL[valve % HandValve::ALL.len()];
                let pumps = params.feed_pumps.installed as usize;
                let device = match valve {
                    HandValve::WarmUp => Device::FeedPump(k % pumps).pump_id(),
                    _ => id(k).into(),
                };
                Command::LocalValve { heater: device, valve, position: *position }
            }
            Act::Acknowledge => Command::AcknowledgeAlarm { alarm: None },
        }
    }
}

/// A kind of malfunction and what it befalls, by number.
fn befallen(p: &Params, kind: usize, device: usize) -> (&'static Spec, String) {
    let spec = &SPECS[kind % SPECS.len()];
    let devices = malfunction::devices(p, spec.class);
    (spec, devices[device % devices.len()].clone())
}

/// Any retune: of one figure, or of all.
pub fn any_tune() -> impl Strategy<Value = Tune> {
    use proptest::option::weighted;
    let ends = |low: f64, high: f64| prop_oneof![1 => Just(low), 1 => Just(high), 4 => low..=high];
    let limits = (ends(0.0, 1.0), ends(0.0, 1.0)).prop_filter("apart", |(a, b)| (a - b).abs() > 1e-6);
    (
        weighted(0.4, ends(0.0, 1.0)),
        weighted(0.6, ends(-2.0, 2.0)),
        weighted(0.6, ends(0.0, 5.0)),
        weighted(0.2, limits),
    )
        .prop_map(|(setpoint, gain, integral_time, limits)| Tune {
            setpoint,
            gain,
            integral_time,
            limits,
        })
}

/// Any upset of at most an hour.
pub fn any() -> impl Strategy<Value = Upset> {
    // The ends of a valve's travel and of the load are asked for as often as everything between.
    let position = || prop_oneof![Just(0.0), Just(1.0), 0.0..=1.0];
    let share = || prop_oneof![1 => Just(0.0), 1 => Just(1.10), 4 => 0.25..=1.05, 1 => 0.0..=0.25];
    let heater = || 0..10_usize;
    let act = prop_oneof![
        3 => heater().prop_map(Act::Trip),
        2 => heater().prop_map(Act::Isolate),
        4 => heater().prop_map(Act::PutBack),
        2 => (heater(), position()).prop_map(|(k, x)| Act::Normal(k, x)),
        2 => (heater(), position()).prop_map(|(k, x)| Act::Emergency(k, x)),
        1 => heater().prop_map(Act::ReleaseNormal),
        1 => heater().prop_map(Act::ReleaseEmergency),
        2 => share().prop_map(Act::Load),
        1 => Just(Act::Reset),
        1 => (0..3_usize).prop_map(Act::Hold),
        2 => heater().prop_map(Act::StickNonReturn),
        2 => Just(Act::TripTurbine),
        3 => Just(Act::ResetTurbine),
        // As many devices as there are transmitters in the largest plant.
        4 => (0..1000_usize, 0..120_usize, position(), 0..60_u32, prop_oneof![Just(0), 0..600_u32])
            .prop_map(|(kind, k, size, delay, ramp)| Act::Break(kind, k, size, delay, ramp)),
        1 => (0..12_usize).prop_map(Act::Mend),
        2 => (0..4_usize, 0..8_usize).prop_map(|(ask, k)| Act::Pump(ask, k)),
        1 => (0..40_usize, proptest::option::of(position())).prop_map(|(k, x)| Act::Control(k, x)),
        2 => (0..40_usize, any_tune()).prop_map(|(k, t)| Act::Retune(k, t)),
        3 => (heater(), 0..HandValve::ALL.len(), proptest::option::weighted(0.8, position()))
            .prop_map(|(k, valve, to)| Act::Local(k, valve, to)),
        1 => Just(Act::Acknowledge),
    ];
    (share(), proptest::collection::vec((0..300_u32, act), 1..12), 300..900_u32)
        .prop_map(|(load, script, rest)| Upset { load, script, rest })
}

/// How often and on what seeds; a failing case is shrunk and kept in a file beside the test, to be tried first until [`any`]
/// draws otherwise: write it down in [`crate::kept`].
pub fn config() -> ProptestConfig {
    let asked = std::env::var(CASES).ok().and_then(|n| n.parse().ok());
    ProptestConfig {
        cases: asked.unwrap_or(FEW),
        rng_seed: if asked.is_some() { RngSeed::Random } else { RngSeed::Fixed(250) },
        failure_persistence: Some(Box::new(FileFailurePersistence::WithSource("regressions"))),
        max_shrink_iters: 300,
        ..ProptestConfig::default()
    }
}

/// Runs an upset and looks at the plant every second. A command may be refused; a step must not fail.
///
/// # Errors
/// A fault of a step, a command that failed otherwise than by refusal, or what `look` found.
pub fn run(plant: &str, upset: &Upset, look: impl FnMut(&Run) -> Result<(), String>) -> Result<(), String> {
    run_on(Run::open(plant).map_err(said)?, upset, look)
}

fn said(f: Fault) -> String {
    format!("{}: {f}", f.code)
}

/// The same on any plant that is running.
///
/// # Errors
/// As [`run`].
pub fn run_on(
    mut run: Run,
    upset: &Upset,
    mut look: impl FnMut(&Run) -> Result<(), String>,
) -> Result<(), String> {
    let closed = run.closed();
    let mut wait = |run: &mut Run, seconds: u32| {
        for _ in 0..seconds {
            run.seconds(1.0).map_err(|f| format!("after {} s: {}", run.sim.time(), said(f)))?;
            look(run).map_err(|found| format!("at {} s: {found}", run.sim.time()))?;
        }
        Ok::<(), String>(())
    };
    run.command(load(upset.load)).map_err(said)?;
    let mut broken = Broken::new();
    for (pause, act) in &upset.script {
        wait(&mut run, *pause)?;
        let command = act.command(run.sim.params(), &closed, &mut broken);
        match run.command(command) {
            Err(f) if !["refused", "in_force", "not_in_force"].contains(&f.code.as_str()) => {
                return Err(said(f));
            }
            _ => {}
        }
    }
    wait(&mut run, upset.rest)
}
