//! The waterline as tape distances along the skin, to mark it on the hull before
//! the first float and to read it there.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::cautions::{Caution, Doing, with_usual};
use super::shared::hull_side::{Foot, RimKind, Side, SideDrawing, side_path, stem_m};
use super::shared::hydrostatics::{Hydrostatics, coordinates};
use super::shared::planes::{MOST_PLANES, Planes, usual_step_m};
use super::shared::scan_band::ScanBand;
use crate::boat::{Boat, FaceSource, SidePath};
use crate::equilibrium::{Afloat, EquilibriumError};
use crate::immersion::WaterPlane;
use crate::mesh::{Section, Slicer};
use crate::numerics::Vec3;
use crate::quantity::Sentence;

/// Why there are no marks.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TapeError {
    /// The boat is no craft that floats.
    #[error(transparent)]
    Equilibrium(#[from] EquilibriumError),
    /// A station beyond an end of the hull.
    #[error(
        "a station {from_stem_m:.3} m from the stem is off the hull: stations are distances aft of the stem, between 0 and {length_m:.3} m"
    )]
    OffTheHull {
        /// What was asked for.
        from_stem_m: f64,
        /// Of the hull along x.
        length_m: f64,
    },
    /// More stations than [`MOST_PLANES`].
    #[error(
        "that is over {MOST_PLANES} stations: take a step of {:.0} mm or more",
        least_step_m * 1e3
    )]
    TooMany {
        /// The least step, in whole millimetres, that does not go over it, m.
        least_step_m: f64,
    },
}

/// Result of [`tape`]. Points are `[x, y, z]` in the boat frame, m.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct TapeResult {
    /// The stem: the foremost point of the hull without its parts, m. Stations
    /// are counted from there, aft along the boat's x axis.
    pub stem_m: [f64; 3],
    /// Length of that hull along x, m.
    pub length_m: f64,
    /// Mass that it floats with, kg.
    pub mass_kg: f64,
    /// Where the water's density comes from.
    pub water: Sentence,
    /// Starboard down positive, deg.
    pub heel_deg: f64,
    /// Bow up positive, deg.
    pub pitch_deg: f64,
    /// Where the water cuts the boat's z axis, m; `None` where it misses it.
    pub waterline_height_m: Option<f64>,
    /// How far the water may stand higher or lower for the stated ± of the masses
    /// alone, m.
    pub masses_band_m: f64,
    /// What the stated error of the scan leaves open, where one is stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scan_band: Option<ScanBand>,
    /// In the order asked for.
    pub stations: Vec<TapeStation>,
    /// The rim that lies deepest under the water; `None` where none does.
    #[serde(skip)]
    pub drowned_rim: Option<DrownedRim>,
    /// Curves for the drawing.
    #[serde(skip)]
    pub drawing: SideDrawing,
}

impl TapeResult {
    /// Each mark with its station and side.
    pub fn marks(&self) -> impl Iterator<Item = (&TapeStation, Side, &TapeMark)> {
        let stations = self.stations.iter();
        stations.flat_map(|station| Side::BOTH.map(|side| (station, side, station.of(side))))
    }
}

/// A rim under water.
#[derive(Debug, Clone, Copy)]
pub struct DrownedRim {
    /// Its station, aft of the stem, m.
    pub from_stem_m: f64,
    /// Its side.
    pub side: Side,
    /// How deep it lies, m.
    pub depth_m: f64,
    /// At how many more of the places a rim lies under water.
    pub more: usize,
}

/// One station.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct TapeStation {
    /// Aft of the stem along x, m.
    pub from_stem_m: f64,
    /// In the boat frame, m.
    pub x_m: f64,
    /// Port side.
    pub port: TapeMark,
    /// Starboard side.
    pub starboard: TapeMark,
}

impl TapeStation {
    /// One side of it.
    #[must_use]
    pub fn of(&self, side: Side) -> &TapeMark {
        match side {
            Side::Port => &self.port,
            Side::Starboard => &self.starboard,
        }
    }
}

/// The waterline on one side of a station. Distances along the skin lie in the
/// station's plane, across x.
#[derive(Debug, Clone, Default, JsonSchema, Serialize)]
pub struct TapeMark {
    /// From the rim down to the water along the skin, m; `None` without one mark.
    pub below_rim_m: Option<f64>,
    /// From the keel (the outside of the bottom at y = 0) up to the water along
    /// the skin, m; `None` without one mark or without a keel there.
    pub above_keel_m: Option<f64>,
    /// From the rim to the water along the boat's z axis, m.
    pub straight_down_m: Option<f64>,
    /// Half-girth: from the keel to the rim along the skin, m. Measured on the
    /// hull it says whether hull and mesh agree.
    pub half_girth_m: Option<f64>,
    /// What the tape is hooked to.
    pub rim: Option<RimKind>,
    /// Where that is, m.
    pub rim_m: Option<[f64; 3]>,
    /// Where the tape meets the middle of the bottom, m.
    pub keel_m: Option<[f64; 3]>,
    /// The mark, m.
    pub mark_m: Option<[f64; 3]>,
    /// How often the water line meets the skin between keel and rim.
    pub crossings: usize,
    /// What is out of the ordinary, in words.
    pub notes: Vec<String>,
}

/// Floats the boat dry and lays a tape round it at stations counted aft from the
/// stem: at every one the outer skin is followed from the keel to the rim on each
/// side, and the water plane marked on it.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::{Planes, tape}};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// for station in tape(&boat, &Planes::Even(7))?.result.stations {
///     println!("{:.2} m aft: {:?} m down the skin", station.from_stem_m, station.port.below_rim_m);
/// }
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// [`TapeError`]; a craft that sinks has no waterline.
pub fn tape<'b>(
    boat: impl Into<Afloat<'b>>,
    stations: &Planes,
) -> Result<Answer<TapeResult>, TapeError> {
    let afloat = boat.into();
    let boat = afloat.boat();
    let (lo, hi) = boat.hull_box_m;
    let length_m = hi.x - lo.x;
    let places = places(stations, length_m)?;
    let rest = afloat.rest()?;
    let plane = *rest.plane();
    let hydrostatics = Hydrostatics::of(&rest.immersion, boat.water.density_kg_m3);
    let slicer = Slicer::of(&boat.envelope.surface);
    let stations: Vec<TapeStation> = places
        .into_iter()
        .map(|from_stem_m| {
            let x_m = hi.x - from_stem_m;
            let cut = slicer.section(0, x_m);
            let mark = |side| mark(boat, &cut, side, &plane);
            TapeStation {
                from_stem_m,
                x_m,
                port: mark(Side::Port),
                starboard: mark(Side::Starboard),
            }
        })
        .collect();
    let carried = boat.water.density_kg_m3 * hydrostatics.waterplane_area_m2;
    let mut result = TapeResult {
        stem_m: stem_m(boat),
        length_m,
        mass_kg: afloat.craft().total_mass_kg(),
        water: boat.water.about.clone(),
        heel_deg: plane.heel_deg(),
        pitch_deg: plane.pitch_deg(),
        waterline_height_m: plane.waterline_height_m(),
        masses_band_m: if carried > 0.0 {
            boat.mass_spread_kg() / carried
        } else {
            0.0
        },
        scan_band: boat
            .scan_error_m
            .map(|error| ScanBand::at_rest(error, &hydrostatics, boat.water.density_kg_m3)),
        stations,
        drowned_rim: None,
        drawing: SideDrawing::of(boat, &slicer, Some(&plane)),
    };
    result.drowned_rim = drowned_rim(&result, &plane);
    let cautions = cautions(boat, result.mass_kg);
    Ok(Answer::of(boat, result, cautions).lying(boat, &plane))
}

/// Distances from the stem, m.
fn places(stations: &Planes, length_m: f64) -> Result<Vec<f64>, TapeError> {
    let every = |step: f64| -> Vec<f64> {
        (1_u32..)
            .map(|number| step * f64::from(number))
            .take_while(|at| *at < length_m)
            // One more, to tell that they are too many.
            .take(MOST_PLANES + 1)
            .collect()
    };
    let list = match stations {
        Planes::None => every(usual_step_m(length_m)),
        Planes::Every(step) => every(*step),
        Planes::Even(count) => (1..=*count)
            .map(|number| length_m * f64::from(number) / f64::from(count + 1))
            .collect(),
        Planes::At(list) => list.clone(),
    };
    if list.len() > MOST_PLANES {
        // So many stations leave one step more than they are.
        let least_m = length_m / (MOST_PLANES + 1) as f64;
        return Err(TapeError::TooMany {
            least_step_m: (least_m * 1e3).ceil() / 1e3,
        });
    }
    match list.iter().find(|at| !(**at > 0.0 && **at < length_m)) {
        Some(&from_stem_m) => Err(TapeError::OffTheHull {
            from_stem_m,
            length_m,
        }),
        None => Ok(list),
    }
}

fn mark(boat: &Boat, cut: &Section, side: Side, plane: &WaterPlane) -> TapeMark {
    let Some(path) = side_path(boat, cut, side) else {
        return TapeMark {
            notes: vec!["no skin of the hull on this side here".to_owned()],
            ..TapeMark::default()
        };
    };
    let height = |point: &Vec3| plane.height_m(point);
    let has_keel = path.foot == Foot::Keel;
    let whole = path.length_m();
    let crossings = path.crossings(height);
    let mut notes = notes(boat, &path);
    if another_piece_is_cut(boat, cut, &path, side, plane) {
        notes.push(
            "another piece of the craft is in the water beside this one; it is not measured"
                .to_owned(),
        );
    }
    let one = match crossings.as_slice() {
        [one] if height(&path.rim_m()) >= 0.0 => Some(*one),
        [] if height(&path.rim_m()) < 0.0 => {
            notes.push("all of this side is under water, the rim too".to_owned());
            None
        }
        [] => {
            notes.push("the water does not reach this side here".to_owned());
            None
        }
        [_] => {
            notes.push("the rim is under water here, the skin below it dry".to_owned());
            None
        }
        several => {
            notes.push(format!(
                "the water line meets the skin {} times between the two ends of the tape: no single mark",
                several.len()
            ));
            None
        }
    };
    TapeMark {
        below_rim_m: one.map(|(along, _)| whole - along),
        above_keel_m: one.map(|(along, _)| along).filter(|_| has_keel),
        straight_down_m: one.map(|(_, place)| path.rim_m().z - place.z),
        half_girth_m: has_keel.then_some(whole),
        rim: Some(path.rim),
        rim_m: Some(coordinates(path.rim_m())),
        keel_m: has_keel.then(|| coordinates(path.foot_m())),
        mark_m: one.map(|(_, place)| coordinates(place)),
        crossings: crossings.len(),
        notes,
    }
}

fn notes(boat: &Boat, path: &SidePath) -> Vec<String> {
    let part = |n: u32| {
        let part = boat.parts.get(n as usize);
        part.map_or("a part", |part| part.name.as_str())
    };
    let mut notes = Vec::new();
    match path.foot {
        Foot::Keel => {}
        Foot::Recess(n) => notes.push(format!(
            "\"{}\" cuts the bottom here, so there is no keel to measure from",
            part(n)
        )),
        Foot::OpenEdge => notes.push(
            "an open edge cuts the bottom here, so there is no keel to measure from".to_owned(),
        ),
        Foot::OffMiddle => notes.push(
            "the hull does not reach the middle here, so there is no keel to measure from"
                .to_owned(),
        ),
    }
    if path.rim == RimKind::Recess {
        notes.push("a recess cuts the side below the rim: its edge is measured from".to_owned());
    }
    if path.bridges_a_hole {
        notes.push("the tape goes straight over a hole in the side".to_owned());
    }
    for n in &path.over_attached {
        notes.push(format!("the tape goes round \"{}\" too", part(*n)));
    }
    notes
}

/// Whether a closed curve other than the path's own crosses the water on a side.
fn another_piece_is_cut(
    boat: &Boat,
    cut: &Section,
    path: &SidePath,
    side: Side,
    plane: &WaterPlane,
) -> bool {
    let others = cut.loops.iter().enumerate();
    others
        .filter(|(number, _)| *number != path.of_loop)
        .any(|(_, one)| {
            one.runs().any(|([a, b], face)| {
                let is_skin = !matches!(boat.envelope.sources[face as usize], FaceSource::Cap(_));
                let wet = [a, b].map(|p| plane.height_m(&p) < 0.0);
                is_skin && wet[0] != wet[1] && side.sign() * a.y > 0.0
            })
        })
}

/// The rim that lies deepest under the water; `None` where none does. The edge of a recess
/// is not one: the recess has water in it, the craft has not.
fn drowned_rim(result: &TapeResult, plane: &WaterPlane) -> Option<DrownedRim> {
    let under: Vec<DrownedRim> = result
        .marks()
        .filter(|(.., mark)| mark.rim != Some(RimKind::Recess))
        .filter_map(|(station, side, mark)| {
            let height_m = plane.height_m(&Vec3::from(mark.rim_m?));
            (height_m < 0.0).then_some(DrownedRim {
                from_stem_m: station.from_stem_m,
                side,
                depth_m: -height_m,
                more: 0,
            })
        })
        .collect();
    let deepest = under
        .iter()
        .max_by(|a, b| a.depth_m.total_cmp(&b.depth_m))?;
    Some(DrownedRim {
        more: under.len() - 1,
        ..*deepest
    })
}

fn cautions(boat: &Boat, mass_kg: f64) -> Vec<Caution> {
    let marks = Caution::MarksForThisLoad {
        mass_kg,
        water_density_kg_m3: boat.water.density_kg_m3,
    };
    with_usual(
        vec![marks, Caution::LayTheTapeStraight],
        boat,
        Doing::Floating,
    )
}
