//! The JSON Schema of plant files, for editors and for programs that write them.
//!
//! It follows from the types that read a plant file, so it says what a file must look like and what each figure means;
//! what the figures must be to one another is for [`super::check`].

use super::file::Plant;
use schemars::generate::SchemaSettings;

/// Schema of plant files (JSON Schema, draft 2020-12).
///
/// Descriptions carry each figure's unit in square brackets.
pub fn schema() -> serde_json::Value {
    let mut schema = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Plant>();
    schema.insert("title".into(), "Bledsteam plant file".into());
    schema.into()
}
