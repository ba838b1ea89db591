//! Both sides of the hull with the tape marks of the waterline.
use super::Present;
use super::say::{Bare, Say, one_system};
use super::svg::{Anchor, Svg, colour};
use crate::quantity::UnitSystem;
use crate::study::{Answer, Side, SideDrawing, TapeResult, TapeStation};

const WIDTH: f64 = 640.0;
/// Room for the names of the rows.
const LEFT: f64 = 104.0;
const RIGHT: f64 = 16.0;
/// Heights are drawn this much larger than lengths, so that marks come apart.
pub(super) const TIMES: f64 = 2.0;
const TEXT: f64 = 14.0;
const ROW: f64 = 19.0;
/// Size of the numbers under a side.
const NUMBERS: f64 = 12.5;
/// Least room for a column of numbers.
const COLUMN: f64 = 46.0;

/// Where the points of a craft seen from one side go: the bow to the left on its
/// port side, to the right on its starboard side.
pub(super) struct FromSide {
    left: f64,
    top: f64,
    scale: f64,
    side: Side,
    box_m: [[f64; 3]; 2],
}

impl FromSide {
    /// A view `width` wide with its upper left corner at a place.
    pub(super) fn new(drawing: &SideDrawing, side: Side, corner: [f64; 2], width: f64) -> Self {
        let [lo, hi] = drawing.box_m;
        Self {
            left: corner[0],
            top: corner[1],
            scale: width / (hi[0] - lo[0]).max(1e-6),
            side,
            box_m: drawing.box_m,
        }
    }

    /// Where a point with this x and z goes.
    pub(super) fn at(&self, x: f64, z: f64) -> [f64; 2] {
        let [lo, hi] = self.box_m;
        let along = match self.side {
            Side::Port => hi[0] - x,
            Side::Starboard => x - lo[0],
        };
        [
            self.left + along * self.scale,
            self.top + (hi[2] - z) * self.scale * TIMES,
        ]
    }

    /// How high the view is.
    pub(super) fn height(&self) -> f64 {
        let [lo, hi] = self.box_m;
        (hi[2] - lo[2]) * self.scale * TIMES
    }

    /// The craft's outline, closed.
    pub(super) fn outline(&self, drawing: &SideDrawing) -> Vec<[f64; 2]> {
        let low = drawing.outline.iter().map(|[x, low, _]| self.at(*x, *low));
        let high = drawing.outline.iter().rev();
        let high = high.map(|[x, _, high]| self.at(*x, *high));
        let mut points: Vec<[f64; 2]> = low.chain(high).collect();
        points.extend(points.first().copied());
        points
    }
}

/// "port side, bow to the left".
pub(super) fn side_title(side: Side) -> &'static str {
    match side {
        Side::Port => "Port side, bow to the left",
        Side::Starboard => "Starboard side, bow to the right",
    }
}

/// Both sides: marks, and under each station its distances in mm or inches.
#[must_use]
pub fn tape_svg(result: &Answer<TapeResult>, units: UnitSystem) -> String {
    let drawing = &result.drawing;
    let view = |side, top| FromSide::new(drawing, side, [LEFT, top], WIDTH - LEFT - RIGHT);
    let one_side = view(Side::Port, 0.0).height() + 5.0 * ROW + 26.0;
    let first = 96.0;
    let size = [WIDTH, first + 2.0 * one_side + 44.0];
    let title = format!("{}: waterline by tape", result.name);
    let bare = Bare::short(units);
    let description = format!(
        "The craft from both sides with the waterline at rest (heel {}, pitch {}) marked at {} stations from the stem; under each station the distance of the mark below the rim and above the keel along the skin, in {}. {}",
        degrees(result.heel_deg),
        degrees(result.pitch_deg),
        result.stations.len(),
        in_words(bare),
        result.summary(units)
    );
    let mut svg = Svg::new(size, &title, &description);
    svg.heading([14.0, 26.0], 17.0, Anchor::Start, &title)
        .text(
            [14.0, 48.0],
            TEXT,
            Anchor::Start,
            &format!(
                "{}, hull and all aboard; heel {}, pitch {} (starboard down +, bow up +)",
                Say(one_system(units)).kg(result.mass_kg, 1),
                degrees(result.heel_deg),
                degrees(result.pitch_deg)
            ),
        )
        .text(
            [14.0, 67.0],
            TEXT,
            Anchor::Start,
            &format!(
                "All numbers are {}, the tape along the outside of the skin.",
                in_words(bare)
            ),
        );
    for (number, side) in Side::BOTH.into_iter().enumerate() {
        let top = first + one_side * number as f64;
        svg.text([14.0, top], 15.0, Anchor::Start, side_title(side));
        one(&mut svg, result, number, &view(side, top + 14.0), bare);
    }
    let foot = size[1] - 30.0;
    svg.line([14.0, foot - 5.0], [44.0, foot - 5.0], colour::MAIN, 2.5)
        .text([50.0, foot], TEXT, Anchor::Start, "waterline")
        .circle([140.0, foot - 5.0], 4.0, colour::WORST, Some("white"))
        .text([150.0, foot], TEXT, Anchor::Start, "mark")
        .text(
            [204.0, foot],
            TEXT,
            Anchor::Start,
            &format!("heights drawn {TIMES:.0} times as large as lengths"),
        )
        .text(
            [14.0, foot + 20.0],
            TEXT,
            Anchor::Start,
            "For this load and still water only. – : no single mark there, see the table.",
        );
    svg.finish()
}

/// The unit of bare short lengths in words.
pub(super) fn in_words(bare: Bare) -> &'static str {
    match bare.unit {
        "in" => "inches",
        _ => "millimetres",
    }
}

/// To a tenth, and never minus nought.
pub(super) fn degrees(value: f64) -> String {
    format!("{:.1}°", (value * 10.0).round() / 10.0 + 0.0)
}

fn one(svg: &mut Svg, result: &TapeResult, which: usize, view: &FromSide, bare: Bare) {
    let drawing = &result.drawing;
    svg.polyline(&view.outline(drawing), colour::INK, 1.6, None);
    let line = |points: &[[f64; 2]]| -> Vec<[f64; 2]> {
        points.iter().map(|[x, z]| view.at(*x, *z)).collect()
    };
    svg.dashes(&line(&drawing.rims[which]), colour::INK, 1.0)
        .polyline(&line(&drawing.waters[which]), colour::MAIN, 2.5, None);
    let foot = view.at(0.0, drawing.box_m[0][2])[1] + 18.0;
    for (number, words) in ["from stem", "below rim", "above keel", "keel to rim"]
        .into_iter()
        .enumerate()
    {
        let y = foot + ROW * number as f64;
        svg.text([LEFT - 18.0, y], 13.0, Anchor::End, words);
    }
    for station in labelled(result, view) {
        let mark = station.of(view.side);
        let x = view.at(station.x_m, 0.0)[0];
        let rim = mark.rim_m.or(mark.mark_m);
        if let Some(rim) = rim {
            let low = mark.keel_m.or(mark.mark_m).unwrap_or(rim);
            svg.line(
                view.at(station.x_m, rim[2]),
                view.at(station.x_m, low[2]),
                colour::GRID,
                1.0,
            );
        }
        let told =
            |value: Option<f64>| value.map_or_else(|| "–".to_owned(), |value| bare.told(value));
        let cells = [
            Some(station.from_stem_m),
            mark.below_rim_m,
            mark.above_keel_m,
            mark.half_girth_m,
        ];
        for (number, value) in cells.into_iter().enumerate() {
            let y = foot + ROW * number as f64;
            svg.text([x, y], NUMBERS, Anchor::Middle, &told(value));
        }
    }
    for station in &result.stations {
        if let Some([x, _, z]) = station.of(view.side).mark_m {
            svg.circle(view.at(x, z), 4.0, colour::WORST, Some("white"));
        }
    }
}

/// The stations that there is room for numbers under: each far enough from the
/// last.
fn labelled<'a>(result: &'a TapeResult, view: &FromSide) -> Vec<&'a TapeStation> {
    let mut sorted: Vec<&TapeStation> = result.stations.iter().collect();
    sorted.sort_by(|a, b| a.from_stem_m.total_cmp(&b.from_stem_m));
    let mut kept: Vec<&TapeStation> = Vec::new();
    for station in sorted {
        let at = |station: &TapeStation| view.at(station.x_m, 0.0)[0];
        if kept
            .last()
            .is_none_or(|last| (at(last) - at(station)).abs() >= COLUMN)
        {
            kept.push(station);
        }
    }
    kept
}
