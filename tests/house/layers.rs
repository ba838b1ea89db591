//! Data flows one way. Reads every path into the crate (`crate::…`, and
//! `super::…` that climbs out of its module) in the sources and holds it to
//! the table of what each module may use. Tests within the sources may use
//! anything and are not read.
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Units, vectors, bytes by path, threads and clocks, who watches: any module may use them.
const EVERYWHERE: [&str; 5] = ["quantity", "numerics", "files", "host", "progress"];

/// Each module and what it may use besides itself and [`EVERYWHERE`].
const MAY_USE: [(&str, &[&str]); 14] = [
    ("files", &[]),
    ("host", &[]),
    ("progress", &[]),
    ("numerics", &[]),
    ("quantity", &[]),
    ("reference", &[]),
    ("water", &[]),
    ("mesh", &[]),
    ("immersion", &["mesh"]),
    ("boat", &["mesh", "immersion", "water"]),
    ("equilibrium", &["boat", "immersion"]),
    (
        "study",
        &["water", "mesh", "boat", "immersion", "equilibrium"],
    ),
    ("present", &["study"]),
    (
        "viewer",
        &[
            "study",
            "present",
            "equilibrium",
            "boat",
            "immersion",
            "mesh",
        ],
    ),
];

/// `cli` puts everything together.
const MAY_USE_ALL: &str = "cli";

/// The folders beside the studies: what they share, which uses none of them, and studies
/// that are made of others.
const SHARED: &str = "shared";
const OF_STUDIES: &str = "of_studies";

/// What is made of a boat as its file has it; `Afloat` makes each once for all studies.
const MADE_ONCE: [&str; 3] = ["Craft::of(", "Sills::of(&", "map_sphere("];

/// Where such a thing is made of something else: a viewer's boat changes under the hand,
/// and a wall on a rim is another boat's.
const NOT_AS_FILED: [&str; 3] = ["viewer::subject", "viewer::state", "study::sill"];

#[test]
fn only_afloat_makes_the_craft_of_a_boat() {
    let mut seen = 0;
    for (module, text) in sources() {
        let path = module.join("::");
        if module[0] == "equilibrium" {
            seen += MADE_ONCE
                .iter()
                .filter(|made| text.contains(**made))
                .count();
        } else if !NOT_AS_FILED.contains(&path.as_str()) {
            for made in MADE_ONCE {
                assert!(!text.contains(made), "{path} calls {made}…)");
            }
        }
    }
    assert!(seen >= MADE_ONCE.len(), "the reader is blind");
}

/// Files at the top of the crate that only lay it out or start it.
const LAYOUT: [&str; 2] = ["lib", "main"];

#[test]
fn every_module_uses_only_what_the_table_allows() {
    let mut broken = Vec::new();
    let mut read = BTreeSet::new();
    for (module_path, text) in sources() {
        let from = module_path[0].as_str();
        read.insert(from.to_owned());
        if LAYOUT.contains(&from) || from == MAY_USE_ALL {
            continue;
        }
        let Some((_, allowed)) = MAY_USE.iter().find(|(module, _)| *module == from) else {
            broken.push(format!("{from} has no row in the table of modules"));
            continue;
        };
        for used in paths_used(&module_path, &text) {
            let to = used[0].as_str();
            if to != from && !EVERYWHERE.contains(&to) && !allowed.contains(&to) {
                broken.push(format!(
                    "{}: uses {}",
                    module_path.join("::"),
                    used.join("::")
                ));
            }
            if let Some(sibling) = sibling_study(&module_path, &used) {
                broken.push(format!(
                    "{}: uses the study {sibling}",
                    module_path.join("::")
                ));
            }
        }
    }
    assert!(
        broken.is_empty(),
        "against the table:\n{}",
        broken.join("\n")
    );
    // A reader that finds nothing would allow everything.
    for module in [
        "mesh",
        "immersion",
        "boat",
        "equilibrium",
        "study",
        "present",
        "cli",
    ] {
        assert!(read.contains(module), "{module} was not read: {read:?}");
    }
}

/// Modules known to use others: if their paths were not found, the test above
/// would be blind.
#[test]
fn the_reader_sees_the_paths_that_are_there() {
    let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (module_path, text) in sources() {
        let used = paths_used(&module_path, &text);
        uses.entry(module_path[0].clone())
            .or_default()
            .extend(used.into_iter().map(|path| path[0].clone()));
    }
    for (from, to) in [
        ("immersion", "mesh"),
        ("boat", "mesh"),
        ("boat", "water"),
        ("equilibrium", "boat"),
        ("equilibrium", "immersion"),
        ("study", "equilibrium"),
        ("present", "study"),
        ("cli", "study"),
        ("cli", "present"),
    ] {
        assert!(uses[from].contains(to), "{from} → {to}: {:?}", uses[from]);
    }
}

#[test]
fn groups_inline_paths_and_climbing_are_found_but_not_text_or_tests() {
    let text = r##"
        use crate::{mesh::{Surface, solids}, water::Water};
        use super::hydrostatics::{self, Hydrostatics};
        // use crate::cli::Command;
        /// [`crate::viewer`]
        const WORDS: &str = "crate::present and \" crate::boat";
        const RAW: &str = r#"a " crate::boat "#;
        const QUOTE: char = '"';
        fn f(x: &crate::numerics::Vec3) -> crate :: immersion::WaterPlane { super::super::boat::g(x) }
        pub(crate) fn visible() {}
        #[cfg(test)]
        mod tests { use crate::cli; fn g() { if true { } } }
        #[cfg(test)]
        use crate::viewer::Window;
        #[cfg(all(test, unix))]
        mod more;
        fn after() { crate::quantity::show(); }
    "##;
    let at = ["study", "float"].map(str::to_owned).to_vec();
    let found: BTreeSet<String> = paths_used(&at, text)
        .iter()
        .map(|path| path.iter().take(2).cloned().collect::<Vec<_>>().join("::"))
        .collect();
    let expected = [
        "boat::g",
        "immersion::WaterPlane",
        "mesh::Surface",
        "mesh::solids",
        "numerics::Vec3",
        "quantity::show",
        "study::hydrostatics",
        "water::Water",
    ];
    assert_eq!(found, expected.map(str::to_owned).into());
}

#[test]
fn a_study_that_uses_its_sibling_is_found() {
    let at = |path: &str| -> Vec<String> { path.split("::").map(str::to_owned).collect() };
    for (from, used, wrong) in [
        ("study::float", "study::slice::slice", true),
        ("study::float", "study::SliceResult", true),
        ("study::float", "study::shared::named::people", false),
        ("study::float", "study::of_studies::list::list", true),
        ("study::float", "study::float::rest", false),
        (
            "study::shared::heads",
            "study::shared::named::people",
            false,
        ),
        ("study::shared::heads", "study::float::float", true),
        ("study::of_studies::report", "study::float::float", false),
        ("study", "study::float::float", false),
        ("present::float", "study::SliceResult", false),
    ] {
        let found = sibling_study(&at(from), &at(used)).is_some();
        assert_eq!(found, wrong, "{from} uses {used}");
    }
}

/// The sibling that a study's file reaches into, if it may not.
fn sibling_study(from: &[String], used: &[String]) -> Option<String> {
    let own = from.get(1).filter(|_| from[0] == "study")?;
    let other = used.get(1).filter(|_| used[0] == "study")?;
    (own != other && own != OF_STUDIES && other != SHARED).then(|| other.clone())
}

/// Every source file that is not a test: its module path and its text.
fn sources() -> Vec<(Vec<String>, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    collect(&root, &mut files);
    files
        .into_iter()
        .map(|path| {
            let relative = path
                .strip_prefix(&root)
                .expect("under src")
                .with_extension("");
            let mut module: Vec<String> = relative
                .iter()
                .map(|part| part.to_string_lossy().into_owned())
                .collect();
            if module.last().is_some_and(|name| name == "mod") {
                module.pop();
            }
            (module, fs::read_to_string(&path).expect("a source file"))
        })
        .collect()
}

pub(crate) fn collect(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("a folder of sources") {
        let path = entry.expect("an entry").path();
        let stem = path.file_stem().unwrap_or_default().to_string_lossy();
        if stem == "tests" || stem.ends_with("_tests") {
            continue;
        }
        if path.is_dir() {
            collect(&path, files);
        } else if path.extension().is_some_and(|ext| ext == "rs") {
            files.push(path);
        }
    }
}

/// The paths that a file's code names from the crate's root on, groups taken
/// apart. `module` is the file's own path.
fn paths_used(module: &[String], text: &str) -> Vec<Vec<String>> {
    let tokens = without_tests(&tokens(text));
    let mut found = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        let follows_path = i > 0 && tokens[i - 1] == "::";
        let leads = matches!(tokens[i].as_str(), "crate" | "super") && !follows_path;
        if !leads || tokens.get(i + 1).is_none_or(|next| next != "::") {
            i += 1;
            continue;
        }
        let mut base: Vec<String> = Vec::new();
        if tokens[i] == "super" {
            base = module.to_vec();
            base.pop();
        }
        i += 2;
        while tokens.get(i).is_some_and(|token| token == "super") {
            base.pop();
            i += 2;
        }
        i = read_path(&tokens, i, &base, &mut found);
    }
    found.retain(|path| !path.is_empty());
    found
}

/// Reads what follows `base::` at `i`, a name, a longer path or a group, into
/// `found`; returns where it ends.
fn read_path(tokens: &[String], i: usize, base: &[String], found: &mut Vec<Vec<String>>) -> usize {
    let mut path = base.to_vec();
    let mut i = i;
    while let Some(token) = tokens.get(i) {
        if token == "{" {
            i += 1;
            while tokens.get(i).is_some_and(|token| token != "}") {
                i = read_path(tokens, i, &path, found);
                // A rename, then the next of the group.
                while tokens
                    .get(i)
                    .is_some_and(|token| token != "," && token != "}")
                {
                    i += 1;
                }
                if tokens.get(i).is_some_and(|token| token == ",") {
                    i += 1;
                }
            }
            return i + 1;
        }
        if token != "self" && token != "*" {
            path.push(token.clone());
        }
        i += 1;
        if tokens.get(i).is_none_or(|token| token != "::") {
            break;
        }
        i += 1;
    }
    found.push(path);
    i
}

/// Takes out every item under `#[cfg(test)]` or `#[cfg(all(test, …))]`: up to
/// its `;` or its closing brace.
fn without_tests(tokens: &[String]) -> Vec<String> {
    let mut kept = Vec::new();
    let mut i = 0;
    while i < tokens.len() {
        let opens = tokens[i..].iter().take(4).map(String::as_str);
        if !opens.eq(["#", "[", "cfg", "("]) {
            kept.push(tokens[i].clone());
            i += 1;
            continue;
        }
        let end = matching(tokens, i + 1);
        let attribute = &tokens[i..end];
        let has = |word: &str| attribute.iter().any(|token| token == word);
        if !has("test") || has("not") || has("any") {
            kept.extend_from_slice(attribute);
            i = end;
            continue;
        }
        i = end;
        while i < tokens.len() && tokens[i] != ";" && tokens[i] != "{" {
            i += 1;
        }
        let is_use = tokens[end..i].iter().any(|token| token == "use");
        i = if i < tokens.len() && tokens[i] == "{" {
            matching(tokens, i)
        } else {
            i + 1
        };
        if is_use && tokens.get(i).is_some_and(|token| token == ";") {
            i += 1;
        }
    }
    kept
}

/// Just past the bracket that closes the one at `open`.
fn matching(tokens: &[String], open: usize) -> usize {
    let mut depth = 0_usize;
    for (i, token) in tokens.iter().enumerate().skip(open) {
        match token.as_str() {
            "(" | "[" | "{" => depth += 1,
            ")" | "]" | "}" => {
                depth -= 1;
                if depth == 0 {
                    return i + 1;
                }
            }
            _ => {}
        }
    }
    tokens.len()
}

/// Names and signs of Rust code, without comments, strings and characters.
fn tokens(text: &str) -> Vec<String> {
    let chars: Vec<char> = text.chars().collect();
    let starts = |i: usize, word: &str| {
        word.chars()
            .enumerate()
            .all(|(k, c)| chars.get(i + k) == Some(&c))
    };
    let mut tokens = Vec::new();
    let mut i = 0;
    while i < chars.len() {
        if starts(i, "//") {
            while i < chars.len() && chars[i] != '\n' {
                i += 1;
            }
        } else if starts(i, "/*") {
            while i < chars.len() && !starts(i, "*/") {
                i += 1;
            }
            i += 2;
        } else if let Some(end) = raw_string_end(&chars, i) {
            i = end;
        } else if chars[i] == '"' {
            i += 1;
            while i < chars.len() && chars[i] != '"' {
                i += if chars[i] == '\\' { 2 } else { 1 };
            }
            i += 1;
        } else if chars[i] == '\'' {
            // A character, unless it is a lifetime.
            i += match (chars.get(i + 1), chars.get(i + 2)) {
                (Some('\\'), _) => {
                    let close = chars[i + 3..].iter().position(|c| *c == '\'');
                    close.map_or(1, |offset| offset + 4)
                }
                (_, Some('\'')) => 3,
                _ => 1,
            };
        } else if chars[i].is_alphanumeric() || chars[i] == '_' {
            let start = i;
            while i < chars.len() && (chars[i].is_alphanumeric() || chars[i] == '_') {
                i += 1;
            }
            tokens.push(chars[start..i].iter().collect());
        } else if starts(i, "::") {
            tokens.push("::".to_owned());
            i += 2;
        } else {
            if !chars[i].is_whitespace() {
                tokens.push(chars[i].to_string());
            }
            i += 1;
        }
    }
    tokens
}

/// Just past a raw string (`r"…"`, `r#"…"#`, also with `b`) that starts at `i`.
fn raw_string_end(chars: &[char], i: usize) -> Option<usize> {
    if i > 0 && (chars[i - 1].is_alphanumeric() || chars[i - 1] == '_') {
        return None;
    }
    let at = if chars[i] == 'b' { i + 1 } else { i };
    if chars.get(at) != Some(&'r') {
        return None;
    }
    let hashes = chars[at + 1..].iter().take_while(|c| **c == '#').count();
    let open = at + 1 + hashes;
    if chars.get(open) != Some(&'"') {
        return None;
    }
    let closes = |k: usize| {
        chars[k] == '"' && chars[k + 1..].iter().take_while(|c| **c == '#').count() >= hashes
    };
    let close = (open + 1..chars.len()).find(|k| closes(*k))?;
    Some(close + 1 + hashes)
}
