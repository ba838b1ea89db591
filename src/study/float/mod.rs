//! How a loaded craft floats, and how close the water stands to every opening.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::attitude::Lies;
use super::shared::heads::{HeadLine, heads};
use super::shared::hydrostatics::{Hydrostatics, coordinates, draughts_m};
use super::shared::scan_band::{ScanBand, lean_errors_deg, leans_a_sill_m};
use super::shared::yardstick::Yardstick;
use crate::boat::{Boat, Opening, OpeningState, PartAboard, Role, Verdict};
use crate::equilibrium::{Afloat, Craft, EquilibriumError, Rest, Settled, outside_of};
use crate::immersion::{WaterPlane, immerse_one_pass};
use crate::numerics::Vec3;
use crate::quantity::Sentence;

mod cautions;

use cautions::cautions;

/// A metacentric height within this share of the craft's size of nought is nought:
/// a round hull's facets make as much, and a craft with so little rolls freely.
const NO_GM: f64 = 1e-4;

/// Result of [`float`]. Points are `[x, y, z]` in the boat frame, m.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct FloatResult {
    /// Density of the water, kg/m³.
    pub water_density_kg_m3: f64,
    /// Where that density comes from.
    pub water: Sentence,
    /// Mass of hull, parts and items, kg.
    pub mass_kg: f64,
    /// How far off that mass may be, from the stated ± of each part taken as
    /// independent (root of the sum of squares) but for what was measured together, kg.
    pub mass_spread_kg: f64,
    /// Centre of gravity of it all, m.
    pub centre_of_gravity_m: [f64; 3],
    /// How far off its coordinates may be, likewise, m.
    pub centre_spread_m: [f64; 3],
    /// What the mass is made of.
    pub masses: Vec<MassLine>,
    /// What was added to the hull and cut from it.
    pub parts: Vec<PartLine>,
    /// Items with a volume that stand outside the envelope, wholly or in part: on an
    /// outrigger, under the keel, in an open well. They displace while under water.
    pub outside: Vec<OutsideLine>,
    /// Whether the closed envelope can carry the mass at all.
    pub floats: bool,
    /// Mass of water that the whole envelope and what stands outside it would
    /// displace, kg.
    pub capacity_kg: f64,
    /// The attitude at rest; its keys are absent where the craft sinks.
    #[serde(flatten)]
    pub rest: Option<RestResult>,
    /// What the stated error of the scan leaves open, where one is stated and
    /// the craft floats.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scan_band: Option<ScanBand>,
    /// Every opening; without a freeboard where the craft sinks.
    pub openings: Vec<OpeningResult>,
    /// The heads of those aboard above the water; none where the craft sinks.
    pub heads: Vec<HeadLine>,
    /// The limits that the verdicts were taken against.
    #[serde(skip)]
    pub yardsticks: Vec<Yardstick>,
    /// Triangles of the envelope, caps included.
    pub triangles: usize,
}

/// One contribution to the mass.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct MassLine {
    /// What it is.
    pub name: String,
    /// Whether it is loose liquid.
    #[serde(skip)]
    pub is_liquid: bool,
    /// Its mass, kg.
    pub mass_kg: f64,
    /// Stated ± of the mass, kg.
    pub spread_kg: f64,
    /// Its centre, m.
    pub at_m: [f64; 3],
    /// How much deeper the craft floats for this weight alone, m: its volume
    /// of water divided by the waterplane's area at rest. `None` where the craft
    /// sinks.
    pub sinkage_m: Option<f64>,
}

/// One part at rest.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct PartLine {
    /// Its name.
    pub name: String,
    /// What it does to the envelope.
    pub role: Role,
    /// Its mass, kg; 0 where the file gives none.
    pub mass_kg: f64,
    /// Where that mass is, m.
    pub at_m: Option<[f64; 3]>,
    /// Volume by which the envelope grows by it, m³; negative for a recess.
    pub adds_m3: f64,
    /// As much of that as lies under water at rest, m³.
    pub adds_under_water_m3: Option<f64>,
    /// How much deeper the craft floats for the part, m, to first order: its
    /// mass as a volume of water, less what it adds under water, divided by the
    /// waterplane's area at rest. Negative: it lifts.
    pub sinkage_m: Option<f64>,
}

/// One item that stands outside the envelope, wholly or in part.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct OutsideLine {
    /// Its name.
    pub name: String,
    /// Its whole volume, m³.
    pub volume_m3: f64,
    /// As much of that as stands outside, m³.
    pub outside_m3: f64,
    /// As much of what stands outside as lies under water at rest, m³; `None` where
    /// the craft sinks.
    pub under_water_m3: Option<f64>,
    /// Whether the file gives the box that its volume fills; where not, a cube
    /// about its place is taken.
    pub box_known: bool,
}

/// The craft at rest.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct RestResult {
    /// Attitude, volume, waterplane and the rest of it.
    #[serde(flatten)]
    pub hydrostatics: Hydrostatics,
    /// How far the heel may be off by the scan, ± deg: by the stated error of the surface
    /// and of the frame; `None` where neither is known, or capsized.
    pub heel_error_deg: Option<f64>,
    /// The same of the pitch, ± deg.
    pub pitch_error_deg: Option<f64>,
    /// Depth of the base line (the level of the hull's lowest point, on the
    /// centre line) at the forward draught mark, m.
    pub draught_forward_m: f64,
    /// The same at the after mark, m.
    pub draught_aft_m: f64,
    /// Depth of the deepest point of the envelope and of what hangs under it, m.
    pub draught_m: f64,
    /// Metacentric height across at rest, m.
    pub gm_transverse_m: f64,
    /// Metacentric height along at rest, m.
    pub gm_longitudinal_m: f64,
    /// What the surfaces of liquids loose aboard take from GM across, m.
    pub free_surface_transverse_m: f64,
    /// What they take from GM along, m.
    pub free_surface_longitudinal_m: f64,
    /// Volume of the closed envelope, and of what stands outside it, above the
    /// water, m³.
    pub reserve_of_buoyancy_m3: f64,
    /// The same as a share of the whole of both, %.
    pub reserve_of_buoyancy_percent: f64,
    /// Which side of it is uppermost.
    pub lies: Lies,
    /// Whether the craft held upright (heel zero, pitch free) would stay so by
    /// itself. False: it lolls or capsizes, and the attitude here is where it
    /// ends. Never true of a craft that comes to rest on its side, on end or
    /// bottom up, whatever its metacentric height at heel zero.
    pub stable: bool,
    /// The craft held at heel zero.
    pub upright: UprightResult,
    /// Kernel calls that the whole search took.
    pub kernel_calls: usize,
}

/// The craft held at heel zero, its sinkage and pitch free.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct UprightResult {
    /// Pitch there, bow up positive, deg; zero where it would go over the bow
    /// or the stern.
    pub pitch_deg: f64,
    /// Metacentric height across there, m; negative is unstable.
    pub gm_transverse_m: f64,
    /// Metacentric height along there, m.
    pub gm_longitudinal_m: f64,
}

/// One opening at rest.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct OpeningResult {
    /// Its name.
    pub name: String,
    /// Height of its lowest rim point above the water, m; negative under it.
    pub freeboard_m: Option<f64>,
    /// How far that may be off by the scan, ± m: the surface's stated error, the rim's own
    /// and how far the frame's leans the craft, as if each went its own way; `None` where
    /// none is known.
    pub freeboard_error_m: Option<f64>,
    /// That point, m.
    pub sill_m: Option<[f64; 3]>,
    /// Where that is in words.
    pub place: String,
    /// Whether it stands open.
    pub state: OpeningState,
    /// What the yardstick says.
    pub verdict: OpeningVerdict,
}

/// How an opening stands against its yardstick.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OpeningVerdict {
    /// Its sill is in the water at rest: the craft fills.
    UnderWater,
    /// Below the red limit.
    Fail,
    /// Between the limits.
    Marginal,
    /// Above the green limit.
    Clear,
    /// Closed watertight, not judged.
    Covered,
}

impl OpeningVerdict {
    /// Whether the yardstick is failed.
    #[must_use]
    pub fn is_failed(self) -> bool {
        matches!(self, Self::UnderWater | Self::Fail)
    }

    /// The word shown to the user.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::UnderWater => "UNDER WATER",
            Self::Fail => "fail",
            Self::Marginal => "marginal",
            Self::Clear => "clear",
            Self::Covered => "covered",
        }
    }

    /// How it compares with the yardstick; `None` where that is not asked.
    #[must_use]
    pub fn verdict(self) -> Option<Verdict> {
        match self {
            Self::UnderWater | Self::Fail => Some(Verdict::Fail),
            Self::Marginal => Some(Verdict::Marginal),
            Self::Clear => Some(Verdict::Clear),
            Self::Covered => None,
        }
    }
}

impl FloatResult {
    /// Whether any yardstick is failed, or the craft sinks or capsizes.
    #[must_use]
    pub fn fails_a_yardstick(&self) -> bool {
        !self.floats || self.is_capsized() || self.openings.iter().any(|o| o.verdict.is_failed())
    }

    /// Whether it floats on its side, on end or bottom up.
    #[must_use]
    pub fn is_capsized(&self) -> bool {
        self.rest
            .as_ref()
            .is_some_and(|rest| rest.lies.is_capsized())
    }
}

/// Finds the resting attitude of a boat with everything aboard, and the
/// freeboard of each opening there. The envelope is taken as closed: what
/// happens once water has come in is another study's.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::float};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let result = float(&boat)?;
/// let rest = result.rest.as_ref().ok_or("it sinks")?;
/// println!("{:.3} m deep, heel {:.2}°", rest.draught_m, rest.hydrostatics.heel_deg);
/// assert!(rest.stable);
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// [`EquilibriumError::NoMass`] where the boat weighs nothing and
/// [`EquilibriumError::NotConverged`]; a craft too heavy to float is a result.
pub fn float<'b>(boat: impl Into<Afloat<'b>>) -> Result<Answer<FloatResult>, EquilibriumError> {
    let afloat = boat.into();
    let (boat, craft) = (afloat.boat(), afloat.craft());
    let capacity_m3 = craft.displacers.volume_m3();
    let mut centre = craft.centre_of_gravity_m;
    let mut liquids = Vec::new();
    let rest = afloat.settled_if_afloat()?.map(|settled| {
        centre = settled.rest.centre_of_gravity_m;
        liquids = liquid_lines(boat, craft, &settled.rest);
        rest_result(boat, craft, settled, capacity_m3)
    });
    let plane = rest.as_ref().map(|(_, plane)| *plane);
    let openings: Vec<OpeningResult> = boat
        .openings
        .iter()
        .map(|opening| opening_at(boat, opening, plane.as_ref()))
        .collect();
    let rest = rest.map(|(rest, _)| rest);
    let at_rest = rest.as_ref().zip(plane);
    let parts = boat.parts.iter();
    let parts = parts.map(|part| part_line(boat, part, at_rest)).collect();
    let mut result = FloatResult {
        water_density_kg_m3: boat.water.density_kg_m3,
        water: boat.water.about.clone(),
        mass_kg: craft.total_mass_kg(),
        mass_spread_kg: boat.mass_spread_kg(),
        centre_of_gravity_m: coordinates(centre),
        centre_spread_m: coordinates(boat.centre_spread_m()),
        masses: boat
            .masses
            .iter()
            .map(|entry| MassLine {
                name: entry.name.clone(),
                is_liquid: false,
                mass_kg: entry.mass_kg,
                spread_kg: entry.spread_kg,
                at_m: coordinates(entry.centre_m),
                sinkage_m: rest.as_ref().map(|rest| {
                    let area_m2 = rest.hydrostatics.waterplane_area_m2;
                    entry.mass_kg / (boat.water.density_kg_m3 * area_m2)
                }),
            })
            .chain(liquids)
            .collect(),
        parts,
        outside: outside_lines(boat, plane.as_ref()),
        floats: rest.is_some(),
        capacity_kg: capacity_m3 * boat.water.density_kg_m3,
        scan_band: boat.scan_error_m.zip(rest.as_ref()).map(|(error, rest)| {
            ScanBand::at_rest(error, &rest.hydrostatics, boat.water.density_kg_m3)
        }),
        rest,
        openings,
        heads: plane.map_or_else(Vec::new, |plane| heads(boat, &plane)),
        yardsticks: vec![Yardstick::SillAtRest(boat.yardsticks.sill.clone())],
        triangles: boat.envelope.surface.faces.len(),
    };
    if let Some(band) = result.scan_band {
        for opening in &mut result.openings {
            let own = opening.freeboard_error_m.unwrap_or(0.0);
            opening.freeboard_error_m = Some(own.hypot(band.freeboard_m));
        }
    }
    if let Some(rest) = result.rest.as_ref().filter(|rest| !rest.lies.is_capsized()) {
        let gm_m = [rest.gm_transverse_m, rest.gm_longitudinal_m];
        for opening in &mut result.openings {
            let own_m = opening.freeboard_error_m.unwrap_or(0.0);
            let sill_m = opening.sill_m.unwrap_or_default();
            let error_m = own_m.hypot(leans_a_sill_m(boat, &rest.hydrostatics, gm_m, sill_m));
            opening.freeboard_error_m = (error_m > 0.0).then_some(error_m);
        }
    }
    let cautions = cautions(boat, &result, plane.as_ref());
    let answer = Answer::of(boat, result, cautions);
    Ok(match &plane {
        Some(plane) => answer.lying(boat, plane),
        None => answer,
    })
}

/// Liquids loose aboard, each where it lies at rest.
fn liquid_lines(boat: &Boat, craft: &Craft, rest: &Rest) -> Vec<MassLine> {
    let liquids = craft.liquids.iter();
    liquids
        .filter_map(|liquid| Some((liquid.stands_in?.name_in(boat)?, liquid)))
        .map(|(name, liquid)| {
            let at = liquid.settled(&rest.plane().up).centre_of_buoyancy_m();
            MassLine {
                name: format!("{name} (loose liquid)"),
                is_liquid: true,
                mass_kg: liquid.weighs_as_m3() * craft.density_kg_m3,
                spread_kg: 0.0,
                at_m: coordinates(at.unwrap_or_default()),
                sinkage_m: Some(liquid.weighs_as_m3() / rest.immersion.waterplane.area_m2),
            }
        })
        .collect()
}

fn rest_result(
    boat: &Boat,
    craft: &Craft,
    Settled { upright, rest, .. }: &Settled,
    capacity_m3: f64,
) -> (RestResult, WaterPlane) {
    let plane = *rest.plane();
    let [draught_forward_m, draught_aft_m] = draughts_m(boat, &plane);
    let lowest = craft.displacers.lowest_m(&plane.up);
    let reserve = capacity_m3 - rest.immersion.volume_m3;
    let lies = Lies::at(&plane.up);
    let (lo, hi) = boat.hull_box_m;
    let nought_m = NO_GM * (hi - lo).max();
    let holds_upright =
        upright.gm_transverse_m() > nought_m && upright.gm_longitudinal_m() > nought_m;
    let hydrostatics = Hydrostatics::of(&rest.immersion, boat.water.density_kg_m3);
    let gm_m = [rest.gm_transverse_m(), rest.gm_longitudinal_m()];
    let errors_deg = lean_errors_deg(boat, &hydrostatics, gm_m).filter(|_| !lies.is_capsized());
    let result = RestResult {
        hydrostatics,
        heel_error_deg: errors_deg.map(|[heel, _]| heel),
        pitch_error_deg: errors_deg.map(|[_, pitch]| pitch),
        draught_forward_m,
        draught_aft_m,
        draught_m: lowest.map_or(0.0, |point| -plane.height_m(&point)),
        gm_transverse_m: gm_m[0],
        gm_longitudinal_m: gm_m[1],
        free_surface_transverse_m: rest.free_surface.transverse_m4 / rest.immersion.volume_m3,
        free_surface_longitudinal_m: rest.free_surface.longitudinal_m4 / rest.immersion.volume_m3,
        reserve_of_buoyancy_m3: reserve,
        reserve_of_buoyancy_percent: 100.0 * reserve / capacity_m3,
        lies,
        stable: holds_upright && !lies.is_capsized(),
        upright: UprightResult {
            pitch_deg: upright.plane().pitch_deg(),
            gm_transverse_m: upright.gm_transverse_m(),
            gm_longitudinal_m: upright.gm_longitudinal_m(),
        },
        kernel_calls: rest.kernel_calls,
    };
    (result, plane)
}

fn part_line(boat: &Boat, part: &PartAboard, rest: Option<(&RestResult, WaterPlane)>) -> PartLine {
    let mass_kg = part.mass.as_ref().map_or(0.0, |mass| mass.mass_kg);
    let under = rest.map(|(_, plane)| immerse_one_pass(&part.change, &[], &plane).volume_m3);
    PartLine {
        name: part.name.clone(),
        role: part.role,
        mass_kg,
        at_m: part.mass.as_ref().map(|mass| coordinates(mass.centre_m)),
        adds_m3: part.change.signed_volume_m3(),
        adds_under_water_m3: under,
        sinkage_m: rest.zip(under).map(|((rest, _), under_m3)| {
            let water_m3 = mass_kg / boat.water.density_kg_m3;
            (water_m3 - under_m3) / rest.hydrostatics.waterplane_area_m2
        }),
    }
}

fn outside_lines(boat: &Boat, plane: Option<&WaterPlane>) -> Vec<OutsideLine> {
    let lines = boat.outside.iter().map(|thing| {
        let entry = &boat.masses[thing.entry];
        OutsideLine {
            name: entry.name.clone(),
            volume_m3: entry.solid_m3.unwrap_or(thing.volume_m3),
            outside_m3: thing.volume_m3,
            under_water_m3: plane.map(|plane| outside_of(thing).immerse(plane).volume_m3),
            box_known: thing.box_known,
        }
    });
    lines.collect()
}

/// One opening at a water plane; `None` where the craft sinks.
#[must_use]
pub fn opening_at(boat: &Boat, opening: &Opening, plane: Option<&WaterPlane>) -> OpeningResult {
    let up = plane.map_or_else(Vec3::z, |plane| plane.up);
    let sill = opening.sill_m(&up);
    let freeboard_m = plane.map(|plane| plane.height_m(&sill));
    let verdict = match freeboard_m {
        _ if !opening.lets_water_in() => OpeningVerdict::Covered,
        None => OpeningVerdict::UnderWater,
        Some(height) if height <= 0.0 => OpeningVerdict::UnderWater,
        Some(height) => match boat.yardsticks.sill.verdict(height) {
            Verdict::Fail => OpeningVerdict::Fail,
            Verdict::Marginal => OpeningVerdict::Marginal,
            Verdict::Clear => OpeningVerdict::Clear,
        },
    };
    OpeningResult {
        name: opening.name.clone(),
        freeboard_m,
        freeboard_error_m: (opening.rim_spread_m > 0.0).then_some(opening.rim_spread_m),
        sill_m: plane.map(|_| coordinates(sill)),
        place: boat.sill_in_words(opening, &up),
        state: opening.state,
        verdict,
    }
}
