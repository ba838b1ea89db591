//! `awash drill`
use std::path::{Path, PathBuf};

use clap::Args;

use super::files::{self, Writes, put, refuse_existing};
use super::{CommandError, Outcome, Output};
use crate::boat::Boat;
use crate::present::drill_svg;
use crate::study::{DrillError, HoleClass, drill};

/// Where a hole may be drilled or cut: the outside of the hull sorted by its
/// height above the water, in the worst of the conditions given
///
/// never: under water at rest, or less over it than a sill that fails (`sill_red`).
/// only if sealed: less over it than a sill that is clear (`sill_green`), or
/// reached when the craft leans by the tilt that fails (`tilt_red`), any way.
/// free: higher than both. With --strict, an opening that is not covered and
/// stands where a hole may never go makes the exit code 1.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash drill meshes/dipper/after.toml --svg drill.svg\n  awash drill meshes/dipper/bulkheads.toml \"meshes/dipper/bulkheads.toml#rain\" --svg drill-rain.svg"
)]
pub(super) struct Drill {
    /// Boat files (TOML) of one hull, or its loading conditions (boat.toml#name): the worst
    /// of them counts at every place
    #[arg(required = true, value_name = "BOAT")]
    boats: Vec<PathBuf>,
    /// Also draw the map into this SVG file
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Write over an SVG file that is already there
    #[arg(long)]
    force: bool,
}

impl Drill {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        if let Some(svg) = &self.svg {
            refuse_existing(svg, Writes::Page, self.force)?;
        }
        let conditions = self
            .boats
            .iter()
            .map(|path| {
                output
                    .load_floating(path)
                    .map(|boat| (boat.name.clone(), boat))
            })
            .collect::<Result<Vec<(String, Boat)>, _>>()?;
        let cases = conditions.iter();
        let cases = cases.map(|(name, boat)| (name.as_str(), boat));
        let result = drill(cases).map_err(|error| self.told(&conditions, error))?;
        if let Some(svg) = &self.svg {
            put(svg, drill_svg(&result, output.units).as_bytes(), self.force)?;
        }
        output.print(&result)?;
        let fails = |class: HoleClass| class == HoleClass::Never;
        Ok(
            if result.openings.iter().any(|o| !o.covered && fails(o.class)) {
                Outcome::YardstickFailed
            } else {
                Outcome::Fine
            },
        )
    }

    fn told(&self, conditions: &[(String, Boat)], error: DrillError) -> CommandError {
        match error {
            DrillError::Equilibrium { case, source } => {
                let at = conditions.iter().position(|(name, _)| *name == case);
                let at = at.unwrap_or(0);
                CommandError::of_rest(self.path(at), &conditions[at].1, source)
            }
            other @ (DrillError::OtherHull { .. } | DrillError::NoCase) => {
                CommandError::Message(other.to_string())
            }
        }
    }

    fn path(&self, number: usize) -> &Path {
        self.boats
            .get(number)
            .map_or(Path::new(""), PathBuf::as_path)
    }
}
