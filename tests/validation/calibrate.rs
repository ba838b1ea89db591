//! Calibration against measurements made up from closed forms of the box, and
//! against an inclining exercise.
use awash::numerics::Vec3;
use awash::present::with_words;
use awash::quantity::Quantity;
use awash::study::{
    Answer, CalibrateResult, FloatMark, InclineMove, Measured, Push, TwoScales, calibrate,
    metacentric_height_from_moves,
};
use awash::study::{Scale, Tipped};

use crate::boats::laden_box;
use crate::support::{near, near_share};

/// What JSON says to know or to doubt.
fn notes(result: &Answer<CalibrateResult>) -> Vec<String> {
    let told = with_words(result).expect("plain data");
    let notes = told["notes"].as_array().expect("a list").iter();
    notes
        .map(|note| note.as_str().expect("a text").to_owned())
        .collect()
}

/// An inclining exercise: 8000 t, pendulum 5.5 m, masses moved 12 m: 3 t move its bob 64
/// mm, 6 t 116 mm, to the other side 54 and 113 mm; GM .427 to .428 m (figures from
/// memory; the method, GM = w d l/(Δ x), is in Derrett & Barrass, Ship Stability for
/// Masters and Mates, 5th edition 1999, chapter 26, "The inclining experiment"). The
/// exercise takes the mean of the four values, .387 to .458 m; a fit gives the larger
/// moves more weight, hence 1 %.
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
        .map(|[x, y]| FloatMark::new(Vec3::new(*x, *y, 0.5), (0.5 - water(*x, *y)) / norm))
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
    let told = with_words(&result).expect("plain data");
    for (number, line) in result.residuals.iter().enumerate() {
        let what = told["residuals"][number]["what"].as_str().expect("a text");
        near(what, line.corrected_boat, line.measured, 1e-8);
    }
}

/// The same box level: 200 kg moved across heel it by `tan φ (GM + ½ BM tan²φ) =
/// w d/Δ`, some up to a heel of 12°, where the second term, BM/(2 GM) · tan²φ, is 2.5 %
/// of GM: leaving it out, as the formula of small angles does, puts the weight 7 mm too
/// low.
#[test]
fn inclining_moves_give_the_height_of_the_weight() {
    let (bm, kb, kg) = (1.0 / 3.0, 0.125, 0.16);
    let gm: f64 = kb + bm - kg;
    let moves = [0.325, -0.325, 0.15, -0.15].map(|moved| {
        let wanted: f64 = 200.0 * moved / 1000.0;
        let mut tangent = wanted / gm;
        for _ in 0..50 {
            tangent = wanted / (gm + 0.5 * bm * tangent * tangent);
        }
        InclineMove::new(200.0, moved, tangent.atan().to_degrees())
    });
    assert!(moves[0].heel.value > 11.9, "{}", moves[0].heel.value);
    let marks = [[2.0, 0.5], [2.0, -0.5], [-2.0, 0.0]]
        .map(|[x, y]| FloatMark::new(Vec3::new(x, y, 0.5), 0.25))
        .to_vec();
    // A push of 40 kgf in the middle sinks it 1 cm.
    let force_n = 40.0 * awash::numerics::STANDARD_GRAVITY_M_S2;
    let push = Push::new(Vec3::new(0.0, 0.0, 0.5), force_n, 0.01);
    let measured = Measured {
        marks,
        moves: moves.to_vec(),
        pushes: vec![push],
        ..Measured::default()
    };
    let result = calibrate(&laden_box(""), &measured).expect("it tells");
    near("z", result.centre_of_gravity_m[2], kg, 1e-7);
    near("GM", result.gm_transverse_m.expect("moves"), gm, 1e-7);
    let pushed = result.residuals.last().expect("the push");
    near("push", pushed.corrected_boat, 0.01, 1e-7);
    let told = with_words(&result).expect("plain data");
    for (number, line) in result.residuals.iter().enumerate() {
        let what = told["residuals"][number]["what"].as_str().expect("a text");
        near(what, line.corrected_boat, line.measured, 1e-6);
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
    let tan = tip_deg.to_radians().tan();
    let scales = TwoScales {
        aft: Scale::new(aft, weight - carries(x)),
        fore: Scale::new(fore, carries(x)),
        stands_at_z: Quantity::exact(-0.1),
        tipped: Some(Tipped::new(tip_deg, carries(x - height * tan))),
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
    // Two scales ± .5 kg each: the mass ± .5 √2 kg; x = x1 + (x2 − x1) R2/(R1 + R2), so
    // that ± (x2 − x1)/W · .5 kg · √(s² + (1 − s)²) with s = R2/W.
    near("± mass", result.mass_spread_kg, 0.5 * 2.0_f64.sqrt(), 1e-9);
    let share = (x - aft) / (fore - aft);
    let x_off = (fore - aft) / weight * 0.5 * share.hypot(1.0 - share);
    near("± x", result.centre_spread_m[0], x_off, 1e-9);
    // h = (x − x′)/tan θ, x′ from the tipped reading by the same mass: with x itself off
    // by dx = (x2 − x1)/W (dR2 (1 − s) − dR1 s) and W by dR1 + dR2; the angle by .2°.
    let tipped = share - height * tan / (fore - aft);
    let by_aft = -share - (0.0 - tipped);
    let by_fore = (1.0 - share) - (0.0 - tipped);
    let scale = (fore - aft) / (weight * tan);
    let by_angle = height / (tan * tip_deg.to_radians().cos().powi(2)) * 0.2_f64.to_radians();
    let of_readings = 0.5 * scale * (by_aft.powi(2) + by_fore.powi(2) + 1.0).sqrt();
    // The angle's is taken as half its ± at once: its square term stays.
    near_share(
        "± z",
        result.centre_spread_m[2],
        of_readings.hypot(by_angle),
        1e-2,
    );
}

/// The laden box weighs what its file says, so only its ± changes. Marks of ± 3 mm at the
/// corners of the deck: a plane fitted to four is right to ± 3/√4 mm in the middle, and
/// the slope along and across to ± 3/(2 · 2) and 3/(2 · ½) mm/m (half-lengths 2 and ½).
/// The mass is ρ A times the middle's; the buoyancy moves by I s/V, 16/3 and 1/3 m⁴ over
/// 1 m³, and the weight over it by .2 − .125 m times the slope more: BM − BG each.
#[test]
fn the_errors_of_marks_are_those_of_a_plane() {
    let marks = [[2.0, 0.5], [2.0, -0.5], [-2.0, 0.5], [-2.0, -0.5]]
        .map(|[x, y]| FloatMark::new(Vec3::new(x, y, 0.5), 0.25))
        .to_vec();
    let measured = Measured {
        marks,
        ..Measured::default()
    };
    let result = calibrate(&laden_box(""), &measured).expect("it tells");
    near("± mass", result.mass_spread_kg, 4000.0 * 0.0015, 1e-6);
    let [x, y, _] = result.centre_spread_m;
    near("± x", x, 0.003 / 4.0 * (16.0 / 3.0 - 0.075), 1e-9);
    near("± y", y, 0.003 / 1.0 * (1.0 / 3.0 - 0.075), 1e-9);
    assert!(
        notes(&result).iter().all(|note| !note.contains("DOUBT")),
        "{:?}",
        result.notes
    );
}

/// A reading with a ± of its own counts by it: of two tapes at one place, 24 cm ± 1 mm
/// and 27 cm ± 2 mm, the first has four times the weight: 24.6 cm.
#[test]
fn readings_count_by_their_own_spread() {
    let corners = [[2.0, 0.5], [2.0, -0.5], [-2.0, 0.5], [-2.0, -0.5]];
    let marks = corners.iter().flat_map(|[x, y]| {
        [(0.24, 0.001), (0.27, 0.002)].map(|(value, spread)| FloatMark {
            over_water: Quantity { value, spread },
            ..FloatMark::new(Vec3::new(*x, *y, 0.5), value)
        })
    });
    let measured = Measured {
        marks: marks.collect(),
        ..Measured::default()
    };
    let result = calibrate(&laden_box(""), &measured).expect("it tells");
    near("mass", result.mass_kg, 4000.0 * (0.5 - 0.246), 1e-6);
    // They do not agree within their ±, and that is told.
    assert!(
        notes(&result)
            .iter()
            .any(|note| note.contains("times its ±"))
    );
}

/// Poor geometry is told with its cost and its cure: marks along the middle line but for
/// 3 cm, a tip of 2°. (Scales close together are none: an error of the scales moves x by
/// their distance, so the nearer the better, as long as the boat stands.)
#[test]
fn poor_geometry_is_doubted_with_its_cost_and_cure() {
    let said = |measured: Measured, words: [&str; 2]| {
        let result = calibrate(&laden_box(""), &measured).expect("it tells");
        let notes = notes(&result);
        let found = notes.iter().find(|note| note.contains(words[0]));
        let note = found.unwrap_or_else(|| panic!("no {words:?}: {notes:?}"));
        assert!(note.contains("DOUBT") && note.contains(words[1]), "{note}");
        result
    };
    let marks = [[2.0, 0.0], [-2.0, 0.02], [0.0, -0.02]]
        .map(|[x, y]| FloatMark::new(Vec3::new(x, y, 0.5), 0.25))
        .to_vec();
    let measured = Measured {
        marks,
        ..Measured::default()
    };
    let result = said(measured, ["near one line", "y of the centre is known only"]);
    // The mark that is .03 m off the line of the others gives the slope across to
    // ± 3 √(1 + ¼ + ¼)/30: .1225, times BM − BG = .258 m.
    let across = 0.003 * 1.5_f64.sqrt() / 0.03 * (1.0 / 3.0 - 0.075);
    near_share("± y", result.centre_spread_m[1], across, 0.02);
    let scales = |apart: f64, tip_deg: f64| {
        let tan = tip_deg.to_radians().tan();
        let tipped = 500.0 - 1000.0 * 0.2 * tan / apart;
        Measured {
            two_scales: Some(TwoScales {
                aft: Scale::new(-apart / 2.0, 500.0),
                fore: Scale::new(apart / 2.0, 500.0),
                stands_at_z: Quantity::exact(0.0),
                tipped: Some(Tipped::new(tip_deg, tipped)),
            }),
            ..Measured::default()
        }
    };
    said(
        scales(3.5, 2.0),
        ["tipped by only 2.0°", "tipped by 15° it is"],
    );
}
