//! STL files: a forgiving reader that tells what it had to forgive, and a
//! binary writer.
//!
//! The layout is the one that 3D Systems published for stereolithography:
//! binary is 80 bytes of header, a little-endian `u32` count, then 50 bytes a
//! facet (normal, three corners as `f32`, two spare bytes); text is nested
//! `solid / facet normal / outer loop / vertex` words. The file's normals are
//! ignored: the order of the corners says which side is out.
use std::io::{BufWriter, Write};

use super::doubt::{Doubt, DoubtKind, MeshError, id};
use super::not_seen::{Carried, HEADER};
use super::order::order_of_place;
use super::raw::{FacetNumbers, RawMesh, is_finite, not_finite};
use super::stl_text::parse_text;
use super::surface::Surface;
use super::weld::weld_equal;

/// Bytes before the first facet of a binary file.
const BINARY_LEAD: usize = 84;
/// Bytes of one binary facet.
const BINARY_FACET: usize = 50;
/// Half-edges are numbered `3·face + side` in 32 bits with a few values kept
/// back, so there can be a third of that many facets.
pub const MAX_FACETS: usize = u32::MAX as usize / 3 - 2;
/// How far into a file the words of a text STL are looked for, bytes.
const TEXT_SEARCH: usize = 1 << 20;
/// Facets looked at to decide whether bytes are binary facets.
const SAMPLED_FACETS: usize = 1000;
/// Sizes between which a coordinate of a real mesh lies, in any unit, unless
/// it is zero: text or noise read as `f32` mostly falls outside.
const PLAUSIBLE: std::ops::Range<f32> = 1e-9..1e7;

/// Reads the bytes of an STL file, binary or text, in the file's own unit.
///
/// Binary when the length is exactly what the count says; otherwise text when
/// the words of a text STL are there; otherwise whatever binary facets the
/// file holds, with a doubt. Facets with a corner that is no finite number are
/// left out and reported.
///
/// # Errors
/// When the bytes are no STL, hold no usable facet, or hold a value that
/// cannot be read.
pub fn parse_stl(bytes: &[u8]) -> Result<RawMesh, MeshError> {
    let declared = declared_facets(bytes);
    let exact = declared.is_some_and(|n| BINARY_LEAD + BINARY_FACET * n == bytes.len());
    let raw = if exact {
        RawMesh {
            carried: Carried::read(bytes),
            ..parse_binary(&bytes[BINARY_LEAD..], Vec::new())?
        }
    } else if looks_like_text(bytes) {
        parse_text(bytes)?
    } else if let Some(declared) = declared
        && let Some(body) = binary_body(bytes, declared)
    {
        salvage_binary(body, declared)?
    } else {
        return Err(refusal(bytes));
    };
    if raw.surface.faces.is_empty() {
        return Err(MeshError::Empty {
            dropped: raw.facets.dropped().len(),
        });
    }
    if raw.surface.faces.len() > MAX_FACETS {
        return Err(MeshError::TooLarge {
            facets: raw.surface.faces.len(),
            most: MAX_FACETS,
        });
    }
    Ok(raw)
}

fn declared_facets(bytes: &[u8]) -> Option<usize> {
    let count: [u8; 4] = bytes.get(80..BINARY_LEAD)?.try_into().ok()?;
    usize::try_from(u32::from_le_bytes(count)).ok()
}

fn looks_like_text(bytes: &[u8]) -> bool {
    let lead = &bytes[..bytes.len().min(TEXT_SEARCH)];
    contains_word(lead, b"facet") && contains_word(lead, b"vertex")
}

fn contains_word(bytes: &[u8], word: &[u8]) -> bool {
    bytes
        .windows(word.len())
        .any(|w| w.eq_ignore_ascii_case(word))
}

fn corner_f32(facet: &[u8], corner: usize) -> [f32; 3] {
    [0, 1, 2].map(|axis| {
        let at = 12 + 12 * corner + 4 * axis;
        f32::from_le_bytes([facet[at], facet[at + 1], facet[at + 2], facet[at + 3]])
    })
}

/// Whether bytes read as binary facets: nine out of ten sampled ones have only
/// plausible coordinates.
fn holds_binary_facets(body: &[u8]) -> bool {
    let facets = body.len() / BINARY_FACET;
    let step = facets.div_ceil(SAMPLED_FACETS).max(1);
    let mut seen = 0;
    let mut plausible = 0;
    for facet in body.chunks_exact(BINARY_FACET).step_by(step) {
        seen += 1;
        let fits = (0..3)
            .flat_map(|c| corner_f32(facet, c))
            .all(|v| v == 0.0 || v.is_nan() || PLAUSIBLE.contains(&v.abs()));
        plausible += usize::from(fits);
    }
    seen > 0 && plausible * 10 >= seen * 9
}

/// The bytes after the lead when at least those that the header speaks of, or
/// all of them, read as facets.
fn binary_body(bytes: &[u8], declared: usize) -> Option<&[u8]> {
    let body = bytes.get(BINARY_LEAD..)?;
    let spoken_of = body.len().min(declared.saturating_mul(BINARY_FACET));
    (holds_binary_facets(&body[..spoken_of]) || holds_binary_facets(body)).then_some(body)
}

fn salvage_binary(body: &[u8], declared: usize) -> Result<RawMesh, MeshError> {
    let held = body.len() / BINARY_FACET;
    let left_over = body.len() % BINARY_FACET;
    let mut doubts = Vec::new();
    let used = if declared > held {
        doubts.push(Doubt::new(
            DoubtKind::WrongCount,
            format!("the header says {declared} facets, the file holds {held}: it may be cut short; all {held} are used"),
        ));
        if left_over > 0 {
            doubts.push(Doubt::new(
                DoubtKind::Truncated,
                format!(
                    "the file ends inside facet {}: its last {left_over} bytes are not used",
                    held + 1
                ),
            ));
        }
        held
    } else if declared < held
        && (declared == 0 || holds_binary_facets(&body[declared * BINARY_FACET..]))
    {
        doubts.push(Doubt::new(
            DoubtKind::WrongCount,
            format!(
                "the header says {declared} facets, the file holds {held}: all {held} are used"
            ),
        ));
        if left_over > 0 {
            doubts.push(stray_bytes(left_over, held));
        }
        held
    } else {
        doubts.push(stray_bytes(body.len() - declared * BINARY_FACET, declared));
        declared
    };
    parse_binary(&body[..used * BINARY_FACET], doubts)
}

fn stray_bytes(count: usize, after: usize) -> Doubt {
    Doubt::new(
        DoubtKind::Stray,
        format!("{count} bytes after facet {after} are not part of the mesh and are not used"),
    )
}

fn parse_binary(body: &[u8], mut doubts: Vec<Doubt>) -> Result<RawMesh, MeshError> {
    let facets = body.len() / BINARY_FACET;
    if facets > MAX_FACETS {
        return Err(MeshError::TooLarge {
            facets,
            most: MAX_FACETS,
        });
    }
    let corners = |facet: usize| {
        let bytes = &body[facet * BINARY_FACET..(facet + 1) * BINARY_FACET];
        [0, 1, 2].map(|corner| corner_f32(bytes, corner))
    };
    let order = order_of_place(facets, corners);
    let in_file = |i: usize| order.as_ref().map_or(i, |order| order[i] as usize);
    let (surface, left_out) = weld_equal(facets, |i| {
        let triangle = corners(in_file(i)).map(|corner| corner.map(f64::from));
        is_finite(&triangle).then_some(triangle)
    });
    let mut dropped: Vec<usize> = left_out.iter().map(|&i| in_file(i) + 1).collect();
    dropped.sort_unstable();
    if !dropped.is_empty() {
        doubts.push(not_finite(&dropped));
    }
    let facets = match order {
        Some(order) => {
            let mut left_out = left_out.into_iter().peekable();
            let kept = (0..)
                .zip(order)
                .filter(|(i, _)| left_out.next_if_eq(i).is_none());
            FacetNumbers::in_order(kept.map(|(_, number)| number + 1).collect(), dropped)
        }
        None => FacetNumbers::without(dropped),
    };
    Ok(RawMesh {
        surface,
        facets,
        doubts,
        metres_a_unit: None,
        carried: None,
    })
}

fn refusal(bytes: &[u8]) -> MeshError {
    let starts = |magic: &[u8]| bytes.starts_with(magic);
    if bytes.len() >= 5 && bytes[..5].eq_ignore_ascii_case(b"solid") && bytes.len() < 1024 {
        return MeshError::Empty { dropped: 0 };
    }
    let found = if bytes.is_empty() {
        "the file is empty"
    } else if starts(b"glTF") {
        "it looks like a GLB file"
    } else if starts(b"ply") {
        "it looks like a PLY file"
    } else if starts(b"PK") {
        "it looks like a zip archive or a 3MF file"
    } else if starts(&[0x1F, 0x8B]) {
        "it is compressed (gzip): unpack it first"
    } else if starts(b"v ") || contains_word(&bytes[..bytes.len().min(4096)], b"\nv ") {
        "it looks like an OBJ file"
    } else if bytes.len() < BINARY_LEAD + BINARY_FACET {
        "it is too short for one facet and has no `facet` and `vertex` words"
    } else {
        "it has no `facet` and `vertex` words, and its bytes are no binary facets"
    };
    MeshError::NotStl {
        bytes: bytes.len(),
        found: found.to_owned(),
    }
}

/// Writes a surface as binary STL, in metres. STL keeps single precision: about
/// 0.2 µm on a 3 m hull.
///
/// # Errors
/// [`MeshError::NotWritable`] for a coordinate that single precision cannot
/// hold and [`MeshError::TooLarge`], before anything is written; [`MeshError::Write`].
pub fn write_stl(out: impl Write, surface: &Surface) -> Result<(), MeshError> {
    write_with([0; HEADER], out, surface)
}

/// Writes a mended surface as [`write_stl`] does, with what it carries in its header, where
/// [`parse_stl`] finds it.
///
/// # Errors
/// As [`write_stl`].
pub fn write_mended_stl(
    out: impl Write,
    surface: &Surface,
    carried: Option<&Carried>,
) -> Result<(), MeshError> {
    let header = carried.map_or([0; HEADER], Carried::header);
    write_with(header, out, surface)
}

fn write_with(header: [u8; HEADER], out: impl Write, surface: &Surface) -> Result<(), MeshError> {
    if surface.faces.len() > MAX_FACETS {
        return Err(MeshError::TooLarge {
            facets: surface.faces.len(),
            most: MAX_FACETS,
        });
    }
    if let Some(v) = surface
        .vertices
        .iter()
        .position(|v| !v.iter().all(|c| c.abs() <= f64::from(f32::MAX)))
    {
        return Err(MeshError::NotWritable {
            vertex: id(v),
            at: surface.vertices[v],
        });
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "STL holds single precision; the range was checked"
    )]
    let single = |v: crate::numerics::Vec3| [v.x as f32, v.y as f32, v.z as f32];
    let facets = (0..surface.faces.len()).map(|face| {
        let [a, b, c] = surface.corners(face);
        let normal = (b - a)
            .cross(&(c - a))
            .try_normalize(0.0)
            .unwrap_or_default();
        stl_io::Triangle {
            normal: stl_io::Normal::new(single(normal)),
            vertices: [a, b, c].map(|v| stl_io::Vertex::new(single(v))),
        }
    });
    let mut out = BufWriter::new(Headed {
        header: &header,
        out,
    });
    let written = stl_io::write_stl(&mut out, facets).and_then(|()| out.flush());
    written.map_err(MeshError::Write)
}

/// Puts a header where the library of STL leaves it blank.
struct Headed<'a, W> {
    /// What of it is still to come.
    header: &'a [u8],
    out: W,
}

impl<W: Write> Write for Headed<'_, W> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let count = self.header.len().min(bytes.len());
        if count == 0 {
            return self.out.write(bytes);
        }
        let written = self.out.write(&self.header[..count])?;
        self.header = &self.header[written..];
        Ok(written)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.out.flush()
    }
}

#[cfg(test)]
#[path = "stl_tests.rs"]
mod tests;
