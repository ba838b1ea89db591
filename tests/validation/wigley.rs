//! The hull of parabolic waterlines and sections that goes by Wigley's name,
//! `y = B/2 (1 − (2x/L)²)(1 − (z/T)²)`, floating at z = 0. (The name is common practice,
//! no source: of the forms in W. C. S. Wigley, "A Comparison of Experiment and Calculated
//! Wave-Profiles and Wave-Resistances for a form having Parabolic Waterlines", Proc. Royal
//! Society A 144, 1934, none has this section.) All values are of the integrals here, the
//! wetted area of the quadrature below.
//!
//! With ξ = 2x/L and ζ = z/T every quantity is a product of
//! `∫(1 − ξ²)ᵏ dξ` = 4/3, 16/15, 32/35 for k = 1, 2, 3 and the like:
//! `V = 4/9 L B T`, `KB = ⅝ T`, `Aw = ⅔ L B`, `I_T = 4/105 L B³`,
//! `I_L = L³ B/30`, `BM_T = 3/35 B²/T`, `BM_L = 3/40 L²/T`.
use awash::mesh::solids;
use awash::study::Hydrostatics;

use crate::support::{bm_longitudinal, bm_transverse, buoyancy_height, converges, under};

const LENGTH_M: f64 = 4.0;
const DRAUGHT_M: f64 = 0.25;
/// Straight sides above the water, so that the plane is not the deck.
const FREEBOARD_M: f64 = 0.1;

type Quantity = fn(&Hydrostatics) -> f64;

#[test]
fn both_breadths_have_the_closed_form_quantities_with_error_as_1_over_n2() {
    for (b, wetted) in [(1.0, 3.611_733_270_85), (0.4, 2.380_650_096_79)] {
        let (l, t): (f64, f64) = (LENGTH_M, DRAUGHT_M);
        let cuts = [12, 24, 48].map(|n| under(&solids::wigley(l, b, t, n, FREEBOARD_M), 0.0));
        let of = |n: usize| &cuts[(n / 12).ilog2() as usize];
        let quantities: [(&str, f64, Quantity); 8] = [
            ("V", 4.0 / 9.0 * l * b * t, |cut| cut.displaced_volume_m3),
            ("KB", 5.0 / 8.0 * t, |cut| DRAUGHT_M + buoyancy_height(cut)),
            ("Aw", 2.0 / 3.0 * l * b, |cut| cut.waterplane_area_m2),
            ("IT", 4.0 / 105.0 * l * b.powi(3), |cut| {
                cut.second_moment_transverse_m4
            }),
            ("IL", l.powi(3) * b / 30.0, |cut| {
                cut.second_moment_longitudinal_m4
            }),
            ("BMT", 3.0 / 35.0 * b * b / t, bm_transverse),
            ("BML", 3.0 / 40.0 * l * l / t, bm_longitudinal),
            ("wetted", wetted, |cut| cut.wetted_area_m2),
        ];
        for (name, exact, quantity) in quantities {
            converges(&format!("{name}, B {b}"), exact, 12, |n| quantity(of(n)));
        }
        assert!((wetted_by_quadrature(b) / wetted - 1.0).abs() < 1e-9);
    }
}

/// `2 ∫∫ √(1 + y_x² + y_z²) dx dz` by Simpson's rule on a 400 × 400 grid of
/// one quarter: the integrand is smooth, the error below 1e-9.
fn wetted_by_quadrature(breadth_m: f64) -> f64 {
    const STEPS: usize = 400;
    let weight = |i: usize| match i {
        0 | STEPS => 1.0,
        i if i % 2 == 1 => 4.0,
        _ => 2.0,
    };
    let mut sum = 0.0;
    for i in 0..=STEPS {
        for j in 0..=STEPS {
            let (xi, zeta) = (i as f64 / STEPS as f64, j as f64 / STEPS as f64);
            let slope_x = -2.0 * breadth_m / LENGTH_M * xi * (1.0 - zeta * zeta);
            let slope_z = -breadth_m / DRAUGHT_M * zeta * (1.0 - xi * xi);
            let stretch = (1.0 + slope_x * slope_x + slope_z * slope_z).sqrt();
            sum += weight(i) * weight(j) * stretch;
        }
    }
    // Two sides, fore and aft halves; cell L/2 × T over STEPS² thirds.
    4.0 * sum / 9.0 / (STEPS * STEPS) as f64 * (LENGTH_M / 2.0) * DRAUGHT_M
}
