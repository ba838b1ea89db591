//! Stability on the way down: dry, filling, flooded at a level, dived.
use std::sync::Arc;

use nalgebra::{Matrix2, Vector2};
use schemars::JsonSchema;
use serde::Serialize;

use super::super::shared::cautions::When;
use super::super::shared::heads::{HeadLine, heads};
use super::body::{Body, Flooded, Under, covers_contents};
use crate::boat::{Boat, FaceSource};
use crate::equilibrium::{
    Craft, Displacers, EnergyAt, EquilibriumError, Hold, Liquid, find_rest, find_rest_from,
    space_of,
};
use crate::immersion::{MomentTree, WaterPlane};
use crate::mesh::{Surface, solids};
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};

/// Steps of the filling.
const FILLS: u32 = 12;
/// Water levels at which the flooded craft is held.
const LEVELS: u32 = 12;
/// Half the lean over which a flooded craft's stiffness is taken, rad (1°): its
/// skin cut by the water is a thin line whose corners would jump otherwise.
const LEAN_RAD: f64 = 0.017_453_3;
/// Lean for which a stiffness is given, rad (1°).
const DEGREE_RAD: f64 = std::f64::consts::PI / 180.0;

/// How the craft is on its way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum WayState {
    /// Afloat without water inside.
    Dry,
    /// Afloat with water loose inside, its openings still shut.
    Filling,
    /// Water inside as high as outside, held at a level by a force through its
    /// centre of gravity.
    FloodedHeld,
    /// Wholly under water and flooded.
    Dived,
}

/// One state on the way down.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct WayLine {
    /// Which.
    pub state: WayState,
    /// Water loose inside while it fills, m³.
    pub water_inside_m3: Option<f64>,
    /// Where the water stands outside, on a line along the boat's z through the
    /// middle of the hull's box, m.
    pub waterline_height_m: Option<f64>,
    /// Pitch while it floats by itself, bow up positive, deg.
    pub pitch_deg: Option<f64>,
    /// Moment that a lean of one degree to a side calls up, N m: negative
    /// turns it over.
    pub righting_transverse_n_m: f64,
    /// The same fore and aft.
    pub righting_longitudinal_n_m: f64,
    /// Metacentric height across, loose water counted, m: that moment over the
    /// weight that is held up and the angle; `None` with nothing held up.
    pub gm_transverse_m: Option<f64>,
    /// The heads of those aboard above the water, until it is dived.
    pub heads: Vec<HeadLine>,
}

impl WayLine {
    /// Whether it would fall over.
    #[must_use]
    pub fn turns_over(&self) -> bool {
        self.righting_transverse_n_m <= 0.0
    }

    /// The state with its figure.
    #[must_use]
    pub fn when(&self) -> When {
        match self.state {
            WayState::Dry => When::DryAfloat,
            WayState::Filling => When::Filling {
                water_inside_m3: self.water_inside_m3.unwrap_or(0.0),
            },
            WayState::FloodedHeld => When::FloodedHeld {
                waterline_height_m: self.waterline_height_m,
            },
            WayState::Dived => When::Dived,
        }
    }
}

/// A piece of ballast: mass (kg), volume (m³), place (m).
pub(super) type Piece = (f64, f64, Vec3);

/// What goes down, and to where.
pub(super) struct Way<'a> {
    pub(super) body: &'a Body<'a>,
    pub(super) ballast: &'a [Piece],
    /// The depth of its end, the water, and what is used up of the air.
    pub(super) under: &'a Under<'a>,
    /// The craft at its end, ballast aboard.
    pub(super) dived: &'a Flooded,
}

/// Follows a boat with its ballast down: filling step by step as long as it
/// floats, then flooded and held at water levels from where it floated dry (from
/// its lowest point where it does not) to its highest point, then dived to the
/// depth. Until then it is at the surface, so nothing is squeezed. No state comes
/// twice.
///
/// # Errors
/// As [`find_rest`], but a craft too heavy to float dry starts flooded.
pub(super) fn way_down(way: &Way<'_>) -> Result<Vec<WayLine>, EquilibriumError> {
    let Way { body, ballast, .. } = way;
    let boat = body.boat;
    let as_filled = Craft::without_fills(boat).with_fills_of(boat, |_, space| !space.free_flooding);
    let breathed = boat.masses.iter().fold(as_filled, |craft, entry| {
        let used_kg = entry.mass_kg - entry.mass_with_used_kg(way.under.used_share);
        if used_kg > 0.0 {
            craft.with_load(-used_kg, &entry.centre_m)
        } else {
            craft
        }
    });
    let dry = ballast.iter().fold(breathed, |craft, (mass_kg, _, at)| {
        craft.with_load(*mass_kg, at)
    });
    let solid = Solid::of(body, ballast);
    let mut lines = filling(boat, &dry)?;
    let (lowest, high) = solid.reach_m().unwrap_or((0.0, 0.0));
    let low = lines
        .first()
        .and_then(|line| line.waterline_height_m)
        .map_or(lowest, |z| z.clamp(lowest, high));
    let gravity = way.dived.centre_of_gravity_m();
    let levels = (1..=LEVELS).map(|step| {
        let level_m = low + (high - low) * f64::from(step) / f64::from(LEVELS + 1);
        solid.held(level_m, &gravity, boat)
    });
    for line in levels.chain([dived(way.dived)]) {
        push_new(&mut lines, line);
    }
    Ok(lines)
}

/// Adds a state, unless one that reads the same was told before.
fn push_new(lines: &mut Vec<WayLine>, line: WayLine) {
    // As it is told: whole litres, whole millimetres.
    let told = |line: &WayLine| {
        let whole = |m: Option<f64>| m.map(|m| (m * 1e3).round_ties_even().to_bits());
        let figure = match line.state {
            WayState::Filling => whole(line.water_inside_m3),
            WayState::FloodedHeld => whole(line.waterline_height_m),
            WayState::Dry | WayState::Dived => None,
        };
        (line.state, figure)
    };
    if lines.iter().all(|before| told(before) != told(&line)) {
        lines.push(line);
    }
}

/// Wholly under: the couple of weight and lift, the same along and across.
fn dived(craft: &Flooded) -> WayLine {
    let gap_m = craft.lever_m().z;
    let moment = craft.displaced_kg * STANDARD_GRAVITY_M_S2 * gap_m * DEGREE_RAD;
    WayLine {
        state: WayState::Dived,
        water_inside_m3: None,
        waterline_height_m: None,
        pitch_deg: None,
        righting_transverse_n_m: moment,
        righting_longitudinal_n_m: moment,
        gm_transverse_m: (craft.displaced_kg > 0.0).then_some(gap_m),
        heads: Vec::new(),
    }
}

/// Afloat with ever more loose water inside, an even share of the room of every
/// compartment that floods when dived.
fn filling(boat: &Boat, dry: &Craft) -> Result<Vec<WayLine>, EquilibriumError> {
    let rooms: Vec<Displacers> = boat
        .compartments
        .iter()
        .filter(|space| space.free_flooding && !space.flooded)
        .map(space_of)
        .collect();
    let room_m3: f64 = rooms.iter().map(Displacers::volume_m3).sum();
    let mut rest = match find_rest(dry, &Vec3::z(), Hold::Heel) {
        Ok(rest) => rest,
        Err(EquilibriumError::Sinks { .. }) => return Ok(Vec::new()),
        Err(other) => return Err(other),
    };
    let mut lines = vec![afloat(boat, dry, rest.plane(), 0.0)];
    // What comes in until it goes under, or is full.
    let reserve_m3 = dry.displacers.volume_m3() - dry.volume_to_displace_m3();
    let most_m3 = reserve_m3.min(room_m3);
    if most_m3 <= 0.0 {
        return Ok(lines);
    }
    for step in 1..FILLS {
        let water_m3 = most_m3 * f64::from(step) / f64::from(FILLS);
        let loose = rooms.iter().map(|room| Liquid {
            space: room.clone(),
            volume_m3: water_m3 * room.volume_m3() / room_m3,
            stands_in: None,
            relative_density: 1.0,
            surface_near_m: None,
        });
        let craft = Craft {
            liquids: dry.liquids.iter().cloned().chain(loose).collect(),
            ..dry.clone()
        };
        // Water may run to an end and stand the craft on it: the rest is quick.
        let found = find_rest_from(&craft, rest.plane(), Hold::Heel)
            .ok()
            .filter(|rest| rest.plane().up.z > 0.5);
        let Some(found) = found else { break };
        push_new(&mut lines, afloat(boat, &craft, found.plane(), water_m3));
        rest = found;
    }
    Ok(lines)
}

/// Height at which a plane cuts the line along z through the middle of the hull, m.
fn height_in_the_middle_m(boat: &Boat, plane: &WaterPlane) -> f64 {
    let (lo, hi) = boat.hull_box_m;
    let middle = (lo + hi) / 2.0;
    middle.z - plane.height_m(&middle) / plane.up.z
}

fn afloat(boat: &Boat, craft: &Craft, plane: &WaterPlane, water_m3: f64) -> WayLine {
    let at = craft.energy_at(plane);
    let [longitudinal, transverse] = [1, 2].map(|variable| stiffness_m4(&at, variable));
    let to_moment = craft.density_kg_m3 * STANDARD_GRAVITY_M_S2 * DEGREE_RAD;
    WayLine {
        state: if water_m3 > 0.0 {
            WayState::Filling
        } else {
            WayState::Dry
        },
        water_inside_m3: Some(water_m3),
        waterline_height_m: Some(height_in_the_middle_m(boat, plane)),
        pitch_deg: Some(plane.pitch_deg()),
        righting_transverse_n_m: transverse * to_moment,
        righting_longitudinal_n_m: longitudinal * to_moment,
        gm_transverse_m: Some(transverse / at.immersion.volume_m3),
        heads: heads(boat, plane),
    }
}

/// Curvature of the energy along one tilt with the level and the other tilt
/// following (Schur complement), m⁴. The level alone where the other tilt is
/// itself unstable.
fn stiffness_m4(at: &EnergyAt, variable: usize) -> f64 {
    let c = &at.curvature;
    let other = 3 - variable;
    let followers = Matrix2::new(c[(0, 0)], c[(0, other)], c[(other, 0)], c[(other, other)]);
    let coupling = Vector2::new(c[(0, variable)], c[(other, variable)]);
    let own = c[(variable, variable)];
    match followers.cholesky() {
        Some(cholesky) => own - coupling.dot(&cholesky.solve(&coupling)),
        None => own - coupling.x * coupling.x / c[(0, 0)],
    }
}

/// Everything that displaces when water is on both sides of the skin.
struct Solid {
    /// Skins: thickness (m) over a set of faces.
    skins: Vec<(f64, Arc<MomentTree>)>,
    /// Other things: share of a body's volume that is theirs.
    bodies: Vec<(f64, Arc<MomentTree>)>,
}

impl Solid {
    fn of(body: &Body<'_>, ballast: &[Piece]) -> Self {
        let boat = body.boat;
        let mut solid = Self {
            skins: Vec::new(),
            bodies: Vec::new(),
        };
        for (_, volume, at) in ballast.iter().filter(|(_, volume, _)| *volume > 0.0) {
            solid.push_body(*volume, at, &Vec3::repeat(volume.cbrt()));
        }
        for (entry, wet) in body.things() {
            let Some(volume) = entry.solid_m3.filter(|volume| *volume > 0.0) else {
                continue;
            };
            if wet.share == 0.0 {
                continue;
            }
            if let Some(source) = entry.skin_of {
                let all_m2 = boat.envelope.faces_of(source).area_m2();
                if all_m2 > 0.0 {
                    for skin in wet_skin(boat, source) {
                        let tree = MomentTree::new(&skin, &[]);
                        solid.skins.push((volume / all_m2, Arc::new(tree)));
                    }
                    continue;
                }
            }
            let size = entry
                .under_water
                .size_m
                .unwrap_or_else(|| Vec3::repeat(volume.cbrt()));
            solid.push_body(volume, &entry.volume_centre_m(), &size);
        }
        for space in body.dry_spaces() {
            solid.bodies.push((1.0, space.tree()));
        }
        for tank in boat
            .tanks
            .iter()
            .filter(|tank| !covers_contents(boat, &tank.name))
        {
            let share = tank.volume_m3 / tank.inside.signed_volume_m3();
            let tree = MomentTree::new(&tank.inside, &[]);
            solid.bodies.push((share, Arc::new(tree)));
        }
        solid
    }

    /// A volume spread evenly over a box round its middle.
    fn push_body(&mut self, volume_m3: f64, middle_m: &Vec3, size_m: &Vec3) {
        let body = solids::cuboid(middle_m - size_m / 2.0, middle_m + size_m / 2.0);
        let share = volume_m3 / (size_m.x * size_m.y * size_m.z);
        let tree = MomentTree::new(&body, &[]);
        self.bodies.push((share, Arc::new(tree)));
    }

    /// Least and greatest height, m.
    fn reach_m(&self) -> Option<(f64, f64)> {
        self.skins
            .iter()
            .chain(&self.bodies)
            .filter_map(|(_, tree)| tree.reach_m(&Vec3::z()))
            .reduce(|(low, high), (l, h)| (low.min(l), high.max(h)))
    }

    /// Volume under a plane and its moment about a point, m³ and m⁴.
    fn under(&self, plane: &WaterPlane, about_m: &Vec3) -> (f64, Vec3) {
        let mut volume = 0.0;
        let mut moment = Vec3::zeros();
        for (thickness, tree) in &self.skins {
            let wet = tree.immerse(plane);
            volume += thickness * wet.wetted_area_m2;
            moment += (wet.wetted_moment_m3 + (wet.reference_m - about_m) * wet.wetted_area_m2)
                * *thickness;
        }
        for (share, tree) in &self.bodies {
            let wet = tree.immerse(plane);
            volume += share * wet.volume_m3;
            moment += (wet.volume_moment_m4 + (wet.reference_m - about_m) * wet.volume_m3) * *share;
        }
        (volume, moment)
    }

    /// Level and held: the energy's second difference. With the depth of the
    /// centre of gravity `G` kept, `de/dθ = −across · ∫(x − G) dV`.
    fn held(&self, level_m: f64, gravity: &Vec3, boat: &Boat) -> WayLine {
        let to_moment = boat.water.density_kg_m3 * STANDARD_GRAVITY_M_S2 * DEGREE_RAD;
        let depth = level_m - gravity.z;
        let lever = |across: &Vec3, angle: f64| {
            let up = Vec3::z() * angle.cos() + across * angle.sin();
            let over = across * angle.cos() - Vec3::z() * angle.sin();
            let plane = WaterPlane {
                up,
                level_m: up.dot(gravity) + depth,
            };
            over.dot(&self.under(&plane, gravity).1)
        };
        let [transverse, longitudinal] = [Vec3::y(), Vec3::x()].map(|across| {
            (lever(&across, -LEAN_RAD) - lever(&across, LEAN_RAD)) / (2.0 * LEAN_RAD)
        });
        let plane = WaterPlane {
            up: Vec3::z(),
            level_m,
        };
        let (volume, _) = self.under(&plane, gravity);
        WayLine {
            state: WayState::FloodedHeld,
            water_inside_m3: None,
            waterline_height_m: Some(level_m),
            pitch_deg: None,
            righting_transverse_n_m: transverse * to_moment,
            righting_longitudinal_n_m: longitudinal * to_moment,
            gm_transverse_m: (volume > 0.0).then(|| transverse / volume),
            heads: heads(boat, &plane),
        }
    }
}

/// The skin from one source that has water on both sides: all of it, or that which
/// bounds spaces that flood.
fn wet_skin(boat: &Boat, source: FaceSource) -> Vec<Surface> {
    if boat.compartments.iter().all(|space| space.free_flooding) {
        return vec![boat.envelope.faces_of(source)];
    }
    let wet = boat.compartments.iter().filter(|space| space.free_flooding);
    wet.map(|space| space.skin_of(source)).collect()
}
