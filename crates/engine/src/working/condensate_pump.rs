//! Each condensate pump: its flow, its head, its power.

use super::expr::{max, number, square};
use super::{CONSERVATION, DEFINITION, Draft, PRACTICE, Why, Working, fixed, of};
use crate::event::Device;
use crate::fault::Fault;
use crate::pump::GRAVITY;
use crate::sim::Sim;
use steam::units::Quantity as Q;

/// The working of one of a pump's own numbers.
pub fn of_pump(sim: &Sim, k: usize, name: &str) -> Result<Option<Working>, Fault> {
    let c = &sim.params().condensate_pumps.curve;
    let plant = &sim.state().plant.condensate;
    let (Some(out), Some(x)) = (sim.outputs().condensate.pumps.get(k), plant.pumps.get(k)) else {
        return Ok(None);
    };
    let (n, q) = (x.rotor.speed, out.flow / c.flow);
    let mut d = Draft::new(sim, &Device::CondensatePump(k).pump_id(), name);
    match name {
        "pump_flow" => {
            d.see("pump_head");
            d.read(out.flow, Why::Root)
        }
        "speed_share" => d.read(n, Why::Follows),
        "vapour" => d.read(x.rotor.vapour, Why::Follows),
        "flow_share" => {
            let w = d.link("pump_flow", out.flow);
            let design = d.sized("ṁ_p,0", "pump_flow_design", of(Q::MassFlow), c.flow);
            d.is(q, w / design, DEFINITION)
        }
        "pump_head" => {
            let design = d.sized("H_0", "head_design", of(Q::Length), c.head);
            let s = d.sized("s", "shutoff_ratio", of(Q::Ratio), c.shutoff);
            let (n_, q_) = (d.link("speed_share", n), d.link("flow_share", q));
            let e = design * (s.clone() * square(n_) - (s - 1.0) * square(q_));
            d.is(c.head(n, q), e, PRACTICE)
        }
        "pump_efficiency" => {
            let place = "condensate_pumps.efficiency";
            let best = d.plant("η_0", "efficiency_design", of(Q::Fraction), c.efficiency, place);
            let curve = d.constant("k_η", "efficiency_curve", of(Q::Ratio), 0.6, PRACTICE);
            let least = d.constant("k_0", "least_efficiency_share", of(Q::Ratio), 0.3, PRACTICE);
            let (q_, n_) = (d.link("flow_share", q), d.link("speed_share", n));
            let off = if n > 0.0 { q_ / n_ - 1.0 } else { number(1.0) };
            d.is(c.efficiency(n, q), best * max(1.0 - curve * square(off), least), PRACTICE)
        }
        "rise" => {
            let head = d.link("pump_head", c.head(n, q));
            let vapour = d.link("vapour", x.rotor.vapour);
            let g = d.constant("g", "gravity", fixed("m/s²"), GRAVITY, DEFINITION);
            let kilo = d.constant("k", "kilojoules_per_joule", fixed("kJ/J"), 1e-3, DEFINITION);
            let eta = d.link("pump_efficiency", c.efficiency(n, q));
            d.is(out.rise, max(head * vapour, number(0.0)) * g * kilo / eta, CONSERVATION)
        }
        "power" => {
            let e = d.link("pump_flow", out.flow) * d.link("rise", out.rise);
            d.is(out.power, e, CONSERVATION)
        }
        _ => Ok(None),
    }
}
