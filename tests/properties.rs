//! Invariants of the kernel and of the rest search over random bodies, planes
//! and loads.
//!
//! The same cases run every time, so that no build fails by luck; set
//! `PROPTEST_RNG_SEED` (any number) and `PROPTEST_CASES` to look further.
use std::ops::Range;
use std::path::Path;
use std::sync::{Arc, LazyLock};

use awash::equilibrium::{Craft, Displacers, Hold, Rest, find_rest};
use awash::immersion::{Immersion, MomentTree, WaterPlane, immerse_one_pass};
use awash::mesh::{PrepareOptions, Surface, prepare, read_stl, solids, weld};
use awash::numerics::Vec3;
use nalgebra::{Rotation3, Unit, Vector3};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// Two ways to the same sums, each of a few thousand terms rounded at 1e-16.
const SAME_SUMS: f64 = 1e-12;
/// Turned and moved coordinates are rounded anew, at the size of the shift
/// (ten bodies away); a body wet for a hundredth feels that a hundredfold.
const ROUNDED_ANEW: f64 = 1e-11;
/// Below this share under water (or over it) a quantity of the wet part is the
/// small difference of sums over the body, and is held to the body's own size.
const TELLING_SHARE: f64 = 0.01;
const DENSITY_KG_M3: f64 = 1000.0;

#[derive(Debug)]
struct Body {
    name: &'static str,
    surface: Surface,
    bare: Vec<Range<usize>>,
    tree: Arc<MomentTree>,
    /// All of it, under a plane above everything.
    whole: Immersion,
    /// Longest extent, m.
    size_m: f64,
}

impl Body {
    fn new(name: &'static str, surface: Surface, bare: Vec<Range<usize>>) -> Self {
        let tree = Arc::new(MomentTree::new(&surface, &bare));
        let (lo, hi) = surface.bounds().expect("a body");
        let above = WaterPlane {
            up: Vec3::z(),
            level_m: hi.z + 1.0,
        };
        Self {
            name,
            whole: tree.immerse(&above),
            surface,
            bare,
            tree,
            size_m: (hi - lo).max(),
        }
    }

    /// The plane at a share of the way from the lowest to the highest point.
    fn plane(&self, up: Vec3, share: f64) -> WaterPlane {
        let (low, high) = self.extent(&up);
        WaterPlane {
            up,
            level_m: low + share * (high - low),
        }
    }

    fn extent(&self, up: &Vec3) -> (f64, f64) {
        let along = |direction: Vec3| self.tree.extreme(&direction).expect("a body").dot(up);
        (along(-up), along(*up))
    }

    /// The same body with its vertices moved by a map (faces turned over where
    /// the map mirrors).
    fn mapped(&self, mirrors: bool, map: impl Fn(&Vec3) -> Vec3) -> MomentTree {
        let mut surface = self.surface.clone();
        surface.vertices.iter_mut().for_each(|v| *v = map(v));
        if mirrors {
            surface.flip();
        }
        MomentTree::new(&surface, &self.bare)
    }
}

/// Convex and hollow, flat and round, and the demo boat's hull with its cap.
static BODIES: LazyLock<Vec<Body>> = LazyLock::new(|| {
    let v = Vec3::new;
    let l_section = [
        [-0.5, 0.0],
        [0.5, 0.0],
        [0.5, 0.2],
        [-0.2, 0.2],
        [-0.2, 0.7],
        [-0.5, 0.7],
    ];
    let (lo, hi) = (v(-2.0, -0.5, 0.0), v(2.0, 0.5, 0.5));
    let whole = |name, surface| Body::new(name, surface, Vec::new());
    vec![
        whole("box", solids::cuboid(lo, hi)),
        whole("fine box", solids::cuboid_subdivided(lo, hi, [9, 5, 4])),
        whole("wedge", solids::wedge(lo, hi)),
        whole("L", solids::prism_along_x(&l_section, -1.0, 1.0)),
        whole(
            "cone",
            solids::cone(v(0.0, 0.0, 1.0), v(0.3, 0.1, 0.0), 0.6, 17),
        ),
        whole("sphere", solids::icosphere(v(1.0, -2.0, 0.5), 0.7, 3)),
        whole(
            "half ellipsoid",
            solids::half_ellipsoid(v(2.0, 0.5, 0.4), 9, 23),
        ),
        whole("wigley", solids::wigley(4.0, 1.0, 0.25, 11, 0.1)),
        dipper(),
    ]
});

fn dipper() -> Body {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("meshes/dipper/hull.stl");
    let raw = read_stl(&path).expect("the demo hull");
    let hull = prepare(weld(&raw, 1e-3).surface, &PrepareOptions::default());
    assert!(hull.closed, "{:?}", hull.doubts);
    let caps = hull.loops.iter().map(|rim| rim.cap.clone()).collect();
    Body::new("dipper", hull.surface, caps)
}

fn body() -> impl Strategy<Value = &'static Body> {
    (0..BODIES.len()).prop_map(|index| &BODIES[index])
}

/// A direction, even over the sphere.
fn direction() -> impl Strategy<Value = Vec3> {
    (-1.0..1.0, 0.0..std::f64::consts::TAU).prop_map(|(z, angle): (f64, f64)| {
        let r = (1.0 - z * z).sqrt();
        Vec3::new(r * angle.cos(), r * angle.sin(), z)
    })
}

fn cases(count: u32) -> ProptestConfig {
    let mut config = ProptestConfig::default();
    if std::env::var_os("PROPTEST_CASES").is_none() {
        config.cases = count;
    }
    if matches!(config.rng_seed, RngSeed::Random) {
        config.rng_seed = RngSeed::Fixed(3_400_800);
    }
    config.failure_persistence = None;
    config
}

/// Named scalars of a cut that do not depend on how the axes lie, each with
/// the power of length that it has.
fn scalars(cut: &Immersion) -> [(&'static str, f64, i32); 5] {
    let second = cut.second_moments();
    let (t, l, p) = (
        second.transverse_m4,
        second.longitudinal_m4,
        second.product_m4,
    );
    [
        ("volume", cut.volume_m3, 3),
        ("waterplane area", cut.waterplane.area_m2, 2),
        ("wetted area", cut.wetted_area_m2, 2),
        ("polar second moment", t + l, 4),
        (
            "greatest second moment",
            f64::midpoint(t, l) + ((t - l) / 2.0).hypot(p),
            4,
        ),
    ]
}

fn points(cut: &Immersion) -> [(&'static str, Option<Vec3>); 3] {
    [
        ("centre of buoyancy", cut.centre_of_buoyancy_m()),
        ("centre of flotation", cut.centre_of_flotation_m()),
        ("wetted centroid", cut.wetted_centroid_m()),
    ]
}

/// Whether enough lies on both sides of the plane for shares to mean much.
fn is_telling(body: &Body, cut: &Immersion) -> bool {
    let share = cut.volume_m3 / body.whole.volume_m3;
    (TELLING_SHARE..1.0 - TELLING_SHARE).contains(&share)
}

/// Two cuts must have the same scalars, and the second's points must be the
/// first's carried by a map.
fn agree(
    body: &Body,
    first: &Immersion,
    second: &Immersion,
    within: f64,
    carry: impl Fn(Vec3) -> Vec3,
) -> Result<(), TestCaseError> {
    let telling = is_telling(body, first);
    for ((name, a, power), (_, b, _)) in scalars(first).into_iter().zip(scalars(second)) {
        let size = if telling {
            a.abs()
        } else {
            body.size_m.powi(power)
        };
        prop_assert!(
            (a - b).abs() <= within * size,
            "{} of {}: {a:e} and {b:e}, off by {:e} of {size:e}",
            name,
            body.name,
            (a - b).abs() / size
        );
    }
    for ((name, a), (_, b)) in points(first).into_iter().zip(points(second)) {
        if !telling {
            continue;
        }
        let (a, b) = (carry(a.expect("wet")), b.expect("wet"));
        prop_assert!(
            (a - b).norm() <= within * body.size_m,
            "{} of {}: {a:?} and {b:?}",
            name,
            body.name
        );
    }
    Ok(())
}

/// A function went from `-h` to `+h` by `change`, so that its mean slope there
/// is `change/2h`; that must be the slope found in the middle. The two differ
/// by less than the second difference of the slope, be it smooth, with a kink
/// or with a step in between; `floor` is the rounding of `change/2h`.
fn is_slope(
    what: &str,
    change: f64,
    half_step: f64,
    slopes: [f64; 3],
    floor: f64,
) -> Result<(), TestCaseError> {
    let mean = change / (2.0 * half_step);
    let [before, here, after] = slopes;
    let second_difference = (before - 2.0 * here + after).abs();
    prop_assert!(
        (mean - here).abs() <= second_difference + floor,
        "{what}: {here:e}, but it changes by {mean:e} (allowed {second_difference:e} + {floor:e})"
    );
    Ok(())
}

fn craft_of(body: &Body, share: f64, offset: Vec3) -> Craft {
    Craft {
        displacers: Displacers::envelope(Arc::clone(&body.tree)),
        mass_kg: share * body.whole.volume_m3 * DENSITY_KG_M3,
        centre_of_gravity_m: body.surface.volume_centroid_m() + offset,
        density_kg_m3: DENSITY_KG_M3,
    }
}

fn rest(craft: &Craft, up: &Vec3, hold: Hold) -> Result<Rest, TestCaseError> {
    find_rest(craft, up, hold).map_err(|error| TestCaseError::fail(error.to_string()))
}

/// `up` after a turn by an angle towards a direction square to it.
fn tilted(up: &Vec3, towards: &Vec3, angle: f64) -> Vec3 {
    (up * angle.cos() + towards * angle.sin()).normalize()
}

proptest! {
    #![proptest_config(cases(96))]

    #[test]
    fn tree_equals_one_pass(body in body(), up in direction(), share in -0.05..1.05_f64) {
        let plane = body.plane(up, share);
        let one_pass = immerse_one_pass(&body.surface, &body.bare, &plane);
        agree(body, &one_pass, &body.tree.immerse(&plane), SAME_SUMS, |p| p)?;
    }

    #[test]
    fn moving_and_turning_the_scene_carries_all_with_it(
        body in body(), up in direction(), share in 0.0..1.0_f64,
        axis in direction(), angle in 0.0..3.2_f64, shift in direction(), far in 0.0..10.0_f64,
    ) {
        let turn = Rotation3::from_axis_angle(&Unit::new_normalize(axis), angle);
        let shift = shift * far * body.size_m;
        let carry = |p: Vec3| turn * p + shift;
        let plane = body.plane(up, share);
        let new_up = (turn * up).normalize();
        let moved = WaterPlane { up: new_up, level_m: plane.level_m + new_up.dot(&shift) };
        let there = body.mapped(false, |p| carry(*p)).immerse(&moved);
        agree(body, &body.tree.immerse(&plane), &there, ROUNDED_ANEW, carry)?;
    }

    #[test]
    fn port_and_starboard_mirror(body in body(), up in direction(), share in 0.0..1.0_f64) {
        let mirror = |p: Vec3| Vec3::new(p.x, -p.y, p.z);
        let plane = body.plane(up, share);
        let other = WaterPlane { up: mirror(up), ..plane };
        let (here, there) = (
            body.tree.immerse(&plane),
            body.mapped(true, |p| mirror(*p)).immerse(&other),
        );
        agree(body, &here, &there, SAME_SUMS, mirror)?;
        let (a, b) = (here.second_moments(), there.second_moments());
        let size = if is_telling(body, &here) {
            a.transverse_m4 + a.longitudinal_m4
        } else {
            body.size_m.powi(4)
        };
        prop_assert!((a.product_m4 + b.product_m4).abs() <= SAME_SUMS * size);
        prop_assert!((a.transverse_m4 - b.transverse_m4).abs() <= SAME_SUMS * size);
        prop_assert!((plane.heel_deg() + other.heel_deg()).abs() < 1e-9
            || plane.heel_deg().abs() > 179.999);
    }

    #[test]
    fn order_of_corners_faces_and_vertices_does_not_matter(
        body in body(), up in direction(), share in 0.0..1.0_f64, by in 0..10_000_usize,
    ) {
        let mut other = body.surface.clone();
        other.vertices.reverse();
        let last = u32::try_from(other.vertices.len()).expect("few") - 1;
        for (index, face) in other.faces.iter_mut().enumerate() {
            *face = face.map(|v| last - v);
            face.rotate_left((index + by) % 3);
        }
        // Caps stay last: the others go round among themselves.
        let skin = body.bare.iter().map(|cap| cap.start).min().unwrap_or(other.faces.len());
        other.faces[..skin].rotate_left(by % skin);
        let plane = body.plane(up, share);
        let there = MomentTree::new(&other, &body.bare).immerse(&plane);
        agree(body, &body.tree.immerse(&plane), &there, SAME_SUMS, |p| p)?;
    }

    #[test]
    fn below_and_above_make_the_whole(body in body(), up in direction(), share in 0.0..1.0_f64) {
        let plane = body.plane(up, share);
        let below = body.tree.immerse(&plane);
        let above = body.tree.immerse(&WaterPlane { up: -up, level_m: -plane.level_m });
        let whole = body.whole;
        let sum = below.volume_m3 + above.volume_m3;
        prop_assert!((sum - whole.volume_m3).abs() <= SAME_SUMS * whole.volume_m3);
        let moments = below.volume_moment_m4 + above.volume_moment_m4 - whole.volume_moment_m4;
        prop_assert!(moments.norm() <= SAME_SUMS * whole.volume_m3 * body.size_m);
        let skin = below.wetted_area_m2 + above.wetted_area_m2 - whole.wetted_area_m2;
        prop_assert!(skin.abs() <= SAME_SUMS * whole.wetted_area_m2);
        // Both see the same cut, from its two sides.
        let (a, b) = (below.waterplane.area_m2, above.waterplane.area_m2);
        prop_assert!((a - b).abs() <= SAME_SUMS * body.size_m.powi(2), "{a} {b}");
        let (i, j) = (below.second_moments(), above.second_moments());
        let size = body.size_m.powi(4);
        prop_assert!((i.transverse_m4 - j.transverse_m4).abs() <= SAME_SUMS * size);
        prop_assert!((i.longitudinal_m4 - j.longitudinal_m4).abs() <= SAME_SUMS * size);
    }

    #[test]
    fn volume_grows_with_the_level_by_the_waterplane_area(
        body in body(), up in direction(), share in 0.02..0.98_f64,
    ) {
        let plane = body.plane(up, share);
        let h = 1e-5 * body.size_m;
        let cuts = [-h, 0.0, h]
            .map(|step| body.tree.immerse(&WaterPlane { up, level_m: plane.level_m + step }));
        let volume = body.whole.volume_m3;
        is_slope(
            body.name,
            cuts[2].volume_m3 - cuts[0].volume_m3,
            h,
            [0, 1, 2].map(|k: usize| cuts[k].waterplane.area_m2),
            SAME_SUMS * volume / h,
        )?;
        // Each thin layer has its moment where the waterplane has its centroid.
        let first = |k: usize, axis: usize| {
            let centre = cuts[k].centre_of_flotation_m().unwrap_or_default();
            cuts[k].waterplane.area_m2 * (centre - cuts[k].reference_m)[axis]
        };
        for axis in 0..3 {
            is_slope(
                body.name,
                (cuts[2].volume_moment_m4 - cuts[0].volume_moment_m4)[axis],
                h,
                [0, 1, 2].map(|k| first(k, axis)),
                SAME_SUMS * volume * body.size_m / h,
            )?;
        }
    }

    /// Between the heights of two corners the area is a quadratic of the level,
    /// so Simpson's rule gives the volume between exactly.
    #[test]
    fn between_corners_the_volume_is_the_integral_of_the_area(
        index in 0..5_usize, up in direction(), which in 0.0..1.0_f64,
    ) {
        let body = &BODIES[index];
        let mut heights: Vec<f64> = body.surface.vertices.iter().map(|v| up.dot(v)).collect();
        heights.sort_by(f64::total_cmp);
        let gap = (which * (heights.len() - 1) as f64) as usize;
        let (low, high) = (heights[gap], heights[gap + 1]);
        let [a, m, b] = [low, f64::midpoint(low, high), high]
            .map(|level_m| body.tree.immerse(&WaterPlane { up, level_m }));
        let area = |cut: &Immersion| cut.waterplane.area_m2;
        let simpson = (high - low) / 6.0 * (area(&a) + 4.0 * area(&m) + area(&b));
        let between = b.volume_m3 - a.volume_m3;
        let whole = body.whole.volume_m3;
        prop_assert!((between - simpson).abs() <= SAME_SUMS * whole, "{between} {simpson}");
    }

    /// A plane through three corners, so that some lie on it but for rounding.
    #[test]
    fn planes_through_corners_cut_what_planes_beside_them_do(
        body in body(), picks in prop::array::uniform3(0.0..1.0_f64),
    ) {
        let corners = &body.surface.vertices;
        let [a, b, c] = picks.map(|pick| corners[(pick * corners.len() as f64) as usize]);
        let normal = (b - a).cross(&(c - a));
        prop_assume!(normal.norm() > 1e-6 * body.size_m.powi(2));
        let up = normal.normalize();
        let cut = |step: f64| body.tree.immerse(&WaterPlane { up, level_m: up.dot(&a) + step });
        let step = 1e-9 * body.size_m;
        let (under, here, over) = (cut(-step), cut(0.0), cut(step));
        // Rounding, and the layers between of at most the box's greatest face.
        let volume = SAME_SUMS * body.whole.volume_m3;
        prop_assert!(under.volume_m3 <= here.volume_m3 + volume);
        prop_assert!(here.volume_m3 <= over.volume_m3 + volume);
        prop_assert!(over.volume_m3 - under.volume_m3 <= 2.0 * step * 3.0 * body.size_m.powi(2));
        // One pass goes by the same rule for corners on the plane.
        let plane = WaterPlane { up, level_m: up.dot(&a) };
        let one_pass = immerse_one_pass(&body.surface, &body.bare, &plane);
        let off = (one_pass.waterplane.area_m2 - here.waterplane.area_m2).abs();
        prop_assert!(off <= SAME_SUMS * body.size_m.powi(2), "{}: area off by {off}", body.name);
    }

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
        let along = |t: f64, found: &awash::equilibrium::EnergyAt| {
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
}

proptest! {
    #![proptest_config(cases(64))]

    /// Facets lose the square of their size; the facets that the plane crosses
    /// are a share of about one in the number across (20 and 40 here), and by
    /// as much the loss may depend on where exactly it crosses.
    #[test]
    fn a_refined_sphere_converges_with_the_square_of_its_facets(
        up in direction(), depth in 0.4..1.6_f64,
    ) {
        let exact = std::f64::consts::PI * depth * depth * (3.0 - depth) / 3.0;
        let plane = WaterPlane { up, level_m: depth - 1.0 };
        let errors = [2, 3, 4, 5].map(|level| {
            let sphere = solids::icosphere(Vec3::zeros(), 1.0, level);
            exact - immerse_one_pass(&sphere, &[], &plane).volume_m3
        });
        for (pair, across) in errors.windows(2).zip([10.0, 20.0, 40.0]) {
            let ratio = pair[0] / pair[1];
            prop_assert!((ratio / 4.0 - 1.0).abs() <= 1.0 / across, "{errors:?}");
        }
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
            ..craft
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

/// What rounding of a craft's energy is measured by, m⁴.
fn craft_energy_size(craft: &Craft, size_m: f64) -> f64 {
    craft.volume_to_displace_m3() * size_m
}

/// Planes exactly in the faces and through the edges of a box, and the corner
/// and middle cuts of a cube.
#[test]
fn planes_in_faces_and_through_edges_cut_what_they_should() {
    const EXACT: f64 = 1e-14;
    let body = &BODIES[0];
    let level = |level_m: f64| {
        body.tree.immerse(&WaterPlane {
            up: Vec3::z(),
            level_m,
        })
    };
    // At the bottom nothing is wet; at the top everything, the cut the top.
    assert_eq!(level(0.0).volume_m3, 0.0);
    assert_eq!(level(0.0).waterplane.area_m2, 0.0);
    assert!((level(0.5).volume_m3 - 2.0).abs() < EXACT);
    assert!((level(0.5).waterplane.area_m2 - 4.0).abs() < EXACT);
    assert!((level(0.5).wetted_area_m2 - 9.0).abs() < EXACT);
    assert!((level(0.6).volume_m3 - 2.0).abs() < EXACT);
    assert_eq!(level(0.6).waterplane.area_m2, 0.0);
    assert!((level(0.6).wetted_area_m2 - 13.0).abs() < EXACT);
    // The fine box has rows at z = 1/8, 1/4, 3/8.
    for row in [0.125, 0.25, 0.375] {
        let cut = BODIES[1].tree.immerse(&WaterPlane {
            up: Vec3::z(),
            level_m: row,
        });
        assert!((cut.volume_m3 - 4.0 * row).abs() < EXACT, "{row}");
        assert!((cut.waterplane.area_m2 - 4.0).abs() < EXACT, "{row}");
    }
    let unit = MomentTree::new(&solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0)), &[]);
    // Through two opposite edges: half, and a rectangle 1 × √2.
    let up = Vec3::new(0.0, 1.0, 1.0).normalize();
    let cut = unit.immerse(&WaterPlane {
        up,
        level_m: 0.5_f64.sqrt(),
    });
    assert!((cut.volume_m3 - 0.5).abs() < EXACT);
    assert!((cut.waterplane.area_m2 - 2.0_f64.sqrt()).abs() < EXACT);
    // Square to the space diagonal: the corner's pyramid 1/6 under a triangle
    // of side √2, then half under a regular hexagon of side 1/√2.
    let up = Vec3::repeat(1.0).normalize();
    let cut = unit.immerse(&WaterPlane {
        up,
        level_m: 1.0 / 3.0_f64.sqrt(),
    });
    assert!((cut.volume_m3 - 1.0 / 6.0).abs() < EXACT);
    assert!((cut.waterplane.area_m2 - 3.0_f64.sqrt() / 2.0).abs() < EXACT);
    let cut = unit.immerse(&WaterPlane {
        up,
        level_m: 0.75_f64.sqrt(),
    });
    assert!((cut.volume_m3 - 0.5).abs() < EXACT);
    assert!((cut.waterplane.area_m2 - 0.75 * 3.0_f64.sqrt()).abs() < EXACT);
}
