//! `awash tape`
use std::path::PathBuf;

use clap::Args;

use super::files::{self, Writes, put, refuse_existing};
use super::section::planes;
use super::{CommandError, Outcome, Output};
use crate::present::tape_svg;
use crate::study::{Planes, TapeError, tape};

/// The waterline by tape: how far down from the rim and up from the keel it lies
/// along the skin, port and starboard, at distances from the stem
///
/// Floats the boat dry, with the load of its file or of a condition, and lays a tape
/// round it at every station. Stations are distances aft from the stem (the
/// foremost point of the hull), as a list ("0.5, 1.2 m"), so many between the ends
/// ("9 even") or a step ("every 250 mm"); when none are given, a round step by the hull's length.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash tape meshes/dipper/after.toml --svg tape.svg\n  awash tape \"meshes/dipper/bulkheads.toml#rain\" --stations \"0.5, 1.7, 3.0 m\"\n  awash tape meshes/dipper/before.toml --stations \"every 300 mm\" --format csv"
)]
pub(super) struct Tape {
    /// Boat file (TOML); boat.toml#name takes its loading condition of that name
    boat: PathBuf,
    /// Where, from the stem aft
    #[arg(long, value_name = "PLACES", value_parser = planes, allow_hyphen_values = true)]
    stations: Option<Planes>,
    /// Also draw both sides with the marks into this SVG file
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Write over an SVG file that is already there
    #[arg(long)]
    force: bool,
}

impl Tape {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        if let Some(svg) = &self.svg {
            refuse_existing(svg, Writes::Page, self.force)?;
        }
        let boat = output.load_floating(&self.boat)?;
        let stations = self.stations.clone().unwrap_or_default();
        let result = tape(&boat, &stations).map_err(|error| match error {
            TapeError::Equilibrium(source) => CommandError::of_rest(&self.boat, &boat, source),
            other @ (TapeError::OffTheHull { .. } | TapeError::TooMany { .. }) => {
                CommandError::Message(format!("--stations: {other}"))
            }
        })?;
        if let Some(svg) = &self.svg {
            put(svg, tape_svg(&result, output.units).as_bytes(), self.force)?;
        }
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}
