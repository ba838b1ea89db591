//! Measurements with noise: what `calibrate` finds lies as often within its own ± as a ±
//! says.
use std::fmt::Write as _;

use awash::boat::Boat;
use awash::equilibrium::{Craft, Hold, find_rest_from, settle};
use awash::numerics::Vec3;
use awash::quantity::{Quantity, SPREAD_IN_DEVIATIONS};
use awash::study::{FloatMark, InclineMove, Measured, Scale, Tipped, TwoScales, calibrate, spread};
use rayon::prelude::*;

use crate::zoo::{ZooHull, bulkhead_box, decked_hull, lopsided_tender, narrow_box};

/// Draws of noise on one hull.
const DRAWS: u64 = 200;

/// Marks at the corners of the hull's box, two scales and a tip, two moves each way: as
/// the boat of the file gives them.
fn exact(boat: &Boat, most_heel_deg: f64) -> Measured {
    let craft = Craft::of(boat);
    let rest = settle(&craft).expect("it floats").rest;
    let (lo, hi) = boat.hull_box_m;
    let corners = [(lo.x, lo.y), (lo.x, hi.y), (hi.x, lo.y), (hi.x, hi.y)];
    let marks = corners.map(|(x, y)| {
        let at = Vec3::new(x, y, hi.z);
        FloatMark::new(at, rest.plane().height_m(&at))
    });
    let (aft, fore) = (lo.x + 0.1 * (hi.x - lo.x), hi.x - 0.1 * (hi.x - lo.x));
    let centre = craft.centre_of_gravity_m;
    let carries = |x: f64| craft.mass_kg * (x - aft) / (fore - aft);
    let tip_deg = 12.0_f64;
    let tipped = centre.x - (centre.z - lo.z) * tip_deg.to_radians().tan();
    let scales = TwoScales {
        aft: Scale::new(aft, craft.mass_kg - carries(centre.x)),
        fore: Scale::new(fore, carries(centre.x)),
        stands_at_z: Quantity::exact(lo.z),
        tipped: Some(Tipped::new(tip_deg, carries(tipped))),
    };
    // As far as heels it so far, by its GM.
    let mass_kg = 0.05 * craft.mass_kg;
    let far = craft.mass_kg * rest.gm_transverse_m() * most_heel_deg.to_radians().tan() / mass_kg;
    let moves = [0.5, 1.0, -0.5, -1.0].map(|share| {
        let moved_m = share * far;
        let mut moved = craft.clone();
        moved.centre_of_gravity_m.y -= mass_kg * moved_m / craft.mass_kg;
        let there = find_rest_from(&moved, rest.plane(), Hold::Nothing).expect("it heels");
        let heel_deg = there.plane().heel_deg() - rest.plane().heel_deg();
        InclineMove::new(mass_kg, moved_m, heel_deg)
    });
    Measured {
        marks: marks.to_vec(),
        two_scales: Some(scales),
        moves: moves.to_vec(),
        pushes: Vec::new(),
    }
}

/// The same, every reading off by chance.
fn noisy(measured: &Measured, rng: &mut fastrand::Rng) -> Measured {
    let mut noisy = measured.clone();
    let mut off = |read: &mut Quantity| {
        let radius = (-2.0 * (1.0 - rng.f64()).ln()).sqrt();
        let deviations = radius * (std::f64::consts::TAU * rng.f64()).cos();
        read.value += deviations * read.spread / SPREAD_IN_DEVIATIONS;
    };
    noisy.marks.iter_mut().for_each(|m| off(&mut m.over_water));
    if let Some(scales) = &mut noisy.two_scales {
        off(&mut scales.aft.reads);
        off(&mut scales.fore.reads);
        if let Some(tipped) = &mut scales.tipped {
            off(&mut tipped.fore_reads);
            off(&mut tipped.angle);
        }
    }
    noisy.moves.iter_mut().for_each(|m| off(&mut m.heel));
    noisy
}

/// How many of the draws give each of mass, x, y, z within its ±.
fn within(hull: &ZooHull, choose: impl Fn(&mut Measured) + Sync, seed: u64) -> [u32; 4] {
    let boat = hull.boat();
    let mut measured = exact(&boat, 8.0);
    choose(&mut measured);
    let (mass, centre) = (boat.mass_kg(), boat.centre_of_gravity_m());
    let hits: Vec<[u32; 4]> = (0..DRAWS)
        .into_par_iter()
        .map(|draw| {
            let mut rng = fastrand::Rng::with_seed(seed ^ (draw << 20));
            let found = calibrate(&boat, &noisy(&measured, &mut rng))
                .unwrap_or_else(|error| panic!("{}: {error}", hull.name));
            let g = found.centre_of_gravity_m;
            let off = [
                found.mass_kg - mass,
                g[0] - centre.x,
                g[1] - centre.y,
                g[2] - centre.z,
            ];
            let [x, y, z] = found.centre_spread_m;
            let spread = [found.mass_spread_kg, x, y, z];
            std::array::from_fn(|i| u32::from(off[i].abs() <= spread[i]))
        })
        .collect();
    std::array::from_fn(|i| hits.iter().map(|hit| hit[i]).sum())
}

/// A ± of two standard deviations holds 95.4 of 100; of 200 draws so many lie within it
/// that 91 to 98 % is some ± 2.4 of their own deviations (binomial, .954).
#[track_caller]
fn held(what: &str, hits: &[u32], of: &[usize]) {
    for &i in of {
        let share = f64::from(hits[i]) / DRAWS as f64;
        assert!(
            (0.91..=0.98).contains(&share),
            "{what}, {}: {share}",
            ["mass", "x", "y", "z"][i]
        );
    }
}

#[test]
fn with_noise_each_parameter_lies_within_its_own_spread() {
    for hull in [
        decked_hull(),
        narrow_box(),
        lopsided_tender(),
        bulkhead_box(),
    ] {
        let all = within(&hull, |_| {}, 11);
        held(hull.name, &all, &[0, 1, 2, 3]);
    }
}

#[test]
fn with_fewer_readings_too() {
    let hull = decked_hull();
    let marks = within(
        &hull,
        |m| {
            m.two_scales = None;
            m.moves.clear();
        },
        3,
    );
    held("marks alone", &marks, &[0, 1, 2]);
    let scales = within(
        &hull,
        |m| {
            m.marks.clear();
            m.moves.clear();
        },
        4,
    );
    held("scales, tipped", &scales, &[0, 1, 3]);
    let inclined = within(&lopsided_tender(), |m| m.two_scales = None, 5);
    held("marks and moves", &inclined, &[0, 1, 2, 3]);
}

/// What is written gives the whole its own ±, though its things are known worse; a thing
/// gone leaves its ± on the hull. Every exact reading gives back the boat of the file.
#[test]
fn the_file_written_keeps_the_spread_of_the_whole() {
    let hull = lopsided_tender();
    let folder = tempfile::tempdir().expect("a folder");
    let item =
        "[[item]]\nname = \"helper\"\nmass = \"80 kg ± 5 kg\"\nat = [1.2, 0, \"0.3 m ± 0.1 m\"]\n";
    let file = hull.write(folder.path(), item);
    let boat = Boat::load(&file).expect("a sound boat file");
    assert!((boat.mass_spread_kg() - 5.0).abs() < 1e-12);
    let mut text = String::new();
    let measured = exact(&boat, 6.0);
    for mark in &measured.marks {
        let at = mark.at.map(|q| q.value);
        let over = mark.over_water.value;
        write!(text, "[[float_mark]]\nat = {at:?}\nover_water = {over:?}\n").expect("text");
    }
    for one in &measured.moves {
        let (mass, moved, heel) = (one.mass.value, one.moved.value, one.heel.value);
        write!(
            text,
            "[[incline]]\nmass = {mass:?}\nmoved = {moved:?}\nheel = {heel:?}\n"
        )
        .expect("text");
    }
    std::fs::write(folder.path().join("measured.toml"), text).expect("written");
    let new = folder.path().join("new.toml");
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_awash"))
        .arg("calibrate")
        .arg(&file)
        .arg(folder.path().join("measured.toml"))
        .args(["--format", "json", "--output"])
        .arg(&new)
        .output()
        .expect("it runs");
    assert!(
        done.status.success(),
        "{}",
        String::from_utf8_lossy(&done.stderr)
    );
    let result: serde_json::Value = serde_json::from_slice(&done.stdout).expect("JSON");
    let number = |key: &str| result[key].as_f64().expect("a number");
    let again = Boat::load(&new).expect("a sound boat file");
    assert!((number("mass_kg") - boat.mass_kg()).abs() < 1e-6);
    assert!((again.mass_kg() - boat.mass_kg()).abs() < 1e-6);
    // The whole is known better than the helper in it, and the hull alone worse.
    let whole = number("mass_spread_kg");
    assert!(whole < 5.0, "{whole}");
    assert!((again.mass_spread_kg() - whole).abs() < 1e-6);
    for axis in 0..3 {
        let spread = result["centre_spread_m"][axis].as_f64().expect("a number");
        assert!((again.centre_spread_m()[axis] - spread).abs() < 1e-6);
    }
    assert!((again.masses[0].spread_kg - whole.hypot(5.0)).abs() < 1e-6);
    // Drawn, the mass has that ±: nine in ten within 1.645 deviations; 4000 draws know
    // an end of the band to 2.11/√4000 of one, four times that is allowed.
    let drawn = spread(&again, 4000, 1).expect("it floats").mass_kg;
    let half = (drawn[2].expect("afloat") - drawn[0].expect("afloat")) / 2.0;
    assert!(
        (half - 1.645 * whole / 2.0).abs() < 4.0 * 0.034 * whole / 2.0,
        "{half}"
    );
    // Without the helper, whose 5 kg stay with the hull; weighed anew nothing stays.
    let ashore = folder.path().join("ashore.toml");
    let without = "extends = \"new.toml\"\n[[item]]\nname = \"helper\"\nremove = true\n";
    std::fs::write(&ashore, without).expect("written");
    let ashore = Boat::load(&ashore).expect("a sound boat file");
    assert!((ashore.mass_spread_kg() - whole.hypot(5.0)).abs() < 1e-6);
    let anew = folder.path().join("anew.toml");
    let weighed = "extends = \"new.toml\"\n[hull]\nmass = \"200 kg ± 1 kg\"\n";
    std::fs::write(&anew, weighed).expect("written");
    let anew = Boat::load(&anew).expect("a sound boat file");
    assert!(anew.measured.is_none());
    assert!((anew.mass_spread_kg() - 1.0_f64.hypot(5.0)).abs() < 1e-6);
}
