//! Three views of a mesh with its open edges marked.
use std::collections::HashSet;
use std::fmt::Write as _;

use super::say::Bare;
use super::svg::escaped;
use crate::quantity::{Metric, UnitSystem};
use crate::study::{Drawing, InspectResult, LooksLike, Polyline};

/// Width of the drawing and of its margins, in its own unit (a pixel at 96 to
/// the inch).
const WIDTH: f64 = 1200.0;
const MARGIN: f64 = 40.0;
/// Steps across the drawing to which cuts are rounded: a fine mesh would
/// otherwise draw each line a thousand times.
const STEPS: f64 = 1500.0;

/// Flat parts of an edge.
const FLAT: &str = "#e69f00";
const FLAT_TEXT: &str = "#7a5400";
/// Loops that carry their number, the longest: more would hide each other.
const NUMBERED: usize = 20;
/// Least room for such a number.
const NUMBER: f64 = 18.0;

/// A view: its name, which coordinates run right and up, and which section
/// lines it shows.
struct View {
    title: &'static str,
    right: (usize, f64),
    up: (usize, f64),
    sections: usize,
}

const VIEWS: [View; 3] = [
    View {
        title: "from starboard (x to the right, z up)",
        right: (0, 1.0),
        up: (2, 1.0),
        sections: 1,
    },
    View {
        title: "from above (x to the right, y up: port)",
        right: (0, 1.0),
        up: (1, 1.0),
        sections: 0,
    },
    View {
        title: "from ahead (port to the right, z up)",
        right: (1, 1.0),
        up: (2, 1.0),
        sections: 2,
    },
];

/// The picture as an SVG document.
#[must_use]
pub fn inspect_svg(result: &InspectResult, units: UnitSystem) -> String {
    let drawing = &result.drawing;
    let size = drawing.bounds.1 - drawing.bounds.0;
    let scale = (WIDTH - 2.0 * MARGIN) / size.max().max(f64::MIN_POSITIVE);
    let heights = VIEWS.map(|view| size[view.up.0] * scale + 2.0 * MARGIN);
    let height = heights.iter().sum::<f64>() + MARGIN;
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height:.0}\" width=\"{WIDTH}\" height=\"{height:.0}\" role=\"img\" aria-labelledby=\"title description\" font-family=\"sans-serif\" font-size=\"14\">\n<title id=\"title\">{}</title>\n<desc id=\"description\">{}</desc>\n<rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n",
        escaped(&result.name),
        escaped(&described(result)),
    );
    let _ = writeln!(
        svg,
        "<text x=\"{MARGIN}\" y=\"22\" font-size=\"16\">{}: {}{}</text>",
        escaped(&result.name),
        result.grade.words(),
        if drawing.upright {
            ", drawn upright"
        } else {
            ", drawn as it lies in its file"
        }
    );
    let mut top = MARGIN;
    for (view, height) in VIEWS.iter().zip(heights) {
        draw_view(
            &mut svg,
            drawing,
            view,
            scale,
            top,
            Bare::of(Metric::Metre, units),
        );
        top += height;
    }
    legend(&mut svg, height);
    svg.push_str("</svg>\n");
    svg
}

fn draw_view(svg: &mut String, drawing: &Drawing, view: &View, scale: f64, top: f64, bare: Bare) {
    let (lo, hi) = drawing.bounds;
    let _ = writeln!(
        svg,
        "<text x=\"{MARGIN}\" y=\"{:.0}\" fill=\"#555\">{}, {:.2} × {:.2} {}</text>",
        top + 16.0,
        view.title,
        bare.value(hi[view.right.0] - lo[view.right.0]),
        bare.value(hi[view.up.0] - lo[view.up.0]),
        bare.unit,
    );
    let place = |p: &[f64; 3]| {
        let x = MARGIN + (p[view.right.0] - lo[view.right.0]) * view.right.1 * scale;
        let y = top + MARGIN + (hi[view.up.0] - p[view.up.0]) * view.up.1 * scale;
        [x, y]
    };
    let mut drawn = HashSet::new();
    let mut path = String::new();
    for [a, b] in &drawing.sections[view.sections] {
        let ends = [a, b].map(|p| place(&[p.x, p.y, p.z]).map(rounded));
        if ends[0] != ends[1] && drawn.insert(ends) {
            let [[ax, ay], [bx, by]] = ends.map(|end| end.map(|v| f64::from(v) * WIDTH / STEPS));
            let _ = write!(path, "M{ax:.1} {ay:.1}L{bx:.1} {by:.1}");
        }
    }
    let _ = writeln!(
        svg,
        "<path d=\"{path}\" fill=\"none\" stroke=\"#888\" stroke-width=\"0.7\"/>"
    );
    for (number, stretches) in (1..).zip(&drawing.flat) {
        draw_flat(svg, number, stretches, &place);
    }
    for (points, looks) in &drawing.loops {
        let _ = writeln!(
            svg,
            "<polyline points=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"2.5\" stroke-linejoin=\"round\"{}/>",
            on_paper(points, &place),
            colour(*looks),
            dash(*looks),
        );
    }
    // Numbers over all lines, each with a white rim.
    let _ = writeln!(
        svg,
        "<g text-anchor=\"middle\" font-weight=\"bold\" stroke=\"white\" stroke-width=\"3\" paint-order=\"stroke\">"
    );
    let mut taken: Vec<[f64; 2]> = Vec::new();
    for (number, (points, looks)) in (1..=NUMBERED).zip(&drawing.loops) {
        let count = points.len().max(1) as f64;
        let middle = [0, 1, 2].map(|k| points.iter().map(|p| p[k]).sum::<f64>() / count);
        let mut at = place(&middle);
        // Beside those that stand there.
        while taken
            .iter()
            .any(|[x, y]| (x - at[0]).abs() < NUMBER && (y - at[1]).abs() < NUMBER)
        {
            at[0] += NUMBER;
        }
        taken.push(at);
        let [x, y] = at;
        let _ = writeln!(
            svg,
            "<text x=\"{x:.1}\" y=\"{:.1}\" fill=\"{}\">{number}</text>",
            y + 5.0,
            text_colour(*looks),
        );
    }
    svg.push_str("</g>\n");
}

/// A flat part of an edge: a broad pale line with its number at its middle.
fn draw_flat(
    svg: &mut String,
    number: usize,
    stretches: &[Polyline],
    place: &impl Fn(&[f64; 3]) -> [f64; 2],
) {
    for points in stretches {
        let _ = writeln!(
            svg,
            "<polyline points=\"{}\" fill=\"none\" stroke=\"{FLAT}\" stroke-width=\"7\" stroke-opacity=\"0.6\"/>",
            on_paper(points, place),
        );
    }
    let longest = stretches.iter().max_by_key(|points| points.len());
    if let Some(middle) = longest.and_then(|points| points.get(points.len() / 2)) {
        let [x, y] = place(&[middle.x, middle.y, middle.z]);
        let _ = writeln!(
            svg,
            "<text x=\"{x:.1}\" y=\"{:.1}\" fill=\"{FLAT_TEXT}\" stroke=\"white\" stroke-width=\"3\" paint-order=\"stroke\">flat part {number}</text>",
            y - 8.0,
        );
    }
}

fn on_paper(points: &Polyline, place: &impl Fn(&[f64; 3]) -> [f64; 2]) -> String {
    let mut text = String::new();
    for p in points {
        let [x, y] = place(&[p.x, p.y, p.z]);
        let _ = write!(text, "{x:.1},{y:.1} ");
    }
    text
}

/// A place on paper in whole steps.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the drawing is a few thousand steps wide"
)]
fn rounded(value: f64) -> i32 {
    (value * STEPS / WIDTH).round() as i32
}

/// Blue and orange are told apart by all eyes; the dashes tell them in grey.
fn colour(looks: LooksLike) -> &'static str {
    match looks {
        LooksLike::Opening => "#0057b8",
        LooksLike::Defect => "#d55e00",
        LooksLike::Unclear => "#222222",
    }
}

/// The same dark enough for a text.
fn text_colour(looks: LooksLike) -> &'static str {
    match looks {
        LooksLike::Defect => "#a33f00",
        other => colour(other),
    }
}

fn dash(looks: LooksLike) -> &'static str {
    match looks {
        LooksLike::Opening => "",
        LooksLike::Defect => " stroke-dasharray=\"2 4\"",
        LooksLike::Unclear => " stroke-dasharray=\"8 5\"",
    }
}

fn legend(svg: &mut String, height: f64) {
    let mut x = MARGIN;
    for (looks, words) in [
        (LooksLike::Opening, "open edge: opening"),
        (LooksLike::Defect, "open edge: defect of the scan"),
        (LooksLike::Unclear, "open edge: look at it"),
    ] {
        let y = height - 18.0;
        let _ = writeln!(
            svg,
            "<path d=\"M{x} {y}h40\" stroke=\"{}\" stroke-width=\"2.5\"{}/><text x=\"{}\" y=\"{}\">{words}</text>",
            colour(looks),
            dash(looks),
            x + 48.0,
            y + 5.0
        );
        x += 330.0;
    }
}

/// The drawing for those who cannot see it.
fn described(result: &InspectResult) -> String {
    let (open, flat) = (result.drawing.loops.len(), result.drawing.flat.len());
    let flat = if flat > 0 {
        format!(" Flat parts of the longest, numbered: {flat}.")
    } else {
        String::new()
    };
    format!(
        "A mesh in three views with its open edges marked. Grade: {}. Open edges: {open}.{flat}",
        result.grade.words()
    )
}
