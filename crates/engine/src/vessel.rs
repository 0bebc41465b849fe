//! Steam and water in equilibrium in a fixed volume: the shell of every heater and the storage tank.
//!
//! State: mass and internal energy, so that what flows in and out closes exactly. The pressure is what makes the
//! saturated mixture of that mass fill the volume with that energy.

use serde::{Deserialize, Serialize};
use steam::Saturation;

/// Lowest pressure a shell is followed to [MPa]: 1.9 °C, above the triple point with room for the formulation.
pub const LOWEST_PRESSURE: f64 = 0.0007;
/// Highest pressure a shell is followed to [MPa]: end of the two-phase range used here.
pub const HIGHEST_PRESSURE: f64 = 16.5;
/// Tolerance of a shell pressure, relative.
pub const PRESSURE_TOLERANCE: f64 = 1e-11;

/// Holdup of a vessel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Holdup {
    /// Steam and water [kg].
    pub mass: f64,
    /// Internal energy [kJ].
    pub energy: f64,
}

/// Mass of the steam when `mass` fills `volume` at saturation [kg]: negative when the water alone is larger than
/// the vessel, more than `mass` when the steam is superheated.
pub fn steam_mass(mass: f64, volume: f64, s: &Saturation) -> f64 {
    (volume - mass * s.vf) / (s.vg - s.vf)
}

/// Internal energy of `mass` filling `volume` at saturation [kJ]; rises with pressure.
pub fn energy(mass: f64, volume: f64, s: &Saturation) -> f64 {
    mass * s.uf() + steam_mass(mass, volume, s) * (s.ug() - s.uf())
}

/// Volume of the water [m³], within the vessel.
pub fn water_volume(mass: f64, volume: f64, s: &Saturation) -> f64 {
    ((mass - steam_mass(mass, volume, s)) * s.vf).clamp(0.0, volume)
}

/// Holdup when water stands up to `water` m³ of `volume` at saturation.
pub fn fill(water: f64, volume: f64, s: &Saturation) -> Holdup {
    let liquid = water / s.vf;
    let vapour = (volume - water) / s.vg;
    Holdup { mass: liquid + vapour, energy: liquid * s.uf() + vapour * s.ug() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn filling_and_reading_back_agree() {
        for p in [0.005, 0.1, 1.0, 6.0] {
            let s = steam::sat_p(p).unwrap();
            let h = fill(3.0, 20.0, &s);
            assert!((energy(h.mass, 20.0, &s) / h.energy - 1.0).abs() < 1e-12);
            assert!((water_volume(h.mass, 20.0, &s) - 3.0).abs() < 1e-9);
        }
    }

    #[test]
    fn energy_rises_with_pressure() {
        let h = fill(3.0, 20.0, &steam::sat_p(1.0).unwrap());
        let mut last = f64::NEG_INFINITY;
        for i in 0..400 {
            let p = 0.001 * math_pow(1.025, i);
            let e = energy(h.mass, 20.0, &steam::sat_p(p.min(16.0)).unwrap());
            assert!(e > last || p > 16.0, "{p}");
            last = e;
        }
    }

    fn math_pow(b: f64, n: i32) -> f64 {
        b.powi(n)
    }
}
