//! What falls from shell to shell within a step, from the highest pressure down: drains, vents, gas; and what moisture
//! separator and steam reheater lead to their heaters.

use crate::drain;
use crate::fault::{At, Fault};
use crate::heater;
use crate::line_drain;
use crate::outputs::Outputs;
use crate::plant::file::VentTo;
use crate::train::{Params, PlantState, Receiver};
use crate::turbine;
use std::cmp::Ordering;

/// A stream of mass [kg/s] and heat [kW].
#[derive(Clone, Copy, Debug, Default)]
pub struct Stream {
    /// Mass [kg/s].
    pub mass: f64,
    /// Heat [kW].
    pub heat: f64,
}

impl Stream {
    /// Adds a stream.
    pub fn add(&mut self, mass: f64, heat: f64) {
        self.mass += mass;
        self.heat += heat;
    }
}

/// What falls within a step.
#[derive(Clone, Debug)]
pub struct Falling {
    /// To the next heater.
    pub cascade: Stream,
    /// To the condenser.
    pub condenser: Stream,
    /// Vents to the open heater.
    pub vents: Stream,
    /// Gas in them [kg/s].
    pub vents_gas: f64,
    /// Gas that came into closed shells, and that went to the condenser [kg/s].
    pub gas: (f64, f64),
    /// From moisture separator and steam reheater, by heater.
    led: Vec<Stream>,
}

/// What arrives of a drain of moisture separator or steam reheater: what left in the last step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Arrived {
    /// At its heater [kg/s].
    pub there: f64,
    /// At the condenser [kg/s]: where no heater is named, or that heater is off or stands too high.
    pub away: f64,
    /// Enthalpy of both [kJ/kg].
    pub enthalpy: f64,
    /// It was meant for a heater.
    pub meant: bool,
}

impl Arrived {
    /// What went to the condenser instead of its heater [kg/s].
    pub fn astray(&self) -> f64 {
        if self.meant { self.away } else { 0.0 }
    }
}

impl Falling {
    /// Nothing yet, for so many heaters.
    pub fn new(heaters: usize) -> Falling {
        let none = Stream::default();
        Falling {
            cascade: none,
            condenser: none,
            vents: none,
            vents_gas: 0.0,
            gas: (0.0, 0.0),
            led: vec![none; heaters],
        }
    }

    /// Takes what arrives in heater `i`, by its index among all.
    pub fn take(&mut self, i: usize) -> Stream {
        let mut all = std::mem::take(&mut self.cascade);
        let led = self.led[i];
        all.add(led.mass, led.heat);
        all
    }

    /// Drains of moisture separator and steam reheater, as they left in the last step: to their heaters as far as `open`
    /// says so, or to the condenser.
    pub fn led(&mut self, p: &Params, x: &mut PlantState, open: [bool; 2]) -> [Arrived; 2] {
        let mut arrived = [Arrived::default(); 2];
        let (Some(q), Some(drains)) = (&p.turbine.separator, &mut x.separator) else { return arrived };
        let s = &x.turbine.separator;
        let shell = |i: usize| match i.cmp(&p.high) {
            Ordering::Less => x.closed[i].heater.whole_pressure(),
            Ordering::Equal => x.open.pressure,
            Ordering::Greater => x.closed[i - 1].heater.whole_pressure(),
        };
        let both = [
            (&mut drains.separator, Some(&q.drain), s.pressure),
            (&mut drains.reheater, q.reheater.as_ref().map(|r| &r.drain), s.heating_pressure),
        ];
        for (n, (drain, to, pressure)) in both.into_iter().enumerate() {
            let Some(to) = to else { continue };
            drain.drive(open[n], p.dt);
            let drive = to.heater.map_or(0.0, |i| pressure - shell(i));
            let (there, away, enthalpy) = drain.arrive(to, drive, p.dt);
            arrived[n] = Arrived { there, away, enthalpy, meant: to.heater.is_some() };
            if let Some(i) = to.heater {
                self.led[i].add(there, there * enthalpy);
            }
            self.condenser.add(away, away * enthalpy);
        }
        arrived
    }
}

/// What the start-up vent passes wide open, over the orifice of the continuous vent (*common practice, no source*: a valve of
/// some tens of millimetres beside an orifice of some).
pub(crate) const START_UP_VENT: f64 = 8.0;

/// One closed heater: takes the drain that falls from the heater above and leaves what falls on. `vent`:
/// opening asked of its vent.
///
/// # Errors
/// What the heater's step ends in.
pub fn closed(
    p: &Params,
    x: &mut PlantState,
    o: &mut Outputs,
    k: usize,
    vent: f64,
    falling: &mut Falling,
) -> Result<turbine::Exchange, Fault> {
    let q = &p.closed[k];
    let arrived = falling.take(p.index(k));
    let vents_at = match q.vents_to {
        VentTo::Condenser => x.condenser.pressure,
        VentTo::Open => x.open.pressure,
    };
    let out = &mut o.closed[k];
    let i = heater::Inputs {
        dt: p.dt,
        source: x.turbine.points[p.point(k)],
        line: out.open.line,
        back: out.open.back,
        water_flow: out.water_flow,
        water_in: out.water_in,
        leak: out.leak,
        vent: (
            vent * (1.0 - o.conditions.closed[k].heater.vent_shut) + START_UP_VENT * out.open.start_up_vent,
            vents_at,
        ),
        condition: o.conditions.closed[k].heater,
        drain_in: arrived.mass,
        drain_in_heat: arrived.heat,
        drain_out: out.normal + out.emergency,
    };
    out.heater = heater::step(&q.heater, &mut x.closed[k].heater, &i, p.line(k))?;
    out.drain_in = arrived.mass;
    out.drain_in_heat = arrived.heat;
    let h = out.heater.drain;
    let at_valve = &mut x.closed[k].drain_at_valve;
    *at_valve += (h - *at_valve) * p.dt / (drain::PIPE_LAG + p.dt);
    falling.condenser.add(out.emergency, out.emergency * h);
    falling.condenser.add(out.heater.carry_over, out.heater.carry_over_heat);
    let h = &out.heater;
    falling.gas.0 += h.gas_in;
    falling.gas.1 += h.returned_gas;
    match q.vents_to {
        VentTo::Condenser => {
            falling.condenser.add(h.vent, h.vent_heat);
            // The vacuum pump takes it as it comes: what comes at design is part of the condenser's design pressure.
            falling.gas.1 += h.gas_out;
        }
        VentTo::Open => {
            falling.vents.add(h.vent, h.vent_heat);
            falling.vents_gas += h.gas_out;
        }
    }
    let h = out.heater.drain;
    match q.receiver {
        Receiver::Condenser => falling.condenser.add(out.normal, out.normal * h),
        Receiver::Closed(_) | Receiver::Open => falling.cascade.add(out.normal, out.normal * h),
        // Already on its way in the feedwater.
        Receiver::Forward(_) => {}
    }
    let h = &out.heater;
    let back = line_drain::Back {
        steam: h.returned,
        steam_heat: h.returned_heat,
        water: h.inducted,
        water_heat: h.inducted_heat,
        boils: x.closed[k].heater.pressure,
    };
    let drain = &mut x.closed[k].extraction.drain;
    let line = out.line_drain.take(drain, &i.source, (h.steam_flow, &back), x.condenser.pressure);
    let line = line.at(&q.heater.id)?;
    falling.condenser.add(out.line_drain.flow(), out.line_drain.heat());
    Ok(line)
}

/// What passes between the turbine and the open heater's line, once its tank has taken its steam or given some back.
///
/// # Errors
/// None: no water comes back from the tank.
pub fn open_line(
    p: &Params,
    x: &mut PlantState,
    o: &mut Outputs,
    falling: &mut Falling,
) -> Result<turbine::Exchange, Fault> {
    let back = line_drain::Back {
        steam: o.open.returned,
        steam_heat: o.open.returned_heat,
        ..line_drain::Back::default()
    };
    let (source, drain) = (x.turbine.points[p.open_point()], &mut x.open_extraction.drain);
    let d = &mut o.open_line_drain;
    let line = d.take(drain, &source, (o.open.steam_flow, &back), x.condenser.pressure).at(&p.open.id)?;
    falling.condenser.add(d.flow(), d.heat());
    Ok(line)
}
