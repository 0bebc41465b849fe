//! How the open heater drives oxygen out of the condensate.
//!
//! The condensate falls through sprays and trays against the steam. What is brought to saturation there gives off its
//! gas towards equilibrium with the gas in the steam space (Henry's law), by a fixed number of transfer units; what the
//! steam is too short to heat falls into the store as it came, and there is no steam below the trays to do the rest.
//! The store mixes. The steam space holds gas that steam, vents of other heaters and the condensate bring and the vent
//! carries off: with the vent shut it builds up, and with it what stays dissolved.

use crate::gas;
use crate::henry::{self, OXYGEN};
use steam::{Saturation, math};

/// Share of oxygen in air, by volume and by mass (dry air).
pub const BY_VOLUME: f64 = 0.2095;
/// See [`BY_VOLUME`].
pub const BY_MASS: f64 = 0.2314;

/// Transfer units go with flow to this power, downwards: less water stays longer on the trays (*common practice, no
/// source*).
pub const STAY: f64 = 0.3;

/// Sized once, never changes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Params {
    /// Oxygen in the condensate that arrives [µg/kg].
    pub incoming: f64,
    /// Oxygen in the water below the trays at design [µg/kg].
    pub leaving: f64,
    /// Condensate at design [kg/s].
    pub condensate: f64,
    /// Number of transfer units of sprays and trays at design.
    pub transfer: f64,
    /// Mean share of gas in the steam space at design, by volume.
    pub mean: f64,
    /// Gas in the extraction steam [share by mass].
    pub in_steam: f64,
}

/// What is known of the design before it is sized.
#[derive(Clone, Copy, Debug)]
pub struct Design {
    /// Oxygen in the condensate that arrives [µg/kg].
    pub incoming: f64,
    /// Oxygen in the water that leaves [µg/kg].
    pub leaving: f64,
    /// Condensate [kg/s].
    pub condensate: f64,
    /// Drains [kg/s], which bring what is in equilibrium here.
    pub drains: f64,
    /// Extraction steam [kg/s].
    pub steam: f64,
    /// Gas in it [share by mass].
    pub in_steam: f64,
    /// Gas from the vents of other heaters [kg/s].
    pub vents: f64,
    /// Steam vented [kg/s]; without any, gas is not followed.
    pub vent: f64,
}

/// Gas, as air, that `water` [kg/s] gives off when its oxygen falls from one content to another [µg/kg]; below 0 where it
/// takes some up.
pub fn given_off(water: f64, from: f64, to: f64) -> f64 {
    water * (from - to) * 1e-9 / BY_MASS
}

/// Oxygen in water in equilibrium with a mean share of gas by volume in the steam space [µg/kg].
///
/// # Errors
/// Outside the range of saturation.
pub fn equilibrium(mean: f64, sat: &Saturation) -> steam::Result<f64> {
    // The gas stands besides the steam, whose pressure is that of saturation.
    henry::dissolved(&OXYGEN, sat.t, BY_VOLUME * sat.p * mean / (1.0 - mean))
}

/// Mean share of gas that its own consequences lead back to: by halving.
fn settled(f: impl Fn(f64) -> steam::Result<f64>) -> steam::Result<f64> {
    let (mut a, mut b) = (0.0, 1.0);
    for _ in 0..60 {
        let m = 0.5 * (a + b);
        if f(m)? > m {
            a = m;
        } else {
            b = m;
        }
    }
    Ok(a)
}

impl Params {
    /// Sizes sprays and trays so that the water leaves as asked; where gas lies too thick above for that, as in steam
    /// without gas, and more stays dissolved.
    ///
    /// # Errors
    /// Outside the range of saturation.
    pub fn size(d: &Design, sat: &Saturation) -> steam::Result<Params> {
        let mean_at = |leaving: f64| {
            let arriving = d.in_steam * d.steam + d.vents + given_off(d.condensate, d.incoming, leaving);
            // Water that would take up more than comes leaves nothing above.
            let arriving = arriving.max(0.0);
            if d.vent > 0.0 { gas::mean_for(gas::by_volume(arriving / (arriving + d.vent))) } else { 0.0 }
        };
        let (incoming, in_steam, condensate) = (d.incoming, d.in_steam, d.condensate);
        let drained = d.drains / (d.drains + d.condensate);
        // Below the trays, so that with the drains the store has what is asked.
        let asked = |rest: f64| (d.leaving - drained * rest) / (1.0 - drained);
        // From no gas upwards, to the least of it that its own consequences lead back to.
        let (mut mean, mut rest) = (0.0, 0.0);
        for _ in 0..60 {
            mean = mean_at(asked(rest));
            rest = equilibrium(mean, sat)?;
            if rest >= d.leaving {
                break;
            }
        }
        let leaving = asked(rest);
        if leaving > rest && leaving < incoming {
            let transfer = math::ln((incoming - rest) / (leaving - rest));
            return Ok(Params { incoming, leaving, condensate, transfer, mean, in_steam });
        }
        let transfer = math::ln(incoming / d.leaving);
        let mut p = Params { incoming, leaving: d.leaving, condensate, transfer, mean, in_steam };
        p.mean = settled(|mean| Ok(mean_at(p.below_trays(1.0, 1.0, equilibrium(mean, sat)?))))?;
        p.leaving = p.below_trays(1.0, 1.0, equilibrium(p.mean, sat)?);
        Ok(p)
    }

    /// Oxygen in the water below the trays [µg/kg], of which the steam heats a share to saturation; `flow`: condensate over
    /// that at design.
    pub fn below_trays(&self, flow: f64, heated: f64, equilibrium: f64) -> f64 {
        let transfer = self.transfer * math::pow(flow.max(0.05), -STAY);
        let reached = equilibrium + (self.incoming - equilibrium) * math::exp(-transfer);
        heated * reached + (1.0 - heated) * self.incoming
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn design() -> Design {
        Design {
            incoming: 40.0,
            leaving: 7.0,
            condensate: 180.0,
            drains: 0.0,
            steam: 10.0,
            in_steam: 5e-6,
            vents: 2e-4,
            vent: 0.15,
        }
    }

    /// At design what leaves is what was asked; with less gas above less stays, with more, more, to its equilibrium.
    #[test]
    fn the_outlet_follows_the_gas_above() {
        let sat = steam::sat_p(0.73).unwrap();
        let p = Params::size(&design(), &sat).unwrap();
        assert!(p.below_trays(0.5, 1.0, 1.5) < 0.8 * p.below_trays(1.0, 1.0, 1.5));
        let at = |mean: f64| p.below_trays(1.0, 1.0, equilibrium(mean, &sat).unwrap());
        assert!((at(p.mean) - 7.0).abs() < 1e-9);
        assert!(at(0.0) < 7.0 && at(0.0) > 3.0);
        let much = equilibrium(0.05, &sat).unwrap();
        assert!(much > 1000.0 && at(0.05) > 0.8 * much);
        // Drains dilute: below the trays there may then be more.
        let diluted = Params::size(&Design { drains: 45.0, ..design() }, &sat).unwrap();
        let rest = equilibrium(diluted.mean, &sat).unwrap();
        assert!((0.8 * diluted.leaving + 0.2 * rest - 7.0).abs() < 1e-9, "{diluted:?}");
        // Half the steam: half the water falls through as it came.
        let half = p.below_trays(1.0, 0.5, equilibrium(p.mean, &sat).unwrap());
        assert!((half - 23.5).abs() < 1e-9, "{half}");
    }

    /// A vent too small for the gas: the water leaves with what is in equilibrium above, and a little more.
    #[test]
    fn a_small_vent_leaves_more() {
        let sat = steam::sat_p(0.73).unwrap();
        let p = Params::size(&Design { vent: 0.01, ..design() }, &sat).unwrap();
        let rest = equilibrium(p.mean, &sat).unwrap();
        assert!(
            p.leaving > 7.0 && (p.leaving - p.below_trays(1.0, 1.0, rest)).abs() < 1e-6 * rest,
            "{p:?} {rest}"
        );
        assert_eq!(Params::size(&Design { vent: 0.0, ..design() }, &sat).unwrap().mean, 0.0);
    }
}
