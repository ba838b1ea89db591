//! The lines drawing: from the side, from the ends and from above at one scale,
//! with the curve of section areas under them.
use super::plot::Plot;
use super::say::Bare;
use super::svg::{Anchor, Svg, colour, width_of};
use crate::quantity::{Dimension, Metric, UnitSystem, show};
use crate::study::{Answer, SectionLine, SectionResult, SectionWater};

const MARGIN: f64 = 56.0;
/// Least size of its texts, and least room between numbers.
const SMALL: f64 = 11.0;
const APART: f64 = 17.0;
/// Breadth of the views along the boat.
const ALONG: f64 = 820.0;
/// The body plan is drawn larger, so that its lines come apart, where there is room.
const BODY_TIMES: f64 = 1.7;
const THIN: f64 = 0.9;
const THICK: f64 = 2.0;

/// The three views and the area curve.
#[must_use]
pub fn lines_svg(result: &Answer<SectionResult>, units: UnitSystem) -> String {
    let [lo, hi] = result.box_m;
    let size = [0, 1, 2].map(|axis| (hi[axis] - lo[axis]).max(1e-6));
    let scale = ALONG / size[0];
    let [side, above] = [size[2] * scale, size[1] * scale];
    // Under the views along the boat, no broader than they are.
    let body_times = BODY_TIMES.min(ALONG / (size[1] * scale));
    let body = size[2] * scale * body_times;
    let has_areas = result
        .stations
        .iter()
        .filter(|line| line.immersed_area_m2.is_some())
        .count()
        > 1;
    let top = 70.0;
    let above_top = top + side + 64.0;
    let body_top = above_top + above + 88.0;
    let area_top = body_top + body + 64.0;
    let height = if has_areas {
        area_top + 260.0
    } else {
        area_top
    };
    let width = MARGIN * 2.0 + ALONG;
    let title = format!("{}: lines", result.name);
    let length = |m| show(m, Dimension::Length, units);
    let description = format!(
        "lines drawing in three views of one craft, {} long, {} broad, {} high: {} buttocks from the side, {} stations from the ends, {} waterlines from above; below them the curve of section areas",
        length(size[0]),
        length(size[1]),
        length(size[2]),
        result.buttocks.len(),
        result.stations.len(),
        result.waterlines.len()
    );
    let mut svg = Svg::new([width, height], &title, &description);
    svg.heading([MARGIN, 28.0], 17.0, Anchor::Start, &title);
    let from_side = |p: [f64; 3]| {
        [
            MARGIN + (p[0] - lo[0]) * scale,
            top + (hi[2] - p[2]) * scale,
        ]
    };
    let from_above = |p: [f64; 3]| {
        [
            MARGIN + (p[0] - lo[0]) * scale,
            above_top + (hi[1] - p[1]) * scale,
        ]
    };
    side_view(&mut svg, result, top, &from_side);
    above_view(&mut svg, result, above_top, &from_above);
    let room_left = ALONG - size[1] * scale * body_times;
    body_plan(
        &mut svg,
        result,
        [MARGIN + room_left / 2.0, body_top],
        scale * body_times,
        body_times,
    );
    if has_areas {
        area_curve(&mut svg, result, area_top, units);
    }
    svg.foot_note(&result.frame.in_words(units));
    svg.finish()
}

/// Where the water cuts the middle plane, from end to end of the craft or from
/// below to above it; `None` where it runs along that plane.
fn on_middle_plane(water: &SectionWater, lo: [f64; 3], hi: [f64; 3]) -> Option<[[f64; 3]; 2]> {
    /// Sine of 1°.
    const ALONG_IT: f64 = 0.017;
    let [x, _, z] = water.up;
    if x.hypot(z) < ALONG_IT {
        None
    } else if z.abs() >= x.abs() {
        Some([lo[0], hi[0]].map(|at| [at, 0.0, (water.level_m - x * at) / z]))
    } else {
        Some([lo[2], hi[2]].map(|at| [(water.level_m - z * at) / x, 0.0, at]))
    }
}

fn side_view(
    svg: &mut Svg,
    result: &SectionResult,
    top: f64,
    place: &impl Fn([f64; 3]) -> [f64; 2],
) {
    let [lo, hi] = result.box_m;
    svg.text(
        [MARGIN, top - 12.0],
        13.0,
        Anchor::Start,
        if result.drawing.inside_from_side.is_empty() {
            "from starboard, bow to the right"
        } else {
            "from starboard, bow to the right; dashed: bulkheads, foam, pockets, sponsons"
        },
    );
    for line in &result.stations {
        svg.line(
            place([line.at_m, 0.0, lo[2]]),
            place([line.at_m, 0.0, hi[2]]),
            colour::GRID,
            0.6,
        );
    }
    for line in &result.waterlines {
        svg.line(
            place([lo[0], 0.0, line.at_m]),
            place([hi[0], 0.0, line.at_m]),
            colour::GRID,
            0.6,
        );
    }
    for line in &result.buttocks {
        closed(svg, line, colour::OTHER, THIN, place);
    }
    for curve in &result.drawing.inside_from_side {
        let points = curve.iter().map(|[x, z]| [*x, 0.0, *z]);
        inside(svg, points, place);
    }
    // The middle plane's own cut shows wells and steps; the profile goes over them.
    for points in &result.drawing.middle {
        outline(svg, points, colour::INK, THIN, place);
    }
    let profile = result.drawing.profile.iter().map(|[x, z]| [*x, 0.0, *z]);
    outline(svg, &profile.collect::<Vec<_>>(), colour::INK, THICK, place);
    if let Some(ends) = result
        .water
        .as_ref()
        .and_then(|w| on_middle_plane(w, lo, hi))
    {
        let [from, to] = ends.map(place);
        svg.dashes(&[from, to], colour::MAIN, THICK).text(
            [MARGIN + ALONG + 6.0, to[1] + 4.0],
            12.0,
            Anchor::Start,
            "water",
        );
    }
    let mut last = f64::NEG_INFINITY;
    let mut stations: Vec<(usize, &SectionLine)> = result.stations.iter().enumerate().collect();
    stations.sort_by(|a, b| a.1.at_m.total_cmp(&b.1.at_m));
    for (number, line) in stations {
        let foot = place([line.at_m, 0.0, lo[2]]);
        let words = number.to_string();
        if foot[0] - last >= width_of(&words, SMALL).max(APART) + 2.0 {
            last = foot[0];
            svg.text([foot[0], foot[1] + 15.0], SMALL, Anchor::Middle, &words);
        }
    }
}

fn above_view(
    svg: &mut Svg,
    result: &SectionResult,
    top: f64,
    place: &impl Fn([f64; 3]) -> [f64; 2],
) {
    let [lo, hi] = result.box_m;
    svg.text(
        [MARGIN, top - 12.0],
        13.0,
        Anchor::Start,
        "from above, port up",
    );
    for line in &result.stations {
        svg.line(
            place([line.at_m, lo[1], 0.0]),
            place([line.at_m, hi[1], 0.0]),
            colour::GRID,
            0.6,
        );
    }
    for line in &result.buttocks {
        svg.line(
            place([lo[0], line.at_m, 0.0]),
            place([hi[0], line.at_m, 0.0]),
            colour::GRID,
            0.6,
        );
    }
    svg.dashes(
        &[place([lo[0], 0.0, 0.0]), place([hi[0], 0.0, 0.0])],
        colour::INK,
        0.6,
    );
    for line in &result.waterlines {
        closed(svg, line, colour::MAIN, THIN, place);
    }
    for curve in &result.drawing.inside_from_above {
        let points = curve.iter().map(|[x, y]| [*x, *y, 0.0]);
        inside(svg, points, place);
    }
    let port = result
        .drawing
        .outline
        .iter()
        .map(|[x, port, _]| [*x, *port, 0.0]);
    let back = result
        .drawing
        .outline
        .iter()
        .rev()
        .map(|[x, _, starboard]| [*x, *starboard, 0.0]);
    let points: Vec<[f64; 3]> = port.chain(back).collect();
    outline(svg, &points, colour::INK, THICK, place);
}

/// Stations of the after half to the left, seen from astern, those of the fore
/// half to the right, seen from ahead: both show the port side.
fn body_plan(svg: &mut Svg, result: &SectionResult, corner: [f64; 2], scale: f64, times: f64) {
    let [lo, hi] = result.box_m;
    let half = hi[1].max(-lo[1]);
    let middle_x = f64::midpoint(lo[0], hi[0]);
    let axis = corner[0] + half * scale;
    let at = |side: f64, p: &[f64; 3]| {
        [
            axis + side * p[1] * scale,
            corner[1] + (hi[2] - p[2]) * scale,
        ]
    };
    svg.text(
        [axis, corner[1] - 28.0],
        13.0,
        Anchor::Middle,
        &format!("port side from the ends, {times:.1} times as large"),
    )
    .text(
        [axis - 8.0, corner[1] - 10.0],
        12.0,
        Anchor::End,
        "after half",
    )
    .text(
        [axis + 8.0, corner[1] - 10.0],
        12.0,
        Anchor::Start,
        "fore half",
    );
    for line in &result.waterlines {
        let ends = [-1.0, 1.0].map(|side| at(side, &[0.0, half, line.at_m]));
        svg.line(ends[0], ends[1], colour::GRID, 0.6);
    }
    svg.dashes(
        &[at(1.0, &[0.0, 0.0, lo[2]]), at(1.0, &[0.0, 0.0, hi[2]])],
        colour::INK,
        0.6,
    );
    for line in &result.stations {
        let after = line.at_m < middle_x;
        let side = if after { -1.0 } else { 1.0 };
        for one in &line.loops {
            for run in port_runs(&one.points_m) {
                let points: Vec<[f64; 2]> = run.iter().map(|p| at(side, p)).collect();
                svg.polyline(&points, colour::INK, THIN, None);
            }
        }
    }
    for (at_m, curve) in &result.drawing.foam {
        let side = if *at_m < middle_x { -1.0 } else { 1.0 };
        for run in port_runs(curve) {
            let points: Vec<[f64; 2]> = run.iter().map(|p| at(side, p)).collect();
            svg.dashes(&points, colour::OTHER, THIN);
        }
    }
    // Numbers over the lines, each at the first height at which it meets no other.
    let mut taken: Vec<[f64; 2]> = Vec::new();
    for (number, line) in result.stations.iter().enumerate() {
        let side = if line.at_m < middle_x { -1.0 } else { 1.0 };
        let heights =
            (0..16_u8).map(|step| lo[2] + (hi[2] - lo[2]) * (0.3 + 0.04 * f64::from(step)));
        let mut places = heights.filter_map(|z| Some(at(side, &[0.0, port_at(line, z)?, z])));
        let is_free = |p: &[f64; 2]| {
            let mut near = taken.iter();
            !near.any(|q| (q[0] - p[0]).abs() < APART && (q[1] - p[1]).abs() < SMALL + 2.0)
        };
        if let Some([x, y]) = places.find(is_free) {
            taken.push([x, y]);
            svg.circle([x, y], 7.0, "none", Some("white"));
            svg.text([x, y + 4.0], SMALL, Anchor::Middle, &number.to_string());
        }
    }
}

/// Farthest to port of a station at a height, m.
fn port_at(line: &SectionLine, height: f64) -> Option<f64> {
    let mut most = None;
    for one in &line.loops {
        let next = one.points_m.iter().skip(1).chain(one.points_m.first());
        for (a, b) in one.points_m.iter().zip(next) {
            if (a[2] >= height) != (b[2] >= height) {
                let y = a[1] + (b[1] - a[1]) * (height - a[2]) / (b[2] - a[2]);
                most = Some(f64::max(most.unwrap_or(y), y));
            }
        }
    }
    most
}

/// The stretches of a closed curve on the port side, each from the middle plane to it where
/// the curve crosses it.
fn port_runs(points: &[[f64; 3]]) -> Vec<Vec<[f64; 3]>> {
    let Some(start) = points.iter().position(|p| p[1] < 0.0) else {
        let closed = points.iter().chain(points.first()).copied();
        return vec![closed.collect()];
    };
    let mut runs = Vec::new();
    let mut run: Vec<[f64; 3]> = Vec::new();
    let next = (1..=points.len()).map(|step| points[(start + step) % points.len()]);
    let mut last = points[start];
    for p in next {
        if (last[1] < 0.0) != (p[1] < 0.0) {
            let share = last[1] / (last[1] - p[1]);
            run.push([0, 1, 2].map(|k| last[k] + (p[k] - last[k]) * share));
        }
        if p[1] >= 0.0 {
            run.push(p);
        } else if !run.is_empty() {
            runs.push(std::mem::take(&mut run));
        }
        last = p;
    }
    runs
}

fn area_curve(svg: &mut Svg, result: &SectionResult, top: f64, units: UnitSystem) {
    let [lo, hi] = result.box_m;
    let [length, area] = [Metric::Metre, Metric::SquareMetre].map(|m| Bare::of(m, units));
    let mut points: Vec<[f64; 2]> = result
        .stations
        .iter()
        .filter_map(|line| Some([length.value(line.at_m), area.value(line.immersed_area_m2?)]))
        .collect();
    points.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let most = points.iter().map(|p| p[1]).fold(0.0, f64::max);
    let plot = Plot::new(
        [MARGIN, top],
        [ALONG, 180.0],
        [lo[0], hi[0]].map(|x| length.value(x)),
        [0.0, most * 1.05],
    );
    plot.axes(
        svg,
        &format!("x, {}", length.unit),
        &format!("curve of section areas: area under water, {}", area.unit),
    );
    let places: Vec<[f64; 2]> = points.iter().map(|[x, y]| plot.at(*x, *y)).collect();
    svg.polyline(&places, colour::MAIN, THICK, None);
    for place in places {
        svg.circle(place, 2.5, colour::MAIN, Some("white"));
    }
}

fn closed(
    svg: &mut Svg,
    line: &SectionLine,
    stroke: &str,
    width: f64,
    place: &impl Fn([f64; 3]) -> [f64; 2],
) {
    for one in &line.loops {
        outline(svg, &one.points_m, stroke, width, place);
    }
}

/// The outline of a bulkhead or of foam inside.
fn inside(
    svg: &mut Svg,
    points: impl Iterator<Item = [f64; 3]>,
    place: &impl Fn([f64; 3]) -> [f64; 2],
) {
    let mut list: Vec<[f64; 2]> = points.map(place).collect();
    list.extend(list.first().copied());
    svg.dashes(&list, colour::OTHER, 1.2);
}

fn outline(
    svg: &mut Svg,
    points: &[[f64; 3]],
    stroke: &str,
    width: f64,
    place: &impl Fn([f64; 3]) -> [f64; 2],
) {
    let closed = points.iter().chain(points.first());
    let list: Vec<[f64; 2]> = closed.map(|p| place(*p)).collect();
    svg.polyline(&list, stroke, width, None);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bridge deck from one side to the other: its port half is closed but for the middle
    /// plane, on which it begins and ends (closed form).
    #[test]
    fn what_crosses_the_middle_plane_is_drawn_from_it() {
        let deck = [
            [1.0, -2.0, 0.0],
            [1.0, 1.0, 0.0],
            [1.0, 1.0, 0.5],
            [1.0, -2.0, 0.5],
        ];
        let port = [[1.0, 0.0, 0.0], deck[1], deck[2], [1.0, 0.0, 0.5]];
        assert_eq!(port_runs(&deck), [port]);
        // Wherever the curve begins, and whichever way it goes.
        let turned = [deck[2], deck[3], deck[0], deck[1]];
        assert_eq!(port_runs(&turned), [port]);
        assert!(port_runs(&deck.map(|[x, y, z]| [x, y - 3.0, z])).is_empty());
    }
}
