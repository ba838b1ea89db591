//! Stability on the way down: dry, filling, flooded at a level, dived.
use std::sync::Arc;

use nalgebra::{Matrix2, Vector2};
use serde::Serialize;

use super::body::has_volume;
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
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
#[derive(Debug, Clone, Serialize)]
pub struct WayLine {
    /// Which.
    pub state: WayState,
    /// Water loose inside while it fills, m³.
    pub water_inside_m3: Option<f64>,
    /// Where the water stands outside, on the boat's z axis, m.
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
}

impl WayLine {
    /// Whether it would fall over.
    #[must_use]
    pub fn turns_over(&self) -> bool {
        self.righting_transverse_n_m <= 0.0
    }

    /// The state in words.
    #[must_use]
    pub fn in_words(&self) -> String {
        let level = self
            .waterline_height_m
            .map_or_else(String::new, |z| format!("{:.0} mm", z * 1e3));
        match self.state {
            WayState::Dry => "dry, afloat".to_owned(),
            WayState::Filling => format!(
                "afloat with {:.0} L loose inside",
                self.water_inside_m3.unwrap_or(0.0) * 1e3
            ),
            WayState::FloodedHeld => format!("flooded, held with the water at z = {level}"),
            WayState::Dived => "dived".to_owned(),
        }
    }
}

/// A piece of ballast: mass (kg), volume (m³), place (m).
pub(super) type Piece = (f64, f64, Vec3);

/// Follows a boat with its ballast down: filling step by step as long as it
/// floats, then flooded and held at water levels from where it floated dry (from
/// its lowest point where it does not) to its highest point, then under.
///
/// # Errors
/// As [`find_rest`], but a craft too heavy to float dry starts flooded.
pub(super) fn way_down(
    boat: &Boat,
    ballast: &[Piece],
    gravity: &Vec3,
    density_kg_m3: f64,
) -> Result<Vec<WayLine>, EquilibriumError> {
    let unladen = Craft {
        density_kg_m3,
        ..Craft::without_fills(boat).with_fills_of(boat, |_, space| !space.free_flooding)
    };
    let dry = ballast.iter().fold(unladen, |craft, (mass_kg, _, at)| {
        craft.with_load(*mass_kg, at)
    });
    let solid = Solid::of(boat, ballast);
    let mut lines = filling(boat, &dry)?;
    let (lowest, high) = solid.reach_m().unwrap_or((0.0, 0.0));
    let low = lines
        .first()
        .and_then(|line| line.waterline_height_m)
        .map_or(lowest, |z| z.clamp(lowest, high));
    for step in 1..=LEVELS {
        let level_m = low + (high - low) * f64::from(step) / f64::from(LEVELS + 1);
        lines.push(solid.held(level_m, gravity, density_kg_m3, WayState::FloodedHeld));
    }
    let over = high + (high - lowest);
    lines.push(solid.held(over, gravity, density_kg_m3, WayState::Dived));
    Ok(lines)
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
    let mut lines = vec![afloat(dry, rest.plane(), 0.0)];
    // What comes in until it goes under, or is full.
    let reserve_m3 = dry.displacers.volume_m3() - dry.volume_to_displace_m3();
    let most_share = (reserve_m3 / room_m3).min(1.0);
    for step in 1..FILLS {
        let share = most_share * f64::from(step) / f64::from(FILLS);
        let loose = rooms.iter().map(|room| Liquid {
            space: room.clone(),
            volume_m3: share * room.volume_m3(),
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
        lines.push(afloat(&craft, found.plane(), share * room_m3));
        rest = found;
    }
    Ok(lines)
}

fn afloat(craft: &Craft, plane: &WaterPlane, water_m3: f64) -> WayLine {
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
        waterline_height_m: plane.waterline_height_m(),
        pitch_deg: Some(plane.pitch_deg()),
        righting_transverse_n_m: transverse * to_moment,
        righting_longitudinal_n_m: longitudinal * to_moment,
        gm_transverse_m: Some(transverse / at.immersion.volume_m3),
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
    fn of(boat: &Boat, ballast: &[Piece]) -> Self {
        let mut solid = Self {
            skins: Vec::new(),
            bodies: Vec::new(),
        };
        for (_, volume, at) in ballast.iter().filter(|(_, volume, _)| *volume > 0.0) {
            solid.push_body(*volume, at, &Vec3::repeat(volume.cbrt()));
        }
        for entry in &boat.masses {
            let Some(volume) = entry.solid_m3.filter(|volume| *volume > 0.0) else {
                continue;
            };
            if let Some(source) = entry.skin_of {
                let skin = faces_of(boat, source);
                let area = skin.area_m2();
                if area > 0.0 {
                    let tree = MomentTree::new(&skin, &[]);
                    solid.skins.push((volume / area, Arc::new(tree)));
                    continue;
                }
            }
            let size = entry
                .under_water
                .size_m
                .unwrap_or_else(|| Vec3::repeat(volume.cbrt()));
            solid.push_body(volume, &entry.volume_centre_m(), &size);
        }
        // Spaces that stay dry when dived; what stands in them displaces already.
        for space in boat
            .compartments
            .iter()
            .filter(|space| !space.free_flooding)
        {
            let share = space.capacity_m3() / space.surface().signed_volume_m3();
            let tree = space.tree();
            solid.bodies.push((share, tree));
        }
        for tank in boat
            .tanks
            .iter()
            .filter(|tank| !has_volume(boat, &tank.name))
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
    fn held(&self, level_m: f64, gravity: &Vec3, density: f64, state: WayState) -> WayLine {
        let to_moment = density * STANDARD_GRAVITY_M_S2 * DEGREE_RAD;
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
            state,
            water_inside_m3: None,
            waterline_height_m: (state == WayState::FloodedHeld).then_some(level_m),
            pitch_deg: None,
            righting_transverse_n_m: transverse * to_moment,
            righting_longitudinal_n_m: longitudinal * to_moment,
            gm_transverse_m: (volume > 0.0).then(|| transverse / volume),
        }
    }
}

/// The faces of the envelope from one source.
fn faces_of(boat: &Boat, source: FaceSource) -> Surface {
    let envelope = &boat.envelope;
    Surface {
        vertices: envelope.surface.vertices.clone(),
        faces: envelope
            .surface
            .faces
            .iter()
            .zip(&envelope.sources)
            .filter(|(_, from)| **from == source)
            .map(|(face, _)| *face)
            .collect(),
    }
}
