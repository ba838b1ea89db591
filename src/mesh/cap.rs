//! Closing a rim with triangles between its own vertices.
use std::collections::{HashMap, HashSet};

use earcut::Earcut;

use super::doubt::id;
use super::zip::zip_across;
use crate::numerics::Vec3;

/// Rims of up to this many corners are closed by the best of their fans: up
/// to a pentagon every way of cutting it into triangles is a fan.
const FAN_CORNERS: usize = 5;

/// Rounds of diagonal swaps on one cap at most.
const SWAP_ROUNDS: usize = 8;

/// Area vector of a closed ring (Newell): half the sum of the cross products
/// of neighbours, along the normal of the plane that fits best; m².
pub(crate) fn ring_area(points: &[Vec3]) -> Vec3 {
    let n = points.len();
    let origin = points[0];
    (0..n)
        .map(|i| (points[i] - origin).cross(&(points[(i + 1) % n] - origin)))
        .sum::<Vec3>()
        / 2.0
}

/// Fills a ring of at least three points with `n − 2` triangles between them,
/// whose outer edges run as the ring does, each exactly once, so the patch
/// always fits the rim. `taken(i, j)` says that the mesh has an edge between
/// those two points already; such a diagonal is avoided where possible, since
/// it would give the edge four faces.
///
/// The flag says whether the fill is trustworthy: false when the ring crosses
/// itself in its best-fit plane and a fan had to do.
pub(crate) fn triangulate_ring(
    points: &[Vec3],
    taken: impl Fn(usize, usize) -> bool,
) -> (Vec<[u32; 3]>, bool) {
    let n = points.len();
    let (mut triangles, trusted) = if n <= FAN_CORNERS {
        (best_fan(points, &taken), true)
    } else {
        match zip_across(points).or_else(|| clip_ears(points)) {
            Some(triangles) => (triangles, true),
            None => (fan(0, n), false),
        }
    };
    if n > FAN_CORNERS || n == 4 {
        avoid_taken(&mut triangles, n, &taken);
    }
    (triangles, trusted)
}

fn fan(apex: usize, n: usize) -> Vec<[u32; 3]> {
    (1..n - 1)
        .map(|k| [apex, (apex + k) % n, (apex + k + 1) % n].map(id))
        .collect()
}

/// The fan with the fewest diagonals that exist already and then the least
/// area, which is the one that does not fold over itself.
fn best_fan(points: &[Vec3], taken: impl Fn(usize, usize) -> bool) -> Vec<[u32; 3]> {
    let n = points.len();
    let cost = |apex: usize| {
        let clashes = (2..n - 1).filter(|k| taken(apex, (apex + k) % n)).count();
        let area: f64 = fan(apex, n)
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(|v| points[v as usize]);
                (b - a).cross(&(c - a)).norm()
            })
            .sum();
        (clashes, area)
    };
    let best = (0..n)
        .map(|apex| (apex, cost(apex)))
        .min_by(|(_, a), (_, b)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)))
        .map_or(0, |(apex, _)| apex);
    fan(best, n)
}

fn clip_ears(points: &[Vec3]) -> Option<Vec<[u32; 3]>> {
    let normal = ring_area(points).try_normalize(0.0)?;
    let u = Vec3::ith(normal.iamin(), 1.0).cross(&normal).normalize();
    let v = normal.cross(&u);
    let flat = points.iter().map(|p| {
        let from_first = p - points[0];
        [from_first.dot(&u), from_first.dot(&v)]
    });
    let mut clipped: Vec<u32> = Vec::new();
    Earcut::new().earcut(flat, &[], &mut clipped);
    let mut triangles: Vec<[u32; 3]> = clipped.as_chunks::<3>().0.to_vec();
    let n = points.len();
    if runs_backward(&triangles, n) {
        for t in &mut triangles {
            t.swap(1, 2);
        }
    }
    let triangles = insert_skipped(triangles, n)?;
    fits_ring(&triangles, n).then_some(triangles)
}

fn sides([a, b, c]: [u32; 3]) -> [(u32, u32); 3] {
    [(a, b), (b, c), (c, a)]
}

/// Whether more outer edges run against the ring than with it.
fn runs_backward(triangles: &[[u32; 3]], n: usize) -> bool {
    let n = id(n);
    let mut with = 0_usize;
    let mut against = 0_usize;
    for (a, b) in triangles.iter().flat_map(|t| sides(*t)) {
        with += usize::from((a + 1) % n == b);
        against += usize::from((b + 1) % n == a);
    }
    against > with
}

/// Ear clipping leaves out corners on a straight run of the ring. Wherever an
/// outer edge bridges such corners, its triangle is fanned over them.
fn insert_skipped(triangles: Vec<[u32; 3]>, n: usize) -> Option<Vec<[u32; 3]>> {
    let n = id(n);
    let edges: HashSet<(u32, u32)> = triangles.iter().flat_map(|t| sides(*t)).collect();
    let mut used = vec![false; n as usize];
    for v in triangles.iter().flatten() {
        used[*v as usize] = true;
    }
    let mut todo = triangles;
    let mut done = Vec::with_capacity(n as usize);
    while let Some(t) = todo.pop() {
        let bridge = (0..3).find(|&k| {
            let (a, b) = sides(t)[k];
            let skips = (a + 1) % n != b && !used[((a + 1) % n) as usize];
            skips && !edges.contains(&(b, a))
        });
        let Some(k) = bridge else {
            done.push(t);
            continue;
        };
        let (a, b) = sides(t)[k];
        let apex = t[(k + 2) % 3];
        let mut at = a;
        while at != b {
            let next = (at + 1) % n;
            if next != b && std::mem::replace(&mut used[next as usize], true) {
                return None; // bridges overlap: the ring crosses itself
            }
            todo.push([at, next, apex]);
            at = next;
        }
    }
    Some(done)
}

/// Every ring edge once, every other edge once each way.
fn fits_ring(triangles: &[[u32; 3]], n: usize) -> bool {
    if triangles.len() != n - 2 {
        return false;
    }
    let n = id(n);
    let edges: HashSet<(u32, u32)> = triangles.iter().flat_map(|t| sides(*t)).collect();
    let ring_once = (0..n).all(|a| {
        let b = (a + 1) % n;
        edges.contains(&(a, b)) && !edges.contains(&(b, a))
    });
    let inner_both_ways = edges
        .iter()
        .all(|&(a, b)| (a + 1) % n == b || edges.contains(&(b, a)));
    edges.len() == 3 * triangles.len() && ring_once && inner_both_ways
}

/// Swaps the diagonal of two triangles wherever the mesh has that edge
/// already and the other diagonal is free.
fn avoid_taken(triangles: &mut [[u32; 3]], n: usize, taken: impl Fn(usize, usize) -> bool) {
    let ring = id(n);
    let on_ring = |a: u32, b: u32| (a + 1) % ring == b || (b + 1) % ring == a;
    let mut owner: HashMap<(u32, u32), usize> = HashMap::new();
    for (index, t) in triangles.iter().enumerate() {
        for side in sides(*t) {
            owner.insert(side, index);
        }
    }
    // A swap may free the way for another: a few rounds settle a ragged rim.
    for _ in 0..SWAP_ROUNDS {
        let mut swapped = false;
        for index in 0..triangles.len() {
            let clash = sides(triangles[index])
                .into_iter()
                .position(|(a, b)| !on_ring(a, b) && taken(a as usize, b as usize));
            let Some(k) = clash else {
                continue;
            };
            let (a, b) = sides(triangles[index])[k];
            let c = triangles[index][(k + 2) % 3];
            let Some(&other) = owner.get(&(b, a)) else {
                continue;
            };
            let Some(d) = triangles[other]
                .iter()
                .copied()
                .find(|v| *v != a && *v != b)
            else {
                continue;
            };
            let free = !on_ring(c, d)
                && !taken(c as usize, d as usize)
                && !owner.contains_key(&(c, d))
                && !owner.contains_key(&(d, c));
            if !free {
                continue;
            }
            // (a, b, c) and (b, a, d) become (a, d, c) and (d, b, c).
            owner.remove(&(a, b));
            owner.remove(&(b, a));
            triangles[index] = [a, d, c];
            triangles[other] = [d, b, c];
            for i in [index, other] {
                for side in sides(triangles[i]) {
                    owner.insert(side, i);
                }
            }
            swapped = true;
        }
        if !swapped {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(points: &[Vec3], triangles: &[[u32; 3]]) -> f64 {
        triangles
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(|v| points[v as usize]);
                (b - a).cross(&(c - a)).norm() / 2.0
            })
            .sum()
    }

    #[test]
    fn corners_on_straight_runs_are_all_used() {
        // A unit square with nine points a side, lying in the x–z plane.
        let side = 9_i32;
        let mut ring = Vec::new();
        for corner in [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]] {
            let [x, z] = corner;
            let (dx, dz) = if x == z {
                (1.0 - 2.0 * x, 0.0)
            } else {
                (0.0, 1.0 - 2.0 * z)
            };
            for i in 0..side {
                let t = f64::from(i) / f64::from(side);
                ring.push(Vec3::new(x + dx * t, 0.5, z + dz * t));
            }
        }
        let (triangles, trusted) = triangulate_ring(&ring, |_, _| false);
        assert!(trusted && fits_ring(&triangles, ring.len()));
        assert!((area(&ring, &triangles) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_concave_ring_is_filled_without_folds_whatever_its_size() {
        for teeth in 1..20 {
            // A comb: area = base strip + teeth of 1 × 1.
            let mut ring = vec![Vec3::new(0.0, 0.0, 0.0)];
            let width = f64::from(2 * teeth);
            ring.push(Vec3::new(width, 0.0, 0.0));
            for t in (0..teeth).rev() {
                let x = f64::from(2 * t);
                for (dx, y) in [(2.0, 1.0), (1.0, 1.0), (1.0, 2.0), (0.0, 2.0)] {
                    ring.push(Vec3::new(x + dx, y, 0.0));
                }
            }
            let (triangles, trusted) = triangulate_ring(&ring, |_, _| false);
            assert!(trusted && fits_ring(&triangles, ring.len()), "{teeth}");
            let expected = width + f64::from(teeth);
            assert!((area(&ring, &triangles) - expected).abs() < 1e-9, "{teeth}");
        }
    }

    #[test]
    fn a_ring_that_crosses_itself_is_still_closed_but_not_trusted() {
        // A figure eight with equal lobes has no area and so no plane.
        let ring: Vec<Vec3> = (0..24)
            .map(|i| {
                let t = std::f64::consts::TAU * f64::from(i) / 24.0;
                Vec3::new(t.sin(), (2.0 * t).sin(), 0.0)
            })
            .collect();
        let (triangles, trusted) = triangulate_ring(&ring, |_, _| false);
        assert!(fits_ring(&triangles, ring.len()));
        assert!(!trusted);
    }

    #[test]
    fn a_diagonal_that_the_mesh_has_already_is_avoided() {
        let ring: Vec<Vec3> = (0..12)
            .map(|i| {
                let t = std::f64::consts::TAU * f64::from(i) / 12.0;
                Vec3::new(t.cos(), t.sin(), 0.0)
            })
            .collect();
        for (i, j) in [(0, 2), (3, 5), (7, 9)] {
            let taken = |a: usize, b: usize| (a.min(b), a.max(b)) == (i, j);
            let (triangles, _) = triangulate_ring(&ring, taken);
            assert!(fits_ring(&triangles, ring.len()));
            let uses = triangles
                .iter()
                .flat_map(|t| sides(*t))
                .any(|(a, b)| taken(a as usize, b as usize));
            assert!(!uses, "{i}–{j}");
        }
    }
}
