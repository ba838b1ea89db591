//! A craft as it lies in the water, drawn: outline, water, rims with their
//! heights and signs, what is aboard, CG and CB.
use super::say::Bare;
use super::svg::{Anchor, Svg, apart, colour, extent, wrapped};
use crate::quantity::{Dimension, Metric, UnitSystem, show_beside};
use crate::study::{CraftPicture, RimSeen, Verdict, View};

/// Height of labels and of their rows, in the drawing's unit.
const LABEL: f64 = 12.0;
const ROW: f64 = 16.0;
/// Radius of a thing that weighs as much as all aboard, as a share of the view's height
/// (its area goes with its share of the weight), and its bounds.
const RADIUS_OF_ALL: f64 = 0.4;
const RADII_OF_ALL: [f64; 2] = [12.0, 48.0];
const LEAST_RADIUS: f64 = 1.5;
/// Least distance between the numbers of openings.
const NUMBER: f64 = 26.0;

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
fn hull_reach(view: &View) -> [f64; 4] {
    let rims = view.rims.iter().flat_map(|rim| rim.loops.iter().flatten());
    extent(view.outline.iter().chain(rims).copied())
}

/// The same of all that is drawn: what hangs outside the hull with its circle.
pub(super) fn reach(view: &View) -> [f64; 4] {
    let [left, right, low, high] = hull_reach(view);
    let of_all = RADIUS_OF_ALL * (high - low);
    let shares = shares(view).into_iter();
    let circles = view.things.iter().zip(shares).flat_map(|(thing, share)| {
        let radius = of_all * share.sqrt();
        [-radius, radius].map(|off| thing.at.map(|at| at + off))
    });
    extent(
        [[left, low], [right, high]]
            .into_iter()
            .chain(circles.collect::<Vec<_>>()),
    )
}

/// What share each thing aboard has of the weight of all.
fn shares(view: &View) -> Vec<f64> {
    let all: f64 = view.things.iter().map(|thing| thing.mass_kg.max(0.0)).sum();
    let things = view.things.iter();
    let shares = things.map(|thing| thing.mass_kg.max(0.0) / all.max(f64::MIN_POSITIVE));
    shares.collect()
}

/// Room that the numbers of a view's openings take over it.
pub(super) fn labels_height(view: &View) -> f64 {
    if view.rims.is_empty() { 4.0 } else { 24.0 }
}

/// The openings, the lowest first: so they are numbered.
fn lowest_first(view: &View) -> Vec<&RimSeen> {
    let mut rims: Vec<&RimSeen> = view.rims.iter().collect();
    rims.sort_by(|a, b| a.freeboard_m.total_cmp(&b.freeboard_m));
    rims
}

/// The openings by their numbers, with heights and verdicts, in lines of a width.
pub(super) fn listed(view: &View, room: f64, units: UnitSystem) -> Vec<String> {
    let rims = lowest_first(view).into_iter().enumerate();
    let told = rims.map(|(number, rim)| {
        let place = if rim.freeboard_m < 0.0 {
            "under"
        } else {
            "above"
        };
        let (height, limits) = (rim.freeboard_m.abs(), &rim.limits_m);
        let height = show_beside(height, limits, Dimension::Length, units);
        let judged = rim
            .verdict
            .map_or_else(|| "covered".to_owned(), |verdict| verdict.to_string());
        format!(
            "{} {} {}: {height} {place} water, {judged}",
            number + 1,
            sign(rim.verdict),
            rim.name
        )
    });
    told.flat_map(|text| wrapped(&text, LABEL, room)).collect()
}

/// Room that such a list takes.
pub(super) fn list_height(lines: &[String]) -> f64 {
    ROW * lines.len() as f64 + 8.0
}

/// Writes such a list.
pub(super) fn list(svg: &mut Svg, lines: &[String], [left, top]: [f64; 2]) {
    for (number, line) in lines.iter().enumerate() {
        let y = top + ROW * (number + 1) as f64;
        svg.text([left, y], LABEL, Anchor::Start, line);
    }
}

/// A view from the side: the water covers what is under it.
pub(super) fn from_the_side(svg: &mut Svg, view: &View, frame: Frame) {
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
    labels(svg, view, frame);
}

/// What the dashed outlines inside a view are, behind what it is called.
pub(super) fn inside_told(view: &View) -> &'static str {
    match view.inside.is_empty() {
        true => "",
        false => "; dashed green: bulkheads, foam, pockets, sponsons",
    }
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
    for curve in &view.inside {
        let closed = curve.iter().chain(curve.first());
        let points: Vec<[f64; 2]> = closed.map(|point| frame.place(*point)).collect();
        svg.dashes(&points, colour::OTHER, 1.2);
    }
    let [_, _, low, high] = hull_reach(view);
    let of_all = RADIUS_OF_ALL * (high - low) * frame.scale;
    let of_all = of_all.clamp(RADII_OF_ALL[0], RADII_OF_ALL[1]);
    for (thing, share) in view.things.iter().zip(shares(view)) {
        let radius = (of_all * share.sqrt()).max(LEAST_RADIUS);
        svg.circle(frame.place(thing.at), radius, colour::INK, None);
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
    svg.text_over([x + 8.0, y - 3.0], LABEL, Anchor::Start, "CG");
    let [x, y] = frame.place(view.centre_of_buoyancy);
    svg.circle([x, y], 4.0, colour::MAIN, Some(colour::MAIN));
    svg.text_over([x - 7.0, y + 11.0], LABEL, Anchor::End, "CB");
}

/// Numbers over the view, each beside a line down to its sill; in the order along the
/// view, so that no line crosses another.
fn labels(svg: &mut Svg, view: &View, frame: Frame) {
    let mut rims: Vec<(usize, &RimSeen)> = lowest_first(view).into_iter().enumerate().collect();
    rims.sort_by(|a, b| a.1.sill[0].total_cmp(&b.1.sill[0]));
    let wanted: Vec<f64> = rims
        .iter()
        .map(|(_, rim)| frame.place(rim.sill)[0])
        .collect();
    let mut places = apart(&wanted, NUMBER);
    // Where many stand close they go to both sides.
    let off: f64 = places
        .iter()
        .zip(&wanted)
        .map(|(x, wanted)| x - wanted)
        .sum();
    let back = off / wanted.len().max(1) as f64;
    let mut least = frame.edges[0] + NUMBER / 2.0;
    for place in &mut places {
        *place = (*place - back).max(least);
        least = *place + NUMBER;
    }
    // Within the water's ends, the last moved back first.
    let mut most = frame.edges[1] - NUMBER / 2.0;
    for place in places.iter_mut().rev() {
        *place = place.min(most);
        most = *place - NUMBER;
    }
    for ((number, rim), x) in rims.into_iter().zip(places) {
        let sill = frame.place(rim.sill);
        svg.line(sill, [x, frame.labels + 3.0], colour::INK, 0.7);
        let text = format!("{}{}", number + 1, sign(rim.verdict));
        svg.text([x, frame.labels], LABEL, Anchor::Middle, &text);
    }
}

/// Width of a drawing of one craft, of the craft in it, and its margin.
const WIDTH: f64 = 800.0;
const DRAWING: f64 = 752.0;
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
        ("from astern", &picture.stern, true),
        ("from above, bow to the right", &picture.above, false),
    ];
    drawn(&format!("{name} at rest"), summary, &views, units, true)
}

/// One craft from starboard, its openings listed or left to a table that numbers them by
/// [`numbers`].
#[must_use]
pub(super) fn craft_side_svg(
    name: &str,
    summary: &str,
    picture: &CraftPicture,
    units: UnitSystem,
    is_listed: bool,
) -> String {
    let views = [("from starboard, bow to the right", &picture.side, true)];
    drawn(
        &format!("{name} at rest"),
        summary,
        &views,
        units,
        is_listed,
    )
}

/// The openings' names in the order of their numbers.
pub(super) fn numbers(picture: &CraftPicture) -> Vec<&str> {
    let rims = lowest_first(&picture.side).into_iter();
    rims.map(|rim| rim.name.as_str()).collect()
}

/// The longest round length that fits, m, and what it is called.
fn scale_bar(room_m: f64, units: UnitSystem) -> (f64, String) {
    let bars: &[(Metric, &[u8])] = &[
        (Metric::Metre, &[10, 5, 2, 1]),
        match units {
            UnitSystem::Us => (Metric::Millimetre, &[6, 3, 2, 1]),
            _ => (Metric::Millimetre, &[200, 100, 50, 20, 10]),
        },
    ];
    let bars = bars.iter().flat_map(|(metric, rounds)| {
        let bare = Bare::of(*metric, units);
        let bars = rounds.iter().map(move |round| {
            let long = f64::from(*round) / bare.value(1.0);
            (long, format!("{round} {}", bare.unit))
        });
        bars.collect::<Vec<_>>()
    });
    let mut last = (0.0, String::new());
    for bar in bars {
        last = bar;
        if last.0 <= room_m {
            break;
        }
    }
    last
}

fn drawn(
    title: &str,
    summary: &str,
    views: &[(&str, &View, bool)],
    units: UnitSystem,
    is_listed: bool,
) -> String {
    let longest = views.iter().fold(1e-6, |longest: f64, (_, view, _)| {
        let [left, right, ..] = reach(view);
        longest.max(right - left)
    });
    let scale = DRAWING / longest;
    let mut tops = vec![30.0];
    for (_, view, has_water) in views {
        let [_, _, low, high] = reach(view);
        let above = 24.0 + if *has_water { labels_height(view) } else { 0.0 };
        let height = above + 10.0 + (high.max(0.0) - low.min(0.0)) * scale + 26.0;
        tops.push(tops.last().copied().unwrap_or_default() + height);
    }
    let list_top = tops.last().copied().unwrap_or_default();
    let lines = views.first().filter(|_| is_listed);
    let lines = lines.map_or_else(Vec::new, |(_, view, _)| {
        listed(view, WIDTH - 2.0 * MARGIN, units)
    });
    let height = list_top + list_height(&lines) + 48.0;
    let mut svg = Svg::new([WIDTH, height], title, summary);
    svg.heading([MARGIN, 22.0], 15.0, Anchor::Start, title);
    for ((name, view, has_water), top) in views.iter().zip(&tops) {
        let name = format!("{name}{}", inside_told(view));
        svg.text([MARGIN, top + 14.0], 13.0, Anchor::Start, &name);
        let labels = top + 24.0 + if *has_water { labels_height(view) } else { 0.0 };
        let frame = Frame::under_labels(view, [MARGIN, DRAWING], labels, scale);
        if *has_water {
            from_the_side(&mut svg, view, frame);
        } else {
            craft(&mut svg, view, frame);
        }
    }
    list(&mut svg, &lines, [MARGIN, list_top]);
    let y = height - 14.0;
    svg.text(
        [MARGIN, y - 22.0],
        LABEL,
        Anchor::Start,
        "circles: things aboard, their area by their share of the weight; ✕ fails, ! marginal, ✓ clear, – covered",
    );
    let (long, words) = scale_bar(longest / 2.0, units);
    svg.line([MARGIN, y], [MARGIN + long * scale, y], colour::INK, 2.0);
    for end in [0.0, long * scale] {
        let x = MARGIN + end;
        svg.line([x, y - 5.0], [x, y + 5.0], colour::INK, 2.0);
    }
    svg.text(
        [MARGIN + long * scale + 8.0, y + 4.0],
        LABEL,
        Anchor::Start,
        &words,
    );
    svg.finish()
}
