//! A value shown never contradicts its verdict by rounding: each yardstick put a hair off the
//! value that it judges, on a box hull. Internal consistency: value and limit are both ours.
use serde_json::Value;

use super::box_boat::{BOX, folder_with_hull};
use super::run::{Folder, awash_in};

/// A chest to one side, so that it heels; a hatch over a tank at the bow, so that it ends
/// leaning with that flooded.
const MORE: &str = "[[opening]]
name = \"well\"
rim = [[0.6, -0.3, 0.5], [1.4, -0.3, 0.5], [1.4, 0.3, 0.5], [0.6, 0.3, 0.5]]
[[opening]]
name = \"hatch\"
box = { min = [1.6, 0.1, 0.45], max = [1.8, 0.3, 0.55] }
[[item]]
name = \"chest\"
mass = \"20 kg\"
at = [0.7, 0.2, 0.1]
density = 1000
[[item]]
name = \"person\"
person = true
mass = \"70 kg\"
at = [0.9, 0, 0.4]
[[compartment]]
name = \"bow tank\"
forward_of = 1.5
[[compartment]]
name = \"stern tank\"
aft_of = 0.5
sealed = true
";

/// A yardstick, and where JSON has the value that it judges.
struct Case {
    command: &'static str,
    value: &'static str,
    /// The limit that it just misses, and the other, which is `other` times that.
    keys: [&'static str; 2],
    other: f64,
    /// Of the limit's unit in one base unit, and its name in a boat file.
    per_base: f64,
    unit: &'static str,
    /// What it should be at most, rather than at least.
    is_ceiling: bool,
}

const fn floor(
    command: &'static str,
    value: &'static str,
    keys: [&'static str; 2],
    unit: &'static str,
    per_base: f64,
) -> Case {
    Case {
        command,
        value,
        keys,
        other: 2.0,
        per_base,
        unit,
        is_ceiling: false,
    }
}

const CASES: [Case; 6] = [
    floor(
        "float",
        "/openings/0/freeboard_m",
        ["sill_red", "sill_green"],
        "mm",
        1e3,
    ),
    floor(
        "margins",
        "/worst_tilt/lean_deg",
        ["tilt_red", "tilt_green"],
        "deg",
        1.0,
    ),
    floor(
        "margins",
        "/knock/0/work_j",
        ["energy_red", "energy_green"],
        "J",
        1.0,
    ),
    floor(
        "flooded",
        "/cases/0/end/sill_m",
        ["swamped_sill_red", "swamped_sill_green"],
        "mm",
        1e3,
    ),
    Case {
        other: 1.0,
        is_ceiling: true,
        ..floor(
            "flooded",
            "/cases/1/end/lean_deg",
            ["swamped_lean_red", "swamped_lean_green"],
            "deg",
            1.0,
        )
    },
    floor(
        "dive",
        "/balance/hangs/gap_m",
        ["gap_red", "gap_green"],
        "mm",
        1e3,
    ),
];

/// How a unit is printed in US units, and how many of the metric one it is: an inch is 25.4 mm,
/// a foot pound 0.3048 m × 4.448 221 615 N.
fn us(unit: &str) -> (&'static str, f64) {
    match unit {
        "mm" => ("in", 25.4),
        "J" => ("ft·lbf", 1.355_817_948),
        _ => ("°", 1.0),
    }
}

fn boat(folder: &Folder, yardsticks: &str) {
    folder.write("boat.toml", format!("{BOX}{MORE}{yardsticks}"));
}

/// Numbers before such a unit, their decimals, whether a limit's words stand before them or
/// behind.
fn numbers(text: &str, unit: &str) -> Vec<(f64, usize, bool)> {
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let found = flat.match_indices(unit).filter_map(|(at, _)| {
        let behind = &flat[at + unit.len()..];
        let before = flat[..at].trim_end();
        let words = before.trim_end_matches(|c: char| c.is_ascii_digit() || c == '.');
        let digits = &before[words.len()..];
        let decimals = digits.split_once('.').map_or(0, |(_, behind)| behind.len());
        let number = digits.parse().ok()?;
        let words = words.trim_end_matches('(').trim_end();
        let asks = ["under", "over", "up to", "at most"];
        let is_limit =
            behind.starts_with(" asked for") || asks.iter().any(|word| words.ends_with(word));
        Some((number, decimals, is_limit))
    });
    found.collect()
}

#[test]
fn what_misses_its_yardstick_by_a_hair_reads_so() {
    for case in CASES {
        let folder = folder_with_hull();
        boat(&folder, "");
        let line = [case.command, "boat.toml", "--format", "json"];
        let result = awash_in(folder.path(), line).json();
        let value = result.pointer(case.value).and_then(Value::as_f64);
        let value = value.expect(case.value).abs() * case.per_base;
        // The next thousandth of its unit that it misses.
        let limit = if case.is_ceiling {
            (value * 1e3 - 0.01).floor() / 1e3
        } else {
            (value * 1e3 + 0.01).ceil() / 1e3
        };
        let ([key, other], unit) = (case.keys, case.unit);
        let second = limit * case.other;
        boat(
            &folder,
            &format!(
                "[yardsticks]\n{key} = \"{limit:.3} {unit}\"\n{other} = \"{second:.3} {unit}\"\n"
            ),
        );
        for units in ["metric", "us"] {
            let line = [case.command, "boat.toml", "--units", units];
            let table = awash_in(folder.path(), line).stdout;
            let (printed, size) = match (units, unit) {
                ("metric", "deg") => ("°", 1.0),
                ("metric", unit) => (unit, 1.0),
                (_, unit) => us(unit),
            };
            // Rounded, or one last place more where that is the finest that is told.
            let is_it = |number: f64, decimals: usize| {
                let finest = if units == "us" && unit != "deg" { 1 } else { 3 };
                let places = if decimals < finest { 0.51 } else { 1.51 };
                let last_place = 0.1_f64.powf(decimals as f64);
                (number - value / size).abs() < places * last_place
            };
            let all = numbers(&table, printed).into_iter();
            let (limits, told): (Vec<_>, Vec<_>) =
                all.filter(|one| is_it(one.0, one.1)).partition(|one| one.2);
            let what = format!("{} {units}: {told:?} at {limits:?}\n{table}", case.value);
            assert!(!limits.is_empty() && !told.is_empty(), "{what}");
            for (limit, told) in limits.iter().flat_map(|l| told.iter().map(|t| (l.0, t.0))) {
                assert!((told > limit) == case.is_ceiling && told != limit, "{what}");
            }
        }
    }
}

/// What is missing of the volume to stay up is never nought. Derived in closed form: flooded,
/// 200.2 kg in fresh water displace 200.2 L, and the sealed end holds 0.4 × 1 × 0.5 m = 200 L.
#[test]
fn what_is_lacked_is_never_nought() {
    let folder = folder_with_hull();
    let hatch = "[[opening]]
name = \"hatch\"
box = { min = [1.6, 0.1, 0.45], max = [1.8, 0.3, 0.55] }
[[compartment]]
name = \"tank\"
aft_of = 0.4
sealed = true
";
    folder.write("boat.toml", BOX.replace("200 kg", "200.2 kg") + hatch);
    for command in ["swamp", "flooded", "foam"] {
        for (units, lacks) in [("metric", "lacks 0.2 L"), ("us", "lacks 0.05 US gal")] {
            let line = [command, "boat.toml", "--units", units];
            let table = awash_in(folder.path(), line).stdout;
            assert!(table.contains(lacks), "{command} {units}: {table}");
        }
    }
}
