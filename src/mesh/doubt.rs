//! What went wrong (errors) and what to be wary of (doubts) in a mesh.
use std::fmt;
use std::path::PathBuf;

use schemars::JsonSchema;
use serde::Serialize;

use crate::numerics::Vec3;
use crate::quantity::{Piece, Sentence};

/// Writes a point as a plain `[x, y, z]` array.
pub(super) fn point_as_array<S: serde::Serializer>(p: &Vec3, s: S) -> Result<S::Ok, S::Error> {
    [p.x, p.y, p.z].serialize(s)
}

/// Narrows an index into a surface.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the reader refuses files past MAX_FACETS, so every index fits"
)]
#[inline]
pub(super) fn id(index: usize) -> u32 {
    debug_assert!(u32::try_from(index).is_ok());
    index as u32
}

/// Why a mesh could not be read or written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum MeshError {
    /// The operating system refused the file.
    #[error("cannot read {}: {source}{}", path.display(), about_condition(path, source))]
    Io {
        /// The file.
        path: PathBuf,
        /// The system's reason.
        source: std::io::Error,
    },
    /// The operating system refused what is written.
    #[error("cannot write the mesh: {0}")]
    Write(std::io::Error),
    /// A file that was opened but whose content is refused.
    #[error("{}: {source}", path.display())]
    InFile {
        /// The file.
        path: PathBuf,
        /// What is wrong in it.
        source: Box<MeshError>,
    },
    /// The bytes are no STL that can be understood.
    #[error(
        "not an STL mesh ({bytes} bytes): {found}; export the hull again as STL, OBJ, PLY or GLB"
    )]
    NotStl {
        /// Size of the file, bytes.
        bytes: usize,
        /// What it looks like instead.
        found: String,
    },
    /// A file of a known type whose content is damaged or not usable.
    #[error("not a usable {format} file: {problem}")]
    Format {
        /// Its type, "PLY" or "GLB".
        format: &'static str,
        /// What is wrong, where, and what to do.
        problem: String,
    },
    /// A boat file where a mesh belongs.
    #[error(
        "this is a boat file, and a mesh is wanted here: name the mesh itself (STL, OBJ, PLY or GLB)"
    )]
    BoatFile,
    /// A file of a type that is not read here.
    #[error("not a mesh that can be read: {found}; export the hull again as STL, OBJ, PLY or GLB")]
    OtherFormat {
        /// What it is.
        found: String,
    },
    /// A file that is too large to be read.
    #[error("the file has {bytes} bytes; at most {most} are read: reduce the mesh first")]
    FileTooLarge {
        /// Its size.
        bytes: u64,
        /// The limit.
        most: u64,
    },
    /// No facet that can be used.
    #[error("the mesh holds no usable facet ({dropped} dropped); export the hull again")]
    Empty {
        /// Facets that were there but could not be used.
        dropped: usize,
    },
    /// A text STL or an OBJ with a value that cannot be read.
    #[error("line {line}, facet {facet}: {problem}")]
    Text {
        /// Line, from 1.
        line: usize,
        /// Facet of the file, from 1.
        facet: usize,
        /// What was found and what to do.
        problem: String,
    },
    /// More facets than the indices can hold.
    #[error("{facets} facets; at most {most} can be handled: reduce the mesh first")]
    TooLarge {
        /// Facets in the file or surface.
        facets: usize,
        /// The limit.
        most: usize,
    },
    /// A coordinate that does not fit the single precision of an STL file.
    #[error("vertex {vertex} at ({:.3e}, {:.3e}, {:.3e}) m cannot be written as STL", at.x, at.y, at.z)]
    NotWritable {
        /// Vertex index, from 0.
        vertex: u32,
        /// Its place, m.
        at: Vec3,
    },
}

/// Advice where a mesh is named with a loading condition, and there is no such file.
fn about_condition(path: &std::path::Path, why: &std::io::Error) -> &'static str {
    let is_there = why.kind() != std::io::ErrorKind::NotFound;
    if path.to_string_lossy().contains('#') && !is_there {
        "; what follows a # names a loading condition, which a boat file has and a mesh has not"
    } else {
        ""
    }
}

/// What a doubt is about; stable words for JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DoubtKind {
    /// The header's facet count is not what the file holds.
    WrongCount,
    /// The file ends too early.
    Truncated,
    /// Bytes or words that do not belong to the mesh.
    Stray,
    /// Facets that could not be used.
    DroppedFacets,
    /// Vertices that were joined though not equal.
    LooseWeld,
    /// The unit was guessed.
    Unit,
    /// Faces taken away: no area, or there twice.
    RemovedFaces,
    /// Faces or shells that were turned over.
    Turned,
    /// A shell inside another.
    Nested,
    /// Holes mended as scan defects.
    Mended,
    /// Large openings closed by a cap.
    Capped,
    /// An opening so twisted that no plain cap fits it.
    Twisted,
    /// Edges shared by more than two faces.
    Branching,
    /// The surface could not be closed.
    NotClosed,
    /// Volume counted twice or inside out.
    Overlap,
    /// Defects of one class, with their elements and places.
    Defect,
    /// Both sides of a skin are there, or were and may not have been told apart.
    Skin,
    /// Small loose pieces.
    Specks,
    /// A part that does not do what it is meant to.
    Part,
    /// A place or size that can hardly be meant.
    Place,
}

/// Something that a reader of the results must know about the mesh.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Doubt {
    /// What it is about.
    pub kind: DoubtKind,
    /// A sentence for the user: what, where, what was done about it.
    pub text: Sentence,
    /// How far it may put a sill off, up or down, m, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sill_m: Option<f64>,
}

impl Doubt {
    /// A doubt with its sentence.
    pub fn new(kind: DoubtKind, text: impl Into<Sentence>) -> Self {
        Self {
            kind,
            text: text.into(),
            sill_m: None,
        }
    }

    /// The same of a sill that it may put off by so much, m.
    #[must_use]
    pub fn of_sill(self, off_m: f64) -> Self {
        Self {
            sill_m: Some(off_m),
            ..self
        }
    }

    /// The same of a thing, named first.
    #[must_use]
    pub fn about(self, thing: &str) -> Self {
        Self {
            text: self.text.behind(format!("{thing}: ")),
            ..self
        }
    }
}

/// In metric units.
impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.text.fmt(f)
    }
}

/// The first few of a list of numbers, and how many more there are.
pub(super) fn first_few(numbers: impl ExactSizeIterator<Item = usize>) -> String {
    const SHOWN: usize = 5;
    let total = numbers.len();
    let shown: Vec<String> = numbers.take(SHOWN).map(|n| n.to_string()).collect();
    let mut text = shown.join(", ");
    if total > SHOWN {
        text.push_str(&format!(" and {} more", total - SHOWN));
    }
    text
}

/// A place in the boat, for sentences.
pub(crate) fn at(p: &Vec3) -> Piece {
    Piece::Place((*p).into())
}
