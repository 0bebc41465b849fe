//! Enthalpy of feedwater on one side of the feed pumps.
//!
//! The pressure of the water is taken as constant there, so that enthalpy and temperature are one function of each
//! other; or, for textbook plants, as that of saturated liquid at its temperature.

use steam::LiquidLine;

/// Feedwater at one pressure, or saturated at every temperature.
#[derive(Clone, Debug)]
pub enum WaterLine {
    /// Compressed liquid.
    Compressed(LiquidLine),
    /// Saturated liquid; the pressure is that of the line [MPa].
    Saturated(f64),
}

impl WaterLine {
    /// Pressure of the line [MPa].
    pub fn pressure(&self) -> f64 {
        match self {
            WaterLine::Compressed(l) => l.p(),
            WaterLine::Saturated(p) => *p,
        }
    }

    /// Enthalpy at `t` °C [kJ/kg].
    pub fn h(&self, t: f64) -> steam::Result<f64> {
        match self {
            WaterLine::Compressed(l) => l.h(t),
            WaterLine::Saturated(_) => Ok(steam::sat_t(t)?.hf),
        }
    }

    /// Temperature at enthalpy `h` kJ/kg [°C].
    pub fn t(&self, h: f64) -> steam::Result<f64> {
        match self {
            WaterLine::Compressed(l) => l.t(h),
            WaterLine::Saturated(_) => saturated_at(h, h / 4.3),
        }
    }

    /// Heat capacity at `t` °C [kJ/(kg K)].
    pub fn cp(&self, t: f64) -> steam::Result<f64> {
        match self {
            WaterLine::Compressed(l) => l.cp(t),
            WaterLine::Saturated(_) => {
                let (a, b) = ((t - 0.05).max(0.01), t + 0.05);
                Ok((steam::sat_t(b)?.hf - steam::sat_t(a)?.hf) / (b - a))
            }
        }
    }

    /// Specific volume at `t` °C [m³/kg].
    pub fn v(&self, t: f64) -> steam::Result<f64> {
        match self {
            WaterLine::Compressed(l) => l.v(t),
            WaterLine::Saturated(_) => Ok(steam::sat_t(t)?.vf),
        }
    }
}

/// Temperature at which saturated water has enthalpy `h`, by the secant from `guess` °C.
pub fn saturated_at(h: f64, guess: f64) -> steam::Result<f64> {
    let inside = |t: f64| t.clamp(0.02, 349.0);
    let mut a = inside(guess);
    let mut fa = steam::sat_t(a)?.hf - h;
    let mut b = inside(a - fa / 4.3);
    for _ in 0..40 {
        if (b - a).abs() < 1e-11 {
            break;
        }
        let fb = steam::sat_t(b)?.hf - h;
        let slope = (fb - fa) / (b - a);
        (a, fa) = (b, fb);
        b = inside(a - fa / slope);
    }
    Ok(b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn saturated_water_is_found_by_its_enthalpy() {
        for t in [0.5, 35.0, 150.0, 264.0, 330.0] {
            let h = steam::sat_t(t).unwrap().hf;
            for guess in [1.0, 100.0, 340.0] {
                assert!((saturated_at(h, guess).unwrap() - t).abs() < 1e-8, "{t} {guess}");
            }
        }
    }
}
