//! What turns one surface into another.
use std::collections::{HashMap, HashSet};

use super::doubt::id;
use super::surface::Surface;
use crate::numerics::Vec3;

/// The faces that only `after` has and, turned over, those that only `before`
/// has. Where both are closed this is too, and whatever is summed over it is
/// the sum over `after` less the sum over `before`: most faces of a large hull
/// are the same in both and need not be kept.
#[must_use]
pub fn change_between(before: &Surface, after: &Surface) -> Surface {
    let mut numbers = Numbers::default();
    let was = numbers.faces_of(before);
    let is = numbers.faces_of(after);
    let mut faces: Vec<[u32; 3]> = is.difference(&was).copied().collect();
    faces.extend(was.difference(&is).map(|&[a, b, c]| [a, c, b]));
    // The sets are in no order; the sums over the change are to be the same
    // each time.
    faces.sort_unstable();
    let mut change = Surface {
        vertices: numbers.vertices,
        faces,
    };
    change.drop_unused_vertices();
    change
}

/// One number for every place that has a vertex.
#[derive(Default)]
struct Numbers {
    of_place: HashMap<[u64; 3], u32>,
    vertices: Vec<Vec3>,
}

impl Numbers {
    /// The faces, each from its least number on.
    fn faces_of(&mut self, surface: &Surface) -> HashSet<[u32; 3]> {
        let numbers: Vec<u32> = surface.vertices.iter().map(|v| self.of(v)).collect();
        surface
            .faces
            .iter()
            .map(|face| {
                let mut face = face.map(|v| numbers[v as usize]);
                let least = (0..3).min_by_key(|&i| face[i]).unwrap_or(0);
                face.rotate_left(least);
                face
            })
            .collect()
    }

    fn of(&mut self, place: &Vec3) -> u32 {
        let bits = [place.x, place.y, place.z].map(|c| (c + 0.0).to_bits());
        *self.of_place.entry(bits).or_insert_with(|| {
            self.vertices.push(*place);
            id(self.vertices.len() - 1)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    #[test]
    fn only_what_differs_is_left_and_its_volume_is_the_difference() {
        let small = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        let tall = solids::cuboid(Vec3::zeros(), Vec3::new(1.0, 1.0, 1.5));
        let change = change_between(&small, &tall);
        assert!((change.signed_volume_m3() - 0.5).abs() < 1e-15);
        // The bottom is the same in both.
        assert_eq!(change.faces.len(), 2 * (12 - 2));
        let back = change_between(&tall, &small);
        assert!((back.signed_volume_m3() + 0.5).abs() < 1e-15);
        let nothing = change_between(&small, &small);
        assert!(nothing.faces.is_empty() && nothing.vertices.is_empty());
    }
}
