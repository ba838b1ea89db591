//! Compartments, tanks and flooding against closed forms and worked examples.
use awash::boat::Boat;
use awash::equilibrium::{Craft, Hold, find_rest};
use awash::mesh::{solids, write_stl};
use awash::numerics::Vec3;
use awash::study::{
    DiveOptions, FloodedCase, FloodedResult, Knocked, Start, SwampEnd, dive, float, flooded,
    spread, swamp,
};

use crate::boats::laden_box;
use crate::support::{near, near_share, sign_change};

/// Standard gravity (3rd CGPM, 1901), m/s².
const GRAVITY: f64 = 9.806_65;

/// A box of a size, x and y about its middle and the keel at z = 0, in water of
/// a density. `more` is added to its boat file.
fn box_boat(size: [f64; 3], mass_kg: f64, kg_m: f64, density: f64, more: &str) -> Boat {
    let folder = tempfile::tempdir().expect("a folder");
    let [length, breadth, depth] = size;
    let half = Vec3::new(length / 2.0, breadth / 2.0, 0.0);
    let solid = solids::cuboid(-half, half + Vec3::new(0.0, 0.0, depth));
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .expect("written");
    let file = folder.path().join("box.toml");
    let text = format!(
        "[water]\ndensity = {density}\n[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = {mass_kg}\ncentre = [0, 0, {kg_m}]\n{more}"
    );
    std::fs::write(&file, text).expect("written");
    Boat::load(&file).expect("a sound boat file")
}

fn middle(length_m: f64, permeability: f64) -> String {
    format!(
        "[[compartment]]\nname = \"middle\"\nforward_of = {}\naft_of = {}\npermeability = {permeability}\n",
        -length_m / 2.0,
        length_m / 2.0
    )
}

fn named<'r>(result: &'r FloodedResult, name: &str) -> &'r FloodedCase {
    let found = result.cases.iter().find(|case| case.name == name);
    found.expect("this case")
}

/// Derrett & Barrass, Ship Stability for Masters and Mates, "Bilging and permeability"
/// (chapter 21 of the 5th edition, 1999): Example 2, p. 206, box 150 × 24 m, draught 5 m,
/// the middle 20 m flooded: 5.77 m. An exercise of the same chapter (22.4 in the 6th
/// edition), box 40 × 6 m, draught 2 m, GM 0.6 m, the middle 10 m flooded: GM 0.558 m, on
/// the way to which the draught is 2 · 40/30 = 2.667 m. Held to half of the last digit.
#[test]
fn a_box_flooded_amidships_sinks_as_the_worked_examples_say() {
    let density = 1025.0;
    let boat = box_boat(
        [150.0, 24.0, 10.0],
        150.0 * 24.0 * 5.0 * density,
        5.0 / 2.0 + 24.0 * 24.0 / 60.0 - 0.9,
        density,
        &middle(20.0, 1.0),
    );
    let result = flooded(&boat).expect("it floats");
    let rest = named(&result, "middle").rest.as_ref().expect("afloat");
    near("draught", rest.draught_forward_m, 5.77, 0.005);
    near("the same aft", rest.draught_aft_m, 5.77, 0.005);

    let kg = 1.0 + 36.0 / 24.0 - 0.6;
    let mass = 40.0 * 6.0 * 2.0 * density;
    let boat = box_boat([40.0, 6.0, 5.0], mass, kg, density, &middle(10.0, 1.0));
    let result = flooded(&boat).expect("it floats");
    let rest = named(&result, "middle").rest.as_ref().expect("afloat");
    near("draught", rest.draught_aft_m, 2.667, 0.0005);
    near("GM", rest.gm_transverse_m, 0.558, 0.0005);
}

/// The box of 4 × 1 m at a draught of 0.25 m with 1 m amidships lost: the other
/// 3 m carry it, T = 1/3; with a permeability of 0.85 the space still carries
/// 0.15 of itself, T = 1/3.15 (closed form: volume kept).
#[test]
fn permeability_counts_in_a_flooded_box() {
    for (permeability, want) in [(1.0, 1.0 / 3.0), (0.85, 1.0 / 3.15)] {
        let boat = laden_box(&middle(1.0, permeability));
        let result = flooded(&boat).expect("it floats");
        let rest = named(&result, "middle").rest.as_ref().expect("afloat");
        near("draught", rest.draught_aft_m, want, 1e-9);
        // The same space flooded in the boat file is the same craft.
        let more = middle(1.0, permeability) + "flooded = true\n";
        let rest = float(&laden_box(&more)).expect("it floats").result.rest;
        let draught = rest.expect("afloat").draught_aft_m;
        near("flooded in the file", draught, want, 1e-9);
    }
}

/// Each space loses its own share of its volume: of the box 4 × 1 × 0.5 m of 500 kg the
/// middle metre 0.9, the 3 m that are left 0.6, symmetrical, so that it stays level. With
/// both open it floats on 4 (1 − p) of its 4 m², p weighted by volume (1 · 0.9 + 3 · 0.6)/4
/// = 0.675: T = 0.5/1.3. With one open, 0.5/3.1 and 0.5/2.2; with every share 0.05 less or
/// more, the hatch of the middle stands 0.5 − 0.5/(1 + 3 (1 − 0.6 ± 0.05)) above the water.
#[test]
fn permeabilities_count_by_the_volume_of_each_space() {
    let rest = "[[compartment]]\nname = \"inside\"\npermeability = 0.6\n[[opening]]\nname = \"hatch\"\nfloods = \"middle\"\nrim = [[-0.2, -0.2, 0.5], [0.2, -0.2, 0.5], [0.2, 0.2, 0.5], [-0.2, 0.2, 0.5]]\n";
    let more = middle(1.0, 0.9) + rest;
    let boat = box_boat([4.0, 1.0, 0.5], 500.0, 0.05, 1000.0, &more);
    let result = flooded(&boat).expect("it floats");
    let draught = |name: &str| {
        let rest = named(&result, name).rest.as_ref();
        rest.expect("afloat").draught_aft_m
    };
    let weighted = (1.0 * 0.9 + 3.0 * 0.6) / 4.0;
    let both = 0.5 / (4.0 * (1.0 - weighted));
    near("both", draught("middle, inside"), both, 1e-9);
    near("middle", draught("middle"), 0.5 / 3.1, 1e-9);
    near("inside", draught("inside"), 0.5 / 2.2, 1e-9);
    let band = named(&result, "inside").sill_band_m;
    for (sill, share) in band.into_iter().zip([0.55, 0.65]) {
        let want = 0.5 - 0.5 / (1.0 + 3.0 * (1.0 - share));
        near("hatch", sill.expect("afloat"), want, 1e-9);
    }
}

/// An end compartment of length l open to the sea. What is left is a box of
/// length m = L − l. With the water's slope t in the boat, the mean draught
/// d = V/(m B) over its middle, the area under water has its centroid at
/// x = t m²/(12 d) and z = d/2 + t² m²/(24 d) from the middle and the keel of
/// that box, and buoyancy stands under the weight when
/// x − xG = (zG − z) t. Exact while keel and deck stay clear.
#[test]
fn an_end_compartment_trims_a_box_as_the_closed_form_says() {
    let boat = laden_box("[[compartment]]\nname = \"fore end\"\nforward_of = 1.6\n");
    let result = flooded(&boat).expect("it floats");
    let rest = named(&result, "fore end").rest.as_ref().expect("afloat");
    let (left, kg) = (3.6, 0.2);
    let mean = 1.0 / left;
    let off = 0.2; // of the weight from the middle of what is left
    let slope = sign_change(0.0, 0.5, |t| {
        let x = t * left * left / (12.0 * mean);
        let z = mean / 2.0 + t * t * left * left / (24.0 * mean);
        x - off - (kg - z) * t
    });
    near("pitch", rest.pitch_deg, -slope.atan().to_degrees(), 1e-7);
    // Draughts are square to the water: over the slope's cosine.
    let depth = |x: f64| (mean + slope * (x + 0.2)) * slope.atan().cos();
    near("forward", rest.draught_forward_m, depth(2.0), 1e-9);
    near("aft", rest.draught_aft_m, depth(-2.0), 1e-9);
}

/// Things keep their room in a flooded space, where they stand: a sealed block
/// of 0.5 × 0.4 × 0.2 m, 60 kg, on the floor of the flooded middle metre lifts
/// 40 L. Volume kept: 3 T + 0.04 = 1.06 with the block wholly under.
#[test]
fn a_sealed_thing_keeps_its_room_in_a_flooded_space() {
    let more = middle(1.0, 1.0)
        + "[[item]]\nname = \"battery\"\nmass = 60\nat = [0, 0, 0.1]\nsize = [0.5, 0.4, 0.2]\nvolume = \"40 L\"\nsealed = true\n";
    let result = flooded(&laden_box(&more)).expect("it floats");
    let rest = named(&result, "middle").rest.as_ref().expect("afloat");
    near("draught", rest.draught_aft_m, (1.06 - 0.04) / 3.0, 1e-9);
}

/// Lost buoyancy and added mass are two ways to say the same end: a space open
/// to the sea by a hole in its bottom fills until its level is the sea's. The
/// flow is followed until less than a cupful an hour passes: the levels are then
/// within (flow/(Cd a))²/2g of each other, far below a micrometre.
#[test]
fn water_followed_in_ends_where_lost_buoyancy_says() {
    let hole: Vec<String> = [[1.75, -0.03], [1.85, -0.03], [1.85, 0.03], [1.75, 0.03]]
        .iter()
        .map(|[x, y]| format!("[{x}, {y}, 0]"))
        .collect();
    let more = format!(
        "[[compartment]]\nname = \"fore end\"\nforward_of = 1.6\n[[opening]]\nname = \"hole\"\nrim = [{}]\n",
        hole.join(", ")
    );
    let boat = laden_box(&more);
    let knocked = Knocked {
        start: Start::Condition,
        ..Knocked::default()
    };
    let filled = swamp(&boat, &knocked).expect("it floats");
    assert_eq!(filled.end, SwampEnd::AfloatSwamped);
    let last = filled.time_line.last().expect("a line");
    let result = flooded(&boat).expect("it floats");
    let rest = named(&result, "fore end").rest.as_ref().expect("afloat");
    near("pitch", last.pitch_deg, rest.pitch_deg, 1e-4);
    let level = last.inside_level_m.expect("water inside");
    near("level inside", level, last.outside_level_m, 1e-6);
    // Nothing came into the space behind the bulkhead.
    assert_eq!(last.compartments_m3[1], 0.0, "{:?}", last.compartments_m3);
}

/// What came in, less what was bailed, is what is inside, to 1e-9 of it, at
/// every moment, with water passing from space to space (the project's bound).
#[test]
fn water_is_conserved_over_a_time_line() {
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let boat = Boat::load(&file.join("tests/boats/bulkheads.toml")).expect("the boat loads");
    let knocked = Knocked {
        inside_m3: 0.06,
        bailed_m3_s: 0.0005,
        ..Knocked::default()
    };
    let result = swamp(&boat, &knocked).expect("it floats");
    let start = result.time_line[0].water_m3;
    assert!(result.time_line.iter().any(|line| line.bailed_m3 > 0.0));
    for line in &result.time_line {
        let want = start + line.entered_m3 - line.bailed_m3;
        near_share("water inside", line.water_m3, want, 1e-9);
        let rooms: f64 = line.compartments_m3.iter().sum();
        near_share("sum of the rooms", rooms, line.water_m3, 1e-12);
    }
    // The limber hole let some through.
    let both = |line: &awash::study::SwampLine| line.compartments_m3.iter().all(|v| *v > 0.0);
    assert!(result.time_line.iter().any(both));
}

/// Free surface of two slack tanks: 9000 long tons, tanks 40 × 30 ft, specific
/// gravity 0.86, in sea water of 1.025: GM falls by 0.48 ft, counted as
/// Σ l b³/12 × (0.86/1.025) over the volume of 9000 tons at 35 ft³ a ton (US Coast
/// Guard licence examinations, stability question 0449, as answered there to a
/// hundredth of a foot). That round 35 is 1.025 within 0.1 %.
#[test]
fn slack_tanks_cost_the_metacentric_height_of_the_examination() {
    const FOOT: f64 = 0.3048;
    const LONG_TON: f64 = 1_016.046_908_8;
    let tank = |name: &str, x: f64| {
        format!(
            "[[item]]\nname = \"{name}\"\nmass = 1\nat = [{x}, 0, 2]\nsize = [\"40 ft\", \"30 ft\", \"6 ft\"]\nliquid = {{ volume = \"{} m3\", density = 860 }}\n",
            40.0 * 30.0 * 3.0 * FOOT.powi(3)
        )
    };
    let liquid_kg = 2.0 * 40.0 * 30.0 * 3.0 * FOOT.powi(3) * 860.0;
    let more = tank("port tank", -20.0) + &tank("other tank", 20.0);
    let mass = 9000.0 * LONG_TON - liquid_kg - 2.0;
    let boat = box_boat([120.0, 16.0, 10.0], mass, 3.0, 1025.0, &more);
    let result = float(&boat).expect("it floats");
    near_share("all aboard", result.mass_kg, 9000.0 * LONG_TON, 1e-12);
    let rest = result.result.rest.expect("afloat");
    let lost_ft = rest.free_surface_transverse_m / FOOT;
    near("GM lost, ft", lost_ft, 0.48, 0.005);
    // By the closed form with these very numbers.
    let want = 2.0 * 40.0 * 30.0_f64.powi(3) / 12.0 * FOOT.powi(4) * 0.86
        / 1.025
        / (9000.0 * LONG_TON / 1025.0);
    near_share("closed form", rest.free_surface_transverse_m, want, 1e-9);
}

/// Liquid free to move heels a craft on: the box of 1000 kg with 100 kg of fresh
/// water in a tank 2 × 0.5 m and 1 kg put 0.4 m off the middle. Small angles:
/// tan φ = moment/(Δ GM) with GM less l b³/12/V.
#[test]
fn a_tank_in_the_boat_file_takes_part_in_the_attitude() {
    let more = "[[item]]\nname = \"tank\"\nmass = 0.001\nat = [0, 0, 0.15]\nsize = [2, 0.5, 0.3]\nliquid = { volume = \"100 L\" }\n[[item]]\nname = \"lamp\"\nmass = 1\nat = [0, 0.4, 0.2]\n";
    let rest = float(&laden_box(more)).expect("it floats").result.rest;
    let heel_deg = rest.expect("afloat").hydrostatics.heel_deg;
    let mass: f64 = 1101.001;
    let draught = mass / 4000.0;
    let kg = (1000.0 * 0.2 + 0.001 * 0.15 + 100.0 * 0.05 + 0.2) / mass;
    let loss = 2.0 * 0.125 / 12.0 / (mass / 1000.0);
    let gm = draught / 2.0 + 1.0 / (12.0 * draught) - kg - loss;
    // The wall-sided term is tan²φ/2 of BM, about 2e-6 of the whole.
    let want = (0.4 / (mass * gm)).atan().to_degrees();
    near_share("heel", -heel_deg, want, 1e-5);
}

/// A push at the edge tells the height of the weight: the closed form of a
/// wall-sided box, (GM + ½ BM tan²φ) tan φ = yG with the push as a load, gives
/// how far the edge sinks with KG 0.2; the boat file has KG 0.26.
#[test]
fn pushes_on_the_edge_give_the_height_of_the_weight() {
    use awash::study::{Measured, calibrate};
    let (push_kg, edge): (f64, f64) = (12.0, 0.5);
    let mass = 1000.0 + push_kg;
    let draught = mass / 4000.0;
    let kg = (1000.0 * 0.2 + push_kg * 0.5) / mass;
    let bm = 1.0 / (12.0 * draught);
    let gm = draught / 2.0 + bm - kg;
    let t = sign_change(0.0, 0.5, |t| {
        (gm + bm * t * t / 2.0) * t - push_kg * edge / mass
    });
    let (sin, cos) = t.atan().sin_cos();
    let sinks = (0.5 - 0.25) - ((0.5 - draught) * cos - edge * sin);
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("measured.toml");
    let mark =
        |x: f64, y: f64| format!("[[float_mark]]\nat = [{x}, {y}, 0.5]\nover_water = 0.25\n");
    let text = mark(2.0, 0.5)
        + &mark(2.0, -0.5)
        + &mark(-2.0, 0.5)
        + &format!(
            "[[push]]\nat = [0, {edge}, 0.5]\nforce = \"{} N\"\nsinks = {sinks}\n",
            push_kg * GRAVITY
        );
    std::fs::write(&file, text).expect("written");
    let boat = box_boat([4.0, 1.0, 0.5], 1000.0, 0.26, 1000.0, "");
    let measured = Measured::read(&awash::files::Disk, &file, None).expect("it reads");
    let result = calibrate(&boat, &measured).expect("it fits");
    assert_eq!(result.centre_from[2], "pushes");
    near(
        "height of the weight",
        result.centre_of_gravity_m[2],
        0.2,
        1e-6,
    );
}

/// The density's ± moves a box's freeboard by T δρ/ρ, a rim's ± by itself; of a normal
/// draw nine in ten lie within 1.645 deviations (`statistics.NormalDist` of Python's
/// library). 2000 draws: the ends of the band are known to about 4 % (their own spread,
/// √(p(1−p)/n) over the density there, is 2.4 %).
#[test]
fn the_water_and_the_rims_take_part_in_the_spread() {
    let opening = |z: &str| {
        format!(
            "[[opening]]\nname = \"hatch\"\nrim = [[0, 0, {z}], [0.2, 0, {z}], [0, 0.2, {z}]]\n"
        )
    };
    let half_band = |boat: &Boat| {
        let result = spread(boat, 2000, 7).expect("it floats");
        let [low, _, high] = result.openings[0].freeboard_m;
        (high.expect("it floats") - low.expect("it floats")) / 2.0
    };
    let density = "\"1000 kg/m3 ± 20 kg/m3\"";
    let folder = tempfile::tempdir().expect("a folder");
    let solid = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .expect("written");
    let file = folder.path().join("box.toml");
    let text = format!(
        "[water]\ndensity = {density}\n[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = 1000\ncentre = [0, 0, 0.2]\n{}",
        opening("0.5")
    );
    std::fs::write(&file, text).expect("written");
    let water = Boat::load(&file).expect("it loads");
    near_share("water", half_band(&water), 1.645 * 0.25 * 0.01, 0.1);
    let rim = laden_box(&opening("\"50 cm ± 1 cm\""));
    near_share("rim", half_band(&rim), 1.645 * 0.005, 0.1);
}

/// A craft with liquid in it and one with a flooded space go through the same
/// energy: its slope is the righting moment. Checked by differences of the
/// energy at fixed displacement (definition of work), step 1e-4 rad: the
/// difference's own error is of the order of its square.
#[test]
fn righting_arms_with_liquid_are_the_slope_of_the_energy() {
    let more = middle(1.0, 0.9)
        + "fill = \"60 L\"\n[[compartment]]\nname = \"aft\"\naft_of = -1.5\nflooded = true\n";
    let craft = Craft::of(&laden_box(&more));
    let at = |heel_rad: f64| {
        let up = Vec3::new(0.0, heel_rad.sin(), heel_rad.cos());
        find_rest(&craft, &up, Hold::Attitude).expect("it floats")
    };
    let (heel, step) = (0.1, 1e-4);
    let slope = (at(heel + step).energy_m4 - at(heel - step).energy_m4) / (2.0 * step);
    let here = at(heel);
    let forth = Vec3::new(0.0, heel.cos(), -heel.sin());
    near_share("arm", here.lever_m4.dot(&forth), slope, 1e-6);
}

/// Filling a tank through a hole in its bottom (dock filling, T = 2A√H/(C a √2g): UFC
/// 4-213-10, Design: Graving Drydocks, 15 August 2002, chapter 6, p. 6-6, eq. 5), the
/// craft sinking as it fills (derived): the head is h = T₀ − v (1/A − 1/Aw) with v
/// inside, A the tank's and Aw the waterplane's area, so
/// √h = √T₀ − ½ t C a √2g (1/A − 1/Aw). The tank stands in the middle: no trim. Water is
/// read off the time line, straight between its moments, at times of the test's own; the
/// steps' midpoint rule is held to 1e-3 of it.
#[test]
fn a_tank_fills_through_its_bottom_in_the_time_of_the_closed_form() {
    let (side, coefficient) = (0.06_f64, 0.61);
    let half = side / 2.0;
    let more = format!(
        "[[compartment]]\nname = \"tank\"\nforward_of = -0.5\naft_of = 0.5\n\
         [[opening]]\nname = \"hole\"\ndischarge = {coefficient}\n\
         rim = [[-{half}, -{half}, 0], [{half}, -{half}, 0], [{half}, {half}, 0], [-{half}, {half}, 0]]\n"
    );
    let boat = laden_box(&more);
    let knocked = Knocked {
        start: Start::Condition,
        step_share: 0.25,
        ..Knocked::default()
    };
    let result = swamp(&boat, &knocked).expect("it floats");
    let shrink = 1.0 - 1.0 / 4.0;
    let pace = coefficient * side * side * (2.0 * GRAVITY).sqrt() * shrink / 2.0;
    // Towards the end the level creeps up on the sea's: up to a head of 10 mm.
    let until_s = (0.25_f64.sqrt() - 0.01_f64.sqrt()) / pace;
    for fifth in 1..=5 {
        let time_s = until_s * f64::from(fifth) / 5.0;
        let after = result
            .time_line
            .iter()
            .position(|line| line.time_s >= time_s);
        let pair = &result.time_line[after.expect("it lasts so long") - 1..][..2];
        let share = (time_s - pair[0].time_s) / (pair[1].time_s - pair[0].time_s);
        let water = pair[0].water_m3 + share * (pair[1].water_m3 - pair[0].water_m3);
        let head = (0.25_f64.sqrt() - pace * time_s).powi(2);
        near_share("water after a time", water, (0.25 - head) / shrink, 1e-3);
    }
    let full = 0.25 / shrink;
    let last = result.time_line.last().expect("a line");
    near_share("water at the end", last.water_m3, full, 1e-4);
}

/// Water that stands in a sealed space weighs in every study: 50 L in either end of
/// a box 4 × 1 × 0.5 m of 1000 kg in water of 1000 kg/m³. It floats at 1.1/4 m; with
/// the middle metre open to the sea at 1.1/3 m (lost buoyancy); dived it weighs
/// 100 kg more than without. (Derived.)
#[test]
fn water_in_a_sealed_space_weighs_in_every_study() {
    let boat = |litres: u32| {
        let fill = if litres > 0 {
            format!("fill = \"{litres} L\"\n")
        } else {
            String::new()
        };
        let more = format!(
            "density = 1500\n[[opening]]\nname = \"hatch\"\nrim = [[-0.1, -0.1, 0.5], [0.1, -0.1, 0.5], [0, 0.1, 0.5]]\n[[compartment]]\nname = \"bow\"\nforward_of = 1.5\nsealed = true\n{fill}[[compartment]]\nname = \"stern\"\naft_of = -1.5\nsealed = true\n{fill}{}",
            middle(1.0, 1.0)
        );
        box_boat([4.0, 1.0, 0.5], 1000.0, 0.2, 1000.0, &more)
    };
    let laden = boat(50);
    let rest = float(&laden)
        .expect("it floats")
        .result
        .rest
        .expect("it floats");
    near(
        "waterline",
        rest.hydrostatics.waterline_height_m.expect("upright"),
        0.275,
        1e-9,
    );
    let case = Knocked {
        start: Start::Condition,
        ..Knocked::default()
    };
    let swamped = swamp(&laden, &case).expect("it floats");
    let first = &swamped.time_line[0];
    let level = first.waterline_height_m.expect("upright");
    near("waterline, swamp", level, 0.275, 1e-6);
    let flooded = flooded(&laden).expect("it floats");
    let middle = named(&flooded, "middle").rest.as_ref().expect("afloat");
    near(
        "draught, flooded",
        middle.draught_forward_m,
        1.1 / 3.0,
        1e-7,
    );
    let weight = |boat: &Boat| {
        let dived = dive(boat, &DiveOptions::default()).expect("it weighs something");
        dived.hangs.weight_in_water_kg
    };
    near(
        "weight in water",
        weight(&laden) - weight(&boat(0)),
        100.0,
        1e-6,
    );
}
