//! Joining the corners of loose facets into shared vertices.
use std::collections::HashMap;
use std::ops::Range;

use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::doubt::{Doubt, DoubtKind, id};
use super::surface::Surface;
use super::topology::open_edge_vertices;
use crate::numerics::Vec3;

/// Vertices on open edges nearer to each other than this share of the mesh's
/// size are taken as one: some ten roundings of single precision, 4 µm on a
/// hull of 3.4 m, far below any real gap.
pub const LOOSE_WELD_SHARE: f64 = 1e-6;

/// The size is the diagonal, but at most this many times that of the box of
/// the middle halves, so that a few stray vertices far off do not widen the
/// weld: evenly spread vertices have a middle half of half the diagonal.
const MOST_MIDDLE_HALVES: f64 = 8.0;

/// Facets at the least that a thread is given to weld by itself.
const WELDED_ALONE: usize = 1 << 15;
/// Facets whose corners' places in memory are looked at together.
const BLOCK: usize = 32;

/// A welded surface and what was done for it.
#[derive(Debug, Clone, Default, PartialEq, JsonSchema, Serialize)]
pub struct Welded {
    /// The surface, m; face `i` is triangle `i` of the raw mesh.
    #[serde(skip)]
    pub surface: Surface,
    /// Vertices that were joined to a near but unequal one.
    pub loosely_joined: usize,
    /// What the user must know of it.
    pub doubts: Vec<Doubt>,
}

/// Joins, where edges are still open, the vertices on them that lie within
/// [`LOOSE_WELD_SHARE`] of the mesh's size; equal ones are one already in a [`RawMesh`].
/// `scale` is metres in one unit of the file.
///
/// [`RawMesh`]: super::RawMesh
#[must_use]
pub fn weld(raw: Surface, scale: f64) -> Welded {
    let mut surface = raw;
    if scale != 1.0 {
        let vertices = surface.vertices.par_iter_mut().with_min_len(1 << 14);
        vertices.for_each(|v| *v *= scale);
    }
    let mut welded = Welded {
        surface,
        ..Welded::default()
    };
    join_near(&mut welded);
    welded
}

/// Some facets welded as if they were all.
struct Share {
    table: CornerTable,
    faces: Vec<[u32; 3]>,
    left_out: Vec<usize>,
}

/// Corners that are equal (`−0` equals `0`) as one vertex, numbered as they first come.
/// `facet` gives the corners of each of `count` facets, `None` for one to leave out; the
/// numbers of those follow.
pub(super) fn weld_equal<F>(count: usize, facet: F) -> (Surface, Vec<usize>)
where
    F: Fn(usize) -> Option<[[f64; 3]; 3]> + Sync,
{
    let length = count.div_ceil(rayon::current_num_threads());
    let length = length.max(WELDED_ALONE);
    let begins: Vec<usize> = (0..count).step_by(length).collect();
    // Each thread welds its share as if that were all; the shares then follow each other.
    let shares: Vec<Share> = begins
        .into_par_iter()
        .map(|begin| Share::of(begin..(begin + length).min(count), &facet))
        .collect();
    let mut whole = Surface::default();
    let mut left_out = Vec::new();
    // The number in the whole of each vertex of the shares so far.
    let mut numbers: Vec<Vec<u32>> = Vec::with_capacity(shares.len());
    for share in 0..shares.len() {
        let (before, this) = (&shares[..share], &shares[share]);
        let known = |v: &Vec3| {
            let mut before = before.iter().zip(&numbers);
            before.find_map(|(share, numbers)| {
                let found = share.table.find(&[v.x, v.y, v.z]).ok()?;
                Some(numbers[found as usize])
            })
        };
        let vertices = this.table.vertices.par_iter().with_min_len(1 << 12);
        let known: Vec<Option<u32>> = vertices.map(known).collect();
        let places = this.table.vertices.iter().zip(known);
        let number = |(place, known): (&Vec3, Option<u32>)| {
            known.unwrap_or_else(|| {
                whole.vertices.push(*place);
                id(whole.vertices.len() - 1)
            })
        };
        let of_share: Vec<u32> = places.map(number).collect();
        let faces = this.faces.par_iter().with_min_len(1 << 12);
        let faces = faces.map(|face| face.map(|v| of_share[v as usize]));
        whole.faces.par_extend(faces);
        left_out.extend(&this.left_out);
        numbers.push(of_share);
    }
    (whole, left_out)
}

impl Share {
    fn of(facets: Range<usize>, facet: &impl Fn(usize) -> Option<[[f64; 3]; 3]>) -> Self {
        let mut share = Self {
            table: CornerTable::for_about(facets.len() / 2),
            faces: Vec::with_capacity(facets.len()),
            left_out: Vec::new(),
        };
        // Most corners of a facet are the last one's: no need to look for those.
        let (mut last, mut numbers) = ([[f64::NAN; 3]; 3], [0; 3]);
        let mut block = Vec::with_capacity(BLOCK);
        for begin in facets.clone().step_by(BLOCK) {
            block.clear();
            for number in begin..(begin + BLOCK).min(facets.end) {
                match facet(number) {
                    // −0 becomes 0.
                    Some(corners) => block.push(corners.map(|corner| corner.map(|c| c + 0.0))),
                    None => share.left_out.push(number),
                }
            }
            share.table.touch(block.as_flattened());
            for corners in &block {
                let face = corners.map(|corner| {
                    let known = last.iter().position(|other| *other == corner);
                    known.map_or_else(|| share.table.index_of(corner), |k| numbers[k])
                });
                (last, numbers) = (*corners, face);
                share.faces.push(face);
            }
        }
        share
    }
}

/// Open-addressing table from a corner's bits to its vertex. A slot holds the
/// upper half of the hash and the vertex index plus one, so that a probe
/// rarely has to look at the vertex itself.
struct CornerTable {
    slots: Vec<u64>,
    mask: usize,
    vertices: Vec<Vec3>,
}

impl CornerTable {
    fn for_about(vertices: usize) -> Self {
        let size = (2 * vertices).next_power_of_two().max(64);
        Self {
            slots: vec![0; size],
            mask: size - 1,
            vertices: Vec::with_capacity(vertices + vertices / 16),
        }
    }

    /// Looks at all the places in memory where corners will be looked for, none of them
    /// after another: so they are waited for together.
    fn touch(&self, corners: &[[f64; 3]]) {
        let mut seen = 0;
        for corner in corners {
            seen ^= self.slots[home(corner_hash(corner), self.mask)];
        }
        std::hint::black_box(seen);
    }

    /// The vertex at a corner without −0.
    #[inline]
    fn index_of(&mut self, corner: [f64; 3]) -> u32 {
        self.find(&corner)
            .unwrap_or_else(|free| self.put(corner, free))
    }

    /// The same where there is one, or the free slot for it.
    #[inline]
    fn find(&self, corner: &[f64; 3]) -> Result<u32, usize> {
        let hash = corner_hash(corner);
        let tag = hash & TAG;
        let mut slot = home(hash, self.mask);
        loop {
            let entry = self.slots[slot];
            if entry == 0 {
                return Err(slot);
            }
            if entry & TAG == tag {
                let index = entry_vertex(entry);
                let v = &self.vertices[index as usize];
                if [v.x, v.y, v.z] == *corner {
                    return Ok(index);
                }
            }
            slot = (slot + 1) & self.mask;
        }
    }

    fn put(&mut self, corner: [f64; 3], free: usize) -> u32 {
        let index = id(self.vertices.len());
        self.vertices.push(Vec3::from(corner));
        self.slots[free] = corner_hash(&corner) & TAG | u64::from(index + 1);
        if self.vertices.len() * 8 > self.slots.len() * 5 {
            self.grow();
        }
        index
    }

    fn grow(&mut self) {
        let size = self.slots.len() * 2;
        let mut slots = vec![0_u64; size];
        self.mask = size - 1;
        for (index, v) in self.vertices.iter().enumerate() {
            let hash = corner_hash(&[v.x, v.y, v.z]);
            let mut slot = home(hash, self.mask);
            while slots[slot] != 0 {
                slot = (slot + 1) & self.mask;
            }
            slots[slot] = (hash & TAG) | u64::from(id(index) + 1);
        }
        self.slots = slots;
    }
}

const TAG: u64 = !0 << 32;

fn entry_vertex(entry: u64) -> u32 {
    (entry & !TAG) as u32 - 1
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "only the bits under the mask are wanted"
)]
#[inline]
fn home(hash: u64, mask: usize) -> usize {
    hash as usize & mask
}

/// Digits of π.
const PI_DIGITS: [u64; 3] = [
    0x243F_6A88_85A3_08D3,
    0x1319_8A2E_0370_7344,
    0xA409_3822_299F_31D0,
];

/// Two wide multiplications, folded: cheap and without pattern on the regular
/// lattices that meshes are full of.
#[inline]
fn corner_hash([x, y, z]: &[f64; 3]) -> u64 {
    folded(
        mixed(x.to_bits(), y.to_bits()) ^ z.to_bits(),
        PI_DIGITS[2] | 1,
    )
}

/// Two words made one of which every bit of both decides; their order tells.
#[inline]
pub(super) fn mixed(a: u64, b: u64) -> u64 {
    folded(a ^ PI_DIGITS[0], b ^ PI_DIGITS[1])
}

#[inline]
fn folded(a: u64, b: u64) -> u64 {
    let wide = u128::from(a) * u128::from(b);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "both halves are folded together"
    )]
    let folded = wide as u64 ^ (wide >> 64) as u64;
    folded
}

/// Joins near vertices on open edges.
fn join_near(welded: &mut Welded) {
    let surface = &mut welded.surface;
    let on_open = open_edge_vertices(surface);
    let Some((lo, hi)) = surface.bounds().filter(|_| !on_open.is_empty()) else {
        return;
    };
    let middle = MOST_MIDDLE_HALVES * middle_halves(&surface.vertices).norm();
    let reach = (hi - lo).norm().min(middle) * LOOSE_WELD_SHARE;
    if reach <= 0.0 {
        return;
    }
    let joined_to = near_pairs(surface, &on_open, lo, reach);
    if joined_to.is_empty() {
        return;
    }
    for v in surface.faces.iter_mut().flatten() {
        if let Some(kept) = joined_to.get(v) {
            *v = *kept;
        }
    }
    surface.drop_unused_vertices();
    welded.loosely_joined = joined_to.len();
    welded.doubts.push(Doubt::new(
        DoubtKind::LooseWeld,
        format!(
            "{} vertices on open edges lay within {reach:.1e} m of another one and were joined to it",
            joined_to.len()
        ),
    ));
}

/// How far the middle half of the vertices reaches along each axis.
fn middle_halves(vertices: &[Vec3]) -> Vec3 {
    let quarter = vertices.len() / 4;
    Vec3::from_fn(|axis, _| {
        let mut along: Vec<f64> = vertices.iter().map(|v| v[axis]).collect();
        let last = along.len() - 1;
        let low = *along.select_nth_unstable_by(quarter, f64::total_cmp).1;
        let high = *along
            .select_nth_unstable_by(last - quarter, f64::total_cmp)
            .1;
        high - low
    })
}

/// For each vertex that has an earlier one within reach: the earliest vertex
/// of its cluster.
fn near_pairs(surface: &Surface, candidates: &[u32], lo: Vec3, reach: f64) -> HashMap<u32, u32> {
    let cell = |v: &Vec3| -> [i64; 3] {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "far strays share the outermost cell"
        )]
        let cell = ((v - lo) / reach).map(|c| c.floor() as i64).into();
        cell
    };
    let mut cells: HashMap<[i64; 3], Vec<u32>> = HashMap::with_capacity(candidates.len());
    let mut joined_to = HashMap::new();
    for &candidate in candidates {
        let place = &surface.vertices[candidate as usize];
        let [x, y, z] = cell(place);
        let near = (0..27).find_map(|k| {
            let key = [
                x.wrapping_add(k % 3 - 1),
                y.wrapping_add(k / 3 % 3 - 1),
                z.wrapping_add(k / 9 - 1),
            ];
            cells.get(&key)?.iter().copied().find(|other| {
                let apart = surface.vertices[*other as usize] - place;
                apart.norm_squared() <= reach * reach
            })
        });
        match near {
            Some(other) => {
                joined_to.insert(candidate, other);
            }
            None => cells.entry([x, y, z]).or_default().push(candidate),
        }
    }
    joined_to
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    fn loose(surface: &Surface) -> Vec<[[f64; 3]; 3]> {
        let faces = 0..surface.faces.len();
        faces.map(|f| surface.corners(f).map(Into::into)).collect()
    }

    fn equal(triangles: &[[[f64; 3]; 3]]) -> Surface {
        weld_equal(triangles.len(), |i| Some(triangles[i])).0
    }

    /// Facets of three shares with some to leave out, the last one's known from two.
    #[test]
    fn facets_left_out_are_told_and_the_others_follow_each_other() {
        let ball = solids::icosphere(Vec3::zeros(), 1.0, 6);
        let triangles = loose(&ball);
        let pool = rayon::ThreadPoolBuilder::new().num_threads(3).build();
        let (surface, left_out) = pool
            .unwrap()
            .install(|| weld_equal(triangles.len(), |i| (i % 1000 != 3).then_some(triangles[i])));
        assert!(
            left_out
                .iter()
                .copied()
                .eq((3..triangles.len()).step_by(1000))
        );
        let mut kept = triangles.iter().enumerate().filter(|(i, _)| i % 1000 != 3);
        assert!(
            loose(&surface)
                .iter()
                .all(|t| kept.next().is_some_and(|(_, k)| k == t))
        );
        assert!(kept.next().is_none());
    }

    #[test]
    fn equal_corners_become_one_vertex_and_faces_keep_their_order() {
        let ball = solids::icosphere(Vec3::zeros(), 1.0, 4);
        let welded = weld(equal(&loose(&ball)), 1.0);
        assert_eq!(welded.surface.vertices.len(), ball.vertices.len());
        assert_eq!(loose(&welded.surface), loose(&ball));
        assert!(welded.doubts.is_empty());
    }

    /// Shares of several threads, each corner of which is met in another first.
    #[test]
    fn welded_in_shares_is_as_welded_in_one_go() {
        let ball = solids::icosphere(Vec3::zeros(), 1.0, 7);
        let mut mesh = loose(&ball);
        mesh.rotate_left(77_777);
        assert!(mesh.len() > 8 * WELDED_ALONE);
        let pool = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
            pool.unwrap().install(|| equal(&mesh))
        };
        let one = pool(1);
        assert_eq!(one.vertices.len(), ball.vertices.len());
        assert_eq!(loose(&one), mesh);
        assert_eq!(pool(2), one);
        assert_eq!(pool(7), one);
    }

    #[test]
    fn negative_zero_is_zero() {
        let mesh = [
            [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]],
            [[-0.0, -0.0, 0.0], [0.0, -1.0, 0.0], [1.0, -0.0, -0.0]],
        ];
        assert_eq!(equal(&mesh).vertices.len(), 4);
    }

    #[test]
    fn scale_turns_the_files_unit_into_metres() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::new(3400.0, 700.0, 300.0));
        let welded = weld(equal(&loose(&cube)), 0.001);
        let volume = 3.4 * 0.7 * 0.3;
        assert!((welded.surface.signed_volume_m3() - volume).abs() < 1e-12);
    }

    #[test]
    fn a_torn_seam_is_joined_and_counted_but_a_real_gap_is_not() {
        let ball = solids::icosphere(Vec3::zeros(), 1.0, 3);
        // Diagonal 2√3: reach 3.5 µm. Shift every corner of one face.
        for (shift, joined) in [(1e-6, 3), (1e-4, 0)] {
            let mut torn = loose(&ball);
            for corner in &mut torn[100] {
                corner[0] += shift;
            }
            let welded = weld(equal(&torn), 1.0);
            assert_eq!(welded.loosely_joined, joined, "{shift}");
            assert_eq!(welded.doubts.len(), usize::from(joined > 0));
            let closed = open_edge_vertices(&welded.surface).is_empty();
            assert_eq!(closed, joined > 0);
        }
    }

    /// A speck a thousand kilometres off made the reach 1 m and the hull one
    /// lump of joined vertices.
    #[test]
    fn a_stray_vertex_far_off_does_not_widen_the_weld() {
        let ball = solids::icosphere(Vec3::zeros(), 1.0, 3);
        for far in [1e6, 1e30] {
            let mut torn = loose(&ball);
            for corner in &mut torn[100] {
                corner[0] += 1e-4;
            }
            let speck = [[far, 0.0, 0.0], [far, far, 0.0], [far, 0.0, far]];
            torn.push(speck);
            let welded = weld(equal(&torn), 1.0);
            assert_eq!(welded.loosely_joined, 0);
            // A seam of true rounding is still joined: its reach is at most
            // four times that of the ball alone.
            for corner in &mut torn[100] {
                corner[0] -= 1e-4 - 1e-6;
            }
            assert_eq!(weld(equal(&torn), 1.0).loosely_joined, 3);
        }
    }
}
