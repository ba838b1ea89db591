//! A scan mended: what was done, and before against after.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::hydrostatics::coordinates;
use crate::boat::file::mend_toml;
use crate::boat::{MeshInMetres, doubt_hull_size};
use crate::mesh::{
    Carried, Doubt, Hole, HoleKind, Loop, MendError, MendRecipe, MendStep, MeshSummary, NotSeen,
    Placement, Posture, Surface, TiltError, mend, tell_holes,
};
use crate::numerics::Vec3;
use crate::progress::Progress;

/// Result of [`mend_scan`].
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
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
    /// Distance between the two sides of the skin, m, where both were there.
    pub skin_thickness_m: Option<f64>,
    /// How far the frame that it was turned into may be off, and the craft lean by what was
    /// not seen, when it was turned upright.
    pub tilt_error: Option<TiltError>,
    /// The share of its area that its averaged skin has, where the scan is rough.
    pub area_share: Option<f64>,
    /// What of it no scan saw, by this mending and those before, and what that leaves open of
    /// its floating.
    pub not_seen: Option<NotSeen>,
    /// How it was found to lie, when it was turned upright.
    pub posture: Option<Posture>,
    /// The recipe, as a boat file writes it.
    pub recipe: String,
    /// What reading had to forgive and what still may make numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// An opening of the mended mesh.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct OpeningLine {
    /// Length round it, m.
    pub length_m: f64,
    /// Its middle, boat frame, m.
    pub middle_m: [f64; 3],
    /// Its lowest point, boat frame, m.
    pub lowest_m: [f64; 3],
    /// Its longer side, m.
    pub long_m: f64,
    /// Its shorter side, m.
    pub broad_m: f64,
    /// What it probably is.
    pub probably: HoleKind,
    /// How far its height may be off, ± m, where its rim was fitted.
    pub height_error_m: Option<f64>,
}

impl OpeningLine {
    fn of(rim: &Loop, hole: &Hole, height_error_m: Option<f64>) -> Self {
        Self {
            length_m: rim.length_m,
            middle_m: coordinates(rim.centre),
            lowest_m: coordinates(rim.lowest),
            long_m: hole.long_m,
            broad_m: hole.broad_m,
            probably: hole.probably,
            height_error_m,
        }
    }
}

impl MendResult {
    /// What the mended mesh is to tell of itself; `None` where nothing is known of it.
    #[must_use]
    pub fn carried(&self) -> Option<Carried> {
        let rims = self.openings.iter().filter_map(|line| line.height_error_m);
        let carried = Carried {
            not_seen: self.not_seen,
            tilt_error: self.tilt_error.unwrap_or_default(),
            rim_m: rims.fold(0.0, f64::max),
        };
        let nothing = carried.tilt_error == TiltError::default() && carried.rim_m == 0.0;
        (self.not_seen.is_some() || !nothing).then_some(carried)
    }
}

/// Mends a scan; a step that has begun is not broken off.
///
/// # Errors
/// [`MendError`] where a step cannot be done.
pub fn mend_scan(
    name: &str,
    output: &str,
    read: MeshInMetres,
    recipe: &MendRecipe,
    placement: &Placement,
    watch: &dyn Progress,
) -> Result<(MendResult, Surface), MendError> {
    let mut mended = mend(
        read.surface,
        &read.options.facets,
        recipe,
        placement,
        &|stage| {
            watch.stage(stage);
        },
    )?;
    mended.keep_what_was_told(read.carried, recipe, placement);
    let volumes = mended.before.volume_m3.zip(mended.after.volume_m3);
    let rims: Vec<Vec<Vec3>> = mended
        .openings
        .iter()
        .map(|rim| {
            let corners = rim.vertices.iter();
            corners
                .map(|v| mended.surface.vertices[*v as usize])
                .collect()
        })
        .collect();
    let holes = tell_holes(&rims, mended.surface.bounds().unwrap_or_default());
    let openings = mended
        .openings
        .iter()
        .zip(&holes)
        .zip(&mended.rim_errors_m)
        .map(|((rim, hole), error)| OpeningLine::of(rim, hole, *error));
    let openings = openings.collect();
    let mut mesh_doubts = read.doubts;
    mesh_doubts.extend(mended.doubts);
    mesh_doubts.extend(doubt_hull_size(&mended.surface, read.metres_a_unit));
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
        openings,
        skin_thickness_m: mended.skin_thickness_m,
        tilt_error: mended.tilt_error,
        not_seen: mended.not_seen,
        area_share: mended.area_share,
        posture: mended.posture,
        recipe: mend_toml(recipe, placement.scale_to_length_m),
        mesh_doubts,
    };
    Ok((result, mended.surface))
}
