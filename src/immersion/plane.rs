//! The water plane in the boat frame.
use crate::numerics::Vec3;

/// Below this length the boat's x axis counts as vertical and cannot give the
/// plane a longitudinal direction (sine of the angle; about 0.00006°).
const AXIS_VANISHES: f64 = 1e-6;

/// A plane within a degree of the boat's z axis (sine of 1°) misses it: where the
/// two meet lies far off the boat, or nowhere.
const MISSES_Z_AXIS: f64 = 0.017_452_4;

/// The surface of calm water seen from the boat: the plane
/// `up · x = level_m`; the wet side is `up · x < level_m`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterPlane {
    /// Unit vector of the world's vertical in the boat frame.
    pub up: Vec3,
    /// Height of the plane over the boat frame's origin, along `up`, m.
    pub level_m: f64,
}

/// Directions in the water plane: which way is forward, which to port.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaneAxes {
    /// The boat's x axis laid flat on the water, unit vector.
    pub forward: Vec3,
    /// `up × forward`: to port on the water, unit vector.
    pub port: Vec3,
}

impl WaterPlane {
    /// The plane at a heel (starboard down positive) and a pitch (bow up
    /// positive), in degrees, that cuts the boat's own z axis (x = y = 0) at
    /// `waterline_height_m`.
    #[must_use]
    pub fn at_attitude(heel_deg: f64, pitch_deg: f64, waterline_height_m: f64) -> Self {
        let up = up_at(heel_deg, pitch_deg);
        Self {
            up,
            level_m: waterline_height_m * up.z,
        }
    }

    /// Heel, starboard down positive, −180..180 deg: `atan2(up.y, up.z)`.
    #[must_use]
    pub fn heel_deg(&self) -> f64 {
        self.up.y.atan2(self.up.z).to_degrees()
    }

    /// Pitch, bow up positive, −90..90 deg: `asin(up.x)`.
    #[must_use]
    pub fn pitch_deg(&self) -> f64 {
        self.up.x.clamp(-1.0, 1.0).asin().to_degrees()
    }

    /// Lean from upright, any way, 0..180 deg.
    #[must_use]
    pub fn lean_deg(&self) -> f64 {
        self.up.xy().norm().atan2(self.up.z).to_degrees()
    }

    /// Height at which the plane cuts the boat's z axis, m; `None` where it runs
    /// along that axis, to a degree, as under a craft on its side or on end.
    #[must_use]
    pub fn waterline_height_m(&self) -> Option<f64> {
        (self.up.z.abs() > MISSES_Z_AXIS).then(|| self.level_m / self.up.z)
    }

    /// Height of a point above the water, m (negative under it).
    #[must_use]
    pub fn height_m(&self, point: &Vec3) -> f64 {
        self.up.dot(point) - self.level_m
    }

    /// Forward and port directions in the plane. With the bow straight up or
    /// down the boat's x axis gives no direction: forward is then where the
    /// keel (bow up) or the deck (bow down) points.
    #[must_use]
    pub fn axes(&self) -> PlaneAxes {
        let flat = Vec3::x() - self.up * self.up.x;
        let length = flat.norm();
        let forward = if length > AXIS_VANISHES {
            flat / length
        } else {
            let deck = Vec3::z() * -self.up.x.signum();
            (deck - self.up * deck.dot(&self.up)).normalize()
        };
        PlaneAxes {
            forward,
            port: self.up.cross(&forward),
        }
    }
}

/// The world's vertical in the boat frame at a heel and a pitch in degrees.
#[must_use]
pub(crate) fn up_at(heel_deg: f64, pitch_deg: f64) -> Vec3 {
    let (sin_heel, cos_heel) = heel_deg.to_radians().sin_cos();
    let (sin_pitch, cos_pitch) = pitch_deg.to_radians().sin_cos();
    Vec3::new(sin_pitch, cos_pitch * sin_heel, cos_pitch * cos_heel)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heel_and_pitch_come_back_and_have_the_stated_signs() {
        let plane = WaterPlane::at_attitude(25.0, -7.0, 0.3);
        assert!((plane.heel_deg() - 25.0).abs() < 1e-12);
        assert!((plane.pitch_deg() + 7.0).abs() < 1e-12);
        assert!((plane.waterline_height_m().unwrap() - 0.3).abs() < 1e-15);
        // Starboard (−y) goes down under positive heel.
        assert!(plane.height_m(&Vec3::new(0.0, -1.0, 0.0)) < plane.height_m(&Vec3::y()));
        // The bow goes down under negative pitch.
        assert!(plane.height_m(&Vec3::x()) < plane.height_m(&-Vec3::x()));
    }

    #[test]
    fn a_plane_along_the_z_axis_has_no_height_on_it() {
        for (heel, pitch) in [(90.0, 0.0), (-89.5, 0.0), (0.0, 90.0), (45.0, 89.5)] {
            let plane = WaterPlane {
                level_m: 0.2,
                ..WaterPlane::at_attitude(heel, pitch, 0.0)
            };
            assert_eq!(plane.waterline_height_m(), None, "{heel} {pitch}");
        }
        let over = WaterPlane::at_attitude(180.0, 0.0, 0.3);
        assert!((over.waterline_height_m().unwrap() - 0.3).abs() < 1e-15);
    }

    #[test]
    fn axes_are_right_handed_even_with_the_bow_straight_up() {
        for (heel, pitch) in [(0.0, 0.0), (30.0, 20.0), (0.0, 90.0), (170.0, -90.0)] {
            let plane = WaterPlane::at_attitude(heel, pitch, 0.0);
            let axes = plane.axes();
            assert!((axes.forward.norm() - 1.0).abs() < 1e-12);
            assert!((axes.forward.cross(&axes.port) - plane.up).norm() < 1e-12);
        }
    }
}
