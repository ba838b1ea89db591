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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;
    use crate::numerics::Vec3;

    #[test]
    fn two_boxes_are_two_pieces_even_where_they_pass_through_each_other() {
        let mut both = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        both.append(&solids::cuboid(Vec3::repeat(0.5), Vec3::repeat(1.5)));
        let found = pieces(&both);
        let faces: Vec<Vec<usize>> = vec![(0..12).collect(), (12..24).collect()];
        assert_eq!(found, faces);
    }
}
