//! `awash slice`
use std::path::PathBuf;
use std::sync::Arc;

use clap::{Args, ValueEnum};

use super::{CommandError, Outcome, Output, UnitName, angle_deg, is_boat_file, length_m};
use crate::files::Disk;
use crate::immersion::{MomentTree, WaterPlane};
use crate::mesh::Doubt;
use crate::study::slice;
use crate::water::Water;

/// What a water plane at a given height, heel and pitch cuts from a mesh or a
/// boat
///
/// Displaced volume, centre of buoyancy, waterplane, metacentric radii and
/// wetted area. A mesh is closed by caps over its open edges first.
#[derive(Debug, Args)]
#[command(
    allow_negative_numbers = true,
    after_help = "Examples:\n  awash slice meshes/dipper/hull.stl --mesh-units mm --waterline \"120 mm\"\n  awash slice meshes/dipper/after.toml --waterline 0.18 --heel 5 --pitch -1"
)]
pub(super) struct Slice {
    /// Mesh (STL, OBJ, PLY, GLB) or boat file (TOML)
    file: PathBuf,
    /// Height at which the plane cuts the boat's z axis: metres, or with a unit
    #[arg(long, value_name = "Z", value_parser = length_m, allow_hyphen_values = true)]
    waterline: f64,
    /// Heel, starboard down positive, degrees
    #[arg(long, value_name = "D", value_parser = angle_deg, default_value = "0", allow_hyphen_values = true)]
    heel: f64,
    /// Pitch, bow up positive, degrees
    #[arg(long, value_name = "D", value_parser = angle_deg, default_value = "0", allow_hyphen_values = true)]
    pitch: f64,
    /// Unit of the numbers in a mesh file; guessed when not given
    #[arg(long, value_enum)]
    mesh_units: Option<UnitName>,
    /// Water for the displacement of a mesh; a boat file brings its own
    #[arg(long, value_enum)]
    water: Option<WaterName>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum WaterName {
    Fresh,
    Sea,
    Pool,
}

/// A body ready to be cut.
struct Body {
    name: String,
    tree: Arc<MomentTree>,
    water: Water,
    doubts: Vec<Doubt>,
}

impl Slice {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        const UPRIGHT_LIMIT_DEG: f64 = 89.0;
        let plane = WaterPlane::at_attitude(self.heel, self.pitch, self.waterline);
        let over = |angle: f64| angle.abs() > UPRIGHT_LIMIT_DEG;
        if over(self.heel) || over(self.pitch) || plane.waterline_height_m().is_none() {
            return Err(CommandError::Message(format!(
                "at a heel of {}° and a pitch of {}° no height on the boat's z axis tells where the water is; keep both under {UPRIGHT_LIMIT_DEG}°, together well under",
                self.heel, self.pitch
            )));
        }
        let body = if is_boat_file(&self.file) {
            self.boat(output)?
        } else {
            self.mesh()?
        };
        let result = slice(&body.name, &body.tree, &plane, &body.water, &body.doubts);
        output.print(&result)?;
        Ok(Outcome::Fine)
    }

    fn boat(&self, output: &Output) -> Result<Body, CommandError> {
        if self.mesh_units.is_some() || self.water.is_some() {
            return Err(CommandError::Message(
                "a boat file names its own units and water: leave out --mesh-units and --water"
                    .into(),
            ));
        }
        let boat = output.load(&self.file)?;
        Ok(Body {
            tree: boat.tree,
            name: boat.name,
            water: boat.water,
            doubts: boat.doubts,
        })
    }

    fn mesh(&self) -> Result<Body, CommandError> {
        let factor = self.mesh_units.map(UnitName::metres);
        let prepared = crate::boat::read_mesh(&Disk, &self.file, factor, true)?
            .into_hull()
            .map_err(|source| {
                CommandError::Message(format!("{}: {source}", self.file.display()))
            })?;
        let caps: Vec<_> = prepared
            .loops
            .iter()
            .filter(|capped| !capped.mended)
            .map(|capped| capped.cap.clone())
            .collect();
        Ok(Body {
            name: self.file.file_name().map_or_else(
                || self.file.display().to_string(),
                |name| name.to_string_lossy().into_owned(),
            ),
            tree: Arc::new(MomentTree::new(&prepared.surface, &caps)),
            water: match self.water {
                Some(WaterName::Sea) => Water::sea(),
                Some(WaterName::Pool) => Water::pool(),
                Some(WaterName::Fresh) | None => Water::fresh(),
            },
            doubts: prepared.doubts,
        })
    }
}
