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

/// Steam up to some tens of kelvins above saturation at `p` [MPa]: how much faster than its absolute temperature its
/// volume grows (an ideal gas has 1), and its internal energy per kelvin along that pressure [kJ/(kg K)]. Straight lines
/// through IAPWS R7-97 from 0.01 to 8 MPa, within 6 %.
pub(crate) fn superheat(p: f64) -> (f64, f64) {
    (1.03 + 0.26 * p, 1.55 + 0.30 * p)
}

/// Enthalpy of the steam in a vessel above that of dry saturated steam [kJ/kg]; 0 while there is water.
pub fn superheat_enthalpy(mass: f64, volume: f64, s: &Saturation) -> f64 {
    let each = volume / mass;
    if each <= s.vg {
        return 0.0;
    }
    superheat(s.p).1 * (steam_temperature(mass, volume, s) - s.t) + 1e3 * s.p * (each - s.vg)
}

/// Volume of the steam in a vessel over that of dry saturated steam: 1 while there is water.
pub fn dry_volume(mass: f64, volume: f64, s: &Saturation) -> f64 {
    (volume / (mass * s.vg)).max(1.0)
}

/// Mass of the steam when `mass` fills `volume` at saturation [kg]: negative when the water alone is larger than
/// the vessel, more than `mass` when there is no water left and the steam is superheated.
pub fn steam_mass(mass: f64, volume: f64, s: &Saturation) -> f64 {
    (volume - mass * s.vf) / (s.vg - s.vf)
}

/// Temperature of the steam in a vessel [°C]: saturation, or above it when `mass` is less than dry steam would be.
pub fn steam_temperature(mass: f64, volume: f64, s: &Saturation) -> f64 {
    let kelvin = s.t + 273.15;
    s.t + kelvin / superheat(s.p).0 * (dry_volume(mass, volume, s) - 1.0)
}

/// Internal energy of `mass` filling `volume` at this pressure [kJ]; rises with pressure.
pub fn energy(mass: f64, volume: f64, s: &Saturation) -> f64 {
    if mass * s.vg >= volume {
        return mass * s.uf() + steam_mass(mass, volume, s) * (s.ug() - s.uf());
    }
    mass * (s.ug() + superheat(s.p).1 * (steam_temperature(mass, volume, s) - s.t))
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

    /// Superheated steam against the formulation (IAPWS R7-97): 20 K above saturation, temperature and energy within
    /// a tenth of the superheat at the pressures of heaters.
    #[test]
    fn a_dry_shell_holds_superheated_steam() {
        for p in [0.01, 0.1, 0.5, 1.5, 3.0, 5.0, 8.0] {
            let s = steam::sat_p(p).unwrap();
            let hot = steam::steam_pt(p, s.t + 20.0).unwrap();
            let mass = 10.0 / hot.v;
            let (u, dry) = (hot.h - 1e3 * p * hot.v, s.ug());
            let t = steam_temperature(mass, 10.0, &s) - s.t;
            assert!((t - 20.0).abs() < 2.0, "{p} MPa: {t} K");
            let e = energy(mass, 10.0, &s) / mass;
            assert!((e - u).abs() < 0.1 * (u - dry), "{p} MPa: {} of {}", e - dry, u - dry);
        }
        let s = steam::sat_p(3.0).unwrap();
        // No jump where the last water goes.
        let edge = 10.0 / s.vg;
        let around = [edge * (1.0 - 1e-9), edge * (1.0 + 1e-9)].map(|m| energy(m, 10.0, &s) / m);
        assert!((around[0] - around[1]).abs() < 1e-4);
    }

    #[test]
    fn energy_rises_with_pressure() {
        for mass in [3000.0, 100.0, 20.0] {
            let mut last = f64::NEG_INFINITY;
            for i in 0..400 {
                let e = energy(mass, 20.0, &steam::sat_p((0.001 * 1.0245_f64.powi(i)).min(16.0)).unwrap());
                assert!(e > last || i > 390, "{mass} {i}");
                last = e;
            }
        }
    }

    #[test]
    fn energy_of_a_filled_shell_rises_with_pressure() {
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
