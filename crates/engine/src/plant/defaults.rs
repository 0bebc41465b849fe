//! What a plant file may leave out, where a usual figure serves: the doc comment of the field says what is taken.

/// Nothing is lost.
pub fn one() -> f64 {
    1.0
}

/// Gas in steam [share by mass] (*common practice, no source*).
pub fn millionths() -> f64 {
    5e-6
}

/// Air that leaks into a vacuum, 0.18 kg/h [kg/s] (*common practice, no source*).
pub fn leakage() -> f64 {
    5e-5
}

/// Oxygen in condensate [µg/kg] (*common practice, no source*).
pub fn incoming_oxygen() -> f64 {
    40.0
}

/// Oxygen in deaerated water: 0.005 cm³/L [µg/kg] (HEI and ASME PTC 12.3 figure, repeated in UFC 3-540-02N).
pub fn leaving_oxygen() -> f64 {
    7.0
}

/// Bore of a tube of 16 mm outside [m] (*common practice, no source*).
pub fn tube_bore() -> f64 {
    0.0125
}

/// Share of a condensing zone's resistance on the water side (*common practice, no source*).
pub fn third() -> f64 {
    0.3
}

/// Make-up temperature [°C].
pub fn twenty() -> f64 {
    20.0
}

/// Stroke of a bypass [s].
pub fn thirty() -> f64 {
    30.0
}

/// Space of steam and air in a condenser [m³] (*common practice, no source*).
pub fn five_hundred() -> f64 {
    500.0
}

/// Steam that a unit needs to run for itself [share of design] (*common practice, no source*).
pub fn house_load() -> f64 {
    0.07
}
