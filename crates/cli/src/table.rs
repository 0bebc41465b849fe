//! A run as a table for people, then what happened.

use crate::duration::clock;
use crate::events;
use crate::failure::Failure;
use crate::lists::is_mode;
use crate::output::{Form, Head, Sink, Tail, closing};
use crate::units::Units;
use engine::operation::Mode;
use engine::signals::Definition;
use std::io::{self, Write};
use steam::units::Quantity;

/// Most columns of a table's heading words side by side [characters].
const HEADING: usize = 11;
/// Width of the time.
const CLOCK: usize = 10;

/// Columns as wide as their headings and numbers ask.
#[derive(Default)]
pub struct Table {
    widths: Vec<usize>,
}

impl Form for Table {
    fn head(&mut self, out: &mut Sink, head: &Head) -> io::Result<()> {
        let headings: Vec<Vec<String>> = head.columns.iter().skip(1).map(|d| heading(d, head)).collect();
        self.widths = head
            .columns
            .iter()
            .skip(1)
            .zip(&headings)
            .map(|(d, words)| {
                let ends = [d.low, d.high].map(|v| cell(d, v, head.units).chars().count());
                let names = if is_mode(d) { Mode::NAMES.iter().map(|n| n.len()).max() } else { None };
                words.iter().map(|w| w.chars().count()).chain(ends).chain(names).max().unwrap_or(0)
            })
            .collect();
        writeln!(out, "{} ({}): {}\n", head.plant.1, head.plant.0, clock(head.seconds.0))?;
        // Headings stand on the unit, whatever their number of lines.
        let depth = headings.iter().map(Vec::len).max().unwrap_or(0);
        for row in 0..depth {
            let first = if row + 1 == depth { "time" } else { "" };
            let mut line = format!("{first:>CLOCK$}");
            for (words, width) in headings.iter().zip(&self.widths) {
                let word = (row + words.len()).checked_sub(depth).and_then(|k| words.get(k));
                line += &format!("  {:>width$}", word.map_or("", String::as_str));
            }
            writeln!(out, "{}", line.trim_end())?;
        }
        Ok(())
    }

    fn line(&mut self, out: &mut Sink, head: &Head, values: &[f64]) -> io::Result<()> {
        write!(out, "{:>CLOCK$}", clock(values.first().copied().unwrap_or(0.0)))?;
        for ((d, v), width) in head.columns.iter().zip(values).skip(1).zip(&self.widths) {
            write!(out, "  {:>width$}", cell(d, *v, head.units))?;
        }
        writeln!(out)?;
        // Few lines, and somebody waits for each.
        out.flush()
    }

    fn tail(&mut self, out: &mut Sink, head: &Head, tail: &Tail) -> Result<(), Failure> {
        writeln!(out)?;
        for e in &tail.events {
            writeln!(out, "{}", events::line(e, head.units))?;
        }
        if tail.events.is_empty() {
            writeln!(out, "Nothing happened.")?;
        }
        writeln!(out)?;
        for line in closing(tail) {
            writeln!(out, "{line}")?;
        }
        Ok(out.flush()?)
    }
}

/// Device, words of the name, unit, one below the other.
fn heading(d: &Definition, head: &Head) -> Vec<String> {
    let name = d.id.strip_prefix(&d.device).map_or(d.id.as_str(), |n| n.trim_start_matches('.'));
    let mut lines = vec![d.device.clone()];
    let mut line = String::new();
    for word in name.split('_') {
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > HEADING {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line += word;
    }
    lines.push(line);
    lines.push(head.units.symbol(d.quantity, head.currency));
    lines
}

fn cell(d: &Definition, value: f64, units: Units) -> String {
    let name = if is_mode(d) { Mode::NAMES.get(value as usize) } else { None };
    match name {
        Some(name) => name.replace('_', " "),
        None if d.quantity == Quantity::State => format!("{value}"),
        None => units.text(d.quantity, value),
    }
}
