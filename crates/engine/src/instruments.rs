//! Instruments between the plant and everyone who runs it: transmitters with range, lag, noise and resolution, that can
//! drift, stick or fail to an end of their range.
//!
//! Every shell has two for its level, apart from each other: one that the controller and the trainee read, one that
//! protection reads; what else is measured is listed in [`crate::transmitters`]. Nobody but the instructor knows the truth.
//! Levels in mm about normal level, the rest in the inside unit of its quantity.

use crate::in_place::clone_in_place;
use crate::measurements::RateMeter;
use crate::plant::file;
use crate::transmitters::{Of, at};
use serde::{Deserialize, Serialize};
use steam::math;
use steam::units::Quantity;

/// Time in which a transmitter's noise forgets itself [s]: waves and bubbles in the legs of a level measurement
/// (*common practice, no source*).
const NOISE_TIME: f64 = 2.0;

/// How near to what it measures [share of its range] a transmitter has arrived.
const FORGOTTEN: f64 = 1e-10;

/// Which of a shell's two transmitters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// Read by the level controller, the alarms and the trainee.
    Control,
    /// Read by protection.
    Protection,
}

/// Levels with one transmitter for all who read them, behind those of the shells, and its reach either side of normal
/// level [mm] (*common practice, no source*).
const ALONE: [(&str, f64); 2] = [("unit.hotwell_level", 1200.0), ("unit.drum_level", 400.0)];

/// Place of a shell's transmitter in the lists: closed heaters first, highest pressure first, then the open heater.
pub fn place(shell: usize, which: Which) -> usize {
    2 * shell + usize::from(which == Which::Protection)
}

/// One transmitter; never changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Transmitter {
    /// `<heater>.level_control`, `<heater>.level_protection`, or the signal that shows it.
    pub id: String,
    /// What it measures.
    pub quantity: Quantity,
    /// What its signal is drawn over.
    pub span: (f64, f64),
    /// Low end of its range.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// What it measures is the mean of a step.
    pub of_means: bool,
    /// Time constant [s].
    pub lag: f64,
    /// Standard deviation of its noise.
    pub noise: f64,
    /// Smallest difference that it shows; 0: any.
    pub resolution: f64,
}

/// Never changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Params {
    /// Level transmitters, as [`place`] finds them; behind them those of the process, as
    /// [`crate::transmitters::Of`] finds them.
    pub list: Vec<Transmitter>,
    /// How many of them are for levels.
    pub levels: usize,
}

/// What one transmitter remembers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What it measured last.
    truth: f64,
    /// The same, behind its lag.
    sensed: f64,
    /// Its noise now, in standard deviations.
    noise: f64,
    /// What it shows.
    pub indicated: f64,
}

/// Integrated from step to step.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// As in the list.
    pub readings: Vec<Reading>,
    /// How fast each closed heater's outlet temperature moves, of what is shown.
    pub ramps: Vec<RateMeter>,
    /// The generator of noise.
    random: Random,
}

clone_in_place!(State { readings, ramps, random });

/// A transmitter beside the truth.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Beside {
    /// As malfunctions name it.
    pub id: String,
    /// What it measures.
    pub quantity: Quantity,
    /// What it shows.
    pub shown: f64,
    /// What is.
    pub truth: f64,
    /// What it shows too much.
    pub off: f64,
    /// That, as a share of its range: it can be judged beside others.
    pub off_share: f64,
    /// Nothing is wrong with it; what it is off comes of its lag, noise, resolution and range.
    pub sound: bool,
}

/// What is wrong with a transmitter.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Condition {
    /// Shows this much too much.
    pub offset: f64,
    /// Noise on top of its own.
    pub noise: f64,
    /// Shows what it last showed.
    pub stuck: bool,
    /// Stands at an end of its range.
    pub fails_to: Option<End>,
}

/// An end of a transmitter's range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Lowest.
    Low,
    /// Highest.
    High,
}

impl Params {
    /// Two transmitters for each shell, one each for hotwell and drum; `shells` gives id and range [mm] of each.
    pub fn new(settings: &file::Instruments, shells: &[(&str, (f64, f64))]) -> Params {
        let transmitter = |id: String, (low, high): (f64, f64)| Transmitter {
            id,
            quantity: Quantity::LevelOffset,
            span: (low, high),
            low,
            high,
            of_means: false,
            lag: settings.level_lag,
            noise: settings.level_noise,
            resolution: settings.level_resolution,
        };
        let mut list = Vec::new();
        for (id, range) in shells {
            list.extend(
                ["control", "protection"].map(|word| transmitter(format!("{id}.level_{word}"), *range)),
            );
        }
        list.extend(ALONE.map(|(id, reach)| transmitter(id.into(), (-reach, reach))));
        Params { levels: list.len(), list }
    }

    /// The transmitters of the process.
    pub fn process(&self) -> &[Transmitter] {
        self.list.get(self.levels..).unwrap_or_default()
    }
}

/// The true level [mm] that a transmitter, by its place, should show.
pub(crate) fn level_at(place: usize, truth: &[f64]) -> f64 {
    let shells = 2 * truth.len().saturating_sub(ALONE.len());
    let k = if place < shells { place / 2 } else { shells / 2 + place - shells };
    truth.get(k).copied().unwrap_or(0.0)
}

impl State {
    /// All transmitters at rest: those of levels at normal level, those of the process at these truths, the first of which
    /// are of `closed` closed heaters.
    pub fn at_rest(p: &Params, process: &[f64], closed: usize, seed: u64) -> State {
        let mut readings = vec![Reading::default(); p.list.len()];
        for ((r, t), truth) in readings.iter_mut().zip(&p.list).skip(p.levels).zip(process) {
            *r = Reading::at(*truth, t.shown(*truth));
        }
        let outlet = |k: usize| process.get(Of::Closed(k).first(closed) + at::OUTLET).copied().unwrap_or(0.0);
        State {
            readings,
            ramps: (0..closed).map(|k| RateMeter::at(outlet(k))).collect(),
            random: Random(seed),
        }
    }

    /// Lets a transmitter of the process have stood long at a true value.
    pub fn rest(&mut self, p: &Params, k: usize, truth: f64) {
        if let (Some(r), Some(t)) = (self.readings.get_mut(p.levels + k), p.list.get(p.levels + k)) {
            *r = Reading::at(truth, t.shown(truth));
        }
    }

    /// What a transmitter of the process shows.
    pub fn process(&self, p: &Params, k: usize) -> f64 {
        self.readings.get(p.levels + k).map_or(0.0, |r| r.indicated)
    }

    /// What a transmitter shows [mm].
    pub fn level(&self, shell: usize, which: Which) -> f64 {
        self.readings.get(place(shell, which)).map_or(0.0, |r| r.indicated)
    }

    /// What the transmitters of hotwell and drum show [mm].
    pub fn alone(&self, p: &Params) -> [f64; 2] {
        let first = p.levels - ALONE.len();
        [first, first + 1].map(|i| self.readings.get(i).map_or(0.0, |r| r.indicated))
    }

    /// Follows the true levels [mm], two transmitters to a shell, then one each to hotwell and drum, and the truths of the
    /// process, for `dt` seconds.
    pub fn step(&mut self, p: &Params, (levels, process): (&[f64], &[f64]), wrong: &[Condition], dt: f64) {
        let keeps = math::exp(-dt / NOISE_TIME);
        for (i, (r, t)) in self.readings.iter_mut().zip(&p.list).enumerate() {
            let truth = if i < p.levels {
                level_at(i, levels)
            } else {
                process.get(i - p.levels).copied().unwrap_or(r.sensed)
            };
            let wrong = wrong.get(i).copied().unwrap_or_default();
            r.follow(t, truth, dt);
            let noise = t.noise + wrong.noise;
            if noise > 0.0 {
                r.noise = keeps * r.noise + (1.0 - keeps * keeps).sqrt() * self.random.deviate();
            }
            if wrong.stuck {
                continue;
            }
            r.indicated = match wrong.fails_to {
                Some(End::Low) => t.low,
                Some(End::High) => t.high,
                None => t.shown(r.sensed + wrong.offset + noise * r.noise),
            };
        }
        for (k, ramp) in self.ramps.iter_mut().enumerate() {
            let outlet = p.levels + Of::Closed(k).first(0) + at::OUTLET;
            if let Some(r) = self.readings.get(outlet) {
                ramp.step(r.indicated, dt);
            }
        }
    }
}

impl Reading {
    /// At rest at a value, of which so much is shown.
    fn at(truth: f64, indicated: f64) -> Reading {
        Reading { truth, sensed: truth, noise: 0.0, indicated }
    }

    /// Follows what is measured behind a lag [s], as if it had moved evenly over `dt` seconds, or, of what is the mean of a
    /// step as flows are, stood all the while: so the answer hardly depends on how the time is divided. The exponential is a fraction that is good to the second order and quiet without a lag.
    fn follow(&mut self, t: &Transmitter, truth: f64, dt: f64) {
        let lag = t.lag;
        let keeps = lag * lag / (lag * lag + dt * lag + 0.5 * dt * dt);
        let behind = if t.of_means {
            (self.sensed - truth) * keeps
        } else {
            let trail = (truth - self.truth) * lag / dt;
            (self.sensed - self.truth + trail) * keeps - trail
        };
        // What is left of a change that is long past comes to an end.
        self.sensed = if behind.abs() > FORGOTTEN * (t.high - t.low) { truth + behind } else { truth };
        self.truth = truth;
    }
}

impl Transmitter {
    /// What is shown for a value: no finer than the resolution, no farther than the range, where it stands still.
    fn shown(&self, value: f64) -> f64 {
        let fine =
            if self.resolution > 0.0 { (value / self.resolution).round() * self.resolution } else { value };
        fine.clamp(self.low, self.high)
    }
}

/// A small generator of numbers that look random and are the same everywhere: a counter, thoroughly mixed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Random(u64);

impl Random {
    /// Uniform, 0..1.
    fn uniform(&mut self) -> f64 {
        // Step and multipliers of the published generator SplitMix64 (Steele, Lea, Flood 2014); from memory, and held to
        // its statistics below.
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (((z ^ (z >> 31)) >> 11) as f64) / (1u64 << 53) as f64
    }

    /// Mean 0, deviation 1, never beyond 3.5: the sum of four uniform ones, near enough to a bell.
    fn deviate(&mut self) -> f64 {
        let sum: f64 = (0..4).map(|_| self.uniform()).sum();
        (sum - 2.0) * 3.0_f64.sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(lag: f64, noise: f64, resolution: f64) -> Params {
        let settings = file::Instruments {
            level_lag: lag,
            level_noise: noise,
            level_resolution: resolution,
            ..file::Instruments::default()
        };
        Params::new(&settings, &[("hp1", (-400.0, 400.0))])
    }

    fn run(p: &Params, s: &mut State, level: f64, wrong: Condition, seconds: f64) -> f64 {
        for _ in 0..(seconds / 0.25) as usize {
            s.step(p, (&[level, 0.0, 0.0], &[]), &[wrong, Condition::default()], 0.25);
        }
        s.level(0, Which::Control)
    }

    #[test]
    fn a_transmitter_follows_after_its_lag_and_stops_at_its_range() {
        let p = one(2.0, 0.0, 0.0);
        let mut s = State::at_rest(&p, &[], 0, 1);
        let sound = Condition::default();
        let after_one_lag = run(&p, &mut s, 100.0, sound, 2.0);
        assert!((after_one_lag - 63.2).abs() < 3.0, "{after_one_lag}");
        assert!((run(&p, &mut s, 100.0, sound, 40.0) - 100.0).abs() < 1e-3);
        assert_eq!(run(&p, &mut s, 900.0, sound, 40.0), 400.0);
    }

    #[test]
    fn it_drifts_sticks_and_fails_alone() {
        let p = one(1.0, 0.0, 0.0);
        let mut s = State::at_rest(&p, &[], 0, 1);
        let drifted = run(&p, &mut s, 50.0, Condition { offset: -80.0, ..Condition::default() }, 30.0);
        assert!((drifted + 30.0).abs() < 1e-6, "{drifted}");
        let stuck = run(&p, &mut s, 300.0, Condition { stuck: true, ..Condition::default() }, 30.0);
        assert_eq!(stuck, drifted);
        let end = |end| Condition { fails_to: Some(end), ..Condition::default() };
        assert_eq!(run(&p, &mut s, 10.0, end(End::High), 1.0), 400.0);
        assert_eq!(run(&p, &mut s, 10.0, end(End::Low), 1.0), -400.0);
        // Its twin saw the truth all along, and so does it once mended.
        run(&p, &mut s, 10.0, Condition::default(), 40.0);
        assert!((s.level(0, Which::Protection) - 10.0).abs() < 1e-6);
        assert!((s.level(0, Which::Control) - 10.0).abs() < 1e-6);
    }

    #[test]
    fn it_shows_steps_of_its_resolution() {
        let p = one(0.25, 0.0, 0.5);
        let mut s = State::at_rest(&p, &[], 0, 1);
        let shown = run(&p, &mut s, 10.2, Condition::default(), 20.0);
        assert_eq!(shown, 10.0);
    }

    /// Mean and deviation of the noise, whatever the length of the step; and the same seed gives the same noise.
    #[test]
    fn noise_has_the_deviation_asked_for_and_comes_again() {
        let p = one(1.0, 3.0, 0.0);
        for dt in [0.25, 0.05] {
            let n = 200_000;
            let series = |seed| {
                let mut s = State::at_rest(&p, &[], 0, seed);
                (0..n)
                    .map(|_| {
                        s.step(&p, (&[0.0, 0.0, 0.0], &[]), &[], dt);
                        s.level(0, Which::Control)
                    })
                    .collect::<Vec<f64>>()
            };
            let a = series(7);
            assert_eq!(a, series(7));
            assert_ne!(a, series(8));
            let mean = a.iter().sum::<f64>() / f64::from(n);
            let deviation = (a.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / f64::from(n)).sqrt();
            assert!(mean.abs() < 0.15 && (deviation - 3.0).abs() < 0.15, "{dt}: {mean} {deviation}");
        }
    }
}
