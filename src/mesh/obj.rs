//! OBJ files: vertices and polygons in text, one statement a line.
//!
//! Only `v` and `f` make the surface; texture, normals, materials, groups and
//! lines are passed over. An own reader, because an error must name the line
//! and a report the facet, which general readers lose.
use super::doubt::{Doubt, DoubtKind, MeshError, first_few};
use super::raw::{Polygons, RawMesh};

/// Statements that may stand in a file and say nothing about its surface.
const PASSED_OVER: &[&[u8]] = &[
    b"vt",
    b"vn",
    b"vp",
    b"g",
    b"o",
    b"s",
    b"l",
    b"p",
    b"mtllib",
    b"usemtl",
    b"mg",
    b"cstype",
    b"deg",
    b"bevel",
    b"c_interp",
    b"d_interp",
    b"lod",
    b"usemap",
    b"maplib",
    b"shadow_obj",
    b"trace_obj",
];
/// Statements of free-form curved surfaces, which this reader does not know.
const CURVED: &[&[u8]] = &[b"curv", b"curv2", b"surf"];

/// Whether bytes read as OBJ: a `v` statement with three numbers early on.
pub(super) fn looks_like_obj(bytes: &[u8]) -> bool {
    const SEARCHED: usize = 1 << 16;
    bytes[..bytes.len().min(SEARCHED)]
        .split(|b| matches!(b, b'\n' | b'\r'))
        .any(|line| {
            let mut words = words(line);
            words.next() == Some(b"v")
                && words
                    .by_ref()
                    .take(3)
                    .filter(|w| number(w).is_some())
                    .count()
                    == 3
        })
}

/// Reads the bytes of an OBJ file, in the file's own unit.
///
/// # Errors
/// [`MeshError::Text`] with the line of a coordinate or vertex number that
/// cannot be read, [`MeshError::OtherFormat`] for curved surfaces.
pub(super) fn parse_obj(bytes: &[u8]) -> Result<RawMesh, MeshError> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let mut positions: Vec<[f64; 3]> = Vec::new();
    // Faces may name vertices that come later in the file, so they are read
    // to the end first: corners one after another, and where each face ends.
    let mut corners: Vec<u32> = Vec::new();
    let mut faces: Vec<(usize, usize)> = Vec::new();
    let mut stray_lines: Vec<usize> = Vec::new();
    for (line, text) in Lines::of(bytes) {
        let mut words = words(&text);
        let Some(keyword) = words.next() else {
            continue;
        };
        match keyword {
            b"v" => positions.push(position(words, line, faces.len())?),
            b"f" => {
                for word in words {
                    corners.push(corner(word, positions.len(), line, faces.len() + 1)?);
                }
                faces.push((corners.len(), line));
            }
            comment if comment.starts_with(b"#") => {}
            known if PASSED_OVER.contains(&known) => {}
            curved if CURVED.contains(&curved) => {
                return Err(MeshError::OtherFormat {
                    found: format!(
                        "line {line} describes a curved surface by formula, not by facets"
                    ),
                });
            }
            _ => stray_lines.push(line),
        }
    }
    let mut polygons = Polygons::over(&positions);
    let mut begin = 0;
    let mut face = Vec::new();
    for (end, line) in faces {
        face.clear();
        face.extend(corners[begin..end].iter().map(|c| *c as usize));
        begin = end;
        polygons.add(&face).map_err(|none| MeshError::Text {
            line,
            facet: polygons.seen(),
            problem: format!(
                "vertex {} is named, but the file has {}; it may be cut short",
                none + 1,
                positions.len()
            ),
        })?;
    }
    let stray = (!stray_lines.is_empty()).then(|| {
        Doubt::new(
            DoubtKind::Stray,
            format!(
                "words that do not belong to an OBJ mesh are passed over: line {}",
                first_few(stray_lines.iter().copied())
            ),
        )
    });
    Ok(polygons.finish(stray.into_iter().collect()))
}

fn position<'a>(
    mut words: impl Iterator<Item = &'a [u8]>,
    line: usize,
    facet: usize,
) -> Result<[f64; 3], MeshError> {
    let mut place = [0.0; 3];
    for value in &mut place {
        let word = words.next().unwrap_or_default();
        *value = number(word).ok_or_else(|| MeshError::Text {
            line,
            facet,
            problem: if word.is_empty() {
                "a vertex has fewer than three coordinates; export the mesh again".into()
            } else {
                format!(
                    "`{}` is no coordinate; write decimals with a point and export the mesh again",
                    shown(word)
                )
            },
        })?;
    }
    Ok(place)
}

/// The vertex (from 0) of one corner: `7`, `7/1`, `7//3`, `-1`.
fn corner(word: &[u8], so_far: usize, line: usize, facet: usize) -> Result<u32, MeshError> {
    let first = word.split(|b| *b == b'/').next().unwrap_or_default();
    let given = std::str::from_utf8(first)
        .ok()
        .and_then(|text| text.parse::<i64>().ok());
    let place = match given {
        Some(from_1) if from_1 > 0 => from_1 - 1,
        Some(from_end) if from_end < 0 => i64::try_from(so_far).unwrap_or(i64::MAX) + from_end,
        _ => -1,
    };
    u32::try_from(place).map_err(|_| MeshError::Text {
        line,
        facet,
        problem: format!(
            "`{}` names no vertex ({so_far} so far); export the mesh again",
            shown(word)
        ),
    })
}

/// A coordinate. What programs write for "not a number" reads as NaN, so that
/// the facet is dropped and reported rather than the file refused.
fn number(word: &[u8]) -> Option<f64> {
    let text = std::str::from_utf8(word).ok()?;
    text.parse()
        .ok()
        .or_else(|| text.contains('#').then_some(f64::NAN))
}

fn shown(word: &[u8]) -> String {
    String::from_utf8_lossy(&word[..word.len().min(40)]).into_owned()
}

fn words(line: &[u8]) -> impl Iterator<Item = &[u8]> {
    line.split(|b| b.is_ascii_whitespace() || *b == 0)
        .filter(|word| !word.is_empty())
}

/// Lines with their number from 1; one that ends in `\` runs on.
struct Lines<'a> {
    rest: &'a [u8],
    line: usize,
}

impl<'a> Lines<'a> {
    fn of(bytes: &'a [u8]) -> Self {
        Self {
            rest: bytes,
            line: 0,
        }
    }

    fn one(&mut self) -> Option<&'a [u8]> {
        if self.rest.is_empty() {
            return None;
        }
        self.line += 1;
        let ends = self.rest.iter().position(|b| matches!(b, b'\n' | b'\r'));
        let (line, rest) = match ends {
            Some(at) => {
                let pair = self.rest[at] == b'\r' && self.rest.get(at + 1) == Some(&b'\n');
                (&self.rest[..at], &self.rest[at + 1 + usize::from(pair)..])
            }
            None => (self.rest, &self.rest[self.rest.len()..]),
        };
        self.rest = rest;
        Some(line)
    }
}

impl<'a> Iterator for Lines<'a> {
    type Item = (usize, std::borrow::Cow<'a, [u8]>);

    fn next(&mut self) -> Option<Self::Item> {
        let first = self.one()?;
        let number = self.line;
        let Some(begun) = first.strip_suffix(b"\\") else {
            return Some((number, first.into()));
        };
        let mut joined = begun.to_vec();
        while let Some(more) = self.one() {
            joined.push(b' ');
            match more.strip_suffix(b"\\") {
                Some(more) => joined.extend(more),
                None => {
                    joined.extend(more);
                    break;
                }
            }
        }
        Some((number, joined.into()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(text: &str) -> RawMesh {
        parse_obj(text.as_bytes()).unwrap()
    }

    const SQUARE: &str = "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\n";

    #[test]
    fn polygons_are_cut_and_keep_the_number_of_their_facet() {
        let mesh = parsed(&format!(
            "{SQUARE}f 1 2 3 4\nf 1/1 2//2 3/1/2\nf -1 -2 -3\n"
        ));
        assert_eq!(mesh.triangles().len(), 4);
        let numbers: Vec<usize> = (0..4).map(|f| mesh.facets.of(f)).collect();
        assert_eq!(numbers, [1, 1, 2, 3]);
        let last = [[0.0, 1.0, 0.0], [1.0, 1.0, 0.0], [1.0, 0.0, 0.0]];
        assert_eq!(mesh.triangles()[3], last);
        assert!(mesh.doubts.is_empty());
    }

    #[test]
    fn faces_may_come_first_and_lines_may_run_on() {
        let mesh = parsed(&format!(
            "# a hull\r\nmtllib x.mtl\r\nf 1 2 \\\n 3\n{SQUARE}"
        ));
        assert_eq!(mesh.triangles().len(), 1);
    }

    #[test]
    fn what_is_wrong_is_told_with_its_line() {
        for (text, words) in [
            ("v 0 0,5 0\n", "line 1, facet 0: `0,5` is no coordinate"),
            ("v 0 0\n", "line 1, facet 0: a vertex has fewer"),
            ("v 0 0 0\nf 0 1 1\n", "line 2, facet 1: `0` names no vertex"),
            (
                "v 0 0 0\nf 1 1 -2\n",
                "line 2, facet 1: `-2` names no vertex",
            ),
            (
                "v 0 0 0\nf 1 1 9\n",
                "line 2, facet 1: vertex 9 is named, but the file has 1",
            ),
            (
                "v 0 0 0\nsurf 0 1 0 1 1 2 3\n",
                "line 2 describes a curved surface",
            ),
        ] {
            let error = parse_obj(text.as_bytes()).unwrap_err().to_string();
            assert!(error.contains(words), "{text:?}: {error}");
        }
    }

    #[test]
    fn nan_and_needles_drop_their_facet_and_strange_words_are_told() {
        let mesh = parsed(&format!(
            "{SQUARE}v 1.#IND 0 nan\nf 1 2 3\nf 1 2 5\nf 1 2\nhello there\nf 1 3 4\n"
        ));
        assert_eq!(mesh.triangles().len(), 2);
        assert_eq!((mesh.facets.of(0), mesh.facets.of(1)), (1, 4));
        assert_eq!(mesh.facets.dropped(), [2, 3]);
        let kinds: Vec<DoubtKind> = mesh.doubts.iter().map(|d| d.kind).collect();
        assert_eq!(
            kinds,
            [
                DoubtKind::DroppedFacets,
                DoubtKind::DroppedFacets,
                DoubtKind::Stray
            ]
        );
        assert!(
            mesh.doubts[2].to_string().ends_with("line 9"),
            "{:?}",
            mesh.doubts
        );
    }
}
