//! Times as typed and as shown: `90s`, `5min`, `2h`, `1h30min`; `0:05:00`.

use engine::Fault;

/// Longest run [s]: thirty days of plant time.
pub const LONGEST: f64 = 30.0 * 86_400.0;

/// Seconds of a typed time.
///
/// # Errors
/// Not a time, negative, or longer than [`LONGEST`]; the place is the text itself.
pub fn parse(text: &str) -> Result<f64, Fault> {
    let wrong = |message: String| {
        Fault::new("not_a_time", format!("'{text}'"), message, "Write a time like 90s, 5min, 2h or 1h30min.")
    };
    let mut rest = text.trim();
    if rest.starts_with('-') {
        return Err(wrong("a time cannot be negative.".into()));
    }
    let mut seconds = 0.0;
    let mut parts = 0;
    while !rest.is_empty() {
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        let (figure, tail) = rest.split_at(end);
        let figure: f64 = figure.parse().map_err(|_| wrong("this is not a time.".into()))?;
        let tail = tail.trim_start();
        let end = tail.find(|c: char| c.is_ascii_digit() || c == '.' || c == ' ').unwrap_or(tail.len());
        let (unit, tail) = tail.split_at(end);
        seconds += figure
            * match unit {
                "s" => 1.0,
                "min" => 60.0,
                "h" => 3600.0,
                "" => return Err(wrong("it has no unit.".into())),
                _ => return Err(wrong(format!("'{unit}' is not a unit of time."))),
            };
        rest = tail.trim_start();
        parts += 1;
    }
    if parts == 0 {
        return Err(wrong("no time is given.".into()));
    }
    if !(seconds <= LONGEST) {
        return Err(wrong(format!("it is longer than {} h, the longest run.", LONGEST / 3600.0)));
    }
    Ok(seconds)
}

/// Seconds as hours, minutes and seconds; a part of a second only where there is one.
pub fn clock(seconds: f64) -> String {
    let whole = seconds.floor();
    let w = whole as u64;
    let part = format!("{:.2}", seconds - whole);
    let part = part.trim_start_matches('0').trim_end_matches('0').trim_end_matches('.');
    format!("{}:{:02}:{:02}{part}", w / 3600, w / 60 % 60, w % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read() {
        for (text, seconds) in [
            ("90s", 90.0),
            ("5min", 300.0),
            ("2h", 7200.0),
            ("1h30min", 5400.0),
            ("0.5 h", 1800.0),
            ("0s", 0.0),
            (" 1min 30s ", 90.0),
            ("0.25s", 0.25),
        ] {
            assert_eq!(parse(text).unwrap(), seconds, "{text}");
        }
    }

    #[test]
    fn what_is_no_time_is_named_and_a_way_out_given() {
        for (text, says) in [
            ("30", "no unit"),
            ("-5min", "negative"),
            ("NaN", "not a time"),
            ("inf", "not a time"),
            ("5d", "'d' is not a unit"),
            ("1e3s", "'e' is not a unit"),
            ("min", "not a time"),
            ("1.2.3s", "not a time"),
            ("", "no time"),
            ("   ", "no time"),
            ("5µs", "'µs' is not a unit"),
            ("99999h", "longer than 720 h"),
            ("1e999h", "'e' is not a unit"),
        ] {
            let fault = parse(text).unwrap_err();
            assert_eq!(fault.place, format!("'{text}'"));
            assert!(fault.message.contains(says), "{text}: {fault}");
            assert!(fault.remedy.contains("90s"));
        }
        let long = "9".repeat(400) + "h";
        assert!(parse(&long).unwrap_err().message.contains("longer"));
    }

    #[test]
    fn a_clock_is_shown() {
        assert_eq!(clock(0.0), "0:00:00");
        assert_eq!(clock(90.25), "0:01:30.25");
        assert_eq!(clock(3661.5), "1:01:01.5");
        assert_eq!(clock(360_000.0), "100:00:00");
    }
}
