//! What is judged, and what comes first in words: by each study alike, the worse way first.
use awash::boat::{Boat, BoatError, Verdict};
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem;
use awash::quantity::UnitSystem::Metric;
use awash::study::{
    DiveOptions, EdgeDoes, FoamWish, Knocked, PlaceOptions, Start, SwampEnd, compare, dive, float,
    flooded, foam, margins, place, report, spread, swamp,
};

use crate::support::{box_from_stern, closed_box, json, list, text};
use crate::zoo::{
    ZooHull, bulkhead_box, decked_hull, lopsided_tender, narrow_box, open_tender, twin_hull, zoo,
};

/// A level rim between two corners.
fn rim(low: [f64; 2], high: [f64; 2], z: f64) -> Vec<Vec3> {
    let corners = [[low[0], low[1]], [high[0], low[1]], high, [low[0], high[1]]];
    corners.map(|[x, y]| Vec3::new(x, y, z)).to_vec()
}

fn condition(inside_m3: f64) -> Knocked {
    Knocked {
        start: Start::Condition,
        inside_m3,
        ..Knocked::default()
    }
}

fn refusal(hull: &ZooHull) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let error: BoatError = Boat::load(&hull.write(folder.path(), "")).expect_err("refused");
    error.to_string()
}

/// Two compartments that leave nothing: what goes to the rest would go nowhere.
#[test]
fn what_goes_to_a_rest_that_is_not_there_is_refused() {
    let spaces = "[[compartment]]\nname = \"fore\"\nforward_of = 0\n[[compartment]]\nname = \"aft\"\naft_of = 0\n";
    for (table, key) in [
        (
            "[[opening]]\nname = \"leak\"\nrim = [[-1, -0.1, 0], [-0.8, -0.1, 0], [-0.8, 0.1, 0]]\nfloods = \"inside\"\n",
            "`floods` of opening \"leak\"",
        ),
        (
            "[[passage]]\nname = \"limber\"\nbetween = [\"fore\", \"inside\"]\nat = [0, 0, 0.1]\ndiameter = \"20 mm\"\n",
            "`between` of passage \"limber\"",
        ),
        (
            "[[item]]\nname = \"tank\"\nmass = 5\nat = [1, 0, 0.1]\nvolume = \"5 L\"\ncompartment = \"inside\"\n",
            "`compartment` of item \"tank\"",
        ),
    ] {
        let mut hull = closed_box([4.0, 1.0, 0.5], 500.0, [0.0, 0.0, 0.1]);
        hull.more += spaces;
        hull.more += table;
        let said = refusal(&hull);
        assert!(
            said.contains(key) && said.contains("\"fore\", \"aft\""),
            "{said}"
        );
    }
}

/// A narrow box that comes up again with water inside, far over: the yardstick for its
/// lean counts as much as for one that stays swamped.
#[test]
fn a_craft_that_comes_up_leaning_with_water_inside_fails() {
    let mut hull = closed_box([3.0, 0.6, 0.7], 300.0, [0.0, 0.0, 0.26]);
    hull.openings = vec![("hatch", rim([-0.1, -0.05], [0.1, 0.05], 0.7))];
    let result = swamp(&hull.boat(), &condition(0.15)).expect("it floats at first");
    let lean = result.time_line.last().expect("a line").heel_deg.abs();
    assert!(lean > 30.0, "{lean}");
    assert_eq!(
        result.verdict,
        Some(Verdict::Fail),
        "{}",
        result.summary(Metric)
    );
    assert!(
        result.summary(Metric).contains(", leaning 3"),
        "{}",
        result.summary(Metric)
    );
    let dry = swamp(&hull.boat(), &condition(0.0)).expect("it floats at first");
    assert_eq!(dry.verdict, Some(Verdict::Clear), "{}", dry.summary(Metric));
}

/// A leak into a locker at the bow leaves its own sill under water and nothing else at
/// stake: judged by what is still dry, as `flooded` does.
#[test]
fn the_sill_that_counts_is_of_what_is_still_dry() {
    let mut hull = closed_box([4.0, 1.0, 0.5], 500.0, [-0.1, 0.0, 0.1]);
    hull.openings = vec![
        ("leak", rim([1.8, -0.05], [1.9, 0.05], 0.0)),
        ("vent", rim([1.8, -0.01], [1.82, 0.01], 0.5)),
        ("hatch", rim([-0.1, -0.1], [0.1, 0.1], 0.5)),
    ];
    hull.more += "[[compartment]]\nname = \"bow\"\nforward_of = 1.6\n";
    let result = swamp(&hull.boat(), &condition(0.0)).expect("it floats at first");
    assert!(result.openings.iter().any(|sill| sill.freeboard_m < 0.0));
    assert_eq!(
        result.verdict,
        Some(Verdict::Clear),
        "{}",
        result.summary(Metric)
    );
}

/// With the air of one wing kept the box rolls right over; with all of it gone it floats
/// level: the worse is said first.
#[test]
fn the_worse_of_two_ends_is_said_first() {
    let mut hull = closed_box([4.0, 1.0, 0.5], 700.0, [0.0, 0.0, 0.3]);
    hull.openings = vec![
        ("port leak", rim([-0.03, 0.32], [0.03, 0.38], 0.0)),
        ("starboard leak", rim([-0.03, -0.38], [0.03, -0.32], 0.0)),
        ("vent", rim([-0.01, -0.36], [0.01, -0.34], 0.5)),
        ("hatch", rim([-0.1, -0.1], [0.1, 0.1], 0.5)),
    ];
    hull.more += "[[compartment]]\nname = \"port wing\"\nport_of = 0.2\n[[compartment]]\nname = \"starboard wing\"\nstarboard_of = -0.2\n";
    let result = swamp(&hull.boat(), &condition(0.0)).expect("it floats at first");
    let air = result.with_air.as_ref().expect("air is caught");
    assert!(air.is_worse && !air.upright, "{air:?}");
    let said = &result.summary(Metric);
    let [worse, milder] = ["ON ITS SIDE OR END", "With that air gone"].map(|words| {
        let found = said.find(words);
        found.unwrap_or_else(|| panic!("no `{words}` in {said}"))
    });
    assert!(worse < milder, "{said}");
}

/// The hole in the bulkhead lets a leak aft sink the whole box; a bung keeps it up.
#[test]
fn what_a_bung_would_do_is_said() {
    let mut hull = closed_box([4.0, 1.0, 0.5], 700.0, [0.0, 0.0, 0.15]);
    hull.openings = vec![("leak", rim([-1.0, -0.05], [-0.9, 0.05], 0.0))];
    hull.more += "[[compartment]]\nname = \"fore\"\nforward_of = -0.6\n";
    let leak = Knocked {
        start: Start::Knock,
        ..Knocked::default()
    };
    let without = swamp(&hull.boat(), &leak).expect("it floats at first");
    assert!(without.with_bungs.is_none());
    hull.more += "[[passage]]\nname = \"limber\"\nbetween = [\"inside\", \"fore\"]\nat = [-0.6, 0, 0.02]\ndiameter = \"30 mm\"\n";
    let result = swamp(&hull.boat(), &leak).expect("it floats at first");
    let bunged = result.with_bungs.as_ref().expect("better with a bung");
    assert!(bunged.upright, "{bunged:?}");
    let sill_m = bunged.sill_m.expect("a sill");
    let told = format!("its lowest sill {:.0} mm under the water", -1e3 * sill_m);
    assert!(
        result
            .summary(Metric)
            .contains("stopped by a bung it stays afloat")
            && result.summary(Metric).contains(&told),
        "{}",
        result.summary(Metric)
    );
}

/// A loll is no capsize, and no yardstick speaks of it: `float` and `report` judge alike.
#[test]
fn a_craft_at_rest_is_judged_alike_by_float_and_report() {
    for height_m in [0.1, 0.47] {
        let mut hull = closed_box([4.0, 1.0, 0.5], 1000.0, [0.0, 0.0, height_m]);
        hull.openings = vec![("hatch", rim([-0.1, -0.1], [0.1, 0.1], 0.5))];
        let boat = hull.boat();
        let report = report(&boat, None).expect("it floats");
        let at_rest = report
            .verdicts
            .iter()
            .find(|v| v.about == awash::study::About::AtRest);
        let fails = at_rest.expect("judged").verdict == Some(Verdict::Fail);
        assert_eq!(fails, float(&boat).expect("it floats").fails_a_yardstick());
    }
}

/// A rower of 75 kg moved to the edge of a box of 4 × 1 m that displaces 1 m³: the hole in
/// its port side goes under; on the other edge the heel alone breaks the rule.
#[test]
fn a_person_on_an_edge_fails_by_heel_and_by_a_sill() {
    let mut hull = closed_box([4.0, 1.0, 0.5], 925.0, [0.0, 0.0, 0.2]);
    let hole = [[0.0, 0.29], [0.1, 0.29], [0.1, 0.33], [0.0, 0.33]];
    hull.openings = vec![("hole", hole.map(|[x, z]| Vec3::new(x, 0.5, z)).to_vec())];
    hull.more += "[[item]]\nname = \"rower\"\nperson = true\nmass = 75\nat = [0, 0, 0.2]\n";
    let result = margins(&hull.boat()).expect("it floats");
    let value = json(&result);
    let names: Vec<&str> = list(&value, "verdicts")
        .iter()
        .filter(|line| line["verdict"] == "fail")
        .map(|line| text(line, "name"))
        .collect();
    assert!(
        names.contains(&"rower on the port edge floods it"),
        "{names:?}"
    );
    assert!(
        names.contains(&"rower on the starboard edge heels it too far"),
        "{names:?}"
    );
    assert!(result.fails_a_yardstick());
    let said = text(&value, "summary");
    assert!(
        said.starts_with("It fills with rower sitting on the port edge."),
        "{said}"
    );
}

/// Decked from stem to stern, 62 mm of freeboard: the rower heels it 6°, within the rule, and
/// brings the edge of the deck too near to the water.
#[test]
fn a_deck_that_a_person_dips_is_not_said_to_heel_too_far() {
    let mut hull = closed_box([4.0, 1.0, 0.5], 1675.0, [0.0, 0.0, 0.2]);
    hull.more += "[[item]]\nname = \"rower\"\nperson = true\nmass = 75\nat = [0, 0, 0.2]\n";
    let result = margins(&hull.boat()).expect("it floats");
    for line in &result.person {
        let heel = line.heel_deg.expect("it stays up").abs();
        assert!(heel < 7.0, "{heel}");
        assert_eq!(line.does(), Some(EdgeDoes::DipsDeck), "{line:?}");
    }
    let value = json(&result);
    let name = text(&list(&value, "verdicts")[0], "name");
    assert_eq!(
        name,
        "rower on either edge dips the edge of its deck to within 75 mm of the water"
    );
    assert!(!text(&value, "summary").contains("heels"), "{value}");
}

/// A load high up and off the middle lays the box on its side: no word of a sill that
/// stands higher now.
#[test]
fn a_boat_that_capsizes_is_not_compared_by_its_sills() {
    let mut hull = closed_box([3.0, 0.6, 0.7], 300.0, [0.0, 0.0, 0.1]);
    hull.openings = vec![("hatch", rim([-0.1, 0.1], [0.1, 0.2], 0.7))];
    let before = hull.boat();
    hull.more += "[[item]]\nname = \"crate\"\nmass = 120\nat = [0, -0.28, 0.65]\n";
    let after = hull.boat();
    let there = compare(&[before.clone(), after.clone()], None).expect("they float");
    assert!(
        there.summary(Metric).contains("CAPSIZES"),
        "{}",
        there.summary(Metric)
    );
    let back = compare(&[after, before], None).expect("they float");
    assert!(
        back.summary(Metric).contains("first of them capsizes"),
        "{}",
        back.summary(Metric)
    );
}

/// The plate lies on its side with the hatch in its top edge under water: the capsize comes
/// before the sill, whatever the study.
#[test]
fn a_capsize_is_said_first_by_every_study_afloat() {
    let mut hull = closed_box([2.0, 0.2, 1.0], 300.0, [0.0, 0.0, 0.5]);
    hull.openings = vec![("hatch", rim([-0.1, -0.05], [0.1, 0.05], 1.0))];
    hull.more += "[[item]]\nname = \"bag\"\nmass = \"1 kg ± 0.1 kg\"\nat = [0, 0, 0.5]\n";
    let boat = hull.boat();
    let options = PlaceOptions {
        grid: [2, 2],
        z_m: None,
    };
    for (study, said) in [
        ("float", json(&float(&boat).expect("it floats"))),
        ("margins", json(&margins(&boat).expect("it floats"))),
        (
            "swamp",
            json(&swamp(&boat, &condition(0.0)).expect("it floats")),
        ),
        ("spread", json(&spread(&boat, 4, 1).expect("it floats"))),
        (
            "place",
            json(&place(&boat, "bag", &options).expect("it floats")),
        ),
    ] {
        let said = text(&said, "summary");
        assert!(said.starts_with("IT CAPSIZES"), "{study}: {said}");
        assert_eq!(said.matches("IT CAPSIZES").count(), 1, "{study}: {said}");
    }
}

/// Every study that shows the least knock says what the craft does before it floods.
#[test]
fn what_comes_before_the_least_knock_is_said_by_every_study() {
    let mut over = 0;
    let mut none = 0;
    let mut hulls = vec![
        decked_hull(),
        narrow_box(),
        twin_hull(),
        open_tender(),
        bulkhead_box(),
    ];
    // High enough to go over its deck before the sills of it meet the water.
    hulls[0].centre_m.z = 0.29;
    for hull in &mut hulls {
        hull.more += "[[item]]\nname = \"bag\"\nmass = \"1 kg ± 0.1 kg\"\nat = [1, 0, 0.2]\n";
        let boat = hull.boat();
        let margins = margins(&boat).expect("it floats");
        let Some(least) = margins.knock.first() else {
            continue;
        };
        let first = &least.first;
        match first {
            Some(_) => over += 1,
            None => none += 1,
        }
        let options = PlaceOptions {
            grid: [2, 2],
            z_m: None,
        };
        let place = place(&boat, "bag", &options).expect("it floats");
        let spread = spread(&boat, 8, 1).expect("it floats");
        let swamp = swamp(&boat, &Knocked::default()).expect("it floats");
        let compare = compare(&[boat.clone(), boat.clone()], None).expect("they float");
        for (study, told, page) in [
            (
                "place",
                &place.now.knock_first,
                place.sheet(UnitSystem::Metric).to_string(),
            ),
            (
                "spread",
                &spread.least_knock_first,
                spread.sheet(UnitSystem::Metric).to_string(),
            ),
            (
                "swamp",
                &swamp.before,
                swamp.sheet(UnitSystem::Metric).to_string(),
            ),
            (
                "compare",
                &compare.least_knock_first[1],
                compare.sheet(UnitSystem::Metric).to_string(),
            ),
            (
                "margins",
                first,
                margins.sheet(UnitSystem::Metric).to_string(),
            ),
        ] {
            assert_eq!(told, first, "{} of {}", study, hull.name);
            if let Some(first) = first {
                let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
                assert!(
                    page.contains(first.as_str()),
                    "{study} of {}: {page}",
                    hull.name
                );
            }
        }
    }
    assert!(over >= 1 && none >= 1, "{over} {none}");
}

/// A box half of whose inside is solid floats level with all of it open to the sea, its
/// hatch well above the water. With the air of one wing kept it leans until that hatch is
/// under: a sill under water fails, by `swamp` as by `flooded` with the same spaces open,
/// though no space is left that could still flood.
#[test]
fn the_rim_of_a_craft_wholly_swamped_counts_with_its_air_kept_too() {
    let mut hull = closed_box([4.0, 1.0, 0.5], 880.0, [0.0, 0.0, 0.25]);
    hull.openings = vec![("hatch", rim([-0.1, -0.49], [0.1, -0.4], 0.5))];
    let drain = |name: &str, y: f64| {
        format!(
            "[[opening]]\nname = \"{name}\"\nstate = \"drain\"\nrim = [[0, {y}, 0], [0.05, {y}, 0], [0, {}, 0]]\n",
            y + 0.03
        )
    };
    hull.more += "[[compartment]]\nname = \"wing\"\nport_of = 0.4\npermeability = 0.5\n[[compartment]]\nname = \"inside\"\npermeability = 0.5\n";
    hull.more += &(drain("wing drain", 0.44) + &drain("drain", 0.0));
    let result = swamp(&hull.boat(), &condition(0.0)).expect("it floats at first");
    let air = result.with_air.as_ref().expect("air is caught");
    assert!(air.floats && air.upright && air.is_worse, "{air:?}");
    let lean = air.lean_deg.expect("afloat");
    assert!(lean < 30.0, "no yardstick of its lean fails: {lean}");
    assert_eq!(air.sill_m, None);
    let pair = flooded(&hull.boat()).expect("it floats at first");
    let pair = pair.cases.iter().find(|case| case.flooded.len() == 2);
    let end = &pair.expect("a pair").end;
    let rest = end.rest.as_ref().expect("afloat");
    assert!((rest.lean_deg - lean).abs() < 1e-6);
    assert!(rest.rim_m.expect("a rim") < 0.0, "{rest:?}");
    assert_eq!(
        result.verdict,
        Some(Verdict::Fail),
        "{}",
        result.summary(Metric)
    );
}

/// Water runs forward through a pinhole for longer than it is followed. With the only sill
/// high it cannot sink; with a second one at the bow, that goes under as the water comes
/// there, it may.
#[test]
fn water_that_still_runs_inside_sinks_nothing_if_no_more_comes_in() {
    let box_with = |bow_sill: Option<f64>| {
        let mut hull = closed_box([4.0, 1.0, 0.5], 500.0, [0.0, 0.0, 0.1]);
        hull.openings = vec![("hatch", rim([-0.1, -0.1], [0.1, 0.1], 0.5))];
        if let Some(z) = bow_sill {
            let at = |y: f64, z: f64| Vec3::new(2.0, y, z);
            let rim = vec![at(-0.1, z), at(0.1, z), at(0.0, z + 0.1)];
            hull.openings.push(("hawse", rim));
        }
        hull.more += "[[compartment]]\nname = \"bow\"\nforward_of = 1.2\n[[compartment]]\nname = \"inside\"\nfill = \"250 L\"\n[[compartment]]\nname = \"stern\"\naft_of = -1.0\nsealed = true\n[[passage]]\nname = \"pinhole\"\nbetween = [\"bow\", \"inside\"]\nat = [1.2, 0, 0.02]\ndiameter = \"1 mm\"\n";
        swamp(&hull.boat(), &condition(0.0)).expect("it floats at first")
    };
    let high = box_with(None);
    assert_eq!(high.end, SwampEnd::NotSettled, "{}", high.summary(Metric));
    assert!(
        !high.summary(Metric).contains("sink"),
        "{}",
        high.summary(Metric)
    );
    assert!(
        high.summary(Metric).contains("no more comes in"),
        "{}",
        high.summary(Metric)
    );
    assert_ne!(
        high.verdict,
        Some(Verdict::Fail),
        "{}",
        high.summary(Metric)
    );
    let low = box_with(Some(0.245));
    assert_eq!(low.end, SwampEnd::NotSettled, "{}", low.summary(Metric));
    let dry = low.openings.iter().all(|sill| sill.freeboard_m > 0.0);
    assert!(dry, "{:?}", low.openings);
    assert!(
        low.summary(Metric).contains("may yet sink"),
        "{}",
        low.summary(Metric)
    );
    assert_eq!(low.verdict, Some(Verdict::Fail));
}

/// A box held up by its sealed stern alone ends on end: `foam` says so and does not call
/// it kept up, `compare` judges the end after a knock, `flooded` its ±.
#[test]
fn a_craft_that_ends_on_end_reads_as_afloat_nowhere() {
    let mut hull = bulkhead_box();
    hull.mass_kg = 300.0;
    let wish = FoamWish {
        people: Some(0),
        ..FoamWish::default()
    };
    let foamed = foam(&hull.boat(), &wish).expect("a rim");
    assert!(foamed.as_it_is.floats && !foamed.as_it_is.upright);
    let words = "Swamped it floats ON ITS SIDE OR END";
    assert!(
        foamed.summary(Metric).starts_with(words),
        "{}",
        foamed.summary(Metric)
    );
    let upright = foamed.places.iter().filter(|place| place.reaches);
    assert!(upright.clone().count() > 0 && upright.clone().all(|p| p.swamped.upright));
    let flooded = flooded(&hull.boat()).expect("it floats");
    let bow = flooded.cases.iter().find(|case| case.name == "bow");
    let bow = bow.expect("a case");
    assert_eq!(
        (bow.end_floats_in_band, bow.end_upright_in_band),
        ([true; 2], [false; 2])
    );
    let table = flooded.sheet(UnitSystem::Metric).to_string();
    assert!(table.contains("LIES OVER"), "{table}");
    let both = compare(&[hull.boat(), hull.boat()], None).expect("they float");
    let table = both.sheet(UnitSystem::Metric).to_string();
    let knocked = swamp(&hull.boat(), &Knocked::default()).expect("it floats");
    assert_eq!(both.knock_verdicts, [knocked.verdict; 2]);
    let verdict = knocked.verdict.expect("asked for");
    assert!(table.contains(&format!(": {verdict}")), "{table}");
    assert!(table.contains("ON ITS SIDE OR END, leaning"), "{table}");
}

/// A box that sealed wings hold upright, full of water; without them only a tank at its
/// bottom displaces, under its weight, so that upright cannot last (statics): `foam` says so
/// in its first words.
#[test]
fn a_swamped_craft_that_turns_over_left_alone_is_said_to() {
    let mut hull = box_from_stern();
    (hull.mass_kg, hull.centre_m) = (40.0, Vec3::new(1.0, 0.0, 0.25));
    let corners = [[0.2, 0.3], [1.8, 0.3], [1.8, -0.3], [0.2, -0.3]];
    let rim = corners.map(|[x, y]| Vec3::new(x, y, 0.4)).to_vec();
    hull.openings = vec![("hatch", rim)];
    let wings = "[[compartment]]\nname = \"port wing\"\nport_of = 0.25\nsealed = true\n\
                 [[compartment]]\nname = \"starboard wing\"\nstarboard_of = -0.25\nsealed = true\n";
    let tank = |z: f64| {
        format!(
            "[[item]]\nname = \"tank\"\nmass = \"1 kg\"\nvolume = \"100 L\"\nsize = [1.8, 0.4, 0.1]\nat = [1, 0, {z}]\nsealed = true\n"
        )
    };
    let words = |hull: &ZooHull| {
        let foamed = foam(&hull.boat(), &FoamWish::default()).expect("a rim");
        assert!(foamed.as_it_is.upright, "{:?}", foamed.as_it_is);
        foamed.summary(Metric)
    };
    hull.more = wings.to_owned() + &tank(0.06);
    let low = words(&hull);
    let over = "WITH NOBODY ABOARD or holding on, port wing and starboard wing counted lost, it TURNS OVER (heel 180°)";
    assert!(low.contains(over), "{low}");
    // The tank over its weight: it stays up.
    hull.centre_m.z = 0.05;
    hull.more = wings.to_owned() + &tank(0.34);
    let high = words(&hull);
    assert!(!high.contains("TURNS OVER"), "{high}");
}

/// A wing that fills through a hole from the bow leans the box over more than its yardstick
/// allows; with the hole bunged it does not. Said with the lean that it ends at.
#[test]
fn a_space_that_leans_it_too_far_is_said_with_what_cures_it() {
    let mut hull = closed_box([4.0, 1.0, 0.5], 600.0, [0.0, 0.0, 0.15]);
    hull.openings = vec![("hatch", rim([-0.1, -0.1], [0.1, 0.1], 0.5))];
    hull.more += "[yardsticks]\nswamped_lean_green = \"6 deg\"\nswamped_lean_red = \"8 deg\"\n";
    hull.more += "[[compartment]]\nname = \"bow\"\nforward_of = 1.6\n[[compartment]]\nname = \"wing\"\nport_of = 0.35\naft_of = 1.6\n";
    let bow = |hull: &ZooHull| {
        let result = flooded(&hull.boat()).expect("it floats");
        let case = result.cases.iter().find(|case| case.name == "bow");
        (case.cloned().expect("one"), result.summary(Metric))
    };
    let (apart, said) = bow(&hull);
    assert!(apart.end.verdict > Some(Verdict::Fail), "{apart:?}");
    assert!(!said.contains("it FAILS with bow"), "{said}");
    hull.more += "[[passage]]\nname = \"limber\"\nbetween = [\"bow\", \"wing\"]\nat = [1.6, 0.4, 0.02]\ndiameter = \"30 mm\"\n";
    let (joined, said) = bow(&hull);
    let lean = joined.end.rest.as_ref().expect("afloat").lean_deg;
    let told =
        format!("it FAILS with bow flooded: it leans {lean:.0}°; a bung in its passage cures it");
    assert!(lean > 8.0 && said.contains(&told), "{lean}: {said}");
}

/// At the depth from which a trimmed craft is said to sink, the same craft with its ballast
/// weighs nothing in the water that it was trimmed for.
#[test]
fn where_it_is_said_to_sink_from_the_card_has_it_neither_float_nor_sink() {
    for hull in zoo() {
        let [x, y, z] = [0, 1, 2].map(|axis| hull.centre_m[axis]);
        let suit = format!(
            "[[item]]\nname = \"suit\"\nmass = 3\nat = [{x}, {y}, {z}]\nvolume = \"9 L\"\ngas_volume = \"6 L\"\n"
        );
        let boat = hull.boat_with(&suit);
        let weighed = |depths_m: &[f64]| {
            let options = DiveOptions {
                waters: vec![("own".to_owned(), boat.water.clone())],
                depths_m: depths_m.to_vec(),
                ..DiveOptions::default()
            };
            dive(&boat, &options).expect("weighed")
        };
        let from_m = weighed(&[0.0, 40.0]).sinks_from_m;
        let from_m = from_m.unwrap_or_else(|| panic!("{}: the suit gives way", hull.name));
        for line in &weighed(&[from_m]).card {
            let weighs_kg = line.with_ballast.weight_in_water_kg;
            assert!(weighs_kg.abs() < 1e-3, "{}: {line:?}", hull.name);
        }
    }
}

/// The first line of a comparison holds what `float` says of the first boat and the last.
#[test]
fn a_comparison_begins_with_the_sills_and_the_heels_of_both() {
    for hull in [
        open_tender(),
        bulkhead_box(),
        lopsided_tender(),
        twin_hull(),
    ] {
        let [x, y, z] = [hull.centre_m.x, hull.centre_m.y + 0.2, hull.centre_m.z];
        let battery =
            format!("[[item]]\nname = \"battery\"\nmass = \"40 kg\"\nat = [{x}, {y}, {z}]\n");
        let boats = [hull.boat(), hull.boat_with(&battery)];
        let [before, after] = boats.each_ref().map(|boat| {
            let lies = float(boat).expect("it floats");
            let heights = lies.openings.iter().filter_map(|one| one.freeboard_m);
            let lowest_m = heights.fold(f64::INFINITY, f64::min);
            let heel_deg = lies.rest.as_ref().expect("afloat").hydrostatics.heel_deg;
            let side = if heel_deg > 0.0 { "starboard" } else { "port" };
            let heel = match format!("{:.1}", heel_deg.abs()).as_str() {
                "0.0" => "0.0°".to_owned(),
                angle => format!("{angle}° to {side}"),
            };
            (format!("{:.0} mm", 1e3 * lowest_m), heel)
        });
        let told = format!(
            "Lowest sill {} → {} above the water, heel {} → {}. ",
            before.0, after.0, before.1, after.1
        );
        let said = compare(&boats, None).expect("they float").summary(Metric);
        assert!(said.starts_with(&told), "{}: {told}\n{said}", hull.name);
    }
}
