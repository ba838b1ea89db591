//! The table and the drawing of the righting arms.
use super::cell::{angle, cells, energy, fixed, length};
use super::plot::{number, round_values};
use super::say::Bare;
use super::svg::{Anchor, Svg, colour, shortened, width_of};
use super::words::{Words, told_first};
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{
    Answer, ArmCurve, ArmPoint, ArmSide, AttitudeLine, BarrierLine, RightingResult, Vanishing,
};

mod words;

/// Angles between the rows of the table, deg.
const SHOWN_EVERY_DEG: f64 = 10.0;

impl Present for Answer<RightingResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        curve(
            &mut sheet,
            "Righting arm over heel (starboard down +), pitch free",
            "pitch",
            &self.heel,
        );
        curve(
            &mut sheet,
            "Righting arm over pitch (bow up +), heel free",
            "heel",
            &self.pitch,
        );
        attitudes(&mut sheet, &self.resting_attitudes);
        barriers(&mut sheet, &self.barriers);
        sheet.wary_of(self)
    }
}

fn attitudes(sheet: &mut Sheet, attitudes: &[AttitudeLine]) {
    let rows = (1_usize..).zip(attitudes).map(|(number, line)| {
        let where_it_lies = if line.from_upright {
            " (where it lies)"
        } else {
            ""
        };
        cells![
            fixed(number),
            format!("{}{}{where_it_lies}", line.words, beside(line)),
            angle(line.heel_deg),
            angle(line.pitch_deg),
            energy(line.energy_j),
            line.sill_m.map(length),
        ]
    });
    let header = [
        "",
        "attitude",
        "heel",
        "pitch",
        "energy over the lowest",
        "lowest sill",
    ];
    sheet
        .heading("Every attitude of rest, openings taken as sealed")
        .grid(&header, rows);
}

fn barriers(sheet: &mut Sheet, barriers: &[BarrierLine]) {
    let rows = barriers.iter().map(|line| {
        let [a, b] = line.between;
        let [from_a, from_b] = line.work_j.map(energy);
        cells![
            format!("{a} to {b}"),
            from_a,
            format!("{b} to {a}"),
            from_b,
            angle(line.heel_deg),
            angle(line.pitch_deg),
            if line.exact { "" } else { "about" },
        ]
    });
    sheet.heading("Work to get from one to another").grid(
        &["from", "work", "back", "work", "over heel", "and pitch", ""],
        rows,
    );
}

/// The range of heel in which a neutral craft stays as well.
fn beside(line: &AttitudeLine) -> String {
    match line.heel_range_deg {
        None => String::new(),
        Some([low, high]) if high - low >= 360.0 => ", or at any heel".to_owned(),
        Some([low, high]) if high - low < 1.0 => ", or beside".to_owned(),
        Some([low, high]) => format!(", or at any heel from {low:.0}° to {high:.0}°"),
    }
}

fn curve(sheet: &mut Sheet, heading: &str, across: &str, curve: &ArmCurve) {
    let shown = curve.points.iter().filter(|point| {
        let rows = point.angle_deg / SHOWN_EVERY_DEG;
        (rows - rows.round()).abs() < 1e-6
    });
    let rows = shown.map(|point| {
        cells![
            angle(point.angle_deg),
            length(point.arm_m),
            angle(point.across_deg),
            point.sill_m.map(length),
            if point.dry { "" } else { "as if sealed" },
        ]
    });
    sheet
        .heading(heading)
        .grid(&["angle", "arm", across, "lowest sill", ""], rows);
    let sides = curve.sides.iter();
    let notes: Vec<String> = sides
        .flat_map(|side| side_notes(side, sheet.units))
        .collect();
    sheet.notes(&notes);
}

/// What the curve comes to on one side.
fn side_notes(side: &ArmSide, units: UnitSystem) -> Vec<String> {
    let angle = |value: f64| show(value, Dimension::Angle, units);
    let work = |value: f64| show(value, Dimension::Energy, units);
    let name = &side.side;
    let mut notes = vec![match (side.largest_arm_m, side.largest_arm_at_deg) {
        (Some(arm), Some(at)) => format!(
            "{name}: largest arm {} at {}",
            show(arm, Dimension::Length, units),
            angle(at)
        ),
        _ => format!("{name}: no arm turns it back to where it rests"),
    }];
    match side.vanishing {
        Vanishing::At { angle_deg, work_j } => notes.push(format!(
            "{name}: the arm vanishes at {}, {} of work from rest",
            angle(angle_deg),
            work(work_j)
        )),
        Vanishing::NeverVanishes => {
            notes.push(format!("{name}: the arm does not vanish up to the end"));
        }
        Vanishing::NeverPositive => {}
    }
    if let Some(at) = side.rolls_over_deg {
        notes.push(format!(
            "{name}: held at {} it rolls over the other way: past it the curve is of a craft on its side",
            angle(at)
        ));
    }
    if let Some(flood) = &side.first_sill {
        notes.push(format!(
            "{name}: {} is awash at {}, {} of work from rest{}: past it the curve is drawn as if it were sealed",
            flood.opening,
            angle(flood.angle_deg),
            work(flood.work_j),
            if flood.turns_over_first {
                ", the craft having gone over by itself before"
            } else {
                " (the area under the curve)"
            }
        ));
    }
    notes
}

/// The frame of the curve: its left and upper edge, breadth and height.
const LEFT: f64 = 70.0;
const TOP: f64 = 92.0;
const WIDTH: f64 = 700.0;
const HEIGHT: f64 = 320.0;

/// Righting arm over heel: dry part drawn whole, the part past a flooded
/// opening dashed by its points, each opening's angle marked.
#[must_use]
pub fn righting_svg(result: &Answer<RightingResult>, units: UnitSystem) -> String {
    let curve = &result.heel;
    let mut svg = Svg::new(
        [800.0, 492.0],
        &format!("Righting arm over heel: {}", result.name),
        &result.summary(units),
    );
    let arms = curve.points.iter().map(|p| p.arm_m.abs());
    let most_m = arms.fold(0.01, f64::max);
    axes(&mut svg, most_m, Bare::short(units));
    arm(&mut svg, curve, most_m);
    awash(&mut svg, &curve.sides);
    let title = format!("{}: arm that turns it back, over heel", result.name);
    for (y, size, text) in [
        (
            42.0,
            12.0,
            "line: openings dry; small circles: only if every opening were sealed",
        ),
        (
            TOP + HEIGHT + 38.0,
            12.0,
            "heel, starboard down positive; above the middle line to the right and below it to the left it comes back",
        ),
        (
            TOP + HEIGHT + 60.0,
            11.0,
            "calm still water only; displacement held, pitch free",
        ),
    ] {
        svg.text([400.0, y], size, Anchor::Middle, text);
    }
    svg.heading([400.0, 24.0], 16.0, Anchor::Middle, &title);
    svg.finish()
}

/// Where an angle of heel lies, deg.
fn x(angle_deg: f64) -> f64 {
    LEFT + WIDTH * (angle_deg + 180.0) / 360.0
}

/// Where an arm lies of at most `most_m`.
fn y(arm_m: f64, most_m: f64) -> f64 {
    TOP + HEIGHT / 2.0 * (1.0 - arm_m / most_m)
}

fn axes(svg: &mut Svg, most_m: f64, bare: Bare) {
    for step in -6..=6_i8 {
        let angle = 30.0 * f64::from(step);
        svg.line([x(angle), TOP], [x(angle), TOP + HEIGHT], colour::GRID, 0.5);
        svg.text(
            [x(angle), TOP + HEIGHT + 16.0],
            11.0,
            Anchor::Middle,
            &format!("{angle:.0}°"),
        );
    }
    // Round in the unit shown.
    for arm in round_values([-most_m, most_m].map(|arm| bare.value(arm))) {
        let y = y(arm / bare.value(1.0), most_m);
        let width = if arm == 0.0 { 1.2 } else { 0.5 };
        svg.line([LEFT, y], [LEFT + WIDTH, y], colour::GRID, width);
        let words = format!("{} {}", number(arm), bare.unit);
        svg.text([LEFT - 6.0, y + 4.0], 11.0, Anchor::End, &words);
    }
}

/// The curve, broken where an opening is under and where the craft jumps.
fn arm(svg: &mut Svg, curve: &ArmCurve, most_m: f64) {
    let at = |point: &ArmPoint| [x(point.angle_deg), y(point.arm_m, most_m)];
    let runs = curve
        .points
        .chunk_by(|a, b| a.dry && b.dry && a.jumps == b.jumps);
    for run in runs.filter(|run| run[0].dry) {
        let line: Vec<[f64; 2]> = run.iter().map(at).collect();
        svg.polyline(&line, colour::MAIN, 2.5, None);
    }
    for point in curve.points.iter().filter(|p| !p.dry) {
        svg.circle(at(point), 1.6, colour::WORST, None);
    }
}

/// The angle at which the first sill of each side is awash, named over the frame in a row
/// of its own; the lines stop for the names.
fn awash(svg: &mut Svg, sides: &[ArmSide]) {
    const HIGH: f64 = 12.0;
    let floods = sides.iter().filter_map(|side| side.first_sill.as_ref());
    let rows = floods.zip(0_u8..);
    let rows =
        rows.map(|(flood, row)| (flood, x(flood.angle_deg), TOP - 8.0 - 17.0 * f64::from(row)));
    for (_, at, y) in rows.clone() {
        svg.line([at, y - 9.0], [at, TOP + HEIGHT], colour::WORST, 1.2);
    }
    for (flood, at, y) in rows {
        // To the side that has more room.
        let [before, behind] = [at - LEFT, LEFT + WIDTH - at];
        let room = behind.max(before);
        let angle = (flood.angle_deg * 10.0).round() / 10.0 + 0.0;
        let words = format!("{} awash at {angle:.1}°", flood.opening);
        let words = shortened(&words, HIGH, room);
        let wide = width_of(&words, HIGH);
        let (aside, anchor, left) = if behind >= before {
            (5.0, Anchor::Start, at + 3.0)
        } else {
            (-5.0, Anchor::End, at - 3.0 - wide)
        };
        svg.rectangle([left, y - 12.0], [wide, 16.0], "none", Some(("white", 1.0)))
            .text([at + aside, y], HIGH, anchor, &words);
    }
}
