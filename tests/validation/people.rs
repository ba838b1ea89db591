//! Who is aboard: marked by the file, never guessed from a mass.
use std::path::Path;

use awash::boat::{Boat, Verdict};
use awash::present::{Present, with_words};
use awash::quantity::UnitSystem::Metric;
use awash::study::{
    Caution, DiveOptions, EdgeDoes, FoamWish, Knocked, MarginAbout, Start, dive, float, flooded,
    foam, margins, swamp,
};

use crate::support::{near, near_share};
use crate::zoo;

/// Heavier than anyone, as heavy as someone, and a child.
const ENGINE: &str =
    "[[item]]\nname = \"engine\"\nmass = 90\nat = [1.0, 0, 0.2]\nvolume = \"30 L\"\n";
const CHILD: &str = "[[item]]\nname = \"child\"\nmass = 30\nat = [1.4, 0, 0.35]\nperson = true\n";
const BIG: &str = "[[item]]\nname = \"big one\"\nmass = 160\nat = [1.7, 0, 0.35]\nperson = true\n";

/// Who is a person is what the file says: not an engine of 90 kg, but a child of 30 kg
/// and someone of 160 kg. Both leave when it swamps and both hang on, with 2/15 of their
/// weight (33 CFR 183.105(a)(1)), counted as 75 kg each.
#[test]
fn persons_are_those_that_the_file_marks() {
    for hull in [zoo::open_tender(), zoo::lopsided_tender()] {
        let alone = hull.boat_with(ENGINE);
        let nobody = foam(&alone, &FoamWish::default()).expect("it floats");
        assert!(nobody.overboard.is_empty(), "{:?}", nobody.overboard);
        let said = |cautions: &[Caution]| {
            let mut cautions = cautions.iter();
            cautions.any(|caution| matches!(caution, Caution::NobodyMarked { .. }))
        };
        assert!(said(&nobody.cautions));
        let nobody = margins(&alone).expect("it floats");
        assert!(nobody.person.is_empty() && said(&nobody.cautions));
        assert!(said(&float(&alone).expect("it floats").cautions));
        let crewed = hull.boat_with(&format!("{ENGINE}{CHILD}{BIG}"));
        let all = foam(&crewed, &FoamWish::default()).expect("it floats");
        assert_eq!(all.overboard, ["child", "big one"]);
        near_share("pull", all.pull_kg, 2.0 * 75.0 * 2.0 / 15.0, 1e-12);
        assert!(!said(&all.cautions));
        let told = FoamWish {
            overboard: Some(vec!["child".into()]),
            ..FoamWish::default()
        };
        let one = foam(&crewed, &told).expect("it floats");
        assert_eq!(one.overboard, ["child"]);
        near_share("pull of one", one.pull_kg, 75.0 * 2.0 / 15.0, 1e-12);
        let one = margins(&hull.boat_with(&format!("{ENGINE}{CHILD}"))).expect("it floats");
        assert!(one.person.iter().all(|line| line.person == "child"));
        assert_eq!(one.person.len(), 2);
    }
}

/// A box 3 × 1 × 0.5 m, its stern sealed, with someone of 80 kg without volume. In any
/// water they displace their own mass, ± 3 % of it (ours): nothing to carry, ± 2.4 kg;
/// with a volume, what that displaces and no doubt.
#[test]
fn someone_without_volume_weighs_nothing_under_water_give_or_take() {
    let diver = "[[item]]\nname = \"diver\"\nmass = 80\nat = [1.5, 0, 0.3]\nperson = true\n";
    let hull = zoo::bulkhead_box();
    for water in ["density = 1000", "density = 1025"] {
        let boat = hull.boat_with(&format!("[water]\n{water}\n{diver}"));
        let without = hull.boat_with(&format!("[water]\n{water}\n"));
        let [with, without] =
            [&boat, &without].map(|boat| dive(boat, &DiveOptions::default()).expect("weighed"));
        let line = with
            .things
            .iter()
            .find(|thing| thing.name == "diver")
            .expect("listed");
        near("weight in water", line.weight_in_water_kg, 0.0, 1e-12);
        near("its ±", line.weight_in_water_spread_kg, 2.4, 1e-12);
        near("the craft's ±", with.weight_in_water_spread_kg, 2.4, 1e-12);
        near(
            "the craft's weight",
            with.hangs.weight_in_water_kg,
            without.hangs.weight_in_water_kg,
            1e-9,
        );
        near("no doubt", without.weight_in_water_spread_kg, 0.0, 0.0);
        // In every water of the card.
        for (one, other) in with.card.iter().zip(&without.card) {
            near(
                "card",
                one.weight_in_water_kg,
                other.weight_in_water_kg,
                1e-9,
            );
        }
        assert!(!with.without_volume.contains(&"diver".to_owned()));
        assert!(with.cautions.iter().any(|caution| matches!(
            caution,
            Caution::PersonsOfWatersDensity { persons, .. } if persons == &["diver"]
        )));
    }
    let given = hull.boat_with(&diver.replace("person", "volume = \"84 L\"\nperson"));
    let result = dive(&given, &DiveOptions::default()).expect("weighed");
    let line = result
        .things
        .iter()
        .find(|thing| thing.name == "diver")
        .expect("listed");
    near("by volume", line.weight_in_water_kg, -4.0, 1e-9);
    near("no doubt", result.weight_in_water_spread_kg, 0.0, 0.0);
}

/// Seated in a box of 3 × 1 m whose all weighs M: the draught is M/3000, so a head whose
/// top is h over the body's middle at z is z + h − M/3000 above the water. Unless `head`
/// says, h is 0.65 m (between 0.59 and 0.67 m of *Moments of Inertia and Centers of
/// Gravity of the Living Human Body*, AMRL-TDR-63-36, 1963; figures from memory). The
/// mouth is taken 0.2 m lower (ours, no source).
#[test]
fn a_head_is_held_against_the_water() {
    let hull = zoo::bulkhead_box();
    // 400 kg at x = 1.45 and 80 kg at 1.75 have their centre at 1.5.
    let seated = |z: f64, more: &str| {
        format!("[[item]]\nname = \"diver\"\nmass = 80\nat = [1.75, 0, {z}]\nperson = true\n{more}")
    };
    let draught = 480.0 / 3000.0;
    for (z, more, head) in [
        (0.25, "", 0.65),
        (0.05, "head = 0.2\n", 0.2),
        (0.02, "head = 0.1\n", 0.1),
    ] {
        let boat = hull.boat_with(&seated(z, more));
        let result = float(&boat).expect("it floats");
        near("head", result.heads[0].head_m, z + head - draught, 1e-7);
        let mouth = (head - 0.2_f64).max(0.0);
        near("mouth", result.heads[0].mouth_m, z + mouth - draught, 1e-7);
        let is_under = z + mouth < draught;
        let said = result
            .cautions
            .iter()
            .any(|caution| matches!(caution, Caution::HeadUnderWater { .. }));
        assert_eq!(said, is_under, "{:?}", result.cautions);
    }
    // The mouth, at z = 0.3, is above the water at rest; with the middle 1.5 m of 3 open to
    // the sea the draught is about 480/1500.
    let boat = hull.boat_with(&seated(0.1, "head = 0.4\n"));
    assert!(float(&boat).expect("it floats").heads[0].mouth_m > 0.0);
    let result = flooded(&boat).expect("it floats or sinks");
    let rests = result.cases.iter().filter_map(|case| case.rest.as_ref());
    let mut low = rests.filter(|rest| rest.heads[0].mouth_m < 0.0);
    assert!(low.next().is_some(), "{:?}", result.cases);
    assert!(
        result
            .cautions
            .iter()
            .any(|caution| matches!(caution, Caution::HeadUnderWater { .. }))
    );
    // As it stands, swamp leaves the head where float has it.
    let as_it_is = Knocked {
        start: Start::Condition,
        ..Knocked::default()
    };
    let still = swamp(&boat, &as_it_is).expect("it floats");
    near(
        "as it stands",
        still.heads[0].head_m,
        0.1 + 0.4 - draught,
        1e-6,
    );
    // On the way down the head is told until it is dived.
    let down = dive(&boat, &DiveOptions::default())
        .expect("weighed")
        .result
        .way_down;
    let (last, before) = down.split_last().expect("some");
    assert!(last.heads.is_empty() && before.iter().all(|line| line.heads.len() == 1));
}

/// A loading condition lets a diver leave, rise or move.
#[test]
fn a_condition_lets_a_diver_leave_rise_and_move() {
    let folder = tempfile::tempdir().expect("a folder");
    let diver = "[[item]]\nname = \"diver\"\nmass = 80\nat = [1.75, 0, 0.3]\nperson = true\n";
    let conditions = r#"
[[condition]]
name = "alone"
[[condition.item]]
name = "diver"
remove = true
[[condition]]
name = "kneeling"
[[condition.item]]
name = "diver"
at = [1.75, 0, 0.5]
head = "0.8 m"
[[condition]]
name = "on the edge"
[[condition.item]]
name = "diver"
at = [1.75, 0.4, 0.5]
"#;
    let file = zoo::bulkhead_box().write(folder.path(), &format!("{diver}{conditions}"));
    let load = |condition: &str| {
        let path = format!("{}{condition}", file.display());
        Boat::load(Path::new(&path)).unwrap_or_else(|error| panic!("{error}"))
    };
    let seated = load("");
    assert_eq!(seated.persons().count(), 1);
    let alone = load("#alone");
    assert_eq!(alone.persons().count(), 0);
    near("lighter", seated.mass_kg() - alone.mass_kg(), 80.0, 1e-9);
    let heads = |boat: &Boat| float(boat).expect("it floats").result.heads;
    assert!(heads(&alone).is_empty());
    let (kneeling, seat) = (heads(&load("#kneeling")), heads(&seated));
    // As heavy in the same place, so as deep: 0.2 m higher, and 0.15 m longer.
    near("risen", kneeling[0].head_m - seat[0].head_m, 0.35, 1e-7);
    let edge = load("#on the edge");
    assert!(
        float(&edge)
            .expect("it floats")
            .result
            .rest
            .expect("afloat")
            .hydrostatics
            .heel_deg
            < -1.0
    );
    assert_eq!(
        foam(&edge, &FoamWish::default())
            .expect("it floats")
            .overboard,
        ["diver"]
    );
}

/// What the person aboard may do stands first and fails, where it turns the craft over:
/// 80 kg at the edge of a decked hull that turns over before it floods.
#[test]
fn an_edge_that_turns_the_craft_over_is_said_first_and_fails() {
    let hull = zoo::decked_hull();
    let at = |y: f64, mass: f64| {
        format!(
            "[[item]]\nname = \"paddler\"\nmass = {mass:?}\nat = [1.9, {y:?}, 0.35]\nperson = true\n"
        )
    };
    let heavy = margins(&hull.boat_with(&at(0.0, 80.0))).expect("it floats");
    assert!(heavy.person.iter().all(|line| line.turns_over));
    let first = "It turns over with paddler sitting on either edge. ";
    assert!(
        heavy.summary(Metric).starts_with(first),
        "{}",
        heavy.summary(Metric)
    );
    let judged = |result: &awash::study::MarginsResult| {
        let mut verdicts = result.verdicts.iter();
        let turns_over = |about: &MarginAbout| matches!(about, MarginAbout::OnEdge { does, .. } if *does == EdgeDoes::TurnsOver);
        let found = verdicts.position(|line| turns_over(&line.about));
        found.map(|number| (number, result.verdicts[number].verdict))
    };
    let (number, verdict) = judged(&heavy).expect("judged");
    assert_eq!(verdict, Verdict::Fail);
    let told = with_words(&heavy).expect("plain data");
    let yardstick = told["verdicts"][number]["yardstick"]
        .as_str()
        .expect("a text");
    assert!(
        yardstick.contains("7°") && yardstick.contains("MGN 280"),
        "{yardstick}"
    );
    // Of a child too light to do so nothing is said.
    let light = margins(&hull.boat_with(&at(0.0, 8.0))).expect("it floats");
    assert!(light.person.iter().all(|line| !line.turns_over));
    assert!(judged(&light).is_none() && !light.summary(Metric).contains("sitting on"));
}
