//! What `calibrate` makes of readings that are missing or wrong, or of a craft heeled far.
use awash::equilibrium::{Craft, settle};
use awash::immersion::WaterPlane;
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem::Metric;
use awash::quantity::{Quantity, UnitSystem};
use awash::study::{
    ANGLE_DEG, CalibrateNote, FloatMark, InclineMove, Measured, Measurement, SCALE_KG, calibrate,
};

use crate::support::{closed_box, json, list, text};
use crate::zoo::decked_hull;

/// Marks on the deck of a box of 4 × 1 × 0.5 m that floats level at `draught_m`: its mass
/// is 4 t/m of draught, whatever the height of its weight.
fn marks(places: &[[f64; 2]], draught_m: f64) -> Measured {
    let marks = places
        .iter()
        .map(|[x, y]| FloatMark::new(Vec3::new(*x, *y, 0.5), 0.5 - draught_m));
    Measured {
        marks: marks.collect(),
        ..Measured::default()
    }
}

const CORNERS: [[f64; 2]; 6] = [
    [1.9, 0.45],
    [1.9, -0.45],
    [0.0, 0.48],
    [0.0, -0.48],
    [-1.9, 0.45],
    [-1.9, -0.45],
];

/// Heeled by 3°, y of the weight follows its height: `y = y_B + (z − z_B) tan φ` to the
/// first order, so that an error of ± 0.1 m in z is ± 5 mm in y.
#[test]
fn a_height_that_nobody_measured_is_said_so_and_makes_the_side_unsure() {
    let boat = closed_box([4.0, 1.0, 0.5], 1000.0, [0.0, 0.0, 0.2]).boat();
    let slope = 3.0_f64.to_radians().tan();
    let mut measured = marks(&CORNERS, 0.25);
    for mark in &mut measured.marks {
        // To starboard the water stands higher on the side.
        let y = mark.at[1].value;
        mark.over_water.value = (0.25 + slope * y) * slope.atan().cos();
        mark.over_water.spread = 5e-4;
    }
    let result = calibrate(&boat, &measured).expect("it fits");
    assert_eq!(result.centre_measured, [true, true, false]);
    assert!((result.centre_spread_m[2] - 0.1).abs() < 1e-12);
    let side = result.centre_spread_m[1];
    assert!((side - 0.1 * slope).abs() < 0.02 * 0.1 * slope, "{side}");
    let shown = result.sheet(UnitSystem::Metric).to_string();
    assert!(
        shown.contains("100 mm (not measured)") && !shown.contains("± 0 mm"),
        "{shown}"
    );
    // A ± of the file's own stays.
    let mut hull = closed_box([4.0, 1.0, 0.5], 950.0, [0.0, 0.0, 0.2]);
    hull.more += "[[item]]\nname = \"crate\"\nmass = 50\nat = [0, 0, \"0.2 m ± 0.4 m\"]\n";
    let result = calibrate(&hull.boat(), &measured).expect("it fits");
    assert!(
        (result.centre_spread_m[2] - 0.02).abs() < 1e-6,
        "{}",
        result.centre_spread_m[2]
    );
}

#[test]
fn a_mark_misread_by_50_mm_widens_every_doubt_and_is_named() {
    let boat = closed_box([4.0, 1.0, 0.5], 1000.0, [0.0, 0.0, 0.2]).boat();
    let good = calibrate(&boat, &marks(&CORNERS, 0.25)).expect("it fits");
    assert!((good.widened - 1.0).abs() < 1e-12 && good.misfits.is_empty());
    assert!(
        good.summary(Metric)
            .starts_with("Measured it weighs 1000.0"),
        "{}",
        good.summary(Metric)
    );
    for (number, corner) in CORNERS.iter().enumerate() {
        let mut measured = marks(&CORNERS, 0.25);
        measured.marks[number].over_water.value -= 0.05;
        let result = calibrate(&boat, &measured).expect("it fits");
        let off = (result.mass_kg - 1000.0).abs();
        assert!(off > good.mass_spread_kg, "{off}: else nothing is tested");
        assert!(
            off <= result.mass_spread_kg,
            "{off} {}",
            result.mass_spread_kg
        );
        let value = json(&result);
        let said = text(&value, "summary");
        assert!(said.starts_with("DOUBT"), "{said}");
        let [x, y] = *corner;
        assert_eq!(result.misfits.len(), 1, "{said}");
        assert!(
            matches!(result.misfits[0], Measurement::HeightAt([at, ..]) if (at - x).abs() < 0.01),
            "{said} {x} {y}"
        );
    }
    // As many marks as a plane has numbers: nothing tells.
    let result = calibrate(&boat, &marks(&CORNERS[..3], 0.25)).expect("it fits");
    assert!(
        result.notes.contains(&CalibrateNote::NoReadingToSpare),
        "{:?}",
        result.notes
    );
}

/// GM = BM + KB − KG = 1/12/.25 + .125 − .2 = .258 m by hand; `tan φ = w d/(Δ GM)`. An
/// angle read within ± a is ± GM a/tan φ of height, so that a heel of 6° tells twelve
/// times as much as one of half a degree.
#[test]
fn moves_that_heel_too_little_are_doubted_and_the_cure_is_worth_what_it_says() {
    let boat = closed_box([4.0, 1.0, 0.5], 1000.0, [0.0, 0.0, 0.2]).boat();
    let gm_m = 1.0 / 12.0 / 0.25 + 0.125 - 0.2;
    let moved = |heel_deg: f64| {
        // Wall-sided: GZ = sin φ (GM + ½ BM tan² φ) = w d cos φ / Δ.
        let tan = heel_deg.to_radians().tan();
        let moment = 1000.0 * tan * (gm_m + tan * tan / 6.0);
        let mut measured = marks(&CORNERS, 0.25);
        measured.moves = [1.0, -1.0]
            .map(|side| InclineMove::new(10.0, side * moment / 10.0, side * heel_deg))
            .to_vec();
        calibrate(&boat, &measured).expect("it fits")
    };
    let doubt = |heel_deg: f64| {
        let result = moved(heel_deg);
        let told = json(&result);
        let mut notes = list(&told, "notes").iter().filter_map(|note| note.as_str());
        let found = notes.find(|note| note.contains("the moves heel the boat by only"));
        (found.map(str::to_owned), result.centre_spread_m[2])
    };
    let (small, z_m) = doubt(0.5);
    let by_hand = gm_m * ANGLE_DEG / 0.5 / 2.0_f64.sqrt();
    assert!((z_m - by_hand).abs() < 0.1 * by_hand, "{z_m} {by_hand}");
    let small = small.expect("doubted");
    let (none, cured_m) = doubt(6.0);
    assert_eq!(none, None);
    assert!(small.contains(&format!("± {:.0} mm", 1e3 * z_m)), "{small}");
    let promised = format!("make that ± {:.0} mm", 1e3 * cured_m);
    assert!(small.contains(&promised), "{small}: not {promised}");
}

/// Internal consistency: marks and heels as `settle` gives them, up to nine tenths of the
/// moment that turns the craft over on its weaker side, give back its mass and centre,
/// though the boat file says others.
#[test]
fn moves_to_near_where_a_craft_goes_over_give_back_its_weight() {
    let mut hull = decked_hull();
    hull.centre_m.y = 0.012;
    let craft = Craft::of(&hull.boat());
    let floats = |moment_kg_m: f64| -> WaterPlane {
        let mut craft = craft.clone();
        craft.centre_of_gravity_m.y -= moment_kg_m / craft.mass_kg;
        *settle(&craft).expect("it floats").rest.plane()
    };
    let rest = floats(0.0);
    let steps = (1..400).map(|k| -0.1 * f64::from(k));
    let over = steps
        .into_iter()
        .find(|moment| floats(*moment).heel_deg().abs() > 60.0)
        .expect("it goes over");
    let moves = [0.45, -0.45, 0.9, -0.9].map(|share| {
        let moment = share * over.abs();
        InclineMove {
            mass: Quantity {
                value: 10.0,
                spread: SCALE_KG,
            },
            moved: Quantity {
                value: moment / 10.0,
                spread: 2e-3,
            },
            heel: Quantity {
                value: floats(moment).heel_deg() - rest.heel_deg(),
                spread: ANGLE_DEG,
            },
        }
    });
    let places = [
        [4.0, 0.0],
        [0.2, 0.0],
        [2.1, 0.3],
        [2.1, -0.3],
        [3.0, 0.25],
        [1.2, -0.28],
    ];
    let marks = places.map(|[x, y]| {
        let at = Vec3::new(x, y, 0.2);
        FloatMark::new(at, rest.height_m(&at))
    });
    let measured = Measured {
        marks: marks.to_vec(),
        moves: moves.to_vec(),
        ..Measured::default()
    };
    let (mass_kg, centre) = (hull.mass_kg, hull.centre_m);
    hull.mass_kg -= 8.0;
    hull.centre_m -= Vec3::new(0.07, 0.012, 0.03);
    let result = calibrate(&hull.boat(), &measured).expect("it fits");
    assert!(
        (result.mass_kg - mass_kg).abs() < 1e-3,
        "{}",
        result.mass_kg
    );
    let off = Vec3::from(result.centre_of_gravity_m) - centre;
    assert!(off.norm() < 1e-4, "{off}");
    assert!(result.misfits.is_empty());
}
