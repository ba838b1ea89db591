//! Loading conditions: changes that a boat file lays over itself when asked to.
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::overlay::overlay;
use super::place::{Place, clipped};
use super::problem::{Fault, Problem};
use super::tree::{Entry, Loaded, Node, Table, Value};
use crate::files::Files;

/// What stands between a boat file's path and the name of a condition.
const MARK: char = '#';

/// A named set of changes.
#[derive(Debug)]
pub(crate) struct Condition {
    pub(crate) name: String,
    changes: Table,
    place: Place,
}

/// `boat.toml#name` as the file and the condition asked for; a file that really has
/// such a name is meant as it stands.
pub(crate) fn asked_for(files: &dyn Files, path: &Path) -> (PathBuf, Option<String>) {
    let whole = (path.to_owned(), None);
    if files.exists(path) {
        return whole;
    }
    if let Some((file, condition)) = path.to_str().and_then(|text| text.rsplit_once(MARK)) {
        return (PathBuf::from(file), Some(condition.to_owned()));
    }
    // A folder's name need not be text.
    let name = path.file_name().and_then(|name| name.to_str());
    name.and_then(|name| name.rsplit_once(MARK))
        .map_or(whole, |(file, condition)| {
            (path.with_file_name(file), Some(condition.to_owned()))
        })
}

/// The tree with the changes of one of its conditions laid over it, for a file that
/// extends it so. Its conditions stay behind: they change what it was without.
pub(crate) fn as_condition(
    root: Table,
    name: &str,
    at: &Place,
    from: &Arc<dyn Files>,
    problems: &mut Vec<Problem>,
) -> Table {
    let mut loaded = Loaded {
        root,
        place: at.clone(),
        files: Vec::new(),
        from: Arc::clone(from),
    };
    let conditions = take(&mut loaded, problems);
    match conditions.iter().find(|condition| condition.name == name) {
        Some(condition) => laid_over(&loaded, condition, problems).root,
        None => {
            problems.push(unknown(name, &conditions, at));
            loaded.root
        }
    }
}

/// Takes the `[[condition]]` tables out of the tree.
pub(crate) fn take(loaded: &mut Loaded, problems: &mut Vec<Problem>) -> Vec<Condition> {
    if let Some(entry) = loaded.root.remove("case") {
        let fault = Fault::UnknownKey {
            key: "case".into(),
            owner: "the boat file".into(),
        };
        let help = "since 0.2.0 it is [[condition]], with [[condition.item]] and so on below";
        problems.push(Problem::new(&entry.key_place, fault).help(help));
    }
    let Some(entry) = loaded.root.remove("condition") else {
        return Vec::new();
    };
    if !entry.node.value.is_list_of_tables() {
        let fault = Fault::WrongType {
            key: "condition".into(),
            owner: "the boat file".into(),
            found: entry.node.value.found(),
            wanted: "tables under [[condition]]".into(),
        };
        let help =
            "for example [[condition]] with name = \"no ballast\" and [[condition.item]] below";
        problems.push(Problem::new(&entry.node.place, fault).help(help));
        return Vec::new();
    }
    let mut conditions: Vec<Condition> = Vec::new();
    for node in entry.node.value.into_list() {
        if let Some(condition) = condition(node, &conditions, problems) {
            conditions.push(condition);
        }
    }
    conditions
}

fn condition(node: Node, before: &[Condition], problems: &mut Vec<Problem>) -> Option<Condition> {
    let Node { value, place } = node;
    let Value::Table(mut changes) = value else {
        return None;
    };
    let name = match changes.remove("name").map(|entry| entry.node.value) {
        Some(Value::Text(name)) if !name.trim().is_empty() => name,
        _ => {
            let fault = Fault::Missing {
                what: "`name`".into(),
                owner: "[[condition]]".into(),
            };
            problems.push(Problem::new(&place, fault).help("name = \"no ballast\""));
            return None;
        }
    };
    if name.contains(MARK) {
        let fault = Fault::OutOfRange {
            key: "name".into(),
            owner: "[[condition]]".into(),
            value: clipped(&name),
            rule: format!("without {MARK}"),
        };
        let help = "it is asked for as boat.toml#name, so there can be no # in it";
        problems.push(Problem::new(&place, fault).help(help));
        return None;
    }
    if let Some(first) = before.iter().find(|condition| condition.name == name) {
        let fault = Fault::SameName {
            list: "condition".into(),
            name: clipped(&name),
            first: first.place.clone(),
        };
        problems.push(Problem::new(&place, fault).help("give every condition a name of its own"));
        return None;
    }
    for key in ["extends", "condition"] {
        if let Some(entry) = changes.remove(key) {
            let fault = Fault::UnknownKey {
                key: key.into(),
                owner: format!("[[condition]] \"{}\"", clipped(&name)),
            };
            let help =
                "a condition changes what stands in this boat file, for example [[condition.item]]";
            problems.push(Problem::new(&entry.key_place, fault).help(help));
        }
    }
    Some(Condition {
        name,
        changes: laid_over_places(changes),
        place,
    })
}

/// Changes whose keys win over those that say the same in another way in the file
/// itself.
fn laid_over_places(changes: Table) -> Table {
    let entries = changes.into_iter().map(|(key, entry)| {
        let entry = Entry {
            key_place: entry.key_place.laid_over(),
            node: laid_over_node(entry.node),
        };
        (key, entry)
    });
    entries.collect()
}

fn laid_over_node(node: Node) -> Node {
    let value = match node.value {
        Value::Table(table) => Value::Table(laid_over_places(table)),
        Value::List(list) => Value::List(list.into_iter().map(laid_over_node).collect()),
        other => other,
    };
    Node { value, ..node }
}

/// The tree with the changes of a condition laid over it.
pub(crate) fn laid_over(
    loaded: &Loaded,
    condition: &Condition,
    problems: &mut Vec<Problem>,
) -> Loaded {
    Loaded {
        root: overlay(loaded.root.clone(), condition.changes.clone(), problems),
        place: loaded.place.clone(),
        files: loaded.files.clone(),
        from: Arc::clone(&loaded.from),
    }
}

/// The problem of a condition that is not there.
pub(crate) fn unknown(name: &str, conditions: &[Condition], place: &Place) -> Problem {
    if conditions.is_empty() {
        let fault = Fault::NoConditions {
            found: clipped(name),
        };
        let help = "leave out what follows the # to take the file as it stands, or add a [[condition]] of that name";
        return Problem::new(place, fault).help(help);
    }
    let names: Vec<String> = conditions
        .iter()
        .map(|condition| clipped(&condition.name))
        .collect();
    let fault = Fault::BadChoice {
        key: "condition".into(),
        owner: "the boat file".into(),
        found: clipped(name),
        choices: format!("\"{}\"", names.join("\", \"")),
    };
    Problem::new(place, fault).help("leave out what follows the # to take the file as it stands")
}
