//! What an operator reads of a running plant besides its signals: controllers, protection and alarms as they stand.

use crate::alarms;
use crate::controller;
use crate::instruments;
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

    /// Every level transmitter beside the level that it should show: for the instructor.
    pub fn readings(&self) -> Vec<instruments::Beside> {
        let (p, o) = (&self.params().instruments, self.outputs());
        let one = |(k, t): (usize, &instruments::Transmitter)| {
            let truth = o.levels.get(k / 2).copied().unwrap_or(0.0);
            let shown = self.state().instruments.levels.get(k).map_or(0.0, |r| r.indicated);
            let sound = o.conditions.levels.get(k).is_none_or(|c| *c == instruments::Condition::default());
            instruments::Beside { id: t.id.clone(), shown, truth, off: shown - truth, sound }
        };
        p.levels.iter().enumerate().map(one).collect()
    }

    /// How much the operator was called.
    pub fn alarm_figures(&self) -> alarms::Figures {
        self.state().alarms.figures
    }
}
