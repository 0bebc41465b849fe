//! `bledsteam check`: every fault of a plant file, each with its place.

use crate::args::Check;
use crate::failure::Failure;
use crate::output::Sink;
use crate::plant_source;
use engine::Fault;
use std::io::Write;

/// Checks a plant file, up to a plant at rest at its design point.
pub fn check(args: &Check) -> Result<(), Failure> {
    let outcome = plant_source::start(&args.file);
    let mut out = Sink::standard();
    if args.json && !matches!(outcome, Err(Failure::Usage(_))) {
        let faults: &[Fault] = if let Err(Failure::Plant(f)) = &outcome { f } else { &[] };
        out.json(faults)?;
    }
    match outcome {
        Ok(sim) if !args.json => {
            let (p, mw) = (sim.plant(), sim.balance().gross * 1e-3);
            let file = args.file.display();
            writeln!(
                out,
                "{file}: no faults. {} ({}): {} heaters, {mw:.1} MW gross.",
                p.title,
                p.name,
                p.heaters.len()
            )?;
        }
        Ok(_) => {}
        // Already listed; the exit code stays.
        Err(Failure::Plant(_)) if args.json => {
            out.flush()?;
            return Err(Failure::Plant(Vec::new()));
        }
        Err(f) => return Err(f),
    }
    Ok(out.flush()?)
}
