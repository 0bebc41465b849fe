//! What rows of protection do to the demands, and to the controls' own memory.

use super::Row;
use crate::controller::Loop;
use crate::event::Log;
use crate::measurements::Measurements;
use crate::operation::{Demands, Params, State, trip_group};
use crate::pump_logic;
use crate::unit;
use serde::Serialize;

/// What a row does.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Action {
    /// Opens a heater's emergency drain, unless an operator holds it by hand.
    OpenEmergencyDrain(usize),
    /// Takes a closed heater off: stop valve and non-return valve shut, drains arriving kept away, water round its group.
    TakeOff(usize),
    /// Stops the pump that sends a heater's drain forward.
    StopDrainPump(usize),
    /// Keeps condensate away from the open heater.
    ShutCondensate,
    /// Shuts the open heater's steam and keeps drains of the heater above away.
    ShutOpenSteam,
    /// Trips the turbine: stop valves and non-return valves shut, generator off.
    TripTurbine,
    /// Closes the governing valves on what the unit needs for itself.
    HouseLoad,
    /// Opens the drain of a closed heater's extraction line.
    OpenLineDrain(usize),
    /// Opens the drain of the open heater's extraction line.
    DrainOpenHeaterLine,
    /// Opens the drains of all extraction lines.
    OpenLineDrains,
    /// Trips a feed pump.
    TripPump(usize),
    /// Starts the standby feed pump, where there is one and its suction head suffices.
    StartFeedPump,
    /// Starts the standby condensate pump, where there is one.
    StartCondensatePump,
    /// Runs the load back to what the feed pumps under power carry.
    Runback,
    /// Runs the load back to what is fed.
    RunbackToFeed,
}

/// What a row does once, when it begins to act.
pub(super) fn begin(p: &Params, s: &mut State, m: &Measurements, row: &Row, log: &mut Log) {
    if row.latched
        && let Some((code, device)) = row.watched.event(row.above)
    {
        log.put(code, device, row.watched.value(p, s, m));
    }
    for action in &row.actions {
        match *action {
            Action::TakeOff(k) => {
                if !s.heaters[k].mode.is_off() {
                    trip_group(p, s, k, true, log);
                }
                s.heaters[k].urgent = true;
            }
            Action::TripTurbine if s.unit.standing != unit::Standing::Tripped => {
                unit::trip(&mut s.unit, &mut s.load, log);
            }
            Action::StartFeedPump => pump_logic::start_feed(p, s, m, log),
            Action::StartCondensatePump => pump_logic::start_condensate(s, log),
            Action::HouseLoad => unit::lose_grid(&p.unit, &mut s.unit, &mut s.load, m, log),
            // The others act as long as their row does; valves give events of their own.
            _ => {}
        }
    }
}

/// What an action does as long as its row acts.
pub(super) fn act(
    p: &Params,
    s: &mut State,
    m: &Measurements,
    d: &mut Demands,
    (row, action): (&Row, Action),
    log: &mut Log,
) {
    match action {
        Action::OpenEmergencyDrain(k) => {
            if s.controller(Loop::EmergencyDrain(k)).is_auto() {
                d.heaters[k].emergency = 1.0;
            }
        }
        // Its mode does the rest.
        Action::TakeOff(k) => {
            d.heaters[k].extraction.shut();
        }
        Action::StopDrainPump(k) => d.heaters[k].normal = 0.0,
        Action::ShutCondensate => d.condensate = 0.0,
        Action::ShutOpenSteam => {
            d.open_extraction.shut();
            if let Some(above) = p.drained_into_open {
                cascade_in_shut(s, d, above);
            }
        }
        Action::TripTurbine => {
            d.unit = unit::TRIPPED;
            d.open_extraction.shut_non_return = true;
            d.heaters.iter_mut().for_each(|h| h.extraction.shut_non_return = true);
        }
        Action::OpenLineDrain(k) => d.heaters[k].extraction.drain = 1.0,
        Action::DrainOpenHeaterLine => d.open_extraction.drain = 1.0,
        Action::OpenLineDrains => {
            for (h, x) in p.heaters.iter().zip(&mut d.heaters) {
                x.extraction.drain = f64::from(u8::from(h.line_drain));
            }
            d.open_extraction.drain = f64::from(u8::from(p.open_line_drain));
        }
        Action::HouseLoad => {}
        Action::TripPump(k) => pump_logic::trip(s, d, k, log),
        // For a pump that has tripped, once; for want of pressure or flow, until there is one to start.
        Action::StartFeedPump if row.watched.pump().is_none() => pump_logic::start_feed(p, s, m, log),
        Action::StartCondensatePump if row.watched.pump().is_none() => pump_logic::start_condensate(s, log),
        Action::StartFeedPump | Action::StartCondensatePump => {}
        Action::Runback => pump_logic::runback(s, pump_logic::carried(p, s), true, log),
        Action::RunbackToFeed => {
            let fed = m.feed_flow / p.pumps.design_flow;
            pump_logic::runback(s, fed, false, log);
        }
    }
}

/// The heater above drains to the condenser under its own level controller.
pub(super) fn cascade_in_shut(s: &State, d: &mut Demands, above: usize) {
    let da = &mut d.heaters[above];
    let asked = std::mem::replace(&mut da.normal, 0.0);
    if s.controller(Loop::EmergencyDrain(above)).is_auto() {
        da.emergency = da.emergency.max(asked);
    }
}
