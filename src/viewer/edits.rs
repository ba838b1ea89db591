//! What was changed on the boat while looking at it, and the boat file that
//! says the same.
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use super::made::Made;
use super::stowed::Stowed;
use super::subject::Subject;
use crate::boat::file::{Item, Point, point_m};
use crate::boat::{BoatFile, OpeningState, Tank};
use crate::numerics::Vec3;
use crate::quantity::Quantity;

/// Steps of a place in a metre: what is typed or dragged is rounded to them. A
/// division by these keeps the decimals short, a product with 1e-4 would not.
const PLACE_STEPS_A_METRE: f64 = 1e4;
/// Steps of a mass in a kilogram.
const MASS_STEPS_A_KG: f64 = 1e3;
/// Least mass of an item, kg.
const LEAST_MASS_KG: f64 = 1.0 / MASS_STEPS_A_KG;
/// Greatest mass of an item that can be set here, kg.
const MOST_MASS_KG: f64 = 1e4;
/// Name that the boat gives an open edge that its file does not name.
const UNNAMED_EDGE: &str = "open edge ";

/// Everything that can be changed on a boat here.
#[derive(Debug, Clone, PartialEq)]
pub struct Edits {
    /// The loading condition chosen; `None` is the file as it stands.
    pub condition: Option<String>,
    /// The items, in the order of the file with that condition, then those put aboard here.
    pub items: Vec<ItemEdit>,
    /// Openings that stand differently from what the file says.
    pub openings: BTreeMap<String, OpeningState>,
    /// Parts taken off.
    pub parts_off: BTreeSet<String>,
    /// Openings and parts made here, in the order made.
    pub made: Vec<Made>,
}

/// One item as it is aboard.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemEdit {
    /// Whether it is aboard at all.
    pub aboard: bool,
    /// Its mass, without a tank's liquid and a cylinder's air, kg.
    pub mass_kg: f64,
    /// Its centre of gravity, boat frame, m; a tank's liquid moves with it.
    pub at_m: Vec3,
    /// What it is, where it was put aboard here.
    pub stowed: Option<Stowed>,
}

impl ItemEdit {
    fn none(item: &Item) -> Self {
        Self {
            aboard: true,
            mass_kg: item.mass.value,
            at_m: point_m(&item.at),
            stowed: None,
        }
    }
}

impl Edits {
    /// The boat as its file has it with a loading condition.
    #[must_use]
    pub fn none(file: &BoatFile, condition: Option<String>) -> Self {
        Self {
            condition,
            items: file.items.iter().map(ItemEdit::none).collect(),
            openings: BTreeMap::new(),
            parts_off: BTreeSet::new(),
            made: Vec::new(),
        }
    }

    /// The same in another loading condition: what was changed here stays changed, the
    /// rest is as `to` has it. `from` is the file with the condition as it was.
    #[must_use]
    pub fn in_condition(&self, condition: Option<String>, from: &BoatFile, to: &BoatFile) -> Self {
        let changed = |given: &Item| {
            let mut edit = ItemEdit::none(given);
            let was = from.items.iter().zip(&self.items);
            if let Some((was, now)) = was.into_iter().find(|(was, _)| was.name == given.name) {
                let was = ItemEdit::none(was);
                edit.aboard = now.aboard;
                if now.mass_kg.to_bits() != was.mass_kg.to_bits() {
                    edit.mass_kg = now.mass_kg;
                }
                if now.at_m != was.at_m {
                    edit.at_m = now.at_m;
                }
            }
            edit
        };
        Self {
            condition,
            items: to
                .items
                .iter()
                .map(changed)
                .chain(self.stowed().cloned())
                .collect(),
            ..self.clone()
        }
    }

    /// Moves an item, its place rounded to a tenth of a millimetre.
    pub fn move_item(&mut self, index: usize, at_m: &Vec3) {
        if let Some(item) = self.items.get_mut(index)
            && at_m.iter().all(|c| c.is_finite())
        {
            item.at_m = rounded(at_m);
        }
    }

    /// Gives an item another mass, rounded to a gram.
    pub fn weigh_item(&mut self, index: usize, mass_kg: f64) {
        if let Some(item) = self.items.get_mut(index)
            && mass_kg.is_finite()
        {
            let rounded = (mass_kg * MASS_STEPS_A_KG).round() / MASS_STEPS_A_KG;
            item.mass_kg = rounded.clamp(LEAST_MASS_KG, MOST_MASS_KG);
        }
    }

    /// Takes an item aboard or leaves it ashore.
    pub fn take_aboard(&mut self, index: usize, aboard: bool) {
        if let Some(item) = self.items.get_mut(index) {
            item.aboard = aboard;
        }
    }

    /// Covers an opening, or gives it back the state that the file says (open,
    /// where that is covered). One that a cover part closes stays as it is.
    pub fn cover(&mut self, subject: &Subject, name: &str, covered: bool) {
        if subject.is_closed_by_part(name) {
            return;
        }
        if let Some(made) = self.made.iter_mut().find(|made| made.name == name) {
            made.state = match covered {
                true => OpeningState::Covered,
                false => OpeningState::Open,
            };
            return;
        }
        let given = state_given(subject, name);
        let wanted = match (covered, given) {
            (true, _) => OpeningState::Covered,
            (false, OpeningState::Covered) => OpeningState::Open,
            (false, other) => other,
        };
        if wanted == given {
            self.openings.remove(name);
        } else {
            self.openings.insert(name.to_owned(), wanted);
        }
    }

    /// The items put aboard here.
    pub fn stowed(&self) -> impl Iterator<Item = &ItemEdit> {
        self.items.iter().filter(|item| item.stowed.is_some())
    }

    /// A name that begins so and that no table of its kind has, of the file or made here.
    #[must_use]
    pub fn new_name(&self, begins: &str, file: &BoatFile) -> String {
        let taken = |name: &str| {
            let in_file = file.parts.iter().map(|part| &part.name);
            let in_file = in_file.chain(file.openings.iter().map(|o| &o.name));
            let in_file = in_file.chain(file.items.iter().map(|item| &item.name));
            let stowed = self.stowed().filter_map(|item| item.stowed.as_ref());
            let here = self.made.iter().map(|made| &made.name);
            let here = here.chain(stowed.map(|stowed| &stowed.name));
            in_file.chain(here).any(|other| other == name)
        };
        let numbered = (2_u32..).map(|number| format!("{begins} {number}"));
        let free = std::iter::once(begins.to_owned())
            .chain(numbered)
            .find(|name| !taken(name));
        free.unwrap_or_default()
    }

    /// What was done since it was as `before`, in words; `file` is the boat's with the
    /// loading condition.
    #[must_use]
    pub fn since(&self, before: &Self, file: &BoatFile) -> String {
        if self.condition != before.condition {
            return match &self.condition {
                Some(name) => format!("load it as \"{name}\""),
                None => "load it as the file stands".to_owned(),
            };
        }
        let was = |name: &str| before.made.iter().find(|made| made.name == name);
        let is = |name: &str| self.made.iter().any(|made| made.name == name);
        let made = self.made.iter().find(|made| was(&made.name) != Some(made));
        let gone = before.made.iter().find(|made| !is(&made.name));
        match (made, gone) {
            (Some(made), _) if was(&made.name).is_none() => return format!("make {}", made.name),
            (Some(made), _) => return format!("change {}", made.name),
            (None, Some(gone)) => return format!("take out {}", gone.name),
            (None, None) => {}
        }
        let name_of = |edits: &Self, number: usize| -> String {
            let here = edits
                .items
                .get(number)
                .and_then(|item| item.stowed.as_ref());
            let given = file.items.get(number).map(|item| &item.name);
            let name = here.map(|stowed| &stowed.name).or(given);
            name.cloned().unwrap_or_default()
        };
        if self.items.len() != before.items.len() {
            let (longer, says) = if self.items.len() > before.items.len() {
                (self, "put aboard")
            } else {
                (before, "take away")
            };
            let both = self.items.iter().zip(&before.items);
            let same = both.take_while(|(a, b)| a.stowed == b.stowed).count();
            return format!("{says} {}", name_of(longer, same));
        }
        for (number, (now, was)) in self.items.iter().zip(&before.items).enumerate() {
            let says = if now.aboard != was.aboard {
                if now.aboard {
                    "take aboard"
                } else {
                    "leave ashore"
                }
            } else if now.at_m != was.at_m {
                "move"
            } else if now != was {
                "weigh"
            } else {
                continue;
            };
            return format!("{says} {}", name_of(self, number));
        }
        let parts = self.parts_off.symmetric_difference(&before.parts_off);
        let part = parts.map(|name| match self.parts_off.contains(name) {
            true => format!("take off {name}"),
            false => format!("put back {name}"),
        });
        let opening = self.openings.keys();
        let opening = opening.chain(before.openings.keys());
        let opening = opening
            .filter(|name| self.openings.get(*name) != before.openings.get(*name))
            .map(|name| format!("cover or uncover {name}"));
        part.chain(opening).next().unwrap_or_default()
    }

    /// Whether the subject's boat has all that is made and stowed here, so that it can be
    /// given the rest at once.
    #[must_use]
    pub fn fits(&self, subject: &Subject) -> bool {
        let items = &subject.file.items;
        let same = |(given, edit): (&Item, &ItemEdit)| {
            edit.stowed.as_ref().is_none_or(|s| s.name == given.name)
        };
        self.condition == subject.condition
            && items.len() == self.items.len()
            && items.iter().zip(&self.items).all(same)
    }

    /// Puts items and openings as they are here into the subject's boat, which
    /// must be of the same loading condition. Parts need the boat to be made anew.
    pub fn apply(&self, subject: &mut Subject) {
        let boat = &mut subject.boat;
        let first = boat.masses.len().saturating_sub(subject.file.items.len());
        let given = subject.file.items.iter().zip(&self.items);
        let mut put = Vec::new();
        for (number, (given, edit)) in (first..).zip(given) {
            let entry = &mut boat.masses[number];
            let was_aboard = entry.mass_kg > 0.0;
            let air = entry.under_water.air;
            let air_kg = air.map_or(0.0, |air| air.air_kg(air.full_pa));
            entry.mass_kg = if edit.aboard {
                edit.mass_kg + air_kg
            } else {
                0.0
            };
            entry.spread_kg = if edit.aboard { given.mass.spread } else { 0.0 };
            if edit.aboard != was_aboard || entry.centre_m != edit.at_m {
                put.push((number, edit.aboard.then_some(edit.at_m)));
            }
        }
        for (number, at_m) in put {
            subject.put_item(number, at_m);
        }
        let tanks = subject.file.items.iter().zip(&self.items);
        let tanks = tanks
            .filter(|(_, edit)| edit.aboard)
            .filter_map(|(given, edit)| Tank::of_item(&moved(given, edit)))
            .collect();
        subject.put_tanks(tanks);
        subject.put_openings(&self.made);
        let boat = &mut subject.boat;
        for opening in &mut boat.openings {
            let changed = self.openings.get(&opening.name);
            let given = subject.openings_given.get(&opening.name);
            let made = self.made.iter().find(|made| made.name == opening.name);
            let made = made.map(|made| &made.state);
            let stands = made.or(changed).or(given);
            opening.state = stands.copied().unwrap_or(opening.state);
        }
    }

    /// The file of the boat as changed: what the saved file would read as, but
    /// for edges of the hull that no table names.
    #[must_use]
    pub fn edited(&self, file: &BoatFile) -> BoatFile {
        let mut changed = file.clone();
        let items = changed.items.iter_mut().zip(&self.items);
        for (item, edit) in items {
            *item = moved(item, edit);
            item.mass.value = edit.mass_kg;
        }
        let mut aboard = self.items.iter().map(|edit| edit.aboard);
        changed.items.retain(|_| aboard.next().unwrap_or(true));
        for opening in &mut changed.openings {
            opening.state = *self.openings.get(&opening.name).unwrap_or(&opening.state);
        }
        let off = &self.parts_off;
        changed.parts.retain(|part| !off.contains(&part.name));
        changed
    }

    /// A boat file that starts from `extends` and says what was changed.
    #[must_use]
    pub fn to_toml(&self, file: &BoatFile, extends: &str) -> String {
        let mut text = begun(extends);
        for name in &self.parts_off {
            let _ = write!(text, "\n[[part]]\nname = {}\nremove = true\n", quoted(name));
        }
        for (name, state) in &self.openings {
            let _ = write!(text, "\n[[opening]]\nname = {}\n", quoted(name));
            let in_file = file.openings.iter().any(|opening| opening.name == *name);
            if let Some(number) = name.strip_prefix(UNNAMED_EDGE).filter(|_| !in_file) {
                let _ = writeln!(text, "loop = {number}");
            }
            let _ = writeln!(text, "state = \"{}\"", state_in_text(*state));
        }
        let of_file = file.items.iter().zip(&self.items);
        for (given, edit) in of_file.filter(|(_, edit)| edit.stowed.is_none()) {
            text.push_str(&item_toml(given, edit));
        }
        text + &self.made_toml(|item| item.aboard)
    }

    /// A boat file that starts from `extends` and has what was made and put aboard here,
    /// but no other change.
    #[must_use]
    pub fn only_made(&self, extends: &str) -> String {
        begun(extends) + &self.made_toml(|_| true)
    }

    fn made_toml(&self, is_there: impl Fn(&ItemEdit) -> bool) -> String {
        let made = self.made.iter().filter(|made| made.is_whole());
        let mut text: String = made.map(Made::to_toml).collect();
        for item in self.items.iter().filter(|item| is_there(item)) {
            if let Some(stowed) = item.stowed.as_ref() {
                text.push_str(&stowed.to_toml(item.mass_kg, &item.at_m));
            }
        }
        text
    }
}

fn begun(extends: &str) -> String {
    format!(
        "# Written by awash view: what was changed there.\nextends = {}\n",
        quoted(extends)
    )
}

/// A place rounded to a tenth of a millimetre.
pub(super) fn rounded(at_m: &Vec3) -> Vec3 {
    at_m.map(|c| (c * PLACE_STEPS_A_METRE).round() / PLACE_STEPS_A_METRE + 0.0)
}

/// A place as a boat file has it.
pub(super) fn place_in_text(at_m: &Vec3) -> String {
    format!("[{:?}, {:?}, {:?}]", at_m.x, at_m.y, at_m.z)
}

/// An item where it is now: its volume moves with its weight.
fn moved(given: &Item, edit: &ItemEdit) -> Item {
    let mut item = given.clone();
    let by_m = edit.at_m - point_m(&given.at);
    set_point(&mut item.at, &edit.at_m);
    if let Some(volume_at) = &mut item.volume_at {
        let there = point_m(volume_at) + by_m;
        set_point(volume_at, &there);
    }
    item
}

fn set_point(point: &mut Point, to_m: &Vec3) {
    for (coordinate, to) in point.iter_mut().zip(to_m.iter()) {
        coordinate.value = *to;
    }
}

/// What an item's table says that the file does not.
fn item_toml(given: &Item, edit: &ItemEdit) -> String {
    let head = format!("\n[[item]]\nname = {}\n", quoted(&given.name));
    if !edit.aboard {
        return head + "remove = true\n";
    }
    let mut lines = String::new();
    if edit.mass_kg.to_bits() != given.mass.value.to_bits() {
        let mass = with_spread(edit.mass_kg, &given.mass, "kg");
        let _ = writeln!(lines, "mass = {mass}");
    }
    if edit.at_m != point_m(&given.at) {
        let now = moved(given, edit);
        let in_text = |point: &Point| {
            let [x, y, z] = [0, 1, 2].map(|i| with_spread(point[i].value, &point[i], "m"));
            format!("[{x}, {y}, {z}]")
        };
        let _ = writeln!(lines, "at = {}", in_text(&now.at));
        if let Some(volume_at) = &now.volume_at {
            let _ = writeln!(lines, "volume_at = {}", in_text(volume_at));
        }
    }
    if lines.is_empty() {
        lines
    } else {
        head + &lines
    }
}

/// A value that keeps the spread of the one it replaces.
fn with_spread(value: f64, given: &Quantity, unit: &str) -> String {
    if given.spread > 0.0 {
        quoted(&format!("{value} {unit} ± {} {unit}", given.spread))
    } else {
        format!("{value:?}")
    }
}

/// The escapes of a JSON text are those of a TOML one.
pub(super) fn quoted(text: &str) -> String {
    serde_json::Value::String(text.to_owned()).to_string()
}

fn state_given(subject: &Subject, name: &str) -> OpeningState {
    let given = subject.openings_given.get(name);
    given.copied().unwrap_or(OpeningState::Open)
}

fn state_in_text(state: OpeningState) -> &'static str {
    match state {
        OpeningState::Open => "open",
        OpeningState::Covered => "covered",
        OpeningState::Drain => "drain",
        OpeningState::Vent => "vent",
    }
}
