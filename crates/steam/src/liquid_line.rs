//! Liquid water along one fixed pressure, as a table in temperature with an exact inverse.
//!
//! Feedwater in a heater or a pipe keeps its pressure while its temperature moves, and its enthalpy is asked for
//! in every cell at every step. Along one pressure that is a cubic in a one-kelvin piece: a few nanoseconds
//! either way, and going there and back gives the temperature again.

use crate::error::{Result, SteamError, in_range};
use crate::region1;
use crate::state::liquid_end;

/// Lowest pressure of a line, MPa: below, saturation leaves no useful span of temperature.
const P_LOW: f64 = 0.001;
/// Lowest temperature of a line, °C: the triple point.
const T_LOW: f64 = 0.01;
/// Width aimed at for one piece, K. The enthalpy is then within 1e-7 kJ/kg of the formulation to 280 °C, 5e-5 to 350 °C.
const PIECE: f64 = 1.0;

/// One end of a piece: enthalpy and volume with their slopes in temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Node {
    h: f64,
    cp: f64,
    v: f64,
    dv: f64,
}

/// Properties of liquid water at one pressure, between 0.01 °C and saturation (or 350 °C, where that is lower).
#[derive(Clone, Debug, PartialEq)]
pub struct LiquidLine {
    p: f64,
    t_high: f64,
    width: f64,
    nodes: Vec<Node>,
    /// For equal steps of enthalpy, the piece in which the step begins.
    starts: Vec<u16>,
    steps_per_enthalpy: f64,
}

impl LiquidLine {
    /// The line at `p` MPa, 0.001 to 100. Takes some tens of microseconds: keep it.
    ///
    /// # Errors
    /// When `p` is not finite or out of range.
    pub fn new(p: f64) -> Result<Self> {
        let p = in_range("pressure of a liquid line (MPa)", p, P_LOW, region1::P_HIGH)?;
        let t_high = liquid_end(p);
        let pieces = ((t_high - T_LOW) / PIECE).ceil();
        let width = (t_high - T_LOW) / pieces;
        let nodes: Vec<Node> = (0..=pieces as u32)
            .map(|k| {
                let t = T_LOW + f64::from(k) * width;
                let at = region1::point(p, t);
                Node { h: at.h, cp: at.cp, v: at.v, dv: at.dv_dt }
            })
            .collect();
        // Rising and finite throughout, or the inverse would not exist.
        if nodes.windows(2).all(|pair| pair[1].h > pair[0].h && pair[1].v > 0.0) && nodes[0].h > -999.0 {
            let last = nodes.len() - 1;
            let steps = 2 * last;
            let rise = (nodes[last].h - nodes[0].h) / steps as f64;
            let starts = (0..=steps)
                .map(|k| {
                    let h = nodes[0].h + k as f64 * rise;
                    nodes.partition_point(|node| node.h <= h).clamp(1, last) as u16 - 1
                })
                .collect();
            Ok(Self { p, t_high, width, nodes, starts, steps_per_enthalpy: 1.0 / rise })
        } else {
            Err(SteamError::Property { what: "liquid enthalpy", p, t: t_high })
        }
    }

    /// The line's pressure, MPa.
    #[must_use]
    pub fn p(&self) -> f64 {
        self.p
    }

    /// The line's highest temperature, °C: saturation, or 350.
    #[must_use]
    pub fn t_high(&self) -> f64 {
        self.t_high
    }

    /// The piece that holds `t`, and the place 0..=1 inside it.
    #[inline]
    fn place(&self, t: f64) -> Result<(&Node, &Node, f64)> {
        let t = in_range("liquid temperature (°C)", t, T_LOW, self.t_high)?;
        let along = (t - T_LOW) / self.width;
        let k = (along as usize).min(self.nodes.len() - 2);
        Ok((&self.nodes[k], &self.nodes[k + 1], along - k as f64))
    }

    /// Specific enthalpy, kJ/kg, at `t` °C.
    ///
    /// # Errors
    /// When `t` is not finite or beyond the line.
    #[inline]
    pub fn h(&self, t: f64) -> Result<f64> {
        let (a, b, u) = self.place(t)?;
        Ok(cubic(a.h, a.cp * self.width, b.h, b.cp * self.width, u).0)
    }

    /// Specific heat capacity, kJ/(kg K), at `t` °C: exactly the slope of [`LiquidLine::h`].
    ///
    /// # Errors
    /// As [`LiquidLine::h`].
    #[inline]
    pub fn cp(&self, t: f64) -> Result<f64> {
        let (a, b, u) = self.place(t)?;
        Ok(cubic(a.h, a.cp * self.width, b.h, b.cp * self.width, u).1 / self.width)
    }

    /// Specific volume, m³/kg, at `t` °C.
    ///
    /// # Errors
    /// As [`LiquidLine::h`].
    #[inline]
    pub fn v(&self, t: f64) -> Result<f64> {
        let (a, b, u) = self.place(t)?;
        Ok(cubic(a.v, a.dv * self.width, b.v, b.dv * self.width, u).0)
    }

    /// Temperature, °C, at enthalpy `h` kJ/kg: the inverse of [`LiquidLine::h`] to 1e-10 K.
    ///
    /// # Errors
    /// When `h` is not finite or beyond the line.
    #[inline]
    pub fn t(&self, h: f64) -> Result<f64> {
        let last = self.nodes.len() - 1;
        let low = self.nodes[0].h;
        let h = in_range("liquid enthalpy (kJ/kg)", h, low, self.nodes[last].h)?;
        // The step begins in this piece and, being narrower than one, ends there or in the next. (Where rounding makes
        // it the piece above, the cubic is continued by a last bit.)
        let step = ((h - low) * self.steps_per_enthalpy) as usize;
        let mut k = usize::from(self.starts[step.min(self.starts.len() - 1)]);
        while k + 2 <= last && self.nodes[k + 1].h <= h {
            k += 1;
        }
        let (a, b) = (&self.nodes[k], &self.nodes[k + 1]);
        let (leave, arrive) = (a.cp * self.width, b.cp * self.width);
        // The piece is all but straight: from its chord, one Newton step leaves 1e-6 K at most, the next rounding.
        let mut u = (h - a.h) / (b.h - a.h);
        for _ in 0..2 {
            let (value, slope) = cubic(a.h, leave, b.h, arrive, u);
            u -= (value - h) / slope;
        }
        Ok((T_LOW + (k as f64 + u) * self.width).clamp(T_LOW, self.t_high))
    }
}

/// Value and slope at `u` (0..=1) of the cubic with values `f0`, `f1` and slopes `m0`, `m1` at the ends.
#[inline]
fn cubic(f0: f64, m0: f64, f1: f64, m1: f64, u: f64) -> (f64, f64) {
    let rise = f1 - f0;
    let (square, cube) = (3.0 * rise - 2.0 * m0 - m1, m0 + m1 - 2.0 * rise);
    (f0 + u * (m0 + u * (square + u * cube)), m0 + u * (2.0 * square + 3.0 * u * cube))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::point::Point;

    const PRESSURES: [f64; 9] = [0.001, 0.02, 0.5, 2.0, 8.0, 14.0, 16.5, 20.0, 100.0];

    fn along(line: &LiquidLine, count: u32) -> impl Iterator<Item = f64> {
        let high = line.t_high();
        (0..=count).map(move |k| (T_LOW + (high - T_LOW) * f64::from(k) / f64::from(count)).min(high))
    }

    #[test]
    fn the_line_is_the_formulation() {
        for p in PRESSURES {
            let line = LiquidLine::new(p).unwrap();
            for t in along(&line, 7_919) {
                let Point { h, v, cp, .. } = region1::point(p, t);
                // Towards 350 °C the curvature becomes some hundred times that of ordinary feedwater.
                let (allowed, cp_allowed) = if t < 280.0 { (1e-7, 1e-6) } else { (5e-5, 1e-4) };
                assert!(
                    (line.h(t).unwrap() - h).abs() < allowed,
                    "{p} MPa {t} °C {}",
                    line.h(t).unwrap() - h
                );
                assert!((line.v(t).unwrap() / v - 1.0).abs() < allowed, "{p} MPa {t} °C");
                assert!((line.cp(t).unwrap() / cp - 1.0).abs() < cp_allowed, "{p} MPa {t} °C");
            }
        }
    }

    #[test]
    fn there_and_back_is_the_same_temperature() {
        for p in PRESSURES {
            let line = LiquidLine::new(p).unwrap();
            for t in along(&line, 50_021) {
                let back = line.t(line.h(t).unwrap()).unwrap();
                assert!((back - t).abs() < 1e-10, "{p} MPa {t} °C {back}");
            }
            // At the joints of the pieces, and a bit either side.
            for node in &line.nodes {
                for h in [node.h.next_down(), node.h, node.h.next_up()] {
                    if let Ok(t) = line.t(h) {
                        assert!((line.h(t).unwrap() - h).abs() < 1e-9, "{p} MPa {h} kJ/kg");
                    }
                }
            }
        }
    }

    #[test]
    fn beyond_the_line_is_refused() {
        let line = LiquidLine::new(1.0).unwrap();
        assert_eq!(line.p(), 1.0);
        assert_eq!(line.t_high(), crate::t_sat(1.0).unwrap());
        assert_eq!(
            line.h(line.t_high() + 1.0),
            Err(SteamError::OutOfRange {
                what: "liquid temperature (°C)",
                value: line.t_high() + 1.0,
                low: 0.01,
                high: line.t_high()
            })
        );
        assert!(matches!(
            line.t(2_000.0),
            Err(SteamError::OutOfRange { what: "liquid enthalpy (kJ/kg)", .. })
        ));
        assert_eq!(line.t(f64::NAN), Err(SteamError::NotFinite { what: "liquid enthalpy (kJ/kg)" }));
        assert!(line.v(f64::NAN).is_err() && line.cp(-1.0).is_err());
        assert!(LiquidLine::new(0.0).is_err() && LiquidLine::new(f64::NAN).is_err());
        assert!(LiquidLine::new(101.0).is_err());
    }
}
