//! PLY files: a text header that describes elements and their properties,
//! then the elements as text or binary.
//!
//! The layout is Greg Turk's of 1994 (Stanford Graphics Laboratory), from
//! memory. An own reader: the header's counts may not be believed before the
//! file has the bytes for them, and two million facets must take a second.
use super::doubt::{Doubt, DoubtKind, MeshError};
use super::raw::{Polygons, RawMesh};

/// Header lines beyond which a file is no mesh.
const MOST_HEADER_LINES: usize = 1000;
/// Names under which programs write the corners of a face.
const CORNER_LISTS: [&str; 2] = ["vertex_indices", "vertex_index"];

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Encoding {
    Text,
    Little,
    Big,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Scalar {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Scalar {
    fn named(name: &str) -> Option<Self> {
        Some(match name {
            "char" | "int8" => Self::I8,
            "uchar" | "uint8" => Self::U8,
            "short" | "int16" => Self::I16,
            "ushort" | "uint16" => Self::U16,
            "int" | "int32" => Self::I32,
            "uint" | "uint32" => Self::U32,
            "float" | "float32" => Self::F32,
            "double" | "float64" => Self::F64,
            _ => return None,
        })
    }

    fn bytes(self) -> usize {
        match self {
            Self::I8 | Self::U8 => 1,
            Self::I16 | Self::U16 => 2,
            Self::I32 | Self::U32 | Self::F32 => 4,
            Self::F64 => 8,
        }
    }
}

#[derive(Debug)]
enum Kind {
    Single(Scalar),
    List { count: Scalar, item: Scalar },
}

#[derive(Debug)]
struct Property {
    name: String,
    kind: Kind,
}

#[derive(Debug)]
struct Element {
    name: String,
    count: usize,
    properties: Vec<Property>,
}

impl Element {
    /// Least bytes that one of these takes in the file.
    fn least_bytes(&self, encoding: Encoding) -> usize {
        let each = |p: &Property| match (encoding, &p.kind) {
            // A digit and a space.
            (Encoding::Text, _) => 2,
            (_, Kind::Single(scalar)) => scalar.bytes(),
            (_, Kind::List { count, .. }) => count.bytes(),
        };
        self.properties.iter().map(each).sum()
    }
}

#[derive(Debug)]
struct Header {
    encoding: Encoding,
    elements: Vec<Element>,
}

/// Reads the bytes of a PLY file, in the file's own unit.
///
/// # Errors
/// [`MeshError::Format`] when the header is broken, when there are points but
/// no facets, or when the vertices are cut short.
pub(super) fn parse_ply(bytes: &[u8]) -> Result<RawMesh, MeshError> {
    let (header, body) = Header::read(bytes)?;
    let mut values = Values {
        encoding: header.encoding,
        rest: body,
    };
    let mut positions: Option<Vec<[f64; 3]>> = None;
    for element in &header.elements {
        if element.name == "vertex" {
            positions = Some(read_vertices(element, &mut values)?);
        } else if element.name == "face" {
            let Some(positions) = &positions else {
                return Err(broken(
                    "its faces come before its vertices; export the mesh again",
                ));
            };
            return read_faces(element, &mut values, positions);
        } else if element.name == "tristrips" {
            break;
        } else if !skip(element, &mut values) {
            return Err(broken(format!(
                "the file ends inside its `{}` elements: it is cut short; copy or export it again",
                element.name
            )));
        }
    }
    Err(if header.elements.iter().any(|e| e.name == "tristrips") {
        broken("its facets are written as strips; export it again with plain triangles")
    } else if positions.is_some() {
        broken(
            "it holds points but no facets (a point cloud): make a surface of it first, with the scanning program's meshing or surface reconstruction",
        )
    } else {
        broken("its header names no vertices and faces; export the mesh again")
    })
}

fn broken(problem: impl Into<String>) -> MeshError {
    MeshError::Format {
        format: "PLY",
        problem: problem.into(),
    }
}

impl Header {
    fn read(bytes: &[u8]) -> Result<(Self, &[u8]), MeshError> {
        let mut encoding = None;
        let mut elements: Vec<Element> = Vec::new();
        let mut rest = bytes;
        for line in 1..=MOST_HEADER_LINES {
            let Some(end) = rest.iter().position(|b| matches!(b, b'\n' | b'\r')) else {
                return Err(broken(
                    "the file ends inside its header; copy or export it again",
                ));
            };
            let text = String::from_utf8_lossy(&rest[..end]).into_owned();
            let pair = rest[end] == b'\r' && rest.get(end + 1) == Some(&b'\n');
            rest = &rest[end + 1 + usize::from(pair)..];
            let words: Vec<&str> = text.split_ascii_whitespace().collect();
            let not_understood = || {
                let shown: String = text.chars().take(60).collect();
                broken(format!(
                    "header line {line}: `{shown}` is not understood; export the mesh again"
                ))
            };
            match words.as_slice() {
                ["end_header"] => {
                    let encoding = encoding.ok_or_else(|| {
                        broken("its header names no `format`; export the mesh again")
                    })?;
                    return Ok((Self { encoding, elements }, rest));
                }
                ["ply"] | [] | ["comment" | "obj_info", ..] => {}
                ["format", name, _version] => {
                    encoding = Some(match *name {
                        "ascii" => Encoding::Text,
                        "binary_little_endian" => Encoding::Little,
                        "binary_big_endian" => Encoding::Big,
                        _ => return Err(not_understood()),
                    });
                }
                ["element", name, count] => elements.push(Element {
                    name: (*name).to_owned(),
                    count: count.parse().map_err(|_| not_understood())?,
                    properties: Vec::new(),
                }),
                ["property", kind @ .., name] => {
                    let scalar = |word: &str| Scalar::named(word).ok_or_else(not_understood);
                    let kind = match kind {
                        [one] => Kind::Single(scalar(one)?),
                        ["list", count, item] => Kind::List {
                            count: scalar(count)?,
                            item: scalar(item)?,
                        },
                        _ => return Err(not_understood()),
                    };
                    let element = elements.last_mut().ok_or_else(not_understood)?;
                    element.properties.push(Property {
                        name: (*name).to_owned(),
                        kind,
                    });
                }
                _ => return Err(not_understood()),
            }
        }
        Err(broken("its header does not end; export the mesh again"))
    }
}

/// The values after the header, one after another.
struct Values<'a> {
    encoding: Encoding,
    rest: &'a [u8],
}

impl Values<'_> {
    /// The next value; `None` at the end of the file or where text is no
    /// number.
    #[inline]
    fn next(&mut self, scalar: Scalar) -> Option<f64> {
        if self.encoding == Encoding::Text {
            return self.word();
        }
        let (bytes, rest) = self.rest.split_at_checked(scalar.bytes())?;
        self.rest = rest;
        let big = self.encoding == Encoding::Big;
        macro_rules! number {
            ($type:ty) => {{
                let raw = bytes.try_into().ok()?;
                let value = if big {
                    <$type>::from_be_bytes(raw)
                } else {
                    <$type>::from_le_bytes(raw)
                };
                f64::from(value)
            }};
        }
        Some(match scalar {
            Scalar::I8 => number!(i8),
            Scalar::U8 => number!(u8),
            Scalar::I16 => number!(i16),
            Scalar::U16 => number!(u16),
            Scalar::I32 => number!(i32),
            Scalar::U32 => number!(u32),
            Scalar::F32 => number!(f32),
            Scalar::F64 => number!(f64),
        })
    }

    fn word(&mut self) -> Option<f64> {
        let begin = self.rest.iter().position(|b| !b.is_ascii_whitespace())?;
        let rest = &self.rest[begin..];
        let length = rest
            .iter()
            .position(u8::is_ascii_whitespace)
            .unwrap_or(rest.len());
        self.rest = &rest[length..];
        let text = std::str::from_utf8(&rest[..length]).ok()?;
        // What some programs write for "not a number" has a `#` in it.
        text.parse()
            .ok()
            .or_else(|| text.contains('#').then_some(f64::NAN))
    }

    /// A count or a place: whole and not negative.
    fn whole(&mut self, scalar: Scalar) -> Option<usize> {
        let value = self.next(scalar)?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "the check holds it whole and under 2³²"
        )]
        let whole = value as usize;
        (value.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&value)).then_some(whole)
    }

    /// Reads a property that is not wanted.
    fn pass(&mut self, kind: &Kind) -> Option<()> {
        match kind {
            Kind::Single(scalar) => {
                self.next(*scalar)?;
            }
            Kind::List { count, item } => {
                let count = self.whole(*count)?;
                if self.encoding == Encoding::Text {
                    for _ in 0..count {
                        self.word()?;
                    }
                } else {
                    self.rest = self.rest.get(count.checked_mul(item.bytes())?..)?;
                }
            }
        }
        Some(())
    }
}

/// Passes over all of an element; false when the file ends before.
fn skip(element: &Element, values: &mut Values<'_>) -> bool {
    if element.properties.is_empty() {
        return true;
    }
    (0..element.count).all(|_| {
        element
            .properties
            .iter()
            .all(|p| values.pass(&p.kind).is_some())
    })
}

fn read_vertices(element: &Element, values: &mut Values<'_>) -> Result<Vec<[f64; 3]>, MeshError> {
    let mut axis_of: Vec<Option<usize>> = Vec::new();
    for property in &element.properties {
        let axis = ["x", "y", "z"].iter().position(|n| *n == property.name);
        axis_of.push(axis.filter(|_| matches!(property.kind, Kind::Single(_))));
    }
    if !(0..3).all(|axis| axis_of.contains(&Some(axis))) {
        return Err(broken(
            "its vertices have no x, y and z; export the mesh again",
        ));
    }
    let held = values.rest.len() / element.least_bytes(values.encoding).max(1);
    let cut_short = |read: usize| {
        broken(format!(
            "the header says {} vertices, but the file ends or is damaged after {read}; copy or export it again",
            element.count
        ))
    };
    // The last number of a text file needs no space after it.
    if held + 1 < element.count {
        return Err(cut_short(held));
    }
    let mut positions = Vec::with_capacity(element.count);
    for read in 0..element.count {
        let mut place = [0.0; 3];
        for (property, axis) in element.properties.iter().zip(&axis_of) {
            let done = match (axis, &property.kind) {
                (Some(axis), Kind::Single(scalar)) => {
                    values.next(*scalar).map(|value| place[*axis] = value)
                }
                _ => values.pass(&property.kind),
            };
            done.ok_or_else(|| cut_short(read))?;
        }
        positions.push(place);
    }
    Ok(positions)
}

fn read_faces(
    element: &Element,
    values: &mut Values<'_>,
    positions: &[[f64; 3]],
) -> Result<RawMesh, MeshError> {
    let is_corners = |p: &Property| {
        CORNER_LISTS.contains(&p.name.as_str()) && matches!(p.kind, Kind::List { .. })
    };
    if !element.properties.iter().any(is_corners) {
        return Err(broken(
            "its faces have no `vertex_indices`; export the mesh again",
        ));
    }
    let mut polygons = Polygons::over(positions);
    let mut corners: Vec<usize> = Vec::new();
    let mut doubts = Vec::new();
    'faces: for read in 0..element.count {
        for property in &element.properties {
            let done = match &property.kind {
                Kind::List { count, item } if is_corners(property) => {
                    corners.clear();
                    values.whole(*count).and_then(|count| {
                        (0..count).try_for_each(|_| {
                            corners.push(values.whole(*item)?);
                            Some(())
                        })
                    })
                }
                other => values.pass(other),
            };
            if done.is_none() {
                doubts.push(Doubt::new(
                    DoubtKind::Truncated,
                    format!(
                        "the header says {} facets, but the file ends or is damaged after {read}: the rest is missing",
                        element.count
                    ),
                ));
                break 'faces;
            }
        }
        polygons.add(&corners).map_err(|none| {
            broken(format!(
                "facet {} names vertex {none} (from 0), but there are {}; copy or export it again",
                read + 1,
                positions.len()
            ))
        })?;
    }
    Ok(polygons.finish(doubts))
}

#[cfg(test)]
#[path = "ply_tests.rs"]
mod tests;
