//! The moment tree: a bounding-volume tree whose nodes carry the sums that
//! answer for every plane.
use std::ops::Range;

use rayon::prelude::*;

use super::accumulator::Accumulator;
use super::moments::Immersion;
use super::one_pass::reference_of;
use super::plane::WaterPlane;
use super::sums::Sums;
use crate::mesh::Surface;
use crate::numerics::Vec3;

/// Triangles in a leaf: small enough that few dry ones are looked at along
/// the waterline, large enough that the nodes weigh less than the triangles.
const LEAF: usize = 16;
/// Children of a node, neighbours in memory.
const BRANCH: usize = 4;
/// Crossed leaves whose points are brought near together before their faces
/// are clipped.
const BLOCK: usize = 64;
/// Share of the mesh's size within which a node counts as crossed, so that
/// rounding of its box can not drop a corner that its neighbours clip.
const CROSSED_WITHIN: f64 = 32.0 * f64::EPSILON;
/// How near the farthest vertex must be found, as a share of the mesh's size:
/// over the rounding of the boxes, so that a flat deck is not searched whole.
const EXTREME_WITHIN: f64 = 4.0 * f32::EPSILON as f64;
/// Bits of each coordinate in the sort key along the space-filling curve.
const KEY_BITS: u32 = 21;

/// Axis-aligned box relative to the tree's reference point, in single
/// precision to be small, rounded outward to be sure.
#[derive(Debug, Clone, Copy)]
struct Bounds {
    centre: [f32; 3],
    half: [f32; 3],
}

impl Bounds {
    fn between(lo: &Vec3, hi: &Vec3) -> Self {
        let mut bounds = Self {
            centre: [0.0; 3],
            half: [0.0; 3],
        };
        for axis in 0..3 {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "the half side below makes up for the rounding"
            )]
            let centre = ((lo[axis] + hi[axis]) / 2.0) as f32;
            let half = (hi[axis] - f64::from(centre)).max(f64::from(centre) - lo[axis]);
            #[expect(clippy::cast_possible_truncation, reason = "rounded up at once")]
            let half = (half as f32).next_up();
            bounds.centre[axis] = centre;
            bounds.half[axis] = half;
        }
        bounds
    }

    #[inline]
    fn centre(&self) -> Vec3 {
        let [x, y, z] = self.centre;
        Vec3::new(f64::from(x), f64::from(y), f64::from(z))
    }

    #[inline]
    fn half(&self) -> Vec3 {
        let [x, y, z] = self.half;
        Vec3::new(f64::from(x), f64::from(y), f64::from(z))
    }
}

/// Smallest and largest coordinates while the tree is built.
#[derive(Debug, Clone, Copy)]
struct Extent {
    lo: Vec3,
    hi: Vec3,
}

impl Extent {
    fn of_points<'a>(points: impl Iterator<Item = &'a Vec3>) -> Self {
        let nothing = Self {
            lo: Vec3::repeat(f64::INFINITY),
            hi: Vec3::repeat(f64::NEG_INFINITY),
        };
        points.fold(nothing, |e, p| Self {
            lo: e.lo.inf(p),
            hi: e.hi.sup(p),
        })
    }

    fn join(self, other: &Self) -> Self {
        Self {
            lo: self.lo.inf(&other.lo),
            hi: self.hi.sup(&other.hi),
        }
    }
}

/// The triangles of one leaf: corners that faces share are held once.
#[derive(Debug, Clone, Copy)]
struct Leaf {
    first_point: u32,
    points: u8,
    faces: u8,
    /// Bit i set: face i is skin (not a cap).
    skin: u32,
    /// Corners of each face as numbers of the leaf's own points.
    corners: [[u8; 3]; LEAF],
}

/// A surface ready to be asked about any plane.
///
/// A node wholly under the plane adds its sums, a node wholly over it adds
/// nothing, and only the triangles of leaves that the plane crosses are
/// clipped, so one plane costs about the length of the waterline in triangles.
#[derive(Debug, Clone)]
pub struct MomentTree {
    reference: Vec3,
    triangles: usize,
    leaves: Vec<Leaf>,
    /// Corner points of all leaves, relative to `reference`.
    points: Vec<Vec3>,
    /// Where each level of the tree starts in `bounds` and `sums`; level 0
    /// holds the leaves, each next level one node for `BRANCH` of the level
    /// below, the last one the root.
    levels: Vec<Range<usize>>,
    bounds: Vec<Bounds>,
    sums: Vec<Sums>,
}

/// What one leaf contributes while the tree is built.
struct BuiltLeaf {
    points: Vec<Vec3>,
    corners: [[u8; 3]; LEAF],
    faces: u8,
    skin: u32,
    extent: Extent,
    sums: Sums,
}

impl MomentTree {
    /// Builds the tree over a surface. `bare` are the face ranges that carry
    /// no skin, so that their area does not count as wetted. The volume means
    /// something where the surface is closed, or its open rim is dry.
    #[must_use]
    pub fn new(surface: &Surface, bare: &[Range<usize>]) -> Self {
        let reference = reference_of(surface);
        let order = sorted_along_curve(surface, &reference);
        let built: Vec<BuiltLeaf> = order
            .par_chunks(LEAF)
            .map(|faces| build_leaf(surface, bare, &reference, faces))
            .collect();
        let mut tree = Self {
            reference,
            triangles: order.len(),
            leaves: Vec::with_capacity(built.len()),
            points: Vec::with_capacity(built.iter().map(|leaf| leaf.points.len()).sum()),
            levels: Vec::new(),
            bounds: Vec::new(),
            sums: Vec::new(),
        };
        let mut extents = Vec::with_capacity(built.len());
        for leaf in built {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "at most three points a face, faces are indexed with u32, leaves share"
            )]
            tree.leaves.push(Leaf {
                first_point: tree.points.len() as u32,
                points: leaf.points.len() as u8,
                faces: leaf.faces,
                skin: leaf.skin,
                corners: leaf.corners,
            });
            tree.points.extend(leaf.points);
            tree.sums.push(leaf.sums);
            extents.push(leaf.extent);
        }
        if !extents.is_empty() {
            tree.levels.push(0..extents.len());
        }
        while let Some(below) = tree.levels.last().cloned().filter(|level| level.len() > 1) {
            let start = extents.len();
            for first in below.clone().step_by(BRANCH) {
                let (mut extent, mut sums) = (extents[first], tree.sums[first]);
                let others = first + 1..(first + BRANCH).min(below.end);
                for (child, child_sums) in extents[others.clone()].iter().zip(&tree.sums[others]) {
                    extent = extent.join(child);
                    sums += child_sums;
                }
                extents.push(extent);
                tree.sums.push(sums);
            }
            tree.levels.push(start..extents.len());
        }
        tree.bounds = extents
            .iter()
            .map(|e| Bounds::between(&e.lo, &e.hi))
            .collect();
        tree
    }

    /// Everything under the plane: one kernel call.
    #[must_use]
    pub fn immerse(&self, plane: &WaterPlane) -> Immersion {
        let mut sum = Accumulator::new(plane, self.reference);
        let up_abs = plane.up.abs();
        let size = self.bounds.last().map_or(0.0, |root| root.half().sum());
        let slack = CROSSED_WITHIN * (size + sum.level().abs());
        // Level by level, so that one node's memory is fetched while another
        // is worked on.
        let mut crossed = vec![self.bounds.len().wrapping_sub(1)];
        if self.bounds.is_empty() {
            crossed.clear();
        }
        for level in (0..self.levels.len()).rev() {
            let mut still = Vec::with_capacity(2 * crossed.len());
            for &node in &crossed {
                let bounds = &self.bounds[node];
                let height = sum.height(&bounds.centre());
                let reach = bounds.half().dot(&up_abs) + slack;
                if height - reach >= 0.0 {
                    continue;
                }
                if height + reach < 0.0 {
                    sum.add_wet(&self.sums[node]);
                } else {
                    still.push(node);
                }
            }
            if level == 0 {
                crossed = still;
                break;
            }
            crossed.clear();
            for node in still {
                crossed.extend(self.children(level, node));
            }
        }
        // Likewise a block of leaves at a time: first all their points, one
        // after the other, then their faces from the cache.
        let mut framed = Vec::with_capacity(BLOCK * 3 * LEAF);
        for block in crossed.chunks(BLOCK) {
            framed.clear();
            for &leaf in block {
                framed.extend(self.leaf(leaf).1.iter().map(|point| sum.to_frame(point)));
            }
            let mut first = 0;
            for &node in block {
                let leaf = &self.leaves[node];
                let points = &framed[first..first + usize::from(leaf.points)];
                first += points.len();
                let faces = &leaf.corners[..usize::from(leaf.faces)];
                for (i, &[a, b, c]) in faces.iter().enumerate() {
                    sum.add_triangle(
                        &points[usize::from(a)],
                        &points[usize::from(b)],
                        &points[usize::from(c)],
                        leaf.skin >> i & 1 == 1,
                    );
                }
            }
        }
        sum.finish()
    }

    /// The nodes below one of a level over zero.
    fn children(&self, level: usize, node: usize) -> Range<usize> {
        let below = &self.levels[level - 1];
        let first = below.start + BRANCH * (node - self.levels[level].start);
        first..(first + BRANCH).min(below.end)
    }

    /// Volume of the whole body, m³; exact where the surface is closed.
    #[must_use]
    pub fn volume_m3(&self) -> f64 {
        self.sums.last().map_or(0.0, |root| root.d / 6.0)
    }

    /// How far the surface's box reaches along a direction: least and
    /// greatest, m. At least as wide as the surface itself; `None` when empty.
    #[must_use]
    pub fn reach_m(&self, direction: &Vec3) -> Option<(f64, f64)> {
        let root = self.bounds.last()?;
        let middle = (self.reference + root.centre()).dot(direction);
        let reach = root.half().dot(&direction.abs());
        Some((middle - reach, middle + reach))
    }

    /// The vertex farthest along a direction, boat frame, m, to within
    /// about 5e-7 of the mesh's size; `None` for an empty surface. The
    /// lowest point of the craft is `extreme(&-up)`.
    #[must_use]
    pub fn extreme(&self, direction: &Vec3) -> Option<Vec3> {
        let direction_abs = direction.abs();
        let size = self.bounds.last().map_or(0.0, |root| root.half().sum());
        let enough = EXTREME_WITHIN * size * direction.norm();
        let mut best: Option<(f64, Vec3)> = None;
        self.walk(|bounds, node, is_leaf| {
            let most = bounds.centre().dot(direction) + bounds.half().dot(&direction_abs);
            if best.is_some_and(|(found, _)| most <= found + enough) {
                return false;
            }
            if is_leaf {
                for point in self.leaf(node).1 {
                    let along = point.dot(direction);
                    if best.is_none_or(|(found, _)| along > found) {
                        best = Some((along, *point));
                    }
                }
            }
            true
        });
        best.map(|(_, point)| point + self.reference)
    }

    /// Number of triangles, caps included.
    #[must_use]
    pub fn triangles(&self) -> usize {
        self.triangles
    }

    /// A point near the mesh that sums are taken about, boat frame, m.
    #[must_use]
    pub fn reference_m(&self) -> Vec3 {
        self.reference
    }

    fn leaf(&self, node: usize) -> (&Leaf, &[Vec3]) {
        let leaf = &self.leaves[node];
        let first = leaf.first_point as usize;
        (leaf, &self.points[first..first + usize::from(leaf.points)])
    }

    /// Visits nodes from the root down, in order along the curve. `visit` gets
    /// the node's box, its index and whether it is a leaf (whose index is
    /// then the leaf's own), and says whether to go on below it.
    fn walk(&self, mut visit: impl FnMut(&Bounds, usize, bool) -> bool) {
        let mut waiting = Vec::with_capacity(BRANCH * self.levels.len() + 1);
        if let Some(top) = self.levels.len().checked_sub(1) {
            waiting.push((top, 0));
        }
        while let Some((level, index)) = waiting.pop() {
            let node = self.levels[level].start + index;
            if visit(&self.bounds[node], node, level == 0) && level > 0 {
                let below =
                    BRANCH * index..(BRANCH * (index + 1)).min(self.levels[level - 1].len());
                waiting.extend(below.rev().map(|child| (level - 1, child)));
            }
        }
    }
}

fn build_leaf(
    surface: &Surface,
    bare: &[Range<usize>],
    reference: &Vec3,
    faces: &[u32],
) -> BuiltLeaf {
    let mut vertices: Vec<u32> = Vec::with_capacity(3 * LEAF);
    let mut corners = [[0_u8; 3]; LEAF];
    let mut skin = 0;
    for (i, &face) in faces.iter().enumerate() {
        let face = face as usize;
        if !bare.iter().any(|range| range.contains(&face)) {
            skin |= 1 << i;
        }
        for (corner, &vertex) in corners[i].iter_mut().zip(&surface.faces[face]) {
            let known = vertices.iter().position(|&v| v == vertex);
            let place = known.unwrap_or_else(|| {
                vertices.push(vertex);
                vertices.len() - 1
            });
            #[expect(clippy::cast_possible_truncation, reason = "below 3 × LEAF")]
            let place = place as u8;
            *corner = place;
        }
    }
    let points: Vec<Vec3> = vertices
        .iter()
        .map(|&v| surface.vertices[v as usize] - reference)
        .collect();
    let mut sums = Sums::ZERO;
    for (i, corners) in corners[..faces.len()].iter().enumerate() {
        let corners = corners.map(|c| points[usize::from(c)]);
        sums += &Sums::of_triangle(&corners, skin >> i & 1 == 1);
    }
    #[expect(clippy::cast_possible_truncation, reason = "at most LEAF")]
    let count = faces.len() as u8;
    BuiltLeaf {
        extent: Extent::of_points(points.iter()),
        points,
        corners,
        faces: count,
        skin,
        sums,
    }
}

/// Face numbers in the order of their centroids along a space-filling curve,
/// so that neighbours in the list are neighbours in space.
fn sorted_along_curve(surface: &Surface, reference: &Vec3) -> Vec<u32> {
    let Some((lo, hi)) = surface.bounds() else {
        return Vec::new();
    };
    let side = (hi - lo).max().max(f64::MIN_POSITIVE);
    let cells = f64::from((1_u32 << KEY_BITS) - 1);
    let corner = lo - reference;
    let mut keyed: Vec<(u64, u32)> = surface
        .faces
        .par_iter()
        .enumerate()
        .map(|(index, face)| {
            let sum = face
                .iter()
                .fold(Vec3::zeros(), |sum, &v| sum + surface.vertices[v as usize]);
            let unit = (sum / 3.0 - reference - corner) / side;
            let key = unit
                .iter()
                .fold(0, |key, &x| (key << 1) | spread_bits(cell_of(x, cells)));
            #[expect(
                clippy::cast_possible_truncation,
                reason = "faces are indexed with u32 everywhere"
            )]
            let index = index as u32;
            (key, index)
        })
        .collect();
    keyed.par_sort_unstable();
    keyed.into_iter().map(|(_, face)| face).collect()
}

/// Which of `cells` steps a coordinate in 0..1 falls in.
fn cell_of(unit: f64, cells: f64) -> u64 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "clamped to 0..=cells, which has 21 bits"
    )]
    let cell = (unit.clamp(0.0, 1.0) * cells) as u64;
    cell
}

/// Puts two zero bits after each of the lowest 21 bits.
fn spread_bits(x: u64) -> u64 {
    let x = x & 0x1f_ffff;
    let x = (x | (x << 32)) & 0x001f_0000_0000_ffff;
    let x = (x | (x << 16)) & 0x001f_0000_ff00_00ff;
    let x = (x | (x << 8)) & 0x100f_00f0_0f00_f00f;
    let x = (x | (x << 4)) & 0x10c3_0c30_c30c_30c3;
    (x | (x << 2)) & 0x1249_2492_4924_9249
}
