//! Foam for a swamped box by closed form, and the borrowed rules of flotation.
use awash::boat::Boat;
use awash::mesh::{solids, write_stl};
use awash::numerics::Vec3;
use awash::present::{Present, with_words};
use awash::quantity::UnitSystem::Metric;
use awash::study::{Answer, FoamPlace, FoamResult, FoamWish, foam};

use crate::support::near;

/// A thin box 4 × 1 × 0.5 m of 400 kg in fresh water, its top open.
fn open_box(more: &str) -> Boat {
    let folder = tempfile::tempdir().expect("a folder");
    let solid = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .expect("written");
    let file = folder.path().join("box.toml");
    let text = format!(
        "[water]\ndensity = 1000\n[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = 400\ncentre = [0, 0, 0.1]\n\
         [[opening]]\nname = \"cockpit\"\nrim = [[-2, -0.5, 0.5], [2, -0.5, 0.5], [2, 0.5, 0.5], [-2, 0.5, 0.5]]\n{more}"
    );
    std::fs::write(&file, text).expect("written");
    Boat::load(&file).expect("a sound boat file")
}

/// What JSON says of the first rule.
fn told(result: &Answer<FoamResult>, key: &str) -> String {
    let told = with_words(result).expect("plain data");
    told["rules"][0][key].as_str().expect("a text").to_owned()
}

fn sized(boat: &Boat, people: u32) -> Answer<FoamResult> {
    let wish = FoamWish {
        freeboard_m: 0.1,
        people: Some(people),
        ..FoamWish::default()
    };
    foam(boat, &wish).expect("it is sized")
}

fn place<'r>(result: &'r FoamResult, name: &str) -> &'r FoamPlace {
    let found = result.places.iter().find(|place| place.name == name);
    found.expect("this place")
}

/// Foam of density f over an area a of the bottom, as high as the box (D), in a
/// box of mass W open to the sea: ρ a T = W + f a D with T = D − F at the wished
/// freeboard F, so a = W/(ρ (D − F) − f D) and the foam is a D. In a layer of
/// thickness h under the top, over the whole area A: ρ A (h − F) = W + f A h.
/// Faces are told in tenths of a millimetre, outwards: a face of 0.5 m² (ends) holds
/// up to 0.05 L more, one of 2 or 4 m² 0.2 or 0.4 L. The rim moves with the area of the
/// foam at 0.4 / a² a square metre, 0.3 mm for the sides.
#[test]
fn foam_for_a_box_is_what_the_closed_form_says() {
    let result = sized(&open_box(""), 0);
    assert!(!result.as_it_is.floats);
    near("short", result.as_it_is.short_m3, 0.4, 1e-9);
    let standing = 400.0 / (1000.0 * 0.4 - 32.0 * 0.5) * 0.5;
    for (name, told_m3) in [("both ends", 1e-4), ("both sides", 4e-4)] {
        let found = place(&result, name);
        assert!(found.reaches, "{name}");
        near(name, found.foam_m3, standing, told_m3);
        near("rim", found.swamped.rim_m.expect("it floats"), 0.1, 4e-4);
    }
    let layer = (400.0 / 4.0 + 1000.0 * 0.1) / (1000.0 - 32.0) * 4.0;
    let top = place(&result, "the top");
    near("the top", top.foam_m3, layer, 4e-4);
    near("its mass", top.foam_kg, layer * 32.0, 4e-4 * 32.0);
    // At one end alone the other end's rim goes under first.
    assert!(!place(&result, "the bow").reaches || place(&result, "the bow").foam_m3 > standing);
}

/// 2 lb/ft³ foam lifts 60.4 lb a cubic foot in fresh water of 62.4 lb/ft³ (US Coast
/// Guard, Boatbuilder's Handbook, Flotation, step 1): the lift that the volume and the
/// mass reported here amount to.
#[test]
fn a_cubic_foot_of_foam_lifts_what_the_handbook_says() {
    const POUND: f64 = 0.453_592_37;
    const CUBIC_FOOT: f64 = 0.028_316_846_592;
    let wish = FoamWish {
        freeboard_m: 0.1,
        people: Some(0),
        foam_kg_m3: 2.0 * POUND / CUBIC_FOOT,
        ..FoamWish::default()
    };
    let result = foam(&open_box(""), &wish).expect("it is sized");
    let top = place(&result, "the top");
    let lift = (1000.0 * top.foam_m3 - top.foam_kg) / top.foam_m3 * CUBIC_FOOT / POUND;
    // 1000 kg/m³ is 62.428 lb/ft³, the handbook's 62.4.
    near("lb/ft³", lift, 60.4, 0.05);
}

/// The pull of people in the water is 2/15 of their weight (33 CFR 183.105(a)(1),
/// "Quantity of flotation required"), here three of 75 kg.
#[test]
fn people_in_the_water_pull_with_two_fifteenths() {
    let result = sized(&open_box(""), 3);
    near("pull", result.pull_kg, 30.0, 1e-9);
    near("short", result.as_it_is.short_m3, 0.43, 1e-9);
    near("lacks", result.lacks_m3, 0.4, 1e-9);
    assert!(
        result.summary(Metric).contains("lacks 400 L"),
        "{}",
        result.summary(Metric)
    );
    assert!(
        result.summary(Metric).contains("it lacks 430 L"),
        "{}",
        result.summary(Metric)
    );
}

/// 33 CFR 183.112(b), "Flotation material and air chambers": air chambers must not be
/// integral with the hull. Ends and middle behind bulkheads share its skin: none counts,
/// and nothing holds up 400 + 10 kg.
#[test]
fn chambers_that_share_the_hulls_skin_do_not_count() {
    let more = "[[compartment]]\nname = \"fore\"\nforward_of = 1.5\nsealed = true\n\
                [[compartment]]\nname = \"aft\"\naft_of = -1.6\nsealed = true\n\
                [[compartment]]\nname = \"middle\"\nforward_of = -0.9\naft_of = 0.9\nsealed = true\n";
    let result = sized(&open_box(more), 1);
    let rule = &result.rules[0];
    assert_eq!(rule.lost, ["middle", "fore", "aft"]);
    assert!(!rule.met && told(&result, "got").contains("410 kg short"));
    assert!(told(&result, "source").contains("183.112(b)"));
}

/// 33 CFR 183.105(a)(3) with the two largest of three chambers that stand apart lost:
/// tanks 0.8 × 0.4 m by 0.8, 0.6 and 0.4 m long given as meshes; 128 kg are left against
/// 400 + 10 kg.
#[test]
fn the_two_largest_air_spaces_count_as_lost() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut more = String::new();
    for (name, x, long) in [("fore", 1.0, 0.8), ("aft", -1.2, 0.6), ("mid", 0.0, 0.4)] {
        let half = Vec3::new(long / 2.0, 0.4, 0.2);
        let middle = Vec3::new(x, 0.0, 0.25);
        let tank = solids::cuboid(middle - half, middle + half);
        let file = folder.path().join(format!("{name}.stl"));
        write_stl(std::fs::File::create(&file).expect("a file"), &tank).expect("written");
        more += &format!(
            "[[compartment]]\nname = \"{name}\"\nmesh = {:?}\nunits = \"m\"\nsealed = true\n",
            file.to_str().expect("a path")
        );
    }
    let result = sized(&open_box(&more), 1);
    let rule = &result.rules[0];
    assert_eq!(rule.lost, ["fore", "aft"]);
    // 0.4 × 0.8 × 0.4 m are left.
    assert!(!rule.met && told(&result, "got").contains("282 kg short"));
    assert!(!result.rules[1].met);
}
