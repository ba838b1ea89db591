//! Caught air and kept water against closed forms of boxes, steps and domes.
use awash::boat::Boat;
use awash::mesh::{Surface, solids};
use awash::numerics::Vec3;
use awash::study::{TrappedResult, trapped};

use crate::boats::made;
use crate::support::{converges, near, near_share};
use crate::zoo;

/// Sums of a few dozen products, each rounded at 1e-16.
const ROUNDING: f64 = 1e-12;
/// A level of the corners' own height, in metres.
const LEVEL_M: f64 = 1e-12;

/// A boat of a mesh in fresh water of 1000 kg/m³; its hull weighs 10 kg of a
/// material without volume, so that all of the inside can fill.
fn boat(surface: &Surface, more: &str) -> Boat {
    made(surface, &format!("mass = 10\ncentre = [0, 0, 0.1]\n{more}"))
}

/// A box 1 × 0.6 × 0.4 m without its bottom.
fn inverted_box() -> Boat {
    let mut surface = solids::cuboid(Vec3::new(-0.5, -0.3, 0.0), Vec3::new(0.5, 0.3, 0.4));
    let vertices = surface.vertices.clone();
    let is_bottom = |face: &[u32; 3]| face.iter().all(|v| vertices[*v as usize].z == 0.0);
    surface.faces.retain(|face| !is_bottom(face));
    boat(&surface, "[[opening]]\nname = \"bottom\"\nloop = 1\n")
}

fn rim(name: &str, points: &[[f64; 3]]) -> String {
    format!("[[opening]]\nname = \"{name}\"\nrim = {points:?}\n")
}

fn one_pocket(result: &TrappedResult) -> &awash::study::PocketLine {
    assert_eq!(result.air.len(), 1, "{:?}", result.air);
    assert!(result.air[0].is_exact, "{:?}", result.air);
    &result.air[0]
}

/// An inverted box keeps all its air, L B H, down to its rim; leaned by θ it keeps
/// what lies over the plane through the higher edge, L (B H − ½ B² tan θ).
#[test]
fn an_inverted_box_keeps_its_air() {
    let boat = inverted_box();
    let upright = trapped(&boat, 0.0, 0.0);
    let pocket = one_pocket(&upright);
    near_share("air", pocket.volume_m3, 0.24, ROUNDING);
    near_share("lift", upright.air_lift_kg, 240.0, ROUNDING);
    near("level", pocket.level_m.expect("a rim"), 0.0, LEVEL_M);
    near("vent", pocket.end_m[2], 0.4, LEVEL_M);
    // In the middle of the level ceiling, to a column's side.
    for across in [pocket.end_m[0], pocket.end_m[1]] {
        near("vent", across, 0.0, upright.cell_m);
    }
    // Boyle, 1000 kg/m³ at 10 m.
    let times = 1.0 + 1000.0 * 9.80665 * 10.0 / 101_325.0;
    near_share("at 10 m", pocket.at_10_m_kg, 240.0 / times, ROUNDING);
    assert!(upright.water_kept.is_empty());
    for heel_deg in [5.0_f64, 10.0, -10.0, 25.0] {
        let leaned = trapped(&boat, heel_deg, 0.0);
        let tangent = heel_deg.abs().to_radians().tan();
        let want = 0.6 * 0.4 - 0.36 * tangent / 2.0;
        near_share(
            "leaned",
            one_pocket(&leaned).volume_m3,
            want,
            10.0 * ROUNDING,
        );
    }
}

/// Its open edge marked by tape at its corners lets air out over the whole of it as
/// well, the box as on its edge by the mesh.
#[test]
fn a_rim_by_tape_on_an_open_edge_lets_air_out_over_all_of_it() {
    let mut surface = solids::cuboid(Vec3::new(-0.5, -0.3, 0.0), Vec3::new(0.5, 0.3, 0.4));
    let vertices = surface.vertices.clone();
    let is_bottom = |face: &[u32; 3]| face.iter().all(|v| vertices[*v as usize].z == 0.0);
    surface.faces.retain(|face| !is_bottom(face));
    let corners = [
        [-0.5, -0.3, 0.0],
        [0.5, -0.3, 0.0],
        [0.5, 0.3, 0.0],
        [-0.5, 0.3, 0.0],
    ];
    let more = format!("[[opening]]\nname = \"bottom\"\nloop = 1\nrim = {corners:?}\n");
    let result = trapped(&boat(&surface, &more), 0.0, 0.0);
    near_share("air", one_pocket(&result).volume_m3, 0.24, ROUNDING);
    assert!(result.water_kept.is_empty(), "{:?}", result.water_kept);
}

/// The same box turned over keeps its water: all of it upright, L (B H − ½ B² tan θ)
/// leaned by θ.
#[test]
fn an_open_box_keeps_its_water_when_it_is_lifted() {
    let boat = inverted_box();
    let upright = trapped(&boat, 180.0, 0.0);
    assert!(upright.air.is_empty(), "{:?}", upright.air);
    near_share("kept", upright.water_kept_m3, 0.24, ROUNDING);
    near_share("lifted", upright.mass_lifted_kg, 250.0, ROUNDING);
    near("drain", upright.water_kept[0].end_m[2], 0.4, LEVEL_M);
    let leaned = trapped(&boat, 170.0, 0.0);
    let want = 0.6 * 0.4 - 0.36 * 10.0_f64.to_radians().tan() / 2.0;
    near_share("leaned", leaned.water_kept_m3, want, 10.0 * ROUNDING);
}

/// A stepped box: from port to starboard a part 1 m wide and 0.5 m high and one 1 m
/// wide and 0.3 m high, both 0.6 m long.
fn stepped(opening: &str) -> Boat {
    let outline = [
        [-1.0, 0.0],
        [1.0, 0.0],
        [1.0, 0.5],
        [0.0, 0.5],
        [0.0, 0.3],
        [-1.0, 0.3],
    ];
    boat(&solids::prism_along_x(&outline, 0.0, 0.6), opening)
}

/// Vented in the lower roof, the higher part keeps what lies over that roof, 1 ×
/// 0.6 × 0.2. Vented through a side hole up to z = 0.2, both keep what lies over
/// the hole: 1 × 0.6 × (0.1 + 0.3).
#[test]
fn a_stepped_box_keeps_what_lies_over_the_way_out() {
    let roof = rim(
        "hatch",
        &[
            [0.2, -0.6, 0.3],
            [0.4, -0.6, 0.3],
            [0.4, -0.4, 0.3],
            [0.2, -0.4, 0.3],
        ],
    );
    let result = trapped(&stepped(&roof), 0.0, 0.0);
    let pocket = one_pocket(&result);
    near_share("over the roof", pocket.volume_m3, 0.12, ROUNDING);
    near("level", pocket.level_m.expect("a step"), 0.3, LEVEL_M);
    assert_eq!(pocket.opening.as_deref(), Some("hatch"));
    let side = rim(
        "port",
        &[
            [0.2, -1.0, 0.1],
            [0.4, -1.0, 0.1],
            [0.4, -1.0, 0.2],
            [0.2, -1.0, 0.2],
        ],
    );
    let result = trapped(&stepped(&side), 0.0, 0.0);
    let pocket = one_pocket(&result);
    near_share("over the hole", pocket.volume_m3, 0.24, ROUNDING);
    near("level", pocket.level_m.expect("a hole"), 0.2, LEVEL_M);
    // Lifted out, it keeps what lies under the hole: 2 × 0.6 × 0.1.
    near_share("kept", result.water_kept_m3, 0.12, ROUNDING);
}

/// A rib that hangs from the roof down to z = 0.25 between two parts: the vented
/// one, its roof at 0.3, keeps nothing, the other what lies over the rib's foot:
/// 0.95 × 0.6 × 0.25. A second vent in its roof empties it.
#[test]
fn a_rib_under_the_roof_holds_air_behind_it() {
    let outline = [
        [-1.0, 0.0],
        [1.0, 0.0],
        [1.0, 0.5],
        [0.05, 0.5],
        [0.05, 0.25],
        [-0.05, 0.25],
        [-0.05, 0.3],
        [-1.0, 0.3],
    ];
    let surface = solids::prism_along_x(&outline, 0.0, 0.6);
    let hatch = |name: &str, y: f64, z: f64| {
        rim(
            name,
            &[
                [0.2, y - 0.1, z],
                [0.4, y - 0.1, z],
                [0.4, y + 0.1, z],
                [0.2, y + 0.1, z],
            ],
        )
    };
    let one = hatch("one", -0.5, 0.3);
    let result = trapped(&boat(&surface, &one), 0.0, 0.0);
    near_share(
        "behind the rib",
        one_pocket(&result).volume_m3,
        0.1425,
        ROUNDING,
    );
    let both = format!("{one}{}", hatch("two", 0.5, 0.5));
    let result = trapped(&boat(&surface, &both), 0.0, 0.0);
    assert!(result.air.is_empty(), "{:?}", result.air);
    // A covered hatch lets nothing out.
    let covered = format!("{one}{}state = \"covered\"\n", hatch("two", 0.5, 0.5));
    let result = trapped(&boat(&surface, &covered), 0.0, 0.0);
    near_share(
        "behind the rib",
        one_pocket(&result).volume_m3,
        0.1425,
        ROUNDING,
    );
}

/// A dome, half a sphere of radius R = 0.5 m, with a hole in its side up to a height
/// of R/2: the air over it is the cap of height h = R/2, π h² (3R − h)/3. The mesh
/// is an inscribed polyhedron with a row at that height, so its error falls as the
/// square of the facet size.
#[test]
fn a_dome_keeps_the_cap_over_its_hole() {
    let (radius, cap) = (0.5_f64, 0.25_f64);
    let exact = std::f64::consts::PI * cap * cap * (3.0 * radius - cap) / 3.0;
    let across = (radius * radius - cap * cap).sqrt();
    converges("cap of a dome", exact, 6, |rows| {
        let dome = solids::half_ellipsoid(Vec3::repeat(radius), rows, 4 * rows);
        // It comes keel down; half a turn about x makes a dome of it.
        let hole = rim(
            "hole",
            &[[across, 0.0, cap], [0.48, 0.02, 0.1], [0.48, -0.02, 0.1]],
        );
        let turned = format!("turn = {{ about_x = 180 }}\n{hole}");
        let result = trapped(&boat(&dome, &turned), 0.0, 0.0);
        one_pocket(&result).volume_m3
    });
}

/// A box 2 × 0.6 × 0.4 m with a bulkhead across its middle, vented in the after
/// roof. A hole in the bulkhead, 0.1 m across with its middle at z = 0.2, lets
/// the fore part's air out down to its top. It stands as a ring of 24 corners of the
/// same area, r² = 2 π 0.05²/(24 sin 15°): 1 × 0.6 × (0.2 − r) stays.
#[test]
fn air_passes_a_bulkhead_through_its_hole() {
    let surface = solids::cuboid(Vec3::new(-1.0, -0.3, 0.0), Vec3::new(1.0, 0.3, 0.4));
    let hatch = rim(
        "hatch",
        &[
            [-0.6, -0.1, 0.4],
            [-0.4, -0.1, 0.4],
            [-0.4, 0.1, 0.4],
            [-0.6, 0.1, 0.4],
        ],
    );
    let bow = "[[compartment]]\nname = \"bow\"\nforward_of = 0\n";
    let hole = "[[passage]]\nname = \"limber hole\"\nbetween = [\"bow\", \"inside\"]\nat = [0, 0, 0.2]\ndiameter = \"100 mm\"\n";
    let result = trapped(&boat(&surface, &format!("{hatch}{bow}{hole}")), 0.0, 0.0);
    let pocket = one_pocket(&result);
    assert_eq!(pocket.compartments, ["bow"]);
    let circle = std::f64::consts::PI * 0.05 * 0.05;
    let r = (2.0 * circle / (24.0 * 15.0_f64.to_radians().sin())).sqrt();
    near("level", pocket.level_m.expect("a hole"), 0.2 + r, LEVEL_M);
    near_share("fore part", pocket.volume_m3, 0.6 * (0.2 - r), 1e-6);
    // Without the hole nothing leads into the bow at all: no water gets in, so there is
    // no air to catch and no water to keep.
    let closed = trapped(&boat(&surface, &format!("{hatch}{bow}")), 0.0, 0.0);
    assert!(closed.air.is_empty(), "{:?}", closed.air);
    near("air", closed.air_m3, 0.0, LEVEL_M);
    assert_eq!(closed.no_way_in, ["bow"]);
    // What the after part keeps when it is lifted is its own.
    near_share("kept", closed.water_kept_m3, 0.24, 1e-6);
}

fn thing(name: &str, size: [f64; 3], at: [f64; 3]) -> String {
    let volume: f64 = size.iter().product();
    format!(
        "[[item]]\nname = \"{name}\"\nmass = 5\nat = {at:?}\nvolume = \"{volume} m3\"\nsize = {size:?}\n"
    )
}

/// What stands in a pocket takes its room from the air: all of a block of 20 L that is
/// in it, the upper 6 L of one of 8 L that stands 5 cm through the rim of the inverted
/// box (0.2 × 0.2 × 0.15), at a lean too where it is clear of the water; as much of a
/// block of 0.4 × 0.2 × 0.1 m that is only half solid. Turned over, the same from the
/// water that is kept.
#[test]
fn what_stands_inside_takes_room_from_air_and_water() {
    let mut surface = solids::cuboid(Vec3::new(-0.5, -0.3, 0.0), Vec3::new(0.5, 0.3, 0.4));
    let vertices = surface.vertices.clone();
    let is_bottom = |face: &[u32; 3]| face.iter().all(|v| vertices[*v as usize].z == 0.0);
    surface.faces.retain(|face| !is_bottom(face));
    let crate_20 = thing("crate", [0.5, 0.2, 0.2], [-0.1, 0.05, 0.25]);
    let through = thing("through the rim", [0.2, 0.2, 0.2], [0.3, -0.15, 0.05]);
    let sack = "[[item]]\nname = \"sack\"\nmass = 3\nat = [-0.25, -0.18, 0.2]\nvolume = \"4 L\"\nsize = [0.4, 0.2, 0.1]\n";
    let bottom = "[[opening]]\nname = \"bottom\"\nloop = 1\n";
    let filled = boat(&surface, &format!("{bottom}{crate_20}{through}{sack}"));
    let left = 0.24 - 0.020 - 0.006 - 0.004;
    near_share("air", trapped(&filled, 0.0, 0.0).air_m3, left, 1e-6);
    near_share(
        "kept",
        trapped(&filled, 180.0, 0.0).water_kept_m3,
        left,
        1e-6,
    );
    let leaned = trapped(&boat(&surface, &format!("{bottom}{crate_20}")), 10.0, 0.0);
    let whole = 0.24 - 0.36 * 10.0_f64.to_radians().tan() / 2.0;
    near_share("leaned", leaned.air_m3, whole - 0.020, 1e-6);
}

/// In the stepped box with its hole in the side, air is caught over z = 0.2 and water
/// kept under 0.1. A block between the two takes nothing of either; one in the higher
/// part, from 0.15 to 0.45, takes of the air its 0.2 × 0.2 × 0.25 and of the water
/// nothing. Of two pockets that reach as high each loses what stands in it: vented in
/// the lower roof, only the higher part's is left.
#[test]
fn only_what_stands_in_a_pocket_takes_of_it() {
    let side = rim(
        "port",
        &[
            [0.2, -1.0, 0.1],
            [0.4, -1.0, 0.1],
            [0.4, -1.0, 0.2],
            [0.2, -1.0, 0.2],
        ],
    );
    let between = thing("between", [0.2, 0.2, 0.1], [0.3, -0.5, 0.15]);
    let result = trapped(&stepped(&format!("{side}{between}")), 0.0, 0.0);
    near_share("air", result.air_m3, 0.24, 1e-6);
    near_share("kept", result.water_kept_m3, 0.12, 1e-6);
    let high = thing("high", [0.2, 0.2, 0.3], [0.3, 0.5, 0.3]);
    let result = trapped(&stepped(&format!("{side}{high}")), 0.0, 0.0);
    near_share("air less", result.air_m3, 0.24 - 0.01, 1e-6);
    near_share("kept", result.water_kept_m3, 0.12, 1e-6);
}

/// Internal consistency: a decked hull with things inside, moved and mirrored, catches
/// the same.
#[test]
fn a_hull_moved_or_mirrored_catches_the_same() {
    let inside = |by: f64, side: f64| {
        thing("crate", [0.3, 0.1, 0.1], [2.8 + by, 0.1 * side, 0.2])
            + "[[compartment]]\nname = \"stern\"\nsealed = true\n"
            + &format!("aft_of = {}\n", 0.5 + by)
    };
    let hull = zoo::decked_hull();
    let moved = hull.moved(|p| Vec3::new(p.x + 3.0, p.y, p.z));
    let of = |hull: &zoo::ZooHull, more: &str| trapped(&hull.boat_with(more), 4.0, 15.0);
    let here = of(&hull, &inside(0.0, 1.0));
    let there = of(&moved, &inside(3.0, 1.0));
    let mirrored = trapped(&hull.mirrored().boat_with(&inside(0.0, -1.0)), -4.0, 15.0);
    assert!(here.air_m3 > 1e-3 && here.water_kept_m3 > 1e-2, "{here:?}");
    for (what, other) in [("moved", there), ("mirrored", mirrored)] {
        // The columns fall elsewhere: a pocket's level is found to a cell.
        near_share(&format!("air, {what}"), other.air_m3, here.air_m3, 0.02);
        near_share(
            &format!("kept, {what}"),
            other.water_kept_m3,
            here.water_kept_m3,
            0.02,
        );
    }
}
