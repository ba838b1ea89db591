//! Openings drawn on the skin by their middle and size: held to closed forms, derived
//! beside them.
use std::f64::consts::PI;

use awash::boat::BoatError;
use awash::numerics::{Vec3, least_and_most};

use crate::support::box_from_stern;
use crate::zoo::{ZooHull, decked_hull, open_tender, round_log};

fn rim_of(hull: &ZooHull, opening: &str) -> Vec<Vec3> {
    let boat = hull.boat_with(&format!("[[opening]]\nname = \"it\"\n{opening}\n"));
    let it = boat.openings.iter().find(|opening| opening.name == "it");
    it.expect("there").rim.clone()
}

fn ends(rim: &[Vec3], axis: usize) -> [f64; 2] {
    let (least, most) = least_and_most(rim.iter().map(|point| point[axis]));
    [least, most]
}

fn near(found: f64, wanted: f64, what: &str) {
    assert!(
        (found - wanted).abs() < 1e-9,
        "{what}: {found} for {wanted}"
    );
}

/// On a flat side a circle is one, wherever it is measured; the area of its 256 corners is
/// `n/2 sin(2π/n)` of its radius' square.
#[test]
fn on_a_flat_side_a_circle_is_a_circle_and_a_rectangle_its_sides() {
    let hull = box_from_stern();
    for along in ["", ", along = \"y\""] {
        let circle = format!("circle = {{ centre = [1.2, -0.4, 0.25], diameter = 0.2{along} }}");
        let rim = rim_of(&hull, &circle);
        assert!(rim.iter().all(|p| (p.y + 0.4).abs() < 1e-9), "on the side");
        for (axis, middle) in [(0, 1.2), (2, 0.25)] {
            let [least, most] = ends(&rim, axis);
            near(least, middle - 0.1, "one end");
            near(most, middle + 0.1, "the other");
        }
        for corner in [0.0, 0.03] {
            let rectangle = format!(
                "rectangle = {{ centre = [1.2, -0.4, 0.25], length = 0.5, height = 0.2, corner = {corner}{along} }}"
            );
            let rim = rim_of(&hull, &rectangle);
            for (axis, middle, half) in [(0, 1.2, 0.25), (2, 0.25, 0.1)] {
                let [least, most] = ends(&rim, axis);
                near(least, middle - half, "one side");
                near(most, middle + half, "the other");
            }
            // How far its corner is cut off: (√2 − 1) of the radius.
            let at = Vec3::new(1.45, -0.4, 0.15);
            let nearest = rim
                .iter()
                .map(|p| (p - at).norm())
                .fold(f64::INFINITY, f64::min);
            near(nearest, corner * (2.0_f64.sqrt() - 1.0), "corner");
        }
    }
    // On the deck its length runs along and its height across; on the stern across and up.
    let deck = rim_of(
        &hull,
        "rectangle = { centre = [1, 0, 0.4], length = 0.5, height = 0.2 }",
    );
    near(ends(&deck, 0)[1], 1.25, "along");
    near(ends(&deck, 1)[1], 0.1, "across");
    let stern = rim_of(
        &hull,
        "rectangle = { centre = [0, 0.1, 0.2], length = 0.3, height = 0.1 }",
    );
    near(ends(&stern, 1)[1], 0.25, "across");
    near(ends(&stern, 2)[0], 0.15, "up");
}

/// Round a log of radius R a size measured on the skin goes over the angle size/R; cut along
/// an axis the size is the chord. The log has 96 sides: its girth is `96 sin(π/96)/π` of the
/// circle's, and its skin `R (1 − cos(π/96))` inside it at most.
#[test]
fn on_a_round_log_a_size_is_measured_round_it_or_across_it() {
    let hull = round_log();
    let (r, size) = (0.3, 0.24);
    let flat = r * (1.0 - (PI / 96.0).cos());
    let circle = "circle = { centre = [1.2, 0.3, 0.0], diameter = 0.24";
    let rim = rim_of(&hull, &format!("{circle} }}"));
    let high = r * (size / 2.0 / r).sin();
    let [least, most] = ends(&rim, 2);
    assert!((most - high).abs() < 2.0 * flat, "{most} {high}");
    assert!((least + high).abs() < 2.0 * flat, "{least} {high}");
    near(ends(&rim, 0)[1], 1.2 + size / 2.0, "along it is straight");
    let rim = rim_of(&hull, &format!("{circle}, along = \"y\" }}"));
    near(ends(&rim, 2)[1], size / 2.0, "across it is the chord");
    assert!(rim.iter().all(|p| p.y > 0.0), "it stays on its side");
}

/// Cut along an axis a hatch as wide as the hull is deep stays in the deck, and one where the
/// skin runs along the axis is refused.
#[test]
fn a_cut_along_an_axis_goes_through_one_skin_alone() {
    let rim = rim_of(
        &box_from_stern(),
        "circle = { centre = [1, 0, 0.4], diameter = 0.6, along = \"z\" }",
    );
    assert!(
        rim.iter().all(|p| (p.z - 0.4).abs() < 1e-9),
        "{:?}",
        ends(&rim, 2)
    );
    let slot = "[[opening]]\nname = \"it\"\ncircle = { centre = [1.2, -0.4, 0.2], diameter = 0.1, along = \"z\" }\n";
    let told = box_from_stern()
        .try_boat_with(slot)
        .expect_err("a slot")
        .to_string();
    assert!(told.contains("nearly along that axis"), "{told}");
}

/// A sponson beside a pattern, that it does not touch, cuts the skin into other faces: the
/// pattern's rim stays. Internal consistency.
#[test]
fn a_part_beside_it_leaves_an_opening_as_it_is() {
    let rectangle = "[[opening]]\nname = \"it\"\nrectangle = { centre = { from_stern = 2.2, from_middle = \"port\", over_base = 0.18 }, length = 0.3, height = 0.1 }\n";
    let sponson = "[[part]]\nname = \"sponson\"\nsponson = { aft = 0.8, forward = 1.9, middle = 0.2, width = 0.08 }\n";
    for hull in [decked_hull(), open_tender()] {
        let rim = |more: &str| {
            let boat = hull.boat_with(&format!("{more}{rectangle}"));
            let it = boat
                .openings
                .iter()
                .find(|o| o.name == "it")
                .expect("there");
            it.rim.clone()
        };
        let (bare, beside) = (rim(""), rim(sponson));
        assert_eq!(bare.len(), beside.len());
        let apart = bare.iter().zip(&beside).map(|(a, b)| (a - b).norm());
        let most = apart.fold(0.0, f64::max);
        assert!(most < 1e-3, "{}: {most}", hull.name);
    }
}

/// Every point of a rim lies on the skin, on the decked hull's side, its deck and its bottom,
/// and the same opening on the other side is the mirror's: internal consistency.
#[test]
fn rims_lie_on_the_skin_and_are_alike_on_both_sides() {
    let hull = decked_hull();
    let place = |side: &str| {
        format!(
            "circle = {{ centre = {{ from_stern = 2.0, from_middle = \"{side}\", over_base = 0.2 }}, diameter = \"12 cm\" }}"
        )
    };
    let [port, starboard] = ["port", "starboard"].map(|side| rim_of(&hull, &place(side)));
    let skin = hull.boat().envelope.surface.clone();
    let runs = awash::mesh::FaceRuns::of(&skin);
    for point in port.iter().chain(&starboard) {
        assert!(runs.distance_m(&skin, point) < 1e-9, "{point}");
    }
    let [low, other] = [&port, &starboard].map(|rim| ends(rim, 2)[0]);
    assert!((low - other).abs() < 1e-3, "{low} {other}");
}

#[test]
fn what_does_not_lie_on_the_skin_is_refused() {
    for (opening, says) in [
        (
            "circle = { centre = [1.2, -0.3, 0.25], diameter = 0.1 }",
            "lies 100 mm off the skin",
        ),
        (
            "rectangle = { centre = [1.2, -0.4, 0.25], length = 0.2, height = 0.1, corner = 0.06 }",
            "at most half its smaller side",
        ),
        ("circle = { centre = [1.2, -0.4, 0.25] }", "diameter"),
    ] {
        let opening = format!("[[opening]]\nname = \"it\"\n{opening}\n");
        let told = match box_from_stern().try_boat_with(&opening) {
            Err(error @ (BoatError::NotOnSkin { .. } | BoatError::File(_))) => error.to_string(),
            Err(other) => panic!("{opening}: {other}"),
            Ok(_) => panic!("{opening}: read"),
        };
        assert!(told.contains(says), "{opening}: {told}");
    }
}
