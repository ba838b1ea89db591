//! The boat file as its page and the structs' docs tell it, against the keys that are
//! read: what is read is told, and what is told is read.
use std::collections::BTreeSet;

use super::read::ALL_TABLES;
use crate::boat::fields::TableKeys;

const PAGE: &str = include_str!("../../reference/boat-file.md");
const STRUCTS: &[&str] = &[
    include_str!("../file.rs"),
    include_str!("inside.rs"),
    include_str!("shape.rs"),
];
/// Keys that are taken before a table is read: they say how files lie over each other.
const BEFORE: &[&str] = &["extends", "remove", "condition"];

/// The words of each stretch in backticks that could be keys: no values in quotes, no
/// placeholder letters of points, no numbers.
fn words(text: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for code in text.split('`').skip(1).step_by(2) {
        let outside_quotes = code.split('"').step_by(2).collect::<Vec<_>>().join(" ");
        let is_of_key = |c: char| c.is_ascii_lowercase() || c == '_';
        let words = outside_quotes.split(|c: char| !is_of_key(c) && !c.is_ascii_digit());
        let could_be = |word: &&str| word.len() > 1 && word.chars().all(is_of_key);
        found.extend(words.filter(could_be).map(str::to_owned));
    }
    found
}

fn keys(tables: &[&TableKeys]) -> BTreeSet<String> {
    let keys = tables.iter().flat_map(|table| table.keys.iter());
    keys.chain(BEFORE).map(|key| (*key).to_owned()).collect()
}

fn difference(a: &BTreeSet<String>, b: &BTreeSet<String>) -> Vec<String> {
    a.difference(b).cloned().collect()
}

#[test]
fn the_page_tells_every_key_and_no_other() {
    let rows: Vec<&str> = PAGE.lines().filter(|line| line.starts_with('|')).collect();
    for table in ALL_TABLES {
        let told = if table.title.starts_with('[') {
            let title = format!("| `{}` |", table.title);
            let row = rows.iter().find(|row| row.starts_with(&title));
            words(row.unwrap_or_else(|| panic!("the page has no row for {}", table.title)))
        } else {
            words(PAGE)
        };
        let read = table.keys.iter().map(|key| (*key).to_owned()).collect();
        let mut missing = difference(&read, &told);
        // Letters of axes stand in braces; a table with a row of its own is told by that.
        missing.retain(|key| key.len() > 1);
        missing.retain(|key| !rows.iter().any(|row| row.contains(&format!("[{key}]`"))));
        assert!(missing.is_empty(), "{}: {missing:?}", table.title);
    }
    // Words in backticks that are no keys: commands, letters of an example, `true`.
    let other = [
        "true", "float", "mend", "awash", "meshes", "dipper", "toml", "boat", "add", "recess",
        "attach", "cover", "text",
    ];
    let known = keys(ALL_TABLES);
    let mut unknown = difference(&words(PAGE), &known);
    unknown.retain(|word| !other.contains(&word.as_str()));
    assert!(
        unknown.is_empty(),
        "the page tells of keys that nothing reads: {unknown:?}"
    );
}

/// The tables of keys beside the structs, by their titles.
#[test]
fn the_structs_docs_tell_every_key_and_no_other() {
    let mut checked = 0;
    for table in ALL_TABLES {
        let title = format!("/// `{}`: ", table.title);
        let Some(docs) = STRUCTS.iter().find_map(|text| {
            let docs = text.split_once(&title)?.1;
            let docs = docs.split_once("\npub ")?.0;
            docs.contains("/// | key |").then_some(docs)
        }) else {
            continue;
        };
        let rows = docs.lines().filter_map(|line| line.strip_prefix("/// | `"));
        let first_cells = rows.map(|row| format!("`{}", row.split('|').next().unwrap_or("")));
        let told = words(&first_cells.collect::<Vec<_>>().join(" "));
        let read: BTreeSet<String> = table.keys.iter().map(|key| (*key).to_owned()).collect();
        assert_eq!(told, read, "docs of {}", table.title);
        checked += 1;
    }
    // [hull], [[part]], [[opening]], [[item]], [[compartment]], [[passage]].
    assert!(checked >= 4, "{checked} tables of keys found");
}
