//! The rim of an opening as lines to draw.
use std::collections::HashMap;

use nalgebra::{Matrix3, SymmetricEigen};

use crate::numerics::{Vec3, place_bits};

/// The lines of a rim whose points come as the ends of its edges, as the corners
/// of a cut curve in no order, or as a few points taken by tape. Unordered points
/// are joined in the order they have round their middle, seen square to the plane
/// that fits them best: right for any rim whose middle sees all of it.
#[must_use]
pub fn rim_lines(rim: &[Vec3]) -> Vec<[Vec3; 2]> {
    if are_ends_of_edges(rim) {
        return rim.chunks_exact(2).map(|e| [e[0], e[1]]).collect();
    }
    let ring = in_order(rim);
    match ring.len() {
        0 | 1 => Vec::new(),
        2 => vec![[ring[0], ring[1]]],
        _ => {
            let next = ring.iter().cycle().skip(1);
            ring.iter().zip(next).map(|(a, b)| [*a, *b]).collect()
        }
    }
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

fn in_order(rim: &[Vec3]) -> Vec<Vec3> {
    let count = u32::try_from(rim.len()).unwrap_or(u32::MAX).max(1);
    let middle = rim.iter().sum::<Vec3>() / f64::from(count);
    let scatter: Matrix3<f64> = rim
        .iter()
        .map(|p| (p - middle) * (p - middle).transpose())
        .sum();
    let eigen = SymmetricEigen::new(scatter);
    let flattest = eigen.eigenvalues.imin();
    let across = eigen.eigenvectors.column((flattest + 1) % 3).into_owned();
    let along = eigen.eigenvectors.column((flattest + 2) % 3).into_owned();
    let angle = |p: &Vec3| (p - middle).dot(&along).atan2((p - middle).dot(&across));
    let mut ring: Vec<(f64, Vec3)> = rim.iter().map(|p| (angle(p), *p)).collect();
    ring.sort_by(|a, b| a.0.total_cmp(&b.0));
    ring.into_iter().map(|(_, point)| point).collect()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;

    #[test]
    fn scattered_points_of_a_circle_become_its_outline() {
        let point = |i: u32| {
            let angle = TAU * f64::from(i) / 40.0;
            Vec3::new(1.0, 0.3 * angle.cos(), 0.3 * angle.sin())
        };
        // 17 has no factor in common with 40: every point once, far apart.
        let scattered: Vec<Vec3> = (0..40).map(|i| point(i * 17 % 40)).collect();
        let around: f64 = rim_lines(&scattered)
            .iter()
            .map(|[a, b]| (b - a).norm())
            .sum();
        let polygon = 40.0 * 2.0 * 0.3 * (TAU / 80.0).sin();
        assert!((around - polygon).abs() < 1e-12);
    }

    #[test]
    fn edges_are_kept_as_they_are_even_round_a_bend() {
        let l_shape = [
            [0.0, 0.0],
            [2.0, 0.0],
            [2.0, 0.5],
            [0.5, 0.5],
            [0.5, 2.0],
            [0.0, 2.0],
        ]
        .map(|[x, y]| Vec3::new(x, y, 0.0));
        let edges: Vec<Vec3> = (0..6)
            .flat_map(|i| [l_shape[i], l_shape[(i + 1) % 6]])
            .collect();
        let around: f64 = rim_lines(&edges).iter().map(|[a, b]| (b - a).norm()).sum();
        assert!((around - 8.0).abs() < 1e-12);
    }

    #[test]
    fn few_points_do_no_harm() {
        assert!(rim_lines(&[]).is_empty());
        assert!(rim_lines(&[Vec3::x()]).is_empty());
        assert_eq!(rim_lines(&[Vec3::x(), Vec3::y()]).len(), 1);
    }
}
