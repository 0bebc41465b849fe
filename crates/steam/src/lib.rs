//! Water and steam properties, pinned mathematics, and units: the foundation, which knows nothing of plants.
//!
//! # Map
//!
//! | asked | answered by |
//! |---|---|
//! | both phases at a pressure or temperature | [`sat_p`], [`sat_t`], [`t_sat`], [`p_sat`] (`saturation`, over `table`) |
//! | a state from pressure and temperature | [`liquid_pt`], [`steam_pt`] (`state`) |
//! | a state of any phase from pressure and enthalpy or entropy | [`state_ph`], [`state_ps`], and the same with a first guess, [`state_ph_near`], [`state_ps_near`] (`inverse`, over `solve`) |
//! | liquid at a pressure that stays, thousands of times | [`LiquidLine`] |
//! | the equations themselves | `region1` (liquid: the door to the library), `region2` (steam), `region4` (saturation line) |
//! | exp, ln, pow and the like | [`math`] |
//! | how a quantity is shown | [`units`] |
//! | whether two builds compute the same bits | [`fingerprint()`] |
//!
//! Units: MPa absolute, °C, kJ/kg, kJ/(kg K), m³/kg. Range: 0.000611 to 100 MPa, 0 to 800 °C, without the
//! near-critical region 3 (above 350 °C and 16.529 MPa, up to the boundary of IAPWS R7-97 equation 5).
//! Every function is total: any argument gives a property or a [`SteamError`], never a panic or a code.
//!
//! # One truth
//!
//! Saturation is one table, within 1e-7 K and 5e-9 of the formulation; pressure to temperature and back, and the
//! decision which phase a state is in, all read it. Single-phase states solve the forward equations, so that
//! enthalpy to temperature and back returns to 1e-9 K. Every function gives the same bits natively and in wasm.
//!
//! # Traps of the property library
//!
//! `seuif97` 2.3.8 computes the forward equations well. This crate stands between it and everyone else because:
//!
//! - it reports errors as finite negative numbers (-1000, -2100 and on, -9999), and a call that names its region is not
//!   range-checked at all (region 1 at 500 °C "has" an enthalpy of 6.5e15): arguments are checked before,
//!   results after;
//! - its calls by enthalpy-entropy, pressure-volume, temperature-volume and temperature-enthalpy can panic, as can those
//!   by pressure-enthalpy near 800 °C when it seeks the region itself: none of them is called;
//! - its temperature of pressure and enthalpy is the backward equation, 25 mK off and discontinuous at saturation (a
//!   temperature just past hf often belongs to the other phase): used as a first guess only;
//! - its isothermal compressibility and volume derivative by pressure, Prandtl number, Joule-Thomson coefficient and
//!   thermal conductivity are wrong or incomplete: never asked for;
//! - `ln`, `powf` and `exp` inside it differ between native and wasm in the last bit, which reaches saturation
//!   temperature and the entropy of steam: those two equations are evaluated here;
//! - a property or region chosen at run time keeps the whole library in the binary: both are literals here.

pub mod error;
mod fingerprint;
mod inverse;
pub mod liquid_line;
pub mod math;
mod point;
mod region1;
mod region2;
mod region4;
pub mod saturation;
mod solve;
pub mod state;
mod table;
pub mod units;

pub use error::{Result, SteamError};
pub use fingerprint::fingerprint;
pub use inverse::{state_ph, state_ph_near, state_ps, state_ps_near};
pub use liquid_line::LiquidLine;
pub use saturation::{SAT_P_HIGH, SAT_P_LOW, SAT_T_HIGH, SAT_T_LOW, Saturation, p_sat, sat_p, sat_t, t_sat};
pub use state::{Phase, State, liquid_pt, steam_pt};
