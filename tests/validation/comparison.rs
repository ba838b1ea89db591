//! The way from one boat to another, change by change, against closed forms of a
//! box 4 × 1 × 0.5 m of 1000 kg in water of 1000 kg/m³.
use std::path::Path;

use awash::boat::{Boat, BoatFile};
use awash::mesh::{solids, write_stl};
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem::Metric;
use awash::study::{CompareResult, Judgement, StepLine, View, Way, compare};

use crate::support::near;

const HULL: &str = "[water]\ndensity = 1000\n[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = 980\ncentre = [0, 0, 0.2]\n";
const SILL: &str = "[[opening]]\nname = \"hatch\"\nrim = [[-0.1, -0.1, 0.45], [0.1, -0.1, 0.45], [0, 0.1, 0.45]]\n";
const LOAD: &str = "[[item]]\nname = \"load\"\nmass = 20\nat = [0, 0, 0.2]\n";

/// Compares two boat files beside the box's mesh.
fn compared(before: &str, after: &str) -> CompareResult {
    let folder = tempfile::tempdir().expect("a folder");
    let solid = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .expect("written");
    let read = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).expect("written");
        BoatFile::read(&path).expect("a sound boat file")
    };
    let files = [read("before.toml", before), read("after.toml", after)];
    let make = |file: &BoatFile| Boat::of_file(Path::new("boat.toml"), file);
    let boats = files.each_ref().map(|file| make(file).expect("a boat"));
    let way = Way {
        before: &files[0],
        after: &files[1],
        make: &make,
    };
    compare(&boats, Some(&way)).expect("they float")
}

fn step<'r>(result: &'r CompareResult, words: &str) -> &'r StepLine {
    let lines = &result.steps.as_ref().expect("steps").lines;
    let found = lines.iter().find(|line| line.words == words);
    found.unwrap_or_else(|| panic!("no step \"{words}\" in {lines:?}"))
}

/// A weight over the centre of flotation sinks a wall-sided craft by its mass
/// over density and waterplane: 100 kg over 1000 × 4 is 25 mm, whatever comes
/// before it. Sinkages of level changes add up. (Derived.)
#[test]
fn level_changes_of_a_box_cost_what_the_closed_form_says_and_add_up() {
    let before = format!("{HULL}{SILL}{LOAD}");
    let lower = SILL.replace("0.45", "0.40");
    let ballast = "[[item]]\nname = \"ballast\"\nmass = 100\nat = [0, 0, 0.1]\n";
    let bag = "[[item]]\nname = \"bag\"\nmass = 40\nat = [0, 0, 0.2]\n";
    let after = format!("{HULL}{lower}{ballast}{bag}");
    let result = compared(&before, &after);
    let steps = result.steps.as_ref().expect("steps");
    let words: Vec<&str> = steps.lines.iter().map(|line| line.words.as_str()).collect();
    assert_eq!(
        words,
        [
            "load taken out",
            "opening hatch changed",
            "ballast added",
            "bag added"
        ]
    );
    for (words, mass_kg, sinks_m, sill_m) in [
        ("load taken out", -20.0, -0.005, 0.005),
        ("opening hatch changed", 0.0, 0.0, -0.05),
        ("ballast added", 100.0, 0.025, -0.025),
        ("bag added", 40.0, 0.01, -0.01),
    ] {
        let line = step(&result, words);
        for effect in [&line.alone, &line.in_order] {
            let effect = effect.as_ref().expect("it floats");
            near("mass", effect.mass_kg, mass_kg, 1e-9);
            near("sinkage", effect.sinkage_m.expect("afloat"), sinks_m, 1e-9);
            near(
                "lowest sill",
                effect.lowest_sill_m.expect("afloat"),
                sill_m,
                1e-9,
            );
        }
    }
    assert_eq!(
        step(&result, "load taken out").judgement,
        Some(Judgement::Helps)
    );
    assert_eq!(
        step(&result, "ballast added").judgement,
        Some(Judgement::Hurts)
    );
    let [sum, whole] = [&steps.sum_of_single, &steps.whole].map(|e| e.expect("all float"));
    near(
        "sinkage, whole",
        whole.sinkage_m.expect("afloat"),
        0.03,
        1e-9,
    );
    near("sinkage, sum", sum.sinkage_m.expect("afloat"), 0.03, 1e-9);
    near(
        "lowest sill, whole",
        whole.lowest_sill_m.expect("afloat"),
        -0.08,
        1e-9,
    );
    let dearest = steps.dearest().expect("one costs most").0;
    assert_eq!(dearest.words, "opening hatch changed");
}

/// 20 kg moved 1.5 m along a box of 1000 kg with KG 0.2 m. Wall-sided, with GM .125 +
/// 16/3 − .2 and BM 16/3: t (GM + ½ BM t²) = 20 · 1.5/1000, t = .0057051356.
#[test]
fn a_weight_moved_along_a_box_pitches_it_by_the_closed_form() {
    let before = format!("{HULL}{SILL}{LOAD}");
    let after = before.replace("at = [0, 0, 0.2]\n", "at = [1.5, 0, 0.2]\n");
    let line = compared(&before, &after);
    let effect = step(&line, "load changed").alone.expect("it floats");
    let slope = 0.005_705_135_6_f64;
    near(
        "pitch",
        effect.pitch_deg.expect("afloat"),
        -slope.atan().to_degrees(),
        1e-7,
    );
    near("mass", effect.mass_kg, 0.0, 1e-12);
}

/// A cover names an opening that comes with another change: alone it cannot be
/// built, and that is told beside the step, not as an error of the whole.
#[test]
fn a_change_that_can_not_stand_alone_says_so() {
    let before = format!("{HULL}{LOAD}");
    let cover = "[[part]]\nname = \"lid\"\nrole = \"cover\"\nmass = 2\ncovers = \"hatch\"\nbox = { min = [-0.2, -0.2, 0.45], max = [0.2, 0.2, 0.47] }\n";
    let result = compared(&before, &format!("{before}{SILL}{cover}"));
    let lid = step(&result, "lid added");
    assert!(lid.alone.is_none() && lid.in_order.is_some(), "{lid:?}");
    assert!(lid.cannot[0].contains("hatch"), "{:?}", lid.cannot);
    assert!(result.steps.expect("steps").sum_of_single.is_none());
}

/// A box 4 × 1 × 0.5 m of 1000 kg floats half under: its outline from the side is
/// 4 m long and from 0.25 m under to 0.25 m above the water, from astern 1 m broad,
/// and its hatch's sill at 0.45 m over the keel lies 0.20 m above the water.
/// (Derived; the outline is taken on 400 lines, so its ends lie half a step in.)
#[test]
fn the_pictures_of_a_box_have_its_size_and_its_water() {
    let boat =
        format!("{HULL}{SILL}{LOAD}[[item]]\nname = \"mark\"\nmass = 1e-9\nat = [1, 0.2, 0.2]\n");
    let result = compared(&boat, &boat);
    let picture = result.at_rest[0].as_ref().expect("it floats");
    for (view, size) in [
        (&picture.side, [4.0, 0.5]),
        (&picture.stern, [1.0, 0.5]),
        (&picture.above, [4.0, 1.0]),
    ] {
        let reach = |axis: usize| {
            let values = view.outline.iter().map(|point| point[axis]);
            let start = (f64::INFINITY, f64::NEG_INFINITY);
            values.fold(start, |(lo, hi), value| (lo.min(value), hi.max(value)))
        };
        let (left, right) = reach(0);
        near("length", right - left, size[0], size[0] / 400.0 + 1e-6);
        let (low, high) = reach(1);
        near("height", high - low, size[1], 1e-6);
    }
    let (low, high) = picture
        .side
        .outline
        .iter()
        .fold((0.0_f64, 0.0_f64), |(lo, hi), p| {
            (lo.min(p[1]), hi.max(p[1]))
        });
    near("lowest", low, -0.25, 1e-6);
    near("highest", high, 0.25, 1e-6);
    for view in [&picture.side, &picture.stern] {
        near("sill", view.rims[0].sill[1], 0.2, 1e-6);
        near("CB", view.centre_of_buoyancy[1], -0.125, 1e-6);
        near("CG", view.centre_of_gravity[1], -0.05, 1e-6);
    }
    // Bow to the right; from astern port to the left, from above port up.
    let mark = |view: &View| {
        let mut things = view.things.iter();
        things
            .find(|thing| thing.name == "mark")
            .expect("it is drawn")
            .at
    };
    near("mark, side", mark(&picture.side)[0], 1.0, 1e-4);
    near("mark, stern", mark(&picture.stern)[0], -0.2, 1e-4);
    near("mark, above", mark(&picture.above)[1], 0.2, 1e-4);
}

/// A closed hull that gets its first opening, and a load that sinks it, are told as
/// worse though there is no height to compare with.
#[test]
fn the_first_opening_and_a_load_that_sinks_it_hurt() {
    let closed = format!("{HULL}{LOAD}");
    let opened = compared(&closed, &format!("{closed}{SILL}"));
    assert_eq!(
        step(&opened, "opening hatch added").judgement,
        Some(Judgement::Hurts)
    );
    assert!(
        opened.summary(Metric).contains("Worse: lowest open sill"),
        "{}",
        opened.summary(Metric)
    );
    let lead = "[[item]]\nname = \"lead\"\nmass = 1500\nat = [0, 0, 0.1]\n";
    let sunk = compared(&closed, &format!("{closed}{lead}"));
    let line = step(&sunk, "lead added");
    assert_eq!(line.judgement, Some(Judgement::Hurts));
    assert!(line.sinks_alone && sunk.summary(Metric).contains("SINKS"));
    let saved = compared(&format!("{closed}{lead}"), &closed);
    assert_eq!(
        step(&saved, "lead taken out").judgement,
        Some(Judgement::Helps)
    );
    assert_eq!(
        saved.summary(Metric),
        "The first of them sinks; the last floats."
    );
}

/// A limber hole between the bow and the rest of a box: with the bow open the water goes
/// on through it and the box of 1000 kg sinks (2 m³ in all, wholly open to the sea);
/// without it the box floats on what is left. Taking it out helps, making it hurts, in the
/// steps, the rows and the headline.
#[test]
fn a_limber_hole_changes_how_a_flooded_craft_ends() {
    let more = "[[compartment]]\nname = \"bow\"\nforward_of = 1.2\n";
    let hole = "[[passage]]\nname = \"limber\"\nbetween = [\"bow\", \"inside\"]\nat = [1.2, 0, 0.05]\ndiameter = \"30 mm\"\n";
    let without = format!("{HULL}{SILL}{LOAD}{more}");
    let with = format!("{without}{hole}");
    let bow = |result: &CompareResult| {
        let row = result.flooded.iter().find(|row| row.compartment == "bow");
        row.expect("a row").clone()
    };
    let out = compared(&with, &without);
    let row = bow(&out);
    let floats = |boat: usize| row.ends[boat].as_ref().expect("an end").floats;
    assert!(!floats(0) && floats(1) && row.better == [0, 1], "{row:?}");
    let line = step(&out, "passage limber taken out");
    assert_eq!(line.judgement, Some(Judgement::Helps));
    assert_eq!(line.judgement_alone, Some(Judgement::Helps));
    let better = "Better: with bow flooded it no longer sinks.";
    assert!(
        out.summary(Metric).contains(better),
        "{}",
        out.summary(Metric)
    );
    let made = compared(&without, &with);
    assert_eq!(bow(&made).better, [0, -1]);
    let line = step(&made, "passage limber added");
    assert_eq!(line.judgement, Some(Judgement::Hurts));
    let worse = "Worse: with bow flooded it sinks.";
    assert!(
        made.summary(Metric).contains(worse),
        "{}",
        made.summary(Metric)
    );
}
