//! `awash where`
use std::path::PathBuf;

use clap::Args;

use super::{CommandError, Outcome, Output, length_m};
use crate::boat::{BoatError, BoatFile, HullOnTape, Readings};
use crate::numerics::Vec3;
use crate::study::{Asked, whereabouts};

/// Turn tape readings into x, y, z and x, y, z into tape readings
///
/// A place is three lengths, x, y, z, or tape readings on the hull: `from_stem` or
/// `from_stern`, `from_middle` (a length with port or starboard, 0 on the middle, port
/// or starboard alone on the skin), and `over_base` or `below_rim`; `along_skin` where
/// the height is read along the skin. Without places it tells where the openings and
/// everything aboard are.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash where meshes/dipper/after.toml\n  awash where meshes/dipper/after.toml \"1.2, 0.3, 0.25\"\n  awash where meshes/dipper/after.toml \"from_stem 1.2 m, from_middle 30 cm port, over_base 25 cm\"\n  awash where meshes/dipper/after.toml \"from_stem 1.2 m, from_middle starboard, below_rim 12 cm, along_skin\""
)]
pub(super) struct Where {
    /// Boat file (TOML); boat.toml#name takes its loading condition of that name
    boat: PathBuf,
    /// Places, each in quotes; behind `--` where one begins with a minus
    #[arg(value_name = "PLACE")]
    places: Vec<String>,
}

impl Where {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let boat = output.load(&self.boat)?;
        let hull = hull_on_tape(&self.boat)?;
        let asked = if self.places.is_empty() {
            let openings = boat.openings.iter();
            let sills = openings
                .filter(|opening| !opening.rim.is_empty())
                .map(|opening| {
                    (
                        format!("{}, lowest of its rim", opening.name),
                        Asked::At(opening.sill_m(&Vec3::z())),
                    )
                });
            let masses = boat.masses.iter();
            let masses = masses.map(|entry| (entry.name.clone(), Asked::At(entry.centre_m)));
            sills.chain(masses).collect()
        } else {
            self.places
                .iter()
                .map(|text| Ok((text.clone(), asked(text)?)))
                .collect::<Result<Vec<_>, CommandError>>()?
        };
        let result = whereabouts(&boat, &hull, &asked)
            .map_err(|(place, fault)| CommandError::Message(format!("\"{place}\": {fault}")))?;
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}

/// The hull of a boat file, to hold a tape to.
pub(super) fn hull_on_tape(boat: &std::path::Path) -> Result<HullOnTape, CommandError> {
    Ok(BoatFile::read(boat)
        .map_err(BoatError::from)?
        .hull_on_tape()?)
}

/// Both in the boat frame, m; the hull is read only where one is by tape.
pub(super) fn both_places(
    boat: &std::path::Path,
    both: &[Asked; 2],
) -> Result<[Vec3; 2], CommandError> {
    let mut hull = None;
    let mut found = [Vec3::zeros(); 2];
    for (found, asked) in found.iter_mut().zip(both) {
        *found = match asked {
            Asked::At(at) => *at,
            Asked::Taped(readings) => {
                let hull = match &hull {
                    Some(hull) => hull,
                    None => hull.insert(hull_on_tape(boat)?),
                };
                let at = hull.tape().place(readings);
                let at = at.map_err(|fault| CommandError::Message(fault.to_string()))?;
                Vec3::from(at.map(|axis| axis.value))
            }
        };
    }
    Ok(found)
}

/// `1.2, 0.3, 0.25` or tape readings.
pub(super) fn asked(text: &str) -> Result<Asked, CommandError> {
    let is_taped = text.trim_start().starts_with(['{', 'f', 'o', 'b', 'a']);
    if is_taped {
        return Readings::parse(text)
            .map(Asked::Taped)
            .map_err(|fault| CommandError::Message(format!("\"{text}\": {fault}")));
    }
    let numbers: Result<Vec<f64>, String> = text.split(',').map(length_m).collect();
    match numbers.as_deref() {
        Ok([x, y, z]) => Ok(Asked::At(Vec3::new(*x, *y, *z))),
        Ok(_) => Err(CommandError::Message(format!(
            "\"{text}\": write three lengths, as in \"1.2, 0.3, 0.25\", or tape readings, as in \"from_stem 1.2 m, from_middle 30 cm port, over_base 25 cm\""
        ))),
        Err(why) => Err(CommandError::Message(format!("\"{text}\": {why}"))),
    }
}
