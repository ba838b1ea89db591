//! One boat file laid over the file it `extends`.
use std::collections::HashMap;

use super::fields::nearest;
use super::place::{Place, clipped};
use super::problem::{Fault, Problem};
use super::tape;
use super::tree::{Entry, Node, Table, Value};

/// Most removals of unknown names that get a suggestion: each searches all names.
const MAX_ADVISED: usize = 50;

/// Whether a table holds tape readings.
pub(crate) fn is_taped(table: &Table) -> bool {
    tape::KEYS.iter().any(|key| table.contains_key(*key)) && !table.contains_key("name")
}

/// Lays `top` over `base`: tables merge key by key, lists of tables by `name`,
/// anything else is replaced.
pub(crate) fn overlay(mut base: Table, top: Table, problems: &mut Vec<Problem>) -> Table {
    for (key, Entry { key_place, node }) in top {
        let below = base.remove(&key).map(|entry| entry.node.value);
        let value = match (below, node.value) {
            // Conditions are laid over the whole file when they are asked for.
            (below, above) if key == "condition" => {
                let mut conditions = below.map_or_else(Vec::new, Value::into_list);
                conditions.extend(above.into_list());
                Value::List(conditions)
            }
            // Tape readings of one place are one thing, not keys to be mixed.
            (Some(Value::Table(below)), Value::Table(above))
                if !(is_taped(&below) || is_taped(&above)) =>
            {
                Value::Table(overlay(below, above, problems))
            }
            (_, Value::Table(above)) => Value::Table(overlay(Table::new(), above, problems)),
            (below, above) if above.is_list_of_tables() => {
                let below = match below {
                    Some(value) if value.is_list_of_tables() => value.into_list(),
                    _ => Vec::new(),
                };
                Value::List(overlay_list(&key, below, above.into_list(), problems))
            }
            (_, above) => above,
        };
        let node = Node {
            value,
            place: node.place,
        };
        base.insert(key, Entry { key_place, node });
    }
    base
}

/// Lays the tables of one list over those of the extended file by `name`: a
/// known name overrides, a new one is appended, `remove = true` drops.
fn overlay_list(
    list: &str,
    below: Vec<Node>,
    above: Vec<Node>,
    problems: &mut Vec<Problem>,
) -> Vec<Node> {
    let mut merged: Vec<Option<Node>> = below.into_iter().map(Some).collect();
    let by_name: HashMap<String, usize> = merged
        .iter()
        .enumerate()
        .filter_map(|(index, node)| Some((name_of(node.as_ref()?)?, index)))
        .collect();
    let mut seen: HashMap<String, Place> = HashMap::new();
    for mut node in above {
        let remove = take_remove(list, &mut node, problems);
        let Some(name) = name_of(&node) else {
            // Whoever reads the table misses the name; only a removal is lost.
            if remove {
                problems.push(Problem::new(
                    &node.place,
                    Fault::Missing {
                        what: "`name`".into(),
                        owner: format!("[[{list}]] with `remove`"),
                    },
                ));
            } else {
                merged.push(Some(node));
            }
            continue;
        };
        if let Some(first) = seen.get(&name) {
            problems.push(
                Problem::new(
                    &node.place,
                    Fault::SameName {
                        list: list.into(),
                        name: clipped(&name),
                        first: first.clone(),
                    },
                )
                .help("give every entry a name of its own"),
            );
            continue;
        }
        seen.insert(name.clone(), node.place.clone());
        let known = by_name.get(&name).copied();
        match known {
            Some(index) if remove => merged[index] = None,
            Some(index) => {
                let below = merged[index].take().map(|n| n.value);
                if let (Some(Value::Table(below)), Value::Table(above)) = (below, node.value) {
                    merged[index] = Some(Node {
                        value: Value::Table(overlay(below, above, problems)),
                        place: node.place,
                    });
                }
            }
            None if remove => {
                let advise = problems.len() < MAX_ADVISED;
                problems.push(nothing_to_remove(list, &name, &node, &by_name, advise));
            }
            None => merged.push(Some(node)),
        }
    }
    merged.into_iter().flatten().collect()
}

fn nothing_to_remove(
    list: &str,
    name: &str,
    node: &Node,
    by_name: &HashMap<String, usize>,
    advise: bool,
) -> Problem {
    let problem = Problem::new(
        &node.place,
        Fault::NothingToRemove {
            list: list.into(),
            name: clipped(name),
        },
    );
    if !advise {
        return problem;
    }
    let mut names: Vec<&str> = by_name.keys().map(String::as_str).collect();
    names.sort_unstable();
    if let Some(near) = nearest(name, names.iter().copied()) {
        problem.help(format!("did you mean \"{}\"?", clipped(near)))
    } else if names.is_empty() {
        problem.help(format!(
            "`remove` drops an entry of the file named by `extends`; there is no [[{list}]] there"
        ))
    } else {
        const SHOWN_NAMES: usize = 8;
        let shown: Vec<String> = names.into_iter().take(SHOWN_NAMES).map(clipped).collect();
        problem.help(format!(
            "the extended file has \"{}\"",
            shown.join("\", \"")
        ))
    }
}

/// Where an entry lacks a key and an entry of a file below has much the same name: says
/// that only that name changes that one.
pub(crate) fn advise_names(root: &Table, problems: &mut [Problem]) {
    for problem in problems.iter_mut().take(MAX_ADVISED) {
        let Fault::Missing { owner, .. } = &problem.fault else {
            continue;
        };
        for (list, entry) in root {
            let Value::List(entries) = &entry.node.value else {
                continue;
            };
            let named = entries
                .iter()
                .filter_map(|node| Some((name_of(node)?, node)));
            let is_owner = |name: &str| *owner == format!("[[{list}]] \"{}\"", clipped(name));
            let Some((name, node)) = named.clone().find(|(name, _)| is_owner(name)) else {
                continue;
            };
            let below = named.filter(|(_, other)| layer(other) > layer(node));
            let below: Vec<String> = below.map(|(name, _)| name).collect();
            if let Some(near) = nearest(&name, below.iter().map(String::as_str)) {
                let near = clipped(near);
                problem.help = Some(format!(
                    "this is a new entry; to change \"{near}\", give it that name"
                ));
            }
        }
    }
}

/// The layer nearest to the user that has a word in an entry.
fn layer(node: &Node) -> Option<usize> {
    match &node.value {
        Value::Table(table) => table.values().map(|entry| entry.key_place.layer()).min(),
        _ => None,
    }
}

/// The name of an entry; of a cover without one that which it gets.
fn name_of(node: &Node) -> Option<String> {
    let Value::Table(table) = &node.value else {
        return None;
    };
    let text = |key: &str| match &table.get(key)?.node.value {
        Value::Text(text) => Some(text.clone()),
        _ => None,
    };
    match table.get("name") {
        Some(_) => text("name"),
        None => text("covers").map(|opening| cover_of(&opening)),
    }
}

/// What a cover is called whose file gives it no name.
pub(crate) fn cover_of(opening: &str) -> String {
    format!("cover of {opening}")
}

/// Takes `remove` out of an entry and says whether it was `true`.
fn take_remove(list: &str, node: &mut Node, problems: &mut Vec<Problem>) -> bool {
    let Value::Table(table) = &mut node.value else {
        return false;
    };
    let Some(entry) = table.remove("remove") else {
        return false;
    };
    let Value::Flag(remove) = entry.node.value else {
        problems.push(Problem::new(
            &entry.node.place,
            Fault::WrongType {
                key: "remove".into(),
                owner: format!("[[{list}]]"),
                found: entry.node.value.found(),
                wanted: "true or false".into(),
            },
        ));
        return false;
    };
    if remove {
        for (key, entry) in table.iter().filter(|(key, _)| *key != "name") {
            problems.push(
                Problem::new(
                    &entry.key_place,
                    Fault::UnusedKey {
                        key: clipped(key),
                        owner: format!("[[{list}]] with `remove = true`"),
                    },
                )
                .help("a removed entry needs its name only"),
            );
        }
    }
    remove
}
