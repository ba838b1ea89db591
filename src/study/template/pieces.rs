//! Pieces of parts laid flat.
use nalgebra::{Rotation2, Vector2};

use super::super::shared::answer::Answer;
use super::super::shared::cautions::Doing;
use super::super::shared::foam_sheets::{SheetFaces, sheet_count, sheet_faces};
use super::super::shared::named::{NoSuchName, opening_named};
use super::{
    Line, OutBy, Piece, TemplateError, TemplateOutline, TemplateResult, box_of, ordinates,
};
use crate::boat::{Boat, PartAboard, PartSheet, SheetLies, WallFoot};
use crate::mesh::{Section, Surface, ring_area, unroll};
use crate::numerics::{Vec3, least_and_most};

/// A plane whose normal's z is more than this (30° off upright) is drawn from above; the same
/// of x tells which way the bow lies.
const LEVEL: f64 = 0.5;
/// A drawing whose up leans off y by less than this shows y itself.
const ACROSS: f64 = 1e-3;
/// An opening of no more area than this is known by a line at most, m².
const LEAST_AREA_M2: f64 = 1e-9;
/// A rim that strays from its plane by no more than this is flat, m.
const FLAT_M: f64 = 0.0005;
/// Share of their length by which edges of a sheet may differ before that is told: half a
/// millimetre in a metre.
const NO_STRAIN: f64 = 5e-4;

/// A sheet of a part laid flat, by its number from 1; the only one where none is given.
///
/// # Errors
/// [`TemplateError`] where the boat has no such part, or that no such sheet.
pub fn template_of_part(
    boat: &Boat,
    part: &str,
    sheet: Option<usize>,
) -> Result<Answer<TemplateResult>, TemplateError> {
    let found = boat.parts.iter().find(|found| found.name == part);
    let found = found.ok_or_else(|| NoSuchName {
        kind: "part",
        name: part.to_owned(),
        known: boat.parts.iter().map(|part| part.name.clone()).collect(),
    })?;
    let foam = sheet_count(found);
    let count = foam.max(found.sheets.len());
    let number = match (sheet, count) {
        (_, 0) => return Err(TemplateError::NoSheet(part.to_owned())),
        (Some(number), count) if (1..=count).contains(&number) => number,
        (None, 1) => 1,
        _ => {
            let names = found.sheets.iter().map(|sheet| sheet.name);
            return Err(TemplateError::WhichSheet {
                part: part.to_owned(),
                count,
                given: sheet,
                names: names.collect(),
            });
        }
    };
    match number <= foam {
        true => foam_sheet(boat, found, [number, foam]),
        false => part_sheet(boat, part, &found.sheets[number - 1]),
    }
    .ok_or_else(|| TemplateError::NoSheet(part.to_owned()))
}

/// The rim of an opening laid flat in the plane that its area faces square to.
///
/// # Errors
/// [`TemplateError`] where the boat has no such opening, or knows of it no more than a line.
pub fn template_of_opening(
    boat: &Boat,
    opening: &str,
) -> Result<Answer<TemplateResult>, TemplateError> {
    let number = opening_named(boat, opening)?;
    let foot = WallFoot::round(&boat.openings[number].rim);
    let curves = foot.rings_m();
    let square = curves.iter().map(|ring| ring_area(ring)).sum::<Vec3>();
    let no_area = || TemplateError::NoArea(opening.to_owned());
    let mut out = square.try_normalize(LEAST_AREA_M2).ok_or_else(no_area)?;
    // Seen from above, or from outside where it stands upright.
    let middle = (boat.hull_box_m.0 + boat.hull_box_m.1) / 2.0;
    let outward = curves.iter().flatten().map(|p| p - middle).sum::<Vec3>();
    let is_level = out.z.abs() > LEVEL;
    if (is_level && out.z < 0.0) || (!is_level && out.dot(&outward) < 0.0) {
        out = -out;
    }
    let [right, up] = on_plane(&out);
    let points = || curves.iter().flatten();
    let off = points().map(|p| out.dot(p));
    let (least, most) = least_and_most(off);
    let flat = |ring: &Vec<Vec3>| -> Vec<[f64; 2]> {
        ring.iter().map(|p| [right.dot(p), up.dot(p)]).collect()
    };
    let curves_m: Vec<Vec<[f64; 2]>> = curves.iter().map(flat).collect();
    let drawn = Drawn {
        piece: Piece::Opening {
            name: opening.to_owned(),
        },
        at_m: None,
        seen: seen_along(&out),
        centre_line: (is_level && up.z.abs() < ACROSS).then_some(Line::Level),
        cut: TemplateOutline {
            face: "edge of the opening".to_owned(),
            at_m: None,
            area_m2: curves_m.iter().map(|ring| area_of(ring)).sum::<f64>().abs(),
            curves_m,
            runs: Vec::new(),
        },
        other_face: None,
        thickness_m: None,
        out_by: Some(OutBy::OffPlane(most - least)).filter(|_| most - least > FLAT_M),
    };
    Ok(drawn.on_paper(boat))
}

/// Right and up on paper in a plane that is seen along `out` from its outside: x to the right
/// and y up where it lies level, else level to the right and z up.
fn on_plane(out: &Vec3) -> [Vec3; 2] {
    let right = match out.z.abs() > LEVEL {
        true => Vec3::x() - out * out.x,
        false => Vec3::z().cross(out),
    };
    let right = right.normalize();
    [right, out.cross(&right)]
}

/// From where such a plane is seen, and which way is up.
fn seen_along(out: &Vec3) -> &'static str {
    let [right, _] = on_plane(out);
    match (out.z.abs() > LEVEL, right.x) {
        (true, _) => "seen from above, bow to the right: port is up",
        (false, x) if x > LEVEL => "seen from starboard, deck up: the bow is to the right",
        (false, x) if x < -LEVEL => "seen from port, deck up: the bow is to the left",
        _ => "seen from outside, deck up",
    }
}

/// A sheet of laminate or ply.
fn part_sheet(boat: &Boat, part: &str, sheet: &PartSheet) -> Option<Answer<TemplateResult>> {
    let base_m = boat.marks.base_z_m;
    let out = match &sheet.lies {
        SheetLies::Facing(surface) => surface.sum_over_faces(|face| surface.face_normal(face)),
        SheetLies::Drawn { out, .. } => *out,
        SheetLies::Across(_) | SheetLies::Standing(_) => Vec3::x(),
    };
    let out = out.try_normalize(0.0)?;
    let (curves_m, strain) = match &sheet.lies {
        SheetLies::Across(curves) => {
            let flat = |p: &Vec3| [-p.y, p.z - base_m];
            let curves = curves.iter().map(|one| one.iter().map(flat).collect());
            (curves.collect(), 0.0)
        }
        SheetLies::Drawn { corners, .. } => {
            let ring = corners.iter().map(|p| [p.x, p.y]).collect();
            (vec![ring], 0.0)
        }
        SheetLies::Facing(surface) => unrolled(surface, Some(on_plane(&out)))?,
        SheetLies::Standing(surface) => unrolled(surface, None)?,
    };
    let curves_m: Vec<Vec<[f64; 2]>> = curves_m;
    let (least, most) = least_and_most(curves_m.iter().flatten().map(|p| p[1]));
    let over_middle = on_plane(&out)[1].z.abs() < ACROSS && least < 0.0 && most > 0.0;
    let drawn = Drawn {
        piece: Piece::Sheet {
            part: part.to_owned(),
            name: sheet.name,
        },
        at_m: None,
        seen: match sheet.lies {
            SheetLies::Across(_) => "seen from astern, deck up: starboard is to the right",
            SheetLies::Facing(_) | SheetLies::Drawn { .. } => seen_along(&out),
            SheetLies::Standing(_) => match sheet.name {
                "sides" => "seen from outside the pocket, the edge at its floor down",
                "gaps" => "seen from outside, the edge on the skin down",
                _ => "seen from outside, foot down; it begins and ends at the after end",
            },
        },
        centre_line: match sheet.lies {
            SheetLies::Across(_) => Some(Line::Upright),
            SheetLies::Facing(_) if out.z.abs() > LEVEL && over_middle => Some(Line::Level),
            _ => None,
        },
        cut: TemplateOutline {
            face: match sheet.lies {
                SheetLies::Across(_) => {
                    "outside of the skin that it stands in, whose thickness is to be taken off"
                }
                _ => "edge of the sheet, laid flat",
            }
            .to_owned(),
            at_m: None,
            area_m2: curves_m.iter().map(|ring| area_of(ring)).sum::<f64>().abs(),
            curves_m,
            runs: Vec::new(),
        },
        other_face: None,
        thickness_m: None,
        out_by: Some(OutBy::Stretched(strain)).filter(|_| strain > NO_STRAIN),
    };
    Some(drawn.on_paper(boat))
}

/// The edges of a sheet that is laid flat, turned and moved to where its places are seen
/// along two axes where these are given; and by how much of their length its edges then differ.
fn unrolled(surface: &Surface, axes: Option<[Vec3; 2]>) -> Option<(Vec<Vec<[f64; 2]>>, f64)> {
    let flat = unroll(surface, axes)?;
    let pairs = surface.vertices.iter().zip(&flat.places);
    let pairs: Vec<(Vector2<f64>, Vector2<f64>)> = pairs
        .filter_map(|(p, place)| {
            let [right, up] = axes?;
            Some((Vector2::new(right.dot(p), up.dot(p)), *place))
        })
        .collect();
    let count = pairs.len().max(1) as f64;
    let to = pairs.iter().map(|(to, _)| to).sum::<Vector2<f64>>() / count;
    let from = pairs.iter().map(|(_, from)| from).sum::<Vector2<f64>>() / count;
    // The turn that brings the places nearest to where they are seen.
    let (cos, sin) = pairs.iter().fold((0.0, 0.0), |(cos, sin), (a, b)| {
        let (a, b) = (a - to, b - from);
        (cos + b.dot(&a), sin + b.perp(&a))
    });
    let turn = match pairs.is_empty() {
        true => Rotation2::identity(),
        false => Rotation2::new(f64::atan2(sin, cos)),
    };
    let place = |v: &u32| {
        let at = turn * (flat.places[*v as usize] - from) + to;
        [at.x, at.y]
    };
    let curves = flat
        .border
        .iter()
        .map(|one| one.iter().map(place).collect());
    Some((curves.collect(), flat.strain))
}

/// Area that a ring of points goes round, counter-clockwise positive, m².
pub(super) fn area_of(ring: &[[f64; 2]]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    let sides = ring.iter().zip(next);
    sides.map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>() / 2.0
}

/// One sheet of foam of so many: the face that holds the other, and that; or what holds both,
/// and both.
fn foam_sheet(
    boat: &Boat,
    part: &PartAboard,
    [number, of]: [usize; 2],
) -> Option<Answer<TemplateResult>> {
    let SheetFaces {
        heights_m: [from_m, to_m],
        cut,
        others,
    } = sheet_faces(part, number)?;
    let curves = |face: &Section| -> Vec<Vec<[f64; 2]>> {
        let loops = face.loops.iter();
        loops
            .map(|one| one.points.iter().map(|p| [p.x, p.y]).collect())
            .collect()
    };
    let outline = |face: &Section| {
        let name = match face.at_m < (from_m + to_m) / 2.0 {
            true => "lower face",
            false => "upper face",
        };
        TemplateOutline {
            face: name.to_owned(),
            at_m: Some(face.at_m),
            area_m2: face.area_m2(),
            curves_m: curves(face),
            runs: Vec::new(),
        }
    };
    let together = |face: &str, curves_m, area_m2| TemplateOutline {
        face: face.to_owned(),
        at_m: None,
        area_m2,
        curves_m,
        runs: Vec::new(),
    };
    let (cut, other) = match others.as_slice() {
        [smaller] => (outline(&cut), outline(smaller)),
        both => {
            let area_m2 = both
                .iter()
                .map(Section::area_m2)
                .fold(f64::INFINITY, f64::min);
            let drawn = both.iter().flat_map(curves).collect();
            (
                together("what holds both faces", curves(&cut), cut.area_m2()),
                together("lower and upper face", drawn, area_m2),
            )
        }
    };
    let other = Some(other).filter(|other| !other.curves_m.is_empty());
    let drawn = Drawn {
        piece: Piece::FoamSheet {
            part: part.name.clone(),
            number,
            of,
        },
        at_m: Some(from_m),
        seen: "seen from above, bow to the right: port is up",
        centre_line: Some(Line::Level),
        cut,
        other_face: other,
        thickness_m: Some(to_m - from_m),
        out_by: None,
    };
    Some(drawn.on_paper(boat))
}

/// A piece as it lies on paper.
struct Drawn {
    piece: Piece,
    at_m: Option<f64>,
    seen: &'static str,
    centre_line: Option<Line>,
    cut: TemplateOutline,
    other_face: Option<TemplateOutline>,
    thickness_m: Option<f64>,
    out_by: Option<OutBy>,
}

impl Drawn {
    fn on_paper(mut self, boat: &Boat) -> Answer<TemplateResult> {
        if self.centre_line.is_none() {
            // Its own lower left corner is as good a nought as any.
            let [low, _] = box_of(&self.cut, None);
            let points = self.cut.curves_m.iter_mut().flatten();
            points.for_each(|p| *p = [p[0] - low[0], p[1] - low[1]]);
        }
        // A sheet that stands across the boat is measured as a station is.
        let upward = self.centre_line == Some(Line::Upright);
        let result = TemplateResult {
            across: "piece",
            piece: Some(self.piece),
            at_m: self.at_m,
            from_stem_m: None,
            seen: self.seen,
            centre_line: self.centre_line,
            datum: upward.then_some(Line::Level),
            measured_from: match upward {
                true => "the lowest point of the cut line",
                false => "the left end of the cut line",
            },
            ordinates: ordinates(&self.cut, usize::from(upward)),
            bevels: Vec::new(),
            thickness_m: self.thickness_m,
            box_m: box_of(&self.cut, self.other_face.as_ref()),
            cut: self.cut,
            other_face: self.other_face,
            out_by: self.out_by,
            frame: boat.frame,
        };
        let cautions = Doing::Building.cautions(boat);
        Answer::of(boat, result, cautions.collect())
    }
}
