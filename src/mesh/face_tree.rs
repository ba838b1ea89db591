//! A box tree over faces: nearest points.
use rayon::prelude::*;

use super::doubt::id;
use super::surface::Surface;
use crate::numerics::Vec3;

/// Faces in one leaf.
const LEAF_FACES: usize = 8;

#[derive(Debug, Clone, Copy)]
struct Aabb {
    lo: Vec3,
    hi: Vec3,
}

impl Aabb {
    const EMPTY: Self = Self {
        lo: Vec3::new(f64::INFINITY, f64::INFINITY, f64::INFINITY),
        hi: Vec3::new(f64::NEG_INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY),
    };

    fn joined(&self, other: &Self) -> Self {
        Self {
            lo: self.lo.inf(&other.lo),
            hi: self.hi.sup(&other.hi),
        }
    }

    /// Squared distance of a point from the box, m²; infinite when empty.
    #[inline]
    fn distance_squared(&self, p: &Vec3) -> f64 {
        (0..3)
            .map(|k| (self.lo[k] - p[k]).max(p[k] - self.hi[k]).max(0.0).powi(2))
            .sum()
    }
}

/// The point of a surface nearest to another.
#[derive(Debug, Clone, Copy)]
pub(super) struct Nearest {
    pub(super) face: u32,
    pub(super) point: Vec3,
    pub(super) distance_squared: f64,
}

/// A complete binary tree of boxes over the faces in order along a
/// space-filling curve (Morton, 1966): node `n` has children `2n + 1` and
/// `2n + 2`, the last `leaves` nodes hold faces.
#[derive(Debug)]
pub(super) struct FaceTree {
    /// Which face of the surface each one of the tree is.
    order: Vec<u32>,
    /// The faces' corners in the order of the leaves: a leaf is read in one go
    /// rather than gathered from all over memory.
    corners: Vec<[Vec3; 3]>,
    boxes: Vec<Aabb>,
    leaves: usize,
}

impl FaceTree {
    pub(super) fn over(surface: &Surface) -> Self {
        let (lo, hi) = surface.bounds().unwrap_or_default();
        let size = (hi - lo).max().max(f64::MIN_POSITIVE);
        let mut keyed: Vec<(u64, u32)> = (0..surface.faces.len())
            .into_par_iter()
            .map(|face| {
                let [a, b, c] = surface.corners(face);
                let place = ((a + b + c) / 3.0 - lo) / size;
                (morton(&place), id(face))
            })
            .collect();
        keyed.par_sort_unstable();
        let order: Vec<u32> = keyed.into_iter().map(|(_, face)| face).collect();
        let corners: Vec<[Vec3; 3]> = order
            .par_iter()
            .map(|face| surface.corners(*face as usize))
            .collect();
        let leaves = order.len().div_ceil(LEAF_FACES).next_power_of_two();
        let mut boxes = vec![Aabb::EMPTY; 2 * leaves - 1];
        boxes[leaves - 1..]
            .par_iter_mut()
            .zip(corners.par_chunks(LEAF_FACES))
            .for_each(|(around, faces)| {
                for v in faces.iter().flatten() {
                    around.lo = around.lo.inf(v);
                    around.hi = around.hi.sup(v);
                }
            });
        for node in (0..leaves - 1).rev() {
            boxes[node] = boxes[2 * node + 1].joined(&boxes[2 * node + 2]);
        }
        Self {
            order,
            corners,
            boxes,
            leaves,
        }
    }

    /// The faces of a leaf: which ones, and their corners.
    fn faces_of(&self, node: usize) -> impl Iterator<Item = (u32, &[Vec3; 3])> {
        let first = ((node + 1 - self.leaves) * LEAF_FACES).min(self.order.len());
        let end = (first + LEAF_FACES).min(self.order.len());
        self.order[first..end]
            .iter()
            .copied()
            .zip(&self.corners[first..end])
    }

    /// The point of the surface nearest to `p`; `None` when there are no
    /// faces.
    pub(super) fn nearest(&self, p: &Vec3) -> Option<Nearest> {
        self.nearest_that(p, f64::INFINITY, |_| true)
    }

    /// The same among triangles that `wanted` picks, nearer than `within_m`.
    pub(super) fn nearest_that(
        &self,
        p: &Vec3,
        within_m: f64,
        wanted: impl Fn(&[Vec3; 3]) -> bool,
    ) -> Option<Nearest> {
        let mut best: Option<Nearest> = None;
        let mut within = within_m * within_m;
        let mut stack = vec![(self.boxes[0].distance_squared(p), 0)];
        while let Some((distance, node)) = stack.pop() {
            if distance >= within {
                continue;
            }
            if node + 1 >= self.leaves {
                for (face, corners) in self.faces_of(node) {
                    let point = nearest_on_triangle(p, corners);
                    let distance_squared = (point - p).norm_squared();
                    if distance_squared < within && wanted(corners) {
                        within = distance_squared;
                        best = Some(Nearest {
                            face,
                            point,
                            distance_squared,
                        });
                    }
                }
                continue;
            }
            let [left, right] = [2 * node + 1, 2 * node + 2]
                .map(|child| (self.boxes[child].distance_squared(p), child));
            // The nearer child is looked at first.
            if left.0 < right.0 {
                stack.extend([right, left]);
            } else {
                stack.extend([left, right]);
            }
        }
        best
    }
}

/// Bits of three coordinates in 0..1, interleaved, 21 of each.
pub(super) fn morton(place: &Vec3) -> u64 {
    let spread = |value: f64| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to 21 bits"
        )]
        let mut x = (value * 2_097_151.0).clamp(0.0, 2_097_151.0) as u64;
        for (shift, mask) in [
            (32, 0x001F_0000_0000_FFFF),
            (16, 0x001F_0000_FF00_00FF),
            (8, 0x100F_00F0_0F00_F00F),
            (4, 0x10C3_0C30_C30C_30C3),
            (2, 0x1249_2492_4924_9249),
        ] {
            x = (x | x << shift) & mask;
        }
        x
    };
    spread(place.x) | spread(place.y) << 1 | spread(place.z) << 2
}

/// Point of a triangle nearest to `p`, by the regions in which `p` may lie
/// (Ericson, Real-Time Collision Detection, 2005, section 5.1.5; from memory).
pub(crate) fn nearest_on_triangle(p: &Vec3, [a, b, c]: &[Vec3; 3]) -> Vec3 {
    let (ab, ac, ap) = (b - a, c - a, p - a);
    let (d1, d2) = (ab.dot(&ap), ac.dot(&ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return *a;
    }
    let bp = p - b;
    let (d3, d4) = (ab.dot(&bp), ac.dot(&bp));
    if d3 >= 0.0 && d4 <= d3 {
        return *b;
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 && d1 > d3 {
        return a + ab * (d1 / (d1 - d3));
    }
    let cp = p - c;
    let (d5, d6) = (ab.dot(&cp), ac.dot(&cp));
    if d6 >= 0.0 && d5 <= d6 {
        return *c;
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 && d2 > d6 {
        return a + ac * (d2 / (d2 - d6));
    }
    let va = d3 * d6 - d5 * d4;
    let (along, against) = (d4 - d3, d5 - d6);
    if va <= 0.0 && along >= 0.0 && against >= 0.0 && along + against > 0.0 {
        return b + (c - b) * (along / (along + against));
    }
    let whole = va + vb + vc;
    if whole > 0.0 {
        a + ab * (vb / whole) + ac * (vc / whole)
    } else {
        *a
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    #[test]
    fn nearest_points_agree_with_a_look_at_every_face() {
        let ball = solids::icosphere(Vec3::new(0.3, -0.2, 0.1), 1.0, 3);
        let tree = FaceTree::over(&ball);
        for i in 0..200 {
            let t = f64::from(i);
            let p = Vec3::new((t * 0.7).sin(), (t * 1.3).cos(), (t * 0.37).sin()) * (t / 100.0);
            let found = tree.nearest(&p).unwrap();
            let least = (0..ball.faces.len())
                .map(|f| (nearest_on_triangle(&p, &ball.corners(f)) - p).norm_squared())
                .fold(f64::INFINITY, f64::min);
            assert!((found.distance_squared - least).abs() < 1e-15);
        }
    }

    #[test]
    fn each_region_of_a_triangle_has_its_nearest_point() {
        let triangle = [
            Vec3::zeros(),
            Vec3::new(2.0, 0.0, 0.0),
            Vec3::new(0.0, 2.0, 0.0),
        ];
        for (p, nearest) in [
            ([-1.0, -1.0, 1.0], [0.0, 0.0, 0.0]),
            ([3.0, -1.0, 0.0], [2.0, 0.0, 0.0]),
            ([-1.0, 3.0, 0.0], [0.0, 2.0, 0.0]),
            ([1.0, -1.0, 0.5], [1.0, 0.0, 0.0]),
            ([-1.0, 1.0, 0.5], [0.0, 1.0, 0.0]),
            ([2.0, 2.0, 3.0], [1.0, 1.0, 0.0]),
            ([0.5, 0.5, 3.0], [0.5, 0.5, 0.0]),
        ] {
            let found = nearest_on_triangle(&Vec3::from(p), &triangle);
            assert!((found - Vec3::from(nearest)).norm() < 1e-15, "{p:?}");
        }
    }
}
