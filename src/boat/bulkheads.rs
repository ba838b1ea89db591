//! Bulkheads, and what reaches through one.
use super::Compartment;
use super::opening::clipped;
use crate::mesh::Surface;
use crate::numerics::Vec3;

/// What a place by tape may be off, m: a box that reaches through a bulkhead by less is
/// taken to stand against it. Ours.
const AGAINST_M: f64 = 0.01;
/// Most of a box's side that is left out for that, as a share: thin things have a middle.
const AGAINST_SHARE: f64 = 0.25;

/// The walls of a boat's compartments that are not skin. Boat frame, m.
pub struct Bulkheads<'b>(Vec<(&'b str, Surface)>);

impl<'b> Bulkheads<'b> {
    /// Those of a boat's compartments.
    #[must_use]
    pub fn of(spaces: &'b [Compartment]) -> Self {
        let walls = spaces.iter();
        Self(
            walls
                .map(|space| (space.name.as_str(), space.bulkheads()))
                .collect(),
        )
    }

    /// The first compartment whose bulkhead reaches into a box.
    #[must_use]
    pub fn through(&self, middle: &Vec3, size: &Vec3) -> Option<&'b str> {
        let half = size.map(|side| side / 2.0 - AGAINST_M.min(AGAINST_SHARE * side));
        let cuts = |wall: &Surface| {
            (0..wall.faces.len())
                .any(|face| reaches_into(&wall.corners(face).map(|corner| corner - middle), &half))
        };
        let found = self.0.iter().find(|(_, wall)| cuts(wall));
        found.map(|(name, _)| *name)
    }
}

/// Whether some of a triangle lies in the box about the origin that reaches so far along
/// each axis: what is left of it once it is cut off at all six sides.
fn reaches_into(triangle: &[Vec3; 3], half: &Vec3) -> bool {
    let mut left = triangle.to_vec();
    for axis in 0..3 {
        for side in [1.0, -1.0] {
            left = clipped(&left, &(Vec3::ith(axis, side)), half[axis]);
        }
    }
    !left.is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_triangle_far_larger_than_a_box_is_seen_where_it_cuts_it_and_only_there() {
        let wall = |x: f64| [[x, -9.0, -9.0], [x, 9.0, -9.0], [x, 0.0, 9.0]].map(Vec3::from);
        let half = Vec3::new(0.2, 0.1, 0.1);
        assert!(reaches_into(&wall(0.19), &half));
        assert!(!reaches_into(&wall(0.21), &half));
        // Its box overlaps the other, it does not.
        let aslant = [[0.3, 0.0, -1.0], [0.0, 0.3, -1.0], [0.3, 0.0, 1.0]].map(Vec3::from);
        assert!(!reaches_into(&aslant, &Vec3::repeat(0.14)));
        assert!(reaches_into(&aslant, &Vec3::repeat(0.16)));
    }
}
