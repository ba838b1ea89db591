//! A cap drawn straight across a long rim, as a cover pulled from side to side
//! would lie.
//!
//! By hand: triangulators fill a flat ring as they like; here the cap's shape decides
//! what it holds.
use nalgebra::{Matrix2, SymmetricEigen, Vector2};

use super::cap::ring_area;
use super::doubt::id;
use crate::numerics::Vec3;

/// A triangle lower than this share of its longest side is a needle: taken only
/// where there is no other.
const NEEDLE: f64 = 1e-4;
/// Share of the ring's length within which points at its end lie straight
/// across: 3 mm on a hull of 3.4 m.
const STRAIGHT_ACROSS: f64 = 1e-3;
/// Share of the ring's length within which the next points of both sides lie abreast.
const IN_STEP: f64 = 1e-6;
/// Share of the ring's area by which the triangles together may be too large:
/// the ripple of a scanned rim folds a few of them over, while a ring that
/// does not run out and back folds many.
const FOLDED: f64 = 0.05;

/// Closes a ring by triangles that run across its long direction, from one side
/// to the other. The two sides are taken in step along that direction, so a
/// symmetric rim gets a nearly symmetric cap and the space under it is that
/// under a cover pulled from side to side. `None` when the ring is not one that
/// runs out and back along its long direction.
pub(super) fn zip_across(points: &[Vec3]) -> Option<Vec<[u32; 3]>> {
    let n = points.len();
    let flat = flattened(points)?;
    let long = long_direction(&flat);
    let along: Vec<f64> = flat.iter().map(|p| p.dot(&long)).collect();
    let (there, back, length) = sides(&along)?;
    // Of both next points abreast, whether the first side's is taken.
    let there_first = |i: usize, j: usize| {
        let ahead = along[back[j + 1]] - along[there[i + 1]];
        if ahead.abs() > IN_STEP * length {
            return ahead > 0.0;
        }
        // The shorter way across, whichever side is which.
        let across = |a: usize, b: usize| (points[a] - points[b]).norm_squared();
        across(there[i + 1], back[j]) <= across(there[i], back[j + 1])
    };
    let area2 = |[a, b, c]: [usize; 3]| (flat[b] - flat[a]).perp(&(flat[c] - flat[a]));
    let ring2 = 2.0 * ring_area(points).norm();
    // Height over the longest side as a share of it; negative when folded over.
    let height = |t: [usize; 3]| {
        let side = |a: usize, b: usize| (flat[a] - flat[b]).norm_squared();
        area2(t) / side(t[0], t[1]).max(side(t[1], t[2])).max(side(t[2], t[0]))
    };
    let (mut i, mut j) = (1, 0);
    let mut triangles = Vec::with_capacity(n - 2);
    while triangles.len() < n - 2 {
        let next_there = (i + 1 < there.len()).then(|| [there[i], there[i + 1], back[j]]);
        let next_back = (j + 1 < back.len()).then(|| [there[i], back[j + 1], back[j]]);
        let is_there_first = match (next_there, next_back) {
            // Both sides end in the same corner, which closes the ring: it
            // waits for a run straight across on the other side.
            (Some(_), Some(_)) if i + 2 == there.len() && j + 2 < back.len() => false,
            (Some(_), Some(_)) if j + 2 == back.len() && i + 2 < there.len() => true,
            (Some(_), Some(_)) => there_first(i, j),
            (Some(_), None) => true,
            (None, _) => false,
        };
        let (wanted, other) = if is_there_first {
            (next_there, next_back)
        } else {
            (next_back, next_there)
        };
        // A run straight across is taken from the far side's next point; a
        // small step backward of a ragged rim is taken as it is, or the far
        // side would run ahead of it.
        let triangle = match (wanted, other) {
            (Some(needle), Some(other))
                if height(needle).abs() <= NEEDLE && height(other) > NEEDLE =>
            {
                other
            }
            (Some(triangle), _) => triangle,
            (None, _) => return None,
        };
        if next_there == Some(triangle) {
            i += 1;
        } else {
            j += 1;
        }
        triangles.push(triangle);
    }
    let covered: f64 = triangles.iter().map(|&t| area2(t).abs()).sum();
    (covered <= (1.0 + FOLDED) * ring2).then(|| triangles.into_iter().map(|t| t.map(id)).collect())
}

/// The two sides of a ring whose points lie `along` its long direction, from its least to
/// its most: counter-clockwise, and the other way round; and how long it is.
fn sides(along: &[f64]) -> Option<(Vec<usize>, Vec<usize>, f64)> {
    let n = along.len();
    let by_along = |a: &usize, b: &usize| along[*a].total_cmp(&along[*b]);
    let least = (0..n).min_by(by_along)?;
    let most = (0..n).max_by(by_along)?;
    let length = along[most] - along[least];
    // Where the ring runs straight across at an end, that whole run must lie
    // on one side, or the last triangles are between its own points.
    let corner = |of: usize| {
        let run = (0..n).map(|k| (of + k) % n);
        run.take_while(|p| (along[*p] - along[of]).abs() <= STRAIGHT_ACROSS * length)
            .last()
            .unwrap_or(of)
    };
    let (start, end) = (corner(least), corner(most));
    let there = (0..=(end + n - start) % n).map(|k| (start + k) % n);
    let back = (0..=(start + n - end) % n).map(|k| (start + n - k) % n);
    Some((there.collect(), back.collect(), length))
}

/// The points in their best-fit plane, counter-clockwise.
fn flattened(points: &[Vec3]) -> Option<Vec<Vector2<f64>>> {
    let normal = ring_area(points).try_normalize(0.0)?;
    let u = Vec3::ith(normal.iamin(), 1.0).cross(&normal).normalize();
    let v = normal.cross(&u);
    let flat = points.iter().map(|p| {
        let from_first = p - points[0];
        Vector2::new(from_first.dot(&u), from_first.dot(&v))
    });
    Some(flat.collect())
}

/// The direction in which the points spread most.
fn long_direction(flat: &[Vector2<f64>]) -> Vector2<f64> {
    let count = f64::from(u32::try_from(flat.len()).unwrap_or(u32::MAX));
    let mean = flat.iter().sum::<Vector2<f64>>() / count;
    let spread: Matrix2<f64> = flat
        .iter()
        .map(|p| (p - mean) * (p - mean).transpose())
        .sum();
    let eigen = SymmetricEigen::new(spread);
    eigen.eigenvectors.column(eigen.eigenvalues.imax()).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A trough's rim, 4 m by 1 m, whose sides rise towards the ends: straight
    /// across, the cap is the half cylinder's surface and leaves no chord.
    #[test]
    fn a_hollow_sheer_is_covered_from_side_to_side() {
        let sheer = |x: f64| 0.1 * (x / 2.0 - 1.0).powi(2);
        let side = |y: f64, x: f64| Vec3::new(x, y, sheer(x));
        let mut ring: Vec<Vec3> = (0..=40).map(|k| side(-0.5, 0.1 * f64::from(k))).collect();
        ring.extend((0..=40).rev().map(|k| side(0.5, 0.1 * f64::from(k))));
        let triangles = zip_across(&ring).unwrap();
        assert_eq!(triangles.len(), ring.len() - 2);
        for t in &triangles {
            let [a, b, c] = t.map(|v| ring[v as usize]);
            let middle = (a + b + c) / 3.0;
            // One step of the rim: chords of 0.1 m rise at most by the slope.
            assert!((middle.z - sheer(middle.x)).abs() < 0.1 * 0.1, "{middle}");
        }
    }

    #[test]
    fn a_horseshoe_is_left_to_another_way() {
        let ring: Vec<Vec3> = [
            (0.0, 0.0),
            (6.0, 0.0),
            (6.0, 3.0),
            (5.0, 3.0),
            (5.0, 1.0),
            (1.0, 1.0),
            (1.0, 3.0),
            (0.0, 3.0),
        ]
        .iter()
        .map(|&(x, y)| Vec3::new(x, y, 0.0))
        .collect();
        assert_eq!(zip_across(&ring), None);
    }
}
