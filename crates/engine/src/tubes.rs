//! What may be wrong inside a closed heater, as its step receives it.

use crate::exchange::Tubes;
use crate::surface::{CONDENSING, FLOODED_COEFFICIENT, TYPICAL_COEFFICIENT};

/// What is wrong with the heater.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Condition {
    /// Resistance of deposits inside the tubes, over the condensing zone's whole resistance at design; of the same
    /// thickness in every zone.
    pub fouling: f64,
    /// Share of the tubes that is plugged, below 1.
    pub plugged: f64,
    /// Area of the holes in tubes, over that of a tube's bore.
    pub holes: f64,
    /// Share of the water that passes the channel's partition plate instead of the tubes.
    pub past_partition: f64,
    /// How far the vent is shut, 0..=1.
    pub vent_shut: f64,
}

impl Condition {
    /// What the tubes of a zone have become.
    pub fn tubes(&self, zone: usize) -> Tubes {
        // A deposit adds the same to each square metre: the better the zone's coefficient, the more that is of it.
        self.tubes_of(TYPICAL_COEFFICIENT[zone])
    }

    /// The same of condensing tubes under water.
    pub fn flooded(&self) -> Tubes {
        self.tubes_of(FLOODED_COEFFICIENT)
    }

    fn tubes_of(&self, coefficient: f64) -> Tubes {
        Tubes { plugged: self.plugged, deposit: self.fouling * coefficient / TYPICAL_COEFFICIENT[CONDENSING] }
    }
}
