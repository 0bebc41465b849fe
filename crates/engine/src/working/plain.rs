//! Numbers that no equation gives: read off a valve, chosen by a controller, or summed up by a balance.

use super::{Draft, Working, balance};
use crate::fault::Fault;
use crate::signals;
use crate::sim::Sim;
use serde::Serialize;

/// Why a number has no equation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// A state: what its balance has summed up, step by step.
    State,
    /// Found so that a balance holds: the root of an equation that cannot be solved for it.
    Root,
    /// What an instrument shows: with its range, lag, resolution and noise, and whatever may be wrong with it.
    Instrument,
    /// Where a valve stands; it moves at its stroke rate towards what is asked.
    Valve,
    /// What a controller, a sequence or an operator asks for.
    Control,
    /// A state of the controls, as a word.
    Mode,
    /// Follows what is asked at a limited rate.
    Follows,
    /// What entered a pipe one pipe volume ago.
    Pipe,
    /// A count of steps.
    Clock,
    /// A sum over all steps since the start.
    Account,
}

/// Signals that are read, and why: of heaters by name, of the unit by name.
const READ: &[(&str, Why)] = &[
    ("normal_drain_valve", Why::Valve),
    ("emergency_drain_valve", Why::Valve),
    ("stop_valve", Why::Valve),
    ("start_up_vent_valve", Why::Valve),
    ("line_drain_valve", Why::Valve),
    ("pegging_valve", Why::Valve),
    ("pegging_hand", Why::Mode),
    ("non_return_valve", Why::Valve),
    ("bypass", Why::Valve),
    ("mode", Why::Mode),
    ("normal_drain_hand", Why::Mode),
    ("emergency_drain_hand", Why::Mode),
    ("time", Why::Clock),
    ("load_demand", Why::Control),
    ("local_remaining", Why::Control),
    ("standing", Why::Mode),
    ("hold", Why::Mode),
    ("load_limited", Why::Mode),
    ("main_stop_valve", Why::Valve),
    ("feed_flow", Why::Root),
    ("recirculation_valve", Why::Valve),
    ("warm_up_valve", Why::Valve),
    ("state", Why::Mode),
    ("speed", Why::Follows),
    ("condensate_flow", Why::Root),
    ("makeup_flow", Why::Control),
    ("level_setpoint", Why::Control),
    ("normal_drain_demand", Why::Control),
    ("emergency_drain_demand", Why::Control),
    ("returned_steam", Why::Account),
    ("inducted_water", Why::Account),
    ("drained_water", Why::Account),
    ("mass_residual", Why::Account),
    ("energy_residual", Why::Account),
];

/// A signal that is read, if it is one.
pub fn working(sim: &Sim, device: &str, name: &str) -> Result<Option<Working>, Fault> {
    let Some(&(_, why)) = READ.iter().find(|(n, _)| *n == name) else { return Ok(None) };
    let id = super::shown::true_id(sim, &format!("{device}.{name}"));
    let Some(at) = signals::definitions(sim).iter().position(|d| d.id == id) else { return Ok(None) };
    let mut values = Vec::new();
    signals::read(sim, &mut values);
    let mut d = Draft::new(sim, device, name);
    if name.ends_with("_residual") {
        d.see_of(balance::PLANT, if name == "mass_residual" { "mass_rate" } else { "energy_rate" });
    }
    d.read(values.get(at).copied().unwrap_or(f64::NAN), why)
}
