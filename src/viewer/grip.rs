//! Taking hold of an item with the mouse.
use crate::numerics::Vec3;

/// Slope of the sight line under which a level plane is seen too flat to point
/// at a place on it (sine; about 3°).
const TOO_FLAT: f64 = 0.05;

/// A line of sight in the boat frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ray {
    /// The eye, m.
    pub from_m: Vec3,
    /// Unit vector away from it.
    pub along: Vec3,
}

impl Ray {
    /// How far a point lies from the line, m.
    #[must_use]
    pub fn distance_m(&self, point: &Vec3) -> f64 {
        (point - self.from_m).cross(&self.along).norm()
    }
}

/// Where an item goes when the mouse points along `ray`: it keeps its height in
/// the boat and stays in the hull's box. Seen from the side, where its level
/// shows as a line, it keeps its distance from the centre line and goes along.
#[must_use]
pub fn along_the_hull(ray: &Ray, item_m: &Vec3, hull_box_m: &(Vec3, Vec3)) -> Option<Vec3> {
    let hit = |axis: usize| {
        let slope = ray.along[axis];
        (slope.abs() > TOO_FLAT)
            .then(|| ray.from_m + ray.along * ((item_m[axis] - ray.from_m[axis]) / slope))
    };
    let mut at = match hit(2) {
        Some(on_level) => Vec3::new(on_level.x, on_level.y, item_m.z),
        None => match hit(1) {
            Some(on_side) => Vec3::new(on_side.x, item_m.y, item_m.z),
            None => Vec3::new(item_m.x, hit(0)?.y, item_m.z),
        },
    };
    let (lo, hi) = hull_box_m;
    at.x = at.x.clamp(lo.x, hi.x);
    at.y = at.y.clamp(lo.y, hi.y);
    at.iter().all(|c| c.is_finite()).then_some(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOX: (Vec3, Vec3) = (Vec3::new(0.0, -0.5, 0.0), Vec3::new(3.0, 0.5, 0.6));

    #[test]
    fn from_above_it_moves_along_and_across_at_its_height() {
        let ray = Ray {
            from_m: Vec3::new(1.0, 0.2, 5.0),
            along: -Vec3::z(),
        };
        let item = Vec3::new(0.4, 0.0, 0.1);
        let at = along_the_hull(&ray, &item, &BOX).unwrap();
        assert!((at - Vec3::new(1.0, 0.2, 0.1)).norm() < 1e-12);
    }

    #[test]
    fn from_the_side_it_moves_along_and_stays_aboard() {
        let ray = Ray {
            from_m: Vec3::new(7.0, -5.0, 0.4),
            along: Vec3::y(),
        };
        let item = Vec3::new(0.4, 0.1, 0.1);
        let at = along_the_hull(&ray, &item, &BOX).unwrap();
        assert!((at - Vec3::new(3.0, 0.1, 0.1)).norm() < 1e-12);
        let ahead = Ray {
            from_m: Vec3::new(9.0, 0.3, 0.4),
            along: -Vec3::x(),
        };
        let at = along_the_hull(&ahead, &item, &BOX).unwrap();
        assert!((at - Vec3::new(0.4, 0.3, 0.1)).norm() < 1e-12);
    }
}
