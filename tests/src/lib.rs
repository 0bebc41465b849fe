//! What the tests that cross crates share: a plant that runs, its signals by id, commands in few words.
//!
//! The tests themselves lie in `tests/tests`, one file for each promise; those of the page in `tests/browser`.

use engine::command::WhichDrain;
use engine::controller::Request;
use engine::malfunction::{Kind, Malfunction};
use engine::signals::{self, Definition};
use engine::{Command, Event, Fault, Sim};
use std::collections::BTreeMap;

pub mod any_plant;
pub mod kept;
pub mod runnable;
pub mod sane;
pub mod second_law;
pub mod settled;
pub mod soak;
pub mod upset;

/// The plant that most promises are checked on.
pub const PLANT: &str = "reheat250";

/// A running plant and the last values of its signals.
pub struct Run {
    /// The simulator.
    pub sim: Sim,
    definitions: Vec<Definition>,
    index: BTreeMap<String, usize>,
    values: Vec<f64>,
}

impl Run {
    /// A shipped plant at rest at its design point.
    ///
    /// # Errors
    /// What is wrong with the plant.
    pub fn open(plant: &str) -> Result<Run, Fault> {
        Run::with_step(plant, engine::train::STEP)
    }

    /// The same, with steps of `dt` seconds.
    ///
    /// # Errors
    /// What is wrong with the plant or the step.
    pub fn with_step(plant: &str, dt: f64) -> Result<Run, Fault> {
        let plant = catalog::plant(plant).map_err(|mut faults| faults.remove(0))?;
        Ok(Run::of(Sim::with_step(plant, dt)?))
    }

    /// Any plant that is running.
    pub fn of(sim: Sim) -> Run {
        let definitions = signals::definitions(&sim);
        let index = definitions.iter().enumerate().map(|(i, d)| (d.id.clone(), i)).collect();
        let mut run = Run { sim, definitions, index, values: Vec::new() };
        run.read();
        run
    }

    /// Lets something go wrong, at once and in full.
    ///
    /// # Errors
    /// Why it cannot.
    pub fn insert(&mut self, kind: Kind, device: &str, size: Option<f64>) -> Result<(), Fault> {
        let malfunction = Malfunction { kind, device: device.into(), size, delay_s: 0.0, ramp_s: 0.0 };
        self.command(Command::InsertMalfunction { malfunction })
    }

    fn read(&mut self) {
        signals::read(&self.sim, &mut self.values);
    }

    /// Advances by whole steps.
    ///
    /// # Errors
    /// The fault that a step ended in.
    pub fn steps(&mut self, steps: u32) -> Result<(), Fault> {
        self.sim.advance(steps)?;
        self.read();
        Ok(())
    }

    /// Advances by seconds of plant time, to the nearest step.
    ///
    /// # Errors
    /// The fault that a step ended in.
    pub fn seconds(&mut self, seconds: f64) -> Result<(), Fault> {
        self.steps((seconds / self.sim.params().dt).round() as u32)
    }

    /// Advances by minutes of plant time.
    ///
    /// # Errors
    /// The fault that a step ended in.
    pub fn minutes(&mut self, minutes: f64) -> Result<(), Fault> {
        self.seconds(60.0 * minutes)
    }

    /// Advances for at most `seconds`, second by second, until `reached` says so; the seconds it took.
    ///
    /// # Errors
    /// The fault that a step ended in, or that the time has run out.
    pub fn until(&mut self, seconds: u32, mut reached: impl FnMut(&Run) -> bool) -> Result<f64, Fault> {
        for waited in 0..=seconds {
            if reached(self) {
                return Ok(f64::from(waited));
            }
            self.seconds(1.0)?;
        }
        let message = format!("what the test waits for did not come within {seconds} s.");
        Err(Fault::new("waited_in_vain", "test", message, "Look at the signals that it waits for."))
    }

    /// Gives a command.
    ///
    /// # Errors
    /// Why it was refused.
    pub fn command(&mut self, command: Command) -> Result<(), Fault> {
        self.sim.command(&command)?;
        self.read();
        Ok(())
    }

    /// Value of a signal, in its inside unit. A test that misspells an id fails.
    ///
    /// # Panics
    /// When there is no such signal.
    pub fn get(&self, id: &str) -> f64 {
        let known = self.index.get(id);
        assert!(known.is_some(), "no signal is called '{id}'");
        known.map_or(f64::NAN, |&i| self.values[i])
    }

    /// All values, in the order of [`Run::definitions`].
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// What the signals are.
    pub fn definitions(&self) -> &[Definition] {
        &self.definitions
    }

    /// Events since the start.
    pub fn events(&self) -> &[Event] {
        self.sim.events(0)
    }

    /// Ids of the closed heaters, heater 1 first.
    pub fn closed(&self) -> Vec<String> {
        self.sim.params().closed.iter().map(|c| c.heater.id.clone()).collect()
    }
}

/// Takes a heater off.
pub fn trip(heater: &str) -> Command {
    Command::TripHeater { heater: heater.into() }
}

/// Shuts a heater's steam.
pub fn isolate(heater: &str) -> Command {
    Command::IsolateExtraction { heater: heater.into() }
}

/// Puts a heater back.
pub fn put_back(heater: &str) -> Command {
    Command::PutBack { heater: heater.into() }
}

/// Takes the normal drain by hand.
pub fn normal_drain(heater: &str, position: f64) -> Command {
    Command::MoveDrain { heater: heater.into(), valve: WhichDrain::Normal, position }
}

/// Takes the emergency drain by hand.
pub fn emergency_drain(heater: &str, position: f64) -> Command {
    Command::MoveDrain { heater: heater.into(), valve: WhichDrain::Emergency, position }
}

/// Gives both drains back to their controllers.
pub fn release(heater: &str) -> [Command; 2] {
    [WhichDrain::Normal, WhichDrain::Emergency]
        .map(|valve| Command::ReleaseDrain { heater: heater.into(), valve })
}

/// Asks for a load, as a share of design.
pub fn load(fraction: f64) -> Command {
    Command::SetLoad { fraction }
}

/// Asks something of a controller.
pub fn set(id: &str, r: &Request) -> Command {
    Command::SetController {
        id: id.into(),
        mode: r.mode,
        setpoint: r.setpoint,
        output: r.output,
        gain: r.gain,
        integral_time: r.integral_time,
        lowest: r.lowest,
        highest: r.highest,
    }
}
