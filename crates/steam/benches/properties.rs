//! Time of the calls a plant makes at every step. `cargo bench -p bledsteam-steam`

use std::hint::black_box;

use bledsteam_steam::{
    LiquidLine, liquid_pt, p_sat, sat_p, sat_t, state_ph, state_ph_near, state_ps, steam_pt, t_sat,
};
use criterion::{Criterion, criterion_group, criterion_main};

fn saturation(c: &mut Criterion) {
    c.bench_function("sat_p", |b| b.iter(|| sat_p(black_box(0.47))));
    c.bench_function("t_sat", |b| b.iter(|| t_sat(black_box(0.47))));
    c.bench_function("p_sat", |b| b.iter(|| p_sat(black_box(150.0))));
    c.bench_function("sat_t", |b| b.iter(|| sat_t(black_box(150.0))));
}

fn states(c: &mut Criterion) {
    c.bench_function("liquid_pt", |b| b.iter(|| liquid_pt(black_box(15.0), black_box(180.0))));
    c.bench_function("steam_pt", |b| b.iter(|| steam_pt(black_box(4.0), black_box(400.0))));
    c.bench_function("state_ph liquid", |b| b.iter(|| state_ph(black_box(15.0), black_box(760.0))));
    c.bench_function("state_ph wet", |b| b.iter(|| state_ph(black_box(0.1), black_box(1_500.0))));
    c.bench_function("state_ph steam", |b| b.iter(|| state_ph(black_box(4.0), black_box(3_215.0))));
    c.bench_function("state_ph_near steam", |b| {
        b.iter(|| state_ph_near(black_box(4.0), black_box(3_215.0), black_box(400.2)));
    });
    c.bench_function("state_ps steam", |b| b.iter(|| state_ps(black_box(1.0), black_box(6.77))));
    c.bench_function("state_ps wet", |b| b.iter(|| state_ps(black_box(0.01), black_box(6.77))));
}

fn line(c: &mut Criterion) {
    let Ok(line) = LiquidLine::new(17.0) else { return };
    c.bench_function("LiquidLine::new", |b| b.iter(|| LiquidLine::new(black_box(17.0))));
    c.bench_function("LiquidLine::h", |b| b.iter(|| line.h(black_box(181.3))));
    c.bench_function("LiquidLine::t", |b| b.iter(|| line.t(black_box(781.3))));
    c.bench_function("LiquidLine::v", |b| b.iter(|| line.v(black_box(181.3))));
}

criterion_group!(benches, saturation, states, line);
criterion_main!(benches);
