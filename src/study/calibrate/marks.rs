//! The water plane that fits measured heights.
use nalgebra::{Matrix3, Vector3};

use super::measured::FloatMark;
use crate::boat::file::point_m;
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Gauss–Newton steps; the equations are all but linear, so a few do.
const STEPS: usize = 50;
/// Step (rad and m) below which the fit is done.
const DONE: f64 = 1e-13;
/// Marks whose spread across their line is less than this share of that along it
/// lie in one line.
const IN_LINE: f64 = 1e-4;

/// The plane with the least squares of `up · p − level − height` over the marks,
/// by Gauss–Newton from upright. `None` where the marks lie in one line or the
/// fit does not settle.
pub(super) fn plane_through(marks: &[FloatMark]) -> Option<WaterPlane> {
    let count = marks.len() as f64;
    let middle: Vec3 = marks.iter().map(|mark| point_m(&mark.at)).sum::<Vec3>() / count;
    let mut up = Vec3::z();
    let mean_height = marks.iter().map(|mark| mark.over_water.value).sum::<f64>() / count;
    // The level over the marks' middle, so that it and the tilts are apart.
    let mut level = -mean_height;
    for _ in 0..STEPS {
        let plane = WaterPlane { up, level_m: 0.0 };
        let axes = plane.axes();
        let mut normal = Matrix3::zeros();
        let mut right = Vector3::zeros();
        for mark in marks {
            let from = point_m(&mark.at) - middle;
            let off = up.dot(&from) - level - mark.over_water.value;
            let row = Vector3::new(-1.0, axes.forward.dot(&from), axes.port.dot(&from));
            normal += row * row.transpose();
            right -= row * off;
        }
        let (uu, uv, vv) = (normal[(1, 1)], normal[(1, 2)], normal[(2, 2)]);
        if uu * vv - uv * uv <= IN_LINE * IN_LINE * (uu + vv).powi(2) {
            return None;
        }
        let step = normal.cholesky()?.solve(&right);
        let tilt = axes.forward * step[1] + axes.port * step[2];
        up = (up + tilt).normalize();
        level += step[0];
        if step.norm() < DONE {
            return (up.z > 0.0).then(|| WaterPlane {
                up,
                level_m: level + up.dot(&middle),
            });
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mark(at: [f64; 3], plane: &WaterPlane) -> FloatMark {
        let at_m = Vec3::from(at);
        FloatMark::new(at_m, plane.height_m(&at_m))
    }

    #[test]
    fn the_plane_comes_back_from_its_heights() {
        let plane = WaterPlane::at_attitude(8.0, -3.0, 0.21);
        let marks = [
            [0.0, 0.2, 0.4],
            [0.1, -0.3, 0.35],
            [3.3, 0.0, 0.42],
            [1.5, 0.4, 0.3],
        ];
        let marks: Vec<FloatMark> = marks.iter().map(|at| mark(*at, &plane)).collect();
        let found = plane_through(&marks).unwrap();
        assert!((found.up - plane.up).norm() < 1e-12);
        assert!((found.level_m - plane.level_m).abs() < 1e-12);
        assert!(plane_through(&marks[..3]).is_some());
    }

    #[test]
    fn marks_in_one_line_tell_nothing() {
        let plane = WaterPlane::at_attitude(0.0, 0.0, 0.2);
        let marks = [[0.0, 0.0, 0.4], [1.0, 0.0, 0.4], [3.0, 0.0, 0.4]];
        let marks: Vec<FloatMark> = marks.iter().map(|at| mark(*at, &plane)).collect();
        assert_eq!(plane_through(&marks), None);
    }
}
