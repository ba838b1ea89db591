//! Righting arms: both sides, where they end, what they take.
use awash::boat::Boat;
use awash::equilibrium::{Afloat, Lean, lean_to};
use awash::study::righting;
use serde_json::Value;

use crate::support::{closed_box, json, keel_heavy, list, number, text, top_heavy};
use crate::zoo::{lopsided_tender, round_log, twin_hull, zoo};

/// Standard gravity (3rd CGPM, 1901).
const GRAVITY: f64 = 9.806_65;

fn side<'a>(curve: &'a Value, name: &str) -> &'a Value {
    let sides = list(curve, "sides").iter();
    let mut found = sides.filter(|side| side["side"] == name);
    found.next().unwrap_or_else(|| panic!("no side {name}"))
}

/// Box of the wall-sided checks, L 4, B 1, T .25, KG .2: KB .125, BM 1/3. A hole r out
/// and h above the water is awash at tan φ = h/r. The work to there is the rise of CG
/// over CB times the weight: CB moves BM t out and ½ BM t² up, t = tan φ, so CG stands
/// (KG − KB − ½ BM t²) cos φ + BM t sin φ over it (the wall-sided formula of Derrett &
/// Barrass, integrated).
#[test]
fn each_side_of_a_box_floods_at_its_own_angle_for_its_own_work() {
    let mut hull = closed_box([4.0, 1.0, 0.5], 1000.0, [0.0, 0.0, 0.2]);
    hull.openings = vec![
        ("port hole", vec![[0.3, 0.4, 0.3].into()]),
        ("starboard hole", vec![[-0.2, -0.3, 0.33].into()]),
    ];
    let result = json(&righting(&hull.boat()).expect("it floats"));
    for (name, opening, out, over, sign) in [
        ("port", "port hole", 0.4_f64, 0.05_f64, -1.0),
        ("starboard", "starboard hole", 0.3, 0.08, 1.0),
    ] {
        let slope = over / out;
        let (sin, cos) = slope.atan().sin_cos();
        let rise = (0.075 - slope * slope / 6.0) * cos + slope / 3.0 * sin - 0.075;
        let flood = &side(&result["heel"], name)["first_sill"];
        assert_eq!(flood["opening"], opening);
        assert_eq!(flood["turns_over_first"], false);
        let angle = number(flood, "angle_deg") - sign * slope.atan().to_degrees();
        assert!(angle.abs() < 1e-6, "{name}: {angle}");
        // A difference of energies of 1e3 J, right to rounding.
        let work = number(flood, "work_j") - 1000.0 * GRAVITY * rise;
        assert!(work.abs() < 1e-6, "{name}: {work}");
    }
    assert_eq!(result["heel"]["sides"][0]["side"], "port");
    let said = text(&result, "summary");
    assert!(
        said.starts_with("To port: port hole goes under at 7.1° of heel, "),
        "{said}"
    );
    let starboard = said.find("To starboard: starboard hole goes under at 14.9°");
    assert!(starboard.is_some(), "{said}");
}

#[test]
fn no_arm_turns_a_top_heavy_hull_back_upright() {
    let result = json(&righting(&top_heavy().boat()).expect("it floats"));
    for side in list(&result["heel"], "sides") {
        // Counted from where it lies, bottom up, it has arms.
        assert!(number(side, "largest_arm_m") > 0.0, "{side}");
    }
    for point in list(&result["heel"], "points") {
        let angle = number(point, "angle_deg");
        let outward = angle.signum() * number(point, "arm_m");
        // The facets are not quite the same port and starboard.
        assert!(outward < 1e-4, "{point}");
    }
    let said = text(&result, "summary");
    assert!(said.starts_with("IT CAPSIZES"), "{said}");
    assert!(said.contains("no arm turns it back"), "{said}");
    assert!(!said.contains("comes back"), "{said}");
}

#[test]
fn the_arm_of_a_keel_heavy_hull_never_vanishes_and_only_it_comes_back_from_any_heel() {
    let mut hull = keel_heavy();
    hull.openings.clear();
    let result = json(&righting(&hull.boat()).expect("it floats"));
    for side in list(&result["heel"], "sides") {
        assert_eq!(side["vanishing"]["state"], "never_vanishes", "{side}");
    }
    for point in list(&result["heel"], "points") {
        let angle = number(point, "angle_deg");
        if angle.abs() > 1.0 && angle.abs() < 179.0 {
            assert!(angle.signum() * number(point, "arm_m") > 0.0, "{point}");
        }
    }
    assert!(text(&result, "summary").contains("comes back from any heel"));
    // Said of no other hull.
    for hull in zoo() {
        let result = json(&righting(&hull.boat()).expect("it floats"));
        let said = text(&result, "summary");
        let never_vanishes = list(&result["heel"], "sides")
            .iter()
            .all(|side| side["vanishing"]["state"] == "never_vanishes");
        let any = said.contains("any heel.");
        assert_eq!(any, never_vanishes, "{}: {said}", hull.name);
    }
}

/// Mirroring a hull changes its sides over, so the lower gunwale comes first, whichever
/// side it is on.
#[test]
fn the_side_with_less_work_comes_first_on_a_lopsided_hull_and_its_mirror_image() {
    let hull = lopsided_tender();
    let result = json(&righting(&hull.boat()).expect("it floats"));
    let other = json(&righting(&hull.mirrored().boat()).expect("it floats"));
    for (result, first, second) in [
        (&result, "port", "starboard"),
        (&other, "starboard", "port"),
    ] {
        let sides = list(&result["heel"], "sides");
        assert_eq!(sides[0]["side"], first);
        assert_eq!(sides[1]["side"], second);
        let least = number(&sides[0]["first_sill"], "work_j");
        assert!(least < number(&sides[1]["first_sill"], "work_j"));
        let said = text(result, "summary");
        let begins = format!("To {first}: gunwale goes under");
        assert!(said.contains(&begins), "{said}");
    }
    for key in ["port", "starboard"] {
        let image = if key == "port" { "starboard" } else { "port" };
        let (one, two) = (side(&result["heel"], key), side(&other["heel"], image));
        // Past the sill the water stands over the cap, whose facets are not mirrored.
        for (of, within) in [("first_sill", 1e-5), ("vanishing", 0.05)] {
            let (one, two) = (&one[of], &two[of]);
            let angle = number(one, "angle_deg") + number(two, "angle_deg");
            assert!(angle.abs() < within, "{of} {key}: {angle}");
            let work = number(one, "work_j") - number(two, "work_j");
            assert!(work.abs() < 10.0 * within, "{of} {key}: {work}");
        }
    }
}

/// The lopsided tender rests heeled to port, so its free heel near no pitch is to port:
/// negative by the sign of heel (starboard down positive).
#[test]
fn the_heel_on_the_pitch_curve_has_the_sign_of_heel() {
    let result = json(&righting(&lopsided_tender().boat()).expect("it floats"));
    let points = list(&result["pitch"], "points");
    for angle in [-2.0, 0.0, 2.0] {
        let near = |p: &&Value| (number(p, "angle_deg") - angle).abs() < 1e-9;
        let point = points.iter().find(near).expect("a point every 2°");
        let heel = number(point, "across_deg");
        assert!((-6.0..-1.0).contains(&heel), "{angle}: {heel}");
    }
}

/// A line of the drawing holds points of one run only: where the craft jumps from one
/// tilt to another the arm between is that of no attitude.
#[test]
fn the_drawing_breaks_its_line_where_the_craft_jumps() {
    let mut broken = 0;
    // A twin hull trimmed hard by one end rolls onto its other side at a stroke.
    let trimmed = [0.6, -0.6].map(|x| {
        let mut hull = twin_hull();
        hull.openings.clear();
        hull.centre_m += awash::numerics::Vec3::new(x, 0.0, 0.3);
        hull
    });
    for hull in zoo().into_iter().chain(trimmed) {
        let result = righting(&hull.boat()).expect("it floats");
        let drawn = awash::present::righting_svg(&result, awash::quantity::UnitSystem::Metric);
        let lines = drawn.split("<polyline").skip(1).map(|line| {
            let points = line.split("points=\"").nth(1).expect("points");
            let points = points.split('"').next().expect("its end");
            points.split_whitespace().count()
        });
        let points = json(&result);
        let points = list(&points["heel"], "points");
        let runs = points
            .chunk_by(|a, b| a["dry"] == true && b["dry"] == true && a["jumps"] == b["jumps"]);
        let dry: Vec<usize> = runs
            .filter(|run| run[0]["dry"] == true)
            .map(<[Value]>::len)
            .collect();
        broken += usize::from(dry.len() > 1);
        assert_eq!(lines.collect::<Vec<_>>(), dry, "{}", hull.name);
    }
    assert!(broken >= 2, "{broken}: nothing was broken");
}

/// Internal consistency. Every vanishing is a change of sign between two points that the
/// craft passes without a jump, or a jump; the work to a first sill is the area under
/// the curve's points.
#[test]
fn no_zero_is_drawn_across_a_jump_and_the_work_is_the_area() {
    let mut jumps = 0;
    for hull in zoo().into_iter().chain([keel_heavy(), top_heavy()]) {
        let boat = hull.boat();
        let result = righting(&boat);
        let result = json(&result.unwrap_or_else(|error| panic!("{}: {error}", hull.name)));
        for curve in ["heel", "pitch"] {
            let points = list(&result[curve], "points");
            for side in list(&result[curve], "sides") {
                let label = format!("{} {curve} {}", hull.name, side["side"]);
                let sign = match text(side, "side") {
                    "starboard" | "bow up" => 1.0,
                    _ => -1.0,
                };
                jumps += usize::from(!side["rolls_over_deg"].is_null());
                if side["vanishing"]["state"] == "at" {
                    let angle = number(&side["vanishing"], "angle_deg");
                    let mut inner = points.iter().filter(|p| number(p, "angle_deg") <= angle);
                    let mut outer = points.iter().filter(|p| number(p, "angle_deg") > angle);
                    let (low, high) = (inner.next_back(), outer.next());
                    let (low, high) = (low.expect("a point"), high.expect("a point"));
                    let rolls = side["rolls_over_deg"].as_f64();
                    if rolls.is_none_or(|rolls| (rolls - angle).abs() > 1e-9) {
                        assert_eq!(low["jumps"], high["jumps"], "{label}");
                        let (a, b) = (number(low, "arm_m"), number(high, "arm_m"));
                        assert!(a > -1e-9 && b < 1e-9, "{label}: {a} {b}");
                    }
                }
                let flood = &side["first_sill"];
                let from_rest = json(&awash::study::float(&boat).expect("it floats"));
                if curve == "heel" && !flood.is_null() && flood["turns_over_first"] == false {
                    let to = number(flood, "angle_deg");
                    let rest = number(&from_rest, "heel_deg");
                    let arm = |at: f64| {
                        let after = points.iter().position(|p| number(p, "angle_deg") > at);
                        let after = after.expect("a point past it").max(1);
                        let [a, b] = [&points[after - 1], &points[after]];
                        let share = (at - number(a, "angle_deg")) / 2.0;
                        number(a, "arm_m") * (1.0 - share) + number(b, "arm_m") * share
                    };
                    let steps = 2000;
                    let width = (to - rest) / f64::from(steps);
                    let area: f64 = (0..steps)
                        .map(|i| arm(rest + (f64::from(i) + 0.5) * width) * width.to_radians())
                        .sum();
                    let weight = number(&result, "mass_kg") * GRAVITY;
                    let work = number(flood, "work_j");
                    assert!(sign * (to - rest) >= 0.0, "{label}");
                    assert!(
                        (area * weight - work).abs() <= 0.01 * work + 0.01,
                        "{label}: {} {work}",
                        area * weight
                    );
                }
            }
        }
    }
    assert!(jumps > 0, "no hull of the zoo jumps: this test saw nothing");
}

#[test]
fn a_log_has_no_arm_and_is_not_said_to_come_back() {
    let result = json(&righting(&round_log().boat()).expect("it floats"));
    for side in list(&result["heel"], "sides") {
        assert_eq!(side["vanishing"]["state"], "never_positive");
    }
    // Pitched, it has: nothing lets it roll out of the pitch.
    for side in list(&result["pitch"], "sides") {
        assert_eq!(side["vanishing"]["state"], "never_vanishes", "{side}");
        assert!(number(side, "largest_arm_m") > 0.1, "{side}");
    }
    assert!(!text(&result, "summary").contains("comes back"));
}

/// A square box 3 × 0.8 × 0.8 m half under water, CG 0.02 m over its middle: every water
/// plane goes through the middle. With a = 0.4 m the centre of buoyancy lies
/// d = (a/2 − a t²/6) cos θ + (a t/3) sin θ under it, t = tan θ, θ the angle to the nearest
/// face (the wall-sided formula of Derrett & Barrass, as above), so the energy over the
/// weight is 0.02 cos φ + d. It lolls at 51.8°, on either side, and which is chance.
fn lolling_box() -> crate::zoo::ZooHull {
    let mut hull = closed_box([3.0, 0.8, 0.8], 960.0, [0.0, 0.0, 0.42]);
    hull.openings = vec![
        ("port corner", vec![[0.3, 0.35, 0.8].into()]),
        ("starboard corner", vec![[0.3, -0.35, 0.8].into()]),
    ];
    hull
}

fn energy_of_lolling_box_j(heel_deg: f64) -> f64 {
    let (heel, half) = (heel_deg.to_radians(), 0.4);
    let theta = heel.min(std::f64::consts::FRAC_PI_2 - heel);
    let t = theta.tan();
    let depth = (half / 2.0 - half * t * t / 6.0) * theta.cos() + half * t / 3.0 * theta.sin();
    960.0 * GRAVITY * (0.02 * heel.cos() + depth)
}

#[test]
fn both_sides_of_a_lolling_box_are_counted_from_where_it_rests() {
    let mut hull = lolling_box();
    // It may fall to either side; it is counted from that with the coaming lower.
    hull.openings.pop();
    hull.openings[0].1[0].z = 1.1;
    let result = json(&righting(&hull.boat()).expect("it floats"));
    let heels = || (0..90_000).map(|i| f64::from(i) / 1000.0);
    let by_energy =
        |a: &f64, b: &f64| energy_of_lolling_box_j(*a).total_cmp(&energy_of_lolling_box_j(*b));
    let loll = heels()
        .filter(|h| *h < 60.0)
        .min_by(by_energy)
        .expect("some");
    let top = heels()
        .filter(|h| *h > loll)
        .max_by(by_energy)
        .expect("some");
    let from_rest = |heel| energy_of_lolling_box_j(heel) - energy_of_lolling_box_j(loll);
    let home = list(&result, "resting_attitudes").iter();
    let mut home = home.filter(|rest| rest["from_upright"] == true);
    let rests = number(home.next().expect("a rest"), "heel_deg");
    assert!((rests.abs() - loll).abs() < 2e-3, "{rests} {loll}");
    let (out, back) = if rests > 0.0 {
        ("starboard", "port")
    } else {
        ("port", "starboard")
    };
    // The weaker side comes first: outward from the loll.
    assert_eq!(result["heel"]["sides"][0]["side"], out);
    let vanishing = |name| &side(&result["heel"], name)["vanishing"];
    let angle = number(vanishing(out), "angle_deg") * rests.signum();
    assert!((angle - top).abs() < 2e-3, "{angle} {top}");
    assert!((number(vanishing(out), "work_j") - from_rest(top)).abs() < 1e-3);
    // Back over upright it falls to the other loll.
    assert!(number(vanishing(back), "angle_deg").abs() < 1e-3);
    assert!((number(vanishing(back), "work_j") - from_rest(0.0)).abs() < 1e-3);
    assert!(rests < 0.0, "the port coaming is lower: {rests}");
    let flood = &side(&result["heel"], out)["first_sill"];
    let awash = (0.7_f64 / 0.35).atan().to_degrees();
    assert!(awash < top);
    assert!(
        (number(flood, "angle_deg").abs() - awash).abs() < 1e-4,
        "{flood}"
    );
    assert_eq!(flood["turns_over_first"], false);
    let work = number(flood, "work_j") - from_rest(awash);
    assert!(work.abs() < 1e-3, "{flood}");
}

/// The box is the same fore and aft, so are its ends. Under water at rest is 0 J at rest.
#[test]
fn both_ends_of_a_lolling_box_are_alike_and_a_sill_under_at_rest_is_no_work() {
    let result = json(&righting(&lolling_box().boat()).expect("it floats"));
    let ends = ["bow up", "bow down"].map(|name| side(&result["pitch"], name));
    for key in ["largest_arm_m", "largest_arm_at_deg"] {
        let off = number(ends[0], key).abs() - number(ends[1], key).abs();
        assert!(off.abs() < 1e-4, "{key}: {off}");
    }
    assert_eq!(ends[0]["vanishing"]["state"], ends[1]["vanishing"]["state"]);
    for end in ends {
        assert_eq!(number(&end["first_sill"], "work_j"), 0.0, "{end}");
        assert_eq!(end["first_sill"]["turns_over_first"], false, "{end}");
        assert!(
            number(&end["first_sill"], "angle_deg").abs() < 1e-6,
            "{end}"
        );
    }
}

/// Pitch is asin of the vertical's share along the boat (the definition of pitch), at
/// any heel; the arm is the slope of the energy over it, by central differences.
#[test]
fn the_pitch_that_is_held_is_the_pitch_and_its_arm_the_slope_of_the_energy() {
    for hull in [lopsided_tender(), lolling_box(), round_log()] {
        let boat = hull.boat();
        let afloat = Afloat::of(&boat);
        let (craft, rest) = (afloat.craft(), afloat.rest().expect("it floats"));
        let lean = Lean::pitch();
        let at = |pitch_deg: f64| {
            let pitch = pitch_deg.to_radians();
            lean_to(craft, &lean, pitch, rest).expect("it rests")
        };
        for pitch_deg in [-6.0_f64, 3.0, 8.0] {
            let leaned = at(pitch_deg);
            let off = leaned.rest.plane().up.x - pitch_deg.to_radians().sin();
            assert!(off.abs() < 1e-12, "{}: {off}", hull.name);
            let step_deg = 0.01;
            let rise =
                at(pitch_deg + step_deg).rest.energy_m4 - at(pitch_deg - step_deg).rest.energy_m4;
            let slope = rise / (2.0 * step_deg.to_radians());
            let arm = slope / craft.volume_to_displace_m3();
            assert!(
                (arm - leaned.arm_m).abs() < 1e-4 * (1.0 + arm.abs()),
                "{} {pitch_deg}: {arm} {}",
                hull.name,
                leaned.arm_m
            );
        }
    }
}

/// Internal consistency: over any side it takes at least the work of the lowest way out
/// of the rest.
#[test]
fn no_side_takes_less_work_than_the_lowest_way_out_of_the_rest() {
    let mut seen = 0;
    // On its side, its weight off the middle.
    let on_its_side = closed_box([2.0, 0.4, 0.7], 260.0, [0.0, 0.06, 0.38]);
    let slender = closed_box([6.0, 0.3, 0.3], 200.0, [0.03, 0.002, 0.14]);
    let more = [
        keel_heavy(),
        top_heavy(),
        lolling_box(),
        on_its_side,
        slender,
    ];
    for hull in zoo().into_iter().chain(more) {
        let boat: Boat = hull.boat();
        let result = json(&righting(&boat).expect("it floats"));
        let rests = list(&result, "resting_attitudes").iter();
        let home = 1 + rests
            .take_while(|rest| rest["from_upright"] == false)
            .count() as u64;
        let ways = list(&result, "barriers").iter().filter_map(|way| {
            let between = list(way, "between");
            let end = between
                .iter()
                .position(|rest| rest.as_u64() == Some(home))?;
            (way["exact"] == true).then(|| list(way, "work_j")[end].as_f64())?
        });
        let lowest = ways.fold(f64::INFINITY, f64::min);
        if !lowest.is_finite() {
            continue;
        }
        for curve in ["heel", "pitch"] {
            for side in list(&result[curve], "sides") {
                if side["vanishing"]["state"] == "at" {
                    seen += 1;
                    let work = number(&side["vanishing"], "work_j");
                    assert!(
                        work >= lowest * (1.0 - 1e-3) - 1e-3,
                        "{} {curve} {}: {work} {lowest}",
                        hull.name,
                        side["side"]
                    );
                }
            }
        }
    }
    assert!(seen > 4, "only {seen} sides seen");
}

/// A box that lolls (`tan² φ = −2 GM / BM`, wall-sided: 14.82°) has two rests with its
/// keel down; a bar with its weight in its middle has four.
#[test]
fn two_loll_rests_have_names_of_their_own_and_the_first_line_has_both_ways_over() {
    let hull = closed_box([4.0, 1.0, 0.5], 1000.0, [0.0, 0.0, 0.47]);
    let result = json(&righting(&hull.boat()).expect("it floats"));
    let mut words: Vec<&str> = list(&result, "resting_attitudes")
        .iter()
        .map(|rest| text(rest, "words"))
        .collect();
    words.sort_unstable();
    assert_eq!(
        words,
        ["lolling to port", "lolling to starboard", "upside down"]
    );
    let said = text(&result, "summary");
    assert!(
        said.starts_with("It lolls: it lies at 14.8° of heel to "),
        "{said}"
    );
    let over = list(&result["heel"], "sides").iter().map(|side| {
        let over = &side["turns_over"];
        (number(over, "angle_deg").abs(), number(over, "work_j"))
    });
    let [(a, work_a), (b, work_b)] =
        <[(f64, f64); 2]>::try_from(over.collect::<Vec<_>>()).expect("two sides");
    assert!(
        (a - b).abs() < 1e-4 && (work_a - work_b).abs() < 1e-4,
        "{a} {b} {work_a} {work_b}"
    );
    assert_eq!(said.matches(&format!("{a:.1}°")).count(), 2, "{said}");
    // An upright craft keeps its name.
    let result = json(&righting(&lopsided_tender().boat()).expect("it floats"));
    assert!(
        list(&result, "resting_attitudes")
            .iter()
            .any(|rest| rest["words"] == "upright")
    );
}

#[test]
fn a_capsized_crafts_first_line_has_the_way_back_over_on_both_sides() {
    let result = json(&righting(&top_heavy().boat()).expect("it floats"));
    let said = text(&result, "summary");
    for side in ["port", "starboard"] {
        assert!(said.contains(&format!("to {side}: ")), "{said}");
    }
}

#[test]
fn a_log_held_at_a_pitch_does_not_creep_round_on_its_facets() {
    let result = json(&righting(&round_log().boat()).expect("it floats"));
    for point in list(&result["pitch"], "points") {
        assert!(number(point, "across_deg").abs() < 1e-6, "{point}");
    }
}
