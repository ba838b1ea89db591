//! The moment tree: a bounding-volume tree whose nodes carry the sums that
//! answer for every plane.
//!
//! By hand: it is the kernel; the trees of libraries carry boxes, not sums.
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
/// rounding of its box cannot drop a corner that its neighbours clip.
const CROSSED_WITHIN: f64 = 32.0 * f64::EPSILON;
/// How near the farthest vertex must be found, as a share of the mesh's size:
/// over the rounding of the boxes, so that a flat deck is not searched whole.
const EXTREME_WITHIN: f64 = 4.0 * f32::EPSILON as f64;
/// Faces that one thread sorts by itself.
const HALVED_ALONE: usize = 1 << 14;

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
        let order = sorted_into_leaves(surface, &reference);
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

    /// Visits nodes from the root down, in order. `visit` gets
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

/// A face by its centroid, in steps of a lattice that the mesh fits into: it only
/// decides which leaf the face goes to, and whole numbers are quickly compared.
#[derive(Debug, Clone, Copy)]
struct Sited {
    at: [i32; 3],
    face: u32,
}

/// Steps of that lattice from the mesh's middle to its farthest side.
const LATTICE: f64 = (1 << 29) as f64;

/// Face numbers such that neighbours in the list are neighbours in space: the
/// list is halved again and again across its longest side, at the places where
/// the tree's nodes end.
fn sorted_into_leaves(surface: &Surface, reference: &Vec3) -> Vec<u32> {
    let (_, hi) = surface.bounds().unwrap_or_default();
    let half = (hi - reference).amax().max(f64::MIN_POSITIVE);
    let scale = LATTICE / (3.0 * half);
    let mut sited: Vec<Sited> = surface
        .faces
        .par_iter()
        .enumerate()
        .map(|(face, &[a, b, c])| {
            let corner = |v: u32| surface.vertices[v as usize] - reference;
            let at = (corner(a) + corner(b) + corner(c)) * scale;
            #[expect(
                clippy::cast_possible_truncation,
                reason = "coarse on purpose; faces are indexed with u32 everywhere"
            )]
            Sited {
                at: [at.x as i32, at.y as i32, at.z as i32],
                face: face as u32,
            }
        })
        .collect();
    let mut node = LEAF;
    while node < sited.len() {
        node *= BRANCH;
    }
    halve(&mut sited, node);
    sited.into_iter().map(|sited| sited.face).collect()
}

/// Sorts faces into the nodes of `node` faces each that they make up, and then
/// into the nodes below those.
fn halve(sited: &mut [Sited], node: usize) {
    let mut node = node;
    while sited.len() <= node {
        if node <= LEAF {
            return;
        }
        node /= BRANCH;
    }
    let (mut lo, mut hi) = ([i32::MAX; 3], [i32::MIN; 3]);
    for Sited { at, .. } in sited.iter() {
        for axis in 0..3 {
            lo[axis] = lo[axis].min(at[axis]);
            hi[axis] = hi[axis].max(at[axis]);
        }
    }
    let side = |axis: usize| hi[axis] - lo[axis];
    let longest = (1..3).fold(
        0,
        |best, axis| if side(axis) > side(best) { axis } else { best },
    );
    let nodes = sited.len().div_ceil(node);
    let middle = nodes.div_ceil(2) * node;
    sited.select_nth_unstable_by_key(middle, |sited| sited.at[longest]);
    let (before, after) = sited.split_at_mut(middle);
    if before.len() > HALVED_ALONE {
        rayon::join(|| halve(before, node), || halve(after, node));
    } else {
        halve(before, node);
        halve(after, node);
    }
}
