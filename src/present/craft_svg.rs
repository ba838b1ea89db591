//! A craft as it lies in the water, drawn: outline, water, rims with their
//! heights and signs, what is aboard, CG and CB.
use super::svg::{Anchor, Svg, colour};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{CraftPicture, RimSeen, Verdict, View};

/// Height of labels and of their rows, in the drawing's unit.
const LABEL: f64 = 12.0;
const ROW: f64 = 16.0;
/// Radius of a thing aboard of 1 kg; it grows with the square root of the mass.
const RADIUS_OF_1_KG: f64 = 1.3;

/// How a view lies on the paper.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    /// Where the view's 0, 0 comes.
    origin: [f64; 2],
    /// Drawing units a metre.
    scale: f64,
    /// Left and right end of the water.
    edges: [f64; 2],
    /// Height at which the lowest label stands.
    labels: f64,
}

impl Frame {
    /// A view in the middle of a width from `left`, its highest point under the
    /// lowest label.
    pub(super) fn under_labels(
        view: &View,
        [left, width]: [f64; 2],
        labels: f64,
        scale: f64,
    ) -> Self {
        let [low_x, high_x, _, high] = reach(view);
        let middle = left + width / 2.0;
        Self {
            origin: [
                middle - f64::midpoint(low_x, high_x) * scale,
                labels + 10.0 + high.max(0.0) * scale,
            ],
            scale,
            edges: [left, left + width],
            labels,
        }
    }

    fn place(&self, [right, up]: [f64; 2]) -> [f64; 2] {
        [
            self.origin[0] + right * self.scale,
            self.origin[1] - up * self.scale,
        ]
    }
}

/// The sign of a verdict, told apart without colour.
pub(super) fn sign(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        Some(Verdict::Fail) => "✕",
        Some(Verdict::Marginal) => "!",
        Some(Verdict::Clear) => "✓",
        None => "–",
    }
}

/// Left, right, lowest and highest of a view's outline, m.
pub(super) fn reach(view: &View) -> [f64; 4] {
    let start = [
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
    ];
    let points = view
        .outline
        .iter()
        .chain(view.rims.iter().flat_map(|rim| rim.loops.iter().flatten()));
    points.fold(start, |[left, right, low, high], [x, y]| {
        [left.min(*x), right.max(*x), low.min(*y), high.max(*y)]
    })
}

/// Room that the labels of a view take over it.
pub(super) fn labels_height(view: &View) -> f64 {
    ROW * view.rims.len() as f64 + 4.0
}

/// A view from the side: the water covers what is under it.
pub(super) fn from_the_side(svg: &mut Svg, view: &View, frame: Frame, units: UnitSystem) {
    craft(svg, view, frame);
    let deep = (reach(view)[2].min(0.0) * frame.scale - 8.0).abs();
    let [left, right] = frame.edges;
    svg.rectangle(
        [left, frame.origin[1]],
        [right - left, deep],
        "none",
        Some((colour::MAIN, 0.18)),
    );
    let y = frame.origin[1];
    svg.line([left, y], [right, y], colour::MAIN, 2.0);
    labels(svg, view, frame, units);
}

fn craft(svg: &mut Svg, view: &View, frame: Frame) {
    let on_paper = |points: &[[f64; 2]]| -> Vec<[f64; 2]> {
        points.iter().map(|point| frame.place(*point)).collect()
    };
    svg.polyline(
        &on_paper(&view.outline),
        colour::INK,
        1.2,
        Some(colour::GRID),
    );
    for thing in &view.things {
        let radius = RADIUS_OF_1_KG * thing.mass_kg.max(0.0).sqrt();
        svg.circle(frame.place(thing.at), radius, colour::INK, Some("#ffffff"));
    }
    for rim in &view.rims {
        for curve in &rim.loops {
            let points = on_paper(curve);
            if rim.verdict.is_some() {
                svg.polyline(&points, colour::WORST, 2.0, None);
            } else {
                svg.dashes(&points, colour::INK, 1.5);
            }
        }
    }
    let [x, y] = frame.place(view.centre_of_gravity);
    svg.line([x - 6.0, y], [x + 6.0, y], colour::INK, 2.0);
    svg.line([x, y - 6.0], [x, y + 6.0], colour::INK, 2.0);
    svg.text([x + 8.0, y - 3.0], LABEL, Anchor::Start, "CG");
    let [x, y] = frame.place(view.centre_of_buoyancy);
    svg.circle([x, y], 4.0, colour::MAIN, Some(colour::MAIN));
    svg.text([x - 7.0, y + 11.0], LABEL, Anchor::End, "CB");
}

/// Names and heights over the view, each beside a line down to its sill; the
/// leftmost stands highest, so that no line crosses a name.
fn labels(svg: &mut Svg, view: &View, frame: Frame, units: UnitSystem) {
    let mut rims: Vec<&RimSeen> = view.rims.iter().collect();
    rims.sort_by(|a, b| b.sill[0].total_cmp(&a.sill[0]));
    for (number, rim) in rims.into_iter().enumerate() {
        let [x, y] = frame.place(rim.sill);
        let top = frame.labels - ROW * number as f64;
        svg.line([x, y], [x, top - 9.0], colour::INK, 0.7);
        let place = if rim.freeboard_m < 0.0 {
            "under"
        } else {
            "above"
        };
        let height = show(rim.freeboard_m.abs(), Dimension::Length, units);
        let judged = rim
            .verdict
            .map_or_else(|| "covered".to_owned(), |verdict| verdict.to_string());
        let text = format!(
            "{} {}: {height} {place} water, {judged}",
            sign(rim.verdict),
            rim.name
        );
        svg.text([x + 4.0, top], LABEL, Anchor::Start, &text);
    }
}

/// Width of a drawing of one craft, of the craft in it, and its margin.
const WIDTH: f64 = 900.0;
const DRAWING: f64 = 620.0;
const MARGIN: f64 = 24.0;

/// One craft from starboard, from above and from astern, at one scale.
#[must_use]
pub(super) fn craft_svg(
    name: &str,
    summary: &str,
    picture: &CraftPicture,
    units: UnitSystem,
) -> String {
    let views = [
        ("from starboard, bow to the right", &picture.side, true),
        ("from above, bow to the right", &picture.above, false),
        ("from astern", &picture.stern, true),
    ];
    drawn(&format!("{name} at rest"), summary, &views, units)
}

/// One craft from starboard.
#[must_use]
pub(super) fn craft_side_svg(
    name: &str,
    summary: &str,
    picture: &CraftPicture,
    units: UnitSystem,
) -> String {
    let views = [("from starboard, bow to the right", &picture.side, true)];
    drawn(&format!("{name} at rest"), summary, &views, units)
}

fn drawn(title: &str, summary: &str, views: &[(&str, &View, bool)], units: UnitSystem) -> String {
    let longest = views.iter().fold(1e-6, |longest: f64, (_, view, _)| {
        let [left, right, ..] = reach(view);
        longest.max(right - left)
    });
    let scale = DRAWING / longest;
    let mut tops = vec![8.0];
    for (_, view, has_water) in views {
        let [_, _, low, high] = reach(view);
        let above = 24.0 + if *has_water { labels_height(view) } else { 0.0 };
        let height = above + 10.0 + (high.max(0.0) - low.min(0.0)) * scale + 26.0;
        tops.push(tops.last().copied().unwrap_or_default() + height);
    }
    let height = tops.last().copied().unwrap_or_default() + 26.0;
    let mut svg = Svg::new([WIDTH, height], title, summary);
    for ((name, view, has_water), top) in views.iter().zip(&tops) {
        svg.text([MARGIN, top + 14.0], 13.0, Anchor::Start, name);
        let labels = top + 24.0 + if *has_water { labels_height(view) } else { 0.0 };
        let frame = Frame::under_labels(view, [MARGIN, DRAWING], labels, scale);
        if *has_water {
            from_the_side(&mut svg, view, frame, units);
        } else {
            craft(&mut svg, view, frame);
        }
    }
    let y = height - 14.0;
    svg.line([MARGIN, y], [MARGIN + scale, y], colour::INK, 2.0);
    for end in [0.0, scale] {
        let x = MARGIN + end;
        svg.line([x, y - 5.0], [x, y + 5.0], colour::INK, 2.0);
    }
    svg.text([MARGIN + scale + 8.0, y + 4.0], LABEL, Anchor::Start, "1 m");
    svg.finish()
}
