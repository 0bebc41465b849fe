//! A number that is sought anew at every step, and where its next search starts, so that the first evaluation all but is
//! the answer.

use serde::{Deserialize, Serialize};

/// A pressure, flow or temperature that runs on from step to step by nearly the same, as while a load changes: the next
/// search starts where it is heading. (By a parabola it would start farther away: controls move valves by steps.)
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Sought {
    /// What was found the last time; 0 before the first.
    last: f64,
    /// More than the time before.
    change: f64,
}

impl Sought {
    /// Where the next search starts; 0 before the first.
    pub fn guess(&self) -> f64 {
        self.last + self.change
    }

    /// Where the next search starts: at `first` before the first.
    pub fn guess_or(&self, first: f64) -> f64 {
        if self.last == 0.0 { first } else { self.guess() }
    }

    /// A search has found `x`.
    pub fn is(&mut self, x: f64) {
        self.change = if self.last == 0.0 { 0.0 } else { x - self.last };
        self.last = x;
    }
}

/// The temperature of liquid by its enthalpy. What a shell drains jumps by tenths of a kelvin with every stroke of its
/// valve, but where it went is told by its heat capacity.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct ByHeat {
    /// Enthalpy the last time [kJ/kg].
    h: f64,
    /// Temperature found then [°C]; 0 before the first.
    t: f64,
    /// Heat capacity there [kJ/(kg K)].
    cp: f64,
}

impl ByHeat {
    /// Where the search for the temperature at `h` kJ/kg starts [°C]; 0 before the first.
    pub fn guess(&self, h: f64) -> f64 {
        if self.t == 0.0 { 0.0 } else { self.t + (h - self.h) / self.cp }
    }

    /// A search has found this state.
    pub fn is(&mut self, found: &steam::State) {
        *self = ByHeat { h: found.h, t: found.t, cp: found.cp };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ramp_is_met_and_rest_is_kept() {
        let mut s = Sought::default();
        assert_eq!((s.guess(), s.guess_or(7.0)), (0.0, 7.0));
        s.is(200.0);
        assert_eq!((s.guess(), s.guess_or(7.0)), (200.0, 200.0));
        s.is(200.5);
        assert_eq!(s.guess(), 201.0);
        s.is(200.5);
        assert_eq!(s.guess(), 200.5);
    }

    /// Half a kJ/kg farther the search need not go on: it ends within 1e-4 K.
    #[test]
    fn liquid_is_found_by_its_heat() {
        let mut s = ByHeat::default();
        assert_eq!(s.guess(500.0), 0.0);
        for (p, h) in [(0.02, 150.0), (0.4, 500.0), (6.0, 1100.0)] {
            s.is(&steam::state_ph(p, h).unwrap());
            for by in [-0.5, 0.5] {
                let found = steam::state_ph(p, h + by).unwrap().t;
                assert!((s.guess(h + by) - found).abs() < 1e-4, "{p} MPa, {h} kJ/kg: {found}");
            }
        }
    }
}
