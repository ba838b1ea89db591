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
use crate::mesh::Surface;
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

    fn meets_box_of(&self, [a, b, c]: &[Vec3; 3]) -> bool {
        let (lo, hi) = (a.inf(b).inf(c), a.sup(b).sup(c));
        (0..3).all(|k| lo[k] <= self.hi[k] && hi[k] >= self.lo[k])
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
    part: &Envelope,
    operation: Operation,
) -> Option<NearChange> {
    let (lo, hi) = part.surface.bounds()?;
    let clear = Vec3::repeat(CLEAR_M);
    let block = Block {
        lo: lo - clear,
        hi: hi + clear,
    };
    let gone = patch_of(&hull.surface, &block)?;
    let mut local = hull.piece(&gone);
    let patch_faces = local.sources.len();
    let mut places: Vec<_> = local.surface.vertices.iter().map(place_of).collect();
    places.sort_unstable();
    if places.windows(2).any(|pair| pair[0] == pair[1]) {
        // Two corners in one place would be stitched as one.
        return None;
    }
    let border = border_loops(&local.surface.faces)?;
    let was_border = border_places(&local.surface);
    // A place of the box that no plane through round numbers meets.
    let inside =
        block.lo + (block.hi - block.lo).component_mul(&Vec3::new(0.487_19, 0.521_37, 0.463_91));
    close(&mut local.surface, &border, &block, &inside)?;
    let missing = winding(&hull.surface, &inside)? - winding(&local.surface, &inside)?;
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
fn patch_of(surface: &Surface, block: &Block) -> Option<Vec<usize>> {
    let near: Vec<usize> = (0..surface.faces.len())
        .into_par_iter()
        .filter(|&face| block.meets_box_of(&surface.corners(face)))
        .collect();
    let most = LARGEST_PATCH * surface.faces.len() as f64;
    if near.len() as f64 > most {
        return None;
    }
    let mut touched = vec![false; surface.vertices.len()];
    for &face in &near {
        for v in surface.faces[face] {
            touched[v as usize] = true;
        }
    }
    let patch: Vec<usize> = (0..surface.faces.len())
        .into_par_iter()
        .filter(|&face| surface.faces[face].iter().any(|&v| touched[v as usize]))
        .collect();
    (patch.len() as f64 <= most).then_some(patch)
}

/// Edges of a patch that only one face has, chained through the fans of faces round
/// their ends, each loop as its corners in order. `None` where an edge has more than
/// two faces.
fn border_loops(faces: &[[u32; 3]]) -> Option<Vec<Vec<u32>>> {
    let mut next: HashMap<[u32; 2], u32> = HashMap::with_capacity(3 * faces.len());
    for &[a, b, c] in faces {
        for (edge, then) in [([a, b], c), ([b, c], a), ([c, a], b)] {
            if next.insert(edge, then).is_some() {
                return None;
            }
        }
    }
    let mut open: Vec<[u32; 2]> = next
        .keys()
        .filter(|[a, b]| !next.contains_key(&[*b, *a]))
        .copied()
        .collect();
    open.sort_unstable();
    // The border edge that follows: round the fan at the edge's end.
    let after = |[a, b]: [u32; 2]| {
        let mut edge = [b, *next.get(&[a, b])?];
        for _ in 0..faces.len() {
            match next.get(&[edge[1], b]) {
                Some(&third) => edge = [b, third],
                None => return Some(edge),
            }
        }
        None
    };
    let mut left: std::collections::BTreeSet<[u32; 2]> = open.into_iter().collect();
    let mut loops = Vec::new();
    while let Some(first) = left.first().copied() {
        let mut corners = Vec::new();
        let mut edge = first;
        loop {
            if !left.remove(&edge) {
                return None;
            }
            corners.push(edge[0]);
            edge = after(edge)?;
            if edge == first {
                break;
            }
        }
        loops.push(corners);
    }
    Some(loops)
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

/// Winding number of a surface about a point: signed crossings of a ray. `None` where
/// the ray meets an edge.
fn winding(surface: &Surface, point: &Vec3) -> Option<i64> {
    // No direction of any drawing.
    let along = Vec3::new(0.318_27, 0.541_93, 0.777_81).normalize();
    let first = along.cross(&Vec3::new(0.9, -0.2, 0.1)).normalize();
    let second = along.cross(&first);
    let flat = |v: &Vec3| {
        let away = v - point;
        [away.dot(&first), away.dot(&second), away.dot(&along)]
    };
    surface
        .faces
        .par_iter()
        .map(|face| {
            let [a, b, c] = face.map(|v| flat(&surface.vertices[v as usize]));
            // The same number but for its sign from both faces of an edge.
            let turn = |p: &[f64; 3], q: &[f64; 3]| p[0] * q[1] - p[1] * q[0];
            let turns = [turn(&b, &c), turn(&c, &a), turn(&a, &b)];
            if turns.iter().all(|t| *t > 0.0) || turns.iter().all(|t| *t < 0.0) {
                let area: f64 = turns.iter().sum();
                let height = (turns[0] * a[2] + turns[1] * b[2] + turns[2] * c[2]) / area;
                return Some(match (height > 0.0, area > 0.0) {
                    (false, _) => 0,
                    (true, true) => 1,
                    (true, false) => -1,
                });
            }
            let crosses = |sign: f64| turns.iter().all(|t| t * sign >= 0.0);
            let on_edge = turns.contains(&0.0) && (crosses(1.0) || crosses(-1.0));
            (!on_edge).then_some(0)
        })
        .try_reduce(|| 0, |a, b| Some(a + b))
}

/// A place to the last bit; minus nought is nought.
fn place_of(v: &Vec3) -> [u64; 3] {
    place_bits(&v.add_scalar(0.0))
}

/// Each border edge by the places of its ends, to the last bit, in order.
fn border_places(surface: &Surface) -> Vec<[[u64; 3]; 2]> {
    let mut count: HashMap<[[u64; 3]; 2], i32> = HashMap::new();
    for face in 0..surface.faces.len() {
        let [a, b, c] = surface.corners(face).map(|v| place_of(&v));
        for [from, to] in [[a, b], [b, c], [c, a]] {
            let (edge, way) = if from < to {
                ([from, to], 1)
            } else {
                ([to, from], -1)
            };
            *count.entry(edge).or_default() += way;
        }
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
    /// The hull with this change made.
    pub(super) fn made_to(&self, hull: &Envelope) -> Envelope {
        let mut gone = vec![false; hull.sources.len()];
        for &face in &self.gone {
            gone[face] = true;
        }
        // Corners of faces that stay beside the patch, by their place.
        let mut on_patch: HashMap<[u64; 3], u32> = HashMap::new();
        for &face in &self.gone {
            for v in hull.surface.faces[face] {
                on_patch.insert(place_of(&hull.surface.vertices[v as usize]), v);
            }
        }
        let mut surface = Surface {
            vertices: hull.surface.vertices.clone(),
            faces: Vec::with_capacity(hull.surface.faces.len()),
        };
        let mut sources = Vec::with_capacity(hull.sources.len());
        for (face, gone) in gone.iter().enumerate() {
            if !gone {
                surface.faces.push(hull.surface.faces[face]);
                sources.push(hull.sources[face]);
            }
        }
        let numbers: Vec<u32> = self
            .came
            .surface
            .vertices
            .iter()
            .map(|place| {
                *on_patch.entry(place_of(place)).or_insert_with(|| {
                    surface.vertices.push(*place);
                    u32::try_from(surface.vertices.len() - 1).unwrap_or(u32::MAX)
                })
            })
            .collect();
        let came = self.came.surface.faces.iter();
        surface
            .faces
            .extend(came.map(|face| face.map(|v| numbers[v as usize])));
        sources.extend(&self.came.sources);
        surface.drop_unused_vertices();
        Envelope { surface, sources }
    }
}

#[cfg(test)]
#[path = "near_tests.rs"]
mod tests;
