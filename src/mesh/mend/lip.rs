//! A lip that turns down inside its opening: water comes in over the crest, and the edge of
//! the skin hangs below that.
use std::collections::HashSet;

use super::super::cap::ring_area;
use super::super::surface::Surface;
use super::super::topology::Topology;
use super::band::{BAND_M, cut_in_band};
use super::curves::Curves;
use super::rim::Rim;
use crate::numerics::Vec3;

/// A crest lies over the edge by at least this, m, and by so many deviations of the
/// roughness, and the skin rises from the edge (cosine), along at least this share of it.
const RISE_M: f64 = 0.003;
const RISE_NOISES: f64 = 3.0;
const RISING: f64 = 0.5;
const SHARE: f64 = 0.25;
/// No lip hangs deeper, m.
const DEEP_M: f64 = 0.06;

/// Whether a curve fitted to what is farthest out about an open edge runs over a crest with
/// the edge itself below. `edge` holds the middle of each of its sides and the way from there
/// into the skin.
pub(super) fn runs_over(crest: &Rim, edge: &[(Vec3, Vec3)]) -> bool {
    let out = -ring_area(&crest.points)
        .try_normalize(0.0)
        .unwrap_or_default();
    let near = Curves::of([crest]);
    let least_m = RISE_M.max(RISE_NOISES * crest.noise_m);
    let hanging = edge.iter().filter(|(middle, into)| {
        let over = near.nearest(middle, BAND_M);
        out.dot(into) > RISING * into.norm()
            && over.is_some_and(|over| out.dot(&(over - middle)) > least_m)
    });
    hanging.count() as f64 > SHARE * edge.len() as f64
}

/// Takes away what hangs inside of a crest, down to the edge with these corners, where that
/// is no more than a lip.
pub(super) fn cut_off(surface: &mut Surface, crest: &Curves, edge: &[Vec3], edge_m: f64) {
    let bits = |p: &Vec3| [p.x, p.y, p.z].map(f64::to_bits);
    let ring: HashSet<[u64; 3]> = edge.iter().map(bits).collect();
    let topology = Topology::of(surface);
    let hangs = |face: usize| {
        surface
            .corners(face)
            .iter()
            .any(|p| ring.contains(&bits(p)))
    };
    // An edge that touches the crest hangs nowhere.
    let below = |face: usize| {
        let [a, b, c] = surface.corners(face);
        hangs(face) && crest.distance_m(&((a + b + c) / 3.0), BAND_M) > edge_m / 2.0
    };
    let mut kept: Vec<bool> = (0..surface.faces.len())
        .map(|face| !(below(face) && crest_is_far(surface, crest, face)))
        .collect();
    cut_in_band((surface, &topology), crest, edge_m, &mut kept, below);
    let gone = kept.iter().enumerate().filter(|(_, kept)| !**kept);
    let gone_m2: f64 = gone.map(|(face, _)| surface.face_area_m2(face)).sum();
    let next = edge.iter().cycle().skip(1);
    let round_m: f64 = edge.iter().zip(next).map(|(a, b)| (b - a).norm()).sum();
    if gone_m2 > DEEP_M * round_m {
        return;
    }
    let mut flags = kept.iter();
    surface
        .faces
        .retain(|_| flags.next().copied().unwrap_or(true));
    surface.drop_unused_vertices();
}

fn crest_is_far(surface: &Surface, crest: &Curves, face: usize) -> bool {
    let [a, b, c] = surface.corners(face);
    crest.distance_m(&((a + b + c) / 3.0), BAND_M) >= BAND_M
}
