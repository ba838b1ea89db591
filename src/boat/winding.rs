//! How often a surface goes round a point, by a ray.
use nalgebra::Vector3;

use crate::mesh::{FaceRuns, Reach, Surface};
use crate::numerics::Vec3;

/// A ray that passes a run of faces by less than this share of the surface's size is
/// followed into it: over the rounding of both.
const RAY_CLEAR: f64 = 1e-9;

/// A ray from a point, in no direction of any drawing.
struct Ray<'a> {
    from: &'a Vec3,
    along: Vec3,
    across: [Vec3; 2],
}

impl<'a> Ray<'a> {
    fn from(from: &'a Vec3) -> Self {
        let along = Vec3::new(0.318_27, 0.541_93, 0.777_81).normalize();
        let first = along.cross(&Vec3::new(0.9, -0.2, 0.1)).normalize();
        Self {
            from,
            along,
            across: [first, along.cross(&first)],
        }
    }

    /// How a face is crossed: +1 where the ray goes out through it, −1 where it comes
    /// in, ahead of the point and behind it; and 1 where it meets an edge.
    fn crosses(&self, corners: &[Vec3; 3]) -> Vector3<i64> {
        let [a, b, c] = corners.map(|corner| {
            let away = corner - self.from;
            [away.dot(&self.across[0]), away.dot(&self.across[1])]
        });
        // The same number but for its sign from both faces of an edge.
        let turn = |p: &[f64; 2], q: &[f64; 2]| p[0] * q[1] - p[1] * q[0];
        let turns = [turn(&b, &c), turn(&c, &a), turn(&a, &b)];
        let (some_over, some_under) = (
            turns.iter().any(|t| *t > 0.0),
            turns.iter().any(|t| *t < 0.0),
        );
        if some_over && some_under {
            return Vector3::zeros();
        }
        if turns.contains(&0.0) {
            return Vector3::z();
        }
        let heights = corners.map(|corner| (corner - self.from).dot(&self.along));
        let area: f64 = turns.iter().sum();
        let height = turns.iter().zip(heights).map(|(t, h)| t * h).sum::<f64>() / area;
        let way = if some_over { 1 } else { -1 };
        if height > 0.0 {
            Vector3::x() * way
        } else {
            Vector3::y() * way
        }
    }
}

/// Winding number of a closed surface about a point. `None` where the ray meets an edge,
/// or where the surface shows to be open.
pub(super) fn winding(surface: &Surface, point: &Vec3) -> Option<i64> {
    let ray = Ray::from(point);
    told(surface.sum_over_faces(|face| ray.crosses(&surface.corners(face))))
}

/// The same with the runs of its faces: only those that the ray may meet are looked at.
pub(super) fn winding_by_runs(surface: &Surface, runs: &FaceRuns, point: &Vec3) -> Option<i64> {
    let ray = Ray::from(point);
    let size = surface.diagonal_m();
    let clear = Vec3::repeat(RAY_CLEAR * size);
    let may_meet = |[lo, hi]: &Reach| {
        // How far along the line its pairs of planes are: all grow along it.
        let to_lo = (lo - clear - point).component_div(&ray.along);
        let to_hi = (hi + clear - point).component_div(&ray.along);
        to_lo.max() <= to_hi.min()
    };
    let faces = runs.faces(may_meet);
    told(faces.map(|face| ray.crosses(&surface.corners(face))).sum())
}

fn told(crossed: Vector3<i64>) -> Option<i64> {
    // Of a closed surface as much is left behind as lies ahead.
    let is_sure = crossed.z == 0 && crossed.x + crossed.y == 0;
    is_sure.then_some(crossed.x)
}

/// Whether a closed outward surface encloses a point: by a ray, and where that is not
/// sure by the solid angle that its faces fill from there, which is the whole sphere (van
/// Oosterom and Strackee, IEEE Trans. Biomed. Eng. 30, 1983; from memory).
pub(super) fn encloses(surface: &Surface, point: &Vec3) -> bool {
    is_inside(surface, point, || winding(surface, point))
}

/// The same with the runs of its faces.
pub(super) fn encloses_by_runs(surface: &Surface, runs: &FaceRuns, point: &Vec3) -> bool {
    is_inside(surface, point, || winding_by_runs(surface, runs, point))
}

fn is_inside(surface: &Surface, point: &Vec3, times: impl Fn() -> Option<i64>) -> bool {
    let Some((lo, hi)) = surface.bounds() else {
        return false;
    };
    if (0..3).any(|axis| point[axis] < lo[axis] || point[axis] > hi[axis]) {
        return false;
    }
    if let Some(times) = times() {
        return times > 0;
    }
    let half_angle = |face: usize| {
        let [a, b, c] = surface.corners(face).map(|corner| corner - point);
        let (la, lb, lc) = (a.norm(), b.norm(), c.norm());
        let below = la * lb * lc + a.dot(&b) * lc + b.dot(&c) * la + c.dot(&a) * lb;
        a.dot(&b.cross(&c)).atan2(below)
    };
    let angle: f64 = surface.sum_over_faces(half_angle);
    2.0 * angle > 2.0 * std::f64::consts::PI
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    /// A cube in a cube, a hollow in a cube, and each left open.
    #[test]
    fn a_point_is_wound_round_as_often_as_it_lies_in_a_solid() {
        let cube = |half: f64| solids::cuboid(Vec3::repeat(-half), Vec3::repeat(half));
        let (near, far) = (Vec3::new(0.1, 0.2, 0.3), Vec3::new(0.8, 0.1, 0.0));
        let mut both = cube(1.0);
        both.append(&cube(0.5));
        let mut hollow = cube(0.5);
        hollow.flip();
        hollow.append(&cube(1.0));
        for (surface, times) in [(both, [2, 1]), (hollow, [0, 1])] {
            let runs = FaceRuns::of(&surface);
            for (point, times) in [near, far, Vec3::repeat(3.0)]
                .iter()
                .zip([times[0], times[1], 0])
            {
                assert_eq!(winding(&surface, point), Some(times));
                assert_eq!(winding_by_runs(&surface, &runs, point), Some(times));
                assert_eq!(encloses(&surface, point), times > 0);
                assert_eq!(encloses_by_runs(&surface, &runs, point), times > 0);
            }
        }
        let mut open = cube(1.0);
        open.faces.truncate(10);
        assert!(encloses(&open, &near));
        assert!(!encloses(&open, &Vec3::repeat(0.9999).map(|x| -3.0 * x)));
    }

    /// From a corner every ray meets edges.
    #[test]
    fn a_ray_from_a_corner_is_not_believed() {
        let cube = solids::cuboid(Vec3::repeat(-1.0), Vec3::repeat(1.0));
        let corner = Vec3::repeat(1.0);
        assert_eq!(winding(&cube, &corner), None);
        assert_eq!(winding_by_runs(&cube, &FaceRuns::of(&cube), &corner), None);
        assert!(!encloses(&cube, &corner));
    }
}
