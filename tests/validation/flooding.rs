//! Filling boxes and loose water against closed forms.
use std::sync::Arc;

use awash::boat::Boat;
use awash::equilibrium::{Craft, Displacers, Hold, Liquid, find_rest};
use awash::immersion::MomentTree;
use awash::mesh::{solids, write_stl};
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem::Metric;
use awash::study::{Answer, Knocked, Start, SwampEnd, SwampResult, swamp};

use crate::boats::made;
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
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .expect("written");
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

fn filled(boat: &Boat, step_share: f64) -> Answer<SwampResult> {
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

/// The project's own bound: halving the steps changes the decked craft's sinking time
/// by less than 1 %.
#[test]
fn halving_the_step_changes_the_sinking_time_by_less_than_a_hundredth() {
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats/after.toml");
    let boat = Boat::load(&file).expect("the boat loads");
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

/// A box 4 × 1 × 0.5 m of 1000 kg, its centre of gravity 50 mm over the keel, in
/// fresh water: draught 0.25 m, and stable with water loose inside.
fn low_box(more: &str) -> Boat {
    made(
        &solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5)),
        &format!("mass = 1000\ncentre = [0, 0, 0.05]\n{more}"),
    )
}

/// A square hole in the bottom, in the middle, as an opening.
fn bottom_hole(side_m: f64) -> String {
    let h = side_m / 2.0;
    format!(
        "[[opening]]\nname = \"hole\"\nrim = [[-{h}, -{h}, 0], [{h}, -{h}, 0], [{h}, {h}, 0], [-{h}, {h}, 0]]\n"
    )
}

fn as_it_stands() -> Knocked {
    Knocked {
        start: Start::Condition,
        ..Knocked::default()
    }
}

/// A full space passes pressure on. Under a sole at 0.1 m the space fills through a hole
/// a₁ in the bottom; once it is full the same water comes through a hole a₂ in the sole:
/// two orifices in series, `q = C √(2gΔh)/√(1/a₁² + 1/a₂²)` (derived: `q = C aₖ √(2g hₖ)`
/// through both, and `h₁ + h₂ = Δh`). Craft and levels rise together: Δh is 0.25 m all
/// the way, and 1 m³ sinks it.
#[test]
fn a_full_space_passes_its_pressure_on() {
    let (one, other): (f64, f64) = (0.04 * 0.04, 0.002);
    let more = format!(
        "[[compartment]]\nname = \"bilge\"\nbelow = 0.1\n[[passage]]\nname = \"limber\"\nbetween = [\"bilge\", \"inside\"]\nat = [0, 0, 0.1]\narea = \"{other} m2\"\n{}",
        bottom_hole(0.04)
    );
    let result = swamp(&low_box(&more), &as_it_stands()).expect("it floats at first");
    assert_eq!(result.end, SwampEnd::Sunk, "{}", result.summary(Metric));
    let speed = 0.61 * (2.0 * GRAVITY * 0.25).sqrt();
    let series = speed / (1.0 / one.powi(2) + 1.0 / other.powi(2)).sqrt();
    let want = 0.4 / (speed * one) + 0.6 / series;
    near_share("sunk", result.sunk_s.expect("a time"), want, 1e-3);
}

/// Two spaces one after the other, by a differential equation of their own: the
/// middle metre of the box fills through its bottom and passes water through two
/// round holes to both ends. Draught `(1 + V₁ + V₂)/4`, levels V₁ and V₂/3 (areas 1
/// and 3 m²); the round holes by sums over 400 strips; Runge and Kutta's fourth
/// order with steps of 50 ms. The holes are circles here, rings of 24 corners of the
/// same area there, and the time line's own steps are held to 0.5 % of what is in.
/// (Internal consistency: the law of the flow and its coefficients are the kernel's.)
#[test]
fn two_spaces_fill_as_an_equation_of_their_own_says() {
    let (side, radius, at) = (0.05, 0.03_f64, 0.12);
    let passage = |x: f64| {
        format!(
            "[[passage]]\nname = \"limber {x}\"\nbetween = [\"middle\", \"inside\"]\nat = [{x}, 0, {at}]\ndiameter = \"60 mm\"\n"
        )
    };
    let more = format!(
        "[[compartment]]\nname = \"middle\"\nforward_of = -0.5\naft_of = 0.5\n{}{}{}",
        passage(-0.5),
        passage(0.5),
        bottom_hole(side)
    );
    let root_2g = (2.0 * GRAVITY).sqrt();
    // From level h to level l: `C ∬ √(min(depth, h − l)) dA` under water, the weir's
    // coefficient while the upper edge is dry.
    let through = |high: f64, low: f64| {
        let strips: f64 = (0..400)
            .map(|k| {
                let off = radius * ((f64::from(k) + 0.5) / 200.0 - 1.0);
                let depth = (high - (at + off)).min(high - low).max(0.0);
                2.0 * (radius * radius - off * off).sqrt() * depth.sqrt() * radius / 200.0
            })
            .sum();
        let share = if high < at + radius { 0.602 } else { 0.61 };
        2.0 * share * root_2g * strips
    };
    let rates = |[middle, ends]: [f64; 2]| {
        let head = (1.0 + middle + ends) / 4.0 - middle;
        let enters = 0.61 * side * side * root_2g * head.max(0.0).sqrt();
        let on = through(middle, ends / 3.0);
        [enters - on, on]
    };
    let step = 0.05;
    let mut water = [0.0, 0.0];
    let mut path = vec![water];
    for _ in 0..20_000 {
        let moved = |by: [f64; 2], times: f64| [0, 1].map(|k| water[k] + times * by[k]);
        let a = rates(water);
        let b = rates(moved(a, step / 2.0));
        let c = rates(moved(b, step / 2.0));
        let d = rates(moved(c, step));
        water = [0, 1].map(|k| water[k] + step / 6.0 * (a[k] + 2.0 * b[k] + 2.0 * c[k] + d[k]));
        path.push(water);
    }
    let result = swamp(&low_box(&more), &as_it_stands()).expect("it floats at first");
    let mut checked = 0;
    for line in &result.time_line {
        let steps = line.time_s / step;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number of steps, counted from nought"
        )]
        let index = steps as usize;
        if line.water_m3 < 0.01 || index + 1 >= path.len() {
            continue;
        }
        let (before, after) = (path[index], path[index + 1]);
        let share = steps.fract();
        for k in 0..2 {
            let want = before[k] + share * (after[k] - before[k]);
            near(
                "water",
                line.compartments_m3[k],
                want,
                0.005 * line.water_m3,
            );
        }
        checked += 1;
    }
    assert!(checked > 20, "{checked}");
}

/// Long holds are long steps: the same number of moments, ten thousand times as long.
#[test]
fn a_long_hold_takes_no_more_steps() {
    let boat = low_box(
        "[[opening]]\nname = \"hatch\"\nrim = [[-0.1, -0.1, 0.5], [0.1, -0.1, 0.5], [0.1, 0.1, 0.5], [-0.1, 0.1, 0.5]]\n[[compartment]]\nname = \"locker\"\nforward_of = -0.3\naft_of = 0.3\n",
    );
    let after = |held_s: f64| {
        let knocked = Knocked {
            held_s,
            ..Knocked::default()
        };
        let start = std::time::Instant::now();
        let result = swamp(&boat, &knocked).expect("it floats");
        let last = result.time_line.last().expect("a line").water_m3;
        (last, start.elapsed().as_secs_f64())
    };
    let (short, long) = (after(1e3), after(1e7));
    near_share("water", long.0, short.0, 1e-6);
    assert!(long.1 < 2.0 * short.1 + 0.5, "{short:?} {long:?}");
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
        stands_in: None,
        relative_density: 1.0,
        surface_near_m: None,
    };
    for (x, y) in [(0.0, 0.0), (0.1, 0.3), (-0.5, 0.2), (0.9, -0.4)] {
        let up = Vec3::new(x, y, (1.0_f64 - x * x - y * y).sqrt());
        near("volume", liquid.settled(&up).volume_m3, 0.3, 1e-12);
    }
}

/// Free surface: water loose in a tank of length l and breadth b takes l b³/12 / V from
/// the metacentric height (Derrett & Barrass, Ship Stability for Masters and Mates, 5th
/// edition 1999, chapter 20, "Calculating the effect of free surface of liquids"). A box
/// 4 × 1 m of 900 kg at KG 0.2 with 100 kg of water in a tank 2 × 0.5 m on its floor, and
/// 1 kg 0.1 m off centre: tan φ = moment / (Δ GM). The angle is small (0.05°): the
/// wall-sided term is 1e-6 of the whole.
#[test]
fn loose_water_takes_its_free_surface_from_the_metacentric_height() {
    let hull = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    let tank = solids::cuboid(Vec3::new(-1.0, -0.25, 0.0), Vec3::new(1.0, 0.25, 0.3));
    let offset = 0.1 / 900.0;
    let loaded = Craft {
        liquids: vec![Liquid {
            space: Displacers::envelope(Arc::new(MomentTree::new(&tank, &[]))),
            volume_m3: 0.1,
            stands_in: None,
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

/// A closed box with one room behind a bulkhead and a 51.4 mm hole high in its side: the
/// water creeps up to its end, where a sliver of the room stays over the sea. Heel, pitch
/// and water by a reference written apart in Python (half-space clipping of the box,
/// Newton's method on force and moments, no code of this project): 3.32747°, −23.42760°
/// and 381.984 L, rounded there.
#[test]
fn water_that_creeps_comes_to_its_end() {
    let folder = tempfile::tempdir().expect("a folder");
    let solid = solids::cuboid(
        Vec3::new(0.0, -0.422_147_548, 0.0),
        Vec3::new(2.551_835_82, 0.422_147_548, 0.676_091_508),
    );
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .expect("written");
    let text = "[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = \"453.25 kg\"\n\
                centre = [1.3652, -0.0089, 0.2445]\n[[opening]]\nname = \"hole\"\n\
                cylinder = { from = [2.0489, -0.442147548, 0.2769], to = [2.0489, -0.402147548, 0.2769], diameter = \"51.4 mm\" }\n\
                floods = \"fore\"\n[[compartment]]\nname = \"fore\"\npermeability = 0.95\nforward_of = 1.847\n";
    let file = folder.path().join("box.toml");
    std::fs::write(&file, text).expect("written");
    let boat = Boat::load(&file).expect("it loads");
    let result = swamp(&boat, &as_it_stands()).expect("it floats at first");
    assert_eq!(result.end, SwampEnd::AfloatSwamped);
    let last = result.time_line.last().expect("an end");
    near("heel", last.heel_deg, 3.327_47, 1e-4);
    near("pitch", last.pitch_deg, -23.427_60, 1e-4);
    near("water", last.water_m3, 0.381_984, 1e-5);
}
