//! Numbers in the units asked for: those the engine computes in, or those of a screen.

use steam::units::{Quantity, System};

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
    pub fn symbol(self, quantity: Quantity, currency: &str) -> String {
        let unit = match self {
            Units::Inside => inside(quantity),
            Units::Shown(system) => quantity.display(system).unit,
        };
        match (unit, quantity) {
            ("", _) => "-".into(),
            (unit, Quantity::MoneyRate) => format!("{currency}{unit}"),
            (unit, _) => unit.into(),
        }
    }

    /// The number for a program: inside, every digit; converted, without the dust of the conversion.
    pub fn number(self, quantity: Quantity, inside: f64) -> f64 {
        match self {
            Units::Inside => inside,
            Units::Shown(system) => {
                let shown = quantity.display(system).show(inside);
                format!("{shown:.11e}").parse().unwrap_or(shown)
            }
        }
    }

    /// The number for a person.
    pub fn text(self, quantity: Quantity, inside: f64) -> String {
        let Units::Shown(system) = self else { return inside.to_string() };
        if quantity == Quantity::Residual {
            return format!("{inside:.1e}");
        }
        let d = quantity.display(system);
        let (shown, mut digits) = (d.show(inside), usize::from(d.digits));
        // A shell under vacuum beside one at high pressure: two figures would not do.
        if quantity == Quantity::Pressure && shown.abs() < if system == System::Si { 0.1 } else { 10.0 } {
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
        Quantity::Mass => "kg",
        Quantity::Power => "kW",
        Quantity::Fraction => "",
        Quantity::MassRate => "kg/s",
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
}
