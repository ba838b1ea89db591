//! Results as CSV: one line a value, `key,value`, keys as in the JSON.
use serde_json::Value;

use super::plain::harmless;

/// A result from [`with_words`](super::with_words) as `key,value` lines with a header, SI. Nested keys are joined by
/// dots, in the order of the alphabet; members of a list go by their `name` where they have one, else by
/// their number from 1; coordinates by x, y, z. Values that are no finite
/// number are empty.
#[must_use]
pub fn csv(result: &Value) -> String {
    let mut lines = vec!["key,value".to_owned()];
    flatten("", result, &mut lines);
    lines.join("\n") + "\n"
}

/// Rows of fields as CSV.
#[must_use]
pub fn csv_rows(rows: &[Vec<String>]) -> String {
    let line = |row: &Vec<String>| {
        let fields: Vec<String> = row.iter().map(|field| quoted(field)).collect();
        fields.join(",") + "\n"
    };
    rows.iter().map(line).collect()
}

fn flatten(key: &str, value: &Value, lines: &mut Vec<String>) {
    let join = |name: &str| match key {
        "" => name.to_owned(),
        key => format!("{key}.{name}"),
    };
    match value {
        Value::Object(members) => {
            let mut members: Vec<_> = members.iter().collect();
            members.sort_unstable_by_key(|(name, _)| *name);
            for (name, member) in members {
                flatten(&join(name), member, lines);
            }
        }
        Value::Array(members) => {
            let is_point = members.len() == 3 && members.iter().all(Value::is_number);
            for (number, member) in (1_usize..).zip(members) {
                let name = match member.get("name").and_then(Value::as_str) {
                    Some(name) => name.to_owned(),
                    None if is_point => ["x", "y", "z"][number - 1].to_owned(),
                    None => number.to_string(),
                };
                flatten(&join(&name), member, lines);
            }
        }
        Value::Null => lines.push(format!("{},", quoted(key))),
        Value::String(text) => lines.push(format!("{},{}", quoted(key), quoted(text))),
        other => lines.push(format!("{},{other}", quoted(key))),
    }
}

/// A field in quotes where it needs them (RFC 4180, section 2). A text that a
/// spreadsheet would take as a formula gets an apostrophe before it, so that it shows
/// as it stands.
pub(super) fn quoted(field: &str) -> String {
    let is_formula = field.starts_with(['=', '+', '-', '@', '\t', '\r']);
    let field = if is_formula && field.parse::<f64>().is_err() {
        format!("'{field}")
    } else {
        field.to_owned()
    };
    let field = harmless(&field);
    if field.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", field.replace('"', "\"\""))
    } else {
        field
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_no_formula_and_a_number_stays_one() {
        for (field, wanted) in [
            ("=1+2", "'=1+2"),
            ("@sum(a)", "'@sum(a)"),
            ("-2 mm", "'-2 mm"),
            ("-2.5", "-2.5"),
            ("+x,y", "\"'+x,y\""),
            ("a\u{1b}[2J", "a\u{fffd}[2J"),
        ] {
            assert_eq!(quoted(field), wanted);
        }
    }

    #[test]
    fn nested_values_get_dotted_keys_and_quotes() {
        let result = serde_json::json!({
            "mass_kg": 12.5,
            "at_m": [1.0, 2.0, 3.0],
            "openings": [{"name": "a, \"b\"", "freeboard_m": null}],
            "cautions": ["first"],
        });
        let text = csv(&result);
        let mut lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.remove(0), "key,value");
        lines.sort_unstable();
        assert_eq!(
            lines,
            [
                "\"openings.a, \"\"b\"\".freeboard_m\",",
                "\"openings.a, \"\"b\"\".name\",\"a, \"\"b\"\"\"",
                "at_m.x,1.0",
                "at_m.y,2.0",
                "at_m.z,3.0",
                "cautions.1,first",
                "mass_kg,12.5",
            ]
        );
    }
}
