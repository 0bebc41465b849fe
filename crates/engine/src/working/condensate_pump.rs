//! Each condensate pump: its flow, its head, its power.

use super::pump::Point;
use super::{CONSERVATION, Draft, Why, Working, of};
use crate::event::Device;
use crate::fault::Fault;
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
    let at = Point { curve: c, speed: n, flow: q };
    let mut d = Draft::new(sim, &Device::CondensatePump(k).pump_id(), name);
    match name {
        "pump_flow" => {
            d.see("pump_head");
            d.read(out.flow, Why::Root)
        }
        "speed_share" => d.read(n, Why::Follows),
        "vapour" => d.read(x.rotor.vapour, Why::Follows),
        "flow_share" => at.flow_share(d, out.flow),
        "pump_head" => at.head(d, |d| d.sized("s", "shutoff_ratio", of(Q::Ratio), c.shutoff)),
        "pump_efficiency" => at.efficiency(d, "condensate_pumps.efficiency"),
        "rise" => at.rise(d, out.rise, |d| d.link("vapour", x.rotor.vapour)),
        "power" => {
            let e = d.link("pump_flow", out.flow) * d.link("rise", out.rise);
            d.is(out.power, e, CONSERVATION)
        }
        _ => Ok(None),
    }
}
