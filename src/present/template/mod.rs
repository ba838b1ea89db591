//! A template as a drawing at full size: lines and texts in mm, which the SVG,
//! DXF and PDF writers put into their files.
mod clear;
mod dxf;
mod pdf;
mod svg;

pub use dxf::template_dxf;
pub use pdf::{Paper, template_pdf};
pub use svg::template_svg;

use super::cell::{area, length};
use super::plain::lines_of;
use super::say::Say;
use super::svg::{Anchor, width_of};
use super::words::Words;
use super::{Present, Sheet};
use crate::numerics::least_and_most;
use crate::quantity::{Dimension, Metric, UnitSystem, show};
use crate::study::{Answer, Caution, Line, OutBy, Piece, RunOf, TemplateOutline, TemplateResult};

/// Side of the square that a print is checked with, mm.
pub const CHECK_SQUARE_MM: f64 = 100.0;
/// Room round the outline for dimensions, mm.
const ROOM_MM: f64 = 26.0;
/// Height of texts, mm.
const TEXT_MM: f64 = 3.5;
/// Letters of a line of words that any template has room for.
const LETTERS: f64 = 60.0;
/// How far lines of reference run past the outline, mm.
const PAST_MM: f64 = 12.0;

/// What a line of the drawing means, and so how it is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Style {
    Cut,
    /// The outside of a part that is joined to the hull.
    Part,
    /// Across an open top: nothing to cut.
    Open,
    OtherFace,
    Centre,
    Datum,
    Dimension,
    Check,
}

impl Style {
    const ALL: [Self; 8] = [
        Self::Cut,
        Self::Part,
        Self::Open,
        Self::OtherFace,
        Self::Centre,
        Self::Datum,
        Self::Dimension,
        Self::Check,
    ];

    /// Thickness, mm.
    fn width_mm(self) -> f64 {
        match self {
            Self::Cut | Self::Part => 0.4,
            Self::OtherFace => 0.3,
            Self::Centre | Self::Datum | Self::Open => 0.2,
            Self::Check => 0.15,
            Self::Dimension => 0.1,
        }
    }

    /// Lengths of dash and gap in turn, mm; empty for a full line.
    fn dashes_mm(self) -> &'static [f64] {
        match self {
            Self::OtherFace => &[4.0, 2.0],
            Self::Part => &[12.0, 2.0],
            Self::Open => &[1.0, 3.0],
            Self::Centre => &[10.0, 2.0, 1.5, 2.0],
            Self::Datum => &[8.0, 3.0],
            Self::Cut | Self::Dimension | Self::Check => &[],
        }
    }

    /// Name of its layer.
    fn layer(self) -> &'static str {
        match self {
            Self::Cut => "CUT",
            Self::Part => "PART",
            Self::Open => "OPEN",
            Self::OtherFace => "OTHER_FACE",
            Self::Centre => "CENTRE_LINE",
            Self::Datum => "BASE_LINE",
            Self::Dimension => "DIMENSIONS",
            Self::Check => "CHECK_SQUARE",
        }
    }
}

/// One thing on paper, mm, y up.
#[derive(Debug, Clone)]
enum Mark {
    Run {
        points: Vec<[f64; 2]>,
        closed: bool,
        style: Style,
    },
    Text {
        at: [f64; 2],
        height_mm: f64,
        anchor: Anchor,
        text: String,
    },
}

/// A drawing at full size.
#[derive(Debug, Clone)]
struct Drawing {
    marks: Vec<Mark>,
    /// Corners of everything, mm.
    low: [f64; 2],
    high: [f64; 2],
    title: String,
}

impl Drawing {
    /// The template with its dimensions and words, without the check square.
    fn of(result: &Answer<TemplateResult>) -> Self {
        let [low, high] = result.box_m.map(|p| p.map(|v| v * 1e3));
        let mut drawing = Self {
            marks: Vec::new(),
            low: low.map(|v| v - ROOM_MM),
            high: high.map(|v| v + ROOM_MM),
            title: match (&result.piece, result.at_m) {
                (Some(piece), _) => format!("{}: {}", result.name, named(piece)),
                (None, at_m) => format!(
                    "{}: {} at {}",
                    result.name,
                    result.across,
                    to_mm(at_m.unwrap_or_default(), UnitSystem::Metric)
                ),
            },
        };
        let faces = [
            (Some(&result.cut), Style::Cut),
            (result.other_face.as_ref(), Style::OtherFace),
        ];
        for run in &result.cut.runs {
            let style = match run.of {
                RunOf::Skin => Style::Cut,
                RunOf::Part => Style::Part,
                RunOf::Nothing => Style::Open,
            };
            drawing.marks.push(Mark::Run {
                points: run.points_m.iter().map(|p| p.map(|v| v * 1e3)).collect(),
                closed: run.closed,
                style,
            });
        }
        for (outline, style) in faces {
            let whole = outline.filter(|outline| outline.runs.is_empty());
            for curve in whole.iter().flat_map(|outline| &outline.curves_m) {
                drawing.marks.push(Mark::Run {
                    points: curve.iter().map(|p| p.map(|v| v * 1e3)).collect(),
                    closed: true,
                    style,
                });
            }
        }
        let across = [
            (result.centre_line, Style::Centre, "centre line"),
            (result.datum, Style::Datum, "base line, z = 0"),
        ];
        for (line, style, name) in across {
            drawing.reference(line, style, name, low, high);
        }
        drawing.dimensions(result, low, high);
        drawing.words(result);
        drawing
    }

    fn run(&mut self, from: [f64; 2], to: [f64; 2], style: Style) {
        self.marks.push(Mark::Run {
            points: vec![from, to],
            closed: false,
            style,
        });
    }

    fn text(&mut self, at: [f64; 2], height_mm: f64, anchor: Anchor, text: String) {
        self.marks.push(Mark::Text {
            at,
            height_mm,
            anchor,
            text,
        });
    }

    fn reference(
        &mut self,
        line: Option<Line>,
        style: Style,
        name: &str,
        low: [f64; 2],
        high: [f64; 2],
    ) {
        match line {
            Some(Line::Upright) => {
                self.run([0.0, low[1] - PAST_MM], [0.0, high[1] + PAST_MM], style);
                let top = [2.0, high[1] + PAST_MM - 3.0];
                self.text(top, TEXT_MM, Anchor::Start, name.to_owned());
            }
            Some(Line::Level) => {
                self.run([low[0] - PAST_MM, 0.0], [high[0] + PAST_MM, 0.0], style);
                self.low[1] = self.low[1].min(-PAST_MM);
                let end = [low[0] - PAST_MM, -TEXT_MM - 1.0];
                self.text(end, TEXT_MM, Anchor::Start, name.to_owned());
            }
            None => {}
        }
    }

    /// Ordinates: a thin line across at each round distance, its reach to each
    /// side of nought in mm at its ends, the distance beside the axis.
    fn dimensions(&mut self, result: &TemplateResult, low: [f64; 2], high: [f64; 2]) {
        const SMALL_MM: f64 = 2.8;
        /// Steps in which a text looks for a clear place, mm, and how many outward.
        const STEP_MM: f64 = 2.0;
        const OUTWARD: u8 = 10;
        const INWARD: u8 = 30;
        let steps = |count: u8| (0..count).map(|step| STEP_MM * f64::from(step));
        let station = result.centre_line == Some(Line::Upright);
        let mut beside_axis = Vec::new();
        for ordinate in &result.ordinates {
            let at = ordinate.at_m * 1e3;
            let [least, most] = ordinate.reach_m.map(|v| v * 1e3);
            let from_end = format!("{:.0}", ordinate.from_end_m * 1e3);
            let ends = [(least, -1.0), (most, 1.0)];
            if station {
                self.run([least, at], [most, at], Style::Dimension);
                for (reach, side) in ends {
                    let (out, inside) = if side < 0.0 {
                        (Anchor::End, Anchor::Start)
                    } else {
                        (Anchor::Start, Anchor::End)
                    };
                    let y = at - SMALL_MM / 3.0;
                    let outward =
                        steps(OUTWARD).map(|step| ([reach + side * (2.0 + step), y], out));
                    // Over the line where it runs inside.
                    let inward =
                        steps(INWARD).map(|step| ([reach - side * (2.0 + step), at + 0.8], inside));
                    let text = format!("{:.0}", reach.abs());
                    self.text_clear(SMALL_MM, text, outward.chain(inward));
                }
                let beside = steps(INWARD).map(|step| [1.5 + 2.0 * step, at + 0.8]);
                beside_axis.push((Vec::from_iter(beside), from_end));
            } else {
                self.run([at, least], [at, most], Style::Dimension);
                for (reach, side) in ends {
                    let near = if side < 0.0 { -SMALL_MM - 1.5 } else { 1.5 };
                    let places = steps(OUTWARD)
                        .map(|step| ([at, reach + near + side * step], Anchor::Middle));
                    self.text_clear(SMALL_MM, format!("{:.0}", reach + 0.0), places);
                }
                // Along its own thin line, both ways.
                let middle = f64::midpoint(low[1], high[1]) + 0.8;
                let middle = match (least..most).contains(&middle) {
                    true => middle,
                    false => f64::midpoint(least, most),
                };
                let both = steps(INWARD).flat_map(|step| [middle + step, middle - step]);
                let both = both.filter(|y| (least..most).contains(y));
                let places = both.map(|y| [at + 1.0, y]);
                beside_axis.push((Vec::from_iter(places), from_end));
            }
        }
        for (places, text) in beside_axis {
            let places = places.into_iter().map(|at| (at, Anchor::Start));
            self.text_clear(SMALL_MM, text, places);
        }
        for bevel in &result.bevels {
            let at = bevel.at_m.map(|v| v * 1e3);
            let middle = [0, 1].map(|k| f64::midpoint(low[k], high[k]));
            let inward = [0, 1].map(|k| (middle[k] - at[k]).signum());
            let places = steps(OUTWARD).map(|step| {
                let aside = 16.0 + step;
                (
                    [at[0] + inward[0] * aside, at[1] + inward[1] * aside * 0.5],
                    Anchor::Middle,
                )
            });
            // Never minus nought.
            let text = match bevel.bevel_deg.round() {
                0.0 => "0°".to_owned(),
                degrees => format!("{degrees:+.0}°"),
            };
            self.text_clear(SMALL_MM, text, places);
        }
    }

    fn words(&mut self, result: &Answer<TemplateResult>) {
        let mut lines = vec![
            self.title.clone(),
            format!("Full size, millimetres. This side up: {}.", result.seen),
            format!("Full line: {}.", face(&result.cut, UnitSystem::Metric)),
        ];
        if let Some(other) = &result.other_face {
            lines.push(format!(
                "Dashed line: {}; the sheet is {} thick.",
                face(other, UnitSystem::Metric),
                to_mm(result.thickness_m.unwrap_or(0.0), UnitSystem::Metric)
            ));
            if result.piece.is_none() {
                lines.push(
                    "Degrees: bevel of the edge, off square; + where the dashed face is the smaller."
                        .into(),
                );
            }
        }
        for note in of_foam(result, UnitSystem::Metric) {
            lines.extend(lines_of(&note, LETTERS));
        }
        if let Some(out_by) = &result.out_by {
            lines.extend(lines_of(&in_words(out_by, UnitSystem::Metric), LETTERS));
        }
        let has = |of: RunOf| result.cut.runs.iter().any(|run| run.of == of);
        if has(RunOf::Part) {
            lines.push("Long dashes: the outside of a part that is joined to the hull.".into());
        }
        for caution in &result.cautions {
            if let Caution::PanelPastSkin { parts } = caution {
                let parts = parts.join(", ");
                lines.extend(lines_of(
                    &format!(
                        "CAREFUL: runs out into {parts}, as if the hull's skin were cut away there."
                    ),
                    LETTERS,
                ));
            }
        }
        if has(RunOf::Nothing) {
            lines.push("Dots: the open top, where there is nothing to cut.".into());
        }
        lines.push(format!(
            "Distances are from {}; at the ends of each thin line its reach{}.",
            result.measured_from,
            match (result.centre_line, result.datum) {
                (Some(_), _) => " from the centre line",
                (None, Some(_)) => " over the base line",
                (None, None) => " over the lowest point of the piece",
            }
        ));
        lines.extend(lines_of(
            &result.frame.in_words(UnitSystem::Metric),
            LETTERS,
        ));
        let [left, bottom] = [self.low[0] + 4.0, self.low[1]];
        for (number, line) in (1_u8..).zip(lines) {
            let at = [left, bottom - f64::from(number) * TEXT_MM * 1.5];
            self.high[0] = self.high[0].max(left + width_of(&line, TEXT_MM) + 2.0);
            self.low[1] = self.low[1].min(at[1] - 2.0);
            self.text(at, TEXT_MM, Anchor::Start, line);
        }
    }

    /// Adds the check square under everything.
    fn with_check_square(mut self) -> Self {
        let [left, bottom] = [self.low[0] + 4.0, self.low[1]];
        let top = bottom - 4.0;
        self.check_square([left, top - CHECK_SQUARE_MM]);
        self.low[1] = top - CHECK_SQUARE_MM - 4.0;
        self.high[0] = self.high[0].max(left + CHECK_SQUARE_MM + 4.0);
        self
    }

    fn check_square(&mut self, [left, bottom]: [f64; 2]) {
        let (right, top) = (left + CHECK_SQUARE_MM, bottom + CHECK_SQUARE_MM);
        self.marks.push(Mark::Run {
            points: vec![[left, bottom], [right, bottom], [right, top], [left, top]],
            closed: true,
            style: Style::Check,
        });
        let text = format!("check: this square is {CHECK_SQUARE_MM:.0} mm a side");
        self.text([left + 3.0, bottom + 3.0], TEXT_MM, Anchor::Start, text);
    }
}

/// A face with where it lies.
fn face(outline: &TemplateOutline, units: UnitSystem) -> String {
    match outline.at_m {
        Some(at_m) => format!("{} at {}", outline.face, to_mm(at_m, units)),
        None => outline.face.clone(),
    }
}

/// What a piece is called.
fn named(piece: &Piece) -> String {
    match piece {
        Piece::FoamSheet { part, number, of } => format!("sheet {number} of {of} of \"{part}\""),
        Piece::Sheet { part, name } => format!("{name} of \"{part}\""),
        Piece::Opening { name } => format!("opening \"{name}\""),
    }
}

/// How a sheet of foam is cut, and where its holes are.
fn of_foam(result: &TemplateResult, units: UnitSystem) -> Vec<String> {
    if !matches!(result.piece, Some(Piece::FoamSheet { .. })) {
        return Vec::new();
    }
    let mut notes = vec![
        "Drawn to the outside of the hull's skin: where the sheet lies against that, take the skin's thickness off. Cut by the full line, then bevel or hollow out to the dashed one.".to_owned(),
    ];
    let start = result.cut.curves_m.iter().flatten().map(|p| p[0]);
    let start_m = start.fold(f64::INFINITY, f64::min);
    let outlines = std::iter::once(&result.cut).chain(&result.other_face);
    for hole in outlines.flat_map(TemplateOutline::holes) {
        let ends = |k: usize| least_and_most(hole.iter().map(|p| p[k]));
        let ((aft, fore), (low, high)) = (ends(0), ends(1));
        let [aft, fore] = [aft, fore].map(|x| to_mm(x - start_m, units));
        let [low, high] = [low, high].map(|y| to_mm(y, units));
        let note = format!(
            "Hole: from {aft} to {fore} along, from {low} to {high} off the centre line, port +."
        );
        if !notes.contains(&note) {
            notes.push(note);
        }
    }
    notes
}

/// How far a piece laid flat differs from what it is cut for.
fn in_words(out_by: &OutBy, units: UnitSystem) -> String {
    match out_by {
        OutBy::Stretched(share) => format!(
            "The sheet bends both ways: laid flat it differs by up to {:.1} % of a length; leave some over and trim it in place.",
            share * 100.0
        ),
        OutBy::OffPlane(off_m) => format!(
            "The edge is not flat: it strays by up to {} from the plane that it is drawn in.",
            to_mm(*off_m, units)
        ),
    }
}

/// Millimetres, with a tenth only where there is one.
fn to_mm(m: f64, units: UnitSystem) -> String {
    let is_whole = ((m * 1e3).round() - m * 1e3).abs() < 0.05;
    Say(units).of(m, Metric::Millimetre, usize::from(!is_whole))
}

impl Present for Answer<TemplateResult> {
    fn words(&self) -> Words {
        let name = |outline| face(outline, UnitSystem::Metric);
        let words = Words::default()
            .and_cautions(&self.cautions)
            .and("/cut/name", name(&self.cut));
        match &self.other_face {
            Some(other) => words.and("/other_face/name", name(other)),
            None => words,
        }
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let at = |m: f64| show(m, Dimension::Length, units);
        let from_stem = self
            .from_stem_m
            .map_or_else(String::new, |m| format!(", {} from the stem", at(m)));
        let what = match (&self.piece, self.at_m) {
            (Some(piece), _) => named(piece),
            (None, Some(at_m)) => format!("{} at {}{from_stem}", self.across, at(at_m)),
            (None, None) => self.across.to_owned(),
        };
        let title = format!("{}: template, {what}", self.name);
        let mut sheet = Sheet::titled(title, units);
        let [breadth, height] = [0, 1].map(|k| length(self.box_m[1][k] - self.box_m[0][k]));
        sheet
            .heading("The piece")
            .value("seen", self.seen)
            .value("breadth and height on paper", breadth.joined(" × ", height))
            .value("cut line", face(&self.cut, units))
            .value("area", area(self.cut.area_m2));
        let station = self.centre_line == Some(Line::Upright);
        let rows = self.ordinates.iter().map(|ordinate| {
            let [least, most] = ordinate.reach_m;
            // To port counts as more on the left of a station.
            let least = if station { -least } else { least };
            [ordinate.from_end_m, least, most].map(length)
        });
        let header = if station {
            ["up", "to the left (port)", "to the right (starboard)"]
        } else {
            ["along", "lower edge", "upper edge"]
        };
        let out_by: Vec<String> = self.out_by.iter().map(|by| in_words(by, units)).collect();
        sheet
            .heading(&format!("Measured from {}", self.measured_from))
            .grid(&header, rows)
            .notes(&of_foam(self, units))
            .notes(&out_by)
            .notes(&[format!(
                "print at 100 %, without \"fit to page\", and check before you cut: the square must measure {}",
                Say(units).of(CHECK_SQUARE_MM / 1000.0, Metric::Millimetre, 0)
            )]);
        sheet.wary_of(self)
    }
}
