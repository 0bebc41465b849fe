//! The model from a shell.
fn main() {}
