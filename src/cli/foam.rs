//! `awash foam`
use std::path::PathBuf;

use clap::Args;

use super::{CommandError, Outcome, Output, length_m, quantity};
use crate::boat::Given;
use crate::quantity::Dimension;
use crate::study::{FoamError, FoamWish, Verdict, foam};

/// How much foam, and where, keeps the swamped craft up
///
/// Opens all that is not sealed to the water outside, puts whoever is aboard into the
/// water to hang on, and fills the inside with foam from the bow, the stern,
/// both ends, both sides or the top until the rim of the largest opening that is not
/// covered stays as high as asked, with the water inside level with the water outside. Two
/// borrowed rules of flotation stand beside it; they judge nothing. With --strict the
/// exit code is 1 where the swamped craft as it is fails a yardstick of the boat file.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash foam meshes/dipper/after.toml\n  awash foam meshes/dipper/after.toml --freeboard \"3 cm\" --people 2 --overboard surveyor --overboard sampler"
)]
pub(super) struct Foam {
    /// Boat file (TOML)
    boat: PathBuf,
    /// How high the rim must stay above the water
    #[arg(long, value_name = "LENGTH", value_parser = length_m, default_value = "5 cm", allow_hyphen_values = true)]
    freeboard: f64,
    /// The opening whose rim that is; the largest when not given
    #[arg(long, value_name = "NAME")]
    opening: Option<String>,
    /// How many people hang on to it in the water; when not given all that the file
    /// marks as persons and that leave the craft, or one where it marks none
    #[arg(long, value_name = "N")]
    people: Option<u32>,
    /// What each of them weighs; 2/15 of it pulls on the craft
    #[arg(long, value_name = "MASS", value_parser = mass_kg, default_value = "75 kg", allow_hyphen_values = true)]
    person: f64,
    /// An item that leaves the craft when it swamps, again for each; every item
    /// that is a `person` when not given
    #[arg(long, value_name = "NAME")]
    overboard: Vec<String>,
    /// Density of the foam
    #[arg(long, value_name = "DENSITY", value_parser = density, default_value = "32 kg/m3", allow_hyphen_values = true)]
    density: f64,
}

impl Foam {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let mut boat = output.load_floating(&self.boat)?;
        boat.hold("--freeboard", Given::Length(self.freeboard));
        if !(self.density > 0.0 && self.density < boat.water.density_kg_m3 && self.person >= 0.0) {
            return Err(CommandError::Message(format!(
                "--density must be more than 0 and less than the water's {:.0} kg/m³, --person not negative",
                boat.water.density_kg_m3
            )));
        }
        boat.hold("--person", Given::Person(self.person));
        let people_kg = f64::from(self.people.unwrap_or(0)) * self.person;
        boat.hold("--people", Given::Mass(people_kg));
        boat.hold("--density", Given::Foam(self.density));
        let wish = FoamWish {
            freeboard_m: self.freeboard,
            opening: self.opening.clone(),
            people: self.people,
            person_kg: self.person,
            overboard: (!self.overboard.is_empty()).then(|| self.overboard.clone()),
            foam_kg_m3: self.density,
        };
        let result = foam(&boat, &wish).map_err(|error| match error {
            FoamError::Equilibrium(source) => CommandError::of_rest(&self.boat, &boat, source),
            other => CommandError::Message(format!("{}: {other}", self.boat.display())),
        })?;
        output.print(&result)?;
        Ok(if result.verdict == Some(Verdict::Fail) {
            Outcome::YardstickFailed
        } else {
            Outcome::Fine
        })
    }
}

fn mass_kg(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Mass)
}

fn density(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Density)
}
