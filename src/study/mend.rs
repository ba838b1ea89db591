//! A scan mended: what was done, and before against after.
use serde::Serialize;

use super::hydrostatics::coordinates;
use crate::boat::MeshInMetres;
use crate::boat::file::mend_toml;
use crate::mesh::{
    Doubt, Loop, MendError, MendRecipe, MendStep, MeshSummary, Placement, Posture, Surface, mend,
};

/// Result of [`mend_scan`].
#[derive(Debug, Clone, Serialize)]
pub struct MendResult {
    /// The scan.
    pub name: String,
    /// The file that the mended mesh was written to, in metres.
    pub output: String,
    /// What was done, in order.
    pub steps: Vec<MendStep>,
    /// The mesh as it came.
    pub before: MeshSummary,
    /// The mesh as it was written, volume with its openings capped.
    pub after: MeshSummary,
    /// After less before, m³, where both have a volume.
    pub volume_change_m3: Option<f64>,
    /// The same as a share of the volume before, %.
    pub volume_change_percent: Option<f64>,
    /// What stayed open, the longest first.
    pub openings: Vec<OpeningLine>,
    /// How it was found to lie, when it was turned upright.
    pub posture: Option<Posture>,
    /// The recipe, as a boat file writes it.
    pub recipe: String,
    /// What reading had to forgive and what still may make numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// An opening of the mended mesh.
#[derive(Debug, Clone, Serialize)]
pub struct OpeningLine {
    /// Length round it, m.
    pub length_m: f64,
    /// Its middle, boat frame, m.
    pub middle_m: [f64; 3],
    /// Its lowest point, boat frame, m.
    pub lowest_m: [f64; 3],
}

impl OpeningLine {
    fn of(rim: &Loop) -> Self {
        Self {
            length_m: rim.length_m,
            middle_m: coordinates(rim.centre),
            lowest_m: coordinates(rim.lowest),
        }
    }
}

/// Mends a scan. `say` is told of each step as it begins.
///
/// # Errors
/// [`MendError`] where a step cannot be done.
pub fn mend_scan(
    name: &str,
    output: &str,
    read: MeshInMetres,
    recipe: &MendRecipe,
    placement: &Placement,
    say: &dyn Fn(&'static str),
) -> Result<(MendResult, Surface), MendError> {
    let mended = mend(read.surface, &read.options.facets, recipe, placement, say)?;
    let volumes = mended.before.volume_m3.zip(mended.after.volume_m3);
    let mut mesh_doubts = read.doubts;
    mesh_doubts.extend(mended.doubts);
    let result = MendResult {
        name: name.to_owned(),
        output: output.to_owned(),
        steps: mended.steps,
        volume_change_m3: volumes.map(|(before, after)| after - before),
        volume_change_percent: volumes
            .filter(|(before, _)| *before > 0.0)
            .map(|(before, after)| 100.0 * (after / before - 1.0)),
        before: mended.before,
        after: mended.after,
        openings: mended.openings.iter().map(OpeningLine::of).collect(),
        posture: mended.posture,
        recipe: mend_toml(recipe),
        mesh_doubts,
    };
    Ok((result, mended.surface))
}
