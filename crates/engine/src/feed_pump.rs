//! Boiler feed pumps: equal pumps in parallel on one speed, from the storage tank to the drum.
//!
//! Each pump's head at speed n (share of design) and flow q (share of its design flow) is H = Hd (s n² - (s - 1) q²),
//! s being the shut-off head over the design head, which keeps the affinity laws (flow with n, head with n²). The flow
//! asked is met by the speed that gives the head of the line; where that speed exceeds the largest, the flow is what
//! the largest speed can give.

use serde::{Deserialize, Serialize};

/// Standard gravity [m/s²] (exact, 3rd General Conference on Weights and Measures).
pub const GRAVITY: f64 = 9.806_65;

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Total feed flow at design [kg/s].
    pub design_flow: f64,
    /// Pumps running at design, which share that flow.
    pub design_running: u32,
    /// Pumps that run.
    pub running: u32,
    /// Head at design [m].
    pub design_head: f64,
    /// Shut-off head over design head.
    pub shutoff: f64,
    /// Efficiency at design.
    pub efficiency: f64,
    /// Efficiency of drive and coupling.
    pub drive_efficiency: f64,
    /// Speed at design [rpm].
    pub speed: f64,
    /// Largest speed [share].
    pub largest_speed: f64,
    /// Net positive suction head required at design [m].
    pub npsh_required: f64,
    /// Static head from the tank's normal level to the pumps [m].
    pub suction_head: f64,
    /// Suction friction at design flow [m].
    pub suction_loss: f64,
    /// Drum pressure and static head behind the pumps [MPa].
    pub back_pressure: f64,
    /// Line loss at design flow [MPa].
    pub line_loss: f64,
    /// Largest change of flow [kg/s per s].
    pub flow_rate: f64,
}

/// Kept from step to step.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Total feed flow [kg/s].
    pub flow: f64,
}

/// What one step gives.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outputs {
    /// Total feed flow [kg/s].
    pub flow: f64,
    /// Pressure at the suction [MPa].
    pub suction: f64,
    /// Pressure at the discharge [MPa].
    pub discharge: f64,
    /// Speed [rpm].
    pub speed: f64,
    /// Enthalpy given to the water [kJ/kg].
    pub rise: f64,
    /// Power taken by the drives [kW].
    pub power: f64,
    /// Net positive suction head available and required [m].
    pub npsh_available: f64,
    /// Required [m].
    pub npsh_required: f64,
    /// The flow asked is more than the pumps can give.
    pub at_limit: bool,
}

/// Water at the suction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suction {
    /// Tank pressure [MPa].
    pub tank: f64,
    /// Tank level about normal [m].
    pub level: f64,
    /// Specific volume of the water that has arrived [m³/kg].
    pub volume: f64,
    /// Its vapour pressure [MPa].
    pub vapour_pressure: f64,
}

impl Params {
    /// Flow per pump over design flow per pump.
    fn flow_share(&self, flow: f64) -> f64 {
        if self.running == 0 {
            return 0.0;
        }
        flow / self.design_flow * f64::from(self.design_running) / f64::from(self.running)
    }

    /// Pressure at the suction [MPa] with this flow, and that of a metre of water there.
    fn at_suction(&self, flow: f64, s: &Suction) -> (f64, f64) {
        let w = flow / self.design_flow;
        let per_metre = GRAVITY / s.volume * 1e-6;
        (s.tank + (self.suction_head + s.level - self.suction_loss * w * w) * per_metre, per_metre)
    }

    /// Pressure that the line asks of the pumps at this flow [MPa].
    pub fn line_pressure(&self, flow: f64) -> f64 {
        let w = flow / self.design_flow;
        self.back_pressure + self.line_loss * w * w
    }

    /// Largest flow at the largest speed [kg/s]: both head and line are parabolas in flow.
    fn largest_flow(&self, suction: f64, volume: f64) -> f64 {
        let metres = volume * 1e6 / GRAVITY;
        let n = self.largest_speed;
        let spare = self.design_head * self.shutoff * n * n - (self.back_pressure - suction) * metres;
        if spare <= 0.0 || self.running == 0 {
            return 0.0;
        }
        let share = self.flow_share(1.0);
        let slope = self.design_head * (self.shutoff - 1.0) * share * share
            + self.line_loss * metres / (self.design_flow * self.design_flow);
        (spare / slope).sqrt()
    }
}

/// Head, speed and power that a flow [kg/s] takes.
pub fn at(p: &Params, flow: f64, suction: &Suction) -> Outputs {
    let (at_suction, per_metre) = p.at_suction(flow, suction);
    let discharge = p.line_pressure(flow);
    let head = (discharge - at_suction) / per_metre;
    let q = p.flow_share(flow);
    let n = ((head / p.design_head + (p.shutoff - 1.0) * q * q) / p.shutoff).max(0.0).sqrt();
    // Efficiency is best at design and falls with the square of the distance from the affine point
    // (*common practice, no source*).
    let off = if n > 0.0 { q / n - 1.0 } else { 1.0 };
    let efficiency = p.efficiency * (1.0 - 0.6 * off * off).max(0.3);
    let rise = (discharge - at_suction).max(0.0) * suction.volume * 1e3 / efficiency;
    Outputs {
        flow,
        suction: at_suction,
        discharge,
        speed: n * p.speed,
        rise,
        power: flow * rise / p.drive_efficiency,
        npsh_available: (at_suction - suction.vapour_pressure) / per_metre,
        npsh_required: p.npsh_required * (0.6 * n * n + 0.4 * q * q),
        at_limit: false,
    }
}

/// Moves the flow towards `demand` [kg/s] and finds the head, speed and power that it takes.
pub fn step(p: &Params, s: &mut State, demand: f64, suction: &Suction, dt: f64) -> Outputs {
    let most = p.flow_rate * dt;
    let asked = s.flow + (demand.max(0.0) - s.flow).clamp(-most, most);
    let largest = p.largest_flow(p.at_suction(s.flow, suction).0, suction.volume);
    s.flow = asked.min(largest);
    Outputs { at_limit: asked > largest, ..at(p, s.flow, suction) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pumps() -> Params {
        Params {
            design_flow: 200.0,
            design_running: 2,
            running: 2,
            design_head: 2000.0,
            shutoff: 1.25,
            efficiency: 0.82,
            drive_efficiency: 0.95,
            speed: 5000.0,
            largest_speed: 1.08,
            npsh_required: 9.0,
            suction_head: 20.0,
            suction_loss: 1.5,
            back_pressure: 17.0,
            line_loss: 1.0,
            flow_rate: 50.0,
        }
    }

    fn water(tank: f64) -> Suction {
        let sat = steam::sat_p(tank).unwrap();
        Suction { tank, level: 0.0, volume: sat.vf, vapour_pressure: tank }
    }

    /// Saturated tank: head available = static head - friction, the pressure cancels: 0.5 MPa, 20 m, 1.5 m -> 18.50 m.
    #[test]
    fn suction_head_over_a_saturated_tank() {
        let mut s = State { flow: 200.0 };
        let o = step(&pumps(), &mut s, 200.0, &water(0.5), 0.25);
        assert!((o.npsh_available - 18.50).abs() < 1e-9, "{}", o.npsh_available);
    }

    /// Hydraulic work: rise = v dp / efficiency at the best point.
    #[test]
    fn the_rise_is_the_work_over_the_efficiency() {
        let p = pumps();
        let w = water(0.5);
        // Pick the design head that puts design speed at design flow.
        let mut s = State { flow: 200.0 };
        let o = step(&p, &mut s, 200.0, &w, 0.25);
        let head = (o.discharge - o.suction) / (GRAVITY / w.volume * 1e-6);
        let p = Params { design_head: head, ..p };
        let o = step(&p, &mut s, 200.0, &w, 0.25);
        assert!((o.speed - 5000.0).abs() < 1e-9);
        assert!((o.rise - (o.discharge - o.suction) * w.volume * 1e3 / 0.82).abs() < 1e-9);
    }

    /// Two of three half-duty pumps carry full load, one alone does not (common practice, no source).
    #[test]
    fn one_half_duty_pump_does_not_carry_full_load() {
        let w = water(0.7);
        for (running, enough) in [(3, true), (2, true), (1, false), (0, false)] {
            let p = Params { running, ..pumps() };
            let mut s = State { flow: 200.0 };
            let o = step(&p, &mut s, 200.0, &w, 0.25);
            assert_eq!(!o.at_limit, enough, "{running} {o:?}");
        }
    }
}
