//! Loads, lifts, the person on the edge and the drift.
use awash::present::helper_sheet_html;
use awash::quantity::UnitSystem;
use awash::study::{float, margins, report};
use serde_json::Value;

use crate::support::{closed_box, json, list, number, text, top_heavy};
use crate::zoo::{ZooHull, bulkhead_box, decked_hull, lopsided_tender, open_tender, zoo};

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

/// 925 kg of box and a person of 300 kg at z .9: T .30625, KG .371429, BM .272109, GM
/// .053805. On the edge they bring CG to y = .122449, more than any righting arm of the box,
/// so that it turns over; but a hole in the port side, 5 cm above the water, is under at
/// tan φ = .05 / .5 on the way there (wall-sided, the middle of the waterline stays).
#[test]
fn a_hole_that_goes_under_before_the_person_turns_it_over_is_told_first() {
    let mut hull = box_with_person(0.6);
    hull.more = hull
        .more
        .replace("75 kg", "300 kg")
        .replace("at = [0, 0, 0.2]", "at = [0, 0, 0.9]");
    let dry = of(&hull);
    for line in list(&dry, "person") {
        assert_eq!(line["turns_over"], true, "{line}");
        assert!(line["floods_first"].is_null(), "{line}");
    }
    hull.openings = vec![("hole", vec![[0.0, 0.5, 0.356_25].into()])];
    let result = of(&hull);
    let [port, starboard] = list(&result, "person") else {
        panic!("two edges");
    };
    let first = &port["floods_first"];
    assert_eq!(first["opening"], "hole", "{port}");
    let heel = -(0.05_f64 / 0.5).atan().to_degrees();
    assert!(
        (number(first, "heel_deg") - heel).abs() < 0.01,
        "{first} {heel}"
    );
    assert!(starboard["floods_first"].is_null(), "{starboard}");
    let told = text(&result, "summary");
    assert!(
        told.contains("It fills with rower sitting on the port edge"),
        "{told}"
    );
    assert!(
        told.contains("It turns over with rower sitting on the starboard edge"),
        "{told}"
    );
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

/// The weakest place of the sheet is that of the load map, on either side of the middle.
#[test]
fn the_helper_sheet_names_the_weakest_place_of_the_load_map() {
    for hull in [
        open_tender(),
        lopsided_tender(),
        lopsided_tender().mirrored(),
        decked_hull(),
    ] {
        let boat = hull.boat();
        let map = of(&hull);
        let places = list(&map, "load").iter();
        let weakest = places
            .filter(|place| place["mass_kg"].is_number())
            .min_by(|a, b| number(a, "mass_kg").total_cmp(&number(b, "mass_kg")));
        let weakest = weakest.expect("a place");
        let (mass, y) = (number(weakest, "mass_kg"), weakest["at_m"][1].as_f64());
        let page = helper_sheet_html(&report(&boat, None).expect("it floats"), UnitSystem::Metric);
        let told = page
            .split("the weakest place carries ")
            .nth(1)
            .expect("it is told");
        let told = told.split("</").next().expect("its line");
        let shown =
            awash::quantity::show(mass, awash::quantity::Dimension::Mass, UnitSystem::Metric);
        assert!(
            told.starts_with(&shown),
            "{}: {told} for {shown}",
            hull.name
        );
        let side = match y.expect("a place") {
            y if y.abs() < 0.02 => "in the middle",
            y if y > 0.0 => "to port",
            _ => "to starboard",
        };
        assert!(told.contains(side), "{}: {told} for {side}", hull.name);
        let over = weakest["end"] == "turns_over";
        assert_eq!(told.contains("turns over"), over, "{}: {told}", hull.name);
    }
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

/// A box of 4 × 1 × 0.5 m, 1000 kg, that lolls by `tan² φ = −2 GM / BM` (wall-sided, no
/// corner of the section under or out), with a hole in one side only.
fn lolling_box(kg_m: f64, hole: [f64; 3]) -> ZooHull {
    let mut hull = closed_box([4.0, 1.0, 0.5], 1000.0, [0.0, 0.0, kg_m]);
    hull.openings = vec![("hole", vec![hole.into()])];
    hull
}

/// Height, above the water and along the boat's z, of the hole in the side that is down,
/// with a load 0.3 m over the bottom: draught T, `z − T − ½ B tan φ`.
fn hole_over_water_m(kg_m: f64, hole_z: f64, load_kg: f64) -> f64 {
    let draught = (1000.0 + load_kg) / 4000.0;
    let bm = 1.0 / (12.0 * draught);
    let kg = (1000.0 * kg_m + 0.3 * load_kg) / (1000.0 + load_kg);
    let slope = (-2.0 * (draught / 2.0 + bm - kg) / bm).max(0.0).sqrt();
    hole_z - draught - 0.5 * slope
}

/// A craft that lolls lies to either side, one as well as the other: what a load in the
/// middle does is what it does on the worse of them. Closed form, by halving.
#[test]
fn a_load_in_the_middle_of_a_lolling_craft_is_the_lesser_of_both_sides() {
    // Lolls by itself; upright until the load makes it loll.
    for (kg_m, hole_z, most_kg) in [(0.47, 0.40, 100.0), (0.455, 0.35, 250.0)] {
        let (mut low, mut high) = (0.0, most_kg);
        assert!(hole_over_water_m(kg_m, hole_z, low) > 0.0);
        assert!(hole_over_water_m(kg_m, hole_z, high) < 0.0);
        while high - low > 1e-9 {
            let middle = f64::midpoint(low, high);
            let dry = hole_over_water_m(kg_m, hole_z, middle) > 0.0;
            *(if dry { &mut low } else { &mut high }) = middle;
        }
        for side in [0.5, -0.5] {
            let result = of(&lolling_box(kg_m, [0.0, side, hole_z]));
            let middle = |line: &&Value| {
                let [x, y] = [0, 1].map(|axis| line["at_m"][axis].as_f64().expect("a place"));
                x.abs() < 1e-9 && y.abs() < 1e-9
            };
            let line = list(&result, "load").iter().find(middle).expect("a place");
            assert_eq!(line["end"], "awash", "{line}");
            let found = number(line, "mass_kg");
            assert!(
                (found - low).abs() < 1e-4 * low,
                "{side}: {found} for {low}"
            );
        }
    }
}

/// A craft with the hole on the other side is its mirror image, whichever way the search
/// happens to let it fall.
#[test]
fn a_lolling_craft_and_its_mirror_image_have_the_same_margins() {
    let mut narrow = decked_hull();
    narrow.centre_m.z = 0.285;
    narrow.openings.truncate(1);
    for point in &mut narrow.openings[0].1 {
        point.y = 0.5 * point.y + 0.12;
    }
    narrow.more =
        "[[item]]\nname = \"rower\"\nperson = true\nmass = \"1 kg\"\nat = [1.9, 0, 0.285]\n".into();
    for hull in [lolling_box(0.47, [0.3, 0.5, 0.42]), narrow] {
        let (here, there) = (of(&hull), of(&hull.mirrored()));
        let close = |a: &Value, b: &Value, what: &str| match (a.as_f64(), b.as_f64()) {
            (Some(a), Some(b)) => assert!((a - b).abs() <= 1e-4 * a.abs(), "{what}: {a} {b}"),
            _ => assert_eq!(a, b, "{what}"),
        };
        for place in list(&here, "load") {
            let mirrored = |other: &&Value| {
                let [x, y] = [0, 1].map(|axis| {
                    let [a, b] =
                        [place, *other].map(|l| l["at_m"][axis].as_f64().expect("a place"));
                    [a, b]
                });
                (x[0] - x[1]).abs() < 1e-6 && (y[0] + y[1]).abs() < 1e-6
            };
            let other = list(&there, "load")
                .iter()
                .find(mirrored)
                .expect("its image");
            assert_eq!(place["end"], other["end"], "{place} {other}");
            close(&place["mass_kg"], &other["mass_kg"], "load");
        }
        for (key, value) in [
            ("lift", "force_n"),
            ("person", "sill_m"),
            ("edge_load", "edge_load_kg"),
        ] {
            let (mut a, b) = (list(&here, key).to_vec(), list(&there, key));
            if a.len() == 4 {
                a.swap(2, 3);
            } else if a.len() == 2 {
                a.swap(0, 1);
            }
            assert_eq!(a.len(), b.len());
            for (a, b) in a.iter().zip(b) {
                close(&a[value], &b[value], key);
            }
        }
        for key in ["worst_tilt", "least_work"] {
            close(&here[key]["lean_deg"], &there[key]["lean_deg"], key);
        }
        close(&here["crest_m"], &there["crest_m"], "crest");
        let knock = |result: &Value| list(result, "knock")[0]["work_j"].clone();
        close(&knock(&here), &knock(&there), "knock");
    }
}

/// A square bar, side 1 m, a specific gravity of 0.15 (Reid, Am. J. Phys. 31 (1963) 565;
/// Gilbert, Am. Math. Monthly 98 (1991) 201: flat to 0.2113, 45° from 0.28125): flat it is
/// stable, and by its symmetry it goes over to the next side at 45°. Flat, CG stands
/// `½ − s/2` over CB; a corner down, the wet triangle is `√s` deep, so `√½ − ⅔ √s`.
const BAR_KG: f64 = 600.0;

fn bar(openings: Vec<(&'static str, Vec<awash::numerics::Vec3>)>) -> ZooHull {
    let mut hull = closed_box([4.0, 1.0, 1.0], BAR_KG - 1.0, [0.0, 0.0, 0.5]);
    hull.openings = openings;
    hull.more += "[[item]]\nname = \"lead\"\nmass = \"1 kg\"\nat = [0, 0, 0.5]\n";
    hull
}

/// Where a craft floods sooner than it goes over, `place` does not tell the lean of going
/// over, of which it looks at some bearings only. A hole 0.15 m above the water and 0.5 m out
/// is awash at `tan φ = 0.3`.
#[test]
fn place_tells_a_lean_of_going_over_only_where_that_comes_first() {
    let boat = bar(vec![("hole", vec![[0.0, 0.5, 0.3].into()])]).boat();
    let options = awash::study::PlaceOptions {
        grid: [3, 3],
        z_m: None,
    };
    let place = json(&awash::study::place(&boat, "lead", &options).expect("it floats"));
    let lean_deg = 0.3_f64.atan().to_degrees();
    assert!((number(&place["now"], "least_lean_deg") - lean_deg).abs() < 1e-6);
    assert!(place["now"]["least_over_deg"].is_null(), "{place}");
    let over = json(&margins(&boat).expect("it floats"));
    assert!((number(&over["worst_over"], "over_deg") - 45.0).abs() < 1e-6);
}

#[test]
fn a_craft_that_goes_over_before_it_floods_is_told_the_lean_and_work_at_which_it_does() {
    let s: f64 = 0.15;
    let rise_m = (0.5_f64.sqrt() - s.sqrt() * 2.0 / 3.0) - (0.5 - s / 2.0);
    let work_j = BAR_KG * 9.806_65 * rise_m;
    for openings in [Vec::new(), vec![("hatch", vec![[0.0, 0.0, 1.0].into()])]] {
        let boat = bar(openings.clone()).boat();
        let result = json(&margins(&boat).expect("it floats"));
        let worst = &result["worst_over"];
        assert!((number(worst, "over_deg") - 45.0).abs() < 1e-6, "{worst}");
        assert!(
            (number(worst, "over_work_j") - work_j).abs() < 1e-3,
            "{worst}"
        );
        let said = text(&result, "summary");
        assert!(
            said.starts_with("It turns over soonest when it leans to "),
            "{said}"
        );
        assert!(said.contains("45.0°") && said.contains("140.7 J"), "{said}");
        let named: Vec<&str> = list(&result, "verdicts")
            .iter()
            .map(|v| text(v, "name"))
            .collect();
        assert_eq!(
            named,
            [
                "smallest lean that turns it over",
                "least energy that turns it over"
            ]
        );
        let page = helper_sheet_html(&report(&boat, None).expect("it floats"), UnitSystem::Metric);
        assert!(page.contains("45.0° turns it over"), "{page}");
        let place = awash::study::place(
            &boat,
            "lead",
            &awash::study::PlaceOptions {
                grid: [3, 3],
                z_m: None,
            },
        );
        let place = json(&place.expect("it floats"));
        assert!((number(&place["now"], "least_over_deg") - 45.0).abs() < 1e-6);
    }
    // An open tender floods first; a log rolls on freely to the side.
    assert!(of(&open_tender())["worst_over"].is_null());
    let log = of(&crate::zoo::round_log());
    for line in list(&log, "tilt") {
        if [90.0, 270.0].contains(&number(line, "bearing_deg")) {
            assert!(line["over_deg"].is_null(), "{line}");
        }
    }
}

/// A straight lean is one of the ways that a knock may take: it never takes less work than
/// the pass, and to the side of a hull alike fore and aft it is the righting curve's.
#[test]
fn going_over_straight_takes_no_less_than_the_pass() {
    for hull in zoo() {
        let result = of(&hull);
        for line in list(&result, "tilt") {
            let Some(over) = line["over_work_j"].as_f64() else {
                continue;
            };
            assert!(
                line["lean_deg"]
                    .as_f64()
                    .is_none_or(|lean| lean > number(line, "over_deg"))
            );
            for knock in list(&result, "knock")
                .iter()
                .filter(|k| k["turns_over"] == true)
            {
                assert!(
                    over > number(knock, "pass_work_j") * (1.0 - 1e-6),
                    "{}: {line}",
                    hull.name
                );
            }
        }
    }
    let line = |result: &Value, bearing: f64| {
        let line = list(result, "tilt")
            .iter()
            .find(|l| number(l, "bearing_deg") == bearing);
        line.expect("a bearing").clone()
    };
    let mut alike = closed_box([2.0, 0.5, 0.4], 100.0, [0.0, 0.0, 0.22]);
    alike.openings = vec![("hole", vec![[0.0, 0.0, 0.4].into()])];
    let to_side = line(&of(&alike), 90.0);
    let righting = json(&awash::study::righting(&alike.boat()).expect("it floats"));
    let vanishing = &righting["heel"]["sides"][0]["vanishing"];
    assert!((number(&to_side, "over_deg") - number(vanishing, "angle_deg").abs()).abs() < 1e-4);
    assert!((number(&to_side, "over_work_j") - number(vanishing, "work_j")).abs() < 1e-4);
}

/// Whoever moves out on a craft that turns over at last fills it first at the heel at which
/// `float` finds the same weight, there, to bring a sill to the water.
#[test]
fn it_fills_under_a_person_at_the_heel_at_which_float_has_its_sill_awash() {
    for hull in [lopsided_tender(), bulkhead_box()] {
        // So high that none of the person's bulk is ever in the water.
        let at = |y: f64| format!("mass = \"120 kg\"\nat = [{}, {y}, 1.0]\n", hull.centre_m.x);
        let middle = at(hull.centre_m.y);
        let person = hull.boat_with(&format!(
            "[[item]]\nname = \"rower\"\nperson = true\n{middle}"
        ));
        let result = json(&margins(&person).expect("it floats"));
        for line in list(&result, "person") {
            let first = &line["floods_first"];
            let edge = line["at_m"][1].as_f64().expect("a place");
            let (mut dry, mut awash) = (hull.centre_m.y, edge);
            let mut heel = f64::NAN;
            for _ in 0..18 {
                let y = f64::midpoint(dry, awash);
                let weight = hull.boat_with(&format!("[[item]]\nname = \"weight\"\n{}", at(y)));
                let lies = float(&weight).expect("it floats");
                let is_dry = lies.openings[0].freeboard_m.is_some_and(|sill| sill > 0.0);
                match lies.result.rest.filter(|_| is_dry) {
                    Some(rest) => (dry, heel) = (y, rest.hydrostatics.heel_deg),
                    None => awash = y,
                }
            }
            let told = number(first, "heel_deg");
            assert!((told - heel).abs() < 2e-3, "{}: {told} {heel}", hull.name);
        }
    }
}
