//! Spaces that stay dry under water, and the way down, against closed forms.
use std::f64::consts::PI;

use awash::boat::Boat;
use awash::mesh::solids;
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem::Metric;
use awash::study::{
    Answer, Caution, CylinderState, DiveOptions, DiveResult, Room, WayLine, WayState, dive,
};

use crate::boats::made;
use crate::support::{near, near_share};
use crate::zoo;

/// Standard gravity (3rd CGPM, 1901).
const GRAVITY: f64 = 9.806_65;
/// Sums of a few dozen products, each rounded at 1e-16.
const ROUNDING: f64 = 1e-13;

/// A box 4 × 1 × 0.5 m, keel at z = 0, x from −2 to 2, in fresh water of 1000 kg/m³.
fn boxed(hull: &str, more: &str) -> Boat {
    let surface = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    made(&surface, &format!("{hull}\n{more}"))
}

/// A hull whose material displaces nothing known.
const HULL: &str = "mass = 60\ncentre = [0, 0, 0.2]";
const BOW: &str = "[[compartment]]\nname = \"bow\"\nforward_of = 1\nsealed = true\n";
/// Inside the bow: by its volume, by its density, soft, soft by stiffness, of unknown
/// volume, and a tank.
const THINGS: &str = r#"
[[item]]
name = "battery"
mass = 30
at = [1.2, 0.2, 0.1]
volume = "20 L"
[[item]]
name = "suit"
mass = 3
at = [1.3, -0.3, 0.2]
volume = "14 L"
gas_volume = "12 L"
[[item]]
name = "foam"
mass = 1
at = [1.8, 0, 0.4]
density = 40
stiffness = "5 bar"
[[item]]
name = "lockers"
mass = 5
at = [1.6, 0.1, 0.2]
[[item]]
name = "jar"
mass = 0.5
at = [1.5, -0.1, 0.1]
size = [0.2, 0.2, 0.2]
liquid = { volume = "5 L", density = 1000 }
"#;

fn at_depth(boat: &Boat, depth_m: f64) -> Answer<DiveResult> {
    let options = DiveOptions {
        depth_m,
        ..DiveOptions::default()
    };
    dive(boat, &options).expect("it can be weighed")
}

/// A sealed bow of 1 × 1 × 0.5 m displaces 500 kg at its own middle, x = 1.5, by
/// Archimedes, at any depth: what stands in it is dry, so it adds its mass only and
/// nothing squeezes it.
#[test]
fn a_sealed_space_lifts_at_its_own_middle_whatever_stands_in_it() {
    let boat = boxed(HULL, &format!("{BOW}{THINGS}"));
    for depth_m in [0.0, 30.0] {
        let result = at_depth(&boat, depth_m);
        near_share("displaced", result.displacement_kg, 500.0, ROUNDING);
        let cb = result.centre_of_buoyancy_m.expect("a dry bow");
        for (axis, want) in [1.5, 0.0, 0.25].into_iter().enumerate() {
            near("centre of buoyancy", cb[axis], want, ROUNDING);
        }
        near(
            "mass",
            result.mass_kg,
            60.0 + 30.0 + 3.0 + 1.0 + 5.0 + 0.5 + 5.0,
            1e-9,
        );
        // The moment of everything in its own place, over that mass.
        let moment = 30.0 * 1.2 + 3.0 * 1.3 + 1.8 + 5.0 * 1.6 + 5.5 * 1.5;
        near_share("CG", result.centre_of_gravity_m[0], moment / 104.5, 1e-9);
        let sum: f64 = result
            .things
            .iter()
            .map(|thing| thing.weight_in_water_kg)
            .sum();
        let whole = result.hangs.weight_in_water_kg;
        assert!((sum - whole).abs() <= 1e-9 * whole.abs(), "{sum} {whole}");
    }
    // Nothing that stands dry is missed for its volume; the hull's still is.
    assert_eq!(at_depth(&boat, 0.0).without_volume, ["hull"]);
    // The same things in a bow that floods displace where they stand, and soft ones
    // give way.
    let flooding = boxed(
        HULL,
        &format!("{}{THINGS}", BOW.replace("sealed = true\n", "")),
    );
    let [up, down] = [0.0, 30.0].map(|depth_m| at_depth(&flooding, depth_m).displacement_kg);
    // 20, 14, 1/40 m³ and the jar's 5 L at the surface; at 30 m Boyle for the 12 L,
    // and foam of 25 L times exp(−p/K), from dV/V = −dp/K.
    near_share("open, at the surface", up, 20.0 + 14.0 + 25.0 + 5.0, 1e-9);
    let over_pa = 1000.0 * GRAVITY * 30.0;
    let soft = 2.0 + 12.0 * 101_325.0 / (101_325.0 + over_pa) + 25.0 * (-over_pa / 5e5).exp();
    near_share("open, at 30 m", down, 20.0 + 5.0 + soft, 1e-9);
}

/// Skin 4 mm thick displaces by itself only where water is on both sides of it: of a
/// box sealed from x = 1 forward that is the transom, 0.5 m², and 3 m of bottom, top
/// and sides, 3 × (2 × 1 + 2 × 0.5) = 9 m², with the middle at x = −0.5. The sealed
/// part displaces all that its outside encloses. A box sealed all over displaces its
/// volume at its middle.
#[test]
fn skin_round_a_dry_space_is_part_of_what_that_displaces() {
    let skin = "skin = { thickness = \"4 mm\", density = 1500 }";
    let boat = boxed(skin, &format!("{BOW}permeability = 0.9\n{THINGS}"));
    let result = at_depth(&boat, 0.0);
    near_share("displaced", result.displacement_kg, 500.0 + 4.0 * 9.5, 1e-6);
    let moment = 500.0 * 1.5 + 4.0 * (0.5 * -2.0 + 9.0 * -0.5);
    let cb = result.centre_of_buoyancy_m.expect("a dry bow");
    near_share("CB", cb[0], moment / 538.0, 1e-6);
    near("CB", cb[1], 0.0, 1e-6);
    // The water inside leaves room for that same skin.
    let water_m3 = 1.5 - 0.004 * 9.5;
    near_share("water inside", result.entrained_water_m3, water_m3, 1e-6);
    let with_water = result.mass_kg + 1000.0 * water_m3;
    near_share("with it", result.mass_with_water_kg, with_water, 1e-6);
    // On the way down, wholly under but for a millimetre of dry top: the same volume.
    let last = result
        .way_down
        .iter()
        .rev()
        .find(|line| line.state == WayState::FloodedHeld);
    assert!(last.is_some());
    let all = boxed(
        skin,
        &format!("[[compartment]]\nname = \"inside\"\nsealed = true\n{THINGS}"),
    );
    let result = at_depth(&all, 0.0);
    near_share("all dry", result.displacement_kg, 2000.0, ROUNDING);
    let cb = result.centre_of_buoyancy_m.expect("dry");
    for (axis, want) in [0.0, 0.0, 0.25].into_iter().enumerate() {
        near("CB, all dry", cb[axis], want, 1e-6);
    }
}

fn told(lines: &[WayLine]) -> Vec<String> {
    // To a whole litre or millimetre, as it is told.
    let told = |line: &WayLine| {
        let figures = [line.water_inside_m3, line.waterline_height_m];
        let whole = figures.map(|figure| figure.map(|m| (m * 1e3).round()));
        format!("{:?} {whole:?}", line.state)
    };
    lines.iter().map(told).collect()
}

/// No state stands twice in the way down, of a craft whose every space stays dry (it
/// does not fill at all), of one that sinks dry, and of one that floods.
#[test]
fn the_way_down_tells_no_state_twice() {
    let all_dry = "[[compartment]]\nname = \"inside\"\nsealed = true\n";
    let heavy = "[[item]]\nname = \"lead\"\nmass = 2500\nat = [0, 0, 0.05]\ndensity = 11340\n";
    // With the lead that trims it the dry one sinks too, unless much lift is asked for.
    for (more, buoyant_kg) in [
        ("", 0.5),
        (BOW, 0.5),
        (all_dry, 0.5),
        (all_dry, 1500.0),
        (heavy, 0.5),
    ] {
        let boat = boxed(HULL, more);
        let options = DiveOptions {
            buoyant_kg,
            ..DiveOptions::default()
        };
        let result = dive(&boat, &options).expect("weighed");
        let words = told(&result.way_down);
        for (number, state) in words.iter().enumerate() {
            assert!(!words[..number].contains(state), "{more}: {words:?}");
        }
        let last = result.way_down.last().expect("a state");
        assert_eq!(last.state, WayState::Dived);
    }
}

/// What goes down is the craft asked for. Dived at 20 m with foam that the depth squeezes
/// (V₀ exp(−p/K), from dV/V = −dp/K), ρ g V × gap × 1° of what is left; afloat with the
/// cylinder at its reserve, a box of 4 × 1 m has GM = T/2 + B²/(12 T) − KG (derived in
/// `cuboid.rs`) with the air that was used gone; KG and mass are the result's.
#[test]
fn the_way_down_is_of_the_depth_and_the_cylinder_asked_for() {
    let things = r#"
[[item]]
name = "foam"
mass = 4
at = [0, 0, 0.45]
density = 40
stiffness = "8 bar"
[[item]]
name = "cylinder"
mass = 20
at = [0, 0, 0.3]
volume = "25 L"
cylinder = { water_volume = "20 L", pressure = "300 bar", reserve = "30 bar" }
"#;
    let boat = boxed("mass = 100\ncentre = [0, 0, 0.1]\ndensity = 1100", things);
    let of = |depth_m, cylinders| {
        // No ballast is added: it is asked to lift as it does.
        let options = |buoyant_kg| DiveOptions {
            depth_m,
            cylinders,
            buoyant_kg,
            room: Some(Room::Rail([
                Vec3::new(-1.0, 0.0, 0.0),
                Vec3::new(1.0, 0.0, 0.0),
            ])),
            ..DiveOptions::default()
        };
        let as_is = dive(&boat, &options(0.0)).expect("weighed").hangs;
        dive(&boat, &options(-as_is.weight_in_water_kg)).expect("weighed")
    };
    let over_pa = 1000.0 * GRAVITY * 20.0;
    for cylinders in [CylinderState::Full, CylinderState::Reserve] {
        for depth_m in [0.0, 20.0] {
            let result = of(depth_m, cylinders);
            let squeezed = if depth_m > 0.0 {
                (-over_pa / 8e5).exp()
            } else {
                1.0
            };
            let foam_m3 = 0.1 * squeezed;
            let hull_m3 = 100.0 / 1100.0;
            let moment = foam_m3 * 0.45 + hull_m3 * 0.1 + 0.025 * 0.3
                - (foam_m3 + hull_m3 + 0.025) * result.centre_of_gravity_m[2];
            let dived = result.way_down.last().expect("dived");
            near_share(
                "dived",
                dived.righting_transverse_n_m,
                1000.0 * GRAVITY * moment * PI / 180.0,
                1e-9,
            );
            let draught = result.mass_kg / 4000.0;
            let gm = draught / 2.0 + 1.0 / (12.0 * draught) - result.centre_of_gravity_m[2];
            let dry = result.way_down[0].gm_transverse_m.expect("afloat");
            near_share("GM dry", dry, gm, 1e-6);
        }
    }
    let air = of(0.0, CylinderState::Full).air[0].air_used_kg;
    assert!(air > 5.0, "{air}");
    let masses = [CylinderState::Full, CylinderState::Reserve].map(|state| of(0.0, state).mass_kg);
    near_share("air used", masses[0] - masses[1], air, 1e-9);
}

/// Internal consistency: a decked hull down by the bow, and the same moved along x and
/// mirrored, go down through the same states.
#[test]
fn the_way_down_does_not_hang_on_where_the_hull_lies() {
    let things = |by: f64, side: f64| {
        let (x, y) = (3.6 + by, 0.12 * side);
        format!(
            "[[item]]\nname = \"lead\"\nmass = 20\nat = [{x}, {y}, 0.1]\ndensity = 11340\n[[item]]\nname = \"foam\"\nmass = 2\nat = [{x}, 0, 0.2]\ndensity = 40\n"
        )
    };
    let down = |hull: &zoo::ZooHull, more: &str| {
        dive(&hull.boat_with(more), &DiveOptions::default())
            .expect("weighed")
            .result
            .way_down
    };
    let hull = zoo::decked_hull();
    let here = down(&hull, &things(0.0, 1.0));
    let pitch_deg = here[0].pitch_deg.expect("afloat");
    assert!(pitch_deg.abs() > 0.2, "{pitch_deg}");
    let moved = hull.moved(|p| Vec3::new(p.x + 7.0, p.y, p.z));
    for (there, what) in [
        (down(&moved, &things(7.0, 1.0)), "moved"),
        (down(&hull.mirrored(), &things(0.0, -1.0)), "mirrored"),
    ] {
        assert_eq!(told(&here), told(&there), "{what}");
        for (a, b) in here.iter().zip(&there) {
            let (water, height) = (a.water_inside_m3, a.waterline_height_m);
            let words = match a.state {
                WayState::Dry => "dry, afloat".to_owned(),
                WayState::Filling => {
                    let litres = water.unwrap_or(0.0) * 1e3;
                    format!("afloat with {litres:.0} L loose inside")
                }
                WayState::FloodedHeld => {
                    let z_mm = height.unwrap_or(0.0) * 1e3;
                    format!("flooded, held with the water at z = {z_mm:.0} mm")
                }
                WayState::Dived => "dived".to_owned(),
            };
            let height = [a, b].map(|line| line.waterline_height_m.unwrap_or(0.0));
            near(
                &format!("{what}, height, {words}"),
                height[1],
                height[0],
                1e-7,
            );
            for [one, other] in [
                [a.righting_transverse_n_m, b.righting_transverse_n_m],
                [a.righting_longitudinal_n_m, b.righting_longitudinal_n_m],
            ] {
                near(
                    &format!("{what}, {words}"),
                    other,
                    one,
                    1e-5 * one.abs().max(1.0),
                );
            }
        }
    }
}

/// As the caution asks for a craft slightly buoyant, the lift wanted is 0.5 kg unless
/// told (ours, no source), and that is said.
#[test]
fn half_a_kilogram_of_lift_is_wanted_unless_told() {
    let boat = boxed("mass = 60\ncentre = [0, 0, 0.2]\ndensity = 900", "");
    let result = dive(&boat, &DiveOptions::default()).expect("weighed");
    near("wanted", result.balance.wanted_lift_kg, 0.5, 0.0);
    near("then", result.balance.hangs.weight_in_water_kg, -0.5, 1e-9);
    let said = |result: &Answer<DiveResult>| {
        result
            .cautions
            .contains(&Caution::TrimmedToLift { lift_kg: 0.5 })
    };
    assert!(said(&result) && result.summary(Metric).contains("0.5 kg of lift"));
    let neutral = DiveOptions {
        buoyant_kg: 0.0,
        ..DiveOptions::default()
    };
    assert!(!said(&dive(&boat, &neutral).expect("weighed")));
}
