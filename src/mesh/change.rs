//! What turns one surface into another.
use rayon::prelude::*;

use super::doubt::id;
use super::surface::Surface;
use super::weld::mixed;
use crate::numerics::{Vec3, place_bits};

/// The faces that only `after` has and, turned over, those that only `before`
/// has. Where both are closed this is too, and whatever is summed over it is
/// the sum over `after` less the sum over `before`: most faces of a large hull
/// are the same in both and need not be kept.
#[must_use]
pub fn change_between(before: &Surface, after: &Surface) -> Surface {
    let [was, is] = [before, after].map(marked_faces);
    let came = only_in(after, &is, &was).into_iter();
    let gone = only_in(before, &was, &is).into_iter();
    let turned = gone.map(|[a, b, c]| [a, c, b]);
    // In one order, so that the sums over the change are the same each time.
    let mut faces: Vec<[PlaceBits; 3]> = came.chain(turned).map(from_the_least).collect();
    faces.sort_unstable();
    let mut places: Vec<PlaceBits> = faces.iter().flatten().copied().collect();
    places.sort_unstable();
    places.dedup();
    let number = |place: &PlaceBits| id(places.partition_point(|other| other < place));
    Surface {
        faces: faces
            .iter()
            .map(|face| face.each_ref().map(number))
            .collect(),
        vertices: places
            .iter()
            .map(|place| Vec3::from(place.map(f64::from_bits)))
            .collect(),
    }
}

/// A place to the last bit; minus nought is nought.
type PlaceBits = [u64; 3];

fn bits_of(v: &Vec3) -> PlaceBits {
    place_bits(&v.add_scalar(0.0))
}

/// The corners' places of a face.
fn corner_bits(surface: &Surface, face: u32) -> [PlaceBits; 3] {
    surface.corners(face as usize).each_ref().map(bits_of)
}

/// The same face beginning at its least corner.
fn from_the_least<T: Ord + Copy>(mut face: [T; 3]) -> [T; 3] {
    let least = (0..3).min_by_key(|&i| face[i]).unwrap_or(0);
    face.rotate_left(least);
    face
}

/// A mark of 128 bits that a face shares with every face of the same corners in the
/// same turn. Drawn at random, two others among the faces of two surfaces of ten
/// million would share one with a chance of 1 in 10²⁴.
type FaceMark = [u64; 2];

/// Each face behind its mark, in the marks' order. Marks are made in the order of
/// the mesh; looking for places in a table of millions, or sorting by them, waits
/// for memory at every look.
fn marked_faces(surface: &Surface) -> Vec<(FaceMark, u32)> {
    let corner: Vec<FaceMark> = surface
        .vertices
        .par_iter()
        .map(|v| {
            let bits = bits_of(v);
            [1, 2].map(|seed| bits.into_iter().fold(seed, mixed))
        })
        .collect();
    let mut marked: Vec<(FaceMark, u32)> = surface
        .faces
        .par_iter()
        .enumerate()
        .map(|(face, corners)| {
            let [a, b, c] = corners.map(|v| corner[v as usize]);
            // The same from whichever corner it begins, another when turned over.
            let mark = [0, 1].map(|i| {
                mixed(a[i], b[i])
                    .wrapping_add(mixed(b[i], c[i]))
                    .wrapping_add(mixed(c[i], a[i]))
            });
            (mark, id(face))
        })
        .collect();
    marked.par_sort_unstable();
    marked
}

/// The corners of the faces of a surface that are not among the others, or oftener
/// than there.
fn only_in(
    surface: &Surface,
    faces: &[(FaceMark, u32)],
    others: &[(FaceMark, u32)],
) -> Vec<[PlaceBits; 3]> {
    let mut rest = others.iter().peekable();
    let only = faces.iter().filter(|(mark, _)| {
        while rest.next_if(|(other, _)| other < mark).is_some() {}
        rest.next_if(|(other, _)| other == mark).is_none()
    });
    only.map(|(_, face)| corner_bits(surface, *face)).collect()
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
        let mut turned = small.clone();
        for face in &mut turned.faces {
            face.rotate_left(1);
        }
        turned.faces.reverse();
        let nothing = change_between(&small, &turned);
        assert!(nothing.faces.is_empty() && nothing.vertices.is_empty());
        // Every face came as its other side, and went.
        let mut inside_out = small.clone();
        inside_out.flip();
        let change = change_between(&small, &inside_out);
        assert!((change.signed_volume_m3() + 2.0).abs() < 1e-15);
        // A face more than before is a face that came.
        let mut doubled = small.clone();
        doubled.append(&small);
        let change = change_between(&small, &doubled);
        assert!((change.signed_volume_m3() - 1.0).abs() < 1e-15);
    }
}
