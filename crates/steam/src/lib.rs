//! Water and steam properties, pinned mathematics, and units: the foundation, which knows nothing of plants.

pub mod error;
mod inverse;
pub mod liquid_line;
pub mod math;
mod region1;
mod region2;
mod region4;
pub mod saturation;
mod solve;
pub mod state;
mod table;
pub mod units;

pub use error::{Result, SteamError};
pub use inverse::{state_ph, state_ph_near, state_ps, state_ps_near};
pub use liquid_line::LiquidLine;
pub use saturation::{SAT_P_HIGH, SAT_P_LOW, SAT_T_HIGH, SAT_T_LOW, Saturation, p_sat, sat_p, sat_t, t_sat};
pub use state::{Phase, State, liquid_pt, steam_pt};
