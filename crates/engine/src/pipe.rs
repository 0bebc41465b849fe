//! A pipe full of water: what leaves is what went in, one pipe volume earlier.
//!
//! Plug flow, by parcels of mass and enthalpy: the front arrives after volume over flow, at any flow and step, and
//! nothing is lost. Parcels that enter are joined until each is at least 1/48 of the pipe, which bounds their number
//! and stands for the mixing of turbulent flow (*common practice, no source*).

use crate::in_place::clone_in_place;
use serde::{Deserialize, Serialize};

/// Smallest parcel, as a share of the pipe's mass.
const GRAIN: f64 = 1.0 / 48.0;

/// Water on its way.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub struct Pipe {
    /// Water held [kg]; constant.
    mass: f64,
    /// Parcels of (mass [kg], enthalpy [kJ/kg]), oldest first.
    parcels: Vec<(f64, f64)>,
}

clone_in_place!(Pipe { mass, parcels });

impl Pipe {
    /// A pipe holding `mass` kg of water at `enthalpy` kJ/kg.
    pub fn new(mass: f64, enthalpy: f64) -> Pipe {
        Pipe { mass, parcels: vec![(mass, enthalpy)] }
    }

    /// Takes `amount` kg from the outlet and returns its mean enthalpy; with nothing to take, that of the water there.
    /// The same amount has to be [`Pipe::put`] in before the next call, and it must be less than the pipe holds.
    pub fn take(&mut self, amount: f64) -> f64 {
        if amount <= 0.0 {
            return self.leaving();
        }
        let mut left = amount;
        let mut heat = 0.0;
        let mut gone = 0;
        for p in &mut self.parcels {
            let take = p.0.min(left);
            heat += take * p.1;
            p.0 -= take;
            left -= take;
            if p.0 > 0.0 {
                break;
            }
            gone += 1;
        }
        self.parcels.drain(..gone);
        heat / (amount - left)
    }

    /// Puts `amount` kg at `enthalpy` in at the inlet.
    pub fn put(&mut self, amount: f64, enthalpy: f64) {
        if amount <= 0.0 {
            return;
        }
        match self.parcels.last_mut() {
            Some(last) if last.0 < GRAIN * self.mass => {
                last.1 = (last.0 * last.1 + amount * enthalpy) / (last.0 + amount);
                last.0 += amount;
            }
            _ => self.parcels.push((amount, enthalpy)),
        }
    }

    /// Enthalpy of the water at the outlet [kJ/kg].
    pub fn leaving(&self) -> f64 {
        self.parcels.first().map_or(0.0, |p| p.1)
    }

    /// Enthalpy of the water at a place on its way [kJ/kg]: 0 is the inlet, 1 the outlet.
    pub fn at(&self, way: f64) -> f64 {
        let mut beyond = (1.0 - way) * self.mass;
        for &(mass, enthalpy) in &self.parcels {
            if beyond < mass {
                return enthalpy;
            }
            beyond -= mass;
        }
        self.parcels.last().map_or(0.0, |p| p.1)
    }

    /// Water held [kg].
    pub fn mass(&self) -> f64 {
        self.mass
    }

    /// Heat held [kJ].
    pub fn heat(&self) -> f64 {
        self.parcels.iter().map(|p| p.0 * p.1).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pass(pipe: &mut Pipe, amount: f64, enthalpy: f64) -> f64 {
        let out = pipe.take(amount);
        pipe.put(amount, enthalpy);
        out
    }

    #[test]
    fn the_front_arrives_after_volume_over_flow() {
        for dt in [0.1, 0.25, 1.0] {
            let mut pipe = Pipe::new(1000.0, 100.0);
            let mut t = 0.0;
            // 50 kg/s: 20 s.
            while pass(&mut pipe, 50.0 * dt, 200.0) < 150.0 {
                t += dt;
            }
            assert!((t - 20.0).abs() <= 20.0 / 48.0 + dt, "{t}");
        }
    }

    #[test]
    fn heat_and_mass_are_kept() {
        let mut pipe = Pipe::new(1000.0, 100.0);
        let mut inside = pipe.heat();
        for i in 0..10_000 {
            let amount = f64::from(i % 7) * 3.1;
            let h = 100.0 + f64::from(i % 13) * 11.0;
            let out = pass(&mut pipe, amount, h);
            inside += amount * (h - out);
        }
        assert!((pipe.heat() - inside).abs() < 1e-6, "{} {inside}", pipe.heat());
        assert!((pipe.parcels.iter().map(|p| p.0).sum::<f64>() - 1000.0).abs() < 1e-8);
        assert!(pipe.parcels.len() < 120);
    }

    #[test]
    fn a_front_is_seen_on_its_way() {
        let mut pipe = Pipe::new(1000.0, 100.0);
        for _ in 0..10 {
            pass(&mut pipe, 50.0, 200.0);
        }
        let seen = [0.0, 0.25, 0.45, 0.55, 0.75, 1.0].map(|way| pipe.at(way));
        assert_eq!(seen, [200.0, 200.0, 200.0, 100.0, 100.0, 100.0]);
        assert_eq!(pipe.at(1.0), pipe.leaving());
    }

    #[test]
    fn a_stopped_pipe_keeps_what_it_holds() {
        let mut pipe = Pipe::new(10.0, 100.0);
        assert_eq!(pass(&mut pipe, 0.0, 500.0), 100.0);
        assert_eq!(pipe.heat(), 1000.0);
    }
}
