//! The plant: its definition, its design heat balance, its components and the step that moves them.
//!
//! Start at [`sim`] for the order of a step and at [`heater`] for the component the project exists for. Inside: kg,
//! s, m, MPa absolute, °C, kJ/kg, kW. No text for people, no files, no browser, no clock.

pub mod alarms;
pub mod backflow;
pub mod boiler;
pub mod command;
pub mod condensate_pump;
pub mod condenser;
pub mod control;
pub mod controller;
pub mod deaeration;
pub mod desk;
pub mod drain;
pub mod event;
pub mod exchange;
pub mod extraction;
pub mod falling;
pub mod fault;
pub mod feed_pump;
pub mod form;
pub mod gas;
pub mod header;
pub mod heater;
pub mod henry;
mod in_place;
pub mod instruments;
pub mod layout;
pub mod leak;
pub mod ledger;
pub mod level;
pub mod line_drain;
pub mod local;
pub mod malfunction;
pub mod measurements;
pub mod network;
pub mod open_heater;
pub mod operation;
pub mod outputs;
pub mod pegging;
pub mod pipe;
pub mod plant;
pub mod pump;
pub mod pump_logic;
pub mod separator;
pub mod signals;
pub mod sim;
pub mod sizing;
pub mod snapshot;
pub mod solve;
pub mod sought;
pub mod steady;
pub mod surface;
pub mod train;
pub mod transmitters;
pub mod tubes;
pub mod turbine;
pub mod unit;
pub mod valve;
pub mod vessel;
pub mod water;
pub mod working;

pub use command::Command;
pub use event::Event;
pub use fault::Fault;
pub use sim::Sim;
