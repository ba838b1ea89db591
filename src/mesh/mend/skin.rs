//! The outer skin of a hull that was scanned inside and out.
use rayon::prelude::*;

use super::super::face_tree::FaceTree;
use super::super::surface::Surface;
use super::super::topology::{IGNORED, Topology};
use crate::numerics::Vec3;

/// Rays from a face, by elevation (deg, below the horizon) and how many round.
const RAYS: [(f64, u32); 4] = [(-12.0, 8), (-35.0, 8), (-65.0, 4), (-90.0, 1)];
/// Rays that must get clear for a face to be seen from outside: one alone may
/// pass through a hole in the scan.
const CLEAR_RAYS: usize = 2;
/// Rounds in which a face goes with the most of its neighbours.
const ROUNDS: usize = 3;
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
    let mut seen: Vec<bool> = (0..surface.faces.len())
        .into_par_iter()
        .with_min_len(1 << 10)
        .map(|face| {
            let [a, b, c] = surface.corners(face);
            let from = (a + b + c) / 3.0;
            let own = u32::try_from(face).unwrap_or(u32::MAX);
            directions
                .iter()
                .filter(|d| !tree.is_blocked(&from, d, own, beyond_m))
                .take(CLEAR_RAYS)
                .count()
                == CLEAR_RAYS
        })
        .collect();
    let topology = Topology::of(surface);
    for _ in 0..ROUNDS {
        seen = (0..seen.len())
            .into_par_iter()
            .with_min_len(1 << 12)
            .map(|face| {
                let neighbours = (0..3)
                    .map(|k| topology.mate[3 * face + k])
                    .filter(|mate| *mate < IGNORED)
                    .map(|mate| seen[(mate / 3) as usize]);
                let (mut yes, mut no) = (0, 0);
                for seen in neighbours {
                    yes += u8::from(seen);
                    no += u8::from(!seen);
                }
                match (yes, no) {
                    (2.., 0..=1) => true,
                    (0..=1, 2..) => false,
                    _ => seen[face],
                }
            })
            .collect();
    }
    seen
}
