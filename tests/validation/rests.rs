//! Every attitude of rest and the energy between them, held against closed forms.
use awash::equilibrium::{Craft, Lean, Leaned, lean_to, map_sphere, settle};
use awash::mesh::solids;
use awash::numerics::Vec3;

use crate::support::{craft, near, near_share, solid_of};

/// A box 4 × 1 × 0.5 m of 1000 kg in fresh water: draught 0.25 m.
fn laden_box(centre_of_gravity_height_m: f64) -> Craft {
    let surface = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    craft(
        &surface,
        1000.0,
        Vec3::new(0.0, 0.0, centre_of_gravity_height_m),
    )
}

fn at(craft: &Craft, lean: &Lean, lean_deg: f64) -> Leaned {
    let upright = settle(craft).expect("it floats").upright;
    lean_to(craft, lean, lean_deg.to_radians(), &upright).expect("it comes to rest")
}

/// KG .5: GM is negative and the arm comes back to zero at
/// `tan²φ = −2 GM/BM` = 1/4, an angle of loll of 26.565051°.
#[test]
fn the_arm_is_zero_at_the_angle_of_loll() {
    let craft = laden_box(0.5);
    let loll_deg = 0.5_f64.atan().to_degrees();
    let arm = at(&craft, &Lean::heel(), loll_deg).arm_m;
    near("arm there", arm, 0.0, 1e-10);
    assert!(at(&craft, &Lean::heel(), 10.0).arm_m < 0.0, "it falls over");
    let map = map_sphere(&craft, &[]).expect("mapped");
    let lolls = map
        .attitudes
        .iter()
        .filter(|found| {
            let heel = found.rest.plane().heel_deg();
            (heel.abs() - loll_deg).abs() < 1e-6
        })
        .count();
    assert_eq!(lolls, 2, "{:?}", headings(&map.attitudes));
}

fn headings(attitudes: &[awash::equilibrium::RestingAttitude]) -> Vec<[f64; 2]> {
    attitudes
        .iter()
        .map(|found| {
            let plane = found.rest.plane();
            [plane.heel_deg(), plane.pitch_deg()]
        })
        .collect()
}

/// The square bar of `bar.rs`, side 1, length 10, specific gravity .22: it
/// rests with two corners wet at `tan²t = 12 s(1 − s) − 2`, on either side of
/// each of its four faces. Two kinds of pass lie between these eight rests: a
/// face down level, and an edge down.
///
/// Height of the weight over the buoyancy (the energy over the weight): with
/// the waterline's slope t and the draught s at the middle, the wetted trapezium
/// has its centroid at `t/(12 s)` across and `s/2 + t²/(24 s)` up, so the height
/// is `cos φ ((1 − s)/2 + t²/(24 s))` (the face level: t = 0). Edge down: the
/// wetted triangle has legs √(2s), its centroid two thirds of its height √s
/// over the edge; the bar's middle is √½ over it.
#[test]
fn the_square_bar_rests_and_passes_have_their_energies() {
    let surface = solids::cuboid(Vec3::new(-5.0, -0.5, -0.5), Vec3::new(5.0, 0.5, 0.5));
    let s = 0.22_f64;
    let craft = solid_of(&surface, s);
    let weight = craft.volume_to_displace_m3();
    let slope = (12.0 * s * (1.0 - s) - 2.0).sqrt();
    let tilted = slope.atan().cos() * ((1.0 - s) / 2.0 + slope * slope / (24.0 * s));
    let flat = (1.0 - s) / 2.0;
    let edge = 0.5_f64.sqrt() - 2.0 / 3.0 * s.sqrt();
    assert!(tilted < flat && flat < edge);
    let map = map_sphere(&craft, &[]).expect("mapped");
    assert_eq!(map.attitudes.len(), 8, "{:?}", headings(&map.attitudes));
    for found in &map.attitudes {
        assert!(!found.neutral);
        near_share("rest", found.rest.energy_m4 / weight, tilted, 1e-10);
    }
    let mut heights: Vec<f64> = map.passes.iter().map(|p| p.energy_m4 / weight).collect();
    assert!(map.passes.iter().all(|pass| pass.exact), "{heights:?}");
    heights.sort_by(f64::total_cmp);
    assert_eq!(heights.len(), 7, "{heights:?}");
    for low in &heights[..4] {
        near_share("face down", *low, flat, 1e-10);
    }
    for high in &heights[4..] {
        near_share("edge down", *high, edge, 1e-10);
    }
    // From any rest to one that is not its twin the edge must be climbed.
    let by_heel = |wanted: f64| {
        let apart = |found: &awash::equilibrium::RestingAttitude| {
            (found.rest.plane().heel_deg() - wanted).abs()
        };
        (0..8)
            .min_by(|&a, &b| apart(&map.attitudes[a]).total_cmp(&apart(&map.attitudes[b])))
            .expect("there are eight")
    };
    let t = slope.atan().to_degrees();
    let (here, twin, beyond) = (by_heel(t), by_heel(-t), by_heel(90.0 - t));
    let climb = |to| map.highest_pass(here, to).expect("joined").energy_m4 / weight;
    near_share("to its twin", climb(twin), flat, 1e-10);
    near_share("to the next face", climb(beyond), edge, 1e-10);
}

/// A floating ball of one material is at home in every attitude: one rest,
/// neutral, whatever its facets say.
#[test]
fn a_ball_is_neutral_everywhere() {
    let ball = solid_of(&solids::icosphere(Vec3::zeros(), 0.5, 4), 0.4);
    let map = map_sphere(&ball, &[]).expect("mapped");
    assert_eq!(map.attitudes.len(), 1, "{:?}", headings(&map.attitudes));
    assert!(map.attitudes[0].neutral);
}
