//! `awash report`: the page and the sheet as files. `tests/report/check.py` opens
//! them in a browser.
use std::collections::HashSet;
use std::fs;
use std::path::Path;

use awash::boat::Boat;
use awash::present::report_html;
use awash::quantity::UnitSystem;
use awash::study::{FailedStudy, ReportResult, report};

use super::run::{Folder, awash};

const AFTER: &str = "tests/boats/after.toml";
const DIVED: &str = "tests/boats/dived.toml";

/// Every value of an attribute.
fn attributes<'t>(page: &'t str, name: &str) -> Vec<&'t str> {
    let start = format!(" {name}=\"");
    let after = page.split(&start).skip(1);
    after.filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn the_page_stands_alone_and_says_what_the_studies_say() {
    let folder = Folder::new();
    let [page, sheet] = ["report.html", "sheet.html"].map(|name| folder.path().join(name));
    let [page_name, sheet_name] = [&page, &sheet].map(|path| path.to_str().unwrap());
    let run = [
        "report", DIVED, "-o", page_name, "--sheet", sheet_name, "--format", "json",
    ];
    let result = awash(run).json();
    let [text, sheet_text] = [&page, &sheet].map(|path| fs::read_to_string(path).unwrap());
    for (name, text) in [("page", &text), ("sheet", &sheet_text)] {
        assert!(
            text.starts_with("<!doctype html>") && text.ends_with("</html>\n"),
            "{name}"
        );
        // Nothing is fetched: no scripts, no addresses but the SVG name space.
        assert!(
            !text.contains("<script") && !text.contains("src="),
            "{name}"
        );
        assert!(
            !text
                .replace("http://www.w3.org/2000/svg", "")
                .contains("http"),
            "{name}"
        );
        let ids = attributes(text, "id");
        let once: HashSet<&&str> = ids.iter().collect();
        assert_eq!(once.len(), ids.len(), "{name}: {ids:?}");
        for target in attributes(text, "href")
            .iter()
            .filter_map(|at| at.strip_prefix('#'))
        {
            assert!(ids.contains(&target), "{name}: nothing is called {target}");
        }
        // Drawings are described, and no verdict is a promise.
        let drawings = text.matches("<svg").count();
        assert!(
            drawings >= 1 && text.matches("<desc").count() == drawings,
            "{name}"
        );
        assert!(!text.to_lowercase().contains(" safe"), "{name}");
        assert!(
            text.contains("life jacket") || text.contains("Life jacket"),
            "{name}"
        );
    }
    // The verdicts are the studies' own words and come before everything else.
    let mut float = awash(["float", DIVED, "--format", "json"]).json();
    // Said once for the whole report.
    let origin = float.as_object_mut().unwrap().remove("origin");
    assert_eq!(origin.as_ref(), Some(&result["origin"]));
    let verdicts = result["verdicts"].as_array().unwrap();
    let said: Vec<&str> = verdicts
        .iter()
        .map(|v| v["about"].as_str().unwrap())
        .collect();
    assert_eq!(
        said,
        [
            "At rest",
            "Leaning and knocks",
            "After a knock",
            "Full of water",
            "CB over CG, dived"
        ]
    );
    let summary = float["summary"].as_str().unwrap();
    assert_eq!(verdicts[0]["text"], summary);
    let verdict = text
        .find(summary)
        .expect("the page has the float's summary");
    assert!(verdict < text.find("<main").unwrap());
    assert_eq!(result["float"], float);
    // With the cylinder as it is trimmed for, at the reserve, it does not turn over on
    // the way down, and CB stands high enough over CG.
    assert_eq!(verdicts[4]["verdict"], "clear");
    // What only one study warns of is on the page too.
    for study in ["drill", "tape", "dive", "foam"] {
        for caution in result[study]["cautions"].as_array().unwrap() {
            let shown = caution
                .as_str()
                .unwrap()
                .replace('&', "&amp;")
                .replace('<', "&lt;");
            let shown = shown.replace('>', "&gt;").replace('"', "&quot;");
            assert!(text.contains(&shown), "{study}: {shown}");
        }
    }
    for heading in [
        "Where a hole may go",
        "The waterline by tape",
        "Curves over draught",
    ] {
        assert!(text.contains(&format!(">{heading}</h2>")), "{heading}");
    }
}

#[test]
fn pages_are_never_overwritten_and_need_names_of_their_own() {
    let folder = Folder::new();
    let page = folder.write("page.html", "mine");
    let path = page.to_str().unwrap();
    assert!(
        awash(["report", AFTER, "-o", path])
            .refusal()
            .contains("--force")
    );
    assert_eq!(fs::read_to_string(&page).unwrap(), "mine");
    let other = folder.path().join("other.html");
    let other = other.to_str().unwrap();
    let both = awash(["report", AFTER, "-o", other, "--sheet", other]);
    assert!(both.refusal().contains("name of its own"));
    assert!(fs::metadata(other).is_err());
    assert_eq!(awash(["report", AFTER]).code, 2);
    // Not even forced over what boats are made of.
    let boat = folder.write("mine.toml", "mine");
    let forced = awash(["report", AFTER, "-o", boat.to_str().unwrap(), "--force"]);
    assert!(
        forced.code == 2 && forced.stderr.contains("a name of its own"),
        "{forced:?}"
    );
    assert_eq!(fs::read_to_string(&boat).unwrap(), "mine");
}

/// A study that fails inside a report leaves its reason in its own section, and the rest
/// of the page as it was.
#[test]
fn a_study_that_fails_says_so_in_its_section() {
    let boat = Boat::load(Path::new(AFTER)).expect("a boat");
    let mut result = report(&boat, None).expect("a report");
    assert!(result.failed.is_empty(), "{:?}", result.failed);
    let whole = report_html(&result, UnitSystem::Metric);
    for (section, take) in [
        (
            "tape",
            (|result| result.tape = None) as fn(&mut ReportResult),
        ),
        ("spread", |result| result.spread = None),
        ("holes", |result| result.drill = None),
        ("righting", |result| result.righting = None),
    ] {
        take(&mut result);
        result.failed.push(FailedStudy {
            section,
            why: format!("no answer <{section}>"),
        });
    }
    let page = report_html(&result, UnitSystem::Metric);
    for section in ["tape", "spread", "holes", "righting"] {
        let start = format!("id=\"{section}\"");
        assert_eq!(whole.matches(&start).count(), 1, "{section}");
        let (_, after) = page.split_once(&start).expect("its section");
        let (own, _) = after.split_once("</section>").expect("its end");
        let why = format!("This study could not be made: no answer &lt;{section}&gt;.");
        assert!(own.contains(&why), "{section}: {own}");
    }
    assert!(!whole.contains("could not be made"));
}
