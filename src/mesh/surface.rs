//! The indexed triangle surface that every later stage works on.
use std::ops::Range;

use nalgebra::Vector4;
use rayon::prelude::*;

use crate::numerics::Vec3;

/// Faces or vertices that one thread sums by itself.
const SUMMED_ALONE: usize = 1 << 14;

/// A triangle surface: shared vertices and counter-clockwise faces seen from
/// outside (the outward normal of face `[a, b, c]` is `(b − a) × (c − a)`).
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Surface {
    /// Vertices in the boat frame, m.
    pub vertices: Vec<Vec3>,
    /// Vertex indices of each face.
    pub faces: Vec<[u32; 3]>,
}

impl Surface {
    /// The three corners of a face, m.
    #[inline]
    #[must_use]
    pub fn corners(&self, face: usize) -> [Vec3; 3] {
        // Written out: this is the inner loop of much else.
        let [a, b, c] = self.faces[face];
        [
            self.vertices[a as usize],
            self.vertices[b as usize],
            self.vertices[c as usize],
        ]
    }

    /// Smallest and largest coordinates over all vertices, m; `None` when
    /// there is no vertex.
    #[must_use]
    pub fn bounds(&self) -> Option<(Vec3, Vec3)> {
        let first = *self.vertices.first()?;
        let round = |vertices: &[Vec3]| {
            let wider = |(lo, hi): (Vec3, Vec3), v: &Vec3| (lo.inf(v), hi.sup(v));
            vertices.iter().fold((first, first), wider)
        };
        if self.vertices.len() <= SUMMED_ALONE {
            return Some(round(&self.vertices));
        }
        let boxes = self.vertices.par_chunks(SUMMED_ALONE).map(round);
        boxes.reduce_with(|a, b| (a.0.inf(&b.0), a.1.sup(&b.1)))
    }

    /// The sum of a number or a point over all faces, the same on any number of threads.
    #[must_use]
    pub fn sum_over_faces<T>(&self, of_face: impl Fn(usize) -> T + Sync) -> T
    where
        T: Send + std::iter::Sum,
    {
        sum_in_blocks(0..self.faces.len(), of_face)
    }

    /// Signed volume by the divergence theorem, m³: exact for a closed
    /// surface, positive when it faces outward.
    #[must_use]
    pub fn signed_volume_m3(&self) -> f64 {
        let Some((lo, hi)) = self.bounds() else {
            return 0.0;
        };
        let centre = (lo + hi) / 2.0;
        let sixfold: f64 = self.sum_over_faces(|face| {
            let [a, b, c] = self.corners(face).map(|v| v - centre);
            a.dot(&b.cross(&c))
        });
        sixfold / 6.0
    }

    /// Centroid of the enclosed volume, m: exact for a closed surface; the
    /// middle of the box where nothing is enclosed.
    #[must_use]
    pub fn volume_centroid_m(&self) -> Vec3 {
        let Some((lo, hi)) = self.bounds() else {
            return Vec3::zeros();
        };
        let centre = (lo + hi) / 2.0;
        let sums: Vector4<f64> = self.sum_over_faces(|face| {
            let [a, b, c] = self.corners(face).map(|v| v - centre);
            let d = a.dot(&b.cross(&c));
            ((a + b + c) * d).push(d)
        });
        if sums.w == 0.0 {
            return centre;
        }
        centre + sums.xyz() / (4.0 * sums.w)
    }

    /// Total area of all faces, m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.sum_over_faces(|face| self.face_area_m2(face))
    }

    /// Area of one face, m².
    #[must_use]
    pub fn face_area_m2(&self, face: usize) -> f64 {
        self.face_normal(face).norm() / 2.0
    }

    /// Twice a face's area times its outward normal, m².
    #[inline]
    #[must_use]
    pub fn face_normal(&self, face: usize) -> Vec3 {
        let [a, b, c] = self.corners(face);
        (b - a).cross(&(c - a))
    }

    /// Length of the diagonal of the box around all vertices, m; zero when
    /// there is none.
    #[must_use]
    pub fn diagonal_m(&self) -> f64 {
        self.bounds().map_or(0.0, |(lo, hi)| (hi - lo).norm())
    }

    /// Removes vertices that no face uses; the order of the others stays.
    pub fn drop_unused_vertices(&mut self) {
        let mut used = vec![false; self.vertices.len()];
        for v in self.faces.iter().flatten() {
            used[*v as usize] = true;
        }
        if used.iter().all(|&kept| kept) {
            return;
        }
        let mut next = 0;
        let new_index: Vec<u32> = used
            .iter()
            .map(|&kept| {
                let index = next;
                next += u32::from(kept);
                index
            })
            .collect();
        self.faces
            .par_iter_mut()
            .with_min_len(1 << 14)
            .for_each(|face| {
                *face = face.map(|v| new_index[v as usize]);
            });
        let mut kept = used.iter();
        self.vertices
            .retain(|_| kept.next().copied().unwrap_or(false));
    }

    /// Adds another surface's vertices and faces after this one's.
    ///
    /// # Panics
    /// When the vertices no longer fit 32-bit indices.
    pub fn append(&mut self, other: &Self) {
        let shift = u32::try_from(self.vertices.len()).expect("vertex indices are 32 bits");
        self.vertices.extend_from_slice(&other.vertices);
        self.faces
            .extend(other.faces.iter().map(|f| f.map(|v| v + shift)));
    }

    /// Turns every face over.
    pub fn flip(&mut self) {
        for f in &mut self.faces {
            f.swap(1, 2);
        }
    }

    /// Whether every edge is run along as often one way as the other, which
    /// is what makes a surface enclose a definite volume.
    ///
    /// Decided from a 64-bit sum over all edges in which the two directions of
    /// an edge cancel: an open surface passes with a chance of about 1e-19.
    #[must_use]
    pub fn is_balanced(&self) -> bool {
        let sum = self
            .faces
            .par_iter()
            .with_min_len(1 << 14)
            .map(|&[a, b, c]| {
                [(a, b), (b, c), (c, a)]
                    .into_iter()
                    .fold(0_u64, |sum, (from, to)| {
                        sum.wrapping_add(edge_mark(from, to))
                    })
            })
            .reduce(|| 0, u64::wrapping_add);
        sum == 0
    }
}

/// The sum of something over a range, by blocks that several threads share and in one
/// order, so that it is the same each time.
pub(crate) fn sum_in_blocks<T>(range: Range<usize>, of: impl Fn(usize) -> T + Sync) -> T
where
    T: Send + std::iter::Sum,
{
    if range.len() <= SUMMED_ALONE {
        return range.map(of).sum();
    }
    let begins: Vec<usize> = range.clone().step_by(SUMMED_ALONE).collect();
    let sums: Vec<T> = begins
        .into_par_iter()
        .map(|from| (from..(from + SUMMED_ALONE).min(range.end)).map(&of).sum())
        .collect();
    sums.into_iter().sum()
}

/// A number scattered over 64 bits (the finaliser of splitmix64).
pub(super) fn scattered(mut mark: u64) -> u64 {
    mark = (mark ^ (mark >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mark = (mark ^ (mark >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    mark ^ (mark >> 31)
}

/// A number for a directed edge, scattered over 64 bits, whose reverse has the
/// opposite number.
fn edge_mark(from: u32, to: u32) -> u64 {
    let mark = scattered(u64::from(from.min(to)) << 32 | u64::from(from.max(to)));
    match from.cmp(&to) {
        std::cmp::Ordering::Less => mark,
        std::cmp::Ordering::Equal => 0,
        std::cmp::Ordering::Greater => mark.wrapping_neg(),
    }
}
