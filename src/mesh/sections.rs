//! Where planes across an axis cut a surface.
use rayon::prelude::*;

use super::surface::Surface;
use crate::numerics::Vec3;

/// The segments along which the plane `x[axis] = at_m` cuts the faces, in no
/// order, m. A face that lies in the plane gives none.
#[must_use]
pub fn section_segments(surface: &Surface, axis: usize, at_m: f64) -> Vec<[Vec3; 2]> {
    (0..surface.faces.len())
        .into_par_iter()
        .with_min_len(1 << 12)
        .filter_map(|face| {
            let corners = surface.corners(face);
            let over = corners.map(|c| c[axis] >= at_m);
            if over[0] == over[1] && over[1] == over[2] {
                return None;
            }
            let mut ends = (0..3).filter_map(|k| {
                let (a, b) = (corners[k], corners[(k + 1) % 3]);
                (over[k] != over[(k + 1) % 3])
                    .then(|| a + (b - a) * ((at_m - a[axis]) / (b[axis] - a[axis])))
            });
            Some([ends.next()?, ends.next()?])
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    #[test]
    fn the_section_of_a_box_is_its_outline() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::new(3.0, 2.0, 1.0));
        for (axis, around) in [(0, 6.0), (1, 8.0), (2, 10.0)] {
            let length: f64 = section_segments(&cube, axis, 0.4)
                .iter()
                .map(|[a, b]| (b - a).norm())
                .sum();
            assert!((length - around).abs() < 1e-12);
        }
        assert!(section_segments(&cube, 0, 5.0).is_empty());
    }
}
