//! The rose of leans: how far the craft can lean each way before the first sill is awash.
use super::Present;
use super::margins::{ROSE_RING_DEG, ends_deg, lean_in_words, limits, rim_deg};
use super::say::Say;
use super::svg::{Anchor, BADGE, EDGE, Svg, colour, wrapped};
use crate::quantity::{Metric, UnitSystem};
use crate::study::{Answer, MarginAbout, MarginsResult, TiltLine};

const WIDTH: f64 = 600.0;
/// Where the middle of the rose lies, and its radius.
const MIDDLE: [f64; 2] = [300.0, 316.0];
const RADIUS: f64 = 210.0;
/// Under it, where the list of lobes begins.
const LIST: f64 = 574.0;
const TEXT: f64 = 13.0;
const ROW: f64 = 19.0;

/// The rose, drawn from above with the bow up: the yardstick's limits as dashed rings, what
/// gives way first numbered and named below.
#[must_use]
pub fn rose_svg(result: &Answer<MarginsResult>, units: UnitSystem) -> String {
    let rim = rim_deg(&result.tilt);
    let mut svg = Svg::new(
        [WIDTH, LIST],
        &format!("Lean that floods: {}", result.name),
        &result.summary(units),
    );
    svg.heading(
        [MIDDLE[0], 28.0],
        16.0,
        Anchor::Middle,
        &format!(
            "{}: lean that brings a sill to the water or turns it over",
            result.name
        ),
    );
    svg.text(
        [MIDDLE[0], 48.0],
        12.0,
        Anchor::Middle,
        &format!("distance from the middle is the lean; the rim is {rim:.0}° or more"),
    );
    rings_and_spokes(&mut svg, rim);
    let outline: Vec<[f64; 2]> = result
        .tilt
        .iter()
        .map(|line| on_rose(line.bearing_deg, ends_deg(line).unwrap_or(rim), rim))
        .collect();
    svg.polyline(&outline, colour::MAIN, 2.0, Some(colour::MAIN));
    yardstick(&mut svg, result, rim, units);
    worst_lean(&mut svg, result, rim);
    ring_numbers(&mut svg, rim);
    ways(&mut svg, rim);
    lobes(&mut svg, result, rim);
    svg.foot_note("Calm still water only; displacement held.");
    svg.finish()
}

/// The place of a lean; `rim_deg` is that at the rim.
fn on_rose(bearing_deg: f64, lean_deg: f64, rim_deg: f64) -> [f64; 2] {
    let (sin, cos) = bearing_deg.to_radians().sin_cos();
    let radius = RADIUS * (lean_deg / rim_deg).clamp(0.0, 1.0);
    [MIDDLE[0] + radius * sin, MIDDLE[1] - radius * cos]
}

/// The rings' leans, deg.
fn rings(rim: f64) -> impl Iterator<Item = f64> {
    let rings = (1..=6_u8).map(|n| ROSE_RING_DEG * f64::from(n));
    rings.take_while(move |ring| *ring <= rim)
}

/// Their numbers, over what is drawn.
fn ring_numbers(svg: &mut Svg, rim: f64) {
    for ring in rings(rim) {
        let [x, y] = on_rose(45.0, ring, rim);
        svg.text_over([x + 2.0, y], 12.0, Anchor::Start, &format!("{ring:.0}°"));
    }
}

fn rings_and_spokes(svg: &mut Svg, rim: f64) {
    for ring in rings(rim) {
        svg.circle(MIDDLE, RADIUS * ring / rim, colour::GRID, None);
    }
    for spoke in 0..12 {
        let end = on_rose(30.0 * f64::from(spoke), rim, rim);
        svg.line(MIDDLE, end, colour::GRID, 0.5);
    }
}

/// The limits of the yardstick for the smallest lean.
fn yardstick(svg: &mut Svg, result: &MarginsResult, rim: f64, units: UnitSystem) {
    let judged = result.verdicts.iter();
    let mut judged = judged.filter(|line| matches!(line.about, MarginAbout::SmallestLean { .. }));
    let Some(limits) = judged.find_map(|line| line.limits.as_ref()) else {
        return;
    };
    let rings = [
        (limits.red.value, colour::WORST, "fails under"),
        (limits.green.value, colour::OTHER, "clear over"),
    ];
    for (row, (lean, stroke, words)) in (0_u8..).zip(rings) {
        if lean <= rim {
            let ring: Vec<[f64; 2]> = (0..=72_u8)
                .map(|step| on_rose(5.0 * f64::from(step), lean, rim))
                .collect();
            svg.dashes(&ring, stroke, 2.0);
        }
        let y = 76.0 + 18.0 * f64::from(row);
        svg.dashes(&[[EDGE, y - 4.0], [EDGE + 28.0, y - 4.0]], stroke, 2.0)
            .text(
                [EDGE + 34.0, y],
                12.0,
                Anchor::Start,
                &format!("{words} {}", Say(units).limit(lean, Metric::Degree)),
            );
    }
}

fn worst_lean(svg: &mut Svg, result: &MarginsResult, rim: f64) {
    let Some((worst, turns_over)) = result.soonest() else {
        return;
    };
    let (lean, then) = match &worst.opening {
        _ if turns_over => (worst.over_deg, "turns over"),
        Some(opening) => (worst.lean_deg, opening.as_str()),
        None => (worst.lean_deg, "turns over"),
    };
    let Some(lean) = lean else { return };
    let at = on_rose(worst.bearing_deg, lean, rim);
    let way = result.way_in_words(worst, turns_over);
    svg.line(MIDDLE, at, colour::WORST, 2.5);
    svg.circle(at, 5.0, colour::WORST, Some(colour::WORST));
    let lean = lean_in_words(lean, &limits(result)[0]);
    told(svg, &format!("Worst (dot): {lean} {way}, {then}"), EDGE);
}

/// A line more under the rose, from so far in; returns where it stands.
fn told(svg: &mut Svg, words: &str, left: f64) -> f64 {
    let room = WIDTH - EDGE - left;
    let lines = wrapped(words, TEXT, room).len() as f64;
    let y = svg.lengthen(ROW * lines) + 8.0;
    svg.paragraph([left, y], TEXT, room, words);
    y
}

/// What gives way first at a bearing.
fn gives_way(line: &TiltLine) -> Option<&str> {
    match line.over_deg {
        Some(_) => Some("it turns over"),
        None => line.opening.as_deref(),
    }
}

/// Numbers on the stretches of bearings at which one thing gives way first, named below.
fn lobes(svg: &mut Svg, result: &MarginsResult, rim: f64) {
    let tilt = &result.tilt;
    let mut runs: Vec<Vec<&TiltLine>> = Vec::new();
    for line in tilt {
        match runs.last_mut() {
            Some(run) if run.last().and_then(|last| gives_way(last)) == gives_way(line) => {
                run.push(line);
            }
            _ => runs.push(vec![line]),
        }
    }
    // The rose has no end: what is at the last bearing goes on at the first.
    if runs.len() > 1
        && runs[0].first().and_then(|l| gives_way(l)) == tilt.last().and_then(gives_way)
    {
        let first = runs.remove(0);
        if let Some(last) = runs.last_mut() {
            last.extend(first);
        }
    }
    let mut names: Vec<(&str, f64)> = Vec::new();
    let mut places: Vec<[f64; 2]> = Vec::new();
    for run in &runs {
        let Some(name) = gives_way(run[0]) else {
            continue;
        };
        let least = run.iter().filter_map(|line| ends_deg(line));
        let least = least.fold(f64::INFINITY, f64::min);
        let number = names.iter().position(|(known, _)| *known == name);
        let number = number.unwrap_or_else(|| {
            names.push((name, least));
            names.len() - 1
        });
        names[number].1 = names[number].1.min(least);
        let middle = run[run.len() / 2];
        let lean = ends_deg(middle).unwrap_or(rim);
        // Within the lobe's edge where there is room, else beyond it.
        let inset = 16.0 * rim / RADIUS;
        let mut lean = if lean > 3.0 * inset {
            lean - inset
        } else {
            lean + inset
        };
        let mut at = on_rose(middle.bearing_deg, lean, rim);
        let is_taken = |at: [f64; 2]| {
            places
                .iter()
                .any(|p| (p[0] - at[0]).hypot(p[1] - at[1]) < 2.0 * BADGE + 1.0)
        };
        while is_taken(at) && lean < 0.9 * rim {
            lean += inset;
            at = on_rose(middle.bearing_deg, lean, rim);
        }
        if !is_taken(at) {
            places.push(at);
            svg.badge(at, 12.0, number);
        }
    }
    let [limits, _] = limits(result);
    for (number, (name, least)) in names.iter().enumerate() {
        let y = told(
            svg,
            &format!("{name}: from a lean of {}", lean_in_words(*least, &limits)),
            EDGE + 28.0,
        );
        svg.badge([EDGE + 10.0, y - 4.5], 12.0, number);
    }
}

/// What the four ends of the rose mean.
fn ways(svg: &mut Svg, rim: f64) {
    for (bearing, word, anchor, shift) in [
        (0.0, "bow down", Anchor::Middle, [0.0, -10.0]),
        (90.0, "starboard", Anchor::Start, [6.0, 4.0]),
        (180.0, "stern down", Anchor::Middle, [0.0, 20.0]),
        (270.0, "port", Anchor::End, [-6.0, 4.0]),
    ] {
        let [x, y] = on_rose(bearing, rim, rim);
        svg.text([x + shift[0], y + shift[1]], 14.0, anchor, word);
    }
}
