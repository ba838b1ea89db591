//! Studies return facts; sentences, units and rounding are made in `present`. Counts what is
//! still made into text in `src/study`, so that it can only become less.
use std::fs;
use std::path::Path;

use crate::layers::collect;

/// `format!` left in the sources of the studies, tests within them left out.
const FORMATS: usize = 29;
/// Those of them whose text carries a unit of length, mass, volume, energy or force.
const WITH_A_UNIT: usize = 1;
/// Units as a text writes them behind a number.
const UNITS: [&str; 9] = ["mm", "cm", "m", "kg", "L", "J", "N", "m²", "m³"];

#[test]
fn no_more_is_made_into_text_in_the_studies() {
    let formats = formats();
    let with_a_unit: Vec<&String> = formats.iter().filter(|one| has_unit(one)).collect();
    let told = with_a_unit.iter().map(|one| format!("{one}\n"));
    let found = (formats.len(), with_a_unit.len());
    assert_eq!(
        found,
        (FORMATS, WITH_A_UNIT),
        "more: move the words to src/present; fewer: lower the numbers here. With a unit:\n{}",
        told.collect::<String>()
    );
}

#[test]
fn units_are_seen_behind_a_number_only() {
    for (text, expected) in [
        (r#"format!("{:.0} mm over", x)"#, true),
        (r#"format!("{m:.2} m, {k}")"#, true),
        (r#"format!("{mass:.1} kg")"#, true),
        (r#"format!("{angle:.0}° of heel")"#, false),
        (r#"format!("{name} moves")"#, false),
    ] {
        assert_eq!(has_unit(text), expected, "{text}");
    }
}

/// Every `format!(…)` of the studies, in one line each.
fn formats() -> Vec<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/study");
    let mut files = Vec::new();
    collect(&root, &mut files);
    files.sort();
    let mut found = Vec::new();
    // What a boat file holds is no sentence of a study.
    let boat_files = ["start.rs", "first_boat.rs"];
    files.retain(|path| boat_files.iter().all(|name| !path.ends_with(name)));
    for path in files {
        let text = fs::read_to_string(&path).expect("a source file");
        let code = text.split("#[cfg(test)]").next().unwrap_or_default();
        let calls = code.split("format!").skip(1);
        found.extend(calls.map(|rest| {
            let call = rest.get(..closing(rest)).unwrap_or(rest);
            "format!".to_owned() + &call.split_whitespace().collect::<Vec<_>>().join(" ")
        }));
    }
    assert!(!found.is_empty(), "none was seen: the reader is blind");
    found
}

/// Just past the bracket that closes the first one, texts passed over.
fn closing(text: &str) -> usize {
    let (mut depth, mut in_text, mut escaped) = (0_u32, false, false);
    for (at, c) in text.char_indices() {
        match c {
            _ if escaped => escaped = false,
            '\\' if in_text => escaped = true,
            '"' => in_text = !in_text,
            '(' if !in_text => depth += 1,
            ')' if !in_text => {
                depth -= 1;
                if depth == 0 {
                    return at + 1;
                }
            }
            _ => {}
        }
    }
    text.len()
}

/// Whether a unit stands behind a placeholder.
fn has_unit(call: &str) -> bool {
    call.split('}').skip(1).any(|rest| {
        let word = rest.strip_prefix(' ').unwrap_or("");
        let end = word.find(|c: char| !c.is_alphanumeric() && c != '²' && c != '³');
        UNITS.contains(&&word[..end.unwrap_or(word.len())])
    })
}
