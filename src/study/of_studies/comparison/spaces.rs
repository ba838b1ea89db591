//! How each boat ends with one of its compartments open to the sea.
use std::cmp::Ordering;

use schemars::JsonSchema;
use serde::Serialize;

use super::{TOLD_DEG, TOLD_M, more_or_less};
use crate::boat::{Boat, Verdict};
use crate::equilibrium::{Afloat, EquilibriumError};
use crate::study::flooded::{FloodedEnd, single_ends};

/// One compartment over all boats.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct FloodedRow {
    /// The compartment that is open to the sea at first.
    pub compartment: String,
    /// How each boat ends so; `None` where it has no such compartment, or it is sealed.
    pub ends: Vec<Option<SpaceEnd>>,
    /// Whether each is better (1) or worse (−1) than the first, or neither (0).
    pub better: Vec<i8>,
}

/// How a boat ends with one compartment open to the sea: the worse of air lost and air
/// kept, as `flooded` has it.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct SpaceEnd {
    /// That compartment.
    pub compartment: String,
    /// Whether it floats.
    pub floats: bool,
    /// Whether it lies upright rather than over or on end.
    pub upright: bool,
    /// Lean from upright, any way, deg.
    pub lean_deg: Option<f64>,
    /// Height above the water of the lowest opening into a space that is still dry, m; where
    /// there is none, of the lowest of all, drains but for.
    pub sill_m: Option<f64>,
    /// What the yardsticks say of it; `None` where nothing is asked.
    pub verdict: Option<Verdict>,
    /// What they say of its lean alone.
    #[serde(skip)]
    lean: Option<Verdict>,
    /// The limits of its lean, deg.
    #[serde(skip)]
    pub lean_limits_deg: [f64; 2],
    /// The limits of its sill, m.
    #[serde(skip)]
    pub sill_limits_m: [f64; 2],
}

impl FloodedRow {
    /// What tells how one of the boats ends with it flooded from how the first does.
    #[must_use]
    pub fn does(&self, boat: usize) -> Option<EndDoes> {
        let end = |boat: usize| self.ends.get(boat)?.as_ref();
        Some(end(boat)?.does_against(end(0)?))
    }
}

/// What tells one end from another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EndDoes {
    /// It sinks.
    Sinks,
    /// The other does.
    NoLongerSinks,
    /// It lies over.
    LiesOver,
    /// The other does.
    NoLongerLiesOver,
    /// It leans so, deg, the other so.
    Leans([Option<f64>; 2]),
    /// Its lowest sill ends so high, m, the other's so.
    SillEnds([Option<f64>; 2]),
}

impl SpaceEnd {
    /// What tells this end from another: the first that [`Self::against`] looks at.
    fn does_against(&self, other: &Self) -> EndDoes {
        let is_lean =
            self.lean != other.lean || more_or_less(other.sill_m, self.sill_m, TOLD_M) == 0;
        match (other.floats, self.floats) {
            (true, false) => EndDoes::Sinks,
            (false, true) => EndDoes::NoLongerSinks,
            _ if other.upright && !self.upright => EndDoes::LiesOver,
            _ if self.upright && !other.upright => EndDoes::NoLongerLiesOver,
            _ if is_lean => EndDoes::Leans([self.lean_deg, other.lean_deg]),
            _ => EndDoes::SillEnds([self.sill_m, other.sill_m]),
        }
    }

    fn of(boat: &Boat, (compartment, end): (String, FloodedEnd)) -> Self {
        let rest = end.rest.as_ref();
        let lean_deg = rest.map(|rest| rest.lean_deg);
        let (lean, sill) = (&boat.yardsticks.swamped_lean, &boat.yardsticks.swamped_sill);
        Self {
            lean_limits_deg: [lean.green.value, lean.red.value],
            sill_limits_m: [sill.red.value, sill.green.value],
            compartment,
            floats: end.floats,
            upright: rest.is_some_and(|rest| rest.upright),
            lean_deg,
            lean: boat.yardsticks.swamped(lean_deg, None),
            sill_m: rest.and_then(|rest| rest.sill_m.or(rest.rim_m)),
            verdict: end.verdict,
        }
    }

    /// Whether this end is better (1) or worse (−1) than another, or neither (0): afloat,
    /// upright, what the yardsticks say, of both and then of the lean, then the sill, then
    /// the lean.
    fn against(&self, other: &Self) -> i8 {
        let rank = |end: &Self| (end.floats, end.upright, end.verdict, end.lean);
        let sill = || more_or_less(other.sill_m, self.sill_m, TOLD_M);
        let lean = || -more_or_less(other.lean_deg, self.lean_deg, TOLD_DEG);
        match rank(self).cmp(&rank(other)) {
            Ordering::Less => -1,
            Ordering::Greater => 1,
            Ordering::Equal if !self.floats || sill() != 0 => sill(),
            Ordering::Equal => lean(),
        }
    }
}

/// How a boat ends with each compartment open to the sea alone.
pub(super) fn space_ends(afloat: &Afloat<'_>) -> Result<Vec<SpaceEnd>, EquilibriumError> {
    let boat = afloat.boat();
    let ends = single_ends(afloat)?.into_iter();
    Ok(ends.map(|end| SpaceEnd::of(boat, end)).collect())
}

/// Whether each compartment that two boats share ends better (1) or worse (−1) in the
/// second, or neither.
pub(super) fn against<'a>(
    after: &'a [SpaceEnd],
    before: &'a [SpaceEnd],
) -> impl Iterator<Item = i8> + 'a {
    after.iter().filter_map(|end| {
        let mut before = before.iter();
        let was = before.find(|was| was.compartment == end.compartment)?;
        Some(end.against(was))
    })
}

/// One row a compartment of any of the boats.
pub(super) fn flooded_rows(ends: &[&[SpaceEnd]]) -> Vec<FloodedRow> {
    let mut names: Vec<&str> = Vec::new();
    for end in ends.iter().copied().flatten() {
        if !names.contains(&end.compartment.as_str()) {
            names.push(&end.compartment);
        }
    }
    let rows = names.into_iter().map(|name| {
        let of = |boat: &&[SpaceEnd]| boat.iter().find(|end| end.compartment == name).cloned();
        let ends: Vec<Option<SpaceEnd>> = ends.iter().map(of).collect();
        let first = ends.first().and_then(Option::as_ref);
        let better = |end: &Option<SpaceEnd>| {
            end.as_ref()
                .zip(first)
                .map_or(0, |(end, first)| end.against(first))
        };
        FloodedRow {
            compartment: name.to_owned(),
            better: ends.iter().map(better).collect(),
            ends,
        }
    });
    rows.collect()
}
