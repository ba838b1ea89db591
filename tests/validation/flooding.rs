//! Filling boxes and loose water against closed forms.
use std::sync::Arc;

use awash::boat::Boat;
use awash::equilibrium::{Craft, Displacers, Hold, Liquid, find_rest};
use awash::immersion::MomentTree;
use awash::mesh::{solids, write_stl_binary};
use awash::numerics::Vec3;
use awash::study::{Knocked, SwampEnd, SwampResult, swamp};

use crate::support::{craft, near, near_share};

/// Standard gravity (3rd CGPM, 1901).
const GRAVITY: f64 = 9.806_65;
/// Corners of the polygon that stands for a round hole: its area is computed
/// from the polygon, so this is no approximation of the check.
const CORNERS: u32 = 64;

/// A closed box with a round hole in its bottom, `size` long, broad and deep.
fn holed_box(size: [f64; 3], mass_kg: f64, hole_m: f64) -> (tempfile::TempDir, Boat, f64) {
    let folder = tempfile::tempdir().expect("a folder");
    let [length, breadth, depth] = size;
    let half = Vec3::new(length / 2.0, breadth / 2.0, 0.0);
    let solid = solids::cuboid(-half, half + Vec3::new(0.0, 0.0, depth));
    write_stl_binary(&folder.path().join("box.stl"), &solid).expect("written");
    let radius = hole_m / 2.0;
    let angle = std::f64::consts::TAU / f64::from(CORNERS);
    let rim: Vec<String> = (0..CORNERS)
        .map(|k| {
            let (sin, cos) = (angle * f64::from(k)).sin_cos();
            format!("[{:.12}, {:.12}, 0]", radius * cos, radius * sin)
        })
        .collect();
    let area = f64::from(CORNERS) / 2.0 * radius * radius * angle.sin();
    let file = folder.path().join("box.toml");
    let text = format!(
        "[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = \"{mass_kg} kg\"\ncentre = [0, 0, {}]\n\
         [[opening]]\nname = \"hole\"\nrim = [{}]\n",
        depth / 4.0,
        rim.join(", ")
    );
    std::fs::write(&file, text).expect("written");
    let boat = Boat::load(&file).expect("it loads");
    (folder, boat, area)
}

fn filled(boat: &Boat, step_share: f64) -> SwampResult {
    let knocked = Knocked {
        held_s: 0.0,
        discharge_coefficient: 0.62,
        step_share,
        ..Knocked::default()
    };
    swamp(boat, &knocked).expect("it floats at first")
}

/// A thin-walled box with a hole in its bottom: as water comes in it sinks by as
/// much as the water inside rises, so the head stays at the first draught T, the
/// flow at Cd a √(2gT), and it is awash when A (D − T) has come in. Box 4 × 1 ×
/// 0.5 m, 1000 kg, holes of 20, 30 and 50 mm, Cd 0.62. The craft counts as gone a millionth
/// of its reserve early, and the flow is constant: 1e-4 is allowed.
#[test]
fn a_box_with_a_hole_in_its_bottom_is_awash_after_the_closed_form_time() {
    for hole_m in [0.02, 0.03, 0.05] {
        let (_folder, boat, area) = holed_box([4.0, 1.0, 0.5], 1000.0, hole_m);
        let result = filled(&boat, 1.0);
        let want = 4.0 * 0.25 / (0.62 * area * (2.0 * GRAVITY * 0.25).sqrt());
        assert_eq!(result.end, SwampEnd::Sunk);
        let sunk_s = result.sunk_s.expect("a time");
        near_share("time to awash", sunk_s, want, 1e-4);
    }
}

/// The thin pontoon of the same kind: 5 × 2 × 1.2 m, draught 0.15 m, a 110 mm
/// hole, Cd 0.62.
#[test]
fn a_thin_pontoon_sinks_after_the_closed_form_time() {
    let (_folder, boat, area) = holed_box([5.0, 2.0, 1.2], 1500.0, 0.11);
    let sunk_s = filled(&boat, 1.0).sunk_s.expect("it sinks");
    let want = 10.0 * 1.05 / (0.62 * area * (2.0 * GRAVITY * 0.15).sqrt());
    near_share("time to sink", sunk_s, want, 1e-4);
}

/// The project's own bound: halving the steps changes the dipper's sinking time
/// by less than 1 %.
#[test]
fn halving_the_step_changes_the_sinking_time_by_less_than_a_hundredth() {
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("meshes/dipper/after.toml");
    let boat = Boat::load(&file).expect("the demo loads");
    let sunk = |step_share: f64| {
        let knocked = Knocked {
            inside_m3: 0.165,
            step_share,
            ..Knocked::default()
        };
        let result = swamp(&boat, &knocked).expect("it floats at first");
        result.sunk_s.expect("it sinks")
    };
    near_share("sinking time", sunk(0.5), sunk(1.0), 0.01);
}

/// Loose water in a box: its volume is kept to rounding at any attitude.
#[test]
fn loose_water_keeps_its_volume_at_any_attitude() {
    let space = solids::cuboid(Vec3::zeros(), Vec3::new(2.0, 1.0, 0.5));
    let mut room = Displacers::default();
    room.push(0.8, Arc::new(MomentTree::new(&space, &[])));
    let liquid = Liquid {
        space: room,
        volume_m3: 0.3,
        relative_density: 1.0,
        surface_near_m: None,
    };
    for (x, y) in [(0.0, 0.0), (0.1, 0.3), (-0.5, 0.2), (0.9, -0.4)] {
        let up = Vec3::new(x, y, (1.0_f64 - x * x - y * y).sqrt());
        near("volume", liquid.settled(&up).volume_m3, 0.3, 1e-12);
    }
}

/// Free surface: water loose in a tank of length l and breadth b takes
/// l b³/12 / V from the metacentric height (Derrett & Barrass, free surface
/// effect). A box 4 × 1 m of 900 kg at KG 0.2 with 100 kg of water in a tank
/// 2 × 0.5 m on its floor, and 1 kg 0.1 m off centre: tan φ = moment / (Δ GM).
/// The angle is small (0.05°): the wall-sided term is 1e-6 of the whole.
#[test]
fn loose_water_takes_its_free_surface_from_the_metacentric_height() {
    let hull = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    let tank = solids::cuboid(Vec3::new(-1.0, -0.25, 0.0), Vec3::new(1.0, 0.25, 0.3));
    let offset = 0.1 / 900.0;
    let loaded = Craft {
        liquids: vec![Liquid {
            space: Displacers::envelope(Arc::new(MomentTree::new(&tank, &[]))),
            volume_m3: 0.1,
            relative_density: 1.0,
            surface_near_m: None,
        }],
        ..craft(&hull, 900.0, Vec3::new(0.0, -offset, 0.2))
    };
    let rest = find_rest(&loaded, &Vec3::z(), Hold::Nothing).expect("it floats");
    let draught = 0.25;
    let kg = (900.0 * 0.2 + 100.0 * 0.05) / 1000.0;
    let loss = 2.0 * 0.5_f64.powi(3) / 12.0 / 1.0;
    let gm = draught / 2.0 + 1.0 / (12.0 * draught) - kg - loss;
    let want = (900.0 * offset / (1000.0 * gm)).atan().to_degrees();
    near_share("heel", rest.plane().heel_deg(), want, 1e-5);
}
