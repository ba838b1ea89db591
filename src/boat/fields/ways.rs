//! Several ways of saying one thing, of which a table may use one.
use super::super::problem::{Fault, Problem};
use super::Fields;
use super::words::ticked;

/// Which of several ways of saying one thing a table uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Way {
    None,
    /// Index into the ways asked about.
    One(usize),
    /// More than one: already noted as a problem.
    Several,
}

impl Fields<'_, '_> {
    /// Which of `ways` of saying the same thing is used; each way is a set of
    /// keys. Where several are given, that of the file nearest to the user wins
    /// over those of the files it extends; two in one file are a conflict.
    pub(crate) fn one_way(&mut self, ways: &[&[&'static str]]) -> Way {
        let given: Vec<(usize, usize)> = ways
            .iter()
            .enumerate()
            .filter_map(|(index, keys)| Some((index, self.layer_of(keys)?)))
            .collect();
        let Some(nearest_layer) = given.iter().map(|(_, layer)| *layer).min() else {
            return Way::None;
        };
        let mut winners = given.iter().filter(|(_, layer)| *layer == nearest_layer);
        let winner = winners.next().map(|(index, _)| *index);
        if let (Some(winner), None) = (winner, winners.next()) {
            for (index, _) in given.iter().filter(|(index, _)| *index != winner) {
                self.used.extend(ways[*index]);
            }
            return Way::One(winner);
        }
        let keys: Vec<&'static str> = ways
            .iter()
            .copied()
            .flatten()
            .copied()
            .filter(|key| self.has(key))
            .collect();
        self.used.extend(&keys);
        let choices: Vec<String> = ways.iter().map(|way| ticked(way, " and ")).collect();
        let fault = Fault::Conflict {
            owner: self.owner.clone(),
            given: ticked(&keys, " and "),
        };
        let place = keys.iter().filter_map(|key| self.table.get(*key));
        let place = place.map(|entry| &entry.key_place).next_back();
        let problem = Problem::new(place.unwrap_or(self.place), fault)
            .help(format!("give either {}", choices.join(", or ")));
        self.note(problem);
        Way::Several
    }

    /// Whether one of `ways` is of a file nearer to the user than `key`.
    pub(crate) fn is_outdated(&self, key: &'static str, ways: &[&[&'static str]]) -> bool {
        let nearest = ways.iter().filter_map(|keys| self.layer_of(keys)).min();
        nearest < self.layer_of(&[key]) && nearest.is_some()
    }

    /// Lets go of a key that belongs to a way which a nearer file's `ways` replace.
    pub(crate) fn drop_outdated(&mut self, key: &'static str, ways: &[&[&'static str]]) {
        if self.is_outdated(key, ways) {
            self.used.insert(key);
        }
    }

    fn layer_of(&self, keys: &[&'static str]) -> Option<usize> {
        keys.iter()
            .filter_map(|key| Some(self.table.get(*key)?.key_place.layer()))
            .min()
    }
}
