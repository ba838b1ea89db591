//! A strip of moments of a craft that fills: from starboard and from astern, with the water
//! outside and inside.
use super::Present;
use super::say::{Say, one_system};
use super::svg::{Anchor, EDGE, Marks, Svg, colour, extent, thinned};
use super::words::heel_to_side;
use crate::quantity::UnitSystem;
use crate::study::{Answer, FilmFrame, Shape, Start, SwampEnd, SwampResult};

/// A frame's width; two stand side by side.
const WIDTH: f64 = 500.0;
/// Of that, the room of the two views.
const ROOMS: [f64; 2] = [330.0, 120.0];
const TOP: f64 = 84.0;
/// Room over and under a craft within its frame, the latter with the caption.
const OVER: f64 = 18.0;
const UNDER: f64 = 52.0;
/// From here on times are in minutes, s.
const IN_MINUTES_S: f64 = 600.0;
/// Corners nearer than this to the last are left out.
const NEAR: f64 = 1.5;
const NUMBERS: [&str; 7] = ["no", "one", "two", "three", "four", "five", "six"];

/// How many moments a strip has, in words, and what they are of.
#[must_use]
pub(super) fn moments_in_words(frames: &[FilmFrame], start: Start) -> String {
    let number = NUMBERS.get(frames.len()).copied().unwrap_or("some");
    let of = match start {
        Start::Knock | Start::Tilt => "from rest, before a sill is pushed under, to the end",
        Start::Condition => "from the craft as loaded to the end",
    };
    let moments = if frames.len() == 1 {
        "moment"
    } else {
        "moments"
    };
    format!("{number} {moments}, {of}")
}

/// The moments in frames; one scale throughout.
#[must_use]
pub fn film_strip_svg(
    result: &Answer<SwampResult>,
    frames: &[FilmFrame],
    units: UnitSystem,
) -> String {
    let extents = [0, 1].map(|which| {
        let views = frames.iter().map(|frame| &frame.views[which]);
        extent(views.flat_map(|view| &view.outline).copied())
    });
    let scale = [0, 1]
        .map(|k| ROOMS[k] / (extents[k][1] - extents[k][0]).max(1e-6))
        .into_iter()
        .fold(f64::INFINITY, f64::min);
    // Of each row of two frames: up over the water, down under it, where it begins.
    let mut rows: Vec<[f64; 3]> = Vec::new();
    let mut foot = TOP;
    for pair in frames.chunks(2) {
        let views = pair.iter().flat_map(|frame| &frame.views);
        let [_, _, low, high] = extent(views.flat_map(|view| &view.outline).copied());
        let (up, down) = (high.max(0.0) * scale, -low.min(0.0) * scale);
        rows.push([up, down, foot]);
        foot += OVER + up + down + UNDER;
    }
    let mut svg = Svg::new(
        [2.0 * WIDTH, foot],
        &format!("Swamping of {}", result.name),
        &result.summary(units),
    );
    svg.pattern("film-inside", 6.0, "#fbe3d3", Marks::Stripes(colour::WORST))
        .heading(
            [WIDTH, 26.0],
            16.0,
            Anchor::Middle,
            &format!("{}: {}", result.name, moments_in_words(frames, result.start)),
        )
        .text(
            [WIDTH, 46.0],
            12.0,
            Anchor::Middle,
            "left: from starboard, bow to the right; right: from astern; one scale; calm still water only",
        );
    legend(&mut svg);
    let times = times(frames);
    for (number, (frame, time)) in frames.iter().zip(times).enumerate() {
        // The last one in the middle where it has a row to itself.
        let is_alone = number % 2 == 0 && number + 1 == frames.len();
        let column = if is_alone { 0.5 } else { (number % 2) as f64 };
        let left = column * WIDTH;
        let [up, _, top] = rows.get(number / 2).copied().unwrap_or_default();
        let sea = top + OVER + up;
        let middles = [
            left + EDGE + ROOMS[0] / 2.0,
            left + WIDTH - EDGE - ROOMS[1] / 2.0,
        ];
        for which in [0, 1] {
            let [low, high, ..] = extents[which];
            let zero = middles[which] - f64::midpoint(low, high) * scale;
            let shape = &frame.views[which];
            view(&mut svg, shape, &frame.levels_m, [zero, sea], scale);
            let half = ROOMS[which] / 2.0 + 4.0;
            let ends = [-half, half].map(|off| [middles[which] + off, sea]);
            svg.line(ends[0], ends[1], colour::MAIN, 2.5);
        }
        let caption = format!(
            "{time}: {} inside, heel {}, pitch {}",
            Say(one_system(units)).water(frame.water_m3),
            heel_to_side(frame.heel_deg, "", &[]),
            pitch_in_words(frame.pitch_deg)
        );
        // Close under its own picture, however deep the other of the row is.
        let outlines = frame.views.iter().flat_map(|view| &view.outline);
        let [_, _, low, _] = extent(outlines.copied());
        let foot = [left + WIDTH / 2.0, sea - low.min(0.0) * scale + 26.0];
        svg.text(foot, 13.0, Anchor::Middle, &caption);
        if number + 1 == frames.len() && result.end_air_lost == SwampEnd::Sunk {
            svg.text([foot[0], foot[1] + 18.0], 14.0, Anchor::Middle, "IT SINKS");
        }
    }
    svg.finish()
}

/// What the lines and the stripes are.
fn legend(svg: &mut Svg) {
    let y = 66.0;
    let signs = [
        (WIDTH - 190.0, "outside water", Some((colour::MAIN, 2.5))),
        (WIDTH - 50.0, "water inside", None),
        (WIDTH + 80.0, "opening", Some((colour::INK, 2.2))),
    ];
    for (x, words, line) in signs {
        if let Some((colour, width)) = line {
            svg.line([x, y - 4.0], [x + 24.0, y - 4.0], colour, width);
        } else {
            let area = [[x, y - 10.0], [x + 24.0, y - 10.0], [x + 24.0, y], [x, y]];
            svg.area(&area, "url(#film-inside)");
        }
        svg.text([x + 30.0, y], 12.0, Anchor::Start, words);
    }
}

/// "0.4° bow up".
fn pitch_in_words(pitch_deg: f64) -> String {
    let end = if pitch_deg > 0.0 {
        "bow up"
    } else {
        "bow down"
    };
    match format!("{:.1}", pitch_deg.abs()).as_str() {
        "0.0" => "0.0°".to_owned(),
        angle => format!("{angle}° {end}"),
    }
}

/// The times in words, no two the same: with as many decimals as that takes.
fn times(frames: &[FilmFrame]) -> Vec<String> {
    const MOST_DECIMALS: usize = 3;
    let last = frames.last().map_or(0.0, |frame| frame.time_s);
    let (unit, per_second) = if last < IN_MINUTES_S {
        ("s", 1.0)
    } else {
        ("min", 1.0 / 60.0)
    };
    let with = |decimals: usize| -> Vec<String> {
        let times = frames.iter().map(|frame| frame.time_s * per_second);
        times
            .map(|time| format!("{time:.decimals$} {unit}"))
            .collect()
    };
    let differ = |times: &[String]| times.windows(2).all(|pair| pair[0] != pair[1]);
    let told = (0..MOST_DECIMALS).map(with).find(|times| differ(times));
    told.unwrap_or_else(|| with(MOST_DECIMALS))
}

/// The craft, the water in each space, the openings.
fn view(svg: &mut Svg, shape: &Shape, levels: &[Option<f64>], zero: [f64; 2], scale: f64) {
    let place = |[x, y]: [f64; 2]| [zero[0] + x * scale, zero[1] - y * scale];
    let on_paper = |points: &[[f64; 2]]| thinned(points.iter().map(|p| place(*p)), NEAR);
    svg.polyline(
        &on_paper(&shape.outline),
        colour::INK,
        1.4,
        Some(colour::GRID),
    );
    for (level, [from, to]) in levels.iter().zip(&shape.spaces) {
        let Some(level) = level else { continue };
        let within = cut(&shape.outline, 1, *level, 1.0);
        let within = cut(&within, 0, *from, -1.0);
        let within = cut(&within, 0, *to, 1.0);
        svg.area(&on_paper(&within), "url(#film-inside)");
    }
    for rim in &shape.rims {
        svg.polyline(&on_paper(rim), colour::INK, 2.2, None);
    }
}

/// What of a closed outline lies below a limit on one axis, or above it where `sign` is −1
/// (Sutherland and Hodgman's clipping by one line).
fn cut(points: &[[f64; 2]], axis: usize, limit: f64, sign: f64) -> Vec<[f64; 2]> {
    let over = |p: &[f64; 2]| sign * (p[axis] - limit);
    let next = points.iter().skip(1).chain(points.first());
    let mut kept = Vec::new();
    for (a, b) in points.iter().zip(next) {
        if over(a) <= 0.0 {
            kept.push(*a);
        }
        if (over(a) <= 0.0) != (over(b) <= 0.0) {
            let share = over(a) / (over(a) - over(b));
            kept.push([0, 1].map(|k| a[k] + (b[k] - a[k]) * share));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_outline_is_cut_at_a_level() {
        let square = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]];
        assert_eq!(
            cut(&square, 1, 0.5, 1.0),
            [[0.0, 0.0], [2.0, 0.0], [2.0, 0.5], [0.0, 0.5]]
        );
        assert!(cut(&square, 1, -1.0, 1.0).is_empty());
        assert_eq!(cut(&square, 0, 1.0, -1.0).len(), 4);
    }
}
