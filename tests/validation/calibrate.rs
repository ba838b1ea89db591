//! Calibration against measurements made up from closed forms of the box, and
//! against an inclining exercise.
use awash::numerics::Vec3;
use awash::study::{
    FloatMark, InclineMove, Measured, Push, TwoScales, calibrate, metacentric_height_from_moves,
};
use awash::study::{Scale, Tipped};

use crate::boats::laden_box;
use crate::support::near;

/// An inclining exercise: 8000 t, pendulum 5.5 m, masses moved 12 m: 3 t move
/// its bob 64 mm, 6 t 116 mm, to the other side 54 and 113 mm; GM .427 to .428 m
/// (figures from memory; the method, GM = w d l/(Δ x), is in Derrett & Barrass, Ship
/// Stability for Masters and Mates, "The inclining test"). The exercise takes the mean of the four values, .387 to .458 m; a fit gives
/// the larger moves more weight, hence 1 %.
#[test]
fn an_inclining_exercise() {
    let moves: Vec<(f64, f64)> = [(3.0, 64.0), (6.0, 116.0), (3.0, 54.0), (6.0, 113.0)]
        .iter()
        .map(|(tonnes, mm)| (tonnes * 12.0, mm / 5500.0))
        .collect();
    let gm = metacentric_height_from_moves(&moves, 8000.0).expect("it tells");
    near("GM", gm, 0.4275, 0.004_275);
    let mean: f64 = moves
        .iter()
        .map(|(lever, tangent)| lever / (8000.0 * tangent))
        .sum();
    assert!(
        (mean / 4.0 - 0.4275).abs() < 0.0005,
        "the exercise's own mean"
    );
    assert_eq!(
        metacentric_height_from_moves(&[(36.0, -0.01)], 8000.0),
        None
    );
    assert_eq!(metacentric_height_from_moves(&[], 8000.0), None);
}

/// A box that floats at a draught of .27 m in the middle, the waterline's slope .01
/// along (bow up) and .02 across (starboard down), displaces 4 · .27 m³. Its
/// buoyancy lies `I s/V` to the low side and `T/2 + (I s²)/(2 V)` up (the columns'
/// moments; I 16/3 along, 1/3 across), and the weight stands over it.
#[test]
fn float_marks_give_the_mass_and_the_line_of_the_weight() {
    let (draught, along, across) = (0.27, 0.01, 0.02);
    // Bow up: the water stands lower on the hull forward; starboard down: higher
    // to starboard (−y).
    let water = |x: f64, y: f64| draught - along * x - across * y;
    let norm = (1.0_f64 + along * along + across * across).sqrt();
    let marks = [[2.0, 0.5], [2.0, -0.5], [-2.0, 0.5], [-2.0, -0.5]]
        .iter()
        .map(|[x, y]| FloatMark {
            at_m: Vec3::new(*x, *y, 0.5),
            over_water_m: (0.5 - water(*x, *y)) / norm,
        })
        .collect();
    let measured = Measured {
        marks,
        ..Measured::default()
    };
    let result = calibrate(&laden_box(""), &measured).expect("it tells");
    let volume = 4.0 * draught;
    near("mass", result.mass_kg, 1000.0 * volume, 1e-6);
    let second = [16.0 / 3.0, 1.0 / 3.0];
    let buoyancy = [
        -second[0] * along / volume,
        -second[1] * across / volume,
        draught / 2.0 + (second[0] * along * along + second[1] * across * across) / (2.0 * volume),
    ];
    // The file's height of .2 m stays; up is (along, across, 1)/norm.
    let height = 0.2 - buoyancy[2];
    near(
        "x",
        result.centre_of_gravity_m[0],
        buoyancy[0] + along * height,
        1e-9,
    );
    near(
        "y",
        result.centre_of_gravity_m[1],
        buoyancy[1] + across * height,
        1e-9,
    );
    near("z", result.centre_of_gravity_m[2], 0.2, 0.0);
    for line in &result.residuals {
        near(&line.what, line.measured, line.corrected_boat, 1e-8);
    }
}

/// The same box level: 10 kg moved .3 m heel it by `tan φ (GM + ½ BM tan²φ) =
/// w d/Δ`, of which the fit leaves out the second term: BM/(2 GM) · tan²φ, some
/// 1e-4 of GM here.
#[test]
fn inclining_moves_give_the_height_of_the_weight() {
    let (bm, kb, kg) = (1.0 / 3.0, 0.125, 0.16);
    let gm: f64 = kb + bm - kg;
    let moves = [0.3, -0.3, 0.6, -0.6].map(|moved| {
        let wanted: f64 = 10.0 * moved / 1000.0;
        let mut tangent = wanted / gm;
        for _ in 0..50 {
            tangent = wanted / (gm + 0.5 * bm * tangent * tangent);
        }
        InclineMove {
            mass_kg: 10.0,
            moved_m: moved,
            heel_deg: tangent.atan().to_degrees(),
        }
    });
    let marks = [[2.0, 0.5], [2.0, -0.5], [-2.0, 0.0]]
        .map(|[x, y]| FloatMark {
            at_m: Vec3::new(x, y, 0.5),
            over_water_m: 0.25,
        })
        .to_vec();
    // A push of 40 kgf in the middle sinks it 1 cm.
    let push = Push {
        at_m: Vec3::new(0.0, 0.0, 0.5),
        force_n: 40.0 * awash::numerics::STANDARD_GRAVITY_M_S2,
        sinks_m: 0.01,
    };
    let measured = Measured {
        marks,
        moves: moves.to_vec(),
        pushes: vec![push],
        ..Measured::default()
    };
    let result = calibrate(&laden_box(""), &measured).expect("it tells");
    near("z", result.centre_of_gravity_m[2], kg, 2e-4 * gm);
    let pushed = result.residuals.last().expect("the push");
    near("push", pushed.corrected_boat, 0.01, 1e-9);
    for line in &result.residuals {
        near(
            &line.what,
            line.measured,
            line.corrected_boat,
            2e-4 * line.measured.abs(),
        );
    }
}

/// A weight W at x, h over the supports: the after scale carries `W (x2 − x)/(x2 − x1)`;
/// with the fore end raised by θ the weight has moved aft of the supports by
/// `h tan θ`.
#[test]
fn two_scales_give_mass_and_balance_and_tipped_the_height() {
    let (weight, x, height) = (1040.0, 0.15, 0.35);
    let (aft, fore) = (-1.5, 1.7);
    let tip_deg = 12.0_f64;
    let carries = |x: f64| weight * (x - aft) / (fore - aft);
    let scales = TwoScales {
        aft: Scale {
            x_m: aft,
            reads_kg: weight - carries(x),
        },
        fore: Scale {
            x_m: fore,
            reads_kg: carries(x),
        },
        stands_at_z_m: -0.1,
        tipped: Some(Tipped {
            angle_deg: tip_deg,
            fore_reads_kg: carries(x - height * tip_deg.to_radians().tan()),
        }),
    };
    let measured = Measured {
        two_scales: Some(scales),
        ..Measured::default()
    };
    let more = "[[item]]\nname = \"lead\"\nmass = 20\nat = [0.3, -0.4, 0.1]\n";
    let result = calibrate(&laden_box(more), &measured).expect("it tells");
    near("mass", result.mass_kg, weight, 1e-9);
    near("x", result.centre_of_gravity_m[0], x, 1e-12);
    near("z", result.centre_of_gravity_m[2], -0.1 + height, 1e-12);
    // The hull makes up the whole: 1020 kg, and its moment with the lead's.
    near("hull", result.hull_mass_kg, 1020.0, 1e-9);
    let hull_x = (weight * x - 20.0 * 0.3) / 1020.0;
    near("hull x", result.hull_centre_m[0], hull_x, 1e-12);
}
