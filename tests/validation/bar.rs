//! A long square bar of one material, floating. The problem is that of W. P. Reid,
//! "Floating of a Long Square Bar", Am. J. Phys. 31 (1963) 565, and E. N. Gilbert, "How
//! things float", Am. Math. Monthly 98 (1991) 201; the values here are of the closed form
//! below, not printed there. Its side is 1 m, its length ten times that, so it always
//! lies level along and only rolls.
//!
//! Derivation, side 1, specific gravity s ≤ ½ (s and 1 − s mirror: water and
//! air change places). Two bottom corners wet: with t the slope of the
//! waterline across, the centroid of the wetted trapezium moves `t/(12 s)`
//! across and rises `t²/(24 s)`; balance about the bar's middle gives t = 0 or
//! `t² = 12 s (1 − s) − 2`, flat up to `s = (3 − √3)/6`. One corner wet:
//! legs a, b with area `a b/2 = s`; the centroid of the triangle lies a third
//! along each leg, and balance gives `(a − b)(a + b − 3/2) = 0`.
use awash::mesh::{Surface, solids};
use awash::numerics::Vec3;

use crate::support::{held_at, near, rest_from, sign_change, solid_of};

/// The search ends at a lever of 1e-10 of a quarter of the longest side; over
/// the stiffness at rest that is how far the tilt may be off.
const LEVER_WITHIN_M: f64 = 1e-10 * 10.0 / 4.0;
/// Softer than this and the tilt says little: the softest here are s = .205 and
/// .28, just before the next regime, and their mirrors.
const SOFTEST_M: f64 = 1e-3;

fn bar() -> Surface {
    solids::cuboid(Vec3::new(-5.0, -0.5, -0.5), Vec3::new(5.0, 0.5, 0.5))
}

/// From a heel the bar must come to rest level along, at a tilt (from the
/// nearest flat side, 0–45°).
#[track_caller]
fn rests_at(specific_gravity: f64, start_deg: f64, tilt_deg: f64) {
    let rest = rest_from(&solid_of(&bar(), specific_gravity), start_deg, 0.0);
    let what = format!("s {specific_gravity} from {start_deg}°");
    let within_deg = |stiffness_m: f64| {
        assert!(stiffness_m > SOFTEST_M, "{what}: GM {stiffness_m}");
        (LEVER_WITHIN_M / stiffness_m).to_degrees()
    };
    let pitch_within = within_deg(rest.gm_longitudinal_m());
    near(
        &format!("pitch, {what}"),
        rest.plane().pitch_deg(),
        0.0,
        pitch_within,
    );
    let quarter = rest.plane().heel_deg().rem_euclid(90.0);
    let tilt = quarter.min(90.0 - quarter);
    near(
        &format!("tilt, {what}"),
        tilt,
        tilt_deg,
        within_deg(rest.gm_transverse_m()),
    );
}

/// One leg-to-leg slope of the waterline with one corner wet.
fn one_corner_deg(s: f64) -> f64 {
    let root = (2.25_f64 - 8.0 * s).sqrt();
    ((1.5 - root) / (1.5 + root)).atan().to_degrees()
}

#[test]
fn it_is_flat_up_to_the_known_specific_gravity() {
    let exact = (3.0 - 3.0_f64.sqrt()) / 6.0;
    let found = sign_change(0.05, 0.4, |s| {
        -held_at(&solid_of(&bar(), s), 0.0).gm_transverse_m()
    });
    near("limit", found, exact, 1e-11);
    for s in [0.1, 0.2, 0.205] {
        for mirrored in [s, 1.0 - s] {
            rests_at(mirrored, 3.0, 0.0);
        }
    }
}

#[test]
fn with_two_corners_wet_it_tilts_as_derived_and_so_does_its_mirror() {
    for s in [0.22, 0.23, 0.24, 0.25] {
        let exact = (12.0_f64 * s * (1.0 - s) - 2.0).sqrt().atan().to_degrees();
        for mirrored in [s, 1.0 - s] {
            for start in [5.0, 40.0, -5.0, 100.0] {
                rests_at(mirrored, start, exact);
            }
        }
    }
}

/// From s = .25 to 9/32 one corner is wet (or dry, in the mirror): legs
/// a + b = 3/2, a b = 2 s.
#[test]
fn with_one_corner_wet_it_tilts_as_derived() {
    for s in [0.255, 0.26, 0.27, 0.28] {
        for mirrored in [s, 1.0 - s] {
            for start in [10.0, 40.0, -10.0] {
                rests_at(mirrored, start, one_corner_deg(s));
            }
        }
    }
    // The two regimes meet at s = ¼, and the next at 9/32.
    assert!((one_corner_deg(0.25) - 0.5_f64.atan().to_degrees()).abs() < 1e-9);
    assert!((one_corner_deg(9.0 / 32.0) - 45.0).abs() < 1e-9);
}

#[test]
fn from_9_32_to_23_32_it_rests_on_its_edge() {
    for s in [0.29, 0.35, 0.5, 0.6, 0.71] {
        for start in [3.0, 30.0, 60.0, -20.0] {
            rests_at(s, start, 45.0);
        }
    }
}
