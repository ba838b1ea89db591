//! The keys of `--format json`: JSON Schema made from the results' structs and their docs,
//! and, held by a test, the same in `reference/results.md`.
use schemars::generate::SchemaSettings;
use serde_json::{Value, json};

use crate::study::*;

macro_rules! results {
    ($($command:literal: $result:ty;)+) => {
        /// The commands that give a result.
        pub const RESULTS: &[&str] = &[$($command),+];

        fn root(command: &str) -> Option<Value> {
            let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
            match command {
                $($command => Some(generator.into_root_schema_for::<$result>().to_value()),)+
                _ => None,
            }
        }
    };
}

results! {
    "slice": Answer<SliceResult>;
    "float": Answer<FloatResult>;
    "init": StartingFile;
    "inspect": InspectResult;
    "mend": MendResult;
    "margins": Answer<MarginsResult>;
    "righting": Answer<RightingResult>;
    "curves": Answer<CurvesResult>;
    "spread": Answer<SpreadResult>;
    "place": Answer<PlaceResult>;
    "sill": Answer<SillResult>;
    "swamp": Answer<SwampResult>;
    "flooded": Answer<FloodedResult>;
    "foam": Answer<FoamResult>;
    "dive": Answer<DiveResult>;
    "trapped": Answer<TrappedResult>;
    "section": Answer<SectionResult>;
    "template": Answer<TemplateResult>;
    "tape": Answer<TapeResult>;
    "where": Answer<WhereResult>;
    "drill": Answer<DrillResult>;
    "list": Answer<ListResult>;
    "calibrate": Answer<CalibrateResult>;
    "compare": CompareResult;
    "report": Answer<ReportResult>;
}

/// What [`super::Present::words`] adds to the facts: of which command (`""`: of every one),
/// below which key (each of a list), as which key, and what it tells.
const SENTENCES: &[(&str, &str, &str, Told)] = &[
    (
        "",
        "",
        "summary",
        Told::One("The answer in a sentence or a few."),
    ),
    (
        "",
        "",
        "cautions",
        Told::Many("What to be wary of; the sentences of `caution_codes`, in the same order."),
    ),
    ("float", "", "yardsticks", Told::Many(YARDSTICKS)),
    ("place", "", "yardsticks", Told::Many(YARDSTICKS)),
    ("swamp", "", "yardsticks", Told::Many(YARDSTICKS)),
    ("flooded", "", "yardsticks", Told::Many(YARDSTICKS)),
    ("foam", "", "yardsticks", Told::Many(YARDSTICKS)),
    (
        "inspect",
        "",
        "because",
        Told::Many("Why it has that grade."),
    ),
    ("inspect", "", "next", Told::Many("What to do next.")),
    ("flooded", "", "notes", Told::Many(NOTES)),
    ("list", "", "notes", Told::Many(NOTES)),
    ("list", "proposed", "name", Told::One("What it is.")),
    ("calibrate", "", "notes", Told::Many(NOTES)),
    (
        "calibrate",
        "",
        "misfits",
        Told::Many("Readings that fit worst."),
    ),
    (
        "calibrate",
        "residuals",
        "what",
        Told::One("What was measured."),
    ),
    (
        "foam",
        "places",
        "bounds",
        Told::One("Where its foam begins and ends."),
    ),
    ("foam", "rules", "name", Told::One("What the rule asks.")),
    (
        "foam",
        "rules",
        "source",
        Told::One("Where the rule stands."),
    ),
    (
        "foam",
        "rules",
        "got",
        Told::One("What the craft has of it."),
    ),
    (
        "margins",
        "verdicts",
        "name",
        Told::One("What was looked at."),
    ),
    (
        "margins",
        "verdicts",
        "yardstick",
        Told::One("The yardstick, with its source."),
    ),
    ("template", "cut", "name", Told::One("Which cut it is.")),
    (
        "template",
        "other_face",
        "name",
        Told::One("Which cut it is."),
    ),
    (
        "report",
        "",
        "assumptions",
        Told::Many("What was taken for granted."),
    ),
    (
        "report",
        "verdicts",
        "about",
        Told::One("What was looked at."),
    ),
    (
        "report",
        "verdicts",
        "but",
        Told::OneOrNone("What the craft does before that, or null."),
    ),
    (
        "report",
        "verdicts",
        "text",
        Told::One("The verdict with its figure."),
    ),
];

/// A sentence, or several, and what they tell.
#[derive(Debug, Clone, Copy)]
enum Told {
    One(&'static str),
    OneOrNone(&'static str),
    Many(&'static str),
}

impl Told {
    fn schema(self) -> Value {
        match self {
            Self::One(tells) => json!({ "type": "string", "description": tells }),
            Self::OneOrNone(tells) => json!({ "type": ["string", "null"], "description": tells }),
            Self::Many(tells) => {
                json!({ "type": "array", "items": { "type": "string" }, "description": tells })
            }
        }
    }
}

const YARDSTICKS: &str = "The yardsticks that were used, each with its source.";
const NOTES: &str = "What else to know of the answer.";

/// JSON Schema (draft 2020-12) of a command's `--format json`; `None` where it gives no
/// result. Keys that it does not tell may come with a later release.
#[must_use]
pub fn schema(command: &str) -> Option<Value> {
    let mut schema = root(command)?;
    say_plainly(&mut schema);
    add_sentences(&mut schema, command, "");
    if command == "report" {
        let parts = schema.pointer("/properties").and_then(Value::as_object);
        let parts: Vec<String> = parts
            .into_iter()
            .flat_map(|all| all.keys().cloned())
            .collect();
        for part in parts {
            let command = if part == "weights" { "list" } else { &part };
            if RESULTS.contains(&command) {
                add_sentences(&mut schema, command, &part);
            }
        }
    }
    let members = schema.as_object_mut()?;
    members.insert(
        "title".into(),
        format!("awash {command} --format json").into(),
    );
    let origin = json!({
        "type": "object",
        "description": "What x, y and z count from, where a boat file was read: `words`, and \
            `stern_x_m`, `stem_x_m`, `middle_y_m`, `base_z_m` (its lowest point) of the \
            (first boat's) hull without its parts.",
    });
    members
        .get_mut("properties")?
        .as_object_mut()?
        .shift_insert(0, "origin".into(), origin);
    Some(schema)
}

/// Adds a command's sentences to its result, which stands at `part` of the schema.
fn add_sentences(schema: &mut Value, command: &str, part: &str) {
    let of_it = SENTENCES
        .iter()
        .filter(|(of, ..)| of.is_empty() || *of == command);
    for (_, below, key, told) in of_it {
        let at = object_at(schema, &format!("{part}/{below}"));
        let members = at.and_then(|at| schema.pointer_mut(&format!("{at}/properties")));
        if let Some(Value::Object(members)) = members {
            members.entry(*key).or_insert_with(|| told.schema());
        }
    }
}

/// JSON pointer of the object that stands below keys, through lists, choices and references.
fn object_at(schema: &Value, keys: &str) -> Option<String> {
    let mut at = String::new();
    for key in keys.split('/').filter(|key| !key.is_empty()) {
        at = resolved(schema, format!("{at}/properties/{key}"))?;
    }
    schema.pointer(&format!("{at}/properties")).map(|_| at)
}

fn resolved(schema: &Value, at: String) -> Option<String> {
    let node = schema.pointer(&at)?;
    if let Some(reference) = node.get("$ref").and_then(Value::as_str) {
        return resolved(schema, reference.trim_start_matches('#').to_owned());
    }
    if node.get("items").is_some() {
        return resolved(schema, format!("{at}/items"));
    }
    if node.get("anyOf").is_some() {
        return resolved(schema, format!("{at}/anyOf/0"));
    }
    Some(at)
}

/// Docs as a user reads them: in one line, without links to Rust, `null` for `None`.
fn say_plainly(value: &mut Value) {
    match value {
        Value::Object(members) => {
            for (key, member) in members {
                match member {
                    Value::String(text) if key == "description" => *text = plainly(text),
                    _ => say_plainly(member),
                }
            }
        }
        Value::Array(members) => members.iter_mut().for_each(say_plainly),
        _ => {}
    }
}

fn plainly(docs: &str) -> String {
    let line = docs.split_whitespace().collect::<Vec<_>>().join(" ");
    line.replace("[`", "`")
        .replace("`]", "`")
        .replace("`None`", "null")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reference::hold;

    /// Every command's keys as a page to read, one a line; what a key holds stands below it,
    /// once.
    fn keys_page() -> String {
        let mut page = String::new();
        for command in RESULTS {
            let Some(schema) = schema(command) else {
                continue;
            };
            page.push_str(&format!("\n## {command}\n\n"));
            let mut told = Vec::new();
            tell_object(&schema, "", 0, &mut told, &mut page);
        }
        page
    }

    /// The keys of the object at a pointer, each with what it tells.
    fn tell_object(
        schema: &Value,
        at: &str,
        depth: usize,
        told: &mut Vec<String>,
        page: &mut String,
    ) {
        let members = schema.pointer(&format!("{at}/properties"));
        for (key, member) in members.and_then(Value::as_object).into_iter().flatten() {
            let below = resolved(schema, format!("{at}/properties/{key}"));
            let about = member.get("description").and_then(Value::as_str);
            let words = below
                .as_ref()
                .and_then(|below| words_of(schema.pointer(below)?));
            let words = words.map(|words| format!(" One of {words}."));
            let indent = "  ".repeat(depth);
            page.push_str(&format!(
                "{indent}- `{key}`: {}{}\n",
                about.unwrap_or_default(),
                words.unwrap_or_default()
            ));
            if let Some(below) = below.filter(|below| !told.contains(below)) {
                if below.starts_with("/$defs/") {
                    told.push(below.clone());
                }
                tell_object(schema, &below, depth + 1, told, page);
            }
        }
    }

    /// The words that a key may hold, where it holds one of a list.
    fn words_of(schema: &Value) -> Option<String> {
        let choices = schema.get("oneOf")?.as_array()?;
        let words = choices.iter().flat_map(|choice| {
            let listed = choice.get("enum").and_then(Value::as_array);
            listed.into_iter().flatten().chain(choice.get("const"))
        });
        let words: Vec<String> = words
            .filter_map(Value::as_str)
            .map(|word| format!("`{word}`"))
            .collect();
        (!words.is_empty()).then(|| words.join(", "))
    }

    /// `AWASH_WRITE=1 cargo test --lib the_page_tells` writes the keys into the page anew.
    #[test]
    fn the_page_tells_every_key_of_every_result() {
        hold("results", &keys_page());
    }
}
