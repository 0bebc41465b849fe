//! Time of one step of the moving plant: at rest, and in the minutes behind a trip. `cargo bench -p bledsteam-engine`

use bledsteam_engine::{Command, Sim, plant};
use criterion::{BatchSize, Criterion, criterion_group, criterion_main};

const PLANT: &str = include_str!("../../catalog/plants/reheat250.json");

fn started() -> Sim {
    let plant = plant::read(PLANT).unwrap_or_else(|faults| {
        faults.iter().for_each(|f| eprintln!("{f}"));
        std::process::exit(1)
    });
    Sim::new(plant).unwrap_or_else(|fault| {
        eprintln!("{fault}");
        std::process::exit(1)
    })
}

fn step(c: &mut Criterion) {
    let mut rest = started();
    c.bench_function("step, reheat250 at rest", |b| b.iter(|| rest.advance(1)));
    // A minute at a time from the same moment, so that every sample is of the same upset.
    c.bench_function("240 steps, reheat250 from the top heater's trip", |b| {
        b.iter_batched(
            || {
                let mut sim = started();
                assert!(sim.command(&Command::TripHeater { heater: "hp1".into() }).is_ok());
                sim
            },
            |mut sim| sim.advance(240),
            BatchSize::SmallInput,
        );
    });
}

criterion_group!(benches, step);
criterion_main!(benches);
