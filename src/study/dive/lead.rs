//! How much lead (or foam) goes where, so that the craft is neutral or slightly
//! buoyant, and level.
use std::convert::Infallible;

use nalgebra::{Matrix2, Vector2};
use schemars::JsonSchema;
use serde::Serialize;

use super::body::Flooded;
use crate::immersion::WaterPlane;
use crate::numerics::{Vec3, halved};

/// Density of lead, kg/m³. From memory, handbooks of materials.
pub const LEAD_KG_M3: f64 = 11_340.0;
/// Density of flotation foam, kg/m³: the 2 lb/ft³ of the US Coast Guard's
/// Boatbuilder's Handbook.
pub const FOAM_KG_M3: f64 = 32.037;
/// Lead lighter than this is none, kg.
const NOTHING_KG: f64 = 1e-6;
/// CB this near to straight over CG counts as level, m.
const LEVEL_WITHIN_M: f64 = 1e-6;
/// Halvings of the bracket of a share.
const HALVINGS: usize = 200;
/// Doublings of the bracket at most.
const DOUBLINGS: usize = 60;

/// Where ballast may go. Points in the boat frame, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Room {
    /// Anywhere between two points.
    Rail([Vec3; 2]),
    /// Anywhere in the upright-edged rectangle between two opposite corners,
    /// along x and y; the height goes with x.
    Grid([Vec3; 2]),
}

impl Room {
    fn ends(&self) -> &[Vec3; 2] {
        match self {
            Self::Rail(ends) | Self::Grid(ends) => ends,
        }
    }

    /// The directions in which a place may be chosen: from the first end, each
    /// as long as the room.
    fn directions(&self) -> Vec<Vec3> {
        let [a, b] = self.ends();
        let whole = b - a;
        match self {
            Self::Rail(_) => vec![whole],
            Self::Grid(_) => vec![
                Vec3::new(whole.x, 0.0, whole.z),
                Vec3::new(0.0, whole.y, 0.0),
            ],
        }
    }
}

/// Result of balancing.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct BalanceResult {
    /// Lift wanted when done, kg: 0 is neutral.
    pub wanted_lift_kg: f64,
    /// First and last place that it may go to, m.
    pub room_m: [[f64; 3]; 2],
    /// Whether the room is a rectangle between those corners, not a line.
    pub is_grid: bool,
    /// What to add: `lead`, `foam` (lead would not do: it is too heavy) or
    /// `nothing`.
    pub material: Material,
    /// How much of it, kg.
    pub mass_kg: f64,
    /// Its volume, m³.
    pub volume_m3: f64,
    /// Where in one piece, m; the nearest place of the room where the right one
    /// lies outside. `None` with nothing to add.
    pub at_m: Option<[f64; 3]>,
    /// Whether the craft is level with it there, along what the room lets be
    /// chosen.
    pub levels: bool,
    /// The place that would level it, m, wherever that is.
    pub right_place_m: Option<[f64; 3]>,
    /// The craft with it there.
    pub hangs: Hangs,
    /// On a rail: a piece at each end instead, which levels it along the rail.
    pub ends: Option<[EndPiece; 2]>,
    /// The craft with those.
    pub hangs_with_ends: Option<Hangs>,
}

/// What ballast is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Material {
    /// Lead.
    Lead,
    /// Foam.
    Foam,
    /// Nothing is needed.
    Nothing,
}

/// A piece of ballast at an end of the rail.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct EndPiece {
    /// Where, m.
    pub at_m: [f64; 3],
    /// Of what.
    pub material: Material,
    /// kg.
    pub mass_kg: f64,
    /// m³.
    pub volume_m3: f64,
}

/// How a craft hangs in the water.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct Hangs {
    /// What it weighs under water, kg: positive sinks, negative lifts.
    pub weight_in_water_kg: f64,
    /// Height of CB over CG with the craft level, m: negative turns over.
    pub gap_m: f64,
    /// Heel at rest, starboard down positive, deg; absent where CB and CG are
    /// one point and it stays as it is put.
    pub heel_deg: Option<f64>,
    /// Pitch at rest, bow up positive, deg.
    pub pitch_deg: Option<f64>,
}

impl Hangs {
    pub(super) fn of(craft: &Flooded) -> Self {
        let plane = craft.up_at_rest().map(|up| WaterPlane { up, level_m: 0.0 });
        Self {
            weight_in_water_kg: craft.weight_in_water_kg(),
            gap_m: craft.lever_m().z,
            heel_deg: plane.map(|plane| plane.heel_deg()),
            pitch_deg: plane.map(|plane| plane.pitch_deg()),
        }
    }
}

/// A weight in water (kg, negative lifts) as a piece of lead or foam.
#[derive(Debug, Clone, Copy)]
struct Piece {
    material: Material,
    mass_kg: f64,
    volume_m3: f64,
}

impl Piece {
    /// `weight = volume (ρ_material − ρ_water)`.
    fn weighing(weight_kg: f64, water_kg_m3: f64, foam_kg_m3: f64) -> Self {
        let (material, density) = match weight_kg {
            w if w.abs() < NOTHING_KG => (Material::Nothing, LEAD_KG_M3),
            w if w > 0.0 => (Material::Lead, LEAD_KG_M3),
            _ => (Material::Foam, foam_kg_m3),
        };
        let volume_m3 = weight_kg / (density - water_kg_m3);
        Self {
            material,
            mass_kg: volume_m3 * density,
            volume_m3,
        }
    }

    fn on(&self, craft: &Flooded, water_kg_m3: f64, at_m: &Vec3) -> Flooded {
        craft.with(self.mass_kg, self.volume_m3 * water_kg_m3, at_m)
    }

    fn at(&self, place: &Vec3) -> EndPiece {
        EndPiece {
            at_m: (*place).into(),
            material: self.material,
            mass_kg: self.mass_kg,
            volume_m3: self.volume_m3,
        }
    }
}

/// Densities that ballast is weighed with, kg/m³.
#[derive(Debug, Clone, Copy)]
pub(super) struct Densities {
    pub(super) water: f64,
    pub(super) foam: f64,
}

/// Finds ballast for a craft that is to lift `wanted_lift_kg` and hang level.
///
/// In one piece: with `m` its mass, `d` the water it displaces, `M`, `D` the
/// craft's, CG and CB lie over each other where
/// `(M G + m p)/(M + m) = (D B + d p)/(D + d)`, linear in the place `p`. On a
/// rail its one free share is the one that brings the two nearest.
pub(super) fn balance(
    craft: &Flooded,
    wanted_lift_kg: f64,
    room: &Room,
    densities: Densities,
) -> BalanceResult {
    let to_add = -craft.weight_in_water_kg() - wanted_lift_kg;
    let piece = Piece::weighing(to_add, densities.water, densities.foam);
    let [from, to] = *room.ends();
    let (mut at, mut right) = (None, None);
    let mut levels = horizontal(&craft.lever_m()).norm() < LEVEL_WITHIN_M;
    let mut done = *craft;
    if piece.material != Material::Nothing {
        let lever_at = |p: &Vec3| horizontal(&piece.on(craft, densities.water, p).lever_m());
        let start = lever_at(&from);
        let directions = room.directions();
        let slopes: Vec<Vector2<f64>> = directions
            .iter()
            .map(|direction| lever_at(&(from + direction)) - start)
            .collect();
        let shares = shares(&start, &slopes);
        let place = |shares: &[f64]| {
            directions
                .iter()
                .zip(shares)
                .fold(from, |at, (direction, share)| at + direction * *share)
        };
        let inside: Vec<f64> = shares.iter().map(|share| share.clamp(0.0, 1.0)).collect();
        levels = shares
            .iter()
            .zip(&inside)
            .all(|(share, kept)| (share - kept).abs() < 1e-9);
        let kept = place(&inside);
        done = piece.on(craft, densities.water, &kept);
        at = Some(kept.into());
        right = Some(place(&shares).into());
    }
    let ends = match room {
        Room::Rail(_) => end_pieces(craft, to_add, &[from, to], densities),
        Room::Grid(_) => None,
    };
    BalanceResult {
        wanted_lift_kg,
        room_m: [from.into(), to.into()],
        is_grid: matches!(room, Room::Grid(_)),
        material: piece.material,
        mass_kg: piece.mass_kg,
        volume_m3: piece.volume_m3,
        at_m: at,
        levels,
        right_place_m: right,
        hangs: Hangs::of(&done),
        hangs_with_ends: ends.as_ref().map(|(_, craft)| Hangs::of(craft)),
        ends: ends.map(|(pieces, _)| pieces),
    }
}

fn horizontal(v: &Vec3) -> Vector2<f64> {
    Vector2::new(v.x, v.y)
}

/// The shares of the directions that bring a lever nearest to nothing; 0 along a
/// direction that does not change it.
fn shares(start: &Vector2<f64>, slopes: &[Vector2<f64>]) -> Vec<f64> {
    if let [a, b] = slopes
        && let Some(inverse) = Matrix2::from_columns(&[*a, *b]).try_inverse()
    {
        let found = inverse * -start;
        return vec![found.x, found.y];
    }
    let mut rest = *start;
    slopes
        .iter()
        .map(|slope| {
            let square = slope.norm_squared();
            let share = if square > 0.0 {
                -rest.dot(slope) / square
            } else {
                0.0
            };
            rest += slope * share;
            share
        })
        .collect()
}

/// Pieces at both ends that add up to a weight in water and level the craft
/// along the rail: the first one's weight by bisection, since moving weight from
/// one end to the other only ever moves the lever one way. `None` for a rail
/// without length along x or y.
fn end_pieces(
    craft: &Flooded,
    to_add_kg: f64,
    ends: &[Vec3; 2],
    densities: Densities,
) -> Option<([EndPiece; 2], Flooded)> {
    let along = horizontal(&(ends[1] - ends[0]));
    if along.norm() < 1e-9 {
        return None;
    }
    let with = |first_kg: f64| {
        let pieces = [first_kg, to_add_kg - first_kg]
            .map(|weight| Piece::weighing(weight, densities.water, densities.foam));
        let first = pieces[0].on(craft, densities.water, &ends[0]);
        (pieces, pieces[1].on(&first, densities.water, &ends[1]))
    };
    // More at the first end moves CG to it and CB away: the lever along grows.
    let lever = |first_kg: f64| horizontal(&with(first_kg).1.lever_m()).dot(&along);
    let mut half = (to_add_kg.abs() + 1e-3 * craft.mass_kg).max(1e-3);
    let middle = to_add_kg / 2.0;
    let mut doublings = 0;
    while lever(middle - half) > 0.0 || lever(middle + half) < 0.0 {
        half *= 2.0;
        doublings += 1;
        if doublings > DOUBLINGS {
            return None;
        }
    }
    let balances = |first_kg: f64| Ok::<_, Infallible>(lever(first_kg) >= 0.0);
    let Ok([low, high]) = halved([middle - half, middle + half], HALVINGS, balances);
    let (pieces, done) = with(f64::midpoint(low, high));
    Some(([pieces[0].at(&ends[0]), pieces[1].at(&ends[1])], done))
}
