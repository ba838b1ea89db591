//! A capsize comes first, and no height stands where the water misses the z axis.
use awash::mesh::TiltError;
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem;
use awash::study::{Answer, DrillResult, SectionOptions, drill, float, margins, section, spread};
use nalgebra::Rotation3;

use crate::support::{closed_box, json, list, number, plate, text, top_heavy};
use crate::zoo::round_log;

#[test]
fn a_capsize_stands_in_the_first_sentence_of_float_and_margins() {
    for boat in [top_heavy().boat(), plate()] {
        let floated = float(&boat).expect("it floats");
        let shown = floated.sheet(UnitSystem::Metric).to_string();
        let floated_json = json(&floated);
        let from = json(&margins(&boat).expect("it floats"));
        for said in [text(&floated_json, "summary"), text(&from, "summary")] {
            assert!(
                said.starts_with("IT CAPSIZES: set upright on the water it turns over"),
                "{said}"
            );
        }
        assert_ne!(floated_json["lies"], "upright");
        assert_eq!(floated_json["lies"], from["lies"]);
        assert_eq!(floated_json["stable"], false);
        assert!(
            shown.contains("NO: it turns over and comes to rest"),
            "{shown}"
        );
        assert!(floated.fails_a_yardstick());
        assert!(
            list(&from, "verdicts")
                .iter()
                .any(|v| v["verdict"] == "fail")
        );
    }
}

/// Box of the wall-sided checks (GM .258 m at heel zero) with its weight .3 m off the
/// middle. Until its deck goes under, at tan φ = ½, the righting arm of a wall-sided
/// body about a centre on the middle line is (GM + ½ BM tan²φ) sin φ, at most
/// .1342 m; the weight's arm .3 cos φ is at least .268 m there. It lies on its side.
#[test]
fn a_craft_turned_over_by_weight_off_the_middle_is_not_upright_by_itself() {
    let boat = closed_box([4.0, 1.0, 0.5], 1000.0, [0.0, -0.3, 0.2]).boat();
    let result = float(&boat).expect("it floats");
    let shown = result.sheet(UnitSystem::Metric).to_string();
    let result = json(&result);
    assert!(number(&result["upright"], "gm_transverse_m") > 0.25);
    assert_eq!(result["lies"], "on_starboard_side");
    assert_eq!(result["stable"], false);
    let line = shown.lines().find(|line| line.contains("stays upright"));
    assert!(line.is_some_and(|line| line.contains("NO")), "{line:?}");
}

/// A round log has no upright: KM is the axis for every draught (checks of a cylinder
/// on its side), where its weight is.
#[test]
fn a_log_that_rolls_freely_is_not_called_upright_by_itself() {
    let result = json(&float(&round_log().boat()).expect("it floats"));
    assert_eq!(result["stable"], false);
    let said = text(&result, "summary");
    assert!(said.contains("rolls freely"), "{said}");
    assert!(!said.contains("CAPSIZES"), "{said}");
}

#[test]
fn water_along_the_z_axis_has_no_height_on_it() {
    let boat = plate();
    let at_rest = json(&float(&boat).expect("it floats"));
    assert!((number(&at_rest, "heel_deg").abs() - 90.0).abs() < 1e-6);
    assert!(at_rest["waterline_height_m"].is_null());
    let cut = json(&section(&boat, &SectionOptions::default()).expect("it floats"));
    assert!(cut["water"]["waterline_height_m"].is_null());
    // Flat on the water, half of its .4 m³ is 200 kg; 100 kg sink it by .05 m of .2 m.
    assert!((number(&cut["water"], "level_m") + 0.05).abs() < 1e-9);
    let drilled: Result<Answer<DrillResult>, _> = drill([("plate", &boat)]);
    if let Ok(drilled) = drilled {
        assert!(json(&drilled)["cases"][0]["waterline_height_m"].is_null());
    }
}

/// What a hull does that is turned in its frame, with all aboard where it was, is the ± of
/// one whose frame may be so far off: in `float`, and in `spread`, whose band from 5 to 95 %
/// is 1.645 deviations each way, where a ± is two.
#[test]
fn the_doubt_of_a_frame_is_what_a_hull_so_turned_does() {
    const OFF_DEG: f64 = 0.5;
    let level = closed_box([2.0, 0.8, 0.5], 400.0, [0.0, 0.0, 0.15]);
    let mut boat = level.boat();
    boat.tilt_error = Some(TiltError {
        heel_deg: OFF_DEG,
        pitch_deg: OFF_DEG,
        ..TiltError::default()
    });
    let stated = json(&float(&boat).expect("it floats"));
    let drawn = json(&spread(&boat, 2000, 7).expect("it floats"));
    // It floats 0.25 m deep: KB is half of that, BM is b²/(12 · 0.25) and l²/(12 · 0.25).
    for (what, axis, side) in [
        ("heel", Vec3::x_axis(), 0.8_f64),
        ("pitch", Vec3::y_axis(), 2.0),
    ] {
        let metacentre_m = 0.125 + side * side / (12.0 * 0.25);
        let wanted = OFF_DEG * metacentre_m / (metacentre_m - 0.15);
        let error = number(&stated, &format!("{what}_error_deg"));
        assert!((error - wanted).abs() < 1e-6, "{what}: {error}, {wanted}");
        let mut turned = level.clone();
        let turn = Rotation3::from_axis_angle(&axis, OFF_DEG.to_radians());
        for v in &mut turned.surface.vertices {
            *v = turn * *v;
        }
        let key = format!("{what}_deg");
        let does = number(&json(&float(&turned.boat()).expect("it floats")), &key).abs();
        // To first order: the second is a thousandth at such angles.
        assert!(
            (does / wanted - 1.0).abs() < 2e-3,
            "{what}: {does}, {wanted}"
        );
        let band = list(&drawn, &key);
        let half = (band[2].as_f64().expect("°") - band[0].as_f64().expect("°")) / 2.0;
        // 2000 draws tell a deviation within some 3 %.
        assert!(
            (half / wanted - 1.645 / 2.0).abs() < 0.05,
            "{what}: {half}, {wanted}"
        );
    }
}
