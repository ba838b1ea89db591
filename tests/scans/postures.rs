//! Which way up: decked hulls of several forms in eight poses, as a skin and closed.
use awash::mesh::{Confidence, Level, Loop, Posture, Surface, Told, examine, find_posture};
use awash::numerics::Vec3;
use nalgebra::Rotation3;

use super::decked::{FORM, Form, HOLES, Hole, formed, rough, two_skins};
use super::make::{Random, with_holes};
use super::skins::{mended, smooth_rims};

/// A long narrow one, round below, its deck a high crown; a broad flat one with much
/// rocker; one whose deck is all but its bottom turned over.
const FORMS: [(&str, Form); 4] = [
    ("as the others", FORM),
    (
        "narrow",
        Form {
            length: 4.8,
            half_breadth: 0.29,
            down: 0.13,
            over: 0.24,
            rocker: 0.1,
            tumblehome: 0.3,
            blunt: 1.0,
        },
    ),
    (
        "broad",
        Form {
            length: 2.8,
            half_breadth: 0.4,
            down: 0.12,
            over: 0.12,
            rocker: 0.12,
            tumblehome: 0.0,
            blunt: 0.6,
        },
    ),
    (
        "alike",
        Form {
            down: 0.16,
            over: 0.16,
            rocker: 0.06,
            tumblehome: 0.05,
            ..FORM
        },
    ),
];

/// The half turns of a box, each upright or lying on its side.
fn poses() -> Vec<Rotation3<f64>> {
    let turn = |axis: Vec3, quarter: i32| {
        let angle = std::f64::consts::FRAC_PI_2 * f64::from(quarter);
        Rotation3::from_axis_angle(&nalgebra::Unit::new_normalize(axis), angle)
    };
    let mut poses = Vec::new();
    for roll in 0..4 {
        for yaw in [0, 2] {
            poses.push(turn(Vec3::x(), roll) * turn(Vec3::z(), yaw));
        }
    }
    poses
}

fn loops_of(surface: &Surface) -> Vec<Loop> {
    examine(surface).loops
}

fn read(surface: &Surface) -> Posture {
    let told = Told::default();
    find_posture(surface, &loops_of(surface), &told, &Level::Floor).expect("a symmetric hull")
}

fn turned(surface: &Surface, pose: &Rotation3<f64>) -> Surface {
    let mut turned = surface.clone();
    for v in &mut turned.vertices {
        *v = pose * *v;
    }
    turned
}

/// Height of the hull's own up in the frame that it was brought to.
fn up_is_up(posture: &Posture, pose: &Rotation3<f64>) -> f64 {
    (posture.turn * (pose * Vec3::z())).z
}

#[test]
fn a_deck_with_its_openings_is_up_in_every_pose() {
    let mut random = Random(41);
    let cockpit = |form: &Form| Hole {
        x: 0.46 * form.length,
        ..HOLES[0]
    };
    for (name, form) in FORMS {
        let hull = formed(&form, 0.04, &[cockpit(&form)]);
        let hatch = Hole {
            x: 0.74 * form.length,
            half_long: 0.11,
            half_broad: 0.09,
            lip: 0.0,
        };
        let hatched = formed(&form, 0.04, &[cockpit(&form), hatch]);
        let patch = [(Vec3::new(0.5 * form.length, 0.0, 0.0), 0.25)];
        let kinds = [
            ("skin", rough(hull.outer.clone(), 0.002, &mut random)),
            (
                "both sides",
                rough(two_skins(&hull, 0.005, 9.0), 0.0008, &mut random),
            ),
            (
                "seen in part",
                rough(two_skins(&hatched, 0.004, 0.7), 0.0008, &mut random),
            ),
            (
                "a patch missing",
                rough(with_holes(hull.outer.clone(), &patch), 0.0008, &mut random),
            ),
        ];
        for (first, (kind, surface)) in kinds.into_iter().enumerate() {
            // Each kind in every other pose: all eight for each form.
            for (number, pose) in poses().iter().enumerate().skip(first % 2).step_by(2) {
                let posture = read(&turned(&surface, pose));
                let up = up_is_up(&posture, pose);
                assert!(
                    up > 0.98 && posture.up == Confidence::Likely,
                    "{name}, {kind}, pose {number}: {up:.2}, {} ({:?})",
                    posture.up_because,
                    posture.up
                );
            }
        }
    }
}

/// A body without any opening: nothing tells, and nothing is turned over for it.
#[test]
fn a_closed_body_is_a_guess_and_stays_as_it_lies() {
    for (name, form) in FORMS {
        let body = formed(&form, 0.04, &[]).outer;
        for (number, pose) in poses().iter().enumerate() {
            let lies = (pose * Vec3::z()).z;
            let turned = turned(&body, pose);
            let posture = read(&turned);
            assert_eq!(posture.up, Confidence::Guess, "{name}, pose {number}");
            if lies.abs() > 0.5 {
                let up = up_is_up(&posture, pose);
                assert!(up * lies > 0.9, "{name}, pose {number}: {up:.2}");
                if number != 4 {
                    continue;
                }
                // It lies bottom up, and is turned over when that is said.
                let over = awash::mesh::MendRecipe {
                    upside_down: true,
                    ..smooth_rims()
                };
                let result = mended(turned, &over).expect("it can be mended");
                let up = (result.moved.turn * (pose * Vec3::z())).z;
                assert!(up * lies < -0.9, "{name}, pose {number}: {up:.2}");
            }
        }
    }
}
