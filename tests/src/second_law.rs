//! No heat flows up-temperature.
//!
//! What is compared is what the step itself balanced: each zone's duty with the temperatures at the end of the step.
//! Tubes and water store heat, so a zone's water outlet may for a while be hotter than the steam that is now there: then
//! the heat has to go the other way, from the water to the shell. That is not a breach but the law itself, and the sign
//! of the duty must follow the sign of the difference at every moment.

use crate::Run;

/// Temperatures closer than this are equal [K]: the shell's pressure is found to 1e-11, the liquid table to 1e-6 K.
const EQUAL: f64 = 1e-3;
/// Heat that does not count [kW]: a millionth of a heater's duty.
const NOTHING: f64 = 0.05;

/// Temperatures [°C] and duties [kW] of one closed heater at one moment.
#[derive(Clone, Copy, Debug)]
pub struct Zones {
    /// Drain cooling, condensing, desuperheating.
    pub duty: [f64; 3],
    /// Water that enters.
    pub entering: f64,
    /// Water that leaves each zone.
    pub water: [f64; 3],
    /// What the steam condenses at.
    pub saturation: f64,
    /// Steam that enters.
    pub steam: f64,
    /// Drain that leaves.
    pub drain: f64,
    /// Water that leaks into it, where it does: it keeps its enthalpy, not its temperature.
    pub leaking: Option<f64>,
}

impl Zones {
    /// Those of closed heater `k` now.
    ///
    /// # Errors
    /// Steam outside the range of its properties.
    pub fn of(run: &Run, k: usize) -> Result<Zones, steam::SteamError> {
        let (params, state) = (run.sim.params(), &run.sim.state().plant);
        let (h, c, line) = (&run.sim.outputs().closed[k].heater, &state.closed[k].heater, params.line(k));
        let source = state.turbine.points[params.point(k)];
        Ok(Zones {
            duty: h.duty,
            entering: h.water_in_t,
            water: [line.t(c.water[0])?, line.t(c.water[1])?, line.t(c.water[2])?],
            // Gas in the shell takes part of its pressure: steam condenses at what is left.
            saturation: h.condensing,
            steam: steam::state_ph(h.pressure, source.enthalpy)?.t.max(h.condensing),
            drain: h.drain_t,
            leaking: match run.sim.outputs().closed[k].leak > 0.0 {
                true => Some(steam::state_ph(h.pressure, line.h(h.water_in_t)?)?.t),
                false => None,
            },
        })
    }

    /// Which zone, if any, has its heat go up.
    pub fn breach(&self) -> Option<&'static str> {
        let Zones { duty: [drain_cooling, condensing, desuperheating], entering, water, .. } = *self;
        let (saturation, steam) = (self.saturation, self.steam);
        // Heat goes to the water only if the steam is hotter than the coldest of it, and back only if it is colder than
        // the hottest.
        let (low, high) = (water[0].min(water[1]), water[0].max(water[1]));
        if condensing > NOTHING && saturation < low - EQUAL
            || condensing < -NOTHING && saturation > high + EQUAL
        {
            return Some("condensing");
        }
        // Only from steam hotter than the water that comes to it, and back only to colder steam.
        if desuperheating < -NOTHING && steam > water[1] + EQUAL
            || desuperheating > NOTHING && steam < water[1] - EQUAL
        {
            return Some("desuperheating");
        }
        // The drain never leaves beyond the temperature of the water that cools it (or, in a shell gone cold, warms it).
        if drain_cooling.abs() > NOTHING {
            let (from, to) = (saturation.min(entering), saturation.max(entering));
            // What the drain holds is taken at the pressure where the step began: some millikelvin.
            let over = 5.0 * EQUAL;
            let leaking = self.leaking.unwrap_or(from);
            if (drain_cooling > 0.0) != (saturation > entering)
                || !(self.drain > from.min(leaking) - over && self.drain < to + over)
            {
                return Some("drain cooling");
            }
        }
        None
    }
}

/// Looks at every zone and at the condenser.
///
/// # Errors
/// Where heat goes up.
pub fn breaches(run: &Run) -> Result<(), String> {
    for (k, id) in run.closed().iter().enumerate() {
        let zones = Zones::of(run, k).map_err(|e| format!("{id}: {e}"))?;
        if let Some(zone) = zones.breach() {
            return Err(format!("{id}, {zone}: {zones:?}"));
        }
    }
    // Heat passes as the condenser stood when the step began.
    let condenser = run.sim.previous().plant.condenser.temperature;
    let inlet = run.sim.params().condenser.cooling_inlet;
    let outlet = run.get("unit.cooling_outlet_temperature");
    // Off the grid the condenser comes down to the cooling water, and cold make-up takes it a little below: the cooling
    // water then warms it.
    let (low, high) = (inlet.min(condenser) - EQUAL, inlet.max(condenser) + EQUAL);
    if !(outlet > low && outlet < high) {
        return Err(format!("condenser at {condenser} °C, cooling water from {inlet} to {outlet} °C"));
    }
    Ok(())
}

/// The hottest that a heater's water can be: as hot as the hottest of what heated it.
///
/// A running maximum: the steam that is offered now, the saturation of the shell and the water that arrives, or what
/// they were so far, because tubes and water keep what they were given.
#[derive(Debug, Default)]
pub struct Hottest(Vec<f64>);

impl Hottest {
    /// To be called every second from the start.
    ///
    /// # Errors
    /// Which heater's water is hotter than anything that heated it.
    pub fn look(&mut self, run: &Run) -> Result<(), String> {
        let (params, outputs, state) = (run.sim.params(), run.sim.outputs(), &run.sim.state().plant);
        self.0.resize(params.closed.len(), f64::NEG_INFINITY);
        for (k, most) in self.0.iter_mut().enumerate() {
            let h = &outputs.closed[k].heater;
            let source = state.turbine.points[params.point(k)];
            // Throttling in the line costs temperature: that at the turbine is the higher.
            let steam = steam::state_ph(source.pressure, source.enthalpy).map_err(|e| e.to_string())?.t;
            *most = most.max(steam).max(h.condensing).max(h.water_in_t);
            if h.water_out_t > *most + EQUAL {
                let id = &params.closed[k].heater.id;
                return Err(format!(
                    "{id}: water leaves at {} °C, nothing was above {most} °C",
                    h.water_out_t
                ));
            }
        }
        Ok(())
    }
}
