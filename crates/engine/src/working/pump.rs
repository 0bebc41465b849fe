//! One pump of either kind on its curve: the equations that feed and condensate pumps share.

use super::expr::{Expr, max, number, square};
use super::{CONSERVATION, DEFINITION, Draft, PRACTICE, Working, fixed, of};
use crate::fault::Fault;
use crate::pump::{Curve, EFFICIENCY_CURVE, GRAVITY, LEAST_EFFICIENCY};
use steam::units::Quantity as Q;

type Found = Result<Option<Working>, Fault>;

/// Where a pump stands on its curve: speed and flow, each over design.
#[derive(Clone, Copy)]
pub struct Point<'a> {
    /// Curve.
    pub curve: &'a Curve,
    /// Speed over design speed.
    pub speed: f64,
    /// Flow over design flow.
    pub flow: f64,
}

impl Point<'_> {
    /// Flow over design flow, of a flow [kg/s].
    pub fn flow_share(self, mut d: Draft, flow: f64) -> Found {
        let w = d.link("pump_flow", flow);
        let design = d.sized("ṁ_p,0", "pump_flow_design", of(Q::MassFlow), self.curve.flow);
        d.is(self.flow, w / design, DEFINITION)
    }

    /// Head; `shutoff` stands for the shut-off ratio.
    pub fn head(self, mut d: Draft, shutoff: impl FnOnce(&mut Draft) -> Expr) -> Found {
        let design = d.sized("H_0", "head_design", of(Q::Length), self.curve.head);
        let s = shutoff(&mut d);
        let (n, q) = (d.link("speed_share", self.speed), d.link("flow_share", self.flow));
        let e = design * (s.clone() * square(n) - (s - 1.0) * square(q));
        d.is(self.curve.head(self.speed, self.flow), e, PRACTICE)
    }

    /// Efficiency; `place` is that of its design value in the plant file.
    pub fn efficiency(self, mut d: Draft, place: &str) -> Found {
        let best = d.plant("η_0", "efficiency_design", of(Q::Fraction), self.curve.efficiency, place);
        let curve = d.constant("k_η", "efficiency_curve", of(Q::Ratio), EFFICIENCY_CURVE, PRACTICE);
        let least = d.constant("k_0", "least_efficiency_share", of(Q::Ratio), LEAST_EFFICIENCY, PRACTICE);
        let (q, n) = (d.link("flow_share", self.flow), d.link("speed_share", self.speed));
        let off = if self.speed > 0.0 { q / n - 1.0 } else { number(1.0) };
        let e = best * max(1.0 - curve * square(off), least);
        d.is(self.curve.efficiency(self.speed, self.flow), e, PRACTICE)
    }

    /// Enthalpy given to the water, which the engine has as `rise` [kJ/kg]; `vapour` stands for what vapour leaves of
    /// the head.
    pub fn rise(self, mut d: Draft, rise: f64, vapour: impl FnOnce(&mut Draft) -> Expr) -> Found {
        let head = d.link("pump_head", self.curve.head(self.speed, self.flow));
        let vapour = vapour(&mut d);
        let g = d.constant("g", "gravity", fixed("m/s²"), GRAVITY, DEFINITION);
        let kilo = d.constant("k", "kilojoules_per_joule", fixed("kJ/J"), 1e-3, DEFINITION);
        let eta = d.link("pump_efficiency", self.curve.efficiency(self.speed, self.flow));
        d.is(rise, max(head * vapour, number(0.0)) * g * kilo / eta, CONSERVATION)
    }
}
