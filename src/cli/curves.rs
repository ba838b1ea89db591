//! `awash curves`
use std::path::PathBuf;

use clap::Args;

use super::files::{self, put};
use super::{CommandError, Outcome, Output, angle_deg};
use crate::present::curves_svg;
use crate::study::curves;

/// Hydrostatic curves over draught: displacement, centre of buoyancy,
/// waterplane, metacentre, mass to sink 1 cm, moment to pitch 1°
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash curves meshes/dipper/after.toml\n  awash curves meshes/dipper/after.toml --steps 40 --pitch 1 --format csv"
)]
pub(super) struct Curves {
    /// Boat file (TOML); its masses play no part
    boat: PathBuf,
    /// Draughts, amidships (midway between the draught marks), from the base line to
    /// the height of the hull
    #[arg(long, default_value_t = 12, value_parser = clap::value_parser!(u16).range(1..=1000))]
    steps: u16,
    /// Pitch, bow up positive, degrees
    #[arg(long, value_name = "D", value_parser = angle_deg, default_value = "0", allow_hyphen_values = true)]
    pitch: f64,
    /// Also draw the curves into this SVG file
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Write over an SVG file that is already there
    #[arg(long)]
    force: bool,
}

impl Curves {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        const STEEPEST_DEG: f64 = 45.0;
        if self.pitch.abs() > STEEPEST_DEG {
            return Err(CommandError::Message(format!(
                "--pitch {}: draughts mean little past {STEEPEST_DEG}°",
                self.pitch
            )));
        }
        let boat = output.load(&self.boat)?;
        let result = curves(&boat, self.pitch, self.steps);
        if let Some(svg) = &self.svg {
            put(
                svg,
                curves_svg(&result, output.units).as_bytes(),
                self.force,
            )?;
        }
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}
