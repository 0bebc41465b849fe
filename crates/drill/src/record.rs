//! A record as text: one entry to a line, so that a page can add to it while the exercise goes and a cut loses a line.

use crate::entry::{Entry, FORMAT, Head};
use crate::run::MOST_ENTRIES;
use engine::Fault;
use schemars::generate::SchemaSettings;
use serde_json::Value;

/// Largest record read [bytes].
pub const LARGEST: usize = 1 << 23;

/// A record.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// Its head.
    pub head: Head,
    /// What follows, in order of the steps.
    pub entries: Vec<Entry>,
}

fn fault(place: String, message: String, remedy: &str) -> Fault {
    Fault::new("not_a_record", place, message, remedy)
}

impl Record {
    /// Reads a record. A last line that is cut off is left out: that is how a record looks after a lost battery.
    ///
    /// # Errors
    /// It is too long, a line is no entry, there is no head, or the steps go backwards.
    pub fn read(text: &str) -> Result<Record, Fault> {
        if text.len() > LARGEST {
            let message = format!("the record has {} bytes; at most {LARGEST} are read.", text.len());
            return Err(fault("file".into(), message, "Check that this is a record."));
        }
        let lines: Vec<&str> = text.lines().collect();
        let mut entries = Vec::new();
        for (k, line) in lines.iter().enumerate() {
            if line.trim().is_empty() {
                continue;
            }
            match serde_json::from_str::<Entry>(line) {
                Ok(entry) => entries.push(entry),
                Err(e) if e.is_eof() && k > 0 && k + 1 == lines.len() => {}
                Err(e) => {
                    let remedy = "Give the file as the page wrote it.";
                    return Err(fault(format!("line {}", k + 1), format!("{e}."), remedy));
                }
            }
        }
        Record::of(entries)
    }

    /// A record out of its entries.
    ///
    /// # Errors
    /// There is no head of this format, a second one, too many entries, or the steps go backwards.
    pub fn of(entries: Vec<Entry>) -> Result<Record, Fault> {
        let n = entries.len();
        // Marks and moments reached come on top of what a trainee does: one a second, and one a minute.
        if n > 2 * MOST_ENTRIES {
            let message = format!("{n} entries are more than a record has.");
            return Err(fault("file".into(), message, "Check that this is a record."));
        }
        let mut rest = entries.into_iter();
        let Some(Entry::Head(head)) = rest.next() else {
            let message = "a record begins with its head.".into();
            return Err(fault("line 1".into(), message, "Give the file as the page wrote it."));
        };
        if head.format != FORMAT {
            let message = format!("'{}' is not a format this build reads.", head.format);
            return Err(fault("line 1".into(), message, "This build reads bledsteam-record/1."));
        }
        let entries: Vec<Entry> = rest.collect();
        let mut last = 0;
        for (k, entry) in entries.iter().enumerate() {
            let step = entry.step().unwrap_or(last);
            if step < last || matches!(entry, Entry::Head(_)) {
                let message = "this entry does not follow the one before it.".into();
                return Err(fault(
                    format!("entry {}", k + 2),
                    message,
                    "Give the file as the page wrote it.",
                ));
            }
            last = step;
        }
        Ok(Record { head, entries })
    }

    /// Text of entries, one to a line.
    ///
    /// # Errors
    /// An entry cannot be written.
    pub fn text(entries: &[Entry]) -> Result<String, Fault> {
        let mut text = String::new();
        for entry in entries {
            text.push_str(&entry.line()?);
            text.push('\n');
        }
        Ok(text)
    }

    /// How far it has come [steps].
    pub fn last_step(&self) -> u64 {
        self.entries.iter().filter_map(Entry::step).max().unwrap_or(0)
    }

    /// Whether it has been brought to its end.
    pub fn is_over(&self) -> bool {
        self.entries.iter().any(|e| matches!(e, Entry::End { .. }))
    }
}

/// Schema of one line of a record (JSON Schema, draft 2020-12).
pub fn schema() -> Value {
    let mut schema = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Entry>();
    schema.insert("title".into(), "Line of a Bledsteam record".into());
    schema.into()
}
