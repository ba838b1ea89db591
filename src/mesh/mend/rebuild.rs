//! Making one skin of shells that pass through each other.
use std::time::Duration;

use manifold_rust::cancel::CancelToken;
use manifold_rust::manifold::Manifold;
use manifold_rust::types::{Error as ManifoldError, WindingRule};

use super::super::columns::{self, ColumnAudit};
use super::super::doubt::DoubtKind;
use super::super::exchange::{from_library, to_library};
use super::super::pieces::{falls_apart, pieces};
use super::super::prepare::{PrepareOptions, prepare};
use super::super::surface::Surface;
use super::MendError;
use super::bench::{Bench, Closed};
use crate::host;

/// Longest that a rebuild may take by its size, in seconds: on rough scans it can run for
/// hours, and a mesh of 16 MB is to be answered within 20 s in all.
const LEAST_S: usize = 15;
const MOST_S: usize = 120;
/// The faces of a binary STL of 16 MB.
const FACES_IN_LEAST: usize = 320_000;

fn time_limit(faces: usize) -> Duration {
    let share_s = LEAST_S * faces / FACES_IN_LEAST;
    Duration::from_secs(share_s.clamp(LEAST_S, MOST_S) as u64)
}

/// Why shells could not be made one.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RebuildError {
    /// It took too long.
    #[error(
        "the shells could not be merged into one within {0} s: the mesh is too rough or too fine there; reduce it, or give the fairing as a [[part]] of its own"
    )]
    TooSlow(u64),
    /// The library refused it.
    #[error("the shells could not be merged into one: {0}")]
    Refused(&'static str),
}

/// Why the library refused, in words that say what to do.
fn in_words(error: ManifoldError) -> &'static str {
    match error {
        ManifoldError::NoError => {
            "nothing is left of them, for they enclose no room; turn their faces outward first"
        }
        ManifoldError::NotManifold | ManifoldError::NotClosed => {
            "they are not closed, so inside and outside cannot be told; mend the holes first (fill, fill_under), or close them in an editor"
        }
        ManifoldError::ResultTooLarge => {
            "the result has more triangles than can be counted; reduce the mesh first"
        }
        ManifoldError::NonFiniteVertex => {
            "a corner has no finite coordinates; export the mesh again"
        }
        _ => {
            "the mesh is damaged in a way that the library does not say; mend it in an editor first"
        }
    }
}

/// Pieces with less than this share of the area are not asked whether they are sound.
const ASKED_SHARE: f64 = 0.01;

/// Whether making one skin of the pieces of a closed surface that counts room twice may
/// cure that: there are several, none of which passes through itself.
#[must_use]
pub fn may_help(surface: &Surface) -> bool {
    let pieces = pieces(surface);
    let asked_m2 = ASKED_SHARE * surface.area_m2();
    let is_sound = |faces: &Vec<usize>| {
        let area_m2: f64 = faces.iter().map(|face| surface.face_area_m2(*face)).sum();
        if area_m2 < asked_m2 {
            return true;
        }
        let mut piece = Surface {
            vertices: surface.vertices.clone(),
            faces: faces.iter().map(|face| surface.faces[*face]).collect(),
        };
        piece.drop_unused_vertices();
        let overlaps = |found: ColumnAudit| found.is_doubled() || found.is_inside_out();
        piece.is_balanced() && !columns::audit(&piece).is_some_and(overlaps)
    };
    pieces.len() > 1 && pieces.iter().all(is_sound)
}

/// Loose facets make no shells.
///
/// # Errors
/// [`RebuildError::Refused`] for these.
pub(super) fn check_hangs_together(surface: &Surface) -> Result<(), RebuildError> {
    if falls_apart(surface) {
        return Err(RebuildError::Refused(
            "its facets do not hang together; weld it or export it again as one surface",
        ));
    }
    Ok(())
}

/// Makes one outward skin of a closed surface whose shells overlap: what lies
/// within at least one shell is inside. Each face keeps its tag.
///
/// # Errors
/// [`RebuildError`] when the surface is not closed or it takes too long.
pub(super) fn rebuilt(
    surface: &Surface,
    tags: &[u64],
) -> Result<(Surface, Vec<u64>), RebuildError> {
    check_hangs_together(surface)?;
    let mesh = to_library(surface, tags.to_vec());
    let limit = time_limit(surface.faces.len());
    let token = CancelToken::new();
    let solid = || {
        let solid = Manifold::from_mesh_gl64_robust(&mesh);
        solid.rebuild_solid_with_token(WindingRule::Positive, Some(&token))
    };
    let result = host::within(limit, || token.cancel(), solid);
    match result.status() {
        ManifoldError::NoError if !result.is_empty() => {}
        ManifoldError::Cancelled => return Err(RebuildError::TooSlow(limit.as_secs())),
        other => return Err(RebuildError::Refused(in_words(other))),
    }
    Ok(from_library(&result))
}

impl Bench<'_> {
    /// Makes one skin of the shells.
    pub(super) fn rebuild(&mut self, closed: Closed) -> Result<Closed, MendError> {
        (self.say)("making one skin of overlapping shells");
        let caps = closed.surface.faces.len() - closed.skin_faces;
        let tags: Vec<u64> = (0..closed.surface.faces.len())
            .map(|f| u64::from(f >= closed.skin_faces))
            .collect();
        let had = closed.surface.signed_volume_m3();
        let (mut surface, tags) = rebuilt(&closed.surface, &tags)?;
        if caps > 0 {
            let mut tags_left = tags.iter();
            surface
                .faces
                .retain(|_| tags_left.next().copied() == Some(0));
            surface.drop_unused_vertices();
        }
        let again = prepare(surface, &PrepareOptions::default());
        let now = again.surface.signed_volume_m3();
        self.log(
            "rebuild",
            format!(
                "overlapping shells were made one skin: {:.2} L before, {:.2} L now",
                1e3 * had,
                1e3 * now
            ),
        );
        self.doubts
            .retain(|d| !matches!(d.kind, DoubtKind::Overlap | DoubtKind::Nested));
        let overlaps = again.doubts.iter().filter(|d| d.kind == DoubtKind::Overlap);
        self.doubts.extend(overlaps.cloned());
        if !again.closed {
            return Err(MendError::NotClosed(
                "making one skin of its shells left gaps".into(),
            ));
        }
        Ok(Closed::of(again))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;
    use crate::numerics::Vec3;

    /// 16 MB of binary STL (84 bytes and 50 a facet) are 320 000 facets.
    #[test]
    fn the_time_grows_with_the_mesh_between_its_ends() {
        for (faces, wanted_s) in [
            (12, 15),
            (320_000, 15),
            (640_000, 30),
            (1_280_000, 60),
            (2_560_000, 120),
            (20_000_000, 120),
        ] {
            assert_eq!(time_limit(faces), Duration::from_secs(wanted_s), "{faces}");
        }
    }

    /// Two balls that overlap; and one of them pressed through its own other side.
    #[test]
    fn rebuilding_helps_pieces_but_not_one_that_passes_through_itself() {
        let ball = |x: f64| solids::icosphere(Vec3::new(x, 0.0, 0.0), 0.5, 3);
        let mut two = ball(0.0);
        two.append(&ball(0.6));
        assert!(may_help(&two));
        assert!(!may_help(&ball(0.0)));
        let mut folded = ball(0.0);
        for v in &mut folded.vertices {
            if v.z > 0.3 {
                v.z = 0.3 - 6.0 * (v.z - 0.3);
            }
        }
        let audit = columns::audit(&folded).expect("columns");
        assert!(audit.is_doubled() || audit.is_inside_out());
        folded.append(&ball(0.6));
        assert!(!may_help(&folded));
    }
}
