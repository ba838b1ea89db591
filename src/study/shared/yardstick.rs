//! The yardsticks that a result was held against.
use crate::boat::{Band, Ceiling, Wish, Yardsticks};

/// Off-centre rule, borrowed: UK Maritime and Coastguard Agency, MGN 280 (M), Small
/// Vessels in Commercial Use, annex section 11.4.1, for all persons along one side:
/// most heel, deg, and least height of the deck above the water, m. The height is for
/// craft with a watertight weather deck from stem to stern.
pub(crate) const MOST_HEEL_DEG: f64 = 7.0;
pub(crate) const LEAST_DECK_M: f64 = 0.075;

/// One yardstick; figures in the base unit of what it judges.
#[derive(Debug, Clone, PartialEq)]
pub enum Yardstick {
    /// Height of a sill above the water at rest, m.
    SillAtRest(Band),
    /// Work until an opening is awash, J.
    WorkToAwash(Band),
    /// Lean until an opening is awash, deg.
    LeanToAwash(Band),
    /// Most heel at rest, deg, borrowed.
    HeelAtRest(f64),
    /// Whether it is to stay afloat swamped.
    AfloatSwamped(Wish),
    /// Whether it is to stay afloat with any one space flooded.
    AfloatWithOneFlooded(Wish),
    /// Lowest sill with water inside, m.
    SwampedSill(Band),
    /// Lean with water inside, deg.
    SwampedLean(Ceiling),
    /// Height of CB over CG, dived, m.
    Gap(Band),
}

impl Yardstick {
    /// What is asked of a craft with water inside, behind whether it is to float.
    pub(in crate::study) fn swamped(afloat: Self, limits: &Yardsticks) -> Vec<Self> {
        vec![
            afloat,
            Self::SwampedSill(limits.swamped_sill.clone()),
            Self::SwampedLean(limits.swamped_lean.clone()),
        ]
    }
}
