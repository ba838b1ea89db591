//! Openings cut in the skin: the rim is the true curve, its lowest point right
//! in any attitude, and the dry craft displaces what it did.
use std::f64::consts::PI;
use std::path::Path;

use awash::boat::Boat;
use awash::immersion::WaterPlane;
use awash::mesh::{Surface, solids, write_stl};
use awash::numerics::Vec3;
use awash::study::float;

use super::boats::{laden_box, laden_box_file};
use super::support::near;

/// The prism that stands for a round cutter has 256 sides and the circle's area:
/// `½ n sin(2π/n) R² = π r²` puts its corners `(π/n)²/3 = 5.02e-5` of the radius out,
/// the middles of its sides half of that in. A rim errs by no more, either way.
const ROUND_SHARE: f64 = 5.1e-5;
/// STL holds single precision: a metre to 6e-8 of itself.
const SINGLE_M: f64 = 1e-7;

/// Ups of craft that lean every way: heel and pitch, deg.
fn ups() -> impl Iterator<Item = Vec3> {
    const LEANS: [f64; 7] = [-70.0, -31.0, -8.0, 0.0, 12.0, 45.0, 80.0];
    LEANS
        .iter()
        .flat_map(|heel| LEANS.map(|pitch| WaterPlane::at_attitude(*heel, pitch, 0.0).up))
}

/// Height of the sill of the boat's one opening along `up`, m.
fn sill(boat: &Boat, up: &Vec3) -> f64 {
    let [opening] = boat.openings.as_slice() else {
        panic!("{:?}", boat.openings);
    };
    up.dot(&opening.sill_m(up))
}

fn opening(mark: &str) -> String {
    format!("[[opening]]\nname = \"o\"\n{mark}\n")
}

/// A hull of the test's own: its mesh written beside the boat file.
fn hull(surface: &Surface, more: &str) -> Boat {
    let folder = tempfile::tempdir().expect("a temporary folder");
    write_stl(
        std::fs::File::create(folder.path().join("hull.stl")).expect("a file"),
        surface,
    )
    .expect("written");
    let text = format!(
        "[water]\ndensity = 1000\n[hull]\nmesh = \"hull.stl\"\nunits = \"m\"\nmass = 100\ncentre = [0, 0, 0]\n{more}"
    );
    let file = folder.path().join("boat.toml");
    std::fs::write(&file, text).expect("written");
    Boat::load(&file).expect("a sound boat file")
}

/// A hole saw of radius r through a flat side leaves a circle about c in that
/// side: along `up` its lowest point lies `up · c − r |up in the side|`.
#[test]
fn a_round_hole_in_a_flat_side_is_a_circle() {
    let boat = laden_box(&opening(
        "cylinder = { from = [0.7, 0.4, 0.3], to = [0.7, 0.6, 0.3], diameter = 0.12 }",
    ));
    let centre = Vec3::new(0.7, 0.5, 0.3);
    for up in ups() {
        let in_side = up.x.hypot(up.z);
        let want = up.dot(&centre) - 0.06 * in_side;
        near(
            "sill of a round hole",
            sill(&boat, &up),
            want,
            0.06 * ROUND_SHARE + SINGLE_M,
        );
    }
}

/// The same cut slantwise, its axis at 45° to the side: an ellipse whose long
/// half axis is `r √2` along x and whose short one is r.
#[test]
fn a_slanted_hole_in_a_flat_side_is_an_ellipse() {
    let boat = laden_box(&opening(
        "cylinder = { from = [0.6, 0.4, 0.3], to = [0.8, 0.6, 0.3], radius = 0.05 }",
    ));
    let centre = Vec3::new(0.7, 0.5, 0.3);
    for up in ups() {
        let reach = (0.05 * 2_f64.sqrt() * up.x).hypot(0.05 * up.z);
        let allowed = 0.05 * 2_f64.sqrt() * ROUND_SHARE + SINGLE_M;
        near(
            "sill of a slanted hole",
            sill(&boat, &up),
            up.dot(&centre) - reach,
            allowed,
        );
    }
}

/// A box through the side leaves a rectangle, an outline its own corners, and
/// a mesh of the same shape the same: the sill is the lowest corner.
#[test]
fn cuts_with_straight_edges_have_their_lowest_corner() {
    let corners = |points: &[[f64; 2]]| -> Vec<Vec3> {
        let on_side = points.iter().map(|[x, z]| Vec3::new(*x, -0.5, *z));
        on_side.collect()
    };
    let rectangle = corners(&[[0.2, 0.2], [0.5, 0.2], [0.5, 0.35], [0.2, 0.35]]);
    // Like an arrow head: one corner points in.
    let arrow = [[0.2, 0.2], [0.5, 0.3], [0.2, 0.4], [0.3, 0.31]];
    let points: Vec<String> = arrow
        .iter()
        .map(|[x, z]| format!("[{x}, 9, {z}]"))
        .collect();
    let outline = format!(
        "outline = {{ points = [{}], along = \"y\", from = -0.6, to = -0.4 }}",
        points.join(", ")
    );
    let block = "box = { min = [0.2, -0.6, 0.2], max = [0.5, -0.4, 0.35] }";
    for (mark, corners) in [(block, rectangle.clone()), (&outline, corners(&arrow))] {
        let boat = laden_box(&opening(mark));
        for up in ups() {
            let want = corners.iter().map(|c| up.dot(c)).fold(f64::MAX, f64::min);
            near("lowest corner", sill(&boat, &up), want, SINGLE_M);
        }
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    let cutter = solids::cuboid(Vec3::new(0.2, -0.6, 0.2), Vec3::new(0.5, -0.4, 0.35));
    write_stl(
        std::fs::File::create(folder.path().join("cutter.stl")).expect("a file"),
        &cutter,
    )
    .expect("written");
    let more = opening("mesh = \"cutter.stl\"\nunits = \"m\"");
    let boat = Boat::load(&laden_box_file(folder.path(), &more)).expect("a sound boat file");
    for up in ups() {
        let want = rectangle.iter().map(|c| up.dot(c)).fold(f64::MAX, f64::min);
        near("lowest corner", sill(&boat, &up), want, SINGLE_M);
    }
}

/// Sides of the round hull: its prism lies up to `R (1 − cos(π/n))` inside.
const HULL_SIDES: usize = 1440;

fn round_hull() -> Surface {
    solids::cylinder(
        Vec3::new(-1.0, 0.0, 0.0),
        Vec3::new(1.0, 0.0, 0.0),
        0.4,
        HULL_SIDES,
    )
}

/// A round hole of radius r straight down through the top of a round hull of
/// radius R with its axis along x: the saddle curve
/// `(r cos t, r sin t, √(R² − r² sin² t))`. Upright its lowest points are those
/// at its sides, at `√(R² − r²)`, and its highest those fore and aft, at R.
/// Leant by heel φ about the hull's own axis, height is `R cos(θ − φ)` at the
/// angle θ from the top, `|θ| ≤ asin(r/R)`: the lowest is at the end that lies
/// further from the world's up. Pitched, the height `up.x r cos t + …` has no
/// short form and is taken at the least of a hundred thousand t.
#[test]
fn a_round_hole_through_a_round_hull_is_the_saddle_curve() {
    let (outer, inner) = (0.4_f64, 0.15_f64);
    let boat = hull(
        &round_hull(),
        &opening("cylinder = { from = [0, 0, 0.2], to = [0, 0, 0.6], radius = 0.15 }"),
    );
    // The hull's prism moves the curve by its own depth, stretched by at most
    // the slope of the side of the saddle, r/√(R² − r²); so does the cutter's.
    let depth = outer * (1.0 - (PI / 1440.0).cos());
    let allowed = depth * 2.0 + inner * ROUND_SHARE * 2.0 + SINGLE_M;
    near(
        "upright",
        sill(&boat, &Vec3::z()),
        (outer * outer - inner * inner).sqrt(),
        allowed,
    );
    let half = (inner / outer).asin();
    for heel_deg in [-60.0_f64, -20.0, 5.0, 33.0, 80.0] {
        let up = WaterPlane::at_attitude(heel_deg, 0.0, 0.0).up;
        let want = outer * (half + heel_deg.to_radians().abs()).cos();
        near("heeled", sill(&boat, &up), want, allowed);
    }
    for up in ups() {
        let height = |step: u32| {
            let (sin, cos) = (2.0 * PI * f64::from(step) / 1e5).sin_cos();
            let across = inner * sin;
            let top = (outer * outer - across * across).sqrt();
            up.dot(&Vec3::new(inner * cos, across, top))
        };
        let want = (0..100_000).map(height).fold(f64::MAX, f64::min);
        near("leant", sill(&boat, &up), want, allowed);
    }
}

/// The saddle curve again, found by the boolean from a cutter that is a mesh.
#[test]
fn a_cutter_mesh_finds_the_same_saddle_curve() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let cutter = folder.path().join("cutter.stl");
    let tube = solids::cylinder(
        Vec3::new(0.0, 0.0, 0.2),
        Vec3::new(0.0, 0.0, 0.6),
        0.15,
        512,
    );
    write_stl(std::fs::File::create(&cutter).expect("a file"), &tube).expect("written");
    let boat = hull(
        &round_hull(),
        &opening(&format!("mesh = {cutter:?}\nunits = \"m\"")),
    );
    let (want, flat) = ((0.4_f64.powi(2) - 0.15_f64.powi(2)).sqrt(), 0.15 * 1.9e-5);
    near("upright", sill(&boat, &Vec3::z()), want, 2.0 * flat + 2e-6);
    // Not a chord or a cap of it: the rim rises to the top fore and aft.
    let [opening] = boat.openings.as_slice() else {
        panic!("{:?}", boat.openings);
    };
    let highest = opening.rim.iter().map(|p| p.z).fold(f64::MIN, f64::max);
    near("highest point of the rim", highest, 0.4, 2e-6);
    for point in &opening.rim {
        near("on the skin", point.y.hypot(point.z), 0.4, 2e-6);
        near("on the cutter", point.x.hypot(point.y), 0.15, 2.0 * flat);
    }
}

fn boat_of(folder: &Path, more: &str) -> Boat {
    Boat::load(&laden_box_file(folder, more)).expect("a sound boat file")
}

/// A hole in hollow skin sets a sill and leaves the dry craft as it was; the
/// same box as a recess takes what it held under water: 0.2 × 0.1 × 0.15 m³
/// under z = 0.25 of the side port below.
#[test]
fn an_opening_changes_no_dry_volume_and_a_recess_does() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let shape = "box = { min = [0.2, 0.4, 0.1], max = [0.4, 0.6, 0.4] }";
    let whole = float(&boat_of(folder.path(), "")).expect("it floats");
    let holed = float(&boat_of(folder.path(), &opening(shape))).expect("it floats");
    let recessed = format!("[[part]]\nname = \"p\"\nrole = \"recess\"\nmass = 0\n{shape}\n");
    let recessed = boat_of(folder.path(), &recessed);
    near("capacity", holed.capacity_kg, whole.capacity_kg, 1e-9);
    let level = |result: &awash::study::FloatResult| {
        result
            .rest
            .as_ref()
            .map(|rest| rest.hydrostatics.waterline_height_m)
    };
    assert_eq!(level(&holed), level(&whole));
    let sill = holed.openings[0].freeboard_m.expect("it floats");
    near("its sill", sill, 0.1 - 0.25, 1e-6);
    let lost_m3 = 2.0 - recessed.envelope.surface.signed_volume_m3();
    near("a recess", lost_m3, 0.2 * 0.1 * 0.3, 1e-7);
    let under = awash::immersion::MomentTree::new(&recessed.envelope.surface, &[])
        .immerse(&WaterPlane::at_attitude(0.0, 0.0, 0.25));
    near("under water", under.volume_m3, 1.0 - 0.2 * 0.1 * 0.15, 1e-7);
}

/// Points by tape stand instead of the curve of the cutter, also when they are
/// in the file that extends the one with the cutter; a cutter in the nearer
/// file puts them out of date.
#[test]
fn a_rim_by_tape_wins_over_the_cutter() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let cutter = "cylinder = { from = [0.7, 0.4, 0.3], to = [0.7, 0.6, 0.3], diameter = 0.12 }";
    let tape = "rim = [[0.7, 0.5, 0.26], [0.75, 0.5, 0.3]]";
    let both = boat_of(folder.path(), &opening(&format!("{cutter}\n{tape}")));
    near("by tape", sill(&both, &Vec3::z()), 0.26, 1e-12);
    for (below, above, want) in [(cutter, tape, 0.26), (tape, cutter, 0.24)] {
        laden_box_file(folder.path(), &opening(below));
        let file = folder.path().join("after.toml");
        let text = format!("extends = \"box.toml\"\n{}", opening(above));
        std::fs::write(&file, text).expect("written");
        let boat = Boat::load(&file).expect("a sound boat file");
        near("over the other file", sill(&boat, &Vec3::z()), want, 1e-5);
    }
}
