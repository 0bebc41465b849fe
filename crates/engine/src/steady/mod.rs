//! The steady heat balance: all flows at once, at design or at any load with any heater out.
//!
//! [`model`] holds what is sized once; [`pass`] evaluates every balance at a trial; [`newton`] closes them; [`solution`]
//! solves a case, [`unsolved`] says why it cannot; [`account`] draws up the result; [`costs`](mod@costs)
//! compares cases. The design balance takes pressures, terminal temperature differences
//! and approaches from the plant file; every other case takes surfaces, line coefficients and turbine constants from
//! the design, and finds pressures and temperatures. The time-stepping model shares the sized figures and the relations
//! of each component, not the solution: left to settle, it has to come to the same state.

pub mod account;
pub mod case;
pub mod costs;
mod line_drains;
pub mod model;
pub mod newton;
pub mod pass;
mod pumps;
pub mod result;
pub mod solution;
pub mod unsolved;
mod vents;

pub use case::{Case, Hold, Outage};
pub use costs::{Change, Cost, costs};
pub use model::Model;
pub use result::{Balance, HeaterBalance, ReheaterBalance, SeparatorBalance, StageBalance};
pub use unsolved::{Bound, Sought, Unsolved};
