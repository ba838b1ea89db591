//! The points of a rim as the edges round it.
use std::collections::HashMap;

use nalgebra::{Matrix3, SymmetricEigen, Vector2};

use crate::numerics::{Vec3, place_bits};

/// Points nearer to each other than this share of the rim's extent are one.
const SAME_POINT_SHARE: f64 = 1e-9;
/// Share of the square of a rim's extent below which it has no area: what is in
/// a line stays far below it, a slit a thousandth as broad as long far over it.
const NO_AREA_SHARE: f64 = 1e-6;

/// The edges round a rim, all in one sense of rotation, and whether they enclose
/// any area. The points come as the ends of its edges, in order round it, or as the
/// corners of a cut curve in no order: those are taken in the order that they have
/// round their middle, seen square to the plane that fits them best. A point or a
/// line of points is one edge, from end to end.
pub(crate) fn edges_of_rim(rim: &[Vec3]) -> (Vec<[Vec3; 2]>, bool) {
    let Some(flat) = Flat::of(rim) else {
        let end = |sign: f64| {
            let from = rim.first().copied().unwrap_or_default();
            let far = |p: &&Vec3| sign * (*p - from).dot(&direction_of(rim));
            rim.iter().max_by(|a, b| far(a).total_cmp(&far(b))).copied()
        };
        let edge = end(-1.0).zip(end(1.0)).map(|(a, b)| [a, b]);
        return (edge.into_iter().collect(), false);
    };
    if are_ends_of_edges(rim) {
        return (rim.chunks_exact(2).map(|e| [e[0], e[1]]).collect(), true);
    }
    let mut ring: Vec<(Vector2<f64>, Vec3)> = Vec::new();
    for (seen, point) in flat.seen.iter().zip(rim) {
        let is_new = |other: &Vec3| (other - point).norm() > SAME_POINT_SHARE * flat.extent_m;
        if ring.iter().all(|(_, other)| is_new(other)) {
            ring.push((*seen, *point));
        }
    }
    let seen: Vec<Vector2<f64>> = ring.iter().map(|(seen, _)| *seen).collect();
    if crosses_itself(&seen) {
        ring.sort_by(|(a, _), (b, _)| a.y.atan2(a.x).total_cmp(&b.y.atan2(b.x)));
    }
    let next = ring.iter().cycle().skip(1);
    let edges = ring.iter().zip(next).map(|((_, a), (_, b))| [*a, *b]);
    (edges.collect(), true)
}

/// Points seen square to the plane that fits them best, from their middle.
struct Flat {
    seen: Vec<Vector2<f64>>,
    extent_m: f64,
}

impl Flat {
    /// `None` for fewer than three points, or points in a line.
    fn of(rim: &[Vec3]) -> Option<Self> {
        let count = f64::from(u32::try_from(rim.len()).ok()?);
        let middle = rim.iter().sum::<Vec3>() / count;
        let scatter: Matrix3<f64> = rim
            .iter()
            .map(|p| (p - middle) * (p - middle).transpose())
            .sum();
        let eigen = SymmetricEigen::new(scatter);
        let most = eigen.eigenvalues.max();
        let u: Vec3 = eigen.eigenvectors.column(eigen.eigenvalues.imax()).into();
        let normal: Vec3 = eigen.eigenvectors.column(eigen.eigenvalues.imin()).into();
        let v = normal.cross(&u);
        let across: f64 = rim.iter().map(|p| (p - middle).dot(&v).powi(2)).sum();
        let has_area = rim.len() >= 3 && across > NO_AREA_SHARE * NO_AREA_SHARE * most;
        let extent_m = rim.iter().map(|p| (p - middle).norm()).fold(0.0, f64::max);
        has_area.then(|| Self {
            seen: rim
                .iter()
                .map(|p| Vector2::new((p - middle).dot(&u), (p - middle).dot(&v)))
                .collect(),
            extent_m,
        })
    }
}

/// From the first point to the one farthest from it; nought for a single point.
fn direction_of(rim: &[Vec3]) -> Vec3 {
    let from = rim.first().copied().unwrap_or_default();
    let ways = rim.iter().map(|p| p - from);
    ways.max_by(|a, b| a.norm().total_cmp(&b.norm()))
        .unwrap_or_default()
}

/// Whether each point is there exactly twice: every edge's ends.
fn are_ends_of_edges(rim: &[Vec3]) -> bool {
    let mut times: HashMap<[u64; 3], usize> = HashMap::new();
    for point in rim {
        *times.entry(place_bits(point)).or_default() += 1;
    }
    let edges_are_long = rim.chunks_exact(2).all(|edge| edge[0] != edge[1]);
    rim.len() >= 6
        && rim.len().is_multiple_of(2)
        && edges_are_long
        && times.values().all(|n| *n == 2)
}

/// Whether a closed polygon crosses itself.
fn crosses_itself(ring: &[Vector2<f64>]) -> bool {
    let count = ring.len();
    let edge = |i: usize| (ring[i], ring[(i + 1) % count]);
    (0..count).any(|i| {
        let (a, b) = edge(i);
        (i + 2..count).filter(|j| (j + 1) % count != i).any(|j| {
            let (c, d) = edge(j);
            let side = |p: &Vector2<f64>| (b - a).perp(&(p - a));
            let other = |p: &Vector2<f64>| (d - c).perp(&(p - c));
            side(&c) * side(&d) < 0.0 && other(&a) * other(&b) < 0.0
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(rim: &[Vec3]) -> f64 {
        let (edges, _) = edges_of_rim(rim);
        edges.iter().map(|[a, b]| (b - a).norm()).sum()
    }

    /// An L, 8 m round: in order, as ends of edges; and the corners of a square
    /// crosswise, 4 m round.
    #[test]
    fn points_in_order_at_the_ends_of_edges_or_in_no_order_go_round() {
        let l_shape = [(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)]
            .map(|(x, y)| Vec3::new(f64::from(x), f64::from(y), 0.3));
        assert!((length(&l_shape) - 8.0).abs() < 1e-12);
        let ends: Vec<Vec3> = (0..6)
            .flat_map(|i| [l_shape[i], l_shape[(i + 1) % 6]])
            .collect();
        assert!((length(&ends) - 8.0).abs() < 1e-12);
        let square = [(0, 0), (1, 1), (1, 0), (0, 1)]
            .map(|(x, y)| Vec3::new(f64::from(x), 0.2, f64::from(y)));
        assert!((length(&square) - 4.0).abs() < 1e-12);
    }

    #[test]
    fn scattered_points_of_a_circle_become_its_outline() {
        let point = |i: u32| {
            let angle = std::f64::consts::TAU * f64::from(i) / 40.0;
            Vec3::new(1.0, 0.3 * angle.cos(), 0.3 * angle.sin())
        };
        // 17 has no factor in common with 40: every point once, far apart.
        let scattered: Vec<Vec3> = (0..40).map(|i| point(i * 17 % 40)).collect();
        let polygon = 40.0 * 2.0 * 0.3 * (std::f64::consts::TAU / 80.0).sin();
        assert!((length(&scattered) - polygon).abs() < 1e-12);
    }

    #[test]
    fn a_line_is_one_edge_from_end_to_end_and_has_no_area() {
        let line: Vec<Vec3> = [1.0, 0.0, 3.0].map(|x| Vec3::new(x, 2.0 * x, 0.0)).into();
        let (edges, has_area) = edges_of_rim(&line);
        assert!(!has_area && edges.len() == 1);
        assert!((length(&line) - 3.0 * 5.0_f64.sqrt()).abs() < 1e-12);
        let (edges, has_area) = edges_of_rim(&line[..1]);
        assert!(!has_area && edges == [[line[0], line[0]]]);
        assert!(edges_of_rim(&[]).0.is_empty());
    }
}
