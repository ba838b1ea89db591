//! Spaces open to the sea followed to the end, with air lost and air kept.
use awash::boat::Boat;
use awash::equilibrium::{Craft, Displacers, Hold, KeptAir, Outcome, find_rest, settle_if_afloat};
use awash::immersion::MomentTree;
use awash::mesh::{solids, write_stl};
use awash::numerics::Vec3;
use awash::present::{Present, with_words};
use awash::quantity::UnitSystem::Metric;
use awash::study::{
    FloodedAir, FloodedCase, FloodedResult, Knocked, Start, SwampEnd, Verdict, float, flooded,
    swamp,
};

use crate::support::near;
use crate::zoo;

/// The standard atmosphere, Pa (10th CGPM, 1954), as a column of fresh water of
/// 1000 kg/m³ at standard gravity: 10.332 m.
const ATMOSPHERE_M: f64 = 101_325.0 / (1000.0 * 9.806_65);

/// A thin box of a size, x and y about its middle and the keel at z = 0, in water of
/// 1000 kg/m³, its weight low so that loose water does not turn it over.
fn box_boat(size: [f64; 3], mass_kg: f64, more: &str) -> Boat {
    let folder = tempfile::tempdir().expect("a folder");
    let [length, breadth, depth] = size;
    let half = Vec3::new(length / 2.0, breadth / 2.0, 0.0);
    let solid = solids::cuboid(-half, half + Vec3::new(0.0, 0.0, depth));
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .expect("written");
    let file = folder.path().join("box.toml");
    let text = format!(
        "[water]\ndensity = 1000\n[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = {mass_kg}\ncentre = [0, 0, 0.02]\n{more}"
    );
    std::fs::write(&file, text).expect("written");
    Boat::load(&file).expect("a sound boat file")
}

/// A square hole between two corners, on a wall across y or on the bottom.
fn hole(name: &str, corners: [[f64; 3]; 4]) -> String {
    format!("[[opening]]\nname = \"{name}\"\nrim = {corners:?}\n")
}

fn named<'r>(result: &'r FloodedResult, name: &str) -> &'r FloodedCase {
    let found = result.cases.iter().find(|case| case.name == name);
    found.unwrap_or_else(|| panic!("no case {name}"))
}

fn bottom_hole(x: f64, y: f64) -> String {
    let d = 0.05;
    hole(
        "hole",
        [
            [x - d, y - d, 0.0],
            [x + d, y - d, 0.0],
            [x + d, y + d, 0.0],
            [x - d, y + d, 0.0],
        ],
    )
}

/// A closed box of 1000 kg with a hole in its bottom: without its air it sinks; with
/// it the water inside rises by w. The head outside over inside is T − w = M/(ρA) = s,
/// and (H + s)(D − w) = H D, so w = D s/(H + s). Box 4 × 1 × 0.5 m.
#[test]
fn a_box_with_a_hole_in_its_bottom_floats_on_its_air() {
    let boat = box_boat([4.0, 1.0, 0.5], 1000.0, &bottom_hole(0.0, 0.0));
    let result = flooded(&boat).expect("it floats dry");
    let case = named(&result, "inside");
    assert_eq!((case.end.air, case.end.floats), (FloodedAir::Lost, false));
    let kept = case.other_end.as_ref().expect("air is kept");
    let rest = kept.rest.as_ref().expect("afloat on its air");
    let s = 0.25;
    let w = 0.5 * s / (ATMOSPHERE_M + s);
    near("draught", rest.draught_aft_m, s + w, 1e-9);
    near("air", kept.air_kept[0].air_m3, 4.0 * (0.5 - w), 1e-9);
    near("level under", kept.air_kept[0].under_outside_m, s, 1e-9);
    assert!(result.sinks_with_one() && result.summary(Metric).contains("IT SINKS with inside"));
    // Say what a vent does.
    let told = with_words(&result).expect("plain data");
    let note = told["notes"].to_string();
    assert!(note.contains("vent") && note.contains("SINKS"), "{note}");
}

/// The same with the hole in a side, its top at z = 0.1: the air over it stays,
/// 4 × 0.4 m³ at the atmosphere's pressure, so (H + s)(D − w) = H (D − 0.1).
#[test]
fn a_hole_in_the_side_keeps_the_air_over_it() {
    let side = hole(
        "hole",
        [
            [2.0, -0.05, 0.05],
            [2.0, 0.05, 0.05],
            [2.0, 0.05, 0.1],
            [2.0, -0.05, 0.1],
        ],
    );
    let boat = box_boat([4.0, 1.0, 0.5], 1000.0, &side);
    let result = flooded(&boat).expect("it floats dry");
    let kept = named(&result, "inside").other_end.as_ref().expect("kept");
    let rest = kept.rest.as_ref().expect("afloat on its air");
    let s = 0.25;
    let w = 0.5 - 0.4 * ATMOSPHERE_M / (ATMOSPHERE_M + s);
    assert!(w > 0.1, "the hole lies under the air");
    near("draught", rest.draught_aft_m, s + w, 1e-9);
}

/// A vent at the top, however small, lets the air out: no air is kept.
#[test]
fn a_vent_over_the_water_keeps_nothing() {
    let vent = hole(
        "vent",
        [
            [1.0, -0.01, 0.5],
            [1.02, -0.01, 0.5],
            [1.02, 0.01, 0.5],
            [1.0, 0.01, 0.5],
        ],
    );
    let more = bottom_hole(0.0, 0.0) + &vent;
    let result = flooded(&box_boat([4.0, 1.0, 0.5], 1000.0, &more)).expect("it floats dry");
    let case = named(&result, "inside");
    assert!(!case.end.floats && case.other_end.is_none());
}

/// An inverted tumbler pushed down by its weight: a box 0.2 × 0.2 × 0.3 m, mouth down
/// at z = 0, as a thin wall of 6 kg in fresh water. Afloat x of air holds 6 kg:
/// 0.04 x' = 0.006 with x' the air under the sea's level. Its air is 0.3 at the
/// atmosphere: (H + h) a = 0.3 H, h the depth of its water; a − (freeboard) = h.
/// So h = M/(ρA) = 0.15, a = 0.3 H/(H + 0.15). At 13 kg it goes down: 0.325 m would be
/// needed of 0.3.
#[test]
fn an_inverted_tumbler_floats_on_what_boyle_leaves_and_sinks_past_it() {
    let wall = solids::cuboid(Vec3::new(-0.1, -0.1, 0.0), Vec3::new(0.1, 0.1, 0.3));
    let tree = std::sync::Arc::new(MomentTree::new(&wall, &[]));
    let tumbler = |mass_kg: f64| {
        let mut displacers = Displacers::envelope(std::sync::Arc::clone(&tree));
        let inside = Displacers::envelope(std::sync::Arc::clone(&tree));
        displacers.keep_air(KeptAir::new(inside, 0.012, ATMOSPHERE_M));
        Craft {
            displacers,
            mass_kg,
            centre_of_gravity_m: Vec3::new(0.0, 0.0, 0.02),
            density_kg_m3: 1000.0,
            liquids: Vec::new(),
        }
    };
    let rest = find_rest(&tumbler(6.0), &Vec3::z(), Hold::Attitude).expect("it floats");
    let air = 0.3 * ATMOSPHERE_M / (ATMOSPHERE_M + 0.15);
    let level = 0.3 - air + 0.15;
    near("water over the mouth", rest.plane().level_m, level, 1e-10);
    assert!(
        settle_if_afloat(&tumbler(13.0))
            .expect("an answer")
            .is_none()
    );
    // Under the weight that its air holds when just under, over it by a hair.
    let most = |level: f64| {
        // (H + level − l)(0.3 − l) = 0.3 H, solved for a = 0.3 − l by the quadratic.
        let b = ATMOSPHERE_M + level - 0.3;
        ((b * b + 1.2 * ATMOSPHERE_M).sqrt() - b) / 2.0 * 40.0
    };
    let limit = most(0.3);
    let held = |mass_kg| find_rest(&tumbler(mass_kg), &Vec3::z(), Hold::Attitude);
    assert!(held(limit - 1e-4).is_ok());
    assert!(held(limit + 1e-4).is_err());
}

/// The box with bulkheads and a limber hole low in one: the bow alone floats it, but
/// the water goes on aft, and with 400 kg on the sealed 0.7 × 1 × 0.5 m (350 kg) it
/// sinks. The headline and the verdict speak of that end.
#[test]
fn water_that_goes_on_counts() {
    let result = flooded(&zoo::bulkhead_box().boat()).expect("it floats");
    let bow = named(&result, "bow");
    assert!(bow.floats, "alone it floats");
    let first = bow.rest.as_ref().expect("afloat");
    assert_eq!(first.spreads_to, ["inside"]);
    assert!(!bow.end.floats);
    assert_eq!(bow.end.flooded, ["bow", "inside"]);
    assert_eq!(bow.end.steps[0].reaches[0].through, "limber");
    assert!(
        result
            .summary(Metric)
            .contains("IT SINKS with bow, or inside"),
        "{}",
        result.summary(Metric)
    );
    assert_eq!(result.verdict, Some(Verdict::Fail));
    near("lacks", result.lacks_m3, 0.05, 1e-9);
    // A bung in the limber hole keeps the water in the bow.
    let bunged = bow.with_bungs.as_ref().expect("it went through a passage");
    assert!(bunged.floats && bunged.flooded == ["bow"]);
}

/// Ending on end fails too: the same box of 300 kg is held up by its sealed stern.
#[test]
fn lying_over_fails_and_is_said() {
    let mut hull = zoo::bulkhead_box();
    hull.mass_kg = 300.0;
    let result = flooded(&hull.boat()).expect("it floats");
    let bow = named(&result, "bow");
    assert!(bow.end.floats && bow.end.lies_over());
    assert!(
        result
            .summary(Metric)
            .contains("ON ITS SIDE OR END with bow"),
        "{}",
        result.summary(Metric)
    );
    assert_eq!(result.verdict, Some(Verdict::Fail));
    // What is not asked is not judged.
    let unasked = hull.boat_with("[yardsticks]\nfloats_with_one_flooded = false\n");
    assert_eq!(flooded(&unasked).expect("it floats").verdict, None);
}

/// A block that fills a space wholly stays: foam of 1.6 × 1 × 0.5 m in a space of that
/// size in the box of 4 m keeps it dry, whatever floods: T = M/(ρA).
#[test]
fn what_fills_a_space_wholly_is_kept() {
    let more = "[[compartment]]\nname = \"bow\"\nforward_of = 0.4\n[[item]]\nname = \"foam\"\nmass = 0.001\nat = [1.2, 0, 0.25]\nsize = [1.6, 1, 0.5]\nvolume = \"800 L\"\n";
    let boat = box_boat([4.0, 1.0, 0.5], 700.0, more);
    // Foam of a gram is doubted as foam, not for its room.
    let of_room = |doubt: &awash::mesh::Doubt| doubt.kind != awash::mesh::DoubtKind::Place;
    assert!(!boat.doubts.iter().any(of_room), "{:?}", boat.doubts);
    let result = flooded(&boat).expect("it floats");
    let bow = named(&result, "bow").rest.as_ref().expect("afloat");
    near("draught", bow.draught_aft_m, 0.175, 1e-6);
    let whole = named(&result, "bow, inside");
    assert!(whole.floats, "800 L of foam hold up 700 kg");
    // What cannot be is left out and doubted.
    let boat = box_boat(
        [4.0, 1.0, 0.5],
        700.0,
        &more.replace("800 L", "900 L").replace("0.5]\nv", "0.6]\nv"),
    );
    // It reaches through the skin, and weighs a gram.
    assert_eq!(boat.doubts.len(), 2, "{:?}", boat.doubts);
}

/// With two ways in, the air stays over the higher: a box in which the bow keeps air over
/// a limber hole that the sea reaches from the flooded middle. The air is that over the
/// hole's highest point as the craft lies with the middle alone flooded, pitched by θ: over
/// a plane that slopes by tan θ from x = 1.2 m, z = t on, of the 0.8 m of bow 1 m broad and
/// 0.5 m deep, `0.8 (0.5 − t) + 0.8²/2 tan θ`. The hole is a ring of 24 corners of its area,
/// π 15² mm², one of them on top: r² = 2 π 0.015²/(24 sin 15°).
#[test]
fn air_stays_behind_a_low_passage() {
    let more = "[[compartment]]\nname = \"bow\"\nforward_of = 1.2\n[[compartment]]\nname = \"stern\"\naft_of = -1.2\nsealed = true\n[[passage]]\nname = \"limber\"\nbetween = [\"bow\", \"inside\"]\nat = [1.2, 0, 0.05]\ndiameter = \"30 mm\"\n[[opening]]\nname = \"well\"\nrim = [[-1, -0.4, 0.5], [1, -0.4, 0.5], [1, 0.4, 0.5], [-1, 0.4, 0.5]]\n";
    let boat = box_boat([4.0, 1.0, 0.5], 500.0, more);
    let result = flooded(&boat).expect("it floats");
    let inside = named(&result, "inside");
    assert_eq!(inside.end.flooded, ["inside", "bow"]);
    let mut ends = std::iter::once(&inside.end).chain(&inside.other_end);
    let kept = ends.find(|end| end.air == FloodedAir::Kept);
    let kept = kept.expect("air is kept");
    let air = &kept.air_kept[0];
    assert_eq!(air.compartment, "bow");
    // At its pressure the air is that over the hole's top at the atmosphere's.
    let over_hole = air.air_m3 * (ATMOSPHERE_M + air.under_outside_m) / ATMOSPHERE_M;
    let pitch = kept.steps[0].pitch_deg.expect("afloat").to_radians();
    let corner = std::f64::consts::TAU / 24.0;
    let radius = (std::f64::consts::TAU * 0.015 * 0.015 / (24.0 * corner.sin())).sqrt();
    let want = 0.8 * (0.5 - 0.05 - radius) + 0.32 * pitch.tan();
    near("air over the hole", over_hole, want, 1e-9);
    assert!(kept.floats);
}

/// Water loose inside shuts air in as the sea does. A box 4 × 1 × 0.5 m with an open well
/// over its ends and a locker 1 m long amidships, behind limber holes whose tops lie at t.
/// 600 L in the ends, W = 0.6 m³: with the air lost they stand at W/4. With it kept over
/// t, the ends at L and the locker at l: `3 L + l = W`, `(H + L − l)(0.5 − l) = H (0.5 − t)`.
/// Every sill is dry, and the box level.
#[test]
fn loose_water_shuts_air_in_too() {
    let limber = |name: &str, x: f64| {
        format!(
            "[[passage]]\nname = \"{name}\"\nbetween = [\"locker\", \"inside\"]\nat = [{x}, 0, 0.03]\ndiameter = \"30 mm\"\n"
        )
    };
    let more = "[[compartment]]\nname = \"locker\"\nforward_of = -0.5\naft_of = 0.5\n".to_owned()
        + &limber("fore", 0.5)
        + &limber("aft", -0.5)
        + "[[opening]]\nname = \"well\"\nfloods = \"inside\"\nrim = [[-2, -0.4, 0.5], [2, -0.4, 0.5], [2, 0.4, 0.5], [-2, 0.4, 0.5]]\n";
    let boat = box_boat([4.0, 1.0, 0.5], 500.0, &more);
    let case = Knocked {
        start: Start::Condition,
        inside_m3: 0.6,
        ..Knocked::default()
    };
    let result = swamp(&boat, &case).expect("it floats");
    let last = result.time_line.last().expect("a line");
    near("air lost", last.compartments_m3[0], 0.15, 1e-6);
    let air = result.with_air.as_ref().expect("air is shut in");
    let kept = &air.air_kept[0];
    assert_eq!(kept.compartment, "locker");
    let corner = std::f64::consts::TAU / 24.0;
    let top = 0.03 + (std::f64::consts::TAU * 0.015 * 0.015 / (24.0 * corner.sin())).sqrt();
    let level = crate::support::sign_change(0.0, 0.15, |l| {
        let outside = (0.6 - l) / 3.0;
        ATMOSPHERE_M * (0.5 - top) - (ATMOSPHERE_M + outside - l) * (0.5 - l)
    });
    near("air", kept.air_m3, 0.5 - level, 1e-7);
    near(
        "its water under",
        kept.under_outside_m,
        (0.6 - level) / 3.0 - level,
        1e-7,
    );
    near("heel", air.heel_deg.expect("afloat"), 0.0, 1e-6);
    assert!(
        result.summary(Metric).contains("L in locker"),
        "{}",
        result.summary(Metric)
    );
}

/// A wing that keeps its air behind a hole near the middle heels the craft, while with the
/// air lost water lies level right across: the heel is that of `float` with the water of
/// each room written into the file.
#[test]
fn air_shut_in_by_loose_water_heels_the_craft() {
    let mut checked = 0;
    for (wing_m, limber_m, inside_m3, mass_kg) in [
        (0.2, 0.03, 0.45, 500.0),
        (0.1, 0.04, 0.5, 400.0),
        (0.25, 0.02, 0.35, 700.0),
    ] {
        let rooms = format!("[[compartment]]\nname = \"wing\"\nport_of = {wing_m}\n");
        let more = format!(
            "[[passage]]\nname = \"limber\"\nbetween = [\"wing\", \"inside\"]\nat = [0, {wing_m}, {limber_m}]\ndiameter = \"30 mm\"\n[[opening]]\nname = \"well\"\nfloods = \"inside\"\nrim = [[-1, -0.1, 0.7], [1, -0.1, 0.7], [1, 0.1, 0.7], [-1, 0.1, 0.7]]\n"
        );
        let boat = box_boat([4.0, 1.0, 0.7], mass_kg, &(rooms.clone() + &more));
        let case = Knocked {
            start: Start::Condition,
            inside_m3,
            ..Knocked::default()
        };
        let result = swamp(&boat, &case).expect("it floats");
        let air = result.with_air.as_ref().expect("air is shut in");
        let wing_m3 = (0.5 - wing_m) * 4.0 * 0.7 - air.air_kept[0].air_m3;
        let filled = format!(
            "{rooms}fill = \"{:?} L\"\n[[compartment]]\nname = \"inside\"\nfill = \"{:?} L\"\n",
            1e3 * wing_m3,
            1e3 * (inside_m3 - wing_m3)
        );
        let bare = more.split("[[opening]]").nth(1).expect("the well");
        let file = filled + "[[opening]]" + bare;
        let rest = float(&box_boat([4.0, 1.0, 0.7], mass_kg, &file));
        let rest = rest.expect("it floats").result.rest.expect("it floats");
        let heel = air.heel_deg.expect("afloat");
        near("heel", heel, rest.hydrostatics.heel_deg, 1e-5);
        let lost = result.time_line.last().expect("a line").heel_deg;
        assert!(heel > lost + 3.0 && air.is_worse, "{heel} {lost}");
        assert!(
            !result.summary(Metric).contains("recovers"),
            "{}",
            result.summary(Metric)
        );
        checked += 1;
    }
    assert_eq!(checked, 3);
}

/// `swamp` follows the water with the air lost, and tells the end with it kept too: the
/// closed box with a hole in its bottom sinks, and on its air lies as the closed form
/// of the first test says.
#[test]
fn swamp_judges_by_the_worse_of_air_lost_and_air_kept() {
    let boat = |more: &str| box_boat([4.0, 1.0, 0.5], 1000.0, &(bottom_hole(0.0, 0.0) + more));
    let case = Knocked {
        start: Start::Condition,
        ..Knocked::default()
    };
    let result = swamp(&boat(""), &case).expect("it floats at first");
    assert_eq!(result.end, SwampEnd::Sunk);
    let air = result.with_air.as_ref().expect("air is caught");
    assert!(air.floats && !air.is_worse);
    let s = 0.25;
    let w = 0.5 * s / (ATMOSPHERE_M + s);
    near("air", air.air_kept[0].air_m3, 4.0 * (0.5 - w), 1e-9);
    assert!(
        result.summary(Metric).contains("vent"),
        "{}",
        result.summary(Metric)
    );
    assert_eq!(result.verdict, Some(Verdict::Fail));
    let unasked = boat("[yardsticks]\nfloats_swamped = false\n");
    let unasked = swamp(&unasked, &case).expect("it floats at first");
    assert_eq!(unasked.verdict, None);
    // "Lacks" is one volume in both studies.
    let flooded = flooded(&boat("")).expect("it floats dry");
    let lacks = result.solid_needed_m3 - result.solid_m3;
    near("lacks", lacks, flooded.lacks_m3, 1e-12);
    near("closed form", lacks, 1.0, 1e-9);
}

/// Of two ends the one that sinks is worse, then the one that lies over, then the one
/// that the yardsticks find worse, of both and then of the lean, then the one with the
/// lower sill; with no sill left, nothing more can flood, which is better than any sill that can go under.
#[test]
fn ends_rank_by_sinking_lying_over_and_sill() {
    let judged = |verdict, lean, sill_m| Outcome {
        floats: true,
        upright: true,
        verdict: Some(verdict),
        lean: Some(lean),
        sill_m: Some(sill_m),
    };
    let end = |floats, upright, sill_m| Outcome {
        floats,
        upright,
        verdict: None,
        lean: None,
        sill_m,
    };
    let leans = judged(Verdict::Fail, Verdict::Fail, 0.4);
    let level = judged(Verdict::Clear, Verdict::Clear, 0.3);
    assert!(leans.is_worse_than(&level) && !level.is_worse_than(&leans));
    // Both fail, one by its lean: a lower sill does not outweigh that.
    let awash = judged(Verdict::Fail, Verdict::Clear, -0.2);
    assert!(leans.is_worse_than(&awash) && !awash.is_worse_than(&leans));
    let worst_first = [
        end(false, false, None),
        end(true, false, Some(0.2)),
        end(true, false, None),
        end(true, true, Some(-0.01)),
        end(true, true, Some(0.01)),
        end(true, true, None),
    ];
    for (k, worse) in worst_first.iter().enumerate() {
        assert!(!worse.is_worse_than(worse));
        for better in &worst_first[k + 1..] {
            assert!(worse.is_worse_than(better) && !better.is_worse_than(worse));
        }
    }
}
