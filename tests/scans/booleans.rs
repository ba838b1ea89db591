//! Joining and cutting of clean and mended hulls, held against the column
//! check, which sums lengths inside both solids and never joins a face.
use awash::boat::{Boat, Envelope, Operation};
use awash::mesh::{
    Combine, DEFAULT_CELL_M, DoubtKind, Level, MendRecipe, Mirror, Moved, PrepareOptions, Surface,
    audit, prepare, solids, volume_changed, write_stl,
};
use awash::numerics::Vec3;

use super::make::{
    Random, double_skinned, finer, hull, noisy, on_a_floor, port_half, with_flipped, with_holes,
    with_missing,
};
use super::{mended, scan_of, upright};

/// The issue's own limit, as a share of the volume.
const AGREE_WITHIN: f64 = 2e-4;

/// Hulls as they come and as mending leaves them, in the boat frame.
fn hulls() -> Vec<(&'static str, Surface)> {
    let mut random = Random(11);
    let mend = |scan: Surface, motion: &Moved, recipe: &MendRecipe| {
        let result = mended(scan_of(scan, motion), recipe).expect("it can be mended");
        result.surface
    };
    let fill = MendRecipe {
        fill_under_m: Some(2.0),
        ..upright()
    };
    let floor = MendRecipe {
        drop_floor: true,
        largest_only: true,
        fill_under_m: Some(5.0),
        ..upright()
    };
    let outer = MendRecipe {
        outer_skin: true,
        upright: Some(Level::Floor),
        ..MendRecipe::default()
    };
    let mirror = MendRecipe {
        mirror: Some(Mirror::AtCut),
        ..upright()
    };
    let holes = [
        (Vec3::new(1.4, 0.0, 0.0), 0.12),
        (Vec3::new(2.2, 0.3, 0.15), 0.08),
    ];
    let missing = with_missing(finer(hull(), 1), 0.01, &mut random);
    let flipped = with_flipped(hull(), 0.05, &mut random);
    let noisy = noisy(finer(hull(), 1), 0.002, &mut random);
    vec![
        ("as lofted", hull()),
        ("noisy", mend(noisy, &random.motion(), &upright())),
        ("missing triangles", mend(missing, &random.motion(), &fill)),
        (
            "holes",
            mend(with_holes(hull(), &holes), &random.motion(), &fill),
        ),
        ("flipped", mend(flipped, &random.motion(), &upright())),
        (
            "floor",
            mend(
                on_a_floor(&finer(hull(), 1), 0.004),
                &random.motion(),
                &floor,
            ),
        ),
        (
            "double skin",
            mend(double_skinned(&hull(), 0.006), &random.motion(), &outer),
        ),
        ("half", mend(port_half(&hull()), &random.motion(), &mirror)),
    ]
}

#[test]
fn booleans_agree_with_the_columns_on_clean_and_mended_hulls() {
    let foredeck = solids::cuboid(Vec3::new(2.3, -0.5, 0.25), Vec3::new(3.5, 0.5, 0.45));
    let skeg = solids::wedge(Vec3::new(0.2, -0.02, -0.1), Vec3::new(1.2, 0.02, 0.05));
    let well = solids::cylinder(
        Vec3::new(0.5, 0.0, -0.2),
        Vec3::new(0.45, 0.05, 0.6),
        0.12,
        48,
    );
    let port = solids::cuboid(Vec3::new(1.6, 0.2, 0.1), Vec3::new(1.8, 0.6, 0.2));
    for (name, surface) in hulls() {
        let closed = prepare(surface, &PrepareOptions::default());
        assert!(closed.closed, "{name}");
        let hull = Envelope::of_part(closed.surface, 0);
        for (what, solid, operation, how) in [
            ("foredeck", &foredeck, Operation::Join, Combine::Union),
            ("skeg", &skeg, Operation::Join, Combine::Union),
            ("well", &well, Operation::Cut, Combine::Difference),
            ("side recess", &port, Operation::Cut, Combine::Difference),
        ] {
            let part = Envelope::of_part(solid.clone(), 1);
            let made = hull
                .combine(&part, operation)
                .unwrap_or_else(|error| panic!("{name}, {what}: {error}"));
            assert!(made.surface.is_balanced(), "{name}, {what}");
            let before = hull.surface.signed_volume_m3();
            let volume = made.surface.signed_volume_m3();
            assert!(
                (volume - before).abs() > 1e-4,
                "{name}, {what}: it must change something, or nothing is tested"
            );
            let check = before + volume_changed(&hull.surface, solid, how, DEFAULT_CELL_M);
            let off = volume / check - 1.0;
            assert!(off.abs() < AGREE_WITHIN, "{name}, {what}: {off:e}");
        }
    }
}

/// A hull mesh with more, as a boat.
fn boat_of(surface: &Surface, more: &str) -> Boat {
    let folder = tempfile::tempdir().expect("a temporary folder");
    write_stl(
        std::fs::File::create(folder.path().join("hull.stl")).expect("a file"),
        surface,
    )
    .expect("written");
    let text = format!(
        "[hull]\nmesh = \"hull.stl\"\nunits = \"m\"\nmass = 20\ncentre = [1.5, 0, 0.2]\n{more}"
    );
    let file = folder.path().join("boat.toml");
    std::fs::write(&file, text).expect("written");
    Boat::load(&file).expect("a sound boat file")
}

fn overlap(boat: &Boat) -> Vec<String> {
    let doubts = boat.doubts.iter();
    doubts
        .filter(|doubt| doubt.kind == DoubtKind::Overlap)
        .map(ToString::to_string)
        .collect()
}

/// Boxes of 1 m³ that share 0.25 m³ hold 1.75 m³ together, and a third that
/// stands clear its own: not the sum.
#[test]
fn shells_that_overlap_are_joined_and_told_not_summed() {
    let mut both = solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0));
    both.append(&solids::cuboid(
        Vec3::new(0.75, 0.0, 0.0),
        Vec3::new(1.75, 1.0, 1.0),
    ));
    both.append(&solids::cuboid(
        Vec3::new(3.0, 0.25, 0.25),
        Vec3::new(3.5, 0.75, 0.75),
    ));
    let boat = boat_of(&both, "");
    let volume = boat.envelope.surface.signed_volume_m3();
    assert!((volume - 1.875).abs() < 1e-9, "{volume}");
    let told = overlap(&boat);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("3 pieces of the hull's mesh pass through each other"));
    assert!(told[0].contains("1875.00 L") && told[0].contains("2125.00 L"));
}

/// A skeg in the same file as the open hull: the same boat as with the skeg as
/// a part, and the open edge is still the one opening.
#[test]
fn a_fairing_in_the_hulls_own_file_is_the_same_as_a_part() {
    let lo = Vec3::new(0.2, -0.02, -0.1);
    let hi = Vec3::new(1.2, 0.02, 0.05);
    let cockpit = "[[opening]]\nname = \"cockpit\"\nloop = 1\n";
    let part = format!(
        "[[part]]\nname = \"skeg\"\nrole = \"add\"\nmass = 0\nbox = {{ min = [{}, {}, {}], max = [{}, {}, {}] }}\n",
        lo.x, lo.y, lo.z, hi.x, hi.y, hi.z
    );
    let apart = boat_of(&hull(), &format!("{cockpit}{part}"));
    let mut joined = hull();
    joined.append(&solids::cuboid(lo, hi));
    let joined = boat_of(&joined, cockpit);
    let volume = |boat: &Boat| boat.envelope.surface.signed_volume_m3();
    // Single precision of the STL over the skeg's 0.4 m².
    assert!((volume(&joined) - volume(&apart)).abs() < 1e-7);
    assert_eq!(overlap(&joined).len(), 1, "{:?}", joined.doubts);
    assert!(overlap(&apart).is_empty());
    assert_eq!(joined.openings.len(), 1);
    assert_eq!(joined.openings[0].rim.len(), apart.openings[0].rim.len());
}

/// One shell that passes through itself cannot be taken apart: it is told,
/// with the room that is counted twice.
#[test]
fn a_shell_through_itself_stays_in_doubt() {
    // An L bent on until its end comes back through its foot: a tube along x,
    // up, back and down through the first leg.
    let path = [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.5, 1.0], [0.5, -0.5]];
    let tube = bent_tube(&path, 0.1);
    let found = audit(&tube).expect("it has a plan");
    assert!(found.is_doubled(), "{found:?}");
    let boat = boat_of(&tube, "");
    let told = overlap(&boat);
    assert_eq!(told.len(), 1, "{:?}", boat.doubts);
    assert!(told[0].contains("is counted more than once"), "{told:?}");
}

/// A square tube in the x–z plane, of half width `half_m`, mitred at corners.
fn bent_tube(path: &[[f64; 2]], half_m: f64) -> Surface {
    let count = path.len();
    let at = |k: usize| Vec3::new(path[k][0], 0.0, path[k][1]);
    let mut tube = Surface::default();
    for k in 0..count {
        let before = (at(k) - at(k.saturating_sub(1))).try_normalize(0.0);
        let after = (at((k + 1).min(count - 1)) - at(k)).try_normalize(0.0);
        let (before, after) = (
            before.or(after).expect("a path with two points"),
            after.or(before).expect("a path with two points"),
        );
        let left = |d: &Vec3| Vec3::new(-d.z, 0.0, d.x);
        let bisector = left(&before) + left(&after);
        let across = bisector * (2.0 / bisector.norm_squared());
        for (side, up) in [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)] {
            let corner = at(k) + across * (half_m * side) + Vec3::y() * (half_m * up);
            tube.vertices.push(corner);
        }
    }
    let number = |k: usize, c: usize| u32::try_from(4 * k + c % 4).expect("few corners");
    for k in 0..count - 1 {
        for c in 0..4 {
            let (a, b) = (number(k, c), number(k, c + 1));
            let (d, e) = (number(k + 1, c), number(k + 1, c + 1));
            tube.faces.extend([[a, b, d], [b, e, d]]);
        }
    }
    let last = count - 1;
    let [a, b, c, d] = [0, 1, 2, 3].map(|c| number(0, c));
    tube.faces.extend([[a, c, b], [a, d, c]]);
    let [a, b, c, d] = [0, 1, 2, 3].map(|c| number(last, c));
    tube.faces.extend([[a, b, c], [a, c, d]]);
    if tube.signed_volume_m3() < 0.0 {
        tube.flip();
    }
    tube
}
