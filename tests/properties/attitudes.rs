//! Every rest is found, on every shape, and the passes between them.
use awash::equilibrium::{
    Craft, Hold, Lean, Leaned, Rest, RestingAttitude, SphereMap, find_rest_from, lean_to,
    map_sphere,
};
use awash::immersion::WaterPlane;
use awash::numerics::Vec3;
use rayon::prelude::*;

use crate::hulls::{Hull, cuboid, random_hull};

/// Steps of the heel curve, deg.
const STEP_DEG: f64 = 1.0;
/// A tilt across that jumps by more from one step to the next is no crossing, deg.
const JUMP_DEG: f64 = 10.0;

fn mapped(hull: &Hull) -> (Craft, Rest, SphereMap) {
    let (craft, rest) = (hull.craft(), hull.rest());
    let map = map_sphere(&craft, std::slice::from_ref(&rest)).expect("mapped");
    (craft, rest, map)
}

fn angle_deg(a: &Vec3, b: &Vec3) -> f64 {
    a.cross(b).norm().atan2(a.dot(b)).to_degrees()
}

/// Whether an attitude is one of those listed, or lies in the range of a neutral one.
fn is_listed(map: &SphereMap, plane: &WaterPlane, within_deg: f64) -> bool {
    map.attitudes.iter().any(|attitude| {
        let [low, high] = attitude.heel_range_deg;
        let heel = plane.heel_deg();
        let in_range = [heel, heel + 360.0]
            .iter()
            .any(|h| (low..=high).contains(h));
        angle_deg(&attitude.rest.plane().up, &plane.up) < within_deg
            || (attitude.neutral && in_range)
    })
}

/// The heel curve with pitch free, from the rest outward.
fn heel_curve(craft: &Craft, rest: &Rest) -> Vec<Leaned> {
    let walk = |sign: f64| {
        let mut near = rest.clone();
        let mut curve = Vec::new();
        for step in 0..=180_u8 {
            let heel = sign * STEP_DEG * f64::from(step);
            let Ok(leaned) = lean_to(craft, &Lean::heel(), heel.to_radians(), &near) else {
                break;
            };
            near = leaned.rest.clone();
            curve.push(leaned);
        }
        curve
    };
    let port = walk(-1.0).into_iter().skip(1).rev();
    port.chain(walk(1.0)).collect()
}

/// Internal consistency: two ways to the same rests.
fn stable_zeros_are_listed(hull: &Hull) {
    let (craft, rest, map) = mapped(hull);
    for pair in heel_curve(&craft, &rest).windows(2) {
        let jumps = (pair[0].across_rad - pair[1].across_rad).abs() > JUMP_DEG.to_radians();
        if pair[0].arm_m < 0.0 && pair[1].arm_m > 0.0 && !jumps {
            let at = find_rest_from(&craft, pair[0].rest.plane(), Hold::Nothing).expect("a rest");
            assert!(
                is_listed(&map, at.plane(), 0.1),
                "{}: heel {} of {:?}",
                hull.name,
                at.plane().heel_deg(),
                listed(&map.attitudes)
            );
        }
    }
}

fn listed(attitudes: &[RestingAttitude]) -> Vec<[f64; 2]> {
    let planes = attitudes.iter().map(|attitude| attitude.rest.plane());
    planes
        .map(|plane| [plane.heel_deg(), plane.pitch_deg()])
        .collect()
}

#[test]
fn every_stable_zero_of_the_heel_curve_is_a_listed_rest() {
    (0..60_u64)
        .into_par_iter()
        .for_each(|number| stable_zeros_are_listed(&random_hull(number)));
}

#[test]
#[ignore = "minutes in release: cargo test --release --test properties -- --ignored attitudes"]
fn every_stable_zero_of_the_heel_curve_is_a_listed_rest_on_many_hulls() {
    (60..2000_u64)
        .into_par_iter()
        .for_each(|number| stable_zeros_are_listed(&random_hull(number)));
}

#[test]
fn every_rest_survives_a_small_push() {
    const PUSH_RAD: f64 = 2e-3;
    (0..60_u64).into_par_iter().for_each(|number| {
        let hull = random_hull(number);
        let (craft, _, map) = mapped(&hull);
        for attitude in map.attitudes.iter().filter(|attitude| !attitude.neutral) {
            let plane = attitude.rest.plane();
            let axes = plane.axes();
            for push in [axes.forward, -axes.forward, axes.port, -axes.port] {
                let pushed = WaterPlane {
                    up: (plane.up + push * PUSH_RAD).normalize(),
                    ..*plane
                };
                let back = find_rest_from(&craft, &pushed, Hold::Nothing).expect("it rests");
                assert!(
                    angle_deg(&back.plane().up, &plane.up) < 1e-3,
                    "{}: from heel {} to {}",
                    hull.name,
                    plane.heel_deg(),
                    back.plane().heel_deg()
                );
            }
        }
    });
}

/// The work over a pass that lies on the heel curve is the area under that curve, summed
/// here by Simpson's rule: an arm smooth within the step of 1° errs by `h⁴/180` of its
/// fourth derivative, under 1e-7 of it; corners of sections make it worse, to 1e-3.
#[test]
fn barriers_are_never_negative_and_are_the_area_under_the_heel_curve() {
    let met: Vec<usize> = (0..60_u64)
        .into_par_iter()
        .map(|number| {
            let hull = random_hull(number);
            let (craft, _, map) = mapped(&hull);
            let volume = craft.volume_to_displace_m3();
            let mut met = 0;
            for pass in &map.passes {
                for end in pass.between {
                    let rest = &map.attitudes[end].rest;
                    let barrier = pass.energy_m4 - rest.energy_m4;
                    assert!(barrier >= 0.0, "{}: {barrier:e}", hull.name);
                    let area = area_m(&craft, rest, &pass.plane);
                    if let Some(area) = area {
                        met += 1;
                        assert!(
                            (barrier - area * volume).abs() <= 2e-3 * barrier + 1e-7 * volume,
                            "{}: {barrier:e} over, area {:e}",
                            hull.name,
                            area * volume
                        );
                    }
                }
            }
            met
        })
        .collect();
    assert!(met.iter().sum::<usize>() >= 40, "{met:?}");
}

/// The area under the heel curve from a rest to a pass, m·rad; `None` where the curve
/// does not lead there.
fn area_m(craft: &Craft, rest: &Rest, pass: &WaterPlane) -> Option<f64> {
    const PIECES: u32 = 60;
    let from = rest.plane().heel_deg();
    let turn = (pass.heel_deg() - from + 540.0).rem_euclid(360.0) - 180.0;
    let mut near = rest.clone();
    let mut arms = Vec::new();
    for piece in 0..=2 * PIECES {
        let heel = from + turn * f64::from(piece) / f64::from(2 * PIECES);
        let leaned = lean_to(craft, &Lean::heel(), heel.to_radians(), &near).ok()?;
        near = leaned.rest.clone();
        arms.push(leaned.arm_m);
    }
    if angle_deg(&near.plane().up, &pass.up) > 0.01 {
        return None;
    }
    let step = turn.to_radians() / f64::from(2 * PIECES);
    let sum: f64 = arms
        .windows(3)
        .step_by(2)
        .map(|three| three[0] + 4.0 * three[1] + three[2])
        .sum();
    Some(sum * step / 3.0)
}

/// Long and narrow: pitch some hundred times as stiff as roll. Upright it has a
/// metacentric height `KB + BM − KG` over nought (`B²/12T` for BM): a rest.
#[test]
fn a_long_narrow_box_keeps_its_upright_rest() {
    for ratio in [10.0, 20.0, 40.0] {
        let (b, d, share) = (0.25, 0.3, 0.5);
        let draught = share * d;
        let centre = 0.08;
        let gm = draught / 2.0 + b * b / (12.0 * draught) - centre;
        assert!(gm > 0.0);
        let hull = cuboid(
            [ratio * b, b, d],
            share,
            [0.5 * ratio * b, 0.0, centre],
            vec![],
        );
        let craft = hull.craft();
        let map = map_sphere(&craft, &[]).expect("mapped");
        let upright = WaterPlane::at_attitude(0.0, 0.0, draught);
        assert!(
            is_listed(&map, &upright, 1e-3),
            "{:?}",
            listed(&map.attitudes)
        );
        assert!(map.attitudes.iter().all(|attitude| !attitude.neutral));
        for pass in &map.passes {
            for end in pass.between {
                assert!(pass.energy_m4 > map.attitudes[end].rest.energy_m4);
            }
        }
    }
}

/// A plate of one material, L × B × D and of specific gravity s: flat it floats with its
/// weight `D(1 − s)/2` over its buoyancy, on its long edge `B(1 − s)/2`. There it is
/// stable in pitch (`L²/12sB` over that), so the edge is the pass between its two faces.
#[test]
fn a_thin_plate_goes_over_its_long_edge() {
    for [l, b, d] in [[2.0, 1.0, 0.03], [3.0, 0.8, 0.12], [3.0, 1.0, 0.3]] {
        let s = 0.5;
        let hull = cuboid([l, b, d], s, [0.5 * l, 0.0, 0.5 * d], vec![]);
        let (craft, rest, map) = mapped(&hull);
        let other = 1 - map.number_of(&rest);
        let pass = map
            .highest_pass(map.number_of(&rest), other)
            .expect("a pass");
        let barrier = pass.energy_m4 - rest.energy_m4;
        let exact = craft.volume_to_displace_m3() * (1.0 - s) * (b - d) / 2.0;
        assert!(
            pass.exact && (barrier / exact - 1.0).abs() < 1e-9,
            "{barrier:e} {exact:e}"
        );
    }
}

/// A log of one material lies as well at any heel: one entry, all round. Laid across, it
/// rolls fore and aft.
#[test]
fn a_log_that_rolls_is_one_entry() {
    let along = [Vec3::new(-1.25, 0.0, 0.0), Vec3::new(1.25, 0.0, 0.0)];
    let across = [Vec3::new(0.0, -1.25, 0.0), Vec3::new(0.0, 1.25, 0.0)];
    for (facets, ends) in [(96, along), (64, along), (96, across)] {
        let surface = awash::mesh::solids::cylinder(ends[0], ends[1], 0.3, facets);
        let hull = Hull {
            name: format!("log of {facets}"),
            mass_kg: 0.42 * surface.signed_volume_m3() * crate::hulls::DENSITY_KG_M3,
            centre_m: Vec3::zeros(),
            surface,
            rims: Vec::new(),
        };
        let (_, _, map) = mapped(&hull);
        assert_eq!(map.attitudes.len(), 1, "{:?}", listed(&map.attitudes));
        assert!(map.attitudes[0].neutral);
        if ends == along {
            assert_eq!(map.attitudes[0].heel_range_deg, [-180.0, 180.0]);
        }
    }
}
