//! What is asked of a controller, in words.

use super::number_or_share;
use crate::duration;
use engine::Command;
use engine::controller::Mode;

/// What can be set, in the order of [`write`]'s values, with the unit that is written behind it.
const PARTS: [(&str, &str); 6] =
    [("setpoint", ""), ("output", ""), ("gain", ""), ("integral", "s"), ("lowest", ""), ("highest", "")];

/// Reads what follows the controller's id.
///
/// # Errors
/// What is wrong with it, in a sentence.
pub fn parse(id: &str, words: &[&str]) -> Result<Command, String> {
    let (mode, rest) = match words {
        ["auto", rest @ ..] => (Some(Mode::Auto), rest),
        ["manual", rest @ ..] => (Some(Mode::Manual), rest),
        rest => (None, rest),
    };
    let mut values = [None; PARTS.len()];
    for pair in rest.chunks(2) {
        let [word, value] = pair else { return Err(format!("'{}' is not understood.", pair.join(" "))) };
        let Some(k) = PARTS.iter().position(|(part, _)| part == word) else {
            return Err(format!("'{}' is not understood.", pair.join(" ")));
        };
        values[k] = Some(match PARTS[k].1 {
            "s" => duration::parse(value).map_err(|f| f.message)?,
            _ => number_or_share(value)?,
        });
    }
    let [setpoint, output, gain, integral_time, lowest, highest] = values;
    Ok(Command::SetController { id: id.into(), mode, setpoint, output, gain, integral_time, lowest, highest })
}

/// The words that [`parse`] reads back; `values` in the order of the fields of the command.
pub fn write(id: &str, mode: Option<Mode>, values: [Option<f64>; PARTS.len()]) -> String {
    let mut text = format!("set {id}");
    text += match mode {
        Some(Mode::Auto) => " auto",
        Some(Mode::Manual) => " manual",
        None => "",
    };
    for ((word, unit), value) in PARTS.iter().zip(values) {
        if let Some(v) = value {
            text += &format!(" {word} {v}{unit}");
        }
    }
    text
}
