//! `awash trapped`
use std::path::PathBuf;

use clap::Args;

use super::{CommandError, Outcome, Output, angle_deg};
use crate::study::trapped;

/// Air that stays under decks while the craft floods, and water that stays in it
/// when it is lifted out
///
/// Holds the craft at an attitude and looks for pockets of the inside that cannot
/// rise to an opening: how many litres, what they lift, where a vent would empty
/// them. Then the same for water that cannot run down to one, and where a drain
/// would let it out. It is held, not floated, so an opening under water at rest is
/// not told here: see awash float.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash trapped meshes/dabchick/sledge.toml\n  awash trapped meshes/dabchick/sledge.toml --pitch -20 --heel 5"
)]
pub(super) struct Trapped {
    /// Boat file (TOML)
    boat: PathBuf,
    /// Heel that it is held at, starboard down positive
    #[arg(long, value_name = "ANGLE", value_parser = angle_deg, default_value = "0", allow_hyphen_values = true)]
    heel: f64,
    /// Pitch that it is held at, bow up positive
    #[arg(long, value_name = "ANGLE", value_parser = angle_deg, default_value = "0", allow_hyphen_values = true)]
    pitch: f64,
}

impl Trapped {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        if self.pitch.abs() > 90.0 || self.heel.abs() > 180.0 {
            return Err(CommandError::Message(
                "--pitch lies between -90 and 90 deg, --heel between -180 and 180 deg".into(),
            ));
        }
        let boat = output.load(&self.boat)?;
        output.print(&trapped(&boat, self.heel, self.pitch))?;
        Ok(Outcome::Fine)
    }
}
