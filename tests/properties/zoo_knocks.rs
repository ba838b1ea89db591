//! Knocks and rests of the zoo, through the boat file and the studies.
use awash::equilibrium::{
    Afloat, Craft, KnockState, Sills, knock, knock_near, least_knock_near, map_sphere, settle,
};
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem::Metric;
use awash::study::{PlaceOptions, margins, place, righting};
use rayon::prelude::*;

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
            let boat = hull.boat();
            let afloat = Afloat::of(&boat);
            let rest = afloat.rest().expect("it floats");
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
                let neutral = map.attitudes[map.number_of(rest)].neutral;
                assert!(knock.work_m4 > 0.0 || neutral, "{}: {knock:?}", hull.name);
                // Rolled along a neutral rest too, it ends where the sill is just awash.
                let awash = knock.pass.is_some() || knock.sill.height_m.abs() < 1e-6;
                assert!(awash, "{}: {knock:?}", hull.name);
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
        result.summary(Metric).contains("turns over")
            && result.summary(Metric).contains("only after that"),
        "{}",
        result.summary(Metric)
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

/// A heavy person moved across, and 12 kg moved over the deck: in every place the knocks
/// followed from the craft as it was are those from a new map. Once a way that had slid
/// over the pass was told as a knock of nought. Internal consistency.
#[test]
fn knocks_followed_over_the_deck_are_those_of_a_new_map() {
    const PERSON_SHARE: f64 = 80.0 / 150.0;
    const BATTERY_SHARE: f64 = 12.0 / 150.0;
    let hull = decked_hull();
    let mut moves = Vec::new();
    for across_m in [-0.03, -0.015, 0.015, 0.03] {
        moves.push(Vec3::new(0.0, across_m * PERSON_SHARE, 0.0));
    }
    for x in [-1.4, 0.0, 1.4] {
        for y in [-0.3, -0.2, 0.2, 0.3] {
            moves.push(Vec3::new(x, y, 0.0) * BATTERY_SHARE);
        }
    }
    for raised_m in [0.02, 0.04] {
        let boat = hull.boat();
        let sills = Sills::of(&boat.openings);
        let mut craft = Craft::of(&boat);
        craft.centre_of_gravity_m.z += raised_m;
        let rest = settle(&craft).expect("it floats").rest;
        let map = map_sphere(&craft, std::slice::from_ref(&rest)).expect("mapped");
        let known = knock(&craft, &sills, &rest, &map);
        let wrong: Vec<String> = moves
            .par_iter()
            .flat_map(|by| {
                let mut moved = craft.clone();
                moved.centre_of_gravity_m += by;
                let rest = settle(&moved).expect("it floats").rest;
                let own = map_sphere(&moved, std::slice::from_ref(&rest)).expect("mapped");
                let own = knock(&moved, &sills, &rest, &own);
                let near = knock_near(&moved, &sills, &rest, &map, &known).expect("followed");
                let least = least_knock_near(&moved, &sills, &rest, &map, &known);
                let own: Vec<f64> = own.iter().map(|knock| knock.work_m4).collect();
                let near: Vec<f64> = near.iter().map(|knock| knock.work_m4).collect();
                let off = |a: f64, b: f64| (a - b).abs() > 0.01 * b;
                let mut wrong = Vec::new();
                if own.iter().zip(&near).any(|(own, near)| off(*near, *own)) {
                    wrong.push(format!("{raised_m} {by:?}: {near:?}, anew {own:?}"));
                }
                let least = least.expect("followed").expect("openings");
                let least_own = own.iter().copied().fold(f64::INFINITY, f64::min);
                if off(least, least_own) {
                    wrong.push(format!("{raised_m} {by:?}: least {least:e}, anew {own:?}"));
                }
                wrong
            })
            .collect();
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }
}

/// Of many openings only those that may take the least are sought: it is the least of all
/// of them followed, none left out. Internal consistency.
#[test]
fn the_least_of_many_knocks_is_that_of_all_of_them() {
    let mut rng = fastrand::Rng::with_seed(8);
    let mut between = |most: f64| most * (2.0 * rng.f64() - 1.0);
    let boat = decked_hull().boat();
    let openings: Vec<_> = (0..40)
        .map(|number| {
            let mut opening = boat.openings[number % boat.openings.len()].clone();
            let by = Vec3::new(between(0.3), 0.0, 0.03 + between(0.03));
            opening.rim.iter_mut().for_each(|point| *point += by);
            opening
        })
        .collect();
    let sills = Sills::of(&openings);
    let craft = Craft::of(&boat);
    let rest = settle(&craft).expect("it floats").rest;
    let map = map_sphere(&craft, std::slice::from_ref(&rest)).expect("mapped");
    let known = knock(&craft, &sills, &rest, &map);
    for draw in 0..40 {
        let mut moved = craft.clone();
        moved.mass_kg += between(5.0);
        moved.centre_of_gravity_m += Vec3::new(between(0.05), between(0.02), between(0.02));
        let raised: Vec<f64> = openings.iter().map(|_| between(0.005)).collect();
        let sills = sills.raised(&raised);
        let rest = settle(&moved).expect("it floats").rest;
        let all = knock_near(&moved, &sills, &rest, &map, &known).expect("followed");
        let all = all.iter().map(|knock| knock.work_m4);
        let least = least_knock_near(&moved, &sills, &rest, &map, &known);
        let least = least.expect("followed").expect("openings");
        let off = least / all.fold(f64::INFINITY, f64::min) - 1.0;
        assert!(off.abs() < 1e-9, "draw {draw}: off by {off:e}");
    }
}

/// A condition in which the craft lies upside down says nothing of the places where it
/// stands: each is set upright first.
#[test]
fn places_are_judged_upright_though_the_craft_lies_capsized() {
    let hull = decked_hull();
    let weight = "[[item]]\nname = \"weight\"\nmass = 40\nat = [2.0, 0.0, 2.0]\n";
    let boat = hull.boat_with(weight);
    let options = PlaceOptions {
        grid: [3, 1],
        z_m: Some(0.1),
    };
    let result = place(&boat, "weight", &options).expect("it floats");
    assert!(result.now.heel_deg.abs() > 90.0, "{:?}", result.now);
    let middle = &result.cells[1];
    assert!(middle.heel_deg.abs() < 1.0, "{middle:?}");
    assert!(middle.knock_j.is_some_and(|work| work > 1.0), "{middle:?}");
}
