//! Tape marks and the drill and cut map against closed forms, each derived beside
//! its check.
use std::f64::consts::PI;
use std::path::Path;

use awash::boat::Boat;
use awash::mesh::{Surface, solids};
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem::Metric;
use awash::study::{Answer, BorderPoint, Planes, RimKind, TapeResult, drill, tape};

use crate::boats::{laden_box, made};
use crate::support::{converges, near};

/// What the rest search may leave of an angle, 1e-9, on bodies of 2 m, m.
const WITHIN_M: f64 = 2e-9;

/// A boat of one solid in water of 1000 kg/m³.
fn boat_of(surface: &Surface, mass_kg: f64, centre: [f64; 3], more: &str) -> Boat {
    made(
        surface,
        &format!("mass = {mass_kg}\ncentre = {centre:?}\n{more}"),
    )
}

fn marks(boat: &Boat, from_stem: &[f64]) -> Answer<TapeResult> {
    tape(boat, &Planes::At(from_stem.to_vec())).expect("it floats")
}

/// The box 4 × 1 × 0.5 m at a draught of 0.25 m: from the edge of its top 0.25 m
/// down; from the middle of its bottom half a breadth out and 0.25 m up.
#[test]
fn a_box_afloat_has_its_freeboard_down_and_its_draught_up() {
    let result = marks(&laden_box(""), &[0.5, 2.0, 3.7]);
    near("length", result.length_m, 4.0, WITHIN_M);
    near("stem", result.stem_m[0], 2.0, WITHIN_M);
    for station in &result.stations {
        for mark in [&station.port, &station.starboard] {
            near("below", mark.below_rim_m.unwrap(), 0.25, WITHIN_M);
            near("down", mark.straight_down_m.unwrap(), 0.25, WITHIN_M);
            near("above", mark.above_keel_m.unwrap(), 0.75, WITHIN_M);
            near("girth", mark.half_girth_m.unwrap(), 1.0, WITHIN_M);
            assert_eq!(mark.rim, Some(RimKind::DeckEdge));
            assert!(mark.notes.is_empty() && mark.crossings == 1);
        }
    }
}

/// 20 kg of the box's 1000 kg moved 0.4 m to port, KG 0.2 m: wall-sided,
/// `(GM + ½ BM tan²φ) tan φ = 20 · 0.4 / 1000` with GM = 0.125 + 1/3 − 0.2, BM = 1/3:
/// tan φ = 0.0309486173. The water turns about the middle, so at the sides, half a
/// metre out, it stands `½ tan φ` higher to port and lower to starboard.
#[test]
fn an_item_to_port_puts_the_port_mark_higher() {
    let cube = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    let item = "[[item]]\nname = \"crate\"\nmass = \"20 kg\"\nat = [0, 0.4, 0.2]\n";
    let result = marks(&boat_of(&cube, 980.0, [0.0, 0.0, 0.2], item), &[1.3]);
    let rise = 0.5 * 0.030_948_617_3;
    let station = &result.stations[0];
    for (mark, rise) in [(&station.port, rise), (&station.starboard, -rise)] {
        near("below", mark.below_rim_m.unwrap(), 0.25 - rise, WITHIN_M);
        near("above", mark.above_keel_m.unwrap(), 0.75 + rise, WITHIN_M);
        near("down", mark.straight_down_m.unwrap(), 0.25 - rise, WITHIN_M);
    }
    assert!(result.summary(Metric).contains("port and starboard differ"));
}

/// 20 kg moved 1.5 m forward: `(GM_L + ½ BM_L t²) t = 0.03`, BM_L = 16/3:
/// t = 0.0057051356; x metres forward of the middle the water stands x t higher.
#[test]
fn an_item_forward_puts_the_marks_higher_towards_the_stem() {
    let cube = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    let item = "[[item]]\nname = \"crate\"\nmass = \"20 kg\"\nat = [1.5, 0, 0.2]\n";
    let result = marks(
        &boat_of(&cube, 980.0, [0.0, 0.0, 0.2], item),
        &[0.4, 2.0, 3.1],
    );
    for station in &result.stations {
        let x = 2.0 - station.from_stem_m;
        let want = 0.25 - 0.005_705_135_6 * x;
        near("below", station.port.below_rim_m.unwrap(), want, WITHIN_M);
        near(
            "below",
            station.starboard.below_rim_m.unwrap(),
            want,
            WITHIN_M,
        );
    }
}

/// A wedge 1 m deep with its edge down, sides 30° off the vertical, at a draught of
/// 0.6 m: the skin is 1/cos 30° as long as it is high. Mass = ρ L d² tan 30°.
#[test]
fn a_wedge_has_slant_lengths() {
    let slope = (PI / 6.0).tan();
    let wedge = solids::prism_along_x(&[[0.0, 0.0], [slope, 1.0], [-slope, 1.0]], -2.0, 2.0);
    let boat = boat_of(&wedge, 4000.0 * 0.36 * slope, [0.0, 0.0, 0.2], "");
    let result = marks(&boat, &[1.1, 2.9]);
    let slant = 1.0 / (PI / 6.0).cos();
    for station in &result.stations {
        for mark in [&station.port, &station.starboard] {
            near("above", mark.above_keel_m.unwrap(), 0.6 * slant, WITHIN_M);
            near("below", mark.below_rim_m.unwrap(), 0.4 * slant, WITHIN_M);
            near("down", mark.straight_down_m.unwrap(), 0.4, WITHIN_M);
            near("girth", mark.half_girth_m.unwrap(), slant, WITHIN_M);
        }
    }
}

const RADIUS_M: f64 = 0.5;
/// Half angle of the arc under water, and how far the craft leans.
const HALF_ARC_DEG: f64 = 60.0;
const LEAN_DEG: f64 = 15.0;

/// The lower half of a cylinder on its side with `sides` chords, its weight 0.2 m
/// off the axis and 15° to port of the keel. Buoyancy of a circle acts through its
/// axis, so it rests with the weight under the axis: leaned 15° to port. `area` of
/// its section is under water.
fn half_cylinder(sides: usize, area_m2: f64) -> Boat {
    let chord = PI / sides as f64;
    let outline: Vec<[f64; 2]> = (0..=sides)
        .map(|number| {
            let (sin, cos) = (chord * number as f64 - PI / 2.0).sin_cos();
            [RADIUS_M * sin, RADIUS_M * (1.0 - cos)]
        })
        .collect();
    let surface = solids::prism_along_x(&outline, -2.0, 2.0);
    let (sin, cos) = LEAN_DEG.to_radians().sin_cos();
    let centre = [0.0, 0.2 * sin, RADIUS_M - 0.2 * cos];
    boat_of(&surface, 4000.0 * area_m2, centre, "")
}

/// Lengths along the skin from the keel up to port and starboard, and from the
/// port rim down, with so many chords: the polygon's own area up to its rows at 60°
/// either side of the lean, `R² (n_chords ½ sin θ − sin α cos α)`, so that the water
/// meets it in its corners.
fn of_chords(sides: usize) -> [f64; 4] {
    let chord = PI / sides as f64;
    let half = HALF_ARC_DEG.to_radians();
    let chords = 2.0 * half / chord;
    let area = RADIUS_M.powi(2) * (chords * chord.sin() / 2.0 - half.sin() * half.cos());
    let result = marks(&half_cylinder(sides, area), &[1.7]);
    let station = &result.stations[0];
    [
        station.port.above_keel_m.expect("a mark"),
        station.starboard.above_keel_m.expect("a mark"),
        station.port.below_rim_m.expect("a mark"),
        station.port.straight_down_m.expect("a mark"),
    ]
}

/// Leaned 15° with 60° of arc under water either side of its lowest line, the
/// water meets the port side 75° and the starboard side 45° from the keel: arcs of
/// radius times angle, met with the square of the chord; and a polygon's own
/// lengths exactly, 2 R sin(θ/2) a chord.
#[test]
fn a_half_cylinder_leaned_has_arcs_of_radius_times_angle() {
    let rad = f64::to_radians;
    for (which, degrees) in [75.0, 45.0, 15.0].into_iter().enumerate() {
        let exact = RADIUS_M * rad(degrees);
        converges(&format!("arc of {degrees}°"), exact, 24, |sides| {
            of_chords(sides)[which]
        });
    }
    let chord = PI / 48.0;
    let one = 2.0 * RADIUS_M * (chord / 2.0).sin();
    let [port, starboard, below, down] = of_chords(48);
    near("port", port, one * rad(75.0) / chord, WITHIN_M);
    near("starboard", starboard, one * rad(45.0) / chord, WITHIN_M);
    near("below", below, one * rad(15.0) / chord, WITHIN_M);
    near("down", down, RADIUS_M * rad(75.0).cos(), WITHIN_M);
}

/// With as many chords as a scan has, the true circle's mass gives the true arcs to
/// a hundredth of a millimetre: 360 chords of half a degree lose θ²/24 of the arc
/// (3e-6) and sink by as small a share for the area they lack.
#[test]
fn a_fine_half_cylinder_is_right_to_a_hundredth_of_a_millimetre() {
    let half = HALF_ARC_DEG.to_radians();
    let area = RADIUS_M.powi(2) * (half - half.sin() * half.cos());
    let result = marks(&half_cylinder(360, area), &[0.9]);
    let station = &result.stations[0];
    near("heel", result.heel_deg, -LEAN_DEG, 0.01);
    for (mark, degrees) in [(&station.port, 75.0_f64), (&station.starboard, 45.0)] {
        let arc = RADIUS_M * degrees.to_radians();
        near("above", mark.above_keel_m.unwrap(), arc, 1e-5);
        let rest = RADIUS_M * PI / 2.0 - arc;
        near("below", mark.below_rim_m.unwrap(), rest, 1e-5);
    }
}

/// Two hulls joined by a bridge whose underside is dry: the water meets the skin
/// twice on each side, and no number is given.
#[test]
fn where_the_water_meets_the_skin_twice_there_is_no_mark() {
    let outline = [
        [-0.2, 0.3],
        [-0.2, 0.0],
        [-0.5, 0.0],
        [-0.5, 0.5],
        [0.5, 0.5],
        [0.5, 0.0],
        [0.2, 0.0],
        [0.2, 0.3],
    ];
    let twin = solids::prism_along_x(&outline, -2.0, 2.0);
    // 0.2 m deep: two hulls of 0.3 m each.
    let result = marks(&boat_of(&twin, 480.0, [0.0, 0.0, 0.2], ""), &[2.0]);
    for mark in [&result.stations[0].port, &result.stations[0].starboard] {
        assert_eq!(mark.crossings, 2);
        assert_eq!((mark.below_rim_m, mark.above_keel_m), (None, None));
        assert!(mark.notes[0].contains("2 times"), "{:?}", mark.notes);
        near("girth", mark.half_girth_m.unwrap(), 1.3, WITHIN_M);
    }
}

/// A rub strake, 40 mm proud with a flat top, belongs to the side: the tape goes
/// over it up to the edge of the deck.
#[test]
fn a_ledge_narrower_than_a_deck_is_part_of_the_side() {
    let outline = [
        [-0.5, 0.0],
        [0.5, 0.0],
        [0.5, 0.35],
        [0.54, 0.35],
        [0.54, 0.4],
        [0.5, 0.4],
        [0.5, 0.5],
        [-0.5, 0.5],
    ];
    let hull = solids::prism_along_x(&outline, -2.0, 2.0);
    let result = marks(&boat_of(&hull, 1000.0, [0.0, 0.0, 0.2], ""), &[2.0]);
    let girth = |mark: &awash::study::TapeMark| mark.half_girth_m.unwrap();
    // 80 mm out and in.
    near("port", girth(&result.stations[0].port), 1.08, WITHIN_M);
    near(
        "starboard",
        girth(&result.stations[0].starboard),
        1.0,
        WITHIN_M,
    );
}

/// The box at 0.25 m: never under 0.30 m, free over 0.35 m (5 and 10 cm above the water,
/// the default yardsticks: ours), and above the water of a lean of 5° straight over one of
/// 72 bearings β about the middle of its waterplane: 0.25 + (x cos β + y sin β) tan 5° at
/// a corner of the section, the box being wall-sided all the way.
#[test]
fn borders_of_a_box_are_its_waterlines_raised_and_leaned() {
    let result = drill([("box", &laden_box(""))]).expect("it floats");
    let tan = 5.0_f64.to_radians().tan();
    for station in &result.stations {
        let side = station.port.as_ref().expect("a side");
        near(
            "never",
            side.never_below.unwrap().over_base_m,
            0.30,
            WITHIN_M,
        );
        near("water", side.water.unwrap().over_base_m, 0.25, WITHIN_M);
        let leaned = (0..72).map(|number| {
            let (sin, cos) = (f64::from(number) * PI / 36.0).sin_cos();
            0.25 + (station.x_m * cos + 0.5 * sin) * tan
        });
        let lean = leaned.fold(0.0, f64::max);
        let free = side.free_over.unwrap();
        near("free", free.over_base_m, lean.max(0.35), WITHIN_M);
        near("tape", free.below_rim_m, 0.5 - lean.max(0.35), WITHIN_M);
        let set_by = side.free_set_by.as_ref().unwrap();
        assert_eq!(set_by.starts_with("lean"), lean > 0.35, "{set_by}");
    }
    // Half the bottom, the side and half the fore end below 0.30 m.
    let row = |name: &str| {
        let mut rows = result.areas.iter();
        rows.find(|row| row.name == name).expect("its row")
    };
    for name in ["port side", "starboard side"] {
        let row = row(name);
        near("never", row.never_m2, 2.0 + 1.2 + 0.15, 1e-6);
        let all = row.never_m2 + row.only_if_sealed_m2 + row.free_m2;
        near("all", all, 2.0 + 2.0 + 0.25, 1e-6);
    }
    near("transom", row("transom").never_m2, 0.3, 1e-6);
    near("deck", row("deck and its ends").never_m2, 0.0, 1e-9);
}

/// Two boxes 4 × 0.4 × 0.5 m, 1 m apart, at a draught of 0.25 m: each has a transom of its
/// own, and there is none between them.
#[test]
fn a_twin_hull_has_two_transoms_in_the_map() {
    let mut hulls = solids::cuboid(Vec3::new(-2.0, -0.9, 0.0), Vec3::new(2.0, -0.5, 0.5));
    hulls.append(&solids::cuboid(
        Vec3::new(-2.0, 0.5, 0.0),
        Vec3::new(2.0, 0.9, 0.5),
    ));
    let boat = boat_of(&hulls, 800.0, [0.0, 0.0, 0.2], "");
    let result = drill([("twin", &boat)]).expect("it floats");
    let transoms = &result.drawing.transoms;
    assert_eq!(transoms.len(), 2);
    for (points, ends) in transoms.iter().zip([[-0.9, -0.5], [0.5, 0.9]]) {
        let [first, last] = [points.first(), points.last()].map(|p| p.expect("points").at_m);
        assert!((first - ends[0]).abs() < 1e-4, "{first}");
        assert!((last - ends[1]).abs() < 1e-4, "{last}");
        for p in points {
            let heights = [p.low_m, p.water_m, p.never_m, p.high_m];
            for (height, told) in heights.into_iter().zip([0.0, 0.25, 0.30, 0.5]) {
                assert!((height - told).abs() < WITHIN_M, "{p:?}");
            }
        }
    }
}

/// The same with a deck on both, flush with their sides, that is a solid of its own: the
/// side is the hull under it.
#[test]
fn a_deck_as_broad_as_the_hulls_does_not_stand_for_their_sides() {
    let (low, high) = (Vec3::new(-2.0, -0.9, 0.0), Vec3::new(2.0, -0.5, 0.5));
    let mut hulls = solids::cuboid(low, high);
    let shift = Vec3::new(0.0, 1.4, 0.0);
    hulls.append(&solids::cuboid(low + shift, high + shift));
    let deck = [Vec3::new(-1.2, -0.9, 0.5), Vec3::new(1.2, 0.9, 0.6)];
    hulls.append(&solids::cuboid(deck[0], deck[1]));
    let boat = boat_of(&hulls, 800.0, [0.0, 0.0, 0.2], "");
    let result = drill([("twin", &boat)]).expect("it floats");
    assert!(result.stations.len() > 10);
    for station in &result.stations {
        for side in [&station.port, &station.starboard] {
            let side = side.as_ref().expect("a side");
            let never = side.never_below.expect("a border").over_base_m;
            assert!(
                (never - 0.30).abs() < WITHIN_M,
                "{never} at {}",
                station.x_m
            );
        }
    }
}

/// 26.6° of deadrise out to 0.5 m, then in again to 0.2 m at 0.5 m height; at a draught of
/// 0.15 m it carries 4 · 2 · 0.15² m³. The water meets the skin of the transom 2 · 0.15 m
/// from the middle plane, the border 50 mm over it 2 · 0.20 m, on either side.
#[test]
fn a_transom_ends_and_its_borders_meet_the_skin_alike_on_both_sides() {
    let outline = [
        [0.0, 0.0],
        [0.5, 0.25],
        [0.2, 0.5],
        [-0.2, 0.5],
        [-0.5, 0.25],
    ];
    let hull = solids::prism_along_x(&outline, -2.0, 2.0);
    let boat = boat_of(&hull, 180.0, [0.0, 0.0, 0.2], "");
    let result = drill([("tumblehome", &boat)]).expect("it floats");
    let [points] = &result.drawing.transoms[..] else {
        panic!("{} transoms", result.drawing.transoms.len());
    };
    let reach = |is_there: &dyn Fn(&BorderPoint) -> bool, sign: f64| {
        let there = points.iter().filter(|p| is_there(p));
        there
            .map(|p| sign * p.at_m)
            .fold(f64::NEG_INFINITY, f64::max)
    };
    for sign in [-1.0, 1.0] {
        for (told, got) in [
            (0.5, reach(&|_| true, sign)),
            (0.3, reach(&|p| p.water_m > p.low_m, sign)),
            (0.4, reach(&|p| p.never_m > p.low_m, sign)),
        ] {
            assert!((got - told).abs() < 2e-4, "{got} for {told} at {sign}");
        }
    }
    for p in points {
        let out = p.at_m.abs();
        let high = 0.5 - (out - 0.2).max(0.0) / 1.2;
        assert!((p.low_m - out / 2.0).abs() < 1e-9, "{p:?}");
        assert!((p.high_m - high).abs() < 1e-9, "{p:?}");
    }
}

/// 15° of deadrise up to the chines, then straight sides, 0.25 m deep, with a well of
/// half-width 0.1 m through the bottom: its edges lie 0.1 tan 15° = 27 mm over the
/// keel, and the border of what may never be 0.30 m over the keel at every station,
/// in the well too.
#[test]
fn heights_of_borders_do_not_count_from_the_edge_of_a_well() {
    let slope = (PI / 12.0).tan();
    let chine = 0.5 * slope;
    let outline = [
        [0.0, 0.0],
        [0.5, chine],
        [0.5, 0.5],
        [-0.5, 0.5],
        [-0.5, chine],
    ];
    let hull = solids::prism_along_x(&outline, -2.0, 2.0);
    let well = "[[part]]\nname = \"well\"\nrole = \"recess\"\nbox = { min = [-0.3, -0.1, -0.1], max = [0.3, 0.1, 0.6] }\n";
    let draught = 0.25;
    let section = draught - chine / 2.0;
    let in_well = 0.2 * draught - 0.1 * 0.1 * slope;
    let mass = 1000.0 * (4.0 * section - 0.6 * in_well);
    let boat = boat_of(&hull, mass, [0.0, 0.0, 0.2], well);
    let result = drill([("vee", &boat)]).expect("it floats");
    near("base", result.base_z_m, 0.0, WITHIN_M);
    let mut in_the_well = 0;
    for station in &result.stations {
        in_the_well += usize::from(station.x_m.abs() < 0.3);
        for side in [&station.port, &station.starboard] {
            let side = side.as_ref().expect("a side");
            let never = side.never_below.expect("a border");
            near("never", never.over_base_m, 0.30, WITHIN_M);
            near("rim", side.rim_over_base_m, 0.5, WITHIN_M);
        }
    }
    assert_eq!((result.stations.len(), in_the_well), (15, 3));
}

/// 500 kg at 1.5 m forward on the box of 900 kg: `(GM_L + ½ BM_L t²) t = 1.5 · 500/1400`
/// with BM_L = 16/3 · 0.25/0.35 would put the edge of the deck at x = 1.8 m 0.1 m under
/// water if it were wall-sided up there; over the deck there is no more to lift it, so
/// it lies deeper still. Aft it is dry.
#[test]
fn a_rim_under_water_is_told_first() {
    let cube = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    let item = "[[item]]\nname = \"stones\"\nmass = \"500 kg\"\nat = [1.5, 0, 0.2]\n";
    let boat = boat_of(&cube, 900.0, [0.0, 0.0, 0.2], item);
    let result = marks(&boat, &[3.5, 0.2, 0.3, 2.5]);
    let told = "THE RIM IS UNDER WATER 200 mm aft of the stem to ";
    assert!(
        result.summary(Metric).starts_with(told),
        "{}",
        result.summary(Metric)
    );
    for words in [
        "and at 3 more of the places here. Dry and at rest it lies ",
        " bow down and upright. ",
        "nearest to the rim is 2500 mm aft of the stem",
        "Of 4 stations 2 have none on one side or both, see the notes.",
    ] {
        assert!(
            result.summary(Metric).contains(words),
            "{}",
            result.summary(Metric)
        );
    }
    let dry = marks(&laden_box(""), &[0.5, 2.0]).summary(Metric);
    let level = "Dry and at rest it lies level fore and aft and upright. Of the marks here";
    assert!(dry.starts_with(level), "{dry}");
    assert!(dry.ends_with("250 mm down the skin."), "{dry}");
}

/// A step too small for the box of 4 m: 500 stations leave 501 steps of 7.98 mm.
#[test]
fn more_stations_than_there_may_be_are_refused() {
    let refused = tape(&laden_box(""), &Planes::Every(0.001));
    let error = refused.expect_err("3999 stations").to_string();
    assert!(
        error.contains("over 500 stations: take a step of 8 mm or more"),
        "{error}"
    );
    let taken = tape(&laden_box(""), &Planes::Every(0.008)).expect("499 stations");
    assert_eq!(taken.stations.len(), 499);
}

/// A second, heavier case raises every border by what it sinks the box: 200 kg over
/// 4 m² of waterplane is 0.05 m.
#[test]
fn the_worst_case_counts() {
    let heavy = "[[item]]\nname = \"sand\"\nmass = \"200 kg\"\nat = [0, 0, 0.2]\n";
    let cases = [("light", ""), ("heavy", heavy)];
    let cases = cases.map(|(name, more)| (name, laden_box(more)));
    let result = drill(cases.each_ref().map(|(name, boat)| (*name, boat))).expect("both float");
    let middle = result.stations.iter().find(|s| s.from_stem_m == 2.0);
    let side = middle.unwrap().starboard.as_ref().unwrap();
    near(
        "never",
        side.never_below.unwrap().over_base_m,
        0.35,
        WITHIN_M,
    );
    near("free", side.free_over.unwrap().over_base_m, 0.40, WITHIN_M);
    assert_eq!(side.free_set_by.as_deref(), Some("height at rest, heavy"));
}

/// Refuses two boats that are not one hull.
#[test]
fn another_hull_is_no_case() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats");
    let open_hull = Boat::load(&folder.join("before.toml")).expect("a boat of the tests");
    let cases = [("box", &laden_box("")), ("open hull", &open_hull)];
    let error = drill(cases).expect_err("two hulls").to_string();
    assert!(error.contains("not the same hull"), "{error}");
    // As many faces in the same box, but the bow is cut back under water.
    let raked = |foot: f64| {
        let mut hull = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
        for corner in &mut hull.vertices {
            if corner.x > 0.0 && corner.z < 0.1 {
                corner.x = foot;
            }
        }
        boat_of(&hull, 900.0, [0.0, 0.0, 0.2], "")
    };
    let drilled = |feet: [f64; 2]| {
        let [one, other] = feet.map(raked);
        drill([("one", &one), ("other", &other)])
    };
    let error = drilled([1.8, 1.7]).expect_err("two bows").to_string();
    assert!(error.contains("not the same hull"), "{error}");
    assert!(drilled([1.8, 1.8]).is_ok());
}
