//! Malfunctions: what an instructor makes go wrong, when, how far, and how it is taken away again.
//!
//! A malfunction is data in the state. From the list and the time each step derives [`Conditions`], which the components
//! receive with their other inputs: nothing here knows physics, and no component knows of a list.

use crate::condensate_pump;
use crate::condenser;
use crate::event::Device;
use crate::fault::Fault;
use crate::feed_pump;
use crate::heater;
use crate::in_place::clone_in_place;
use crate::instruments;
use crate::open_heater;
use crate::train::Params;
use crate::valve;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use steam::units::Quantity;

/// Longest delay and ramp [s]: a day.
pub const LONGEST: f64 = 86_400.0;
/// Most malfunctions at once.
pub const MOST: usize = 64;

/// Kinds of malfunction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// The normal drain valve stays where it is.
    NormalDrainStuck,
    /// The normal drain valve passes as if open by the size, even when shut.
    NormalDrainLeaks,
    /// The normal drain valve has lost its supply and goes to the size.
    NormalDrainFails,
    /// The emergency drain valve stays where it is.
    EmergencyDrainStuck,
    /// The emergency drain valve passes as if open by the size, even when shut.
    EmergencyDrainLeaks,
    /// The emergency drain valve has lost its supply and goes to the size: open, as a rule.
    EmergencyDrainFails,
    /// The heater's valves have lost their air: both drains go where the plant file says that they fail to, and the drain of
    /// its extraction line opens.
    AirLost,
    /// The extraction stop valve stays where it is.
    StopValveStuck,
    /// The extraction stop valve runs shut by itself.
    StopValveShuts,
    /// The non-return valve does not shut, neither by its assist nor by reversed flow.
    NonReturnStuck,
    /// The drain valve of the extraction line stays where it is: shut, while the extraction is in service.
    LineDrainStuck,
    /// A deposit inside the tubes adds resistance: the size is over the condensing zone's whole resistance at design.
    Fouling,
    /// Tubes are plugged, as after leaks: the size is their share.
    PluggedTubes,
    /// A tube leaks into the shell: the size is the area of the hole over that of a tube's bore.
    TubeLeak,
    /// Tubes have broken: the size is their number. Water comes from both ends of each.
    TubeRupture,
    /// The channel's partition plate leaks: the size is the share of the water that passes the tubes.
    PartitionLeak,
    /// A level transmitter shows too much by the size; over a ramp it drifts there.
    LevelDrift,
    /// A level transmitter shows what it last showed.
    LevelStuck,
    /// A level transmitter stands at the high end of its range.
    LevelHigh,
    /// A level transmitter stands at the low end of its range.
    LevelLow,
    /// A level transmitter is restless, by the size in standard deviation.
    LevelNoisy,
    /// A controller keeps its output.
    ControllerFrozen,
    /// A feed pump's drive trips.
    FeedPumpTrip,
    /// A feed pump is worn: it has lost the size's share of its head.
    WornPump,
    /// A feed pump's minimum-flow valve runs open and stays there.
    RecirculationStuckOpen,
    /// A feed pump's minimum-flow valve stays where it is.
    RecirculationStuck,
    /// Somebody has left a feed pump's warm-up valve shut, as far as the size says; it can be opened by hand.
    WarmUpShut,
    /// A condensate pump's drive trips.
    CondensatePumpTrip,
    /// Air leaks into the condenser: the size is its flow.
    CondenserAir,
    /// Cooling water is lost: the size is its share.
    CoolingWaterLoss,
    /// The turbine's stop valves shut.
    TurbineTrip,
    /// The grid is gone.
    LoadRejection,
    /// A closed heater's vent is shut, as far as the size says: gas builds up in the shell.
    VentShut,
    /// The open heater's vent is shut, as far as the size says.
    OpenVentShut,
    /// A transmitter shows too much: the size is how much, as a share of its signal's span.
    TransmitterDrift,
    /// A transmitter shows what it last showed.
    TransmitterStuck,
    /// A transmitter stands at the high end of its range.
    TransmitterHigh,
    /// A transmitter stands at the low end of its range.
    TransmitterLow,
    /// A transmitter is unquiet: the size is the standard deviation, as a share of its signal's span.
    TransmitterNoisy,
}

/// What a malfunction can befall.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Class {
    /// A closed heater with its lines and valves.
    Closed,
    /// The extraction line of a heater, closed or open.
    Line,
    /// A level transmitter: `<heater>.level_control` or `<heater>.level_protection`, `unit.hotwell_level` or
    /// `unit.drum_level`.
    LevelTransmitter,
    /// A controller, by its id.
    Controller,
    /// A feed pump.
    FeedPump,
    /// A feed pump that is kept warm.
    WarmUp,
    /// A condensate pump.
    CondensatePump,
    /// The condenser.
    Condenser,
    /// The unit as a whole: `unit`.
    Unit,
    /// The open heater.
    Open,
    /// A transmitter of a temperature, a pressure, a flow or the output: the signal that shows it.
    Transmitter,
}

/// Size of a malfunction: what it measures, its range and what is taken when none is given.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Size {
    /// Quantity, in its inside unit.
    pub quantity: Quantity,
    /// Least.
    pub low: f64,
    /// Largest.
    pub high: f64,
    /// When none is given.
    pub default: f64,
}

/// What is to be known of a kind before one is inserted.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spec {
    /// Kind.
    pub kind: Kind,
    /// What it befalls.
    pub class: Class,
    /// Size, where it has one.
    pub size: Option<Size>,
}

const fn number(low: f64, high: f64, default: f64) -> Option<Size> {
    Some(Size { quantity: Quantity::Count, low, high, default })
}

const fn share(low: f64, high: f64, default: f64) -> Option<Size> {
    Some(Size { quantity: Quantity::Fraction, low, high, default })
}

const fn level(low: f64, high: f64, default: f64) -> Option<Size> {
    Some(Size { quantity: Quantity::LevelOffset, low, high, default })
}

/// Where the drain valve of an extraction line goes without its air (*common practice, no source*: open, so that no water
/// stands before the turbine).
const LINE_DRAIN_FAILS_TO: f64 = 1.0;

/// Air that leaks into a condenser: some grams are usual, some tens a hole (*common practice, no source*).
const AIR: Option<Size> = Some(Size { quantity: Quantity::MassFlow, low: 0.0, high: 0.05, default: 0.01 });

/// All kinds, in the order in which they are offered.
pub const SPECS: &[Spec] = &[
    Spec { kind: Kind::NormalDrainStuck, class: Class::Closed, size: None },
    Spec { kind: Kind::NormalDrainLeaks, class: Class::Closed, size: share(0.0, 1.0, 0.3) },
    Spec { kind: Kind::NormalDrainFails, class: Class::Closed, size: share(0.0, 1.0, 0.0) },
    Spec { kind: Kind::EmergencyDrainStuck, class: Class::Closed, size: None },
    Spec { kind: Kind::EmergencyDrainLeaks, class: Class::Closed, size: share(0.0, 1.0, 0.2) },
    Spec { kind: Kind::EmergencyDrainFails, class: Class::Closed, size: share(0.0, 1.0, 1.0) },
    Spec { kind: Kind::AirLost, class: Class::Closed, size: None },
    Spec { kind: Kind::StopValveStuck, class: Class::Closed, size: None },
    Spec { kind: Kind::StopValveShuts, class: Class::Closed, size: None },
    Spec { kind: Kind::NonReturnStuck, class: Class::Line, size: None },
    Spec { kind: Kind::LineDrainStuck, class: Class::Line, size: None },
    Spec { kind: Kind::Fouling, class: Class::Closed, size: share(0.0, 3.0, 0.5) },
    Spec { kind: Kind::PluggedTubes, class: Class::Closed, size: share(0.0, 0.5, 0.1) },
    Spec { kind: Kind::TubeLeak, class: Class::Closed, size: share(0.0, 1.0, 0.3) },
    Spec { kind: Kind::TubeRupture, class: Class::Closed, size: number(1.0, 10.0, 1.0) },
    Spec { kind: Kind::PartitionLeak, class: Class::Closed, size: share(0.0, 0.5, 0.1) },
    Spec { kind: Kind::LevelDrift, class: Class::LevelTransmitter, size: level(-1000.0, 1000.0, -80.0) },
    Spec { kind: Kind::LevelStuck, class: Class::LevelTransmitter, size: None },
    Spec { kind: Kind::LevelHigh, class: Class::LevelTransmitter, size: None },
    Spec { kind: Kind::LevelLow, class: Class::LevelTransmitter, size: None },
    Spec { kind: Kind::LevelNoisy, class: Class::LevelTransmitter, size: level(0.0, 100.0, 10.0) },
    Spec { kind: Kind::ControllerFrozen, class: Class::Controller, size: None },
    Spec { kind: Kind::FeedPumpTrip, class: Class::FeedPump, size: None },
    Spec { kind: Kind::WornPump, class: Class::FeedPump, size: share(0.0, 0.5, 0.08) },
    Spec { kind: Kind::RecirculationStuckOpen, class: Class::FeedPump, size: None },
    Spec { kind: Kind::RecirculationStuck, class: Class::FeedPump, size: None },
    Spec { kind: Kind::WarmUpShut, class: Class::WarmUp, size: share(0.0, 1.0, 1.0) },
    Spec { kind: Kind::CondensatePumpTrip, class: Class::CondensatePump, size: None },
    Spec { kind: Kind::CondenserAir, class: Class::Condenser, size: AIR },
    Spec { kind: Kind::CoolingWaterLoss, class: Class::Condenser, size: share(0.0, 0.95, 0.3) },
    Spec { kind: Kind::TurbineTrip, class: Class::Unit, size: None },
    Spec { kind: Kind::LoadRejection, class: Class::Unit, size: None },
    Spec { kind: Kind::VentShut, class: Class::Closed, size: share(0.0, 1.0, 1.0) },
    Spec { kind: Kind::OpenVentShut, class: Class::Open, size: share(0.0, 1.0, 1.0) },
    Spec { kind: Kind::TransmitterDrift, class: Class::Transmitter, size: share(-1.0, 1.0, 0.03) },
    Spec { kind: Kind::TransmitterStuck, class: Class::Transmitter, size: None },
    Spec { kind: Kind::TransmitterHigh, class: Class::Transmitter, size: None },
    Spec { kind: Kind::TransmitterLow, class: Class::Transmitter, size: None },
    Spec { kind: Kind::TransmitterNoisy, class: Class::Transmitter, size: share(0.0, 0.1, 0.01) },
];

impl Kind {
    /// What is to be known of it.
    pub fn spec(self) -> Option<&'static Spec> {
        SPECS.iter().find(|s| s.kind == self)
    }

    /// Its word in files and commands.
    pub fn word(self) -> String {
        match serde_json::to_value(self) {
            Ok(serde_json::Value::String(s)) => s,
            _ => String::new(),
        }
    }
}

/// A malfunction as an instructor asks for it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Malfunction {
    /// Kind.
    pub kind: Kind,
    /// Id of what it befalls.
    pub device: String,
    /// How far, in the unit of the kind's size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<f64>,
    /// How long until it begins [s].
    #[serde(default)]
    pub delay_s: f64,
    /// How long it takes to grow to its size [s].
    #[serde(default)]
    pub ramp_s: f64,
}

/// A malfunction in force.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Active {
    /// Kind.
    pub kind: Kind,
    /// Id of what it befalls.
    pub device: String,
    /// Its index among its class.
    target: usize,
    /// Size, or 1 for a kind without.
    pub size: f64,
    /// When it begins [s of plant time].
    pub begins: f64,
    /// How long it takes to grow [s].
    pub ramp: f64,
}

impl Active {
    /// Share of the size at a time [s]: 0 before the beginning, 1 when grown.
    pub fn share(&self, time: f64) -> f64 {
        if time < self.begins {
            0.0
        } else if self.ramp > 0.0 {
            ((time - self.begins) / self.ramp).min(1.0)
        } else {
            1.0
        }
    }
}

/// What is wrong with a closed heater and its lines now.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ClosedCondition {
    /// Normal drain valve.
    pub normal: valve::Condition,
    /// Emergency drain valve.
    pub emergency: valve::Condition,
    /// Extraction stop valve.
    pub stop: valve::Condition,
    /// Non-return valve.
    pub non_return: valve::Condition,
    /// Start-up vent.
    pub start_up_vent: valve::Condition,
    /// Drain of the extraction line.
    pub line_drain: valve::Condition,
    /// Tubes and channel.
    pub heater: heater::Condition,
}

/// What is wrong with the unit as a whole now.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct UnitCondition {
    /// The turbine's stop valves.
    pub main_stop: valve::Condition,
    /// The grid is gone.
    pub grid_lost: bool,
}

/// What is wrong with the plant now; derived, never saved.
#[derive(Debug, Default, PartialEq)]
pub struct Conditions {
    /// Closed heaters, highest pressure first.
    pub closed: Vec<ClosedCondition>,
    /// Bypass of each group.
    pub bypass: Vec<valve::Condition>,
    /// Transmitters, as in their list.
    pub transmitters: Vec<instruments::Condition>,
    /// Which controllers keep their output, in the order of the plant's list.
    pub frozen: Vec<bool>,
    /// Feed pumps.
    pub feed_pumps: Vec<feed_pump::Condition>,
    /// Condensate pumps.
    pub condensate_pumps: Vec<condensate_pump::Condition>,
    /// Condenser.
    pub condenser: condenser::Condition,
    /// The unit as a whole.
    pub unit: UnitCondition,
    /// Open heater.
    pub open: open_heater::Condition,
}

clone_in_place!(Conditions {
    closed,
    bypass,
    transmitters,
    frozen,
    feed_pumps,
    condensate_pumps,
    condenser,
    unit,
    open
});

impl Conditions {
    /// Derives what is wrong at a time [s] from what is in force.
    pub fn derive(&mut self, p: &Params, active: &[Active], time: f64) {
        self.closed.clear();
        self.closed.resize(p.closed.len(), ClosedCondition::default());
        self.frozen.clear();
        self.frozen.resize(p.operation.controllers.len(), false);
        self.bypass.clear();
        self.bypass.resize(p.groups.len(), valve::Condition::default());
        self.transmitters.clear();
        self.transmitters.resize(p.instruments.list.len(), instruments::Condition::default());
        self.feed_pumps.clear();
        self.feed_pumps.resize(p.feed_pumps.installed as usize, feed_pump::Condition::default());
        self.condensate_pumps.clear();
        let installed = p.condensate_pumps.installed as usize;
        self.condensate_pumps.resize(installed, condensate_pump::Condition::default());
        self.condenser = condenser::Condition::default();
        self.unit = UnitCondition::default();
        self.open = open_heater::Condition::default();
        for a in active {
            let share = a.share(time);
            if share <= 0.0 {
                continue;
            }
            match a.kind.spec().map(|s| s.class) {
                Some(Class::LevelTransmitter | Class::Transmitter) => {
                    self.befall_transmitter(&p.instruments, a, share);
                }
                Some(Class::Controller) => {
                    if let Some(frozen) = self.frozen.get_mut(a.target) {
                        *frozen = true;
                    }
                }
                Some(Class::FeedPump | Class::WarmUp) => self.befall_feed_pump(a, share),
                Some(Class::CondensatePump) => {
                    if let Some(pump) = self.condensate_pumps.get_mut(a.target) {
                        pump.tripped = true;
                    }
                }
                Some(Class::Condenser) if a.kind == Kind::CondenserAir => {
                    self.condenser.air = a.size * share;
                }
                Some(Class::Closed) if a.kind == Kind::AirLost => {
                    if let (Some(c), Some(q)) = (self.closed.get_mut(a.target), p.closed.get(a.target)) {
                        c.normal.fails_to = Some(q.fails_to[0]);
                        c.emergency.fails_to = Some(q.fails_to[1]);
                        c.line_drain.fails_to = Some(LINE_DRAIN_FAILS_TO);
                    }
                }
                Some(Class::Line) => self.befall_line(p, a),
                Some(Class::Condenser) => self.condenser.cooling_loss = a.size * share,
                _ => self.apply(a, share),
            }
        }
    }

    /// By the index of the line's heater among all.
    fn befall_line(&mut self, p: &Params, a: &Active) {
        let heater = a.target;
        let closed = if heater < p.high { heater } else { heater.wrapping_sub(1) };
        let (non_return, drain) = if heater == p.high {
            (&mut self.open.non_return, &mut self.open.line_drain)
        } else if let Some(c) = self.closed.get_mut(closed) {
            (&mut c.non_return, &mut c.line_drain)
        } else {
            return;
        };
        let valve = if a.kind == Kind::LineDrainStuck { drain } else { non_return };
        valve.stuck = true;
    }

    fn befall_feed_pump(&mut self, a: &Active, share: f64) {
        let Some(pump) = self.feed_pumps.get_mut(a.target) else { return };
        match a.kind {
            Kind::FeedPumpTrip => pump.tripped = true,
            Kind::WornPump => pump.wear = a.size * share,
            Kind::RecirculationStuckOpen => pump.recirculation.fails_to = Some(1.0),
            Kind::RecirculationStuck => pump.recirculation.stuck = true,
            Kind::WarmUpShut => pump.warm_up.fails_to = Some(1.0 - a.size * share),
            // Of another class.
            _ => {}
        }
    }

    fn befall_transmitter(&mut self, p: &instruments::Params, a: &Active, share: f64) {
        let process = a.kind.spec().is_some_and(|s| s.class == Class::Transmitter);
        let at = if process { p.levels + a.target } else { a.target };
        let (Some(c), Some(t)) = (self.transmitters.get_mut(at), p.list.get(at)) else { return };
        let span = t.span.1 - t.span.0;
        match a.kind {
            Kind::LevelDrift => c.offset += a.size * share,
            Kind::LevelNoisy => c.noise += a.size * share,
            Kind::TransmitterDrift => c.offset += a.size * share * span,
            Kind::TransmitterNoisy => c.noise += a.size * share * span,
            Kind::LevelStuck | Kind::TransmitterStuck => c.stuck = true,
            Kind::LevelHigh | Kind::TransmitterHigh => c.fails_to = Some(instruments::End::High),
            Kind::LevelLow | Kind::TransmitterLow => c.fails_to = Some(instruments::End::Low),
            // Of another class.
            _ => {}
        }
    }

    fn apply(&mut self, a: &Active, share: f64) {
        let size = a.size * share;
        if a.kind == Kind::OpenVentShut {
            self.open.vent_shut = size;
            return;
        }
        let closed = self.closed.get_mut(a.target);
        match (a.kind, closed) {
            (Kind::TurbineTrip, _) => self.unit.main_stop.fails_to = Some(0.0),
            (Kind::LoadRejection, _) => self.unit.grid_lost = true,
            (Kind::NormalDrainStuck, Some(c)) => c.normal.stuck = true,
            (Kind::NormalDrainLeaks, Some(c)) => c.normal.leak = size,
            (Kind::NormalDrainFails, Some(c)) => c.normal.fails_to = Some(a.size),
            (Kind::EmergencyDrainStuck, Some(c)) => c.emergency.stuck = true,
            (Kind::EmergencyDrainLeaks, Some(c)) => c.emergency.leak = size,
            (Kind::EmergencyDrainFails, Some(c)) => c.emergency.fails_to = Some(a.size),
            (Kind::StopValveStuck, Some(c)) => c.stop.stuck = true,
            (Kind::StopValveShuts, Some(c)) => c.stop.fails_to = Some(0.0),
            (Kind::Fouling, Some(c)) => c.heater.fouling = size,
            (Kind::PluggedTubes, Some(c)) => c.heater.plugged = size,
            (Kind::TubeLeak, Some(c)) => c.heater.holes += size,
            (Kind::TubeRupture, Some(c)) => c.heater.holes += 2.0 * size,
            (Kind::VentShut, Some(c)) => c.heater.vent_shut = size,
            (Kind::PartitionLeak, Some(c)) => c.heater.past_partition = size,
            // `target` finds every device of a validated malfunction; other classes are applied elsewhere.
            (_, _) => {}
        }
    }
}

/// Puts a malfunction in force at a time [s], or says why it cannot be.
///
/// # Errors
/// Kind that does not befall the device, size, delay or ramp out of range, one of its kind there already.
pub fn insert(p: &Params, list: &mut Vec<Active>, m: &Malfunction, time: f64) -> Result<(), Fault> {
    let place = format!("{} at {}", m.kind.word(), m.device);
    let Some(spec) = m.kind.spec() else {
        return Err(Fault::new(
            "unknown_kind",
            place,
            "this kind cannot be inserted.",
            "Choose one of the kinds listed.",
        ));
    };
    let target = target(p, spec.class, &m.device)?;
    if list.iter().any(|a| a.kind == m.kind && a.device == m.device) {
        return Err(Fault::new(
            "in_force",
            place,
            "this malfunction is in force already.",
            "Remove it first to insert it with other figures.",
        ));
    }
    if list.len() >= MOST {
        return Err(Fault::new(
            "too_many",
            place,
            format!("{MOST} malfunctions are in force, as many as there can be."),
            "Remove one first.",
        ));
    }
    let inside = |what: &str, value: f64, low: f64, high: f64| {
        if value >= low && value <= high {
            Ok(value)
        } else {
            Err(Fault::new(
                "out_of_range",
                place.clone(),
                format!("{value} is not a {what} that it can have."),
                format!("Give a value from {low} to {high}."),
            ))
        }
    };
    let size = match (spec.size, m.size) {
        (Some(s), given) => inside("size", given.unwrap_or(s.default), s.low, s.high)?,
        (None, None) => 1.0,
        (None, Some(_)) => {
            return Err(Fault::new("no_size", place, "this kind has no size.", "Leave the size out."));
        }
    };
    let delay = inside("delay [s]", m.delay_s, 0.0, LONGEST)?;
    let ramp = inside("ramp [s]", m.ramp_s, 0.0, LONGEST)?;
    list.push(Active { kind: m.kind, device: m.device.clone(), target, size, begins: time + delay, ramp });
    Ok(())
}

/// Takes a malfunction away.
///
/// # Errors
/// None of this kind is in force there.
pub fn remove(list: &mut Vec<Active>, kind: Kind, device: &str) -> Result<(), Fault> {
    match list.iter().position(|a| a.kind == kind && a.device == device) {
        Some(i) => {
            list.remove(i);
            Ok(())
        }
        None => Err(Fault::new(
            "not_in_force",
            format!("{} at {device}", kind.word()),
            "this malfunction is not in force.",
            "Look at the list of what is.",
        )),
    }
}

/// Ids that a class of malfunction can befall.
pub fn devices(p: &Params, class: Class) -> Vec<String> {
    match class {
        Class::Closed => p.closed.iter().map(|c| c.heater.id.clone()).collect(),
        Class::Line => {
            let mut all = devices(p, Class::Closed);
            all.insert(p.high, p.open.id.clone());
            all
        }
        Class::Controller => p.operation.controllers.iter().map(|c| c.id.clone()).collect(),
        Class::LevelTransmitter => {
            p.instruments.list.iter().take(p.instruments.levels).map(|t| t.id.clone()).collect()
        }
        Class::Transmitter => p.instruments.process().iter().map(|t| t.id.clone()).collect(),
        Class::CondensatePump => {
            (0..p.condensate_pumps.installed as usize).map(|k| Device::CondensatePump(k).pump_id()).collect()
        }
        Class::Condenser => vec!["condenser".to_owned()],
        Class::WarmUp if p.feed_pumps.casing.is_none() => Vec::new(),
        Class::FeedPump | Class::WarmUp => {
            (0..p.feed_pumps.installed as usize).map(|k| Device::FeedPump(k).pump_id()).collect()
        }
        Class::Unit => vec!["unit".into()],
        Class::Open => vec![p.open.id.clone()],
    }
}

fn target(p: &Params, class: Class, device: &str) -> Result<usize, Fault> {
    let ids = devices(p, class);
    ids.iter().position(|id| id == device).ok_or_else(|| {
        Fault::new(
            "no_such_device",
            device,
            "this malfunction does not befall a device of this id.",
            format!("It can befall {}.", ids.join(", ")),
        )
    })
}
