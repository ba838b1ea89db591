//! The envelope of a boat file: hull read, parts joined and cut. What takes time,
//! kept for files that share it.
use std::ops::Range;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use super::envelope::{Envelope, FaceSource, Joinable};
use super::file::{BoatFile, Built, Foot, Hull, Item, Opening, Part, Shape};
use super::hull_frame::{HullFrame, Lie};
use super::hull_mesh::HullError;
use super::joining::{WithParts, as_one_skin, with_parts};
use super::load::fitted;
use super::place::Place;
use super::tape::HullOnTape;
use super::{Boat, BoatError};
use crate::immersion::MomentTree;
use crate::mesh::{self, Doubt, DoubtKind, MeshError, Prepared, TiltError};
use crate::numerics::Vec3;

/// A hull with its parts, before openings, compartments and masses.
#[derive(Clone)]
pub(super) struct Shaped {
    /// What the parts made; the caps of its envelope come last.
    pub(super) with_parts: WithParts,
    /// That envelope, ready to be asked about any water plane.
    pub(super) tree: Arc<MomentTree>,
    /// How many of its faces are skin.
    pub(super) skin_faces: usize,
    /// Open edges of the hull's mesh, longest first.
    pub(super) open_edges: Vec<OpenEdge>,
    /// Smallest and largest coordinates of the hull without parts, m.
    pub(super) hull_box_m: (Vec3, Vec3),
    /// What tapes are held to.
    pub(super) frame: HullFrame,
    /// How far the frame that mending gave the hull may be off.
    pub(super) tilt_error: Option<TiltError>,
    /// The share of the hull's area that its averaged skin has, where mending found one.
    pub(super) area_share: Option<f64>,
    /// What may make the geometry wrong so far.
    pub(super) doubts: Vec<Doubt>,
}

impl Shaped {
    /// Reads the meshes of a file, joins and cuts.
    pub(super) fn of(file: &BoatFile) -> Result<Self, BoatError> {
        Self::on(file, read_hull(file)?)
    }

    /// As [`Self::of`], the hull being read.
    fn on(file: &BoatFile, (mut hull, lie): (Prepared, Lie)) -> Result<Self, BoatError> {
        // A hull in the wrong place makes every other number wrong: said first.
        let of_place = lie.doubt(&file.hull.plan().placement).into_iter();
        let mut doubts: Vec<Doubt> = of_place.chain(std::mem::take(&mut hull.doubts)).collect();
        // Open edges that the file names are no doubt; the others are told later.
        doubts.retain(|doubt| !matches!(doubt.kind, DoubtKind::Capped | DoubtKind::Twisted));
        let hull_box_m = hull.surface.bounds().unwrap_or_default();
        let open_edges = open_edges(&hull);
        let (tilt_error, area_share) = (hull.tilt_error, hull.area_share);
        let audited = hull.examination.audit.as_ref();
        let overlaps = audited.is_some_and(mesh::ColumnAudit::is_doubled);
        let hull = envelope_of(hull);
        let one = overlaps.then(|| as_one_skin(&hull, &mut doubts)).flatten();
        let hull = one.unwrap_or_else(|| Joinable::new(hull));
        let mut with_parts = with_parts(
            file,
            hull,
            (open_edges.len(), lie.frame.middle_y_m),
            &mut doubts,
        )?;
        let skin_faces = with_parts.envelope.put_caps_last();
        let surface = &with_parts.envelope.envelope().surface;
        let caps = skin_faces..surface.faces.len();
        Ok(Self {
            tree: Arc::new(MomentTree::new(surface, std::slice::from_ref(&caps))),
            with_parts,
            skin_faces,
            open_edges,
            hull_box_m,
            frame: lie.frame,
            tilt_error,
            area_share,
            doubts,
        })
    }
}

/// Makes boats of files that are nearly the same: a hull is read once for all files that
/// share it, and joined once for all that share its parts too.
#[derive(Default)]
pub struct BoatMaker {
    hulls: Shared<Hull, (Prepared, Lie)>,
    shapes: Shared<ShapeSaid, Shaped>,
}

impl BoatMaker {
    /// One that forgets all but the last few shapes: for files that keep changing.
    #[must_use]
    pub fn keeping(shapes: usize) -> Self {
        Self {
            hulls: Shared::default(),
            shapes: Shared {
                made: Mutex::default(),
                most: shapes,
            },
        }
    }

    /// The boat of a file that was read from `path`.
    ///
    /// # Errors
    /// As [`Boat::of_file`].
    pub fn make(&self, path: &Path, file: &BoatFile) -> Result<Boat, BoatError> {
        let shaped = self.shapes.get(ShapeSaid::of(file), || {
            let hull = self.hulls.get(file.hull.clone(), || read_hull(file))?;
            Shaped::on(file, hull)
        })?;
        fitted(path, file, shaped)
    }
}

/// Things made once, by what is said about them.
struct Shared<Said, T> {
    made: Mutex<Vec<(Said, T)>>,
    /// How many are kept at most.
    most: usize,
}

impl<Said, T> Default for Shared<Said, T> {
    fn default() -> Self {
        Self {
            made: Mutex::default(),
            most: usize::MAX,
        }
    }
}

impl<Said: PartialEq, T: Clone> Shared<Said, T> {
    /// The thing that is `wanted`.
    fn get(
        &self,
        wanted: Said,
        make: impl FnOnce() -> Result<T, BoatError>,
    ) -> Result<T, BoatError> {
        let known = || self.made.lock().unwrap_or_else(PoisonError::into_inner);
        let find = |all: &[(Said, T)]| {
            let found = all.iter().find(|(said, _)| *said == wanted);
            found.map(|(_, thing)| thing.clone())
        };
        if let Some(found) = find(&known()) {
            return Ok(found);
        }
        // Made without the lock: whoever else wants it at this moment makes it too,
        // rather than wait in a thread that may be needed for it; the first is kept.
        let made = make()?;
        let mut known = known();
        if let Some(found) = find(&known) {
            return Ok(found);
        }
        if known.len() >= self.most {
            known.remove(0);
        }
        known.push((wanted, made.clone()));
        Ok(made)
    }
}

/// All that a file says about the shape of its envelope.
#[derive(PartialEq)]
struct ShapeSaid {
    hull: Hull,
    parts: Vec<Part>,
    /// Where a wall stands on one of their rims or a deck lies on it.
    openings: Vec<Opening>,
    /// Round which a filling leaves room.
    items: Vec<Item>,
}

impl ShapeSaid {
    fn of(file: &BoatFile) -> Self {
        let stands_on_a_rim = file.parts.iter().any(|part| match &part.shape {
            Shape::Wall(wall) => matches!(wall.foot, Foot::Round(_)),
            Shape::Built(Built::Deck(_)) => true,
            _ => false,
        });
        let fills = |part: &Part| matches!(part.shape, Shape::Built(Built::Filling(_)));
        Self {
            hull: file.hull.clone(),
            parts: file.parts.clone(),
            items: match file.parts.iter().any(fills) {
                true => file.items.clone(),
                false => Vec::new(),
            },
            openings: if stands_on_a_rim {
                file.openings.clone()
            } else {
                Vec::new()
            },
        }
    }
}

impl BoatFile {
    /// The hull alone, to hold a tape to: for options and measurements by tape.
    ///
    /// # Errors
    /// [`BoatError`] where its mesh cannot be read.
    pub fn hull_on_tape(&self) -> Result<HullOnTape, BoatError> {
        let (hull, lie) = read_hull(self)?;
        Ok(HullOnTape::of(&hull, lie.frame))
    }
}

/// The hull's mesh in the boat frame, closed and outward, and how it lies there.
fn read_hull(file: &BoatFile) -> Result<(Prepared, Lie), BoatError> {
    let hull = &file.hull;
    if let Some(made) = &hull.made.0 {
        return Ok(made.as_ref().clone());
    }
    let made = hull
        .plan()
        .make(&*file.from)
        .map_err(|source| match source {
            HullError::Mesh(source) => mesh_error("the hull", &hull.mesh_place, source),
            HullError::NoLength(_) => BoatError::NoLength {
                place: hull.place.clone(),
            },
            HullError::Mend(source) => BoatError::Mend {
                place: hull.mesh_place.clone(),
                source: Box::new(source),
            },
            HullError::EnclosesNothing(source) => BoatError::NoSolid {
                what: "the hull".to_owned(),
                place: hull.mesh_place.clone(),
                source,
            },
        })?;
    let lie = Lie::of(&made, hull.lies_right());
    Ok((made, lie))
}

pub(super) fn mesh_error(what: &str, place: &Place, source: MeshError) -> BoatError {
    BoatError::Mesh {
        what: what.to_owned(),
        place: place.clone(),
        source,
    }
}

/// Where each open edge of the hull was capped, longest first.
fn open_edges(prepared: &Prepared) -> Vec<OpenEdge> {
    prepared
        .loops
        .iter()
        .filter(|capped| !capped.mended)
        .map(|capped| OpenEdge {
            length_m: capped.length_m,
            height_error_m: capped.height_error_m.unwrap_or(0.0),
            rim: capped
                .rim
                .iter()
                .map(|&v| prepared.surface.vertices[v as usize])
                .collect(),
        })
        .collect()
}

/// An open edge of the hull's mesh.
#[derive(Clone)]
pub(super) struct OpenEdge {
    /// How long it is, m.
    pub(super) length_m: f64,
    /// Its points, m.
    pub(super) rim: Vec<Vec3>,
    /// How far its height may be off, ± m.
    pub(super) height_error_m: f64,
}

fn envelope_of(prepared: Prepared) -> Envelope {
    let mut sources = vec![FaceSource::Hull; prepared.surface.faces.len()];
    let caps = prepared.loops.iter().filter(|capped| !capped.mended);
    for (index, capped) in (0..).zip(caps) {
        let cap: Range<usize> = capped.cap.clone();
        sources[cap].fill(FaceSource::Cap(index));
    }
    Envelope {
        surface: prepared.surface,
        sources,
    }
}
