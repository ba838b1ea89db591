//! The flooded craft under water against handbooks, dive tables and closed forms.
use std::f64::consts::PI;

use awash::boat::{Boat, BoatBuilder, GivesWay};
use awash::mesh::solids;
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem::Metric;
use awash::study::{
    Answer, Caution, CylinderState, DiveOptions, DiveResult, LEAD_KG_M3, Material, Room, WayState,
    WithoutVolume, dive,
};
use awash::water::{ATMOSPHERE_PA, Water};

use crate::support::{near, near_share};

/// Standard gravity (3rd CGPM, 1901).
const GRAVITY: f64 = 9.806_65;
const POUND_KG: f64 = 0.453_592_37;
const FOOT_M: f64 = 0.3048;

/// A box 4 × 1 × 0.5 m, keel at z = 0, x from −2 to 2, in water of a density.
fn boxed(density: &str, hull: &str, more: &str) -> Boat {
    let surface = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    let boat = BoatBuilder::new("box", &surface).hull(&format!("{hull}\n{more}"));
    let boat = boat.tables(&format!("[water]\ndensity = \"{density}\""));
    boat.build().expect("a sound boat")
}

fn item(name: &str, rest: &str) -> String {
    format!("[[item]]\nname = \"{name}\"\n{rest}\n")
}

/// A hull that weighs 100 kg and displaces 125 kg of fresh water, both at x 0.3.
const LIGHT_HULL: &str = "mass = 100\ncentre = [0.3, 0, 0.1]\ndensity = 800";

/// As usual, but without lift to spare.
fn neutral() -> DiveOptions {
    DiveOptions {
        buoyant_kg: 0.0,
        ..DiveOptions::default()
    }
}

fn dived(boat: &Boat, options: &DiveOptions) -> Answer<DiveResult> {
    dive(boat, options).expect("it can be weighed")
}

fn rail(z: f64) -> Option<Room> {
    Some(Room::Rail([
        Vec3::new(-2.0, 0.0, z),
        Vec3::new(2.0, 0.0, z),
    ]))
}

/// Boyle's law at one temperature, V/V₀ = p₀/(p₀ + ρ g h) with p₀ 101 325 Pa and ρ
/// 1025 kg/m³: closed form, printed to five digits.
#[test]
fn soft_gas_follows_boyle() {
    let sea = Water::sea();
    let gas = GivesWay::SoftGas { gas_m3: 1.0 };
    for (depth_m, share) in [
        (5.0, 0.66844),
        (10.0, 0.50200),
        (20.0, 0.33511),
        (30.0, 0.25150),
        (40.0, 0.20128),
    ] {
        let left = gas.volume_m3(1.0, sea.pressure_over_surface_pa(depth_m));
        near("share left", left, share, 0.5e-5);
    }
}

/// A suit that lifts 12 lb lifts 6, 4, 3 and 2.4 lb at 33, 66, 99 and 132 ft of
/// sea water (12/2 to 12/5: Boyle's law with 33 ft counted as an atmosphere, as divers
/// do: common practice, no source). A suit whose rubber
/// alone neither floats nor sinks: 3 kg, of which the rubber fills 3/1025.18 m³, and
/// gas of 12 lb of water. Sea water of 64 lb/ft³ takes 33.07 ft for an
/// atmosphere, which is 0.2 % of the share left at any of these depths.
#[test]
fn a_suit_of_foam_neoprene_lifts_as_the_dive_tables_say() {
    let density = 64.0 * POUND_KG / FOOT_M.powi(3);
    let gas = 12.0 * POUND_KG / density;
    let whole = 3.0 / density + gas;
    let suit = item(
        "suit",
        &format!(
            "mass = 3\nat = [0, 0, 0.3]\nvolume = \"{} m3\"\ngas_volume = \"{gas} m3\"",
            whole
        ),
    );
    let boat = boxed(&format!("{density} kg/m3"), LIGHT_HULL, &suit);
    for (depth_ft, lift_lb) in [
        (0.0, 12.0),
        (33.0, 6.0),
        (66.0, 4.0),
        (99.0, 3.0),
        (132.0, 2.4),
    ] {
        let options = DiveOptions {
            depth_m: depth_ft * FOOT_M,
            ..neutral()
        };
        let result = dived(&boat, &options);
        let suit = result.things.iter().find(|thing| thing.name == "suit");
        let lift = -suit.expect("listed").weight_in_water_kg / POUND_KG;
        near_share("lift", lift, lift_lb, 2.5e-3);
    }
}

/// A box trimmed to lift 1 kg at the surface, 10 L of gas in the suit aboard: of Boyle's law
/// a tenth of the gas is gone, and the lift with it, where p₀/(p₀ + ρ g h) = 0.9, closed
/// form. The depth is told to a millimetre. Neither a suit without gas nor a lift that the
/// gas cannot use up has such a depth.
#[test]
fn a_craft_trimmed_by_a_soft_suit_sinks_from_the_depth_that_boyle_says() {
    let sinks_from = |gas_litres: f64, buoyant_kg: f64| {
        let suit = item(
            "suit",
            &format!(
                "mass = 3\nat = [0, 0, 0.3]\nvolume = \"13 L\"\ngas_volume = \"{gas_litres} L\""
            ),
        );
        let boat = boxed("1000 kg/m3", LIGHT_HULL, &suit);
        let options = DiveOptions {
            buoyant_kg,
            ..DiveOptions::default()
        };
        let result = dived(&boat, &options);
        let told = result
            .summary(Metric)
            .contains("down it sinks all the same");
        assert_eq!(told, result.sinks_from_m.is_some());
        result.sinks_from_m
    };
    let depth_m = ATMOSPHERE_PA * (1.0 / 0.9 - 1.0) / (1000.0 * GRAVITY);
    near(
        "depth",
        sinks_from(10.0, 1.0).expect("it sinks"),
        depth_m,
        1e-3,
    );
    assert_eq!(sinks_from(0.001, 1.0), None);
    assert_eq!(sinks_from(10.0, 9.9), None);
}

/// Trimmed for the reserve with 0.5 kg of lift, a craft with full cylinders weighs what the
/// air between both weighs, less that lift: Archimedes' principle, as the cylinder is rigid.
#[test]
fn with_full_cylinders_it_weighs_the_air_more_than_it_was_trimmed_for() {
    let cylinder = item(
        "cylinder",
        "mass = 12\nat = [0, 0, 0.2]\nvolume = \"14 L\"\ncylinder = { water_volume = \"12 L\", pressure = \"232 bar\", reserve = \"30 bar\" }",
    );
    let boat = boxed("1000 kg/m3", LIGHT_HULL, &cylinder);
    let result = dived(&boat, &DiveOptions::default());
    let full = result.full_when_trimmed_for_less().expect("less than full");
    let air_kg = result.air[0].air_used_kg;
    near(
        "with full ones",
        full.weight_in_water_kg,
        air_kg - 0.5,
        1e-9,
    );
    assert!(
        result.summary(Metric).contains("with full ones it sinks"),
        "{}",
        result.summary(Metric)
    );
    let for_full = DiveOptions {
        cylinders: CylinderState::Full,
        ..DiveOptions::default()
    };
    assert!(
        dived(&boat, &for_full)
            .full_when_trimmed_for_less()
            .is_none()
    );
}

/// An aluminium cylinder of 80 ft³ (11.1 L, 3000 psi) goes from about −1.4 lb full to
/// +4.4 lb empty in sea water (from memory of a maker's table; none is named): it swings
/// by the air in it, 5.8 lb. The table's figures are to 0.1 lb each, and fills are stated
/// to about 1 % (77.4 to 80 ft³ are both printed; from memory): 0.15 lb allowed.
#[test]
fn an_aluminium_cylinder_of_80_cubic_feet_swings_by_its_air() {
    let cylinder = |state| {
        let text = item(
            "cylinder",
            "mass = \"31.4 lb\"\nat = [0, 0, 0.2]\nvolume = \"15.9 L\"\ncylinder = { water_volume = \"11.1 L\", pressure = \"3000 psi\", reserve = \"0 psi\" }",
        );
        let boat = boxed("64 lb/ft3", LIGHT_HULL, &text);
        let options = DiveOptions {
            cylinders: state,
            ..neutral()
        };
        let result = dived(&boat, &options);
        let line = result.things.last().expect("listed").weight_in_water_kg;
        (line, result.air[0].air_used_kg)
    };
    let (full, used) = cylinder(CylinderState::Full);
    let (empty, _) = cylinder(CylinderState::Reserve);
    near("swing, lb", (full - empty) / POUND_KG, 5.8, 0.15);
    near("air used", used, full - empty, 1e-12);
    assert!(full > 0.0 && empty < 0.0, "full {full}, empty {empty}");
}

/// Submerged factor K = 1 − ρw/ρ of boat materials: GRP .33, aluminium .63 (US Coast
/// Guard, Boatbuilder's Handbook, Flotation, step 1: conversion factors for materials),
/// steel .88, lead .91, oak −.56, fir plywood −.81 (the same table, from memory).
/// Densities from materials handbooks, from memory but for GRP: 1500, 2700, 7850, 11 340,
/// 640, 550 kg/m³. The table prints two digits of materials that vary: 0.01, and for the
/// woods 0.02.
#[test]
fn materials_keep_the_handbook_share_of_their_weight() {
    for (density, factor, tolerance) in [
        (1500.0, 0.33, 0.01),
        (2700.0, 0.63, 0.01),
        (7850.0, 0.88, 0.01),
        (11_340.0, 0.91, 0.01),
        (640.0, -0.56, 0.02),
        (550.0, -0.81, 0.02),
    ] {
        let text = item(
            "block",
            &format!("mass = 7\nat = [0, 0, 0.1]\ndensity = {density}"),
        );
        let boat = boxed("62.4 lb/ft3", LIGHT_HULL, &text);
        let result = dived(&boat, &neutral());
        let line = result.things.last().expect("listed");
        let got = line.submerged_factor.expect("it weighs");
        near(&format!("K at {density} kg/m³"), got, factor, tolerance);
    }
}

/// Foam of 2 lb/ft³ lifts 60.4 lb a cubic foot (US Coast Guard, Boatbuilder's Handbook,
/// Flotation, step 1: B is a cubic foot of fresh water, 62.4 lb, less one of the foam).
#[test]
fn a_cubic_foot_of_foam_lifts_60_pounds() {
    let text = item(
        "foam",
        "mass = \"2 lb\"\nat = [0, 0, 0.3]\nvolume = \"1 ft3\"",
    );
    let boat = boxed("62.4 lb/ft3", LIGHT_HULL, &text);
    let result = dived(&boat, &neutral());
    let lift = -result.things.last().expect("listed").weight_in_water_kg;
    near("lift, lb", lift / POUND_KG, 60.4, 1e-9);
    // A craft that is too heavy is told how much of the same foam it lacks.
    let heavy = boxed(
        "62.4 lb/ft3",
        LIGHT_HULL,
        &item("ingot", "mass = 90\nat = [0, 0, 0.1]\ndensity = 11340"),
    );
    let options = DiveOptions {
        room: rail(0.5),
        ..neutral()
    };
    let result = dived(&heavy, &options);
    assert_eq!(result.balance.material, Material::Foam);
    let per_cubic_foot = 60.4 * POUND_KG / FOOT_M.powi(3);
    near_share(
        "foam",
        result.balance.volume_m3,
        result.hangs.weight_in_water_kg / per_cubic_foot,
        1e-4,
    );
}

/// Pressure at 10, 30 and 100 m, latitude 45°, of the standard ocean (35.165 g/kg,
/// 0 °C): 10.08207, 30.24769, 100.84290 dbar (Python package gsw 3.6.23,
/// `p_from_z`). Ours takes standard gravity (5e-5 more than at 45°) and leaves
/// out that water is squeezed (2.2e-4 on the mean over 100 m).
#[test]
fn pressure_with_depth_as_teos_10_has_it() {
    let ocean = Water::from_salinity(35.0, 0.0).expect("within range");
    for (depth_m, dbar) in [(10.0, 10.08207), (30.0, 30.24769), (100.0, 100.84290)] {
        let got = ocean.pressure_over_surface_pa(depth_m) / 1e4;
        near_share("pressure", got, dbar, 3e-4);
    }
    // 1 psi is 2.3077 ft of fresh water at 62.4 lb/ft³, 2.25 ft of sea water at 64
    // (144 in²/ft² over the weight of a cubic foot).
    let psi = POUND_KG * GRAVITY / 0.0254_f64.powi(2);
    for (lb_ft3, feet) in [(62.4, 2.3077), (64.0, 2.25)] {
        let water = Water::from_density(lb_ft3 * POUND_KG / FOOT_M.powi(3)).expect("water");
        near_share(
            "1 psi",
            water.pressure_over_surface_pa(feet * FOOT_M),
            psi,
            2e-5,
        );
    }
}

/// Lead on a rail. The hull weighs −25 kg in water at x = 0.3, a battery of 30 kg
/// and 10 L weighs +20 kg at x = −0.1: together −5 kg and −9.5 kg m. Neutral and
/// level wants 5 kg in water at x = 9.5/5 = 1.9, which is 5/(1 − 1000/11340) kg of
/// lead.
#[test]
fn lead_for_neutral_and_level_by_closed_form() {
    let battery = item(
        "battery",
        "mass = 30\nat = [-0.1, 0, 0.1]\nvolume = \"10 L\"",
    );
    let boat = boxed("1000 kg/m3", LIGHT_HULL, &battery);
    let options = DiveOptions {
        room: rail(0.0),
        ..neutral()
    };
    let result = dived(&boat, &options);
    near("as it is", result.hangs.weight_in_water_kg, -5.0, 1e-12);
    let balance = &result.balance;
    assert_eq!(balance.material, Material::Lead);
    assert!(balance.levels);
    near(
        "lead",
        balance.mass_kg,
        5.0 / (1.0 - 1000.0 / LEAD_KG_M3),
        1e-9,
    );
    near("at x", balance.at_m.expect("a place")[0], 1.9, 1e-9);
    near("left over", balance.hangs.weight_in_water_kg, 0.0, 1e-9);
    near("pitch", balance.hangs.pitch_deg.expect("hangs"), 0.0, 1e-6);
    // At the ends (±2 m): first + last = 5, 2 (last − first) = 9.5.
    let ends = balance.ends.as_ref().expect("a rail");
    let lead = |weight: f64| weight / (1.0 - 1000.0 / LEAD_KG_M3);
    near("first", ends[0].mass_kg, lead(0.125), 1e-6);
    near("last", ends[1].mass_kg, lead(4.875), 1e-6);
}

/// The same with the battery at x = −1: −27.5 kg m want 5 kg at x = 5.5, off the
/// rail. The nearest place is its end, and level takes lead at one end and foam at
/// the other: first + last = 5, 2 (last − first) = 27.5.
#[test]
fn off_the_rail_lead_at_one_end_and_foam_at_the_other() {
    let battery = item("battery", "mass = 30\nat = [-1, 0, 0.1]\nvolume = \"10 L\"");
    let boat = boxed("1000 kg/m3", LIGHT_HULL, &battery);
    let options = DiveOptions {
        room: rail(0.0),
        foam_kg_m3: 50.0,
        ..neutral()
    };
    let balance = dived(&boat, &options).result.balance;
    assert!(!balance.levels);
    near(
        "right place",
        balance.right_place_m.expect("one")[0],
        5.5,
        1e-9,
    );
    near(
        "kept on the rail",
        balance.at_m.expect("one")[0],
        2.0,
        1e-12,
    );
    let [first, last] = balance.ends.as_ref().expect("a rail");
    assert_eq!(
        (first.material, last.material),
        (Material::Foam, Material::Lead)
    );
    near("foam", first.volume_m3, 4.375 / (1000.0 - 50.0), 1e-9);
    near("lead", last.volume_m3, 9.375 / (LEAD_KG_M3 - 1000.0), 1e-9);
    let hangs = balance.hangs_with_ends.expect("they were found");
    near("left over", hangs.weight_in_water_kg, 0.0, 1e-9);
    near("pitch", hangs.pitch_deg.expect("hangs"), 0.0, 1e-5);
}

/// Slightly buoyant: with lead of mass m that displaces d = m 1000/11340 at p, a
/// craft of mass M that displaces D is level where CG and CB are one in plan,
/// (Σ m x + m p)/(M + m) = (Σ d x + d p)/(D + d), solved for p by hand here.
#[test]
fn lead_for_a_stated_lift_by_closed_form() {
    let battery = item(
        "battery",
        "mass = 30\nat = [-0.1, 0.2, 0.1]\nvolume = \"10 L\"",
    );
    let boat = boxed("1000 kg/m3", LIGHT_HULL, &battery);
    let (mass, displaced) = (130.0, 135.0);
    let (mass_x, displaced_x) = (100.0 * 0.3 - 30.0 * 0.1, 125.0 * 0.3 - 10.0 * 0.1);
    let (mass_y, displaced_y) = (30.0 * 0.2, 10.0 * 0.2);
    let m = 4.0 / (1.0 - 1000.0 / LEAD_KG_M3);
    let d = m * 1000.0 / LEAD_KG_M3;
    let place = |mass_moment: f64, displaced_moment: f64| {
        (displaced_moment / (displaced + d) - mass_moment / (mass + m))
            / (m / (mass + m) - d / (displaced + d))
    };
    let corners = [Vec3::new(-9.0, -9.0, 0.05), Vec3::new(9.0, 9.0, 0.05)];
    let options = DiveOptions {
        buoyant_kg: 1.0,
        room: Some(Room::Grid(corners)),
        ..neutral()
    };
    let balance = dived(&boat, &options).result.balance;
    let at = balance.at_m.expect("a place");
    near("lead", balance.mass_kg, m, 1e-9);
    near("x", at[0], place(mass_x, displaced_x), 1e-9);
    near("y", at[1], place(mass_y, displaced_y), 1e-9);
    near("lift", -balance.hangs.weight_in_water_kg, 1.0, 1e-9);
    near("pitch", balance.hangs.pitch_deg.expect("hangs"), 0.0, 1e-6);
    near("heel", balance.hangs.heel_deg.expect("hangs"), 0.0, 1e-6);
}

/// It hangs with CB over CG: under a float of 10 L without weight to speak of at
/// (0.05, 0.02, 0.4), a weight of 10 kg without volume at the origin. Up is the
/// direction from the weight to the float: sin pitch = 0.05 over their distance, tan
/// heel = 0.02/0.4.
#[test]
fn it_hangs_with_its_centre_of_buoyancy_over_its_centre_of_gravity() {
    let things = item(
        "float",
        "mass = \"1 mg\"\nat = [0.05, 0.02, 0.4]\nvolume = \"10 L\"",
    )
    .replace("1 mg", "0.000001 kg");
    // The hull's own volume is left unknown, so it displaces nothing.
    let boat = boxed("1000 kg/m3", "mass = 10\ncentre = [0, 0, 0]", &things);
    let result = dived(&boat, &neutral());
    let length = (0.05_f64.powi(2) + 0.02_f64.powi(2) + 0.4_f64.powi(2)).sqrt();
    let pitch = (0.05 / length).asin().to_degrees();
    let heel = 0.02_f64.atan2(0.4).to_degrees();
    near("pitch", result.hangs.pitch_deg.expect("hangs"), pitch, 1e-4);
    near("heel", result.hangs.heel_deg.expect("hangs"), heel, 1e-4);
    near("gap", result.hangs.gap_m, 0.4, 1e-6);
    // Displacement × g × length of the pendulum × one degree.
    let moment = 10.0 * GRAVITY * length * PI / 180.0;
    near_share("turns back", result.righting_n_m_per_deg, moment, 1e-5);
    assert_eq!(result.without_volume, ["hull"]);
    assert!(
        result
            .summary(Metric)
            .contains("NOT KNOWN: the volume of hull")
    );
    assert!(result.cautions.iter().any(|caution| matches!(
        caution,
        Caution::WithoutVolume { things, taken: WithoutVolume::Dived } if things == &["hull"]
    )));
}

/// A cylinder over the centre of gravity of everything else: emptying it leaves a
/// level craft level, since both CG and CB stay over the same point. Away from
/// there it does not. (Internal consistency: the place is the study's own.)
#[test]
fn a_cylinder_in_its_steady_place_leaves_the_trim_alone() {
    let with_cylinder_at = |x: f64| {
        let text = item(
            "cylinder",
            &format!(
                "mass = 12\nat = [{x}, 0, 0.2]\nvolume = \"14 L\"\ncylinder = {{ water_volume = \"12 L\", pressure = \"232 bar\", reserve = \"30 bar\" }}"
            ),
        );
        let boat = boxed("1000 kg/m3", LIGHT_HULL, &text);
        let options = DiveOptions {
            room: rail(0.0),
            ..neutral()
        };
        dived(&boat, &options)
    };
    let away = with_cylinder_at(-0.5);
    assert!(away.balance.levels);
    assert!(away.air[0].pitch_change_deg.abs() > 1.0, "{:?}", away.air);
    // Moving it moves the lead that levels the craft, so ask again a few times.
    let mut x = -0.5;
    for _ in 0..40 {
        x = with_cylinder_at(x).air[0].steady_at_m[0];
    }
    let there = with_cylinder_at(x);
    assert!(there.balance.levels);
    near("pitch change", there.air[0].pitch_change_deg, 0.0, 1e-6);
}

/// A bag for a housing of 20 kg and 10 L: 10 kg in fresh water, 10 L of gas, and by
/// Boyle as many times that at the surface as the pressure is higher.
#[test]
fn a_soft_bag_that_balances_a_housing_at_a_depth() {
    let boat = boxed(
        "1000 kg/m3",
        "mass = 20\ncentre = [0, 0, 0.2]\ndensity = 2000",
        "",
    );
    let result = dived(&boat, &neutral());
    for bag in &result.bags {
        let times = 1.0 + 1000.0 * GRAVITY * bag.depth_m / ATMOSPHERE_PA;
        near("gas there", bag.volume_m3, 0.010, 1e-12);
        near(
            "gas at the surface",
            bag.surface_volume_m3,
            0.010 * times,
            1e-12,
        );
        near(
            "lift left over",
            bag.surface_lift_kg,
            10.0 * (times - 1.0),
            1e-9,
        );
    }
    assert_eq!(result.bags.len(), 4);
}

/// Dry, a box of 4 × 1 m at a draught T has GM = T/2 + B²/(12 T) − KG (derived in
/// `cuboid.rs`). Held flooded with the water at T, its skin of thickness t has the volume
/// t (L B + 2 T (L + B)), the waterplane of four thin strips, I = 2 L t (B/2)² plus
/// 2 t B³/12, and KB = t T² (L + B)/V; the stiffness is ρ g (I + V (KB − KG)). Dived,
/// ρ g V (KB − KG) of the whole. Strips leaned by ±1° give the second difference of an
/// exact quadratic but for the cosine: 4e-4.
#[test]
fn the_way_down_of_a_box_by_closed_form() {
    let (l, b, t) = (4.0, 1.0, 0.004);
    let boat = boxed(
        "1000 kg/m3",
        "skin = { thickness = \"4 mm\", density = 1500 }",
        &item(
            "lead",
            "mass = 100\nat = [0, 0, 0.02]\ndensity = 11340\nsize = [0.2, 0.2, 0.04]",
        ),
    );
    // No ballast: the lead aboard is asked to stay as it is.
    let mass = boat.mass_kg();
    let gravity = boat.centre_of_gravity_m().z;
    let weight = {
        let solid: f64 = boat.masses.iter().filter_map(|entry| entry.solid_m3).sum();
        mass - 1000.0 * solid
    };
    let options = DiveOptions {
        // As it is: nothing is added for the weight in water that it has.
        buoyant_kg: -weight,
        ..neutral()
    };
    let result = dived(&boat, &options);
    assert_eq!(result.balance.material, Material::Nothing);
    let degree = 1000.0 * GRAVITY * PI / 180.0;
    let dry = &result.way_down[0];
    assert_eq!(dry.state, WayState::Dry);
    let draught = mass / 1000.0 / (l * b);
    let gm = draught / 2.0 + b * b / (12.0 * draught) - gravity;
    near_share("GM dry", dry.gm_transverse_m.expect("afloat"), gm, 1e-9);
    let lead_volume = 100.0 / LEAD_KG_M3;
    let held: Vec<_> = result
        .way_down
        .iter()
        .filter(|line| line.state == WayState::FloodedHeld)
        .collect();
    assert_eq!(held.len(), 12);
    for line in held {
        let depth = line.waterline_height_m.expect("held");
        let skin = t * (l * b + 2.0 * depth * (l + b));
        let skin_moment = t * depth * depth * (l + b);
        let inertia = 2.0 * l * t * (b / 2.0).powi(2) + 2.0 * t * b.powi(3) / 12.0;
        let moment = skin_moment + lead_volume * 0.02 - (skin + lead_volume) * gravity;
        near_share(
            "flooded and held",
            line.righting_transverse_n_m,
            degree * (inertia + moment),
            4e-4,
        );
    }
    let under = result.way_down.last().expect("dived");
    assert_eq!(under.state, WayState::Dived);
    let skin = t * 2.0 * (l * b + 0.5 * (l + b));
    let moment = skin * 0.25 + lead_volume * 0.02 - (skin + lead_volume) * gravity;
    near_share(
        "dived",
        under.righting_transverse_n_m,
        degree * moment,
        2e-4,
    );
    near_share("hangs", result.righting_n_m_per_deg, degree * moment, 1e-9);
}

/// CB over CG is judged with the cylinders full and at the reserve, whichever the craft
/// is trimmed for: full, the air that is used weighs where it stands, and CG is that of
/// the two together. High up the full cylinder is the worse, low down the empty one.
#[test]
fn the_gap_is_judged_in_the_worse_state_of_the_cylinders() {
    for (z, worse) in [(0.7, CylinderState::Full), (-0.6, CylinderState::Reserve)] {
        let text = item(
            "cylinder",
            &format!(
                "mass = 12\nat = [0.2, 0, {z}]\nvolume = \"14 L\"\ncylinder = {{ water_volume = \"12 L\", pressure = \"232 bar\", reserve = \"30 bar\" }}"
            ),
        );
        let boat = boxed("1000 kg/m3", LIGHT_HULL, &text);
        let result = dived(&boat, &neutral());
        let gap = |state| {
            let found = result.gaps.iter().find(|gap| gap.cylinders == Some(state));
            found.expect("each state").gap_m
        };
        let cb = result.trimmed_centre_of_buoyancy_m.expect("it displaces")[2];
        let cg = result.trimmed_centre_of_gravity_m[2];
        near(
            "at the reserve",
            gap(CylinderState::Reserve),
            cb - cg,
            1e-12,
        );
        let (kg, air_kg) = (
            result.mass_kg + result.balance.mass_kg,
            result.air[0].air_used_kg,
        );
        let full = cb - (kg * cg + air_kg * z) / (kg + air_kg);
        near("full", gap(CylinderState::Full), full, 1e-12);
        let least = result.least_gap().expect("two states");
        assert_eq!(least.cylinders, Some(worse));
        let between = f64::midpoint(gap(CylinderState::Full), gap(CylinderState::Reserve));
        let asked = DiveOptions {
            least_gap_m: between,
            ..neutral()
        };
        let asked = dived(&boat, &asked);
        assert!(!asked.gap_reached, "{}", asked.summary(Metric));
        assert!(
            asked.summary(Metric).contains("with full cylinders")
                && asked.summary(Metric).contains("down to the reserve"),
            "{}",
            asked.summary(Metric)
        );
    }
}
