//! The drill and cut map: both sides and the transom, each class with a colour, a
//! pattern and its name, and a line at every border.
use nalgebra::Vector2;

use super::Present;
use super::say::{Bare, Say, one_system};
use super::svg::{Anchor, BADGE, EDGE, Marks, Svg, colour, extent, thinned, width_of, wrapped};
use super::tape_svg::{FromSide, TIMES, degrees, in_words, side_title};
use crate::numerics::convex_hull;
use crate::quantity::{Metric, UnitSystem, capitalised};
use crate::study::{
    Answer, BorderPoint, BorderStation, DrillResult, HoleClass, OpeningClass, Side, SideDrawing,
};

mod transom;

use transom::transom;

const WIDTH: f64 = 640.0;
const LEFT: f64 = 120.0;
const RIGHT: f64 = 16.0;
const TEXT: f64 = 14.0;
const ROW: f64 = 19.0;
/// Size of the numbers under a side.
const NUMBERS: f64 = 12.5;
/// Least room for a column of numbers.
const COLUMN: f64 = 46.0;
/// An opening flatter than this along the boat lies in the transom, share of its length.
const FLAT_SHARE: f64 = 0.006;

// The shades of the viewer's legend: striped, ochre, pale.
const NEVER: [&str; 2] = ["#f6d6be", "#ce5c3c"];
const SEALED: [&str; 2] = ["#ecba54", "#1a1a1a"];
const FREE: &str = "#faf8f0";

/// The map, heights in mm or inches.
#[must_use]
pub fn drill_svg(result: &Answer<DrillResult>, units: UnitSystem) -> String {
    let mut svg = both_sides(result, units);
    transom_and_openings(&mut svg, result, units);
    svg.finish()
}

/// The map in two drawings for one page, so that each is large enough on paper; the second
/// has its patterns from the first.
pub(super) fn drill_in_two(result: &Answer<DrillResult>, units: UnitSystem) -> [String; 2] {
    let mut rest = Svg::new(
        [WIDTH, 26.0],
        &format!("{}: transom and openings", result.name),
        "The transom from astern, divided as the sides are, and the openings by their numbers, each with its height above the water",
    );
    transom_and_openings(&mut rest, result, units);
    [both_sides(result, units).finish(), rest.finish()]
}

fn view_of(result: &DrillResult, side: Side, top: f64) -> FromSide {
    let along = WIDTH - LEFT - RIGHT;
    FromSide::new(&result.drawing.sides, side, [LEFT, top], along)
}

fn both_sides(result: &Answer<DrillResult>, units: UnitSystem) -> Svg {
    let one_side = view_of(result, Side::Port, 0.0).height() + 4.0 * ROW + 44.0;
    let cases = cases_in_lines(result, Say(units));
    let case_lines = cases.iter().map(Vec::len).sum::<usize>();
    let first = 186.0 + ROW * (2 + case_lines) as f64;
    let title = format!("{}: where a hole may go", result.name);
    let bare = Bare::short(units);
    let size = [WIDTH, first + 2.0 * one_side];
    let mut svg = Svg::new(size, &title, &description(result, units));
    svg.pattern("drill-never", 9.0, NEVER[0], Marks::Stripes(NEVER[1]))
        .pattern("drill-sealed", 7.0, SEALED[0], Marks::Dots(SEALED[1]));
    svg.heading([14.0, 26.0], 17.0, Anchor::Start, &title);
    legend(&mut svg, result, &cases, Say(units));
    let notes = [
        capitalised(&format!(
            "{}; heights over the base line, level with the lowest point of the hull.",
            in_words(bare)
        )),
        format!("Sides: heights drawn {TIMES:.0} times as large as lengths. Transom: one scale."),
        "Free: \"all\" or \"none\" of the side. Never: \"–\" where no part of it is that low."
            .to_owned(),
    ];
    for (row, note) in (0_u8..).zip(&notes) {
        let y = first - 26.0 - ROW * f64::from(2 - row);
        svg.text([14.0, y], TEXT, Anchor::Start, note);
    }
    for (number, side) in Side::BOTH.into_iter().enumerate() {
        let top = first + one_side * number as f64;
        svg.text([14.0, top], 15.0, Anchor::Start, side_title(side));
        one_side_of(
            &mut svg,
            result,
            number,
            &view_of(result, side, top + 14.0),
            bare,
        );
    }
    svg
}

fn transom_and_openings(svg: &mut Svg, result: &DrillResult, units: UnitSystem) {
    if !result.drawing.transoms.is_empty() {
        transom(
            svg,
            result,
            &view_of(result, Side::Port, 0.0),
            Bare::short(units),
        );
    }
    openings_list(svg, result, Say(one_system(units)));
    svg.foot_note(
        "Still water only. Free is no promise: waves, a knock or more load reach higher.",
    );
}

/// Cases named in the drawing, and where their names begin.
const MOST_CASES: usize = 6;
const CASES: f64 = 66.0;

fn description(result: &Answer<DrillResult>, units: UnitSystem) -> String {
    let area = |m2| Say(units).of(m2, Metric::SquareMetre, 2);
    let areas: Vec<String> = result
        .areas
        .iter()
        .map(|row| {
            format!(
                "{}: never {}, only if sealed {}, free {}",
                row.name,
                area(row.never_m2),
                area(row.only_if_sealed_m2),
                area(row.free_m2)
            )
        })
        .collect();
    format!(
        "The hull from port, from starboard and from astern, divided by height above the water into never (striped), only if sealed (dotted) and free (plain). {} Areas of skin: {}.",
        result.summary(units),
        areas.join("; ")
    )
}

/// Each case that is named, with how it lies.
fn cases_in_lines(result: &DrillResult, say: Say) -> Vec<Vec<String>> {
    let named = result.cases.iter().take(MOST_CASES).enumerate();
    let lines = named.map(|(number, case)| {
        let more = if number + 1 == MOST_CASES && result.cases.len() > MOST_CASES {
            format!(" and {} more", result.cases.len() - MOST_CASES)
        } else {
            String::new()
        };
        let words = format!(
            "{} ({}, heel {}, pitch {}){more}",
            case.name,
            light_or_whole(case.mass_kg, say),
            degrees(case.heel_deg),
            degrees(case.pitch_deg)
        );
        wrapped(&words, TEXT, WIDTH - CASES - RIGHT)
    });
    lines.collect()
}

fn legend(svg: &mut Svg, result: &DrillResult, cases: &[Vec<String>], say: Say) {
    let lines = [
        (
            "url(#drill-never)",
            format!(
                "never: under water, or less than {} above it at rest",
                say.limit(result.never_under_m, Metric::Millimetre)
            ),
        ),
        (
            "url(#drill-sealed)",
            format!(
                "only if sealed: less than {}, or reached by a lean of {} any way",
                say.limit(result.free_over_m, Metric::Millimetre),
                say.limit(result.lean_deg, Metric::Degree)
            ),
        ),
        (FREE, "free: higher than both".to_owned()),
    ];
    for (number, (fill, words)) in lines.into_iter().enumerate() {
        let y = 42.0 + 24.0 * number as f64;
        let box_of = [[14.0, y], [46.0, y], [46.0, y + 17.0], [14.0, y + 17.0]];
        svg.area(&box_of, fill)
            .rectangle([14.0, y], [32.0, 17.0], colour::INK, None)
            .text([54.0, y + 13.0], TEXT, Anchor::Start, &words);
    }
    let y = 128.0;
    svg.line([14.0, y - 5.0], [46.0, y - 5.0], colour::MAIN, 3.0)
        .text([54.0, y], TEXT, Anchor::Start, "highest water at rest, in:");
    for (number, line) in cases.iter().flatten().enumerate() {
        let at = [CASES, y + ROW * (number + 1) as f64];
        svg.text_within(at, TEXT, Anchor::Start, WIDTH - CASES - RIGHT, line);
    }
}

/// Whole kilograms, a craft of a few to a tenth.
fn light_or_whole(mass_kg: f64, say: Say) -> String {
    const LIGHT_KG: f64 = 10.0;
    say.kg(mass_kg, usize::from(mass_kg < LIGHT_KG))
}

/// The three classes between their borders, the borders, and the highest water.
fn classes(
    svg: &mut Svg,
    points: &[BorderPoint],
    clear_of: Option<&[Seen]>,
    at: &impl Fn(f64, f64) -> [f64; 2],
) {
    let line = |of: &dyn Fn(&BorderPoint) -> f64| -> Vec<[f64; 2]> {
        points.iter().map(|p| at(p.at_m, of(p))).collect()
    };
    let [low, water, never, free, high] = [
        line(&|p| p.low_m),
        line(&|p| p.water_m),
        line(&|p| p.never_m),
        line(&|p| p.free_m),
        line(&|p| p.high_m),
    ];
    for (lower, upper, fill) in [
        (&low, &never, "url(#drill-never)"),
        (&never, &free, "url(#drill-sealed)"),
        (&free, &high, FREE),
    ] {
        let ring: Vec<[f64; 2]> = lower.iter().chain(upper.iter().rev()).copied().collect();
        svg.area(&ring, fill);
    }
    svg.polyline(&never, colour::INK, 1.6, None)
        .polyline(&free, colour::INK, 1.6, None);
    // Where the skin is all dry there is no water line.
    for run in wet_runs(points) {
        svg.polyline(&water[run], colour::MAIN, 3.0, None);
    }
    if let Some(openings) = clear_of {
        for (class, lower, upper) in [
            (HoleClass::Never, &low, &never),
            (HoleClass::OnlyIfSealed, &never, &free),
            (HoleClass::Free, &free, &high),
        ] {
            named(svg, class.word(), lower, upper, openings);
        }
    }
}

fn wet_runs(points: &[BorderPoint]) -> Vec<std::ops::Range<usize>> {
    let mut runs: Vec<std::ops::Range<usize>> = Vec::new();
    for (number, _) in points
        .iter()
        .enumerate()
        .filter(|(_, p)| p.water_m > p.low_m)
    {
        match runs.last_mut() {
            Some(run) if run.end == number => run.end += 1,
            _ => runs.push(number..number + 1),
        }
    }
    runs
}

/// A class's name on a white plate, where its band has the most room for it beside the
/// openings.
fn named(svg: &mut Svg, word: &str, lower: &[[f64; 2]], upper: &[[f64; 2]], openings: &[Seen]) {
    const PLATE: f64 = 13.0;
    let half = width_of(word, 12.0) / 2.0 + 3.0;
    let reach = |edge: &[[f64; 2]], x: f64, of: fn(f64, f64) -> f64| {
        let beside = edge.iter().filter(|p| (p[0] - x).abs() <= half);
        beside.map(|p| p[1]).reduce(of)
    };
    let ends = lower.iter().map(|p| p[0]);
    let Some((first, last)) = ends.clone().reduce(f64::min).zip(ends.reduce(f64::max)) else {
        return;
    };
    let is_free = |x: f64, y: f64| {
        let room = [half + BADGE, PLATE / 2.0 + BADGE];
        let corners = |seen: &Seen| seen.ring.iter().any(|p| is_near(*p, [x, y], room));
        !openings
            .iter()
            .any(|seen| is_near(seen.badge, [x, y], room) || (!seen.is_long && corners(seen)))
    };
    let best = lower
        .iter()
        .map(|p| p[0])
        .filter(|x| x - half > first && x + half < last)
        .filter_map(|x| {
            let (floor, roof) = (reach(lower, x, f64::min)?, reach(upper, x, f64::max)?);
            is_free(x, f64::midpoint(floor, roof)).then_some((x, floor, roof))
        })
        .max_by(|a, b| (a.1 - a.2).total_cmp(&(b.1 - b.2)));
    if let Some((x, floor, roof)) = best
        && floor - roof >= PLATE - 1.0
    {
        let middle = f64::midpoint(floor, roof);
        let corner = [x - half, middle - PLATE / 2.0];
        svg.rectangle(corner, [2.0 * half, PLATE], "none", Some(("white", 0.9)))
            .text([x, middle + 4.2], 12.0, Anchor::Middle, word);
    }
}

fn is_near(a: [f64; 2], b: [f64; 2], room: [f64; 2]) -> bool {
    (a[0] - b[0]).abs() < room[0] && (a[1] - b[1]).abs() < room[1]
}

fn one_side_of(svg: &mut Svg, result: &DrillResult, which: usize, view: &FromSide, bare: Bare) {
    let side = Side::BOTH[which];
    let sides = &result.drawing.sides;
    let length_m = sides.box_m[1][0] - sides.box_m[0][0];
    let mut openings = Vec::new();
    for (number, opening) in result.openings.iter().enumerate() {
        let points: Vec<[f64; 2]> = opening
            .rim_m
            .iter()
            .filter(|p| p[1] * side.sign() >= 0.0)
            .map(|p| [p[0], p[2]])
            .collect();
        let Some([least, most]) = reach(&points) else {
            continue;
        };
        if in_transom(opening, sides) {
            continue;
        }
        let is_long = most - least > length_m / 3.0;
        let points = points.iter().map(|[x, z]| view.at(*x, *z)).collect();
        let foot = view.at(0.0, sides.box_m[0][2])[1];
        openings.push(seen(number, points, is_long, foot, &openings));
    }
    let borders = &result.drawing.borders[which];
    classes(svg, borders, Some(&openings), &|x, z| view.at(x, z));
    svg.polyline(&view.outline(sides), colour::INK, 1.8, None);
    let rim: Vec<[f64; 2]> = sides.rims[which]
        .iter()
        .map(|[x, z]| view.at(*x, *z))
        .collect();
    svg.dashes(&rim, colour::INK, 1.0);
    drawn(svg, &openings);
    numbers(svg, result, side, view, bare);
}

/// What stands under a side: the same stations on both.
fn numbers(svg: &mut Svg, result: &DrillResult, side: Side, view: &FromSide, bare: Bare) {
    let low_m = result.drawing.sides.box_m[0][2];
    let foot = view.at(0.0, low_m)[1] + 18.0;
    for (number, words) in ["from stem", "rim", "free above", "no hole below"]
        .into_iter()
        .enumerate()
    {
        let at = [LEFT - 18.0, foot + ROW * number as f64];
        svg.text(at, 13.0, Anchor::End, words);
    }
    let mut last = f64::INFINITY;
    let mut stations: Vec<&BorderStation> = result.stations.iter().collect();
    stations.sort_by(|a, b| a.from_stem_m.total_cmp(&b.from_stem_m));
    for station in stations {
        let x = view.at(station.x_m, 0.0)[0];
        let has_skin = station.port.is_some() || station.starboard.is_some();
        if !has_skin || (x - last).abs() < COLUMN {
            continue;
        }
        last = x;
        svg.line([x, foot - 18.0], [x, foot - 12.0], colour::INK, 1.0);
        let borders = match side {
            Side::Port => &station.port,
            Side::Starboard => &station.starboard,
        };
        let nothing = || "–".to_owned();
        let [rim, free, never] = borders.as_ref().map_or_else(
            || [nothing(), nothing(), nothing()],
            |borders| {
                let free = match &borders.free_over {
                    None => "all".to_owned(),
                    Some(border) if border.below_rim_m <= 0.0 => "none".to_owned(),
                    Some(border) => bare.told(border.over_base_m),
                };
                let never = borders.never_below.as_ref();
                let never = never.map_or_else(nothing, |border| bare.told(border.over_base_m));
                [bare.told(borders.rim_over_base_m), free, never]
            },
        );
        for (number, text) in [bare.told(station.from_stem_m), rim, free, never]
            .iter()
            .enumerate()
        {
            let at = [x, foot + ROW * number as f64];
            svg.text(at, NUMBERS, Anchor::Middle, text);
        }
    }
}

fn reach(points: &[[f64; 2]]) -> Option<[f64; 2]> {
    let along = || points.iter().map(|p| p[0]);
    Some([along().reduce(f64::min)?, along().reduce(f64::max)?])
}

/// Whether an opening lies in the transom: flat along the boat, and right aft.
fn in_transom(opening: &OpeningClass, sides: &SideDrawing) -> bool {
    let [lo, hi] = sides.box_m;
    let length_m = hi[0] - lo[0];
    let along: Vec<[f64; 2]> = opening.rim_m.iter().map(|p| [p[0], p[2]]).collect();
    reach(&along).is_some_and(|[least, most]| {
        most - least < FLAT_SHARE * length_m && most - lo[0] < length_m / 10.0
    })
}

/// An opening as it shows in a view: its edge, and the place of its number.
struct Seen {
    number: usize,
    ring: Vec<[f64; 2]>,
    badge: [f64; 2],
    is_long: bool,
}

/// An opening's edge as it is drawn: its hull where it is a hole, a line where it goes
/// along the boat; its number clear of those before it, over the foot of the view.
fn seen(number: usize, points: Vec<[f64; 2]>, is_long: bool, foot: f64, others: &[Seen]) -> Seen {
    let ring: Vec<[f64; 2]> = if is_long {
        let mut sorted = points;
        sorted.sort_by(|a, b| a[0].total_cmp(&b[0]));
        sorted
    } else {
        let flat = points.iter().map(|p| Vector2::new(p[0], p[1])).collect();
        let mut ring: Vec<[f64; 2]> = convex_hull(flat).iter().map(|p| [p.x, p.y]).collect();
        ring.extend(ring.first().copied());
        ring
    };
    // Corners nearer than this to the last are left out.
    const NEAR: f64 = 0.6;
    let kept = thinned(ring, NEAR);
    let [left, right, highest, lowest] = extent(kept.iter().copied());
    let mut badge = if is_long {
        // On the line itself, a third along.
        kept.get(kept.len() / 3).copied().unwrap_or([0.0; 2])
    } else {
        [f64::midpoint(left, right), lowest + BADGE + 3.0]
    };
    if badge[1] + BADGE > foot {
        // Under the view stand the stations' numbers.
        badge[1] = highest - BADGE - 3.0;
    }
    let room = 2.0 * BADGE + 1.0;
    while others
        .iter()
        .any(|other| is_near(other.badge, badge, [room; 2]))
    {
        badge[0] += room;
    }
    Seen {
        number,
        ring: kept,
        badge,
        is_long,
    }
}

/// Openings, however small, and their numbers over them.
fn drawn(svg: &mut Svg, openings: &[Seen]) {
    /// Least radius that an opening is drawn with, and the size from which on its edge is
    /// a broad line.
    const LEAST: f64 = 3.0;
    const BROAD_FROM: f64 = 18.0;
    for seen in openings {
        let [left, right, high, low] = extent(seen.ring.iter().copied());
        let size = (right - left).max(low - high);
        if size < 2.0 * LEAST {
            let middle = [f64::midpoint(left, right), f64::midpoint(high, low)];
            svg.circle(middle, LEAST, colour::INK, Some("white"));
            continue;
        }
        let widths = if size < BROAD_FROM {
            [3.4, 1.2]
        } else {
            [4.5, 2.2]
        };
        for (stroke, width) in ["white", colour::INK].into_iter().zip(widths) {
            svg.polyline(&seen.ring, stroke, width, None);
        }
    }
    for seen in openings {
        svg.badge(seen.badge, 13.0, seen.number);
    }
}

fn openings_list(svg: &mut Svg, result: &DrillResult, say: Say) {
    /// Where the words begin, beside the number.
    const WORDS: f64 = 42.0;
    let top = svg.lengthen(ROW);
    svg.text(
        [EDGE, top + 8.0],
        15.0,
        Anchor::Start,
        "Openings: lowest point above the water, at rest and leaned",
    );
    for (number, opening) in result.openings.iter().enumerate() {
        let words = opening_in_words(opening, result, say);
        let room = WIDTH - WORDS - EDGE;
        let lines = wrapped(&words, TEXT, room).len() as f64;
        let y = svg.lengthen(ROW * lines) + 8.0;
        svg.badge([24.0, y - 4.5], 13.0, number);
        svg.paragraph([WORDS, y], TEXT, room, &words);
    }
    svg.lengthen(ROW);
}

fn opening_in_words(opening: &OpeningClass, result: &DrillResult, say: Say) -> String {
    let height = |metres: f64, limits: &[f64]| {
        if metres < 0.0 {
            format!("{} under", say.mm_beside(-metres, &[0.0]))
        } else {
            say.mm_beside(metres, limits)
        }
    };
    let limits = [0.0, result.never_under_m, result.free_over_m];
    format!(
        "{}{}: {} at rest, {} leaned: {}",
        opening.name,
        if opening.covered { " (covered)" } else { "" },
        height(opening.height_m, &limits),
        height(opening.height_leaned_m, &limits[..1]),
        opening.class.word()
    )
}
