//! Hulls and readers that the tests share.
use awash::boat::Boat;
use awash::mesh::solids;
use awash::numerics::Vec3;
use serde_json::Value;

use crate::zoo::{ZooHull, decked_hull};

/// A result as its JSON.
pub(crate) fn json<T: awash::present::Present>(result: &T) -> Value {
    awash::present::with_words(result).expect("plain data")
}

pub(crate) fn number(value: &Value, key: &str) -> f64 {
    let found = value[key].as_f64();
    found.unwrap_or_else(|| panic!("no number {key} in {value}"))
}

pub(crate) fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    let found = value[key].as_array();
    found.unwrap_or_else(|| panic!("no list {key} in {value}"))
}

pub(crate) fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    let found = value[key].as_str();
    found.unwrap_or_else(|| panic!("no text {key} in {value}"))
}

/// A closed box 2 × 0.8 × 0.4 m of 200 kg, its stern at x 0, its bottom at z 0.
pub(crate) fn box_from_stern() -> ZooHull {
    ZooHull {
        name: "box from its stern",
        surface: solids::cuboid(Vec3::new(0.0, -0.4, 0.0), Vec3::new(2.0, 0.4, 0.4)),
        mass_kg: 200.0,
        centre_m: Vec3::new(1.0, 0.0, 0.1),
        openings: Vec::new(),
        more: String::new(),
    }
}

/// A closed box by its length, breadth and depth, its lowest face at z = 0, x and y from
/// the middle.
pub(crate) fn closed_box([l, b, d]: [f64; 3], mass_kg: f64, centre: [f64; 3]) -> ZooHull {
    ZooHull {
        name: "box",
        surface: solids::cuboid(
            Vec3::new(-l / 2.0, -b / 2.0, 0.0),
            Vec3::new(l / 2.0, b / 2.0, d),
        ),
        mass_kg,
        centre_m: centre.into(),
        openings: Vec::new(),
        more: "[water]\ndensity = \"1000 kg/m3\"\n".into(),
    }
}

/// The decked hull with its weight so high that it cannot stay upright.
pub(crate) fn top_heavy() -> ZooHull {
    let mut hull = decked_hull();
    hull.centre_m.z = 0.6;
    hull
}

/// The decked hull with its weight at its bottom: a lead keel.
pub(crate) fn keel_heavy() -> ZooHull {
    let mut hull = decked_hull();
    hull.centre_m.z = -0.1;
    hull
}

/// A plate of 2 × 0.2 × 1 m, its weight in its middle: it lies flat, on its side.
pub(crate) fn plate() -> Boat {
    closed_box([2.0, 0.2, 1.0], 100.0, [0.0, 0.0, 0.5]).boat()
}
