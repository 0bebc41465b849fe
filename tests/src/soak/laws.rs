//! What must hold at every moment.

use crate::Run;
use crate::sane::Watch;
use crate::second_law::{self, Hottest};
use engine::Fault;

/// A law that was broken.
#[derive(Clone, Debug, PartialEq)]
pub struct Breach {
    /// Which.
    pub law: &'static str,
    /// What broke it, with figures.
    pub what: String,
    /// When [s of plant time].
    pub at_s: f64,
}

impl Breach {
    /// A breach at this moment of a run.
    pub fn new(law: &'static str, what: impl Into<String>, at_s: f64) -> Breach {
        Breach { law, what: what.into(), at_s }
    }

    /// A step, or a command, that ended in a fault.
    pub fn fault(f: &Fault, at_s: f64) -> Breach {
        Breach::new("no fault", format!("{} at {f}", f.code), at_s)
    }

    /// Breaches of one sort are taken for the same: the law, and the signal or the zone without the device.
    pub fn sort(&self) -> (&'static str, String) {
        let first = self.what.split([' ', ':', '=']).next().unwrap_or("");
        let name = first.rsplit('.').next().unwrap_or(first);
        let is_device = name.ends_with(',') || name.chars().any(|c| c.is_ascii_digit());
        let second = self.what.split([' ', ':']).find(|w| !w.is_empty() && *w != first).unwrap_or("");
        (self.law, if is_device { second.to_owned() } else { name.to_owned() })
    }
}

/// Follows a run from its start.
#[derive(Debug, Default)]
pub struct Laws {
    watch: Watch,
    hottest: Hottest,
}

impl Laws {
    /// For a plant whose fit of a dry shell's superheat errs by a share.
    pub fn new(fit: f64) -> Laws {
        Laws { watch: Watch { fit, ..Watch::default() }, hottest: Hottest::default() }
    }

    /// What must hold now.
    ///
    /// # Errors
    /// What does not.
    pub fn look(&mut self, run: &Run) -> Result<(), Breach> {
        let now = run.sim.time();
        self.watch.look(run).map_err(|what| Breach::new("accounts and the physical", what, now))?;
        second_law::breaches(run).map_err(|what| Breach::new("second law", what, now))?;
        self.hottest.look(run).map_err(|what| Breach::new("second law", what, now))
    }
}
