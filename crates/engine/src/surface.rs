//! The heating surface of a closed heater at rest: sized from design duties, then asked what it does in other
//! circumstances.
//!
//! Three zones in series on the water side, as in [`crate::heater`], whose moving equations rest on the same
//! relations; nothing is stored here, so every zone is solved in closed form but for the mean heat capacities.

use crate::exchange;
use crate::fault::{At, Fault};
use crate::water::WaterLine;
use steam::Saturation;

/// Zones in the order the water meets them.
pub const ZONES: usize = 3;
/// Drain cooling.
pub const DRAIN_COOLING: usize = 0;
/// Condensing.
pub const CONDENSING: usize = 1;
/// Desuperheating.
pub const DESUPERHEATING: usize = 2;

/// Share of the zone's resistance on the water side: steam in the desuperheating zone and drain in the drain-cooling
/// zone hold most of it (*common practice, no source*).
pub const WATER_SHARE_DESUPERHEATING: f64 = 0.15;
/// See [`WATER_SHARE_DESUPERHEATING`].
pub const WATER_SHARE_DRAIN_COOLING: f64 = 0.4;

/// Overall coefficients of the zones [kW/(m² K)]: drain cooling, condensing, desuperheating (*common practice, no
/// source*). They set how surface, water and metal are shared among the zones, and how much a deposit of one thickness
/// means in each.
pub const TYPICAL_COEFFICIENT: [f64; ZONES] = [2.0, 3.5, 0.6];

/// Overall coefficient of condensing tubes that stand in the shell's water [kW/(m² K)], and the share of their resistance
/// on the water side. No baffles drive the drain past them: outside is free convection, about 1 kW/(m² K) by the equation
/// of Churchill and Chu for horizontal cylinders (Incropera and DeWitt, 3rd ed., eq. 9.34), which a test reckons.
pub const FLOODED_COEFFICIENT: f64 = 0.8;
/// See [`FLOODED_COEFFICIENT`].
pub const WATER_SHARE_FLOODED: f64 = 0.1;

/// Conductances and the flows they belong to.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Conductance of each zone at design [kW/K]; 0 where the heater has none.
    pub conductance: [f64; ZONES],
    /// Water-side share of the condensing zone's resistance.
    pub water_share: f64,
    /// Water flow at design [kg/s].
    pub water_flow: f64,
    /// Extraction flow at design [kg/s].
    pub steam_flow: f64,
    /// Drain flow at design [kg/s].
    pub drain_flow: f64,
}

/// What the heater does at design.
#[derive(Clone, Copy, Debug)]
pub struct Design {
    /// Water flow [kg/s].
    pub water_flow: f64,
    /// Water enthalpy in [kJ/kg].
    pub water_in: f64,
    /// Water enthalpy out [kJ/kg].
    pub water_out: f64,
    /// Extraction flow [kg/s].
    pub steam_flow: f64,
    /// Its enthalpy [kJ/kg].
    pub steam: f64,
    /// Drain flow [kg/s].
    pub drain_flow: f64,
    /// Drain enthalpy [kJ/kg].
    pub drain: f64,
    /// Superheat left behind the desuperheating zone [K]; `None` without the zone.
    pub residual_superheat: Option<f64>,
}

/// What meets the surface.
#[derive(Clone, Copy, Debug)]
pub struct Streams {
    /// Water flow [kg/s].
    pub water_flow: f64,
    /// Its enthalpy [kJ/kg].
    pub water_in: f64,
    /// Extraction flow [kg/s].
    pub steam_flow: f64,
    /// Its enthalpy [kJ/kg].
    pub steam: f64,
    /// Drain that leaves through the drain-cooling zone [kg/s].
    pub drain_flow: f64,
    /// Share of the condensing surface that is under water.
    pub flooded: f64,
    /// Share of the conductance of the rest that gas leaves.
    pub clean: f64,
}

/// What the surface does.
#[derive(Clone, Copy, Debug, Default)]
pub struct Exchanged {
    /// Enthalpy of the water leaving each zone [kJ/kg].
    pub water: [f64; ZONES],
    /// Heat in each zone [kW].
    pub duty: [f64; ZONES],
    /// Enthalpy of the drain [kJ/kg].
    pub drain: f64,
}

impl Surface {
    /// Sizes the surface of heater `id` whose shell is at `sat`; returns it with the water's enthalpy behind each zone.
    pub fn size(
        id: &str,
        d: &Design,
        water_share: f64,
        sat: &Saturation,
        line: &WaterLine,
    ) -> Result<(Surface, [f64; ZONES]), Fault> {
        let place = format!("heaters.{id}");
        let w = d.water_flow;
        let impossible = |what: &str, e: f64| {
            Fault::new(
                "zone_impossible",
                place.clone(),
                format!("the {what} zone would need an effectiveness of {e:.3}, and no surface reaches 1."),
                "Ease the terminal temperature difference, the approach or the residual superheat.",
            )
        };
        let t_in = line.t(d.water_in).at(id)?;
        let t_out = line.t(d.water_out).at(id)?;

        // Drain cooling: all the drain from saturation to the water's inlet plus the approach.
        let drain_duty = d.drain_flow * (sat.hf - d.drain);
        let h1 = d.water_in + drain_duty / w;
        let t1 = line.t(h1).at(id)?;
        let mut ua1 = 0.0;
        if drain_duty > 1e-9 * d.drain_flow * sat.hf {
            let cold = w * (h1 - d.water_in) / (t1 - t_in);
            let hot = d.drain_flow * drain_capacity(sat, sat.hf, t_in).at(id)?;
            let (least, most) = (cold.min(hot), cold.max(hot));
            let e = drain_duty / (least * (sat.t - t_in));
            ua1 = exchange::counterflow_ntu(e, least / most).ok_or_else(|| impossible("drain-cooling", e))?
                * least;
        }

        // Desuperheating: the extraction down to its residual superheat.
        let mut h2 = d.water_out;
        let mut ua3 = 0.0;
        if let Some(residual) = d.residual_superheat
            && d.steam > sat.hg
        {
            let steam_in = steam::state_ph(sat.p, d.steam).at(id)?;
            let leaving = steam::steam_pt(sat.p, sat.t + residual).at(id)?.h;
            let duty = d.steam_flow * (d.steam - leaving);
            if duty > 0.0 {
                h2 = d.water_out - duty / w;
                let t2 = line.t(h2).at(id)?;
                let hot = d.steam_flow * (d.steam - sat.hg) / (steam_in.t - sat.t);
                let cold = w * (d.water_out - h2) / (t_out - t2);
                let (least, most) = (cold.min(hot), cold.max(hot));
                let e = duty / (least * (steam_in.t - t2));
                ua3 = exchange::counterflow_ntu(e, least / most)
                    .ok_or_else(|| impossible("desuperheating", e))?
                    * least;
            }
        }

        // Condensing: the rest, against saturation.
        let t2 = line.t(h2).at(id)?;
        if !(t1 < t2 && t2 < sat.t) {
            return Err(Fault::new(
                "zone_impossible",
                place,
                format!(
                    "in the condensing zone water would go from {t1:.2} to {t2:.2} °C with steam at {:.2} °C.",
                    sat.t
                ),
                "Raise the terminal temperature difference or lower the residual superheat.",
            ));
        }
        let ntu = steam::math::ln((sat.t - t1) / (sat.t - t2));
        let ua2 = ntu * w * (h2 - h1) / (t2 - t1);
        let surface = Surface {
            conductance: [ua1, ua2, ua3],
            water_share,
            water_flow: w,
            steam_flow: d.steam_flow,
            drain_flow: d.drain_flow,
        };
        Ok((surface, [h1, h2, d.water_out]))
    }

    /// Conductance at design water flow of condensing tubes of which this share stands in water [kW/K]: they condense
    /// nothing more, and cool what drains instead, in one counterflow with the drain-cooling zone, whether there is one or not.
    pub fn pool(&self, flooded: f64) -> f64 {
        self.conductance[CONDENSING] * (FLOODED_COEFFICIENT / TYPICAL_COEFFICIENT[CONDENSING]) * flooded
    }

    /// Heat exchanged with the shell at `sat`.
    pub fn exchange(
        &self,
        id: &str,
        s: &Streams,
        sat: &Saturation,
        line: &WaterLine,
    ) -> Result<Exchanged, Fault> {
        let w = s.water_flow;
        if w <= 0.0 {
            return Ok(Exchanged { water: [s.water_in; ZONES], duty: [0.0; ZONES], drain: sat.hf });
        }
        let share = w / self.water_flow;
        let t_in = line.t(s.water_in).at(id)?;

        let mut h1 = s.water_in;
        let ua = self.conductance[DRAIN_COOLING];
        let pool = if sat.t > t_in { self.pool(s.flooded) } else { 0.0 };
        if ua + pool > 0.0 && s.drain_flow > 0.0 && (sat.t - t_in).abs() > 1e-6 {
            let ua = ua
                * exchange::two_films(share, WATER_SHARE_DRAIN_COOLING, s.drain_flow / self.drain_flow)
                + pool * exchange::water_side(share, WATER_SHARE_FLOODED);
            let hot = s.drain_flow * drain_capacity(sat, sat.hf, t_in).at(id)?;
            let mut cp = line.cp(t_in).at(id)?;
            for _ in 0..MEAN_ROUNDS {
                let cold = w * cp;
                let (least, most) = (cold.min(hot), cold.max(hot));
                h1 =
                    s.water_in + exchange::counterflow(ua / least, least / most) * least * (sat.t - t_in) / w;
                let next = mean(line, s.water_in, t_in, h1, cp).at(id)?;
                if close(next, cp) {
                    break;
                }
                cp = next;
            }
        }
        let t1 = line.t(h1).at(id)?;

        let ua = self.conductance[CONDENSING]
            * exchange::water_side(share, self.water_share)
            * (1.0 - s.flooded)
            * s.clean;
        let mut cp = line.cp(t1).at(id)?;
        let mut h2 = h1;
        for _ in 0..MEAN_ROUNDS {
            let t2 = sat.t - (sat.t - t1) * steam::math::exp(-ua / (w * cp));
            h2 = line.h(t2).at(id)?;
            let next = if (t2 - t1).abs() > 1e-6 { (h2 - h1) / (t2 - t1) } else { cp };
            if close(next, cp) {
                break;
            }
            cp = next;
        }
        let t2 = line.t(h2).at(id)?;

        let mut h3 = h2;
        let ua = self.conductance[DESUPERHEATING];
        if ua > 0.0 && s.steam_flow > 0.0 && s.steam > sat.hg {
            let steam_t = steam::state_ph(sat.p, s.steam).at(id)?.t;
            if steam_t > sat.t + 0.01 {
                let hot = s.steam_flow * (s.steam - sat.hg) / (steam_t - sat.t);
                let ua = ua
                    * exchange::two_films(share, WATER_SHARE_DESUPERHEATING, s.steam_flow / self.steam_flow);
                let most_heat = s.steam_flow * (s.steam - sat.hg);
                let mut cp = line.cp(t2).at(id)?;
                for _ in 0..MEAN_ROUNDS {
                    let cold = w * cp;
                    let (least, most) = (cold.min(hot), cold.max(hot));
                    let q = exchange::counterflow(ua / least, least / most) * least * (steam_t - t2);
                    h3 = h2 + q.min(most_heat) / w;
                    let next = mean(line, h2, t2, h3, cp).at(id)?;
                    if close(next, cp) {
                        break;
                    }
                    cp = next;
                }
            }
        }
        let duty = [w * (h1 - s.water_in), w * (h2 - h1), w * (h3 - h2)];
        let drain = if s.drain_flow > 0.0 { sat.hf - duty[DRAIN_COOLING] / s.drain_flow } else { sat.hf };
        Ok(Exchanged { water: [h1, h2, h3], duty, drain })
    }
}

/// Most rounds for a mean heat capacity: each gains two or three digits.
const MEAN_ROUNDS: u32 = 12;

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-13 * b.abs()
}

/// Mean heat capacity between (h1, t1) and h2.
fn mean(line: &WaterLine, h1: f64, t1: f64, h2: f64, local: f64) -> steam::Result<f64> {
    let t2 = line.t(h2)?;
    Ok(if (t2 - t1).abs() > 0.05 { (h2 - h1) / (t2 - t1) } else { local })
}

/// Mean heat capacity of a drain of enthalpy `h` between saturation and the water's inlet temperature [kJ/(kg K)].
pub fn drain_capacity(sat: &Saturation, h: f64, water_in: f64) -> steam::Result<f64> {
    let coldest = if sat.t > water_in { steam::liquid_pt(sat.p, water_in)?.h } else { f64::NEG_INFINITY };
    drain_capacity_over(sat, h, water_in, coldest)
}

/// The same where the enthalpy of a drain as cold as the water, `coldest` [kJ/kg], is known.
pub fn drain_capacity_over(sat: &Saturation, h: f64, water_in: f64, coldest: f64) -> steam::Result<f64> {
    if sat.t > water_in + 0.1 {
        Ok((h - coldest) / (sat.t - water_in))
    } else {
        let d = 0.1;
        Ok((sat.hf - steam::liquid_pt(sat.p, sat.t - d)?.h) / d)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use steam::math;

    /// Churchill and Chu (Incropera and DeWitt, 3rd ed., eq. 9.34) for a tube of 16 mm in water at 150 °C (its table A.6,
    /// *from memory*), some kelvins from the tube, in series with 7 kW/(m² K) inside: the coefficient taken, within a third.
    #[test]
    fn flooded_tubes_give_what_free_convection_does() {
        let (k, nu, pr, beta): (f64, f64, f64, f64) = (0.688e-3, 0.201e-6, 1.16, 0.9e-3);
        let d = 0.016;
        for kelvins in [1.0, 2.0, 5.0] {
            let rayleigh = 9.81 * beta * kelvins * d * d * d * pr / (nu * nu);
            let prandtl = math::pow(1.0 + math::pow(0.559 / pr, 9.0 / 16.0), 8.0 / 27.0);
            let root = 0.6 + 0.387 * math::pow(rayleigh, 1.0 / 6.0) / prandtl;
            let outside = root * root * k / d;
            let whole = 1.0 / (1.0 / outside + 1.0 / 7.0);
            assert!((whole / FLOODED_COEFFICIENT - 1.0).abs() < 0.34, "{kelvins} K: {whole} kW/(m² K)");
            let share = whole / 7.0;
            assert!((share - WATER_SHARE_FLOODED).abs() < 0.06, "{kelvins} K: {share}");
        }
    }
}
