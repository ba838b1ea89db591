//! Where an item may go, what a wall gains, draughts, cylinders: on hulls of the zoo.
use std::f64::consts::PI;

use awash::boat::{Boat, WallFoot};
use awash::equilibrium::{Craft, settle};
use awash::mesh::solids;
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem::Metric;
use awash::study::{
    Answer, PlaceOptions, RimLies, SillOptions, SillResult, curves, float, place, sill,
};

use crate::support::{near, near_share};
use crate::zoo::{
    ZooHull, bulkhead_box, decked_hull, lopsided_tender, open_tender, round_log, twin_hull,
};

/// A closed box 3 × 1 × 0.5 m of 500 kg with a hatch at its port edge: 120 kg moved to
/// starboard lift that hatch highest, and heel the box by 16°.
fn box_with_a_hatch_to_port(more: &str) -> Boat {
    let mut hull = bulkhead_box();
    hull.surface = solids::cuboid(Vec3::new(0.0, -0.5, 0.0), Vec3::new(3.0, 0.5, 0.5));
    hull.centre_m.x = 1.5;
    hull.mass_kg = 500.0;
    let corners = [[1.4, 0.3], [1.6, 0.3], [1.6, 0.45], [1.4, 0.45]];
    let rim = corners.map(|[x, y]| Vec3::new(x, y, 0.5)).to_vec();
    hull.openings = vec![("hatch", rim)];
    hull.boat_with(&format!(
        "[[item]]\nname = \"engine\"\nmass = 120\nat = [1.5, 0, 0.4]\n{more}"
    ))
}

const GRID: PlaceOptions = PlaceOptions {
    grid: [3, 7],
    z_m: None,
};

/// Wall-sided: T .62/3, BM 1/12T, KG (500 · .2 + 120 · .4)/620; `tan φ (GM + ½ BM tan²φ)
/// = 120 · y/620` gives 16° for the place furthest out, y = 3/7 m: that is over the 7° of
/// MGN 280 (M), Small Vessels in Commercial Use, annex section 11.4.1 (borrowed), however
/// high the hatch then stands.
#[test]
fn the_best_place_fails_no_yardstick_where_another_passes_all() {
    let boat = box_with_a_hatch_to_port("");
    let result = place(&boat, "engine", &GRID).expect("places");
    let best = result.best.as_ref().expect("one floats");
    assert_eq!(result.best_passes, Some(true));
    assert!(
        best.fails.is_empty() && best.heel_deg.abs() <= 7.0,
        "{best:?}"
    );
    let (sill, words) = (
        best.lowest_sill_m.expect("a hatch"),
        &result.summary(Metric),
    );
    let heeled = result.cells.iter().filter(|cell| cell.fails == ["heel"]);
    let higher = |cell: &&awash::study::PlaceCell| cell.lowest_sill_m > Some(sill);
    let amidships = |cell: &&awash::study::PlaceCell| (cell.at_m[0] - 1.5).abs() < 1e-9;
    let heeled = heeled
        .filter(higher)
        .rfind(amidships)
        .expect("the old best");
    let tangent = heeled.heel_deg.to_radians().tan();
    let draught = 0.62 / 3.0;
    let bm = 1.0 / (12.0 * draught);
    let gm = draught / 2.0 + bm - 148.0 / 620.0;
    let lever = tangent * (gm + 0.5 * bm * tangent * tangent);
    let moved_m = 120.0 * heeled.at_m[1].abs() / 620.0;
    near_share("lever", lever, moved_m, 1e-6);
    assert!(words.contains("heel") && words.contains("knock"), "{words}");
}

/// Where no place reaches the yardsticks it says so and names no best.
#[test]
fn it_says_so_where_no_place_passes() {
    let boat =
        box_with_a_hatch_to_port("[yardsticks]\nsill_red = \"60 cm\"\nsill_green = \"70 cm\"\n");
    let result = place(&boat, "engine", &GRID).expect("places");
    assert_eq!(result.best_passes, Some(false));
    let fails = &result.best.as_ref().expect("one floats").fails;
    assert_eq!(fails, &["sill"]);
    let words = &result.summary(Metric);
    assert!(words.contains("no place passes every yardstick"), "{words}");
    assert!(!words.contains("best at"), "{words}");
}

/// Off the level place by 33 mm, the places of the grid by 60 and 83: the box of 500 kg
/// whose weight lies 20 mm to port is level with 120 kg at y = −500 · 0.02/120 m.
#[test]
fn a_place_that_levels_the_craft_between_those_of_the_grid_is_worth_moving_to() {
    let mut hull = bulkhead_box();
    hull.surface = solids::cuboid(Vec3::new(0.0, -0.5, 0.0), Vec3::new(3.0, 0.5, 0.5));
    hull.centre_m = Vec3::new(1.5, 0.02, 0.2);
    hull.mass_kg = 500.0;
    let hatch = |side: f64| {
        let corners = [[1.4, 0.3], [1.6, 0.3], [1.6, 0.45], [1.4, 0.45]];
        corners.map(|[x, y]| Vec3::new(x, side * y, 0.5)).to_vec()
    };
    hull.openings = vec![("port", hatch(1.0)), ("starboard", hatch(-1.0))];
    hull.more.clear();
    let boat = hull.boat_with("[[item]]\nname = \"engine\"\nmass = 120\nat = [1.5, -0.05, 0.4]\n");
    let result = place(&boat, "engine", &GRID).expect("places");
    assert!(result.worth_moving, "{}", result.summary(Metric));
    let best = result.best.as_ref().expect("one floats");
    near("y", best.at_m[1], -500.0 * 0.02 / 120.0, 1e-6);
    let words = &result.summary(Metric);
    assert!(!words.contains("no place is worth"), "{words}");
}

/// Bulkheads at 0.7 and 2.2 m: a box 0.4 m long has its middle 0.19 m clear of them,
/// the rounding of a tape left out.
#[test]
fn no_place_straddles_a_bulkhead() {
    let boat = bulkhead_box().boat_with(
        "[[item]]\nname = \"battery\"\nmass = 20\nat = [1.5, 0, 0.15]\nsize = [0.4, 0.2, 0.2]\n",
    );
    let options = PlaceOptions {
        grid: [60, 3],
        z_m: None,
    };
    let result = place(&boat, "battery", &options).expect("places");
    let clear = |x: f64| (x - 0.7).abs() > 0.19 - 1e-9 && (x - 2.2).abs() > 0.19 - 1e-9;
    assert!(result.cells.len() > 40, "{}", result.cells.len());
    let straddles = result.cells.iter().find(|cell| !clear(cell.at_m[0]));
    assert!(straddles.is_none(), "{straddles:?}");
    let beyond = |far: &dyn Fn(f64) -> bool| result.cells.iter().any(|cell| far(cell.at_m[0]));
    assert!(beyond(&|x| x > 2.4) && beyond(&|x| x < 0.5));
}

fn sills_of(hull: &ZooHull, more: &str, opening: &str) -> Answer<SillResult> {
    let options = SillOptions {
        up_to_m: 0.5,
        ..SillOptions::default()
    };
    sill(&hull.boat_with(more), opening, &options).expect("it floats")
}

/// The wall that `sill` proposes, built on the rim as a part, gives the mass and the
/// sill that it said.
#[test]
fn a_wall_as_proposed_built_as_a_part_gives_the_sill_and_mass_said() {
    for (hull, opening) in [
        (open_tender(), "gunwale"),
        (lopsided_tender(), "gunwale"),
        (bulkhead_box(), "rim"),
    ] {
        let wish = "[yardsticks]\nsill_red = \"40 cm\"\nsill_green = \"55 cm\"\n";
        let said = sills_of(&hull, wish, opening);
        let wall_m = said.wall_to_yardstick_m.expect("within reach");
        assert!(wall_m > 0.05, "{}: {wall_m}", hull.name);
        let built = hull.boat_with(&format!(
            "{wish}[[part]]\nname = \"coaming\"\nrole = \"add\"\nwall = {{ round = \"{opening}\", height = {wall_m:?} }}\nskin = {{ thickness = \"4 mm\", density = 1500 }}\n"
        ));
        let floats = float(&built).expect("it floats");
        let mass_kg = floats.parts[0].mass_kg;
        near_share("mass", said.rim_length_m * wall_m * 6.0, mass_kg, 1e-9);
        let there = floats.openings.iter().find(|o| o.name == opening);
        let freeboard = there.and_then(|o| o.freeboard_m).expect("a rim");
        // The search for the height stops at a millionth of a millimetre.
        near("sill", freeboard, 0.55, 2e-9);
    }
}

/// A wall without weight loses nothing to it, also on a craft that lies heeled, where
/// it stands aslant. One with a weight lowers the sill of a box by `m/(ρ A)` and, off
/// the middle, by the heel that it brings besides.
#[test]
fn what_the_weight_costs_is_the_true_sinkage() {
    let hull = lopsided_tender();
    let boat = hull.boat();
    let options = SillOptions {
        wall_kg_m2: 0.0,
        ..SillOptions::default()
    };
    let result = sill(&boat, "gunwale", &options).expect("it floats");
    assert!(result.rows.len() > 5);
    for row in &result.rows {
        near("lost", row.lost_to_weight_m, 0.0, 1e-12);
    }
    let weightless = result.result.rows;
    // As the boat with an item of that mass in the wall's middle, half its height over the
    // rim; both rests are found to 1e-10 of the craft's size.
    let result = sill(&boat, "gunwale", &SillOptions::default()).expect("it floats");
    for (row, weightless) in result.rows.iter().zip(&weightless).skip(1) {
        let [x, y, z]: [f64; 3] = WallFoot::round(&boat.openings[0].rim)
            .centre_m(row.wall_m)
            .into();
        let laden = hull.boat_with(&format!(
            "[[item]]\nname = \"wall\"\nmass = {:?}\nat = [{x:?}, {y:?}, {z:?}]\n",
            row.wall_mass_kg
        ));
        let rest = settle(&Craft::of(&laden)).expect("it floats").rest;
        let raised = boat.openings[0].rim.iter();
        let raised = raised.map(|p| rest.plane().height_m(&(p + Vec3::z() * row.wall_m)));
        let sill_m = raised.fold(f64::INFINITY, f64::min);
        near("sill", row.sill_m, sill_m, 2e-9);
        let lost = weightless.sill_m - sill_m;
        near("lost", row.lost_to_weight_m, lost, 4e-9);
    }
}

/// Rims that a wall can raise, and holes that it cannot.
#[test]
fn a_wall_is_proposed_only_where_it_can_help() {
    for (hull, opening) in [
        (open_tender(), "gunwale"),
        (decked_hull(), "cockpit"),
        (decked_hull(), "hatch"),
        (decked_hull(), "vent"),
        (twin_hull(), "port hatch"),
        (round_log(), "hatch"),
        (bulkhead_box(), "rim"),
    ] {
        let result = sills_of(&hull, "", opening);
        assert_eq!(result.rim_lies, RimLies::Level, "{} {opening}", hull.name);
    }
    let hole = |from: [f64; 3], to: [f64; 3]| {
        format!(
            "[[opening]]\nname = \"hole\"\ncylinder = {{ from = {from:?}, to = {to:?}, diameter = \"40 mm\" }}\n"
        )
    };
    // The tender floats with its transom's hole some centimetres above the water; the
    // box's side hole likewise; the hole in the bottom is under it.
    for (hull, from, to, lies) in [
        (
            open_tender(),
            [-0.1, 0.1, 0.3],
            [0.1, 0.1, 0.3],
            RimLies::Steep,
        ),
        (
            bulkhead_box(),
            [1.0, 0.4, 0.2],
            [1.0, 0.6, 0.2],
            RimLies::Steep,
        ),
        (
            bulkhead_box(),
            [1.0, 0.2, -0.1],
            [1.0, 0.2, 0.1],
            RimLies::UnderHull,
        ),
    ] {
        let result = sills_of(&hull, &hole(from, to), "hole");
        assert_eq!(result.rim_lies, lies, "{}", hull.name);
        assert_eq!(result.wall_to_yardstick_m, None);
        assert_eq!(result.rows.len(), 1);
        let lacks_m = 0.1 - result.rows[0].sill_m;
        assert!((result.lacks_m - lacks_m).abs() < 1e-12, "{lacks_m}");
        let words = &result.summary(Metric);
        assert!(words.contains("Raise or move the hole"), "{words}");
    }
}

/// The box 3 × 1 m, its origin at the stern: at a pitch θ the water that stands d over
/// the base line amidships cuts off `L B d/cos θ`, and stands `d ∓ a sin θ` over it at a
/// mark a metres forward or aft of there. The metacentre lies BM along the vertical
/// over CB.
#[test]
fn draughts_of_curves_are_amidships_and_at_the_marks() {
    let mut hull = bulkhead_box();
    hull.openings.clear();
    hull.surface = solids::cuboid(Vec3::new(0.0, -0.5, 0.0), Vec3::new(3.0, 0.5, 0.5));
    let result = curves(&hull.boat(), 1.0, 2);
    let (sin, cos) = 1_f64.to_radians().sin_cos();
    near("amidships", result.amidships_x_m, 1.5, 1e-12);
    let line = &result.lines[0];
    near("draught", line.draught_m, 0.25, 1e-12);
    let volume = line.hydrostatics.displaced_volume_m3;
    near("volume", volume, 3.0 * 0.25 / cos, 1e-12);
    near("forward", line.draught_forward_m, 0.25 - 1.5 * sin, 1e-12);
    near("aft", line.draught_aft_m, 0.25 + 1.5 * sin, 1e-12);
    // KB as for an even keel but for the wedges, L² tan²θ/(24 d) higher; IT = L B³/12
    // over the sloping plane, longer by 1/cos θ.
    let depth = 0.25 / cos;
    let kb = depth / 2.0 + (3.0 * sin / cos).powi(2) / (24.0 * depth);
    let bm = 3.0 / cos / 12.0 / volume;
    near(
        "KM",
        line.km_transverse_m.expect("afloat"),
        kb + bm * cos,
        1e-12,
    );
}

/// π r² h, whichever way it lies, as a part that stands clear and as one across the
/// skin: there the part of it that lies outside the bottom.
#[test]
fn a_round_part_has_the_volume_of_its_cylinder() {
    for (from, to) in [
        ([1.0, 2.0, 0.0], [1.0, 2.0, 0.7]),
        ([0.2, 2.0, 0.1], [1.9, 2.4, 0.6]),
    ] {
        let boat = round_log().boat_with(&format!(
            "[[part]]\nname = \"float\"\nrole = \"attach\"\nmass = 1\ncylinder = {{ from = {from:?}, to = {to:?}, diameter = \"300 mm\" }}\n"
        ));
        let height = (Vec3::from(to) - Vec3::from(from)).norm();
        let volume = boat.parts[0].change.signed_volume_m3();
        near_share("volume", volume, PI * 0.15 * 0.15 * height, 1e-9);
    }
}
