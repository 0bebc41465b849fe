//! The plant.
