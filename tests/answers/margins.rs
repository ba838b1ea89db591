//! Loads, lifts, the person on the edge and the drift.
use awash::present::helper_sheet_html;
use awash::quantity::UnitSystem;
use awash::study::{float, margins, report};
use serde_json::Value;

use crate::support::{closed_box, json, list, number, text, top_heavy};
use crate::zoo::{ZooHull, decked_hull, lopsided_tender, open_tender, zoo};

fn of(hull: &ZooHull) -> Value {
    json(&margins(&hull.boat()).expect("it floats"))
}

/// The outlines from above are given in closed form: the formulas are those that the
/// hulls are lofted by. The mesh lies within them but for the bend between stations,
/// 1 mm here.
#[test]
fn every_place_of_the_load_map_lies_within_the_craft() {
    let tender = |x: f64| {
        let along = (x / 3.2).clamp(0.0, 1.0);
        0.02 + 0.63 * (1.0 - along.powi(3)).max(0.0).sqrt() * (0.85 + 0.15 * along)
    };
    let decked = |x: f64| {
        let t = x / 2.1 - 1.0;
        0.02 + 0.355 * (1.0 - t.powi(2) * (0.9 + 0.1 * t.powi(2))).max(0.0)
    };
    let hulls: [(ZooHull, &dyn Fn(f64) -> f64); 3] = [
        (open_tender(), &tender),
        (lopsided_tender(), &tender),
        (decked_hull(), &decked),
    ];
    for (hull, half_breadth) in hulls {
        let result = of(&hull);
        let places = list(&result, "load");
        assert!((20..45).contains(&places.len()), "{}", places.len());
        for place in places {
            let [x, y] = [0, 1].map(|axis| place["at_m"][axis].as_f64().expect("a place"));
            assert!(y.abs() <= half_breadth(x) + 0.001, "{} {x} {y}", hull.name);
        }
    }
}

/// What a load does is asked of `float`, with that load as an item, which knows nothing
/// of the walk: a little under the end the craft lies upright and dry, a little over it
/// it has capsized.
#[test]
fn a_load_that_turns_the_craft_over_is_named_and_ends_at_the_fold() {
    let hull = decked_hull();
    let result = of(&hull);
    let places = list(&result, "load").iter();
    let over: Vec<&Value> = places.filter(|p| p["end"] == "turns_over").collect();
    assert!(over.len() > 5, "{}", over.len());
    for place in over.iter().step_by(5) {
        assert!(place["opening"].is_null());
        let [x, y, z] = [0, 1, 2].map(|axis| place["at_m"][axis].as_f64().expect("a place"));
        let mass = number(place, "mass_kg");
        let with = |mass_kg: f64| {
            let item = format!(
                "[[item]]\nname = \"load\"\nmass = {mass_kg:?}\nat = [{x:?}, {y:?}, {z:?}]\n"
            );
            json(&float(&hull.boat_with(&item)).expect("it floats"))
        };
        let under = with(mass * 0.999);
        assert_eq!(under["lies"], "upright", "{place}");
        let dry = |o: &Value| number(o, "freeboard_m") > 0.0;
        assert!(list(&under, "openings").iter().all(dry), "{place}");
        assert_ne!(with(mass * 1.001)["lies"], "upright", "{place}");
    }
    assert!(
        list(&result, "lift")
            .iter()
            .any(|l| l["end"] == "turns_over")
    );
    for lift in list(&result, "lift") {
        assert_eq!(lift["opening"].is_null(), lift["end"] != "awash", "{lift}");
    }
    // Nothing can be laid on a craft that has capsized without it.
    for place in list(&of(&top_heavy()), "load") {
        assert_eq!(place["end"], "turns_over");
        assert_eq!(number(place, "mass_kg"), 0.0);
    }
}

/// Box 4 × 1 m, 925 kg and a person of 75 kg on the middle line, all at KG .2, in fresh
/// water: T .25, BM 1/3, GM .2583333. On the edge, .5 m out, the person brings CG to
/// y = .0375 m; wall-sided, (GM + ½ BM t²) t = .0375, t = tan φ. The edge of a box of
/// eight corners is found between them.
fn box_with_person(depth: f64) -> ZooHull {
    let mut hull = closed_box([4.0, 1.0, depth], 925.0, [0.0, 0.0, 0.2]);
    hull.more += "[[item]]\nname = \"rower\"\nperson = true\nmass = \"75 kg\"\nat = [0, 0, 0.2]\n";
    hull
}

fn heel_slope() -> f64 {
    let mut t = 0.1_f64;
    for _ in 0..50 {
        t -= ((0.258_333_333_333 + t * t / 6.0) * t - 0.0375) / (0.258_333_333_333 + t * t / 2.0);
    }
    t
}

#[test]
fn the_off_centre_rule_judges_heel_and_the_deck_only_where_there_is_one() {
    let slope = heel_slope();
    assert!(slope.atan().to_degrees() > 7.0, "over the rule's heel");
    // Lighter: within 7°.
    let lighter = |hull: &mut ZooHull| {
        hull.more = hull.more.replace("75 kg", "60 kg");
    };
    let mut open = box_with_person(0.5);
    lighter(&mut open);
    open.openings = vec![("hole", vec![[0.0, 0.45, 0.36].into()])];
    let result = of(&open);
    for line in list(&result, "person") {
        let at = line["at_m"][1].as_f64().expect("a place");
        assert!((at.abs() - 0.5).abs() < 1e-9, "{line}");
        assert!(line["deck_edge_m"].is_null());
    }
    // To port under 75 mm are left, and heel alone decides.
    let port = &list(&result, "person")[0];
    assert!(
        number(port, "sill_m") < 0.075 && number(port, "sill_m") > 0.0,
        "{port}"
    );
    assert!(number(port, "heel_deg").abs() < 7.0, "{port}");
    assert_eq!(port["meets_rule"], true);

    // Closed all over: the deck's edge, T + ½ B tan φ under the deck, is judged.
    for depth in [0.5, 0.36] {
        let result = of(&box_with_person(depth));
        for line in list(&result, "person") {
            let heel = number(line, "heel_deg").abs();
            assert!((heel - slope.atan().to_degrees()).abs() < 1e-6, "{heel}");
            let edge = (depth - 0.25 - 0.5 * slope) * slope.atan().cos();
            assert!((number(line, "deck_edge_m") - edge).abs() < 1e-6, "{line}");
            assert_eq!(line["meets_rule"], false, "over 7°");
        }
        let mut hull = box_with_person(depth);
        lighter(&mut hull);
        for line in list(&of(&hull), "person") {
            assert!(number(line, "heel_deg").abs() < 7.0, "{line}");
            let clear = number(line, "deck_edge_m") >= 0.075;
            assert_eq!(clear, depth > 0.4, "{line}");
            assert_eq!(line["meets_rule"], clear, "{line}");
        }
    }
}

#[test]
fn persons_are_counted_no_more_and_the_rule_is_named_by_its_section() {
    let mut hull = open_tender();
    hull.more =
        "[[item]]\nname = \"rower\"\nperson = true\nmass = \"75 kg\"\nat = [1.4, 0, 0.3]\n".into();
    let result = margins(&hull.boat()).expect("it floats");
    for line in list(&json(&result), "edge_load") {
        assert!(line.get("persons").is_none());
        let ratio = number(line, "edge_load_kg") / number(line, "persons_capacity_kg");
        assert!((ratio - 0.6).abs() < 1e-12);
    }
    use awash::present::Present;
    let shown = result.sheet(UnitSystem::Metric).to_string();
    assert!(shown.contains("annex section 11.4.1"), "{shown}");
    assert!(!shown.contains("imorules"));
}

/// `E = ½ (m + m) v²`: as much water again as its own mass goes with the craft.
#[test]
fn the_drift_counts_the_water_that_goes_with_the_craft() {
    for hull in zoo() {
        let result = of(&hull);
        let mass = number(&result, "mass_kg");
        for knock in list(&result, "knock") {
            let work = number(knock, "work_j").max(0.0);
            let drift = number(knock, "drift_m_s");
            assert!((drift - (work / mass).sqrt()).abs() < 1e-9, "{}", hull.name);
        }
    }
}

#[test]
fn the_helper_sheet_names_no_place_beside_the_craft_and_says_what_turns_over() {
    let boat = decked_hull().boat();
    let page = helper_sheet_html(&report(&boat, None).expect("it floats"), UnitSystem::Metric);
    assert!(page.contains("turns it over"), "{page}");
    let capsized = top_heavy().boat();
    let result = report(&capsized, None).expect("it floats");
    let page = helper_sheet_html(&result, UnitSystem::Metric);
    assert!(page.contains("Do not load or man this craft"), "{page}");
    assert!(page.contains("Nothing: it turns over by itself"), "{page}");
    assert!(!page.contains("So it must lie"), "{page}");
}

#[test]
fn an_off_centre_hull_is_pushed_up_where_it_is() {
    let hull = open_tender();
    let moved = hull.moved(|p| p + awash::numerics::Vec3::new(0.7, 2.0, -0.3));
    let (here, there) = (of(&hull), of(&moved));
    for key in ["lift", "load"] {
        for (a, b) in list(&here, key).iter().zip(list(&there, key)) {
            assert_eq!(a["end"], b["end"], "{a} {b}");
            let value = if key == "lift" { "force_n" } else { "mass_kg" };
            let (a, b) = (number(a, value), number(b, value));
            assert!((a - b).abs() <= 1e-5 * a, "{key}: {a} {b}");
        }
    }
    assert!(text(&there, "summary").starts_with("It floods soonest"));
}
