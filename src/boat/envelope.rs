//! The outer envelope: one closed surface whose faces know where they come
//! from, and the booleans that add parts to it and cut recesses from it.
use std::collections::{HashMap, HashSet};
use std::sync::{Arc, OnceLock};

use manifold_rust::manifold::Manifold;
use manifold_rust::types::{BooleanEngine, Error as ManifoldError};

use rayon::prelude::*;

use super::PartSheet;
use super::near::{NearChange, combine_near, take_out};
use super::winding::{encloses, encloses_by_runs};
use crate::mesh::{FaceRuns, Surface, from_library, sum_in_blocks, to_library};
use crate::numerics::Vec3;

/// Numbers under which the faces of solids that are no parts are found again: past any
/// part's, each its own, and twice it fits the 31 bits that the boolean keeps. Those of
/// an opening's cutter, of the block that stands for a bulkhead, and of the faces that
/// close a patch of the hull near a part.
pub(super) const CUTTER: u32 = 1_000_000_000;
pub(super) const BULKHEAD: u32 = CUTTER + 1;
pub(super) const CLOSING: u32 = CUTTER + 2;

/// Where a face of the envelope comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum FaceSource {
    /// The hull's own skin.
    Hull,
    /// The cap over the hull's n-th open edge (from 0): no skin there.
    Cap(u32),
    /// The surface of the n-th part (from 0).
    Part(u32),
}

impl FaceSource {
    /// Whether such a face has no skin.
    #[must_use]
    pub fn is_bare(self) -> bool {
        matches!(self, Self::Cap(_))
    }

    /// One number for each, as the boolean carries it through.
    fn tag(self) -> u64 {
        match self {
            Self::Hull => 0,
            Self::Cap(n) => 1 + 2 * u64::from(n),
            Self::Part(n) => 2 + 2 * u64::from(n),
        }
    }

    fn of_tag(tag: u64) -> Self {
        let n = |doubled: u64| u32::try_from(doubled / 2).unwrap_or(u32::MAX);
        match tag {
            0 => Self::Hull,
            odd if odd % 2 == 1 => Self::Cap(n(odd - 1)),
            even => Self::Part(n(even - 2)),
        }
    }
}

/// A closed outward surface with the source of each face.
#[derive(Debug, Clone, Default)]
pub struct Envelope {
    /// The surface.
    pub surface: Surface,
    /// One source a face.
    pub sources: Vec<FaceSource>,
}

/// An envelope into which a sheet has been laid up.
pub(super) struct LaidUp {
    pub(super) envelope: Envelope,
    /// Area and first moment of the sheet, on one side.
    pub(super) sheet: AreaMoment,
    /// The sheets that it is cut from.
    pub(super) sheets: Vec<PartSheet>,
}

/// Area and its first moment of a set of faces.
#[derive(Debug, Clone, Copy, Default)]
pub struct AreaMoment {
    /// m².
    pub area_m2: f64,
    /// About the boat frame's origin, m³.
    pub moment_m3: Vec3,
}

impl std::iter::Sum for AreaMoment {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::default(), |sum, one| sum.plus(&one))
    }
}

impl AreaMoment {
    /// Of all of a surface's faces.
    #[must_use]
    pub fn of(surface: &Surface) -> Self {
        surface.sum_over_faces(|face| Self::of_face(surface, face))
    }

    /// Of one of them.
    pub(super) fn of_face(surface: &Surface, face: usize) -> Self {
        let area_m2 = surface.face_area_m2(face);
        let [a, b, c] = surface.corners(face);
        Self {
            area_m2,
            moment_m3: (a + b + c) * (area_m2 / 3.0),
        }
    }

    /// Both together.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        Self {
            area_m2: self.area_m2 + other.area_m2,
            moment_m3: self.moment_m3 + other.moment_m3,
        }
    }

    /// This without the other, which is part of it.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        Self {
            area_m2: self.area_m2 - other.area_m2,
            moment_m3: self.moment_m3 - other.moment_m3,
        }
    }

    /// So many times this.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        Self {
            area_m2: self.area_m2 * factor,
            moment_m3: self.moment_m3 * factor,
        }
    }

    /// Centroid, m; `None` without area.
    #[must_use]
    pub fn centroid_m(&self) -> Option<Vec3> {
        (self.area_m2 > 0.0).then(|| self.moment_m3 / self.area_m2)
    }
}

/// Whether a part is joined to the envelope or cut from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Operation {
    /// The envelope grows by it.
    Join,
    /// The envelope loses it.
    Cut,
    /// What lies in both is kept.
    Keep,
}

/// Why a boolean failed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum BooleanError {
    /// A surface is not closed and two-sided everywhere.
    #[error("{which} is not a closed solid ({why}); mend its mesh first")]
    NotSolid {
        /// "the hull" or "the part".
        which: &'static str,
        /// The library's word for it.
        why: String,
    },
    /// Nothing is left.
    #[error("nothing of the hull is left after this cut; check the part's place and units")]
    NothingLeft,
}

impl Envelope {
    /// A part's surface as an envelope of its own.
    #[must_use]
    pub fn of_part(surface: Surface, part: u32) -> Self {
        Self {
            sources: vec![FaceSource::Part(part); surface.faces.len()],
            surface,
        }
    }

    /// Whether a point lies inside it, m.
    #[must_use]
    pub fn encloses(&self, point: &Vec3) -> bool {
        encloses(&self.surface, point)
    }

    /// Some of its faces by themselves.
    #[must_use]
    pub fn piece(&self, faces: &[usize]) -> Self {
        let corners = faces.par_iter().map(|&f| self.surface.faces[f]);
        let mut used: Vec<u32> = corners.clone().flatten_iter().collect();
        used.par_sort_unstable();
        used.dedup();
        let number = |v: u32| u32::try_from(used.partition_point(|&other| other < v)).unwrap_or(v);
        Self {
            surface: Surface {
                faces: corners.map(|face| face.map(number)).collect(),
                vertices: used
                    .iter()
                    .map(|&v| self.surface.vertices[v as usize])
                    .collect(),
            },
            sources: faces.iter().map(|&f| self.sources[f]).collect(),
        }
    }

    /// The faces from one source, over all of its vertices.
    #[must_use]
    pub fn faces_of(&self, source: FaceSource) -> Surface {
        let faces = self.surface.faces.iter().zip(&self.sources);
        Surface {
            vertices: self.surface.vertices.clone(),
            faces: faces
                .filter(|(_, from)| **from == source)
                .map(|(face, _)| *face)
                .collect(),
        }
    }

    /// Area and moment of the faces from each source.
    #[must_use]
    pub fn areas(&self) -> HashMap<FaceSource, AreaMoment> {
        let mut areas: HashMap<FaceSource, AreaMoment> = HashMap::new();
        // Faces of one source mostly follow each other.
        let mut from = 0;
        for run in self.sources.chunk_by(|a, b| a == b) {
            let of_run = sum_in_blocks(from..from + run.len(), |face| {
                AreaMoment::of_face(&self.surface, face)
            });
            let sum = areas.entry(run[0]).or_default();
            *sum = sum.plus(&of_run);
            from += run.len();
        }
        areas
    }

    /// Edges between faces of `source` and faces of anything else: the rim of
    /// what is left of a cap. Each edge once, as its two end points, m.
    #[must_use]
    pub fn rim_of(&self, source: FaceSource) -> Vec<[Vec3; 2]> {
        let rim = self.border_of(&self.numbers_of(source));
        rim.iter()
            .map(|edge| edge.map(|v| self.surface.vertices[v as usize]))
            .collect()
    }

    /// Numbers of the faces from one source.
    pub(super) fn numbers_of(&self, source: FaceSource) -> Vec<usize> {
        let numbers = 0..self.surface.faces.len();
        numbers
            .filter(|&face| self.sources[face] == source)
            .collect()
    }

    /// Edges of some faces that no other of them runs back along, as these run, in the order
    /// of their vertices.
    pub(super) fn border_of(&self, faces: &[usize]) -> Vec<[u32; 2]> {
        let mut half_edges = HashSet::new();
        for &face in faces {
            let [a, b, c] = self.surface.faces[face];
            half_edges.extend([[a, b], [b, c], [c, a]]);
        }
        let is_border = |[a, b]: &[u32; 2]| !half_edges.contains(&[*b, *a]);
        let mut border: Vec<[u32; 2]> = half_edges.iter().copied().filter(is_border).collect();
        border.sort_unstable();
        border
    }

    /// Joins a solid to the envelope or cuts it out, exactly; every face of
    /// the result keeps its source.
    ///
    /// # Errors
    /// [`BooleanError::NotSolid`] when either is not a closed solid,
    /// [`BooleanError::NothingLeft`] when the cut takes everything.
    pub fn combine(&self, other: &Self, operation: Operation) -> Result<Self, BooleanError> {
        let mine = self.to_solid("the hull")?;
        let theirs = other.to_solid("the part")?;
        Ok(to_envelope(&combined(&mine, &theirs, operation)?))
    }

    /// As the library of booleans holds it.
    fn to_solid(&self, which: &'static str) -> Result<Manifold, BooleanError> {
        let tags = self.sources.iter().map(|source| source.tag()).collect();
        let solid = Manifold::from_mesh_gl64(&to_library(&self.surface, tags));
        match solid.status() {
            ManifoldError::NoError => Ok(solid),
            other => Err(BooleanError::NotSolid {
                which,
                why: format!("{other:?}"),
            }),
        }
    }
}

fn combined(a: &Manifold, b: &Manifold, operation: Operation) -> Result<Manifold, BooleanError> {
    let engine = BooleanEngine::Exact;
    let result = match operation {
        Operation::Join => a.union_with_engine(b, engine),
        Operation::Cut => a.difference_with_engine(b, engine),
        Operation::Keep => a.intersection_with_engine(b, engine),
    };
    if result.status() != ManifoldError::NoError || result.is_empty() {
        return Err(BooleanError::NothingLeft);
    }
    Ok(result)
}

fn to_envelope(solid: &Manifold) -> Envelope {
    let (surface, tags) = from_library(solid);
    Envelope {
        surface,
        sources: tags.into_iter().map(FaceSource::of_tag).collect(),
    }
}

/// An envelope and, once they are asked for, the runs of its faces, to find those at a
/// place.
#[derive(Debug, Clone, Default)]
pub(super) struct Searchable {
    envelope: Arc<Envelope>,
    runs: Arc<OnceLock<FaceRuns>>,
}

impl Searchable {
    fn of(envelope: Arc<Envelope>) -> Self {
        Self {
            envelope,
            runs: Arc::default(),
        }
    }

    pub(super) fn envelope(&self) -> &Envelope {
        &self.envelope
    }

    pub(super) fn runs(&self) -> &FaceRuns {
        self.runs
            .get_or_init(|| FaceRuns::of(&self.envelope.surface))
    }

    /// Whether a point lies inside it, m.
    pub(super) fn encloses(&self, point: &Vec3) -> bool {
        encloses_by_runs(&self.envelope.surface, self.runs(), point)
    }

    /// The envelope, to be changed: its faces are sought anew after that.
    fn for_change(&mut self) -> &mut Envelope {
        self.runs = Arc::default();
        Arc::make_mut(&mut self.envelope)
    }
}

/// What came of a boolean.
pub(super) enum Combined {
    /// A new envelope, made of the whole.
    Whole(Joinable),
    /// What it changes of the envelope; of [`Operation::Keep`] all that came.
    Near(NearChange),
}

/// An envelope on which several booleans follow: to make the library's solid of a
/// large hull takes as long as a boolean, so it is made once and kept.
#[derive(Clone)]
pub(super) struct Joinable {
    searchable: Searchable,
    solid: OnceLock<Arc<Manifold>>,
    /// Whether every edge is as often gone along one way as the other.
    is_closed: OnceLock<bool>,
}

impl Joinable {
    pub(super) fn new(envelope: Envelope) -> Self {
        Self::of(Arc::new(envelope))
    }

    pub(super) fn of(envelope: Arc<Envelope>) -> Self {
        Self {
            searchable: Searchable::of(envelope),
            solid: OnceLock::new(),
            is_closed: OnceLock::new(),
        }
    }

    pub(super) fn runs(&self) -> &FaceRuns {
        self.searchable.runs()
    }

    pub(super) fn envelope(&self) -> &Envelope {
        self.searchable.envelope()
    }

    pub(super) fn encloses(&self, point: &Vec3) -> bool {
        self.searchable.encloses(point)
    }

    /// The envelope without what was kept for booleans.
    pub(super) fn into_envelope(self) -> Arc<Envelope> {
        self.searchable.envelope
    }

    /// The same, with where its faces are.
    pub(super) fn into_searchable(self) -> Searchable {
        self.searchable
    }

    /// As [`Envelope::combine`]: near the other solid where that can be trusted, else
    /// with the whole.
    pub(super) fn combine(
        &self,
        other: &Envelope,
        operation: Operation,
    ) -> Result<Self, BooleanError> {
        match self.combined(other, operation)? {
            Combined::Whole(whole) => Ok(whole),
            Combined::Near(change) if operation == Operation::Keep => {
                Ok(Self::closed(Arc::new(change.came)))
            }
            Combined::Near(change) => {
                let mut changed = self.clone();
                changed.change(&change);
                Ok(changed)
            }
        }
    }

    /// As [`Self::combine`], as what it changes where only what is near took part.
    pub(super) fn combined(
        &self,
        other: &Envelope,
        operation: Operation,
    ) -> Result<Combined, BooleanError> {
        let envelope = self.envelope();
        let is_closed = || envelope.surface.is_balanced();
        let near = if *self.is_closed.get_or_init(is_closed) {
            combine_near(envelope, self.runs(), other, operation)
        } else {
            None
        };
        let Some(change) = near else {
            return Ok(Combined::Whole(self.combine_whole(other, operation)?));
        };
        if operation == Operation::Keep && change.came.sources.is_empty() {
            return Err(BooleanError::NothingLeft);
        }
        Ok(Combined::Near(change))
    }

    /// Makes a change that was found near another solid.
    pub(super) fn change(&mut self, change: &NearChange) {
        change.make_to(self.searchable.for_change());
        self.solid = OnceLock::new();
        self.is_closed = OnceLock::from(true);
    }

    /// One known to be closed.
    fn closed(envelope: Arc<Envelope>) -> Self {
        Self {
            is_closed: OnceLock::from(true),
            ..Self::of(envelope)
        }
    }

    fn combine_whole(&self, other: &Envelope, operation: Operation) -> Result<Self, BooleanError> {
        // The library numbers solids as they come, and puts out faces in that order.
        let mine = match self.solid.get() {
            Some(solid) => solid,
            None => {
                let solid = Arc::new(self.envelope().to_solid("the hull")?);
                self.solid.get_or_init(|| solid)
            }
        };
        let theirs = other.to_solid("the part")?;
        let solid = combined(mine, &theirs, operation)?;
        let envelope = to_envelope(&solid);
        Ok(Self {
            solid: OnceLock::from(Arc::new(solid)),
            is_closed: OnceLock::from(true),
            ..Self::new(envelope)
        })
    }

    /// Moves its caps to the end, and says where they begin. What was kept for
    /// booleans, several times the envelope's memory, is dropped: booleans that
    /// follow start from the faces in their new order.
    pub(super) fn put_caps_last(&mut self) -> usize {
        self.solid = OnceLock::new();
        let Envelope { surface, sources } = self.searchable.for_change();
        let bare: Vec<usize> = (0..sources.len())
            .filter(|&face| sources[face].is_bare())
            .collect();
        let caps: Vec<_> = bare
            .iter()
            .map(|&f| (surface.faces[f], sources[f]))
            .collect();
        take_out(&mut surface.faces, &bare);
        take_out(sources, &bare);
        let skin_faces = sources.len();
        for (face, source) in caps {
            surface.faces.push(face);
            sources.push(source);
        }
        skin_faces
    }
}
