//! Tape readings in a boat file: every table of them becomes the coordinates that it
//! stands for before anything else is read, so that no reader need know of them.
use std::path::Path;
use std::sync::Arc;

use super::{BoatFile, read};
use crate::boat::Lie;
use crate::boat::fields::{nearest, stands_below};
use crate::boat::hull_mesh::HullPlan;
use crate::boat::overlay::is_taped;
use crate::boat::place::{Place, clipped};
use crate::boat::problem::{BoatFileError, Fault, Problem};
use crate::boat::tape::{self, HullOnTape, Readings, Tape, TapeFault, Taped};
use crate::boat::tree::{Loaded, Node, Table, Value, parse, read_source};
use crate::files::Files;
use crate::mesh::Prepared;
use crate::quantity::Quantity;

/// Keys that hold a point, and those that hold a list of points.
const POINTS: [&str; 7] = ["at", "centre", "volume_at", "min", "max", "from", "to"];
const LISTS: [&str; 3] = ["rim", "points", "foot"];
/// Keys that hold one coordinate, and which.
const COORDINATES: [(&str, usize); 11] = [
    ("forward_of", 0),
    ("aft_of", 0),
    ("forward", 0),
    ("aft", 0),
    ("port_of", 1),
    ("starboard_of", 1),
    ("above", 2),
    ("below", 2),
    ("station", 0),
    ("off_middle", 1),
    ("middle", 2),
];
/// Tables that speak of the mesh before it is a hull, or are written by a command.
const NOT_IN: [&str; 5] = ["mend", "measured", "turn", "scale_to", "origin"];

/// The hull that readings were last held to.
pub(super) struct Held {
    plan: HullPlan,
    lies_right: bool,
    hull: HullOnTape,
    made: Arc<(Prepared, Lie)>,
}

/// Reads the merged tree, with coordinates for tape readings. The hull is read when the
/// first of them is met, and kept for files that share it.
pub(super) fn read(
    loaded: &Loaded,
    held: &mut Option<Held>,
    problems: &mut Vec<Problem>,
) -> Option<BoatFile> {
    if !holds_tape(&loaded.root) {
        return read::boat(loaded, None, problems);
    }
    let mut resolved = loaded.clone();
    let before = problems.len();
    let made = resolve(&mut resolved, held, problems);
    let no_hull = |problem: &Problem| matches!(problem.fault, Fault::NoHullForTape { .. });
    if problems[before..].iter().any(no_hull) {
        // Every place is unknown: whatever else were told of them would be untrue.
        return None;
    }
    read::boat(&resolved, made, problems)
}

fn resolve(
    loaded: &mut Loaded,
    held: &mut Option<Held>,
    problems: &mut Vec<Problem>,
) -> Option<Arc<(Prepared, Lie)>> {
    let mut tape = None;
    if let Some(hull) = read::hull_shape(loaded) {
        let (plan, lies_right) = (hull.plan(), hull.lies_right());
        let is_held = |held: &Held| held.plan == plan && held.lies_right == lies_right;
        if !held.as_ref().is_some_and(is_held) {
            *held = None;
            let mesh_place = hull.mesh_place.clone();
            match plan.make(&*loaded.from) {
                Ok(made) => {
                    let lie = Lie::of(&made, lies_right);
                    *held = Some(Held {
                        hull: HullOnTape::of(&made, lie.frame),
                        plan,
                        lies_right,
                        made: Arc::new((made, lie)),
                    });
                }
                Err(cause) => {
                    let words = cause.to_string();
                    let problem = Problem::new(&mesh_place, Fault::NoHullForTape { words });
                    problems.push(problem.help(
                        "tape readings are held to the hull: check `mesh` in [hull], or give x, y, z",
                    ));
                }
            }
        }
        tape = held.as_ref().map(|held| held.hull.tape());
    }
    let made = tape
        .as_ref()
        .and(held.as_ref())
        .map(|held| Arc::clone(&held.made));
    let mut walk = Walk { tape, problems };
    walk.table(&mut loaded.root, "", "the boat file");
    made
}

/// A file of tables that stands alone, its tape readings held to a hull.
pub(crate) fn read_tables(
    from: &dyn Files,
    path: &Path,
    hull: Option<&HullOnTape>,
) -> Result<(Table, Place), BoatFileError> {
    let told = |problem: Box<Problem>| BoatFileError::new(vec![*problem]);
    let source = read_source(path, 0, &Place::whole_file(path), from).map_err(told)?;
    let mut table = parse(&source, &mut 0).map_err(told)?;
    let place = source.place(0..0);
    let mut problems = Vec::new();
    if holds_tape(&table) {
        let tape = hull.map(HullOnTape::tape);
        if tape.is_none() {
            let words = "no boat is given".to_owned();
            problems.push(Problem::new(&place, Fault::NoHullForTape { words }));
        }
        let mut walk = Walk {
            tape,
            problems: &mut problems,
        };
        walk.table(&mut table, "", "the file");
    }
    if problems.is_empty() {
        Ok((table, place))
    } else {
        Err(BoatFileError::new(problems))
    }
}

/// Whether a tape reading stands in a table or below it.
fn holds_tape(table: &Table) -> bool {
    fn in_node(node: &Node) -> bool {
        match &node.value {
            Value::Table(table) => is_taped(table) || holds_tape(table),
            Value::List(list) => list.iter().any(in_node),
            _ => false,
        }
    }
    table.values().any(|entry| in_node(&entry.node))
}

struct Walk<'a, 'p> {
    /// `None` where there is no hull: then every place is 0, and the problem is told.
    tape: Option<Tape<'a>>,
    problems: &'p mut Vec<Problem>,
}

impl Walk<'_, '_> {
    fn table(&mut self, table: &mut Table, title: &str, owner: &str) {
        let at = table.get("at").filter(|_| title == "part");
        let shifted = at.map(|at| stands_below("at", &at.key_place, table, owner));
        let along = match table.get("along").map(|entry| &entry.node.value) {
            Some(Value::Text(axis)) => ["x", "y", "z"].iter().position(|a| *a == axis.as_str()),
            _ => None,
        };
        for (key, entry) in table.iter_mut() {
            if NOT_IN.contains(&key.as_str()) {
                continue;
            }
            let node = &mut entry.node;
            let has_taped = match &node.value {
                Value::Table(inner) => is_taped(inner) || holds_tape(inner),
                Value::List(list) => list
                    .iter()
                    .any(|node| matches!(&node.value, Value::Table(t) if is_taped(t))),
                _ => false,
            };
            if let Some(below) = &shifted
                && key != "at"
                && has_taped
            {
                let fault = Fault::Conflict {
                    owner: owner.to_owned(),
                    given: format!("`at` and tape readings in `{key}`"),
                };
                let help = below.as_deref().unwrap_or(
                    "tape readings say where on the hull it is, and `at` would move it from there: take `at` out",
                );
                self.problems
                    .push(Problem::new(&entry.key_place, fault).help(help));
            }
            let axis = COORDINATES.iter().find(|(known, _)| known == key);
            let axis = match axis {
                Some((_, axis)) => Some(*axis),
                None if title == "outline" && (key == "from" || key == "to") => along,
                None => None,
            };
            match &mut node.value {
                Value::Table(inner) if is_taped(inner) => {
                    let wanted = match axis {
                        Some(axis) => Some(axis),
                        None if POINTS.contains(&key.as_str()) => None,
                        None => continue, // The reader of the key says what it wants.
                    };
                    self.put(node, key, owner, wanted);
                }
                Value::Table(inner) => {
                    let owner = match title {
                        "" => format!("[{key}]"),
                        _ => format!("`{key}` in {owner}"),
                    };
                    self.table(inner, key, &owner);
                }
                Value::List(list) => {
                    for node in list {
                        let Value::Table(inner) = &mut node.value else {
                            continue;
                        };
                        if LISTS.contains(&key.as_str()) && is_taped(inner) {
                            self.put(node, key, owner, None);
                            continue;
                        }
                        let name = match inner.get("name").map(|entry| &entry.node.value) {
                            Some(Value::Text(name)) => format!(" \"{}\"", clipped(name)),
                            _ => String::new(),
                        };
                        self.table(inner, key, &format!("[[{key}]]{name}"));
                    }
                }
                _ => {}
            }
        }
    }

    /// Puts coordinates for the readings of a node, or one of them.
    fn put(&mut self, node: &mut Node, key: &str, owner: &str, axis: Option<usize>) {
        let Value::Table(table) = &node.value else {
            return;
        };
        let mut misspelt = false;
        for (other, entry) in table {
            if tape::KEYS.contains(&other.as_str()) {
                continue;
            }
            let near = nearest(other, tape::KEYS.into_iter());
            misspelt |= near.is_some_and(|near| !table.contains_key(near));
            let fault = Fault::UnknownKey {
                key: clipped(other),
                owner: format!("the tape readings of `{key}` in {owner}"),
            };
            let help = match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("known here: `{}`", tape::KEYS.join("`, `")),
            };
            self.problems
                .push(Problem::new(&entry.key_place, fault).help(help));
        }
        let mut at = [Quantity::exact(0.0); 3];
        if let Some(tape) = &self.tape {
            let found = readings(table).and_then(|readings| match axis {
                None => tape.place(&readings),
                Some(axis) => {
                    let mut at = at;
                    at[axis] = tape.coordinate(&readings, axis)?;
                    Ok(at)
                }
            });
            match found {
                Ok(found) => at = found,
                // What is missing stands there under another name.
                Err(_) if misspelt => {}
                Err(cause) => {
                    let fault = Fault::Tape {
                        key: key.to_owned(),
                        owner: owner.to_owned(),
                        cause,
                    };
                    let problem = Problem::new(&node.place, fault);
                    let example = match LISTS.contains(&key) {
                        true => format!("[{}]", tape::EXAMPLE),
                        false => tape::EXAMPLE.to_owned(),
                    };
                    self.problems
                        .push(problem.help(format!("for example {key} = {example}")));
                }
            }
        }
        let one = |quantity: Quantity| Node {
            value: Value::Measured(quantity),
            place: node.place.clone(),
        };
        node.value = match axis {
            Some(axis) => Value::Measured(at[axis]),
            None => Value::List(at.map(one).to_vec()),
        };
    }
}

fn readings(table: &Table) -> Result<Readings, TapeFault> {
    Readings::read(&|key| {
        let value = &table.get(key)?.node.value;
        Some(match value {
            Value::Text(text) => Taped::Text(text.clone()),
            Value::Number(number) => Taped::Number(*number),
            Value::Flag(flag) => Taped::Flag(*flag),
            _ => Taped::Other,
        })
    })
}
