//! The plain kernel: every triangle, one after the other.
use std::ops::Range;

use super::accumulator::Accumulator;
use super::moments::Immersion;
use super::plane::WaterPlane;
use crate::mesh::Surface;
use crate::numerics::Vec3;

/// Faces summed before the running sums join the total: keeps rounding at the
/// level of one block rather than of millions of terms.
const BLOCK: usize = 4096;

/// The same answer as [`super::MomentTree::immerse`] by visiting every face:
/// the oracle that tests and benchmarks hold the tree to. `bare` are the face
/// ranges without skin (caps over openings).
#[must_use]
pub fn immerse_one_pass(surface: &Surface, bare: &[Range<usize>], plane: &WaterPlane) -> Immersion {
    let reference = reference_of(surface);
    let mut total = Immersion::nothing(*plane, reference);
    for start in (0..surface.faces.len()).step_by(BLOCK) {
        let mut sum = Accumulator::new(plane, reference);
        for face in start..(start + BLOCK).min(surface.faces.len()) {
            let [a, b, c] = surface.corners(face);
            let a = sum.to_frame(&(a - reference));
            let b = sum.to_frame(&(b - reference));
            let c = sum.to_frame(&(c - reference));
            let has_skin = !bare.iter().any(|range| range.contains(&face));
            sum.add_triangle(&a, &b, &c, has_skin);
        }
        total.add(1.0, &sum.finish());
    }
    total
}

/// The point that sums are taken about: the middle of the mesh's box.
pub(super) fn reference_of(surface: &Surface) -> Vec3 {
    surface
        .bounds()
        .map_or_else(Vec3::zeros, |(lo, hi)| (lo + hi) / 2.0)
}
