//! Doubts for pages: those that may be wrong by most first.
use crate::study::{Doubt, DoubtKind};

/// The doubts, the gravest class first, within a class as they were found.
pub(super) fn ranked(doubts: &[Doubt]) -> Vec<&Doubt> {
    let mut all: Vec<&Doubt> = doubts.iter().collect();
    all.sort_by_key(|doubt| class(doubt.kind));
    all
}

/// How grave a doubt is, 0 the gravest: the surface bounds no definite volume; it may have
/// another size or place; it was mended by a guess; something small was passed over. Ours.
fn class(kind: DoubtKind) -> u8 {
    match kind {
        DoubtKind::NotClosed
        | DoubtKind::Overlap
        | DoubtKind::Skin
        | DoubtKind::Truncated
        | DoubtKind::Branching => 0,
        DoubtKind::Unit | DoubtKind::Place | DoubtKind::Part => 1,
        DoubtKind::Mended
        | DoubtKind::Capped
        | DoubtKind::Turned
        | DoubtKind::Nested
        | DoubtKind::RemovedFaces => 2,
        DoubtKind::WrongCount
        | DoubtKind::Stray
        | DoubtKind::DroppedFacets
        | DoubtKind::LooseWeld
        | DoubtKind::Defect
        | DoubtKind::Specks => 3,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_gravest_come_first_and_those_alike_as_they_were_found() {
        let kinds = [
            DoubtKind::Specks,
            DoubtKind::Capped,
            DoubtKind::Unit,
            DoubtKind::Mended,
            DoubtKind::NotClosed,
        ];
        let doubts = kinds.map(|kind| Doubt::new(kind, "why"));
        let found: Vec<DoubtKind> = ranked(&doubts).iter().map(|doubt| doubt.kind).collect();
        assert_eq!(
            found,
            [
                DoubtKind::NotClosed,
                DoubtKind::Unit,
                DoubtKind::Capped,
                DoubtKind::Mended,
                DoubtKind::Specks
            ]
        );
    }
}
