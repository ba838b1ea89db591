//! What turns one surface into another.
use rayon::prelude::*;

use super::doubt::id;
use super::surface::Surface;
use crate::numerics::Vec3;

/// The faces that only `after` has and, turned over, those that only `before`
/// has. Where both are closed this is too, and whatever is summed over it is
/// the sum over `after` less the sum over `before`: most faces of a large hull
/// are the same in both and need not be kept.
#[must_use]
pub fn change_between(before: &Surface, after: &Surface) -> Surface {
    let (vertices, numbers) = numbered(before, after);
    let (of_before, of_after) = numbers.split_at(before.vertices.len());
    let was = faces_of(before, of_before);
    let is = faces_of(after, of_after);
    let mut faces = only_in(&is, &was);
    let gone = only_in(&was, &is);
    faces.extend(gone.into_iter().map(|[a, b, c]| [a, c, b]));
    // The sums over the change are to be the same each time.
    faces.sort_unstable();
    let mut change = Surface { vertices, faces };
    change.drop_unused_vertices();
    change
}

/// Every place that has a vertex, once, and the number of the place of each vertex
/// of the one and then the other. Sorted rather than hashed: on millions of
/// vertices a table waits for memory at every look.
fn numbered(before: &Surface, after: &Surface) -> (Vec<Vec3>, Vec<u32>) {
    let all = before.vertices.iter().chain(&after.vertices);
    let mut places: Vec<([u64; 3], u32)> = all
        .enumerate()
        // Minus nought is nought.
        .map(|(vertex, v)| ([v.x, v.y, v.z].map(|c| (c + 0.0).to_bits()), id(vertex)))
        .collect();
    places.par_sort_unstable();
    let mut vertices = Vec::new();
    let mut numbers = vec![0; places.len()];
    let mut last = None;
    for (place, vertex) in places {
        if last != Some(place) {
            let [x, y, z] = place.map(f64::from_bits);
            vertices.push(Vec3::new(x, y, z));
            last = Some(place);
        }
        numbers[vertex as usize] = id(vertices.len() - 1);
    }
    (vertices, numbers)
}

/// The faces in order, each once and from its least number on.
fn faces_of(surface: &Surface, numbers: &[u32]) -> Vec<[u32; 3]> {
    let mut faces: Vec<[u32; 3]> = surface
        .faces
        .par_iter()
        .map(|face| {
            let mut face = face.map(|v| numbers[v as usize]);
            let least = (0..3).min_by_key(|&i| face[i]).unwrap_or(0);
            face.rotate_left(least);
            face
        })
        .collect();
    faces.par_sort_unstable();
    faces.dedup();
    faces
}

/// What is in one ordered list and not in the other.
fn only_in(one: &[[u32; 3]], other: &[[u32; 3]]) -> Vec<[u32; 3]> {
    let mut rest = other.iter().peekable();
    one.iter()
        .filter(|face| {
            while rest.next_if(|other| other < face).is_some() {}
            rest.peek() != Some(face)
        })
        .copied()
        .collect()
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
