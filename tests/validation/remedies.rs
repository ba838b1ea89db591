//! Moving an item, raising a wall, an uncertain scan: held against closed forms of
//! the box; edge loads against published examples.
use awash::boat::Boat;
use awash::numerics::STANDARD_GRAVITY_M_S2;
use awash::study::{PlaceOptions, SillOptions, persons_capacity_of_edge_load, place, sill, spread};

use crate::boats::{laden_box, laden_box_file};
use crate::support::{near, near_share};

/// 20 kg at 0.3 m forward and 0.4 m to starboard of where they weigh nothing in:
/// the box of 1000 kg + 20 kg is level once they are back in the middle.
#[test]
fn the_shift_that_levels_a_box_is_back_to_the_middle() {
    let boat = laden_box("[[item]]\nname = \"lead\"\nmass = 20\nat = [0.3, -0.4, 0.1]\n");
    let result = place(&boat, "lead", &PlaceOptions::default()).expect("it floats");
    let level = result.level.as_ref().expect("there is one");
    // The level is right to 1e-12 of the volume; the mass ratio is 51.
    near("forward", level.shift_m[0], -0.3, 1e-9);
    near("to port", level.shift_m[1], 0.4, 1e-9);
    assert!(level.on_the_boat);
    near("heel", level.cell.heel_deg, 0.0, 1e-7);
    near("pitch", level.cell.pitch_deg, 0.0, 1e-7);
    // Wall-sided: 20 kg × 0.4 m heel it by tan φ (GM + ½ BM tan²φ) = w d/Δ,
    // taken across; along it pitches by a hundredth of that and hardly couples.
    let mass = 1020.0;
    let draught = mass / 4000.0;
    let centre = (1000.0 * 0.2 + 20.0 * 0.1) / mass;
    let bm = 1.0 / (12.0 * draught);
    let gm = draught / 2.0 + bm - centre;
    let tangent = result.now.heel_deg.to_radians().tan();
    let lever = tangent * (gm + 0.5 * bm * tangent * tangent);
    near_share("heel now", lever, 20.0 * 0.4 / mass, 1e-4);
}

/// A square hole of 0.4 m side in the deck: a wall of height h and 5 kg/m² weighs
/// `1.6 h·5` kg and sinks the box by a 4000th of a metre a kilogram.
#[test]
fn a_wall_sinks_the_box_by_its_weight() {
    let boat = laden_box(
        "[[opening]]\nname = \"hatch\"\nrim = [[0.2, 0.2, 0.5], [-0.2, -0.2, 0.5], [0.2, -0.2, 0.5], [-0.2, 0.2, 0.5]]\n[yardsticks]\nsill_green = \"30 cm\"\n",
    );
    let options = SillOptions {
        up_to_m: 0.1,
        heights: 2,
        wall_kg_m2: 5.0,
    };
    let result = sill(&boat, "hatch", &options).expect("it floats");
    near("rim", result.rim_length_m, 1.6, 1e-12);
    for (row, wall) in result.rows.iter().zip([0.0, 0.05, 0.1]) {
        let mass = 1.6 * wall * 5.0;
        near("mass", row.wall_mass_kg, mass, 1e-12);
        near("sill", row.sill_m, 0.25 + wall - mass / 4000.0, 1e-9);
        near("lost", row.lost_to_weight_m, mass / 4000.0, 1e-9);
    }
    // .25 + h (1 − 8/4000) = .30, the green yardstick asked for.
    let wall = result.wall_to_yardstick_m.expect("within reach");
    near("wall", wall, 0.05 / (1.0 - 8.0 / 4000.0), 1e-8);
}

/// Published examples (US Coast Guard, Boatbuilder's Handbook, Safe Loading, "A Special
/// Discussion of 33 CFR 183.41"), in whole pounds with the fraction cut off: an edge load
/// of 545 lb allows 545/.60 = 908 lb, one of 328 lb 546 lb.
#[test]
fn edge_load_examples_of_the_coast_guard() {
    for (edge_lb, allowed_lb) in [(545.0, 908.0), (328.0, 546.0)] {
        let allowed = persons_capacity_of_edge_load(edge_lb);
        near("allowed, lb", allowed, allowed_lb, 1.0);
    }
}

/// A surface that lies ± 4 mm off carries its wetted area times that more or less; the
/// box's is 4 + 2·(4 + 1)·.25 = 6.5 m², so that ± 4 mm (two standard deviations) sink it
/// by ± 6.5/4 · 4 mm. One draw in twenty lies 1.6449 standard deviations off
/// (`statistics.NormalDist` of Python's library); with n draws that end of the band is
/// right to `√(.05·.95/n)/φ(1.6449)` = 2.11/√n of them; four times that is allowed. The
/// knock straight down costs `½ ρ g A h²` of the drawn height h, so the ends of its band
/// are those of the sill's (internal consistency: the sill's are the result's own).
#[test]
fn bands_of_an_uncertain_scan_and_of_the_knock() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = laden_box_file(
        folder.path(),
        "scan_error = \"4 mm\"\n[[opening]]\nname = \"hole\"\nrim = [[0, 0, 0.31]]\n",
    );
    let boat = Boat::load(&file).expect("a sound boat file");
    let draws = 2000;
    let result = spread(&boat, draws, 1).expect("it floats");
    assert_eq!(result.causes.len(), 1);
    near_share("share", result.causes[0].share, 1.0, 1e-9);
    let sigma = 0.002 * 6.5 / 4.0;
    let within = 4.0 * 2.11 / f64::from(draws).sqrt() * sigma;
    let sill = result.openings[0]
        .freeboard_m
        .map(|end| end.expect("all float"));
    near("1 in 20 below", sill[0], 0.06 - 1.6449 * sigma, within);
    near("1 in 20 above", sill[2], 0.06 + 1.6449 * sigma, within);
    let knock = result.result.least_knock.expect("a hole").band;
    let knock = knock.map(|end| end.expect("all float"));
    for (work, height) in knock.iter().zip(sill) {
        let exact = 0.5 * 1000.0 * STANDARD_GRAVITY_M_S2 * 4.0 * height * height;
        near_share("knock", *work, exact, 1e-9);
    }
}
