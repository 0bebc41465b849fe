//! The states of an alarm and what leads from one to the next.

use super::{Aside, Settings, State};
use crate::command::Command;
use crate::fault::Fault;
use serde::{Deserialize, Serialize};

/// State of an alarm, as ISA-18.2 names them (*from memory*).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// The condition does not hold and nothing is open.
    #[default]
    Normal,
    /// It holds and nobody has said that it was seen.
    Unacknowledged,
    /// It holds and was seen.
    Acknowledged,
    /// It held, is gone, and was not seen.
    ReturnedUnacknowledged,
    /// The condition is gone, but what it set off waits for a reset; not seen.
    LatchedUnacknowledged,
    /// The same, seen.
    LatchedAcknowledged,
    /// Put aside by the operator for a time.
    Shelved,
    /// What it watches is meant to be so.
    SuppressedByDesign,
    /// Taken out of service.
    OutOfService,
}

/// The next state: `shelf_over` once the time on the shelf has run out.
pub fn step(was: Standing, active: bool, latched: bool, suppressed: bool, shelf_over: bool) -> Standing {
    use Standing::{
        Acknowledged, LatchedAcknowledged, LatchedUnacknowledged, Normal, OutOfService,
        ReturnedUnacknowledged, Shelved, SuppressedByDesign, Unacknowledged,
    };
    match was {
        OutOfService => OutOfService,
        Shelved if !shelf_over => Shelved,
        _ if suppressed => SuppressedByDesign,
        Acknowledged | LatchedAcknowledged if active => Acknowledged,
        Acknowledged | LatchedAcknowledged if latched => LatchedAcknowledged,
        Acknowledged | LatchedAcknowledged => Normal,
        _ if active => Unacknowledged,
        Unacknowledged | LatchedUnacknowledged if latched => LatchedUnacknowledged,
        Unacknowledged | LatchedUnacknowledged | ReturnedUnacknowledged => ReturnedUnacknowledged,
        Normal | Shelved | SuppressedByDesign => Normal,
    }
}

/// The state after it was seen, where it waits for that.
pub fn acknowledged(was: Standing) -> Option<Standing> {
    match was {
        Standing::Unacknowledged => Some(Standing::Acknowledged),
        Standing::ReturnedUnacknowledged => Some(Standing::Normal),
        Standing::LatchedUnacknowledged => Some(Standing::LatchedAcknowledged),
        _ => None,
    }
}

/// Carries out a command about alarms; false for any other.
///
/// # Errors
/// Why it was refused.
pub fn act(s: &mut State, list: &[Settings], command: &Command) -> Result<bool, Fault> {
    match command {
        Command::AcknowledgeAlarm { alarm } => s.acknowledge(list, alarm.as_deref())?,
        Command::ShelveAlarm { alarm, seconds } => s.put_aside(list, alarm, Aside::Shelve(*seconds))?,
        Command::UnshelveAlarm { alarm } => s.put_aside(list, alarm, Aside::Unshelve)?,
        Command::AlarmOutOfService { alarm, out } => s.put_aside(list, alarm, Aside::OutOfService(*out))?,
        _ => return Ok(false),
    }
    Ok(true)
}

#[cfg(test)]
mod tests {
    use super::*;
    use Standing::*;

    /// A condition comes and goes, is latched, is seen or not: each way through.
    #[test]
    fn an_alarm_goes_the_ways_of_the_standard() {
        let plain = |was, active| step(was, active, false, false, true);
        assert_eq!(plain(Normal, true), Unacknowledged);
        assert_eq!(plain(Unacknowledged, false), ReturnedUnacknowledged);
        assert_eq!(plain(ReturnedUnacknowledged, true), Unacknowledged);
        assert_eq!(acknowledged(ReturnedUnacknowledged), Some(Normal));
        assert_eq!(acknowledged(Unacknowledged), Some(Acknowledged));
        assert_eq!(plain(Acknowledged, true), Acknowledged);
        assert_eq!(plain(Acknowledged, false), Normal);
        // Latched: the condition goes before the reset.
        assert_eq!(step(Unacknowledged, false, true, false, true), LatchedUnacknowledged);
        assert_eq!(acknowledged(LatchedUnacknowledged), Some(LatchedAcknowledged));
        assert_eq!(step(LatchedAcknowledged, false, true, false, true), LatchedAcknowledged);
        assert_eq!(plain(LatchedAcknowledged, false), Normal);
        // Put aside: nothing raises it until the time is over, and then it calls if it still holds.
        assert_eq!(step(Shelved, true, false, false, false), Shelved);
        assert_eq!(step(Shelved, true, false, false, true), Unacknowledged);
        assert_eq!(step(Shelved, false, false, false, true), Normal);
        assert_eq!(step(OutOfService, true, true, false, true), OutOfService);
        assert_eq!(step(Unacknowledged, true, false, true, true), SuppressedByDesign);
        assert_eq!(step(SuppressedByDesign, true, false, false, true), Unacknowledged);
        assert_eq!(acknowledged(Normal), None);
    }
}
