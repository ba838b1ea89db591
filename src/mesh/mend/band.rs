//! The border between kept and dropped faces, drawn to a curve.
use super::super::doubt::id;
use super::super::surface::Surface;
use super::super::topology::{IGNORED, Topology, ends};
use super::curves::{Curves, FARTHEST_M};
use super::min_cut;

/// The cut runs within this of the curve, m: as far as curves are looked for.
pub(super) const BAND_M: f64 = FARTHEST_M;
/// An edge of the cut costs at least this.
const LEAST_COST: f64 = 0.02;
const HELD: f64 = 1e6;

/// Parts the faces in a band along curves anew: by the cut whose edges lie nearest to the
/// curves, between those beside the band, which stay `kept` or not, and those that
/// `is_dropped` names. Faces that touch neither stay as they were.
pub(super) fn cut_in_band(
    (surface, topology): (&Surface, &Topology),
    near: &Curves,
    edge_m: f64,
    kept: &mut [bool],
    is_dropped: impl Fn(usize) -> bool,
) {
    let mut number = vec![u32::MAX; kept.len()];
    let mut faces: Vec<usize> = Vec::new();
    for (face, number) in number.iter_mut().enumerate() {
        let [a, b, c] = surface.corners(face);
        if near.distance_m(&((a + b + c) / 3.0), BAND_M) < BAND_M {
            *number = id(faces.len());
            faces.push(face);
        }
    }
    let mut leaning = vec![0.0; faces.len()];
    let mut edges = Vec::new();
    for &face in &faces {
        if is_dropped(face) {
            leaning[number[face] as usize] = -HELD;
        }
        for h in 3 * face..3 * face + 3 {
            let mate = topology.mate[h];
            if mate >= IGNORED {
                continue;
            }
            let other = (mate / 3) as usize;
            if number[other] == u32::MAX {
                leaning[number[face] as usize] = if kept[other] { HELD } else { -HELD };
            } else if h < mate as usize {
                let (a, b) = ends(&surface.faces, id(h));
                let [p, q] = [a, b].map(|v| surface.vertices[v as usize]);
                let away = near.distance_m(&((p + q) / 2.0), BAND_M) / edge_m;
                let cost = (p - q).norm() / edge_m * (LEAST_COST + (away * away).min(1.0));
                edges.push((number[face], number[other], cost));
            }
        }
    }
    let with_sky = min_cut::with_source(&leaning, &edges);
    for (&face, sky) in faces.iter().zip(with_sky) {
        kept[face] = sky;
    }
}
