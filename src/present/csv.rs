//! Results as CSV: one line a value, `key,value`, keys as in the JSON.
use serde_json::Value;

use super::plain::harmless;
use super::{Present, with_words};

/// A result with its sentences as `key,value` lines with a header, SI.
/// Nested keys are joined by dots, in the order of the alphabet; members of a list go by
/// their `name` where they have one, else by their number from 1; coordinates by x, y, z;
/// the ends and the middle of the `bands` by p5, p50, p95, the percent of the draws below
/// them. Values that are no finite number are empty.
///
/// # Errors
/// Only if the result cannot be serialised, which no result here does.
pub fn csv(result: &impl Present) -> Result<String, serde_json::Error> {
    Ok(csv_text(&with_words(result)?, result.bands()))
}

/// As [`csv`], of a value from [`with_words`].
pub(crate) fn csv_text(result: &Value, bands: &[&str]) -> String {
    let mut rows = vec![["key", "value"].map(str::to_owned).to_vec()];
    flatten("", result, bands, &mut rows);
    csv_rows(&rows)
}

/// Rows of fields as CSV (RFC 4180). A text that a spreadsheet would take as a formula gets
/// an apostrophe before it, so that it shows as it stands.
#[must_use]
pub fn csv_rows(rows: &[Vec<String>]) -> String {
    let mut writer = csv::WriterBuilder::new()
        .flexible(true)
        .from_writer(Vec::new());
    for row in rows {
        // Memory takes all that is written.
        let _ = writer.write_record(row.iter().map(|field| shown(field)));
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}

fn shown(field: &str) -> String {
    let is_formula = field.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if is_formula && field.parse::<f64>().is_err() {
        harmless(&format!("'{field}"))
    } else {
        harmless(field)
    }
}

fn flatten(key: &str, value: &Value, bands: &[&str], rows: &mut Vec<Vec<String>>) {
    let join = |name: &str| match key {
        "" => name.to_owned(),
        key => format!("{key}.{name}"),
    };
    let mut row = |value: String| rows.push(vec![key.to_owned(), value]);
    match value {
        Value::Object(members) => {
            let mut members: Vec<_> = members.iter().collect();
            members.sort_unstable_by_key(|(name, _)| *name);
            for (name, member) in members {
                flatten(&join(name), member, bands, rows);
            }
        }
        Value::Array(members) => {
            let last = key.rsplit('.').next().unwrap_or(key);
            let names = match members.len() {
                3 if bands.contains(&last) => Some(["p5", "p50", "p95"]),
                3 if members.iter().all(Value::is_number) => Some(["x", "y", "z"]),
                _ => None,
            };
            for (number, member) in members.iter().enumerate() {
                let own = member.get("name").and_then(Value::as_str);
                let name = own.or_else(|| Some(names?[number]));
                let name = name.map_or_else(|| (number + 1).to_string(), str::to_owned);
                flatten(&join(&name), member, bands, rows);
            }
        }
        Value::Null => row(String::new()),
        Value::String(text) => row(text.clone()),
        other => row(other.to_string()),
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
            assert_eq!(csv_rows(&[vec![field.to_owned()]]), format!("{wanted}\n"));
        }
    }

    #[test]
    fn nested_values_get_dotted_keys_and_quotes() {
        let result = serde_json::json!({
            "mass_kg": [11.5, 12.5, null],
            "at_m": [1.0, 2.0, 3.0],
            "openings": [{"name": "a, \"b\"", "freeboard_m": null}],
            "cautions": ["first"],
        });
        let text = csv_text(&result, &["mass_kg"]);
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
                "mass_kg.p5,11.5",
                "mass_kg.p50,12.5",
                "mass_kg.p95,",
            ]
        );
    }
}
