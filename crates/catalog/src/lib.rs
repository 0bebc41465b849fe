//! Shipped plants and exercises as data; each plant with the source of its figures in the file.

/// A shipped plant: name and text of its file.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// Name, as in the file.
    pub name: &'static str,
    /// Plant file.
    pub json: &'static str,
}

/// All shipped plants; the first is the one that opens when none is asked for.
pub const PLANTS: &[Entry] = &[
    Entry { name: "reheat250", json: include_str!("../plants/reheat250.json") },
    Entry { name: "drum60", json: include_str!("../plants/drum60.json") },
    Entry { name: "saturated300", json: include_str!("../plants/saturated300.json") },
];

/// Loads a shipped plant by name.
///
/// # Errors
/// When there is none of that name, with the names there are.
pub fn plant(name: &str) -> Result<engine::plant::file::Plant, Vec<engine::Fault>> {
    match PLANTS.iter().find(|e| e.name == name) {
        Some(e) => engine::plant::read(e.json),
        None => {
            let names: Vec<&str> = PLANTS.iter().map(|e| e.name).collect();
            Err(vec![engine::Fault::new(
                "no_such_plant",
                name,
                "no plant of this name is shipped.",
                format!("Shipped plants: {}.", names.join(", ")),
            )])
        }
    }
}

/// A shipped exercise: its id, its file, and the scripted runs that show what it is worth: the model answer, a plausible
/// wrong run, doing nothing. What these texts mean is for the crate that takes exercises.
#[derive(Clone, Copy, Debug)]
pub struct ExerciseEntry {
    /// Id, as in the file.
    pub id: &'static str,
    /// Exercise file.
    pub json: &'static str,
    /// Scripted runs.
    pub runs: &'static str,
}

macro_rules! exercises {
    ($($id:literal)*) => {
        /// All shipped exercises, in the order in which a beginner would take them.
        pub const EXERCISES: &[ExerciseEntry] = &[$(ExerciseEntry {
            id: $id,
            json: include_str!(concat!("../exercises/", $id, ".json")),
            runs: include_str!(concat!("../exercises/runs/", $id, ".json")),
        },)*];
    };
}

exercises! {
    "reading-a-heater"
    "where-heat-comes-from"
    "middle-extraction"
    "heater-trip"
    "out-and-back"
    "leaking-drain"
    "fouled-tubes"
    "find-the-leak"
    "lying-level"
    "choose-the-drain"
    "pump-trip"
    "cold-standby"
    "shut-vent"
    "fouling-or-air"
    "oxygen"
    "low-load"
    "load-rejection"
    "steam-runs-back"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_shipped_plant_loads_under_its_name() {
        for e in PLANTS {
            assert_eq!(plant(e.name).unwrap().name, e.name);
        }
        assert_eq!(plant("nowhere").unwrap_err()[0].code, "no_such_plant");
    }
}
