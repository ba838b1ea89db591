//! The same craft somewhere else in its frame gives the same answers: moved along or up,
//! its mesh off the middle with `origin` given, or port and starboard changed over.
//! Only coordinates move with it. Every study, on every hull of the zoo.
use std::collections::BTreeSet;
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
    if hull.name == "bulkhead box" {
        moved.more = format!(
            "[[compartment]]\nname = \"bow\"\nforward_of = {:?}\n[[compartment]]\nname = \"stern\"\naft_of = {:?}\nsealed = true\n[[passage]]\nname = \"limber\"\nbetween = [\"bow\", \"inside\"]\nat = [{:?}, {:?}, {:?}]\ndiameter = \"30 mm\"\n",
            2.2 + by.x, 0.7 + by.x, 2.2 + by.x, by.y, 0.05 + by.z
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

/// Every study of a boat as JSON, one that can not answer by its error's first word.
fn answers(boat: &Boat) -> Map<String, Value> {
    fn said<T: serde::Serialize, E: std::fmt::Display>(result: Result<T, E>) -> Value {
        match result {
            Ok(result) => json(&result),
            Err(_) => Value::String("no answer".into()),
        }
    }
    let first = boat.openings[0].name.clone();
    let timed = |name: &str, f: &dyn Fn() -> Value| {
        let start = std::time::Instant::now();
        let value = f();
        if std::env::var_os("AWASH_TIMES").is_some() {
            println!("  {name}: {:.1} s", start.elapsed().as_secs_f64());
        }
        (name.to_owned(), value)
    };
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
        timed("float", &|| said(float(boat))),
        timed("curves", &|| json(&curves(boat, 0.0, 5))),
        timed("margins", &|| said(margins(boat))),
        timed("righting", &|| said(righting(boat))),
        timed("swamp", &|| said(swamp(boat, &Knocked::default()))),
        timed("flooded", &|| said(flooded(boat))),
        timed("foam", &|| said(foam(boat, &FoamWish::default()))),
        timed("dive", &|| said(dive(boat, &DiveOptions::default()))),
        timed("trapped", &|| json(&trapped(boat, 3.0, -12.0))),
        timed("tape", &|| said(tape(boat, &Planes::Even(5)))),
        timed("drill", &|| said(drill(&[("one".into(), boat.clone())]))),
        timed("list", &|| said(list(boat, ListKind::Weights))),
        timed("section", &|| said(section(boat, &cuts))),
        timed("place", &|| said(place(boat, "battery", &few))),
        timed("sill", &|| said(sill(boat, &first, &heights))),
        timed("spread", &|| said(spread(boat, 60, 1))),
        timed("compare", &|| said(compare(&pair, None))),
    ]
    .into_iter()
    .collect()
}

/// Keys of heights and places along the boat, which move with it.
const ALONG: [&str; 1] = ["x_m"];
const UP: [&str; 1] = ["z_m"];

struct Differ {
    by: Vec3,
    found: Vec<String>,
    keys: BTreeSet<String>,
}

impl Differ {
    fn look(&mut self, at: &str, key: &str, one: &Value, two: &Value) {
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
                let (one, two) = (one.as_f64().unwrap_or(f64::NAN), two.as_f64().unwrap_or(f64::NAN));
                let off = two - one;
                let room = EXACT * one.abs().max(two.abs()).max(1.0);
                if off.abs() > room {
                    let moved = (0..3).any(|k| self.by[k] != 0.0 && (off - self.by[k]).abs() <= room);
                    if moved {
                        self.keys.insert(key.to_owned());
                    } else {
                        self.found.push(format!("{at}: {one} became {two}"));
                    }
                }
            }
            (Value::String(_), Value::String(_)) if one != two => {
                self.found.push(format!("{at}: {one} became {two}"));
            }
            _ if one == two => {}
            _ => self.found.push(format!("{at}: {one} became {two}")),
        }
    }
}

#[test]
fn explore() {
    let _ = (ALONG, UP);
    for hull in zoo() {
        println!("== {}", hull.name);
        let (still, more) = laden(&hull, Vec3::zeros());
        let original = answers(&still.boat_with(&more));
        for by in [Vec3::new(0.731, 0.0, 0.0), Vec3::new(0.0, 0.0, 0.377), Vec3::new(0.0,0.5,0.0)] {
            let moved = if by.y != 0.0 {
                let mut away = still.clone();
                for v in &mut away.surface.vertices { *v += by; }
                let folder = tempfile::tempdir().unwrap();
                let path = away.write(folder.path(), &more);
                let text = std::fs::read_to_string(&path).unwrap().replace("units = \"m\"\n", "units = \"m\"\norigin = [0, 0.5, 0]\n");
                std::fs::write(&path, text).unwrap();
                answers(&Boat::load(&path).unwrap())
            } else {
                let (moved, more) = laden(&hull, by);
                answers(&moved.boat_with(&more))
            };
            let mut differ = Differ { by, found: Vec::new(), keys: BTreeSet::new() };
            for (name, value) in &original {
                let before = differ.found.len();
                differ.look(name, "", value, &moved[name]);
                let n = differ.found.len() - before;
                if n > 0 {
                    println!("{} by {:?}: {name}: {n} differ", hull.name, by.as_slice());
                    for line in differ.found[before..].iter().take(6) { println!("    {}", &line.chars().take(400).collect::<String>()); }
                }
            }
            println!("   coordinate keys: {:?}", differ.keys);
        }
    }
}
