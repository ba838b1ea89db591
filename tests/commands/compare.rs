//! `awash compare`.
use super::run::awash;

const BEFORE: &str = "meshes/dipper/before.toml";
const AFTER: &str = "meshes/dipper/after.toml";

#[test]
fn a_boat_beside_itself_is_all_zeros() {
    let result = awash(["compare", AFTER, AFTER, "--format", "json"]).json();
    let rows = result["rows"].as_array().unwrap();
    assert!(rows.len() >= 12);
    for row in rows {
        assert_eq!(row["changes"][1], 0.0, "{row}");
    }
    assert_eq!(result["summary"], "Nothing that is judged here changes.");
}

#[test]
fn before_and_after_agree_with_the_single_studies() {
    let both = awash(["compare", BEFORE, AFTER, "--format", "json"]).json();
    let float = awash(["float", AFTER, "--format", "json"]).json();
    let margins = awash(["margins", AFTER, "--format", "json"]).json();
    let value = |key: &str| {
        let rows = both["rows"].as_array().unwrap();
        let row = rows.iter().find(|row| row["key"] == key).unwrap();
        (
            row["values"][1].clone(),
            row["changes"][1].as_f64().unwrap(),
        )
    };
    assert_eq!(value("mass_kg").0, float["mass_kg"]);
    assert_eq!(value("gm_transverse_m").0, float["gm_transverse_m"]);
    assert_eq!(value("worst_lean_deg").0, margins["worst_tilt"]["lean_deg"]);
    assert!(value("mass_kg").1 > 90.0);
    assert!(value("lowest_sill_m").1 < 0.0);
    let notch = both["openings"]
        .as_array()
        .unwrap()
        .iter()
        .find(|row| row["name"] == "transom notch")
        .unwrap()
        .clone();
    assert!(notch["freeboard_m"][0].is_null());
    assert_eq!(both["knock_ends"][1], "recovers");
    let summary = both["summary"].as_str().unwrap();
    assert!(summary.contains("Worse:") && summary.contains("smallest lean that floods"));
}

#[test]
fn one_boat_alone_is_refused() {
    assert_eq!(awash(["compare", AFTER]).code, 2);
}
