//! Quantities and how they are shown: shown = inside · factor + offset.
//!
//! Inside, everything is kg, s, m, MPa absolute, °C, kJ/kg, kW. A screen shows SI or United States customary units.
//! The customary factors are built here from the few exact definitions below and from nothing else.

use serde::{Deserialize, Serialize};

/// International pound, kg: exact since the agreement of 1 July 1959 (NIST SP 811, B.8 "pound").
const POUND: f64 = 0.453_592_37;
/// International foot, m: exact by the same agreement (NIST SP 811, B.8 "foot").
const FOOT: f64 = 0.304_8;
/// Inch, m: a twelfth of the foot.
const INCH: f64 = 0.025_4;
/// Standard gravity, m/s²: exact, third General Conference on Weights and Measures, 1901.
const GRAVITY: f64 = 9.806_65;
/// Heat unit of the International Steam Tables: 1 Btu/lb is exactly 2.326 kJ/kg (fifth International Conference on
/// the Properties of Steam, 1956; NIST SP 811, B.8 footnote).
const BTU_PER_POUND: f64 = 2.326;
/// British thermal unit (International Table), kJ.
const BTU: f64 = BTU_PER_POUND * POUND;
/// Pound-force per square inch, MPa.
const PSI: f64 = POUND * GRAVITY / (INCH * INCH) * 1e-6;
/// Conventional mercury, kg/m³ (NIST SP 811, B.8 "inch of mercury, conventional").
const MERCURY: f64 = 13_595.1;
/// Conventional inch of mercury, MPa.
const INCH_OF_MERCURY: f64 = MERCURY * GRAVITY * INCH * 1e-6;
/// Degrees Fahrenheit to the kelvin: exact (NIST SP 811, B.8).
const FAHRENHEIT_PER_KELVIN: f64 = 1.8;
/// Seconds to the hour.
const HOUR: f64 = 3_600.0;

/// The units of a screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum System {
    /// International System.
    Si,
    /// United States customary.
    Us,
}

/// How a value is shown: `inside * factor + offset`, `digits` after the point, then `unit`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Display {
    /// Symbol shown after the number; empty for a bare number.
    pub unit: &'static str,
    /// Multiplier from the inside unit.
    pub factor: f64,
    /// Added after multiplying.
    pub offset: f64,
    /// Digits after the decimal point.
    pub digits: u8,
}

impl Display {
    /// The shown value of an inside value.
    #[must_use]
    pub fn show(self, inside: f64) -> f64 {
        inside * self.factor + self.offset
    }

    /// The inside value of a shown value.
    #[must_use]
    pub fn read(self, shown: f64) -> f64 {
        (shown - self.offset) / self.factor
    }
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident, $key:literal: $si:expr, $us:expr;)*) => {
        /// What a number measures, and so in which units it is kept and shown.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Quantity {
            $($(#[$doc])* $name,)*
        }

        impl Quantity {
            /// Every quantity, in order of declaration.
            pub const ALL: &[Quantity] = &[$(Quantity::$name,)*];

            /// Name used in data, the same as the serialised form.
            #[must_use]
            pub fn key(self) -> &'static str {
                match self { $(Quantity::$name => $key,)* }
            }

            /// How the quantity is shown in a system of units.
            #[must_use]
            pub fn display(self, system: System) -> Display {
                match (self, system) {
                    $((Quantity::$name, System::Si) => $si,
                      (Quantity::$name, System::Us) => $us,)*
                }
            }
        }
    };
}

const fn shown(unit: &'static str, factor: f64, digits: u8) -> Display {
    Display { unit, factor, offset: 0.0, digits }
}

quantities! {
    /// Temperature, °C inside.
    Temperature, "temperature": shown("°C", 1.0, 1),
        Display { unit: "°F", factor: FAHRENHEIT_PER_KELVIN, offset: 32.0, digits: 1 };
    /// Difference of two temperatures, K inside.
    TemperatureDifference, "temperature_difference": shown("K", 1.0, 2), shown("°F", FAHRENHEIT_PER_KELVIN, 1);
    /// Rate of change of a temperature, K/min inside.
    TemperatureRate, "temperature_rate": shown("K/min", 1.0, 2), shown("°F/min", FAHRENHEIT_PER_KELVIN, 2);
    /// Absolute pressure, MPa inside.
    Pressure, "pressure": shown("MPa", 1.0, 3), shown("psia", 1.0 / PSI, 1);
    /// Absolute pressure below atmospheric, as of a condenser, MPa inside.
    LowPressure, "low_pressure": shown("kPa", 1e3, 2), shown("inHg abs", 1.0 / INCH_OF_MERCURY, 2);
    /// Mass flow of water or steam, kg/s inside.
    MassFlow, "mass_flow": shown("kg/s", 1.0, 2), shown("klb/h", HOUR / POUND * 1e-3, 1);
    /// Mass held, kg inside.
    Mass, "mass": shown("t", 1e-3, 2), shown("klb", 1e-3 / POUND, 2);
    /// Mechanical or electrical power, kW inside.
    Power, "power": shown("MW", 1e-3, 2), shown("MW", 1e-3, 2);
    /// Heat flow, as the duty of a heater, kW inside.
    HeatFlow, "heat_flow": shown("MW", 1e-3, 2), shown("MMBtu/h", HOUR / BTU * 1e-6, 1);
    /// Specific enthalpy, kJ/kg inside.
    Enthalpy, "enthalpy": shown("kJ/kg", 1.0, 1), shown("Btu/lb", 1.0 / BTU_PER_POUND, 1);
    /// Heat taken per electricity made, kJ/kWh inside.
    HeatRate, "heat_rate": shown("kJ/kWh", 1.0, 0), shown("Btu/kWh", 1.0 / BTU, 0);
    /// Steam taken per electricity made, kg/kWh inside.
    SteamRate, "steam_rate": shown("kg/kWh", 1.0, 3), shown("lb/kWh", 1.0 / POUND, 3);
    /// Level above or below normal, mm inside.
    LevelOffset, "level_offset": shown("mm", 1.0, 0), shown("in", 1e-3 / INCH, 1);
    /// Length or height, m inside.
    Length, "length": shown("m", 1.0, 2), shown("ft", 1.0 / FOOT, 1);
    /// Share of a whole, 0..1 inside.
    Fraction, "fraction": shown("%", 100.0, 1), shown("%", 100.0, 1);
    /// Time, s inside.
    Duration, "duration": shown("s", 1.0, 1), shown("s", 1.0, 1);
    /// Heat flow per difference of temperature (UA), kW/K inside.
    Conductance, "conductance": shown("kW/K", 1.0, 1),
        shown("kBtu/h·°F", HOUR / BTU / FAHRENHEIT_PER_KELVIN * 1e-3, 1);
    /// Speed of rotation, revolutions per minute inside.
    Speed, "speed": shown("rpm", 1.0, 0), shown("rpm", 1.0, 0);
    /// Money per hour, in the plant's currency.
    MoneyRate, "money_rate": shown("/h", 1.0, 0), shown("/h", 1.0, 0);
    /// Whole number of things.
    Count, "count": shown("", 1.0, 0), shown("", 1.0, 0);
    /// Mass per time of fuel or of a gas emitted, kg/s inside.
    MassRate, "mass_rate": shown("t/h", HOUR * 1e-3, 1), shown("klb/h", HOUR / POUND * 1e-3, 1);
    /// Specific volume, m³/kg inside.
    SpecificVolume, "specific_volume": shown("m³/kg", 1.0, 5), shown("ft³/lb", POUND / (FOOT * FOOT * FOOT), 4);
    /// Volume, m³ inside.
    Volume, "volume": shown("m³", 1.0, 3), shown("ft³", 1.0 / (FOOT * FOOT * FOOT), 1);
    /// Density, kg/m³ inside.
    Density, "density": shown("kg/m³", 1.0, 1), shown("lb/ft³", FOOT * FOOT * FOOT / POUND, 2);
    /// Heat held, kJ inside.
    Energy, "energy": shown("GJ", 1e-6, 3), shown("MMBtu", 1e-6 / BTU, 2);
    /// Heat capacity, kJ/(kg K) inside.
    HeatCapacity, "heat_capacity": shown("kJ/kg·K", 1.0, 3), shown("Btu/lb·°F", 1.0 / BTU_PER_POUND / FAHRENHEIT_PER_KELVIN, 3);
    /// Bare number with digits behind the point: a ratio, a factor.
    Ratio, "ratio": shown("", 1.0, 4), shown("", 1.0, 4);
    /// Mass of gas in a steam space, kg inside.
    GasMass, "gas_mass": shown("g", 1e3, 1), shown("oz", 16.0 / POUND, 2);
    /// Dissolved in water, µg/kg inside: parts per thousand million by mass.
    Concentration, "concentration": shown("µg/kg", 1.0, 1), shown("ppb", 1.0, 1);
    /// Relative error of a balance, shown in scientific form with two significant digits.
    Residual, "residual": shown("", 1.0, 1), shown("", 1.0, 1);
    /// Code of a state out of a list, not a measurement.
    State, "state": shown("", 1.0, 0), shown("", 1.0, 0);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn us(quantity: Quantity, inside: f64) -> f64 {
        quantity.display(System::Us).show(inside)
    }

    fn near(got: f64, expected: f64, within: f64) {
        assert!((got / expected - 1.0).abs() <= within, "{got} {expected}");
    }

    /// Factors as NIST SP 811 (2008), Appendix B.8 prints them, seven digits, rather than as built here.
    #[test]
    fn factors_are_the_printed_ones() {
        near(1.0 / us(Quantity::Pressure, 1.0), 6.894_757e-3, 1e-7); // psi in MPa
        near(1.0 / us(Quantity::LowPressure, 1.0), 3.386_389e-3, 2e-7); // inch of mercury, conventional, in MPa
        near(us(Quantity::MassFlow, 1.0), 1.0 / (1.259_979e-4 * 1_000.0), 4e-7); // lb/h in kg/s
        near(1.0 / us(Quantity::Enthalpy, 1.0), 2.326, 1e-15); // Btu(IT)/lb in kJ/kg
        near(1.0 / us(Quantity::HeatRate, 1.0), 1.055_056, 1e-6); // Btu(IT) in kJ
        near(1.0 / us(Quantity::SpecificVolume, 1.0), 6.242_796e-2, 1e-7); // ft3/lb in m3/kg
        near(1.0 / us(Quantity::Volume, 1.0), 2.831_685e-2, 2e-7); // ft3 in m3
        near(1.0 / us(Quantity::Density, 1.0), 16.018_46, 1e-6); // lb/ft3 in kg/m3
        near(1.0 / us(Quantity::Energy, 1.0), 1.055_056e6, 1e-6); // a million Btu(IT) in kJ
        near(1.0 / us(Quantity::HeatCapacity, 1.0), 4.186_8, 1e-14); // Btu(IT)/(lb degF) in kJ/(kg K), exact
        near(1.0 / us(Quantity::Length, 1.0), 0.304_8, 1e-15);
        near(1.0 / us(Quantity::LevelOffset, 1.0), 25.4, 1e-15);
    }

    /// Each by another route to the same number.
    #[test]
    fn factors_by_another_route() {
        // Standard atmosphere, 101325 Pa: 14.695949 psi (SP 811, B.8 gives 1.01325e5 Pa to the atmosphere).
        near(us(Quantity::Pressure, 0.101_325), 14.695_949, 1e-7);
        // Standard atmosphere in inches of mercury: 760 mm / 25.4, mercury of 13.5951 g/cm3.
        near(us(Quantity::LowPressure, 0.101_325), 760.0 / 25.4, 2e-7);
        // Steam tables: water at 32 °F to 212 °F takes 180 Btu/lb (nearly) = 418.68 kJ/kg at 4.1868 kJ/(kg K) over 100 K.
        near(us(Quantity::Enthalpy, 418.68), 180.0, 1e-12);
        // A unit that turns all heat into power: 3600 kJ/kWh is 3412.14 Btu/kWh (1 W = 3.412142 Btu/h, SP 811).
        near(us(Quantity::HeatRate, 3_600.0), 3_412.142, 1e-6);
        // 1 kW/K = 3412.142 Btu/h per 1.8 °F.
        near(us(Quantity::Conductance, 1.0), 3.412_142 / 1.8, 1e-6);
        // 1 MW = 3.412142 million Btu/h, and what 1 klb/h takes for 1000 Btu/lb is a million Btu/h.
        near(us(Quantity::HeatFlow, 1_000.0), 3.412_142, 1e-6);
        near(us(Quantity::HeatFlow, 0.453_592_37 / 3.6 * 2_326.0), 1.0, 1e-12);
        // A short ton is 2 klb and 0.907 184 74 t.
        near(us(Quantity::Mass, 907.184_74), 2.0, 1e-12);
        near(us(Quantity::MassRate, 907.184_74 / 3_600.0), 2.0, 1e-12);
        near(us(Quantity::SteamRate, 0.907_184_74), 2.0, 1e-12);
        near(us(Quantity::MassFlow, 907.184_74 / 3_600.0), 2.0, 1e-12);
        near(Quantity::MassRate.display(System::Si).show(1.0), 3.6, 1e-15);
        // 1 m3/kg = 35.31467 ft3 / 2.204623 lb.
        near(us(Quantity::SpecificVolume, 1.0), 35.314_67 / 2.204_623, 1e-6);
        near(us(Quantity::Length, 1_609.344), 5_280.0, 1e-12);
        near(us(Quantity::LevelOffset, 914.4), 36.0, 1e-12);
    }

    #[test]
    fn temperatures_meet_at_known_points() {
        for (celsius, fahrenheit) in
            [(0.0, 32.0), (100.0, 212.0), (-40.0, -40.0), (537.777_777_777_777_8, 1_000.0)]
        {
            assert!((us(Quantity::Temperature, celsius) - fahrenheit).abs() < 1e-10);
        }
        // A difference has no offset.
        assert_eq!(us(Quantity::TemperatureDifference, 0.0), 0.0);
        assert_eq!(us(Quantity::TemperatureDifference, 5.0), 9.0);
        assert_eq!(us(Quantity::TemperatureRate, 2.0), 3.6);
    }

    #[test]
    fn what_is_shown_can_be_read_back() {
        for quantity in Quantity::ALL {
            for system in [System::Si, System::Us] {
                let display = quantity.display(system);
                for inside in [-3.7, 0.0, 0.042, 1.0, 271.3] {
                    assert!((display.read(display.show(inside)) - inside).abs() < 1e-12, "{quantity:?}");
                }
                assert!(display.factor > 0.0 && display.digits <= 5, "{quantity:?}");
            }
        }
    }

    #[test]
    fn the_key_is_the_serialised_name() {
        use serde::de::{IntoDeserializer, value::StrDeserializer};
        for (k, quantity) in Quantity::ALL.iter().enumerate() {
            let name: StrDeserializer<'_, serde::de::value::Error> = quantity.key().into_deserializer();
            assert_eq!(Quantity::deserialize(name), Ok(*quantity));
            assert!(
                Quantity::ALL[..k].iter().all(|other| other.key() != quantity.key()),
                "{quantity:?} twice"
            );
        }
    }
}
