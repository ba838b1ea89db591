//! `awash sill`
use std::path::PathBuf;

use clap::Args;

use super::files::{self, put};
use super::{CommandError, Outcome, Output, length_m, quantity};
use crate::boat::Given;
use crate::present::sill_svg;
use crate::quantity::{Dimension, show};
use crate::study::{SillOptions, sill};

/// What a wall round an opening gains, net of its own weight, and the height that
/// reaches the yardstick
///
/// Raises the rim step by step, adds the wall's weight, and floats the boat each
/// time. A hole in a side or in the bottom is told to be raised, moved or closed
/// instead. With --strict, a sill that a wall cannot bring to the yardstick makes
/// the exit code 1.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash sill meshes/dipper/asfitted.toml \"boarding door\"\n  awash sill meshes/dipper/after.toml gunwale --up-to \"25 cm\" --wall \"9 kg/m2\" --svg sill.svg"
)]
pub(super) struct Sill {
    /// Boat file (TOML)
    boat: PathBuf,
    /// Name of the opening, as in the boat file
    opening: String,
    /// Tallest wall tried
    #[arg(long, value_name = "H", value_parser = length_m, default_value = "20 cm", allow_hyphen_values = true)]
    up_to: f64,
    /// What the wall weighs by its area; 6 kg/m2 is 4 mm of laminate
    #[arg(long, value_name = "W", value_parser = areal_density, default_value = "6 kg/m2")]
    wall: f64,
    /// Also draw it into this SVG file
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Write over an SVG file that is already there
    #[arg(long)]
    force: bool,
}

fn areal_density(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::ArealDensity)
}

impl Sill {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        if self.up_to <= 0.0 || self.wall < 0.0 {
            return Err(CommandError::Message(
                "--up-to must be more than 0 and --wall not less than 0".into(),
            ));
        }
        let mut boat = output.load_floating(&self.boat)?;
        let length_m = boat.hull_box_m.1.x - boat.hull_box_m.0.x;
        if self.up_to > length_m {
            return Err(CommandError::Message(format!(
                "--up-to was read as {} (a number without a unit is in m), and the hull is only {} long: give the tallest wall with its unit, for example --up-to \"30 cm\"",
                show(self.up_to, Dimension::Length, output.units),
                show(length_m, Dimension::Length, output.units)
            )));
        }
        boat.hold("--up-to", Given::Length(self.up_to));
        boat.hold("--wall", Given::Wall(self.wall));
        let options = SillOptions {
            up_to_m: self.up_to,
            wall_kg_m2: self.wall,
            ..SillOptions::default()
        };
        let result = sill(&boat, &self.opening, &options)
            .map_err(|source| CommandError::of_named(&self.boat, &boat, source))?;
        if let Some(svg) = &self.svg {
            put(svg, sill_svg(&result, output.units).as_bytes(), self.force)?;
        }
        output.print(&result)?;
        Ok(if result.wall_to_yardstick_m.is_none() {
            Outcome::YardstickFailed
        } else {
            Outcome::Fine
        })
    }
}
