//! Scans of a decked hull made by code: both sides of its skin, its openings, the
//! floor that it stood on. Judged against what is true of it by construction
//! (`decked.rs`): the envelope with its openings capped, and the rims.
use awash::immersion::{Immersion, MomentTree, WaterPlane};
use awash::mesh::{
    Confidence, FacetNumbers, HoleKind, Level, MendError, MendRecipe, Mended, Mirror, Moved,
    Placement, PrepareOptions, Surface, mend, prepare, tell_holes, two_sides,
};
use awash::numerics::Vec3;

use super::decked::{Decked, HOLES, decked, rough, two_skins};
use super::make::{Random, on_a_floor, with_holes};

/// Waterlines over the hull's own base, m: light, laden, deep.
pub(crate) const WATERLINES_M: [f64; 3] = [0.1, 0.2, 0.3];

/// What is allowed at a noise: share of the volume, and of a rim's lowest point
/// and of its stated ±, m.
pub(crate) struct Allowed {
    pub(crate) volume_share: f64,
    pub(crate) rim_m: f64,
    pub(crate) band_m: f64,
}

pub(crate) fn allowed(noise_m: f64) -> Allowed {
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

pub(crate) fn volume_below(surface: &Surface, level_m: f64) -> f64 {
    immersed(surface, level_m).volume_m3
}

pub(crate) fn immersed(surface: &Surface, level_m: f64) -> Immersion {
    let closed = prepare(surface.clone(), &PrepareOptions::default());
    assert!(closed.closed);
    let open = closed.loops.iter().filter(|capped| !capped.mended);
    let caps: Vec<_> = open.map(|capped| capped.cap.clone()).collect();
    let plane = WaterPlane {
        up: Vec3::z(),
        level_m,
    };
    MomentTree::new(&closed.surface, &caps).immerse(&plane)
}

pub(crate) fn mended(scan: Surface, recipe: &MendRecipe) -> Result<Mended, MendError> {
    let nothing = Placement::default();
    mend(scan, &FacetNumbers::default(), recipe, &nothing, &|_| {})
}

pub(crate) fn lowest(rim: &[Vec3]) -> f64 {
    rim.iter().map(|p| p.z).fold(f64::INFINITY, f64::min)
}

pub(crate) fn outer_skin() -> MendRecipe {
    MendRecipe {
        outer_skin: true,
        upright: Some(Level::Floor),
        ..MendRecipe::default()
    }
}

pub(crate) fn smooth_rims() -> MendRecipe {
    MendRecipe {
        smooth_rims: true,
        upright: Some(Level::Floor),
        ..MendRecipe::default()
    }
}

/// The outer skin of a hull that a floor was scanned with.
pub(crate) fn outer_skin_on_a_floor() -> MendRecipe {
    MendRecipe {
        drop_floor: true,
        ..outer_skin()
    }
}

/// Half a hull, mirrored where it was cut.
pub(crate) fn mirrored_at_the_cut() -> MendRecipe {
    MendRecipe {
        mirror: Some(Mirror::AtCut),
        ..smooth_rims()
    }
}

/// What a mended scan is off the hull that it was made from.
pub(crate) struct Off {
    /// The worst of the axes, deg.
    axes_deg: f64,
    /// Volume at each waterline, as a share.
    pub(crate) volume_share: [f64; 3],
    /// Lowest point of each rim, m, and its stated ±.
    pub(crate) rims: Vec<(f64, Option<f64>)>,
}

impl Off {
    /// Measures a mended scan. `made` is how the scan was moved.
    pub(crate) fn measured(hull: &Decked, result: &Mended, made: &Moved) -> Self {
        let whole = made.then(&result.moved);
        let axes = [Vec3::x(), Vec3::y(), Vec3::z()];
        let off_deg = axes.map(|axis| (whole.turn * axis).angle(&axis).to_degrees());
        // Back in the frame of the hull that is known.
        let mut surface = result.surface.clone();
        for v in &mut surface.vertices {
            *v = whole.back(v);
        }
        let rims = result.openings.iter().zip(&result.rim_errors_m);
        let rims = rims.map(|(opening, error)| {
            let corners = opening.vertices.iter();
            let rim: Vec<Vec3> = corners.map(|v| surface.vertices[*v as usize]).collect();
            let middle = |rim: &[Vec3]| rim.iter().sum::<Vec3>() / rim.len() as f64;
            let away = |known: &&Vec<Vec3>| (middle(known) - middle(&rim)).norm();
            let known = hull
                .rims
                .iter()
                .min_by(|a, b| away(a).total_cmp(&away(b)))
                .expect("rims");
            (lowest(&rim) - lowest(known), *error)
        });
        Self {
            axes_deg: off_deg.into_iter().fold(0.0, f64::max),
            volume_share: WATERLINES_M.map(|level_m| {
                volume_below(&surface, level_m) / volume_below(&hull.outer, level_m) - 1.0
            }),
            rims: rims.collect(),
        }
    }

    /// The volume that is farthest off, as a share.
    pub(crate) fn worst_volume(&self) -> f64 {
        let volumes = self.volume_share.into_iter();
        volumes.fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a })
    }
}

/// Holds a mended scan against the hull. `made` is how the scan was moved.
pub(crate) fn check(name: &str, hull: &Decked, result: &Mended, made: &Moved, noise_m: f64) {
    let allowed = allowed(noise_m);
    let off = Off::measured(hull, result, made);
    assert!(
        off.axes_deg < 0.5,
        "{name}: {}° off: {:?}",
        off.axes_deg,
        result.steps
    );
    assert!(
        off.worst_volume().abs() < allowed.volume_share,
        "{name}: {:+.4?} at {WATERLINES_M:?} m",
        off.volume_share
    );
    assert_eq!(off.rims.len(), hull.rims.len(), "{name}");
    for (off, error) in off.rims {
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
    assert_eq!(kinds, [HoleKind::Cockpit, HoleKind::Hatch, HoleKind::Hatch]);
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
fn what_a_floor_hid_of_the_bottom_is_filled_and_the_floor_is_below() {
    let hull = decked(0.02, &HOLES);
    let mut random = Random(25);
    let recipe = outer_skin_on_a_floor();
    let mut made = random.motion();
    made.turn = nalgebra::Rotation3::from_axis_angle(&Vec3::x_axis(), 3.0) * made.turn;
    let mut scan = on_a_floor(&two_skins(&hull, 0.005, 9.0), 0.004);
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
