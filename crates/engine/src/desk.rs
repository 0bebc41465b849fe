//! What an operator reads of a running plant besides its signals: controllers and protection as they stand.

use crate::controller;
use crate::operation::{measured, protection};
use crate::sim::Sim;

impl Sim {
    /// Every controller as it stands.
    pub fn controllers(&self) -> Vec<controller::View> {
        let (p, s) = (&self.params().operation, &self.state().control);
        let shown = |c: &controller::Settings| measured(c.acts, &self.outputs().measured);
        p.controllers.iter().zip(&s.controllers).map(|(q, c)| c.view(q, shown(q))).collect()
    }

    /// The table of protection as it stands.
    pub fn protection(&self) -> Vec<protection::View> {
        self.state().control.protection.views(&self.params().operation.protection, &self.outputs().measured)
    }
}
