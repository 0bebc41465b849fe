//! How the plant is run: controllers, the sequences of taking heaters out and putting them back, and protection.
//!
//! Everything here reads [`Measurements`] and writes [`Demands`]; the state of the plant is out of reach.
//! Taking out: steam first, then water; when the shell fills, the water is sent round as soon as the non-return valve is
//! shut, else when the stop valve is. Putting back: water first, then steam, no faster than the permitted ramp.
//! Protection runs last and wins.

use crate::command::{Command, LOAD_RANGE, WhichDrain};
use crate::control::{Pi, PiParams};
use crate::event::Code;
use crate::extraction;
use crate::fault::Fault;
use crate::measurements::{HeaterMeasurements, Measurements};
use crate::plant::file::LevelSettings;
use serde::{Deserialize, Serialize};

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
    /// Level control.
    pub level_control: PiParams,
    /// Bypass group.
    pub group: usize,
    /// Index of the closed heater whose normal drain arrives here.
    pub drained_into_by: Option<usize>,
    /// Permitted ramp [K/min].
    pub ramp_limit: f64,
}

/// Sized once, never changes.
#[derive(Clone, Debug)]
pub struct Params {
    /// Closed heaters, highest pressure first.
    pub heaters: Vec<HeaterParams>,
    /// Bypass groups, by index of closed heater.
    pub groups: Vec<Vec<usize>>,
    /// Storage level control.
    pub open_level: PiParams,
    /// Condensate at design [kg/s].
    pub condensate: f64,
    /// Steam flow at design [kg/s].
    pub steam: f64,
    /// Feed pump flow at design [kg/s]: less than the steam where drains are pumped in behind the pumps.
    pub feed: f64,
    /// Hotwell level control.
    pub hotwell: PiParams,
    /// Largest make-up [kg/s].
    pub makeup_limit: f64,
    /// Drum level control.
    pub drum: PiParams,
}

/// Where a heater is between in and out of service.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
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
    /// Level controller.
    pub level: Pi,
    /// Position set by hand, where the valve is in hand.
    pub normal_hand: Option<f64>,
    /// The same for the emergency drain.
    pub emergency_hand: Option<f64>,
    /// Speed at which steam is being let back in [strokes per second].
    opening_speed: f64,
    /// The water has to leave a shell that fills: the bypass does not wait for the stop valve.
    urgent: bool,
    /// How long the level has stood at high-high [s].
    high_high_for: f64,
    level_high: bool,
    level_low: bool,
    emergency_open: bool,
    ramp_high: bool,
}

impl HeaterControl {
    /// In service, with the level controller at this output.
    pub fn at(output: f64) -> HeaterControl {
        HeaterControl {
            mode: Mode::InService,
            level: Pi::at(output),
            normal_hand: None,
            emergency_hand: None,
            opening_speed: 0.0,
            urgent: false,
            high_high_for: 0.0,
            level_high: false,
            level_low: false,
            emergency_open: false,
            ramp_high: false,
        }
    }
}

/// Memory of all controls.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Closed heaters.
    pub heaters: Vec<HeaterControl>,
    /// Storage level controller.
    pub open_level: Pi,
    /// Hotwell level controller.
    pub hotwell: Pi,
    /// Drum level controller.
    pub drum: Pi,
    /// Steam flow asked, as a share of design.
    pub load: f64,
}

/// Asked of one closed heater's valves.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct HeaterDemands {
    /// Extraction line.
    pub extraction: extraction::Demand,
    /// Drain valves.
    pub normal: f64,
    /// Emergency drain valve.
    pub emergency: f64,
}

/// Asked of the plant.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Demands {
    /// Closed heaters.
    pub heaters: Vec<HeaterDemands>,
    /// Bypass of each group, 0 or 1.
    pub bypass: Vec<f64>,
    /// Condensate flow [kg/s].
    pub condensate: f64,
    /// Make-up, or overflow below 0 [kg/s].
    pub makeup: f64,
    /// Feed flow [kg/s].
    pub feed: f64,
    /// Steam flow [kg/s].
    pub steam: f64,
}

/// What happened, to be stamped with the time.
pub type Log = Vec<(Code, Option<usize>, f64)>;

/// Carries out a command, or says why not.
pub fn command(
    p: &Params,
    s: &mut State,
    m: &Measurements,
    command: &Command,
    log: &mut Log,
) -> Result<(), Fault> {
    let find = |id: &str| {
        p.heaters.iter().position(|h| h.id == id).ok_or_else(|| {
            let ids: Vec<&str> = p.heaters.iter().map(|h| h.id.as_str()).collect();
            Fault::new(
                "no_such_heater",
                id,
                "there is no closed heater of this id that can be operated.",
                format!("The closed heaters are {}.", ids.join(", ")),
            )
        })
    };
    let share = |v: f64, (low, high): (f64, f64), place: &str, what: &str| {
        if v >= low && v <= high {
            Ok(())
        } else {
            Err(Fault::new(
                "out_of_range",
                place,
                format!("{v} is not a {what} that can be asked for."),
                format!("Give a value from {low} to {high}."),
            ))
        }
    };
    match command {
        Command::TripHeater { heater } => {
            let k = find(heater)?;
            if s.heaters[k].mode.is_off() {
                return Err(refuse(heater, "the heater is already off.", "Put it back first."));
            }
            log.push((Code::HeaterTripped, Some(k), 0.0));
            trip_group(p, s, k, false, log);
        }
        Command::IsolateExtraction { heater } => {
            let k = find(heater)?;
            match s.heaters[k].mode {
                Mode::InService | Mode::Returning => {
                    s.heaters[k].mode = Mode::Isolated;
                    log.push((Code::ExtractionIsolated, Some(k), 0.0));
                }
                _ => return Err(refuse(heater, "its steam is already shut off.", "Put it back first.")),
            }
        }
        Command::PutBack { heater } => {
            let k = find(heater)?;
            match s.heaters[k].mode {
                Mode::InService => {
                    return Err(refuse(heater, "the heater is in service.", "There is nothing to put back."));
                }
                Mode::Returning => {
                    return Err(refuse(
                        heater,
                        "the heater is being put back.",
                        "Wait until its steam is on.",
                    ));
                }
                Mode::Tripping => {
                    return Err(refuse(
                        heater,
                        "the heater is still being taken off.",
                        "Wait until its steam is shut and its water goes round it.",
                    ));
                }
                Mode::Isolated | Mode::Out => {}
            }
            let marks = &p.heaters[k].level;
            if m.heaters[k].level >= marks.emergency + marks.emergency_band {
                return Err(refuse(
                    heater,
                    "its level is above what the emergency drain holds: steam must not be opened on a flooded shell.",
                    "Drain the shell first.",
                ));
            }
            // A group shares its water: its members come back together.
            for &j in &p.groups[p.heaters[k].group] {
                let c = &mut s.heaters[j];
                if j == k || c.mode == Mode::Out {
                    c.mode = Mode::Returning;
                    c.opening_speed = 0.0;
                    log.push((Code::PutBack, Some(j), 0.0));
                }
            }
        }
        Command::MoveDrain { heater, valve, position } => {
            let k = find(heater)?;
            share(*position, (0.0, 1.0), heater, "valve position")?;
            match valve {
                WhichDrain::Normal => s.heaters[k].normal_hand = Some(*position),
                WhichDrain::Emergency => s.heaters[k].emergency_hand = Some(*position),
            }
            log.push((Code::DrainMoved, Some(k), *position));
        }
        Command::ReleaseDrain { heater, valve } => {
            let k = find(heater)?;
            let c = &mut s.heaters[k];
            match valve {
                WhichDrain::Normal => {
                    if c.normal_hand.take().is_some() && c.mode == Mode::InService {
                        c.level.track(&p.heaters[k].level_control, m.heaters[k].level, m.heaters[k].normal);
                    }
                }
                WhichDrain::Emergency => c.emergency_hand = None,
            }
            log.push((Code::DrainReleased, Some(k), 0.0));
        }
        Command::SetLoad { fraction } => {
            share(*fraction, LOAD_RANGE, "unit", "load")?;
            s.load = *fraction;
            log.push((Code::LoadSet, None, *fraction));
        }
        Command::InsertMalfunction { .. } | Command::RemoveMalfunction { .. } => {
            return Err(refuse(
                "unit",
                "controls do not make or mend malfunctions.",
                "Give it to the simulator.",
            ));
        }
    }
    Ok(())
}

fn refuse(heater: &str, message: &str, remedy: &str) -> Fault {
    Fault::new("refused", heater, message, remedy)
}

fn trip_group(p: &Params, s: &mut State, k: usize, urgent: bool, log: &mut Log) {
    for &j in &p.groups[p.heaters[k].group] {
        let c = &mut s.heaters[j];
        if !c.mode.is_off() {
            c.mode = Mode::Tripping;
            c.urgent = false;
            if j != k {
                log.push((Code::GroupTripped, Some(j), 0.0));
            }
        }
    }
    s.heaters[k].urgent |= urgent;
}

/// Controllers and sequences: from measurements to demands over one step of `dt` seconds.
pub fn control(p: &Params, s: &mut State, m: &Measurements, d: &mut Demands, dt: f64, log: &mut Log) {
    d.heaters.clear();
    for (k, (hp, c)) in p.heaters.iter().zip(&mut s.heaters).enumerate() {
        let hm = &m.heaters[k];
        sequence(hp, c, hm, k, log);
        let opening = c.level.step(&hp.level_control, hm.level, (0.0, 1.0), dt);
        let spill = ((hm.level - hp.level.emergency) / hp.level.emergency_band).clamp(0.0, 1.0);
        // A heater that is off, or on its way back, drains to the condenser under the same controller.
        let (normal, emergency) = match c.mode {
            Mode::InService | Mode::Isolated => (opening, spill),
            Mode::Tripping | Mode::Out | Mode::Returning => (0.0, opening.max(spill)),
        };
        let extraction = match c.mode {
            Mode::InService => extraction::Demand { stop: 1.0, shut_non_return: false },
            Mode::Isolated => extraction::Demand { stop: 0.0, shut_non_return: false },
            Mode::Tripping | Mode::Out => extraction::Demand { stop: 0.0, shut_non_return: true },
            Mode::Returning => extraction::Demand { stop: let_in(c, hp, hm, dt), shut_non_return: false },
        };
        d.heaters.push(HeaterDemands {
            extraction,
            normal: c.normal_hand.unwrap_or(normal),
            emergency: c.emergency_hand.unwrap_or(emergency),
        });
    }
    d.bypass.clear();
    for group in &p.groups {
        let mut off = group.iter().filter(|&&k| s.heaters[k].mode.is_off()).peekable();
        let urgent = group.iter().any(|&k| s.heaters[k].urgent && s.heaters[k].mode.is_off());
        let bypass = off.peek().is_some()
            && off.all(|&k| {
                let hm = &m.heaters[k];
                hm.stop <= SHUT || (urgent && hm.non_return <= SHUT)
            });
        d.bypass.push(if bypass { 1.0 } else { 0.0 });
    }
    let store = s.open_level.step(&p.open_level, -m.open_level, (0.0, 3.0), dt);
    d.condensate = p.condensate * (m.feed_flow / p.feed - 1.0 + store).max(0.0);
    d.makeup = p.makeup_limit * s.hotwell.step(&p.hotwell, -m.hotwell_level, (-1.0, 1.0), dt);
    d.feed = m.steam_flow * p.feed / p.steam + p.feed * s.drum.step(&p.drum, -m.drum_level, (-0.2, 0.2), dt);
    d.steam = p.steam * s.load;
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
fn sequence(p: &HeaterParams, c: &mut HeaterControl, m: &HeaterMeasurements, k: usize, log: &mut Log) {
    match c.mode {
        Mode::Tripping if m.bypass >= 1.0 - SHUT && m.stop <= SHUT => {
            c.mode = Mode::Out;
            log.push((Code::Bypassed, Some(k), 0.0));
        }
        Mode::Returning if m.stop >= 1.0 - SHUT => {
            c.mode = Mode::InService;
            // The normal drain takes over where the emergency drain leaves off.
            c.level.track(&p.level_control, m.level, m.emergency);
            log.push((Code::InService, Some(k), 0.0));
        }
        _ => {}
    }
}

/// Protection, after control: high-high level takes a heater off; a heater that is off receives no drain.
pub fn protect(p: &Params, s: &mut State, m: &Measurements, d: &mut Demands, dt: f64, log: &mut Log) {
    for k in 0..p.heaters.len() {
        let (hp, hm) = (&p.heaters[k], &m.heaters[k]);
        let c = &mut s.heaters[k];
        c.high_high_for = if hm.level >= hp.level.high_high { c.high_high_for + dt } else { 0.0 };
        if c.high_high_for > hp.level.high_high_delay && !c.mode.is_off() {
            log.push((Code::LevelHighHigh, Some(k), hm.level));
            trip_group(p, s, k, true, log);
        }
    }
    for k in 0..p.heaters.len() {
        if s.heaters[k].mode.is_off() {
            let dk = &mut d.heaters[k];
            dk.extraction = extraction::Demand { stop: 0.0, shut_non_return: true };
            if let Some(above) = p.heaters[k].drained_into_by {
                // Cascade in shut: the heater above drains to the condenser under its own level controller.
                let da = &mut d.heaters[above];
                let asked = std::mem::replace(&mut da.normal, 0.0);
                if s.heaters[above].emergency_hand.is_none() {
                    da.emergency = da.emergency.max(asked);
                }
            }
        }
    }
}

/// Watches levels and valves for what is worth an event.
pub fn watch(p: &Params, s: &mut State, m: &Measurements, log: &mut Log) {
    for (k, (hp, c)) in p.heaters.iter().zip(&mut s.heaters).enumerate() {
        let hm = &m.heaters[k];
        let was = c.level_high || c.level_low;
        if !c.level_high && hm.level > hp.level.high {
            c.level_high = true;
            log.push((Code::LevelHigh, Some(k), hm.level));
        } else if c.level_high && hm.level < hp.level.high - LEVEL_DEADBAND {
            c.level_high = false;
        }
        // A heater that is off, or fills again on its way back, is meant to be low.
        let filled = matches!(c.mode, Mode::InService | Mode::Isolated);
        if !c.level_low && hm.level < hp.level.low && filled {
            c.level_low = true;
            log.push((Code::LevelLow, Some(k), hm.level));
        } else if c.level_low && (hm.level > hp.level.low + LEVEL_DEADBAND || !filled) {
            c.level_low = false;
        }
        if was && !c.level_high && !c.level_low {
            log.push((Code::LevelNormal, Some(k), hm.level));
        }
        if !c.emergency_open && hm.emergency > 0.02 {
            c.emergency_open = true;
            log.push((Code::EmergencyDrainOpen, Some(k), 0.0));
        } else if c.emergency_open && hm.emergency <= SHUT {
            c.emergency_open = false;
            log.push((Code::EmergencyDrainShut, Some(k), 0.0));
        }
        if !c.ramp_high && hm.ramp.abs() > hp.ramp_limit {
            c.ramp_high = true;
            log.push((Code::RampExceeded, Some(k), hm.ramp));
        } else if hm.ramp.abs() < RAMP_BACK * hp.ramp_limit {
            c.ramp_high = false;
        }
    }
}
