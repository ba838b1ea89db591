//! What makes one boat file of another: each part, opening, item and so on that
//! is new, gone or different, and the first file with any of these made to it.
use schemars::JsonSchema;
use serde::Serialize;

use super::file::{BoatFile, Compartment, Item, Opening, Part, Passage};
use super::place::Place;

/// One difference between two boat files.
#[derive(Debug, Clone, PartialEq, Eq, JsonSchema, Serialize)]
pub struct Change {
    /// Whether it came, went or differs.
    pub kind: ChangeKind,
    /// What differs.
    pub what: Changed,
    /// Its name; empty for a hull or a water, of which there is one.
    pub name: String,
}

/// What happens to a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ChangeKind {
    /// Only the second file has it.
    Added,
    /// Only the first file has it.
    TakenOut,
    /// Both have it, not the same.
    Changed,
}

/// A table of the boat file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Changed {
    /// `[water]`.
    Water,
    /// `[hull]`.
    Hull,
    /// A `[[part]]`.
    Part,
    /// An `[[opening]]`.
    Opening,
    /// A `[[compartment]]`.
    Compartment,
    /// A `[[passage]]`.
    Passage,
    /// An `[[item]]`.
    Item,
    /// `[yardsticks]`: no number changes, only verdicts.
    Yardsticks,
}

impl Change {
    /// In words: "battery added".
    #[must_use]
    pub fn in_words(&self) -> String {
        let what = match self.what {
            Changed::Water => "water",
            Changed::Hull => "hull",
            Changed::Part | Changed::Item => "",
            Changed::Opening => "opening",
            Changed::Compartment => "compartment",
            Changed::Passage => "passage",
            Changed::Yardsticks => "yardsticks",
        };
        let done = match self.kind {
            ChangeKind::Added => "added",
            ChangeKind::TakenOut => "taken out",
            ChangeKind::Changed => "changed",
        };
        let words = [what, self.name.as_str(), done];
        let words: Vec<&str> = words.into_iter().filter(|word| !word.is_empty()).collect();
        words.join(" ")
    }
}

/// A table of which there are many, each with a name of its own.
trait Named: Clone + PartialEq {
    fn name(&self) -> &str;
    fn place(&self) -> &Place;
}

macro_rules! named {
    ($($table:ty),*) => {$(
        impl Named for $table {
            fn name(&self) -> &str {
                &self.name
            }
            fn place(&self) -> &Place {
                &self.place
            }
        }
    )*};
}
named!(Part, Opening, Compartment, Passage, Item);

/// What makes `after` of `before`: first what is taken out, then water and
/// yardsticks, then what is new or different in the order in which `after` and the
/// files that it extends say it, the extended ones first.
#[must_use]
pub fn changes(before: &BoatFile, after: &BoatFile) -> Vec<Change> {
    let mut gone = Vec::new();
    let mut rest: Vec<(Option<&Place>, Change)> = Vec::new();
    let one = |what, place| {
        let change = Change {
            kind: ChangeKind::Changed,
            what,
            name: String::new(),
        };
        (place, change)
    };
    if before.water_given != after.water_given {
        rest.push(one(Changed::Water, None));
    }
    if before.hull != after.hull {
        rest.push(one(Changed::Hull, Some(&after.hull.place)));
    }
    in_list(
        Changed::Part,
        before.parts.iter(),
        after.parts.iter(),
        &mut gone,
        &mut rest,
    );
    in_list(
        Changed::Opening,
        before.openings.iter(),
        after.openings.iter(),
        &mut gone,
        &mut rest,
    );
    // A room that a part makes comes and goes with it.
    in_list(
        Changed::Compartment,
        own_rooms(before),
        own_rooms(after),
        &mut gone,
        &mut rest,
    );
    in_list(
        Changed::Passage,
        before.passages.iter(),
        after.passages.iter(),
        &mut gone,
        &mut rest,
    );
    in_list(
        Changed::Item,
        before.items.iter(),
        after.items.iter(),
        &mut gone,
        &mut rest,
    );
    if before.yardsticks != after.yardsticks {
        rest.push(one(Changed::Yardsticks, None));
    }
    rest.sort_by_key(|(place, _)| {
        place.map(|place| {
            let (layer, start) = place.reading_order();
            (std::cmp::Reverse(layer), start)
        })
    });
    gone.into_iter()
        .chain(rest.into_iter().map(|(_, change)| change))
        .collect()
}

/// The compartments that no part makes.
fn own_rooms(file: &BoatFile) -> impl Iterator<Item = &Compartment> + Clone {
    let rooms = file.compartments.iter();
    rooms.filter(|room| maker_of(file, room).is_none())
}

/// The part that makes a compartment: they stand at one place in the file.
fn maker_of<'a>(file: &'a BoatFile, room: &Compartment) -> Option<&'a Part> {
    let at = |place: &Place| (place.path().to_owned(), place.reading_order());
    let mut parts = file.parts.iter();
    parts.find(|part| at(&part.place) == at(&room.place))
}

fn in_list<'a, T: Named + 'a>(
    what: Changed,
    before: impl Iterator<Item = &'a T> + Clone,
    after: impl Iterator<Item = &'a T> + Clone,
    gone: &mut Vec<Change>,
    rest: &mut Vec<(Option<&'a Place>, Change)>,
) {
    let change = |kind, thing: &T| Change {
        kind,
        what,
        name: thing.name().to_owned(),
    };
    for thing in before
        .clone()
        .filter(|thing| named(after.clone(), thing.name()).is_none())
    {
        gone.push(change(ChangeKind::TakenOut, thing));
    }
    for thing in after {
        let kind = match named(before.clone(), thing.name()) {
            None => ChangeKind::Added,
            Some(old) if old != thing => ChangeKind::Changed,
            Some(_) => continue,
        };
        rest.push((Some(thing.place()), change(kind, thing)));
    }
}

fn named<'a, T: Named + 'a>(mut list: impl Iterator<Item = &'a T>, name: &str) -> Option<&'a T> {
    list.find(|thing| thing.name() == name)
}

/// `onto` with one change made, as `after` has it.
#[must_use]
pub fn with_change(onto: &BoatFile, change: &Change, after: &BoatFile) -> BoatFile {
    let mut file = onto.clone();
    let name = change.name.as_str();
    match change.what {
        Changed::Water => {
            file.water = after.water.clone();
            file.water_given = after.water_given;
        }
        Changed::Hull => file.hull = after.hull.clone(),
        Changed::Yardsticks => file.yardsticks = after.yardsticks.clone(),
        Changed::Part => {
            put(&mut file.parts, name, &after.parts);
            for from in [onto, after] {
                let made = from
                    .compartments
                    .iter()
                    .filter(|room| maker_of(from, room).is_some_and(|part| part.name == name));
                for room in made {
                    put(&mut file.compartments, &room.name, &after.compartments);
                }
            }
        }
        Changed::Opening => put(&mut file.openings, name, &after.openings),
        Changed::Compartment => put(&mut file.compartments, name, &after.compartments),
        Changed::Passage => put(&mut file.passages, name, &after.passages),
        Changed::Item => put(&mut file.items, name, &after.items),
    }
    file
}

/// Makes the thing of a name in a list what it is in another: the same, new
/// behind those that stand before it there, or gone.
fn put<T: Named>(list: &mut Vec<T>, name: &str, after: &[T]) {
    let Some(at) = after.iter().position(|thing| thing.name() == name) else {
        list.retain(|thing| thing.name() != name);
        return;
    };
    let thing = after[at].clone();
    if let Some(old) = list.iter_mut().find(|old| old.name() == name) {
        *old = thing;
        return;
    }
    let behind = after[..at]
        .iter()
        .rev()
        .find_map(|earlier| list.iter().position(|old| old.name() == earlier.name()));
    list.insert(behind.map_or(0, |place| place + 1), thing);
}

#[cfg(test)]
mod tests {
    use super::*;

    const BEFORE: &str = r#"
        [hull]
        mesh = "hull.stl"
        [[item]]
        name = "crew"
        mass = 70
        at = [1, 0, 0]
        [[item]]
        name = "paddle"
        mass = 1
        at = [1, 0, 0]
    "#;
    const AFTER: &str = r#"
        [hull]
        mesh = "hull.stl"

        [[item]]
        name = "battery"
        mass = 20
        at = [0.5, 0, 0]
        [[part]]
        name = "deck"
        role = "add"
        box = { min = [0, 0, 0], max = [1, 1, 1] }
        [[item]]
        name = "crew"
        mass = "72 kg"
        at = ["1 m", 0, 0]
    "#;

    fn read(text: &str) -> BoatFile {
        BoatFile::from_bytes("boat.toml", text.as_bytes()).expect("a boat file")
    }

    #[test]
    fn what_goes_comes_first_and_then_the_order_written() {
        let (before, after) = (read(BEFORE), read(AFTER));
        let words: Vec<String> = changes(&before, &after)
            .iter()
            .map(Change::in_words)
            .collect();
        assert_eq!(
            words,
            [
                "paddle taken out",
                "battery added",
                "deck added",
                "crew changed"
            ]
        );
        assert!(changes(&before, &before).is_empty());
        // The same said elsewhere and with other words is no change.
        let moved = BEFORE.replace("mass = 70", "\n\n mass = \"70 kg\"");
        assert!(changes(&before, &read(&moved)).is_empty());
    }

    #[test]
    fn all_changes_together_make_the_second_file() {
        let (before, after) = (read(BEFORE), read(AFTER));
        let mut file = before.clone();
        for change in changes(&before, &after) {
            file = with_change(&file, &change, &after);
        }
        assert!(changes(&file, &after).is_empty());
        let names: Vec<&str> = file.items.iter().map(|item| item.name.as_str()).collect();
        assert_eq!(names, ["battery", "crew"]);
    }
}
