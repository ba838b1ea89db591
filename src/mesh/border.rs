//! The edges of a surface that no other face goes on from.
use super::surface::Surface;
use super::topology::{BRANCHING, IGNORED, OPEN, ends, mates};

/// The directed edges, as pairs of vertices, that are not matched by just one other of
/// the same vertices running the other way.
#[must_use]
pub fn unmatched_edges(surface: &Surface) -> Vec<[u32; 2]> {
    let (mate, _) = mates(surface);
    let half_edges = (0..).zip(&mate);
    half_edges
        .filter(|&(half_edge, &mate)| !is_matched(surface, half_edge, mate))
        .map(|(half_edge, _)| {
            let (from, to) = ends(&surface.faces, half_edge);
            [from, to]
        })
        .collect()
}

/// The border of a surface as loops of vertices in the direction of its own edges,
/// chained through the fans of faces round their ends, so that loops that touch at a
/// vertex stay apart. `None` where an edge has more than two faces, or two that disagree.
#[must_use]
pub fn border_loops(surface: &Surface) -> Option<Vec<Vec<u32>>> {
    let (mate, _) = mates(surface);
    let is_sound = |(half_edge, &mate)| mate == OPEN || is_matched(surface, half_edge, mate);
    if !(0..).zip(&mate).all(is_sound) {
        return None;
    }
    let next = |half_edge: u32| half_edge - half_edge % 3 + (half_edge + 1) % 3;
    let mut seen = vec![false; mate.len()];
    let mut loops = Vec::new();
    let open = (0..).zip(&mate).filter(|(_, mate)| **mate == OPEN);
    let mut open: Vec<u32> = open.map(|(half_edge, _)| half_edge).collect();
    // Begun at the least vertex, whatever order the faces are in.
    open.sort_unstable_by_key(|&half_edge| ends(&surface.faces, half_edge));
    for first in open {
        if seen[first as usize] {
            continue;
        }
        let mut corners = Vec::new();
        let mut edge = first;
        while !std::mem::replace(&mut seen[edge as usize], true) {
            corners.push(ends(&surface.faces, edge).0);
            // Round the fan at its end to the next open edge.
            edge = next(edge);
            while mate[edge as usize] != OPEN {
                edge = next(mate[edge as usize]);
            }
        }
        loops.push(corners);
    }
    Some(loops)
}

fn is_matched(surface: &Surface, half_edge: u32, mate: u32) -> bool {
    !matches!(mate, OPEN | BRANCHING | IGNORED)
        && ends(&surface.faces, half_edge).0 == ends(&surface.faces, mate).1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;
    use crate::numerics::Vec3;

    /// Two squares of two faces that touch at one corner have two borders of four.
    #[test]
    fn borders_that_touch_at_a_corner_stay_apart() {
        let surface = Surface {
            vertices: [
                [0.0, 0.0],
                [1.0, 0.0],
                [1.0, 1.0],
                [0.0, 1.0],
                [2.0, 1.0],
                [2.0, 2.0],
                [1.0, 2.0],
            ]
            .map(|[x, y]| Vec3::new(x, y, 0.0))
            .to_vec(),
            faces: vec![[0, 1, 2], [0, 2, 3], [2, 4, 5], [2, 5, 6]],
        };
        let loops = border_loops(&surface).unwrap();
        assert_eq!(loops, [vec![0, 1, 2, 3], vec![2, 4, 5, 6]]);
        assert_eq!(unmatched_edges(&surface).len(), 8);
    }

    #[test]
    fn a_closed_surface_has_no_border_and_clashing_faces_have_none_that_can_be_told() {
        let mut cube = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        assert_eq!(border_loops(&cube), Some(Vec::new()));
        assert!(unmatched_edges(&cube).is_empty());
        cube.faces[3].swap(1, 2);
        assert_eq!(border_loops(&cube), None);
        assert_eq!(unmatched_edges(&cube).len(), 6);
    }
}
