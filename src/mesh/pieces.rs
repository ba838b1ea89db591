//! The pieces that a surface falls into.
use super::surface::Surface;
use super::topology::Topology;

/// The faces of each piece: those that hang together across edges of exactly
/// two faces. Faces with a corner twice belong to none.
#[must_use]
pub fn pieces(surface: &Surface) -> Vec<Vec<usize>> {
    let topology = Topology::of(surface);
    let mut pieces = vec![Vec::new(); topology.shells];
    for (face, piece) in topology.shell.iter().enumerate() {
        if let Some(piece) = pieces.get_mut(*piece as usize) {
            piece.push(face);
        }
    }
    pieces
}

/// Facets that a piece of a surface has on average at the least; a tetrahedron has four.
const FACETS_OF_A_PIECE: usize = 4;

/// Whether a surface is no surface but loose facets, which make neither side nor skin.
/// Searches over those find nothing, and take long over it.
#[must_use]
pub fn falls_apart(surface: &Surface) -> bool {
    are_loose(Topology::of(surface).shells, surface.faces.len())
}

/// The same of facets that make so many pieces.
pub(super) fn are_loose(pieces: usize, facets: usize) -> bool {
    pieces * FACETS_OF_A_PIECE > facets
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;
    use crate::numerics::Vec3;

    #[test]
    fn loose_facets_fall_apart_and_a_cube_does_not() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        assert!(!falls_apart(&cube));
        let mut loose = Surface::default();
        for face in 0..cube.faces.len() {
            loose.append(&Surface {
                vertices: cube.corners(face).to_vec(),
                faces: vec![[0, 1, 2]],
            });
        }
        assert!(falls_apart(&loose));
    }

    #[test]
    fn two_boxes_are_two_pieces_even_where_they_pass_through_each_other() {
        let mut both = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        both.append(&solids::cuboid(Vec3::repeat(0.5), Vec3::repeat(1.5)));
        let found = pieces(&both);
        let faces: Vec<Vec<usize>> = vec![(0..12).collect(), (12..24).collect()];
        assert_eq!(found, faces);
    }
}
