//! Sections of the craft across its three axes, the curve of section areas, and
//! the panels that fit inside.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::{Answer, AsItLies};
use super::shared::cautions::Caution;
use super::shared::hydrostatics::coordinates;
use super::shared::panel::{PanelLine, PanelOptions, panel_at};
use super::shared::picture::{inside_from_above, inside_from_side, outline_from_side};
use super::shared::planes::{MOST_PLANES, Planes};
use crate::boat::{Boat, HullFrame};
use crate::equilibrium::{Afloat, EquilibriumError};
use crate::immersion::WaterPlane;
use crate::mesh::{Section, Slicer};
use crate::numerics::Vec3;

/// How far inside the craft the outermost of evenly spaced planes lie, as a
/// share of its extent: on a flat end itself nothing is cut.
const END_SHARE: f64 = 1e-6;
/// Stations at which the drawing's outline from above is taken.
const OUTLINE_STATIONS: u16 = 81;

/// What [`section()`] is asked for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SectionOptions {
    /// Planes across x.
    pub stations: Planes,
    /// Planes across z.
    pub waterlines: Planes,
    /// Planes across y.
    pub buttocks: Planes,
    /// Level water at this height on the z axis, m, instead of the rest attitude.
    pub waterline_m: Option<f64>,
    /// Also the panel that fits at each plane.
    pub panel: Option<PanelOptions>,
}

/// Result of [`section()`]. Points are `[x, y, z]` in the boat frame, m.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct SectionResult {
    /// Smallest and largest coordinates of the envelope, m.
    pub box_m: [[f64; 3]; 2],
    /// The water that `immersed_area_m2` is taken under; `None` where the boat
    /// file gives the hull no mass and no waterline is asked for, or the craft
    /// sinks.
    pub water: Option<SectionWater>,
    /// Planes across x, in the order asked for.
    pub stations: Vec<SectionLine>,
    /// Planes across z.
    pub waterlines: Vec<SectionLine>,
    /// Planes across y.
    pub buttocks: Vec<SectionLine>,
    /// Every station at every waterline.
    pub half_breadths: Vec<HalfBreadth>,
    /// Volume under water from the areas at evenly spaced stations alone
    /// (Simpson's first rule), m³; `None` unless there is an odd number of them,
    /// three or more.
    pub volume_from_stations_m3: Option<f64>,
    /// Curves for the drawing that no plane asked for gives.
    #[serde(skip)]
    pub drawing: LinesDrawing,
    /// What its x, y and z count from.
    #[serde(skip)]
    pub frame: HullFrame,
}

/// The water plane that areas are taken under.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct SectionWater {
    /// Starboard down positive, deg.
    pub heel_deg: f64,
    /// Bow up positive, deg.
    pub pitch_deg: f64,
    /// Where it cuts the boat's z axis, m; `None` where it misses it.
    pub waterline_height_m: Option<f64>,
    /// Its height over the boat frame's origin, along `up`, m.
    pub level_m: f64,
    /// Volume under it, from the whole mesh, m³.
    pub displaced_volume_m3: f64,
    /// Unit vector of the vertical in the boat frame.
    pub up: [f64; 3],
}

/// One plane.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct SectionLine {
    /// Where on its axis, m.
    pub at_m: f64,
    /// Area inside the closed envelope, m².
    pub area_m2: f64,
    /// Its centroid, m.
    pub centroid_m: Option<[f64; 3]>,
    /// Length of the skin, caps over open edges left out, m.
    pub girth_m: f64,
    /// Farthest to port of the middle plane, m; not of a buttock.
    pub port_m: Option<f64>,
    /// Farthest to starboard, m, positive to starboard; likewise.
    pub starboard_m: Option<f64>,
    /// Area under water, m²; of a station or buttock only.
    pub immersed_area_m2: Option<f64>,
    /// Length of skin under water, m; likewise.
    pub wetted_girth_m: Option<f64>,
    /// The panel that fits, where asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub panel: Option<PanelLine>,
    /// The closed curves.
    pub loops: Vec<SectionCurve>,
}

/// One closed curve.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct SectionCurve {
    /// Area inside, negative of a hole, m².
    pub area_m2: f64,
    /// Corners, the first not repeated, m.
    pub points_m: Vec<[f64; 3]>,
}

/// Breadths at one station and one waterline.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct HalfBreadth {
    /// x of the station, m.
    pub station_m: f64,
    /// z of the waterline, m.
    pub waterline_m: f64,
    /// Outermost to port, m.
    pub port_m: f64,
    /// Outermost to starboard, m, positive to starboard.
    pub starboard_m: f64,
}

/// Curves that every lines drawing needs.
#[derive(Debug, Clone, Default)]
pub struct LinesDrawing {
    /// Section along the middle plane.
    pub middle: Vec<Vec<[f64; 3]>>,
    /// Outline from the side as x and z.
    pub profile: Vec<[f64; 2]>,
    /// Outline from above: x, farthest to port, farthest to starboard.
    pub outline: Vec<[f64; 3]>,
    /// Outlines of bulkheads, foam, pockets and sponsons from the side, as x and z.
    pub inside_from_side: Vec<Vec<[f64; 2]>>,
    /// The same from above, as x and y.
    pub inside_from_above: Vec<Vec<[f64; 2]>>,
    /// Of each station where it is and the curves of foam inside.
    pub foam: Vec<(f64, Vec<[f64; 3]>)>,
}

/// Cuts the envelope at the planes asked for.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::{Planes, SectionOptions, section}};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let options = SectionOptions {
///     stations: Planes::At(vec![0.9, 1.8]),
///     ..SectionOptions::default()
/// };
/// let cut = section(&boat, &options)?;
/// assert!(cut.stations[0].area_m2 > 0.0);
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// As [`Afloat::settled_if_afloat`]; a craft that sinks is cut without water.
pub fn section<'b>(
    boat: impl Into<Afloat<'b>>,
    options: &SectionOptions,
) -> Result<Answer<SectionResult>, EquilibriumError> {
    let afloat = boat.into();
    let boat = afloat.boat();
    let (lo, hi) = boat.envelope.surface.bounds().unwrap_or_default();
    let plane = water_plane(&afloat, options)?;
    let slicer = Slicer::of(&boat.envelope.surface);
    let lines = |axis: usize, planes: &Planes| -> Vec<SectionLine> {
        places(planes, axis, lo[axis], hi[axis])
            .into_iter()
            .map(|at| {
                let cut = slicer.section(axis, at);
                let panel = options.panel.as_ref();
                let panel = panel.map(|options| panel_at(boat, &slicer, axis, at, options));
                line(boat, &cut, plane.as_ref(), panel)
            })
            .collect()
    };
    let stations = lines(0, &options.stations);
    let waterlines = lines(2, &options.waterlines);
    let half_breadths = stations
        .iter()
        .flat_map(|station| {
            let heights = waterlines.iter();
            heights.filter_map(|waterline| half_breadth(station, waterline.at_m))
        })
        .collect();
    let water = plane.map(|plane| SectionWater {
        heel_deg: plane.heel_deg(),
        pitch_deg: plane.pitch_deg(),
        waterline_height_m: plane.waterline_height_m(),
        level_m: plane.level_m,
        displaced_volume_m3: boat.tree.immerse(&plane).volume_m3,
        up: coordinates(plane.up),
    });
    let result = SectionResult {
        box_m: [coordinates(lo), coordinates(hi)],
        water,
        volume_from_stations_m3: match options.stations {
            Planes::Even(_) => simpson(&stations),
            _ => None,
        },
        buttocks: lines(1, &options.buttocks),
        waterlines,
        half_breadths,
        drawing: LinesDrawing {
            foam: foam_at(boat, &stations),
            ..drawing(boat, &slicer, &lo, &hi)
        },
        stations,
        frame: boat.frame,
    };
    let lines = [&result.stations, &result.waterlines, &result.buttocks];
    let panels = lines.into_iter().flatten();
    let past_skin = Caution::of_panels(panels.filter_map(|line| line.panel.as_ref()));
    let cautions = past_skin.into_iter().chain([Caution::CalmWaterOnly]);
    Ok(Answer {
        as_it_lies: AsItLies::at_rest(&afloat),
        ..Answer::of(boat, result, cautions.collect())
    })
}

fn water_plane(
    afloat: &Afloat<'_>,
    options: &SectionOptions,
) -> Result<Option<WaterPlane>, EquilibriumError> {
    if let Some(height) = options.waterline_m {
        return Ok(Some(WaterPlane::at_attitude(0.0, 0.0, height)));
    }
    if !afloat.boat().has_hull_mass {
        return Ok(None);
    }
    let settled = afloat.settled_if_afloat()?;
    Ok(settled.map(|settled| *settled.rest.plane()))
}

fn places(planes: &Planes, axis: usize, lo: f64, hi: f64) -> Vec<f64> {
    let inset = (hi - lo) * END_SHARE;
    match planes {
        Planes::None => Vec::new(),
        Planes::At(list) => list.clone(),
        Planes::Even(1) => vec![f64::midpoint(lo, hi)],
        Planes::Even(count) if axis != 0 => (1..=*count)
            .map(|number| lo + (hi - lo) * f64::from(number) / f64::from(count + 1))
            .collect(),
        Planes::Even(count) => (0..*count)
            .map(|number| {
                let share = f64::from(number) / f64::from(count - 1);
                lo + inset + (hi - lo - 2.0 * inset) * share
            })
            .collect(),
        Planes::Every(step) => (0_u32..)
            .map(|number| lo + inset + step * f64::from(number))
            .take_while(|at| *at < hi)
            .take(MOST_PLANES)
            .collect(),
    }
}

fn line(
    boat: &Boat,
    cut: &Section,
    plane: Option<&WaterPlane>,
    panel: Option<PanelLine>,
) -> SectionLine {
    let axis = cut.axis;
    let is_skin = |face: u32| (face as usize) < boat.skin_faces;
    let wet = plane.and_then(|plane| {
        let zero = zero_on(cut, plane)?;
        Some(cut.below(|point| plane.height_m(point), &zero, is_skin))
    });
    let points = || cut.loops.iter().flat_map(|one| &one.points);
    SectionLine {
        at_m: cut.at_m,
        area_m2: cut.area_m2(),
        centroid_m: cut.centroid_m().map(coordinates),
        girth_m: cut.girth_m(is_skin),
        port_m: points()
            .map(|point| point.y)
            .reduce(f64::max)
            .filter(|_| axis != 1),
        starboard_m: points()
            .map(|point| -point.y)
            .reduce(f64::max)
            .filter(|_| axis != 1),
        immersed_area_m2: wet.map(|(area, _)| area),
        wetted_girth_m: wet.map(|(_, girth)| girth),
        panel,
        loops: cut
            .loops
            .iter()
            .map(|one| SectionCurve {
                area_m2: cut.loop_area_m2(one),
                points_m: one.points.iter().copied().map(coordinates).collect(),
            })
            .collect(),
    }
}

/// A point where the water plane crosses a section's plane; `None` for a section
/// that lies along the water.
fn zero_on(cut: &Section, plane: &WaterPlane) -> Option<Vec3> {
    // A slope under this is the water's own plane (as a share of one).
    const ALONG_THE_WATER: f64 = 1e-3;
    if cut.axis == 2 {
        return None;
    }
    let mut across = plane.up;
    across[cut.axis] = 0.0;
    if across.norm() < ALONG_THE_WATER {
        return None;
    }
    let start = cut.in_space(&nalgebra::Vector2::zeros());
    Some(start - across * (plane.height_m(&start) / across.norm_squared()))
}

/// Outermost crossings of a station's curves with a height.
fn half_breadth(station: &SectionLine, waterline_m: f64) -> Option<HalfBreadth> {
    let mut across: Vec<f64> = Vec::new();
    for one in &station.loops {
        let next = one.points_m.iter().skip(1).chain(one.points_m.first());
        for (a, b) in one.points_m.iter().zip(next) {
            if (a[2] >= waterline_m) != (b[2] >= waterline_m) {
                across.push(a[1] + (b[1] - a[1]) * (waterline_m - a[2]) / (b[2] - a[2]));
            }
        }
    }
    Some(HalfBreadth {
        station_m: station.at_m,
        waterline_m,
        port_m: across.iter().copied().reduce(f64::max)?,
        starboard_m: -across.iter().copied().reduce(f64::min)?,
    })
}

/// Simpson's first rule over evenly spaced stations.
fn simpson(stations: &[SectionLine]) -> Option<f64> {
    if stations.len() < 3 || stations.len().is_multiple_of(2) {
        return None;
    }
    let step = (stations.last()?.at_m - stations.first()?.at_m) / (stations.len() - 1) as f64;
    let mut sum = 0.0;
    for (number, line) in stations.iter().enumerate() {
        let weight = match number {
            0 => 1.0,
            last if last == stations.len() - 1 => 1.0,
            odd if !odd.is_multiple_of(2) => 4.0,
            _ => 2.0,
        };
        sum += weight * line.immersed_area_m2?;
    }
    Some(sum * step / 3.0)
}

/// The curves of blocks of foam at some stations, with where each is.
fn foam_at(boat: &Boat, stations: &[SectionLine]) -> Vec<(f64, Vec<[f64; 3]>)> {
    let blocks = boat.parts.iter().filter_map(|part| part.block.as_ref());
    let curves = blocks.flat_map(|block| {
        let slicer = Slicer::of(&block.solid);
        let cuts = stations.iter().flat_map(move |line| {
            let loops = slicer.section(0, line.at_m).loops.into_iter();
            loops.map(|one| {
                let points = one.points.into_iter().map(coordinates);
                (line.at_m, points.collect())
            })
        });
        cuts.collect::<Vec<_>>()
    });
    curves.collect()
}

fn drawing(boat: &Boat, slicer: &Slicer<'_>, lo: &Vec3, hi: &Vec3) -> LinesDrawing {
    // A hair off the middle: a symmetric mesh has its corners right on it.
    let hair = (hi.y - lo.y) * END_SHARE;
    let middle = slicer.section(1, f64::midpoint(lo.y, hi.y) + hair);
    let outline = places(&Planes::Even(OUTLINE_STATIONS), 0, lo.x, hi.x)
        .into_iter()
        .filter_map(|at| {
            let station = slicer.section(0, at);
            let y = || {
                station
                    .loops
                    .iter()
                    .flat_map(|one| one.points.iter().map(|p| p.y))
            };
            Some([at, y().reduce(f64::max)?, y().reduce(f64::min)?])
        });
    LinesDrawing {
        foam: Vec::new(),
        inside_from_side: inside_from_side(boat),
        inside_from_above: inside_from_above(boat),
        profile: outline_from_side(boat),
        outline: outline.collect(),
        middle: middle
            .loops
            .into_iter()
            .map(|one| one.points.into_iter().map(coordinates).collect())
            .collect(),
    }
}
