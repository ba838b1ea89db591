//! Whether two answers of a study agree, but for what moves with the craft.
use awash::immersion::WaterPlane;
use awash::numerics::Vec3;
use serde_json::{Map, Value};

/// Numbers agree to this share, or this much near zero.
pub(crate) const EXACT: f64 = 1e-9;

/// Points: each coordinate moves with the craft.
const POINTS: [&str; 24] = [
    "at_m",
    "box_m",
    "centre_of_buoyancy_m",
    "centre_of_flotation_m",
    "centre_in_file_m",
    "centre_of_gravity_m",
    "centroid_m",
    "end_m",
    "hull_centre_m",
    "keel_m",
    "level_push_at_m",
    "lowest_m",
    "mark_m",
    "middle_m",
    "points_m",
    "right_place_m",
    "rim_m",
    "room_m",
    "sill_m",
    "stem_m",
    "trimmed_centre_of_buoyancy_m",
    "trimmed_centre_of_gravity_m",
    "wetted_centroid_m",
    "worst_at",
];
/// One coordinate, and which.
const COORDINATES: [(&str, usize); 7] = [
    ("amidships_x_m", 0),
    ("marks_x_m", 0),
    ("station_m", 0),
    ("x_m", 0),
    ("base_z_m", 2),
    ("rim_z_m", 2),
    ("waterline_m", 2),
];
/// Where planes of one kind stand: the axis of their `at_m`.
const PLANES: [(&str, usize); 4] = [
    (".stations[", 0),
    (".buttocks[", 1),
    (".waterlines[", 2),
    (".other_face", 0),
];
/// Levels of a water surface along its own upright.
const LEVELS: [&str; 4] = ["level_m", "levels_m", "inside_level_m", "outside_level_m"];
/// How the craft lies where a least energy was looked for: the energy is flat there, so
/// what rounding does to it, 1e-14, its square root does to the attitude.
const AT_A_LEAST: [&str; 4] = ["heel_deg", "pitch_deg", "pressed_under_m3", "up"];
pub(crate) const AT_A_LEAST_ROOM: f64 = 2e-6;

/// How near to its least the fit of a mesh's centre plane ends, m and of its normal.
const FITTED: f64 = 1e-5;

/// Whether a number hangs on where a flat least was found.
pub(crate) fn is_at_a_least(key: &str) -> bool {
    AT_A_LEAST.contains(&key) || LEVELS.contains(&key) || key == "waterline_height_m"
}

/// Looks for what differs between the answers of a craft and of the same moved.
pub(crate) struct Differ {
    by: Vec3,
    /// The upright of the water plane that is spoken of.
    up: Vec3,
    pub(crate) found: Vec<String>,
}

impl Differ {
    pub(crate) fn moved(by: Vec3) -> Self {
        Self {
            by,
            up: Vec3::z(),
            found: Vec::new(),
        }
    }

    /// How far a number moves with the craft.
    fn shift(&self, at: &str, key: &str, index: Option<usize>, around: &Map<String, Value>) -> f64 {
        if let Some(index) = index.filter(|_| POINTS.contains(&key)) {
            return self.by[index];
        }
        if let Some((_, axis)) = COORDINATES.iter().find(|(known, _)| *known == key) {
            return self.by[*axis];
        }
        if at.starts_with("floor.box_m") && at.ends_with("[0]") {
            return self.by.x;
        }
        match key {
            "at_m" if at.starts_with("floor.ordinates") => self.by.x,
            "at_m" => {
                let plane = PLANES.iter().find(|(planes, _)| at.contains(planes));
                let is_of_template = at == "template.at_m" || at == "panel.at_m";
                match plane.filter(|_| !at.contains("ordinates") && !at.contains("bevels")) {
                    Some((_, axis)) => self.by[*axis],
                    None if is_of_template => self.by.x,
                    None if at == "floor.at_m" => self.by.z,
                    None => 0.0,
                }
            }
            "offset_m" => vector(around.get("normal")).map_or(0.0, |n| n.dot(&self.by)),
            "waterline_height_m" => self.up.dot(&self.by) / self.up.z,
            key if LEVELS.contains(&key) => self.up.dot(&self.by),
            _ => 0.0,
        }
    }

    pub(crate) fn look(&mut self, at: &str, one: &Value, two: &Value) {
        self.value(at, ("", None), &Map::new(), one, two);
    }

    fn value(
        &mut self,
        at: &str,
        (key, index): (&str, Option<usize>),
        around: &Map<String, Value>,
        one: &Value,
        two: &Value,
    ) {
        match (one, two) {
            (Value::Array(one), Value::Array(two)) if are_curves(key, one) => {
                let by = if key == "loops" {
                    self.by
                } else {
                    Vec3::zeros()
                };
                // Of a waterline's template right is along x.
                let by = if at.starts_with("floor") {
                    Vec3::x() * self.by.x
                } else {
                    by
                };
                if let Err(why) = same_curves(one, two, &by, EXACT) {
                    self.found.push(format!("{at}: {why}"));
                }
            }
            (Value::Object(one), Value::Object(two)) => {
                let two = &faced_alike(one, two);
                let before = self.up;
                // On the way down it is held level.
                let level = at.contains(".way_down[").then(Vec3::z);
                self.up = level.or_else(|| upright(one)).unwrap_or(before);
                for (key, value) in one {
                    if key == "centre_of_flotation_m" && is_of_nothing(one) {
                        continue;
                    }
                    let there = two.get(key).unwrap_or(&Value::Null);
                    self.value(&format!("{at}.{key}"), (key, None), one, value, there);
                }
                for key in two.keys().filter(|key| !one.contains_key(*key)) {
                    self.found.push(format!("{at}.{key} came"));
                }
                self.up = before;
            }
            (Value::Array(one), Value::Array(two)) if one.len() == two.len() => {
                let is_point = one.len() == 3 && one.iter().all(Value::is_number);
                for (number, (one, two)) in one.iter().zip(two).enumerate() {
                    let place = (key, is_point.then_some(number));
                    self.value(&format!("{at}[{number}]"), place, around, one, two);
                }
            }
            (Value::Number(one), Value::Number(two)) => {
                let (one, two) = (one.as_f64().expect("f64"), two.as_f64().expect("f64"));
                let off = (two - one - self.shift(at, key, index, around)).abs();
                let mut room = EXACT * one.abs().max(two.abs()).max(1.0);
                if is_at_a_least(key) && (at.contains("knock") || at.contains("swamp")) {
                    room = AT_A_LEAST_ROOM * one.abs().max(two.abs()).max(1.0);
                }
                let is_upright = at.starts_with("inspect.loops") && key == "lowest_m";
                if at.contains(".posture.") || key == "symmetry_error_mm" || is_upright {
                    room = FITTED * if key.ends_with("_mm") { 1e3 } else { 1.0 };
                }
                if off > room {
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

/// A plane's normal may point either way: as that of another does.
fn faced_alike(one: &Map<String, Value>, two: &Map<String, Value>) -> Map<String, Value> {
    let mut faced = two.clone();
    if let (Some(a), Some(b)) = (vector(one.get("normal")), vector(two.get("normal")))
        && a.dot(&b) < 0.0
        && let Some(offset_m) = two.get("offset_m").and_then(Value::as_f64)
    {
        faced["normal"] = Value::from(vec![-b.x, -b.y, -b.z]);
        faced["offset_m"] = Value::from(-offset_m);
    }
    faced
}

fn vector(value: Option<&Value>) -> Option<Vec3> {
    let list: Vec<f64> = value?
        .as_array()?
        .iter()
        .filter_map(Value::as_f64)
        .collect();
    (list.len() == 3).then(|| Vec3::new(list[0], list[1], list[2]))
}

/// The upright of the water plane that an answer, or a line of it, speaks of.
fn upright(of: &Map<String, Value>) -> Option<Vec3> {
    let deg = |key: &str| of.get(key).and_then(Value::as_f64);
    vector(of.get("up")).or_else(|| {
        let (heel, pitch) = (deg("heel_deg"), deg("pitch_deg"));
        heel.or(pitch)?;
        Some(WaterPlane::at_attitude(heel.unwrap_or(0.0), pitch.unwrap_or(0.0), 0.0).up)
    })
}

/// A water plane that only touches the craft has its centre of flotation anywhere.
pub(crate) fn is_of_nothing(plane: &Map<String, Value>) -> bool {
    let area = plane.get("waterplane_area_m2").and_then(Value::as_f64);
    area.is_some_and(|m2| m2 < EXACT)
}

pub(crate) fn without_numbers(text: &str) -> String {
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

/// Whether a list holds closed curves.
pub(crate) fn are_curves(key: &str, list: &[Value]) -> bool {
    key == "curves_m" || key == "loops" && list.iter().all(|one| one.get("points_m").is_some())
}

/// Whether closed curves are the same once the first are moved. Where one begins, which
/// way round it goes and whether a corner stands in it twice may differ: a cut through
/// corners of the mesh passes there from one facet to any of its neighbours.
pub(crate) fn same_curves(
    one: &[Value],
    two: &[Value],
    by: &Vec3,
    room: f64,
) -> Result<(), String> {
    let curves = |list: &[Value]| -> Vec<Vec<Vec3>> { list.iter().map(corners).collect() };
    let (one, mut two) = (curves(one), curves(two));
    if one.len() != two.len() {
        return Err(format!("{} curves became {}", one.len(), two.len()));
    }
    for curve in one {
        let curve: Vec<Vec3> = curve.iter().map(|corner| corner + by).collect();
        let same = |other: &Vec<Vec3>| lies_on(&curve, other, room) && lies_on(other, &curve, room);
        match two.iter().position(same) {
            Some(found) => {
                two.remove(found);
            }
            None => return Err(format!("no curve like that from {:?}", curve.first())),
        }
    }
    Ok(())
}

/// The corners of a curve, by itself or with its area beside it.
fn corners(curve: &Value) -> Vec<Vec3> {
    let list = curve.get("points_m").unwrap_or(curve).as_array();
    let list = list.unwrap_or_else(|| panic!("no curve: {curve}"));
    let coordinate = |corner: &Value, axis| corner.get(axis).and_then(Value::as_f64);
    list.iter()
        .map(|corner: &Value| Vec3::from_fn(|axis, _| coordinate(corner, axis).unwrap_or(0.0)))
        .collect()
}

/// Whether every corner of a curve lies on another.
fn lies_on(curve: &[Vec3], other: &[Vec3], room: f64) -> bool {
    let sides = || (0..other.len()).map(|k| [other[k], other[(k + 1) % other.len()]]);
    let distance = |p: &Vec3, [a, b]: [Vec3; 2]| {
        let along = b - a;
        let share = along.dot(&(p - a)) / along.norm_squared().max(f64::MIN_POSITIVE);
        (p - a - along * share.clamp(0.0, 1.0)).norm()
    };
    curve
        .iter()
        .all(|p| sides().any(|side| distance(p, side) <= room * (1.0 + p.norm())))
}
