//! How much of a gas dissolves in water: Henry's constant after IAPWS G7-04.
//!
//! "Guideline on the Henry's Constant and Vapor-Liquid Distribution Constant for Gases in H2O and D2O at High
//! Temperatures" (2004): kH is the limit of fugacity over mole fraction in the liquid, along the saturation line,
//! ln(kH/p*) = A/TR + B τ^0.355/TR + C TR^-0.41 exp τ with TR = T/Tc, τ = 1 - TR and p* the vapour pressure of water.
//! At the thousandths of a millionth met here fugacity is partial pressure.

use steam::{Result, math};

/// A gas and its three coefficients in H2O.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solute {
    /// First coefficient, of the reciprocal temperature.
    pub a: f64,
    /// Second coefficient.
    pub b: f64,
    /// Third coefficient.
    pub c: f64,
    /// Molar mass [g/mol].
    pub molar_mass: f64,
}

/// Oxygen, 274.15 to 616.52 K.
pub const OXYGEN: Solute = Solute { a: -9.44833, b: 4.43822, c: 11.42005, molar_mass: 31.999 };
/// Nitrogen, 278.12 to 636.46 K.
pub const NITROGEN: Solute = Solute { a: -9.67578, b: 4.72162, c: 11.70585, molar_mass: 28.013 };

/// Critical temperature of water [K] (IAPWS R7-97).
pub const CRITICAL: f64 = 647.096;
/// Molar mass of water [g/mol] (IAPWS R7-97).
pub const WATER: f64 = 18.015_268;

/// Henry's constant [MPa] at `t` [°C].
///
/// # Errors
/// Outside the saturation line that is served, 0.01 to 350 °C.
pub fn constant(gas: &Solute, t: f64) -> Result<f64> {
    let reduced = (t + 273.15) / CRITICAL;
    let tau = 1.0 - reduced;
    let ln = (gas.a + gas.b * math::pow(tau, 0.355)) / reduced
        + gas.c * math::pow(reduced, -0.41) * math::exp(tau);
    Ok(steam::p_sat(t)? * math::exp(ln))
}

/// Gas in water at `t` [°C] in equilibrium with its partial pressure [MPa] above: µg/kg.
///
/// # Errors
/// As [`constant`].
pub fn dissolved(gas: &Solute, t: f64, partial_pressure: f64) -> Result<f64> {
    Ok(partial_pressure / constant(gas, t)? * gas.molar_mass / WATER * 1e9)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IAPWS G7-04: ln(kH/GPa) at 300, 400, 500 and 600 K, printed to four digits. The guideline takes the vapour pressure
    /// from the scientific formulation, of which that of R7-97 differs by up to 1.3e-4
    /// (2.6389 MPa at 500 K instead of 2.6392).
    #[test]
    fn as_the_guideline_prints_it() {
        for (gas, printed) in
            [(OXYGEN, [1.5024, 1.8832, 1.1630, -0.0276]), (NITROGEN, [2.1716, 2.3509, 1.4842, 0.1647])]
        {
            for (k, expected) in [300.0, 400.0, 500.0, 600.0].into_iter().zip(printed) {
                let ln = math::ln(constant(&gas, k - 273.15).unwrap() / 1e3);
                assert!((ln - expected).abs() < 2e-4, "{k} K: {ln} {expected}");
            }
        }
    }

    /// Water in air at 20 °C holds 9.1 mg/L of oxygen (any table of water quality, *from memory*: band 3 %).
    #[test]
    fn water_in_air_holds_what_everybody_knows() {
        let dry = 0.101_325 - steam::p_sat(20.0).unwrap();
        let held = dissolved(&OXYGEN, 20.0, 0.2095 * dry).unwrap() / 1e3;
        assert!((held / 9.1 - 1.0).abs() < 0.03, "{held} mg/kg");
    }
}
