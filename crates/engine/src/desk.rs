//! What an operator reads of a running plant besides its signals: controllers, protection, alarms and what is held by hand,
//! as they stand.

use crate::alarms;
use crate::controller;
use crate::instruments;
use crate::local;
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

    /// What stands in hand at the valves themselves.
    pub fn local(&self) -> Vec<local::View> {
        self.state().local.held(self.params())
    }

    /// Every alarm as it stands.
    pub fn alarms(&self) -> Vec<alarms::View> {
        let s = self.state();
        s.alarms.views(&self.params().alarms, &self.outputs().measured, (&s.control, &s.demands))
    }

    /// Every transmitter beside what it should show: for the instructor.
    pub fn readings(&self) -> Vec<instruments::Beside> {
        let (p, o) = (&self.params().instruments, self.outputs());
        let one = |(k, t): (usize, &instruments::Transmitter)| {
            let truth = if k < p.levels {
                instruments::level_at(k, &o.levels)
            } else {
                o.truths.get(k - p.levels).copied().unwrap_or(0.0)
            };
            let shown = self.state().instruments.readings.get(k).map_or(0.0, |r| r.indicated);
            let sound =
                o.conditions.transmitters.get(k).is_none_or(|c| *c == instruments::Condition::default());
            let (id, off) = (t.id.clone(), shown - truth);
            let off_share = off / (t.high - t.low);
            instruments::Beside { id, quantity: t.quantity, shown, truth, off, off_share, sound }
        };
        p.list.iter().enumerate().map(one).collect()
    }

    /// How much the operator was called.
    pub fn alarm_figures(&self) -> alarms::Figures {
        self.state().alarms.figures
    }
}

#[cfg(test)]
mod tests {
    use crate::sim::Sim;

    /// At rest every transmitter shows the level that it is for, within its resolution and noise; a lying one is told.
    #[test]
    fn every_transmitter_stands_beside_its_own_level() {
        let plant: crate::plant::file::Plant =
            serde_json::from_str(include_str!("../../catalog/plants/reheat250.json")).unwrap();
        let mut sim = Sim::new(plant).unwrap();
        sim.command(&crate::Command::SetLoad { fraction: 0.7 }).unwrap();
        let drift =
            serde_json::json!({ "kind": "level_drift", "device": "hp2.level_control", "size": -60.0 });
        let malfunction = serde_json::from_value(drift).unwrap();
        sim.command(&crate::Command::InsertMalfunction { malfunction }).unwrap();
        sim.advance(4 * 400).unwrap();
        let all = sim.readings();
        assert_eq!(all.len(), sim.params().instruments.list.len());
        for r in &all {
            let lies = r.id == "hp2.level_control";
            assert_eq!(r.sound, !lies, "{}", r.id);
            let off = if lies { r.off + 60.0 } else { r.off };
            let level = r.quantity == steam::units::Quantity::LevelOffset;
            assert!(if level { off.abs() < 15.0 } else { r.off_share.abs() < 0.005 }, "{}: {off}", r.id);
        }
        // They differ from one another, so that a mix-up would show.
        assert!(all.iter().any(|r| (r.truth - all[0].truth).abs() > 2.0));
    }
}
