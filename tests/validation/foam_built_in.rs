//! Foam as `foam` proposes it, built into the boat file, and the craft without a low
//! hole.
use awash::boat::{Boat, Verdict};
use awash::equilibrium::{
    Craft, Displacers, Hold, Liquid, find_rest_from, settle_if_afloat, space_of,
};
use awash::mesh::{solids, write_stl};
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem::Metric;
use awash::study::{Answer, FoamError, FoamPlace, FoamResult, FoamWish, foam};

use crate::support::near;
use crate::zoo::{self, ZooHull};

/// The freeboard asked, m, and how near what is built in must come to it: ours.
const ASKED_M: f64 = 0.06;
const WITHIN_M: f64 = 1e-3;

fn wish(opening: Option<&str>) -> FoamWish {
    FoamWish {
        freeboard_m: ASKED_M,
        people: Some(0),
        opening: opening.map(str::to_owned),
        overboard: Some(Vec::new()),
        ..FoamWish::default()
    }
}

/// The tables of a boat file that build a proposal in: a sealed compartment a face and
/// the foam's mass in its middle. `less_m` moves the faces into the foam.
fn built_in(place: &FoamPlace, less_m: f64) -> String {
    let mut text = String::new();
    for (number, face) in place.faces.iter().enumerate() {
        let [x, y, z] = face.normal;
        let (key, sign) = match () {
            () if x > 0.5 => ("forward_of", 1.0),
            () if x < -0.5 => ("aft_of", -1.0),
            () if y > 0.5 => ("port_of", 1.0),
            () if y < -0.5 => ("starboard_of", -1.0),
            () => ("above", z),
        };
        text += &format!(
            "[[compartment]]\nname = \"foam {number}\"\n{key} = {:?}\nsealed = true\n",
            sign * (face.offset_m + less_m)
        );
    }
    text + &format!(
        "[[item]]\nname = \"foam\"\nmass = {:?}\nat = {:?}\n",
        place.foam_kg, place.at_m
    )
}

/// The hull with foam built in; where foam from the top lies right under an opening,
/// the file has to say that its water goes on to what is left inside.
fn with_foam(hull: &ZooHull, foam: &str) -> Boat {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = hull.write(folder.path(), foam);
    let text = std::fs::read_to_string(&file).expect("written");
    let text = text.replace("[[opening]]\n", "[[opening]]\nfloods = \"inside\"\n");
    std::fs::write(&file, text).expect("written");
    Boat::load(&file).unwrap_or_else(|error| panic!("{}: {error}", hull.name))
}

fn sized(boat: &Boat, opening: Option<&str>) -> Answer<FoamResult> {
    foam(boat, &wish(opening)).expect("it is sized")
}

/// Builds each proposal in: the rim is as high as told, and as asked within a
/// millimetre, or a millimetre less foam leaves it lower than asked or leaning too far,
/// since there the craft leans over or sinks all at once. Gives how many came to what was asked.
#[track_caller]
fn holds(hull: &ZooHull, opening: Option<&str>) -> usize {
    let mut as_asked = 0;
    let result = sized(&hull.boat(), opening);
    for place in result
        .places
        .iter()
        .filter(|p| p.reaches && p.foam_m3 > 0.0)
    {
        let rim = |less_m: f64| {
            let boat = with_foam(hull, &built_in(place, less_m));
            let lies = sized(&boat, opening).result.as_it_is;
            let lean = boat.yardsticks.swamped_lean.verdict(lies.lean_deg?);
            lies.rim_m.filter(|_| lean != Verdict::Fail)
        };
        let what = format!("{}, {}", hull.name, place.name);
        let built = rim(0.0).expect("it floats");
        near(&what, built, place.swamped.rim_m.expect("it floats"), 1e-5);
        if (built - ASKED_M).abs() <= WITHIN_M {
            as_asked += 1;
        } else {
            let with_less = rim(1e-3).unwrap_or(f64::NEG_INFINITY);
            assert!(
                built > ASKED_M && with_less < ASKED_M,
                "{what}: {built}, {with_less}"
            );
        }
    }
    as_asked
}

/// Foam put where it says gives the freeboard asked, on hulls of several kinds.
#[test]
fn what_foam_proposes_holds_once_built_in() {
    let mut checked = holds(&zoo::open_tender(), None);
    checked += holds(&zoo::lopsided_tender(), None);
    checked += holds(&zoo::decked_hull(), None);
    checked += holds(&zoo::narrow_box(), None);
    assert!(
        checked >= 6,
        "only {checked} proposals came to what was asked"
    );
}

/// A hull with square bilges, tapered to `fine` of its breadth at both ends, its sides
/// flared out by `flare` m, its sheer `rise` m higher at the bow, its weight at `x_m`.
fn tapered(
    [long, broad, deep]: [f64; 3],
    [fine, flare, rise]: [f64; 3],
    mass_kg: f64,
    x_m: f64,
) -> ZooHull {
    const STATIONS: usize = 16;
    let ring = |station: usize| {
        let along = station as f64 / STATIONS as f64;
        let half = broad / 2.0 * (1.0 - (1.0 - fine) * (2.0 * along - 1.0).powi(2));
        let top = deep + rise * along;
        let corner = |y: f64, z: f64| Vec3::new(long * along, y, z);
        let half_up = half + flare / 2.0;
        vec![
            corner(half + flare, top),
            corner(half_up, top / 2.0),
            corner(half, 0.0),
            corner(-half, 0.0),
            corner(-half_up, top / 2.0),
            corner(-half - flare, top),
        ]
    };
    let rings: Vec<Vec<Vec3>> = (0..=STATIONS).map(ring).collect();
    ZooHull {
        name: "tapered",
        surface: zoo::loft(&rings, false),
        mass_kg,
        centre_m: Vec3::new(x_m, 0.0, 0.1),
        openings: vec![("gunwale", Vec::new())],
        more: "[water]\ndensity = 1000\n".into(),
    }
}

/// Pours water into a boat's open spaces, at one level, until it stands at the lowest point
/// of the rim, and gives how high that then is over the sea, m; `None` where the rim goes
/// under first.
fn full_to_the_rim(boat: &Boat) -> Option<f64> {
    const POURS: u32 = 300;
    let mut room = Displacers::default();
    for space in boat.compartments.iter().filter(|space| !space.sealed) {
        room.add_all(&space_of(space));
    }
    let holds_m3 = room.volume_m3();
    let rim = &boat.openings[0].rim;
    let dry = Craft::without_fills(boat);
    let mut near = *settle_if_afloat(&dry)
        .expect("a rest")
        .expect("it floats")
        .rest
        .plane();
    // How far the water inside stands under the rim, and the rim over the sea.
    let mut poured = |water_m3: f64| {
        let mut craft = dry.clone();
        let water = Liquid {
            space: room.clone(),
            volume_m3: water_m3,
            stands_in: None,
            relative_density: 1.0,
            surface_near_m: None,
        };
        craft.liquids.push(water.clone());
        let rest = find_rest_from(&craft, &near, Hold::Nothing).ok()?;
        near = *rest.plane();
        let inside_m = water.settled(&near.up).plane.level_m;
        let heights = rim.iter().map(|point| near.up.dot(point));
        let sill_m = heights.fold(f64::INFINITY, f64::min);
        (sill_m > near.level_m).then_some([sill_m - inside_m, sill_m - near.level_m])
    };
    let pour_m3 = holds_m3 / f64::from(POURS);
    let runs_over = (1..POURS).map(|pour| f64::from(pour) * pour_m3);
    let mut high = None;
    for water_m3 in runs_over {
        let [to_rim_m, _] = poured(water_m3)?;
        if to_rim_m < 0.0 {
            high = Some(water_m3);
            break;
        }
    }
    // A level rim holds all of it.
    let mut high = high.unwrap_or(holds_m3);
    let mut low = high - pour_m3;
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if poured(middle)?[0] < 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(poured(low)?[1])
}

/// The figure of a craft without a low hole is that of the boat with the foam built in and
/// water poured in until it stands at the rim, whether the rim is level, rises to the bow
/// or the weight or the foam lies off the middle.
#[test]
fn full_to_the_rim_is_what_pouring_gives_once_the_foam_is_built_in() {
    let (mut checked, mut stays) = (0, 0);
    // Top-heavy and off the middle: levelled it leans to 15°, and less water would not do.
    let leaning = ZooHull {
        centre_m: Vec3::new(1.45, 0.03, 0.5),
        ..tapered([3.0, 1.2, 0.5], [1.0, 0.0, 0.0], 200.0, 1.45)
    };
    let hulls = [
        ([2.5, 1.1, 0.45], [1.0, 0.0, 0.0], 160.0, 1.25),
        ([2.5, 1.1, 0.45], [1.0, 0.0, 0.0], 160.0, 1.05),
        ([3.2, 1.3, 0.5], [0.5, 0.0, 0.0], 220.0, 1.6),
        ([3.2, 1.3, 0.5], [0.5, 0.15, 0.0], 220.0, 1.4),
        ([3.2, 1.3, 0.5], [0.5, 0.15, 0.1], 220.0, 1.6),
        ([4.4, 1.5, 0.6], [0.3, 0.2, 0.2], 350.0, 2.0),
        ([4.4, 1.5, 0.6], [0.7, 0.0, 0.1], 400.0, 2.5),
        ([2.2, 0.9, 0.35], [0.4, 0.2, 0.05], 90.0, 1.0),
    ]
    .map(|(size, shape, mass_kg, x_m)| tapered(size, shape, mass_kg, x_m));
    for (number, hull) in hulls.into_iter().chain([leaning]).enumerate() {
        for place in sized(&hull.boat(), None).result.places {
            if !place.reaches || place.name == "the top" {
                continue;
            }
            let boat = with_foam(&hull, &built_in(&place, 0.0));
            let told = place.swamped.rim_no_low_hole_m.expect("found");
            let what = format!("{number}, {}", place.name);
            // Sea and inside are one where the rim goes under before it is full.
            let poured = full_to_the_rim(&boat).unwrap_or(0.0);
            near(&what, told, poured, 1e-7);
            checked += 1;
            stays += u32::from(poured > 0.0);
        }
    }
    assert!(
        checked >= 24 && stays >= 16,
        "only {checked} proposals, {stays} whose rim stays above the water"
    );
}

/// A box 4 × 1 × 0.5 m whose skin displaces too (density given), an item with a volume
/// that stands in the way; built in as a part of foam from a mesh of its own.
fn skinned_box(more: &str, foam: Option<&FoamPlace>) -> Boat {
    let folder = tempfile::tempdir().expect("a folder");
    let half = Vec3::new(2.0, 0.5, 0.0);
    let solid = solids::cuboid(-half, half + Vec3::new(0.0, 0.0, 0.5));
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .expect("written");
    let mut text = format!(
        "[water]\ndensity = 1000\n[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = 150\ncentre = [0, 0, 0.1]\ndensity = 1500\n\
         [[opening]]\nname = \"cockpit\"\nrim = [[-2, -0.5, 0.5], [2, -0.5, 0.5], [2, 0.5, 0.5], [-2, 0.5, 0.5]]\n{more}"
    );
    for (number, face) in foam.iter().flat_map(|place| &place.faces).enumerate() {
        let (mut lo, mut hi) = (Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
        for axis in 0..3 {
            if face.normal[axis] > 0.5 {
                lo[axis] = face.offset_m;
            } else if face.normal[axis] < -0.5 {
                hi[axis] = -face.offset_m;
            }
        }
        text += &format!(
            "[[part]]\nname = \"foam {number}\"\nrole = \"add\"\nbox = {{ min = [{:?}, {:?}, {:?}], max = [{:?}, {:?}, {:?}] }}\nfoam = {{ density = \"32 kg/m3\" }}\n",
            lo.x, lo.y, lo.z, hi.x, hi.y, hi.z
        );
    }
    let file = folder.path().join("box.toml");
    std::fs::write(&file, text).expect("written");
    Boat::load(&file).expect("a sound boat file")
}

/// The same as a part of foam, in a hull whose skin takes a share of the inside: the
/// part up to the skin holds the skin that runs through it. The part weighs its whole
/// volume, the proposal that without the skin: 5 % of a few kg, 0.1 mm.
#[test]
fn foam_built_in_as_a_part_holds_too() {
    let item = "[[item]]\nname = \"engine\"\nmass = 150\nat = [0, 0, 0.1]\nsize = [0.4, 0.4, 0.2]\nvolume = \"20 L\"\n";
    let result = sized(&skinned_box(item, None), None);
    let mut checked = 0;
    for place in result.places.iter().filter(|place| place.reaches) {
        // The engine is in the way of foam from the bow alone or the stern.
        if !["both ends", "both sides"].contains(&place.name.as_str()) {
            continue;
        }
        let built = sized(&skinned_box(item, Some(place)), None);
        let rim = built.as_it_is.rim_m.expect("it floats");
        near(&place.name, rim, ASKED_M, WITHIN_M);
        checked += 1;
    }
    assert_eq!(checked, 2);
}

/// Without a low hole the water stays up to the rim. A thin box of area A, foam over a
/// of it from keel to rim D (both ends): levelled, ρ a T = W with T = D − F. Full to
/// the rim it is a closed box of weight W + ρ (A − a) D, so T' = W/(ρA) + (1 − a/A) D
/// and F' = (a/A) (D − W/(ρa)) = (a/A) F. W holds the foam's own weight.
#[test]
fn without_a_low_hole_the_craft_lies_deeper_by_the_water_it_keeps() {
    let folder = tempfile::tempdir().expect("a folder");
    let half = Vec3::new(2.0, 0.5, 0.0);
    let solid = solids::cuboid(-half, half + Vec3::new(0.0, 0.0, 0.5));
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .expect("written");
    let file = folder.path().join("box.toml");
    let text = "[water]\ndensity = 1000\n[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = 400\ncentre = [0, 0, 0.1]\n[[opening]]\nname = \"cockpit\"\nrim = [[-2, -0.5, 0.5], [2, -0.5, 0.5], [2, 0.5, 0.5], [-2, 0.5, 0.5]]\n";
    std::fs::write(&file, text).expect("written");
    let boat = Boat::load(&file).expect("a sound boat file");
    let result = sized(&boat, None);
    let ends = result.places.iter().find(|p| p.name == "both ends");
    let ends = ends.expect("this place");
    let levelled = ends.swamped.rim_m.expect("it floats");
    let share = ends.foam_m3 / 0.5 / 4.0;
    let full = ends.swamped.rim_no_low_hole_m.expect("it floats");
    near("full to the rim", full, share * levelled, 1e-9);
    assert!(!ends.swamped.low_hole);
    // The figure that fits the boat's holes is told first.
    let best = result.places.iter().find(|p| p.reaches).expect("a place");
    let first = 1e3 * best.swamped.rim_no_low_hole_m.expect("it floats");
    let second = 1e3 * best.swamped.rim_m.expect("it floats");
    let told = format!("keep the rim of cockpit {first:.0} mm above the water (full to the rim");
    assert!(
        result.summary(Metric).contains(&told),
        "{}",
        result.summary(Metric)
    );
    assert!(
        result.summary(Metric).contains(&format!(
            "{second:.0} mm with the water inside level with the water outside"
        )),
        "{}",
        result.summary(Metric)
    );
    let drain = "[[opening]]\nname = \"drain\"\nstate = \"drain\"\nrim = [[0, 0, 0.02], [0.03, 0, 0.02], [0, 0.03, 0.02]]\n";
    std::fs::write(&file, format!("{text}{drain}")).expect("written");
    let low = sized(&Boat::load(&file).expect("a sound boat file"), None);
    let best = low.places.iter().find(|p| p.reaches).expect("a place");
    assert!(best.swamped.low_hole);
    assert!(
        low.summary(Metric)
            .contains("if no hole low down lets it level out"),
        "{}",
        low.summary(Metric)
    );
}

/// A rim that is covered is no way in: it is neither taken nor accepted.
#[test]
fn foam_never_works_to_a_covered_opening() {
    let mut hull = zoo::decked_hull();
    hull.more = "[[part]]\nname = \"lid\"\nrole = \"cover\"\ncovers = \"cockpit\"\nbox = { min = [1.4, -0.3, 0.3], max = [2.4, 0.3, 0.45] }\n".into();
    let boat = hull.boat();
    assert_eq!(sized(&boat, None).opening, "hatch");
    let refused = foam(&boat, &wish(Some("cockpit")));
    assert!(
        matches!(refused, Err(FoamError::Covered { .. })),
        "{refused:?}"
    );
}
