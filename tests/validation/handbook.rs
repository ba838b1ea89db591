//! Worked examples of Derrett (revised by Barrass), Ship Stability for Masters
//! and Mates, as far as an intact body answers them. Chapters and pages are of the
//! 5th edition of 1999. Each answer is held to half of its last printed digit.
use awash::equilibrium::{Hold, find_rest};
use awash::mesh::{Surface, solids};
use awash::numerics::Vec3;

use crate::support::{bm_transverse, buoyancy_height, craft, held_at, near, righting_arm, under};

fn cuboid(length_m: f64, breadth_m: f64, depth_m: f64) -> Surface {
    solids::cuboid(
        Vec3::new(-length_m / 2.0, -breadth_m / 2.0, 0.0),
        Vec3::new(length_m / 2.0, breadth_m / 2.0, depth_m),
    )
}

fn draught_of(hull: &Surface, mass_kg: f64, density_kg_m3: f64) -> f64 {
    let mut floating = craft(hull, mass_kg, Vec3::zeros());
    floating.density_kg_m3 = density_kg_m3;
    let rest = find_rest(&floating, &Vec3::z(), Hold::Attitude).expect("it floats");
    rest.plane().waterline_height_m().expect("upright")
}

/// A box-shaped vessel of 24 m × 6 m displaces 150 t in salt water: 1.016 m ("Laws of
/// flotation", chapter 4; page not looked up).
#[test]
fn draught_of_a_box_in_sea_water() {
    let draught = draught_of(&cuboid(24.0, 6.0, 3.0), 150e3, 1025.0);
    near("draught", draught, 1.016, 5e-4);
}

/// From dock water of 1.006 t/m³ at 7.5 m draught to sea water: 7.361 m ("Effect of
/// density on draft and displacement", chapter 5; page not looked up).
#[test]
fn draught_of_a_box_from_dock_to_sea() {
    let hull = cuboid(120.0, 20.0, 10.0);
    let mass_kg = 120.0 * 20.0 * 7.5 * 1006.0;
    near(
        "in the dock",
        draught_of(&hull, mass_kg, 1006.0),
        7.5,
        1e-11,
    );
    near("at sea", draught_of(&hull, mass_kg, 1025.0), 7.361, 5e-4);
}

/// Metacentric diagram of a box of 10 m breadth: KM is least, 4.08 m, at that
/// draught; BM is 2.38 m at 3.5 m (chapter 12, "Calculating KB, BM, and metacentric
/// diagrams", p. 111).
#[test]
fn metacentric_diagram_of_a_box() {
    let hull = cuboid(50.0, 10.0, 12.0);
    let km = |t: f64| {
        let cut = under(&hull, t);
        buoyancy_height(&cut) + bm_transverse(&cut)
    };
    near("BM at 3.5 m", bm_transverse(&under(&hull, 3.5)), 2.38, 5e-3);
    near("least KM", km(4.08), 4.08, 5e-3);
    for tenths in 10..100 {
        let t = f64::from(tenths) / 10.0;
        assert!(km(t) >= 4.08, "KM {} at {t}", km(t));
    }
}

/// 6000 t, KB 3, KM 6, KG 5.5 m, heeled 25°: wall-sided GZ .35 m and, from that, moment
/// 2100 t·m (chapter 14, "Moments of statical stability", Example 1, p. 130). The box
/// with that KB and KM has T = 6 m and B² = 12 · 6 · 3; the wall-sided formula there,
/// (GM + ½ BM tan²φ) sin φ, gives the arm to more digits.
#[test]
fn wall_sided_arm_of_a_ship() {
    let (draught, breadth): (f64, f64) = (6.0, 216.0_f64.sqrt());
    let mass_kg = 6000e3;
    let length = mass_kg / 1000.0 / breadth / draught;
    // Deep enough that the deck edge is dry at 25°: 6 + 7.35 tan 25° = 9.4.
    let hull = cuboid(length, breadth, 12.0);
    let cut = under(&hull, draught);
    near("KB", buoyancy_height(&cut), 3.0, 1e-11);
    near("BM", bm_transverse(&cut), 3.0, 1e-11);
    let heeled = held_at(&craft(&hull, mass_kg, Vec3::new(0.0, 0.0, 5.5)), 25.0);
    let arm = righting_arm(&heeled);
    near("GZ, m", arm, 0.35, 5e-3);
    near("righting moment, t·m", arm * 6000.0, 2100.0, 5e-3 * 6000.0);
    let (sin, cos) = 25_f64.to_radians().sin_cos();
    let closed_form = (0.5 + 1.5 * (sin / cos).powi(2)) * sin;
    near("closed form of GZ, m", arm, closed_form, 1e-8);
}

/// Half-ordinates 0, 1.2, 1.5, 1.8, 1.8, 1.5, 1.2 m from the bow, 3 m apart: area
/// 51.6 m², centroid .77 m aft of the middle, second moment about the centroid's
/// transverse axis 1058 m⁴, all by Simpson's first rule (chapter 29, "Second moments of
/// areas", p. 262). That rule fits a parabola through each three ordinates; so does this
/// waterplane, drawn in chords of 3 cm, whose area is short by less than 1e-4 of itself.
///
/// Of such a side the rule gives area and moment exactly, but not the second
/// moment, whose integrand `x² y` is of the fourth degree: the rule leaves out
/// `−h⁵/90 · 12 y″` a pair of spacings and side. With `y″ h²` = −.9, −.3, 0
/// and h = 3 that is `2 · 27/90 · 12 · 1.2 = 8.64 m⁴`.
#[test]
fn waterplane_from_half_ordinates() {
    const ORDINATES_M: [f64; 7] = [0.0, 1.2, 1.5, 1.8, 1.8, 1.5, 1.2];
    const SPACING_M: f64 = 3.0;
    const CHORDS: usize = 100;
    // x forward, the bow at +9 m.
    let half = |from_bow: f64| {
        let i = [0, 2, 4][usize::from(from_bow > 6.0) + usize::from(from_bow > 12.0)];
        let [a, b, c] = [ORDINATES_M[i], ORDINATES_M[i + 1], ORDINATES_M[i + 2]];
        let u = from_bow / SPACING_M - i as f64 - 1.0;
        b + u * (c - a) / 2.0 + u * u * (a - 2.0 * b + c) / 2.0
    };
    let points = 6 * CHORDS;
    let side = |sign: f64| {
        (0..=points).map(move |k| {
            let from_bow = k as f64 * SPACING_M / CHORDS as f64;
            [9.0 - from_bow, sign * half(from_bow)]
        })
    };
    let mut outline: Vec<[f64; 2]> = side(1.0).collect();
    // The bow is one point, given once.
    outline.extend(side(-1.0).skip(1).collect::<Vec<_>>().into_iter().rev());
    // Drawn along x, then the axes turned round: (x, y, z) = (Y, Z, X).
    let mut hull = solids::prism_along_x(&outline, 0.0, 2.0);
    for v in &mut hull.vertices {
        *v = Vec3::new(v.y, v.z, v.x);
    }
    let cut = under(&hull, 1.0);
    near("area", cut.waterplane_area_m2, 51.6, 0.05);
    let flotation = cut.centre_of_flotation_m.expect("cut");
    near("centroid aft of the middle", -flotation[0], 0.77, 0.005);
    // The book takes 51.6 · 9.77² off; half of the last digit of 9.77 is worth
    // 51.6 · 2 · 9.77 · .005 = 5 m⁴.
    let left_out = 2.0 * 27.0 / 90.0 * 12.0 * 1.2;
    let by_the_rule = cut.second_moment_longitudinal_m4 - left_out;
    near("second moment", by_the_rule, 1058.0, 5.0);
}
