//! The energy of a loaded body, and where it comes to rest.
use std::sync::Arc;

use awash::equilibrium::{Craft, Displacers, EnergyAt, Hold, Rest, find_rest, find_rest_from};
use awash::immersion::WaterPlane;
use awash::numerics::Vec3;
use nalgebra::{Rotation3, Vector3};
use proptest::prelude::*;

use crate::bodies::{BODIES, Body, SAME_SUMS, body, cases, direction, is_slope};

const DENSITY_KG_M3: f64 = 1000.0;

/// Bodies whose starboard side mirrors their port side facet by facet. (The
/// diagonals of the Wigley hull's facets do not.)
const MIRRORED: [&str; 4] = ["box", "fine box", "wedge", "open hull"];

fn craft_of(body: &Body, share: f64, offset: Vec3) -> Craft {
    Craft {
        displacers: Displacers::envelope(Arc::clone(&body.tree)),
        mass_kg: share * body.whole.volume_m3 * DENSITY_KG_M3,
        centre_of_gravity_m: body.surface.volume_centroid_m() + offset,
        density_kg_m3: DENSITY_KG_M3,
        liquids: Vec::new(),
    }
}

fn rest(craft: &Craft, up: &Vec3, hold: Hold) -> Result<Rest, TestCaseError> {
    find_rest(craft, up, hold).map_err(|error| TestCaseError::fail(error.to_string()))
}

/// `up` after a turn by an angle towards a direction square to it.
fn tilted(up: &Vec3, towards: &Vec3, angle: f64) -> Vec3 {
    (up * angle.cos() + towards * angle.sin()).normalize()
}

/// What rounding of a craft's energy is measured by, m⁴.
fn craft_energy_size(craft: &Craft, size_m: f64) -> f64 {
    craft.volume_to_displace_m3() * size_m
}

proptest! {
    #![proptest_config(cases(300))]

    /// The energy along a path of level and tilt together: its mean slope is
    /// the slope in the middle, whose mean change is the curvature there.
    #[test]
    fn energy_has_the_slope_and_curvature_it_says(
        body in body(), up in direction(), share in 0.05..0.95_f64, load in 0.05..0.95_f64,
        towards in direction(), angle in 0.0..6.3_f64, aside in 0.0..0.3_f64,
    ) {
        let craft = craft_of(body, load, towards * aside * body.size_m);
        let middle = body.plane(up, share);
        let axes = middle.axes();
        let level_per_rad = body.size_m * (2.0 * angle).sin();
        let tilt = axes.forward * angle.cos() + axes.port * angle.sin();
        let reference = body.tree.reference_m();
        let h = 1e-5;
        let at = |t: f64| {
            let up = tilted(&middle.up, &tilt, t);
            let level = -middle.height_m(&reference) + level_per_rad * t;
            craft.energy_at(&WaterPlane { up, level_m: level + up.dot(&reference) })
        };
        // The path's direction at t, in the axes of the plane there.
        let along = |t: f64, found: &EnergyAt| {
            let onward = tilt * t.cos() - middle.up * t.sin();
            let axes = found.immersion.plane.axes();
            Vector3::new(level_per_rad, axes.forward.dot(&onward), axes.port.dot(&onward))
        };
        let steps = [-h, 0.0, h];
        let found = steps.map(at);
        let ways = [0, 1, 2].map(|k: usize| along(steps[k], &found[k]));
        let slopes = [0, 1, 2].map(|k: usize| found[k].slope.dot(&ways[k]));
        let bends = [0, 1, 2].map(|k: usize| ways[k].dot(&(found[k].curvature * ways[k])));
        let size = body.whole.volume_m3 * body.size_m;
        let floor = SAME_SUMS * size / h;
        is_slope(body.name, found[2].energy_m4 - found[0].energy_m4, h, slopes, floor)?;
        is_slope(body.name, slopes[2] - slopes[0], h, bends, floor)?;
    }

    #[test]
    fn a_rest_is_a_minimum_that_balances(
        body in body(), up in direction(), load in 0.1..0.9_f64,
        towards in direction(), aside in 0.0..0.1_f64, around in 0.0..6.3_f64,
        angle in 1e-4..5e-3_f64,
    ) {
        let craft = craft_of(body, load, towards * aside * body.size_m);
        let found = rest(&craft, &up, Hold::Nothing)?;
        let volume = craft.volume_to_displace_m3();
        prop_assert!((found.immersion.volume_m3 - volume).abs() <= SAME_SUMS * volume);
        let up = found.plane().up;
        let lever = craft.centre_of_gravity_m
            - found.immersion.centre_of_buoyancy_m().expect("afloat");
        let arm = (lever - up * up.dot(&lever)).norm();
        // The tolerance that `find_rest` states.
        prop_assert!(arm <= 1e-10 * body.size_m, "{}: arm {arm:e}", body.name);
        let axes = found.plane().axes();
        let beside = tilted(&up, &(axes.forward * around.cos() + axes.port * around.sin()), angle);
        let there = rest(&craft, &beside, Hold::Attitude)?;
        // A lever at its tolerance does this much work over the tilt; the rest
        // is rounding.
        let slack = volume * body.size_m * (1e-10 * angle + SAME_SUMS);
        prop_assert!(
            there.energy_m4 >= found.energy_m4 - slack,
            "{}: lower by {:e} at {angle} rad", body.name, found.energy_m4 - there.energy_m4
        );
    }

    /// A body whose sides mirror each other, unstable upright, is left to
    /// positive heel as `find_rest` says, not to the side of some rounding.
    #[test]
    fn a_symmetric_body_too_tender_to_stand_heels_to_starboard(
        index in 0..MIRRORED.len(), load in 0.1..0.9_f64, too_high in 0.002..0.05_f64, ahead in -0.05..0.05_f64,
    ) {
        let body = BODIES.iter().find(|body| body.name == MIRRORED[index]).expect("a body");
        let size = body.size_m;
        let mut craft = craft_of(body, load, Vec3::new(ahead * size, 0.0, 0.0));
        craft.centre_of_gravity_m.y = 0.0;
        // Its weight goes up until it is too high by so much.
        let margin = rest(&craft, &Vec3::z(), Hold::Heel)?.gm_transverse_m();
        craft.centre_of_gravity_m.z += margin + too_high * size;
        let upright = rest(&craft, &Vec3::z(), Hold::Heel)?;
        prop_assume!(upright.gm_transverse_m() < 0.0 && upright.gm_longitudinal_m() > 0.0);
        let there = find_rest_from(&craft, upright.plane(), Hold::Nothing)
            .map_err(|error| TestCaseError::fail(error.to_string()))?;
        let heel = there.plane().heel_deg();
        let upside_down = heel.abs() > 179.999;
        prop_assert!(heel > 1e-6 || upside_down, "{}: {heel}", body.name);
    }

    /// A boat does not float differently for having its x axis drawn another
    /// way.
    #[test]
    fn floating_does_not_depend_on_where_x_points(
        index in 0..9_usize, load in 0.1..0.6_f64, low in 0.05..0.2_f64,
        aside in -0.02..0.02_f64, ahead in -0.02..0.02_f64, turn in 0.0..6.3_f64,
    ) {
        let body = &BODIES[index];
        let size = body.size_m;
        let craft = craft_of(body, load, Vec3::new(ahead * size, aside * size, -low * size));
        let rotation = Rotation3::from_axis_angle(&Vec3::z_axis(), turn);
        let turned = Craft {
            displacers: Displacers::envelope(Arc::new(body.mapped(false, |p| rotation * p))),
            centre_of_gravity_m: rotation * craft.centre_of_gravity_m,
            ..craft.clone()
        };
        let here = rest(&craft, &Vec3::z(), Hold::Nothing)?;
        let there = rest(&turned, &Vec3::z(), Hold::Nothing)?;
        // Lever tolerance over the least stiffness of either.
        let second = here.immersion.second_moments();
        let spread = ((second.transverse_m4 - second.longitudinal_m4) / 2.0).hypot(second.product_m4);
        let least = f64::midpoint(second.transverse_m4, second.longitudinal_m4) - spread;
        let stiffness = least / here.immersion.volume_m3 - here.gravity_over_buoyancy_m();
        prop_assume!(stiffness > 1e-3 * size);
        let within = 2.0 * 1e-10 * size / stiffness + SAME_SUMS;
        let carried = rotation * here.plane().up;
        prop_assert!((carried - there.plane().up).norm() <= within,
            "{}: {carried:?} {:?}", body.name, there.plane().up);
        let level = here.plane().level_m - there.plane().level_m;
        prop_assert!(level.abs() <= within * size);
        let energy = (here.energy_m4 - there.energy_m4).abs();
        prop_assert!(energy <= SAME_SUMS * craft_energy_size(&turned, size));
    }

    /// From any heel a box comes to rest in the valley that it starts in. Found
    /// apart by walking downhill in small steps; a box level along stays so.
    #[test]
    fn a_box_rests_in_the_valley_it_starts_in(
        mass_kg in 200.0..1800.0_f64, kg_m in 0.05..0.55_f64, aside in -0.03..0.03_f64,
        start_deg in -179.0..179.0_f64,
    ) {
        const STEP_DEG: f64 = 0.25;
        let body = &BODIES[0];
        let craft = Craft {
            displacers: Displacers::envelope(Arc::clone(&body.tree)),
            mass_kg,
            centre_of_gravity_m: Vec3::new(0.0, aside, kg_m),
            density_kg_m3: DENSITY_KG_M3,
        liquids: Vec::new(),
        };
        let up = |heel_deg: f64| WaterPlane::at_attitude(heel_deg, 0.0, 0.0).up;
        let energy = |heel_deg: f64| {
            rest(&craft, &up(heel_deg), Hold::Attitude).map(|found| found.energy_m4)
        };
        let at_start = energy(start_deg)?;
        let (below, above) = (energy(start_deg - STEP_DEG)?, energy(start_deg + STEP_DEG)?);
        // On a crest either side will do.
        prop_assume!((below < at_start) != (above < at_start) || below.min(above) >= at_start);
        let step = if below < at_start { -STEP_DEG } else { STEP_DEG };
        let (mut heel, mut here) = (start_deg, at_start);
        loop {
            let next = energy(heel + step)?;
            if next >= here {
                break;
            }
            heel += step;
            here = next;
        }
        let found = rest(&craft, &up(start_deg), Hold::Nothing)?.plane().heel_deg();
        let off = (found - heel + 540.0).rem_euclid(360.0) - 180.0;
        prop_assert!(off.abs() <= STEP_DEG, "walked to {heel}, found {found}");
    }
}
