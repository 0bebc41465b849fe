//! The drain of an extraction line in the plant file.

use super::check::Report;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Power-operated drain of an extraction line, at the low point on the turbine's side of its valves, to the condenser. It opens
/// when the extraction is shut, at a turbine trip and when the grid is lost.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LineDrain {
    /// Diameter of its orifice [m]: 8 to 50 mm are usual (*common practice, no source*).
    pub bore: f64,
    /// Stroke time of the valve [s]; without it, 10 (*common practice, no source*).
    #[serde(default = "stroke")]
    pub stroke: f64,
}

/// Stroke time where none is given [s].
pub(super) fn stroke() -> f64 {
    10.0
}

pub(super) fn check(d: &LineDrain, place: &str, r: &mut Report) {
    r.within(format!("{place}.line_drain.bore"), d.bore, 1e-3, 0.2, "m");
    r.within(format!("{place}.line_drain.stroke"), d.stroke, 0.5, 300.0, "s");
}
