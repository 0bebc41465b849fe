//! What an event's figure measures, and an event as a line for people.

use crate::duration::clock;
use crate::units::Units;
use engine::Event;
use engine::event::Code;
use steam::units::Quantity;

/// What the figure of an event measures, where it has one.
fn quantity(code: Code) -> Option<Quantity> {
    match code {
        Code::LoadSet | Code::TurbineReset | Code::DrainMoved | Code::Runback => Some(Quantity::Fraction),
        Code::LoadRejected => Some(Quantity::Power),
        Code::LocalSent => Some(Quantity::Duration),
        Code::PumpLowFlow | Code::LocalDone | Code::LocalStuck => Some(Quantity::Fraction),
        Code::VacuumLow => Some(Quantity::LowPressure),
        Code::OpenHeaterLow | Code::DrumLevelLow | Code::DrumLevelHigh => Some(Quantity::LevelOffset),
        Code::OpenHeaterShut | Code::LevelHigh | Code::LevelHighHigh | Code::LevelLow | Code::LevelNormal => {
            Some(Quantity::LevelOffset)
        }
        Code::RampExceeded => Some(Quantity::TemperatureRate),
        Code::StandbyCold => Some(Quantity::TemperatureDifference),
        Code::ReverseFlow | Code::WaterInduction => Some(Quantity::MassFlow),
        Code::FeedPumpsAtLimit => Some(Quantity::MassFlow),
        Code::PumpStarved | Code::SuctionHeadLow | Code::SuctionHeadRestored => Some(Quantity::Length),
        _ => None,
    }
}

/// The code in words.
pub fn name(code: Code) -> String {
    match serde_json::to_value(code) {
        Ok(serde_json::Value::String(s)) => s.replace('_', " "),
        _ => format!("{code:?}"),
    }
}

/// Time, device, what happened, figure.
pub fn line(e: &Event, units: Units) -> String {
    let figure = quantity(e.code)
        .map(|q| format!(", {} {}", units.text(q, e.value), units.symbol(q, "")))
        .unwrap_or_default();
    let part = if e.part.is_empty() { String::new() } else { format!(", {}", e.part.replace('_', " ")) };
    format!("{:>10}  {:8}  {}{part}{figure}", clock(e.time_s), e.device, name(e.code))
}
