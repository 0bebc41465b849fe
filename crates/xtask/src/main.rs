//! Set-up, build, serve, test, package.
fn main() {}
