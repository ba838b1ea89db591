//! A box, L 4, B 1, D 0.5 m. Every closed form is of a wall-sided body of
//! constant waterplane: `V = L B T`, `KB = T/2`, `I_T = L B³/12`,
//! `I_L = B L³/12`, `BM = I/V`.
use std::f64::consts::PI;

use awash::boat::Boat;
use awash::equilibrium::{Hold, find_rest};
use awash::immersion::WaterPlane;
use awash::mesh::{Surface, solids, write_stl};
use awash::numerics::Vec3;
use awash::study::{Answer, FloatResult, float};

use crate::support::{
    REST_ANGLE_RAD, ROUNDING, bm_longitudinal, bm_transverse, buoyancy_height, craft, held_at,
    near, near_share, rest_from, righting_arm, under, under_plane,
};

const LENGTH_M: f64 = 4.0;
const BREADTH_M: f64 = 1.0;
const DEPTH_M: f64 = 0.5;
const MASS_KG: f64 = 1000.0;

/// Length and breadth about the origin, base at z = 0.
fn cuboid() -> Surface {
    solids::cuboid(
        Vec3::new(-LENGTH_M / 2.0, -BREADTH_M / 2.0, 0.0),
        Vec3::new(LENGTH_M / 2.0, BREADTH_M / 2.0, DEPTH_M),
    )
}

#[test]
fn a_level_slice_has_the_closed_form_quantities() {
    let cut = under(&cuboid(), 0.25);
    near_share("V", cut.displaced_volume_m3, 1.0, ROUNDING);
    near_share("KB", buoyancy_height(&cut), 0.125, ROUNDING);
    near_share("Aw", cut.waterplane_area_m2, 4.0, ROUNDING);
    near_share("IT", cut.second_moment_transverse_m4, 1.0 / 3.0, ROUNDING);
    near_share(
        "IL",
        cut.second_moment_longitudinal_m4,
        16.0 / 3.0,
        ROUNDING,
    );
    near_share("BMT", bm_transverse(&cut), 1.0 / 3.0, ROUNDING);
    near_share("BML", bm_longitudinal(&cut), 16.0 / 3.0, ROUNDING);
    // Bottom 4, sides 2 · 4 · 0.25, ends 2 · 1 · 0.25.
    near_share("wetted", cut.wetted_area_m2, 6.5, ROUNDING);
    let flotation = cut.centre_of_flotation_m.expect("the plane cuts it");
    for (axis, want) in [0.0, 0.0, 0.25].into_iter().enumerate() {
        near("flotation", flotation[axis], want, ROUNDING);
    }
}

/// Archimedes: 1000 kg in fresh water displace 1 m³, so T = 1/(4 · 1).
#[test]
fn it_sinks_until_it_displaces_its_mass() {
    let rest = rest_from(
        &craft(&cuboid(), MASS_KG, Vec3::new(0.0, 0.0, 0.2)),
        0.0,
        0.0,
    );
    let level = rest.plane().waterline_height_m().expect("upright");
    near("T", level, 0.25, ROUNDING);
    near("heel", rest.plane().heel_deg(), 0.0, ROUNDING);
    near("pitch", rest.plane().pitch_deg(), 0.0, ROUNDING);
    near(
        "GMT",
        rest.gm_transverse_m(),
        0.125 + 1.0 / 3.0 - 0.2,
        ROUNDING,
    );
    near(
        "GML",
        rest.gm_longitudinal_m(),
        0.125 + 16.0 / 3.0 - 0.2,
        ROUNDING,
    );
}

/// While every side cuts the water, a box's centre of buoyancy moves
/// `BM tan φ` across and `½ BM tan² φ` up its own axis (wedges moved across),
/// so a weight that moves CG by `w d/Δ` across turns it to
/// `(GM + ½ BM tan² φ) tan φ = w d/Δ`.
#[test]
fn a_weight_moved_across_heels_it() {
    let moved_to_port = Vec3::new(0.0, 20.0 * 0.4 / MASS_KG, 0.2);
    let rest = rest_from(&craft(&cuboid(), MASS_KG, moved_to_port), 0.0, 0.0);
    // To port: port side down is negative heel.
    let heel = -rest.plane().heel_deg().to_radians();
    near("tan φ", heel.tan(), 0.030_948_617_3, 5e-11 + REST_ANGLE_RAD);
    let t = heel.tan();
    let (gm, bm) = (0.125 + 1.0 / 3.0 - 0.2, 1.0 / 3.0);
    near(
        "the cubic",
        (gm + bm / 2.0 * t * t) * t,
        0.008,
        REST_ANGLE_RAD,
    );
    near(
        "pitch",
        rest.plane().pitch_deg().to_radians(),
        0.0,
        REST_ANGLE_RAD,
    );
}

/// The same along: slope of the base against the water, bow down.
#[test]
fn a_weight_moved_forward_trims_it() {
    let moved_forward = Vec3::new(20.0 * 1.5 / MASS_KG, 0.0, 0.2);
    let rest = rest_from(&craft(&cuboid(), MASS_KG, moved_forward), 0.0, 0.0);
    let slope = (-rest.plane().pitch_deg()).to_radians().tan();
    near("slope", slope, 0.005_705_135_6, 5e-11 + REST_ANGLE_RAD);
    near(
        "heel",
        rest.plane().heel_deg().to_radians(),
        0.0,
        REST_ANGLE_RAD,
    );
}

/// KG .5: GM = −1/24 upright, and `GM + ½ BM tan² φ = 0` at tan φ = ½, just
/// when a bottom corner comes out and a top edge goes under.
#[test]
fn with_high_weights_it_lolls() {
    let top_heavy = craft(&cuboid(), MASS_KG, Vec3::new(0.0, 0.0, 0.5));
    // Past 31.5° it would go on to lie upside down: no start may get there.
    for start_deg in [0.0, 1.0, -1.0, 5.0, 10.0, -15.0, 20.0, 25.0, -28.0] {
        let rest = rest_from(&top_heavy, start_deg, 0.0);
        let heel = rest.plane().heel_deg();
        near(
            "angle of loll",
            heel.abs().to_radians(),
            0.5_f64.atan(),
            REST_ANGLE_RAD,
        );
        // From upright it goes to positive heel, as `find_rest` says.
        assert_eq!(heel > 0.0, start_deg >= 0.0, "from {start_deg}: {heel}");
    }
}

/// The same through a boat file and the study that people run.
#[test]
fn float_says_that_the_lolling_box_is_unstable_upright() {
    let lolling = float_of_file(0.5);
    let rest = lolling.result.rest.expect("it floats");
    assert!(!rest.stable, "upright GM is −1/24 m");
    near(
        "upright GM",
        rest.upright.gm_transverse_m,
        -1.0 / 24.0,
        ROUNDING,
    );
    near("heel", rest.hydrostatics.heel_deg.abs(), 26.565_051, 5e-7);
    // At loll GM is the slope of (GM + ½ BM tan²φ) sin φ where the bracket is nought:
    // BM tan²φ / cos φ = −2 · upright GM / cos φ (derived; the same in Tupper, Introduction
    // to Naval Architecture, "Metacentric height in the lolled condition").
    let at_loll = 2.0 / 24.0 / 0.5_f64.atan().cos();
    near("GM at loll", rest.gm_transverse_m, at_loll, GM_AT_A_KINK_M);

    let low = float_of_file(0.2).result.rest.expect("it floats");
    assert!(low.stable);
    near("T", low.draught_m, 0.25, ROUNDING);
    near("heel", low.hydrostatics.heel_deg, 0.0, ROUNDING);
    near("GM", low.gm_transverse_m, 0.125 + 1.0 / 3.0 - 0.2, ROUNDING);
    // Half of the box is out of the water.
    near("reserve", low.reserve_of_buoyancy_m3, 1.0, ROUNDING);
    near(
        "reserve, %",
        low.reserve_of_buoyancy_percent,
        50.0,
        100.0 * ROUNDING,
    );
}

/// Where corners meet the water the waterplane's second moment has a kink: an
/// angle right to 1e-8 rad gives GM to a few times that in metres.
const GM_AT_A_KINK_M: f64 = 10.0 * REST_ANGLE_RAD;

fn float_of_file(kg_m: f64) -> Answer<FloatResult> {
    let folder = tempfile::tempdir().expect("a folder to write in");
    // All coordinates are exact in the file's single precision.
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &cuboid(),
    )
    .expect("writes");
    let text = format!(
        "[water]\ndensity = \"1000 kg/m3\"\n\
         [hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = \"1000 kg\"\ncentre = [0.0, 0.0, {kg_m:?}]\n"
    );
    let path = folder.path().join("box.toml");
    std::fs::write(&path, text).expect("writes");
    float(&Boat::load(&path).expect("a sound boat")).expect("a result")
}

/// Wall-sided arms `(GM + ½ BM tan² φ) sin φ`, KG .2.
#[test]
fn righting_arms_are_those_of_a_wall_sided_body() {
    /// One unit of the last digit given: not all are rounded, some are cut.
    const DIGITS_M: f64 = 1e-10;
    let (gm, bm) = (0.125 + 1.0 / 3.0 - 0.2, 1.0 / 3.0);
    let loaded = craft(&cuboid(), MASS_KG, Vec3::new(0.0, 0.0, 0.2));
    for (heel_deg, arm_m) in [
        (5.0, 0.022_626_419_1),
        (10.0, 0.045_758_934_4),
        (20.0, 0.095_906_685_3),
        (25.0, 0.124_492_269_5),
    ] {
        for side in [1.0, -1.0] {
            let rest = held_at(&loaded, side * heel_deg);
            let displaced = rest.immersion.volume_m3;
            near_share("volume held", displaced, 1.0, ROUNDING);
            let what = format!("arm at {heel_deg}°");
            let arm = side * righting_arm(&rest);
            near(&what, arm, arm_m, DIGITS_M);
            let (sin, cos) = f64::to_radians(heel_deg).sin_cos();
            let tan = sin / cos;
            near(&what, arm, (gm + bm / 2.0 * tan * tan) * sin, ROUNDING);
        }
        // Pitch free gives the same: a box has nothing to trim it.
        let up = WaterPlane::at_attitude(heel_deg, 0.0, 0.0).up;
        let free = find_rest(&loaded, &up, Hold::Heel).expect("it floats");
        near(
            "pitch free",
            righting_arm(&free),
            arm_m,
            DIGITS_M + REST_ANGLE_RAD,
        );
    }
}

/// `KM = T/2 + B²/(12 T)` is least, B/√6, at T = B/√6: derivative
/// `½ − B²/(12 T²)`.
#[test]
fn metacentre_over_base_is_least_at_the_known_draught() {
    let least = BREADTH_M / 6.0_f64.sqrt();
    let km = |t: f64| {
        let cut = under(&cuboid(), t);
        buoyancy_height(&cut) + bm_transverse(&cut)
    };
    near_share("least KM", km(least), least, ROUNDING);
    let step: f64 = 0.01;
    for t in [least - step, least + step] {
        // Second derivative B²/(6 T³) = 1/least there; third-order rest under
        // a step over the draught, 2.5 %, of it.
        let over = step * step / (2.0 * least);
        near("KM beside it", km(t) - least, over, 0.03 * over);
    }
}

/// A plane heeled by φ and pitched by θ through the middle of a box that it
/// leaves by the four sides: the same volume, an area larger by 1/up.z.
#[test]
fn a_tilted_plane_cuts_the_same_volume_and_a_longer_area() {
    let plane = WaterPlane::at_attitude(12.0, 3.0, 0.25);
    let cut = under_plane(&cuboid(), &plane);
    near_share("V", cut.displaced_volume_m3, 1.0, ROUNDING);
    near_share("Aw", cut.waterplane_area_m2, 4.0 / plane.up.z, ROUNDING);
    assert!((plane.up.z - (12.0 * PI / 180.0).cos() * (3.0 * PI / 180.0).cos()).abs() < ROUNDING);
}
