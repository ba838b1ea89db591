//! The same craft somewhere else in its frame gives the same answers: moved along or up,
//! its mesh off the middle with `origin` given, or port and starboard changed over.
//! Only coordinates move with it. Every study, on every hull of the zoo.
use std::fmt::Write as _;

use awash::boat::Boat;
use awash::numerics::Vec3;
use awash::study::{
    DiveOptions, FoamWish, Knocked, ListKind, PlaceOptions, Planes, SectionOptions, SillOptions,
    compare, curves, dive, drill, float, flooded, foam, list, margins, place, righting, section,
    sill, spread, swamp, tape, trapped,
};
use serde_json::{Map, Value};

use crate::support::json;
use crate::zoo::{ZooHull, zoo};

/// Numbers agree to this share, or this much near zero.
const EXACT: f64 = 1e-9;

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
    Boat::load(&file).unwrap_or_else(|error| panic!("{}: {error}", hull.name))
}

/// Every study of a boat as JSON, one that can not answer by its error's first word.
fn answers(boat: &Boat, heel_deg: f64) -> Map<String, Value> {
    fn said<T: serde::Serialize, E: std::fmt::Display>(result: Result<T, E>) -> Value {
        match result {
            Ok(result) => json(&result),
            Err(_) => Value::String("no answer".into()),
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
        of("drill", &|| said(drill(&[("one".into(), boat.clone())]))),
        of("list", &|| said(list(boat, ListKind::Weights))),
        of("section", &|| said(section(boat, &cuts))),
        of("place", &|| said(place(boat, "battery", &few))),
        of("sill", &|| said(sill(boat, &first, &heights))),
        of("spread", &|| said(spread(boat, 60, 1))),
        of("compare", &|| said(compare(&pair, None))),
    ]
    .into_iter()
    .collect()
}

/// Places: they move with the craft.
const PLACES: [&str; 33] = [
    "amidships_x_m",
    "at_m",
    "base_z_m",
    "box_m",
    "centre_of_buoyancy_m",
    "centre_of_flotation_m",
    "centre_of_gravity_m",
    "centroid_m",
    "end_m",
    "hull_centre_m",
    "inside_level_m",
    "keel_m",
    "level_m",
    "level_push_at_m",
    "levels_m",
    "mark_m",
    "marks_x_m",
    "offset_m",
    "outside_level_m",
    "points_m",
    "right_place_m",
    "rim_m",
    "rim_z_m",
    "room_m",
    "sill_m",
    "station_m",
    "stem_m",
    "trimmed_centre_of_buoyancy_m",
    "trimmed_centre_of_gravity_m",
    "waterline_height_m",
    "waterline_m",
    "wetted_centroid_m",
    "x_m",
];
/// Heights of a water plane over the origin: they move by what the plane's tilt makes of
/// the move.
const LEVELS: [&str; 6] = [
    "waterline_height_m",
    "level_m",
    "levels_m",
    "inside_level_m",
    "outside_level_m",
    "offset_m",
];
/// How the craft lies where a least energy was looked for: the energy is flat there, so
/// what rounding does to it, 1e-14, its square root does to the attitude.
const AT_A_LEAST: [&str; 4] = ["heel_deg", "pitch_deg", "pressed_under_m3", "up"];
const AT_A_LEAST_ROOM: f64 = 2e-6;

struct Differ {
    by: Vec3,
    found: Vec<String>,
}

impl Differ {
    fn look(&mut self, at: &str, key: &str, one: &Value, two: &Value) {
        // Corners of a curve that runs through corners of the mesh may come twice.
        if key == "loops" {
            return;
        }
        match (one, two) {
            (Value::Object(one), Value::Object(two)) => {
                for (key, value) in one {
                    let there = two.get(key).unwrap_or(&Value::Null);
                    self.look(&format!("{at}.{key}"), key, value, there);
                }
            }
            (Value::Array(one), Value::Array(two)) if one.len() == two.len() => {
                for (number, (one, two)) in one.iter().zip(two).enumerate() {
                    self.look(&format!("{at}[{number}]"), key, one, two);
                }
            }
            (Value::Number(one), Value::Number(two)) => {
                let (one, two) = (one.as_f64().expect("f64"), two.as_f64().expect("f64"));
                let off = (two - one).abs();
                let mut room = EXACT * one.abs().max(two.abs()).max(1.0);
                let at_a_least = AT_A_LEAST.contains(&key) || LEVELS.contains(&key);
                if at_a_least && (at.contains("knock") || at.contains("swamp")) {
                    room = AT_A_LEAST_ROOM * one.abs().max(two.abs()).max(1.0);
                }
                let moved = PLACES.contains(&key)
                    && (0..3).any(|k| (off - self.by[k].abs()).abs() <= room)
                    || LEVELS.contains(&key) && self.by != Vec3::zeros();
                if off > room && !moved {
                    self.found.push(format!("{at}: {one} became {two}"));
                }
            }
            (Value::String(one), Value::String(two)) => {
                let same = if self.by == Vec3::zeros() {
                    one == two
                } else {
                    without_numbers(one) == without_numbers(two)
                };
                if !same {
                    self.found.push(format!("{at}: {one} became {two}"));
                }
            }
            _ if one == two => {}
            _ => self.found.push(format!("{at}: {one} became {two}")),
        }
    }
}

fn without_numbers(text: &str) -> String {
    let digit = |c: char| c.is_ascii_digit() || c == '.' || c == '-';
    let mut out = String::new();
    for c in text.chars() {
        if !digit(c) {
            out.push(c);
        } else if !out.ends_with('#') {
            out.push('#');
        }
    }
    out
}

/// All that differs between the studies of two boats.
fn differences(one: &Boat, two: &Boat, by: Vec3) -> Vec<String> {
    let (one, two) = (answers(one, 3.0), answers(two, 3.0));
    let mut differ = Differ {
        by,
        found: Vec::new(),
    };
    for (name, value) in &one {
        differ.look(name, "", value, &two[name]);
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
fn a_craft_moved_along_or_up_with_all_aboard_gives_the_same_answers() {
    for hull in zoo() {
        let (still, more) = laden(&hull, Vec3::zeros());
        let one = boat_of(&still, &more, "");
        for by in [Vec3::new(0.731, 0.0, 0.0), Vec3::new(0.0, 0.0, 0.377)] {
            let (moved, more) = laden(&hull, by);
            hold(&hull, &differences(&one, &boat_of(&moved, &more, ""), by));
        }
    }
}

/// The mesh half a metre off the middle, and the file says so: every number stays, also
/// places.
#[test]
fn a_mesh_off_the_middle_with_origin_given_gives_the_same_answers() {
    for hull in zoo() {
        let (still, more) = laden(&hull, Vec3::zeros());
        let mut away = still.clone();
        for v in &mut away.surface.vertices {
            v.y += 0.5;
        }
        let away = boat_of(&away, &more, "origin = [0, 0.5, 0]\n");
        let found = differences(&boat_of(&still, &more, ""), &away, Vec3::zeros());
        hold(&hull, &found);
    }
}

/// Keys of numbers that change their sign with the side.
const SIDED: [&str; 4] = [
    "heel_deg",
    "falls_into_heel_deg",
    "heel_change_deg",
    "to_port_m",
];
/// Studies whose answers are read by side. Not among them: `righting` and `section`, which
/// go through angles and buttocks from one side to the other, `spread`, which draws at
/// random, and `trapped`, whose columns lie as the grid does.
const BY_SIDE: [&str; 12] = [
    "float", "curves", "margins", "swamp", "flooded", "foam", "dive", "tape", "drill", "list",
    "place", "sill",
];
/// Its cap, over a rim that is higher on one side, depends on where the ring begins, by
/// .03 % of the capacity.
const CAP_BY_SIDE: &str = "lopsided tender";

/// A study's answer with port and starboard changed over.
fn changed_over(key: &str, value: &Value) -> Value {
    match value {
        Value::Object(entries) => entries
            .iter()
            .map(|(key, value)| {
                let key = match key.as_str() {
                    "port" => "starboard",
                    "starboard" => "port",
                    key => key,
                };
                (key.to_owned(), changed_over(key, value))
            })
            .collect(),
        Value::Array(list) if key == "box_m" => {
            // Least and greatest corner: their sides change places.
            let mut corners = list.clone();
            for (here, there) in [(0, 1), (1, 0)] {
                corners[here][1] = Value::from(-list[there][1].as_f64().expect("a number"));
            }
            Value::Array(corners)
        }
        Value::Array(list) => {
            let mut list: Vec<Value> = list.iter().map(|one| changed_over(key, one)).collect();
            let is_vector = list.len() == 3 && key.ends_with("_m") && !key.contains("spread")
                || ["up", "normal", "shift_m"].contains(&key);
            if is_vector && list.iter().all(Value::is_number) {
                list[1] = Value::from(-list[1].as_f64().expect("a number"));
            }
            Value::Array(list)
        }
        Value::Number(number) => match (number.as_f64(), key) {
            (Some(value), key) if SIDED.contains(&key) => Value::from(-value),
            (Some(value), "bearing_deg") => Value::from((360.0 - value) % 360.0),
            _ => value.clone(),
        },
        Value::String(text) => {
            let over = match text.as_str() {
                "port" => "starboard",
                "starboard" => "port",
                other => other,
            };
            Value::from(over)
        }
        other => other.clone(),
    }
}

/// Whether two answers agree but for the order of their lists, which may go by side.
pub(crate) fn alike(key: &str, one: &Value, two: &Value) -> Result<(), String> {
    let differ = || {
        Err(format!("{one} is not {two}")
            .chars()
            .take(300)
            .collect::<String>())
    };
    match (one, two) {
        _ if key == "loops" => Ok(()),
        (Value::Object(one), Value::Object(two)) => one.iter().try_for_each(|(key, value)| {
            let there = two.get(key).unwrap_or(&Value::Null);
            alike(key, value, there).map_err(|why| format!(".{key}{why}"))
        }),
        (Value::Array(one), Value::Array(two)) if one.len() == two.len() => {
            let mut left: Vec<&Value> = two.iter().collect();
            one.iter().enumerate().try_for_each(|(number, value)| {
                match left
                    .iter()
                    .position(|there| alike(key, value, there).is_ok())
                {
                    Some(found) => {
                        left.remove(found);
                        Ok(())
                    }
                    None => {
                        let nearest = two.get(number).unwrap_or(&Value::Null);
                        let why = alike(key, value, nearest).err().unwrap_or_default();
                        Err(format!("[{number}]{why}"))
                    }
                }
            })
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().expect("f64"), b.as_f64().expect("f64"));
            let room = if AT_A_LEAST.contains(&key) || LEVELS.contains(&key) {
                AT_A_LEAST_ROOM
            } else {
                EXACT
            };
            if (a - b).abs() <= room * a.abs().max(b.abs()).max(1.0) {
                Ok(())
            } else {
                differ()
            }
        }
        (Value::String(a), Value::String(b)) => {
            // Sentences name sides in an order of their own.
            let said = |text: &str| without_numbers(&text.replace("starboard", "port"));
            if said(a) == said(b) { Ok(()) } else { differ() }
        }
        _ if one == two => Ok(()),
        _ => differ(),
    }
}

#[test]
fn a_craft_with_its_sides_changed_over_gives_the_mirrored_answers() {
    let mut found = Vec::new();
    for hull in zoo().into_iter().filter(|hull| hull.name != CAP_BY_SIDE) {
        let (still, more) = laden(&hull, Vec3::zeros());
        let one = answers(&boat_of(&still, &more, ""), 3.0);
        let battery = "at = [";
        assert!(more.contains(battery));
        let over = more.replace(", 0.03, ", ", -0.03, ");
        let two = answers(&boat_of(&still.mirrored(), &over, ""), -3.0);
        for (name, value) in one
            .iter()
            .filter(|(name, _)| BY_SIDE.contains(&name.as_str()))
        {
            if let Err(why) = alike(name, &changed_over(name, value), &two[name]) {
                found.push(format!("{}: {name}{why}", hull.name));
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
