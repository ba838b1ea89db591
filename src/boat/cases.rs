//! Load cases: changes that a boat file lays over itself when asked to.
use std::path::{Path, PathBuf};

use super::overlay::overlay;
use super::place::{Place, clipped};
use super::problem::{Fault, Problem};
use super::tree::{Loaded, Node, Table, Value};

/// What stands between a boat file's path and the name of a case.
const MARK: char = '#';

/// A named set of changes.
#[derive(Debug)]
pub(crate) struct Case {
    pub(crate) name: String,
    changes: Table,
}

/// `boat.toml#name` as the file and the case asked for; a file that really has
/// such a name is meant as it stands.
pub(crate) fn asked_for(path: &Path) -> (PathBuf, Option<String>) {
    let whole = (path.to_owned(), None);
    if path.exists() {
        return whole;
    }
    if let Some((file, case)) = path.to_str().and_then(|text| text.rsplit_once(MARK)) {
        return (PathBuf::from(file), Some(case.to_owned()));
    }
    // A folder's name need not be text.
    let name = path.file_name().and_then(|name| name.to_str());
    name.and_then(|name| name.rsplit_once(MARK))
        .map_or(whole, |(file, case)| {
            (path.with_file_name(file), Some(case.to_owned()))
        })
}

/// The tree with the changes of one of its cases laid over it, for a file that
/// extends it so. Its cases stay behind: they change what it was without.
pub(crate) fn as_case(root: Table, name: &str, at: &Place, problems: &mut Vec<Problem>) -> Table {
    let mut loaded = Loaded {
        root,
        place: at.clone(),
        files: Vec::new(),
    };
    let cases = take(&mut loaded, problems);
    match cases.iter().find(|case| case.name == name) {
        Some(case) => laid_over(&loaded, case, problems).root,
        None => {
            problems.push(unknown(name, &cases, at));
            loaded.root
        }
    }
}

/// Takes the `[[case]]` tables out of the tree.
pub(crate) fn take(loaded: &mut Loaded, problems: &mut Vec<Problem>) -> Vec<Case> {
    let Some(entry) = loaded.root.remove("case") else {
        return Vec::new();
    };
    if !entry.node.value.is_list_of_tables() {
        let fault = Fault::WrongType {
            key: "case".into(),
            owner: "the boat file".into(),
            found: entry.node.value.found(),
            wanted: "tables under [[case]]".into(),
        };
        let help = "for example [[case]] with name = \"no ballast\" and [[case.item]] below";
        problems.push(Problem::new(&entry.node.place, fault).help(help));
        return Vec::new();
    }
    let mut cases: Vec<Case> = Vec::new();
    for node in entry.node.value.into_list() {
        if let Some(case) = case(node, &cases, problems) {
            cases.push(case);
        }
    }
    cases
}

fn case(node: Node, before: &[Case], problems: &mut Vec<Problem>) -> Option<Case> {
    let Node { value, place } = node;
    let Value::Table(mut changes) = value else {
        return None;
    };
    let name = match changes.remove("name").map(|entry| entry.node.value) {
        Some(Value::Text(name)) if !name.trim().is_empty() => name,
        _ => {
            let fault = Fault::Missing {
                what: "`name`".into(),
                owner: "[[case]]".into(),
            };
            problems.push(Problem::new(&place, fault).help("name = \"no ballast\""));
            return None;
        }
    };
    if before.iter().any(|case| case.name == name) {
        let fault = Fault::SameName {
            list: "case".into(),
            name: clipped(&name),
            first: place.clone(),
        };
        problems.push(Problem::new(&place, fault).help("give every case a name of its own"));
        return None;
    }
    for key in ["extends", "case"] {
        if let Some(entry) = changes.remove(key) {
            let fault = Fault::UnknownKey {
                key: key.into(),
                owner: format!("[[case]] \"{}\"", clipped(&name)),
            };
            let help = "a case changes what stands in this boat file, for example [[case.item]]";
            problems.push(Problem::new(&entry.key_place, fault).help(help));
        }
    }
    Some(Case { name, changes })
}

/// The tree with the changes of a case laid over it.
pub(crate) fn laid_over(loaded: &Loaded, case: &Case, problems: &mut Vec<Problem>) -> Loaded {
    Loaded {
        root: overlay(loaded.root.clone(), case.changes.clone(), problems),
        place: loaded.place.clone(),
        files: loaded.files.clone(),
    }
}

/// The problem of a case that is not there.
pub(crate) fn unknown(name: &str, cases: &[Case], place: &Place) -> Problem {
    let names: Vec<String> = cases.iter().map(|case| clipped(&case.name)).collect();
    let fault = Fault::BadChoice {
        key: "case".into(),
        owner: "the boat file".into(),
        found: clipped(name),
        choices: format!("\"{}\"", names.join("\", \"")),
    };
    let help = if names.is_empty() {
        "the file has no [[case]]; leave out what follows the # to take it as it stands"
    } else {
        "leave out what follows the # to take the file as it stands"
    };
    Problem::new(place, fault).help(help)
}
