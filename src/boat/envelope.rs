//! The outer envelope: one closed surface whose faces know where they come
//! from, and the booleans that add parts to it and cut recesses from it.
use std::collections::{HashMap, HashSet};
use std::sync::{Arc, OnceLock};

use manifold_rust::manifold::Manifold;
use manifold_rust::types::{BooleanEngine, Error as ManifoldError};

use nalgebra::Vector2;

use super::compartment::encloses;
use super::near::{NearChange, combine_near};
use crate::mesh::{Surface, from_library, to_library};
use crate::numerics::{Vec3, convex_hull};

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

/// Area and its first moment of a set of faces.
#[derive(Debug, Clone, Copy, Default)]
pub struct AreaMoment {
    /// m².
    pub area_m2: f64,
    /// About the boat frame's origin, m³.
    pub moment_m3: Vec3,
}

impl AreaMoment {
    /// Of all of a surface's faces.
    #[must_use]
    pub fn of(surface: &Surface) -> Self {
        (0..surface.faces.len()).fold(Self::default(), |sum, face| {
            let area_m2 = surface.face_area_m2(face);
            let [a, b, c] = surface.corners(face);
            sum.plus(&Self {
                area_m2,
                moment_m3: (a + b + c) * (area_m2 / 3.0),
            })
        })
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
        let corners = faces.iter().map(|&f| self.surface.faces[f]);
        let mut used: Vec<u32> = corners.clone().flatten().collect();
        used.sort_unstable();
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
        let mut face = 0;
        for run in self.sources.chunk_by(|a, b| a == b) {
            let sum = areas.entry(run[0]).or_default();
            for face in face..face + run.len() {
                let area_m2 = self.surface.face_area_m2(face);
                let [a, b, c] = self.surface.corners(face);
                sum.area_m2 += area_m2;
                sum.moment_m3 += (a + b + c) * (area_m2 / 3.0);
            }
            face += run.len();
        }
        areas
    }

    /// Edges between faces of `source` and faces of anything else: the rim of
    /// what is left of a cap. Each edge once, as its two end points, m.
    #[must_use]
    pub fn rim_of(&self, source: FaceSource) -> Vec<[Vec3; 2]> {
        let mut half_edges = HashSet::new();
        for (face, from) in self.surface.faces.iter().zip(&self.sources) {
            if *from == source {
                let [a, b, c] = *face;
                half_edges.extend([[a, b], [b, c], [c, a]]);
            }
        }
        let mut rim: Vec<[u32; 2]> = half_edges
            .iter()
            .filter(|[a, b]| !half_edges.contains(&[*b, *a]))
            .copied()
            .collect();
        rim.sort_unstable();
        rim.iter()
            .map(|edge| edge.map(|v| self.surface.vertices[v as usize]))
            .collect()
    }

    /// Outline from the side: the convex hull of all vertices in x and z, in
    /// order round it, m.
    #[must_use]
    pub fn outline_m(&self) -> Vec<[f64; 2]> {
        let vertices = self.surface.vertices.iter();
        convex_hull(vertices.map(|v| Vector2::new(v.x, v.z)).collect())
            .iter()
            .map(|p| [p.x, p.y])
            .collect()
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

/// An envelope on which several booleans follow: to make the library's solid of a
/// large hull takes as long as a boolean, so it is made once and kept.
#[derive(Clone)]
pub(super) struct Joinable {
    envelope: Arc<Envelope>,
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
            envelope,
            solid: OnceLock::new(),
            is_closed: OnceLock::new(),
        }
    }

    pub(super) fn envelope(&self) -> &Envelope {
        &self.envelope
    }

    /// The envelope without what was kept for booleans.
    pub(super) fn into_envelope(self) -> Arc<Envelope> {
        self.envelope
    }

    /// As [`Envelope::combine`]: near the other solid where that can be trusted, else
    /// with the whole.
    pub(super) fn combine(
        &self,
        other: &Envelope,
        operation: Operation,
    ) -> Result<Self, BooleanError> {
        Ok(self.combine_noting(other, operation)?.0)
    }

    /// As [`Self::combine`], with what it changed where only what is near took part.
    pub(super) fn combine_noting(
        &self,
        other: &Envelope,
        operation: Operation,
    ) -> Result<(Self, Option<NearChange>), BooleanError> {
        let is_closed = || self.envelope.surface.is_balanced();
        if !*self.is_closed.get_or_init(is_closed) {
            return Ok((self.combine_whole(other, operation)?, None));
        }
        let Some(change) = combine_near(&self.envelope, other, operation) else {
            return Ok((self.combine_whole(other, operation)?, None));
        };
        let envelope = match operation {
            Operation::Keep => change.came.clone(),
            Operation::Join | Operation::Cut => change.made_to(&self.envelope),
        };
        if envelope.sources.is_empty() {
            return Err(BooleanError::NothingLeft);
        }
        let changed = Self {
            is_closed: OnceLock::from(true),
            ..Self::new(envelope)
        };
        Ok((changed, Some(change)))
    }

    fn combine_whole(&self, other: &Envelope, operation: Operation) -> Result<Self, BooleanError> {
        // The library numbers solids as they come, and puts out faces in that order.
        let mine = match self.solid.get() {
            Some(solid) => solid,
            None => {
                let solid = Arc::new(self.envelope.to_solid("the hull")?);
                self.solid.get_or_init(|| solid)
            }
        };
        let theirs = other.to_solid("the part")?;
        let solid = combined(mine, &theirs, operation)?;
        Ok(Self {
            envelope: Arc::new(to_envelope(&solid)),
            solid: OnceLock::from(Arc::new(solid)),
            is_closed: OnceLock::from(true),
        })
    }

    /// Moves its caps to the end, and says where they begin. What was kept for
    /// booleans, several times the envelope's memory, is dropped: booleans that
    /// follow start from the faces in their new order.
    pub(super) fn put_caps_last(&mut self) -> usize {
        self.solid = OnceLock::new();
        let Envelope { surface, sources } = Arc::make_mut(&mut self.envelope);
        let mut order: Vec<usize> = (0..sources.len()).collect();
        order.sort_by_key(|&face| sources[face].is_bare());
        surface.faces = order.iter().map(|&face| surface.faces[face]).collect();
        *sources = order.iter().map(|&face| sources[face]).collect();
        sources.iter().filter(|s| !s.is_bare()).count()
    }
}
