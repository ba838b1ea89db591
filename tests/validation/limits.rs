//! Solids of one material that float upright only within a limit: where the
//! metacentric height from the kernel changes sign, against the closed form.
use awash::equilibrium::Craft;
use awash::mesh::{Surface, solids};
use awash::numerics::Vec3;

use crate::support::{
    ROUNDING, bm_transverse, buoyancy_height, converges, held_at, near, rest_from, sign_change,
    solid_of, under,
};

/// Sixty halvings leave nothing; the metacentric height itself is right to
/// rounding, over a slope of order one in the specific gravity.
const LIMIT_ROUNDING: f64 = 1e-11;

fn upright_gm(craft: &Craft) -> f64 {
    held_at(craft, 0.0).gm_transverse_m()
}

/// The specific gravity at which a solid begins to float upright, between one
/// at which it does not and one at which it does.
fn limit(solid: &Surface, unstable: f64, stable: f64) -> f64 {
    let sense = (stable - unstable).signum();
    let (low, high) = (unstable.min(stable), unstable.max(stable));
    sign_change(low, high, |s| sense * upright_gm(&solid_of(solid, s)))
}

/// Axis vertical: `KB = s H/2`, `BM = R²/(4 s H)`, `KG = H/2`, so GM ≥ 0 iff
/// `(R/H)² ≥ 2 s (1 − s)`. For R/H = .6 (H = 1) the limits are
/// `s = (1 ± √(1 − 2·.36))/2`.
#[test]
fn an_upright_cylinder() {
    let standing = |n: usize| solids::cylinder(Vec3::zeros(), Vec3::z(), 0.6, n);
    let root = (1.0_f64 - 2.0 * 0.36).sqrt();
    converges("light limit", (1.0 - root) / 2.0, 24, |n| {
        limit(&standing(n), 0.5, 0.1)
    });
    converges("heavy limit", f64::midpoint(1.0, root), 24, |n| {
        limit(&standing(n), 0.5, 0.9)
    });
    // R/H over 1/√2 is upright at every weight.
    let stout = solids::cylinder(Vec3::zeros(), Vec3::z(), 0.72, 96);
    for s in [0.05, 0.25, 0.5, 0.75, 0.95] {
        assert!(upright_gm(&solid_of(&stout, s)) > 0.0, "s {s}");
    }
}

/// Apex down, k = H s^⅓: `KB = ¾ k`, `BM = ¾ k t²`, `KG = ¾ H`, so upright iff
/// `s ≥ (1 + t²)⁻³` with t = R/H.
#[test]
fn a_cone_apex_down() {
    for t in [0.4, 0.7] {
        let cone = |n: usize| solids::cone(Vec3::z(), Vec3::zeros(), t, n);
        let exact = (1.0_f64 + t * t).powi(-3);
        converges(&format!("t {t}"), exact, 24, |n| {
            limit(&cone(n), exact / 2.0, 0.95)
        });
    }
}

/// Triangular prism, apex down, half angle α at the apex, k = H √s:
/// `KB = ⅔ k`, waterline `2 k tan α`, `BM = ⅔ k tan² α`, `KG = ⅔ H`, so upright
/// iff `√s ≥ cos² α`. Flat sides: to rounding. Ten heights long, so that pitch
/// plays no part.
#[test]
fn a_triangular_prism_apex_down() {
    for (half_angle_deg, exact) in [(30.0_f64, 0.5625), (45.0, 0.25)] {
        let b = half_angle_deg.to_radians().tan();
        let prism = solids::prism_along_x(&[[0.0, 0.0], [b, 1.0], [-b, 1.0]], -5.0, 5.0);
        let found = limit(&prism, exact / 2.0, 0.95);
        near(
            &format!("half angle {half_angle_deg}°"),
            found,
            exact,
            LIMIT_ROUNDING,
        );
    }
}

/// Rectangle B × H, long: `KB = s H/2`, `BM = B²/(12 s H)`, `KG = H/2`, so flat
/// is stable iff `6 s (1 − s)(H/B)² ≤ 1`.
#[test]
fn a_rectangular_bar_lies_flat_within_its_limit() {
    for s in [0.1, 0.3, 0.5, 0.8] {
        let bar = |h: f64| solids::cuboid(Vec3::new(-10.0, -0.5, 0.0), Vec3::new(10.0, 0.5, h));
        let exact = 1.0 / (6.0_f64 * s * (1.0 - s)).sqrt();
        let found = sign_change(exact / 2.0, exact * 2.0, |h| {
            -upright_gm(&solid_of(&bar(h), s))
        });
        near(&format!("H/B at s {s}"), found, exact, LIMIT_ROUNDING);
        // Nudged by a degree it comes back flat just inside, and not outside.
        for (height, flat) in [(0.98 * exact, true), (1.02 * exact, false)] {
            let heel = rest_from(&solid_of(&bar(height), s), 1.0, 0.0)
                .plane()
                .heel_deg();
            assert_eq!(heel.abs() < 1e-6, flat, "s {s}, H/B {height}: heel {heel}");
        }
    }
}

/// `r² = p z` with its apex down, h the height, k = h √s: `KB = ⅔ k`, `BM = p/2` always,
/// `KG = ⅔ h`, so upright iff `k ≥ h − ¾ p` (derived). As Archimedes has it, On Floating
/// Bodies II: the axis vertical where s is not less than (h − ¾p)² : h² (T. L. Heath, A
/// History of Greek Mathematics, volume II, on proposition 10). The meshes are cut at
/// that k, on a row of theirs (rows lie at h (i/n)²), where GM must tend to 0 and the
/// share of the volume to the limit in s.
#[test]
fn a_paraboloid_apex_down() {
    // h/p of 1 and 12/7 put the limit at half and three quarters of the rows.
    for (h, row, exact) in [(1.0, 0.5_f64, 0.0625), (12.0 / 7.0, 0.75, 81.0 / 256.0)] {
        let k = h - 0.75;
        assert!((h * row * row - k).abs() < ROUNDING);
        assert!(((k / h).powi(2) - exact).abs() < ROUNDING);
        // p = 1: the radius at height h is √h.
        let solid = |n: usize| solids::paraboloid(f64::sqrt(h), h, n, 4 * n);
        let share =
            |n: usize| under(&solid(n), k).displaced_volume_m3 / solid(n).signed_volume_m3();
        converges(&format!("s at h/p {h}"), exact, 16, share);
        let gm = |n: usize| {
            let cut = under(&solid(n), k);
            buoyancy_height(&cut) + bm_transverse(&cut) - solid(n).volume_centroid_m().z
        };
        converges(&format!("GM at h/p {h}"), 0.0, 16, gm);
        for (s, stable) in [(0.95 * exact, false), (1.05 * exact, true)] {
            let upright = upright_gm(&solid_of(&solid(64), s));
            assert_eq!(upright > 0.0, stable, "s {s}: GM {upright}");
        }
    }
}

/// Below that limit it tilts (the problem of Archimedes, On Floating Bodies II; the
/// formula is derived here): a plane at slope tan φ cuts from the paraboloid a segment
/// whose axis (the diameter, parallel to the solid's own) has length k = h √s whatever
/// the tilt, so the centroid lies ⅔ k along it; balance with KG = ⅔ h gives
/// `tan² φ = (4/p)(⅔ (h − k) − p/2)` while the base is dry.
#[test]
fn a_tilted_paraboloid() {
    // s = .01 and .04 at h/p = 1: k = .1 and .2.
    for s in [0.01_f64, 0.04] {
        let k = s.sqrt();
        let exact = (4.0 * (2.0 / 3.0 * (1.0 - k) - 0.5))
            .sqrt()
            .atan()
            .to_degrees();
        // The plane crosses rows, so the next term of the error falls only as
        // h³: start from a finer mesh.
        converges(&format!("tilt at s {s}"), exact, 64, |n| {
            let solid = solids::paraboloid(1.0, 1.0, n, 4 * n);
            let rest = rest_from(&solid_of(&solid, s), 15.0, 0.0);
            let up = rest.plane().up;
            let lowest_of_rim = up.z - up.xy().norm();
            assert!(lowest_of_rim > rest.plane().level_m, "the base must be dry");
            up.z.acos().to_degrees()
        });
    }
}
