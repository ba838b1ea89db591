//! Between the boat frame and the drawn world, whose water is level.
use crate::immersion::{PlaneAxes, WaterPlane};
use crate::numerics::Vec3;

/// The drawn world: z is the height above the water, x runs forward and y to
/// port on it, and the hull's middle stands over the origin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct World {
    plane: WaterPlane,
    axes: PlaneAxes,
    /// Taken off forward and to port, m.
    shift_m: [f64; 2],
}

impl World {
    /// The world at a water plane, for a hull in a box.
    #[must_use]
    pub fn new(plane: &WaterPlane, hull_box_m: &(Vec3, Vec3)) -> Self {
        let axes = plane.axes();
        let middle = (hull_box_m.0 + hull_box_m.1) / 2.0;
        Self {
            plane: *plane,
            axes,
            shift_m: [axes.forward.dot(&middle), axes.port.dot(&middle)],
        }
    }

    /// A point of the boat in the world, m.
    #[must_use]
    pub fn of_boat(&self, point: &Vec3) -> Vec3 {
        let [x, y] = self.shift_m;
        Vec3::new(
            self.axes.forward.dot(point) - x,
            self.axes.port.dot(point) - y,
            self.plane.height_m(point),
        )
    }

    /// A direction of the world in the boat.
    #[must_use]
    pub fn direction_in_boat(&self, direction: &Vec3) -> Vec3 {
        self.axes.forward * direction.x + self.axes.port * direction.y + self.plane.up * direction.z
    }

    /// A point of the world in the boat, m.
    #[must_use]
    pub fn in_boat(&self, point: &Vec3) -> Vec3 {
        let [x, y] = self.shift_m;
        self.direction_in_boat(&Vec3::new(
            point.x + x,
            point.y + y,
            point.z + self.plane.level_m,
        ))
    }

    /// A point `[forward, to port]` of the water from the foot of the boat
    /// frame's origin, in the world, m.
    #[must_use]
    pub fn of_water(&self, point: [f64; 2]) -> Vec3 {
        let [x, y] = self.shift_m;
        Vec3::new(point[0] - x, point[1] - y, 0.0)
    }

    /// The world's axes in the boat frame: forward, to port, up.
    #[must_use]
    pub fn axes(&self) -> [Vec3; 3] {
        [self.axes.forward, self.axes.port, self.plane.up]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back() {
        let plane = WaterPlane::at_attitude(20.0, -5.0, 0.2);
        let world = World::new(&plane, &(Vec3::zeros(), Vec3::new(3.0, 1.0, 0.5)));
        let point = Vec3::new(0.3, -0.2, 0.7);
        let there = world.of_boat(&point);
        assert!((there.z - plane.height_m(&point)).abs() < 1e-12);
        assert!((world.in_boat(&there) - point).norm() < 1e-12);
        let middle = world.of_boat(&Vec3::new(1.5, 0.5, 0.25));
        assert!(middle.x.abs() < 1e-12 && middle.y.abs() < 1e-12);
    }
}
