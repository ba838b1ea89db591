//! Items that stand outside the envelope displace while they are under water: held
//! against Archimedes on a box, and against a part of the same box that is built on.
use awash::boat::Boat;
use awash::study::{
    Answer, Caution, FloatResult, PlaceOptions, float, flooded, foam, margins, place, righting,
};

use crate::support::{near, near_share};
use crate::zoo::{ZooHull, decked_hull, narrow_box, open_tender, round_log, twin_hull, zoo};

/// The hatch of a closed box would only be in the way.
fn plain_box() -> ZooHull {
    let mut hull = crate::zoo::bulkhead_box();
    // Level: its weight in the middle of its 3 m.
    hull.centre_m.x = 1.5;
    hull.mass_kg = 600.0;
    hull.more = hull.more.replace("2.2", "2.25").replace("0.7", "0.75");
    hull
}

fn item(mass_kg: f64, at: [f64; 3], size: [f64; 3]) -> String {
    let litres = size.iter().product::<f64>() * 1e3;
    format!(
        "[[item]]\nname = \"thing\"\nmass = {mass_kg}\nat = {at:?}\nsize = {size:?}\nvolume = \"{litres} L\"\n"
    )
}

fn part(mass_kg: f64, at: [f64; 3], size: [f64; 3]) -> String {
    format!(
        "[[part]]\nname = \"thing\"\nrole = \"attach\"\nbox = {{ centre = {at:?}, size = {size:?} }}\nmass = {mass_kg}\ncentre = {at:?}\n"
    )
}

/// Height of the water over the box's bottom at its middle.
fn draught(result: &FloatResult) -> f64 {
    let rest = result.rest.as_ref().expect("it floats");
    (rest.draught_forward_m + rest.draught_aft_m) / 2.0
}

fn afloat(boat: &Boat) -> Answer<FloatResult> {
    float(boat).expect("it comes to rest")
}

/// Archimedes: the box of 3 m² and 600 kg with 20 kg more, whose box of 0.4 × 0.3 × 0.1 m
/// (12 L) hangs under the keel, lies half in the bottom, or stands inside: it displaces
/// 12, 6 or 0 L besides the hull, and the hull the rest of 620 L.
#[test]
fn a_thing_under_the_keel_across_the_skin_and_inside() {
    let size = [0.4, 0.3, 0.1];
    for (z, outside) in [(-0.3, 0.012), (0.0, 0.006), (0.1, 0.0)] {
        let boat = plain_box().boat_with(&item(20.0, [1.5, 0.0, z], size));
        let result = afloat(&boat);
        near("draught", draught(&result), (0.62 - outside) / 3.0, 1e-11);
        let listed: f64 = result.outside.iter().map(|line| line.outside_m3).sum();
        near("listed outside", listed, outside, 1e-14);
        let under = result.outside.iter().filter_map(|line| line.under_water_m3);
        near("listed under water", under.sum(), outside, 1e-14);
        let doubted = boat
            .doubts
            .iter()
            .any(|doubt| doubt.to_string().contains("thing"));
        assert_eq!(doubted, z == 0.0, "{:?}", boat.doubts);
    }
}

/// Flooded from end to end (the box's own skin has no volume), all of the thing
/// displaces, wherever it stands, once: nothing is left to carry 620 kg but 12 L.
/// With only the middle 1.5 m flooded, `T (3 − 1.5) + 12 L = 620 L`.
#[test]
fn a_thing_across_the_skin_of_a_flooded_space_displaces_once() {
    for z in [-0.3, 0.0, 0.06] {
        let boat = plain_box().boat_with(&item(20.0, [1.5, 0.0, z], [0.4, 0.3, 0.1]));
        let result = flooded(&boat).expect("cases");
        let middle = result.cases.iter().find(|case| case.flooded == ["inside"]);
        let rest = middle.expect("a case").rest.as_ref().expect("it floats");
        let draught = (rest.draught_forward_m + rest.draught_aft_m) / 2.0;
        near("draught", draught, (0.62 - 0.012) / 1.5, 1e-11);
    }
}

/// A well of 0.4 × 0.3 m through the bottom takes its area from the waterplane; a
/// thing that stands in it with 0.04 m² across the water gives that back.
#[test]
fn a_thing_in_an_open_well_displaces() {
    let well = "[[part]]\nname = \"well\"\nrole = \"recess\"\nbox = { min = [1.3, -0.15, -0.1], max = [1.7, 0.15, 0.6] }\nmass = 0.001\ncentre = [1.5, 0, 0.2]\n";
    let mut hull = plain_box();
    // The well would cut the bulkhead box's open top: a closed one.
    hull.surface = awash::mesh::solids::cuboid(
        awash::numerics::Vec3::new(0.0, -0.5, 0.0),
        awash::numerics::Vec3::new(3.0, 0.5, 0.5),
    );
    hull.openings.clear();
    let thing = item(20.0, [1.5, 0.0, 0.2], [0.2, 0.2, 0.4]);
    let boat = hull.boat_with(&format!("{well}{thing}"));
    let area = 3.0 - 0.4 * 0.3 + 0.2 * 0.2;
    near("draught", draught(&afloat(&boat)), 0.620_001 / area, 1e-11);
}

/// The same box as an item outside and as a part that is built on: one attitude,
/// one stiffness, on every hull. Bounds: rests of two different sums.
#[test]
fn an_item_outside_floats_as_a_part_of_the_same_box() {
    for hull in zoo() {
        let (low, high) = hull.surface.bounds().expect("a hull");
        let middle = (low + high) / 2.0;
        let under = [middle.x, 0.0, low.z - 0.2];
        let outrigger = [middle.x, high.y + 0.5, low.z + 0.1];
        let across = [middle.x, high.y, low.z + 0.15];
        for (mass_kg, at, size) in [
            (15.0, under, [0.3, 0.1, 0.1]),
            (4.0, outrigger, [0.8, 0.15, 0.2]),
            (6.0, across, [0.4, 0.3, 0.12]),
        ] {
            let as_item = hull.boat_with(&item(mass_kg, at, size));
            let as_part = hull.boat_with(&part(mass_kg, at, size));
            let [one, other] = [&as_item, &as_part].map(afloat);
            let [one, other] = [&one, &other].map(|r| r.rest.as_ref().expect("it floats"));
            let [a, b] = [one, other].map(|rest| &rest.hydrostatics);
            near(
                "volume",
                a.displaced_volume_m3,
                b.displaced_volume_m3,
                1e-10,
            );
            near("pitch", a.pitch_deg, b.pitch_deg, 1e-6);
            // A log rolls freely.
            if hull.name != "round log" {
                near("heel", a.heel_deg, b.heel_deg, 1e-6);
            }
            near(
                "waterplane",
                a.waterplane_area_m2,
                b.waterplane_area_m2,
                1e-7,
            );
            near(
                "GM across",
                one.gm_transverse_m,
                other.gm_transverse_m,
                1e-6,
            );
            near(
                "GM along",
                one.gm_longitudinal_m,
                other.gm_longitudinal_m,
                1e-5,
            );
        }
    }
}

/// Outriggers carry in every study of the dry craft.
#[test]
fn outriggers_stiffen_righting_and_margins_as_parts_do() {
    let both = |make: fn(f64, [f64; 3], [f64; 3]) -> String| {
        let size = [2.0, 0.15, 0.2];
        let port = make(4.0, [2.5, 0.9, 0.1], size);
        let starboard = make(4.0, [2.5, -0.9, 0.1], size).replace("thing", "other thing");
        narrow_box().boat_with(&format!("{port}{starboard}"))
    };
    let [as_item, as_part] = [both(item), both(part)];
    let [one, other] = [&as_item, &as_part].map(|boat| righting(boat).expect("arms"));
    assert_eq!(one.heel.points.len(), other.heel.points.len());
    for (a, b) in one.heel.points.iter().zip(&other.heel.points) {
        near("arm", a.arm_m, b.arm_m, 1e-7);
    }
    let [one, other] = [&as_item, &as_part].map(|boat| margins(boat).expect("margins"));
    for (a, b) in one.tilt.iter().zip(&other.tilt) {
        near(
            "lean",
            a.lean_deg.unwrap_or(f64::NAN).max(0.0),
            b.lean_deg.unwrap_or(f64::NAN).max(0.0),
            1e-5,
        );
    }
}

/// Swamped, whoever hangs on outside the hull no longer carries it when overboard:
/// foam's craft without the person is the boat whose file has no person.
#[test]
fn whoever_goes_overboard_takes_their_own_volume_along() {
    let person = item(80.0, [1.3, 0.9, 0.2], [0.3, 0.3, 0.9]) + "person = true\n";
    let [with, without] = [person.as_str(), ""].map(|more| {
        let boat = open_tender().boat_with(more);
        // Nobody pulls at it from the water.
        let wish = awash::study::FoamWish {
            people: Some(0),
            ..Default::default()
        };
        foam(&boat, &wish).expect("a wish")
    });
    let short = [&with, &without].map(|result| result.as_it_is.short_m3);
    near("short", short[0], short[1], 1e-9);
    // With foam, and full to the rim, too.
    let full = [&with, &without].map(|result| {
        let mut places = result.places.iter();
        let ends = places.find(|place| place.name == "both ends");
        let full = ends.expect("a place").swamped.rim_no_low_hole_m;
        full.expect("it floats")
    });
    near("full to the rim", full[0], full[1], 1e-6);
}

/// `place` moves a thing that hangs outside the hull: there it floats as the boat file has
/// it that puts it there.
#[test]
fn a_thing_moved_out_of_the_hull_displaces_there() {
    let hull = decked_hull();
    let size = [0.2, 0.2, 0.1];
    // Under the run of the keel, where that is highest: amidships it is nearer to the skin.
    let outside = hull.boat_with(&item(10.0, [0.7, 0.0, -0.1], size));
    let options = PlaceOptions {
        grid: [3, 1],
        z_m: Some(-0.1),
    };
    let result = place(&outside, "thing", &options).expect("places");
    assert_eq!(result.cells.len(), 3);
    for cell in &result.cells {
        let there = afloat(&hull.boat_with(&item(10.0, cell.at_m, size)));
        let rest = there.rest.as_ref().expect("it floats");
        near("pitch", cell.pitch_deg, rest.hydrostatics.pitch_deg, 1e-6);
        let lowest = there.openings.iter().filter_map(|o| o.freeboard_m);
        let lowest = lowest.fold(f64::INFINITY, f64::min);
        near("sill", cell.lowest_sill_m.expect("a cockpit"), lowest, 1e-8);
    }
}

/// Without a size the volume is a cube about its place, and that is doubted by
/// name; inside the hull nothing is.
#[test]
fn a_thing_outside_without_a_size_is_doubted_by_name() {
    for (hull, z, doubted) in [
        (twin_hull(), 0.1, true),
        (twin_hull(), 0.4, false),
        (round_log(), -0.5, true),
        (round_log(), 0.0, false),
    ] {
        let x = hull.centre_m.x;
        let boat = hull.boat_with(&format!(
            "[[item]]\nname = \"sonar\"\nmass = 3\nat = [{x}, 0, {z}]\nvolume = \"2 L\"\n"
        ));
        let named = boat
            .doubts
            .iter()
            .any(|doubt| doubt.to_string().contains("sonar"));
        assert_eq!(named, doubted, "{} {z}: {:?}", hull.name, boat.doubts);
        let listed = afloat(&boat).result.outside;
        assert_eq!(listed.len(), usize::from(doubted));
        for line in listed {
            near_share("outside", line.outside_m3, 0.002, 1e-12);
            assert!(!line.box_known);
        }
    }
}

/// Someone without a size is no doubt, wherever they sit: what stands for them is told
/// once, in README. A size that is smaller than the volume is called so.
#[test]
fn what_stands_outside_is_doubted_for_what_it_is() {
    let x = twin_hull().centre_m.x;
    let texts = |more: &str| -> Vec<String> {
        let boat = twin_hull().boat_with(&format!(
            "[[item]]\nname = \"it\"\nat = [{x}, 0, 0.1]\n{more}"
        ));
        let doubts = boat.doubts.iter().map(ToString::to_string);
        doubts.filter(|text| text.contains("\"it\"")).collect()
    };
    let person = texts("mass = 75\nperson = true\n");
    assert!(person.is_empty(), "{person:?}");
    let motor = texts("mass = 9\nvolume = \"6 L\"\nsize = [0.1, 0.1, 0.2]\n");
    assert_eq!(motor.len(), 1);
    assert!(
        motor[0].contains("holds 66.67 % less than its volume of 6.0 L"),
        "{motor:?}"
    );
}

/// One that has no volume at all and hangs under water is named.
#[test]
fn a_thing_under_water_without_a_volume_is_named() {
    let boat = round_log().boat_with("[[item]]\nname = \"anchor\"\nmass = 3\nat = [1, 0, -0.5]\n");
    let said = afloat(&boat).cautions;
    let named = |caution: &Caution| matches!(caution, Caution::WithoutVolume { things, .. } if things == &["anchor"]);
    assert!(said.iter().any(named), "{said:?}");
}
