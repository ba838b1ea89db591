//! The least knock is the lowest pass: invariants on random hulls, and brute force.
use awash::equilibrium::{
    Craft, Knock, KnockState, Rest, Sills, SphereMap, knock, knock_near, map_sphere, tilt_to_flood,
};
use awash::numerics::Vec3;
use rayon::prelude::*;

use crate::brute::{Brute, brute};
use crate::hulls::{Hull, cuboid, random_hull, ring, sills};

/// Works are differences of energies of about the volume times the size, rounded at
/// 1e-16 and met at a minimum to 1e-14; a hundredfold.
const ROUNDING: f64 = 1e-12;
/// What a grid of some thousand attitudes cannot tell apart, as a share of the volume
/// times the size: the work of a sill some 0.1 mm above the water.
const GRID_FLOOR: f64 = 1e-7;

/// How many times as many attitudes a finer grid looks at.
const FINER: u32 = 8;

struct Case {
    hull: Hull,
    craft: Craft,
    rest: Rest,
    map: SphereMap,
    sills: Sills,
}

impl Case {
    fn of(hull: Hull) -> Self {
        let craft = hull.craft();
        let rest = hull.rest();
        let map = map_sphere(&craft, std::slice::from_ref(&rest)).expect("mapped");
        Self {
            sills: hull.sills(),
            hull,
            craft,
            rest,
            map,
        }
    }

    fn knock(&self, sills: &Sills) -> Vec<Knock> {
        knock(&self.craft, sills, &self.rest, &self.map)
    }

    fn scale_m4(&self) -> f64 {
        let (low, high) = self.hull.surface.bounds().expect("a hull");
        self.craft.volume_to_displace_m3() * (high - low).max()
    }
}

/// What a grid's attitude of least work may turn a rim by against the hull's top, as a
/// share of the hull's size: some degrees, since energy is flat at its least.
const TURNED: f64 = 0.03;

/// Brute force over so many attitudes, within 1 %, and with the same state.
fn agrees_with_brute_force(hulls: Vec<Hull>, attitudes: u32) {
    hulls.into_par_iter().for_each(|hull| {
        let case = Case::of(hull);
        let (low, high) = case.hull.surface.bounds().expect("a hull");
        let turned_m = TURNED * (high - low).max();
        let found = case.knock(&case.sills);
        let floor = GRID_FLOOR * case.scale_m4();
        let up = case.rest.plane().up;
        let mut looked = brute(&case.hull, &up, attitudes);
        assert_eq!(found.len(), looked.len());
        // A grid only finds ways that cost too much: where it is dearer, a finer one decides.
        let is_dearer =
            |(knock, brute): (&Knock, &Brute)| brute.work_m4 > 1.01 * knock.work_m4 + floor;
        if found.iter().zip(&looked).any(is_dearer) {
            looked = brute(&case.hull, &up, FINER * attitudes);
        }
        for (rim, (knock, brute)) in found.iter().zip(&looked).enumerate() {
            assert!(
                (knock.work_m4 - brute.work_m4).abs() <= 0.01 * brute.work_m4 + floor,
                "{} rim {rim}: {:e}, brute force {:e} at {:?} ({knock:?})",
                case.hull.name,
                knock.work_m4,
                brute.work_m4,
                brute.up
            );
            let home = brute.at_home_m4 + floor < 0.98 * brute.beyond_m4;
            let beyond = brute.beyond_m4 + floor < 0.98 * brute.at_home_m4;
            let never = knock.state == KnockState::Never;
            let is_so = match knock.state {
                KnockState::Never => true,
                KnockState::AfterPass => !home,
                KnockState::Reached => !beyond,
            };
            let over = brute.over_hull_m;
            assert!(
                is_so && (over.abs() < turned_m || never == (over > 0.0)),
                "{} rim {rim}: {brute:?} ({knock:?})",
                case.hull.name
            );
        }
    });
}

fn random_hulls(numbers: std::ops::Range<u64>) -> Vec<Hull> {
    numbers.map(random_hull).collect()
}

/// Internal consistency, against another way and another kernel.
#[test]
fn the_least_knock_is_that_of_brute_force() {
    agrees_with_brute_force(random_hulls(0..20), 3000);
}

/// Internal consistency: those of which the state is known, by the same.
#[test]
fn brute_force_knows_each_state() {
    let hulls = [broad_boxes(), laden_boxes(), high_pipes()];
    agrees_with_brute_force(hulls.into_iter().flatten().collect(), 3000);
}

#[test]
#[ignore = "minutes in release: cargo test --release --test properties -- --ignored knock"]
fn the_least_knock_is_that_of_brute_force_on_many_hulls() {
    agrees_with_brute_force(random_hulls(0..400), 40_000);
}

/// A property asked of many hulls, each with its knocks.
fn on_hulls(numbers: std::ops::Range<u64>, ask: impl Fn(&Case, &[Knock]) + Sync) {
    numbers.into_par_iter().for_each(|number| {
        let case = Case::of(random_hull(number));
        let knocks = case.knock(&case.sills);
        ask(&case, &knocks);
    });
}

#[test]
fn work_is_nought_only_with_the_sill_under_and_never_under_the_pass() {
    on_hulls(0..100, |case, knocks| {
        let name = &case.hull.name;
        for knock in knocks {
            let rim = &case.hull.rims[knock.sill.opening];
            let dry = rim.iter().all(|p| case.rest.plane().height_m(p) > 0.0);
            assert_eq!(knock.work_m4 > 0.0, dry, "{name}: {knock:?}");
            assert!(knock.converged, "{name}: {knock:?}");
            let pass = knock.pass.map_or(0.0, |pass| pass.work_m4);
            assert!(knock.work_m4 >= pass, "{name}: {knock:?}");
            assert_eq!(knock.state == KnockState::AfterPass, knock.pass.is_some());
            let within = 1e-8 * case.scale_m4().cbrt();
            if dry {
                assert!(knock.sill.height_m.abs() < within, "{name}: {knock:?}");
            }
        }
    });
}

#[test]
fn a_knock_costs_no_more_than_a_straight_lean_to_the_same_sill() {
    on_hulls(100..140, |case, knocks| {
        for knock in knocks {
            let own = sills(&case.hull.rims[knock.sill.opening..=knock.sill.opening]);
            for bearing in (0..12).map(|step| 30.0 * f64::from(step)) {
                let lean = tilt_to_flood(&case.craft, &own, &case.rest, bearing);
                if let Some(lean) = lean.expect("it leans") {
                    assert!(
                        knock.work_m4 <= lean.work_m4 + ROUNDING * case.scale_m4(),
                        "{} towards {bearing}: {:e} for {knock:?}",
                        case.hull.name,
                        lean.work_m4
                    );
                }
            }
        }
    });
}

/// Up is the boat's up: a rim raised by so much stands higher above the water wherever
/// the craft is not yet on its side. Ways that end further over are left out, since
/// there the raised rim hangs lower.
#[test]
fn a_raised_sill_takes_no_less_work() {
    on_hulls(140..200, |case, knocks| {
        let (low, high) = case.hull.surface.bounds().expect("a hull");
        for share in [0.01, 0.05, 0.2] {
            let by = vec![share * (high.z - low.z); case.hull.rims.len()];
            let raised = case.knock(&case.sills.raised(&by));
            for (before, after) in knocks.iter().zip(&raised) {
                assert!(
                    after.work_m4 >= before.work_m4 - ROUNDING * case.scale_m4()
                        || after.plane.up.z < 0.0,
                    "{}: {before:?} then {after:?}",
                    case.hull.name
                );
            }
        }
    });
}

/// The least over a rim is the least over its points, each taken alone.
#[test]
fn no_point_of_the_rim_is_cheaper_alone() {
    on_hulls(200..215, |case, knocks| {
        for knock in knocks.iter().filter(|knock| knock.work_m4 > 0.0) {
            let rim = &case.hull.rims[knock.sill.opening];
            let alone = rim.iter().map(|point| {
                let found = case.knock(&sills(&[vec![*point]]));
                found[0].work_m4
            });
            let least = alone.fold(f64::INFINITY, f64::min);
            assert!(
                (knock.work_m4 - least).abs() <= 1e-6 * least + ROUNDING * case.scale_m4(),
                "{}: {least:e} alone, {knock:?}",
                case.hull.name
            );
        }
    });
}

/// A few kilograms and centimetres away the knocks followed from here are those found
/// from nothing.
#[test]
fn knocks_followed_to_a_craft_nearly_the_same_are_its_own() {
    on_hulls(220..280, |case, knocks| {
        let mut craft = case.craft.clone();
        let (low, high) = case.hull.surface.bounds().expect("a hull");
        craft.mass_kg *= 1.01;
        craft.centre_of_gravity_m += (high - low).component_mul(&Vec3::new(0.004, -0.005, 0.003));
        let rest = awash::equilibrium::find_rest_from(
            &craft,
            case.rest.plane(),
            awash::equilibrium::Hold::Nothing,
        )
        .expect("it rests");
        let map = map_sphere(&craft, std::slice::from_ref(&rest)).expect("mapped");
        let own = knock(&craft, &case.sills, &rest, &map);
        let followed = knock_near(&craft, &case.sills, &rest, &case.map, knocks).expect("followed");
        for (own, followed) in own.iter().zip(&followed) {
            assert!(
                (own.work_m4 - followed.work_m4).abs()
                    <= 1e-6 * own.work_m4 + ROUNDING * case.scale_m4(),
                "{}: {own:?} followed {followed:?}",
                case.hull.name
            );
        }
    });
}

/// Boxes with a hole each.
fn boxes(sizes: [[f64; 3]; 3], with_hole: impl Fn([f64; 3]) -> Hull) -> Vec<Hull> {
    sizes.into_iter().map(with_hole).collect()
}

/// Broad boxes with a hole in the deck near the side.
fn broad_boxes() -> Vec<Hull> {
    boxes(
        [[3.0, 1.2, 0.4], [4.0, 1.0, 0.5], [2.0, 1.5, 0.5]],
        |size| {
            let [l, b, d] = size;
            let hole = ring([0.5 * l, 0.35 * b, d], 0.05);
            cuboid(size, 0.4, [0.5 * l, 0.0, 0.4 * d], vec![hole])
        },
    )
}

/// Deeply laden boxes of little stability (a metacentric height of `T/2 + B²/12T − KG`,
/// here 5 mm), a hole in the middle of the deck with a lip: pressing them so far under
/// takes more than rolling them over.
fn laden_boxes() -> Vec<Hull> {
    boxes(
        [[5.0, 0.4, 0.3], [4.0, 0.5, 0.4], [6.0, 0.6, 0.5]],
        |size| {
            let [l, b, d] = size;
            let draught = 0.8 * d;
            let centre = draught / 2.0 + b * b / (12.0 * draught) - 0.005;
            let hole = ring([0.5 * l, 0.0, d + 0.1 * b], 0.1 * b);
            cuboid(size, 0.8, [0.5 * l, 0.0, centre], vec![hole])
        },
    )
}

/// Hulls with much weight low down and a pipe that stands far over the deck: the hull is
/// wholly under before its end is.
fn high_pipes() -> Vec<Hull> {
    boxes(
        [[3.0, 0.6, 0.4], [2.0, 0.8, 0.5], [4.0, 0.5, 0.5]],
        |size| {
            let [l, _, d] = size;
            let pipe = ring([0.5 * l, 0.0, d + 0.1 * l], 0.03);
            cuboid(size, 0.85, [0.5 * l, 0.0, -3.0 * d], vec![pipe])
        },
    )
}

#[test]
fn broad_boxes_are_reached() {
    for hull in broad_boxes() {
        let case = Case::of(hull);
        let found = case.knock(&case.sills);
        assert_eq!(found[0].state, KnockState::Reached, "{found:?}");
    }
}

#[test]
fn laden_boxes_turn_over_first() {
    for hull in laden_boxes() {
        let case = Case::of(hull);
        let found = case.knock(&case.sills);
        assert_eq!(found[0].state, KnockState::AfterPass, "{found:?}");
        let pass = found[0].pass.expect("a pass");
        assert!(found[0].work_m4 >= pass.work_m4);
        assert!(pass.turns_over(&case.rest), "{:?}", pass.into.heel_deg());
    }
}

/// Boxes a little unstable upright (their metacentre 5 mm under the weight) lie over to
/// one side, `tan²φ = −2 GM/BM`; with a hole over the deck's edge on the other side.
#[test]
fn lolling_boxes_fall_into_their_other_loll_first() {
    for size in [[4.0, 1.0, 0.5], [3.0, 1.2, 0.5], [5.0, 0.8, 0.4]] {
        let [l, b, d] = size;
        let draught = 0.5 * d;
        let bm = b * b / (12.0 * draught);
        let centre = draught / 2.0 + bm + 0.005;
        let loll = (0.01_f64 / bm).sqrt().atan().to_degrees();
        let mut fell = 0;
        for side in [1.0, -1.0] {
            let hole = ring([0.5 * l, side * 0.45 * b, d], 0.02);
            let case = Case::of(cuboid(size, 0.5, [0.5 * l, 0.0, centre], vec![hole]));
            let found = case.knock(&case.sills);
            let down = case.rest.plane().heel_deg();
            assert!((down.abs() - loll).abs() < 1e-3, "{down} {loll}");
            // Starboard down is heel over nought; the port side is y over nought.
            if down * side > 0.0 {
                fell += 1;
                assert_eq!(found[0].state, KnockState::AfterPass, "{found:?}");
                let pass = found[0].pass.expect("a pass");
                assert!((pass.into.heel_deg() + down).abs() < 1e-3, "{pass:?}");
                assert!(!pass.turns_over(&case.rest));
            } else {
                assert_eq!(found[0].state, KnockState::Reached, "{found:?}");
            }
        }
        assert_eq!(fell, 1);
    }
}

#[test]
fn a_high_pipe_on_a_deep_keel_is_never_reached() {
    for hull in high_pipes() {
        let case = Case::of(hull);
        let found = case.knock(&case.sills);
        assert_eq!(found[0].state, KnockState::Never, "{found:?}");
        assert!(found[0].work_m4 > 0.0);
    }
}
