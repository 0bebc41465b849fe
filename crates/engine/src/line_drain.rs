//! Drain of an extraction line: at the low point on the turbine's side of its non-return and stop valve, through a
//! power-operated valve with an orifice to the condenser.
//!
//! It is there for what a dead line collects, so that no water stands before the turbine (*common practice, no source*). While
//! it is open it passes steam of the point, by the equation of the line itself with the orifice for its resistance; and of
//! what runs back through a non-return valve that does not shut it takes as much as its bore passes before the rest reaches
//! the turbine: water first, since it lies at the low point, then steam. Water that fills a share of the bore leaves so
//! much less of it to steam. What condenses in the dead line itself is too little to be followed.

use crate::extraction::Source;
use crate::feed_pump::GRAVITY;
use crate::leak::{self, DISCHARGE};
use crate::plant::line_drain::LineDrain;
use crate::turbine::Exchange;
use crate::valve::{self, Condition, Stem, Upstream};
use serde::{Deserialize, Serialize};

/// Height of the low point above where the drain enters the condenser [m], which drives water without pressure too (*common
/// practice, no source*).
pub(crate) const HEAD: f64 = 3.0;

/// Sized once, never changes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Params {
    /// Area of the bore [m²].
    pub area: f64,
    /// Stroke time of the valve [s].
    pub stroke: f64,
}

impl Params {
    /// As the plant file has it.
    pub fn new(d: &LineDrain) -> Params {
        Params { area: leak::bore(d.bore), stroke: d.stroke }
    }
}

/// Integrated from step to step.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Its valve.
    pub valve: Stem,
    /// Share of the bore that water took in the last step: what the turbine's pressures are next found with.
    pub wet: f64,
}

/// Shut.
pub const SHUT: State = State { valve: Stem { opening: 0.0 }, wet: 0.0 };

impl State {
    /// Moves the valve to what is asked of it for `dt` seconds; the area that it leaves open in the mean of that time [m²].
    pub fn drive(&mut self, p: Option<&Params>, asked: f64, wrong: &Condition, dt: f64) -> f64 {
        p.map_or(0.0, |p| p.area * wrong.passing(self.valve.drive(asked, p.stroke, wrong, dt).mean()))
    }
}

/// An open bore towards the condenser.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bore {
    /// Area [m²].
    pub area: f64,
    /// Pressure behind it [MPa].
    pub down: f64,
}

impl Bore {
    /// Steam of the point that it passes [kg/s]: the more, the higher its pressure.
    pub fn steam(&self, source: &Source) -> f64 {
        if self.area > 0.0 {
            valve::steam_flow(coefficient(self.area), source.pressure, source.volume, self.down)
        } else {
            0.0
        }
    }

    /// Most water that it passes [kg/s], which stands under `pressure` [MPa] at the point, boils at `boils` [MPa] and has
    /// the specific volume `volume` [m³/kg].
    pub fn most_water(&self, pressure: f64, boils: f64, volume: f64) -> f64 {
        if self.area <= 0.0 {
            return 0.0;
        }
        let pressure = pressure + HEAD * GRAVITY / volume * 1e-6;
        let up = Upstream { pressure, vapour_pressure: boils.min(pressure), density: 1.0 / volume };
        leak::flow(self.area, &up, self.down)
    }

    /// The share of it that water leaves.
    pub fn beside_water(&self, wet: f64) -> Bore {
        Bore { area: self.area * (1.0 - wet), ..*self }
    }
}

/// Flow coefficient of an orifice for steam [kg/s at 1 MPa and 1 m³/kg]: that of the same sharp edge that water meets.
pub(crate) fn coefficient(area: f64) -> f64 {
    DISCHARGE * area * 2e6_f64.sqrt()
}

/// What comes back through the line in a step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Back {
    /// Steam [kg/s].
    pub steam: f64,
    /// Its heat [kW].
    pub steam_heat: f64,
    /// Water [kg/s].
    pub water: f64,
    /// Its heat [kW].
    pub water_heat: f64,
    /// Pressure at which it boils [MPa].
    pub boils: f64,
}

/// What the drain took in a step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outputs {
    /// Area that its valve left open [m²].
    pub area: f64,
    /// Steam [kg/s].
    pub steam: f64,
    /// Of which had come back through the line [kg/s].
    pub returned: f64,
    /// Heat of all that steam [kW].
    pub steam_heat: f64,
    /// Water that had come back [kg/s].
    pub water: f64,
    /// Its heat [kW].
    pub water_heat: f64,
    /// Most water that it would have passed [kg/s]; reckoned where some came.
    pub most_water: f64,
}

impl Outputs {
    /// All of it [kg/s].
    pub fn flow(&self) -> f64 {
        self.steam + self.water
    }

    /// Its heat [kW].
    pub fn heat(&self) -> f64 {
        self.steam_heat + self.water_heat
    }

    /// Takes its part of what comes `back`, and steam of the point for the rest of its bore, towards a condenser at `down`
    /// [MPa]. Returns what passes between the turbine and the line, whose heater takes `taken` [kg/s].
    ///
    /// # Errors
    /// Where the properties of water that comes back cannot be had.
    pub fn take(
        &mut self,
        s: &mut State,
        source: &Source,
        (taken, back): (f64, &Back),
        down: f64,
    ) -> steam::Result<Exchange> {
        let whole = Bore { area: self.area, down };
        *self = Outputs { area: self.area, ..Outputs::default() };
        s.wet = 0.0;
        let all = Exchange {
            taken,
            returned: back.steam,
            returned_heat: back.steam_heat,
            water: back.water,
            water_heat: back.water_heat,
        };
        if self.area <= 0.0 {
            return Ok(all);
        }
        if back.water > 0.0 {
            self.most_water = whole.most_water(source.pressure, back.boils, steam::sat_p(back.boils)?.vf);
            self.water = back.water.min(self.most_water);
            self.water_heat = back.water_heat * (self.water / back.water);
            s.wet = if self.most_water > 0.0 { self.water / self.most_water } else { 1.0 };
        }
        self.steam = whole.beside_water(s.wet).steam(source);
        self.returned = back.steam.min(self.steam);
        let of_turbine = self.steam - self.returned;
        let returned_heat =
            if back.steam > 0.0 { back.steam_heat * (self.returned / back.steam) } else { 0.0 };
        self.steam_heat = returned_heat + of_turbine * source.enthalpy;
        Ok(Exchange {
            taken: all.taken + of_turbine,
            returned: all.returned - self.returned,
            returned_heat: all.returned_heat - returned_heat,
            water: all.water - self.water,
            water_heat: all.water_heat - self.water_heat,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(pressure: f64) -> Source {
        let s = steam::steam_pt(pressure, 350.0).unwrap();
        Source { pressure, enthalpy: s.h, volume: s.v }
    }

    /// Napier's rule for an orifice that discharges steam freely: W [lb/h] = 51.5 A [in²] p [psia] for a nozzle without
    /// contraction (ASME's figure for dry saturated steam); a sharp edge passes 0.6 to 0.85 of it, the more the further it
    /// chokes (*from memory*).
    #[test]
    fn an_orifice_passes_steam_as_the_rule_of_napier_has_it() {
        let sat = steam::sat_p(1.0).unwrap();
        let point = Source { pressure: 1.0, enthalpy: sat.hg, volume: sat.vg };
        let area = leak::bore(0.01);
        let w = Bore { area, down: 0.005 }.steam(&point);
        let (square_inch, psi, pound) = (6.4516e-4, 6.894_757e-3, 0.453_592_37);
        let napier = 51.5 * (area / square_inch) * (1.0 / psi) * pound / 3600.0;
        assert!(w / napier > 0.6 && w / napier < 0.85, "{w} of {napier}");
    }

    #[test]
    fn water_comes_first_then_steam_that_came_back_then_the_turbine_s() {
        let point = source(1.0);
        let open = |area: f64| Outputs { area, ..Outputs::default() };
        let area = leak::bore(0.02);
        let back = Back { steam: 0.1, steam_heat: 277.0, water: 0.0, water_heat: 0.0, boils: 1.2 };
        let (mut s, mut o) = (SHUT, open(area));
        let x = o.take(&mut s, &point, (0.0, &back), 0.005).unwrap();
        // More than comes back: the turbine gets nothing and gives the rest.
        assert!(o.steam > 0.1 && (x.returned, x.water) == (0.0, 0.0) && s.wet == 0.0, "{o:?} {x:?}");
        assert!((x.taken - (o.steam - 0.1)).abs() < 1e-12);
        assert!((o.steam_heat - 277.0 - x.taken * point.enthalpy).abs() < 1e-9);
        // Water fills part of the bore, and all of it where more comes than it passes.
        let (mut s2, mut wet) = (SHUT, open(area));
        let some = Back { water: 0.5, water_heat: 400.0, ..back };
        let x = wet.take(&mut s2, &point, (0.0, &some), 0.005).unwrap();
        assert!(wet.water == 0.5 && x.water == 0.0 && s2.wet > 0.0 && s2.wet < 1.0, "{wet:?}");
        assert!((wet.steam - o.steam * (1.0 - s2.wet)).abs() < 1e-12);
        let flood = Back { water: 50.0, water_heat: 40_000.0, ..back };
        let x = wet.take(&mut s2, &point, (0.0, &flood), 0.005).unwrap();
        assert!(wet.water == wet.most_water && wet.steam == 0.0 && s2.wet == 1.0, "{wet:?}");
        assert!((x.water + wet.water - 50.0).abs() < 1e-12 && x.returned == 0.1);
        assert!((x.water_heat + wet.water_heat - 40_000.0).abs() < 1e-9);
    }

    /// Torricelli: water without pressure falls to the condenser by its height alone.
    #[test]
    fn water_falls_without_pressure() {
        let w = Bore { area: 1e-4, down: 0.1 }.most_water(0.1, 0.002, 1e-3);
        let jet = (2.0 * GRAVITY * HEAD).sqrt() * 1e-4 * 1e3 * DISCHARGE;
        assert!((w / jet - 1.0).abs() < 1e-9, "{w} {jet}");
    }

    #[test]
    fn one_that_is_shut_changes_nothing() {
        let back = Back { steam: 1.0, steam_heat: 2800.0, water: 2.0, water_heat: 1500.0, boils: 1.2 };
        let (mut s, mut o) = (SHUT, Outputs::default());
        let x = o.take(&mut s, &source(1.0), (3.0, &back), 0.005).unwrap();
        assert_eq!(
            (x.taken, x.returned, x.water, x.water_heat, o),
            (3.0, 1.0, 2.0, 1500.0, Outputs::default())
        );
    }
}
