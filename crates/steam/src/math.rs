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

#[cfg(test)]
mod tests {
    use super::*;

    /// Abramowitz & Stegun, Handbook of Mathematical Functions, Table 1.1: constants to 20 places.
    #[test]
    #[allow(
        clippy::approx_constant,
        clippy::excessive_precision,
        reason = "the printed digits are the point"
    )]
    fn published_constants() {
        for (got, printed) in [
            (exp(1.0), 2.718_281_828_459_045_2),
            (ln(2.0), 0.693_147_180_559_945_3),
            (ln(10.0), 2.302_585_092_994_045_7),
            (log10(2.0), 0.301_029_995_663_981_2),
            (pow(2.0, 1.0 / 3.0), 1.259_921_049_894_873_2),
            (cbrt(3.0), 1.442_249_570_307_408_4),
            (4.0 * atan(1.0), core::f64::consts::PI),
            (2.0 * asin(1.0), core::f64::consts::PI),
            (acos(-1.0), core::f64::consts::PI),
            (sin(1.0), 0.841_470_984_807_896_5),
            (cos(1.0), 0.540_302_305_868_139_7),
        ] {
            assert!((got / printed - 1.0).abs() < 4e-16, "{got} {printed}");
        }
    }

    /// Each function against the identity that ties it to others.
    #[test]
    fn identities() {
        for k in 1..200 {
            let x = 0.01 * f64::from(k);
            let near = |a: f64, b: f64| assert!((a - b).abs() <= 1e-13 * b.abs().max(1.0), "{a} {b} at {x}");
            near(ln(exp(x)), x);
            near(exp_m1(x), exp(x) - 1.0);
            near(ln_1p(x), ln(1.0 + x));
            near(log2(x), ln(x) / ln(2.0));
            near(tan(x) * cos(x), sin(x));
            near(sinh(x), 0.5 * (exp(x) - exp(-x)));
            near(cosh(x), 0.5 * (exp(x) + exp(-x)));
            near(tanh(x), sinh(x) / cosh(x));
            near(pow(x, 0.5), x.sqrt());
            near(cbrt(x) * cbrt(x) * cbrt(x), x);
            near(hypot(x, 1.0), (x * x + 1.0).sqrt());
            near(atan2(x, 1.0), atan(x));
        }
    }
}
