//! Reads a text file that a person wrote, of a size such a file can have.

use engine::Fault;
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// Reads at most `limit` bytes of UTF-8.
///
/// # Errors
/// No such file, not readable, too large, not UTF-8; the place is the path.
pub fn read(path: &Path, limit: usize) -> Result<String, Fault> {
    let place = path.display().to_string();
    let unreadable = |e: std::io::Error| {
        Fault::new(
            "unreadable",
            &place,
            format!("it cannot be read: {e}."),
            "Check the path and the permission.",
        )
    };
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(unreadable)?;
    file.take(limit as u64 + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    if bytes.len() > limit {
        return Err(Fault::new(
            "file_too_large",
            &place,
            format!("it has more than {limit} bytes."),
            "Check that this is the file you mean.",
        ));
    }
    let text = String::from_utf8(bytes).map_err(|e| {
        let at = e.utf8_error().valid_up_to();
        let line = 1 + e.as_bytes()[..at].iter().filter(|b| **b == b'\n').count();
        Fault::new(
            "not_text",
            &place,
            format!("line {line} is not UTF-8 text (byte {at})."),
            "Save the file as UTF-8.",
        )
    })?;
    // Some editors begin a file with a byte order mark, which JSON does not know.
    Ok(text.strip_prefix('\u{feff}').map_or_else(|| text.clone(), str::to_owned))
}
