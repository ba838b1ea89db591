//! Typed reading of one table: every getter marks its key as used, notes what is
//! wrong and goes on, so that one run shows all that is wrong with a file.
//!
//! By hand: serde stops at the first fault and knows no place of a value.
use std::collections::BTreeSet;

use super::place::{Place, clipped};
use super::problem::{Fault, Problem};
use super::tree::{Entry, Node, Table, Value};
use crate::quantity::{Dimension, Quantity, QuantityError, UnitSystem};

mod keys;
mod ways;
mod words;

pub(crate) use keys::{Bare, Bound, Holds, Key, TableKeys, keys, words_of};
pub(crate) use ways::Way;
use words::{EVERYDAY_WORDS, OTHER_NAMES, quoted, ticked};
pub(crate) use words::{nearest, stands_below};

/// Longest length that is read, m; further off centres of gravity lose their digits.
const MOST_M: f64 = 1e6;

/// A point or a triple of sizes, each with its spread.
pub(crate) type Triple = [Quantity; 3];

/// A whole number from 1 to a million.
pub(crate) fn count_of(node: &Node) -> Option<usize> {
    const MOST: f64 = 1e6;
    match node.value {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "the guard holds it whole and between 1 and a million"
        )]
        Value::Number(number) if number.fract() == 0.0 && (1.0..=MOST).contains(&number) => {
            Some(number as usize)
        }
        _ => None,
    }
}

/// One table being read.
#[derive(Debug)]
pub(crate) struct Fields<'t, 'p> {
    table: &'t Table,
    place: &'t Place,
    /// How messages name this table: `[[item]] "battery"`.
    owner: String,
    known: &'static TableKeys,
    /// The whole file's, to say where a misplaced key belongs.
    root: &'static TableKeys,
    used: BTreeSet<&'static str>,
    problems: &'p mut Vec<Problem>,
}

impl<'t, 'p> Fields<'t, 'p> {
    /// Starts reading a file, whose tables all hang on `root`.
    pub(crate) fn of_file(
        table: &'t Table,
        place: &'t Place,
        root: &'static TableKeys,
        problems: &'p mut Vec<Problem>,
    ) -> Self {
        Self {
            table,
            place,
            owner: root.title.to_owned(),
            known: root,
            root,
            used: BTreeSet::new(),
            problems,
        }
    }

    /// A table within this one, which messages call `owner`.
    fn within(
        &mut self,
        table: &'t Table,
        place: &'t Place,
        known: &'static TableKeys,
        owner: String,
    ) -> Fields<'t, '_> {
        Fields {
            table,
            place,
            owner,
            known,
            root: self.root,
            used: BTreeSet::new(),
            problems: self.problems,
        }
    }

    /// What a key holds.
    fn holds(&self, key: &str) -> Holds {
        let key = self.known.key(key);
        debug_assert!(key.is_some(), "not listed for {}", self.known.title);
        key.map_or(Holds::Flag, |key| key.holds)
    }

    /// How a key is written.
    pub(crate) fn example(&self, key: &str) -> String {
        self.holds(key).example(key)
    }

    /// Where the table stands.
    pub(crate) fn place(&self) -> &'t Place {
        self.place
    }

    /// How messages name the table.
    pub(crate) fn owner(&self) -> &str {
        &self.owner
    }

    /// Notes a problem.
    pub(crate) fn note(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// Whether the key is given; does not mark it as used.
    pub(crate) fn has(&self, key: &'static str) -> bool {
        self.table.contains_key(key)
    }

    /// The value under `key`, marked as used.
    pub(crate) fn node(&mut self, key: &'static str) -> Option<&'t Node> {
        debug_assert!(
            self.known.key(key).is_some(),
            "`{key}` is not listed for {}",
            self.known.title
        );
        self.used.insert(key);
        self.table.get(key).map(|entry| &entry.node)
    }

    /// As [`Self::node`], noting the key as missing when it is not given.
    pub(crate) fn required(&mut self, key: &'static str, example: &str) -> Option<&'t Node> {
        let node = self.node(key);
        if node.is_none() {
            self.missing(&[key], example);
        }
        node
    }

    /// Notes that one of `keys` must be given, as in `example`.
    pub(crate) fn missing(&mut self, keys: &[&'static str], example: &str) {
        let fault = Fault::Missing {
            what: ticked(keys, " or "),
            owner: self.owner.clone(),
        };
        self.note(Problem::new(self.place, fault).help(format!("add {example}")));
    }

    /// Notes that the value under `key` has the wrong type.
    pub(crate) fn wrong_type(&mut self, key: &str, node: &Node, wanted: &str, example: &str) {
        let fault = Fault::WrongType {
            key: key.into(),
            owner: self.owner.clone(),
            found: node.value.found(),
            wanted: wanted.into(),
        };
        self.note(Problem::new(&node.place, fault).help(format!("for example {example}")));
    }

    /// Notes that a number breaks `rule`.
    pub(crate) fn out_of_range(
        &mut self,
        key: &str,
        node: &Node,
        value: String,
        rule: &str,
        help: &str,
    ) {
        let fault = Fault::OutOfRange {
            key: key.into(),
            owner: self.owner.clone(),
            value,
            rule: rule.into(),
        };
        self.note(Problem::new(&node.place, fault).help(help));
    }

    /// Notes that a key cannot stand beside what the table says besides, which is
    /// `value` where `rule` holds.
    pub(crate) fn misplaced(&mut self, key: &str, value: &str, rule: &str, help: &str) {
        let Some(Entry { key_place, node }) = self.table.get(key) else {
            return;
        };
        let fault = Fault::OutOfRange {
            key: key.into(),
            owner: self.owner.clone(),
            value: value.into(),
            rule: rule.into(),
        };
        let problem = match stands_below(key, key_place, self.table, &self.owner) {
            Some(below) => Problem::new(self.place, fault).help(below),
            None => Problem::new(&node.place, fault).help(help),
        };
        self.note(problem);
    }

    /// A text that is not blank.
    pub(crate) fn text_of(&mut self, key: &str, node: &'t Node, example: &str) -> Option<&'t str> {
        match &node.value {
            Value::Text(text) if !text.trim().is_empty() => Some(text),
            Value::Text(_) => {
                let wanted = "text that is not blank";
                self.wrong_type(key, node, wanted, example);
                None
            }
            _ => {
                self.wrong_type(key, node, "text in quotes", example);
                None
            }
        }
    }

    /// An optional text that is not blank.
    pub(crate) fn text(&mut self, key: &'static str) -> Option<&'t str> {
        let node = self.node(key)?;
        self.text_of(key, node, &self.example(key))
    }

    /// A required text that is not blank.
    pub(crate) fn required_text(&mut self, key: &'static str) -> Option<&'t str> {
        let example = self.example(key);
        let node = self.required(key, &example)?;
        self.text_of(key, node, &example)
    }

    /// `true` or `false`.
    pub(crate) fn flag(&mut self, key: &'static str) -> Option<bool> {
        let node = self.node(key)?;
        match node.value {
            Value::Flag(flag) => Some(flag),
            _ => {
                let example = self.example(key);
                self.wrong_type(key, node, "true or false, without quotes", &example);
                None
            }
        }
    }

    /// A whole number from 1 to a million.
    pub(crate) fn count(&mut self, key: &'static str) -> Option<usize> {
        let node = self.node(key)?;
        let count = count_of(node);
        if count.is_none() {
            let example = self.example(key);
            self.wrong_type(key, node, "a whole number from 1 up", &example);
        }
        count
    }

    /// One of `choices`, each a word and what it stands for.
    pub(crate) fn choice<T: Copy>(
        &mut self,
        key: &'static str,
        choices: &[(&'static str, T)],
    ) -> Option<T> {
        let node = self.node(key)?;
        let words: Vec<&str> = choices.iter().map(|(word, _)| *word).collect();
        let Value::Text(found) = &node.value else {
            let example = format!("{key} = \"{}\"", words.first().unwrap_or(&""));
            let wanted = format!("one of {}", quoted(&words));
            self.wrong_type(key, node, &wanted, &example);
            return None;
        };
        let chosen = choices.iter().find(|(word, _)| word == found);
        if chosen.is_none() {
            let fault = Fault::BadChoice {
                key: key.into(),
                owner: self.owner.clone(),
                found: clipped(found),
                choices: quoted(&words),
            };
            let mut problem = Problem::new(&node.place, fault);
            if let Some(near) = nearest(found, words.iter().copied()) {
                problem = problem.help(format!("did you mean \"{near}\"?"));
            }
            self.note(problem);
        }
        chosen.map(|(_, choice)| *choice)
    }

    /// A number in base units from a node that is a text with a unit or, where
    /// `bare` allows it and the unit is obvious, a number.
    pub(crate) fn quantity_of(
        &mut self,
        key: &str,
        node: &Node,
        dimension: Dimension,
        bound: Bound,
        bare: Bare,
    ) -> Option<Quantity> {
        let read = match (&node.value, bare) {
            (Value::Measured(length), _) if dimension == Dimension::Length => Ok(*length),
            (Value::Text(text), Bare::Allowed) => Quantity::parse(text, dimension),
            (Value::Text(text), Bare::Refused) => Quantity::parse_needing_unit(text, dimension),
            (Value::Number(number), Bare::Allowed) => Quantity::parse_bare(*number, dimension),
            (Value::Number(number), Bare::Refused) => {
                Quantity::parse_needing_unit(&number.to_string(), dimension)
            }
            _ => {
                let example = format!("{key} = {}", dimension.example());
                self.wrong_type(key, node, dimension.name(), &example);
                return None;
            }
        };
        match read {
            Ok(quantity) => self.bounded(key, node, quantity, dimension, bound),
            Err(cause) => {
                self.bad_quantity(key, node, cause);
                None
            }
        }
    }

    fn bad_quantity(&mut self, key: &str, node: &Node, cause: QuantityError) {
        let fault = Fault::BadQuantity {
            key: key.into(),
            owner: self.owner.clone(),
            cause,
        };
        self.note(Problem::new(&node.place, fault));
    }

    fn bounded(
        &mut self,
        key: &str,
        node: &Node,
        quantity: Quantity,
        dimension: Dimension,
        bound: Bound,
    ) -> Option<Quantity> {
        let reach = quantity.value.abs().max(quantity.spread);
        let (holds, rule) = match bound {
            _ if dimension == Dimension::Length && reach > MOST_M => (false, "within 1000 km"),
            Bound::Any => (true, ""),
            Bound::Positive => (quantity.value > 0.0, "more than 0"),
            Bound::NotNegative => (quantity.value >= 0.0, "0 or more"),
        };
        if holds {
            return Some(quantity);
        }
        let help = match (dimension, quantity.value < 0.0) {
            (Dimension::Mass, true) => {
                "what lifts is not a negative mass: give its own mass and its `volume`, \
                 or a [[part]] with role = \"recess\" for what is taken away"
            }
            (Dimension::Mass, false) => {
                "leave it out until it is weighed, or give a guess with a wide spread, \
                 for example \"2 kg ± 1 kg\""
            }
            _ => "check the sign and the unit",
        };
        let value = quantity.show(dimension, UnitSystem::Metric);
        self.out_of_range(key, node, value, rule, help);
        None
    }

    /// An optional quantity.
    pub(crate) fn quantity(&mut self, key: &'static str) -> Option<Quantity> {
        let node = self.node(key)?;
        self.quantity_in(key, node)
    }

    /// A required quantity.
    pub(crate) fn required_quantity(&mut self, key: &'static str) -> Option<Quantity> {
        let node = self.required(key, &self.example(key))?;
        self.quantity_in(key, node)
    }

    /// Whether the text under a key states a ±.
    pub(crate) fn states_spread(&self, key: &'static str) -> bool {
        let value = self.table.get(key).map(|entry| &entry.node.value);
        matches!(value, Some(Value::Text(text)) if ["±", "+/-", "+-"].iter().any(|sign| text.contains(sign)))
    }

    /// Of which dimension the amount under a key is.
    pub(crate) fn dimension(&self, key: &'static str) -> Dimension {
        match self.holds(key) {
            Holds::Quantity(dimension, ..) => dimension,
            Holds::Share => Dimension::Fraction,
            _ => Dimension::Length,
        }
    }

    fn quantity_in(&mut self, key: &'static str, node: &Node) -> Option<Quantity> {
        match self.holds(key) {
            Holds::Quantity(dimension, bound, bare) => {
                self.quantity_of(key, node, dimension, bound, bare)
            }
            Holds::Coordinate(..) => {
                self.quantity_of(key, node, Dimension::Length, Bound::Any, Bare::Allowed)
            }
            Holds::Share => self.share_of(key, node),
            other => {
                debug_assert!(false, "`{key}` holds {other:?}");
                None
            }
        }
    }

    /// A number over 0 and up to 1.
    fn share_of(&mut self, key: &str, node: &Node) -> Option<Quantity> {
        let dimension = Dimension::Fraction;
        let share = self.quantity_of(key, node, dimension, Bound::Positive, Bare::Allowed)?;
        if share.value > 1.0 {
            let value = share.show(dimension, UnitSystem::Metric);
            let help = "1 is the whole, 0.95 is 95 %";
            self.out_of_range(key, node, value, "at most 1", help);
            return None;
        }
        Some(share)
    }

    /// Three lengths, each a number in metres or a text with a unit.
    fn triple_of(&mut self, key: &str, node: &Node, bound: Bound) -> Option<Triple> {
        let example = format!("{key} = [1.2, 0, \"15 cm\"]");
        let wanted = "three lengths in square brackets, or tape readings";
        let Value::List(list) = &node.value else {
            self.wrong_type(key, node, wanted, &example);
            return None;
        };
        let [x, y, z] = list.as_slice() else {
            self.wrong_type(key, node, wanted, &example);
            return None;
        };
        let [x, y, z] = [x, y, z]
            .map(|node| self.quantity_of(key, node, Dimension::Length, bound, Bare::Allowed));
        Some([x?, y?, z?])
    }

    /// An optional point or triple of sizes.
    pub(crate) fn triple(&mut self, key: &'static str) -> Option<Triple> {
        let node = self.node(key)?;
        self.triple_in(key, node)
    }

    /// A required point or triple of sizes.
    pub(crate) fn required_triple(&mut self, key: &'static str) -> Option<Triple> {
        let node = self.required(key, &self.example(key))?;
        self.triple_in(key, node)
    }

    fn triple_in(&mut self, key: &'static str, node: &Node) -> Option<Triple> {
        let bound = match self.holds(key) {
            Holds::Sizes => Bound::Positive,
            _ => Bound::Any,
        };
        self.triple_of(key, node, bound)
    }

    /// A list of one or more points.
    pub(crate) fn points(&mut self, key: &'static str) -> Option<Vec<Triple>> {
        let node = self.node(key)?;
        let example = format!("{key} = [[1.2, 0.3, 0.25], [1.2, -0.3, 0.25]]");
        let wanted = "a list of one or more points, each [x, y, z] or tape readings";
        let Value::List(list) = &node.value else {
            self.wrong_type(key, node, wanted, &example);
            return None;
        };
        let all_lists = list.iter().all(|n| matches!(n.value, Value::List(_)));
        if list.is_empty() || !all_lists {
            self.wrong_type(key, node, wanted, &example);
            return None;
        }
        let points: Vec<Option<Triple>> = list
            .iter()
            .map(|node| self.triple_of(key, node, Bound::Any))
            .collect();
        points.into_iter().collect()
    }

    /// A table under `key`.
    pub(crate) fn table(&mut self, key: &'static str) -> Option<Fields<'t, '_>> {
        let node = self.node(key)?;
        let (Value::Table(table), Holds::Table(known)) = (&node.value, self.holds(key)) else {
            self.wrong_type(key, node, "a table", &self.example(key));
            return None;
        };
        let owner = match known.title.starts_with('[') {
            // A table at the top of the file is called by its title alone.
            true => known.title.to_owned(),
            false => format!("{} in {}", known.title, self.owner),
        };
        Some(self.within(table, &node.place, known, owner))
    }

    /// Reads every table of `[[key]]`, called by its title and name. Those with problems
    /// are left out, the problems remain.
    pub(crate) fn entries<T>(
        &mut self,
        key: &'static str,
        read: impl Fn(&mut Fields<'_, '_>) -> Option<T>,
    ) -> Vec<T> {
        let Holds::Tables(known) = self.holds(key) else {
            debug_assert!(false, "`{key}` is no list of tables");
            return Vec::new();
        };
        let mut all = Vec::new();
        for (table, place) in self.tables(key) {
            let owner = match table.get("name").map(|entry| &entry.node.value) {
                Some(Value::Text(name)) => format!("{} \"{}\"", known.title, clipped(name)),
                _ => known.title.to_owned(),
            };
            let mut fields = self.within(table, place, known, owner);
            all.extend(read(&mut fields));
            fields.finish();
        }
        all
    }

    fn tables(&mut self, key: &'static str) -> Vec<(&'t Table, &'t Place)> {
        let Some(node) = self.node(key) else {
            return Vec::new();
        };
        let wanted = format!("a list of tables, written [[{key}]] above each");
        let example = format!("[[{key}]] on a line of its own, with name = \"…\" below");
        let Value::List(list) = &node.value else {
            self.wrong_type(key, node, &wanted, &example);
            return Vec::new();
        };
        let mut tables = Vec::with_capacity(list.len());
        for entry in list {
            match &entry.value {
                Value::Table(table) => tables.push((table, &entry.place)),
                _ => self.wrong_type(key, entry, "a table", &example),
            }
        }
        tables
    }

    /// Makes every key nobody read a problem.
    pub(crate) fn finish(self) {
        for (key, Entry { key_place, .. }) in self.table {
            if self.used.contains(key.as_str()) {
                continue;
            }
            let owner = self.owner.clone();
            let shown = clipped(key);
            if self.known.key(key).is_some() {
                let below = stands_below(key, key_place, self.table, &owner);
                let fault = Fault::UnusedKey { key: shown, owner };
                let help = "it belongs to another way of describing the same thing; take it out";
                self.problems.push(match below {
                    Some(below) => Problem::new(self.place, fault).help(below),
                    None => Problem::new(key_place, fault).help(help),
                });
                continue;
            }
            let problem = Problem::new(key_place, Fault::UnknownKey { key: shown, owner });
            self.problems.push(problem.help(self.advice(key)));
        }
    }

    /// What somebody who wrote the unknown `key` may have meant.
    fn advice(&self, key: &str) -> String {
        let known = self.known.names();
        let mut free = known.filter(|known| !self.table.contains_key(*known));
        let everyday = EVERYDAY_WORDS.iter().find(|(word, _)| *word == key);
        let meant = match everyday {
            Some((_, meant)) => free.find(|known| known == meant),
            None => nearest(key, free),
        };
        if let Some(meant) = meant {
            return format!("did you mean `{meant}`?");
        }
        if let Some((_, known, how)) = OTHER_NAMES.iter().find(|(word, ..)| *word == key)
            && self.known.key(known).is_some()
        {
            return (*how).to_owned();
        }
        let all = self.root.all();
        let homes = all.iter().filter(|table| table.key(key).is_some());
        let homes: Vec<&str> = homes.map(|table| table.title).collect();
        if homes.is_empty() {
            let names: Vec<&str> = self.known.names().collect();
            format!("known here: {}", ticked(&names, ", "))
        } else {
            format!("`{}` belongs to {}", clipped(key), homes.join(" or "))
        }
    }
}
