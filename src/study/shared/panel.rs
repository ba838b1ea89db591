//! Panels that fit inside the skin: bulkheads and sheets of foam. Holds no
//! study.
use schemars::JsonSchema;
use serde::Serialize;

use super::hydrostatics::coordinates;
use crate::boat::file::{BoatFile, Weight};
use crate::boat::{Boat, FaceSource, Role};
use crate::mesh::{FlatLoop, Section, Slicer, Surface, common, inset};
use crate::numerics::Vec3;

/// Sine past which a skin counts as lying in the panel's plane: its breadth
/// across the plane then stops growing (at 80° it is 5.8 thicknesses).
const SLANT_LIMIT: f64 = 0.985;
/// Bevels given round a panel.
const BEVEL_POINTS: usize = 12;
/// A part that covers less skin than this is joined along a seam, m. Ours.
const SEAM_M: f64 = 0.05;
/// A face whose normal's z is more than this (45°) is taken for the open top that a deck shuts.
const OPEN_TOP: f64 = 0.707;
/// Points this near are as low, m.
const ROUNDING_M: f64 = 1e-9;

/// How thick the skin is under each face of the envelope.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Skins {
    /// The hull's own, m.
    pub hull_m: f64,
    /// Each part's, m; `None`: as the hull's.
    pub parts_m: Vec<Option<f64>>,
}

impl Skins {
    /// The thicknesses that a boat file states; `None` where it states none for
    /// the hull.
    #[must_use]
    pub fn stated(file: &BoatFile) -> Option<Self> {
        let of = |weight: &Weight| match weight {
            Weight::Skin(skin) => Some(skin.thickness.value),
            Weight::Weighed { .. } | Weight::Unknown | Weight::Foam(_) => None,
        };
        Some(Self {
            hull_m: of(&file.hull.weight)?,
            parts_m: file.parts.iter().map(|part| of(&part.weight)).collect(),
        })
    }

    /// One thickness all over, m.
    #[must_use]
    pub fn even(thickness_m: f64) -> Self {
        Self {
            hull_m: thickness_m,
            parts_m: Vec::new(),
        }
    }

    /// The thickness under a face of one source; `None` over an open edge.
    #[must_use]
    pub fn of(&self, source: FaceSource) -> Option<f64> {
        match source {
            FaceSource::Cap(_) => None,
            FaceSource::Hull => Some(self.hull_m),
            FaceSource::Part(part) => {
                let stated = self.parts_m.get(part as usize).copied().flatten();
                Some(stated.unwrap_or(self.hull_m))
            }
        }
    }
}

/// What is asked of a panel.
#[derive(Debug, Clone, PartialEq)]
pub struct PanelOptions {
    /// Thickness of the sheet, m.
    pub thickness_m: f64,
    /// Room left for glass and glue all round, on top of the skin, m.
    pub allow_m: f64,
    /// The skin that lines the envelope.
    pub skins: Skins,
}

/// A panel with its two faces.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct PanelLine {
    /// Thickness of the sheet, m.
    pub thickness_m: f64,
    /// Room left all round besides the skin, m.
    pub allow_m: f64,
    /// The face at the lower coordinate (after, starboard or lower face), then
    /// the other.
    pub faces: [PanelFace; 2],
    /// Area of the largest sheet with square edges that goes in, m².
    pub square_edged_area_m2: f64,
    /// The bevel at points round the first face.
    pub bevels: Vec<BevelLine>,
    /// The parts that stand outside of hull skin where its faces lie: there it runs out past
    /// that skin, as if it were cut away.
    #[serde(skip)]
    pub past_skin: Vec<String>,
}

/// One face of a panel.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct PanelFace {
    /// "after face" and so on.
    pub name: &'static str,
    /// Where it lies on the axis across it, m.
    pub at_m: f64,
    /// Its area, m².
    pub area_m2: f64,
    /// Its outlines, one list of closed curves a piece, the outer one first,
    /// boat frame, m.
    #[serde(skip)]
    pub pieces: Vec<Vec<Vec<[f64; 3]>>>,
}

/// The angle of a panel's edge at one point.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct BevelLine {
    /// On the skin beside the first face, m.
    pub at_m: [f64; 3],
    /// Angle off square, deg; positive where the second face is the smaller.
    pub bevel_deg: f64,
}

/// The two faces of a sheet set across an axis with its first face at `at_m`.
pub(in crate::study) fn panel_at(
    boat: &Boat,
    slicer: &Slicer<'_>,
    axis: usize,
    at_m: f64,
    options: &PanelOptions,
) -> PanelLine {
    let sections = [at_m, at_m + options.thickness_m].map(|at| slicer.section(axis, at));
    let left = sections.each_ref().map(|cut| room(boat, cut, options));
    let square = common(&left[0], &left[1]);
    let names = match axis {
        0 => ["after face", "fore face"],
        1 => ["starboard face", "port face"],
        _ => ["lower face", "upper face"],
    };
    let face = |number: usize| PanelFace {
        name: names[number],
        at_m: sections[number].at_m,
        area_m2: flat_area(&left[number]),
        pieces: left[number]
            .iter()
            .map(|piece| {
                piece
                    .iter()
                    .map(|outline| {
                        let points = outline.iter();
                        points
                            .map(|&[u, v]| coordinates(sections[number].in_space(&[u, v].into())))
                            .collect()
                    })
                    .collect()
            })
            .collect(),
    };
    PanelLine {
        thickness_m: options.thickness_m,
        allow_m: options.allow_m,
        square_edged_area_m2: flat_area(&square),
        bevels: bevels(boat, &sections[0]),
        past_skin: past_skin(boat, &sections),
        faces: [face(0), face(1)],
    }
}

/// The parts that cover more hull skin than a seam in any of some sections.
fn past_skin(boat: &Boat, sections: &[Section]) -> Vec<String> {
    let added = boat
        .parts
        .iter()
        .filter(|part| matches!(part.role, Role::Add | Role::Attach));
    let past = added.filter(|part| {
        let change = Slicer::of(&part.change);
        sections.iter().any(|whole| {
            let cut = change.section(whole.axis, whole.at_m);
            covered_m(&part.change, &cut, whole) > SEAM_M
        })
    });
    past.map(|part| part.name.clone()).collect()
}

/// How much skin, as long as it shows in a section, a part covers, m: faces that it changed,
/// with the craft on both sides of them.
fn covered_m(change: &Surface, cut: &Section, whole: &Section) -> f64 {
    /// How far from a face is looked, m.
    const BESIDE_M: f64 = 1e-3;
    let runs = cut.loops.iter().flat_map(|one| one.runs());
    let covered = runs.filter(|([a, b], face)| {
        let normal = change.face_normal(*face as usize);
        let normal = normal / normal.norm().max(f64::MIN_POSITIVE);
        let beside = |off: f64| whole.holds(&((a + b) / 2.0 + normal * off));
        normal.z.abs() < OPEN_TOP && beside(BESIDE_M) && beside(-BESIDE_M)
    });
    covered.map(|([a, b], _)| (b - a).norm()).sum()
}

/// What is left of a section inside the skin and the room for glass.
fn room(boat: &Boat, cut: &Section, options: &PanelOptions) -> Vec<Vec<FlatLoop>> {
    inset(cut, |face| {
        let source = boat.envelope.sources[face as usize];
        let lining = options.skins.of(source)? + options.allow_m;
        let slant = slant(boat, cut.axis, face).abs().min(SLANT_LIMIT);
        Some(lining / (1.0 - slant * slant).sqrt())
    })
}

/// Sine of the angle between a face and the axis.
fn slant(boat: &Boat, axis: usize, face: u32) -> f64 {
    let normal = boat.envelope.surface.face_normal(face as usize);
    normal[axis] / normal.norm().max(f64::MIN_POSITIVE)
}

fn flat_area(pieces: &[Vec<FlatLoop>]) -> f64 {
    let one = |outline: &FlatLoop| {
        let next = outline.iter().skip(1).chain(outline.first());
        let pairs = outline.iter().zip(next);
        pairs.map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>() / 2.0
    };
    pieces.iter().flatten().map(one).sum()
}

/// Bevels at even distances along the skin, the same on both sides of a hull that is.
fn bevels(boat: &Boat, cut: &Section) -> Vec<BevelLine> {
    let is_bare = |face: u32| boat.envelope.sources[face as usize].is_bare();
    let low = if cut.axis == 2 { 0 } else { 2 };
    let loops = cut.loops.iter();
    let stretches: Vec<Vec<Run>> = loops
        .flat_map(|one| skin_stretches(one.runs().collect(), low, &is_bare))
        .collect();
    let length_of = |runs: &Vec<Run>| runs.iter().map(|([a, b], _)| (b - a).norm()).sum::<f64>();
    let whole: f64 = stretches.iter().map(length_of).sum();
    let mut bevels = Vec::new();
    for skin in &stretches {
        let length = length_of(skin);
        // From both ends alike.
        let step = length / (BEVEL_POINTS as f64 * length / whole).round();
        let (mut gone, mut next) = (0.0, step / 2.0);
        for ([a, b], face) in skin {
            let end = gone + (b - a).norm();
            while end >= next && next < length {
                bevels.push(BevelLine {
                    at_m: coordinates(a + (b - a) * ((next - gone) / (end - gone))),
                    bevel_deg: slant(boat, cut.axis, *face)
                        .clamp(-1.0, 1.0)
                        .asin()
                        .to_degrees(),
                });
                next += step;
            }
            gone = end;
        }
    }
    bevels
}

/// A straight run of a section with the face that it lies on.
type Run = ([Vec3; 2], u32);

/// The stretches of a closed curve that have skin. One that is skin all round begins
/// where the curve meets the centre plane lowest, or where that is, aftmost (`low` is the
/// axis); else at its point there that is nearest to the centre plane.
fn skin_stretches(mut runs: Vec<Run>, low: usize, is_bare: &dyn Fn(u32) -> bool) -> Vec<Vec<Run>> {
    if let Some(bare) = runs.iter().position(|(_, face)| is_bare(*face)) {
        runs.rotate_left(bare);
        let stretches = runs.split(|(_, face)| is_bare(*face));
        let stretches = stretches.filter(|skin| !skin.is_empty());
        return stretches.map(<[Run]>::to_vec).collect();
    }
    let crossings = runs.iter().enumerate().filter_map(|(number, ([a, b], _))| {
        let meets = (a.y <= 0.0) != (b.y <= 0.0);
        meets.then(|| (number, a + (b - a) * (a.y / (a.y - b.y))))
    });
    let least = |a: &(usize, Vec3), b: &(usize, Vec3)| a.1[low].total_cmp(&b.1[low]);
    let begins = crossings.min_by(least).or_else(|| {
        let corners = || runs.iter().map(|([a, _], _)| *a).enumerate();
        let lowest = corners().min_by(least)?.1[low];
        let near = corners().filter(|(_, p)| p[low] <= lowest + ROUNDING_M);
        near.min_by(|a, b| a.1.y.abs().total_cmp(&b.1.y.abs()))
    });
    let Some((first, at)) = begins else {
        return Vec::new();
    };
    // The run that it begins in is cut in two there.
    runs.rotate_left(first);
    let ([a, b], face) = runs[0];
    runs[0] = ([at, b], face);
    runs.push(([a, at], face));
    vec![runs]
}
