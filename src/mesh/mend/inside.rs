//! How much of the sky the inside of a hull sees above it and below.
use super::super::surface::Surface;
use super::super::symmetry::quantile;
use super::openness::{Voxels, evenly_round};
use crate::numerics::{Vec3, least_and_most};

/// A cell of the grid as a share of the hull's length: 18 mm on a hull of 3.6 m, so that
/// missing triangles let nothing through and a hatch does.
const CELL_SHARE: f64 = 1.0 / 200.0;
/// Places along the hull from which it is looked, and the share of the length at
/// either end that is left out.
const STATIONS: usize = 32;
const ENDS_SHARE: f64 = 0.06;
/// The hull's height is the middle one of so many places each way.
const BESIDE: usize = 4;

/// A hull's own directions: along it, high, and across, with the offset of its centre
/// plane, m.
pub(super) struct Directions {
    pub(super) along: Vec3,
    pub(super) high: Vec3,
    pub(super) across: Vec3,
    pub(super) offset_m: f64,
}

/// Shares of the sky, weighted by the cosine, that are seen toward `high` and away from
/// it, from the middle of the hull's height along its centre plane: the mean of all
/// stations. Both are zero for a hull that is closed all round.
pub(super) fn sky_seen(surface: &Surface, points: &[Vec3], hull: &Directions) -> [f64; 2] {
    let along: Vec<f64> = points.iter().map(|p| p.dot(&hull.along)).collect();
    let least = along.iter().copied().fold(f64::INFINITY, f64::min);
    let most = along.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let length_m = most - least;
    if !length_m.is_finite() || length_m <= 0.0 {
        return [0.0; 2];
    }
    let voxels = Voxels::of(surface, CELL_SHARE * length_m);
    let directions = evenly_round();
    let step_m = length_m * (1.0 - 2.0 * ENDS_SHARE) / STATIONS as f64;
    let stations: Vec<f64> = (0..STATIONS)
        .map(|station| least + ENDS_SHARE * length_m + (station as f64 + 0.5) * step_m)
        .collect();
    let middle_at = |x: &f64| {
        let near = points.iter().zip(&along);
        let near = near.filter(|(_, at)| (*at - x).abs() < step_m);
        let (lo, hi) = least_and_most(near.map(|(p, _)| p.dot(&hull.high)));
        f64::midpoint(lo, hi)
    };
    let middles: Vec<f64> = stations.iter().map(middle_at).collect();
    let mut seen = [0.0; 2];
    for (station, x) in stations.iter().enumerate() {
        // A trestle under the hull, which is narrow, does not count for its height.
        let beside = station.saturating_sub(BESIDE)..(station + BESIDE + 1).min(STATIONS);
        let height = quantile(middles[beside].to_vec(), 0.5);
        let from = hull.along * *x + hull.across * hull.offset_m + hull.high * height;
        // What sees out both ahead and astern is a tunnel between two hulls, not an inside.
        let is_tunnel =
            || voxels.escapes(&from, &hull.along) && voxels.escapes(&from, &-hull.along);
        if !middles[station].is_finite() || !voxels.is_free(&from) || is_tunnel() {
            continue;
        }
        for direction in &directions {
            let cosine = direction.dot(&hull.high);
            if voxels.escapes(&from, direction) {
                seen[usize::from(cosine < 0.0)] += cosine.abs();
            }
        }
    }
    let all: f64 = directions.iter().map(|d| d.dot(&hull.high).abs()).sum();
    // Half of all directions look each way.
    seen.map(|seen| seen / (all / 2.0 * STATIONS as f64))
}
