//! A boolean near a part needs only the hull near it.
//!
//! A boolean is an oriented sum of faces: those of the hull weighted by the part's
//! winding number there, and those of the part weighted by the hull's. A patch of the
//! hull round the part is closed by faces that stay clear of the part's box; the patch
//! so closed differs from the hull by a closed surface that misses the box, whose
//! winding number there is one whole number, made up by so many large boxes. The part
//! is joined to that small solid, the closing faces are dropped, and the rest is
//! stitched back corner for corner. No case of topology is special; where any step
//! can't be trusted nothing is returned, and the whole hull is taken.
use std::collections::HashMap;

use rayon::prelude::*;

use super::envelope::{CLOSING, Envelope, FaceSource, Operation};
use super::winding::{winding, winding_by_runs};
use crate::mesh::{self, FaceRuns, Reach, Surface};
use crate::numerics::{Vec3, place_bits};

/// How far the part's box is made larger, m: past the library's own tolerance.
const CLEAR_M: f64 = 1e-7;
/// A patch of more than this share of the hull's faces saves nothing.
const LARGEST_PATCH: f64 = 0.45;
/// The outer edge of the closing faces lies this much further out than the patch's…
const OUTWARD: f64 = 1.25;
/// …and at least so many half-diagonals of the box from its middle.
const HALF_DIAGONALS: f64 = 3.0;
/// Each corner of that outer edge is moved outward by up to this share more, so that
/// no two closing faces lie in one plane: the library joins such faces.
const JITTER: f64 = 0.03;
/// An edge of the patch seen under more than this from the box's middle is split on
/// the outer side, rad.
const WIDEST_RAD: f64 = 0.6;
/// Directions tried for the tip of the closing cone.
const TIPS: u32 = 126;
/// How far the tip stands off, in half-diagonals of box and patch.
const TIP_OFF: f64 = 4.0;
/// Windings of a hull at one place: more is no hull.
const MOST_WINDINGS: i64 = 8;

/// What a boolean changes of a hull.
#[derive(Debug, Clone)]
pub(super) struct NearChange {
    /// Numbers of the hull's faces that go, in order.
    pub(super) gone: Vec<usize>,
    /// The faces that come in their place; corners shared with faces that stay are the
    /// same to the last bit.
    pub(super) came: Envelope,
}

/// A box with its sides along the axes.
#[derive(Debug, Clone, Copy)]
struct Block {
    lo: Vec3,
    hi: Vec3,
}

impl Block {
    fn middle(&self) -> Vec3 {
        (self.lo + self.hi) / 2.0
    }

    fn meets_reach(&self, [lo, hi]: &Reach) -> bool {
        (0..3).all(|k| lo[k] <= self.hi[k] && hi[k] >= self.lo[k])
    }

    fn meets_box_of(&self, [a, b, c]: &[Vec3; 3]) -> bool {
        self.meets_reach(&[a.inf(b).inf(c), a.sup(b).sup(c)])
    }

    /// Whether a triangle meets the box: separating axes (Akenine-Möller, Journal of
    /// Graphics Tools 6(1), 2001, "Fast 3D Triangle-Box Overlap Testing"; from memory).
    fn meets(&self, corners: &[Vec3; 3]) -> bool {
        if !self.meets_box_of(corners) {
            return false;
        }
        let (middle, half) = (self.middle(), (self.hi - self.lo) / 2.0);
        let [a, b, c] = corners.map(|p| p - middle);
        let separates = |axis: Vec3| {
            let reach = half.dot(&axis.abs());
            let along = [a.dot(&axis), b.dot(&axis), c.dot(&axis)];
            let low = along.into_iter().fold(f64::INFINITY, f64::min);
            let high = along.into_iter().fold(f64::NEG_INFINITY, f64::max);
            low > reach || high < -reach
        };
        let sides = [b - a, c - b, a - c];
        if separates(sides[0].cross(&sides[1])) {
            return false;
        }
        let axes = [Vec3::x(), Vec3::y(), Vec3::z()];
        !sides
            .iter()
            .any(|side| axes.iter().any(|axis| separates(side.cross(axis))))
    }
}

/// Joins or cuts a part with the part of the hull that is near it. `None` where that
/// can't be trusted, or saves nothing.
pub(super) fn combine_near(
    hull: &Envelope,
    runs: &FaceRuns,
    part: &Envelope,
    operation: Operation,
) -> Option<NearChange> {
    let (lo, hi) = part.surface.bounds()?;
    let clear = Vec3::repeat(CLEAR_M);
    let block = Block {
        lo: lo - clear,
        hi: hi + clear,
    };
    let gone = patch_of(&hull.surface, runs, &block)?;
    let mut local = hull.piece(&gone);
    let patch_faces = local.sources.len();
    let mut places: Vec<_> = local.surface.vertices.iter().map(place_of).collect();
    places.par_sort_unstable();
    if places.windows(2).any(|pair| pair[0] == pair[1]) {
        // Two corners in one place would be stitched as one.
        return None;
    }
    let border = mesh::border_loops(&local.surface)?;
    let was_border = border_places(&local.surface);
    // A place of the box that no plane through round numbers meets.
    let inside =
        block.lo + (block.hi - block.lo).component_mul(&Vec3::new(0.487_19, 0.521_37, 0.463_91));
    close(&mut local.surface, &border, &block, &inside)?;
    let missing =
        winding_by_runs(&hull.surface, runs, &inside)? - winding(&local.surface, &inside)?;
    if missing.abs() > MOST_WINDINGS {
        return None;
    }
    for number in 0..missing.abs() {
        add_block(&mut local.surface, &block, number, missing < 0);
    }
    let closing = FaceSource::Part(CLOSING);
    local.sources.resize(local.surface.faces.len(), closing);
    let result = local.combine(part, operation).ok()?;
    let (kept, came): (Vec<usize>, Vec<usize>) =
        (0..result.sources.len()).partition(|&face| result.sources[face] == closing);
    if operation != Operation::Keep
        && !same_faces(&local.surface, patch_faces.., &result.surface, &kept)
    {
        return None;
    }
    let came = result.piece(&came);
    let is_sound = match operation {
        Operation::Keep => kept.is_empty() && came.surface.is_balanced(),
        Operation::Join | Operation::Cut => border_places(&came.surface) == was_border,
    };
    if !is_sound {
        return None;
    }
    Some(NearChange { gone, came })
}

/// The faces whose own box meets the part's, and one ring more round them, in order.
/// `None` where that is too much of the hull.
fn patch_of(surface: &Surface, runs: &FaceRuns, block: &Block) -> Option<Vec<usize>> {
    let near: Vec<usize> = runs
        .faces(|reach| block.meets_reach(reach))
        .filter(|&face| block.meets_box_of(&surface.corners(face)))
        .collect();
    let most = LARGEST_PATCH * surface.faces.len() as f64;
    if near.len() as f64 > most {
        return None;
    }
    let mut touched = vec![false; surface.vertices.len()];
    let mut round = *block;
    for &face in &near {
        for v in surface.faces[face] {
            touched[v as usize] = true;
            let place = surface.vertices[v as usize];
            (round.lo, round.hi) = (round.lo.inf(&place), round.hi.sup(&place));
        }
    }
    let patch: Vec<usize> = runs
        .faces(|reach| round.meets_reach(reach))
        .filter(|&face| surface.faces[face].iter().any(|&v| touched[v as usize]))
        .collect();
    (patch.len() as f64 <= most).then_some(patch)
}

/// Closes a patch by a ring of faces that leads outward from each of its loops and a
/// cone over it, all clear of the box.
fn close(surface: &mut Surface, loops: &[Vec<u32>], block: &Block, from: &Vec3) -> Option<()> {
    let half_diagonal = (block.hi - block.lo).norm() / 2.0;
    let (lo, hi) = surface.bounds().unwrap_or((block.lo, block.hi));
    let far = (hi.sup(&block.hi) - lo.inf(&block.lo)).norm() * TIP_OFF;
    let mut random = fastrand::Rng::with_seed(loops.iter().map(Vec::len).sum::<usize>() as u64);
    for corners in loops {
        let mut outward = |to: Vec3| {
            let away = to - from;
            let far = (OUTWARD * away.norm()).max(HALF_DIAGONALS * half_diagonal);
            from + away.normalize() * far * (1.0 + JITTER * random.f64())
        };
        // The outer points of each corner, and those between it and the next.
        let mut ring: Vec<Vec<u32>> = Vec::with_capacity(corners.len());
        for (i, &corner) in corners.iter().enumerate() {
            let here = surface.vertices[corner as usize];
            let there = surface.vertices[corners[(i + 1) % corners.len()] as usize];
            let (a, b) = (here - from, there - from);
            let seen = a.cross(&b).norm().atan2(a.dot(&b));
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "half a turn at most"
            )]
            let parts = (seen / WIDEST_RAD).ceil().max(1.0) as u32;
            let mut points = Vec::new();
            for part in 0..parts {
                let share = f64::from(part) / f64::from(parts);
                points.push(add_vertex(surface, outward(here + (there - here) * share))?);
            }
            ring.push(points);
        }
        let mut edges: Vec<[u32; 2]> = Vec::new();
        let mut sides: Vec<[u32; 3]> = Vec::new();
        for i in 0..corners.len() {
            let j = (i + 1) % corners.len();
            let mut outer = ring[i].clone();
            outer.push(ring[j][0]);
            sides.push([corners[j], corners[i], outer[0]]);
            for pair in outer.windows(2) {
                sides.push([corners[j], pair[0], pair[1]]);
                edges.push([pair[0], pair[1]]);
            }
        }
        let at = |surface: &Surface, face: &[u32; 3]| face.map(|v| surface.vertices[v as usize]);
        if sides.iter().any(|face| block.meets(&at(surface, face))) {
            return None;
        }
        let tip = clearest_tip(surface, &edges, block, from, far)?;
        let tip = add_vertex(surface, tip)?;
        surface.faces.extend(sides);
        surface
            .faces
            .extend(edges.iter().map(|&[a, b]| [b, a, tip]));
    }
    Some(())
}

fn add_vertex(surface: &mut Surface, point: Vec3) -> Option<u32> {
    let number = u32::try_from(surface.vertices.len()).ok()?;
    surface.vertices.push(point);
    Some(number)
}

/// The tip of a cone over these edges that keeps clear of the box by the widest
/// margin: the box is made larger until only one is left.
fn clearest_tip(
    surface: &Surface,
    edges: &[[u32; 2]],
    block: &Block,
    from: &Vec3,
    far_m: f64,
) -> Option<Vec3> {
    let clear_of = |tip: &Vec3, block: &Block| {
        !edges.iter().any(|edge| {
            let [a, b] = edge.map(|v| surface.vertices[v as usize]);
            block.meets(&[b, a, *tip])
        })
    };
    let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
    let mut left: Vec<Vec3> = (0..TIPS)
        .map(|i| {
            let z = 1.0 - (2.0 * f64::from(i) + 1.0) / f64::from(TIPS);
            let (sin, cos) = (golden * f64::from(i)).sin_cos();
            let r = (1.0 - z * z).sqrt();
            from + Vec3::new(r * cos, r * sin, z) * far_m
        })
        .filter(|tip| clear_of(tip, block))
        .collect();
    for more in [0.25, 0.5, 1.0] {
        let margin = (block.hi - block.lo) * (more / 2.0);
        let larger = Block {
            lo: block.lo - margin,
            hi: block.hi + margin,
        };
        let clearer: Vec<Vec3> = left
            .iter()
            .copied()
            .filter(|tip| clear_of(tip, &larger))
            .collect();
        if clearer.is_empty() {
            break;
        }
        left = clearer;
    }
    left.first().copied()
}

/// A box well round the part's, facing outward, or inward where `inward`.
fn add_block(surface: &mut Surface, block: &Block, number: i64, inward: bool) {
    let (lo, hi) = surface.bounds().unwrap_or((block.lo, block.hi));
    let size = (hi.sup(&block.hi) - lo.inf(&block.lo)).norm();
    let off = Vec3::new(1.031, 1.173, 1.297) * (size * (1.0 + 0.1 * number as f64));
    let mut round = crate::mesh::solids::cuboid(block.lo - off, block.hi + off);
    if inward {
        round.flip();
    }
    surface.append(&round);
}

/// A place to the last bit; minus nought is nought.
fn place_of(v: &Vec3) -> [u64; 3] {
    place_bits(&v.add_scalar(0.0))
}

/// A directed edge by the places of its ends.
type EdgePlaces = [[u64; 3]; 2];

/// Each border edge by the places of its ends, to the last bit, in order. Edges whose
/// ends are two vertices in one place match.
fn border_places(surface: &Surface) -> Vec<EdgePlaces> {
    let mut count: HashMap<EdgePlaces, i32> = HashMap::new();
    for edge in mesh::unmatched_edges(surface) {
        let [from, to] = edge.map(|v| place_of(&surface.vertices[v as usize]));
        let (edge, way) = if from < to {
            ([from, to], 1)
        } else {
            ([to, from], -1)
        };
        *count.entry(edge).or_default() += way;
    }
    let mut border: Vec<_> = count
        .into_iter()
        .filter(|(_, ways)| *ways != 0)
        .flat_map(|([a, b], ways)| {
            let edge = if ways > 0 { [a, b] } else { [b, a] };
            vec![edge; ways.unsigned_abs() as usize]
        })
        .collect();
    border.sort_unstable();
    border
}

/// Whether two sets of faces are the same, corner for corner.
fn same_faces(
    one: &Surface,
    from: std::ops::RangeFrom<usize>,
    other: &Surface,
    faces: &[usize],
) -> bool {
    let marked = |surface: &Surface, face: usize| {
        let mut corners = surface.corners(face).map(|v| place_of(&v));
        let least = (0..3).min_by_key(|&i| corners[i]).unwrap_or(0);
        corners.rotate_left(least);
        corners
    };
    let mut mine: Vec<_> = (from.start..one.faces.len())
        .map(|f| marked(one, f))
        .collect();
    let mut theirs: Vec<_> = faces.iter().map(|&f| marked(other, f)).collect();
    mine.sort_unstable();
    theirs.sort_unstable();
    mine == theirs
}

impl NearChange {
    /// Makes this change to the hull.
    pub(super) fn make_to(&self, hull: &mut Envelope) {
        let Envelope { surface, sources } = hull;
        // Corners of the patch by their place: those beside faces that stay are kept.
        let mut on_patch: HashMap<[u64; 3], u32> = HashMap::with_capacity(self.gone.len());
        for &face in &self.gone {
            for v in surface.faces[face] {
                on_patch.insert(place_of(&surface.vertices[v as usize]), v);
            }
        }
        take_out(&mut surface.faces, &self.gone);
        take_out(sources, &self.gone);
        let vertices = &mut surface.vertices;
        let numbers: Vec<u32> = self
            .came
            .surface
            .vertices
            .iter()
            .map(|place| {
                *on_patch.entry(place_of(place)).or_insert_with(|| {
                    vertices.push(*place);
                    u32::try_from(vertices.len() - 1).unwrap_or(u32::MAX)
                })
            })
            .collect();
        let came = self.came.surface.faces.iter();
        surface
            .faces
            .extend(came.map(|face| face.map(|v| numbers[v as usize])));
        sources.extend(&self.came.sources);
        surface.drop_unused_vertices();
    }

    /// Whether all that hung together in the patch that went still does in what came, and
    /// no solid came off: then no cut has parted the craft. Given the patch that went.
    pub(super) fn holds_together(&self, gone: &Envelope) -> bool {
        let pieces = |envelope: &Envelope| mesh::pieces(&envelope.surface);
        let (was, is) = (pieces(gone), pieces(&self.came));
        let edges = |envelope: &Envelope, pieces: &[Vec<usize>]| -> HashMap<EdgePlaces, usize> {
            let surface = &envelope.surface;
            let mut open: HashMap<EdgePlaces, usize> = border_places(surface)
                .into_iter()
                .map(|edge| (edge, usize::MAX))
                .collect();
            for (number, faces) in pieces.iter().enumerate() {
                for &face in faces {
                    let [a, b, c] = surface.corners(face).map(|v| place_of(&v));
                    for edge in [[a, b], [b, c], [c, a]] {
                        if let Some(piece) = open.get_mut(&edge) {
                            *piece = number;
                        }
                    }
                }
            }
            open
        };
        let (old, new) = (edges(gone, &was), edges(&self.came, &is));
        let mut became: Vec<Option<usize>> = vec![None; was.len()];
        let still_one = old.iter().all(|(edge, &piece)| {
            let now = new.get(edge).copied();
            let known = became
                .get_mut(piece)
                .map(|known| known.get_or_insert(now.unwrap_or(usize::MAX)));
            now.is_some() && known.is_some_and(|known| Some(*known) == now)
        });
        let solids =
            |envelope: &Envelope, pieces: &[Vec<usize>], open: &HashMap<EdgePlaces, usize>| {
                let mut on_border = vec![false; pieces.len()];
                for &piece in open.values() {
                    on_border[piece] = true;
                }
                let apart = pieces
                    .iter()
                    .zip(on_border)
                    .filter(|(_, on_border)| !on_border);
                apart
                    .filter(|(faces, _)| envelope.piece(faces).surface.signed_volume_m3() > 0.0)
                    .count()
            };
        still_one && solids(&self.came, &is, &new) <= solids(gone, &was, &old)
    }
}

/// Takes the members of some numbers, in order, out of a list.
pub(super) fn take_out<T: Copy>(list: &mut Vec<T>, gone: &[usize]) {
    let Some(&first) = gone.first() else {
        return;
    };
    let mut kept = first;
    let ends = gone.iter().skip(1).copied().chain([list.len()]);
    for (&gone, next) in gone.iter().zip(ends) {
        list.copy_within(gone + 1..next, kept);
        kept += next - gone - 1;
    }
    list.truncate(kept);
}

#[cfg(test)]
#[path = "near_tests.rs"]
mod tests;
