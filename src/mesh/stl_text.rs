//! The text form of STL.
use super::doubt::{Doubt, DoubtKind, MeshError, first_few};
use super::raw::{FacetNumbers, RawMesh, is_finite, not_finite};
use super::weld::weld_equal;

/// Reads a text STL: any number of solids, any case, any line ends.
pub(super) fn parse_text(bytes: &[u8]) -> Result<RawMesh, MeshError> {
    let mut reader = TextReader::new(bytes);
    reader.run()?;
    Ok(reader.finish())
}

/// A facet that has begun.
struct OpenFacet {
    line: usize,
    corners: [[f64; 3]; 3],
    /// Corners seen, which may be more than are kept.
    seen: usize,
}

struct TextReader<'a> {
    words: Words<'a>,
    triangles: Vec<[[f64; 3]; 3]>,
    /// Facets begun so far, the current one included.
    facets: usize,
    current: Option<OpenFacet>,
    not_finite: Vec<usize>,
    /// Facets without exactly three corners, and their lines.
    wrong_corners: Vec<(usize, usize)>,
    stray_lines: Vec<usize>,
    /// The file ran out inside a facet.
    cut: bool,
    solid_open: bool,
}

impl<'a> TextReader<'a> {
    fn new(bytes: &'a [u8]) -> Self {
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        Self {
            words: Words {
                bytes,
                at: 0,
                line: 1,
            },
            triangles: Vec::new(),
            facets: 0,
            current: None,
            not_finite: Vec::new(),
            wrong_corners: Vec::new(),
            stray_lines: Vec::new(),
            cut: false,
            solid_open: false,
        }
    }

    fn run(&mut self) -> Result<(), MeshError> {
        while let Some(word) = self.words.next() {
            let is = |expected: &str| word.eq_ignore_ascii_case(expected.as_bytes());
            if is("vertex") {
                self.vertex()?;
            } else if is("facet") {
                self.close_facet();
                self.facets += 1;
                self.current = Some(OpenFacet {
                    line: self.words.line,
                    corners: [[0.0; 3]; 3],
                    seen: 0,
                });
            } else if is("normal") {
                self.words.skip_normal();
            } else if is("endfacet") {
                self.close_facet();
            } else if is("solid") {
                self.words.skip_name();
                self.solid_open = true;
            } else if is("endsolid") {
                self.close_facet();
                self.words.skip_name();
                self.solid_open = false;
            } else if !(is("outer") || is("loop") || is("endloop")) {
                self.stray_lines.push(self.words.line);
                self.words.skip_line();
            }
        }
        self.cut = self.current.take().is_some();
        Ok(())
    }

    fn vertex(&mut self) -> Result<(), MeshError> {
        let mut corner = [0.0; 3];
        for value in &mut corner {
            let Some(word) = self.words.next() else {
                return Ok(()); // the unfinished facet is reported at the end
            };
            *value = number(word).ok_or_else(|| self.not_a_number(word))?;
        }
        match &mut self.current {
            Some(facet) => {
                if let Some(slot) = facet.corners.get_mut(facet.seen) {
                    *slot = corner;
                }
                facet.seen += 1;
            }
            None => self.stray_lines.push(self.words.line),
        }
        Ok(())
    }

    fn not_a_number(&self, word: &[u8]) -> MeshError {
        let shown = String::from_utf8_lossy(&word[..word.len().min(40)]);
        let hint = if word.contains(&b',') {
            "write decimals with a point, not a comma"
        } else {
            "export the mesh again"
        };
        MeshError::Text {
            line: self.words.line,
            facet: self.facets,
            problem: format!("`{shown}` is no coordinate; {hint}"),
        }
    }

    fn close_facet(&mut self) {
        let Some(facet) = self.current.take() else {
            return;
        };
        if facet.seen != 3 {
            self.wrong_corners.push((self.facets, facet.line));
        } else if is_finite(&facet.corners) {
            self.triangles.push(facet.corners);
        } else {
            self.not_finite.push(self.facets);
        }
    }

    fn finish(self) -> RawMesh {
        let mut doubts = Vec::new();
        if !self.not_finite.is_empty() {
            doubts.push(not_finite(&self.not_finite));
        }
        if let Some((_, line)) = self.wrong_corners.first() {
            doubts.push(Doubt::new(
                DoubtKind::DroppedFacets,
                format!(
                    "{} facets do not have three corners and are left out: facet {}, the first on line {line}",
                    self.wrong_corners.len(),
                    first_few(self.wrong_corners.iter().map(|(facet, _)| *facet)),
                ),
            ));
        }
        if !self.stray_lines.is_empty() {
            doubts.push(Doubt::new(
                DoubtKind::Stray,
                format!(
                    "words that do not belong to an STL mesh are passed over: line {}",
                    first_few(self.stray_lines.iter().copied())
                ),
            ));
        }
        let mut dropped = self.not_finite;
        dropped.extend(self.wrong_corners.iter().map(|(facet, _)| *facet));
        dropped.sort_unstable();
        if self.cut {
            doubts.push(Doubt::new(
                DoubtKind::Truncated,
                format!(
                    "the file ends inside facet {} (line {}): that facet is left out and more may be missing",
                    self.facets, self.words.line
                ),
            ));
        } else if self.solid_open {
            doubts.push(Doubt::new(
                DoubtKind::Truncated,
                format!(
                    "the file ends after facet {} without `endsolid`: it may be cut short",
                    self.facets
                ),
            ));
        }
        RawMesh {
            surface: weld_equal(self.triangles.len(), |i| Some(self.triangles[i])).0,
            facets: FacetNumbers::without(dropped),
            doubts,
            metres_a_unit: None,
            carried: None,
        }
    }
}

/// Words parted by white space, with the line of the last one.
struct Words<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
}

impl<'a> Words<'a> {
    fn next(&mut self) -> Option<&'a [u8]> {
        while let Some(&byte) = self.bytes.get(self.at) {
            if !byte.is_ascii_whitespace() && byte != 0 {
                break;
            }
            if self.ends_line(byte) {
                self.line += 1;
            }
            self.at += 1;
        }
        let rest = &self.bytes[self.at..];
        let length = rest
            .iter()
            .position(|b| b.is_ascii_whitespace() || *b == 0)
            .unwrap_or(rest.len());
        self.at += length;
        (length > 0).then(|| &rest[..length])
    }

    /// `\n`, or a `\r` that no `\n` follows.
    fn ends_line(&self, byte: u8) -> bool {
        byte == b'\n' || (byte == b'\r' && self.bytes.get(self.at + 1) != Some(&b'\n'))
    }

    fn rest_of_line(&self) -> &'a [u8] {
        let rest = &self.bytes[self.at..];
        let length = rest
            .iter()
            .position(|b| matches!(b, b'\n' | b'\r'))
            .unwrap_or(rest.len());
        &rest[..length]
    }

    fn skip_line(&mut self) {
        self.at += self.rest_of_line().len();
    }

    /// Passes over a solid's name, which may be any words; in a file that is
    /// one long line it ends where the first facet begins.
    fn skip_name(&mut self) {
        let rest = self.rest_of_line();
        const BEGINS: &[u8] = b"facet normal";
        let begins = rest
            .windows(BEGINS.len())
            .position(|w| w.eq_ignore_ascii_case(BEGINS));
        self.at += begins.unwrap_or(rest.len());
    }

    /// Passes over the (up to three) numbers of a normal, whatever they are.
    fn skip_normal(&mut self) {
        for _ in 0..3 {
            let (at, line) = (self.at, self.line);
            let is_key_word = self.next().is_none_or(|word| {
                [&b"outer"[..], b"vertex", b"facet", b"endfacet"]
                    .iter()
                    .any(|key| word.eq_ignore_ascii_case(key))
            });
            if is_key_word {
                (self.at, self.line) = (at, line);
                return;
            }
        }
    }
}

/// A coordinate; the ways in which programs write "not a number" all read as
/// NaN, so that the facet is dropped and reported rather than the file refused.
fn number(word: &[u8]) -> Option<f64> {
    let text = std::str::from_utf8(word).ok()?;
    if let Ok(value) = text.parse() {
        return Some(value);
    }
    let bare = text.trim_start_matches(['+', '-']).to_ascii_lowercase();
    (bare.starts_with("nan") || bare.contains('#')).then_some(f64::NAN)
}
