//! What can go wrong when a property is asked for.

/// A property that cannot be given, and why. Values are in the crate's units (MPa, °C, kJ/kg, kJ/(kg K)).
#[derive(thiserror::Error, Clone, Copy, Debug, PartialEq)]
pub enum SteamError {
    /// An argument lies outside the range in which the formulation holds.
    #[error("{what} is {value}, outside {low} to {high}: keep it inside that range")]
    OutOfRange {
        /// The argument, with its unit.
        what: &'static str,
        /// What was given.
        value: f64,
        /// Lowest value accepted (at the other argument as given).
        low: f64,
        /// Highest value accepted.
        high: f64,
    },
    /// An argument is NaN or infinite: something upstream has already failed.
    #[error("{what} is not a finite number: look at what computed it")]
    NotFinite {
        /// The argument, with its unit.
        what: &'static str,
    },
    /// The state lies in IF97 region 3, the neighbourhood of the critical point, which this crate does not serve.
    #[error(
        "{what} {value} at {p} MPa lies in the near-critical region: \
         stay below 16.529 MPa, or above the region's boundary temperature"
    )]
    NearCritical {
        /// The second argument, with its unit.
        what: &'static str,
        /// What was given for it.
        value: f64,
        /// Pressure, MPa.
        p: f64,
    },
    /// The property library answered with one of its error codes, or with no number at all.
    #[error("no {what} at {p} MPa, {t} °C: the property formulation gave no number")]
    Property {
        /// The property asked for.
        what: &'static str,
        /// Pressure, MPa.
        p: f64,
        /// Temperature, °C.
        t: f64,
    },
}

/// A property or the reason there is none.
pub type Result<T> = core::result::Result<T, SteamError>;

/// Passes `value` on when it is a finite number in `low..=high`.
///
/// # Errors
/// [`SteamError::NotFinite`] or [`SteamError::OutOfRange`], naming `what`.
#[inline]
pub fn in_range(what: &'static str, value: f64, low: f64, high: f64) -> Result<f64> {
    if value >= low && value <= high {
        Ok(value)
    } else if value.is_finite() {
        Err(SteamError::OutOfRange { what, value, low, high })
    } else {
        Err(SteamError::NotFinite { what })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_names_place_and_remedy() {
        let error = in_range("pressure (MPa)", 120.0, 0.0, 100.0).unwrap_err();
        assert_eq!(error.to_string(), "pressure (MPa) is 120, outside 0 to 100: keep it inside that range");
        let error = in_range("pressure (MPa)", f64::NAN, 0.0, 100.0).unwrap_err();
        assert_eq!(error.to_string(), "pressure (MPa) is not a finite number: look at what computed it");
        assert_eq!(in_range("pressure (MPa)", 100.0, 0.0, 100.0), Ok(100.0));
    }
}
