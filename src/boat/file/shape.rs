//! Shapes of parts and of marks, as the file gives them.
use std::path::PathBuf;

use serde::Serialize;

use super::built::Built;
use super::{MeshUnits, Point, point_m};
use crate::numerics::Vec3;
use crate::quantity::Quantity;

/// The shape of a part.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Shape {
    /// `mesh` and `units`.
    Mesh {
        /// Resolved against the folder of the file that names it.
        path: PathBuf,
        /// Unit of its numbers.
        units: Option<MeshUnits>,
    },
    /// `box`.
    Box(BoxShape),
    /// `cylinder`.
    Cylinder(Cylinder),
    /// `outline`.
    Outline(Outline),
    /// `wall`.
    Wall(Wall),
    /// `deck`, `bulkhead`, `sponson` or `skeg`: made from the hull.
    Built(Built),
    /// None: a cover that lies on the rim of its opening.
    OnRim,
}

/// `wall = { foot = [[x, y, z], …], height, closed }` or `{ round, height }`: a
/// thin sheet that stands up along z, as thick as its laminate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wall {
    /// What it stands on.
    pub foot: Foot,
    /// How high it stands over that, m; where its top is level, at its lowest.
    pub height: Quantity,
    /// `flare`: how far it leans outward from upright, degrees; only round an opening.
    pub flare: Quantity,
    /// `level_at`: heel and pitch at which its top is level, degrees; likewise.
    pub level_at: Option<[Quantity; 2]>,
    /// `level_at_rest`: whether that is as the craft lies at rest, which
    /// [`with_level_walls`](crate::equilibrium::with_level_walls) puts into `level_at`.
    pub level_at_rest: bool,
}

impl Wall {
    /// Whether it is still to be found how the craft lies at which its top is level.
    #[must_use]
    pub fn waits_for_rest(&self) -> bool {
        self.level_at_rest && self.level_at.is_none()
    }
}

/// What a wall stands on.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Foot {
    /// `foot`: a line of points, m; two or more.
    Line(Vec<Point>),
    /// `foot` with `closed = true`: it comes back to its first point, as a
    /// coaming does, and the envelope grows by all that it encloses, which is
    /// open at the top; three or more.
    Ring(Vec<Point>),
    /// `round`: the rim of an opening that is an open edge of the hull or the
    /// top of another wall, as the parts before leave it.
    Round(String),
}

/// `outline = { points = [[x, y, z], …], along = "z", from, to }`: a ring of
/// points drawn along an axis; their own coordinate along it does not count.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outline {
    /// Round the outline, m; three or more.
    pub points: Vec<Point>,
    /// Axis: 0 for x, 1 for y, 2 for z.
    pub along: usize,
    /// Coordinates along the axis between which it is drawn, m.
    pub from_m: f64,
    /// The greater of the two, m.
    pub to_m: f64,
}

/// `box`, its edges along the boat's axes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BoxShape {
    /// `{ min = [x, y, z], max = [x, y, z] }`, m; max above min along every axis.
    Corners {
        /// Aftmost, most starboard, lowest corner.
        min: Point,
        /// Foremost, most port, highest corner.
        max: Point,
    },
    /// `{ centre = [x, y, z], size = [x, y, z] }`, m; sizes more than 0.
    Centred {
        /// Its middle.
        centre: Point,
        /// Its length, breadth and height.
        size: Point,
    },
}

impl BoxShape {
    /// Least and greatest corner in metres, without spreads.
    #[must_use]
    pub fn corners_m(&self) -> (Vec3, Vec3) {
        match self {
            Self::Corners { min, max } => (point_m(min), point_m(max)),
            Self::Centred { centre, size } => {
                let (centre, half) = (point_m(centre), point_m(size) / 2.0);
                (centre - half, centre + half)
            }
        }
    }
}

/// `cylinder = { from = [x, y, z], to = [x, y, z], radius }`, or `diameter`
/// instead of `radius`; m.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cylinder {
    /// Middle of one end.
    pub from: Point,
    /// Middle of the other end; not the same point.
    pub to: Point,
    /// m, more than 0.
    pub radius: Quantity,
}
