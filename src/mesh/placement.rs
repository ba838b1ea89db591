//! Turning, scaling and shifting a mesh into the boat's frame.
use nalgebra::Rotation3;

use super::samples::spread_over;
use super::surface::Surface;
use super::symmetry::{principal_axes, quantile};
use crate::numerics::{Vec3, least_and_most};

/// A hull whose longest axis is nearer to x than this (cosine of 25°) lies along
/// it: its length is measured square, as a tape does between two plumb lines.
const ALONG_X: f64 = 0.9;

/// Points by which a length is told, and the share of them that is left out at either end.
const LENGTH_POINTS: usize = 3000;
const STRAY_SHARE: f64 = 0.005;

/// How a mesh comes to lie in the boat's frame: turned, then scaled, then
/// shifted.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Placement {
    /// The turn.
    pub turn: Option<Rotation3<f64>>,
    /// Length that the turned mesh is scaled to, m: along x, or along its longest
    /// axis where that lies elsewhere.
    pub scale_to_length_m: Option<f64>,
    /// The point of the turned and scaled mesh that becomes the origin, m.
    pub origin_m: Option<Vec3>,
}

/// The length of a hull in any pose and of any size, but for stray bits: along its longest axis
/// all but a hundredth of its area.
#[must_use]
pub fn length_of(surface: &Surface) -> f64 {
    let points = spread_over(surface, LENGTH_POINTS, |_| true);
    let (_, [long, ..]) = principal_axes(&points);
    let along: Vec<f64> = points.iter().map(|p| p.dot(&long)).collect();
    quantile(along.clone(), 1.0 - STRAY_SHARE) - quantile(along, STRAY_SHARE)
}

/// A mesh without extent along x cannot be scaled to a length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("scaling to a length needs a hull that is long along x; turn it first with `turn`")]
pub struct NoLength;

/// `turned · x · scale + shift`: how points moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moved {
    /// The turn.
    pub turn: Rotation3<f64>,
    /// The scale, after the turn.
    pub scale: f64,
    /// The shift, last, m.
    pub shift_m: Vec3,
}

impl Default for Moved {
    fn default() -> Self {
        Self {
            turn: Rotation3::identity(),
            scale: 1.0,
            shift_m: Vec3::zeros(),
        }
    }
}

impl Moved {
    /// Where a point went, m.
    #[must_use]
    pub fn point(&self, p: &Vec3) -> Vec3 {
        self.turn * p * self.scale + self.shift_m
    }

    /// Where a point came from, m.
    #[must_use]
    pub fn back(&self, p: &Vec3) -> Vec3 {
        self.turn.inverse() * ((p - self.shift_m) / self.scale)
    }

    /// Moves every vertex.
    pub fn apply(&self, surface: &mut Surface) {
        for v in &mut surface.vertices {
            *v = self.point(v);
        }
    }

    /// This, and then another.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        Self {
            turn: next.turn * self.turn,
            scale: next.scale * self.scale,
            shift_m: next.turn * self.shift_m * next.scale + next.shift_m,
        }
    }
}

/// Length of a turned surface, m: along x, or along its longest axis where it
/// lies across or askew.
fn length_m(surface: &Surface, turn: &Rotation3<f64>) -> f64 {
    let extent = |axis: &Vec3| {
        let along = surface.vertices.iter().map(|v| (turn * v).dot(axis));
        let (lo, hi) = least_and_most(along);
        hi - lo
    };
    let along_x = extent(&Vec3::x());
    let points: Vec<Vec3> = surface.vertices.iter().map(|v| turn * v).collect();
    let (_, [long, _, _]) = principal_axes(&points);
    let longest = extent(&long);
    if long.x.abs() > ALONG_X {
        along_x
    } else {
        longest
    }
}

impl Placement {
    /// Whether it leaves a mesh where it is.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        *self == Self::default()
    }

    /// Places a surface and tells how its points moved.
    ///
    /// # Errors
    /// [`NoLength`] when there is no length to scale.
    pub fn apply(&self, surface: &mut Surface) -> Result<Moved, NoLength> {
        let mut moved = Moved {
            turn: self.turn.unwrap_or_else(Rotation3::identity),
            ..Moved::default()
        };
        if let Some(wanted) = self.scale_to_length_m {
            moved.scale = wanted / length_m(surface, &moved.turn);
            if !moved.scale.is_finite() || moved.scale <= 0.0 {
                return Err(NoLength);
            }
        }
        moved.shift_m = -self.origin_m.unwrap_or_else(Vec3::zeros);
        if moved != Moved::default() {
            moved.apply(surface);
        }
        Ok(moved)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    #[test]
    fn a_length_is_that_of_the_longest_axis_in_any_pose() {
        let whole = solids::cuboid(Vec3::zeros(), Vec3::new(2.0, 0.5, 0.3));
        for angles in [
            [0.0, 0.0, 0.0],
            [0.3, 1.1, 2.0],
            [0.0, 1.57, 0.0],
            [1.0, -0.6, 1.2],
        ] {
            let mut lying = whole.clone();
            let turn = Rotation3::from_euler_angles(angles[0], angles[1], angles[2]);
            for v in &mut lying.vertices {
                *v = turn * *v;
            }
            let placement = Placement {
                scale_to_length_m: Some(4.0),
                ..Placement::default()
            };
            let moved = placement.apply(&mut lying).unwrap();
            assert!(
                (moved.scale - 2.0).abs() < 1e-3,
                "{angles:?}: {}",
                moved.scale
            );
        }
    }
}
