//! A study's answer with port and starboard changed over, and whether two answers agree.
use awash::numerics::Vec3;
use serde_json::{Map, Value};

use crate::agree::{
    AT_A_LEAST_ROOM, EXACT, are_curves, is_at_a_least, is_of_nothing, same_curves, without_numbers,
};

/// Keys of numbers that change their sign with the side.
const SIDED: [&str; 4] = [
    "heel_deg",
    "falls_into_heel_deg",
    "heel_change_deg",
    "to_port_m",
];
/// What goes from one side to the other: curves over heel, and cuts along the boat.
pub(crate) fn lists_changed_over(answer: &mut Value) {
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
pub(crate) fn changed_over(key: &str, value: &Value) -> Value {
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
                && !["size_m", "freeboard_m"].contains(&key)
                || ["up", "normal", "shift_m"].contains(&key);
            if is_vector && list.iter().all(Value::is_number) {
                list[1] = Value::from(-list[1].as_f64().expect("a number"));
            }
            Value::Array(list)
        }
        Value::Number(number) => match (number.as_f64(), key) {
            (Some(value), key) if SIDED.contains(&key) => Value::from(-value),
            (Some(value), key) if key.ends_with("bearing_deg") => {
                Value::from((360.0 - value) % 360.0)
            }
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
    alike_within(EXACT, key, one, two)
}

/// As [`alike`], numbers to a share of their own.
pub(crate) fn alike_within(exact: f64, key: &str, one: &Value, two: &Value) -> Result<(), String> {
    let differ = || {
        Err(format!("{one} is not {two}")
            .chars()
            .take(300)
            .collect::<String>())
    };
    match (one, two) {
        (Value::Array(one), Value::Array(two)) if are_curves(key, one) => {
            same_curves(one, two, &Vec3::zeros(), exact)
        }
        (Value::Object(one), Value::Object(two)) => one.iter().try_for_each(|(key, value)| {
            if key == "centre_of_flotation_m" && is_of_nothing(one) {
                return Ok(());
            }
            let there = two.get(key).unwrap_or(&Value::Null);
            alike_within(exact, key, value, there).map_err(|why| format!(".{key}{why}"))
        }),
        (Value::Array(one), Value::Array(two)) if one.len() == two.len() => {
            let mut left: Vec<&Value> = two.iter().collect();
            one.iter().enumerate().try_for_each(|(number, value)| {
                match left
                    .iter()
                    .position(|there| alike_within(exact, key, value, there).is_ok())
                {
                    Some(found) => {
                        left.remove(found);
                        Ok(())
                    }
                    None => {
                        let nearest = two.get(number).unwrap_or(&Value::Null);
                        let why = alike_within(exact, key, value, nearest)
                            .err()
                            .unwrap_or_default();
                        Err(format!("[{number}]{why}"))
                    }
                }
            })
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().expect("f64"), b.as_f64().expect("f64"));
            let room = if is_at_a_least(key) {
                AT_A_LEAST_ROOM
            } else {
                exact
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

/// A template with its paper turned over: right and left change places on a station's,
/// up and down on a waterline's.
pub(crate) fn paper_turned_over(template: &Value) -> Value {
    let mut over = template.clone();
    if template["cut"].is_null() {
        return over; // none could be made
    }
    let axis = usize::from(template["across"] != "station");
    let negated = |value: &Value| Value::from(-value.as_f64().expect("a number"));
    let turn = |point: &mut Value| point[axis] = negated(&point[axis]);
    for outline in ["cut", "other_face"] {
        let curves = over[outline]
            .get_mut("curves_m")
            .and_then(Value::as_array_mut);
        for curve in curves.into_iter().flatten() {
            curve.as_array_mut().into_iter().flatten().for_each(turn);
        }
    }
    let [least, most] = [0, 1].map(|end| negated(&template["box_m"][end][axis]));
    over["box_m"][0][axis] = most;
    over["box_m"][1][axis] = least;
    for ordinate in over["ordinates"].as_array_mut().into_iter().flatten() {
        // Reaches of a station go right and left, of a waterline up and down.
        let [least, most] = [0, 1].map(|end| negated(&ordinate["reach_m"][end]));
        ordinate["reach_m"] = Value::from(vec![most, least]);
    }
    for bevel in over["bevels"].as_array_mut().into_iter().flatten() {
        turn(&mut bevel["at_m"]);
    }
    over
}

/// Four standard errors of the difference between two estimates.
const SURE: f64 = 4.0 * std::f64::consts::SQRT_2;

/// Whether two results of `spread` are the same but for what the draws make of it, the
/// first with its sides changed over. The ends of a band that holds nine draws of ten,
/// 3.29 deviations wide, have a standard error of 2.11 deviations over the root of the
/// draws, its middle one of 1.25 (a normal distribution's quantiles).
pub(crate) fn spreads_alike(one: &Value, two: &Value) -> Result<(), String> {
    let (Value::Object(one), Value::Object(two)) = (one, two) else {
        return alike("", one, two);
    };
    let root = one["draws"].as_f64().expect("draws").sqrt();
    let mut left = (one.clone(), two.clone());
    let mut taken = |key: &str| {
        let take = |from: &mut Map<String, Value>| from.remove(key).unwrap_or_default();
        (take(&mut left.0), take(&mut left.1))
    };
    for (key, is_turned) in [("mass_kg", false), ("pitch_deg", false), ("heel_deg", true)] {
        let (mut one, two) = taken(key);
        if is_turned {
            // Each end was negated by itself.
            one.as_array_mut().expect("a band").reverse();
        }
        bands_alike(&one, &two, root).map_err(|why| format!(".{key}: {why}"))?;
    }
    for key in ["least_knock", "worst_lean"] {
        let (one, two) = taken(key);
        bands_alike(&one["band"], &two["band"], root).map_err(|why| format!(".{key}: {why}"))?;
        chances_alike(&one["chance_of_failing"], &two["chance_of_failing"], root)?;
    }
    for key in ["share_sunk", "chance_any_fails", "chance_any_under_water"] {
        let (one, two) = taken(key);
        chances_alike(&one, &two, root).map_err(|why| format!(".{key}: {why}"))?;
    }
    let lines = taken("openings");
    let lists = (lines.0.as_array(), lines.1.as_array());
    for (one, two) in lists
        .0
        .into_iter()
        .flatten()
        .zip(lists.1.into_iter().flatten())
    {
        alike("", &one["name"], &two["name"])?;
        bands_alike(&one["freeboard_m"], &two["freeboard_m"], root)?;
        for key in ["chance_of_failing", "chance_under_water"] {
            chances_alike(&one[key], &two[key], root)?;
        }
    }
    let causes = taken("causes");
    let share_of = |list: &Value, name: &Value| {
        let found = list
            .as_array()
            .into_iter()
            .flatten()
            .find(|cause| cause["name"] == *name);
        found
            .and_then(|cause| cause["share"].as_f64())
            .unwrap_or(0.0)
    };
    for cause in causes
        .0
        .as_array()
        .into_iter()
        .chain(causes.1.as_array())
        .flatten()
    {
        let [one, two] = [&causes.0, &causes.1].map(|list| share_of(list, &cause["name"]));
        // A squared correlation r²: 2 r (1 - r²), at most 0.77, over the root.
        if (one - two).abs() > SURE * 0.77 / root {
            return Err(format!(".causes: {} {one} became {two}", cause["name"]));
        }
    }
    // Draws are lost and told of in words by the same chances.
    taken("draws_lost");
    let summaries = taken("summary");
    let begins = |text: &Value| {
        let text = text.as_str().unwrap_or_default();
        without_numbers(text.split("Measure next").next().unwrap_or_default())
    };
    if begins(&summaries.0) != begins(&summaries.1) {
        return Err(format!(".summary: {} became {}", summaries.0, summaries.1));
    }
    alike("", &Value::Object(left.0), &Value::Object(left.1))
}

fn bands_alike(one: &Value, two: &Value, root: f64) -> Result<(), String> {
    let band = |of: &Value| [0, 1, 2].map(|end| of[end].as_f64());
    let (a, b) = (band(one), band(two));
    let wide = match (a, b) {
        ([Some(al), _, Some(ah)], [Some(bl), _, Some(bh)]) => (ah - al).max(bh - bl) / 3.29,
        _ => {
            return if a == b {
                Ok(())
            } else {
                Err(format!("{one} became {two}"))
            };
        }
    };
    for (end, errors) in [2.11, 1.25, 2.11].into_iter().enumerate() {
        let off = a[end]
            .zip(b[end])
            .map_or(f64::INFINITY, |(a, b)| (a - b).abs());
        if off > SURE * errors * wide / root + AT_A_LEAST_ROOM {
            return Err(format!("{one} became {two}"));
        }
    }
    Ok(())
}

fn chances_alike(one: &Value, two: &Value, root: f64) -> Result<(), String> {
    let [a, b] = [one, two].map(|chance| chance.as_f64().unwrap_or(0.0));
    let mean = f64::midpoint(a, b);
    // One draw more or less is nothing.
    let room = SURE * (mean * (1.0 - mean)).sqrt() / root + 1.5 / (root * root);
    if (a - b).abs() <= room {
        Ok(())
    } else {
        Err(format!("a chance of {a} became {b}"))
    }
}

/// Whether two results of `trapped` are the same but for what their grids make of it: the
/// columns lie askew, so mirrored they stand elsewhere. A pocket's end is the middle of a
/// column in both, each at most a column's diagonal off: three columns; its level may be
/// one off on a slope, its volume by what that holds.
pub(crate) fn trapped_alike(one: &Value, two: &Value) -> Result<(), String> {
    let (Value::Object(one), Value::Object(two)) = (one, two) else {
        return alike("", one, two);
    };
    let number = |of: &Value, key: &str| of[key].as_f64().unwrap_or(f64::NAN);
    let cell_m = one["cell_m"].as_f64().expect("a size");
    let mut left = (one.clone(), two.clone());
    let mut taken = |key: &str| {
        let take = |from: &mut Map<String, Value>| from.remove(key).unwrap_or_default();
        (take(&mut left.0), take(&mut left.1))
    };
    let near = |what: &str, a: f64, b: f64, room: f64| match (a - b).abs() <= room {
        true => Ok(()),
        false => Err(format!(".{what}: {a} became {b}, {room} may be")),
    };
    let (a, b) = taken("cell_m");
    near(
        "cell_m",
        a.as_f64().unwrap_or(f64::NAN),
        b.as_f64().unwrap_or(f64::NAN),
        0.1 * cell_m,
    )?;
    for key in ["air", "water_kept"] {
        let (one, two) = taken(key);
        let empty = Vec::new();
        let (one, two) = (
            one.as_array().unwrap_or(&empty),
            two.as_array().unwrap_or(&empty),
        );
        near(key, one.len() as f64, two.len() as f64, 0.0)?;
        for (one, two) in one.iter().zip(two) {
            let volume_m3 = number(one, "volume_m3");
            let room = VOLUME_SHARE * volume_m3 + 1e-6;
            near("volume_m3", volume_m3, number(two, "volume_m3"), room)?;
            near(
                "level_m",
                number(one, "level_m"),
                number(two, "level_m"),
                cell_m,
            )?;
            for axis in 0..3 {
                let [a, b] =
                    [one, two].map(|line| line["end_m"][axis].as_f64().unwrap_or(f64::NAN));
                near("end_m", a, b, 3.0 * cell_m)?;
            }
            for key in ["compartments", "opening", "place", "is_exact"] {
                alike(key, &one[key], &two[key])?;
            }
        }
    }
    let root_m3 = one["air_m3"]
        .as_f64()
        .unwrap_or(0.0)
        .max(one["water_kept_m3"].as_f64().unwrap_or(0.0));
    let density = 1000.0;
    for (key, times) in [
        ("air_m3", 1.0),
        ("water_kept_m3", 1.0),
        ("air_lift_kg", density),
        ("water_kept_kg", density),
        ("mass_lifted_kg", density),
    ] {
        let (a, b) = taken(key);
        let room = times * (VOLUME_SHARE * root_m3 + 1e-5);
        near(
            key,
            a.as_f64().unwrap_or(f64::NAN),
            b.as_f64().unwrap_or(f64::NAN),
            room,
        )?;
    }
    alike("", &Value::Object(left.0), &Value::Object(left.1))
}

/// How much of a pocket a level one column off may hold.
const VOLUME_SHARE: f64 = 0.02;
