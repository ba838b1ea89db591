//! Where a hole may go: the outside of the craft sorted by its height over the
//! water in the worst of the stated cases.
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::{Answer, AsItLies};
use super::shared::cautions::{Caution, Doing, with_usual};
use super::shared::hull_side::{Side, SideDrawing, side_path, stem_m};
use super::shared::hydrostatics::coordinates;
use super::shared::planes::usual_step_m;
use crate::boat::{Boat, ConvexMark, Opening};
use crate::equilibrium::{Afloat, BEARINGS, EquilibriumError, Lean, bearing_deg, lean_to};
use crate::immersion::WaterPlane;
use crate::mesh::{Section, Slicer};
use crate::numerics::Vec3;

mod areas;
mod transom;

use areas::{Group, areas, group};

/// Stations along the borders of the drawing.
const BORDER_STATIONS: u32 = 121;
/// The outermost planes of a drawing lie so far within its ends, share of its length.
const AT_THE_END: f64 = 1e-4;
/// Corners of two cases' hulls may differ by this, m: rounding.
const SAME_HULL_M: f64 = 1e-6;

/// Why there is no map.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum DrillError {
    /// A case is no craft that floats.
    #[error("{case}: {source}")]
    Equilibrium {
        /// Which.
        case: String,
        /// Why.
        source: EquilibriumError,
    },
    /// Two of them are not one hull.
    #[error(
        "\"{first}\" and \"{other}\" are not the same hull with the same parts: a map is of one hull; give loading conditions of one boat file (boat.toml#name)"
    )]
    OtherHull {
        /// The case that is mapped.
        first: String,
        /// The one that differs.
        other: String,
    },
    /// None given.
    #[error("no boat was given")]
    NoCase,
}

/// Whether a hole may go somewhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum HoleClass {
    /// At rest under water, or less over it than a sill that fails.
    Never,
    /// Less over it than a sill that is clear, or reached when the craft leans by
    /// the tilt that fails.
    OnlyIfSealed,
    /// Higher than both.
    Free,
}

impl HoleClass {
    /// All, the lowest first.
    pub const ALL: [Self; 3] = [Self::Never, Self::OnlyIfSealed, Self::Free];

    /// The words shown to the user.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Never => "never",
            Self::OnlyIfSealed => "only if sealed",
            Self::Free => "free",
        }
    }
}

/// Result of [`drill`]. Points are `[x, y, z]` in the boat frame, m.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct DrillResult {
    /// Openings under water at rest in the first of the loading conditions that fills.
    pub fills_through: Vec<String>,
    /// The loading conditions that the map holds for, each at rest.
    pub cases: Vec<DrillCase>,
    /// Less than this above the water at rest: never, m (`sill_red`).
    pub never_under_m: f64,
    /// More than this above the water at rest, m (`sill_green`), and not reached by
    /// the lean: free.
    pub free_over_m: f64,
    /// The lean, straight over every way, deg (`tilt_red`).
    pub lean_deg: f64,
    /// Where the limits come from.
    pub sources: [String; 2],
    /// Stem, from which stations are counted, m.
    pub stem_m: [f64; 3],
    /// Height of the base line, from which heights of borders are measured: level
    /// with the hull's lowest point, z, m.
    pub base_z_m: f64,
    /// Area of skin a class.
    pub areas: Vec<ClassAreas>,
    /// The borders at stations.
    pub stations: Vec<BorderStation>,
    /// Every opening that there is in any of the cases.
    pub openings: Vec<OpeningClass>,
    /// Curves for the drawing.
    #[serde(skip)]
    pub drawing: DrillDrawing,
}

/// One loading condition at rest.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct DrillCase {
    /// Its name.
    pub name: String,
    /// All aboard and hull, kg.
    pub mass_kg: f64,
    /// Starboard down positive, deg.
    pub heel_deg: f64,
    /// Bow up positive, deg.
    pub pitch_deg: f64,
    /// Where the water cuts the boat's z axis, m; `None` where it misses it.
    pub waterline_height_m: Option<f64>,
}

/// Areas of one face of the craft.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ClassAreas {
    /// "port side", "starboard side", "transom", "deck and its ends", "walls of
    /// recesses".
    pub name: &'static str,
    /// m².
    pub never_m2: f64,
    /// m².
    pub only_if_sealed_m2: f64,
    /// m².
    pub free_m2: f64,
}

/// The borders at a station.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct BorderStation {
    /// Aft of the stem along x, m.
    pub from_stem_m: f64,
    /// In the boat frame, m.
    pub x_m: f64,
    /// Port side; `None` where there is no skin.
    pub port: Option<SideBorders>,
    /// Starboard side.
    pub starboard: Option<SideBorders>,
}

/// The borders on one side of a station. A border is `None` where the whole side
/// lies over it, and the rim itself, with `below_rim_m` 0, where nothing of the
/// side does: `free_over` is `None` where all is free, the rim where nothing is.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct SideBorders {
    /// The side's rim, z, m.
    pub rim_z_m: f64,
    /// That over the base line, m.
    pub rim_over_base_m: f64,
    /// The highest water at rest of all cases.
    pub water: Option<Border>,
    /// Never below this.
    pub never_below: Option<Border>,
    /// Free over this.
    pub free_over: Option<Border>,
    /// What sets the lower end of what is free: "height at rest, NAME" or "lean,
    /// NAME".
    pub free_set_by: Option<String>,
}

/// A point of a border.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct Border {
    /// Where on the skin, m.
    pub at_m: [f64; 3],
    /// Over the base line along the boat's z, m. Not from the skin's lower end
    /// there, which where something cuts the bottom is no keel.
    pub over_base_m: f64,
    /// Down from the rim along the skin, m.
    pub below_rim_m: f64,
}

/// An opening that there is in one of the cases or more, held against the water of
/// them all.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct OpeningClass {
    /// Its name.
    pub name: String,
    /// Whether no case has it that lets water in through it: in each it is closed
    /// watertight or not there.
    pub covered: bool,
    /// Where its lowest point falls.
    pub class: HoleClass,
    /// Its lowest rim point above the water at rest, in the worst case, m; of the
    /// rims that let water in, where cases give it several.
    pub height_m: f64,
    /// The same with the craft leaned the worst way, m.
    pub height_leaned_m: f64,
    /// Points of its rim, or of all those rims, m.
    #[serde(skip)]
    pub rim_m: Vec<[f64; 3]>,
}

/// Curves of the map.
#[derive(Debug, Clone, Default)]
pub struct DrillDrawing {
    /// The craft from the side, with the highest water at rest.
    pub sides: SideDrawing,
    /// Port, then starboard: along x.
    pub borders: [Vec<BorderPoint>; 2],
    /// Each transom by itself, that of either hull of a twin: along y; empty where there
    /// is none.
    pub transoms: Vec<Vec<BorderPoint>>,
}

/// Heights at one place of a view: z of the skin's lowest and highest point, and
/// of the borders between, m. Each lies between the two.
#[derive(Debug, Clone, Copy)]
pub struct BorderPoint {
    /// x, or y on the transom, m.
    pub at_m: f64,
    /// Lowest.
    pub low_m: f64,
    /// The highest water at rest.
    pub water_m: f64,
    /// Never below.
    pub never_m: f64,
    /// Free over.
    pub free_m: f64,
    /// Highest.
    pub high_m: f64,
}

/// What the skin is held against: each the space over all of its planes.
struct Limits {
    /// Above the water at rest.
    water: ConvexMark,
    /// Over the sill that fails.
    over_never: ConvexMark,
    /// Over the sill that is clear, and above the water of every lean.
    free: ConvexMark,
    /// What each face of `free` stands for.
    free_names: Vec<String>,
    /// Above the water of every lean.
    leaned: ConvexMark,
}

/// Sorts the outside of a hull by where a hole may go: never, only if sealed, or
/// free, by the boat's own yardsticks in the worst of its cases. The first case's
/// hull is drawn; each comes with its name.
///
/// Each region is bounded by planes (the water at rest raised by a limit, the
/// water of each lean), so triangles and sections are cut at them exactly.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::drill};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// for opening in drill([("as built", &boat)])?.result.openings {
///     println!("{}: {:?}", opening.name, opening.class);
/// }
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// [`DrillError`].
pub fn drill<'b>(
    cases: impl IntoIterator<Item = (&'b str, impl Into<Afloat<'b>>)>,
) -> Result<Answer<DrillResult>, DrillError> {
    let cases = cases.into_iter().map(|(name, boat)| (name, boat.into()));
    drill_afloat(&cases.collect::<Vec<_>>())
}

fn drill_afloat(cases: &[(&str, Afloat<'_>)]) -> Result<Answer<DrillResult>, DrillError> {
    let ((first_name, first), _) = cases.split_first().ok_or(DrillError::NoCase)?;
    let boat = first.boat();
    let mut others = cases.iter();
    if let Some((other, _)) = others.find(|(_, other)| !is_same_hull(boat, other.boat())) {
        return Err(DrillError::OtherHull {
            first: (*first_name).to_owned(),
            other: (*other).to_owned(),
        });
    }
    let (lines, limits, fills_through) = limits(boat, cases)?;
    let stem = stem_m(boat);
    let length = boat.hull_box_m.1.x - boat.hull_box_m.0.x;
    let step_m = usual_step_m(length);
    let slicer = Slicer::of(&boat.envelope.surface);
    let stations = (1_u32..)
        .map(|number| f64::from(number) * step_m)
        .take_while(|at| *at < length)
        .map(|from_stem_m| {
            let x_m = stem[0] - from_stem_m;
            let cut = slicer.section(0, x_m);
            let borders = |side| borders(boat, &cut, side, &limits);
            BorderStation {
                from_stem_m,
                x_m,
                port: borders(Side::Port),
                starboard: borders(Side::Starboard),
            }
        })
        .collect();
    let result = DrillResult {
        fills_through,
        cases: lines,
        never_under_m: boat.yardsticks.sill.red.value,
        free_over_m: boat.yardsticks.sill.green.value,
        lean_deg: boat.yardsticks.tilt.red.value,
        sources: [&boat.yardsticks.sill, &boat.yardsticks.tilt].map(|band| band.source.clone()),
        stem_m: stem,
        base_z_m: boat.marks.base_z_m,
        areas: areas(boat, &limits),
        stations,
        openings: openings(cases, &limits),
        drawing: drawing(boat, &slicer, &limits),
    };
    Ok(Answer::of(boat, result, cautions(boat, cases.len())))
}

/// Whether a case leaves the outside of the hull as it is.
fn is_same_hull(one: &Boat, other: &Boat) -> bool {
    let (a, b) = (&one.envelope.surface, &other.envelope.surface);
    let corners = || a.vertices.iter().zip(&b.vertices);
    a.faces == b.faces
        && a.vertices.len() == b.vertices.len()
        && corners().all(|(a, b)| (a - b).amax() <= SAME_HULL_M)
}

/// The cases, what bounds holes in all of them, and the first that fills as it lies.
fn limits(
    boat: &Boat,
    cases: &[(&str, Afloat<'_>)],
) -> Result<(Vec<DrillCase>, Limits, Vec<String>), DrillError> {
    let lean_rad = boat.yardsticks.tilt.red.value.to_radians();
    let [red, green] = [&boat.yardsticks.sill.red, &boat.yardsticks.sill.green].map(|q| q.value);
    // Over a plane raised by a limit: −up · x ≤ −(level + limit).
    let over = |plane: &WaterPlane, limit: f64| (-plane.up, -(plane.level_m + limit));
    let (mut lines, mut free_names) = (Vec::new(), Vec::new());
    let [mut water, mut over_never, mut clear, mut leaned] = [const { Vec::new() }; 4];
    let mut fills_through = Vec::new();
    for (name, afloat) in cases {
        let failed = |source| DrillError::Equilibrium {
            case: (*name).to_owned(),
            source,
        };
        let (boat, craft) = (afloat.boat(), afloat.craft());
        let rest = afloat.rest().map_err(failed)?;
        let plane = *rest.plane();
        lines.push(DrillCase {
            name: (*name).to_owned(),
            mass_kg: craft.total_mass_kg(),
            heel_deg: plane.heel_deg(),
            pitch_deg: plane.pitch_deg(),
            waterline_height_m: plane.waterline_height_m(),
        });
        if fills_through.is_empty() {
            fills_through = AsItLies::at(boat, &plane).fills_through;
        }
        water.push(over(&plane, 0.0));
        over_never.push(over(&plane, red));
        clear.push(over(&plane, green));
        free_names.push(format!("height at rest, {name}"));
        let planes = (0..usize::from(BEARINGS))
            .into_par_iter()
            .map(|number| {
                let lean = Lean::towards(&plane, bearing_deg(number));
                let there = lean_to(craft, &lean, lean_rad, rest)?;
                Ok(over(there.rest.plane(), 0.0))
            })
            .collect::<Result<Vec<_>, EquilibriumError>>()
            .map_err(failed)?;
        leaned.extend(planes);
    }
    for (name, _) in cases {
        let lean = format!("lean of {:.0}°, {name}", lean_rad.to_degrees());
        free_names.extend(std::iter::repeat_n(lean, usize::from(BEARINGS)));
    }
    let limits = Limits {
        water: ConvexMark::of_faces(water),
        over_never: ConvexMark::of_faces(over_never),
        free: ConvexMark::of_faces([clear, leaned.clone()].concat()),
        free_names,
        leaned: ConvexMark::of_faces(leaned),
    };
    Ok((lines, limits, fills_through))
}

/// The highest point of a path that is not inside a region: distance from the
/// path's foot, m, and place. `None` where all of it is inside.
fn border(path: &[Vec3], region: &ConvexMark) -> Option<(f64, Vec3)> {
    let lengths: Vec<f64> = path.windows(2).map(|p| (p[1] - p[0]).norm()).collect();
    let mut above: f64 = lengths.iter().sum();
    if region.depth_of(path.last()?).0 < 0.0 {
        return Some((above, *path.last()?));
    }
    for (pair, length) in path.windows(2).zip(&lengths).rev() {
        above -= length;
        match region.span_of(&pair[0], &pair[1]) {
            Some([enters, _]) if enters <= 0.0 => {}
            Some([enters, _]) => {
                let place = pair[0] + (pair[1] - pair[0]) * enters;
                return Some((above + length * enters, place));
            }
            None => return Some((above + length, pair[1])),
        }
    }
    None
}

fn borders(boat: &Boat, cut: &Section, side: Side, limits: &Limits) -> Option<SideBorders> {
    let path = side_path(boat, cut, side)?;
    let whole = path.length_m();
    let over_base_m = |point: &Vec3| point.z - boat.marks.base_z_m;
    let find = |region: &ConvexMark| {
        border(&path.points, region).map(|(along, place)| Border {
            at_m: coordinates(place),
            over_base_m: over_base_m(&place),
            below_rim_m: whole - along,
        })
    };
    let free_over = find(&limits.free);
    Some(SideBorders {
        rim_z_m: path.rim_m().z,
        rim_over_base_m: over_base_m(&path.rim_m()),
        water: find(&limits.water),
        never_below: find(&limits.over_never),
        free_set_by: free_over.map(|border| {
            let (_, face) = limits.free.depth_of(&Vec3::from(border.at_m));
            limits.free_names[face].clone()
        }),
        free_over,
    })
}

fn lowest(points: &[Vec3]) -> f64 {
    points.iter().map(|p| p.z).fold(f64::INFINITY, f64::min)
}

/// The openings of all cases by name, in the order in which they come up.
fn openings(cases: &[(&str, Afloat<'_>)], limits: &Limits) -> Vec<OpeningClass> {
    let mut named: Vec<(&str, Vec<&Opening>)> = Vec::new();
    for opening in cases.iter().flat_map(|(_, case)| &case.boat().openings) {
        match named.iter_mut().find(|(name, _)| *name == opening.name) {
            Some((_, same)) => same.push(opening),
            None => named.push((&opening.name, vec![opening])),
        }
    }
    named
        .into_iter()
        .map(|(name, same)| opening_class(name, &same, limits))
        .collect()
}

/// One opening as its cases have it.
fn opening_class(name: &str, same: &[&Opening], limits: &Limits) -> OpeningClass {
    let covered = !same.iter().any(|opening| opening.lets_water_in());
    let mut rims: Vec<&[Vec3]> = Vec::new();
    for opening in same.iter().filter(|one| covered || one.lets_water_in()) {
        if !rims.contains(&opening.rim.as_slice()) {
            rims.push(&opening.rim);
        }
    }
    let rim = rims.concat();
    let least = |region: &ConvexMark| {
        let depths = rim.iter().map(|point| region.depth_of(point).0);
        depths.fold(f64::INFINITY, f64::min)
    };
    OpeningClass {
        name: name.to_owned(),
        covered,
        class: if least(&limits.over_never) < 0.0 {
            HoleClass::Never
        } else if least(&limits.free) < 0.0 {
            HoleClass::OnlyIfSealed
        } else {
            HoleClass::Free
        },
        height_m: least(&limits.water),
        height_leaned_m: least(&limits.leaned),
        rim_m: rim.into_iter().map(coordinates).collect(),
    }
}

/// Heights along a path whose lowest part comes first.
fn border_point(at_m: f64, path: &[Vec3], limits: &Limits) -> Option<BorderPoint> {
    let low_m = lowest(path);
    let high_m = path.last()?.z;
    let height = |region| border(path, region).map_or(low_m, |(_, place)| place.z);
    let within = |z: f64| z.max(low_m).min(high_m);
    let never_m = within(height(&limits.over_never));
    Some(BorderPoint {
        at_m,
        low_m,
        water_m: within(height(&limits.water)),
        never_m,
        free_m: within(height(&limits.free)).max(never_m),
        high_m,
    })
}

fn drawing(boat: &Boat, slicer: &Slicer<'_>, limits: &Limits) -> DrillDrawing {
    let (lo, hi) = boat.envelope.surface.bounds().unwrap_or_default();
    let mut drawing = DrillDrawing {
        sides: SideDrawing::of(boat, slicer, None),
        transoms: transom::transoms(boat, slicer, limits),
        ..DrillDrawing::default()
    };
    for number in 0..BORDER_STATIONS {
        let share = f64::from(number) / f64::from(BORDER_STATIONS - 1);
        let x = lo.x + (hi.x - lo.x) * share.clamp(AT_THE_END, 1.0 - AT_THE_END);
        let cut = slicer.section(0, x);
        for (which, side) in Side::BOTH.into_iter().enumerate() {
            let path = side_path(boat, &cut, side);
            let point = path.and_then(|path| border_point(x, &path.points, limits));
            drawing.borders[which].extend(point);
        }
    }
    drawing
}

fn cautions(boat: &Boat, cases: usize) -> Vec<Caution> {
    let mut own = vec![Caution::FreeOfStillWaterOnly, Caution::SealedMeansForGood];
    if cases == 1 {
        own.push(Caution::OneConditionOnly);
    }
    with_usual(own, boat, Doing::Building)
}
