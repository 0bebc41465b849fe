//! The plant as data: reading a plant file and refusing a wrong one, with the place of every fault.

pub mod check;
pub mod crossover;
mod defaults;
pub mod drains;
pub mod file;
pub mod line_drain;
pub mod pegging;
pub mod protection;
pub mod pumps;
pub mod schema;
mod turbine_check;
pub mod typical;
mod vent_check;

use crate::fault::Fault;
use crate::form;
use file::Plant;

pub use schema::schema;

/// Largest plant file read [bytes]: a file of ten heaters takes some 20 kB.
pub const LARGEST_FILE: usize = 1 << 20;

/// Reads and checks a plant file.
///
/// # Errors
/// Every fault found, each with its place in the file; never an empty list.
pub fn read(json: &str) -> Result<Plant, Vec<Fault>> {
    let plant = parse(json)?;
    let faults = check::check(&plant);
    if faults.is_empty() { Ok(plant) } else { Err(faults) }
}

/// Reads a plant of the right form. What its figures must be is for [`check::check`].
///
/// # Errors
/// Every fault of form, each with its place in the file; never an empty list.
pub fn parse(json: &str) -> Result<Plant, Vec<Fault>> {
    if json.len() > LARGEST_FILE {
        return Err(vec![Fault::new(
            "file_too_large",
            "file",
            format!("the file has {} bytes; a plant file has at most {LARGEST_FILE}.", json.len()),
            "Check that this is a plant file.",
        )]);
    }
    let mut de = serde_json::Deserializer::from_str(json);
    let plant: Plant = serde_path_to_error::deserialize(&mut de).map_err(|e| {
        // Reading ends at the first fault of form: there may be more, and the schema knows them all.
        let of_form = serde_json::from_str(json).map_or_else(|_| Vec::new(), |v| form::faults(&v, &schema()));
        if !of_form.is_empty() {
            return of_form;
        }
        let path = e.path().to_string();
        let inner = e.into_inner();
        vec![Fault::new(
            "not_a_plant_file",
            if path == "." { "file".to_owned() } else { path },
            format!("{inner}."),
            "Mend the file at this place; field names, their units and their meaning are in the plant-file documentation.",
        )]
    })?;
    de.end().map_err(|e| {
        vec![Fault::new(
            "not_a_plant_file",
            "file",
            format!("something follows the plant: {e}."),
            "Keep one plant to a file and remove what comes after its closing brace.",
        )]
    })?;
    Ok(plant)
}

#[cfg(test)]
mod tests {
    /// A file cut and pasted twice must not pass as the first half of itself.
    #[test]
    fn nothing_may_follow_the_plant() {
        let one = include_str!("../../../catalog/plants/reheat250.json");
        assert!(super::read(one).is_ok());
        let faults = super::read(&format!("{one}{one}")).unwrap_err();
        assert_eq!((faults.len(), faults[0].place.as_str()), (1, "file"));
        assert!(faults[0].message.contains("line"), "{}", faults[0]);
    }

    /// A drain pump raises the pressure; one that is to lower it is a slip of the pen.
    #[test]
    fn a_drain_pump_gives_more_than_its_shell_has() {
        let mut plant = super::read(include_str!("../../../catalog/plants/saturated300.json")).unwrap();
        let mut at = None;
        for (i, h) in plant.heaters.iter_mut().enumerate() {
            if let super::file::Heater::Closed(c) = h
                && let super::file::DrainTo::Forward(pump) = &mut c.drains_to
            {
                pump.pressure = Some(0.5 * c.extraction.pressure);
                at = Some(i);
            }
        }
        let faults = super::check::check(&plant);
        let place = format!("heaters[{}].drains_to.forward.pressure", at.unwrap());
        assert_eq!(faults.iter().map(|f| f.place.as_str()).collect::<Vec<_>>(), [place]);
    }
}
