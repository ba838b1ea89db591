//! The same craft somewhere else in its frame gives the same answers: moved along or up,
//! its mesh off the middle with `origin` given, or port and starboard changed over.
//! Only coordinates move with it. Every study, on every hull of the zoo.
use std::fmt::Write as _;
use std::sync::LazyLock;

use awash::boat::{Boat, MeshInMetres};
use awash::immersion::WaterPlane;
use awash::mesh::PrepareOptions;
use awash::numerics::Vec3;
use awash::study::{
    DiveOptions, FloatMark, FoamWish, Knocked, ListKind, Measured, PanelOptions, PlaceOptions,
    Planes, SectionOptions, SillOptions, Skins, calibrate, compare, curves, dive, drill, float,
    flooded, foam, inspect, list, margins, place, report, righting, section, sill, slice, spread,
    swamp, tape, template, trapped,
};
use serde_json::{Map, Value};

use crate::agree::Differ;
use crate::mirrored::{
    alike, alike_within, changed_over, lists_changed_over, paper_turned_over, spreads_alike,
    trapped_alike,
};
use crate::support::json;
use crate::zoo::{ZooHull, zoo};

/// The hull with two things aboard, moved by `by`; its bulkheads go along.
fn laden(hull: &ZooHull, by: Vec3) -> (ZooHull, String) {
    let (lo, hi) = hull.surface.bounds().expect("a hull");
    let mut moved = hull.moved(|p| p + by);
    for ((name, _), own) in moved.openings.iter_mut().zip(["first", "second", "third"]) {
        *name = own; // not after a side
    }
    if hull.name == "bulkhead box" {
        moved.more = format!(
            "[[compartment]]\nname = \"bow\"\nforward_of = {:?}\n[[compartment]]\nname = \"stern\"\naft_of = {:?}\nsealed = true\n[[passage]]\nname = \"limber\"\nbetween = [\"bow\", \"inside\"]\nat = [{:?}, {:?}, {:?}]\ndiameter = \"30 mm\"\n",
            2.2 + by.x,
            0.7 + by.x,
            2.2 + by.x,
            by.y,
            0.05 + by.z
        );
    }
    let mut more = String::new();
    for (name, mass, share, out, up, rest) in [
        ("battery", "12 kg ± 1 kg", 0.4, 0.03, 0.1, "density = 2000"),
        ("crew", "45 kg ± 2 kg", 0.5, 0.0, 0.3, "person = true"),
    ] {
        let at = Vec3::new(lo.x + share * (hi.x - lo.x), out, lo.z + up) + by;
        writeln!(
            more,
            "[[item]]\nname = \"{name}\"\nmass = \"{mass}\"\nat = [{:?}, {:?}, {:?}]\n{rest}",
            at.x, at.y, at.z
        )
        .expect("text");
    }
    (moved, more)
}

/// The boat of a hull of known material, so that dived it displaces too; `keys` go into
/// its `[hull]`.
fn boat_of(hull: &ZooHull, more: &str, keys: &str) -> Boat {
    let folder = tempfile::tempdir().expect("a folder");
    let file = hull.write(folder.path(), more);
    let text = std::fs::read_to_string(&file).expect("text");
    let units = "units = \"m\"\n";
    let text = text.replace(units, &format!("{units}density = 950\n{keys}"));
    std::fs::write(&file, text).expect("written");
    let mut boat = Boat::load(&file).unwrap_or_else(|error| panic!("{}: {error}", hull.name));
    // The folder has another name each time.
    for doubt in &mut boat.doubts {
        let text = doubt.to_string();
        doubt.text = text
            .replace(&folder.path().display().to_string(), "")
            .into();
    }
    boat
}

/// Hulls of which the report, which makes all studies once more, is held too.
const REPORTED: [&str; 2] = ["open tender", "bulkhead box"];

/// A hull where it was made, and what all studies say of it.
struct Still {
    hull: ZooHull,
    laden: ZooHull,
    more: String,
    answers: Map<String, Value>,
}

/// Every hull of the zoo, studied once for all tests.
static STILL: LazyLock<Vec<Still>> = LazyLock::new(|| {
    let studied = |hull: ZooHull| {
        let (laden, more) = laden(&hull, Vec3::zeros());
        let answers = answers(&boat_of(&laden, &more, ""), HEEL_DEG);
        Still {
            hull,
            laden,
            more,
            answers,
        }
    };
    zoo().into_iter().map(studied).collect()
});
const HEEL_DEG: f64 = 3.0;
/// Draws of `spread`.
const DRAWS: u32 = 200;

/// Every study of a boat as JSON, one that cannot answer as why.
fn answers(boat: &Boat, heel_deg: f64) -> Map<String, Value> {
    fn said<T: awash::present::Present, E: std::fmt::Display>(result: Result<T, E>) -> Value {
        match result {
            Ok(result) => json(&result),
            Err(why) => Value::String(format!("no answer: {why}")),
        }
    }
    let first = boat.openings[0].name.clone();
    let of = |name: &str, study: &dyn Fn() -> Value| (name.to_owned(), study());
    let few = PlaceOptions {
        grid: [4, 3],
        ..PlaceOptions::default()
    };
    let heights = SillOptions {
        heights: 2,
        ..SillOptions::default()
    };
    let cuts = SectionOptions {
        stations: Planes::Even(5),
        waterlines: Planes::Even(3),
        buttocks: Planes::Even(3),
        ..SectionOptions::default()
    };
    let pair = [boat.clone(), boat.clone()];
    let (lo, hi) = boat.envelope.surface.bounds().expect("a hull");
    let size = hi - lo;
    // A water plane over the hull's foot amidships, so that it goes along.
    let foot = Vec3::new(lo.x + size.x / 2.0, 0.0, lo.z);
    let over_foot = WaterPlane::at_attitude(heel_deg, 0.5, 0.35 * size.z);
    let plane = WaterPlane {
        up: over_foot.up,
        level_m: over_foot.level_m + over_foot.up.dot(&foot),
    };
    let marks = [0.1, 0.5, 0.8].into_iter().flat_map(|share| {
        [0.4, -0.4].map(|out| {
            let at = foot + Vec3::new((share - 0.5) * size.x, out * size.y, 0.8 * size.z);
            FloatMark::new(at, plane.height_m(&at) + 0.004 * (share - 0.4))
        })
    });
    let measured = Measured {
        marks: marks.collect(),
        ..Measured::default()
    };
    let (tree, water) = (&boat.tree, &boat.water);
    let station = lo.x + 0.43 * size.x;
    let panel = PanelOptions {
        thickness_m: 0.012,
        allow_m: 0.003,
        skins: Skins::even(0.004),
    };
    [
        of("float", &|| said(float(boat))),
        of("curves", &|| json(&curves(boat, 0.0, 5))),
        of("margins", &|| said(margins(boat))),
        of("righting", &|| said(righting(boat))),
        of("swamp", &|| said(swamp(boat, &Knocked::default()))),
        of("flooded", &|| said(flooded(boat))),
        of("foam", &|| said(foam(boat, &FoamWish::default()))),
        of("dive", &|| said(dive(boat, &DiveOptions::default()))),
        of("trapped", &|| json(&trapped(boat, heel_deg, -12.0))),
        of("tape", &|| said(tape(boat, &Planes::Even(5)))),
        of("drill", &|| said(drill([("one", boat)]))),
        of("list", &|| said(list(boat, ListKind::Weights))),
        of("section", &|| said(section(boat, &cuts))),
        of("place", &|| said(place(boat, "battery", &few))),
        of("sill", &|| said(sill(boat, &first, &heights))),
        of("spread", &|| said(spread(boat, DRAWS, 1))),
        of("compare", &|| said(compare(&pair, None))),
        of("calibrate", &|| said(calibrate(boat, &measured))),
        of("template", &|| said(template(boat, 0, station, None))),
        of("panel", &|| said(template(boat, 0, station, Some(&panel)))),
        of("floor", &|| {
            said(template(boat, 2, lo.z + 0.57 * size.z, None))
        }),
        of("slice", &|| {
            json(&slice(&boat.name, tree, &plane, water, &[]))
        }),
        of("report", &|| match REPORTED.contains(&boat.name.as_str()) {
            true => said(report(boat, None)),
            false => Value::Null,
        }),
    ]
    .into_iter()
    .collect()
}

/// All that differs between the studies of a hull and those of its boat moved.
fn differences(still: &Still, moved: &Boat, by: Vec3) -> Vec<String> {
    let two = answers(moved, HEEL_DEG);
    let mut differ = Differ::moved(by);
    for (name, value) in &still.answers {
        differ.look(name, value, &two[name]);
    }
    differ.found
}

fn hold(hull: &ZooHull, found: &[String]) {
    assert!(
        found.is_empty(),
        "{}: {} differ\n{}",
        hull.name,
        found.len(),
        found[..found.len().min(12)].join("\n")
    );
}

#[test]
fn a_craft_moved_along_and_up_with_all_aboard_gives_the_same_answers() {
    let by = Vec3::new(0.731, 0.0, 0.377);
    for still in STILL.iter() {
        let (moved, more) = laden(&still.hull, by);
        let found = differences(still, &boat_of(&moved, &more, ""), by);
        hold(&still.hull, &found);
    }
}

/// The mesh half a metre off the middle, and the file says so: every number stays, also
/// places.
#[test]
fn a_mesh_off_the_middle_with_origin_given_gives_the_same_answers() {
    for still in STILL.iter() {
        let mut away = still.laden.clone();
        for v in &mut away.surface.vertices {
            v.y += 0.5;
        }
        let away = boat_of(&away, &still.more, "origin = [0, 0.5, 0]\n");
        hold(&still.hull, &differences(still, &away, Vec3::zeros()));
    }
}

/// `inspect` looks at a mesh alone.
fn inspected(hull: &ZooHull) -> Value {
    let read = MeshInMetres {
        surface: hull.surface.clone(),
        options: PrepareOptions::default(),
        doubts: Vec::new(),
        unit_guess: None,
        carried: None,
        metres_a_unit: Some(1.0),
    };
    json(&inspect(hull.name, read, &|_| ()))
}

/// Its centre plane is fitted by steps that end near the least, so it is not held by side.
/// Hulls alike about more than one plane or end for end are taken as they lie.
#[test]
fn a_mesh_anywhere_and_with_its_sides_changed_over_looks_the_same() {
    /// No plane mirrors it: what is fitted hangs on rounding.
    const UNLIKE: &str = "lopsided tender";
    for hull in zoo().into_iter().filter(|hull| hull.name != UNLIKE) {
        let mut one = inspected(&hull);
        let by = Vec3::new(0.731, 0.0, 0.377);
        let mut differ = Differ::moved(by);
        let moved = inspected(&hull.moved(|p| p + by));
        differ.look("inspect", &one, &moved);
        hold(&hull, &differ.found);
        let mut over = inspected(&hull.mirrored());
        for answer in [&mut one, &mut over] {
            for fitted in ["posture", "symmetry_error_mm"] {
                answer[fitted] = Value::Null;
            }
            // As it would be once set upright by that plane.
            for hole in answer["loops"].as_array_mut().into_iter().flatten() {
                hole["lowest_m"] = Value::Null;
            }
        }
        let said = alike("inspect", &changed_over("", &one), &over);
        assert_eq!(said, Ok(()), "{}", hull.name);
    }
}

/// A hull stood on its stern says so when it is read, and what to write against it.
#[test]
fn a_hull_on_end_is_doubted() {
    let mut stood = zoo().remove(0).moved(|p| Vec3::new(-p.z, p.y, p.x));
    stood.mass_kg = 200.0;
    let doubts = |boat: &Boat| {
        let doubts = boat.doubts.iter().map(ToString::to_string);
        doubts.collect::<Vec<_>>().join("\n")
    };
    let boat = boat_of(&stood, "", "");
    let said = doubts(&boat);
    assert!(said.contains("on end: it is 3.20 m high"), "{said}");
    // What it says to write puts it right.
    let cure = said.split("In [hull] write ").nth(1).expect("a cure");
    let cure = cure.split(';').next().unwrap_or(cure);
    let lines = cure.replace(" and origin", "\norigin") + "\n";
    let (lo, hi) = boat_of(&stood, "", &lines)
        .envelope
        .surface
        .bounds()
        .expect("a hull");
    let size = hi - lo;
    assert!((size.x - 3.2).abs() < 0.05 && size.z < 0.7, "{size:?}");
}

#[test]
fn a_craft_with_its_sides_changed_over_gives_the_mirrored_answers() {
    let mut found = Vec::new();
    for still in STILL.iter() {
        assert!(still.more.contains("at = ["));
        let over = still.more.replace(", 0.03, ", ", -0.03, ");
        let two = answers(&boat_of(&still.laden.mirrored(), &over, ""), -HEEL_DEG);
        for (name, value) in &still.answers {
            // Its cap hangs on where its rim's ring begins (0.03 % of its capacity).
            if still.hull.name == "lopsided tender" {
                continue;
            }
            let wanted = changed_over(name, value);
            let held = match name.as_str() {
                "spread" => spreads_alike(&wanted, &two[name]),
                "trapped" => trapped_alike(&wanted, &two[name]),
                "template" | "floor" => alike(name, &paper_turned_over(value), &two[name]),
                // Its faces are cut on whole numbers, 2e-9 m apart on such a craft.
                "panel" => alike_within(1e-8, name, &paper_turned_over(value), &two[name]),
                _ => others_alike(name, wanted, two[name].clone()),
            };
            if let Err(why) = held {
                found.push(format!("{}: {name}{why}", still.hull.name));
            }
        }
    }
    assert!(
        found.is_empty(),
        "{} differ\n{}",
        found.len(),
        found.join("\n")
    );
}

/// All of a study, but for what the report holds of `spread`, which draws at random.
fn others_alike(name: &str, mut wanted: Value, mut two: Value) -> Result<(), String> {
    lists_changed_over(&mut wanted);
    if let Some(within) = wanted.get_mut("righting") {
        lists_changed_over(within);
    }
    let drawn = |all: &mut Value| all.get_mut("spread").map(Value::take);
    if let (Some(one), Some(two)) = (drawn(&mut wanted), drawn(&mut two)) {
        spreads_alike(&one, &two)?;
    }
    alike(name, &wanted, &two)
}
