//! The hull as it is drawn, with its openings cut out of it.
use earcut::Earcut;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

use super::display_mesh::DisplayMesh;
use super::picked::{axes_of_plane, flat_of};
use crate::boat::{Boat, edges_of_rim};
use crate::numerics::Vec3;

/// Skin farther from the plane of a rim than this share of the rim's size is not what it
/// was cut from: it lies on the other side of the hull.
const DEPTH_SHARE: f64 = 0.35;
/// Skin that is turned from that plane by more than this is not cut: its cosine.
const LEAST_FACING: f64 = 0.2;
/// Ends of edges nearer than this share of the rim's size are one.
const SAME_SHARE: f64 = 1e-6;

/// The mesh without what lies in the openings that are cut into skin: not the hull's own
/// open edges, nor the tops of walls, where there is none.
#[must_use]
pub fn holed(mesh: &DisplayMesh, boat: &Boat) -> DisplayMesh {
    let mut cut = mesh.clone();
    for opening in boat.openings.iter().filter(|o| o.cap.is_none()) {
        for ring in rings(&opening.rim) {
            cut_out(&mut cut, &ring);
        }
    }
    cut
}

/// The closed rings of a rim.
pub(super) fn rings(rim: &[Vec3]) -> Vec<Vec<Vec3>> {
    let (mut left, has_area) = edges_of_rim(rim);
    let mut found = Vec::new();
    if !has_area {
        return found;
    }
    let reach = left.iter().flatten();
    let reach = reach.fold((rim[0], rim[0]), |(lo, hi), p| (lo.inf(p), hi.sup(p)));
    let near_m = SAME_SHARE * (reach.1 - reach.0).norm();
    while let Some([start, mut end]) = left.pop() {
        let mut ring = vec![start];
        while (end - start).norm() > near_m {
            let next = left
                .iter()
                .position(|[a, b]| (a - end).norm() <= near_m || (b - end).norm() <= near_m);
            let Some(next) = next else { break };
            let [a, b] = left.swap_remove(next);
            ring.push(end);
            end = if (a - end).norm() <= near_m { b } else { a };
        }
        if ring.len() > 2 && (end - start).norm() <= near_m {
            found.push(ring);
        }
    }
    found
}

/// Cuts a ring out of the skin that lies about its plane.
fn cut_out(mesh: &mut DisplayMesh, ring: &[Vec3]) {
    let next = ring.iter().cycle().skip(1);
    let edges: Vec<[Vec3; 2]> = ring.iter().zip(next).map(|(a, b)| [*a, *b]).collect();
    let Some((middle, normal)) = flat_of(&edges) else {
        return;
    };
    let [u, v] = axes_of_plane(&normal);
    let flat = |p: &Vec3| [u.dot(&(p - middle)), v.dot(&(p - middle))];
    let hole: Vec<[f64; 2]> = ring.iter().map(flat).collect();
    let reach_m = ring.iter().map(|p| (p - middle).norm()).fold(0.0, f64::max);
    let deep_m = ring.iter().map(|p| normal.dot(&(p - middle)).abs());
    let deep_m = deep_m.fold(DEPTH_SHARE * reach_m, f64::max);
    let faces = std::mem::take(&mut mesh.faces);
    for face in faces {
        let corners = face.map(|corner| mesh.points[corner as usize]);
        let off = corners.map(|p| normal.dot(&(p - middle)));
        let seen = corners.each_ref().map(flat);
        let beside = (0..2)
            .any(|k| seen.iter().all(|p| p[k] > reach_m) || seen.iter().all(|p| p[k] < -reach_m));
        let away = off.iter().all(|d| *d > deep_m) || off.iter().all(|d| *d < -deep_m);
        if beside || away || !faces_plane(&corners, &normal) {
            mesh.faces.push(face);
            continue;
        }
        let rest = vec![seen.to_vec()].overlay(
            &vec![hole.clone()],
            OverlayRule::Difference,
            FillRule::NonZero,
        );
        add_pieces(mesh, face, &seen, &rest);
    }
}

fn faces_plane([a, b, c]: &[Vec3; 3], normal: &Vec3) -> bool {
    let out = (b - a).cross(&(c - a));
    out.dot(normal).abs() > LEAST_FACING * out.norm()
}

/// Adds pieces of a face, given in the plane that it was `seen` in.
fn add_pieces(
    mesh: &mut DisplayMesh,
    face: [u32; 3],
    seen: &[[f64; 2]; 3],
    pieces: &[Vec<Vec<[f64; 2]>>],
) {
    let [a, b, c] = seen;
    let turn = |p: &[f64; 2], q: &[f64; 2], r: &[f64; 2]| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    let whole = turn(a, b, c);
    let as_index = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    for piece in pieces {
        let mut starts = Vec::new();
        let mut points: Vec<[f64; 2]> = Vec::new();
        for ring in piece {
            if !points.is_empty() {
                starts.push(as_index(points.len()));
            }
            points.extend(ring);
        }
        let mut corners: Vec<u32> = Vec::new();
        Earcut::new().earcut(points.iter().copied(), &starts, &mut corners);
        let first = as_index(mesh.points.len());
        for p in &points {
            let shares = [turn(p, b, c), turn(a, p, c), turn(a, b, p)].map(|t| t / whole);
            let mixed = |of: &[Vec3]| -> Vec3 {
                let corners = face.iter().zip(shares);
                corners
                    .map(|(corner, share)| of[*corner as usize] * share)
                    .sum()
            };
            let (point, normal) = (mixed(&mesh.points), mixed(&mesh.normals));
            mesh.points.push(point);
            mesh.normals
                .push(normal.try_normalize(0.0).unwrap_or_else(Vec3::z));
        }
        for triangle in corners.chunks_exact(3) {
            let [i, j, k] = [triangle[0], triangle[1], triangle[2]];
            let [p, q, r] = [i, j, k].map(|corner| points[corner as usize]);
            // As the face itself goes round.
            let same_way = (turn(&p, &q, &r) > 0.0) == (whole > 0.0);
            let [j, k] = if same_way { [j, k] } else { [k, j] };
            mesh.faces.push([first + i, first + j, first + k]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    fn area(mesh: &DisplayMesh) -> f64 {
        let area = |face: &[u32; 3]| {
            let [a, b, c] = face.map(|corner| mesh.points[corner as usize]);
            (b - a).cross(&(c - a)).norm() / 2.0
        };
        mesh.faces.iter().map(area).sum()
    }

    /// Closed form: a square of 0.2 m in the middle of one side of a box, across the edge
    /// that parts its two triangles.
    #[test]
    fn a_square_is_cut_from_one_side_of_a_box() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        let mut mesh = DisplayMesh::new(&cube, 12, 100);
        let ring = [[0.4, 0.4], [0.6, 0.4], [0.6, 0.6], [0.4, 0.6]];
        let ring = ring.map(|[x, z]| Vec3::new(x, 0.0, z));
        assert_eq!(rings(&ring).len(), 1);
        cut_out(&mut mesh, &ring);
        assert!((area(&mesh) - (6.0 - 0.04)).abs() < 1e-6, "{}", area(&mesh));
    }
}
