//! The same result as table, JSON and CSV.
use std::collections::BTreeMap;

use serde_json::Value;

use super::run::awash;

const SLICE: &[&str] = &[
    "slice",
    "tests/boats/hull.stl",
    "--mesh-units",
    "mm",
    "--waterline",
    "120 mm",
    "--heel",
    "3",
];
const FLOAT: &[&str] = &["float", "tests/boats/after.toml"];

fn output(arguments: &[&str], more: &[&str]) -> String {
    let answer = awash(arguments.iter().chain(more));
    assert_eq!((answer.code, answer.stderr.as_str()), (0, ""));
    answer.stdout
}

/// Fields of a CSV text (RFC 4180), which may hold quoted commas, quotes and
/// line ends.
fn rows(text: &str) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    let mut row = Vec::new();
    let mut field = String::new();
    let mut quoted = false;
    let mut characters = text.chars().peekable();
    while let Some(character) = characters.next() {
        match character {
            '"' if quoted && characters.peek() == Some(&'"') => {
                characters.next();
                field.push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => row.push(std::mem::take(&mut field)),
            '\n' if !quoted => {
                row.push(std::mem::take(&mut field));
                rows.push(std::mem::take(&mut row));
            }
            other => field.push(other),
        }
    }
    assert!(
        !quoted && field.is_empty() && row.is_empty(),
        "ends cleanly"
    );
    rows
}

/// Every value of a JSON result that is no table or list, under the key that
/// the CSV gives it.
fn flat(value: &Value) -> BTreeMap<String, Value> {
    fn walk(key: &str, value: &Value, into: &mut BTreeMap<String, Value>) {
        let below = |name: &str| match key {
            "" => name.to_owned(),
            _ => format!("{key}.{name}"),
        };
        match value {
            Value::Object(members) => {
                for (name, member) in members {
                    walk(&below(name), member, into);
                }
            }
            Value::Array(members) => {
                let point = members.len() == 3 && members.iter().all(Value::is_number);
                for (index, member) in members.iter().enumerate() {
                    let name = member["name"].as_str().map(str::to_owned);
                    let other = if point {
                        ["x", "y", "z"][index].to_owned()
                    } else {
                        (index + 1).to_string()
                    };
                    walk(&below(&name.unwrap_or(other)), member, into);
                }
            }
            value => {
                into.insert(key.to_owned(), value.clone());
            }
        }
    }
    let mut found = BTreeMap::new();
    walk("", value, &mut found);
    found
}

/// A CSV field as the JSON value that it stands for, read by the reader that
/// reads the JSON (which may be off by one in the last place, both alike).
fn as_json(field: &str, like: &Value) -> Value {
    match like {
        Value::Null if field.is_empty() => Value::Null,
        Value::String(_) => Value::String(field.to_owned()),
        _ => serde_json::from_str(field).unwrap_or_else(|error| panic!("{field}: {error}")),
    }
}

#[test]
fn csv_holds_what_json_holds() {
    for command in [SLICE, FLOAT] {
        let json: Value = serde_json::from_str(&output(command, &["--format", "json"]))
            .expect("the JSON can be read");
        let csv = output(command, &["--format", "csv"]);
        assert!(csv.starts_with("key,value\n"));
        let mut read = BTreeMap::new();
        for row in &rows(&csv)[1..] {
            let [key, value] = row.as_slice() else {
                panic!("not two fields: {row:?}");
            };
            let double = read.insert(key.clone(), value.clone());
            assert_eq!(double, None, "`{key}` is there twice");
        }
        let expected = flat(&json);
        assert!(read.keys().eq(expected.keys()), "{read:?}");
        for (key, value) in &expected {
            assert_eq!(as_json(&read[key], value), *value, "{key}");
        }
    }
}

#[test]
fn units_change_the_table_only() {
    for command in [SLICE, FLOAT] {
        for format in ["json", "csv"] {
            let metric = output(command, &["--format", format]);
            for units in ["us", "both"] {
                assert_eq!(
                    metric,
                    output(command, &["--format", format, "--units", units])
                );
            }
        }
        let table = |units: &str| output(command, &["--units", units]);
        assert_eq!(
            output(command, &[]),
            table("metric"),
            "metric is the default"
        );
        let line = |units: &str| {
            let text = table(units);
            let line = text.lines().find(|line| line.contains("displaced volume"));
            line.expect("a line with the volume").to_owned()
        };
        assert!(line("metric").ends_with(" L"), "{}", line("metric"));
        assert!(line("us").ends_with(" US gal"), "{}", line("us"));
        assert!(line("both").contains(" L (") && line("both").ends_with(" US gal)"));
    }
}

/// 0.12 m is 4.7 in.
#[test]
fn the_table_shows_the_height_that_was_asked_for() {
    let table = output(SLICE, &["--units", "both"]);
    let line = table.lines().find(|line| line.contains("waterline height"));
    assert!(
        line.is_some_and(|line| line.ends_with("120 mm (4.7 in)")),
        "{line:?}"
    );
}

#[test]
fn doubts_and_cautions_are_in_every_format() {
    let doubt = "1 opening was closed by a cap";
    let caution = "Calm, still water only";
    for format in ["table", "json", "csv"] {
        assert!(
            output(SLICE, &["--format", format]).contains(doubt),
            "{format}"
        );
        assert!(
            output(FLOAT, &["--format", format]).contains(caution),
            "{format}"
        );
    }
    assert!(output(SLICE, &[]).contains("DOUBTS about these numbers"));
}

#[test]
fn the_same_run_prints_the_same_bytes() {
    for command in [SLICE, FLOAT] {
        let first = output(command, &["--format", "json"]);
        assert_eq!(first, output(command, &["--format", "json"]));
    }
}
