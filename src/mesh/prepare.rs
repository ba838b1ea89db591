//! From a surface as it came to one that encloses a definite volume.
use std::ops::Range;

use schemars::JsonSchema;
use serde::Serialize;

use super::capping::Capping;
use super::check::{Defect, DefectKind, Examination, Loop, SPECK_SHARE};
use super::clean::faces_to_keep;
use super::columns;
use super::doubt::{Doubt, DoubtKind, at};
use super::mend::{TiltError, two_sides_of_shells};
use super::raw::FacetNumbers;
use super::surface::Surface;
use super::survey::Survey;
use super::topology::{Topology, ends};
use crate::quantity::{Sentence, litres, mm, sentence};

/// Openings shorter round than this are mended as scan defects, m: a hole
/// that a 19 mm plug would close.
pub const DEFAULT_FILL_UNDER_M: f64 = 0.06;

/// How a surface is to be prepared.
#[derive(Debug, Clone, PartialEq)]
pub struct PrepareOptions {
    /// Openings shorter round than this are mended as scan defects, m.
    pub fill_under_m: f64,
    /// Which facet of the file each face is.
    pub facets: FacetNumbers,
}

impl Default for PrepareOptions {
    fn default() -> Self {
        Self {
            fill_under_m: DEFAULT_FILL_UNDER_M,
            facets: FacetNumbers::default(),
        }
    }
}

/// An opening and the cap that closes it.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct CappedLoop {
    /// Vertices round the rim, in the direction of the surface's own edges.
    pub rim: Vec<u32>,
    /// Length round it, m.
    pub length_m: f64,
    /// Faces of the prepared surface that close it.
    pub cap: Range<usize>,
    /// Whether it was taken for a scan defect rather than an opening.
    pub mended: bool,
    /// How far its height may be off, ± m, where its rim was fitted to a scan.
    pub height_error_m: Option<f64>,
}

/// A surface that is closed and faces outward, as far as that could be had.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Prepared {
    /// The surface, its caps last.
    #[serde(skip)]
    pub surface: Surface,
    /// Its openings, the longest first, then the mended ones.
    pub loops: Vec<CappedLoop>,
    /// What was wrong with it before.
    pub examination: Examination,
    /// What was done about it, and what could not be.
    pub doubts: Vec<Doubt>,
    /// Whether every edge is matched.
    pub closed: bool,
    /// How far its frame may be off, where a scan was turned upright.
    pub tilt_error: Option<TiltError>,
    /// The share of its area that its averaged skin has, where a rough scan was mended.
    pub area_share: Option<f64>,
}

impl Prepared {
    /// The surface without the caps over its openings and mended holes.
    #[must_use]
    pub fn without_caps(&self) -> Surface {
        let mut surface = self.surface.clone();
        let caps = self.loops.iter().map(|capped| capped.cap.start);
        surface
            .faces
            .truncate(caps.min().unwrap_or(surface.faces.len()));
        surface
    }

    /// The distance between the two sides of its skin, m, where it holds both.
    #[must_use]
    pub fn two_sides(&self) -> Option<f64> {
        two_sides_of_shells(&self.surface, self.examination.shells.len())
    }

    /// Its openings and mended holes as loops.
    #[must_use]
    pub fn rims(&self) -> Vec<Loop> {
        let loops = self.loops.iter();
        loops
            .map(|capped| Loop::through(&self.surface, &capped.rim))
            .collect()
    }
}

/// Mends, orients and caps a surface.
///
/// Faces that are there twice or have a corner twice go, as do loose open
/// specks. Every shell is made to agree with itself; openings are closed
/// with triangles between their own vertices; closed parts are turned to face
/// outward, or inward where they came as a hollow inside another. Last, the
/// result is audited by columns.
#[must_use]
pub fn prepare(surface: Surface, options: &PrepareOptions) -> Prepared {
    let mut surface = surface;
    let mut doubts = Vec::new();
    let mut topology = Topology::of(&surface);
    let mut survey = Survey::of(&surface, &topology, &options.facets);
    let examination = survey.examination.clone();
    doubt_defects(&examination, &mut doubts);
    if let Some(kept) = faces_to_keep(&surface, &topology, &survey, &mut doubts) {
        let mut flags = kept.iter();
        surface
            .faces
            .retain(|_| flags.next().copied().unwrap_or(true));
        surface.drop_unused_vertices();
        topology = Topology::of(&surface);
        survey = Survey::of(&surface, &topology, &options.facets);
    }
    let capping = Capping::of(&surface, &topology, &survey, options.fill_under_m);
    let (surface, loops) = capping.finish(surface, &topology, &mut doubts);
    say_what_is_left(&surface, &topology, &survey, &mut doubts);
    let mut prepared = Prepared {
        closed: surface.is_balanced(),
        surface,
        loops,
        examination,
        doubts: Vec::new(),
        tilt_error: None,
        area_share: None,
    };
    if prepared.closed {
        audit(&mut prepared, &mut doubts);
    } else {
        doubts.push(not_closed(&prepared.examination));
    }
    prepared.doubts = doubts;
    prepared
}

/// Every class of defect with its first elements and places; openings are told
/// with what was done about each.
fn doubt_defects(examination: &Examination, doubts: &mut Vec<Doubt>) {
    for class in examination.classes() {
        if class.kind != DefectKind::OpenLoop {
            doubts.push(Doubt::new(DoubtKind::Defect, class.sentence()));
        }
    }
}

fn not_closed(examination: &Examination) -> Doubt {
    let places = examination
        .defects
        .iter()
        .filter(|d| matches!(d.kind, DefectKind::OneSided | DefectKind::LooseChain))
        .take(3)
        .map(Defect::sentence);
    let mut text = Sentence::from(
        "the surface could not be closed, so no volume of it can be trusted: mend it in a mesh editor first",
    );
    let mut mark = " (";
    for place in places {
        text = text.then(mark).then(place);
        mark = "; ";
    }
    if mark == "; " {
        text = text.then(")");
    }
    Doubt::new(DoubtKind::NotClosed, text)
}

/// Doubts that mending did not remove.
fn say_what_is_left(
    surface: &Surface,
    topology: &Topology,
    survey: &Survey,
    doubts: &mut Vec<Doubt>,
) {
    if let Some(edge) = topology.branching.first() {
        let (a, b) = ends(&surface.faces, edge.half_edges[0]);
        let middle = (surface.vertices[a as usize] + surface.vertices[b as usize]) / 2.0;
        doubts.push(Doubt::new(
            DoubtKind::Branching,
            sentence![
                format!(
                    "{} edges have three or more faces, the first at ",
                    topology.branching.len()
                ),
                at(&middle),
                ": which space is inside there is a guess"
            ],
        ));
    }
    let closed_specks = survey
        .examination
        .shells
        .iter()
        .filter(|s| s.closed && s.diagonal_m() < SPECK_SHARE * survey.examination.diagonal_m)
        .count();
    if closed_specks > 0 {
        doubts.push(Doubt::new(
            DoubtKind::Specks,
            format!("{closed_specks} small closed pieces were kept and count as part of the hull"),
        ));
    }
}

fn audit(prepared: &mut Prepared, doubts: &mut Vec<Doubt>) {
    let Some(found) = columns::audit(&prepared.surface) else {
        return;
    };
    for (is_there, volume_m3, place, what) in [
        (
            found.is_doubled(),
            found.excess_volume_m3,
            found.doubled_at,
            "is counted more than once, so volumes are too high by that much",
        ),
        (
            found.is_inside_out(),
            found.inside_out_volume_m3,
            found.inside_out_at,
            "is enclosed inside out, so volumes are too low by that much",
        ),
    ] {
        if let Some(place) = place.filter(|_| is_there) {
            doubts.push(Doubt::new(
                DoubtKind::Overlap,
                sentence![
                    "about ",
                    litres(volume_m3, 3),
                    format!(" {what}: parts of the surface pass through each other, worst at "),
                    at(&place.0),
                    " (seen on columns of ",
                    mm(found.cell_m, 1),
                    ")"
                ],
            ));
        }
    }
    prepared.examination.add_audit(found);
}

#[cfg(test)]
#[path = "prepare_tests.rs"]
mod tests;
