//! Column volumes against closed forms.
use super::*;
use crate::mesh::solids;
use std::f64::consts::PI;

fn v(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3::new(x, y, z)
}

fn joined(parts: &[Surface]) -> Surface {
    let mut all = Surface::default();
    for part in parts {
        all.append(part);
    }
    all
}

fn ring(outer_m: f64, tube_m: f64, around: u32, across: u32) -> Surface {
    let index = |i: u32, j: u32| (i % around) * across + j % across;
    let mut torus = Surface::default();
    for i in 0..around {
        for j in 0..across {
            let (s, c) = (2.0 * PI * f64::from(i) / f64::from(around)).sin_cos();
            let (st, ct) = (2.0 * PI * f64::from(j) / f64::from(across)).sin_cos();
            let r = outer_m + tube_m * ct;
            torus.vertices.push(v(r * c, r * s, tube_m * st));
            let (a, b) = (index(i, j), index(i + 1, j));
            let (d, e) = (index(i + 1, j + 1), index(i, j + 1));
            torus.faces.extend([[a, b, d], [a, d, e]]);
        }
    }
    torus
}

/// The allowance stated in the module for a hull at the default cell.
const BUDGET: f64 = 2e-4;

#[test]
fn clean_solids_raise_no_alarm_and_agree_with_the_exact_volume() {
    let l = [
        [0.0, 0.0],
        [2.0, 0.0],
        [2.0, 1.0],
        [1.0, 1.0],
        [1.0, 2.0],
        [0.0, 2.0],
    ];
    for (name, solid) in [
        ("sphere", solids::uv_sphere(v(0.3, 0.2, 0.1), 1.0, 60, 120)),
        ("icosphere", solids::icosphere(Vec3::zeros(), 0.4, 6)),
        ("ring", ring(1.0, 0.3, 90, 40)),
        ("concave prism", solids::prism_along_x(&l, 0.0, 1.0)),
        (
            "box",
            solids::cuboid_subdivided(v(0.0, 0.0, 0.0), v(3.4, 0.7, 0.3), [40, 9, 3]),
        ),
        ("Wigley hull", solids::wigley(4.0, 1.0, 0.25, 60, 0.1)),
        (
            "thin plate on edge",
            solids::cuboid(v(0.0, 0.0, 0.0), v(3.4, 0.004, 0.3)),
        ),
        (
            "cone",
            solids::cone(v(0.0, 0.0, 0.0), v(0.3, 0.0, 1.0), 0.5, 64),
        ),
    ] {
        let found = audit(&solid).unwrap();
        assert!(!found.is_doubled(), "{name}: {found:?}");
        assert!(!found.is_inside_out(), "{name}: {found:?}");
        let error = found.volume_m3 / solid.signed_volume_m3() - 1.0;
        // Half the cells along a 3 m side miss by up to half a cell of 3 mm:
        // scattered by the skew, that leaves well under 1e-3 of the volume.
        assert!(error.abs() < 1e-3, "{name}: {error:e}");
    }
}

/// Two boxes of 1 × 1 × 1 that share 0.25 × 1 × 1.
#[test]
fn overlapping_boxes_show_the_doubled_volume_and_its_place() {
    let both = joined(&[
        solids::cuboid(v(0.0, 0.0, 0.0), v(1.0, 1.0, 1.0)),
        solids::cuboid(v(0.75, 0.0, 0.0), v(1.75, 1.0, 1.0)),
    ]);
    let found = audit(&both).unwrap();
    assert!(found.is_doubled() && !found.is_inside_out());
    assert!(
        (found.doubled_volume_m3 - 0.25).abs() < 0.25 * 2e-3,
        "{found:?}"
    );
    assert!((found.volume_m3 - 2.0).abs() < 2.0 * 1e-3, "{found:?}");
    let at = found.doubled_at.unwrap().0;
    assert!(
        (0.75..=1.0).contains(&at.x) && (at.z - 0.5).abs() < 1e-9,
        "{at}"
    );
}

#[test]
fn a_box_inside_a_box_is_doubled_unless_it_is_a_hollow() {
    let outer = solids::cuboid(v(0.0, 0.0, 0.0), v(1.0, 1.0, 1.0));
    let mut inner = solids::cuboid(v(0.25, 0.25, 0.25), v(0.75, 0.75, 0.75));
    let nested = audit(&joined(&[outer.clone(), inner.clone()])).unwrap();
    assert!(
        (nested.doubled_volume_m3 - 0.125).abs() < 0.125 * 4e-3,
        "{nested:?}"
    );
    inner.flip();
    let hollow = audit(&joined(&[outer, inner])).unwrap();
    assert!(
        !hollow.is_doubled() && !hollow.is_inside_out(),
        "{hollow:?}"
    );
    assert!((hollow.volume_m3 - 0.875).abs() < 1e-3, "{hollow:?}");
}

#[test]
fn a_flipped_shell_is_inside_out_with_its_place() {
    let mut flipped = solids::icosphere(v(3.0, 0.0, 0.0), 0.5, 5);
    flipped.flip();
    let volume = -flipped.signed_volume_m3();
    let all = joined(&[solids::icosphere(Vec3::zeros(), 1.0, 5), flipped]);
    let found = audit(&all).unwrap();
    assert!(found.is_inside_out() && !found.is_doubled());
    assert!(
        (found.inside_out_volume_m3 / volume - 1.0).abs() < 2e-3,
        "{found:?}"
    );
    assert!((found.inside_out_at.unwrap().0 - v(3.0, 0.0, 0.0)).norm() < 0.1);
}

/// Union 1 + 1 − 0.5·0.5·0.5, difference 1 − 0.125.
#[test]
fn combined_boxes_match_the_closed_form() {
    let a = solids::cuboid(v(0.0, 0.0, 0.0), v(1.0, 1.0, 1.0));
    let b = solids::cuboid(v(0.5, 0.5, 0.5), v(1.5, 1.5, 1.5));
    for (how, volume) in [(Combine::Union, 1.875), (Combine::Difference, 0.875)] {
        let found = 1.0 + volume_changed(&a, &b, how, DEFAULT_CELL_M);
        assert!((found / volume - 1.0).abs() < BUDGET, "{how:?}: {found}");
    }
}

/// A box 1 × 1 × 0.5 with a hole of radius 0.2 straight down through it, and
/// one drilled across: the polygon of n sides has area ½ n sin(2π/n) r².
#[test]
fn a_drilled_box_matches_the_closed_form() {
    let block = solids::cuboid(v(0.0, 0.0, 0.0), v(1.0, 1.0, 0.5));
    let n = 64.0_f64;
    let circle = n / 2.0 * (2.0 * PI / n).sin() * 0.2 * 0.2;
    let down = solids::cylinder(v(0.5, 0.4, -1.0), v(0.5, 0.4, 1.0), 0.2, 64);
    let across = solids::cylinder(v(-1.0, 0.4, 0.25), v(2.0, 0.4, 0.25), 0.2, 64);
    for (drill, length) in [(down, 0.5), (across, 1.0)] {
        let found = 0.5 + volume_changed(&block, &drill, Combine::Difference, DEFAULT_CELL_M);
        let volume = 0.5 - circle * length;
        assert!(
            (found / volume - 1.0).abs() < BUDGET,
            "{found} for {volume}"
        );
    }
}

/// A plate of 1 cm on a barge of 60 m, half sunk in it, and a box clear over it:
/// within 2e-3 of their own volume, not of the barge's.
#[test]
fn a_small_part_on_a_large_hull_is_measured_by_itself() {
    let barge = solids::cuboid(Vec3::zeros(), v(60.0, 6.0, 2.0));
    let lug = solids::cuboid(v(50.0, 3.0, 1.995), v(50.5, 3.2, 2.005));
    let found = volume_changed(&barge, &lug, Combine::Union, DEFAULT_CELL_M);
    let wanted = 0.5 * 0.2 * 0.005;
    assert!((found / wanted - 1.0).abs() < 2e-3, "{found}");
    let clear = solids::cuboid(v(50.0, 3.0, 5.0), v(50.5, 3.2, 6.0));
    for how in [Combine::Union, Combine::Difference] {
        let wanted = if how == Combine::Union { 0.1 } else { 0.0 };
        let found = volume_changed(&barge, &clear, how, DEFAULT_CELL_M);
        assert!((found - wanted).abs() < 2e-3 * 0.1, "{how:?}: {found}");
    }
}

#[test]
fn nothing_in_plan_gives_no_grid() {
    assert!(audit(&Surface::default()).is_none());
    let empty = Surface::default();
    assert!(volume_changed(&empty, &empty, Combine::Union, 0.002).abs() < f64::EPSILON);
}

#[test]
fn too_fine_a_cell_is_made_coarser() {
    let plate = solids::cuboid(Vec3::zeros(), v(100.0, 100.0, 1.0));
    let grid = Grid::over(&[&plate], 0.002, MAX_COLUMNS).unwrap();
    assert!(
        grid.cell_m() > 0.09 && grid.columns() < 1_010_000,
        "{grid:?}"
    );
}

/// Three cubes of 1 m³, each 34.5 mm on from the last: they fill 1069 L, and their sum
/// counts 1931 L too many. Twice or more is wrapped 1000 L.
#[test]
fn three_layers_count_twice_too_many() {
    let mut all = Surface::default();
    for number in 0..3 {
        let from = Vec3::x() * 0.0345 * f64::from(number);
        all.append(&solids::cuboid(from, from + Vec3::repeat(1.0)));
    }
    let found = audit(&all).expect("it has room");
    assert!((found.excess_volume_m3 - 1.931).abs() < 2e-3, "{found:?}");
    assert!((found.doubled_volume_m3 - 1.0).abs() < 2e-3, "{found:?}");
}
