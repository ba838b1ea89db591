//! The outer skin of a hull that was scanned inside and out.
use rayon::prelude::*;

use super::super::check::SPECK_SHARE;
use super::super::doubt::id;
use super::super::face_tree::FaceTree;
use super::super::surface::Surface;
use super::super::topology::{IGNORED, Topology};
use crate::numerics::Vec3;

/// Rays from a face, by elevation (deg, below the horizon) and how many round.
const RAYS: [(f64, u32); 4] = [(-12.0, 8), (-35.0, 8), (-65.0, 4), (-90.0, 1)];
/// Faces are asked in patches, so that a fine mesh has no more than about this
/// many; and of each patch this many faces.
const MOST_PATCHES: usize = 100_000;
const VOTERS: usize = 3;
/// Rays that must get clear for a face to be seen from outside: one alone may
/// pass through a hole in the scan.
const CLEAR_RAYS: usize = 2;
/// Share of the diagonal within which a ray passes its own neighbours: 35 µm
/// on a hull of 3.4 m.
const NEIGHBOUR_SHARE: f64 = 1e-5;

/// Which faces of an upright open hull can be seen from outside, from the
/// sides and below. The inner skin of an open hull sees only upward.
pub(super) fn seen_from_outside(surface: &Surface) -> Vec<bool> {
    let tree = FaceTree::over(surface);
    let beyond_m = NEIGHBOUR_SHARE * surface.diagonal_m();
    let directions: Vec<Vec3> = RAYS
        .iter()
        .flat_map(|&(elevation, round)| {
            (0..round).map(move |k| {
                // Off the axes, along which meshes have many edges.
                let turn = std::f64::consts::TAU * (f64::from(k) + 0.37) / f64::from(round);
                let up = (elevation + 0.7_f64).to_radians();
                Vec3::new(turn.cos() * up.cos(), turn.sin() * up.cos(), up.sin())
            })
        })
        .collect();
    let topology = Topology::of(surface);
    let patches = patches(surface, &topology);
    let is_seen = |face: u32| {
        let [a, b, c] = surface.corners(face as usize);
        let from = (a + b + c) / 3.0;
        directions
            .iter()
            .filter(|d| !tree.is_blocked(&from, d, face, beyond_m))
            .take(CLEAR_RAYS)
            .count()
            == CLEAR_RAYS
    };
    let votes: Vec<bool> = patches
        .par_iter()
        .map(|faces| {
            let step = faces.len().div_ceil(VOTERS).max(1);
            let voters = || faces.iter().step_by(step);
            2 * voters().filter(|face| is_seen(**face)).count() > voters().count()
        })
        .collect();
    let mut seen = vec![false; surface.faces.len()];
    for (faces, vote) in patches.iter().zip(votes) {
        for face in faces {
            seen[*face as usize] = vote;
        }
    }
    // Pits of a rough scan are hidden in the midst of the outer skin; scraps of
    // the inner one are seen through holes.
    for lone in [false, true] {
        turn_small_areas(surface, &topology, &mut seen, lone);
    }
    seen
}

/// Turns connected faces marked `of` into the others where they are no larger
/// than a speck.
fn turn_small_areas(surface: &Surface, topology: &Topology, seen: &mut [bool], of: bool) {
    let limit_m = SPECK_SHARE * surface.diagonal_m();
    let mut visited = vec![false; seen.len()];
    let mut area: Vec<u32> = Vec::new();
    for seed in 0..seen.len() {
        if visited[seed] || seen[seed] != of {
            continue;
        }
        visited[seed] = true;
        area.clear();
        area.push(id(seed));
        let (mut lo, mut hi) = (surface.corners(seed)[0], surface.corners(seed)[0]);
        let mut next = 0;
        let mut has_neighbours = false;
        while let Some(face) = area.get(next).copied() {
            next += 1;
            for v in surface.corners(face as usize) {
                (lo, hi) = (lo.inf(&v), hi.sup(&v));
            }
            for h in 3 * face..3 * face + 3 {
                let mate = topology.mate[h as usize];
                if mate >= IGNORED {
                    continue;
                }
                let other = (mate / 3) as usize;
                if seen[other] != of {
                    has_neighbours = true;
                } else if !std::mem::replace(&mut visited[other], true) {
                    area.push(id(other));
                }
            }
        }
        if has_neighbours && (hi - lo).norm() < limit_m {
            for face in &area {
                seen[*face as usize] = !of;
            }
        }
    }
}

/// Neighbouring faces by a few, which are seen or not together. They hang
/// together across edges, so that two skins close to each other never mix.
fn patches(surface: &Surface, topology: &Topology) -> Vec<Vec<u32>> {
    let size = surface.faces.len().div_ceil(MOST_PATCHES);
    let mut taken = vec![false; surface.faces.len()];
    let mut patches = Vec::new();
    for seed in 0..surface.faces.len() {
        if taken[seed] {
            continue;
        }
        taken[seed] = true;
        let mut patch = vec![id(seed)];
        let mut next = 0;
        while let Some(face) = patch.get(next).copied()
            && patch.len() < size
        {
            next += 1;
            for h in 3 * face..3 * face + 3 {
                let mate = topology.mate[h as usize];
                if mate < IGNORED && patch.len() < size {
                    let other = mate / 3;
                    if !std::mem::replace(&mut taken[other as usize], true) {
                        patch.push(other);
                    }
                }
            }
        }
        patches.push(patch);
    }
    patches
}
