//! Scans of a decked hull made by code: both sides of its skin, its openings, the
//! floor that it stood on. Judged against what is true of it by construction
//! (`decked.rs`): the envelope with its openings capped, and the rims.
use awash::immersion::{MomentTree, WaterPlane};
use awash::mesh::{
    Confidence, Crop, FacetNumbers, HoleKind, Level, MendError, MendRecipe, Mended, Mirror, Moved,
    Placement, PrepareOptions, Surface, mend, prepare, tell_holes, two_sides,
};
use awash::numerics::Vec3;

use super::decked::{Decked, HOLES, decked, rough, two_skins};
use super::make::{Random, on_a_floor, port_half, with_holes};

/// Waterlines over the hull's own base, m: light, laden, deep.
const WATERLINES_M: [f64; 3] = [0.1, 0.2, 0.3];

/// What is allowed at a noise: share of the volume, and of a rim's lowest point
/// and of its stated ±, m.
struct Allowed {
    volume_share: f64,
    rim_m: f64,
    band_m: f64,
}

fn allowed(noise_m: f64) -> Allowed {
    if noise_m < 0.001 {
        Allowed {
            volume_share: 0.005,
            rim_m: 0.002,
            band_m: 0.003,
        }
    } else {
        Allowed {
            volume_share: 0.01,
            rim_m: 0.004,
            band_m: 0.006,
        }
    }
}

fn volume_below(surface: &Surface, level_m: f64) -> f64 {
    let closed = prepare(surface.clone(), &PrepareOptions::default());
    assert!(closed.closed);
    let open = closed.loops.iter().filter(|capped| !capped.mended);
    let caps: Vec<_> = open.map(|capped| capped.cap.clone()).collect();
    let plane = WaterPlane {
        up: Vec3::z(),
        level_m,
    };
    MomentTree::new(&closed.surface, &caps)
        .immerse(&plane)
        .volume_m3
}

fn mended(scan: Surface, recipe: &MendRecipe) -> Result<Mended, MendError> {
    let nothing = Placement::default();
    mend(scan, &FacetNumbers::default(), recipe, &nothing, &|_| {})
}

fn lowest(rim: &[Vec3]) -> f64 {
    rim.iter().map(|p| p.z).fold(f64::INFINITY, f64::min)
}

fn outer_skin() -> MendRecipe {
    MendRecipe {
        outer_skin: true,
        upright: Some(Level::Floor),
        ..MendRecipe::default()
    }
}

fn smooth_rims() -> MendRecipe {
    MendRecipe {
        smooth_rims: true,
        upright: Some(Level::Floor),
        ..MendRecipe::default()
    }
}

/// Holds a mended scan against the hull. `made` is how the scan was moved.
fn check(name: &str, hull: &Decked, result: &Mended, made: &Moved, noise_m: f64) {
    let allowed = allowed(noise_m);
    let whole = made.then(&result.moved);
    for axis in [Vec3::x(), Vec3::y(), Vec3::z()] {
        let off_deg = (whole.turn * axis).angle(&axis).to_degrees();
        assert!(off_deg < 0.5, "{name}: {off_deg}° off: {:?}", result.steps);
    }
    // Back in the frame of the hull that is known.
    let mut surface = result.surface.clone();
    for v in &mut surface.vertices {
        *v = whole.back(v);
    }
    for level_m in WATERLINES_M {
        let wanted = volume_below(&hull.outer, level_m);
        let off = volume_below(&surface, level_m) / wanted - 1.0;
        assert!(
            off.abs() < allowed.volume_share,
            "{name}: {:+.2} % at {level_m} m",
            100.0 * off
        );
    }
    assert_eq!(result.openings.len(), hull.rims.len(), "{name}");
    for (opening, error) in result.openings.iter().zip(&result.rim_errors_m) {
        let corners = opening.vertices.iter();
        let rim: Vec<Vec3> = corners.map(|v| surface.vertices[*v as usize]).collect();
        let middle = |rim: &[Vec3]| rim.iter().sum::<Vec3>() / rim.len() as f64;
        let away = |known: &&Vec<Vec3>| (middle(known) - middle(&rim)).norm();
        let known = hull
            .rims
            .iter()
            .min_by(|a, b| away(a).total_cmp(&away(b)))
            .expect("rims");
        let off = lowest(&rim) - lowest(known);
        let error = error.unwrap_or_else(|| panic!("{name}: a rim without ±"));
        assert!(
            off.abs() < allowed.rim_m,
            "{name}: rim {:+.2} mm",
            1e3 * off
        );
        assert!(off.abs() < error, "{name}: {off} outside its ± {error}");
        assert!(error < allowed.band_m, "{name}: ± {error}");
    }
}

#[test]
fn the_outer_skin_is_kept_with_its_deck_and_each_opening_at_its_edge() {
    let mut random = Random(20);
    let hull = decked(0.02, &HOLES);
    let made = random.motion();
    let mut scan = rough(two_skins(&hull, 0.005, 9.0), 0.0008, &mut random);
    made.apply(&mut scan);
    assert!(two_sides(&scan).is_some_and(|thick| (thick - 0.005).abs() < 5e-4));
    let result = mended(scan, &outer_skin()).expect("it can be mended");
    check("double", &hull, &result, &made, 0.0008);
    assert!(result.doubts.is_empty(), "{:?}", result.doubts);
    let thick = result.skin_thickness_m.expect("two sides");
    assert!((thick - 0.005).abs() < 5e-4, "{thick}");
    let posture = result.posture.as_ref().expect("upright");
    assert_eq!(posture.up, Confidence::Likely);
    // The deck is there: more than half of what lies over the sheer's height.
    let over = |surface: &Surface, moved: &Moved| {
        (0..surface.faces.len())
            .filter(|f| moved.back(&surface.corners(*f)[0]).z > 0.25)
            .map(|f| surface.face_area_m2(f))
            .sum::<f64>()
    };
    let share =
        over(&result.surface, &made.then(&result.moved)) / over(&hull.outer, &Moved::default());
    assert!((share - 1.0).abs() < 0.03, "{share}");
    // And the openings are named.
    let rims: Vec<Vec<Vec3>> = result
        .openings
        .iter()
        .map(|rim| {
            let corners = rim.vertices.iter();
            corners
                .map(|v| result.surface.vertices[*v as usize])
                .collect()
        })
        .collect();
    let told = tell_holes(&rims, result.surface.bounds().expect("a hull"));
    let kinds: Vec<HoleKind> = told.iter().map(|hole| hole.probably).collect();
    assert_eq!(kinds, [HoleKind::Cockpit, HoleKind::Well, HoleKind::Hatch]);
}

#[test]
fn an_inner_skin_seen_near_the_openings_only_is_dropped_too() {
    let mut random = Random(21);
    let hull = decked(0.02, &HOLES);
    let scan = rough(two_skins(&hull, 0.004, 0.7), 0.0008, &mut random);
    let result = mended(scan, &outer_skin()).expect("it can be mended");
    check("partly", &hull, &result, &Moved::default(), 0.0008);
}

#[test]
fn a_single_skin_loses_nothing_and_its_rims_are_smoothed() {
    let mut random = Random(22);
    let hull = decked(0.02, &HOLES);
    let scan = rough(hull.outer.clone(), 0.0008, &mut random);
    assert_eq!(two_sides(&scan), None);
    let faces = scan.faces.len();
    let kept = mended(scan.clone(), &outer_skin()).expect("it can be mended");
    assert_eq!(kept.surface.faces.len(), faces);
    assert_eq!(kept.skin_thickness_m, None);
    let result = mended(scan, &smooth_rims()).expect("it can be mended");
    check("single", &hull, &result, &Moved::default(), 0.0008);
}

#[test]
fn a_patch_missing_below_is_no_opening_and_the_hull_stays_upright() {
    let hull = decked(0.02, &HOLES);
    let mut random = Random(23);
    let made = random.motion();
    // As large as the cockpit.
    let patch = [(Vec3::new(1.8, 0.0, 0.0), 0.3)];
    let mut scan = rough(with_holes(hull.outer.clone(), &patch), 0.0008, &mut random);
    made.apply(&mut scan);
    let result = mended(scan.clone(), &smooth_rims()).expect("it can be mended");
    let whole = made.then(&result.moved);
    assert!((whole.turn * Vec3::z()).z > 0.99, "{:?}", result.steps);
    // The other way up on demand, and filled by its number.
    let turned = MendRecipe {
        upside_down: true,
        ..smooth_rims()
    };
    let other = mended(scan.clone(), &turned).expect("it can be mended");
    assert!((made.then(&other.moved).turn * Vec3::z()).z < -0.99);
    let below = |opening: &awash::mesh::Loop| whole.back(&opening.centre).z < 0.1;
    let number = 1 + result.openings.iter().position(below).expect("the patch");
    let filled = MendRecipe {
        fill: vec![number],
        ..smooth_rims()
    };
    let result = mended(scan.clone(), &filled).expect("it can be mended");
    // The patch is nearly as wide as the hull: what was there is not known to half a per cent.
    check("patch", &hull, &result, &made, 0.002);
    let none = MendRecipe {
        keep: vec![9],
        ..smooth_rims()
    };
    let refused = mended(scan, &none).expect_err("there are four");
    assert_eq!(
        refused,
        MendError::NoSuchHole {
            number: 9,
            holes: 4
        }
    );
}

#[test]
fn a_half_is_mirrored_in_its_cut_clean_or_torn() {
    let hull = decked(0.02, &HOLES);
    let mut random = Random(24);
    let cut = MendRecipe {
        crop: Crop {
            least: [None, Some(0.0), None],
            ..Crop::default()
        },
        ..MendRecipe::default()
    };
    let clean = mended(hull.outer.clone(), &cut)
        .expect("half of it")
        .surface;
    let torn = port_half(&hull.outer);
    let recipe = MendRecipe {
        mirror: Some(Mirror::AtCut),
        ..smooth_rims()
    };
    for (name, half) in [("clean", clean), ("torn", torn)] {
        let made = random.motion();
        let mut scan = rough(half, 0.0008, &mut random);
        made.apply(&mut scan);
        let result = mended(scan, &recipe).expect("it can be mirrored");
        let whole = made.then(&result.moved);
        let mut surface = result.surface.clone();
        for v in &mut surface.vertices {
            *v = whole.back(v);
        }
        for level_m in WATERLINES_M {
            let off = volume_below(&surface, level_m) / volume_below(&hull.outer, level_m) - 1.0;
            assert!(off.abs() < 0.01, "{name}: {:+.2} %", 100.0 * off);
        }
        assert_eq!(result.openings.len(), 3, "{name}: {:?}", result.steps);
        for (opening, known) in result.openings.iter().zip(&hull.rims) {
            let corners = opening.vertices.iter();
            let rim: Vec<Vec3> = corners.map(|v| surface.vertices[*v as usize]).collect();
            let off = lowest(&rim) - lowest(known);
            assert!(off.abs() < 0.004, "{name}: {:+.2} mm", 1e3 * off);
        }
        let said: Vec<&str> = result.steps.iter().map(|s| s.done.as_str()).collect();
        assert!(said.iter().any(|s| s.contains("centre plane is good to ±")));
        assert!(said.iter().all(|s| !s.contains("sides agree")), "{said:?}");
    }
    let no_such = MendRecipe {
        mirror: Some(Mirror::AtFlat(7)),
        ..MendRecipe::default()
    };
    let refused = mended(port_half(&hull.outer), &no_such).expect_err("no seventh part");
    assert!(refused.to_string().contains("1: "), "{refused}");
}

#[test]
fn what_a_floor_hid_of_the_bottom_is_filled_and_the_floor_is_below() {
    let hull = decked(0.02, &HOLES);
    let mut random = Random(25);
    let recipe = MendRecipe {
        drop_floor: true,
        ..outer_skin()
    };
    let mut made = random.motion();
    made.turn = nalgebra::Rotation3::from_axis_angle(&Vec3::x_axis(), 3.0) * made.turn;
    let mut scan = on_a_floor(&two_skins(&hull, 0.005, 9.0), 0.024);
    scan = rough(scan, 0.0008, &mut random);
    made.apply(&mut scan);
    let result = mended(scan, &recipe).expect("it can be mended");
    let posture = result.posture.as_ref().expect("upright");
    assert_eq!(posture.up_because, "the floor was below");
    assert!(
        result
            .steps
            .iter()
            .any(|s| s.done.contains("which the floor hid"))
    );
    check("floor", &hull, &result, &made, 0.002);
}

/// The whole matrix, at seeds that nothing was tuned on.
#[test]
#[ignore = "minutes: cargo test --release --test scans -- --ignored --nocapture matrix"]
fn matrix_of_scans() {
    let edge_m = 0.01;
    let hull = decked(edge_m, &HOLES);
    let mut failed = Vec::new();
    for seed in 500..504 {
        for noise_m in [0.0008, 0.002] {
            let mut random = Random(seed);
            let made = random.motion();
            let all = [
                ("double 5 mm", two_skins(&hull, 0.005, 9.0), outer_skin()),
                ("double 3 mm", two_skins(&hull, 0.003, 9.0), outer_skin()),
                ("double 6 mm", two_skins(&hull, 0.006, 9.0), outer_skin()),
                ("seen in part", two_skins(&hull, 0.004, 0.7), outer_skin()),
                ("single", hull.outer.clone(), smooth_rims()),
                (
                    "on a floor",
                    on_a_floor(&two_skins(&hull, 0.005, 9.0), 0.024),
                    MendRecipe {
                        drop_floor: true,
                        ..outer_skin()
                    },
                ),
                (
                    "single on a floor",
                    on_a_floor(&hull.outer, 0.024),
                    MendRecipe {
                        drop_floor: true,
                        largest_only: true,
                        ..smooth_rims()
                    },
                ),
            ];
            for (what, scan, recipe) in all {
                let name = format!("{what}, noise {noise_m}, seed {seed}");
                let mut scan = rough(scan, noise_m, &mut random);
                made.apply(&mut scan);
                let tried = std::panic::catch_unwind(|| {
                    let result = mended(scan, &recipe).expect("it can be mended");
                    check(&name, &hull, &result, &made, noise_m);
                });
                if tried.is_err() {
                    failed.push(name);
                }
            }
        }
    }
    assert!(failed.is_empty(), "{failed:#?}");
}
