//! The account of mass and energy: what crossed the boundary against what the plant holds more or less.

use serde::{Deserialize, Serialize};

/// Sums since the start.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Ledger {
    /// Mass that came in less mass that went out [kg].
    pub mass: f64,
    /// Feedwater that passed [kg]: the measure of a mass error.
    pub passed: f64,
    /// Energy that came in less energy that went out [kJ].
    pub energy: f64,
    /// Heat added [kJ]: the measure of an energy error.
    pub added: f64,
}

/// Crossings in one step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Crossing {
    /// Make-up less vent [kg/s].
    pub mass: f64,
    /// Feed flow [kg/s].
    pub feed: f64,
    /// Net energy flow in [kW].
    pub energy: f64,
    /// Heat added by boiler and reheater [kW].
    pub added: f64,
}

impl Ledger {
    /// Books one step of `dt` seconds.
    pub fn book(&mut self, c: &Crossing, dt: f64) {
        self.mass += c.mass * dt;
        self.passed += c.feed * dt;
        self.energy += c.energy * dt;
        self.added += c.added * dt;
    }

    /// Mass unaccounted for, over the feedwater passed; `change` is the holdup's change since the start [kg].
    pub fn mass_residual(&self, change: f64) -> f64 {
        if self.passed > 0.0 { (change - self.mass) / self.passed } else { 0.0 }
    }

    /// Energy unaccounted for, over the heat added; `change` is the holdup's change since the start [kJ].
    pub fn energy_residual(&self, change: f64) -> f64 {
        if self.added > 0.0 { (change - self.energy) / self.added } else { 0.0 }
    }
}
