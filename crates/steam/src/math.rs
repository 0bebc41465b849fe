//! Mathematics pinned to one implementation, the same bits natively and in wasm.
//!
//! `f64::ln`, `exp`, `powf` and their kin call whatever the platform offers, and about one result in ten differs
//! in the last bit between a native build and wasm. A plant stepped for hours turns that bit into another state
//! hash, and a record no longer replays. Every transcendental function of the project therefore comes from here,
//! that is from the `libm` crate compiled into both builds; clippy refuses the ones of std (see `.clippy.toml`).
//!
//! `f64::sqrt`, `powi`, `abs`, `floor` and the four operations are exact or correctly rounded everywhere: use
//! them directly. Arguments outside a function's domain give NaN or an infinity as IEEE 754 says, never a panic.

macro_rules! pinned {
    ($($(#[$doc:meta])* $name:ident = $libm:ident;)*) => {$(
        $(#[$doc])*
        #[inline]
        #[must_use]
        pub fn $name(x: f64) -> f64 {
            libm::$libm(x)
        }
    )*};
}

pinned! {
    /// e to the power x.
    exp = exp;
    /// e to the power x, less one; exact for small x.
    exp_m1 = expm1;
    /// Natural logarithm.
    ln = log;
    /// Natural logarithm of 1 + x; exact for small x.
    ln_1p = log1p;
    /// Logarithm to base 2.
    log2 = log2;
    /// Logarithm to base 10.
    log10 = log10;
    /// Sine of x radians.
    sin = sin;
    /// Cosine of x radians.
    cos = cos;
    /// Tangent of x radians.
    tan = tan;
    /// Inverse sine, radians.
    asin = asin;
    /// Inverse cosine, radians.
    acos = acos;
    /// Inverse tangent, radians.
    atan = atan;
    /// Hyperbolic sine.
    sinh = sinh;
    /// Hyperbolic cosine.
    cosh = cosh;
    /// Hyperbolic tangent.
    tanh = tanh;
    /// Cube root, of negative numbers too.
    cbrt = cbrt;
}

/// `base` to the power `exponent`. For a whole exponent `powi` is quicker and just as well pinned.
#[inline]
#[must_use]
pub fn pow(base: f64, exponent: f64) -> f64 {
    libm::pow(base, exponent)
}

/// Angle of the point (x, y), radians, -π..=π.
#[inline]
#[must_use]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// Length of the hypotenuse over legs x and y, without overflow on the way.
#[inline]
#[must_use]
pub fn hypot(x: f64, y: f64) -> f64 {
    libm::hypot(x, y)
}
