//! Against two libraries that share no code with ours: see `independent.py`, which made the figures.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use bledsteam_steam::{
    LiquidLine, Phase, State, liquid_pt, sat_p, state_ph, state_ph_near, state_ps, state_ps_near, steam_pt,
};

struct Row {
    kind: String,
    p: f64,
    t: f64,
    h: f64,
    v: f64,
    s: f64,
    cp: f64,
}

fn rows() -> Vec<Row> {
    include_str!("independent.csv")
        .lines()
        .filter(|line| !line.starts_with('#') && !line.starts_with("kind"))
        .map(|line| {
            let (kind, numbers) = line.split_once(',').unwrap();
            let n: Vec<f64> = numbers.split(',').map(|field| field.parse().unwrap()).collect();
            let [p, t, h, v, s, cp] = n[..] else { panic!("{line}") };
            Row { kind: kind.to_owned(), p, t, h, v, s, cp }
        })
        .collect()
}

#[track_caller]
fn near(what: &str, row: &Row, got: f64, expected: f64, relative: f64, floor: f64) {
    let allowed = relative * expected.abs().max(floor);
    assert!((got - expected).abs() <= allowed, "{what} at {} MPa {} °C: {got}, not {expected}", row.p, row.t);
}

fn same(row: &Row, state: &State, relative: f64) {
    near("temperature", row, state.t, row.t, 1e-8, 1.0);
    near("enthalpy", row, state.h, row.h, relative, 10.0);
    near("volume", row, state.v, row.v, relative, 0.0);
    near("entropy", row, state.s, row.s, relative, 1.0);
    near("heat capacity", row, state.cp, row.cp, 1e-6, 0.0);
}

#[test]
fn single_phase_states_agree_by_every_door() {
    let mut counts = [0, 0];
    for row in rows().iter().filter(|row| !row.kind.starts_with("sat")) {
        let liquid = row.kind == "liquid";
        let by_pt = if liquid { liquid_pt(row.p, row.t) } else { steam_pt(row.p, row.t) }.unwrap();
        same(row, &by_pt, 1e-9);
        for guess in [row.t, row.t + 3.0, 0.0, 800.0, f64::NAN] {
            same(row, &state_ph_near(row.p, row.h, guess).unwrap(), 2e-9);
            same(row, &state_ps_near(row.p, row.s, guess).unwrap(), 2e-9);
        }
        let by_ph = state_ph(row.p, row.h).unwrap();
        let by_ps = state_ps(row.p, row.s).unwrap();
        same(row, &by_ph, 2e-9);
        same(row, &by_ps, 2e-9);
        let phase = if liquid { Phase::Liquid } else { Phase::Steam };
        assert_eq!([by_pt.phase, by_ph.phase, by_ps.phase], [phase; 3]);
        if liquid && row.p >= 0.001 {
            let line = LiquidLine::new(row.p).unwrap();
            near("line enthalpy", row, line.h(row.t).unwrap(), row.h, 2e-8, 10.0);
            near("line temperature", row, line.t(row.h).unwrap(), row.t, 1e-6, 1.0);
            near("line volume", row, line.v(row.t).unwrap(), row.v, 1e-7, 0.0);
        }
        counts[usize::from(liquid)] += 1;
    }
    assert!(counts[0] > 100 && counts[1] > 100, "{counts:?}");
}

#[test]
fn saturation_agrees() {
    let mut count = 0;
    for row in rows().iter().filter(|row| row.kind.starts_with("sat")) {
        let sat = sat_p(row.p).unwrap();
        near("temperature", row, sat.t, row.t, 1e-7, 1.0);
        let (h, v, s) =
            if row.kind == "sat_liquid" { (sat.hf, sat.vf, sat.sf) } else { (sat.hg, sat.vg, sat.sg) };
        near("enthalpy", row, h, row.h, 1e-8, 10.0);
        near("volume", row, v, row.v, 1e-8, 0.0);
        near("entropy", row, s, row.s, 1e-8, 1.0);
        count += 1;
    }
    assert_eq!(count, 24);
}
