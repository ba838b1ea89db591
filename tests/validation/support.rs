//! What the checks share: how near is near enough, and why.
use std::sync::Arc;

use awash::equilibrium::{Craft, Displacers, Hold, Rest, find_rest};
use awash::immersion::{MomentTree, WaterPlane};
use awash::mesh::Surface;
use awash::numerics::Vec3;
use awash::study::Hydrostatics;

use crate::table::record;

/// Share of a flat-sided body's quantity within which it must be met: the sums
/// are exact but for rounding, a few dozen operations of 1e-16 each, and the
/// differences taken in them lose at most three digits more.
pub(crate) const ROUNDING: f64 = 1e-12;

/// How near a resting angle must come, rad. The search stops at a lever of
/// 1e-10 of a quarter of the longest side; over a metacentric height of a
/// hundredth of that side or more the angle is then right to 2.5e-9.
pub(crate) const REST_ANGLE_RAD: f64 = 1e-8;

/// How far the order found from two refinements may be from 2. The error goes
/// as `c h² (1 + c' h²)`, so the order found is off by about `2 c' h²`, with h
/// at most a twelfth and c' of order one: 0.015; twice over for two steps, and
/// doubled because c' is not known.
const ORDER_WITHIN: f64 = 0.06;

/// Share of the finest mesh's own error that may remain once the h² term is
/// taken out: the h⁴ term, with h at most 1/48 there and a factor of 4 between
/// meshes, is below 1 % of it unless c' is above 5.
const EXTRAPOLATED_WITHIN: f64 = 0.01;

/// Water of this density makes kilograms of cubic metres.
pub(crate) const FRESH_KG_M3: f64 = 1000.0;

/// Holds a value to what it must be within an absolute tolerance, and notes it for
/// the table.
#[track_caller]
pub(crate) fn near(what: &str, got: f64, want: f64, tolerance: f64) {
    record(what, got, want, tolerance);
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: got {got:.12}, must be {want:.12} within {tolerance:.1e}, off by {:.2e}",
        got - want
    );
}

/// Holds a value to what it must be within a share of that.
#[track_caller]
pub(crate) fn near_share(what: &str, got: f64, want: f64, share: f64) {
    near(what, got, want, share * want.abs());
}

/// Everything under a level plane at a height.
pub(crate) fn under(surface: &Surface, waterline_height_m: f64) -> Hydrostatics {
    under_plane(
        surface,
        &WaterPlane::at_attitude(0.0, 0.0, waterline_height_m),
    )
}

/// Everything under a plane.
pub(crate) fn under_plane(surface: &Surface, plane: &WaterPlane) -> Hydrostatics {
    Hydrostatics::of(&MomentTree::new(surface, &[]).immerse(plane), FRESH_KG_M3)
}

/// Height of the centre of buoyancy over the boat frame's origin, m.
pub(crate) fn buoyancy_height(cut: &Hydrostatics) -> f64 {
    cut.centre_of_buoyancy_m.expect("something is under water")[2]
}

/// Transverse metacentric radius, m.
pub(crate) fn bm_transverse(cut: &Hydrostatics) -> f64 {
    cut.metacentric_radius_transverse_m
        .expect("something is under water")
}

/// Longitudinal metacentric radius, m.
pub(crate) fn bm_longitudinal(cut: &Hydrostatics) -> f64 {
    cut.metacentric_radius_longitudinal_m
        .expect("something is under water")
}

/// A body of a mass and centre of gravity in fresh water of 1000 kg/m³.
pub(crate) fn craft(surface: &Surface, mass_kg: f64, centre_of_gravity_m: Vec3) -> Craft {
    Craft {
        displacers: Displacers::envelope(Arc::new(MomentTree::new(surface, &[]))),
        mass_kg,
        centre_of_gravity_m,
        density_kg_m3: FRESH_KG_M3,
        liquids: Vec::new(),
    }
}

/// A solid of one material: its mass is `specific_gravity` times that of the
/// water it would fill, its centre of gravity its centroid.
pub(crate) fn solid_of(surface: &Surface, specific_gravity: f64) -> Craft {
    craft(
        surface,
        specific_gravity * surface.signed_volume_m3() * FRESH_KG_M3,
        surface.volume_centroid_m(),
    )
}

/// Rest from a heel and a pitch, everything free.
pub(crate) fn rest_from(craft: &Craft, heel_deg: f64, pitch_deg: f64) -> Rest {
    let up = WaterPlane::at_attitude(heel_deg, pitch_deg, 0.0).up;
    find_rest(craft, &up, Hold::Nothing).expect("it floats and comes to rest")
}

/// The craft at a heel, level along, sunk until it displaces its mass.
pub(crate) fn held_at(craft: &Craft, heel_deg: f64) -> Rest {
    let up = WaterPlane::at_attitude(heel_deg, 0.0, 0.0).up;
    find_rest(craft, &up, Hold::Attitude).expect("it floats")
}

/// Righting arm across, m: how far the buoyancy acts to starboard of the
/// weight, measured on the water. Positive turns a starboard heel back.
pub(crate) fn righting_arm(rest: &Rest) -> f64 {
    let buoyancy = rest
        .immersion
        .centre_of_buoyancy_m()
        .expect("something is under water");
    (rest.centre_of_gravity_m - buoyancy).dot(&rest.plane().axes().port)
}

/// Refines a mesh twice, by halves, and holds the error to the square of the
/// facet size and the value without that error to the closed form. Planes must
/// cut every mesh along its own rows, or the error has no smooth expansion.
#[track_caller]
pub(crate) fn converges(what: &str, exact: f64, coarsest: usize, value: impl Fn(usize) -> f64) {
    let [coarse, middle, fine] = [1, 2, 4].map(|times| value(coarsest * times));
    let errors = [coarse, middle, fine].map(|found| (found - exact).abs());
    // Shown when it fails.
    println!("{what}: errors {errors:?}");
    for pair in errors.windows(2) {
        near(
            &format!("{what}: order of convergence"),
            (pair[0] / pair[1]).log2(),
            2.0,
            ORDER_WITHIN,
        );
    }
    near(
        &format!("{what} with the h² error taken out"),
        (4.0 * fine - middle) / 3.0,
        exact,
        EXTRAPOLATED_WITHIN * errors[2],
    );
}

/// Where a function that is negative at `low` and positive at `high` changes
/// sign, to rounding.
pub(crate) fn sign_change(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    assert!(f(low) < 0.0 && f(high) > 0.0, "no sign change to look for");
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if f(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}
