//! Plain words: what was found to trip a reader stands in no text that a user meets: string
//! literals of the sources (tables, errors, help, window), README and reference pages.
use std::fs;
use std::path::Path;

use crate::banned::BANNED;
use crate::layers::collect;

#[test]
fn no_text_has_a_phrase_that_trips() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = Vec::new();
    collect(&root.join("src"), &mut files);
    let mut texts: Vec<(String, String)> = Vec::new();
    for path in files {
        let code = fs::read_to_string(&path).expect("a source file");
        let code = code.split("#[cfg(test)]").next().unwrap_or_default();
        // Help is made of the doc comments of the commands.
        let is_command = path.starts_with(root.join("src/cli"));
        texts.push((path.display().to_string(), literals(code, is_command)));
    }
    assert!(
        texts.iter().any(|(_, text)| text.len() > 1000),
        "the reader is blind"
    );
    let pages = fs::read_dir(root.join("src/reference")).expect("pages");
    let pages = pages.map(|page| page.expect("a page").path());
    for page in pages.chain([root.join("README.md")]) {
        let text = fs::read_to_string(&page).expect("a page");
        texts.push((page.display().to_string(), text));
    }
    let mut found = Vec::new();
    for (file, text) in &texts {
        // Wrapped lines are one text.
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        for (banned, better) in BANNED {
            for _ in text.matches(banned) {
                found.push(format!("{file}: \"{banned}\" (better: {better})"));
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// The string literals of a source, and its doc comments where they are asked for.
fn literals(code: &str, with_docs: bool) -> String {
    let mut text = String::new();
    for line in code.lines() {
        let line = line.trim_start();
        if let Some(doc) = line.strip_prefix("///").filter(|_| with_docs) {
            text.push_str(doc);
            text.push('\n');
        } else if !line.starts_with("//") {
            for (number, part) in line.split('"').enumerate() {
                if number % 2 == 1 {
                    text.push_str(part);
                    text.push('\n');
                }
            }
        }
    }
    text
}
