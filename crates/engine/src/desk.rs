//! What an operator reads of a running plant besides its signals: controllers, protection and alarms as they stand.

use crate::alarms;
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
        protection::views(&self.params().operation, &self.state().control, &self.outputs().measured)
    }

    /// Every alarm as it stands.
    pub fn alarms(&self) -> Vec<alarms::View> {
        let s = self.state();
        s.alarms.views(&self.params().alarms, &self.outputs().measured, (&s.control, &s.demands))
    }

    /// How much the operator was called.
    pub fn alarm_figures(&self) -> alarms::Figures {
        self.state().alarms.figures
    }
}
