//! The kernel: any body under any plane.
use awash::immersion::{Immersion, MomentTree, WaterPlane, immerse_one_pass};
use awash::mesh::solids;
use awash::numerics::Vec3;
use nalgebra::{Rotation3, Unit};
use proptest::prelude::*;
use proptest::sample::Index;

use crate::bodies::{
    BODIES, ROUNDED_ANEW, SAME_SUMS, agree, body, cases, direction, is_slope, is_telling,
};

proptest! {
    #![proptest_config(cases(300))]

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
        index in 0..5_usize, up in direction(), which in any::<Index>(),
    ) {
        let body = &BODIES[index];
        let mut heights: Vec<f64> = body.surface.vertices.iter().map(|v| up.dot(v)).collect();
        heights.sort_by(f64::total_cmp);
        let gap = which.index(heights.len() - 1);
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
        body in body(), picks in any::<[Index; 3]>(),
    ) {
        let corners = &body.surface.vertices;
        let [a, b, c] = picks.map(|pick| *pick.get(corners));
        let normal = (b - a).cross(&(c - a));
        prop_assume!(normal.norm() > 1e-6 * body.size_m.powi(2));
        let up = normal.normalize();
        let cut = |step: f64| body.tree.immerse(&WaterPlane { up, level_m: up.dot(&a) + step });
        let step = 1e-9 * body.size_m;
        let (under, here, over) = (cut(-step), cut(0.0), cut(step));
        // Rounding; and no section of a body is larger than 3 size².
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
