//! Slips with parts made from the hull: what is cut short, run into, or said twice. On the box
//! they are held to closed forms, derived beside them.
use awash::boat::{Boat, BoatError, BoatFile, changes};
use awash::present::{Present, compare_svg, template_svg};
use awash::quantity::UnitSystem;
use awash::study::{
    Line, ListKind, SectionOptions, TemplateResult, compare, list, section, template_of_part,
};

use crate::built::{BOX, made, near, open_box};
use crate::support::box_from_stern;
use crate::zoo::{ZooHull, open_tender};

fn doubts(boat: &Boat) -> Vec<String> {
    boat.doubts.iter().map(ToString::to_string).collect()
}

fn told(boat: &Boat, says: &str) -> usize {
    let doubts = doubts(boat);
    doubts.iter().filter(|text| text.contains(says)).count()
}

fn refused(hull: &ZooHull, tables: &str) -> String {
    match hull.try_boat_with(tables) {
        Err(error) => error.to_string(),
        Ok(_) => panic!("{tables}: built"),
    }
}

fn sheet_of(boat: &Boat, part: &str, number: usize) -> TemplateResult {
    let drawn = template_of_part(boat, part, Some(number));
    drawn.expect("it is made of sheets").result
}

/// Derived in closed form: an item that begins or ends within a sheet leaves its hole in one
/// face of it, and the sheet is cut whole.
#[test]
fn a_sheet_is_cut_by_the_face_without_the_hole() {
    let foam = "[[part]]\nname = \"foam\"\nfoam = { density = 32 }\nfilling = { aft = 0, forward = 0.6, below = 0.4, sheet = \"10 cm\" }\n[[item]]\nname = \"battery\"\nmass = 9\nat = [0.3, 0.1, 0.2]\nsize = [0.3, 0.2, 0.1]\n";
    let boat = open_box().boat_with(foam);
    let sheets = list(&boat, ListKind::Foam)
        .expect("it floats")
        .result
        .sheets;
    assert_eq!(sheets.len(), 4);
    for sheet in &sheets {
        near(sheet.area_m2, 0.6 * BOX[1], "listed");
        let drawn = sheet_of(&boat, "foam", sheet.number);
        near(drawn.cut.area_m2, sheet.area_m2, "drawn");
        let hole = if [2, 3].contains(&sheet.number) {
            0.06
        } else {
            0.0
        };
        let other = drawn.other_face.expect("two faces");
        near(other.area_m2, 0.6 * BOX[1] - hole, "the other");
    }
}

/// Derived in closed form: a box 0.8 m broad at the bottom, at the top 1 m aft and 0.6 m
/// forward. Half of a sheet as high as that reaches over its length to the larger of 0.4 m and
/// 0.5 m − 0.1 x in metre and metre: 0.85 m² of 2 m.
#[test]
fn where_neither_face_holds_the_other_a_sheet_is_cut_by_what_holds_both() {
    let mut hull = open_box();
    for v in &mut hull.surface.vertices {
        if v.z > 0.2 {
            v.y = v.y.signum() * if v.x < 1.0 { 0.5 } else { 0.3 };
        }
    }
    let foam = "[[part]]\nname = \"foam\"\nfoam = { density = 32 }\nfilling = { aft = 0, forward = 2, sheet = \"40 cm\" }\n";
    let boat = hull.boat_with(foam);
    let sheets = list(&boat, ListKind::Foam)
        .expect("it floats")
        .result
        .sheets;
    let [sheet] = sheets.as_slice() else {
        panic!("{} sheets", sheets.len());
    };
    near(sheet.area_m2, 2.0 * 0.85, "listed");
    assert_eq!(sheet.pieces, 1);
    let drawn = sheet_of(&boat, "foam", 1);
    near(drawn.cut.area_m2, sheet.area_m2, "drawn");
    assert_eq!(drawn.cut.face, "what holds both faces");
    let other = drawn.other_face.expect("both faces");
    assert_eq!(other.curves_m.len(), 2);
}

/// Each distance stands beside its own line however narrow a face lies on the centre line.
/// Internal consistency.
#[test]
fn distances_stand_beside_their_own_lines() {
    let mut hull = open_box();
    for v in &mut hull.surface.vertices {
        if v.z < 0.2 {
            v.y *= 0.003;
        }
    }
    let foam = "[[part]]\nname = \"foam\"\nfoam = { density = 32 }\nfilling = { aft = 0.2, forward = 0.8, below = 0.3, sheet = \"10 cm\" }\n";
    let boat = hull.boat_with(foam);
    let svg = template_svg(&template_of_part(&boat, "foam", Some(1)).expect("drawn"));
    let number = |text: &str| text.parse::<f64>().expect("a number");
    let lines: Vec<f64> = svg
        .split("class=\"DIMENSIONS\" points=\"")
        .skip(1)
        .map(|rest| number(rest.split(',').next().expect("x")))
        .collect();
    assert_eq!(lines.len(), 11);
    for (k, x) in lines.iter().enumerate() {
        let text = format!(">{}</text>", 50 * (k + 1));
        let beside = svg
            .split("<text x=\"")
            .filter(|rest| rest.contains("text-anchor=\"start\"") && rest.contains(&text))
            .any(|rest| {
                let at = number(rest.split('"').next().expect("x"));
                (at - x - 1.0).abs() < 1e-3
            });
        assert!(beside, "{text} is not beside {x}");
    }
}

/// Derived in closed form: the pocket takes 0.3 × 0.2 × 0.05 m, of the item 0.1 × 0.025 × 0.1 m.
#[test]
fn pockets_into_foam_and_items_are_doubted() {
    let pocket = "[[part]]\nname = \"pocket\"\npocket = { centre = [0.5, -0.4, 0.2], length = 0.3, height = 0.2, depth = 0.05 }\n";
    let foam = "[[part]]\nname = \"foam\"\nfoam = { density = 32 }\nfilling = { aft = 0.3, forward = 0.7, below = 0.35 }\n";
    let says = "runs into the foam of part \"foam\": 3.000 L";
    let before = open_box().boat_with(&(foam.to_owned() + pocket));
    let after = open_box().boat_with(&(pocket.to_owned() + foam));
    assert_eq!((told(&before, says), told(&after, "runs into")), (1, 0));
    let item = |y: f64, broad: f64| {
        format!(
            "[[item]]\nname = \"motor\"\nmass = 3\nat = [0.5, {y}, 0.2]\nsize = [0.1, {broad}, 0.1]\n"
        )
    };
    let says = "runs into item \"motor\"";
    for (y, broad, wanted) in [(-0.3, 0.15, 1), (-0.38, 0.03, 0), (-0.2, 0.3, 0)] {
        let boat = open_box().boat_with(&(pocket.to_owned() + &item(y, broad)));
        assert_eq!(told(&boat, says), wanted, "{y}: {:?}", doubts(&boat));
        assert_eq!(told(&boat, "0.250 L"), wanted, "{y}: {:?}", doubts(&boat));
    }
}

#[test]
fn foam_over_and_round_an_item_is_doubted() {
    let file = |below: f64, z: f64| {
        format!(
            "[[part]]\nname = \"foam\"\nfoam = {{ density = 32 }}\nfilling = {{ aft = 0.1, forward = 0.9, below = {below}, clear = 0.01 }}\n[[item]]\nname = \"battery\"\nmass = 9\nat = [0.5, 0.0, {z}]\nsize = [0.2, 0.2, 0.1]\n"
        )
    };
    for (below, z, wanted) in [
        (0.35, 0.2, 1),
        (0.35, 0.05, 1),
        (0.25, 0.2, 0),
        (0.1, 0.05, 0),
    ] {
        let boat = open_box().boat_with(&file(below, z));
        assert_eq!(told(&boat, "cannot be got at"), wanted, "{below} {z}");
    }
}

/// Derived in closed form: the top of the box lies 70 mm over the one place and its bottom
/// 60 mm under the other; beside a side nothing straight up is meant.
#[test]
fn a_middle_off_the_skin_is_told_how_far_up_the_skin_is() {
    for (centre, says) in [
        (
            "[1.2, 0.0, 0.33]",
            "straight above it the skin is 70 mm higher",
        ),
        (
            "[1.2, 0.0, 0.06]",
            "straight below it the skin is 60 mm lower",
        ),
        ("[1.2, -0.3, 0.25]", "by tape with a side alone"),
    ] {
        let opening = format!(
            "[[opening]]\nname = \"it\"\ncircle = {{ centre = {centre}, diameter = 0.1 }}\n"
        );
        let told = refused(&box_from_stern(), &opening);
        assert!(told.contains(says), "{centre}: {told}");
    }
}

#[test]
fn an_item_through_a_bulkhead_is_told_once_and_what_to_do() {
    let file = "[[part]]\nname = \"wall\"\nbulkhead = { station = 0.5, compartment = \"stern\", closes = \"aft\" }\n[[item]]\nname = \"tank\"\nmass = 9\nat = [0.5, 0, 0.1]\nsize = [0.4, 0.2, 0.2]\n";
    let boat = open_box().boat_with(file);
    assert_eq!(told(&boat, "item \"tank\""), 1, "{:?}", doubts(&boat));
    assert_eq!(told(&boat, "as two with a `size` each"), 1);
}

/// Derived in closed form: a bulkhead in the box reaches half its breadth to each side.
#[test]
fn a_bulkhead_is_measured_from_the_centre_line() {
    let (boat, _) = made(&open_box(), "bulkhead = { station = 0.5 }");
    let drawn = sheet_of(&boat, "it", 1);
    assert_eq!(drawn.centre_line, Some(Line::Upright));
    assert_eq!(drawn.datum, Some(Line::Level));
    assert!(!drawn.ordinates.is_empty());
    for ordinate in &drawn.ordinates {
        near(ordinate.from_end_m, ordinate.at_m, "up");
        near(-ordinate.reach_m[0], BOX[1] / 2.0, "port");
        near(ordinate.reach_m[1], BOX[1] / 2.0, "starboard");
    }
}

/// Derived in closed form: what closes a panel below is as large as that in a flat top.
#[test]
fn the_floor_under_a_lifted_panel_has_a_template() {
    let panel = "lifted = { centre = [1.0, 0.05, 0.4], length = 0.6, height = 0.4, hinge = \"aft\", angle = 20, closed = true }";
    let (boat, _) = made(&box_from_stern(), panel);
    let drawn = sheet_of(&boat, "it", 3);
    near(drawn.cut.area_m2, 0.6 * 0.4, "floor");
    assert_eq!(drawn.seen, "seen from above, bow to the right: port is up");
    let told = template_of_part(&boat, "it", Some(9)).expect_err("no ninth");
    let told = told.to_string();
    assert!(
        told.contains("there is no --sheet 9, give 1 to 3"),
        "{told}"
    );
    let sponson = "sponson = { aft = 0.3, forward = 1.7, middle = 0.2, width = 0.1 }";
    let (boat, _) = made(&open_box(), sponson);
    let told = template_of_part(&boat, "it", None).expect_err("no sheet");
    assert!(told.to_string().contains("--station"), "{told}");
}

#[test]
fn lengths_that_cannot_be_meant_are_doubted() {
    for (deck, wanted) in [
        ("aft = 0.5", 1),
        ("aft = 2.2", 0),
        ("aft = 0.5, forward = 2.7", 0),
    ] {
        let deck = format!("[[part]]\nname = \"it\"\ndeck = {{ over = \"gunwale\", {deck} }}\n");
        let boat = open_tender().boat_with(&deck);
        assert_eq!(told(&boat, "its deck is"), wanted, "{deck}");
    }
    for (below, wanted) in [("26", 1), ("\"26 cm\"", 0)] {
        let foam = format!(
            "[[part]]\nname = \"foam\"\nfoam = {{ density = 32 }}\nfilling = {{ aft = 0.3, forward = 0.7, below = {below} }}\n"
        );
        let boat = open_box().boat_with(&foam);
        assert_eq!(told(&boat, "`below`"), wanted, "{:?}", doubts(&boat));
    }
}

#[test]
fn one_slip_in_a_part_is_told_once() {
    for (part, says) in [
        (
            "lifted = { centre = [1.0, 0, 0.4], length = 0.6, height = 0.4, hinge = \"back\", height_up = 0.1, closed = true }",
            "hinge",
        ),
        (
            "bulkhead = { station = 0.5, compartment = \"bow\", closes = \"bow\" }",
            "closes",
        ),
        (
            "deck = { over = \"top\", aft = 1.2, forward = 0.8, camber = 0.02, bulkhead = true }",
            "more than `aft`",
        ),
        (
            "foam = { density = 32 }\nfilling = { aft = 0.3, forward = 0.7, above = 0.3, below = 0.2, clear = 0.01, sheet = \"4 cm\" }",
            "more than `above`",
        ),
    ] {
        let tables = format!("[[part]]\nname = \"it\"\n{part}\n");
        let BoatError::File(error) = open_box().try_boat_with(&tables).expect_err("a slip") else {
            panic!("{part}: read");
        };
        let told = error.to_string();
        assert!(told.contains(says), "{part}: {told}");
        assert_eq!(told.matches("boat.toml:").count(), 1, "{part}: {told}");
        for other in ["no effect", "has no `", "belongs to another way"] {
            assert!(!told.contains(other), "{part}: {told}");
        }
    }
}

#[test]
fn a_wall_needs_no_role_and_a_coaming_is_one() {
    let (boat, _) = made(&open_box(), "wall = { round = \"top\", height = 0.1 }");
    assert_eq!(boat.parts.len(), 1);
    let told = refused(
        &open_box(),
        "[[part]]\nname = \"it\"\ncoaming = { round = \"top\", height = 0.1 }\n",
    );
    assert!(
        told.contains("a coaming is a `wall` with `round`"),
        "{told}"
    );
}

#[test]
fn a_room_that_a_part_makes_is_no_change_of_its_own() {
    let hull = "[hull]\nmesh = \"box.stl\"\n";
    let panel = "[[part]]\nname = \"hump\"\nlifted = { centre = [1.0, 0, 0.4], length = 0.6, height = 0.4, hinge = \"aft\", angle = 20, closed = true }\n";
    let read =
        |text: &str| BoatFile::from_bytes("boat.toml", text.as_bytes()).expect("a boat file");
    let (before, after) = (read(hull), read(&format!("{hull}{panel}")));
    assert_eq!(after.compartments.len(), 1);
    for pair in [[&before, &after], [&after, &before]] {
        let all = changes(pair[0], pair[1]);
        assert_eq!(all.len(), 1, "{all:?}");
        let made = awash::boat::with_change(pair[0], &all[0], pair[1]);
        assert_eq!(made.compartments.len(), pair[1].compartments.len());
        assert!(changes(&made, pair[1]).is_empty());
    }
}

/// A pocket on one side and a sponson on both show in the drawings, each by itself, and the
/// pattern of a deck shows the centre line. Internal consistency.
#[test]
fn pockets_sponsons_and_centre_lines_are_drawn() {
    let (bare, _) = made(&open_box(), "bulkhead = { station = 0.5 }");
    for (part, pieces) in [
        (
            "pocket = { centre = [0.5, -0.4, 0.2], length = 0.3, height = 0.2, depth = 0.05 }",
            1,
        ),
        (
            "sponson = { aft = 0.3, forward = 1.7, middle = 0.2, width = 0.1 }",
            2,
        ),
    ] {
        let (boat, _) = made(&open_box(), part);
        let cut = section(&boat, &SectionOptions::default()).expect("cut");
        assert_eq!(cut.drawing.inside_from_above.len(), pieces, "{part}");
        assert_eq!(cut.drawing.inside_from_side.len(), pieces, "{part}");
        let pair = compare([&bare, &boat], None).expect("they float");
        let svg = compare_svg(&pair, UnitSystem::Metric);
        assert!(svg.contains("bulkheads, foam, pockets, sponsons"));
    }
    let deck = "deck = { over = \"top\", aft = 1.2, camber = 0.05 }";
    let (boat, _) = made(&open_box(), deck);
    assert_eq!(sheet_of(&boat, "it", 1).centre_line, Some(Line::Level));
}

/// Where a sheet of foam lies against the hull, the skin is taken off; its holes are measured.
#[test]
fn a_sheet_of_foam_says_that_the_skin_comes_off_and_where_its_holes_are() {
    let foam = "[[part]]\nname = \"foam\"\nfoam = { density = 32 }\nfilling = { aft = 0.3, forward = 0.7, below = 0.2, sheet = \"10 cm\" }\n";
    let item =
        "[[item]]\nname = \"battery\"\nmass = 9\nat = [0.5, 0.1, 0.05]\nsize = [0.2, 0.1, 0.1]\n";
    let boat = open_box().boat_with(&(foam.to_owned() + item));
    let drawn = template_of_part(&boat, "foam", Some(1)).expect("drawn");
    let shown = drawn.sheet(UnitSystem::Metric).to_string();
    let shown = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    for says in [
        "take the skin's thickness off",
        "Hole: from 100 mm to 300 mm along, from 50 mm to 150 mm off the centre line",
    ] {
        assert!(shown.contains(says), "{shown}");
    }
}
