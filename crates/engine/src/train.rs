//! The whole train's parameters and state: what never changes, and what is integrated and saved.

use crate::alarms;
use crate::backflow;
use crate::boiler;
use crate::condensate_pump;
use crate::condenser;
use crate::drain;
use crate::event::Device;
use crate::extraction;
use crate::feed_pump;
use crate::heater;
use crate::in_place::clone_in_place;
use crate::instruments;
use crate::layout::Layout;
use crate::ledger::Ledger;
use crate::local;
use crate::malfunction::Active;
use crate::measurements::{OverRamp, RateMeter};
use crate::open_heater;
use crate::operation;
use crate::pipe::Pipe;
use crate::plant::file::{DrainPump, VentTo};
use crate::separator;
use crate::sought::ByHeat;
use crate::steady::pass::Lines;
use crate::turbine;
use crate::valve::Stem;
use crate::water::WaterLine;
use serde::{Deserialize, Serialize};

/// Length of a step [s of plant time]: short against the fastest valve (1 s) and against the second or two in which a
/// shell's pressure moves.
pub const STEP: f64 = 0.25;

/// How often the controls read their instruments and renew what they ask for [s] (*common practice, no source*); the
/// length of the step has no part in it.
pub const SCAN: f64 = STEP;

/// Where a normal drain arrives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Receiver {
    /// A closed heater, by index.
    Closed(usize),
    /// The open heater.
    Open,
    /// The condenser.
    Condenser,
    /// The feedwater line behind this heater, by a pump.
    Forward(DrainPump),
}

/// A closed heater with what belongs to it.
#[derive(Clone, Debug)]
pub struct Closed {
    /// The heater.
    pub heater: heater::Params,
    /// Its extraction line.
    pub extraction: extraction::Params,
    /// Its drains.
    pub normal: drain::Params,
    /// Emergency drain, to the condenser.
    pub emergency: drain::Params,
    /// Where the normal drain arrives.
    pub receiver: Receiver,
    /// Where normal and emergency drain go without their supply of air [share of stroke].
    pub fails_to: [f64; 2],
    /// Where the vent leads.
    pub vents_to: VentTo,
}

/// Prices and emissions.
#[derive(Clone, Copy, Debug)]
pub struct Economics {
    /// Lower heating value [kJ/kg].
    pub heating_value: f64,
    /// Price of fuel per GJ.
    pub fuel_price: f64,
    /// Carbon dioxide [kg/GJ].
    pub carbon_dioxide: f64,
}

/// Everything that was sized.
#[derive(Clone, Debug)]
pub struct Params {
    /// Length of a step [s].
    pub dt: f64,
    /// Steps to a scan of the controls: 1, but for steps shorter than [`STEP`].
    pub scan: u32,
    /// Closed heaters, highest pressure first.
    pub closed: Vec<Closed>,
    /// How many of them stand on the high-pressure side; it is also the open heater's index among all heaters.
    pub high: usize,
    /// Which point of the turbine feeds which heater.
    pub layout: Layout,
    /// Open heater.
    pub open: open_heater::Params,
    /// Its extraction line.
    pub open_extraction: extraction::Params,
    /// Bypass groups, by index of closed heater.
    pub groups: Vec<Vec<usize>>,
    /// Stroke of a bypass [s].
    pub bypass_stroke: f64,
    /// Instruments.
    pub instruments: instruments::Params,
    /// Controls and protection.
    pub operation: operation::Params,
    /// Alarms.
    pub alarms: Vec<alarms::Settings>,
    /// Turbine.
    pub turbine: turbine::Params,
    /// Condenser.
    pub condenser: condenser::Params,
    /// Boiler.
    pub boiler: boiler::Params,
    /// Feed pumps.
    pub feed_pumps: feed_pump::Params,
    /// Condensate pumps.
    pub condensate_pumps: condensate_pump::Params,
    /// Liquid properties of both sides.
    pub lines: Lines,
    /// What is worth an event of what runs backwards.
    pub backflow: backflow::Params,
    /// Prices and emissions.
    pub economics: Economics,
}

impl Params {
    /// Id of a device, as events name it.
    pub fn device_id(&self, device: Device) -> String {
        match device {
            Device::Unit => "unit".into(),
            Device::Open => self.open.id.clone(),
            Device::Closed(k) => self.closed.get(k).map_or_else(String::new, |c| c.heater.id.clone()),
            Device::FeedPump(_) | Device::CondensatePump(_) => device.pump_id(),
        }
    }

    /// Index of a closed heater among all heaters.
    pub fn index(&self, k: usize) -> usize {
        if k < self.high { k } else { k + 1 }
    }

    /// Point of the turbine that feeds a closed heater.
    pub fn point(&self, k: usize) -> usize {
        self.layout.point_of[self.index(k)]
    }

    /// Point of the turbine that feeds the open heater.
    pub fn open_point(&self) -> usize {
        self.layout.point_of[self.high]
    }

    /// Properties of the water in a closed heater's tubes.
    pub fn line(&self, k: usize) -> &WaterLine {
        if k < self.high { &self.lines.high } else { &self.lines.low }
    }

    /// Bypass group of a closed heater.
    pub fn group(&self, k: usize) -> usize {
        self.operation.heaters[k].group
    }
}

/// A closed heater's state with what belongs to it.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub struct ClosedState {
    /// The heater.
    pub heater: heater::State,
    /// Its extraction valves.
    pub extraction: extraction::State,
    /// Normal drain valve.
    pub normal: Stem,
    /// Emergency drain valve.
    pub emergency: Stem,
    /// Start-up vent, moved by hand alone.
    pub start_up_vent: Stem,
    /// Enthalpy of the drain as it reaches the valves [kJ/kg]: what left the shell some seconds ago.
    pub drain_at_valve: f64,
    /// Its temperature, where the next search starts.
    pub drain_found: ByHeat,
    /// Feedwater pipe to the next heater.
    pub outlet_pipe: Pipe,
    /// Rate-of-change measurement of its feedwater outlet.
    pub ramp: RateMeter,
    /// What that has been beyond the permitted ramp.
    pub over_ramp: OverRamp,
}

clone_in_place!(ClosedState {
    heater,
    extraction,
    normal,
    emergency,
    start_up_vent,
    drain_at_valve,
    drain_found,
    outlet_pipe,
    ramp,
    over_ramp
});

/// State of the plant itself.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub struct PlantState {
    /// Closed heaters.
    pub closed: Vec<ClosedState>,
    /// Open heater.
    pub open: open_heater::State,
    /// Its extraction valves.
    pub open_extraction: extraction::State,
    /// Pipe from the storage tank to the feed pumps.
    pub suction: Pipe,
    /// Pipe from the last heater to the economiser.
    pub feed_line: Pipe,
    /// Bypass of each group: 0 = all water through the heaters.
    pub bypass: Vec<Stem>,
    /// Turbine.
    pub turbine: turbine::State,
    /// Drains of moisture separator and steam reheater on their way, where the unit has them.
    pub separator: Option<separator::Drains>,
    /// Condenser.
    pub condenser: condenser::State,
    /// Condensate pumps.
    pub condensate: condensate_pump::State,
    /// Boiler.
    pub boiler: boiler::State,
    /// Feed pumps.
    pub feed: feed_pump::State,
}

clone_in_place!(PlantState {
    closed,
    open,
    open_extraction,
    suction,
    feed_line,
    bypass,
    turbine,
    separator,
    condenser,
    condensate,
    boiler,
    feed
});

/// All that a snapshot holds.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Steps since the start.
    pub steps: u64,
    /// The plant.
    pub plant: PlantState,
    /// Its instruments.
    pub instruments: instruments::State,
    /// Its controls.
    pub control: operation::State,
    /// Its alarms.
    pub alarms: alarms::State,
    /// What is done and held by hand at the valves.
    pub local: local::State,
    /// What they asked for at their last scan, held until the next.
    pub demands: operation::Demands,
    /// What has run backwards through the extraction lines.
    pub backflow: backflow::State,
    /// Mass and energy across the boundary.
    pub ledger: Ledger,
    /// Malfunctions in force.
    pub malfunctions: Vec<Active>,
    /// Conditions that were on at the last step, so that each gives one event.
    pub latched: Latched,
    /// Events so far.
    pub events: u64,
}

clone_in_place!(State {
    steps,
    plant,
    instruments,
    control,
    alarms,
    local,
    demands,
    backflow,
    ledger,
    malfunctions,
    latched,
    events
});

/// Flags that turn conditions into single events.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Latched {
    /// The feed pumps could not give the flow asked.
    pub pumps_at_limit: bool,
    /// Suction head below the head required.
    pub suction_low: bool,
    /// A shell outside the pressures it is followed in.
    pub out_of_range: bool,
    /// A shell full to the brim.
    pub carry_over: bool,
    /// The condenser blows off.
    pub relief: bool,
}

impl PlantState {
    /// Mass inside the plant's boundary [kg]; pipes and tubes are full and do not change.
    pub fn mass(&self) -> f64 {
        self.closed.iter().map(|c| c.heater.shell.mass + c.heater.gas.mass).sum::<f64>()
            + self.open.tank.mass
            + self.separator.map_or(0.0, |d| d.mass())
            + self.open.gas.mass
            + self.condenser.hotwell
            + self.boiler.drum
    }

    /// Heat inside the boundary [kJ], which runs from the throttle to the economiser inlet.
    pub fn energy(&self, p: &Params) -> f64 {
        let heaters: f64 = self
            .closed
            .iter()
            .zip(&p.closed)
            .map(|(s, q)| {
                let water: f64 = q.heater.storage.iter().zip(s.heater.water).map(|(m, h)| m * h).sum();
                s.heater.shell.energy
                    + s.heater.metal * q.heater.metal_capacity
                    + water
                    + s.outlet_pipe.heat()
            })
            .sum();
        heaters
            + self.open.tank.energy
            + self.open.metal * p.open.metal_capacity
            + self.separator.map_or(0.0, |d| d.heat())
            + self.suction.heat()
            + self.feed_line.heat()
            + self.feed.heat(&p.feed_pumps)
            + self.condenser.heat
    }
}
