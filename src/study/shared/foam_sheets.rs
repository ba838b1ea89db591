//! Blocks of foam that are cut from sheets, stacked level.
use schemars::JsonSchema;
use serde::Serialize;

use crate::boat::{Boat, Envelope, FoamBlock, Operation, PartAboard};
use crate::immersion::{MomentTree, WaterPlane};
use crate::mesh::{Section, SectionLoop, Slicer, Surface, solids};
use crate::numerics::{Vec3, least_and_most};

/// A sheet's faces are cut this share of its thickness inside it: on the block's own bottom
/// there is no section.
const INSIDE: f64 = 1e-6;
/// A rest of this share of a sheet is no sheet more.
const NO_SHEET: f64 = 1e-6;
/// A face that reaches past another by no more than this share of the other's area lies
/// within it: what the corners of two cuts through one skin differ by. Ours.
const WITHIN: f64 = 1e-4;

/// One sheet of a block of foam: what to cut of it.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct FoamSheet {
    /// The part that it belongs to.
    pub part: String,
    /// Its number, from the bottom up, from 1.
    pub number: usize,
    /// How many the block is cut from.
    pub of: usize,
    /// Height of its lower face, z, m.
    pub from_m: f64,
    /// Height of its upper face, z, m.
    pub to_m: f64,
    /// Length that it takes of the sheet, along the boat, m.
    pub length_m: f64,
    /// Width that it takes of the sheet, across the boat, m.
    pub width_m: f64,
    /// How many pieces it is cut in.
    pub pieces: usize,
    /// Area inside the line that it is cut by, which holds both of its faces, m².
    pub area_m2: f64,
    /// Its volume, m³.
    pub volume_m3: f64,
    /// What its foam weighs, without glass, kg.
    pub mass_kg: f64,
}

/// The sheets of a part, from the bottom up; none of one that is not cut from sheets.
fn foam_sheets(part: &PartAboard) -> Vec<FoamSheet> {
    let Some((block, heights)) = stack(part) else {
        return Vec::new();
    };
    let tree = MomentTree::new(&block.solid, &[]);
    let under = |z_m: f64| {
        let level = WaterPlane::at_attitude(0.0, 0.0, z_m);
        tree.immerse(&level).volume_m3
    };
    let slicer = Slicer::of(&block.solid);
    let sheets = heights.windows(2).enumerate();
    let sheets = sheets.map(|(index, ends)| {
        let [from_m, to_m] = [ends[0], ends[1]];
        let face = faces(&slicer, [from_m, to_m]).cut;
        let [length_m, width_m] = reach(&block.solid, from_m, to_m);
        let volume_m3 = under(to_m) - under(from_m);
        let is_outer = |one: &&SectionLoop| face.loop_area_m2(one) > 0.0;
        FoamSheet {
            part: part.name.clone(),
            number: index + 1,
            of: heights.len() - 1,
            from_m,
            to_m,
            length_m,
            width_m,
            pieces: face.loops.iter().filter(is_outer).count(),
            area_m2: face.area_m2(),
            volume_m3,
            mass_kg: volume_m3 * block.density_kg_m3,
        }
    });
    sheets.collect()
}

/// The sheets of every part of a boat.
pub(in crate::study) fn all_foam_sheets(boat: &Boat) -> Vec<FoamSheet> {
    boat.parts.iter().flat_map(foam_sheets).collect()
}

/// How many sheets a part is cut from.
pub(in crate::study) fn sheet_count(part: &PartAboard) -> usize {
    stack(part).map_or(0, |(_, heights)| heights.len() - 1)
}

/// What one sheet is cut by.
pub(in crate::study) struct SheetFaces {
    /// Heights of its lower and its upper face, z, m.
    pub(in crate::study) heights_m: [f64; 2],
    /// The face that holds the other, or what holds both.
    pub(in crate::study) cut: Section,
    /// The faces that differ from that: one, or both.
    pub(in crate::study) others: Vec<Section>,
}

/// What one sheet of a part is cut by; `None` where there is no such sheet.
pub(in crate::study) fn sheet_faces(part: &PartAboard, number: usize) -> Option<SheetFaces> {
    let (block, heights) = stack(part)?;
    let below = number.checked_sub(1)?;
    let (from_m, to_m) = (*heights.get(below)?, *heights.get(number)?);
    Some(faces(&Slicer::of(&block.solid), [from_m, to_m]))
}

/// A block with the heights between its sheets, z, m.
fn stack(part: &PartAboard) -> Option<(&FoamBlock, Vec<f64>)> {
    let block = part.block.as_ref()?;
    let sheet_m = block.sheet_m?;
    let (lo, hi) = block.solid.bounds()?;
    let whole = (1_u16..).map(|number| lo.z + sheet_m * f64::from(number));
    let between = whole.take_while(|z| *z < hi.z - NO_SHEET * sheet_m);
    let heights = std::iter::once(lo.z).chain(between);
    Some((block, heights.chain([hi.z]).collect()))
}

fn faces(slicer: &Slicer<'_>, heights_m: [f64; 2]) -> SheetFaces {
    let [from_m, to_m] = heights_m;
    let inside = INSIDE * (to_m - from_m);
    let [mut larger, mut smaller] = [(from_m, inside), (to_m, -inside)].map(|(z_m, by)| {
        let mut face = slicer.section(2, z_m + by);
        face.at_m = z_m;
        face
    });
    // By the outlines: a hole that an item leaves is no reason to cut by the other face.
    if outline_m2(&smaller) > outline_m2(&larger) {
        std::mem::swap(&mut larger, &mut smaller);
    }
    match around(&larger, &smaller) {
        Some(both) if both.area_m2() > larger.area_m2() * (1.0 + WITHIN) => SheetFaces {
            heights_m,
            cut: both,
            others: vec![larger, smaller],
        },
        _ => SheetFaces {
            heights_m,
            cut: larger,
            others: vec![smaller],
        },
    }
}

/// Area inside the outer curves of a face, m².
fn outline_m2(face: &Section) -> f64 {
    let loops = face.loops.iter();
    loops.map(|one| face.loop_area_m2(one).max(0.0)).sum()
}

/// What two level faces cover between them; `None` where one of them is nothing, or covers
/// nothing that can be told from a line.
fn around(one: &Section, other: &Section) -> Option<Section> {
    // No two of their ends lie in one plane.
    let tall = upright(one, 0.0, 3.0)?;
    let both = tall.combine(&upright(other, 1.0, 2.0)?, Operation::Join);
    let mut cut = Slicer::of(&both.ok()?.surface).section(2, 1.5);
    cut.at_m = one.at_m;
    Some(cut)
}

/// A level face made so tall, from outer curves to holes.
fn upright(face: &Section, from_m: f64, to_m: f64) -> Option<Envelope> {
    let (outer, holes): (Vec<_>, Vec<_>) = face
        .loops
        .iter()
        .partition(|one| face.loop_area_m2(one) > 0.0);
    let prism = |one: &SectionLoop, [from_m, to_m]: [f64; 2]| {
        let ring = |z_m: f64| -> Vec<Vec3> {
            let points = one.points.iter();
            points.map(|p| Vec3::new(p.x, p.y, z_m)).collect()
        };
        let solid = solids::solid_through(&[&ring(from_m), &ring(to_m)]);
        Envelope::of_part(solid, 0)
    };
    let past_m = (to_m - from_m) / 4.0;
    let mut all: Option<Envelope> = None;
    for one in outer {
        let solid = prism(one, [from_m, to_m]);
        all = Some(match all {
            Some(all) => all.combine(&solid, Operation::Join).ok()?,
            None => solid,
        });
    }
    holes.into_iter().try_fold(all?, |all, hole| {
        let room = prism(hole, [from_m - past_m, to_m + past_m]);
        all.combine(&room, Operation::Cut).ok()
    })
}

/// How far what lies between two heights reaches along and across, m.
fn reach(solid: &Surface, from_m: f64, to_m: f64) -> [f64; 2] {
    let mut inside: Vec<Vec3> = Vec::new();
    for face in 0..solid.faces.len() {
        let corners = solid.corners(face);
        for k in 0..3 {
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            if (from_m..=to_m).contains(&a.z) {
                inside.push(a);
            }
            for z_m in [from_m, to_m] {
                if (a.z < z_m) != (b.z < z_m) {
                    inside.push(a + (b - a) * ((z_m - a.z) / (b.z - a.z)));
                }
            }
        }
    }
    [0, 1].map(|axis| {
        let (least, most) = least_and_most(inside.iter().map(|p| p[axis]));
        (most - least).max(0.0)
    })
}
