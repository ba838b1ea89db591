//! `awash place`
use std::path::PathBuf;

use clap::Args;

use super::files::{self, put};
use super::progress::Progress;
use super::{CommandError, Outcome, Output, length_m};
use crate::boat::{Given, Verdict};
use crate::equilibrium::Afloat;
use crate::numerics::Vec3;
use crate::present::place_svg;
use crate::study::{PlaceOptions, place};

/// Where an item may go: the lowest sill, least knock and least lean with it in
/// each place, the best place, and the shift that makes the craft level
///
/// Moves the item over the whole boat at its height and floats the boat each
/// time. Best is the place with the highest sill of those that fail no yardstick
/// (sill, knock, lean, heel); where each fails one, that is said. With --strict, a failed yardstick where the item is now makes the exit
/// code 1.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash place meshes/dipper/asfitted.toml battery\n  awash place meshes/dipper/after.toml winch --height \"45 cm\" --svg place.svg"
)]
pub(super) struct Place {
    /// Boat file (TOML)
    boat: PathBuf,
    /// Name of the item, as in the boat file
    item: String,
    /// Height z at which it is moved about; its own when not given
    #[arg(long, value_name = "Z", value_parser = length_m, allow_hyphen_values = true)]
    height: Option<f64>,
    /// Also draw it into this SVG file
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Write over an SVG file that is already there
    #[arg(long)]
    force: bool,
}

impl Place {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let mut boat = output.load_floating(&self.boat)?;
        if let Some(height) = self.height {
            let middle = (boat.hull_box_m.0 + boat.hull_box_m.1) / 2.0;
            boat.hold(
                "--height",
                Given::Place(Vec3::new(middle.x, middle.y, height)),
            );
        }
        let options = PlaceOptions {
            z_m: self.height,
            ..PlaceOptions::default()
        };
        let progress = Progress::new();
        let afloat = Afloat::of(&boat).watched_by(&progress);
        let result = place(afloat, &self.item, &options)
            .map_err(|source| CommandError::of_named(&self.boat, &boat, source))?;
        drop(progress);
        if let Some(svg) = &self.svg {
            put(svg, place_svg(&result, output.units).as_bytes(), self.force)?;
        }
        output.print(&result)?;
        Ok(if result.now.verdict == Verdict::Fail {
            Outcome::YardstickFailed
        } else {
            Outcome::Fine
        })
    }
}
