//! Everything that is wrong with a surface, element by element.
use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;

use super::cap::ring_area;
use super::columns::{self, ColumnAudit};
use super::doubt::{at, point_as_array};
use super::raw::FacetNumbers;
use super::ring::round_m;
use super::surface::Surface;
use super::survey::Survey;
use super::topology::Topology;
use crate::numerics::Vec3;
use crate::quantity::{Sentence, sentence};

/// A face lower than this share of the mesh's diagonal has no area worth the
/// name: one rounding of single precision, 0.4 µm on a hull of 3.4 m.
pub const FLAT_HEIGHT_SHARE: f64 = 1.2e-7;
/// A shell smaller than this share of the mesh's diagonal is a speck.
pub const SPECK_SHARE: f64 = 0.02;
/// How many of a class of defects are shown with their places.
const SHOWN_PLACES: usize = 3;

/// What kind of defect.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DefectKind {
    /// An opening: open edges that form a loop.
    OpenLoop,
    /// Open edges that do not close into a loop.
    LooseChain,
    /// A vertex where several loops of open edges touch.
    PinchedOpening,
    /// An edge with three or more faces.
    BranchingEdge,
    /// An edge whose two faces run the same way along it.
    ClashingFaces,
    /// A shell that has no inside, like a band with a half twist.
    OneSided,
    /// A face with the same three corners as an earlier one.
    DuplicateFace,
    /// A face with the same corner twice.
    RepeatedCorner,
    /// A face without area.
    FlatFace,
    /// A closed shell that faces inward and is no hollow in another.
    InvertedShell,
    /// A small loose piece.
    Speck,
    /// Space that is wrapped twice: shells that overlap each other or
    /// themselves.
    DoubledVolume,
    /// Space that is wrapped inside out.
    InsideOutVolume,
}

impl fmt::Display for DefectKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::OpenLoop => "opening (loop of open edges)",
            Self::LooseChain => "open edge that belongs to no loop",
            Self::PinchedOpening => "vertex where openings touch",
            Self::BranchingEdge => "edge with three or more faces",
            Self::ClashingFaces => "edge whose two faces disagree on which side is out",
            Self::OneSided => "edge where a shell turns into its own other side",
            Self::DuplicateFace => "facet that is there twice",
            Self::RepeatedCorner => "facet with the same corner twice",
            Self::FlatFace => "facet without area",
            Self::InvertedShell => "shell that faces inward",
            Self::Speck => "small loose piece",
            Self::DoubledVolume => "space enclosed twice",
            Self::InsideOutVolume => "space enclosed inside out",
        })
    }
}

/// What a defect sits on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Element {
    /// A facet of the file, from 1.
    Facet(usize),
    /// An edge: its two vertices (from 0) and a facet of the file (from 1) on it.
    Edge {
        /// Vertices of the surface.
        vertices: [u32; 2],
        /// Facet of the file.
        facet: usize,
    },
    /// A vertex of the surface, from 0.
    Vertex(u32),
    /// Entry in [`Examination::shells`].
    Shell(usize),
    /// Entry in [`Examination::loops`].
    Loop(usize),
    /// A region of space, not a part of the mesh.
    Space,
}

impl fmt::Display for Element {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Facet(n) => write!(f, "facet {n}"),
            Self::Edge {
                vertices: [a, b],
                facet,
            } => write!(f, "edge {a}–{b} of facet {facet}"),
            Self::Vertex(v) => write!(f, "vertex {v}"),
            Self::Shell(s) => write!(f, "shell {}", s + 1),
            Self::Loop(l) => write!(f, "opening {}", l + 1),
            Self::Space => f.write_str("space"),
        }
    }
}

/// One defect: what, on which element, where.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Defect {
    /// What it is.
    pub kind: DefectKind,
    /// What it sits on.
    pub element: Element,
    /// Where, m.
    #[serde(serialize_with = "point_as_array")]
    #[schemars(with = "[f64; 3]")]
    pub place: Vec3,
}

impl Defect {
    /// What, where, and what kind of defect.
    #[must_use]
    pub fn sentence(&self) -> Sentence {
        let kind = format!(": {}", self.kind);
        sentence![format!("{} at ", self.element), at(&self.place), kind]
    }
}

/// An opening: a simple loop of open edges.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Loop {
    /// Its vertices in order, as the surface's own edges run.
    pub vertices: Vec<u32>,
    /// Length round it, m; of a ragged edge, as of a tape along its middle.
    pub length_m: f64,
    /// Mean of its vertices, weighted by edge length, m.
    #[serde(serialize_with = "point_as_array")]
    #[schemars(with = "[f64; 3]")]
    pub centre: Vec3,
    /// Its lowest vertex (z), m.
    #[serde(serialize_with = "point_as_array")]
    #[schemars(with = "[f64; 3]")]
    pub lowest: Vec3,
    /// Area it encloses in its best-fit plane, m².
    pub area_m2: f64,
}

impl Loop {
    /// A loop through vertices of a surface, in their order.
    #[must_use]
    pub fn through(surface: &Surface, vertices: &[u32]) -> Self {
        let points: Vec<Vec3> = vertices
            .iter()
            .map(|v| surface.vertices[*v as usize])
            .collect();
        let mut whole_m = 0.0;
        let mut weighted = Vec3::zeros();
        for (i, p) in points.iter().enumerate() {
            let q = &points[(i + 1) % points.len()];
            let step = (q - p).norm();
            whole_m += step;
            weighted += (p + q) * (step / 2.0);
        }
        let lowest = points
            .iter()
            .copied()
            .min_by(|a, b| a.z.total_cmp(&b.z))
            .unwrap_or_default();
        Self {
            vertices: vertices.to_vec(),
            length_m: round_m(&points),
            centre: if whole_m > 0.0 {
                weighted / whole_m
            } else {
                lowest
            },
            lowest,
            area_m2: ring_area(&points).norm(),
        }
    }
}

/// Faces joined to each other across edges.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Shell {
    /// Number of faces.
    pub faces: usize,
    /// Its first facet in the file, from 1.
    pub first_facet: usize,
    /// Whether it has no open and no branching edge.
    pub closed: bool,
    /// Signed volume with its faces agreeing, m³; meaningful when closed.
    pub volume_m3: f64,
    /// Smallest coordinates, m.
    #[serde(serialize_with = "point_as_array")]
    #[schemars(with = "[f64; 3]")]
    pub lo: Vec3,
    /// Largest coordinates, m.
    #[serde(serialize_with = "point_as_array")]
    #[schemars(with = "[f64; 3]")]
    pub hi: Vec3,
    /// Closed shells that it lies inside of, the largest first.
    pub inside_of: Vec<u32>,
}

impl Shell {
    /// Middle of its box, m.
    #[must_use]
    pub fn centre(&self) -> Vec3 {
        (self.lo + self.hi) / 2.0
    }

    /// Diagonal of the box around it, m.
    #[must_use]
    pub fn diagonal_m(&self) -> f64 {
        (self.hi - self.lo).norm()
    }
}

/// All that was found on a surface.
#[derive(Debug, Clone, Default, PartialEq, JsonSchema, Serialize)]
pub struct Examination {
    /// Faces looked at.
    pub faces: usize,
    /// Vertices looked at.
    pub vertices: usize,
    /// Diagonal of the box around the mesh, m.
    pub diagonal_m: f64,
    /// Every defect, class by class.
    pub defects: Vec<Defect>,
    /// Every opening, as found; [`Element::Loop`] points here.
    pub loops: Vec<Loop>,
    /// Every shell; [`Element::Shell`] points here.
    pub shells: Vec<Shell>,
    /// The column audit, which only a closed surface can have.
    pub audit: Option<ColumnAudit>,
}

/// A class of defects, for showing.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct DefectClass {
    /// What it is.
    pub kind: DefectKind,
    /// How many there are.
    pub count: usize,
    /// The first few.
    pub first: Vec<Defect>,
}

impl DefectClass {
    /// How many of what kind, and the first few with their places.
    #[must_use]
    pub fn sentence(&self) -> Sentence {
        let mut said = Sentence::from(format!("{} × {}", self.count, self.kind));
        for (i, defect) in self.first.iter().enumerate() {
            let mark = if i == 0 { ": " } else { "; " };
            let element = format!("{mark}{} at ", defect.element);
            said = said.then(sentence![element, at(&defect.place)]);
        }
        if self.count > self.first.len() {
            said = said.then(format!("; and {} more", self.count - self.first.len()));
        }
        said
    }
}

impl Examination {
    /// Whether nothing at all is wrong.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.defects.is_empty()
    }

    /// How many defects of a kind there are.
    #[must_use]
    pub fn count(&self, kind: DefectKind) -> usize {
        self.defects.iter().filter(|d| d.kind == kind).count()
    }

    /// Each class with its count and first few places.
    #[must_use]
    pub fn classes(&self) -> Vec<DefectClass> {
        let mut classes: Vec<DefectClass> = Vec::new();
        for defect in &self.defects {
            let known = classes.iter_mut().find(|c| c.kind == defect.kind);
            match known {
                Some(class) => {
                    class.count += 1;
                    if class.first.len() < SHOWN_PLACES {
                        class.first.push(defect.clone());
                    }
                }
                None => classes.push(DefectClass {
                    kind: defect.kind,
                    count: 1,
                    first: vec![defect.clone()],
                }),
            }
        }
        classes
    }

    /// Adds what the columns found.
    pub(super) fn add_audit(&mut self, audit: ColumnAudit) {
        let found = [
            (
                audit.is_doubled(),
                DefectKind::DoubledVolume,
                audit.doubled_at,
            ),
            (
                audit.is_inside_out(),
                DefectKind::InsideOutVolume,
                audit.inside_out_at,
            ),
        ];
        for (is_there, kind, place) in found {
            if let Some(place) = place.filter(|_| is_there) {
                self.defects.push(Defect {
                    kind,
                    element: Element::Space,
                    place: place.0,
                });
            }
        }
        self.audit = Some(audit);
    }
}

/// Lists every defect of a surface whose faces are the facets of the file.
#[must_use]
pub fn examine(surface: &Surface) -> Examination {
    examine_numbered(surface, &FacetNumbers::default())
}

/// Lists every defect of a surface, naming facets by their number in the file.
#[must_use]
pub fn examine_numbered(surface: &Surface, facets: &FacetNumbers) -> Examination {
    let topology = Topology::of(surface);
    let mut examination = Survey::of(surface, &topology, facets).examination;
    if surface.is_balanced()
        && let Some(audit) = columns::audit(surface)
    {
        examination.add_audit(audit);
    }
    examination
}

#[cfg(test)]
#[path = "check_tests.rs"]
mod tests;
