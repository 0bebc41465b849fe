//! What a file means to be, by the format it says.

use crate::{exercise, free};
use serde::Deserialize;

/// What a file means to be, faulty or not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// An exercise.
    Exercise,
    /// A plant.
    Plant,
    /// A free run, saved at the desk.
    Tape,
}

/// What a text means to be; none where it says none of these, as a record does, which is not one object.
pub fn kind_of(json: &str) -> Option<Kind> {
    #[derive(Deserialize)]
    struct Said {
        format: String,
    }
    let largest = [exercise::read::LARGEST_FILE, engine::plant::LARGEST_FILE, free::file::LARGEST];
    if json.len() > largest.into_iter().max()? {
        return None;
    }
    let Said { format } = serde_json::from_str(json).ok()?;
    match format.split_once('/')?.0 {
        "bledsteam-exercise" => Some(Kind::Exercise),
        "bledsteam-plant" => Some(Kind::Plant),
        "bledsteam-tape" => Some(Kind::Tape),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{Kind, kind_of};

    #[test]
    fn a_file_is_what_it_says() {
        assert_eq!(kind_of(r#"{"format":"bledsteam-exercise/1"}"#), Some(Kind::Exercise));
        assert_eq!(kind_of(r#"{"format":"bledsteam-plant/9","name":3}"#), Some(Kind::Plant));
        assert_eq!(kind_of(r#"{"format":"bledsteam-tape/1"}"#), Some(Kind::Tape));
        assert_eq!(kind_of("{\"entry\":\"head\",\"format\":\"bledsteam-record/1\"}\n{}"), None);
        assert_eq!(kind_of("{}"), None);
    }
}
