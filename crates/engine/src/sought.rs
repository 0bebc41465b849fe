//! A temperature that is sought anew at every step, and where its next search starts: where it is heading. While a load
//! changes, temperatures run on by nearly the same from step to step, so that the first evaluation already is the answer.

use serde::{Deserialize, Serialize};

/// What searches have found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Sought {
    /// The last time [°C]; 0 before the first.
    last: f64,
    /// More than the time before [K].
    change: f64,
}

impl Sought {
    /// Where the next search starts [°C]; 0 before the first.
    pub fn guess(&self) -> f64 {
        self.last + self.change
    }

    /// A search has found `t` [°C].
    pub fn is(&mut self, t: f64) {
        self.change = if self.last == 0.0 { 0.0 } else { t - self.last };
        self.last = t;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ramp_is_met_and_rest_is_kept() {
        let mut s = Sought::default();
        assert_eq!(s.guess(), 0.0);
        s.is(200.0);
        assert_eq!(s.guess(), 200.0);
        s.is(200.5);
        assert_eq!(s.guess(), 201.0);
        s.is(200.5);
        assert_eq!(s.guess(), 200.5);
    }
}
