//! A dived craft from the side with its centres and ballast, and how strongly it
//! turns back in every state on the way down.
use super::Present;
use super::cautions::when;
use super::say::{Bare, Say};
use super::svg::{Anchor, EDGE, Svg, apart, colour, extent, shortened};
use crate::quantity::{Dimension, Metric, UnitSystem, show, show_beside};
use crate::study::{Answer, DiveResult, EndPiece, Material, WayLine};

/// Size of the drawing.
const WIDTH: f64 = 960.0;
/// Box that the craft is drawn in: left, top, width, height.
const SIDE: [f64; 4] = [40.0, 92.0, 640.0, 210.0];
/// Where the bars begin and how long the longest is.
const BARS_LEFT: f64 = 400.0;
const BARS_LONG: f64 = 400.0;
/// Height of a bar's row.
const ROW: f64 = 20.0;
/// From the foot of the craft to the bars: room for a label and a heading.
const BARS_BELOW: f64 = 112.0;

/// Draws it. `outline` is the hull's outline from the side as x, z points in order, m.
#[must_use]
pub fn dive_svg(result: &Answer<DiveResult>, outline: &[[f64; 2]], units: UnitSystem) -> String {
    let rows = f64::from(u32::try_from(result.way_down.len()).unwrap_or(u32::MAX));
    let frame = Frame::round(result, outline);
    let bars_top = frame.at(0.0, frame.lo[1])[1] + BARS_BELOW;
    let height = bars_top + ROW * rows + 50.0;
    let title = format!("{}, flooded and under water", result.name);
    let mut svg = Svg::new([WIDTH, height], &title, &result.summary(units));
    svg.heading([WIDTH / 2.0, 28.0], 17.0, Anchor::Middle, &title);
    for (y, words) in [
        (
            48.0,
            "from starboard, bow to the right, held level, with its ballast. A sum of weights, not a clearance to dive.",
        ),
        (
            66.0,
            "CB: centre of buoyancy, where the water pushes up; CG: centre of gravity, where the weight pulls down",
        ),
    ] {
        svg.text([WIDTH / 2.0, y], 12.0, Anchor::Middle, words);
    }
    side(&mut svg, result, &frame, outline, units);
    bars(&mut svg, result, bars_top, units);
    svg.finish()
}

/// Where x and z of the craft lie on the drawing.
struct Frame {
    lo: [f64; 2],
    hi: [f64; 2],
    scale: f64,
}

impl Frame {
    /// Round the outline, the ballast and the centres.
    fn round(result: &DiveResult, outline: &[[f64; 2]]) -> Self {
        let centres = [
            Some(result.trimmed_centre_of_gravity_m),
            result.trimmed_centre_of_buoyancy_m,
        ];
        let marks = pieces(result).into_iter().map(|piece| piece.at_m);
        let marks = marks.chain(centres.into_iter().flatten());
        let points = outline.iter().copied().chain(marks.map(|[x, _, z]| [x, z]));
        let [aft, fore, low, high] = extent(points);
        let [_, _, width, height] = SIDE;
        let scale = (width / (fore - aft).max(1e-6)).min(height / (high - low).max(1e-6));
        Self {
            lo: [aft, low],
            hi: [fore, high],
            scale,
        }
    }

    fn at(&self, x: f64, z: f64) -> [f64; 2] {
        let [left, top, width, _] = SIDE;
        let inset = (width - self.scale * (self.hi[0] - self.lo[0])) / 2.0;
        [
            left + inset + self.scale * (x - self.lo[0]),
            top + self.scale * (self.hi[1] - z),
        ]
    }
}

/// The outline with its centres and ballast, each named beside it.
fn side(
    svg: &mut Svg,
    result: &DiveResult,
    frame: &Frame,
    outline: &[[f64; 2]],
    units: UnitSystem,
) {
    let at = |x: f64, z: f64| frame.at(x, z);
    let hull: Vec<[f64; 2]> = outline.iter().map(|[x, z]| at(*x, *z)).collect();
    svg.polyline(&hull, colour::INK, 1.5, Some(colour::GRID));
    // Place, colour and words of each mark.
    let mut labels: Vec<([f64; 2], &str, String)> = Vec::new();
    for piece in pieces(result) {
        let [x, y] = at(piece.at_m[0], piece.at_m[2]);
        let (words, stroke) = match piece.material {
            Material::Lead => (
                format!("{} of lead", show(piece.mass_kg, Dimension::Mass, units)),
                colour::INK,
            ),
            _ => (
                format!(
                    "{} of foam",
                    show(piece.volume_m3, Dimension::Volume, units)
                ),
                colour::OTHER,
            ),
        };
        let corners = [[-7.0, -7.0], [7.0, -7.0], [7.0, 7.0], [-7.0, 7.0]];
        let square = corners.map(|[dx, dy]| [x + dx, y + dy]);
        svg.polyline(&square, stroke, 2.5, Some(stroke));
        labels.push(([x, y], stroke, words + " (square)"));
    }
    let [gx, _, gz] = result.trimmed_centre_of_gravity_m;
    let gravity = at(gx, gz);
    if let Some([bx, _, bz]) = result.trimmed_centre_of_buoyancy_m {
        let buoyancy = at(bx, bz);
        svg.circle(buoyancy, 8.0, colour::MAIN, Some(colour::MAIN));
        let limits = [0.0, if bz < gz { 0.0 } else { result.least_gap_m }];
        let gap = show_beside((bz - gz).abs(), &limits, Dimension::Length, units);
        let side = if bz >= gz { "over" } else { "UNDER" };
        labels.push((
            buoyancy,
            colour::MAIN,
            format!("CB (disc), {gap} {side} CG"),
        ));
    }
    for [x, y] in [[8.0, 0.0], [0.0, 8.0]] {
        let ends = [-1.0, 1.0].map(|side| [gravity[0] + side * x, gravity[1] + side * y]);
        svg.line(ends[0], ends[1], colour::WORST, 3.0);
    }
    labels.push((gravity, colour::WORST, "CG (cross)".to_owned()));
    labels.sort_by(|a, b| a.0[1].total_cmp(&b.0[1]));
    let wanted: Vec<f64> = labels.iter().map(|(at, ..)| at[1] + 4.0).collect();
    let left = SIDE[0] + SIDE[2] + 28.0;
    for ((from, stroke, words), y) in labels.iter().zip(apart(&wanted, 19.0)) {
        svg.line(
            [from[0] + 9.0, from[1]],
            [left - 14.0, y - 4.0],
            stroke,
            0.8,
        )
        .line([left - 14.0, y - 4.0], [left - 4.0, y - 4.0], stroke, 0.8)
        .text_within([left, y], 13.0, Anchor::Start, WIDTH - EDGE - left, words);
    }
}

/// The ballast that trims it, as the study chose it.
fn pieces(result: &DiveResult) -> Vec<EndPiece> {
    let balance = &result.balance;
    let all = match (&balance.ends, balance.at_m) {
        (Some(ends), _) if !balance.levels => ends.to_vec(),
        (_, Some(at_m)) => vec![EndPiece {
            at_m,
            material: balance.material,
            mass_kg: balance.mass_kg,
            volume_m3: balance.volume_m3,
        }],
        _ => Vec::new(),
    };
    all.into_iter()
        .filter(|piece| piece.material != Material::Nothing)
        .collect()
}

/// One bar a state: how much moment a lean of one degree calls up.
fn bars(svg: &mut Svg, result: &DiveResult, bars_top: f64, units: UnitSystem) {
    let bare = Bare::of(Metric::NewtonMetre, units);
    let moment = |line: &WayLine| bare.value(line.righting_transverse_n_m);
    let most = result
        .way_down
        .iter()
        .map(|line| moment(line).abs())
        .fold(1e-9, f64::max);
    svg.text(
        [WIDTH / 2.0, bars_top - 24.0],
        15.0,
        Anchor::Middle,
        &format!(
            "The way down: moment across that a lean of one degree calls up, {}",
            bare.unit
        ),
    );
    // Three digits of the largest.
    let decimals = decimals_for(most);
    let mut top = bars_top;
    for (number, line) in result.way_down.iter().enumerate() {
        let is_weakest = result.weakest == Some(number);
        let paint = if is_weakest || line.turns_over() {
            colour::WORST
        } else {
            colour::MAIN
        };
        let long = BARS_LONG * moment(line).abs() / most;
        svg.text(
            [BARS_LEFT - 10.0, top + 13.0],
            12.0,
            Anchor::End,
            &shortened(
                &when(&line.when(), Say(units)),
                12.0,
                BARS_LEFT - 10.0 - EDGE,
            ),
        );
        svg.rectangle(
            [BARS_LEFT, top + 3.0],
            [long.max(1.0), ROW - 6.0],
            paint,
            Some((paint, 0.6)),
        );
        let note = match (is_weakest, line.turns_over()) {
            (true, true) => " weakest: it turns over",
            (true, false) => " weakest",
            (false, true) => " it turns over",
            (false, false) => "",
        };
        svg.text(
            [BARS_LEFT + long + 8.0, top + 13.0],
            12.0,
            Anchor::Start,
            &(told(moment(line), decimals) + note),
        );
        top += ROW;
    }
    svg.text(
        [WIDTH / 2.0, top + 26.0],
        11.0,
        Anchor::Middle,
        "flooded and held: level, with the water inside as high as outside, by a force through its centre of gravity",
    );
}

/// Decimals that show three digits of a number, at most six.
fn decimals_for(most: f64) -> usize {
    (0..6_u8)
        .find(|decimals| most * 10.0_f64.powi(i32::from(*decimals)) >= 100.0)
        .map_or(6, usize::from)
}

/// A number with so many decimals, more where it would read as nought; never minus nought.
fn told(value: f64, decimals: usize) -> String {
    let shows = |decimals: &usize| {
        let text = format!("{value:.decimals$}");
        text.chars().any(|c| ('1'..='9').contains(&c))
    };
    match (decimals..7).find(shows) {
        Some(decimals) => format!("{value:.decimals$}"),
        None => "0".to_owned(),
    }
}
