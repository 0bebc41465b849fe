//! How the plant is run: controllers, the sequences of taking heaters out and putting them back, and protection.
//!
//! Everything here reads [`Measurements`] and writes [`Demands`]; the state of the plant is out of reach.
//! Taking out: steam first, then water; when the shell fills, the water is sent round as soon as the non-return valve is
//! shut, else when the stop valve is. Putting back: water first, then steam, no faster than the permitted ramp.
//! Protection runs last and wins.

use crate::controller::{Controller, Loop, Settings};
use crate::event::Code;
use crate::extraction;
use crate::feed_pump;
use crate::in_place::clone_in_place;
use crate::measurements::{HeaterMeasurements, Measurements};
use crate::plant::file::LevelSettings;
use crate::pump_logic;
use crate::unit;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

mod commands;
pub mod protection;
mod watch;

pub use commands::command;
pub use protection::protect;
pub use watch::watch;

/// Share of the permitted ramp at which steam is let back in: the rest is for the lag of tubes and measurement.
const RAMP_SHARE: f64 = 0.7;
/// Letting steam back in: speed of the stop valve per relative error of the ramp [strokes per second], at once and
/// added over [`RAMP_TIME`] (*common practice, no source*: a line at a few per cent of opening passes half its steam,
/// so that the valve is inched open over minutes).
const RAMP_SPEED: f64 = 0.0003;
/// See [`RAMP_SPEED`] [s].
const RAMP_TIME: f64 = 60.0;
/// Most that the valve is let back when the ramp is exceeded [strokes per second].
const RAMP_RETREAT: f64 = 0.002;
/// A shell that fills has its water sent round after this long, even if neither steam valve says that it is shut [s]
/// (*common practice, no source*).
const BYPASS_WAIT: f64 = 10.0;
/// A valve counts as shut below this opening.
const SHUT: f64 = 1e-9;
/// Level must come back this far inside a mark before it counts as normal again [mm].
const LEVEL_DEADBAND: f64 = 5.0;

/// Share of the permitted ramp below which an exceeded one counts as over.
const RAMP_BACK: f64 = 0.8;

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct HeaterParams {
    /// Id.
    pub id: String,
    /// Level marks.
    pub level: LevelSettings,
    /// Bypass group.
    pub group: usize,
    /// Index of the closed heater whose normal drain arrives here.
    pub drained_into_by: Option<usize>,
    /// Permitted ramp [K/min].
    pub ramp_limit: f64,
    /// Its extraction line has a drain.
    pub line_drain: bool,
}

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Closed heaters, highest pressure first.
    pub heaters: Vec<HeaterParams>,
    /// Bypass groups, by index of closed heater.
    pub groups: Vec<Vec<usize>>,
    /// Controllers, as [`place`] finds them.
    pub controllers: Vec<Settings>,
    /// Table of protection.
    pub protection: Vec<protection::Row>,
    /// Index of the closed heater whose normal drain arrives at the open one.
    pub drained_into_open: Option<usize>,
    /// Condensate at design [kg/s].
    pub condensate: f64,
    /// Steam flow at design [kg/s].
    pub steam: f64,
    /// Feed pump flow at design [kg/s]: less than the steam where drains are pumped in behind the pumps.
    pub feed: f64,
    /// Largest make-up [kg/s].
    pub makeup_limit: f64,
    /// Pumps.
    pub pumps: pump_logic::Params,
    /// Closed heaters that take the drains of moisture separator and steam reheater, by index.
    pub led_to: [Option<usize>; 2],
    /// The open heater's extraction line has a drain.
    pub open_line_drain: bool,
    /// The unit as a whole.
    pub unit: unit::Params,
}

/// Where a heater is between in and out of service.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Mode {
    /// Steam and water on.
    InService,
    /// Steam shut off, water on.
    Isolated,
    /// Steam shutting, then water going round.
    Tripping,
    /// Steam shut, water round it.
    Out,
    /// Water on, steam coming back inside the ramp.
    Returning,
}

impl Mode {
    /// All modes, in the order of their codes.
    pub const ALL: [Mode; 5] = [Mode::InService, Mode::Isolated, Mode::Tripping, Mode::Out, Mode::Returning];
    /// Name of each, in the same order.
    pub const NAMES: [&str; 5] = ["in_service", "isolated", "tripping", "out", "returning"];

    /// Its code, as the signal shows it.
    pub fn code(self) -> f64 {
        Mode::ALL.iter().position(|m| *m == self).unwrap_or(0) as f64
    }

    /// Steam and drains arriving are kept away.
    fn is_off(self) -> bool {
        matches!(self, Mode::Tripping | Mode::Out)
    }
}

/// Memory of a closed heater's controls.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct HeaterControl {
    /// Mode.
    pub mode: Mode,
    /// Speed at which steam is being let back in [strokes per second].
    opening_speed: f64,
    /// The water has to leave a shell that fills: the bypass does not wait for the stop valve.
    urgent: bool,
    /// How long it has waited so for steam to be shut off [s].
    urgent_for: f64,
    level_high: bool,
    level_low: bool,
    emergency_open: bool,
    line_drain_open: bool,
    ramp_high: bool,
}

impl HeaterControl {
    /// In service.
    pub fn in_service() -> HeaterControl {
        HeaterControl {
            mode: Mode::InService,
            opening_speed: 0.0,
            urgent: false,
            urgent_for: 0.0,
            level_high: false,
            level_low: false,
            emergency_open: false,
            line_drain_open: false,
            ramp_high: false,
        }
    }
}

/// Memory of all controls.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Closed heaters.
    pub heaters: Vec<HeaterControl>,
    /// Controllers, as [`place`] finds them.
    pub controllers: Vec<Controller>,
    /// The drain of the open heater's extraction line has left its seat.
    pub open_line_drain: bool,
    /// Protection.
    pub protection: protection::Memory,
    /// What is asked of the unit, as a share of design of what is held.
    pub load: f64,
    /// Pumps.
    pub pumps: pump_logic::State,
    /// The unit as a whole.
    pub unit: unit::State,
}

clone_in_place!(State { heaters, controllers, open_line_drain, protection, load, pumps, unit });

/// Asked of one closed heater's valves.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct HeaterDemands {
    /// Extraction line.
    pub extraction: extraction::Demand,
    /// Drain valves.
    pub normal: f64,
    /// Emergency drain valve.
    pub emergency: f64,
    /// Vent, 0 or 1.
    pub vent: f64,
}

/// Asked of the plant.
#[derive(Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Demands {
    /// Closed heaters.
    pub heaters: Vec<HeaterDemands>,
    /// The open heater's extraction line.
    pub open_extraction: extraction::Demand,
    /// Valve of the pegging steam, 0..=1.
    pub pegging: f64,
    /// Bypass of each group, 0 or 1.
    pub bypass: Vec<f64>,
    /// Condensate flow [kg/s].
    pub condensate: f64,
    /// Which condensate pumps are under power.
    pub condensate_pumps: Vec<bool>,
    /// Make-up, or overflow below 0 [kg/s].
    pub makeup: f64,
    /// Feed flow that the drum asks for [kg/s].
    pub feed: f64,
    /// Feed pumps.
    pub feed_pumps: feed_pump::Demand,
    /// How fast the steam flow is to come down, where faster than by the unit's own load rate [kg/s per s].
    pub unload_rate: f64,
    /// Whether the drains of moisture separator and steam reheater go to their heaters.
    pub led: [bool; 2],
    /// Boiler, turbine and generator.
    pub unit: unit::Demand,
}

clone_in_place!(Demands {
    heaters,
    open_extraction,
    pegging,
    bypass,
    condensate,
    condensate_pumps,
    makeup,
    feed,
    feed_pumps,
    unload_rate,
    led,
    unit
});

/// Place of a controller in the list: two for each closed heater, then those of the unit, then that of
/// pegging steam where the plant has it.
pub fn place(heaters: usize, acts: Loop) -> usize {
    match acts {
        Loop::NormalDrain(k) => 2 * k,
        Loop::EmergencyDrain(k) => 2 * k + 1,
        Loop::OpenLevel => 2 * heaters,
        Loop::Hotwell => 2 * heaters + 1,
        Loop::Drum => 2 * heaters + 2,
        Loop::OpenPressure => 2 * heaters + 3,
    }
}

/// What a controller is shown, as its loop has it.
pub fn measured(acts: Loop, m: &Measurements) -> f64 {
    match acts {
        Loop::NormalDrain(k) | Loop::EmergencyDrain(k) => m.heaters[k].level,
        Loop::OpenLevel => m.open_level,
        Loop::Hotwell => m.hotwell_level,
        Loop::Drum => m.drum_level,
        Loop::OpenPressure => m.open_pressure,
    }
}

impl State {
    /// A controller.
    pub fn controller(&self, acts: Loop) -> &Controller {
        &self.controllers[place(self.heaters.len(), acts)]
    }

    /// A controller with its settings, to be changed.
    fn loop_of<'a>(&mut self, p: &'a Params, acts: Loop) -> (&mut Controller, &'a Settings) {
        let i = place(p.heaters.len(), acts);
        (&mut self.controllers[i], &p.controllers[i])
    }
}

pub use crate::event::Log;

fn trip_group(p: &Params, s: &mut State, k: usize, urgent: bool, log: &mut Log) {
    for &j in &p.groups[p.heaters[k].group] {
        let c = &mut s.heaters[j];
        if !c.mode.is_off() {
            c.mode = Mode::Tripping;
            c.urgent = false;
            c.urgent_for = 0.0;
            if j != k {
                log.push((Code::GroupTripped, Some(j), 0.0));
            }
        }
    }
    s.heaters[k].urgent |= urgent;
}

/// Controllers and sequences: from measurements to demands over one step of `dt` seconds; `frozen` says which controllers
/// keep their output.
pub fn control(
    p: &Params,
    s: &mut State,
    m: &Measurements,
    frozen: &[bool],
    d: &mut Demands,
    dt: f64,
    log: &mut Log,
) {
    for (i, (c, settings)) in s.controllers.iter_mut().zip(&p.controllers).enumerate() {
        c.step(settings, measured(settings.acts, m), frozen.get(i).copied().unwrap_or(false), dt);
    }
    d.heaters.clear();
    for (k, hp) in p.heaters.iter().enumerate() {
        let hm = &m.heaters[k];
        sequence(p, s, hm, k, log);
        let (normal, emergency) = (s.controller(Loop::NormalDrain(k)), s.controller(Loop::EmergencyDrain(k)));
        // A heater that is off, or on its way back, drains to the condenser under the same controller.
        let drains = match s.heaters[k].mode {
            Mode::InService | Mode::Isolated => (normal.output, emergency.output),
            Mode::Tripping | Mode::Out | Mode::Returning => (
                if normal.is_auto() { 0.0 } else { normal.output },
                if emergency.is_auto() { emergency.output.max(normal.automatic) } else { emergency.output },
            ),
        };
        let c = &mut s.heaters[k];
        c.urgent_for = if c.urgent && c.mode.is_off() { c.urgent_for + dt } else { 0.0 };
        let stop = match c.mode {
            Mode::InService => 1.0,
            Mode::Isolated | Mode::Tripping | Mode::Out => 0.0,
            Mode::Returning => let_in(c, hp, hm, dt),
        };
        // Protection opens the drains of the lines.
        let extraction = extraction::Demand { stop, shut_non_return: c.mode.is_off(), drain: 0.0 };
        // A shell that gets neither steam nor drains would only lose its own water through its vent.
        let drained = hp.drained_into_by.is_some_and(|above| m.heaters[above].normal > SHUT)
            || p.led_to.contains(&Some(k));
        let vented = match c.mode {
            Mode::InService | Mode::Returning => true,
            Mode::Isolated => drained || hm.stop > SHUT,
            Mode::Tripping | Mode::Out => false,
        };
        let vent = f64::from(u8::from(vented));
        d.heaters.push(HeaterDemands { extraction, normal: drains.0, emergency: drains.1, vent });
    }
    d.bypass.clear();
    for group in &p.groups {
        let mut off = group.iter().filter(|&&k| s.heaters[k].mode.is_off()).peekable();
        let urgent = group.iter().any(|&k| s.heaters[k].urgent && s.heaters[k].mode.is_off());
        let waited = group.iter().any(|&k| urgent && s.heaters[k].urgent_for > BYPASS_WAIT);
        let bypass = off.peek().is_some()
            && off.all(|&k| {
                let hm = &m.heaters[k];
                hm.stop <= SHUT || (urgent && hm.non_return <= SHUT) || waited
            });
        d.bypass.push(if bypass { 1.0 } else { 0.0 });
    }
    let store = s.controller(Loop::OpenLevel).output;
    d.condensate = p.condensate * (m.feed_flow / p.feed - 1.0 + store).max(0.0);
    d.makeup = p.makeup_limit * s.controller(Loop::Hotwell).output;
    d.feed = m.steam_flow * p.feed / p.steam + p.feed * s.controller(Loop::Drum).output;
    pump_logic::control(p, s, m, d, dt, log);
    if s.pumps.runback > 0.0 {
        unit::fall_back(&mut s.unit, log);
    }
    d.unit = unit::control(&p.unit, &mut s.unit, s.load, m, dt);
    // The assists shut all non-return valves when the turbine trips.
    let tripped = s.unit.standing == unit::Standing::Tripped;
    d.open_extraction = extraction::Demand { stop: 1.0, shut_non_return: tripped, drain: 0.0 };
    d.pegging = s.controllers.get(place(p.heaters.len(), Loop::OpenPressure)).map_or(0.0, |c| c.output);
    if tripped {
        d.heaters.iter_mut().for_each(|h| h.extraction.shut_non_return = true);
    }
}

/// Position asked of the stop valve of a heater whose steam is coming back: inched open so that the feedwater's ramp
/// stays at its share of what is permitted, once all water passes through the heater.
fn let_in(c: &mut HeaterControl, p: &HeaterParams, m: &HeaterMeasurements, dt: f64) -> f64 {
    if m.bypass > SHUT {
        return m.stop;
    }
    let error = RAMP_SHARE - m.ramp.abs() / p.ramp_limit;
    c.opening_speed = (c.opening_speed + RAMP_SPEED * error * dt / RAMP_TIME).clamp(0.0, 1.0);
    let speed = (c.opening_speed + RAMP_SPEED * error).max(-RAMP_RETREAT);
    (m.stop + speed * dt).clamp(0.0, 1.0)
}

/// Moves a heater's mode on when its valves have arrived.
fn sequence(p: &Params, s: &mut State, m: &HeaterMeasurements, k: usize, log: &mut Log) {
    match s.heaters[k].mode {
        Mode::Tripping if m.bypass >= 1.0 - SHUT && m.stop <= SHUT => {
            s.heaters[k].mode = Mode::Out;
            log.push((Code::Bypassed, Some(k), 0.0));
        }
        Mode::Returning if m.stop >= 1.0 - SHUT => {
            s.heaters[k].mode = Mode::InService;
            // The normal drain takes over where the emergency drain leaves off.
            let (c, settings) = s.loop_of(p, Loop::NormalDrain(k));
            c.take_over(settings, m.level, m.emergency);
            log.push((Code::InService, Some(k), 0.0));
        }
        _ => {}
    }
}
