//! The transom of the map from astern, with the heights of its borders.
use super::super::say::Bare;
use super::super::svg::{Anchor, Svg, apart, colour};
use super::super::tape_svg::FromSide;
use super::{LEFT, WIDTH, classes, drawn, in_transom, seen};
use crate::numerics::least_and_most;
use crate::study::{BorderPoint, DrillResult, HoleClass, SideDrawing};

/// The scale of the view from astern: that of the heights of the sides where there is room.
fn transom_scale(sides: &SideDrawing, side_height: f64) -> f64 {
    /// Room beside it for the heights of its borders.
    const BESIDE: f64 = 190.0;
    let [lo, hi] = sides.box_m;
    let most = (WIDTH - LEFT - BESIDE) / (hi[1] - lo[1]).max(1e-6);
    (side_height / (hi[2] - lo[2]).max(1e-6)).min(most)
}

/// From astern, port to the left; each hull's transom by itself.
pub(super) fn transom(svg: &mut Svg, result: &DrillResult, side: &FromSide, bare: Bare) {
    let sides = &result.drawing.sides;
    let [lo, hi] = sides.box_m;
    let scale = transom_scale(sides, side.height());
    let top = svg.lengthen((hi[2] - lo[2]) * scale + 58.0);
    let at = |y: f64, z: f64| [LEFT + (hi[1] - y) * scale, top + 14.0 + (hi[2] - z) * scale];
    svg.text(
        [14.0, top],
        15.0,
        Anchor::Start,
        "Transom from astern, port to the left",
    );
    for points in &result.drawing.transoms {
        classes(svg, points, None, &at);
        let low = points.iter().map(|p| at(p.at_m, p.low_m));
        let high = points.iter().rev().map(|p| at(p.at_m, p.high_m));
        let mut ring: Vec<[f64; 2]> = low.chain(high).collect();
        ring.extend(ring.first().copied());
        svg.polyline(&ring, colour::INK, 1.8, None);
    }
    let mut openings = Vec::new();
    for (number, opening) in result.openings.iter().enumerate() {
        if in_transom(opening, sides) {
            let across = opening.rim_m.iter().map(|p| at(p[1], p[2])).collect();
            openings.push(seen(number, across, false, at(0.0, lo[2])[1], &openings));
        }
    }
    // Numbers of openings over the lines to the heights.
    transom_heights(svg, result, &at, bare);
    drawn(svg, &openings);
}

/// The classes by name to port of a transom, the heights of its borders to starboard: both
/// of its middle, of the outermost hulls of several.
fn transom_heights(
    svg: &mut Svg,
    result: &DrillResult,
    at: &impl Fn(f64, f64) -> [f64; 2],
    bare: Bare,
) {
    let transoms = &result.drawing.transoms;
    let (Some(starboard), Some(port)) = (transoms.first(), transoms.last()) else {
        return;
    };
    let ends = transoms.iter().flatten().map(|p| at(p.at_m, 0.0)[0]);
    let (left, right) = least_and_most(ends);
    let left = left - 8.0;
    let middle = |points: &[BorderPoint]| {
        let half = f64::midpoint(points.first()?.at_m, points.last()?.at_m);
        let off = |p: &BorderPoint| (p.at_m - half).abs();
        let nearest = points.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
        nearest.copied()
    };
    let (Some(p), Some(marked)) = (middle(port), middle(starboard)) else {
        return;
    };
    let bands = [
        (p.free_m, p.high_m, HoleClass::Free),
        (p.never_m, p.free_m, HoleClass::OnlyIfSealed),
        (p.low_m, p.never_m, HoleClass::Never),
    ];
    let bands = bands.into_iter().filter(|(low, high, _)| high > low);
    let (wanted, words): (Vec<f64>, Vec<&str>) = bands
        .map(|(low, high, class)| (at(0.0, f64::midpoint(low, high))[1] + 4.0, class.word()))
        .unzip();
    for (y, word) in apart(&wanted, 16.0).into_iter().zip(words) {
        svg.text([left, y], 13.0, Anchor::End, word);
    }
    let heights = [
        (marked.free_m, "free above", marked.high_m > marked.free_m),
        (
            marked.never_m,
            "no hole below",
            marked.never_m > marked.low_m,
        ),
    ];
    let heights: Vec<(f64, &str)> = heights
        .into_iter()
        .filter_map(|(z, words, is_there)| is_there.then_some((z, words)))
        .collect();
    let wanted: Vec<f64> = heights.iter().map(|(z, _)| at(0.0, *z)[1] + 4.0).collect();
    for ((z, words), y) in heights.into_iter().zip(apart(&wanted, 18.0)) {
        let from = at(marked.at_m, z);
        svg.line(from, [right + 16.0, y - 4.0], colour::INK, 0.8)
            .circle(from, 3.0, colour::INK, Some("white"));
        let words = format!("{words} {}", bare.told(z - result.base_z_m));
        svg.text([right + 20.0, y], 13.0, Anchor::Start, &words);
    }
}
