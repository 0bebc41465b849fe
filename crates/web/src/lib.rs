//! The wasm surface.
