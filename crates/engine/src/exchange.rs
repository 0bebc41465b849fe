//! Heat exchange between two streams: effectiveness and number of transfer units (NTU).
//!
//! Source: the effectiveness-NTU relations of any heat-transfer text, e.g. F. P. Incropera and D. P. DeWitt,
//! Fundamentals of Heat and Mass Transfer, 3rd ed., chapter 11. Conductances (UA) and capacity rates in kW/K.

use steam::math;

/// Effectiveness of pure counterflow, or of any exchanger when `ratio` is 0 (one stream condensing).
/// `ntu` >= 0; `ratio` = smaller over larger capacity rate, 0..=1.
pub fn counterflow(ntu: f64, ratio: f64) -> f64 {
    if ntu <= 0.0 {
        return 0.0;
    }
    if 1.0 - ratio < 1e-6 {
        return ntu / (1.0 + ntu);
    }
    let e = math::exp(-ntu * (1.0 - ratio));
    (1.0 - e) / (1.0 - ratio * e)
}

/// NTU at which counterflow has this effectiveness; `None` where no area reaches it (`effectiveness` >= 1).
pub fn counterflow_ntu(effectiveness: f64, ratio: f64) -> Option<f64> {
    if !(0.0..1.0).contains(&effectiveness) {
        return None;
    }
    if 1.0 - ratio < 1e-6 {
        return Some(effectiveness / (1.0 - effectiveness));
    }
    Some(math::ln((effectiveness - 1.0) / (effectiveness * ratio - 1.0)) / (ratio - 1.0))
}

/// Share `a` of the inlet difference in the mean temperature difference of a stream that is heated by a condensing
/// one: Q = UA (a (Ts - Tin) + (1 - a) (Ts - Tout)).
///
/// With a = 1/N - 1/(e^N - 1) this gives at rest exactly the exponential approach Ts - Tout = (Ts - Tin) e^-N, and
/// it stays finite, and right, when the stream stops (N without bound: all heat goes to water at Tout) and when the
/// outlet is for a while hotter than the condensing steam, which a logarithmic mean does not.
pub fn inlet_share(ntu: f64) -> f64 {
    if ntu < 1e-3 {
        // Series: the two terms cancel to 1/2 and lose digits.
        return 0.5 - ntu / 12.0;
    }
    if ntu > 500.0 {
        return 1.0 / ntu;
    }
    1.0 / ntu - 1.0 / (math::exp(ntu) - 1.0)
}

/// Share of a conductance that remains when the water-side flow is `flow` (share of design) and the water side held
/// `water_share` of the resistance at design: the water-side coefficient goes with flow^0.8 (Dittus and Boelter).
/// Below 2 % of flow free convection keeps the coefficient from vanishing (*common practice, no source*).
pub fn water_side(flow: f64, water_share: f64) -> f64 {
    let f = flow.max(0.02);
    1.0 / (water_share / math::pow(f, 0.8) + 1.0 - water_share)
}

/// Share of a conductance that remains when the water runs at `water` and the stream outside the tubes at `outside`
/// (shares of design), the water side having held `water_share` of the resistance: flow^0.8 inside tubes, flow^0.6
/// across a bank of them (Dittus and Boelter; Grimison's exponent for tube banks, *from memory*).
pub fn two_films(water: f64, water_share: f64, outside: f64) -> f64 {
    Tubes::CLEAN.conductance(water, water_share, outside_film(outside))
}

/// Coefficient outside a bank of tubes, over that at design, when the stream there is `flow` (share of design).
pub fn outside_film(flow: f64) -> f64 {
    math::pow(flow.max(0.02), 0.6)
}

/// What has become of a zone's tubes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tubes {
    /// Share of them that is plugged: their surface is lost, and the others take their water.
    pub plugged: f64,
    /// Resistance of a deposit inside them, over the zone's whole resistance at design.
    pub deposit: f64,
}

impl Tubes {
    /// All open and clean.
    pub const CLEAN: Tubes = Tubes { plugged: 0.0, deposit: 0.0 };

    /// Share of a conductance that remains: resistances in series over the surface that is left, the water running
    /// faster in it. `water`: share of design flow; `water_share` of the resistance lay inside at design; `outside`:
    /// coefficient there over that at design.
    pub fn conductance(&self, water: f64, water_share: f64, outside: f64) -> f64 {
        self.conductance_by(self.inside_film(water), water_share, outside)
    }

    /// Coefficient inside the tubes, over that at design: the same in every zone.
    pub fn inside_film(&self, water: f64) -> f64 {
        math::pow((water / (1.0 - self.plugged)).max(0.02), 0.8)
    }

    /// [`Tubes::conductance`] by the coefficient inside.
    pub fn conductance_by(&self, inside: f64, water_share: f64, outside: f64) -> f64 {
        (1.0 - self.plugged) / (water_share / inside + (1.0 - water_share) / outside + self.deposit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Effectiveness figures of the textbook relations (Incropera and DeWitt, 3rd ed., eq. 11.30a and 11.36a).
    #[test]
    fn effectiveness_as_published() {
        for (ntu, cr, e) in [
            (1.0, 0.0, 0.632121),
            (2.0, 0.0, 0.864665),
            (3.0, 0.0, 0.950213),
            (1.0, 0.5, 0.564733),
            (2.0, 0.5, 0.774600),
            (3.0, 0.5, 0.874425),
            (2.0, 0.25, 0.822766),
            (1.0, 0.75, 0.531857),
            (1.0, 1.0, 0.5),
            (2.0, 1.0, 0.666667),
        ] {
            assert!((counterflow(ntu, cr) - e).abs() < 1e-6, "{ntu} {cr}");
            assert!((counterflow_ntu(counterflow(ntu, cr), cr).unwrap() - ntu).abs() < 1e-9, "{ntu} {cr}");
        }
        assert_eq!(counterflow_ntu(1.0, 0.5), None);
    }

    /// Incropera and DeWitt, 3rd ed., example 11.5: 2e9 W, 3e4 kg/s from 20 °C, steam at 50 °C; outlet 35.95 °C,
    /// mean difference 21.02 K, NTU 0.7588, UA 95.13 MW/K.
    #[test]
    fn condenser_of_the_textbook() {
        let (q, c): (f64, f64) = (2.0e6, 3.0e4 * 4.179);
        let out = 20.0 + q / c;
        assert!((out - 35.95).abs() < 0.01);
        let ntu = counterflow_ntu(q / c / 30.0, 0.0).unwrap();
        assert!((ntu - 0.7588).abs() < 5e-4, "{ntu}");
        assert!((ntu * c / 1e3 - 95.13).abs() < 0.1);
        // The same by the mean difference that the dynamic heater uses.
        let a = inlet_share(ntu);
        let mean = a * 30.0 + (1.0 - a) * (50.0 - out);
        assert!((mean - 21.02).abs() < 0.01, "{mean}");
    }

    /// A deposit of half the resistance leaves 1/1.5 of the conductance. A tenth of the tubes plugged: nine tenths of the
    /// surface, and water at 1/0.9 of its velocity, whose film is (1/0.9)^0.8 = 1.088 as good.
    #[test]
    fn deposits_add_resistance_and_plugs_take_surface() {
        let fouled = Tubes { deposit: 0.5, ..Tubes::CLEAN };
        assert!((fouled.conductance(1.0, 0.3, 1.0) - 1.0 / 1.5).abs() < 1e-15);
        let plugged = Tubes { plugged: 0.1, ..Tubes::CLEAN };
        let left = plugged.conductance(1.0, 0.3, 1.0);
        assert!((left - 0.9 / (0.3 / 1.087_94 + 0.7)).abs() < 1e-5, "{left}");
        assert!(left > 0.9 && left < 1.0);
        assert_eq!(Tubes::CLEAN.conductance(0.7, 0.3, 1.0), water_side(0.7, 0.3));
    }

    #[test]
    fn the_inlet_share_gives_the_exponential_approach() {
        for ntu in [1e-5, 9.99e-4, 1.001e-3, 0.1, 1.0, 2.5, 10.0] {
            let a = inlet_share(ntu);
            // Solve C (Tout - Tin) = UA (a (Ts - Tin) + (1 - a)(Ts - Tout)) with Ts = 1, Tin = 0.
            let out = ntu * 1.0 / (1.0 + ntu * (1.0 - a));
            assert!((out - (1.0 - math::exp(-ntu))).abs() < 1e-9, "{ntu} {out}");
        }
    }
}
