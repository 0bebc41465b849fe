//! Numbers in the units asked for: those the engine computes in, or those of a screen.

use steam::units::{Display, Quantity, System};

/// What a figure measures, and so how it is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measure {
    /// As a screen shows the quantity.
    Of(Quantity),
    /// With so many digits more: a difference, or a figure that is compared with a book's.
    Finer(Quantity, u8),
}

impl From<Quantity> for Measure {
    fn from(quantity: Quantity) -> Measure {
        Measure::Of(quantity)
    }
}

impl Measure {
    fn quantity(self) -> Quantity {
        match self {
            Measure::Of(q) | Measure::Finer(q, _) => q,
        }
    }

    fn display(self, system: System) -> Display {
        let Measure::Finer(q, more) = self else { return self.quantity().display(system) };
        let d = q.display(system);
        Display { digits: d.digits + more, ..d }
    }

    /// What the difference of two such figures measures.
    pub fn difference(self) -> Measure {
        match self.quantity() {
            Quantity::Temperature => Quantity::TemperatureDifference.into(),
            _ => self,
        }
    }

    /// Whether 0 of it is nothing at all, so that one can be stated as a share of another.
    pub fn has_shares(self) -> bool {
        use Quantity as Q;
        matches!(
            self.quantity(),
            Q::Pressure
                | Q::LowPressure
                | Q::MassFlow
                | Q::MassRate
                | Q::Power
                | Q::HeatFlow
                | Q::HeatRate
                | Q::SteamRate
                | Q::Conductance
                | Q::MoneyRate
        )
    }
}

/// Units of a result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Units {
    /// As the engine computes: kg, s, m, MPa absolute, °C, kJ/kg, kW, shares of 1.
    Inside,
    /// As a screen shows them.
    Shown(System),
}

impl Units {
    /// Name, for a result that states its units.
    pub fn name(self) -> &'static str {
        match self {
            Units::Inside => "inside",
            Units::Shown(System::Si) => "si",
            Units::Shown(System::Us) => "us",
        }
    }

    /// Symbol of the unit; `-` for a bare number.
    pub fn symbol(self, measure: impl Into<Measure>, currency: &str) -> String {
        let measure = measure.into();
        let unit = match self {
            Units::Inside => inside(measure.quantity()),
            Units::Shown(system) => measure.display(system).unit,
        };
        match (unit, measure.quantity()) {
            ("", _) => "-".into(),
            (unit, Quantity::MoneyRate) => format!("{currency}{unit}"),
            (unit, _) => unit.into(),
        }
    }

    /// The number for a program: inside, every digit; converted, without the dust of the conversion.
    pub fn number(self, measure: impl Into<Measure>, inside: f64) -> f64 {
        match self {
            Units::Inside => inside,
            Units::Shown(system) => {
                let shown = measure.into().display(system).show(inside);
                format!("{shown:.11e}").parse().unwrap_or(shown)
            }
        }
    }

    /// The number for a person.
    pub fn text(self, measure: impl Into<Measure>, inside: f64) -> String {
        let measure = measure.into();
        let Units::Shown(system) = self else { return inside.to_string() };
        if measure.quantity() == Quantity::Residual {
            return format!("{inside:.1e}");
        }
        let d = measure.display(system);
        let (shown, mut digits) = (d.show(inside), usize::from(d.digits));
        // A shell under vacuum beside one at high pressure: two figures would not do.
        let low = if system == System::Si { 0.1 } else { 10.0 };
        if measure.quantity() == Quantity::Pressure && shown.abs() < low {
            digits += 1;
        }
        let text = format!("{shown:.digits$}");
        // A small negative number rounds to -0.
        match text.strip_prefix('-') {
            Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.into(),
            _ => text,
        }
    }
}

/// Unit the engine keeps a quantity in; where a screen in SI shows it unchanged, that symbol serves.
fn inside(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::LowPressure => "MPa",
        Quantity::Mass | Quantity::GasMass => "kg",
        Quantity::Power | Quantity::HeatFlow => "kW",
        Quantity::Fraction => "",
        Quantity::MassRate => "kg/s",
        Quantity::Energy => "kJ",
        _ => quantity.display(System::Si).unit,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SI: Units = Units::Shown(System::Si);

    /// A symbol is either the one SI shows for the same number, or belongs to a number that SI shows otherwise.
    #[test]
    fn every_inside_unit_fits_its_factor() {
        for &q in Quantity::ALL {
            let d = q.display(System::Si);
            assert_eq!(inside(q) == d.unit, d.factor == 1.0 && d.offset == 0.0, "{q:?}");
        }
    }

    #[test]
    fn numbers_are_shown_in_the_units_asked() {
        assert_eq!(Units::Inside.number(Quantity::Power, 250_000.0), 250_000.0);
        assert_eq!(SI.number(Quantity::Power, 250_123.4), 250.1234);
        assert_eq!(SI.text(Quantity::Power, 250_123.4), "250.12");
        assert_eq!(Units::Shown(System::Us).text(Quantity::Temperature, 100.0), "212.0");
        assert_eq!(SI.number(Quantity::LowPressure, 0.0051), 5.1);
        assert_eq!(SI.text(Quantity::Pressure, 5.7), "5.700");
        assert_eq!(SI.text(Quantity::Pressure, 0.03008), "0.0301");
        assert_eq!(SI.text(Quantity::LevelOffset, -0.2), "0");
        assert_eq!(SI.text(Quantity::Residual, -1.23e-12), "-1.2e-12");
        assert_eq!(SI.symbol(Quantity::MoneyRate, "¤"), "¤/h");
        assert_eq!(SI.symbol(Quantity::State, "¤"), "-");
        assert_eq!(Units::Inside.symbol(Quantity::MassRate, "¤"), "kg/s");
    }

    #[test]
    fn finer_figures_have_more_digits_and_no_other_unit() {
        let (plain, finer) = (Measure::Of(Quantity::Fraction), Measure::Finer(Quantity::Fraction, 2));
        assert_eq!((SI.text(plain, 0.369_126), SI.text(finer, 0.369_126)), ("36.9".into(), "36.913".into()));
        assert_eq!(
            (SI.symbol(plain, ""), SI.number(plain, 0.5)),
            (SI.symbol(finer, ""), SI.number(finer, 0.5))
        );
    }

    #[test]
    fn a_difference_of_temperatures_has_no_offset() {
        let us = Units::Shown(System::Us);
        let d = Measure::from(Quantity::Temperature).difference();
        assert_eq!((us.number(d, 10.0), us.symbol(d, "")), (18.0, "°F".into()));
        assert!(!d.has_shares() && Measure::Of(Quantity::SteamRate).has_shares());
        assert_eq!(Measure::Finer(Quantity::Power, 1).difference(), Measure::Finer(Quantity::Power, 1));
    }
}
