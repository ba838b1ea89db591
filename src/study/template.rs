//! One section laid flat to be cut out at full size, or a piece of a part.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::cautions::{Caution, Doing};
use super::shared::named::NoSuchName;
use super::shared::panel::{PanelFace, PanelLine, PanelOptions, panel_at};
use crate::boat::{Boat, FaceSource, HullFrame};
use crate::mesh::{Section, SectionLoop, Slicer};

mod pieces;

pub use pieces::{template_of_opening, template_of_part};

/// Distance between ordinates of a small template and of a large one, m, and
/// the extent from which on it counts as large, m.
const ORDINATES_M: (f64, f64) = (0.05, 0.1);
const LARGE_M: f64 = 1.0;

/// How far to each side of a plane is looked for a step in the craft, m, and the share of its
/// section there that makes one.
const BESIDE_M: f64 = 1e-6;
const ABRUPT: f64 = 1e-3;

/// A template on paper: `[right, up]`, m, with the middle plane and the base
/// line at nought where they show.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct TemplateResult {
    /// "station", "waterline" or "buttock"; "piece" of what is no cut across the craft.
    pub across: &'static str,
    /// What it is a piece of; `None` of a cut across the craft.
    pub piece: Option<Piece>,
    /// Where on its axis, m; `None` of a piece that lies across none.
    pub at_m: Option<f64>,
    /// Of a station: how far aft of the stem, m.
    pub from_stem_m: Option<f64>,
    /// From where the drawing is seen, and which way is up.
    pub seen: &'static str,
    /// The outline to cut.
    pub cut: TemplateOutline,
    /// The far face of a panel.
    pub other_face: Option<TemplateOutline>,
    /// Whether a centre line shows (right = 0 of a station, up = 0 of a
    /// waterline).
    pub centre_line: Option<Line>,
    /// The base line, z = 0, where it shows.
    pub datum: Option<Line>,
    /// Smallest and largest coordinates of both outlines, m.
    pub box_m: [[f64; 2]; 2],
    /// "the lowest point" or "the after end": where ordinates are measured from.
    pub measured_from: &'static str,
    /// Places along the template with its reach to both sides.
    pub ordinates: Vec<Ordinate>,
    /// Bevels of a panel's edge: where, and degrees off square, positive where
    /// the far face is the smaller.
    pub bevels: Vec<TemplateBevel>,
    /// Thickness of the panel, m.
    pub thickness_m: Option<f64>,
    /// How far what is laid flat differs from what it is cut for, where it does.
    pub out_by: Option<OutBy>,
    /// What its x, y and z count from.
    #[serde(skip)]
    pub frame: HullFrame,
}

/// What is laid flat.
#[derive(Debug, Clone, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Piece {
    /// A sheet that a block of foam is stacked from.
    FoamSheet {
        /// The part that the block is.
        part: String,
        /// Its number, from the bottom up, from 1.
        number: usize,
        /// How many there are.
        of: usize,
    },
    /// Another sheet of a part.
    Sheet {
        /// The part.
        part: String,
        /// What of it: "deck", "wall", "after bulkhead".
        name: &'static str,
    },
    /// The edge of an opening.
    Opening {
        /// Which.
        name: String,
    },
}

/// How far a piece that is laid flat differs from what it is cut for.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OutBy {
    /// A sheet that bends both ways: the share of their length by which its edges differ at
    /// most.
    Stretched(f64),
    /// A rim that lies in no plane: how far it strays from the one that it is drawn in, m.
    OffPlane(f64),
}

/// Closed curves on paper.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct TemplateOutline {
    /// Which face.
    #[serde(skip)]
    pub face: String,
    /// Where on the axis it lies, m.
    #[serde(skip)]
    pub at_m: Option<f64>,
    /// Area inside, m².
    pub area_m2: f64,
    /// Corners, the first not repeated, `[right, up]`, m.
    pub curves_m: Vec<Vec<[f64; 2]>>,
    /// The same curves parted by what they run along; empty of a panel's face.
    #[serde(skip)]
    pub runs: Vec<TemplateRun>,
}

impl TemplateOutline {
    /// Its curves that go round holes.
    pub(crate) fn holes(&self) -> impl Iterator<Item = &Vec<[f64; 2]>> {
        let curves = self.curves_m.iter();
        curves.filter(|curve| pieces::area_of(curve) < 0.0)
    }
}

/// What a stretch of a section runs along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RunOf {
    /// The hull's own skin.
    Skin,
    /// The surface of a part.
    Part,
    /// No skin: across an open top.
    Nothing,
}

/// A stretch of a section's curve.
#[derive(Debug, Clone)]
pub struct TemplateRun {
    /// What it runs along.
    pub of: RunOf,
    /// Corners, `[right, up]`, m.
    pub points_m: Vec<[f64; 2]>,
    /// Whether it is the whole of a closed curve.
    pub closed: bool,
}

/// A line of reference.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Line {
    /// right = 0.
    Upright,
    /// up = 0.
    Level,
}

/// The reach of the cut outline at one place along it.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct Ordinate {
    /// From the end that is measured from, m.
    pub from_end_m: f64,
    /// On paper: up of a station, right of the others, m.
    pub at_m: f64,
    /// Least and greatest on the other paper axis, m.
    pub reach_m: [f64; 2],
}

/// One bevel on paper.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct TemplateBevel {
    /// `[right, up]`, m.
    pub at_m: [f64; 2],
    /// Degrees off square.
    pub bevel_deg: f64,
}

/// Why there is no template.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TemplateError {
    /// The plane misses the craft.
    #[error(
        "nothing of the craft lies at {at_m} m: it reaches from {low_m:.3} to {high_m:.3} m there; bare numbers are metres"
    )]
    Misses {
        /// Where the plane is, m.
        at_m: f64,
        /// Lower end of the craft on that axis, m.
        low_m: f64,
        /// Upper end, m.
        high_m: f64,
    },
    /// There is no such part.
    #[error(transparent)]
    NoSuchName(#[from] NoSuchName),
    /// A part of several sheets, or without that many.
    #[error(
        "part \"{part}\" has {count} sheet{}{}: {}",
        if *count == 1 { "" } else { "s" },
        in_brackets(names),
        match (given, *count) {
            (Some(given), 1) => format!("leave --sheet {given} out"),
            (Some(given), _) => format!("there is no --sheet {given}, give 1 to {count}"),
            (None, _) => "give --sheet with the number of one".to_owned(),
        }
    )]
    WhichSheet {
        /// The part.
        part: String,
        /// How many sheets it has.
        count: usize,
        /// Which was asked for, if any.
        given: Option<usize>,
        /// What they are, in order; nothing of foam, whose sheets are counted from below.
        names: Vec<&'static str>,
    },
    /// A part that no sheet makes.
    #[error(
        "part \"{0}\" is made of no sheet that can be laid flat: there are templates of decks, walls, bulkheads, pockets, lifted panels, and of foam that is cut from sheets (`filling` with `sheet`). What stands on the outside, as a sponson or a skeg does, is cut by the craft's section at its stations: --station"
    )]
    NoSheet(String),
    /// An opening of which no area is known.
    #[error(
        "of opening \"{0}\" no more than a line is known: give its rim by three or more points"
    )]
    NoArea(String),
    /// Skin and allowance leave nothing.
    #[error("the skin and the allowance leave no room for a panel at {at_m} m")]
    NoRoom {
        /// Where the plane is, m.
        at_m: f64,
    },
}

fn in_brackets(names: &[&str]) -> String {
    match names.is_empty() {
        true => String::new(),
        false => [" (", &names.join(", "), ")"].concat(),
    }
}

/// Lays the section across an axis (0, 1, 2: station, buttock, waterline) flat:
/// the outside of the skin, or the panel that fits inside.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::template};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let station = template(&boat, 0, 1.8, None)?;
/// assert_eq!(station.at_m, Some(1.8));
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// [`TemplateError`] where there is nothing to cut.
pub fn template(
    boat: &Boat,
    axis: usize,
    at_m: f64,
    options: Option<&PanelOptions>,
) -> Result<Answer<TemplateResult>, TemplateError> {
    let (lo, hi) = boat.envelope.surface.bounds().unwrap_or_default();
    let misses = TemplateError::Misses {
        at_m,
        low_m: lo[axis],
        high_m: hi[axis],
    };
    let base_m = boat.marks.base_z_m;
    let on_paper = |p: [f64; 3]| match axis {
        0 => [-p[1], p[2] - base_m],
        1 => [p[0], p[2] - base_m],
        _ => [p[0], p[1]],
    };
    let slicer = Slicer::of(&boat.envelope.surface);
    let cut_m = where_more_is(&slicer, axis, at_m);
    let panel = options.map(|options| panel_at(boat, &slicer, axis, cut_m, options));
    let outlines: Vec<TemplateOutline> = match &panel {
        Some(panel) => panel
            .faces
            .iter()
            .map(|face| of_face(face, &on_paper))
            .collect(),
        None => vec![of_skin(boat, &slicer.section(axis, cut_m), at_m, &on_paper)],
    };
    let mut outlines = outlines.into_iter();
    let cut = outlines.next().ok_or(misses.clone())?;
    if cut.curves_m.is_empty() {
        return Err(match options {
            Some(_) if at_m > lo[axis] && at_m < hi[axis] => TemplateError::NoRoom { at_m },
            _ => misses,
        });
    }
    let other_face = outlines.next();
    let past = Caution::of_panels(panel.iter());
    let box_m = box_of(&cut, other_face.as_ref());
    let along = usize::from(axis == 0);
    let result = TemplateResult {
        across: ["station", "buttock", "waterline"][axis],
        piece: None,
        at_m: Some(at_m),
        from_stem_m: (axis == 0).then_some(boat.frame.stem_x_m - at_m),
        seen: [
            "seen from astern, deck up: starboard is to the right",
            "seen from starboard, deck up: the bow is to the right",
            "seen from above, bow to the right: port is up",
        ][axis],
        centre_line: match axis {
            0 => Some(Line::Upright),
            1 => None,
            _ => Some(Line::Level),
        },
        datum: (axis != 2).then_some(Line::Level),
        measured_from: if axis == 0 {
            "the lowest point of the cut line"
        } else {
            "the after end of the cut line"
        },
        ordinates: ordinates(&cut, along),
        bevels: panel
            .as_ref()
            .map_or_else(Vec::new, |panel| bevels(panel, &on_paper)),
        thickness_m: panel.map(|panel| panel.thickness_m),
        out_by: None,
        cut,
        other_face,
        box_m,
        frame: boat.frame,
    };
    let cautions = past.into_iter().chain(Doing::Building.cautions(boat));
    let cautions = cautions.collect();
    Ok(Answer::of(boat, result, cautions))
}

/// Where to cut for a plane: there, or where the craft begins or ends abruptly there, as a deck
/// does and a transom, just to the side on which there is more of it.
fn where_more_is(slicer: &Slicer<'_>, axis: usize, at_m: f64) -> f64 {
    let sides = [at_m - BESIDE_M, at_m + BESIDE_M];
    let [before, after] = sides.map(|at_m| slicer.section(axis, at_m).area_m2());
    match (before - after).abs() > ABRUPT * before.max(after) {
        true if before > after => sides[0],
        true => sides[1],
        false => at_m,
    }
}

/// Smallest and largest coordinates of outlines, m.
fn box_of(cut: &TemplateOutline, other_face: Option<&TemplateOutline>) -> [[f64; 2]; 2] {
    let all = || {
        let both = std::iter::once(cut).chain(other_face);
        both.flat_map(|outline| outline.curves_m.iter().flatten())
    };
    let reach = |k: usize, better: fn(f64, f64) -> f64| all().map(|p| p[k]).reduce(better);
    [f64::min as fn(f64, f64) -> f64, f64::max]
        .map(|better| [0, 1].map(|k| reach(k, better).unwrap_or(0.0)))
}

/// A panel's face on paper.
fn of_face(face: &PanelFace, on_paper: &impl Fn([f64; 3]) -> [f64; 2]) -> TemplateOutline {
    let flat = |curve: &Vec<[f64; 3]>| curve.iter().map(|p| on_paper(*p)).collect();
    TemplateOutline {
        face: face.name.to_owned(),
        at_m: Some(face.at_m),
        area_m2: face.area_m2,
        curves_m: face.pieces.iter().flatten().map(flat).collect(),
        runs: Vec::new(),
    }
}

fn bevels(panel: &PanelLine, on_paper: &impl Fn([f64; 3]) -> [f64; 2]) -> Vec<TemplateBevel> {
    let bevels = panel.bevels.iter();
    let bevels = bevels.map(|bevel| TemplateBevel {
        at_m: on_paper(bevel.at_m),
        bevel_deg: bevel.bevel_deg,
    });
    bevels.collect()
}

/// The outside of the skin on paper, cut at a place.
fn of_skin(
    boat: &Boat,
    cut: &Section,
    at_m: f64,
    on_paper: &impl Fn([f64; 3]) -> [f64; 2],
) -> TemplateOutline {
    let runs = cut.loops.iter();
    let runs = runs.flat_map(|one| parted(boat, one, on_paper));
    let curves = cut.loops.iter().map(|one| {
        let points = one.points.iter();
        points.map(|p| on_paper((*p).into())).collect()
    });
    TemplateOutline {
        face: "outside of the skin".to_owned(),
        at_m: Some(at_m),
        area_m2: cut.area_m2(),
        curves_m: curves.collect(),
        runs: runs.collect(),
    }
}

/// A closed curve parted where it passes from hull to part or open top.
fn parted(
    boat: &Boat,
    one: &SectionLoop,
    on_paper: &impl Fn([f64; 3]) -> [f64; 2],
) -> Vec<TemplateRun> {
    let of = |face: &u32| match boat.envelope.sources.get(*face as usize) {
        Some(FaceSource::Cap(_)) => RunOf::Nothing,
        Some(FaceSource::Part(_)) => RunOf::Part,
        Some(FaceSource::Hull) | None => RunOf::Skin,
    };
    let kinds: Vec<RunOf> = one.faces.iter().map(of).collect();
    let points: Vec<[f64; 2]> = one.points.iter().map(|p| on_paper((*p).into())).collect();
    let count = points.len();
    let start = (0..count).find(|k| kinds[*k] != kinds[(*k + count - 1) % count]);
    let Some(start) = start else {
        let of = kinds.first().copied().unwrap_or(RunOf::Skin);
        return vec![TemplateRun {
            of,
            points_m: points,
            closed: true,
        }];
    };
    let mut runs: Vec<TemplateRun> = Vec::new();
    for k in (start..start + count).map(|k| k % count) {
        let end = points[(k + 1) % count];
        match runs.last_mut() {
            Some(run) if run.of == kinds[k] => run.points_m.push(end),
            _ => runs.push(TemplateRun {
                of: kinds[k],
                points_m: vec![points[k], end],
                closed: false,
            }),
        }
    }
    runs
}

/// The reach of an outline at round distances from its lower end along one paper
/// axis.
fn ordinates(outline: &TemplateOutline, along: usize) -> Vec<Ordinate> {
    let places = || outline.curves_m.iter().flatten().map(|p| p[along]);
    let (Some(low), Some(high)) = (places().reduce(f64::min), places().reduce(f64::max)) else {
        return Vec::new();
    };
    let step = if high - low < LARGE_M {
        ORDINATES_M.0
    } else {
        ORDINATES_M.1
    };
    (1_u32..)
        .map(|number| f64::from(number) * step)
        .take_while(|from_end| low + from_end < high)
        .filter_map(|from_end_m| {
            let at_m = low + from_end_m;
            let mut reach: Option<[f64; 2]> = None;
            for curve in &outline.curves_m {
                let next = curve.iter().skip(1).chain(curve.first());
                for (a, b) in curve.iter().zip(next) {
                    if (a[along] >= at_m) == (b[along] >= at_m) {
                        continue;
                    }
                    let share = (at_m - a[along]) / (b[along] - a[along]);
                    let across = a[1 - along] + (b[1 - along] - a[1 - along]) * share;
                    let [least, most] = reach.unwrap_or([across; 2]);
                    reach = Some([least.min(across), most.max(across)]);
                }
            }
            Some(Ordinate {
                from_end_m,
                at_m,
                reach_m: reach?,
            })
        })
        .collect()
}
