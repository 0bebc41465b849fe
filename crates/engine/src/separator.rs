//! Moisture separator and steam reheater, between two cylinders of a saturated-steam turbine.
//!
//! ```text
//!  wet steam -> separator -> dry steam -> reheater -> superheated steam
//!                 |                        |    ^
//!              drain to a heater        drain   heating steam, taken before the throttle valves
//! ```
//!
//! * **Separator**: takes a share of the moisture out of the steam, at the pressure that is left behind its resistance;
//!   the drain leaves saturated at that pressure. The share is design data and holds at every load.
//! * **Reheater**: throttle steam condenses in tubes at one pressure, that of the throttle less what its line loses; the
//!   steam outside is dried, then heated, against that one temperature. How far follows from a conductance sized at design;
//!   how much heating steam that takes, from the heat.
//! * **Drains** run to the heaters that are named for them as long as the pressure drives them there; what it does not
//!   drive, or finds its heater out of service, goes to the condenser.
//!
//! Steam in the vessel is not counted: some two tons at a few hundred kilograms a second are gone in seconds, of the order
//! of the steam in the cylinders, which is not counted either. All relations are per kilogram of steam, so that they hold
//! whatever flow the turbine finds; what drains in a step is kept and arrives in the next, so that mass and heat are
//! accounted for to the last bit.

use crate::exchange;
use crate::extraction::Source;
use crate::fault::{At, Fault};
use crate::turbine;
use crate::valve::{Condition, Stem};
use serde::{Deserialize, Serialize};
use steam::{Saturation, math};

/// Share of the reheater's resistance on the side of the condensing steam at design (*common practice, no source*): it
/// holds at every flow, the rest falls with that of the heated steam.
const HEATING_SHARE: f64 = 0.2;
/// What a drain line passes wide open, over its flow at design (*common practice, no source*).
const LINE_MARGIN: f64 = 3.0;
/// Stroke of the valves that send a drain to its heater or to the condenser [s] (*common practice, no source*).
const DRAIN_STROKE: f64 = 10.0;
/// Most of the throttle steam that heats (*common practice, no source*): an ordinary reheater takes some hundredths.
pub(crate) const MOST_HEATING: f64 = 0.5;
/// Most rounds for the mean heat capacity of the reheated steam: each gains two or three digits.
const MEAN_ROUNDS: u32 = 16;

/// Sized once, never changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Params {
    /// Index of the point of the turbine that it follows.
    pub after: usize,
    /// Share of the moisture that is taken out.
    pub efficiency: f64,
    /// Flow coefficient of separator and crossover line.
    pub coefficient: f64,
    /// Where the drain goes.
    pub drain: Delivery,
    /// The reheater behind it, if any.
    pub reheater: Option<Reheater>,
}

impl Params {
    /// Whether one of its drains is meant for heater `i`.
    pub fn leads_to(&self, i: usize) -> bool {
        let reheater = self.reheater.as_ref().and_then(|r| r.drain.heater);
        self.drain.heater == Some(i) || reheater == Some(i)
    }
}

/// A reheater heated by throttle steam.
#[derive(Clone, Debug, PartialEq)]
pub struct Reheater {
    /// Heating steam, before its line.
    pub source: Source,
    /// Flow coefficient of that line.
    pub line: f64,
    /// Flow coefficient on the heated side.
    pub coefficient: f64,
    /// Conductance at design [kW/K].
    pub conductance: f64,
    /// Heated steam at design [kg/s].
    pub flow: f64,
    /// Pressure of the heating steam [MPa] and terminal temperature difference [K], while they are given: at design, before
    /// line and surface are sized.
    pub given: Option<(f64, f64)>,
    /// Where the condensed heating steam goes.
    pub drain: Delivery,
}

/// Where a drain is to go, and what it needs to get there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Delivery {
    /// Index of the heater; none: the condenser.
    pub heater: Option<usize>,
    /// Flow at design [kg/s].
    pub flow: f64,
    /// Pressure difference that drives it at design [MPa].
    pub drive: f64,
}

impl Delivery {
    /// How much of `flow` [kg/s] gets there over a pressure difference of `drive` [MPa]. In proportion to the difference
    /// where that limits it: without a jump where it hardly drives.
    pub fn passes(&self, flow: f64, drive: f64) -> f64 {
        match self.heater {
            Some(_) => flow.min(LINE_MARGIN * self.flow * (drive / self.drive).max(0.0)),
            None => 0.0,
        }
    }
}

/// Kept from step to step: what the turbine's next pressures start from, and what happened last.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Moisture taken out, share of the steam that arrives.
    pub moisture: f64,
    /// Heating steam per heated steam.
    pub heating: f64,
    /// p v before the separator, and behind it [MPa m³/kg].
    pub pv: (f64, f64),
    /// Quality of the steam that arrives, at the separator's pressure.
    pub quality_in: f64,
    /// Pressure in the separator [MPa].
    pub pressure: f64,
    /// Enthalpy of its drain [kJ/kg].
    pub drain: f64,
    /// Enthalpy of the steam that leaves it [kJ/kg].
    pub dry: f64,
    /// Pressure of the condensing heating steam [MPa]; 0 without reheater.
    pub heating_pressure: f64,
    /// Its temperature [°C].
    pub heating_t: f64,
    /// Enthalpy of its drain [kJ/kg].
    pub heating_drain: f64,
    /// Pressure behind separator and reheater [MPa].
    pub hot_pressure: f64,
    /// Temperature there [°C].
    pub hot_t: f64,
}

/// What a trial of the turbine's pressures leads to here.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Trial {
    /// Pressure in the separator [MPa].
    pub pressure: f64,
    /// Steam that leaves [kg/s].
    pub flow: f64,
    /// Heating steam [kg/s].
    pub heating: f64,
}

/// Streams that leave or join the steam here [kg/s].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Streams {
    /// Wet steam that arrives.
    pub arriving: f64,
    /// Water taken out.
    pub drained: f64,
    /// Steam that goes on to the next group.
    pub leaving: f64,
    /// Heating steam, from before the throttle; 0 without reheater.
    pub heating: f64,
}

/// Crossover pressure [MPa] and flow [kg/s] that lead to `behind` [MPa] with `flow` [kg/s] leaving.
pub fn march(p: &Params, s: &State, behind: f64, flow: f64) -> (f64, f64, Trial) {
    let pressure = match &p.reheater {
        Some(r) => turbine::pressure_before(r.coefficient, flow, s.pv.1, behind),
        None => behind,
    };
    // Steam that runs the other way has left no water here.
    let (moisture, heating) = if flow > 0.0 { (s.moisture, s.heating) } else { (0.0, 0.0) };
    let arriving = flow / (1.0 - moisture);
    let crossover = turbine::pressure_before(p.coefficient, arriving, s.pv.0, pressure);
    (crossover, arriving, Trial { pressure, flow, heating: heating * flow })
}

/// How `available` [kg/s], the steam before the throttle less all extractions up to the crossover, is divided.
pub fn divide(s: &State, available: f64) -> Streams {
    if !(available > 0.0) {
        // As while the throttle shuts: steam that has come in below goes to the extractions above.
        return Streams { arriving: available, drained: 0.0, leaving: available, heating: 0.0 };
    }
    // Heating steam is taken of it first, in proportion to what leaves in the end.
    let leaving = available * (1.0 - s.moisture) / (1.0 + s.heating * (1.0 - s.moisture));
    let heating = s.heating * leaving;
    let arriving = available - heating;
    // By the share and not by the difference, which can come out below nothing in its last bit.
    let drained = arriving * s.moisture;
    Streams { arriving, drained, leaving: arriving - drained, heating }
}

/// Most heating steam per heated steam [kg/kg] where steam comes back through extraction lines: it is taken of the throttle
/// steam, `throttle` [kg/s], of which `flow` [kg/s] may now be more.
pub fn most_heating(throttle: f64, flow: f64) -> f64 {
    if flow > 0.0 { MOST_HEATING * throttle.max(0.0) / flow } else { f64::INFINITY }
}

/// Renews what is known of the steam for the pressures of a trial; `wet` as it arrives, `hot` [MPa] the pressure behind.
/// `most`: heating steam that there is, per heated steam. Returns the steam that leaves.
pub fn renew(
    p: &Params,
    s: &mut State,
    wet: &steam::State,
    t: &Trial,
    (hot, most): (f64, f64),
) -> Result<steam::State, Fault> {
    let sat = steam::sat_p(t.pressure).at("separator")?;
    let moisture = ((sat.hg - wet.h) / sat.hfg()).max(0.0);
    s.moisture = p.efficiency * moisture;
    s.quality_in = 1.0 - moisture;
    s.pressure = t.pressure;
    s.drain = sat.hf;
    s.dry = (wet.h - s.moisture * sat.hf) / (1.0 - s.moisture);
    s.pv.0 = wet.p * wet.v;
    s.hot_pressure = hot;
    let dry = steam::state_ph(t.pressure, s.dry).at("separator")?;
    s.pv.1 = dry.p * dry.v;
    let Some(r) = &p.reheater else {
        s.hot_t = dry.t;
        return Ok(dry);
    };
    let place = "reheater";
    let heating = heating(r, t.heating).at(place)?;
    let at = Heated::new(s.dry, hot).at(place)?;
    let h = match r.given {
        Some((_, ttd)) => {
            let to = heating.t - ttd;
            if !(to > at.t) {
                return Err(Fault::new(
                    "reheater_cold",
                    "turbine.moisture_separator.reheater.ttd",
                    format!("steam of {:.1} °C cannot be reheated to {to:.1} °C.", at.t),
                    "Lower the terminal temperature difference, or the pressure of the separator.",
                ));
            }
            steam::steam_pt(hot, to).at(place)?.h
        }
        None => {
            let films = exchange::two_films(1.0, HEATING_SHARE, t.flow / r.flow);
            at.heat(r.conductance * films, t.flow, heating.t).at(place)?
        }
    };
    let given = r.source.enthalpy - heating.hf;
    s.heating = (h - s.dry) / given;
    let h = if s.heating > most {
        s.heating = most;
        s.dry + most * given
    } else {
        h
    };
    s.heating_pressure = heating.p;
    s.heating_t = heating.t;
    s.heating_drain = heating.hf;
    let leaving = steam::state_ph(hot, h).at(place)?;
    s.hot_t = leaving.t;
    Ok(leaving)
}

/// The heating steam as it condenses when its line passes `flow` [kg/s].
fn heating(r: &Reheater, flow: f64) -> steam::Result<Saturation> {
    let p1 = r.source.pressure;
    let p = match r.given {
        Some((p, _)) => p,
        None => {
            let q = flow / r.line;
            // A line passes no more than it chokes at: a search may ask for more on its way.
            (p1 * p1 - q * q * p1 * r.source.volume).max(0.25 * p1 * p1).sqrt()
        }
    };
    steam::sat_p(p)
}

/// Steam that is to be heated at constant pressure: dry from its moisture first, then hotter.
struct Heated {
    /// As it comes [kJ/kg].
    h: f64,
    /// Where its temperature begins to rise: enthalpy [kJ/kg] and temperature [°C].
    from: f64,
    t: f64,
    p: f64,
}

impl Heated {
    fn new(h: f64, p: f64) -> steam::Result<Heated> {
        let sat = steam::sat_p(p)?;
        let (from, t) = if h < sat.hg { (sat.hg, sat.t) } else { (h, steam::state_ph(p, h)?.t) };
        Ok(Heated { h, from, t, p })
    }

    /// Mean heat capacity from where the temperature rises up to `t` [kJ/(kg K)].
    fn capacity(&self, t: f64) -> steam::Result<f64> {
        Ok((steam::steam_pt(self.p, t)?.h - self.from) / (t - self.t))
    }

    /// Conductance [kW/K] that heats `flow` [kg/s] to `t` [°C] against a stream that condenses at `hot` [°C].
    fn conductance(&self, flow: f64, t: f64, hot: f64) -> steam::Result<f64> {
        let drying = flow * (self.from - self.h) / (hot - self.t);
        Ok(drying + flow * self.capacity(t)? * math::ln((hot - self.t) / (hot - t)))
    }

    /// Enthalpy to which a conductance heats `flow` [kJ/kg].
    fn heat(&self, conductance: f64, flow: f64, hot: f64) -> steam::Result<f64> {
        if hot <= self.t || flow <= 0.0 {
            return Ok(self.h);
        }
        let rest = conductance - flow * (self.from - self.h) / (hot - self.t);
        if rest <= 0.0 {
            return Ok(self.h + conductance * (hot - self.t) / flow);
        }
        let mut capacity = self.capacity(hot)?;
        for _ in 0..MEAN_ROUNDS {
            let t = hot - (hot - self.t) * math::exp(-rest / (flow * capacity));
            if t - self.t < 1e-3 {
                break;
            }
            let next = self.capacity(t)?;
            let done = (next - capacity).abs() <= 1e-14 * capacity;
            capacity = next;
            if done {
                break;
            }
        }
        let share = 1.0 - math::exp(-rest / (flow * capacity));
        Ok(self.from + capacity * (hot - self.t) * share)
    }
}

/// Sizes resistances, surface and drains by the streams at design. `crossover`: pressure before [MPa]; `receivers`: pressures
/// of the heaters where the two drains arrive [MPa], those of the condenser where none is named.
pub fn size(
    p: &mut Params,
    s: &State,
    x: &Streams,
    crossover: f64,
    receivers: (f64, f64),
) -> Result<(), Fault> {
    p.coefficient = turbine::coefficient(x.arriving, crossover, s.pv.0, s.pressure);
    let delivery = |d: Delivery, flow: f64, from: f64, to: f64, place: &str| {
        if d.heater.is_some() && !(from > to) {
            return Err(Fault::new(
                "drain_cannot_flow",
                format!("turbine.moisture_separator.{place}"),
                format!("at design {from:.4} MPa do not drive the drain to {to:.4} MPa."),
                "Drain it to a heater of lower pressure, or to the condenser.",
            ));
        }
        Ok(Delivery { flow, drive: from - to, ..d })
    };
    p.drain = delivery(p.drain, x.drained, s.pressure, receivers.0, "drains_to")?;
    if let Some(r) = &mut p.reheater {
        let place = "reheater";
        r.coefficient = turbine::coefficient(x.leaving, s.pressure, s.pv.1, s.hot_pressure);
        r.line = turbine::coefficient(
            x.heating,
            r.source.pressure,
            r.source.pressure * r.source.volume,
            s.heating_pressure,
        );
        r.flow = x.leaving;
        r.conductance = Heated::new(s.dry, s.hot_pressure)
            .at(place)?
            .conductance(x.leaving, s.hot_t, s.heating_t)
            .at(place)?;
        r.given = None;
        r.drain = delivery(r.drain, x.heating, s.heating_pressure, receivers.1, "reheater.drains_to")?;
    }
    Ok(())
}

/// A drain on its way.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drain {
    /// Water that drained in the last step [kg].
    pub mass: f64,
    /// Its heat [kJ].
    pub heat: f64,
    /// Valve to the heater: shut, all goes to the condenser.
    pub valve: Stem,
}

impl Drain {
    /// None, for good.
    pub const NONE: Drain = Drain { mass: 0.0, heat: 0.0, valve: Stem { opening: 1.0 } };

    /// A drain that has been running at `flow` [kg/s] with `enthalpy` [kJ/kg], for a step of `dt` [s].
    pub fn running(flow: f64, enthalpy: f64, dt: f64) -> Drain {
        let mass = flow * dt;
        Drain { mass, heat: mass * enthalpy, valve: Stem { opening: 1.0 } }
    }

    /// Moves the valve: open for a heater that takes drains.
    pub fn drive(&mut self, open: bool, dt: f64) {
        self.valve.drive(if open { 1.0 } else { 0.0 }, DRAIN_STROKE, &Condition::default(), dt);
    }

    /// What arrives in this step, at the heater and at the condenser [kg/s], and the enthalpy of both [kJ/kg]; nothing is
    /// left on its way. `drive`: pressure difference to the heater [MPa].
    pub fn arrive(&mut self, to: &Delivery, drive: f64, dt: f64) -> (f64, f64, f64) {
        if !(self.mass > 0.0) {
            return (0.0, 0.0, 0.0);
        }
        let (flow, enthalpy) = (self.mass / dt, self.heat / self.mass);
        let there = to.passes(flow, drive).min(flow * self.valve.opening);
        self.mass = 0.0;
        self.heat = 0.0;
        (there, flow - there, enthalpy)
    }

    /// Takes up what drains in this step.
    pub fn collect(&mut self, flow: f64, enthalpy: f64, dt: f64) {
        self.mass = flow * dt;
        self.heat = self.mass * enthalpy;
    }
}

/// Both drains on their way.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drains {
    /// The separator's.
    pub separator: Drain,
    /// The reheater's.
    pub reheater: Drain,
}

impl Drains {
    /// Turns what drains in a step into what drains in one of another length.
    pub fn last(&mut self, times: f64) {
        for d in [&mut self.separator, &mut self.reheater] {
            d.mass *= times;
            d.heat *= times;
        }
    }

    /// Water on its way [kg].
    pub fn mass(&self) -> f64 {
        self.separator.mass + self.reheater.mass
    }

    /// Its heat [kJ].
    pub fn heat(&self) -> f64 {
        self.separator.heat + self.reheater.heat
    }
}
