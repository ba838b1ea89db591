//! What was measured.
use crate::boat::file::Point;
use crate::numerics::Vec3;
use crate::quantity::Quantity;

/// ± of a scale that states none, kg. Ours, no source: a bathroom or hanging scale.
pub const SCALE_KG: f64 = 0.5;
pub use crate::quantity::TAPE_M;
/// ± of an angle read that states none, deg. Ours, no source: a phone or a level.
pub const ANGLE_DEG: f64 = 0.2;

/// What was measured, in SI, each number with its ± (two standard deviations).
///
/// | table | holds |
/// |---|---|
/// | `[[float_mark]]` | `at = [x, y, z]` or tape readings, or `opening = "its name"` for the lowest point of its rim above the water as the boat file floats it; `over_water`: its height above the water; three or more |
/// | `[two_scales]` | `aft = { x, reads }`, `fore = { x, reads }`; to know the height also `stands_at_z` and `tipped = { angle, fore_reads }`, the fore end raised |
/// | `[[incline]]` | `mass` aboard moved by `moved` to starboard, and the change of `heel` |
/// | `[[push]]` | `at = [x, y, z]`, `force` down, and how far that point `sinks` |
///
/// What is read, `over_water`, `reads`, `fore_reads`, `angle`, `heel` and `sinks`, has
/// the ± of [`TAPE_M`], [`SCALE_KG`] and [`ANGLE_DEG`] unless it states its own; an
/// opening has the ± of its rim; places and what is moved or pushed with are exact unless
/// they carry a ±.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Measured {
    /// `[[float_mark]]`.
    pub marks: Vec<FloatMark>,
    /// `[two_scales]`.
    pub two_scales: Option<TwoScales>,
    /// `[[incline]]`.
    pub moves: Vec<InclineMove>,
    /// `[[push]]`.
    pub pushes: Vec<Push>,
}

/// The height of a point above the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloatMark {
    /// The point, boat frame, m.
    pub at: Point,
    /// Its height, m; negative under water.
    pub over_water: Quantity,
}

/// A weighing on two scales, boat level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TwoScales {
    /// The after one.
    pub aft: Scale,
    /// The fore one.
    pub fore: Scale,
    /// Height z at which the boat stands on the scales, m.
    pub stands_at_z: Quantity,
    /// A second weighing with the fore end raised.
    pub tipped: Option<Tipped>,
}

/// One scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Where along the boat, m.
    pub x: Quantity,
    /// What it reads, kg.
    pub reads: Quantity,
}

/// The fore end raised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tipped {
    /// By how much, deg.
    pub angle: Quantity,
    /// What the fore scale reads then, kg.
    pub fore_reads: Quantity,
}

/// One inclining move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InclineMove {
    /// The mass moved, already aboard, kg. Moves of the same mass with the same ± are
    /// taken to be of one weight.
    pub mass: Quantity,
    /// How far, to starboard positive, m.
    pub moved: Quantity,
    /// Change of heel, starboard down positive, deg.
    pub heel: Quantity,
}

/// A push down on one point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Push {
    /// The point, boat frame, m.
    pub at: Point,
    /// The push, N.
    pub force: Quantity,
    /// How far that point goes down, m.
    pub sinks: Quantity,
}

impl FloatMark {
    /// A point and its height above the water by tape, m.
    #[must_use]
    pub fn new(at_m: Vec3, over_water_m: f64) -> Self {
        Self {
            at: exactly_at(at_m),
            over_water: read_as(over_water_m, TAPE_M),
        }
    }
}

impl Scale {
    /// A scale at x, m, and what it reads, kg.
    #[must_use]
    pub fn new(x_m: f64, reads_kg: f64) -> Self {
        Self {
            x: Quantity::exact(x_m),
            reads: read_as(reads_kg, SCALE_KG),
        }
    }
}

impl Tipped {
    /// The angle, deg, and what the fore scale reads, kg.
    #[must_use]
    pub fn new(angle_deg: f64, fore_reads_kg: f64) -> Self {
        Self {
            angle: read_as(angle_deg, ANGLE_DEG),
            fore_reads: read_as(fore_reads_kg, SCALE_KG),
        }
    }
}

impl InclineMove {
    /// A mass, kg, moved to starboard, m, and the heel that makes, deg.
    #[must_use]
    pub fn new(mass_kg: f64, moved_m: f64, heel_deg: f64) -> Self {
        Self {
            mass: Quantity::exact(mass_kg),
            moved: Quantity::exact(moved_m),
            heel: read_as(heel_deg, ANGLE_DEG),
        }
    }
}

impl Push {
    /// A point pushed down with a force, N, and how far it sinks, m.
    #[must_use]
    pub fn new(at_m: Vec3, force_n: f64, sinks_m: f64) -> Self {
        Self {
            at: exactly_at(at_m),
            force: Quantity::exact(force_n),
            sinks: read_as(sinks_m, TAPE_M),
        }
    }
}

pub(super) fn exactly_at(at_m: Vec3) -> Point {
    [at_m.x, at_m.y, at_m.z].map(Quantity::exact)
}

fn read_as(value: f64, spread: f64) -> Quantity {
    Quantity { value, spread }
}
