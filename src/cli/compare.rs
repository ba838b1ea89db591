//! `awash compare`
use std::path::{Path, PathBuf};

use clap::Args;

use super::files::{self, Writes, put, refuse_existing};
use super::progress::Progress;
use super::{CommandError, Outcome, Output};
use crate::boat::{Boat, BoatFile, BoatMaker};
use crate::equilibrium::Afloat;
use crate::present::compare_svg;
use crate::study::{Way, compare};

/// Boats side by side: before and after, and every step between
///
/// Floats each, finds how small a lean or knock floods it and what happens
/// then, how it lies full of water and hangs dived, and says what got better
/// and what worse from the first to the last. Each change between the first and
/// the last boat file is made alone, and one after the other in the order
/// written, so that one sees which helps.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash compare meshes/dipper/asfitted.toml meshes/dipper/after.toml --svg compare.svg"
)]
pub(super) struct Compare {
    /// Boat files (TOML), two or more; changes count from the first
    #[arg(required = true, num_args = 2.., value_name = "BOAT")]
    boats: Vec<PathBuf>,
    /// Draw the boats at one scale here (SVG)
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Replace a drawing that is already there
    #[arg(long)]
    force: bool,
    /// Leave out each change by itself (quicker on large meshes)
    #[arg(long)]
    without_steps: bool,
}

impl Compare {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        if let Some(svg) = &self.svg {
            refuse_existing(svg, Writes::Page, self.force)?;
        }
        let maker = BoatMaker::default();
        let (files, boats): (Vec<BoatFile>, Vec<Boat>) = self
            .boats
            .iter()
            .map(|path| output.load_floating_by(&maker, path))
            .collect::<Result<_, _>>()?;
        let progress = Progress::new();
        progress.say("studying each boat");
        let told = |source: crate::equilibrium::EquilibriumError| {
            let boats: Vec<String> = self.boats.iter().map(|b| b.display().to_string()).collect();
            CommandError::Message(format!("one of {}: {source}", boats.join(", ")))
        };
        let last = self.boats.last().map_or(Path::new(""), PathBuf::as_path);
        let make = |file: &BoatFile| maker.make(last, file);
        let way = match files.as_slice() {
            [before, .., after] if !self.without_steps => Some(Way {
                before,
                after,
                make: &make,
            }),
            _ => None,
        };
        let afloat = boats
            .iter()
            .map(|boat| Afloat::of(boat).watched_by(&progress));
        let result = compare(afloat, way.as_ref()).map_err(told)?;
        drop(progress);
        if let Some(svg) = &self.svg {
            put(
                svg,
                compare_svg(&result, output.units).as_bytes(),
                self.force,
            )?;
        }
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}
