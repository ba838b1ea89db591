//! `awash schema` against what the commands answer. The walk below knows what the schemas
//! hold of JSON Schema (draft 2020-12, core and validation): a library for all of it brings
//! forty crates.
use serde_json::Value;

use super::banned::BANNED;
use super::run::{Folder, awash};

const DECKED: &str = "tests/boats/after.toml";
const BULKHEADS: &str = "tests/boats/bulkheads.toml";
const DIVED: &str = "tests/boats/dived.toml";
const HULL: &str = "tests/boats/hull.stl";

/// Each command that gives a result; files named OUT go into a folder of the test's.
const COMMANDS: &[&[&str]] = &[
    &["slice", HULL, "--mesh-units", "mm", "--waterline", "12 cm"],
    &["slice", HULL, "--waterline", "9"],
    &["float", DECKED],
    &["float", "tests/boats/bulkheads.toml#rain"],
    &["init", HULL, "--output", "OUT-boat.toml"],
    &["inspect", HULL],
    &["inspect", HULL, "--mesh-units", "mm"],
    &["margins", DECKED],
    &["righting", DECKED],
    &["curves", DECKED],
    &["spread", DECKED, "--draws", "40"],
    &["place", DECKED, "battery"],
    &["sill", DECKED, "cockpit", "--up-to", "30 cm"],
    &["swamp", DECKED],
    &["swamp", BULKHEADS, "--from", "tilt"],
    &["flooded", BULKHEADS],
    &["foam", DECKED, "--freeboard", "3 cm"],
    &["dive", DIVED],
    &["trapped", DIVED, "--pitch", "-20"],
    &["section", DECKED, "--stations", "3"],
    &["template", DECKED, "--station", "1.2", "-o", "OUT.svg"],
    &["mend", HULL, "-o", "OUT.stl"],
    &["calibrate", DECKED, "OUT.toml"],
    &["tape", DECKED],
    &["where", DECKED],
    &["drill", DECKED],
    &["list", DECKED, "weights"],
    &["list", DIVED, "lead"],
    &["compare", "tests/boats/before.toml", DECKED],
    &["report", DECKED, "-o", "OUT.html"],
];

fn schema_of(command: &str) -> Value {
    let answer = awash(["schema", command]);
    assert_eq!(answer.code, 0, "{command}: {}", answer.stderr);
    serde_json::from_str(&answer.stdout).expect("JSON")
}

/// What of a value its schema does not allow, and keys that it does not tell.
fn faults(root: &Value, schema: &Value, value: &Value, at: &str) -> Vec<String> {
    if schema.is_null() {
        return Vec::new();
    }
    if let Some(reference) = schema["$ref"].as_str() {
        let target = root.pointer(reference.trim_start_matches('#'));
        return faults(
            root,
            target.expect("a reference leads somewhere"),
            value,
            at,
        );
    }
    for key in ["anyOf", "oneOf"] {
        if let Some(choices) = schema[key].as_array() {
            let tried = choices.iter().map(|choice| faults(root, choice, value, at));
            return tried.min_by_key(Vec::len).unwrap_or_default();
        }
    }
    let mut found = Vec::new();
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
        Value::Number(number) if number.is_f64() => "number",
        Value::Number(_) => "integer",
    };
    let allowed = match &schema["type"] {
        Value::Array(kinds) => kinds.clone(),
        Value::Null => vec![],
        one => vec![one.clone()],
    };
    let is_allowed = |wanted: &Value| wanted == kind || (wanted == "number" && kind == "integer");
    if !allowed.is_empty() && !allowed.iter().any(is_allowed) {
        found.push(format!("{at}: {kind}, not {allowed:?}"));
    }
    if let Some(wanted) = schema.get("const")
        && wanted != value
    {
        found.push(format!("{at}: not {wanted}"));
    }
    if let Some(words) = schema["enum"].as_array()
        && !words.contains(value)
    {
        found.push(format!("{at}: {value} is none of {words:?}"));
    }
    match value {
        Value::Object(members) => {
            let known = schema["properties"].as_object();
            let required = schema["required"].as_array().into_iter().flatten();
            for key in required.filter_map(Value::as_str) {
                if !members.contains_key(key) {
                    found.push(format!("{at}/{key}: missing"));
                }
            }
            for (key, member) in members {
                let below = format!("{at}/{key}");
                match known.and_then(|known| known.get(key)) {
                    Some(schema) => found.extend(faults(root, schema, member, &below)),
                    // What is said of the origin stands in its description.
                    None if at == "/origin" => {}
                    None => found.push(format!("{below}: not told")),
                }
            }
        }
        Value::Array(members) => {
            for member in members {
                found.extend(faults(root, &schema["items"], member, &format!("{at}[]")));
            }
        }
        _ => {}
    }
    found
}

#[test]
fn every_answer_is_as_its_schema_says() {
    let folder = Folder::new();
    let out = folder.path().join("OUT");
    let out = out.to_str().expect("text");
    let marks = [[0.0, 0.25, 0.36], [0.0, -0.25, 0.36], [3.3, 0.0, 0.42]]
        .map(|at| format!("[[float_mark]]\nat = {at:?}\nover_water = \"12 cm\"\n"));
    folder.write("OUT.toml", marks.concat());
    for arguments in COMMANDS {
        let arguments: Vec<String> = arguments
            .iter()
            .map(|one| one.replace("OUT", out))
            .collect();
        let answer = awash(
            arguments
                .iter()
                .map(String::as_str)
                .chain(["--format", "json"]),
        );
        assert_eq!(answer.code, 0, "{arguments:?}: {}", answer.stderr);
        let schema = schema_of(&arguments[0]);
        let mut found = faults(&schema, &schema, &answer.json(), "");
        // Its sentences are a reader's too.
        let told = answer
            .stdout
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        let banned = BANNED.iter().filter(|(phrase, _)| told.contains(phrase));
        found.extend(banned.map(|(phrase, better)| format!("\"{phrase}\" (better: {better})")));
        found.sort_unstable();
        found.dedup();
        assert!(found.is_empty(), "{arguments:?}:\n{}", found.join("\n"));
    }
    let seen: Vec<&str> = COMMANDS.iter().map(|arguments| arguments[0]).collect();
    let listed = awash(["schema"]).stdout;
    for line in listed.lines() {
        let name = line
            .strip_prefix("awash schema ")
            .expect("a command a line");
        assert!(seen.contains(&name) || name == "boat-file", "{name}");
    }
}

/// The demo's boat files are as the boat file's schema says, and a slip is not.
#[test]
fn boat_files_are_as_their_schema_says() {
    let schema = schema_of("boat-file");
    let faults_of = |text: &str| {
        let value: Value = toml::from_str(text).expect("TOML");
        faults(&schema, &schema, &value, "").join("\n")
    };
    let mut read = 0;
    for folder in ["meshes/dipper", "meshes/dabchick"] {
        for entry in std::fs::read_dir(folder).expect("the demo") {
            let path = entry.expect("an entry").path();
            if path
                .extension()
                .is_some_and(|extension| extension == "toml")
            {
                let text = std::fs::read_to_string(&path).expect("text");
                assert_eq!(faults_of(&text), "", "{}", path.display());
                read += 1;
            }
        }
    }
    assert!(read > 5, "{read} boat files");
    for (text, wrong) in [
        ("[hull]\nmesh = 3\n", "/hull/mesh: integer"),
        ("[[item]]\nmas = 3\n", "/item[]/mas: not told"),
        ("[[opening]]\nstate = \"shut\"\n", "/opening[]/state"),
        ("[hull]\nscan_error = 5\n", "/hull/scan_error: integer"),
    ] {
        assert!(
            faults_of(text).contains(wrong),
            "{text}: {}",
            faults_of(text)
        );
    }
}

/// What the walk is for: it sees a key that is not told, one that is missing, a wrong type.
#[test]
fn the_walk_is_not_blind() {
    let schema = schema_of("float");
    let mut value = awash(["float", DECKED, "--format", "json"]).json();
    value["new_key"] = 1.into();
    value["openings"][0]["verdict"] = "fine".into();
    let members = value.as_object_mut().expect("an object");
    members.remove("masses");
    members.insert("mass_kg".into(), "heavy".into());
    let found = faults(&schema, &schema, &value, "").join("\n");
    for wanted in ["/new_key: not told", "/masses: missing", "/mass_kg: string"] {
        assert!(found.contains(wanted), "{wanted}:\n{found}");
    }
    assert!(found.contains("/openings[]/verdict"), "{found}");
}

/// Every key is told in words.
#[test]
fn every_key_has_a_description() {
    fn look(value: &Value, at: &str, bare: &mut Vec<String>) {
        // Of a choice with one key the docs stand beside it.
        let is_told = value.get("description").is_some() && !at.is_empty();
        if let Some(members) = value["properties"].as_object()
            && !(is_told && members.len() == 1)
        {
            for (key, member) in members {
                let is_told = member.get("description").is_some() || member.get("const").is_some();
                if !is_told {
                    bare.push(format!("{at}/{key}"));
                }
            }
        }
        match value {
            Value::Object(members) => {
                for (key, member) in members {
                    look(member, &format!("{at}/{key}"), bare);
                }
            }
            Value::Array(members) => members.iter().for_each(|one| look(one, at, bare)),
            _ => {}
        }
    }
    let mut bare = Vec::new();
    for line in awash(["schema"]).stdout.lines() {
        let name = line.strip_prefix("awash schema ").expect("a command");
        look(&schema_of(name), name, &mut bare);
    }
    assert!(bare.is_empty(), "{}", bare.join("\n"));
    let page = awash(["reference", "results"]).stdout;
    assert!(page.contains("lowest_sill_m"), "{page}");
    // A link to Rust or a word of its is no help to who reads JSON.
    for wrong in ["[`", "Vec<", "`None`", "crate::", "Self::"] {
        assert!(!page.contains(wrong), "{wrong}");
    }
}
