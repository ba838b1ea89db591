//! From a raw scan to a hull that can be trusted, by steps that are each
//! optional, logged and repeatable.
use schemars::JsonSchema;
use serde::Serialize;

use super::check::{Examination, Loop};
use super::doubt::Doubt;
use super::not_seen::{Carried, NotSeen};
use super::placement::{Moved, NoLength, Placement};
use super::raw::FacetNumbers;
use super::surface::Surface;
use crate::numerics::Vec3;

mod averaged;
mod band;
mod banded;
mod bench;
mod curves;
mod cut;
mod drawn_back;
mod film;
mod flat;
mod floor;
mod half;
mod holes;
mod inside;
mod lip;
mod min_cut;
mod openness;
mod outer;
mod parted;
mod plate;
mod posture;
mod reach;
mod rebuild;
mod rim;
mod skins;
mod slivers;
#[cfg(test)]
mod tests;
mod unseen;

pub use averaged::skin_noise_m;
use bench::Bench;
pub use cut::{Crop, part_below};
pub use flat::without_floor;
pub use floor::StoodOn;
pub use half::{FlatEdge, flat_edges};
pub use outer::two_sides;
pub(super) use outer::two_sides_of_shells;
pub use posture::{
    Facing, Level, Posture, PostureError, TiltError, Told, find_facing, find_posture,
};
pub use rebuild::{RebuildError, may_help as rebuild_may_help};
pub use rim::{hanging_lip_m, rough_edges_m};

/// Where the missing half of a hull is mirrored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Mirror {
    /// In the plane of the flat cut along its open edge.
    AtCut,
    /// In the flat part of its open edge with this number, the longest being 1.
    AtFlat(usize),
    /// At y = 0 once it is placed: what lies on the smaller side is cut off.
    AtCentre,
}

/// What is to be done to a mesh. Nothing at all is a valid recipe: cleaning,
/// turning faces to agree, and mending small holes are always done.
#[derive(Debug, Clone, PartialEq, Default, JsonSchema, Serialize)]
pub struct MendRecipe {
    /// Take away a floor that the hull stands on.
    pub drop_floor: bool,
    /// Keep only the shell with the largest area.
    pub largest_only: bool,
    /// Add the missing half.
    pub mirror: Option<Mirror>,
    /// Turn it upright and set the origin aftmost, on the centre plane, lowest (of what
    /// is left and filled, unless `level` or an origin says where).
    pub upright: Option<Level>,
    /// Take the other end for the bow when it is turned upright.
    pub swap_ends: bool,
    /// Take the other side for the top when it is turned upright.
    pub upside_down: bool,
    /// What is kept, once it is placed; with `upright` and something cut off below, in the
    /// frame that it has as it stands on what is then cut off.
    pub crop: Crop,
    /// Keep only the outer of the two sides of a skin, deck and lips included.
    pub outer_skin: bool,
    /// Draw rough edges of openings onto a smooth curve.
    pub smooth_rims: bool,
    /// Holes shorter round than this are filled, m; larger ones stay open.
    pub fill_under_m: Option<f64>,
    /// Numbers of holes that are filled whatever their length, the longest
    /// being 1.
    pub fill: Vec<usize>,
    /// Numbers of holes that stay open whatever their length.
    pub keep: Vec<usize>,
    /// Make one skin of shells that overlap.
    pub rebuild: bool,
}

/// One step that was taken.
#[derive(Debug, Clone, PartialEq, Eq, JsonSchema, Serialize)]
pub struct MendStep {
    /// Which.
    pub step: &'static str,
    /// What it did.
    pub done: String,
}

/// A mesh in a few numbers.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct MeshSummary {
    /// Triangles.
    pub triangles: usize,
    /// Connected shells.
    pub shells: usize,
    /// Loops of open edges.
    pub open_loops: usize,
    /// Defects of all kinds, loops included.
    pub defects: usize,
    /// Sides of its box along x, y, z, m.
    pub size_m: [f64; 3],
    /// Area of its faces, m².
    pub area_m2: f64,
    /// Volume that it encloses once its openings are capped, m³; `None` when
    /// it cannot be closed.
    pub volume_m3: Option<f64>,
}

/// A mended hull.
#[derive(Debug, Clone)]
pub struct Mended {
    /// The surface, its openings open, m.
    pub surface: Surface,
    /// Its openings, the longest first.
    pub openings: Vec<Loop>,
    /// What was done.
    pub steps: Vec<MendStep>,
    /// The mesh as it came.
    pub before: MeshSummary,
    /// The mesh as it is now.
    pub after: MeshSummary,
    /// How points moved.
    pub moved: Moved,
    /// What was found when it was turned upright.
    pub posture: Option<Posture>,
    /// Distance between the two sides of the skin, where both were there, m.
    pub skin_thickness_m: Option<f64>,
    /// How far the frame that it was turned into may be off, and the craft lean by what was
    /// not seen; `None` where it was not turned upright.
    pub tilt_error: Option<TiltError>,
    /// The share of its area that its averaged skin has, where it is rough: what noise adds
    /// weighs nothing.
    pub area_share: Option<f64>,
    /// How far the rim of each opening may lie from its true height, ± m, where
    /// it was fitted.
    pub rim_errors_m: Vec<Option<f64>>,
    /// What of it no scan saw, and what that leaves open of its floating.
    pub not_seen: Option<NotSeen>,
    /// What still may make its numbers wrong.
    pub doubts: Vec<Doubt>,
}

impl Mended {
    /// Keeps what the mesh told of itself by mending before: the same corners are no surer for
    /// being mended again. What a tape or the user said since then is not overruled.
    pub fn keep_what_was_told(
        &mut self,
        before: Option<Carried>,
        recipe: &MendRecipe,
        placement: &Placement,
    ) {
        let Some(before) = before.map(|before| before.scaled(self.moved.scale)) else {
            return;
        };
        let by_tape = matches!(recipe.upright, Some(Level::RimHeights { .. }));
        let mut told = before.tilt_error;
        if placement.turn.is_some() {
            told = TiltError::default();
        } else if by_tape {
            told.pitch_deg = 0.0;
            told.origin_m[2] = 0.0;
        }
        if placement.origin_m.is_some() {
            told.origin_m = [0.0; 3];
        }
        if let Some(not_seen) = before.not_seen {
            self.not_seen = Some(self.not_seen.map_or(not_seen, |own| own.and(not_seen)));
            told.heel_deg = told.heel_deg.max(not_seen.heel_deg);
            told.pitch_deg = told.pitch_deg.max(not_seen.pitch_deg);
        }
        let own = self.tilt_error.unwrap_or_default();
        let kept = own.at_least(told);
        if self.tilt_error.is_some() || kept != TiltError::default() {
            self.tilt_error = Some(kept);
        }
        if before.rim_m > 0.0 {
            for error in &mut self.rim_errors_m {
                *error = Some(error.map_or(before.rim_m, |own| own.max(before.rim_m)));
            }
        }
    }
}

/// Why a mesh could not be mended as wanted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MendError {
    /// There is no floor.
    #[error(
        "no floor was found: no large flat part with everything else on one side and reaching wider than that; leave this step out, or cut with `crop`"
    )]
    NoFloor,
    /// A step left nothing.
    #[error(
        "nothing is left of the mesh after the step \"{step}\": check its numbers and the unit"
    )]
    NothingLeft {
        /// The step.
        step: &'static str,
    },
    /// The plane of the cut cannot be told.
    #[error(
        "no flat cut was found along the open edge other than a rim, so where to mirror the half is not known (is the hull whole?): place it by `turn` and `origin` with its centre plane at y = 0, and mirror at the centre"
    )]
    NoCut,
    /// Two flat edges.
    #[error(
        "the open edge has several flat parts, and no sheer tells a rim from the cut, so which to mirror in is not known: give the number of the one along the keel instead of `cut` ({parts}); the picture of `inspect` (--svg) shows them"
    )]
    TwoCuts {
        /// The parts in words.
        parts: String,
    },
    /// The plane would halve it along the floor.
    #[error(
        "the flat part to mirror in lies level over the floor that the hull stood on, so it is a rim and not the cut along the keel: give the number of another instead ({parts})"
    )]
    LevelCut {
        /// The parts in words.
        parts: String,
    },
    /// The cut is so torn that the plane is not known well enough.
    #[error(
        "the edge along which the half was cut off is so ragged, and the scan so rough, that the mirrored hull would hold ± {:.1} % and a sill lie ± {:.0} mm for that alone: scan it again with the edge cut straight, or place it by `turn` and `origin` with its centre plane at y = 0 and mirror at the centre; to go on all the same, give the number of the flat part, {number}, instead of `cut`",
        100.0 * share, 1e3 * sill_m
    )]
    RaggedHalf {
        /// The flat part that was found.
        number: usize,
        /// What it leaves open of the volume.
        share: f64,
        /// And of a sill, m.
        sill_m: f64,
    },
    /// A number of no flat part.
    #[error("the open edge has no flat part {number}; it has: {parts}")]
    NoSuchFlatPart {
        /// What was asked for.
        number: usize,
        /// The parts in words.
        parts: String,
    },
    /// It could not be turned upright.
    #[error(transparent)]
    Posture(#[from] PostureError),
    /// It could not be placed.
    #[error(transparent)]
    NoLength(#[from] NoLength),
    /// A number of no hole.
    #[error(
        "there is no hole {number}: the mesh has {holes} at this step, numbered from the longest; `inspect` on the mended mesh shows them"
    )]
    NoSuchHole {
        /// What was asked for.
        number: usize,
        /// How many there are.
        holes: usize,
    },
    /// The shells could not be made one.
    #[error(transparent)]
    Rebuild(#[from] RebuildError),
    /// It could not be closed.
    #[error("the mesh could not be closed: {0}")]
    NotClosed(String),
}

/// Mends a surface in metres. `say` is told of each step as it begins.
///
/// The steps come in this order, whatever a recipe holds: clean, floor,
/// specks and largest shell, near its length, mirror at the cut, outer skin, upright,
/// placement, crop, mirror at the centre, smooth rims, fill by number, upright anew where
/// something was cut off below, fill and orient, the origin's height, rebuild. Last, the
/// mesh as it came is closed too, for its volume beside that of what came of it: a step that
/// can't be done is told before that.
///
/// # Errors
/// [`MendError`] where a step cannot be done; the message says what to do.
pub fn mend(
    surface: Surface,
    facets: &FacetNumbers,
    recipe: &MendRecipe,
    placement: &Placement,
    say: &dyn Fn(&'static str),
) -> Result<Mended, MendError> {
    let mut bench = Bench::with(surface, say);
    let came = bench.clean(facets);
    if recipe.drop_floor {
        bench.drop_floor()?;
    }
    bench.drop_specks(recipe.largest_only)?;
    if recipe.rebuild && recipe.crop.is_nothing() {
        // All else would be looked for in vain, for long.
        rebuild::check_hangs_together(&bench.surface)?;
    }
    if let Some(length_m) = placement.scale_to_length_m {
        bench.scale_near(length_m)?;
    }
    // First the half: what bounds an opening of a half is part of its cut, and no rim.
    match recipe.mirror {
        Some(Mirror::AtCut) => bench.mirror_at_cut(None)?,
        Some(Mirror::AtFlat(number)) => bench.mirror_at_cut(Some(number))?,
        Some(Mirror::AtCentre) | None => {}
    }
    if recipe.outer_skin {
        bench.outer_skin()?;
    }
    // What is cut off below may be what it stands on: heights are over that first.
    let level_anew =
        recipe.crop.least[2].is_some() && placement.turn.is_none() && placement.origin_m.is_none();
    let mut posture = match &recipe.upright {
        Some(_) if level_anew => Some(bench.upright(&Level::Floor, recipe)?),
        Some(level) => Some(bench.upright(level, recipe)?),
        None => None,
    };
    if !placement.is_nothing() {
        bench.place(placement)?;
    }
    if !recipe.crop.is_nothing() {
        bench.crop(&recipe.crop)?;
        bench.drop_specks(recipe.largest_only)?;
    }
    if recipe.mirror == Some(Mirror::AtCentre) {
        bench.mirror_at_centre()?;
    }
    // A smoother rim is shorter: holes keep the numbers that they had.
    let numbered: Vec<Vec3> = bench.holes().iter().map(|hole| hole.centre).collect();
    if recipe.smooth_rims {
        bench.smooth_rims(posture.is_some());
    }
    bench.fill_numbered(recipe, &numbered)?;
    if let (Some(level), Some(before), true) = (&recipe.upright, &posture, level_anew) {
        posture = Some(bench.upright_anew(level, before)?);
    }
    let under_m = if recipe.keep.is_empty() {
        recipe.fill_under_m
    } else {
        Some(0.0)
    };
    let mut closed = bench.fill(under_m)?;
    if recipe.upright == Some(Level::Floor) && placement.origin_m.is_none() {
        bench.settle_origin(&mut closed);
    }
    if recipe.rebuild {
        closed = bench.rebuild(closed)?;
    }
    say("closing the mesh as it came");
    bench.finish(closed, came.closed(), posture)
}

impl MeshSummary {
    fn of(surface: &Surface, examination: &Examination, volume_m3: Option<f64>) -> Self {
        let (lo, hi) = surface.bounds().unwrap_or_default();
        Self {
            triangles: surface.faces.len(),
            shells: examination.shells.len(),
            open_loops: examination.loops.len(),
            defects: examination.defects.len(),
            size_m: (hi - lo).into(),
            area_m2: surface.area_m2(),
            volume_m3,
        }
    }
}
