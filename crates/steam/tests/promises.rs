//! What must hold for any argument: nothing panics, inverses return, and no property jumps at saturation.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_steam::{
    LiquidLine, Phase, SAT_P_HIGH, State, SteamError, liquid_pt, p_sat, sat_p, sat_t, state_ph,
    state_ph_near, state_ps, state_ps_near, steam_pt, t_sat,
};
use proptest::prelude::*;

/// Any bit pattern, and often a value of the size the functions expect.
fn anything() -> impl Strategy<Value = f64> {
    prop_oneof![
        proptest::num::f64::ANY,
        any::<u64>().prop_map(f64::from_bits),
        -100.0..5_000.0,
        -10.0..10.0,
        Just(f64::NAN),
        Just(f64::INFINITY),
        Just(f64::NEG_INFINITY),
        Just(0.0),
        Just(-0.0),
    ]
}

/// Pressures spread evenly over the decades.
fn pressure() -> impl Strategy<Value = f64> {
    (-3.2_f64..2.0).prop_map(|exponent| bledsteam_steam::math::pow(10.0, exponent))
}

/// A state that was given is a state; a refusal has a message.
fn settled(p: f64, result: Result<State, SteamError>) -> Result<(), TestCaseError> {
    match result {
        Ok(s) => {
            for value in [s.p, s.t, s.h, s.v, s.s, s.cp, s.x] {
                prop_assert!(value.is_finite(), "{s:?}");
            }
            prop_assert!(s.v > 0.0 && s.cp > 0.0 && s.p == p && (0.0..=1.0).contains(&s.x), "{s:?}");
            prop_assert!((-1e-6..=800.000_001).contains(&s.t), "{s:?}");
        }
        Err(error) => prop_assert!(error.to_string().len() > 20),
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_panics(a in anything(), b in anything(), guess in anything()) {
        settled(a, liquid_pt(a, b))?;
        settled(a, steam_pt(a, b))?;
        settled(a, state_ph(a, b))?;
        settled(a, state_ps(a, b))?;
        settled(a, state_ph_near(a, b, guess))?;
        settled(a, state_ps_near(a, b, guess))?;
        let _ = (sat_p(a), sat_t(a), t_sat(a), p_sat(a));
        if let Ok(line) = LiquidLine::new(a) {
            let _ = (line.h(b), line.cp(b), line.v(b), line.t(b));
        }
    }

    #[test]
    fn pressure_and_enthalpy_give_back_the_state(p in pressure(), t in 0.0..800.0_f64) {
        let Ok(at) = steam_pt(p, t).or_else(|_| liquid_pt(p, t)) else { return Ok(()) };
        let found = [
            state_ph(p, at.h),
            state_ps(p, at.s),
            state_ph_near(p, at.h, t + 1.0),
            state_ps_near(p, at.s, t - 1.0),
        ];
        for found in found {
            let found = found.map_err(|error| TestCaseError::fail(format!("{error} from {at:?}")))?;
            // Within 1e-6 K of saturation the table, not the forward equation, decides; elsewhere 1e-9 K.
            let near_saturation = p <= SAT_P_HIGH && (t_sat(p).unwrap_or(0.0) - t).abs() < 1e-5;
            let allowed = if near_saturation { 1e-6 } else { 1e-9 };
            prop_assert!((found.t - t).abs() < allowed, "{at:?} {found:?}");
            prop_assert!((found.h - at.h).abs() < 1e-5 && (found.s - at.s).abs() < 1e-8, "{at:?} {found:?}");
            prop_assert!((found.v / at.v - 1.0).abs() < 1e-7, "{at:?} {found:?}");
        }
    }

    #[test]
    fn enthalpy_and_entropy_lead_to_one_state(p in pressure(), h in 0.0..4_200.0_f64) {
        let Ok(by_h) = state_ph(p, h) else { return Ok(()) };
        let by_s = state_ps(p, by_h.s).map_err(|error| TestCaseError::fail(error.to_string()))?;
        prop_assert_eq!(by_h.h, h);
        prop_assert!((by_s.t - by_h.t).abs() < 1e-6, "{:?} {:?}", by_h, by_s);
        prop_assert!((by_s.h - h).abs() < 2e-5, "{:?} {:?}", by_h, by_s);
        prop_assert!((by_s.x - by_h.x).abs() < 1e-7 || by_s.phase != by_h.phase, "{:?} {:?}", by_h, by_s);
    }

    #[test]
    fn temperature_rises_with_enthalpy_and_entropy(p in pressure(), h in 0.0..4_100.0_f64, more in 1e-3..100.0_f64) {
        if let (Ok(low), Ok(high)) = (state_ph(p, h), state_ph(p, h + more)) {
            prop_assert!(high.t >= low.t && high.s > low.s && high.v > low.v - 1e-5, "{:?} {:?}", low, high);
            prop_assert!(high.x >= low.x);
        }
    }

    #[test]
    fn a_mixture_is_its_two_phases(p in 0.000_7..16.5_f64, x in 0.001..0.999_f64) {
        let sat = sat_p(p).unwrap();
        let state = state_ph(p, sat.hf + x * sat.hfg()).unwrap();
        prop_assert_eq!(state.phase, Phase::Wet);
        prop_assert_eq!(state.t, sat.t);
        prop_assert!((state.x - x).abs() < 1e-11);
        prop_assert!((state.v - (sat.vf + x * (sat.vg - sat.vf))).abs() < 1e-11 * sat.vg.max(1.0));
        prop_assert!((state.s - (sat.sf + x * (sat.sg - sat.sf))).abs() < 1e-11);
    }

    #[test]
    fn nothing_jumps_at_saturation(p in pressure().prop_filter("two-phase", |p| (0.000_62..16.529).contains(p))) {
        let sat = sat_p(p).unwrap();
        for (h, s, x) in [(sat.hf, sat.sf, 0.0), (sat.hg, sat.sg, 1.0)] {
            for step in [-1e-6, -1e-9, 0.0, 1e-9, 1e-6] {
                let by_h = state_ph(p, h + step).unwrap();
                let by_s = state_ps(p, s + 1e-3 * step).unwrap();
                for state in [by_h, by_s] {
                    prop_assert!((state.t - sat.t).abs() < 2e-6, "{:?}", state);
                    prop_assert!((state.h - h).abs() < 1e-5 && (state.s - s).abs() < 1e-8, "{:?}", state);
                    let v = if x > 0.5 { sat.vg } else { sat.vf };
                    // One microjoule a kilogram of steam at vacuum is a fair volume.
                    prop_assert!((state.v - v).abs() < 1e-8 * v + 1e-9 * sat.vg, "{:?} {:?}", state, sat);
                    prop_assert!((state.x - x).abs() < 1e-8, "{:?}", state);
                }
            }
        }
    }

    #[test]
    fn a_guess_saves_time_only(p in pressure(), h in 2_700.0..4_100.0_f64, guess in anything()) {
        match (state_ph(p, h), state_ph_near(p, h, guess)) {
            (Ok(cold), Ok(warm)) => {
                prop_assert!((cold.t - warm.t).abs() < 1e-9, "{:?} {:?}", cold, warm);
                prop_assert!((cold.s - warm.s).abs() < 1e-11);
                prop_assert!((cold.cp / warm.cp - 1.0).abs() < 1e-5);
            }
            (cold, warm) => prop_assert_eq!(cold.is_err(), warm.is_err()),
        }
    }

    #[test]
    fn a_liquid_line_is_its_own_inverse(p in 0.001..100.0_f64, share in 0.0..=1.0_f64) {
        let line = LiquidLine::new(p).unwrap();
        let t = (0.01 + share * (line.t_high() - 0.01)).min(line.t_high());
        let back = line.t(line.h(t).unwrap()).unwrap();
        prop_assert!((back - t).abs() < 1e-10, "{} {} {}", p, t, back);
    }
}

/// Above the two-phase range the ends are refused by name, and what lies between them too.
#[test]
fn ends_of_the_range_are_refused_by_name() {
    assert!(matches!(state_ph(25.0, 2_000.0), Err(SteamError::NearCritical { p: 25.0, .. })));
    assert!(matches!(state_ps(25.0, 4.2), Err(SteamError::NearCritical { .. })));
    assert!(matches!(state_ph(1.0, 4_500.0), Err(SteamError::OutOfRange { what: "enthalpy (kJ/kg)", .. })));
    assert!(matches!(state_ph(1.0, -5.0), Err(SteamError::OutOfRange { what: "enthalpy (kJ/kg)", .. })));
    assert!(matches!(state_ps(1.0, 12.0), Err(SteamError::OutOfRange { what: "entropy (kJ/(kg K))", .. })));
    assert!(matches!(state_ps(1.0, -1.0), Err(SteamError::OutOfRange { what: "entropy (kJ/(kg K))", .. })));
    assert_eq!(state_ph(1.0, f64::NAN), Err(SteamError::NotFinite { what: "enthalpy (kJ/kg)" }));
    assert_eq!(state_ph(f64::NAN, 1.0), Err(SteamError::NotFinite { what: "pressure (MPa)" }));
    // What a refusal gives as the range is accepted.
    let Err(SteamError::OutOfRange { low, high, .. }) = state_ph(1.0, 4_500.0) else { panic!() };
    assert_eq!(state_ph(1.0, high).unwrap().t, 800.0);
    assert!(state_ph(1.0, low).is_ok());
}

/// A search that starts nearly at the answer ends with its first step; what that leaves is less than is promised.
#[test]
fn a_guess_nearly_right_leaves_no_more_than_is_promised() {
    let mut worst: f64 = 0.0;
    for k in 0..60 {
        let p = 0.001 * 1.17_f64.powi(k);
        if p > 16.5 {
            break;
        }
        let sat = sat_p(p).unwrap();
        let steam = (1..40).map(|k| sat.t + (790.0 - sat.t) * f64::from(k * k) / 1600.0 + 0.001);
        let liquid = (1..20).map(|k| sat.t * f64::from(k) / 20.0);
        for t in liquid.chain([sat.t - 0.01]) {
            let at = liquid_pt(p, t).unwrap();
            for off in [-9.99e-5, 9.99e-5] {
                worst = worst.max((state_ph_near(p, at.h, t + off).unwrap().t - t).abs());
                worst = worst.max((state_ps_near(p, at.s, t + off).unwrap().t - t).abs());
            }
        }
        for t in steam {
            let at = steam_pt(p, t).unwrap();
            for off in [-9.99e-5, 9.99e-5] {
                worst = worst.max((state_ph_near(p, at.h, t + off).unwrap().t - t).abs());
                worst = worst.max((state_ps_near(p, at.s, t + off).unwrap().t - t).abs());
            }
        }
    }
    assert!(worst > 0.0 && worst < 3e-10, "{worst}");
}
