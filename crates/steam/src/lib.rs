//! Water and steam properties, pinned mathematics, and units.
