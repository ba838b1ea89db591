//! Scans of the open hull, spoiled in every way that scans are, and brought
//! back by mending.
//!
//! Judged against the hull they were made from, in two ways. The attitude is
//! the hull's own axes after making and mending, which should be the boat's
//! again. The displaced volume is taken at the design waterline as a mark on
//! the hull: the plane is carried along with the hull, so that it says whether
//! the shape is right and not where the origin was put; the origin has its own
//! check.
mod after;
mod again;
mod bands;
mod booleans;
mod decked;
mod dirty;
mod frame;
mod halves;
mod kinds;
mod lips;
mod make;
mod matrix;
mod order;
mod path;
mod postures;
mod skins;
mod tender;
mod wary;

use std::path::Path;
use std::process::Command;

use awash::immersion::{MomentTree, WaterPlane};
use awash::mesh::{
    FacetNumbers, Level, MendError, MendRecipe, Mended, Mirror, Moved, Placement, PrepareOptions,
    Surface, mend, prepare,
};
use awash::numerics::Vec3;
use make::{
    Random, double_skinned, finer, hull, noisy, on_a_floor, port_half, with_flipped, with_holes,
    with_missing,
};
use serde_json::Value;

/// Design waterline, m over the keel: the hull with one or two people in it.
const WATERLINE_M: f64 = 0.15;
/// The issue's own limits.
const VOLUME_SHARE: f64 = 0.005;
const VOLUME_SHARE_HALF_AND_FLOOR: f64 = 0.01;
const ATTITUDE_DEG: f64 = 0.5;
/// Heights of the sheer at the two ends of the open hull, as its loft says:
/// what a tape would give, m.
const LEVEL: Level = Level::RimHeights {
    bow_m: 0.42,
    stern_m: 0.36,
};

/// What a command prints in a folder.
fn printed(folder: &Path, arguments: &[&str]) -> String {
    let answer = Command::new(env!("CARGO_BIN_EXE_awash"))
        .current_dir(folder)
        .args(arguments)
        .output()
        .expect("the program runs");
    let failed = String::from_utf8_lossy(&answer.stderr);
    assert!(answer.status.success(), "{arguments:?}: {failed}");
    String::from_utf8_lossy(&answer.stdout).into_owned()
}

/// What it answers.
fn awash(folder: &Path, arguments: &[&str]) -> Value {
    let printed = printed(folder, &[arguments, &["--format", "json"]].concat());
    serde_json::from_str(&printed).expect("JSON")
}

fn volume_below(surface: &Surface, plane: &WaterPlane) -> f64 {
    let prepared = prepare(surface.clone(), &PrepareOptions::default());
    assert!(prepared.closed);
    let caps: Vec<_> = prepared
        .loops
        .iter()
        .filter(|l| !l.mended)
        .map(|l| l.cap.clone())
        .collect();
    MomentTree::new(&prepared.surface, &caps)
        .immerse(plane)
        .volume_m3
}

fn mended(scan: Surface, recipe: &MendRecipe) -> Result<Mended, MendError> {
    mend(
        scan,
        &FacetNumbers::default(),
        recipe,
        &Placement::default(),
        &|_| {},
    )
}

fn upright() -> MendRecipe {
    MendRecipe {
        upright: Some(LEVEL),
        ..MendRecipe::default()
    }
}

/// Holds a mended scan against the hull. `made` is how the scan was moved.
fn check(name: &str, result: &Mended, made: &Moved, volume_share: f64) {
    let whole = made.then(&result.moved);
    for (axis, what) in [(Vec3::x(), "x"), (Vec3::y(), "y"), (Vec3::z(), "z")] {
        let off_deg = (whole.turn * axis).angle(&axis).to_degrees();
        assert!(
            off_deg < ATTITUDE_DEG,
            "{name}: the {what} axis is off by {off_deg}°: {:?}",
            result.steps
        );
    }
    assert_eq!(
        result.openings.len(),
        1,
        "{name}: {:?} {:?}",
        result
            .openings
            .iter()
            .map(|o| (o.length_m, o.centre))
            .collect::<Vec<_>>(),
        result.steps
    );
    let up = whole.turn * Vec3::z();
    let plane = WaterPlane {
        up,
        level_m: up.dot(&whole.point(&Vec3::new(0.0, 0.0, WATERLINE_M))),
    };
    let scale = whole.scale.powi(3);
    let got = volume_below(&result.surface, &plane) / scale;
    let design = WaterPlane {
        up: Vec3::z(),
        level_m: WATERLINE_M,
    };
    let wanted = volume_below(&hull(), &design);
    let off = got / wanted - 1.0;
    let whole_hull = prepare(hull(), &PrepareOptions::default());
    let capped =
        result.after.volume_m3.expect("closed") / scale / whole_hull.surface.signed_volume_m3();
    assert!(
        (capped - 1.0).abs() < volume_share,
        "{name}: with its opening capped {capped} of the hull's volume"
    );
    assert!(
        off.abs() < volume_share,
        "{name}: {got} m³ is not {wanted} m³ ({:+.2} %): {:?}",
        100.0 * off,
        result.steps
    );
}

fn scan_of(mut surface: Surface, motion: &Moved) -> Surface {
    motion.apply(&mut surface);
    surface
}

#[test]
fn turned_any_way_it_comes_back_upright_with_its_origin() {
    let mut random = Random(1);
    for _ in 0..6 {
        let motion = random.motion();
        let result = mended(scan_of(hull(), &motion), &upright()).unwrap();
        check("turned", &result, &motion, VOLUME_SHARE);
        // Without noise the origin is as good as the level: 0.1° over half
        // the length is 3 mm.
        let origin = motion.then(&result.moved).point(&Vec3::zeros());
        assert!(origin.norm() < 5e-3, "{origin:?}");
    }
}

#[test]
fn noise_of_one_to_three_millimetres_does_no_harm() {
    let mut random = Random(2);
    for noise_mm in [1.0, 2.0, 3.0] {
        let motion = random.motion();
        let scan = noisy(finer(hull(), 1), noise_mm / 1e3, &mut random);
        let result = mended(scan_of(scan, &motion), &upright()).unwrap();
        check(
            &format!("noise {noise_mm} mm"),
            &result,
            &motion,
            VOLUME_SHARE,
        );
    }
}

#[test]
fn a_known_length_settles_the_unit() {
    let mut random = Random(3);
    for factor in [1.0 / 0.0254, 1000.0, 0.37] {
        let motion = Moved {
            scale: factor,
            ..random.motion()
        };
        let placement = Placement {
            scale_to_length_m: Some(3.4),
            ..Placement::default()
        };
        let recipe = MendRecipe {
            upright: Some(Level::Floor),
            ..MendRecipe::default()
        };
        let facets = FacetNumbers::default();
        let scan = scan_of(hull(), &motion);
        let result = mend(scan, &facets, &recipe, &placement, &|_| {}).unwrap();
        check(
            &format!("scaled by {factor}"),
            &result,
            &motion,
            VOLUME_SHARE,
        );
    }
}

#[test]
fn holes_and_missing_triangles_are_filled_and_the_rim_stays_open() {
    let mut random = Random(4);
    let recipe = MendRecipe {
        fill_under_m: Some(2.0),
        ..upright()
    };
    let holes = [
        (Vec3::new(1.4, 0.0, 0.0), 0.12),
        (Vec3::new(2.2, 0.3, 0.15), 0.08),
        (Vec3::new(0.0, -0.1, 0.2), 0.06),
    ];
    let motion = random.motion();
    let scan = with_holes(finer(hull(), 1), &holes);
    let result = mended(scan_of(scan, &motion), &recipe).unwrap();
    check("holes", &result, &motion, VOLUME_SHARE);

    let motion = random.motion();
    let scan = with_missing(finer(hull(), 1), 0.01, &mut random);
    let result = mended(scan_of(scan, &motion), &recipe).unwrap();
    check("1 % missing", &result, &motion, VOLUME_SHARE);
}

#[test]
fn five_percent_of_the_triangles_flipped_are_turned_back() {
    let mut random = Random(5);
    let motion = random.motion();
    let scan = with_flipped(hull(), 0.05, &mut random);
    let result = mended(scan_of(scan, &motion), &upright()).unwrap();
    check("flipped", &result, &motion, VOLUME_SHARE);
}

#[test]
fn a_floor_is_taken_away_or_refused_where_there_is_none() {
    let mut random = Random(6);
    let recipe = MendRecipe {
        drop_floor: true,
        largest_only: true,
        fill_under_m: Some(5.0),
        ..upright()
    };
    let motion = random.motion();
    let scan = on_a_floor(&finer(hull(), 1), 0.004);
    let result = mended(scan_of(scan, &motion), &recipe).unwrap();
    check("floor", &result, &motion, VOLUME_SHARE_HALF_AND_FLOOR);
    assert_eq!(mended(hull(), &recipe).unwrap_err(), MendError::NoFloor);
}

#[test]
fn half_a_hull_is_mirrored_or_refused_where_it_is_whole() {
    let mut random = Random(7);
    let recipe = MendRecipe {
        mirror: Some(Mirror::AtCut),
        ..upright()
    };
    for noise_m in [0.0, 0.001] {
        let motion = random.motion();
        let scan = noisy(port_half(&finer(hull(), 1)), noise_m, &mut random);
        let result = mended(scan_of(scan, &motion), &recipe).unwrap();
        check("half", &result, &motion, VOLUME_SHARE_HALF_AND_FLOOR);
    }
    let refused = mended(hull(), &recipe).unwrap_err();
    assert!(
        matches!(refused, MendError::NoCut | MendError::TwoCuts { .. }),
        "{refused}"
    );
    let unmirrored = mended(port_half(&hull()), &upright()).unwrap_err();
    assert!(matches!(unmirrored, MendError::Posture(_)), "{unmirrored}");
}

#[test]
fn half_a_placed_hull_is_mirrored_at_the_centre() {
    let recipe = MendRecipe {
        mirror: Some(Mirror::AtCentre),
        ..MendRecipe::default()
    };
    let mut random = Random(8);
    // More than half was scanned, with the far side left ragged.
    let mut scan = hull();
    let vertices = &scan.vertices;
    scan.faces
        .retain(|f| f.iter().all(|v| vertices[*v as usize].y > -0.08));
    let scan = with_missing(scan, 0.002, &mut random);
    let recipe = MendRecipe {
        fill_under_m: Some(0.4),
        ..recipe
    };
    let result = mended(scan, &recipe).unwrap();
    check(
        "centre",
        &result,
        &Moved::default(),
        VOLUME_SHARE_HALF_AND_FLOOR,
    );
}

#[test]
fn the_outer_of_two_skins_is_kept() {
    let mut random = Random(9);
    let motion = random.motion();
    let scan = double_skinned(&hull(), 0.006);
    let recipe = MendRecipe {
        outer_skin: true,
        upright: Some(Level::Floor),
        ..MendRecipe::default()
    };
    let result = mended(scan_of(scan, &motion), &recipe).unwrap();
    check("double skin", &result, &motion, VOLUME_SHARE);
}

#[test]
fn everything_at_once() {
    let mut random = Random(10);
    let recipe = MendRecipe {
        drop_floor: true,
        largest_only: true,
        fill_under_m: Some(5.0),
        ..upright()
    };
    let motion = random.motion();
    let scan = on_a_floor(&finer(hull(), 1), 0.004);
    let scan = with_missing(scan, 0.01, &mut random);
    let scan = with_flipped(scan, 0.05, &mut random);
    let scan = noisy(scan, 0.001, &mut random);
    let result = mended(scan_of(scan, &motion), &recipe).unwrap();
    check("everything", &result, &motion, VOLUME_SHARE_HALF_AND_FLOOR);
}
