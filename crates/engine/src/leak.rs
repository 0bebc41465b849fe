//! Water that leaves a tube for the shell through a hole: the flow of a liquid through a sharp-edged orifice.
//!
//! W = C A √(2 ρ Δp) with the contraction of the jet in C. Hot water boils in the hole when the shell stands below its
//! vapour pressure; the flow then chokes, as in a valve, at the critical pressure ratio of IEC 60534-2-1.

use crate::fault::{At, Fault};
use crate::valve::{Upstream, liquid_critical_ratio};
use crate::water::WaterLine;
use std::f64::consts::PI;

/// Discharge coefficient of a sharp edge at high Reynolds number: 0.61 (textbooks of fluid mechanics, from Kirchhoff's
/// free jet pi/(pi + 2) = 0.611).
pub const DISCHARGE: f64 = 0.61;

/// Most of the condensate arriving in the tubes that leaves by the hole: the level valve stands before the low-pressure
/// heaters, so that what it does not pass cannot leak, and the tubes are not fed from their outlet (a check valve keeps
/// them from it; *common practice, no source*). The high-pressure heaters have no such valve before them: their tubes
/// stand under what the feed pumps give, which deliver what leaks besides what goes on ([`crate::header`]).
pub const MOST: f64 = 0.95;

/// Area of a tube's bore [m²] from its diameter [m].
pub fn bore(diameter: f64) -> f64 {
    0.25 * PI * diameter * diameter
}

/// Flow [kg/s] through a hole of `area` [m²] to a place at `down` [MPa]; 0 where the pressure does not drive it.
pub fn flow(area: f64, up: &Upstream, down: f64) -> f64 {
    let choked = up.pressure - liquid_critical_ratio(up.vapour_pressure) * up.vapour_pressure;
    let difference = (up.pressure - down).min(choked).max(0.0);
    DISCHARGE * area * (2.0 * up.density * difference * 1e6).sqrt()
}

/// Holes in a heater's tubes, and what stands on both sides of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Holes {
    /// Area [m²].
    pub area: f64,
    /// Vapour pressure of the water in the tubes [MPa].
    pub vapour_pressure: f64,
    /// Its density [kg/m³].
    pub density: f64,
    /// Pressure in the shell [MPa].
    pub shell: f64,
}

impl Holes {
    /// Holes of `area` in the tubes of heater `id`, which hold water of enthalpy `h` [kJ/kg].
    ///
    /// # Errors
    /// When the water leaves the range of the properties.
    pub fn of(id: &str, area: f64, h: f64, line: &WaterLine, shell: f64) -> Result<Holes, Fault> {
        let t = line.t(h).at(id)?;
        let vapour_pressure = steam::p_sat(t).at(id)?;
        Ok(Holes { area, vapour_pressure, density: 1.0 / line.v(t).at(id)?, shell })
    }

    /// What they pass [kg/s] with the water at `pressure` [MPa]; it does not fall as the pressure rises.
    pub fn flow(&self, pressure: f64) -> f64 {
        let vapour_pressure = self.vapour_pressure.min(pressure);
        flow(self.area, &Upstream { pressure, vapour_pressure, density: self.density }, self.shell)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Torricelli: a jet under 10 m of water leaves at √(2 g h) = 14.0 m/s; a hole of 1 cm² then passes C A v.
    #[test]
    fn a_jet_as_torricelli_has_it() {
        let head = 10.0;
        let density = 998.0;
        let difference = density * 9.806_65 * head * 1e-6;
        let up = Upstream { pressure: 0.1 + difference, vapour_pressure: 0.0023, density };
        let w = flow(1e-4, &up, 0.1);
        assert!((w - DISCHARGE * density * 1e-4 * (2.0 * 9.806_65 * head).sqrt()).abs() < 1e-12, "{w}");
        assert!((w / density * 1e3 - 0.854).abs() < 1e-3, "{w}: 0.854 L/s");
        assert_eq!(flow(1e-4, &up, 0.2), 0.0);
        assert!((bore(0.02) - 3.141_59e-4).abs() < 1e-9);
    }

    /// Four times the difference, twice the flow, until the water boils in the hole.
    #[test]
    fn hot_water_chokes() {
        let up = |p: f64| Upstream { pressure: p, vapour_pressure: 3.0, density: 810.0 };
        let (one, four) = (flow(1e-4, &up(7.0), 6.0), flow(1e-4, &up(10.0), 6.0));
        assert!((four / one - 2.0).abs() < 1e-12);
        // Below the critical ratio times the vapour pressure the shell's pressure no longer matters.
        assert_eq!(flow(1e-4, &up(7.0), 0.5), flow(1e-4, &up(7.0), 0.01));
        assert!(flow(1e-4, &up(7.0), 0.5) > flow(1e-4, &up(7.0), 3.0));
    }

    /// From no pressure up, through the water's own vapour pressure: never less.
    #[test]
    fn more_pressure_never_leaks_less() {
        let holes = Holes { area: 1e-4, vapour_pressure: 3.0, density: 810.0, shell: 0.5 };
        let mut last = 0.0;
        for k in 0..400 {
            let w = holes.flow(0.05 * f64::from(k));
            assert!(w >= last, "{k}: {w} after {last}");
            last = w;
        }
        assert!(last > 0.0 && holes.flow(0.0) == 0.0);
    }
}
