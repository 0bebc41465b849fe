//! What rows of protection watch: the measurements and the controls' own memory, never the plant.

use crate::event::{Code, Device};
use crate::measurements::Measurements;
use crate::operation::{Mode, Params, State};
use crate::pump_logic;
use crate::unit::Standing;
use serde::Serialize;
use steam::units::Quantity;

/// Position of a stop valve at which its extraction counts as in service (*common practice, no source*: its limit switch).
const IN_SERVICE: f64 = 0.95;

/// What a row watches.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Watched {
    /// Level of a closed heater, by its transmitter for protection [mm].
    Level(usize),
    /// A closed heater's extraction is not in service: taken off, isolated or on its way back, or its stop valve not open: 1.
    ExtractionOff(usize),
    /// The open heater's extraction is not in service: 1.
    OpenExtractionOff,
    /// The turbine is tripped: 1.
    TurbineTripped,
    /// Level of the open heater's tank, by its transmitter for protection [mm].
    OpenLevel,
    /// Level of the drum [mm].
    DrumLevel,
    /// Pressure of the condenser [MPa].
    CondenserPressure,
    /// Position of the turbine's stop valves, while they are meant to be open [share].
    MainStop,
    /// The grid is gone: 1.
    GridLost,
    /// Suction head that a feed pump has beyond what it needs, while it is under power [m].
    SuctionMargin(usize),
    /// Flow through a feed pump that is up to speed [share of its design flow].
    PumpFlow(usize),
    /// A feed pump's drive has tripped: 1.
    FeedPumpTripped(usize),
    /// A condensate pump's drive has tripped: 1.
    CondensatePumpTripped(usize),
    /// Pressure of the feed pumps' header on the grid, unless a pump is starting [MPa].
    HeaderPressure,
    /// The feed pumps cannot give what is asked, unless a pump is starting: 1.
    FeedLimited,
    /// Load beyond what the feed pumps under power carry [share of design].
    FeedExcess,
    /// Steam beyond the feed, while the feed pumps cannot give what is asked [share of design].
    FeedShort,
    /// Condensate that is missing, unless a pump is starting [share of design].
    CondensateShort,
}

impl Watched {
    /// What its sensor shows.
    pub fn value(self, p: &Params, s: &State, m: &Measurements) -> f64 {
        let flag = |x: bool| if x { 1.0 } else { 0.0 };
        let feed = |k: usize| m.feed_pumps.get(k).copied().unwrap_or_default();
        match self {
            Watched::Level(k) => m.heaters[k].level_protection,
            Watched::ExtractionOff(k) => {
                flag(s.heaters[k].mode != Mode::InService || m.heaters[k].stop < IN_SERVICE)
            }
            Watched::OpenExtractionOff => flag(m.open_stop < IN_SERVICE),
            Watched::TurbineTripped => flag(s.unit.standing == Standing::Tripped),
            Watched::OpenLevel => m.open_level_protection,
            Watched::DrumLevel => m.drum_level,
            Watched::CondenserPressure => m.condenser_pressure,
            Watched::MainStop => m.main_stop,
            Watched::GridLost => flag(!m.grid),
            Watched::SuctionMargin(k) => m.suction_head - feed(k).npsh_required,
            Watched::PumpFlow(k) => feed(k).flow,
            Watched::FeedPumpTripped(k) => flag(feed(k).tripped),
            Watched::CondensatePumpTripped(k) => flag(m.condensate_pumps.get(k).is_some_and(|x| x.tripped)),
            Watched::HeaderPressure => m.header_pressure,
            Watched::FeedLimited => flag(s.pumps.limited),
            Watched::FeedExcess => s.load.max(m.steam_flow / p.steam) - pump_logic::carried(p, s),
            Watched::FeedShort => m.steam_flow / p.steam - m.feed_flow / p.pumps.design_flow,
            Watched::CondensateShort => (s.pumps.condensate_asked - m.condensate_flow) / p.condensate,
        }
    }

    /// It is meant to act now; else its cause counts as gone.
    pub fn is_armed(self, s: &State) -> bool {
        let x = &s.pumps;
        match self {
            Watched::MainStop => s.unit.expects_open(),
            Watched::SuctionMargin(k) => x.feed.mode(k).is_on(),
            Watched::PumpFlow(k) => x.feed.mode(k) == pump_logic::Mode::Running,
            // Off the grid the pumps are meant to turn slowly.
            Watched::HeaderPressure => !x.feed.is_starting() && s.unit.standing == Standing::OnGrid,
            Watched::FeedLimited => !x.feed.is_starting(),
            Watched::FeedShort => x.limited && !x.feed.is_starting() && s.unit.standing != Standing::Tripped,
            Watched::CondensateShort => !x.condensate.is_starting(),
            _ => true,
        }
    }

    /// What it measures.
    pub fn quantity(self) -> Quantity {
        match self {
            Watched::Level(_) | Watched::OpenLevel | Watched::DrumLevel => Quantity::LevelOffset,
            Watched::CondenserPressure => Quantity::LowPressure,
            Watched::HeaderPressure => Quantity::Pressure,
            Watched::SuctionMargin(_) => Quantity::Length,
            Watched::MainStop
            | Watched::PumpFlow(_)
            | Watched::FeedExcess
            | Watched::FeedShort
            | Watched::CondensateShort => Quantity::Fraction,
            Watched::ExtractionOff(_)
            | Watched::OpenExtractionOff
            | Watched::TurbineTripped
            | Watched::GridLost
            | Watched::FeedPumpTripped(_)
            | Watched::CondensatePumpTripped(_)
            | Watched::FeedLimited => Quantity::State,
        }
    }

    /// The closed heater that it is about.
    pub fn heater(self) -> Option<usize> {
        match self {
            Watched::Level(k) | Watched::ExtractionOff(k) => Some(k),
            _ => None,
        }
    }

    /// The pump that it is about.
    pub fn pump(self) -> Option<Device> {
        match self {
            Watched::SuctionMargin(k) | Watched::PumpFlow(k) | Watched::FeedPumpTripped(k) => {
                Some(Device::FeedPump(k))
            }
            Watched::CondensatePumpTripped(k) => Some(Device::CondensatePump(k)),
            _ => None,
        }
    }

    /// What happens when a latched row that watches it, above or below its mark, begins to act; what others do has events
    /// of its own.
    pub(super) fn event(self, above: bool) -> Option<(Code, Device)> {
        Some(match self {
            Watched::Level(k) => (Code::LevelHighHigh, Device::Closed(k)),
            Watched::OpenLevel if above => (Code::OpenHeaterShut, Device::Unit),
            Watched::OpenLevel => (Code::OpenHeaterLow, Device::Unit),
            Watched::DrumLevel if above => (Code::DrumLevelHigh, Device::Unit),
            Watched::DrumLevel => (Code::DrumLevelLow, Device::Unit),
            Watched::CondenserPressure => (Code::VacuumLow, Device::Unit),
            Watched::SuctionMargin(k) => (Code::PumpStarved, Device::FeedPump(k)),
            Watched::PumpFlow(k) => (Code::PumpLowFlow, Device::FeedPump(k)),
            _ => return None,
        })
    }
}
