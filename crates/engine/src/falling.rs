//! Drains that fall within a step: from heater to heater, to the condenser, and what moisture separator and steam reheater
//! lead to their heaters.

use crate::train::{Params, PlantState};
use std::cmp::Ordering;

/// A stream of mass [kg/s] and heat [kW].
#[derive(Clone, Copy, Debug, Default)]
pub struct Stream {
    /// Mass.
    pub mass: f64,
    /// Heat.
    pub heat: f64,
}

impl Stream {
    /// Joins another to it.
    pub fn add(&mut self, mass: f64, heat: f64) {
        self.mass += mass;
        self.heat += heat;
    }
}

/// Drains that fall within a step.
#[derive(Clone, Debug)]
pub struct Falling {
    /// To the next heater.
    pub cascade: Stream,
    /// To the condenser.
    pub condenser: Stream,
    /// From moisture separator and steam reheater, by heater.
    led: Vec<Stream>,
}

/// What arrives of a drain of moisture separator or steam reheater: what left in the last step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Arrived {
    /// At its heater [kg/s].
    pub there: f64,
    /// At the condenser [kg/s]: where no heater is named, or that heater is off or stands too high.
    pub away: f64,
    /// Enthalpy of both [kJ/kg].
    pub enthalpy: f64,
    /// It was meant for a heater.
    pub meant: bool,
}

impl Arrived {
    /// What went to the condenser instead of its heater [kg/s].
    pub fn astray(&self) -> f64 {
        if self.meant { self.away } else { 0.0 }
    }
}

impl Falling {
    /// Nothing yet, for so many heaters.
    pub fn new(heaters: usize) -> Falling {
        let none = Stream::default();
        Falling { cascade: none, condenser: none, led: vec![none; heaters] }
    }

    /// Takes what arrives in heater `i`, by its index among all.
    pub fn take(&mut self, i: usize) -> Stream {
        let mut all = std::mem::take(&mut self.cascade);
        let led = self.led[i];
        all.add(led.mass, led.heat);
        all
    }

    /// Drains of moisture separator and steam reheater, as they left in the last step: to their heaters as far as `open`
    /// says so, or to the condenser.
    pub fn led(&mut self, p: &Params, x: &mut PlantState, open: [bool; 2]) -> [Arrived; 2] {
        let mut arrived = [Arrived::default(); 2];
        let (Some(q), Some(drains)) = (&p.turbine.separator, &mut x.separator) else { return arrived };
        let s = &x.turbine.separator;
        let shell = |i: usize| match i.cmp(&p.high) {
            Ordering::Less => x.closed[i].heater.pressure,
            Ordering::Equal => x.open.pressure,
            Ordering::Greater => x.closed[i - 1].heater.pressure,
        };
        let both = [
            (&mut drains.separator, Some(&q.drain), s.pressure),
            (&mut drains.reheater, q.reheater.as_ref().map(|r| &r.drain), s.heating_pressure),
        ];
        for (n, (drain, to, pressure)) in both.into_iter().enumerate() {
            let Some(to) = to else { continue };
            drain.drive(open[n], p.dt);
            let drive = to.heater.map_or(0.0, |i| pressure - shell(i));
            let (there, away, enthalpy) = drain.arrive(to, drive, p.dt);
            arrived[n] = Arrived { there, away, enthalpy, meant: to.heater.is_some() };
            if let Some(i) = to.heater {
                self.led[i].add(there, there * enthalpy);
            }
            self.condenser.add(away, away * enthalpy);
        }
        arrived
    }
}
