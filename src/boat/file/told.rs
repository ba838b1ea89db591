//! The keys of the boat file as a page to read and as JSON Schema.
use serde_json::{Map, Value, json};

use super::keys::TOP;
use crate::boat::fields::{Bare, Holds, TableKeys};
use crate::quantity::Dimension;

/// JSON Schema (draft 2020-12) of the boat file, for editors that know it.
#[must_use]
pub fn schema() -> Value {
    let mut defs = Map::new();
    for table in TOP.all().into_iter().skip(1) {
        let mut of_table = object(table);
        // Lists are laid over each other by name, and conditions over all.
        if table.title.starts_with("[[") {
            of_table["properties"]["remove"] =
                json!({ "type": "boolean", "description": "drops the entry of that name" });
        }
        defs.insert(slug(table), of_table);
    }
    let mut schema = object(&TOP);
    if let Some(members) = schema.as_object_mut() {
        let dialect = "https://json-schema.org/draft/2020-12/schema";
        members.shift_insert(0, "$schema".into(), dialect.into());
        members.shift_insert(1, "title".into(), "boat file of awash".into());
        members.insert("$defs".into(), Value::Object(defs));
    }
    schema
}

/// What a table's definition is called.
fn slug(table: &TableKeys) -> String {
    let words = table.title.split(|c: char| !c.is_ascii_alphanumeric());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).take(4).collect();
    words.join("_")
}

fn object(table: &TableKeys) -> Value {
    let mut properties = Map::new();
    for key in table.keys {
        let mut value = value_of(key.holds);
        value["description"] = format!("{}: {}", in_words(key.holds), key.tells).into();
        properties.insert(key.name.to_owned(), value);
    }
    json!({
        "type": "object",
        "description": table.tells,
        "properties": properties,
        "additionalProperties": false,
    })
}

fn value_of(holds: Holds) -> Value {
    let reference = |table| json!({ "$ref": format!("#/$defs/{}", slug(table)) });
    let amount = || json!({ "type": ["string", "number"] });
    let three = || json!({ "type": "array", "items": amount(), "minItems": 3, "maxItems": 3 });
    match holds {
        Holds::Text(_) => json!({ "type": "string", "minLength": 1 }),
        Holds::Flag => json!({ "type": "boolean" }),
        Holds::Count => json!({ "type": "integer", "minimum": 1 }),
        Holds::Choice(words) => json!({ "enum": words }),
        Holds::Quantity(dimension, _, Bare::Allowed) if dimension.takes_bare_numbers() => amount(),
        Holds::Quantity(..) => json!({ "type": "string" }),
        Holds::Share => amount(),
        Holds::Point(tape) => json!({ "anyOf": [three(), reference(tape)] }),
        Holds::Sizes => three(),
        Holds::Points(tape) => {
            json!({ "type": "array", "items": value_of(Holds::Point(tape)), "minItems": 1 })
        }
        Holds::Coordinate(_, tape) => json!({ "anyOf": [amount(), reference(tape)] }),
        Holds::Table(table) => reference(table),
        Holds::Tables(table) => json!({ "type": "array", "items": reference(table) }),
        Holds::Own(_, _, types) => json!({ "type": types }),
    }
}

/// What a key holds, in words.
fn in_words(holds: Holds) -> String {
    match holds {
        Holds::Text(_) => "text".to_owned(),
        Holds::Flag => "true or false".to_owned(),
        Holds::Count => "a whole number from 1 up".to_owned(),
        Holds::Choice(words) => format!("\"{}\"", words.join("\", \"")),
        Holds::Quantity(dimension, _, bare) => amount(dimension, bare),
        Holds::Share => "a share: 0.95 or \"95 %\"".to_owned(),
        Holds::Point(_) => "a place".to_owned(),
        Holds::Sizes => "three lengths in brackets".to_owned(),
        Holds::Points(_) => "a list of places".to_owned(),
        Holds::Coordinate(axis, _) => {
            let axis = ["x", "y", "z"].get(axis).unwrap_or(&"");
            format!("{axis}, or a tape reading")
        }
        Holds::Table(table) => format!("a table, see {}", titled(table)),
        Holds::Tables(table) => format!("{}, any number", titled(table)),
        Holds::Own(words, ..) => words.to_owned(),
    }
}

fn amount(dimension: Dimension, bare: Bare) -> String {
    let name = dimension.name();
    if bare == Bare::Allowed && dimension.takes_bare_numbers() {
        match dimension {
            Dimension::Fraction => format!("{name} or a number"),
            _ => format!("{name}; a bare number is in {}", dimension.symbol()),
        }
    } else {
        format!("{name}, with its unit")
    }
}

/// Its title; brackets as code, since they are links elsewhere.
fn titled(table: &TableKeys) -> String {
    match table.title {
        title if title.starts_with('[') => format!("`{title}`"),
        title => title.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::capitalised;
    use crate::reference::hold;

    /// Every key, table by table, Markdown: what it holds, then what it means.
    fn keys_page() -> String {
        let mut page = String::new();
        for table in TOP.all() {
            page.push_str(&format!(
                "\n## {}\n\n{}\n\n",
                titled(table),
                in_full(table.tells)
            ));
            for key in table.keys {
                let holds = in_words(key.holds);
                page.push_str(&format!(
                    "- `{}` ({holds}): {}\n",
                    key.name,
                    in_full(key.tells)
                ));
            }
        }
        page
    }

    fn in_full(tells: &str) -> String {
        let stop = if tells.ends_with(" or") { "" } else { "." };
        capitalised(tells) + stop
    }

    /// `AWASH_WRITE=1 cargo test --lib the_page_tells` writes the keys into the page anew.
    #[test]
    fn the_page_tells_every_key_as_it_is_read() {
        hold("boat-file", &keys_page());
    }
}
