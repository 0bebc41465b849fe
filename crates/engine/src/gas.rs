//! Gas that does not condense, in a shell: how it gathers, what it costs, how a vent carries it off.
//!
//! Extraction steam brings a few millionths of it, and a shell below atmospheric pressure draws air in. Steam that
//! condenses leaves it behind, where the last of the steam condenses: at the cold end, where the vent therefore is.
//!
//! * **Where it is**: its share of the steam space falls off exponentially from the cold end into the bundle, over
//!   [`DEPTH`] of the surface while there is little of it, further in as it fills the space; the mean is what the mass in
//!   the shell says.
//! * **What it costs**: steam has to diffuse through it to the tubes. With a share y of gas by volume the local
//!   coefficient is 1/(1 + y/[`HALVING`]) of what it was; the share of the zone's conductance that is lost is the mean
//!   over the surface, in closed form. Besides, its partial pressure is taken from the steam, which condenses colder: see
//!   [`crate::heater`].
//! * **How it leaves**: the vent, an orifice, passes what is at the cold end.
//!
//! A steady heater vents as much as comes; [`Vent::steady`] gives the content at which it does, by the same relations.
//! The heat that the gas holds, a millionth of the steam's, is not counted.

use crate::valve;
use serde::{Deserialize, Serialize};
use steam::math;

/// Depth to which a little gas reaches from the cold end, as a share of the condensing surface (*common practice, no
/// source*: vents take from the last twentieth of the bundle).
pub const DEPTH: f64 = 0.05;
/// Share of gas by volume that halves the coefficient of condensation where it is. In steam at rest half a per cent of
/// air is enough (D. F. Othmer, Ind. Eng. Chem. 21 (1929) 576, *from memory*); moving steam sweeps it: 1 % is taken.
pub const HALVING: f64 = 0.01;
/// Molar mass of air over that of water (28.965 and 18.015 g/mol).
pub const MOLAR: f64 = 28.965 / 18.015;
/// Gas constant of dry air [MPa m³/(kg K)]: 8.314 462 618 / 28.9647 (CODATA 2018; molar mass of dry air).
pub const AIR: f64 = 2.870_5e-4;
/// Atmospheric pressure [MPa].
pub const ATMOSPHERE: f64 = 0.101_325;
/// Most of a vent's flow at design that may be gas [share by mass]: beyond, the vent would starve the bundle.
pub const MOST_GAS: f64 = 0.1;
/// Pressure ratio below which air leaks in at the speed of sound.
pub const SONIC: f64 = 0.528;
/// The same of saturated steam: (2/(k+1))^(k/(k-1)) with k = 1.135 (Zeuner's exponent of dry saturated steam).
pub const SONIC_STEAM: f64 = 0.577;

/// Partial pressure [MPa] of `mass` [kg] in `volume` [m³] at `t` [°C].
pub fn pressure(mass: f64, volume: f64, t: f64) -> f64 {
    mass * AIR * (t + 273.15) / volume
}

/// Space for steam and gas [m³] above `water` in a shell of `whole`; the last of it is not given up, so that gas in a
/// flooded shell is squeezed, not crushed.
pub fn space(whole: f64, water: f64) -> f64 {
    (whole - water).max(0.01 * whole)
}

/// Share by mass from the share by volume.
pub fn by_mass(y: f64) -> f64 {
    y * MOLAR / (1.0 + y * (MOLAR - 1.0))
}

/// Share by volume from the share by mass.
pub fn by_volume(w: f64) -> f64 {
    w / (MOLAR + w * (1.0 - MOLAR))
}

/// How gas of a mean share is spread over a condensing surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Share by volume at the cold end.
    pub cold: f64,
    /// Share of the zone's conductance that is lost.
    pub lost: f64,
}

impl Spread {
    /// From the mean share by volume, 0 to below 1.
    pub fn of(mean: f64) -> Spread {
        let depth = depth(mean);
        let far = math::exp(-1.0 / depth);
        let cold = mean / (depth * (1.0 - far));
        // The difference of two logarithms is that of a quotient: one of them is enough.
        Spread { cold, lost: depth * math::ln((HALVING + cold) / (HALVING + cold * far)) }
    }
}

/// How far gas of a mean share reaches into the bundle, as a share of the surface.
fn depth(mean: f64) -> f64 {
    DEPTH + mean / (1.0 - mean)
}

/// Mean share at which the cold end has the share `cold`: by halving, [`Spread::of`] rises with it.
pub fn mean_for(cold: f64) -> f64 {
    let (mut a, mut b) = (0.0, 1.0);
    for _ in 0..60 {
        let m = 0.5 * (a + b);
        let depth = depth(m);
        if m / (depth * (1.0 - math::exp(-1.0 / depth))) < cold {
            a = m;
        } else {
            b = m;
        }
    }
    a
}

/// What a nozzle passes against a share of the pressure before it, over what it would pass into a vacuum: all of it down to
/// the share at which it runs at the speed of sound, then less, along the ellipse that nozzles follow, and nothing against as
/// much pressure or more.
fn nozzle(share: f64, sonic: f64) -> f64 {
    if !(share < 1.0) {
        return 0.0;
    }
    let x = ((share - sonic) / (1.0 - sonic)).max(0.0);
    (1.0 - x * x).sqrt()
}

/// Air drawn in [kg/s] by a shell at `pressure` [MPa] whose leaks pass `most` into a vacuum.
pub fn drawn_in(most: f64, pressure: f64) -> f64 {
    most * nozzle(pressure / ATMOSPHERE, SONIC)
}

/// What an orifice blows off from a vessel of saturated steam at `pressure` to where it is `against` [MPa], over what it
/// would send into a vacuum.
pub fn blown_off(pressure: f64, against: f64) -> f64 {
    nozzle(against / pressure, SONIC_STEAM)
}

/// The vent of a closed heater and what brings it gas. Sized once, never changes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vent {
    /// Coefficient of the orifice [kg/s at 1 MPa and 1 m³/kg]; 0 without a vent, and then gas is not followed.
    pub coefficient: f64,
    /// Gas that the extraction steam brings [share by mass].
    pub in_steam: f64,
    /// Air that leaks into a vacuum [kg/s].
    pub leakage: f64,
    /// Share of the condensing conductance lost at design, which the design's terminal difference includes.
    pub lost: f64,
    /// Mean share of gas at design, by volume.
    pub mean: f64,
}

/// What a vent passes in a steady heater.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vented {
    /// Steam [kg/s].
    pub steam: f64,
    /// Condensing conductance over that of design.
    pub clean: f64,
}

impl Vented {
    /// Nothing: the vent is shut, or there is none.
    pub const SHUT: Vented = Vented { steam: 0.0, clean: 1.0 };
}

impl Vent {
    /// None, and no gas.
    pub const NONE: Vent = Vent { coefficient: 0.0, in_steam: 0.0, leakage: 0.0, lost: 0.0, mean: 0.0 };

    /// The same with its orifice sized so that `flow` [kg/s] passes with the shell at `sat` and the receiver at `down`
    /// [MPa], while `steam` [kg/s] arrives; `None` where it could not carry the gas off.
    pub fn size(self, flow: f64, steam: f64, sat: &steam::Saturation, down: f64) -> Option<Vent> {
        if flow <= 0.0 {
            return Some(Vent::NONE);
        }
        let gas = self.arriving(steam, sat.p, true);
        let passed = valve::steam_flow(1.0, sat.p, sat.vg, down);
        if !(passed > 0.0 && gas < MOST_GAS * flow) {
            return None;
        }
        let mean = mean_for(by_volume(gas / flow));
        let lost = Spread::of(mean).lost;
        Some(Vent { coefficient: flow / passed, lost, mean, ..self })
    }

    /// Gas that arrives [kg/s] with `steam` [kg/s] in a shell at `pressure` [MPa]; none where there is no vent. Air comes
    /// in at the flanges, joints and stems of the extraction line: none where that is shut off.
    pub fn arriving(&self, steam: f64, pressure: f64, line_open: bool) -> f64 {
        if self.coefficient <= 0.0 {
            return 0.0;
        }
        let air = if line_open { drawn_in(self.leakage, pressure) } else { 0.0 };
        self.in_steam * steam + air
    }

    /// What the open vent passes at rest, from a shell at `sat` that takes `steam` and `drains` [kg/s]; whether the
    /// extraction line is open.
    pub fn steady(
        &self,
        (steam, line_open): (f64, bool),
        drains: f64,
        sat: &steam::Saturation,
        down: f64,
    ) -> Vented {
        let flow = valve::steam_flow(self.coefficient, sat.p, sat.vg, down);
        if flow <= 0.0 {
            return Vented::SHUT;
        }
        let gas = self.arriving(steam, sat.p, line_open).min(flow);
        let lost = Spread::of(mean_for(by_volume(gas / flow))).lost;
        // A shell that gets next to nothing has nothing to vent either: the controls shut its vent.
        let steam = (flow - gas).min(0.5 * (steam + drains)).max(0.0);
        Vented { steam, clean: (1.0 - lost) / (1.0 - self.lost) }
    }
}

/// Gas in a steam space, integrated from step to step.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Gas {
    /// Mass [kg].
    pub mass: f64,
}

impl Gas {
    /// Advances by `dt` seconds with `arriving` [kg/s] while the vent passes `vent` [kg/s] of a mixture that has the share
    /// `w` of gas by mass; returns what leaves [kg/s]. What is not there cannot leave.
    pub fn step(&mut self, arriving: f64, vent: f64, w: f64, dt: f64) -> f64 {
        let before = self.mass;
        let there = before + dt * arriving;
        let drawn = if before > 0.0 { vent * w / before } else { 0.0 };
        self.mass = there / (1.0 + dt * drawn);
        (there - self.mass) / dt
    }

    /// The same where a mixture also runs back through the extraction line: `vent` and `back`, each with its flow [kg/s] and
    /// its share of gas by mass. Returns what leaves either way [kg/s].
    pub fn step_with_back(
        &mut self,
        arriving: f64,
        (vent, w): (f64, f64),
        (back, w_back): (f64, f64),
        dt: f64,
    ) -> (f64, f64) {
        let (by_vent, by_line) = (vent * w, back * w_back);
        if by_line <= 0.0 {
            return (self.step(arriving, vent, w, dt), 0.0);
        }
        let out = self.step(arriving, by_vent + by_line, 1.0, dt);
        let share = by_line / (by_vent + by_line);
        (out * (1.0 - share), out * share)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The mean of the profile is the mean that it was asked for, and its loss that of its local coefficients: by
    /// Simpson's rule, another route to the same numbers.
    #[test]
    fn the_spread_adds_up() {
        for mean in [1e-6, 1e-4, 3e-3, 0.05, 0.4, 0.9] {
            let s = Spread::of(mean);
            let depth = depth(mean);
            let (mut sum, mut lost) = (0.0, 0.0);
            let n = 20_000;
            for i in 0..n {
                let local = |z: f64| s.cold * math::exp(-z / depth);
                let loss = |y: f64| y / (HALVING + y);
                let (a, b) = (f64::from(i) / f64::from(n), f64::from(i + 1) / f64::from(n));
                let m = 0.5 * (a + b);
                sum += (local(a) + 4.0 * local(m) + local(b)) / 6.0 / f64::from(n);
                lost += (loss(local(a)) + 4.0 * loss(local(m)) + loss(local(b))) / 6.0 / f64::from(n);
            }
            assert!((sum / mean - 1.0).abs() < 1e-9, "{mean} {sum}");
            assert!((lost / s.lost - 1.0).abs() < 1e-9, "{mean} {lost} {}", s.lost);
            assert!(s.cold > mean && s.cold < 1.0 && s.lost < 1.0, "{mean} {s:?}");
            assert!((mean_for(s.cold) / mean - 1.0).abs() < 1e-9, "{mean}");
        }
    }

    #[test]
    fn shares_by_mass_and_by_volume_are_inverse() {
        for y in [0.0, 1e-5, 0.2, 0.9, 1.0] {
            assert!((by_volume(by_mass(y)) - y).abs() < 1e-15);
        }
        // Half and half by volume: 28.965 of 46.98 by mass.
        assert!((by_mass(0.5) - 28.965 / 46.98).abs() < 1e-12);
        // A kilogram of air in a cubic metre at 0 °C: 78.4 kPa (273.15 x 0.28705).
        assert!((pressure(1.0, 1.0, 0.0) - 0.078_408).abs() < 1e-6);
    }

    #[test]
    fn air_is_drawn_in_below_atmospheric_pressure_only() {
        assert_eq!(drawn_in(1.0, 0.2), 0.0);
        assert_eq!(drawn_in(1.0, 0.05), 1.0);
        assert!(drawn_in(1.0, 0.09) > 0.5 && drawn_in(1.0, 0.09) < 1.0);
    }

    /// With the content that it has at design a heater rests; with the vent shut gas builds up as it arrives, and from
    /// twice the content it goes back.
    #[test]
    fn a_vented_shell_rests_at_its_design_content() {
        let sat = steam::sat_p(0.02).unwrap();
        let v = Vent { coefficient: 1.0, in_steam: 5e-6, leakage: 5e-5, ..Vent::NONE };
        let v = v.size(0.04, 8.0, &sat, 0.005).unwrap();
        let arriving = v.arriving(8.0, sat.p, true);
        assert!((arriving - 9e-5).abs() < 1e-15);
        let passes = valve::steam_flow(v.coefficient, sat.p, sat.vg, 0.005);
        let w = |mean: f64| by_mass(Spread::of(mean).cold);
        let mut gas = Gas { mass: 1e-3 };
        let out = gas.step(arriving, passes, w(v.mean), 0.25);
        assert!((out / arriving - 1.0).abs() < 1e-9 && (gas.mass - 1e-3).abs() < 1e-15, "{out} {gas:?}");
        assert!((v.steady((8.0, true), 0.0, &sat, 0.005).clean - 1.0).abs() < 1e-12);
        assert!(gas.step(arriving, passes, w(2.0 * v.mean), 0.25) > arriving);
        (0..400).for_each(|_| assert_eq!(gas.step(1e-4, 0.0, 0.5, 0.25), 0.0));
        assert!((gas.mass - 0.011).abs() < 1e-4);
    }
}
