//! The craft wholly under water and flooded: what it weighs there, how it hangs,
//! what lead it needs, and how it gets there. Water inside adds mass and no
//! weight.
use std::convert::Infallible;

use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::hydrostatics::coordinates;
use crate::boat::Boat;
use crate::equilibrium::EquilibriumError;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3, halved};
use crate::quantity::Sentence;
use crate::water::{ATMOSPHERE_PA, Water};

mod body;
mod cautions;
mod lead;
mod things;
mod way_down;

use body::{Body, Flooded, Under};
use cautions::cautions;
use lead::{Densities, balance};
use things::{things, without_volume};
use way_down::{Piece, Way, way_down};

pub use lead::{BalanceResult, EndPiece, FOAM_KG_M3, Hangs, LEAD_KG_M3, Material, Room};
pub use things::ThingLine;
pub use way_down::{WayLine, WayState};

/// Least height of CB over CG asked of a dived craft, m: 50 mm, borrowed at second hand
/// from the rules of Germanischer Lloyd for manned submersibles (stability submerged, as
/// told in a builders' mailing list of December 2013; the rule itself was not read). No
/// rule covers a craft of this kind.
pub const LEAST_GAP_M: f64 = 0.05;
/// Lift wanted when none is asked for, kg: slightly buoyant, so that a craft left
/// alone comes up. Ours, no source.
pub const WANTED_LIFT_KG: f64 = 0.5;
/// Depths of the card when none are asked for, m.
const DEPTHS_M: [f64; 4] = [0.0, 5.0, 10.0, 20.0];
/// Which way the cylinders stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CylinderState {
    /// As filled.
    Full,
    /// Down to the reserve.
    Reserve,
}

impl CylinderState {
    fn used_share(self) -> f64 {
        match self {
            Self::Full => 0.0,
            Self::Reserve => 1.0,
        }
    }
}

/// What [`dive`] is asked for.
#[derive(Debug, Clone)]
pub struct DiveOptions {
    /// Depth that the craft is trimmed for, m.
    pub depth_m: f64,
    /// State of the cylinders that it is trimmed for.
    pub cylinders: CylinderState,
    /// Lift wanted when trimmed, kg: 0 is neutral.
    pub buoyant_kg: f64,
    /// Where ballast may go; without, the centre line from end to end, along the
    /// keel for lead and along the top for foam.
    pub room: Option<Room>,
    /// Density of the foam that is counted where lead will not do, kg/m³.
    pub foam_kg_m3: f64,
    /// Depths of the card, m.
    pub depths_m: Vec<f64>,
    /// Waters of the card, each with its name.
    pub waters: Vec<(String, Water)>,
    /// Least height of CB over CG asked for, m.
    pub least_gap_m: f64,
}

impl Default for DiveOptions {
    fn default() -> Self {
        Self {
            depth_m: 0.0,
            cylinders: CylinderState::Reserve,
            buoyant_kg: WANTED_LIFT_KG,
            room: None,
            foam_kg_m3: FOAM_KG_M3,
            depths_m: DEPTHS_M.to_vec(),
            waters: usual_waters(),
            least_gap_m: LEAST_GAP_M,
        }
    }
}

/// Pool, lake and sea: 27 °C without salt, 10 °C without salt, 15 °C with 35 g/kg.
fn usual_waters() -> Vec<(String, Water)> {
    let water = |name: &str, salinity, temperature| {
        let water = Water::from_salinity(salinity, temperature).ok()?;
        Some((name.to_owned(), water))
    };
    [
        ("pool", 0.0, 27.0),
        ("lake", 0.0, 10.0),
        ("sea", 35.0, 15.0),
    ]
    .into_iter()
    .filter_map(|(name, salinity, temperature)| water(name, salinity, temperature))
    .collect()
}

/// Result of [`dive`]. Points are `[x, y, z]` in the boat frame, m; a weight in
/// water is positive where it sinks.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct DiveResult {
    /// Where the water's density comes from.
    pub water: Sentence,
    /// kg/m³.
    pub water_density_kg_m3: f64,
    /// Depth that it is trimmed for, m.
    pub depth_m: f64,
    /// Pressure there over the surface's, Pa.
    pub pressure_over_surface_pa: f64,
    /// State of the cylinders that it is trimmed for; absent without any.
    pub cylinders: Option<CylinderState>,
    /// Mass without the water inside, kg.
    pub mass_kg: f64,
    /// Volume of solid and sealed things, m³.
    pub displaced_volume_m3: f64,
    /// Mass of that much water, kg.
    pub displacement_kg: f64,
    /// Centre of gravity without the water inside, m.
    pub centre_of_gravity_m: [f64; 3],
    /// Centre of buoyancy, m; absent where nothing displaces.
    pub centre_of_buoyancy_m: Option<[f64; 3]>,
    /// How it hangs as it is.
    pub hangs: Hangs,
    /// How far off every weight in water of the whole craft may be, ± kg: persons
    /// whose volume is not given.
    pub weight_in_water_spread_kg: f64,
    /// Moment that a lean of one degree out of that calls up, N m.
    pub righting_n_m_per_deg: f64,
    /// Where one push (down where it lifts) would hold it level, m.
    pub level_push_at_m: Option<[f64; 3]>,
    /// Room inside that the water fills, m³.
    pub entrained_water_m3: f64,
    /// Mass with that water, which is what has to be started and stopped, kg.
    pub mass_with_water_kg: f64,
    /// What the craft is made of.
    pub things: Vec<ThingLine>,
    /// Lead or foam that trims it.
    pub balance: BalanceResult,
    /// Centre of gravity with the ballast, m.
    pub trimmed_centre_of_gravity_m: [f64; 3],
    /// Centre of buoyancy with the ballast, m.
    pub trimmed_centre_of_buoyancy_m: Option<[f64; 3]>,
    /// Water by cylinder by depth.
    pub card: Vec<CardLine>,
    /// Soft gas bag that holds it up at a depth; empty where it lifts.
    pub bags: Vec<BagLine>,
    /// Every air cylinder.
    pub air: Vec<AirLine>,
    /// Stability from dry to dived, with the ballast aboard.
    pub way_down: Vec<WayLine>,
    /// The number of the weakest of those, from 0.
    pub weakest: Option<usize>,
    /// Height of CB over CG with the ballast, in each state of the cylinders.
    pub gaps: Vec<StateGap>,
    /// Depth from which the craft sinks with its ballast, since what gives way shrinks, m;
    /// null where it lifts down to the deepest of the card, or sinks where it is trimmed.
    pub sinks_from_m: Option<f64>,
    /// Least height of CB over CG asked for, m.
    pub least_gap_m: f64,
    /// Whether it is reached in each of those states.
    pub gap_reached: bool,
    /// Things whose volume is not known.
    pub without_volume: Vec<String>,
}

/// How CB stands over CG in a state of the cylinders.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct StateGap {
    /// Absent without any cylinder.
    pub cylinders: Option<CylinderState>,
    /// Height of CB over CG, level, with the ballast that trims the craft, m.
    pub gap_m: f64,
    /// What the craft weighs in water then, kg; positive where it sinks.
    pub weight_in_water_kg: f64,
}

impl DiveResult {
    /// The state of the cylinders in which CB stands least over CG.
    #[must_use]
    pub fn least_gap(&self) -> Option<StateGap> {
        let gaps = self.gaps.iter().copied();
        gaps.min_by(|a, b| a.gap_m.total_cmp(&b.gap_m))
    }

    /// The craft with its ballast and full cylinders, where it was trimmed for cylinders
    /// with less in them.
    #[must_use]
    pub fn full_when_trimmed_for_less(&self) -> Option<StateGap> {
        let trimmed_full = self
            .cylinders
            .is_none_or(|state| state == CylinderState::Full);
        let mut gaps = self.gaps.iter().filter(|_| !trimmed_full).copied();
        gaps.find(|gap| gap.cylinders == Some(CylinderState::Full))
    }
}

/// One line of the card.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct CardLine {
    /// Which water.
    pub water: String,
    /// kg/m³.
    pub water_density_kg_m3: f64,
    /// State of the cylinders; absent without any.
    pub cylinders: Option<CylinderState>,
    /// m.
    pub depth_m: f64,
    /// Pressure there over the surface's, Pa.
    pub pressure_over_surface_pa: f64,
    /// The craft as it is, without lead or foam added, kg.
    pub weight_in_water_kg: f64,
    /// Lead that trims it here, kg; zero where foam is needed.
    pub lead_kg: f64,
    /// Foam that trims it here, m³; zero where lead is needed.
    pub foam_m3: f64,
    /// Where in one piece, m.
    pub at_m: Option<[f64; 3]>,
    /// Whether it is level then.
    pub levels: bool,
    /// The craft with the ballast it was trimmed with, unchanged.
    pub with_ballast: Hangs,
}

/// A gas bag that holds the craft up at a depth.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct BagLine {
    /// m.
    pub depth_m: f64,
    /// What the craft weighs there, kg.
    pub weight_in_water_kg: f64,
    /// Gas needed there, m³.
    pub volume_m3: f64,
    /// The same gas at the surface, m³: what a bag filled there and closed must
    /// hold.
    pub surface_volume_m3: f64,
    /// Lift left over at the surface then, kg.
    pub surface_lift_kg: f64,
}

/// An air cylinder in the trimmed craft.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct AirLine {
    /// Its name.
    pub name: String,
    /// Mass of the air when full, kg.
    pub air_full_kg: f64,
    /// Mass of the air that is used down to the reserve, kg.
    pub air_used_kg: f64,
    /// Its centre now, m.
    pub at_m: [f64; 3],
    /// Pitch of the trimmed craft when full less when at the reserve, deg.
    pub pitch_change_deg: f64,
    /// The same for heel, deg.
    pub heel_change_deg: f64,
    /// Where its centre would have to be along x and y so that emptying it
    /// leaves a level craft level, everything else left where it is, m: over the
    /// centre of gravity of everything else.
    pub steady_at_m: [f64; 2],
}

/// Weighs a boat under water, trims it, and follows it down.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::{DiveOptions, dive}};
///
/// let boat = Boat::load("meshes/dabchick/sledge.toml".as_ref())?;
/// let gap = dive(&boat, &DiveOptions::default())?.least_gap().ok_or("no state")?;
/// println!("CB over CG by {:.0} mm at least", gap.gap_m * 1e3);
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// [`EquilibriumError::NoMass`] where the boat weighs nothing; those of a craft
/// afloat on the way down.
pub fn dive(boat: &Boat, options: &DiveOptions) -> Result<Answer<DiveResult>, EquilibriumError> {
    if boat.mass_kg() <= 0.0 {
        return Err(EquilibriumError::NoMass {
            mass_kg: boat.mass_kg(),
        });
    }
    let has_air = boat
        .masses
        .iter()
        .any(|entry| entry.under_water.air.is_some());
    let under = Under {
        water: &boat.water,
        depth_m: options.depth_m,
        used_share: options.cylinders.used_share(),
    };
    let density = boat.water.density_kg_m3;
    let body = Body::of(boat);
    let craft = Flooded::of(&body, &under);
    let too_heavy = craft.weight_in_water_kg() + options.buoyant_kg > 0.0;
    let room = options.room.unwrap_or_else(|| centre_line(boat, too_heavy));
    let balanced = balanced(&craft, options, &room, &boat.water);
    let trimmed = Trimmed::of(&balanced);
    let with_ballast = trimmed.on(&craft, density);
    let things = things(&body, &under);
    let states = cylinder_states(has_air);
    let gaps = gaps(&body, &under, &trimmed, states);
    let lines = way_down(&Way {
        body: &body,
        ballast: &trimmed.pieces,
        under: &under,
        dived: &with_ballast,
    })?;
    let over_pa = boat.water.pressure_over_surface_pa(options.depth_m);
    let entrained_water_m3 = body.entrained_water_m3();
    let lever = craft.lever_m().norm();
    let result = DiveResult {
        water: boat.water.about.clone(),
        water_density_kg_m3: density,
        depth_m: options.depth_m,
        pressure_over_surface_pa: over_pa,
        cylinders: has_air.then_some(options.cylinders),
        mass_kg: craft.mass_kg,
        displaced_volume_m3: craft.displaced_kg / density,
        displacement_kg: craft.displaced_kg,
        centre_of_gravity_m: coordinates(craft.centre_of_gravity_m()),
        centre_of_buoyancy_m: craft.centre_of_buoyancy_m().map(coordinates),
        hangs: Hangs::of(&craft),
        weight_in_water_spread_kg: body.displaced_spread_kg(),
        righting_n_m_per_deg: craft.displaced_kg
            * STANDARD_GRAVITY_M_S2
            * lever
            * 1.0_f64.to_radians(),
        level_push_at_m: craft.weight_in_water_at_m().map(coordinates),
        entrained_water_m3,
        mass_with_water_kg: craft.mass_kg + entrained_water_m3 * density,
        things,
        trimmed_centre_of_gravity_m: coordinates(with_ballast.centre_of_gravity_m()),
        trimmed_centre_of_buoyancy_m: with_ballast.centre_of_buoyancy_m().map(coordinates),
        card: card(&body, options, &room, &trimmed, states),
        bags: bags(&body, options),
        air: air_lines(&body, &under, &trimmed),
        balance: balanced,
        weakest: weakest(&lines),
        way_down: lines,
        sinks_from_m: sinks_from_m(&body, options, &under, &trimmed),
        least_gap_m: options.least_gap_m,
        gap_reached: gaps.iter().all(|gap| gap.gap_m >= options.least_gap_m),
        gaps,
        without_volume: without_volume(&body),
    };
    let cautions = cautions(boat, options, &result);
    Ok(Answer::of(boat, result, cautions))
}

/// Depth past which the trimmed craft sinks, m: what gives way only shrinks on the way down.
fn sinks_from_m(
    body: &Body,
    options: &DiveOptions,
    under: &Under<'_>,
    trimmed: &Trimmed,
) -> Option<f64> {
    /// Halvings of the card's depths: to millimetres.
    const HALVINGS: usize = 16;
    let sinks = |depth_m: f64| {
        let there = Under { depth_m, ..*under };
        let craft = trimmed.on(&Flooded::of(body, &there), under.water.density_kg_m3);
        craft.weight_in_water_kg() > 0.0
    };
    let deepest_m = options.depths_m.iter().copied().fold(0.0, f64::max);
    if deepest_m <= under.depth_m || sinks(under.depth_m) || !sinks(deepest_m) {
        return None;
    }
    let past = |depth_m: f64| Ok::<_, Infallible>(sinks(depth_m));
    let Ok([_, from_m]) = halved([under.depth_m, deepest_m], HALVINGS, past);
    Some(from_m)
}

/// What balances a flooded craft in some water.
fn balanced(craft: &Flooded, options: &DiveOptions, room: &Room, water: &Water) -> BalanceResult {
    let densities = Densities {
        water: water.density_kg_m3,
        foam: options.foam_kg_m3,
    };
    balance(craft, options.buoyant_kg, room, densities)
}

/// The states that air cylinders are looked at in.
fn cylinder_states(has_air: bool) -> &'static [Option<CylinderState>] {
    if has_air {
        &[Some(CylinderState::Full), Some(CylinderState::Reserve)]
    } else {
        &[None]
    }
}

/// CB over CG of the trimmed craft in each state.
fn gaps(
    body: &Body,
    under: &Under<'_>,
    trimmed: &Trimmed,
    states: &[Option<CylinderState>],
) -> Vec<StateGap> {
    let gap = |state: &Option<CylinderState>| {
        let here = Under {
            used_share: state.map_or(under.used_share, CylinderState::used_share),
            ..*under
        };
        let craft = trimmed.on(&Flooded::of(body, &here), under.water.density_kg_m3);
        StateGap {
            cylinders: *state,
            gap_m: craft.lever_m().z,
            weight_in_water_kg: craft.weight_in_water_kg(),
        }
    };
    states.iter().map(gap).collect()
}

/// What each water, state of the cylinders and depth asks for.
fn card(
    body: &Body,
    options: &DiveOptions,
    room: &Room,
    trimmed: &Trimmed,
    states: &[Option<CylinderState>],
) -> Vec<CardLine> {
    let mut card = Vec::new();
    for (name, water) in &options.waters {
        for state in states {
            for &depth_m in &options.depths_m {
                let here = Under {
                    water,
                    depth_m,
                    used_share: state.map_or(0.0, CylinderState::used_share),
                };
                let craft = Flooded::of(body, &here);
                let balanced = balanced(&craft, options, room, water);
                card.push(CardLine {
                    water: name.clone(),
                    water_density_kg_m3: water.density_kg_m3,
                    cylinders: *state,
                    depth_m,
                    pressure_over_surface_pa: water.pressure_over_surface_pa(depth_m),
                    weight_in_water_kg: craft.weight_in_water_kg(),
                    lead_kg: of_material(&balanced, Material::Lead, balanced.mass_kg),
                    foam_m3: of_material(&balanced, Material::Foam, balanced.volume_m3),
                    at_m: balanced.at_m,
                    levels: balanced.levels,
                    with_ballast: Hangs::of(&trimmed.on(&craft, water.density_kg_m3)),
                });
            }
        }
    }
    card
}

/// The state on the way down that turns back least.
fn weakest(lines: &[WayLine]) -> Option<usize> {
    (0..lines.len()).min_by(|&a, &b| {
        let moment = |i: usize| lines[i].righting_transverse_n_m;
        moment(a).total_cmp(&moment(b))
    })
}

/// `value` where the ballast is of that material, else zero.
fn of_material(balanced: &BalanceResult, material: Material, value: f64) -> f64 {
    if balanced.material == material {
        value
    } else {
        0.0
    }
}

/// From end to end of the bare hull on its centre line: at its lowest height for
/// lead, at its highest for foam.
fn centre_line(boat: &Boat, at_the_top: bool) -> Room {
    let (lo, hi) = boat.hull_box_m;
    let middle = f64::midpoint(lo.y, hi.y);
    let height = if at_the_top { hi.z } else { lo.z };
    Room::Rail([
        Vec3::new(lo.x, middle, height),
        Vec3::new(hi.x, middle, height),
    ])
}

/// The ballast that was chosen, ready to be put on the craft in other states: in
/// one piece where that levels it, else at both ends of the rail.
struct Trimmed {
    pieces: Vec<Piece>,
}

impl Trimmed {
    fn of(balanced: &BalanceResult) -> Self {
        let pieces = match (&balanced.ends, balanced.at_m) {
            (Some(ends), at) if !balanced.levels || at.is_none() => ends
                .iter()
                .map(|end| (end.mass_kg, end.volume_m3, Vec3::from(end.at_m)))
                .collect(),
            (_, Some(at)) => vec![(balanced.mass_kg, balanced.volume_m3, Vec3::from(at))],
            (_, None) => Vec::new(),
        };
        Self { pieces }
    }

    fn on(&self, craft: &Flooded, water_kg_m3: f64) -> Flooded {
        self.pieces
            .iter()
            .fold(*craft, |craft, (mass_kg, volume_m3, at)| {
                craft.with(*mass_kg, volume_m3 * water_kg_m3, at)
            })
    }
}

/// Gas that holds the craft up, as it is, at each depth of the card in the boat's
/// own water: Boyle's law at one temperature.
fn bags(body: &Body<'_>, options: &DiveOptions) -> Vec<BagLine> {
    let water = &body.boat.water;
    options
        .depths_m
        .iter()
        .filter_map(|&depth_m| {
            let under = Under {
                water,
                depth_m,
                used_share: options.cylinders.used_share(),
            };
            let weight_in_water_kg = Flooded::of(body, &under).weight_in_water_kg();
            let density = water.density_kg_m3;
            let volume_m3 = weight_in_water_kg / density;
            let times = 1.0 + water.pressure_over_surface_pa(depth_m) / ATMOSPHERE_PA;
            let surface_volume_m3 = volume_m3 * times;
            let at_surface = Under {
                depth_m: 0.0,
                ..under
            };
            let surface_weight = Flooded::of(body, &at_surface).weight_in_water_kg();
            (weight_in_water_kg > 0.0).then_some(BagLine {
                depth_m,
                weight_in_water_kg,
                volume_m3,
                surface_volume_m3,
                surface_lift_kg: surface_volume_m3 * density - surface_weight,
            })
        })
        .collect()
}

/// Each cylinder and what emptying all of them does to the trimmed craft.
fn air_lines(body: &Body<'_>, under: &Under<'_>, trimmed: &Trimmed) -> Vec<AirLine> {
    let density = under.water.density_kg_m3;
    let with_used = |used_share| {
        let state = Under {
            used_share,
            ..*under
        };
        trimmed.on(&Flooded::of(body, &state), density)
    };
    let full = with_used(0.0);
    let hangs = [full, with_used(1.0)].map(|craft| Hangs::of(&craft));
    let change = |angle: fn(&Hangs) -> Option<f64>| {
        angle(&hangs[0]).unwrap_or(0.0) - angle(&hangs[1]).unwrap_or(0.0)
    };
    body.boat
        .masses
        .iter()
        .filter_map(|entry| {
            let air = entry.under_water.air?;
            let rest = full.with(-entry.mass_kg, 0.0, &entry.centre_m);
            let steady = rest.centre_of_gravity_m();
            Some(AirLine {
                name: entry.name.clone(),
                air_full_kg: air.air_kg(air.full_pa),
                air_used_kg: air.used_kg(),
                at_m: coordinates(entry.centre_m),
                pitch_change_deg: change(|hangs| hangs.pitch_deg),
                heel_change_deg: change(|hangs| hangs.heel_deg),
                steady_at_m: [steady.x, steady.y],
            })
        })
        .collect()
}
