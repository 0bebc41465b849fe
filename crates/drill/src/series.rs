//! Columns of signals, a point every second.

use serde::Serialize;

/// Signals of a plant, by place in its list, and their values second by second from the start.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Series {
    /// Places of the signals.
    pub indices: Vec<usize>,
    /// A column for each.
    pub columns: Vec<Vec<f64>>,
}

impl Series {
    /// Empty, of these signals, each once.
    pub fn new(signals: Vec<usize>) -> Series {
        let mut indices = Vec::new();
        signals.into_iter().for_each(|k| {
            if !indices.contains(&k) {
                indices.push(k);
            }
        });
        Series { columns: vec![Vec::new(); indices.len()], indices }
    }

    /// Adds a point.
    pub fn put(&mut self, values: &[f64]) {
        for (k, column) in self.indices.iter().zip(&mut self.columns) {
            column.push(values[*k]);
        }
    }

    /// Column of a signal.
    pub fn of(&self, index: usize) -> Option<&[f64]> {
        self.indices.iter().position(|k| *k == index).map(|k| self.columns[k].as_slice())
    }
}
