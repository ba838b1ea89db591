//! The page about one craft: verdict first, then drawings, tables, assumptions,
//! doubts and cautions, in one HTML file that needs no network; and the sheet of
//! one page for the helper at the water's edge.
mod assumptions;
mod helper_sheet;
mod html;

pub use helper_sheet::helper_sheet_html;

use std::fmt::Write as _;

use assumptions::assumptions;
use html::Page;

use super::cautions::{cautions, when};
use super::craft_svg::{craft_side_svg, craft_svg, sign};
use super::doubts::{doubted, doubts};
use super::drill_svg::drill_in_two;
use super::film_svg::moments_in_words;
use super::say::Say;
use super::svg::escaped;
use super::words::Words;
use super::{
    Part, Present, Sheet, compare_svg, curves_svg, dive_svg, film_strip_svg, load_svg,
    righting_svg, rose_svg, tape_svg,
};
use crate::quantity::{UnitSystem, capitalised};
use crate::study::{About, Answer, ReportResult, ReportVerdict, Verdict};

/// Words of the trade that the page uses.
const WORDS: [[&str; 2]; 9] = [
    [
        "heel, pitch",
        "lean to a side, starboard down positive; lean fore and aft, bow up positive",
    ],
    [
        "opening, rim, sill",
        "where water can come in, its edge, and the lowest point of that edge as the craft lies",
    ],
    [
        "freeboard of an opening",
        "height of its sill above the water",
    ],
    [
        "CB, CG",
        "centre of buoyancy, where the water pushes up; centre of gravity, where the weight pulls down",
    ],
    [
        "metacentric height (GM)",
        "how stiffly the craft resists a lean; negative means that it falls over",
    ],
    [
        "displacement",
        "the mass of the water that the craft pushes aside",
    ],
    ["draught", "depth under water"],
    ["reserve of buoyancy", "closed volume above the water"],
    [
        "knock",
        "the least energy, sinkage, heel and pitch together, that brings a sill to the water",
    ],
];

/// A study's section: what it is called in the page's links, and its title.
type Title = (&'static str, &'static str);
const MARGINS: Title = ("margins", "How small a lean, knock or load floods it");
const HOLES: Title = ("holes", "Where a hole may go");
const TAPE: Title = ("tape", "The waterline by tape");
const WEIGHTS: Title = ("weights", "Weights");
const KNOCK: Title = ("knock", "What happens after a knock");
const FULL: Title = ("full", "Full of water, and foam against that");
const FLOODED: Title = ("flooded", "With a compartment open to the water");
const RIGHTING: Title = ("righting", "What turns it back");
const SPREAD: Title = ("spread", "How far off it may be");
const TITLES: [Title; 9] = [
    MARGINS, HOLES, TAPE, WEIGHTS, KNOCK, FULL, FLOODED, RIGHTING, SPREAD,
];

impl Present for Answer<ReportResult> {
    fn words(&self) -> Words {
        words(self)
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::titled(&self.name, units);
        sheet.notes(&[overall(&self.verdicts, units)]);
        let rows = gravest_first(&self.verdicts).into_iter().map(|verdict| {
            let about = capitalised(about(verdict.about));
            let text = text(self, verdict.about, units);
            format!("{about}, {}: {text}", word(verdict, units))
        });
        sheet.heading("Verdicts").notes(&rows.collect::<Vec<_>>());
        let failed = self.failed.iter();
        let failed: Vec<String> = failed
            .map(|study| {
                let known = TITLES.iter().find(|(section, _)| *section == study.section);
                let title = known.map_or(study.section, |(_, title)| *title);
                format!("“{title}” could not be made: {}", study.why)
            })
            .collect();
        if !failed.is_empty() {
            sheet
                .heading("Sections that could not be made")
                .notes(&failed);
        }
        sheet.doubts(&self.doubts);
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}

/// The page.
#[must_use]
pub fn report_html(result: &Answer<ReportResult>, units: UnitSystem) -> String {
    let mut page = Page::default();
    at_rest(&mut page, result, units);
    holes(&mut page, result, units);
    margins(&mut page, result, units);
    after_a_knock(&mut page, result, units);
    full_of_water(&mut page, result, units);
    under_water(&mut page, result, units);
    before_and_after(&mut page, result, units);
    turning_back(&mut page, result, units);
    by_tape(&mut page, result, units);
    spread(&mut page, result, units);
    page.section("curves", "Curves over draught");
    page.figure(
        &curves_svg(&result.curves, units),
        "Displacement, metacentres and coefficients over draught",
    );
    page.end();
    taken_for_granted(&mut page, result, units);
    let head = head(&mut page, result, units);
    page.finish(
        &format!("{}: how it floats, and what floods it", result.name),
        &head,
        include_str!("style.css"),
    )
}

/// The first screen: the name, mass and date, the verdicts, the craft as it lies.
fn head(page: &mut Page, result: &Answer<ReportResult>, units: UnitSystem) -> String {
    let mut head = format!(
        "<header>\n<h1>{}</h1>\n<p>{}</p>\n<p><strong>{}</strong></p>\n",
        escaped(&result.name),
        escaped(&made(result, units)),
        escaped(&overall(&result.verdicts, units))
    );
    head.push_str("<div class=\"first\">\n<ul class=\"verdicts\">\n");
    for verdict in gravest_first(&result.verdicts) {
        let _ = writeln!(
            head,
            "<li class=\"{}\"><span class=\"word\"><span class=\"sign\" aria-hidden=\"true\">{}</span>{}: {}</span>{}</li>",
            verdict.verdict.unwrap_or(Verdict::Marginal),
            sign(verdict.verdict),
            capitalised(about(verdict.about)),
            escaped(&word(verdict, units)),
            escaped(&text(result, verdict.about, units))
        );
    }
    head.push_str("</ul>\n");
    if let Some(picture) = &result.at_rest {
        head.push_str(&page.figure_apart(
            &craft_side_svg(&result.name, &result.float.summary(units), picture, units, true),
            "As it lies with everything aboard, seen from starboard; its openings, the lowest first",
        ));
    }
    head.push_str("</div>\n");
    let _ = writeln!(
        head,
        "<p class=\"soft\">Made by awash {} from a mesh and a list of masses. Calm, still water only: no waves, speed, wind or strength is in any number. Whoever is aboard decides, and local rules and licensed practice come first.</p>",
        env!("CARGO_PKG_VERSION")
    );
    head.push_str(&origin(result, units));
    let count = result.doubts.len();
    if count > 0 {
        let _ = writeln!(
            head,
            "<p class=\"warn\"><strong>{count} doubt{} about {}</strong> may make these numbers wrong: see <a href=\"#granted\">what this takes for granted</a>.</p>",
            if count == 1 { "" } else { "s" },
            doubted(&result.doubts)
        );
    }
    head.push_str("</header>\n");
    head
}

/// What it weighs in which water, and when the page was made.
fn made(result: &ReportResult, units: UnitSystem) -> String {
    let mass = Say(units).kg(result.float.mass_kg, 1);
    let made = result.made_on.as_ref();
    let made = made.map_or_else(String::new, |day| format!(" Made on {day}."));
    format!("{mass} with everything aboard.{made}")
}

/// What x, y and z count from, under the first screen.
fn origin(result: &ReportResult, units: UnitSystem) -> String {
    let words = escaped(&result.frame.in_words(units));
    format!("<p class=\"soft\">{words}</p>\n")
}

/// How many of the verdicts fail, and which; and what no yardstick speaks of.
fn overall(verdicts: &[ReportVerdict], units: UnitSystem) -> String {
    let of = |wanted: Verdict| {
        let found = verdicts.iter();
        let found = found.filter(|verdict| verdict.verdict == Some(wanted));
        found
            .map(|verdict| about(verdict.about))
            .collect::<Vec<_>>()
    };
    let count = verdicts.len();
    let judged = match (of(Verdict::Fail), of(Verdict::Marginal)) {
        (failed, _) if !failed.is_empty() => {
            let fail = if failed.len() == 1 {
                "fails its yardstick"
            } else {
                "fail their yardsticks"
            };
            format!("{} of {count} {fail}: {}.", failed.len(), failed.join("; "))
        }
        (_, marginal) if !marginal.is_empty() => {
            format!(
                "None of {count} fails its yardstick; marginal: {}.",
                marginal.join("; ")
            )
        }
        _ => format!("None of {count} fails its yardstick."),
    };
    let buts = verdicts.iter().filter_map(|verdict| but(verdict, units));
    buts.fold(judged, |told, but| format!("{told} {but}."))
}

/// The verdicts, those that fail first; what no yardstick judges comes behind those.
fn gravest_first(verdicts: &[ReportVerdict]) -> Vec<&ReportVerdict> {
    let mut all: Vec<&ReportVerdict> = verdicts.iter().collect();
    all.sort_by_key(|verdict| match verdict.verdict {
        Some(Verdict::Fail) => 0,
        None => 1,
        Some(Verdict::Marginal) => 2,
        Some(Verdict::Clear) => 3,
    });
    all
}

/// A verdict in words: against yardsticks that anyone can change.
fn word(verdict: &ReportVerdict, units: UnitSystem) -> String {
    let word = match verdict.verdict {
        Some(Verdict::Fail) => "fails its yardstick",
        Some(Verdict::Marginal) => "marginal",
        Some(Verdict::Clear) => "clear of its yardstick",
        None => "not failed by its yardstick",
    };
    match but(verdict, units) {
        Some(but) => format!("{word}, but {but}"),
        None => word.to_owned(),
    }
}

/// What is judged, in words within a sentence.
fn about(about: About) -> &'static str {
    match about {
        About::AtRest => "at rest",
        About::LeaningAndKnocks => "leaning and knocks",
        About::AfterAKnock => "after a knock",
        About::FullOfWater => "full of water",
        About::OneCompartmentOpen => "one compartment open",
        About::GapDived => "CB over CG, dived",
    }
}

/// What no yardstick speaks of.
fn but(verdict: &ReportVerdict, units: UnitSystem) -> Option<String> {
    let state = when(verdict.turns_over.as_ref()?, Say(units));
    Some(format!("IT TURNS OVER on the way down, {state}"))
}

/// The summary of the study that a verdict is of.
fn text(result: &ReportResult, about: About, units: UnitSystem) -> String {
    let text = match about {
        About::AtRest => Some(result.float.summary(units)),
        About::LeaningAndKnocks => result.margins.as_ref().map(|study| study.summary(units)),
        About::AfterAKnock => result.swamp.as_ref().map(|study| study.summary(units)),
        About::FullOfWater => result.foam.as_ref().map(|study| study.summary(units)),
        About::OneCompartmentOpen => result.flooded.as_ref().map(|study| study.summary(units)),
        About::GapDived => result.dive.as_ref().map(|study| study.summary(units)),
    };
    text.unwrap_or_default()
}

/// The sentences of the page and of every study on it.
fn words(answer: &Answer<ReportResult>) -> Words {
    const UNITS: UnitSystem = UnitSystem::Metric;
    let result = &answer.result;
    let assumed = assumptions(result, UNITS);
    let mut words = Words::default()
        .and_cautions(&answer.cautions)
        .and("/assumptions", assumed);
    for (number, verdict) in result.verdicts.iter().enumerate() {
        let key = |name: &str| format!("/verdicts/{number}/{name}");
        words = words
            .and(key("about"), capitalised(about(verdict.about)))
            .and(key("but"), but(verdict, UNITS))
            .and(key("text"), text(result, verdict.about, UNITS));
    }
    let studies = [
        ("/float", Some(result.float.words())),
        ("/drill", result.drill.as_ref().map(Present::words)),
        ("/tape", result.tape.as_ref().map(Present::words)),
        ("/weights", result.weights.as_ref().map(Present::words)),
        ("/margins", result.margins.as_ref().map(Present::words)),
        ("/righting", result.righting.as_ref().map(Present::words)),
        ("/swamp", result.swamp.as_ref().map(Present::words)),
        ("/flooded", result.flooded.as_ref().map(Present::words)),
        ("/foam", result.foam.as_ref().map(Present::words)),
        ("/dive", result.dive.as_ref().map(Present::words)),
        ("/spread", result.spread.as_ref().map(Present::words)),
        ("/curves", Some(result.curves.words())),
        ("/compare", result.compare.as_ref().map(Present::words)),
    ];
    for (key, told) in studies {
        if let Some(told) = told {
            words = words.and_within(key, told);
        }
    }
    words
}

fn at_rest(page: &mut Page, result: &Answer<ReportResult>, units: UnitSystem) {
    page.section("rest", "At rest");
    page.paragraph("lead", &result.float.summary(units));
    if let Some(picture) = &result.at_rest {
        page.figure(
            &craft_svg(&result.name, &result.float.summary(units), picture, units),
            "At rest, from three sides, at one scale. Circles: things aboard, their area by their share of the weight",
        );
    }
    // Weights have a section of their own, in workshop distances.
    let told_below = result.weights.as_ref().map(|_| Part::Masses);
    page.sheet_but(&result.float.sheet(units), told_below);
    page.end();
}

/// The section of a study that could not be made says so; of one that was not asked for
/// there is none.
fn not_made(page: &mut Page, result: &ReportResult, (section, title): Title) {
    let mut failed = result.failed.iter();
    if let Some(failed) = failed.find(|failed| failed.section == section) {
        page.section(section, title);
        let why = format!("This study could not be made: {}.", failed.why);
        page.paragraph("warn", &why);
        page.end();
    }
}

fn margins(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    if let Some(margins) = &result.margins {
        page.study(
            MARGINS,
            &margins.summary(units),
            &[
                (
                    &rose_svg(margins, units),
                    "Rose of leans: how far it leans each way until the first sill is awash",
                ),
                (
                    &load_svg(margins, units),
                    "The greatest extra mass at each place until an opening is awash",
                ),
            ],
            &margins.sheet(units),
        );
    } else {
        not_made(page, result, MARGINS);
    }
}

fn holes(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    if let Some(drill) = &result.drill {
        let [sides, rest] = drill_in_two(drill, units);
        page.study(
            HOLES,
            &drill.summary(units),
            &[
                (
                    &sides,
                    "Height above the water: never, only if sealed, free",
                ),
                (&rest, "The same of the transom, and the openings by number"),
            ],
            &drill.sheet(units),
        );
    } else {
        not_made(page, result, HOLES);
    }
}

fn by_tape(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    if let Some(tape) = &result.tape {
        page.study(
            TAPE,
            &tape.summary(units),
            &[(&tape_svg(tape, units), "Tape marks, port and starboard")],
            &tape.sheet(units),
        );
    } else {
        not_made(page, result, TAPE);
    }
    if let Some(weights) = &result.weights {
        let sheet = weights.sheet(units);
        page.study(WEIGHTS, &weights.summary(units), &[], &sheet);
    } else {
        not_made(page, result, WEIGHTS);
    }
}

fn after_a_knock(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    if let Some(swamp) = &result.swamp {
        let caption = capitalised(&moments_in_words(&result.film, swamp.start));
        page.study(
            KNOCK,
            &swamp.summary(units),
            &[(&film_strip_svg(swamp, &result.film, units), &caption)],
            &swamp.sheet(units),
        );
    } else {
        not_made(page, result, KNOCK);
    }
}

fn full_of_water(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    if let Some(foam) = &result.foam {
        page.study(FULL, &foam.summary(units), &[], &foam.sheet(units));
    } else {
        not_made(page, result, FULL);
    }
    if let Some(flooded) = &result.flooded {
        page.study(FLOODED, &flooded.summary(units), &[], &flooded.sheet(units));
    } else {
        not_made(page, result, FLOODED);
    }
}

fn under_water(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    let Some(dive) = &result.dive else {
        return;
    };
    page.section("dived", "Dived");
    page.paragraph("lead", &dive.summary(units));
    page.paragraph(
        "warn",
        "Nothing here clears a craft for diving: shallow first, a support diver, own reserve air, never hold your breath.",
    );
    page.figure(
        &dive_svg(dive, &result.outline_m, units),
        "Wholly under water and flooded, with the ballast that trims it",
    );
    page.sheet(&dive.sheet(units));
    page.end();
}

fn before_and_after(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    if let Some(compare) = &result.compare {
        page.study(
            ("compare", "Before and after"),
            &compare.summary(units),
            &[(
                &compare_svg(compare, units),
                "Before and after at one scale",
            )],
            &compare.sheet(units),
        );
    }
}

fn turning_back(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    if let Some(righting) = &result.righting {
        page.study(
            RIGHTING,
            &righting.summary(units),
            &[(
                &righting_svg(righting, units),
                "Righting arms; past an opening's mark the curve holds only while it is sealed",
            )],
            &righting.sheet(units),
        );
    } else {
        not_made(page, result, RIGHTING);
    }
}

fn spread(page: &mut Page, result: &ReportResult, units: UnitSystem) {
    if let Some(spread) = &result.spread {
        let title = SPREAD;
        page.study(title, &spread.summary(units), &[], &spread.sheet(units));
    } else {
        not_made(page, result, SPREAD);
    }
}

fn taken_for_granted(page: &mut Page, result: &Answer<ReportResult>, units: UnitSystem) {
    page.section("granted", "What this takes for granted");
    page.list("notes", &assumptions(result, units));
    if !result.doubts.is_empty() {
        page.heading(&format!("Doubts about {}", doubted(&result.doubts)));
        page.list("notes", &doubts(&result.doubts, units));
    }
    page.heading("Cautions");
    page.list("notes", &cautions(&result.cautions, units));
    page.heading("Words");
    let mut words = Sheet::titled("", units);
    for [word, meaning] in WORDS {
        words.value(word, meaning);
    }
    page.sheet(&words);
    page.end();
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::When;

    /// No yardstick speaks of a craft that turns over on its way down, but the first line does.
    #[test]
    fn the_first_line_says_what_fails_and_what_turns_over() {
        let judged = |about, verdict| ReportVerdict {
            about,
            verdict: Some(verdict),
            turns_over: None,
        };
        let at_rest = judged(About::AtRest, Verdict::Clear);
        let dived = ReportVerdict {
            about: About::GapDived,
            verdict: None,
            turns_over: Some(When::AtRest),
        };
        let said = |verdicts: &[ReportVerdict]| overall(verdicts, UnitSystem::Metric);
        assert_eq!(
            said(&[at_rest.clone(), judged(About::GapDived, Verdict::Fail)]),
            "1 of 2 fails its yardstick: CB over CG, dived."
        );
        let turns_over = said(&[at_rest, dived]);
        assert!(
            turns_over
                .starts_with("None of 2 fails its yardstick. IT TURNS OVER on the way down, "),
            "{turns_over}"
        );
    }
}
