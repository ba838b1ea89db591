//! Places by tape readings, on hulls whose every length is known.
use std::path::Path;

use awash::boat::{Boat, BoatFile, LeftOpen, Lie, Readings, read_mesh};
use awash::equilibrium::Afloat;
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem;
use awash::study::{Asked, FromScan, MarkPlaces, Measured, float, starting_file, whereabouts};

use crate::support::{json, number, text};
use crate::zoo::{ZooHull, decked_hull, narrow_box, open_tender, zoo};

fn load(hull: &ZooHull, more: &str) -> Result<Boat, String> {
    let folder = tempfile::tempdir().expect("a folder");
    Boat::load(&hull.write(folder.path(), more)).map_err(|error| error.to_string())
}

fn item_at(hull: &ZooHull, at: &str) -> Result<Vec3, String> {
    let more = format!("[[item]]\nname = \"thing\"\nmass = 5\nat = {at}\n");
    let boat = load(hull, &more)?;
    let thing = boat.masses.iter().find(|entry| entry.name == "thing");
    Ok(thing.expect("it is aboard").centre_m)
}

fn near(found: Vec3, wanted: [f64; 3]) {
    assert!(
        (found - Vec3::from(wanted)).norm() < 1e-9,
        "{found} {wanted:?}"
    );
}

/// The narrow box: x 0 to 5, y ± 0.125, z 0 to 0.3; its rim is the edge of its deck.
#[test]
fn readings_on_a_box_are_where_a_ruler_says() {
    let hull = narrow_box();
    for (at, wanted) in [
        (
            "{ from_stem = \"1.2 m\", from_middle = \"3 cm port\", over_base = \"25 cm\" }",
            [3.8, 0.03, 0.25],
        ),
        (
            "{ from_stern = \"1.2 m\", from_middle = \"3 cm starboard\", below_rim = \"25 cm\" }",
            [1.2, -0.03, 0.05],
        ),
        (
            "{ from_stern = 1, from_middle = 0, below_rim = \"-4 cm\" }",
            [1.0, 0.0, 0.34],
        ),
        (
            "{ from_stem = \"1 ft\", from_middle = \"starboard\", over_base = \"10 cm\" }",
            [4.6952, -0.125, 0.1],
        ),
        (
            "{ from_stem = 1, from_middle = \"port\", below_rim = \"12 cm\", along_skin = true }",
            [4.0, 0.125, 0.18],
        ),
        // 0.125 m along the bottom, the rest up the side.
        (
            "{ from_stem = 1, from_middle = \"20 cm port\", along_skin = true }",
            [4.0, 0.125, 0.075],
        ),
        // Past the corner below: 0.3 m down the side, 0.05 m in along the bottom.
        (
            "{ from_stem = 1, from_middle = \"port\", below_rim = \"35 cm\", along_skin = true }",
            [4.0, 0.075, 0.0],
        ),
    ] {
        near(
            item_at(&hull, at).unwrap_or_else(|error| panic!("{at}: {error}")),
            wanted,
        );
    }
}

#[test]
fn readings_count_from_the_hull_wherever_it_lies() {
    for by in [
        Vec3::zeros(),
        Vec3::new(3.0, 0.0, -0.7),
        Vec3::new(0.0, 0.5, 0.0),
    ] {
        let hull = narrow_box().moved(|p| p + by);
        let at = "{ from_stem = 1, from_middle = \"20 cm port\", along_skin = true }";
        let found = item_at(&hull, at).expect("a place");
        let off = (found - by - Vec3::new(4.0, 0.125, 0.075)).norm();
        // The middle of a hull off y = 0 is found from its shape.
        assert!(off < if by.y == 0.0 { 1e-9 } else { 1e-4 }, "{by} {found}");
    }
}

#[test]
fn a_boat_by_tape_is_the_boat_by_coordinates() {
    let hull = narrow_box();
    let with = |deck: [&str; 2], at: &str, wall: &str, hole: [&str; 2], passage: &str| {
        format!(
            "[[part]]\nname = \"deck\"\nrole = \"add\"\nmass = 2\nbox = {{ min = {}, max = {} }}\n[[item]]\nname = \"thing\"\nmass = 5\nat = {at}\nvolume_at = {at}\nvolume = \"2 L\"\n[[compartment]]\nname = \"bow\"\nforward_of = {wall}\n[[opening]]\nname = \"hole\"\ncylinder = {{ from = {}, to = {}, diameter = \"40 mm\" }}\n[[passage]]\nname = \"limber\"\nbetween = [\"bow\", \"inside\"]\nat = {passage}\ndiameter = \"20 mm\"\n",
            deck[0], deck[1], hole[0], hole[1]
        )
    };
    let taped = with(
        [
            "{ from_stern = 1, from_middle = \"10 cm starboard\", below_rim = \"2 cm\" }",
            "{ from_stem = \"3.5 m\", from_middle = \"10 cm port\", over_base = \"35 cm\" }",
        ],
        "{ from_stem = 3, from_middle = \"2 cm port\", over_base = \"10 cm\" }",
        "{ from_stem = 2 }",
        [
            "{ from_stem = 1, from_middle = \"5 cm port\", over_base = \"20 cm\" }",
            "{ from_stem = 1, from_middle = \"20 cm port\", over_base = \"20 cm\" }",
        ],
        "{ from_stem = 2, from_middle = 0, over_base = \"5 cm\" }",
    );
    let plain = with(
        ["[1, -0.1, 0.28]", "[1.5, 0.1, 0.35]"],
        "[2, 0.02, 0.1]",
        "3",
        ["[4, 0.05, 0.2]", "[4, 0.2, 0.2]"],
        "[3, 0, 0.05]",
    );
    let [taped, plain] = [taped, plain].map(|more| load(&hull, &more).expect("it loads"));
    assert_eq!(taped.openings.len(), 2);
    let [taped, plain] = [taped, plain].map(|boat| json(&float(&boat).expect("it floats")));
    crate::mirrored::alike("", &taped, &plain).expect("the same");
}

#[test]
fn the_doubt_of_a_reading_goes_to_its_own_axis() {
    let boat = load(
        &narrow_box(),
        "[[item]]\nname = \"thing\"\nmass = 5\nat = { from_stem = \"1 m ± 2 cm\", from_middle = \"3 cm port ± 1 cm\", over_base = \"10 cm ± 3 cm\" }\n[[opening]]\nname = \"side\"\nrim = [{ from_stem = 2, from_middle = \"port\", below_rim = \"5 cm ± 4 mm\", along_skin = true }]\n",
    )
    .expect("it loads");
    let thing = boat
        .masses
        .iter()
        .find(|entry| entry.name == "thing")
        .expect("aboard");
    assert!((thing.centre_spread_m - Vec3::new(0.02, 0.01, 0.03)).norm() < 1e-12);
    let side = boat
        .openings
        .iter()
        .find(|opening| opening.name == "side")
        .expect("there");
    assert!((side.rim_spread_m - 0.004).abs() < 1e-12);
}

/// A nearer file's readings stand whole instead of those that they replace.
#[test]
fn readings_are_not_mixed_with_those_of_the_file_extended() {
    let folder = tempfile::tempdir().expect("a folder");
    let item = |at: &str| format!("[[item]]\nname = \"thing\"\nmass = 5\nat = {at}\n");
    let first = narrow_box().write(
        folder.path(),
        &(item("{ from_stem = 1, from_middle = 0, over_base = \"10 cm\" }")
            + "[[condition]]\nname = \"aft\"\n[[condition.item]]\nname = \"thing\"\nat = { from_stern = 1, from_middle = 0, below_rim = \"10 cm\" }\n"),
    );
    let second = folder.path().join("second.toml");
    let text = "extends = \"boat.toml\"\n".to_owned()
        + &item("{ from_stern = 2, from_middle = \"1 cm port\", below_rim = \"10 cm\" }");
    std::fs::write(&second, text).expect("written");
    let at = |path: &Path| {
        let boat = Boat::load(path).unwrap_or_else(|error| panic!("{error}"));
        boat.masses.last().expect("aboard").centre_m
    };
    near(at(&first), [4.0, 0.0, 0.1]);
    near(at(&second), [2.0, 0.01, 0.2]);
    near(at(&folder.path().join("boat.toml#aft")), [1.0, 0.0, 0.2]);
}

#[test]
fn readings_that_give_no_place_say_what_is_missing() {
    for (at, said) in [
        (
            "{ from_stem = 1, from_stern = 1, from_middle = 0, over_base = 0 }",
            "both say where along",
        ),
        (
            "{ from_middle = 0, over_base = 0 }",
            "where along the boat is missing",
        ),
        (
            "{ from_stem = 1, over_base = 0 }",
            "`from_middle` is missing",
        ),
        (
            "{ from_stem = 1, from_middle = 0.3, over_base = 0 }",
            "needs its side",
        ),
        (
            "{ from_stem = 1, from_middle = \"-3 cm port\", over_base = 0 }",
            "never less than 0",
        ),
        (
            "{ from_stem = 1, from_middle = 0 }",
            "the height is missing",
        ),
        (
            "{ from_stem = 1, from_middle = 0, over_base = 0, below_rim = 0 }",
            "leave one out",
        ),
        (
            "{ from_stem = 1, from_middle = 0, over_base = 25 }",
            "above the hull",
        ),
        (
            "{ from_stem = 120, from_middle = 0, over_base = 0 }",
            "aft of the stern",
        ),
        (
            "{ from_stem = 9, from_middle = 0, below_rim = 0 }",
            "no skin",
        ),
        (
            "{ from_stem = 1, from_middle = \"port\", over_base = \"40 cm\" }",
            "does not come to that height",
        ),
        (
            "{ from_stem = 1, from_middle = \"port\", below_rim = 2, along_skin = true }",
            "is more than the 425 mm",
        ),
        (
            "{ from_stem = 1, from_middle = 0, below_rim = 0, along_skin = true }",
            "needs a side",
        ),
        (
            "{ from_stem = 1, from_middle = 0, over_base = \"3 lb\" }",
            "over_base",
        ),
        (
            "{ from_stem = 1, from_middle = 0, over_base = 0, colour = 1 }",
            "unknown key `colour`",
        ),
    ] {
        let error = item_at(&narrow_box(), at).expect_err(at);
        assert!(error.contains(said), "{at}: {error}");
        assert!(error.contains("boat.toml:"), "{at}: {error}");
    }
    let shifted = "[[part]]\nname = \"box\"\nrole = \"add\"\nat = [1, 0, 0]\nbox = { centre = { from_stem = 1, from_middle = 0, over_base = 0.3 }, size = [0.1, 0.1, 0.1] }\n";
    let error = load(&narrow_box(), shifted).expect_err("moved twice");
    assert!(error.contains("take `at` out"), "{error}");
}

#[test]
fn where_turns_readings_into_coordinates_and_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = open_tender().write(folder.path(), "");
    let boat = Boat::load(&file).expect("a boat");
    let hull = BoatFile::read(&file)
        .expect("read")
        .hull_on_tape()
        .expect("a hull");
    let asked = [
        "from_stem 1.2 m, from_middle 30 cm port, over_base 25 cm",
        "{ from_stern = \"0.7 m\", from_middle = \"starboard\", below_rim = \"12 cm\", along_skin = true }",
    ]
    .map(|words| (words.to_owned(), Asked::Taped(Readings::parse(words).expect("readings"))));
    let there = whereabouts(&boat, &hull, &asked).expect("places");
    let back: Vec<_> = there
        .places
        .iter()
        .map(|place| (place.asked.clone(), Asked::At(place.at_m.into())))
        .collect();
    let back = json(&whereabouts(&boat, &hull, &back).expect("places"));
    let [one, two] = [&back["places"][0], &back["places"][1]];
    for (place, key, wanted) in [
        (one, "from_stem_m", 1.2),
        (one, "to_port_m", 0.3),
        (one, "over_base_m", 0.25),
        (two, "from_stern_m", 0.7),
        (two, "below_rim_along_skin_m", 0.12),
    ] {
        assert!((number(place, key) - wanted).abs() < 1e-9, "{key}: {place}");
    }
    assert!(number(two, "to_port_m") < 0.0);
    let shown = there.sheet(UnitSystem::Metric).to_string();
    assert!(
        shown.contains("30 cm port") && shown.contains("along the skin"),
        "{shown}"
    );
}

#[test]
fn float_marks_go_by_opening_and_by_tape() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = narrow_box().write(folder.path(), "");
    let text = std::fs::read_to_string(&file).expect("text");
    let unsure = "name = \"hatch\"\nheight_error = \"4 mm\"";
    let text = text.replace("name = \"hatch\"", unsure);
    std::fs::write(&file, text).expect("written");
    let boat = Boat::load(&file).expect("it loads");
    let hull = BoatFile::read(&file)
        .expect("read")
        .hull_on_tape()
        .expect("a hull");
    let afloat = Afloat::of(&boat);
    let places = MarkPlaces {
        afloat: &afloat,
        hull: &hull,
    };
    let measured = folder.path().join("measured.toml");
    let read = |text: &str| {
        std::fs::write(&measured, text).expect("written");
        Measured::read(&awash::files::Disk, &measured, Some(&places))
            .map_err(|error| error.to_string())
    };
    let marks = read("[[float_mark]]\nopening = \"hatch\"\nover_water = \"15 cm\"\n[[float_mark]]\nat = { from_stem = 1, from_middle = \"port\", below_rim = \"5 cm ± 2 mm\" }\nover_water = \"10 cm\"\n")
        .expect("marks")
        .marks;
    let at = |k: usize| Vec3::from(marks[k].at.map(|axis| axis.value));
    assert!(
        boat.openings[0]
            .rim
            .iter()
            .any(|point| (point - at(0)).norm() < 1e-12)
    );
    // The rim's height is as sure as the file says.
    assert_eq!(marks[0].at.map(|axis| axis.spread), [0.0, 0.0, 0.004]);
    near(at(1), [4.0, 0.125, 0.25]);
    assert_eq!(marks[1].at[2].spread, 0.002);
    let error =
        read("[[float_mark]]\nopening = \"hatsh\"\nover_water = \"15 cm\"\n").expect_err("no such");
    assert!(
        error.contains("no opening \"hatsh\"") && error.contains("hatch"),
        "{error}"
    );
}

fn lie_doubt(boat: &Boat) -> Option<String> {
    let mut doubts = boat.doubts.iter().map(ToString::to_string);
    doubts.find(|text| text.contains("boat frame"))
}

#[test]
fn a_hull_that_lies_right_is_not_doubted() {
    // The bulkheads of one of them would stay where they are.
    for hull in zoo().into_iter().filter(|hull| hull.more.is_empty()) {
        for hull in [
            hull.clone(),
            hull.mirrored(),
            hull.moved(|p| p + Vec3::new(1.0, 0.0, 0.4)),
        ] {
            assert_eq!(lie_doubt(&hull.boat()), None, "{}", hull.name);
        }
    }
}

#[test]
fn a_hull_of_unlike_sides_well_off_the_middle_is_doubted() {
    let mut hull = crate::zoo::lopsided_tender().moved(|p| p + Vec3::y() * 0.37);
    // Tholes on one side only: no plane mirrors it.
    hull.surface = {
        let mut surface = hull.surface;
        let bulge = |p: &Vec3| {
            if p.y > 0.7 {
                0.2 * (p.x * 1.3).sin().abs()
            } else {
                0.0
            }
        };
        for point in &mut surface.vertices {
            point.y += bulge(point);
        }
        surface
    };
    let doubt = lie_doubt(&hull.boat()).expect("it is doubted");
    assert!(
        doubt.contains("y = 0") && doubt.contains("origin"),
        "{doubt}"
    );
}

/// Where a point of a hull that lies right goes.
type Way = fn(&Vec3) -> Vec3;

/// How a hull may lie wrong: the way there, and what must be told.
fn wrongly_laid() -> Vec<(Way, &'static str)> {
    fn turned(p: &Vec3, axis: nalgebra::Unit<Vec3>, deg: f64) -> Vec3 {
        nalgebra::Rotation3::from_axis_angle(&axis, f64::to_radians(deg)) * p
    }
    vec![
        (|p| p + Vec3::new(0.0, 0.5, 0.0), "500 mm to port of y = 0"),
        (
            |p| p - Vec3::new(0.0, 0.02, 0.0),
            "20 mm to starboard of y = 0",
        ),
        (
            |p| turned(p, Vec3::z_axis(), 4.0),
            "it lies skewed: its bow points 4.0° to port",
        ),
        (
            |p| turned(p, Vec3::x_axis(), 3.0),
            "lists 3.0° to starboard",
        ),
        (|p| turned(p, Vec3::z_axis(), 180.0), "looks reversed"),
        (|p| turned(p, Vec3::x_axis(), 180.0), "looks upside down"),
        (|p| turned(p, Vec3::z_axis(), 90.0), "lies across"),
    ]
}

#[test]
fn a_hull_that_lies_wrong_is_doubted_and_init_writes_the_cure() {
    let right = open_tender();
    let sill = |path: &Path| {
        let boat = Boat::load(path).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(lie_doubt(&boat), None, "{}", path.display());
        let result = json(&float(&boat).expect("it floats"));
        number(&result["openings"][0], "freeboard_m")
    };
    let folder = tempfile::tempdir().expect("a folder");
    let start = |hull: &ZooHull, name: &str| {
        let folder = folder.path().join(name);
        std::fs::create_dir_all(&folder).expect("a folder");
        hull.write(&folder, "");
        let read = read_mesh(
            &awash::files::Disk,
            &folder.join("hull.obj"),
            Some(1.0),
            false,
        )
        .expect("a mesh");
        let start =
            starting_file("hull.obj", "init.toml", read, &FromScan::default()).expect("text");
        let path = folder.join("init.toml");
        std::fs::write(&path, &start.text).expect("written");
        (sill(&path), start.text)
    };
    let (wanted, text_of_right) = start(&right, "right");
    assert!(!text_of_right.contains("origin =") && !text_of_right.contains("turn ="));
    for (number, (way, told)) in wrongly_laid().into_iter().enumerate() {
        let wrong = right.moved(way);
        let doubt = lie_doubt(&wrong.boat()).unwrap_or_else(|| panic!("{told}: not doubted"));
        assert!(doubt.contains(told), "{told}: {doubt}");
        assert!(
            doubt.contains("origin = [") || doubt.contains("turn = {"),
            "{doubt}"
        );
        let (found, _) = start(&wrong, &number.to_string());
        // Across, its keel is brought level too.
        let room = if told == "lies across" { 0.02 } else { 1e-3 };
        assert!((found - wanted).abs() < room, "{told}: {found} {wanted}");
    }
}

/// Half a millimetre is less than a mesh shows; a turn of nothing says that it lies right.
#[test]
fn little_is_not_told_and_the_file_has_the_last_word() {
    let right = open_tender();
    assert_eq!(
        lie_doubt(&right.moved(|p| p + Vec3::new(0.0, 5e-4, 0.0)).boat()),
        None
    );
    let folder = tempfile::tempdir().expect("a folder");
    let aft = right.moved(|p| Vec3::new(3.2 - p.x, -p.y, p.z));
    let file = aft.write(folder.path(), "");
    let said = std::fs::read_to_string(&file).expect("text");
    let said = said.replace("units = \"m\"\n", "units = \"m\"\nturn = { about_z = 0 }\n");
    std::fs::write(&file, said).expect("written");
    assert_eq!(lie_doubt(&Boat::load(&file).expect("it loads")), None);
    let ends_alike = decked_hull();
    let read = |hull: &ZooHull| {
        let path = hull.write(folder.path(), "").with_file_name("hull.obj");
        let mesh = read_mesh(&awash::files::Disk, &path, Some(1.0), false).expect("a mesh");
        Lie::of(&mesh.into_hull().expect("a hull"), false)
    };
    assert!(
        read(&ends_alike.moved(|p| Vec3::new(4.2 - p.x, -p.y, p.z)))
            .faults
            .is_empty()
    );
}

#[test]
fn a_hull_weighed_without_its_centre_balances_at_the_middle_of_its_skin() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = open_tender().write(folder.path(), "");
    let text = std::fs::read_to_string(&file).expect("text");
    let centre = text
        .lines()
        .find(|line| line.starts_with("centre"))
        .expect("there");
    let skinned = text.replace(centre, "").replace(
        "mass = 300.0",
        "skin = { thickness = \"4 mm\", density = 1500 }",
    );
    std::fs::write(&file, text.replace(centre, "")).expect("written");
    let weighed = Boat::load(&file).unwrap_or_else(|error| panic!("{error}"));
    std::fs::write(&file, skinned).expect("written");
    let skin = Boat::load(&file).unwrap_or_else(|error| panic!("{error}"));
    assert!((weighed.masses[0].centre_m - skin.masses[0].centre_m).norm() < 1e-12);
    assert!((weighed.masses[0].mass_kg - 300.0).abs() < 1e-12);
    assert!(weighed.doubts.iter().any(|doubt| {
        doubt
            .to_string()
            .contains("[hull] has a mass and no `centre`")
    }));
    assert!(
        !skin
            .doubts
            .iter()
            .any(|doubt| doubt.to_string().contains("no `centre`"))
    );
}

#[test]
fn a_cover_needs_what_it_covers_and_its_mass() {
    let boat = load(&narrow_box(), "[[part]]\ncovers = \"hatch\"\nmass = 1.5\n").expect("it loads");
    let cover = boat
        .masses
        .iter()
        .find(|entry| entry.name == "cover of hatch")
        .expect("there");
    // The hatch is a ring about 0.6, 0, 0.3.
    near(cover.centre_m, [0.6, 0.0, 0.3]);
    assert_eq!(cover.mass_kg, 1.5);
    assert!(!boat.openings[0].lets_water_in());
    let error = load(
        &narrow_box(),
        "[[part]]\ncovers = \"hatch\"\nskin = { thickness = \"4 mm\", density = 1500 }\n",
    )
    .expect_err("no shape");
    assert!(error.contains("`mesh`"), "{error}");
}

#[test]
fn a_drain_says_whether_its_plug_is_in() {
    let drain = |plug: &str| {
        let more = format!(
            "[[opening]]\nname = \"drain\"\nrim = [[0.0, 0.0, 0.02]]\nstate = \"drain\"\n{plug}"
        );
        load(&narrow_box(), &more).expect("it loads")
    };
    let told = |boat: &Boat| {
        boat.left_open
            .iter()
            .any(|open| matches!(open, LeftOpen::Plug { .. }))
    };
    let [unsaid, out, within] = ["", "plug = \"out\"\n", "plug = \"in\"\n"].map(drain);
    assert!(told(&unsaid) && !told(&out) && !told(&within));
    assert!(unsaid.openings[1].lets_water_in() && out.openings[1].lets_water_in());
    assert!(!within.openings[1].lets_water_in());
    let more = "[[opening]]\nname = \"vent\"\nrim = [[0.0, 0.0, 0.2]]\nplug = \"in\"\n";
    let error = load(&narrow_box(), more).expect_err("no drain");
    assert!(error.contains("only a drain has a plug"), "{error}");
}

#[test]
fn a_hole_wider_than_the_hull_is_told_with_the_likely_slip() {
    // 60, meant as millimetres, from inside out: it swallows the whole section.
    let hole = |wide: &str| {
        format!(
            "[[opening]]\nname = \"cable\"\ncylinder = {{ from = [2, 0, 0.2], to = [2.02, 0, 0.2], diameter = {wide} }}\n"
        )
    };
    let found = match load(&narrow_box(), &hole("60")) {
        Ok(boat) => {
            let doubts = boat.doubts.iter().map(ToString::to_string);
            doubts.collect::<Vec<_>>().join("\n")
        }
        Err(error) => error,
    };
    assert!(found.contains("write its numbers with \"mm\""), "{found}");
    let long = open_tender().moved(|p| p * 111.0);
    let doubt = long
        .boat()
        .doubts
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join("\n");
    assert!(
        doubt.contains("355.200 m long, which no small craft is"),
        "{doubt}"
    );
    let said = json(&float(&narrow_box().boat()).expect("it floats"));
    assert!(!text(&said, "name").is_empty());
}
