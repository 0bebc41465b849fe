//! Promises that cross crates.
