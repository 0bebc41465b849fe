//! Shipped plants as data.
