//! One page for the helper at the water's edge: what to see before anyone gets
//! in, what not to do, what to do when it fills.
use super::super::craft_svg::{craft_side_svg, numbers, sign};
use super::super::doubts::doubted;
use super::super::float::sill_height;
use super::super::margins::{lean_in_words, limits as margins_limits};
use super::super::say::Say;
use super::html::Page;
use crate::present::cell::{Cell, cells, length};
use crate::present::{Present, Sheet};
use crate::quantity::{Dimension, Metric, UnitSystem, capitalised, show, show_beside};
use crate::study::{
    Answer, EdgeDoes, LEAST_DECK_M, ListResult, LoadEnd, MOST_HEEL_DEG, MarginsResult,
    OpeningVerdict, ReportResult, SwampEnd,
};

/// Most openings that the page has room for, the lowest first.
const MOST_OPENINGS: usize = 8;

/// Least and greatest size of its print, pt, and how many letters fill it at the greatest.
const PRINT_PT: [f64; 2] = [7.4, 9.3];
const LETTERS_OF_A_PAGE: f64 = 2850.0;

/// Most things aboard that it has room for.
const MOST_THINGS: usize = 12;

/// A place nearer to y = 0 than this counts as in the middle, m.
const MIDDLE_WITHIN_M: f64 = 0.005;

/// Most verdicts, all of the worst kind that there is.
const MOST_VERDICTS: usize = 2;

/// The page, made to be printed on one sheet of A4 or Letter.
#[must_use]
pub fn helper_sheet_html(result: &Answer<ReportResult>, units: UnitSystem) -> String {
    let mut page = Page::default();
    page.raw("<p>Date <span class=\"fill\"></span> Place <span class=\"fill\"></span> Helper <span class=\"fill\"></span></p>\n");
    // The gravest line first.
    let unfit = sinks_or_turns_over(result);
    if unfit {
        page.paragraph(
            "warn",
            "Do not load or man this craft: as it is it sinks, capsizes, or fills as it lies. Change it and make this sheet again.",
        );
    }
    let judged = result.verdicts.iter().filter_map(|line| line.verdict);
    let worst = judged.min();
    let worst = result.verdicts.iter().filter(|line| line.verdict == worst);
    let but = result.verdicts.iter().filter(|line| line.verdict.is_none());
    for verdict in worst.take(MOST_VERDICTS).chain(but) {
        let but = super::but(verdict, units).map(|but| format!("{but}. "));
        let text = format!(
            "{} {}: {}{}",
            sign(verdict.verdict),
            capitalised(super::about(verdict.about)),
            but.unwrap_or_default(),
            super::text(result, verdict.about, units)
        );
        page.paragraph("warn", &text);
    }
    let doubts = result.doubts.len();
    if doubts > 0 {
        page.paragraph(
            "warn",
            &format!(
                "Doubts about {} ({doubts}) may make these numbers wrong: see the report.",
                doubted(&result.doubts)
            ),
        );
    }
    if let Some(picture) = &result.at_rest {
        page.figure(
            &craft_side_svg(&result.name, &result.float.summary(units), picture, units, false),
            if result.float.is_capsized() {
                "Set upright it turns over and, closed tight, comes to lie so, seen from its starboard side"
            } else if unfit {
                "Closed tight it would lie so, seen from starboard; as it is it fills"
            } else {
                "So it must lie with everything aboard, seen from starboard"
            },
        );
    }
    openings(&mut page, result, units);
    aboard(&mut page, result, units);
    limits(&mut page, result, units);
    if !unfit {
        before_anyone_gets_in(&mut page);
    }
    when_water_comes_in(&mut page, result, units);
    page.paragraph(
        "soft",
        "Calm, still water only: no waves, speed, wind or strength is in these numbers. Nothing here clears a craft for use. Ask the boating and diving authorities and whoever owns the water: local rules and licensed practice come first.",
    );
    // The more there is to say the smaller it is printed: the area of a letter goes with
    // the square of its size.
    let share = LETTERS_OF_A_PAGE / (page.letters() as f64).max(1.0);
    let points = (PRINT_PT[1] * share.sqrt()).clamp(PRINT_PT[0], PRINT_PT[1]);
    let style = format!(
        ":root {{ --print: {points:.1}pt; }}\n{}",
        include_str!("sheet.css")
    );
    page.finish(
        &format!("{}: sheet for the helper at the water's edge", result.name),
        &format!(
            "<header><h1>{}: at the water's edge</h1>\n{}</header>\n",
            super::super::svg::escaped(&result.name),
            super::origin(result, units)
        ),
        &style,
    )
}

fn when_water_comes_in(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    page.part("When water comes in");
    let mut then: Vec<String> = Vec::new();
    if let Some(swamp) = &result.swamp {
        then.push(swamp.summary(units));
        if swamp.no_return_m3.is_some_and(|m3| m3 > 0.0) {
            then.push("Out of it well before that much is inside.".to_owned());
        }
    }
    then.push(in_the_water(result).to_owned());
    page.list("notes", &then);
}

/// What to see to first. Common practice, no source.
fn before_anyone_gets_in(page: &mut Page) {
    page.part("Before anyone gets in");
    page.list(
        "boxes",
        &[
            "Waist-deep, still water. A line on the craft, made fast ashore or in the helper's hand.",
            "Life jacket worn. Nobody strapped in. A second person with a clear way out.",
            "Ballast fixed against sliding, and it can be let go. Battery box aired after charging, then closed.",
            "Covers on, bungs in. Inside dry. Everything on the list aboard, in its place.",
            "Afloat empty, then loaded: heights at the openings as in the table, within a finger's breadth, or half the lowest of them where that is less. If not: out, and measure again.",
        ],
    );
}

/// Whether the craft sinks as loaded, turns over, or has an opening under water at
/// rest.
fn sinks_or_turns_over(result: &ReportResult) -> bool {
    let mut openings = result.float.openings.iter();
    !result.float.floats
        || result.float.is_capsized()
        || openings.any(|o| o.verdict == OpeningVerdict::UnderWater)
}

/// What to do in the water. Common practice, no source.
fn in_the_water(result: &ReportResult) -> &'static str {
    let stays_up = result.foam.as_ref().map(|foam| foam.as_it_is.floats);
    let sunk = result
        .swamp
        .as_ref()
        .is_some_and(|s| s.end == SwampEnd::Sunk);
    match stays_up {
        Some(true) if !sunk => {
            "Get clear of the craft, hold on outside, call. The helper pulls on the line; nobody goes under or into it."
        }
        Some(_) => {
            "Full of water it does NOT stay up: get clear, do not hold on to it, call. The helper pulls the person in, not the craft."
        }
        None => {
            "Whether it stays up full of water is not known: get clear, do not rely on it, call. The helper pulls the person in, not the craft."
        }
    }
}

fn openings(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    page.part("Measure at rest, everything aboard");
    let mut openings: Vec<_> = result.float.openings.iter().collect();
    openings.sort_by(|a, b| {
        let height = |value: Option<f64>| value.unwrap_or(f64::NEG_INFINITY);
        height(a.freeboard_m).total_cmp(&height(b.freeboard_m))
    });
    let left_out = openings.len().saturating_sub(MOST_OPENINGS);
    // As in the picture.
    let numbers = result.at_rest.as_ref().map(numbers).unwrap_or_default();
    let numbered = |name: &String| match numbers.iter().position(|known| known == name) {
        Some(number) => format!("{} {}", number + 1, short(name)),
        None => short(name),
    };
    let lowest = openings.into_iter().take(MOST_OPENINGS).map(|opening| {
        let height = |height| sill_height(height, &result.float);
        cells![
            numbered(&opening.name),
            opening.freeboard_m.map_or_else(|| "sinks".into(), height),
            opening.verdict.word(),
            &opening.place,
            "",
        ]
    });
    let header = ["", "above the water", "verdict", "where", "measured"];
    let mut sheet = Sheet::titled("", units);
    sheet.grid(&header, lowest.chain(by_tape(result)));
    page.sheet(&sheet);
    if left_out > 0 {
        page.paragraph(
            "soft",
            &format!("{left_out} higher openings are left out here."),
        );
    }
}

/// As much of a name as one line of the sheet has room for; the report has the whole.
fn short(name: &str) -> String {
    const LETTERS: usize = 44;
    if name.chars().count() <= LETTERS {
        return name.to_owned();
    }
    let kept: String = name.chars().take(LETTERS - 1).collect();
    format!("{}…", kept.trim_end())
}

/// The waterline by tape near the bow and near the stern, where both sides have a mark.
fn by_tape(result: &ReportResult) -> impl Iterator<Item = Vec<Cell>> {
    let stations = result.tape.iter().flat_map(|tape| &tape.stations);
    let told = stations.filter_map(|station| {
        let [port, starboard] = [&station.port, &station.starboard].map(|mark| mark.below_rim_m);
        Some((station.from_stem_m, port?, starboard?))
    });
    let told: Vec<(f64, f64, f64)> = told.collect();
    let ends = told
        .first()
        .into_iter()
        .chain(told.last().filter(|_| told.len() > 1));
    let rows = ends.map(|(from_stem_m, port, starboard)| {
        cells![
            "rim down to the water, " + length(*from_stem_m) + " from the stem",
            length(*port) + " port, " + length(*starboard) + " starboard",
            "",
            "tape along the skin",
            "",
        ]
    });
    rows.collect::<Vec<_>>().into_iter()
}

/// How far to a side a place lies.
fn across_in_words(to_port_m: f64, units: UnitSystem) -> String {
    let off = show(to_port_m.abs(), Dimension::Length, units);
    match to_port_m {
        y if y.abs() < MIDDLE_WITHIN_M => "in the middle".to_owned(),
        y if y > 0.0 => format!("{off} to port"),
        _ => format!("{off} to starboard"),
    }
}

/// What is aboard and where, in one paragraph.
fn aboard(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    let Some(weights) = &result.weights else {
        return;
    };
    let things = weights.lines.iter().map(|line| {
        let across = across_in_words(line.place.to_port_m, units);
        let mass = show(line.mass_kg, Dimension::Mass, units);
        format!(
            "{} {mass}, {} from the stem, {across}",
            short(&line.name),
            show(line.place.from_stem_m, Dimension::Length, units)
        )
    });
    let mut things: Vec<String> = things.collect();
    let left_out = things.len().saturating_sub(MOST_THINGS);
    things.truncate(MOST_THINGS);
    let more = match left_out {
        0 => String::new(),
        some => format!("; and {some} more, see the report"),
    };
    page.paragraph(
        "soft",
        &format!("On the list: {}{more}.", things.join("; ")),
    );
}

fn limits(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    let Some(margins) = &result.margins else {
        return;
    };
    page.part("Not further than this");
    if margins.lies.is_capsized() {
        let words = margins.lies.words();
        let nothing = format!("Nothing: it turns over by itself and lies {words}.");
        page.list("notes", &[nothing]);
        return;
    }
    let under = result.float.openings.iter();
    let under = under.filter(|opening| opening.verdict == OpeningVerdict::UnderWater);
    let under: Vec<&str> = under.map(|opening| opening.name.as_str()).collect();
    if !under.is_empty() {
        let nothing = format!("Nothing: it fills through {} as it lies.", under.join(", "));
        page.list("notes", &[nothing]);
        return;
    }
    let [lean_limits, work_limits] = margins_limits(margins);
    let mut said = leans(margins, &lean_limits);
    said.extend(knock(margins, &work_limits, units));
    said.extend(lifts(margins, units));
    said.extend(persons(margins, units));
    said.extend(weakest_place(margins, result.weights.as_ref(), units));
    page.list("notes", &said);
}

fn leans(margins: &MarginsResult, limits: &[f64]) -> Vec<String> {
    let lean = |line, deg, turns_over| {
        let way = margins.way_in_words(line, turns_over);
        format!("Leaning {way}: {}", lean_in_words(deg, limits))
    };
    let over = margins.soonest().filter(|(_, turns_over)| *turns_over);
    let over = over.and_then(|(worst, _)| {
        let lean = lean(worst, worst.over_deg?, true);
        Some(format!("{lean} turns it over."))
    });
    let under = margins.worst_tilt.as_ref().and_then(|worst| {
        let lean = lean(worst, worst.lean_deg?, false);
        let opening = worst.opening.as_deref().unwrap_or("an opening");
        Some(format!("{lean} puts {opening} under."))
    });
    over.into_iter().chain(under).collect()
}

fn knock(margins: &MarginsResult, limits: &[f64], units: UnitSystem) -> Option<String> {
    let knock = margins.knock.first()?;
    let then = match &knock.first {
        Some(first) => format!("and it {first}"),
        None => format!("puts {} under", knock.opening),
    };
    Some(format!(
        "A knock of {}, as drifting into a wall at {}, {then}.",
        show_beside(knock.work_j, limits, Dimension::Energy, units),
        show(knock.drift_m_s, Dimension::Speed, units),
    ))
}

fn lifts(margins: &MarginsResult, units: UnitSystem) -> impl Iterator<Item = String> {
    margins.lift.iter().filter_map(move |lift| {
        let raised = show(lift.raised_m?, Dimension::Length, units);
        let then = match &lift.opening {
            Some(opening) => format!("puts {opening} under"),
            None => "turns it over".to_owned(),
        };
        Some(format!("The {} lifted {raised} {then}.", lift.name))
    })
}

fn persons(margins: &MarginsResult, units: UnitSystem) -> impl Iterator<Item = String> {
    let say = Say(units);
    margins.person.iter().filter_map(move |person| {
        let why = match person.does()? {
            EdgeDoes::TurnsOver => "it turns over".to_owned(),
            EdgeDoes::Floods => "it floods".to_owned(),
            EdgeDoes::NoRest => "no rest was found".to_owned(),
            EdgeDoes::Heels => {
                let heel = person.heel_deg.unwrap_or_default().abs();
                format!(
                    "it heels {} (at most {} by a borrowed rule, MGN 280, annex 11.4.1)",
                    say.deg_beside(heel, 0, &[MOST_HEEL_DEG]),
                    say.limit(MOST_HEEL_DEG, Metric::Degree)
                )
            }
            EdgeDoes::DipsDeck => format!(
                "the edge of its deck comes within {} of the water, a borrowed rule (MGN 280, annex 11.4.1) is not met",
                say.limit(LEAST_DECK_M, Metric::Millimetre)
            ),
        };
        let (who, side) = (&person.person, &person.side);
        Some(format!("{who} not on the {side} edge: {why}."))
    })
}

/// Where the least extra load floods the craft, told from the stem.
fn weakest_place(
    margins: &MarginsResult,
    weights: Option<&Answer<ListResult>>,
    units: UnitSystem,
) -> Option<String> {
    let loads = margins.load.iter();
    let (mass, line) = loads
        .filter_map(|line| Some((line.mass_kg?, line)))
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    let [x, y, _] = line.at_m;
    let aft = show(weights?.stem_m[0] - x, Dimension::Length, units);
    let across = across_in_words(y, units);
    let then = if line.end == LoadEnd::TurnsOver {
        ": with more the craft turns over"
    } else {
        ""
    };
    Some(format!(
        "Extra load: the weakest place carries {} ({aft} aft of the stem, {across}){then}.",
        show(mass, Dimension::Mass, units),
    ))
}
