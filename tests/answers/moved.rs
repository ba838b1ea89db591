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
    DiveOptions, FloatMark, FoamWish, Knocked, ListKind, Measured, PlaceOptions, Planes,
    SectionOptions, SillOptions, calibrate, compare, curves, dive, drill, float, flooded, foam,
    inspect, list, margins, place, report, righting, section, sill, slice, spread, swamp, tape,
    template, trapped,
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
    let mut boat = Boat::load(&file).unwrap_or_else(|error| panic!("{}: {error}", hull.name));
    // The folder has another name each time.
    for doubt in &mut boat.doubts {
        doubt.text = doubt.text.replace(&folder.path().display().to_string(), "");
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

/// Every study of a boat as JSON, one that can not answer as why.
fn answers(boat: &Boat, heel_deg: f64) -> Map<String, Value> {
    fn said<T: serde::Serialize, E: std::fmt::Display>(result: Result<T, E>) -> Value {
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
        of("calibrate", &|| said(calibrate(boat, &measured))),
        of("template", &|| said(template(boat, 0, station, None))),
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

/// Places: they move with the craft.
const PLACES: [&str; 36] = [
    "amidships_x_m",
    "at_m",
    "base_z_m",
    "box_m",
    "centre_of_buoyancy_m",
    "centre_of_flotation_m",
    "centre_in_file_m",
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
    "middle_m",
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
    "worst_at",
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

/// How near to its least the fit of a mesh's centre plane ends, m and of its normal.
const FITTED: f64 = 1e-5;

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
                    if key == "centre_of_flotation_m" && is_of_nothing(one) {
                        continue;
                    }
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
                let mut off = (two - one).abs();
                let mut room = EXACT * one.abs().max(two.abs()).max(1.0);
                let at_a_least = AT_A_LEAST.contains(&key) || LEVELS.contains(&key);
                if at_a_least && (at.contains("knock") || at.contains("swamp")) {
                    room = AT_A_LEAST_ROOM * one.abs().max(two.abs()).max(1.0);
                }
                if at.contains(".posture.") || key == "symmetry_error_mm" {
                    room = FITTED * if key.ends_with("_mm") { 1e3 } else { 1.0 };
                }
                if key == "normal" {
                    off = (two.abs() - one.abs()).abs(); // either way of one plane
                }
                let moved = PLACES.contains(&key)
                    && (0..3).any(|k| (off - self.by[k].abs()).abs() <= room)
                    || LEVELS.contains(&key) && self.by != Vec3::zeros();
                if off > room && !moved {
                    self.found.push(format!("{at}: {one} became {two}"));
                }
            }
            (Value::String(one), Value::String(two)) => {
                // A doubt names lines of the file, and what to write into it.
                let same = if self.by == Vec3::zeros() && !at.contains("mesh_doubts") {
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

/// A water plane that only touches the craft has its centre of flotation anywhere.
fn is_of_nothing(plane: &Map<String, Value>) -> bool {
    let area = plane.get("waterplane_area_m2").and_then(Value::as_f64);
    area.is_some_and(|m2| m2 < EXACT)
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

/// All that differs between the studies of a hull and those of its boat moved.
fn differences(still: &Still, moved: &Boat, by: Vec3) -> Vec<String> {
    let two = answers(moved, HEEL_DEG);
    let mut differ = Differ {
        by,
        found: Vec::new(),
    };
    for (name, value) in &still.answers {
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
        let mut differ = Differ {
            by,
            found: Vec::new(),
        };
        let moved = inspected(&hull.moved(|p| p + by));
        differ.look("inspect", "", &one, &moved);
        hold(&hull, &differ.found);
        let mut over = inspected(&hull.mirrored());
        for fitted in ["posture", "symmetry_error_mm"] {
            one[fitted] = Value::Null;
            over[fitted] = Value::Null;
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

/// Keys of numbers that change their sign with the side.
const SIDED: [&str; 4] = [
    "heel_deg",
    "falls_into_heel_deg",
    "heel_change_deg",
    "to_port_m",
];
/// Not held by side: `spread`, also within the report, which draws at random; `template`,
/// whose paper is turned over; `trapped`, whose columns lie as the grid does.
const NOT_BY_SIDE: [&str; 3] = ["spread", "template", "trapped"];

/// What goes from one side to the other: curves over heel, and cuts along the boat.
fn lists_changed_over(answer: &mut Value) {
    let mut negate = |list: &str, keys: &[&str]| {
        let lines = answer.pointer_mut(list).and_then(Value::as_array_mut);
        for line in lines.into_iter().flatten() {
            for key in keys {
                if let Some(place) = line.pointer_mut(key)
                    && let Some(number) = place.as_f64()
                {
                    *place = Value::from(-number);
                }
            }
        }
    };
    negate("/heel/points", &["/angle_deg", "/arm_m"]);
    negate("/pitch/points", &["/across_deg"]);
    negate("/buttocks", &["/at_m"]);
    let angles = ["/first_sill", "/turns_over", "/vanishing"].map(|at| format!("{at}/angle_deg"));
    let mut of_sides: Vec<&str> = angles.iter().map(String::as_str).collect();
    of_sides.extend(["/largest_arm_at_deg", "/rolls_over_deg"]);
    negate("/heel/sides", &of_sides);
    let rows = answer.get_mut("rows").and_then(Value::as_array_mut);
    for row in rows.into_iter().flatten() {
        let of_heel = row["key"]
            .as_str()
            .is_some_and(|key| key.ends_with("heel_deg"));
        for list in ["values", "changes"] {
            for value in row[list]
                .as_array_mut()
                .filter(|_| of_heel)
                .into_iter()
                .flatten()
            {
                *value = value.as_f64().map_or(Value::Null, |deg| Value::from(-deg));
            }
        }
    }
}

/// A study's answer with port and starboard changed over.
fn changed_over(key: &str, value: &Value) -> Value {
    match value {
        Value::Object(entries) => entries
            .iter()
            .map(|(key, value)| {
                let key = match key.as_str() {
                    "port" => "starboard",
                    "starboard" => "port",
                    "port_m" => "starboard_m",
                    "starboard_m" => "port_m",
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
        Value::Array(rows) if key == "correlation" => {
            // Of mass, x, y and z.
            let sign = |row: usize, column: usize| {
                if (row == 2) == (column == 2) {
                    1.0
                } else {
                    -1.0
                }
            };
            let over = |row: usize, column: usize| {
                rows[row][column].as_f64().map(|c| c * sign(row, column))
            };
            (0..4)
                .map(|row| (0..4).map(|column| over(row, column)).collect::<Vec<_>>())
                .collect()
        }
        Value::Array(list) if key == "heel_range_deg" => {
            let turned = list.iter().rev().filter_map(Value::as_f64);
            turned.map(|deg| -deg).collect()
        }
        Value::Array(list) => {
            let mut list: Vec<Value> = list.iter().map(|one| changed_over(key, one)).collect();
            let is_vector = list.len() == 3
                && key.ends_with("_m")
                && !key.contains("spread")
                && key != "size_m"
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
            if key == "centre_of_flotation_m" && is_of_nothing(one) {
                return Ok(());
            }
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
    for still in STILL.iter() {
        assert!(still.more.contains("at = ["));
        let over = still.more.replace(", 0.03, ", ", -0.03, ");
        let mut two = answers(&boat_of(&still.laden.mirrored(), &over, ""), -HEEL_DEG);
        if let Some(drawn) = two.get_mut("report").and_then(|all| all.get_mut("spread")) {
            *drawn = Value::Null;
        }
        for (name, value) in &still.answers {
            let study = name.as_str();
            // Its cap hangs on where its rim's ring begins (0.03 % of its capacity).
            let is_lopsided = still.hull.name == "lopsided tender";
            if NOT_BY_SIDE.contains(&study) || is_lopsided {
                continue;
            }
            let mut wanted = changed_over(name, value);
            lists_changed_over(&mut wanted);
            if let Some(drawn) = wanted.get_mut("spread") {
                *drawn = Value::Null;
            }
            if let Some(within) = wanted.get_mut("righting") {
                lists_changed_over(within);
            }
            if let Err(why) = alike(name, &wanted, &two[name]) {
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

#[test]
#[ignore = "temporary"]
fn tmp_dump() {
    let by = Vec3::new(0.731, 0.0, 0.377);
    fn walk(
        at: &str,
        one: &Value,
        two: &Value,
        out: &mut std::collections::BTreeMap<String, (Vec<String>, String)>,
    ) {
        match (one, two) {
            (Value::Object(a), Value::Object(b)) => {
                for (k, v) in a {
                    walk(
                        &format!("{at}.{k}"),
                        v,
                        b.get(k).unwrap_or(&Value::Null),
                        out,
                    );
                }
            }
            (Value::Array(a), Value::Array(b)) => {
                let numbers = a.iter().all(Value::is_number) && a.len() <= 3;
                for (n, (x, y)) in a.iter().zip(b).enumerate() {
                    let name = if numbers {
                        format!("{at}[{n}/{}]", a.len())
                    } else {
                        format!("{at}[]")
                    };
                    walk(&name, x, y, out);
                }
            }
            (Value::Number(a), Value::Number(b)) => {
                let d = b.as_f64().unwrap() - a.as_f64().unwrap();
                if d.abs() > 1e-7 {
                    let e = out.entry(at.to_owned()).or_default();
                    let t = format!("{d:.6}");
                    if !e.0.contains(&t) {
                        e.0.push(t);
                    }
                    e.1 = format!("{one} -> {two}");
                }
            }
            (Value::String(a), Value::String(b)) if a != b => {
                let e = out.entry(at.to_owned()).or_default();
                if e.0.is_empty() {
                    e.0.push(format!("{a} ==> {b}").chars().take(300).collect());
                }
            }
            _ => {
                if one != two {
                    println!("DIFF {at}: {one} {two}");
                }
            }
        }
    }
    let mut out = Default::default();
    for still in STILL.iter() {
        let (moved, more) = laden(&still.hull, by);
        let two = answers(&boat_of(&moved, &more, ""), HEEL_DEG);
        for (name, value) in &still.answers {
            walk(name, value, &two[name], &mut out);
        }
    }
    for (k, (ds, ex)) in out {
        println!(
            "{k}\t{}\t{ex}",
            ds.iter().take(6).cloned().collect::<Vec<_>>().join(" ")
        );
    }
    for still in STILL.iter() {
        println!("== {}", still.hull.name);
        for s in ["slice", "section", "template", "spread", "trapped", "tape"] {
            println!(
                "{s}: {}",
                still.answers[s]
                    .to_string()
                    .chars()
                    .take(3000)
                    .collect::<String>()
            );
        }
    }
    for still in STILL.iter() {
        for (n, v) in &still.answers {
            if let Value::String(t) = v {
                println!("NO ANSWER {} {n}: {t}", still.hull.name);
            }
        }
    }
}
