//! `awash inspect`
use std::path::PathBuf;

use clap::Args;

use super::files::{self, Writes, put, refuse_existing};
use super::progress::Progress;
use super::{CommandError, Outcome, Output, UnitName};
use crate::files::Disk;
use crate::present::inspect_svg;
use crate::study::inspect;

/// Whether a mesh can be trusted as a hull, and what to do with it
///
/// Size, unit, how it lies, shells, every open edge with its place and whether
/// it looks like an opening or a defect of the scan, defects, how far port and
/// starboard differ, a grade in words and what to do next. Changes nothing.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash inspect scan.ply\n  awash inspect meshes/dipper/hull.stl --mesh-units mm --svg hull.svg"
)]
pub(super) struct Inspect {
    /// Mesh (STL, OBJ, PLY, GLB)
    mesh: PathBuf,
    /// Unit of the numbers in the mesh; guessed when not given
    #[arg(long, value_enum)]
    mesh_units: Option<UnitName>,
    /// Write a picture in three views with the open edges marked
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Replace the picture if it is there
    #[arg(long)]
    force: bool,
}

impl Inspect {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        if let Some(svg) = &self.svg {
            refuse_existing(svg, Writes::Page, self.force)?;
        }
        let progress = Progress::new();
        progress.say("reading and welding");
        let read = crate::boat::read_mesh(
            &Disk,
            &self.mesh,
            self.mesh_units.map(UnitName::metres),
            true,
        )?;
        let name = self.mesh.display().to_string();
        let result = inspect(&name, read, &progress);
        drop(progress);
        if let Some(svg) = &self.svg {
            put(
                svg,
                inspect_svg(&result, output.units).as_bytes(),
                self.force,
            )?;
        }
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}
