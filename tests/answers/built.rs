//! Parts made from the hull by few numbers: decks, bulkheads, sponsons, skegs. On the box
//! they are held to closed forms, derived beside them.
use awash::boat::{Boat, BoatError, PartAboard};
use awash::numerics::Vec3;

use crate::support::box_from_stern;
use crate::zoo::{ZooHull, decked_hull, lopsided_tender, open_tender, twin_hull};

/// Length, breadth and depth of the open box, m.
pub(crate) const BOX: [f64; 3] = [2.0, 0.8, 0.4];
/// Layers of 200 g/m² with as much resin, three of them, kg/m².
pub(crate) const USUAL_KG_M2: f64 = 1.2;

/// A box open at the top, its stern at x 0, its bottom at z 0.
pub(crate) fn open_box() -> ZooHull {
    let mut hull = box_from_stern();
    let vertices = hull.surface.vertices.clone();
    let is_top = |face: &[u32; 3]| face.iter().all(|v| vertices[*v as usize].z > BOX[2] / 2.0);
    hull.surface.faces.retain(|face| !is_top(face));
    hull.openings = vec![("top", Vec::new())];
    hull
}

pub(crate) fn made(hull: &ZooHull, part: &str) -> (Boat, PartAboard) {
    let boat = hull.boat_with(&format!("[[part]]\nname = \"it\"\n{part}\n"));
    assert!(boat.envelope.surface.is_balanced(), "{}: {part}", hull.name);
    let whole = hull.boat().envelope.surface.signed_volume_m3();
    let with = boat.envelope.surface.signed_volume_m3();
    let it = boat.parts[0].clone();
    let change = it.change.signed_volume_m3();
    assert!((with - whole - change).abs() < 1e-12, "{part}: {change}");
    (boat, it)
}

fn refused(hull: &ZooHull, part: &str) -> String {
    match hull.try_boat_with(&format!("[[part]]\nname = \"it\"\n{part}\n")) {
        Err(error @ BoatError::CannotBuild { .. }) => error.to_string(),
        Err(other) => panic!("{part}: {other}"),
        Ok(_) => panic!("{part}: built"),
    }
}

pub(crate) fn near(found: f64, wanted: f64, what: &str) {
    let off = (found - wanted).abs();
    assert!(
        off <= 1e-6 * wanted.abs().max(1e-3),
        "{what}: {found} for {wanted}"
    );
}

/// Length of the line through 33 points of `rise (1 − η²)`, the box's breadth across: how
/// the sheet is drawn.
pub(crate) fn arch_m(rise: f64) -> f64 {
    let higher = rise / (1.0 - 1.0 / 1024.0);
    let point = |k: i32| {
        let across = f64::from(k) / 16.0 - 1.0;
        (across * BOX[1] / 2.0, higher * (1.0 - across * across))
    };
    (0..32)
        .map(|k| {
            let ((a, b), (c, d)) = (point(k), point(k + 1));
            (c - a).hypot(d - b)
        })
        .sum()
}

/// Derived in closed form: under a parabola lie two thirds of breadth times rise, under the
/// crown's another two thirds of its length; the sheet is the arch's length along the deck.
#[test]
fn a_deck_on_a_box_has_the_volume_mass_and_rim_of_its_parabola() {
    let [l, b, d] = BOX;
    for (from, camber, crown) in [
        (1.25, 0.05, 0.0),
        (0.0, 0.05, 0.0),
        (0.4, 0.0, 0.0),
        (0.3, 0.04, 0.03),
    ] {
        let aft = if from > 0.0 {
            format!("aft = {from}, ")
        } else {
            String::new()
        };
        let deck = format!("deck = {{ over = \"top\", {aft}camber = {camber}, crown = {crown} }}");
        let (boat, it) = made(&open_box(), &deck);
        let long = l - from;
        let wanted = long * b * (2.0 / 3.0) * (camber + 2.0 / 3.0 * crown);
        near(it.change.signed_volume_m3(), wanted, &deck);
        let mass = it.mass.clone().expect("laid up");
        if crown == 0.0 {
            // Upright over the bow, and over the stern where the deck ends with the box.
            let upright = 2.0 / 3.0 * b * camber * if from > 0.0 { 1.0 } else { 2.0 };
            let sheet = arch_m(camber) * long + upright;
            near(mass.mass_kg, USUAL_KG_M2 * sheet, &deck);
        }
        near(mass.centre_m.y + 1.0, 1.0, "amidships");
        let told = |text: &&String| text.contains("3 layers of 200 g/m²");
        assert_eq!(doubts(&boat).iter().filter(told).count(), 1);
        match boat.openings.as_slice() {
            [] => assert_eq!(from, 0.0, "nothing is left open"),
            [left] => {
                let most = left.rim.iter().map(|p| p.x).fold(0.0, f64::max);
                near(most, from, "where the opening ends");
                assert!(left.rim.iter().all(|p| (p.z - d).abs() < 1e-12), "level");
            }
            more => panic!("{} openings", more.len()),
        }
    }
}

pub(crate) fn doubts(boat: &Boat) -> Vec<String> {
    boat.doubts
        .iter()
        .map(|doubt| doubt.text.to_string())
        .collect()
}

/// The same of one that stops at both ends, where nothing rises over the rim.
#[test]
fn a_crown_alone_runs_out_level_with_the_rim_at_both_ends() {
    let deck = "deck = { over = \"top\", aft = 0.4, forward = 1.5, crown = 0.06 }";
    let (boat, it) = made(&open_box(), deck);
    let wanted = 1.1 * BOX[1] * (4.0 / 9.0) * 0.06;
    near(it.change.signed_volume_m3(), wanted, deck);
    // Both ends of the box are left open.
    let at = |x: f64| boat.openings[0].rim.iter().any(|p| (p.x - x).abs() < 1e-9);
    assert!([0.0, 0.4, 1.5, 2.0].into_iter().all(at) && boat.openings.len() == 1);
}

/// The same where the deck ends flat with the opening, at its stern or at both ends. Its sheet
/// is the integral of the surface's slope, to what its 128 by 32 flat pieces leave.
#[test]
fn a_crown_runs_out_flat_where_the_opening_ends_too() {
    for (ends, long) in [("", 2.0), ("aft = 0.4, ", 1.6), ("forward = 1.5, ", 1.5)] {
        let deck = format!("deck = {{ over = \"top\", {ends}crown = 0.06 }}");
        let (_, it) = made(&open_box(), &deck);
        let wanted = long * BOX[1] * (4.0 / 9.0) * 0.06;
        near(it.change.signed_volume_m3(), wanted, &deck);
        let steps = 400;
        let mut sheet = 0.0;
        for (i, j) in (0..steps).flat_map(|i| (0..steps).map(move |j| (i, j))) {
            let [u, v] = [i, j].map(|k| (f64::from(k) + 0.5) / f64::from(steps));
            let eta = 2.0 * v - 1.0;
            let along = 0.24 * (1.0 - 2.0 * u) * (1.0 - eta * eta) / long;
            let across = -0.24 * u * (1.0 - u) * 4.0 * eta / BOX[1];
            sheet += 1.0_f64.hypot(along).hypot(across);
        }
        sheet *= long * BOX[1] / f64::from(steps * steps);
        let mass = it.mass.expect("laid up");
        let off = mass.mass_kg / (USUAL_KG_M2 * sheet) - 1.0;
        assert!(off.abs() < 1e-4, "{deck}: {off}");
        near(mass.centre_m.y + 1.0, 1.0, "amidships");
    }
}

/// Derived in closed form: the bulkhead is breadth times depth and the arch over it, and the
/// compartment all under the deck.
#[test]
fn a_deck_closed_by_a_bulkhead_makes_its_compartment() {
    let [l, b, d] = BOX;
    let deck = "deck = { over = \"top\", aft = 1.2, camber = 0.06, bulkhead = true, compartment = \"bow\" }";
    let (boat, it) = made(&open_box(), deck);
    let arch = 2.0 / 3.0 * b * 0.06;
    let sheet = arch_m(0.06) * 0.8 + arch + (b * d + arch);
    near(
        it.mass.expect("laid up").mass_kg,
        USUAL_KG_M2 * sheet,
        "mass",
    );
    let bow = boat.compartments.iter().find(|space| space.name == "bow");
    let held = bow.expect("made").surface().signed_volume_m3();
    near(held, (l - 1.2) * (b * d + arch), "compartment");
}

/// Derived in closed form: breadth times depth.
#[test]
fn a_bulkhead_is_the_area_across_and_makes_the_space_on_its_side() {
    let [l, b, d] = BOX;
    for (end, held_m) in [("aft", 0.5), ("forward", l - 0.5)] {
        let wall = format!(
            "bulkhead = {{ station = 0.5, compartment = \"end\", closes = \"{end}\" }}\nskin = {{ thickness = \"9 mm\", density = 540 }}"
        );
        let (boat, it) = made(&open_box(), &wall);
        let mass = it.mass.expect("weighed");
        near(mass.mass_kg, b * d * 0.009 * 540.0, "mass");
        assert!((mass.centre_m - Vec3::new(0.5, 0.0, d / 2.0)).norm() < 1e-9);
        assert_eq!(it.change.faces.len(), 0, "it stands inside");
        let space = boat.compartments.iter().find(|space| space.name == "end");
        let held = space.expect("made").surface().signed_volume_m3();
        near(held, held_m * b * d, end);
    }
}

/// Derived in closed form: of a tube on the skin half stands out; a box is width times
/// height, a triangle half of that; times the length, on each side.
#[test]
fn sponsons_on_a_box_have_the_volume_of_their_section_along_it() {
    let (long, width, height) = (1.4, 0.12, 0.16);
    for (section, area) in [
        (
            "section = \"round\"",
            std::f64::consts::PI * width * width / 8.0,
        ),
        ("section = \"box\", height = 0.16", width * height),
        (
            "section = \"box\", height = 0.16, offset = 0.05",
            (width + 0.05) * height,
        ),
        (
            "section = \"triangle\", height = 0.16",
            width * height / 2.0,
        ),
    ] {
        for (side, count) in [("port", 1.0), ("starboard", 1.0), ("both", 2.0)] {
            let part = format!(
                "sponson = {{ aft = 0.3, forward = 1.7, middle = 0.2, width = {width}, side = \"{side}\", {section} }}"
            );
            let (boat, it) = made(&open_box(), &part);
            near(it.change.signed_volume_m3(), count * area * long, &part);
            let centre = it.mass.expect("laid up").centre_m;
            let way = match side {
                "port" => 1.0,
                "starboard" => -1.0,
                _ => 0.0,
            };
            assert!((centre.x - 1.0).abs() < 1e-9, "{part}: {centre}");
            assert!(centre.y * way >= 0.0 && (way != 0.0 || centre.y.abs() < 1e-9));
            let said = doubts(&boat);
            assert!(
                said.iter().all(|text| text.contains("3 layers")),
                "{said:?}"
            );
        }
    }
}

/// What sponsons 0.1 m wide and 0.12 m high on the port side of hulls of the zoo add: ends,
/// height of the middle and volumes of a round, a box and a triangle, m and m³: 1600 stations
/// of the hull's mesh, a circle of 720 sides, joined by manifold3d 3.5.4 (Python).
const SPONSONS: [([f64; 3], [f64; 3]); 3] = [
    (
        [0.9, 2.4, 0.4],
        [
            0.006091725739625575,
            0.018364821372850004,
            0.007294917243842791,
        ],
    ),
    (
        [0.9, 3.4, 0.2],
        [
            0.010617953601698815,
            0.03176998504786732,
            0.01676999960139347,
        ],
    ),
    (
        [0.9, 2.4, 0.35],
        [
            0.006082069640380938,
            0.01838260111828549,
            0.006700676861564725,
        ],
    ),
];

/// Against manifold3d, see [`SPONSONS`].
#[test]
fn sponsons_on_hulls_hold_what_a_boolean_library_finds() {
    let hulls = [open_tender(), decked_hull(), lopsided_tender()];
    for (hull, ([aft, forward, middle], volumes)) in hulls.iter().zip(SPONSONS) {
        let sections = [
            "section = \"round\"",
            "section = \"box\", height = 0.12",
            "section = \"triangle\", height = 0.12",
        ];
        for (section, wanted) in sections.into_iter().zip(volumes) {
            let part = format!(
                "sponson = {{ aft = {aft}, forward = {forward}, middle = {middle}, width = 0.1, side = \"port\", {section} }}"
            );
            let (_, it) = made(hull, &part);
            let share = it.change.signed_volume_m3() / wanted - 1.0;
            assert!(share.abs() < 1e-4, "{}: {part}: {share:.1e}", hull.name);
        }
    }
}

/// Derived in closed form: length times depth times width.
#[test]
fn a_skeg_under_a_box_has_its_length_times_depth_times_width() {
    let (_, it) = made(
        &open_box(),
        "skeg = { aft = 0.1, forward = 0.9, depth = \"10 cm\", width = \"3 cm\" }",
    );
    near(it.change.signed_volume_m3(), 0.8 * 0.1 * 0.03, "volume");
    let (lo, _) = it.change.bounds().expect("there");
    near(lo.z, -0.1, "depth");
}

/// A hull that lies off the plane y = 0 has its skeg under its own middle: internal
/// consistency with the same hull on that plane.
#[test]
fn a_skeg_stands_under_the_hulls_own_middle_wherever_that_lies() {
    let skeg = "skeg = { aft = 0.4, forward = 1.9, depth = \"10 cm\", width = \"3 cm\" }";
    for hull in [open_box(), open_tender(), decked_hull()] {
        let (_, there) = made(&hull, skeg);
        let (_, aside) = made(&hull.moved(|p| p + Vec3::y() * 0.7), skeg);
        let [there, aside] = [there, aside].map(|it| {
            let volume = it.change.signed_volume_m3();
            (volume, it.mass.expect("laid up").centre_m)
        });
        // The middle is found by the sides, to a tenth of a millimetre.
        assert!((aside.0 / there.0 - 1.0).abs() < 1e-4, "{}", hull.name);
        let apart = aside.1 - there.1 - Vec3::y() * 0.7;
        assert!(apart.norm() < 1e-3, "{}: {apart}", hull.name);
    }
}

/// Derived in closed form: a wall that leans out makes a prismatoid, height over 6 times the
/// areas below, above and four times half-way; its sheet is its four trapezia.
#[test]
fn a_flared_coaming_round_a_box_is_a_prismatoid() {
    let [l, b, d] = BOX;
    for flare in [25.0_f64, -10.0] {
        let (height, out) = (0.15, 0.15 * flare.to_radians().tan());
        let wall =
            format!("role = \"add\"\nwall = {{ round = \"top\", height = 0.15, flare = {flare} }}");
        let (boat, it) = made(&open_box(), &wall);
        let area = |by: f64| (l + 2.0 * by) * (b + 2.0 * by);
        let wanted = height / 6.0 * (area(0.0) + 4.0 * area(out / 2.0) + area(out));
        near(it.change.signed_volume_m3(), wanted, "volume");
        let sheet = 2.0 * (l + b + 2.0 * out) * height.hypot(out);
        near(
            it.mass.expect("laid up").mass_kg,
            USUAL_KG_M2 * sheet,
            "mass",
        );
        let rim = &boat.openings[0].rim;
        assert!(rim.iter().all(|p| (p.z - d - height).abs() < 1e-12));
        let most = rim.iter().map(|p| p.x).fold(0.0, f64::max);
        near(most, l + out, "its top");
    }
}

/// Derived in closed form: level at a pitch the top's slope along the boat is the pitch's
/// tangent; where the foot is highest in the water the wall is as high as asked.
#[test]
fn a_coaming_that_is_level_afloat_is_lowest_where_its_foot_stands_highest() {
    let [l, b, d] = BOX;
    let wall = "role = \"add\"\nwall = { round = \"top\", height = 0.1, level_at = { pitch = 2 } }";
    let (boat, it) = made(&open_box(), wall);
    // Bow up: the bow's rim is highest, and the wall there 0.1 m.
    let slope = 2.0_f64.to_radians().tan();
    near(
        it.change.signed_volume_m3(),
        l * b * (0.1 + slope * l / 2.0),
        "volume",
    );
    let heights = boat.openings[0]
        .rim
        .iter()
        .map(|p| p.z - d - 0.1 - slope * (l - p.x));
    assert!(heights.into_iter().all(|off| off.abs() < 1e-9));
}

/// Derived in closed form: 256 corners on the circle, `n/2 sin(2π/n)` of its radius' square.
#[test]
fn a_coaming_round_a_hatch_cut_in_a_deck_has_the_rim_at_its_top() {
    let hull = box_from_stern();
    let hatch =
        "[[opening]]\nname = \"hatch\"\ncircle = { centre = [1.2, 0.1, 0.4], diameter = 0.3 }\n";
    let wall = format!("role = \"add\"\nwall = {{ round = \"hatch\", height = 0.08 }}\n{hatch}");
    let (boat, it) = made(&hull, &wall);
    let angle = std::f64::consts::TAU / 256.0;
    let area = 128.0 * angle.sin() * 0.15 * 0.15;
    near(it.change.signed_volume_m3(), area * 0.08, "volume");
    let girth = 256.0 * 2.0 * 0.15 * (angle / 2.0).sin();
    near(
        it.mass.expect("laid up").mass_kg,
        USUAL_KG_M2 * girth * 0.08,
        "mass",
    );
    let [opening] = boat.openings.as_slice() else {
        panic!("{} openings", boat.openings.len());
    };
    assert!(opening.rim.iter().all(|p| (p.z - 0.48).abs() < 1e-9));
    // A hole in an upright side bears no wall.
    let side = hatch.replace("[1.2, 0.1, 0.4]", "[1.2, 0.4, 0.2]");
    let wall = format!(
        "[[part]]\nname = \"it\"\nrole = \"add\"\nwall = {{ round = \"hatch\", height = 0.08 }}\n{side}"
    );
    let told = hull.try_boat_with(&wall).expect_err("no wall there");
    let told = told.to_string();
    assert!(told.contains("faces up"), "{told}");
}

/// Derived in closed form: length times breadth times height, less the item's room with what
/// is left clear round it.
#[test]
fn a_filling_is_what_its_bounds_leave_of_the_inside_without_the_items() {
    let [_, b, _] = BOX;
    let item =
        "[[item]]\nname = \"battery\"\nmass = 20\nat = [0.3, 0.1, 0.1]\nsize = [0.3, 0.2, 0.2]\n";
    let foam = "foam = { density = 32 }\nfilling = { aft = -0.05, forward = 0.6, below = 0.25";
    for (more, bounds, wanted) in [
        ("", " }", 0.6 * b * 0.25),
        (item, " }", 0.6 * b * 0.25 - 0.3 * 0.2 * 0.2),
        (
            item,
            ", clear = 0.01 }",
            0.6 * b * 0.25 - 0.32 * 0.22 * 0.21,
        ),
        (
            "",
            ", above = 0.05, port_of = 0.1, starboard_of = 0.3 }",
            0.6 * 0.2 * 0.2,
        ),
    ] {
        let (_, it) = made(&open_box(), &format!("{foam}{bounds}\n{more}"));
        let mass = it.mass.expect("foam weighs");
        near(mass.mass_kg, 32.0 * wanted, bounds);
        near(mass.solid_m3.expect("it takes room"), wanted, bounds);
        assert!(it.change.faces.is_empty(), "it stands inside");
    }
    // Moved, the item takes its room elsewhere: what is shared between boats knows.
    let nothing = "foam = { density = 32 }\nfilling = { aft = 2.5, forward = 2.6 }";
    assert!(refused(&open_box(), nothing).contains("nothing of the hull's inside"));
    let bare = "[[part]]\nname = \"it\"\nfilling = { aft = 0, forward = 1 }\n";
    let told = open_box().try_boat_with(bare).expect_err("foam of what?");
    let told = told.to_string();
    assert!(told.contains("foam = { density"), "{told}");
}

/// Derived in closed form: length times height times depth, the corners' squares less their
/// quarters of a circle, each of 64 chords: `32 sin(π/128)` of the radius' square.
#[test]
fn a_pocket_in_a_flat_side_is_its_area_times_its_depth() {
    let (length, height, depth) = (0.5, 0.2, 0.08);
    for corner in [0.0_f64, 0.04] {
        let pocket = format!(
            "pocket = {{ centre = [1.2, -0.4, 0.2], length = {length}, height = {height}, corner = {corner}, depth = {depth} }}"
        );
        let (_, it) = made(&open_box(), &pocket);
        let quarter = 32.0 * (std::f64::consts::PI / 128.0).sin();
        let area = length * height - 4.0 * corner.powi(2) * (1.0 - quarter);
        near(it.change.signed_volume_m3(), -area * depth, &pocket);
        let arc = 64.0 * 2.0 * (std::f64::consts::PI / 256.0).sin() * corner;
        let girth = 2.0 * (length + height - 4.0 * corner) + 4.0 * arc;
        let mass = it.mass.expect("laid up").mass_kg;
        near(
            mass,
            USUAL_KG_M2 * (area + girth * depth),
            "floor and sides",
        );
    }
    let round = "pocket = { centre = [1.0, 0.1, 0.0], diameter = 0.2, depth = 0.05 }";
    let (_, it) = made(&open_box(), round);
    let area = 128.0 * (std::f64::consts::TAU / 256.0).sin() * 0.01;
    near(it.change.signed_volume_m3(), -area * 0.05, round);
}

/// Derived in closed form: a panel of length l turned up by an angle about one side makes a
/// wedge of `½ l² sin` a breadth; the gaps are two triangles of half `l² sin` and the
/// strip from the cut up to the free edge, `2 l sin(½ angle)` high.
#[test]
fn a_lifted_panel_is_a_wedge_and_weighs_what_closes_its_gaps() {
    let hull = box_from_stern();
    for (hinge, long, broad) in [
        ("aft", 0.6, 0.4),
        ("forward", 0.6, 0.4),
        ("port", 0.4, 0.6),
        ("starboard", 0.4, 0.6),
    ] {
        let angle = 20.0_f64.to_radians();
        let by_height = long * angle.sin();
        for up in ["angle = 20".to_owned(), format!("height_up = {by_height}")] {
            let panel = format!(
                "lifted = {{ centre = [1.0, 0.05, 0.4], length = 0.6, height = 0.4, hinge = \"{hinge}\", {up} }}"
            );
            let (_, it) = made(&hull, &panel);
            let wedge = long * long * angle.sin() / 2.0 * broad;
            near(it.change.signed_volume_m3(), wedge, &panel);
            let gaps = long * long * angle.sin() + broad * 2.0 * long * (angle / 2.0).sin();
            near(
                it.mass.expect("laid up").mass_kg,
                USUAL_KG_M2 * gaps,
                &panel,
            );
            let (_, high) = it.change.bounds().expect("there");
            near(high.z, 0.4 + by_height, "its free edge");
        }
    }
    let steep = "[[part]]\nname = \"it\"\nlifted = { centre = [1, 0, 0.4], length = 0.6, height = 0.4, hinge = \"aft\", height_up = 0.7 }\n";
    let told = hull.try_boat_with(steep).expect_err("too high");
    let told = told.to_string();
    assert!(
        told.contains("as high as the panel is long, 600 mm"),
        "{told}"
    );
}

/// Derived in closed form, as the hollow ones: the foam that would stand inside the hull is
/// none.
#[test]
fn foam_along_the_outside_weighs_what_stands_out() {
    let area = std::f64::consts::PI * 0.12 * 0.12 / 8.0;
    for (part, volume) in [
        (
            "sponson = { aft = 0.3, forward = 1.7, middle = 0.2, width = 0.12 }",
            2.0 * area * 1.4,
        ),
        (
            "skeg = { aft = 0.1, forward = 0.9, depth = 0.1, width = 0.03 }",
            0.8 * 0.1 * 0.03,
        ),
    ] {
        let (_, it) = made(&open_box(), &format!("{part}\nfoam = {{ density = 30 }}"));
        let mass = it.mass.expect("foam weighs");
        near(mass.mass_kg, 30.0 * volume, part);
        near(mass.solid_m3.expect("it takes room"), volume, part);
    }
}

/// Along the deck's end a flared wall goes straight up: nothing of it stands over the deck's
/// own compartment, nothing passes through anything. The rest is a closed form: two sides and
/// the stern lean out.
#[test]
fn a_flared_coaming_stands_straight_on_a_decks_end() {
    let [_, b, _] = BOX;
    let (height, flare) = (0.1, 20.0_f64);
    let out = height * flare.to_radians().tan();
    let deck = "deck = { over = \"top\", aft = 1.2, camber = 0.04, bulkhead = true, compartment = \"bow\", sealed = true }\n";
    let wall = format!(
        "[[part]]\nname = \"coaming\"\nrole = \"add\"\nwall = {{ round = \"top\", height = {height}, flare = {flare} }}\n"
    );
    let boat = open_box().boat_with(&format!("[[part]]\nname = \"deck\"\n{deck}{wall}"));
    assert!(boat.envelope.surface.is_balanced());
    let area = |by: f64| (1.2 + by) * (b + 2.0 * by);
    let wanted = height / 6.0 * (area(0.0) + 4.0 * area(out / 2.0) + area(out));
    near(boat.parts[1].change.signed_volume_m3(), wanted, "volume");
    let told = doubts(&boat);
    assert!(
        told.iter().all(|text| text.contains("3 layers")),
        "{told:?}"
    );
    let bow = boat
        .compartments
        .iter()
        .position(|space| space.name == "bow")
        .expect("made");
    assert!(boat.compartments[bow].sealed);
    assert!(boat.openings[0].spaces().all(|(space, _)| space != bow));
}

/// Two fillings of one room: the second takes what the first leaves.
#[test]
fn fillings_share_no_room() {
    let [_, b, _] = BOX;
    let foam = |name: &str, forward: f64| {
        format!(
            "[[part]]\nname = \"{name}\"\nfoam = {{ density = 30 }}\nfilling = {{ aft = 0, forward = {forward}, below = 0.2 }}\n"
        )
    };
    let boat = open_box().boat_with(&(foam("one", 0.5) + &foam("other", 0.8)));
    let litres: Vec<f64> = boat
        .parts
        .iter()
        .filter_map(|part| part.mass.as_ref()?.solid_m3)
        .collect();
    near(litres[0], 0.5 * b * 0.2, "the first");
    near(litres[1], 0.3 * b * 0.2, "the second");
}

#[test]
fn a_deck_that_rises_as_no_deck_does_is_doubted() {
    let boat = open_box()
        .boat_with("[[part]]\nname = \"it\"\ndeck = { over = \"top\", aft = 1, camber = 3 }\n");
    let told = doubts(&boat);
    assert!(
        told.iter().any(|text| text.contains("`camber` is 3.000 m")),
        "{told:?}"
    );
}

/// A flat deck over a sheered rim adds next to nothing: what is left of the opening is closed
/// from side to side, as it was. Internal consistency.
#[test]
fn a_flat_deck_adds_no_room_however_the_rim_is_sheered() {
    for hull in [open_tender(), lopsided_tender()] {
        for ends in [
            "aft = 1.2, forward = 2.1",
            "aft = 2.2",
            "forward = 0.6",
            "aft = 1.0, forward = 1.01",
        ] {
            let (_, it) = made(&hull, &format!("deck = {{ over = \"gunwale\", {ends} }}"));
            let litres = it.change.signed_volume_m3() * 1000.0;
            assert!(litres.abs() < 0.5, "{}: {ends}: {litres} L", hull.name);
        }
    }
}

/// Derived in closed form: as along the box, from its very end.
#[test]
fn parts_begin_at_the_transom_itself() {
    let (_, it) = made(
        &open_box(),
        "skeg = { aft = 0, forward = 0.9, depth = 0.1, width = 0.03 }",
    );
    near(it.change.signed_volume_m3(), 0.9 * 0.1 * 0.03, "skeg");
    let (_, it) = made(
        &open_box(),
        "sponson = { aft = 0, forward = 2, middle = 0.2, width = 0.1, height = 0.2, section = \"box\", side = \"port\" }",
    );
    near(it.change.signed_volume_m3(), 2.0 * 0.1 * 0.2, "sponson");
    let (_, it) = made(&open_box(), "bulkhead = { station = 2 }");
    near(
        it.mass.expect("laid up").mass_kg,
        USUAL_KG_M2 * BOX[1] * BOX[2],
        "bulkhead",
    );
}

/// Internal consistency: every point of the top lies as high above the water at that attitude.
#[test]
fn a_flared_coaming_is_level_at_its_attitude_too() {
    let wall = "role = \"add\"\nwall = { round = \"gunwale\", height = 0.1, flare = 20, level_at = { heel = 3, pitch = -1.5 } }";
    let (boat, _) = made(&lopsided_tender(), wall);
    let water = awash::immersion::WaterPlane::at_attitude(3.0, -1.5, 0.0);
    let heights: Vec<f64> = boat.openings[0]
        .rim
        .iter()
        .map(|p| water.height_m(p))
        .collect();
    let (least, most) = heights
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), h| {
            (l.min(*h), m.max(*h))
        });
    assert!(most - least < 1e-9, "{least} {most}");
}

/// Derived in closed form: round a square hatch a flared coaming is a prismatoid on the deck,
/// its sheet four trapezia, however the hatch was cut.
#[test]
fn a_flared_coaming_round_a_square_hatch_stands_on_the_deck() {
    let hull = box_from_stern();
    for hatch in [
        "box = { min = [0.8, -0.2, 0.3], max = [1.2, 0.2, 0.5] }",
        "rectangle = { centre = [1.0, 0.0, 0.4], length = 0.4, height = 0.4 }",
        "outline = { points = [[0.8, -0.2, 0], [1.2, -0.2, 0], [1.2, 0.2, 0], [0.8, 0.2, 0]], along = \"z\", from = 0.3, to = 0.5 }",
    ] {
        for flare in [0.0_f64, 20.0] {
            let wall = format!(
                "role = \"add\"\nwall = {{ round = \"hatch\", height = 0.1, flare = {flare} }}\n[[opening]]\nname = \"hatch\"\n{hatch}\n"
            );
            let (boat, it) = made(&hull, &wall);
            let out = 0.1 * flare.to_radians().tan();
            let area = |by: f64| (0.4 + 2.0 * by).powi(2);
            let wanted = 0.1 / 6.0 * (area(0.0) + 4.0 * area(out / 2.0) + area(out));
            near(it.change.signed_volume_m3(), wanted, &wall);
            let sheet = 4.0 * (0.4 + out) * 0.1_f64.hypot(out);
            near(
                it.mass.expect("laid up").mass_kg,
                USUAL_KG_M2 * sheet,
                &wall,
            );
            assert!(
                boat.openings[0]
                    .rim
                    .iter()
                    .all(|p| (p.z - 0.5).abs() < 1e-9)
            );
        }
    }
}

/// Derived in closed form: of a tube on the skin half stands out, and its ends' half circles;
/// of a block the glass is what does not lie on the skin, its top and its forward end.
#[test]
fn glass_over_foam_weighs_what_shows_of_it() {
    let glass = "foam = { density = 32, laminate = { cloth = \"200 g/m2\", layers = 2, resin = \"1:1.5\" } }";
    let kg_m2 = 0.2 * 2.0 * 2.5;
    let section = std::f64::consts::PI * 0.1 * 0.1 / 8.0;
    let sponson = format!(
        "{glass}\nsponson = {{ aft = 0.3, forward = 1.7, middle = 0.2, width = 0.1, side = \"port\" }}"
    );
    let (_, it) = made(&open_box(), &sponson);
    // The tube's 64 sides have its area: half their girth, of which the first and the last
    // stand in the skin.
    let angle = std::f64::consts::TAU / 64.0;
    let radius = 0.05 * (angle / angle.sin()).sqrt();
    let girth = 32.0 * 2.0 * radius * (angle / 2.0).sin();
    let foam_kg = 32.0 * section * 1.4;
    let glass_kg = kg_m2 * (girth * 1.4 + 2.0 * section);
    near(
        it.mass.expect("weighed").mass_kg,
        foam_kg + glass_kg,
        "sponson",
    );
    let [_, b, _] = BOX;
    let filling = format!("{glass}\nfilling = {{ aft = 0, forward = 0.6, below = 0.25 }}");
    let (_, it) = made(&open_box(), &filling);
    let mass = it.mass.expect("weighed");
    let (top, end) = (0.6 * b, b * 0.25);
    let foam_kg = 32.0 * 0.6 * b * 0.25;
    near(mass.mass_kg, foam_kg + kg_m2 * (top + end), "filling");
    let x = (foam_kg * 0.3 + kg_m2 * (top * 0.3 + end * 0.6)) / mass.mass_kg;
    near(mass.centre_m.x, x, "its middle");
}

/// Derived in closed form: 200 g/m² with as much resin is 0.4 kg/m² a layer, however that is
/// written; left out it is that, and told.
#[test]
fn resin_is_said_as_glass_to_resin_by_weight() {
    let [_, b, d] = BOX;
    for (resin, to_cloth) in [
        (", resin = \"1:1\"", 1.0),
        (", resin = 1.2", 1.2),
        (", resin = \"2 : 3\"", 1.5),
        ("", 1.0),
    ] {
        let wall = format!(
            "bulkhead = {{ station = 0.5 }}\nlaminate = {{ cloth = \"200 g/m2\", layers = 4{resin} }}"
        );
        let (boat, it) = made(&open_box(), &wall);
        let mass = it.mass.expect("weighed").mass_kg;
        near(mass, b * d * 0.8 * (1.0 + to_cloth), resin);
        let told = |text: &String| text.contains("taken as 1:1, glass to resin by weight");
        assert_eq!(doubts(&boat).iter().any(told), resin.is_empty());
    }
    for odd in ["1:x", "0:1", "1:-1", ":"] {
        let wall = format!(
            "[[part]]\nname = \"it\"\nbulkhead = {{ station = 0.5 }}\nlaminate = {{ cloth = \"200 g/m2\", layers = 4, resin = \"{odd}\" }}\n"
        );
        let told = open_box().try_boat_with(&wall).expect_err("no ratio");
        assert!(
            told.to_string().contains("glass to resin by weight"),
            "{told}"
        );
    }
}

#[test]
fn what_runs_into_each_other_is_doubted_in_words() {
    let pocket = |name: &str, x: f64| {
        format!(
            "[[part]]\nname = \"{name}\"\npocket = {{ centre = [{x}, -0.4, 0.2], length = 0.3, height = 0.2, depth = 0.05 }}\n"
        )
    };
    // Side by side, touching, and 2 cm into each other: 0.02 × 0.2 × 0.05 m.
    for (x, shared) in [
        (1.0, None),
        (0.8, None),
        (0.78, Some("0.200 L")),
        (0.65, Some("1.500 L")),
    ] {
        let boat = open_box().boat_with(&(pocket("one", 0.5) + &pocket("other", x)));
        let told = doubts(&boat);
        let said = told
            .iter()
            .find(|text| text.contains("runs into the pocket"));
        assert_eq!(said.is_some(), shared.is_some(), "{x}: {told:?}");
        assert!(
            said.is_none_or(|said| said.contains(shared.unwrap_or_default())),
            "{said:?}"
        );
    }
    let file = |x: f64| {
        format!(
            "[[part]]\nname = \"wall\"\nbulkhead = {{ station = 0.5 }}\n[[item]]\nname = \"battery\"\nmass = 9\nat = [{x}, 0, 0.1]\nsize = [0.2, 0.2, 0.2]\n"
        )
    };
    for (x, through) in [(0.3, false), (0.4, false), (0.45, true), (0.6, false)] {
        let told = doubts(&open_box().boat_with(&file(x)));
        let is_told = told
            .iter()
            .any(|text| text.contains("passes through the bulkhead"));
        assert_eq!(is_told, through, "{x}: {told:?}");
    }
}

/// Derived in closed form: a thwart deck parts the opening; a foredeck and an afterdeck go
/// over what it leaves, and the opening is what the three leave.
#[test]
fn decks_go_over_what_decks_before_them_leave() {
    let deck = |name: &str, ends: &str| {
        format!("[[part]]\nname = \"{name}\"\ndeck = {{ over = \"top\", camber = 0.03, {ends} }}\n")
    };
    let three = deck("thwart", "aft = 0.9, forward = 1.1")
        + &deck("bow", "aft = 1.6")
        + &deck("stern", "forward = 0.4");
    let boat = open_box().boat_with(&three);
    assert!(boat.envelope.surface.is_balanced());
    for (part, long) in boat.parts.iter().zip([0.2, 0.4, 0.4]) {
        let wanted = long * BOX[1] * 2.0 / 3.0 * 0.03;
        near(part.change.signed_volume_m3(), wanted, &part.name);
    }
    let [left] = boat.openings.as_slice() else {
        panic!("{} openings", boat.openings.len());
    };
    let at = |x: f64| left.rim.iter().any(|p| (p.x - x).abs() < 1e-9);
    assert!([0.4, 0.9, 1.1, 1.6].into_iter().all(at) && !at(0.0) && !at(2.0));
}

/// Internal consistency: under a deck at a station stand two thirds of breadth times rise,
/// the rise going with the breadth's square, summed here over the rim's own breadths.
#[test]
fn decks_on_a_tender_hold_what_their_arches_do() {
    for hull in [open_tender(), lopsided_tender()] {
        for from in [0.7, 1.3, 2.2] {
            let camber = 0.08;
            let deck = format!("deck = {{ over = \"gunwale\", aft = {from}, camber = {camber} }}");
            let flat = format!("deck = {{ over = \"gunwale\", aft = {from} }}");
            let (boat, it) = made(&hull, &deck);
            let (_, level) = made(&hull, &flat);
            let rim = hull.boat().openings[0].rim.clone();
            let breadth = |x: f64| {
                let at = |side: f64| {
                    let on_side = rim
                        .chunks(2)
                        .filter(|run| (run[0].y + run[1].y) * side > 0.0);
                    let mut found = on_side.filter_map(|run| {
                        let share = (x - run[0].x) / (run[1].x - run[0].x);
                        let is_on = (0.0..=1.0).contains(&share);
                        is_on.then(|| run[0] + (run[1] - run[0]) * share)
                    });
                    found.next().expect("a rim on that side")
                };
                (at(1.0) - at(-1.0)).xy().norm()
            };
            const STEPS: i32 = 200;
            let long = (3.2 - from) / f64::from(STEPS);
            let places = (0..STEPS).map(|k| from + (f64::from(k) + 0.5) * long);
            let widths: Vec<f64> = places.map(breadth).collect();
            let widest = breadth(from).max(widths.iter().copied().fold(0.0, f64::max));
            let sum: f64 = widths.iter().map(|b| b.powi(3)).sum::<f64>() * long;
            let wanted = 2.0 / 3.0 * camber * sum / widest.powi(2);
            let arched = it.change.signed_volume_m3() - level.change.signed_volume_m3();
            // Straight between 64 stations: most off where the breadth runs out at the stem.
            assert!(
                (arched / wanted - 1.0).abs() < 2e-3,
                "{deck}: {arched} {wanted}"
            );
            let most = boat.openings[0].rim.iter().map(|p| p.x).fold(0.0, f64::max);
            near(most, from, "where the opening ends");
        }
    }
}

/// Moved along, a part changes what it weighs and pushes aside by little: internal
/// consistency.
#[test]
fn built_parts_change_smoothly_as_they_move_along() {
    let tender = open_tender();
    for (hull, part) in [
        (
            &tender,
            "deck = { over = \"gunwale\", aft = AT, camber = 0.05 }",
        ),
        (&tender, "bulkhead = { station = AT }"),
        (
            &tender,
            "sponson = { aft = AT, forward = 2.4, middle = 0.4, width = 0.1 }",
        ),
        (
            &tender,
            "skeg = { aft = AT, forward = 2.4, depth = 0.1, width = 0.02 }",
        ),
        (&decked_hull(), "bulkhead = { station = AT }"),
        (
            &decked_hull(),
            "sponson = { aft = AT, forward = 3.4, middle = 0.2, width = 0.1 }",
        ),
        (
            &decked_hull(),
            "skeg = { aft = AT, forward = 2.4, depth = 0.1, width = 0.02 }",
        ),
    ] {
        let figures: Vec<[f64; 2]> = (0..12)
            .map(|step| {
                let at = 0.9 + 0.01 * f64::from(step);
                let (_, it) = made(hull, &part.replace("AT", &format!("{at:.3}")));
                let mass = it.mass.expect("laid up").mass_kg;
                [mass, it.change.signed_volume_m3()]
            })
            .collect();
        for figure in 0..2 {
            let steps: Vec<f64> = figures
                .windows(2)
                .map(|w| w[1][figure] - w[0][figure])
                .collect();
            let most = steps
                .iter()
                .fold(0.0_f64, |most, step| most.max(step.abs()));
            let bends = steps
                .windows(2)
                .map(|w| (w[1] - w[0]).abs())
                .fold(0.0, f64::max);
            assert!(
                bends <= 0.25 * most + 1e-6,
                "{}: {part}: {steps:?}",
                hull.name
            );
        }
    }
}

#[test]
fn what_the_hull_does_not_bear_is_refused_with_its_reason() {
    for (hull, part, says) in [
        (
            open_box(),
            "deck = { over = \"hatch\" }",
            "no open edge \"hatch\"",
        ),
        (
            open_box(),
            "deck = { over = \"top\", aft = 2.5 }",
            "the opening runs from x 0",
        ),
        (
            open_box(),
            "bulkhead = { station = 2.3 }",
            "no hull at x 2.30",
        ),
        (
            open_box(),
            "sponson = { aft = 0.2, forward = 1.8, middle = 0.9, width = 0.1 }",
            "no port side at height z 900 mm",
        ),
        (
            open_box(),
            "sponson = { aft = -0.2, forward = 1.8, middle = 0.2, width = 0.1 }",
            "no port side",
        ),
        (
            open_box(),
            "skeg = { aft = 0.2, forward = 1.8, depth = 0.1, width = 0.02, off_middle = 0.7 }",
            "no bottom at y 700 mm",
        ),
        (
            decked_hull(),
            "deck = { over = \"hatch\" }",
            "no open edge \"hatch\"",
        ),
        (
            twin_hull(),
            "skeg = { aft = 2.9, forward = 3.4, depth = 0.1, width = 0.02, off_middle = 0.65 }",
            "no bottom",
        ),
    ] {
        let told = refused(&hull, part);
        assert!(told.contains(says), "{part}: {told}");
    }
}

/// 200 placements at random, sensible and silly: each is built, the envelope then closed, with
/// no room counted twice and every opening with its rim, or refused; internal consistency.
#[test]
fn random_placements_join_or_are_refused() {
    let hulls = [
        open_tender(),
        lopsided_tender(),
        decked_hull(),
        twin_hull(),
        open_box(),
    ];
    let mut random = fastrand::Rng::with_seed(22);
    let (mut built, mut refused) = (0, 0);
    for _ in 0..200 {
        let hull = &hulls[random.usize(..hulls.len())];
        let (lo, hi) = hull.surface.bounds().expect("a hull");
        let mut within = |axis: usize, past: f64| {
            let long = hi[axis] - lo[axis];
            lo[axis] - past * long + random.f64() * long * (1.0 + 2.0 * past)
        };
        let (mut aft, mut forward) = (within(0, 0.05), within(0, 0.05));
        if aft > forward {
            std::mem::swap(&mut aft, &mut forward);
        }
        let (y, z) = (within(1, 0.0), within(2, 0.0));
        let small = 0.01 + 0.2 * random.f64();
        let ends = format!("aft = {aft}, forward = {forward}");
        let opening = hull.openings.first().map_or("none", |(name, _)| name);
        let place = format!(
            "centre = [{aft}, {y}, {z}], length = {}, height = {small}",
            2.0 * small
        );
        let foam = "foam = { density = 30 }";
        let part = match random.u8(..10) {
            0 => format!("deck = {{ over = \"{opening}\", {ends}, camber = {small} }}"),
            1 => format!(
                "deck = {{ over = \"{opening}\", aft = {aft}, crown = {small}, bulkhead = true, compartment = \"under\" }}"
            ),
            2 => {
                format!("bulkhead = {{ station = {aft}, compartment = \"end\", closes = \"aft\" }}")
            }
            3 => format!(
                "sponson = {{ {ends}, middle = {z}, width = {small}, section = \"round\" }}"
            ),
            4 => format!(
                "sponson = {{ {ends}, middle = {z}, width = {small}, height = {}, section = \"triangle\" }}",
                2.0 * small
            ),
            5 => format!("skeg = {{ {ends}, depth = {small}, width = 0.03, off_middle = {y} }}"),
            6 => format!("{foam}\nfilling = {{ {ends}, below = {z} }}"),
            7 => format!("pocket = {{ {place}, depth = {small} }}"),
            8 => format!(
                "lifted = {{ {place}, hinge = \"aft\", angle = {}, closed = true }}",
                300.0 * small
            ),
            _ => format!(
                "role = \"add\"\nwall = {{ round = \"{opening}\", height = {small}, flare = {} }}",
                200.0 * small - 20.0
            ),
        };
        let boat = match hull.try_boat_with(&format!("[[part]]\nname = \"it\"\n{part}\n")) {
            Ok(boat) => boat,
            Err(error) => {
                assert!(error.to_string().len() > 20, "{part}: {error}");
                refused += 1;
                continue;
            }
        };
        built += 1;
        let surface = &boat.envelope.surface;
        assert!(surface.is_balanced(), "{}: {part}", hull.name);
        let audit = awash::mesh::audit(surface).expect("columns through it");
        let is_told = doubts(&boat)
            .iter()
            .any(|text| text.contains("counted twice"));
        assert!(!audit.is_doubled() || is_told, "{}: {part}", hull.name);
        for opening in &boat.openings {
            let is_place = |p: &Vec3| p.iter().all(|c| c.is_finite());
            assert!(!opening.rim.is_empty() && opening.rim.iter().all(is_place));
        }
        let change = boat.parts[0].change.signed_volume_m3();
        let grows = if part.starts_with("pocket") {
            -change
        } else {
            change
        };
        assert!(grows >= -1e-9, "{}: {part}: {change}", hull.name);
    }
    assert!(built > 50 && refused > 30, "{built} {refused}");
}
