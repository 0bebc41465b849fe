//! `bledsteam schema`: the JSON Schema of plant files, out of the types that read them.

use crate::failure::Failure;
use crate::output::Sink;
use std::io::Write;

/// Prints the schema.
pub fn schema() -> Result<(), Failure> {
    let mut out = Sink::standard();
    out.json(&engine::plant::schema())?;
    Ok(out.flush()?)
}
