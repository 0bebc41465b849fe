//! What an equation of state in pressure and temperature gives at one point, whichever the region.

use crate::region4::KELVIN;

/// Properties at one pressure and temperature.
#[derive(Clone, Copy)]
pub(crate) struct Point {
    /// Specific enthalpy, kJ/kg.
    pub h: f64,
    /// Specific volume, m³/kg.
    pub v: f64,
    /// Specific entropy, kJ/(kg K).
    pub s: f64,
    /// Specific heat capacity at constant pressure, kJ/(kg K).
    pub cp: f64,
    /// Change of volume with temperature at constant pressure, m³/(kg K).
    pub dv_dt: f64,
}

impl Point {
    /// From `t` °C on by a `step` so small that its square vanishes, K, at the same pressure.
    pub(crate) fn moved(mut self, t: f64, step: f64) -> Point {
        self.h += self.cp * step;
        self.s += self.cp / (t + KELVIN) * step;
        self.v += self.dv_dt * step;
        self
    }
}

/// Powers of a number from 0 up, each from the powers of half its exponent, so that no long chain forms.
#[inline(always)]
pub(crate) fn powers<const COUNT: usize>(x: f64) -> [f64; COUNT] {
    let mut power = [1.0; COUNT];
    power[1] = x;
    for k in 2..COUNT {
        power[k] = power[k / 2] * power[k - k / 2];
    }
    power
}
