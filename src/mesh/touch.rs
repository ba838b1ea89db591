//! Whether one surface lies on another.
use super::face_tree::FaceTree;
use super::surface::Surface;
use crate::numerics::Vec3;

/// Whether any face of a surface lies on another: its middle is no further from it
/// than `within_m`.
#[must_use]
pub fn lies_on(surface: &Surface, other: &Surface, within_m: f64) -> bool {
    if other.faces.is_empty() {
        return false;
    }
    let tree = FaceTree::over(other);
    (0..surface.faces.len()).any(|face| {
        let [a, b, c] = surface.corners(face);
        tree.nearest(&((a + b + c) / 3.0))
            .is_some_and(|near| near.distance_squared <= within_m * within_m)
    })
}

/// How far places lie from a surface.
pub struct NearSurface(Option<FaceTree>);

impl NearSurface {
    /// Made once, asked often.
    #[must_use]
    pub fn of(surface: &Surface) -> Self {
        Self((!surface.faces.is_empty()).then(|| FaceTree::over(surface)))
    }

    /// Distance of a place, m; infinite from a surface without faces.
    #[must_use]
    pub fn distance_m(&self, place: &Vec3) -> f64 {
        let tree = self.0.as_ref();
        let near = tree.and_then(|tree| tree.nearest(place));
        near.map_or(f64::INFINITY, |near| near.distance_squared.sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    #[test]
    fn a_block_against_a_wall_lies_on_it_and_one_in_the_middle_does_not() {
        let block = |x: f64| solids::cuboid(Vec3::new(x, 0.2, 0.2), Vec3::new(x + 0.3, 0.5, 0.5));
        let room = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
        assert!(lies_on(&block(0.7), &room, 1e-6));
        assert!(!lies_on(&block(0.6), &room, 1e-6));
        assert!(!lies_on(&block(0.6), &Surface::default(), 1e-6));
    }
}
