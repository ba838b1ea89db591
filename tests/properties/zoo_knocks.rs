//! Knocks and rests of the zoo, through the boat file and the studies.
use awash::equilibrium::{Afloat, KnockState};
use awash::study::{margins, righting};

use crate::zoo::{decked_hull, narrow_box, round_log, zoo};

/// Every hull, where it stands, mirrored, and turned end for end: no knock under nought,
/// none under the pass before it, no barrier under nought.
#[test]
fn knocks_and_barriers_of_every_hull_are_never_under_nought() {
    for hull in zoo() {
        let mut hulls = vec![hull.clone()];
        if hull.more.is_empty() {
            hulls.push(hull.mirrored());
        }
        let mut works: Vec<Vec<f64>> = Vec::new();
        for hull in &hulls {
            let afloat = Afloat::of(&hull.boat()).expect("it floats");
            let map = afloat.map().expect("mapped");
            for pass in &map.passes {
                for end in pass.between {
                    assert!(pass.energy_m4 >= map.attitudes[end].rest.energy_m4);
                }
            }
            let knocks = afloat.knocks().expect("mapped");
            assert_eq!(knocks.len(), hull.openings.len(), "{}", hull.name);
            for knock in knocks {
                let pass = knock.pass.map_or(0.0, |pass| pass.work_m4);
                assert!(knock.converged, "{}: {knock:?}", hull.name);
                assert!(knock.work_m4 >= pass, "{}: {knock:?}", hull.name);
                let neutral = map.attitudes[map.number_of(&afloat.rest)].neutral;
                assert!(knock.work_m4 > 0.0 || neutral, "{}: {knock:?}", hull.name);
            }
            works.push(knocks.iter().map(|knock| knock.work_m4).collect());
        }
        // Port and starboard changed over cost the same.
        for (own, mirrored) in works[0].iter().zip(works.last().expect("one")) {
            assert!(
                (own - mirrored).abs() <= 1e-6 * own + 1e-12,
                "{}",
                hull.name
            );
        }
    }
}

/// With its weight 50 mm higher it turns over before any sill is under. Once such a
/// knock was told under nought, as the energy of the place where it ends, upside down.
#[test]
fn a_decked_hull_is_told_to_turn_over_first() {
    let mut hull = decked_hull();
    hull.centre_m.z += 0.05;
    let result = margins(&hull.boat()).expect("it floats");
    for line in &result.knock {
        assert!(line.work_j > 0.0 && line.drift_m_s > 0.0, "{line:?}");
        assert_eq!(
            line.state == KnockState::AfterPass,
            line.falls_into.is_some()
        );
    }
    let least = &result.knock[0];
    assert_eq!(least.state, KnockState::AfterPass, "{least:?}");
    assert!(least.turns_over, "{least:?}");
    assert!(
        result.summary.contains("turns over") && result.summary.contains("only after that"),
        "{}",
        result.summary
    );
}

#[test]
fn rests_of_a_log_and_of_a_narrow_box() {
    let log = righting(&round_log().boat()).expect("it floats");
    assert_eq!(
        log.resting_attitudes.len(),
        1,
        "{:?}",
        log.resting_attitudes
    );
    assert!(log.resting_attitudes[0].neutral && log.resting_attitudes[0].from_upright);
    let range = log.resting_attitudes[0].heel_range_deg;
    assert_eq!(range, Some([-180.0, 180.0]));
    let narrow = righting(&narrow_box().boat()).expect("it floats");
    let upright = narrow
        .resting_attitudes
        .iter()
        .find(|rest| rest.from_upright);
    let upright = upright.expect("it lies somewhere");
    assert!(
        upright.heel_deg.abs() < 1e-6 && !upright.neutral,
        "{upright:?}"
    );
}
