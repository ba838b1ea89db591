//! Doubts for pages: those that may be wrong by most first.
use crate::quantity::UnitSystem;
use crate::study::{Doubt, DoubtKind};

/// Doubts in sentences: the gravest class first, within a class those that put a sill off
/// by most, then the others as they were found.
pub(super) fn doubts(all: &[Doubt], units: UnitSystem) -> Vec<String> {
    let in_words = |doubt: &Doubt| doubt.text.in_units(units);
    ranked(all).into_iter().map(in_words).collect()
}

/// What the doubts are about, in words.
pub(super) fn doubted(all: &[Doubt]) -> &'static str {
    let of_file = |doubt: &Doubt| matches!(doubt.kind, DoubtKind::Part | DoubtKind::Place);
    let some_of_file = all.iter().any(of_file);
    match (some_of_file, all.iter().all(of_file)) {
        (true, true) => "what the boat file says",
        (true, false) => "the mesh and what the boat file says",
        (false, _) => "the mesh",
    }
}

fn ranked(doubts: &[Doubt]) -> Vec<&Doubt> {
    let mut all: Vec<&Doubt> = doubts.iter().collect();
    let off_m = |doubt: &Doubt| doubt.sill_m.unwrap_or(0.0);
    all.sort_by(|a, b| {
        let class = class(a.kind).cmp(&class(b.kind));
        class.then(off_m(b).total_cmp(&off_m(a)))
    });
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
        | DoubtKind::Twisted
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
