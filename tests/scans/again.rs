//! What mending leaves behind: meshes mended once more, and meshes of few triangles.
use std::path::Path;

use awash::mesh::{Surface, write_stl};
use awash::numerics::Vec3;
use serde_json::Value;

use super::awash;
use super::decked::rough;
use super::make::{Random, on_a_floor};
use super::skins::volume_below;
use super::tender::{FLAT, pram};

fn put(folder: &Path, name: &str, surface: &Surface) {
    let file = std::fs::File::create(folder.join(name)).expect("a file");
    write_stl(file, surface).expect("written");
}

/// A film over what a floor hid looks like any skin: that nobody saw it goes with the file.
#[test]
fn what_a_floor_hid_is_still_unsure_when_it_is_mended_once_more() {
    let mut random = Random(950);
    let scan = rough(on_a_floor(&pram(FLAT, 0.03), 0.004), 0.0008, &mut random);
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    put(folder, "scan.stl", &scan);
    let steps = ["--mesh-units", "m", "--upright"];
    let first = [
        ["mend", "scan.stl", "-o", "once.stl"].as_slice(),
        &["--drop-floor", "--largest-only", "--smooth-rims"],
        &steps,
    ];
    let once = awash(folder, &first.concat());
    let again = ["mend", "once.stl", "-o", "twice.stl"];
    let twice = awash(folder, &[again.as_slice(), &steps].concat());
    let thrice = ["mend", "twice.stl", "-o", "thrice.stl"];
    let thrice = awash(folder, &[thrice.as_slice(), &steps].concat());
    let sinks = |result: &Value| result["not_seen"]["sinks_m"].as_f64();
    let height = |result: &Value| result["openings"][0]["height_error_m"].as_f64();
    let pitch = |result: &Value| result["tilt_error"]["pitch_deg"].as_f64();
    let known = sinks(&once).expect("a floor hid some of it");
    assert!(known > 1e-4, "{known}");
    for result in [&twice, &thrice] {
        assert!((sinks(result).expect("still") - known).abs() < 1e-6);
        assert!(height(result).expect("a rim") >= known);
        let hidden = once["not_seen"]["pitch_deg"].as_f64().expect("a lean");
        assert!(pitch(result).expect("a lean") >= hidden);
    }
}

/// Mended once more, and once more without being turned upright: the same corners are no surer.
#[test]
fn what_a_mended_mesh_is_unsure_of_it_stays_unsure_of() {
    let mut random = Random(952);
    let mut scan = rough(
        super::decked::decked(0.02, &super::decked::HOLES).outer,
        0.002,
        &mut random,
    );
    random.motion().apply(&mut scan);
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    put(folder, "scan.stl", &scan);
    let run = |line: &str| awash(folder, &line.split(' ').collect::<Vec<_>>());
    let once = run("mend scan.stl -o once.stl --mesh-units m --upright --smooth-rims");
    let twice = run("mend once.stl -o twice.stl --mesh-units m --upright");
    let thrice = run("mend twice.stl -o thrice.stl --mesh-units m");
    let tilt = |result: &Value| {
        let told = &result["tilt_error"];
        let all = [
            &told["heel_deg"],
            &told["pitch_deg"],
            &told["origin_m"][0],
            &told["origin_m"][1],
            &told["origin_m"][2],
        ];
        all.map(|value| value.as_f64().expect("told"))
    };
    let heights = |result: &Value| -> Vec<f64> {
        let openings = result["openings"].as_array().expect("a list").iter();
        openings
            .map(|opening| opening["height_error_m"].as_f64().expect("a ±"))
            .collect()
    };
    for again in [&twice, &thrice] {
        for (now, before) in tilt(again).into_iter().zip(tilt(&once)) {
            assert!(
                now > before - 1e-3 && now > 0.999 * before - 1e-6,
                "{now} after {before}"
            );
        }
        for (now, before) in heights(again).into_iter().zip(heights(&once)) {
            assert!(now > before - 1e-6, "{now} after {before}");
        }
    }
    // Nor does it grow each time.
    for (last, before) in tilt(&thrice).into_iter().zip(tilt(&twice)) {
        assert!((last - before).abs() < 1e-3, "{last} after {before}");
    }
}

/// An open box with a wall: outer corners, then inner ones.
fn box_with_wall([long, broad, high]: [f64; 3], wall_m: f64) -> Surface {
    let mut surface = Surface::default();
    for (inside, floor) in [(0.0, 0.0), (wall_m, wall_m)] {
        for z in [floor, high] {
            for (x, y) in [(0.0, -0.5), (1.0, -0.5), (1.0, 0.5), (0.0, 0.5)] {
                let x = x * long + inside * (1.0 - 2.0 * x);
                let y = y * (broad - 2.0 * inside);
                surface.vertices.push(Vec3::new(x, y, z));
            }
        }
    }
    let mut quad = |[a, b, c, d]: [u32; 4]| surface.faces.extend([[a, b, c], [a, c, d]]);
    quad([3, 2, 1, 0]);
    quad([8, 9, 10, 11]);
    for k in 0..4 {
        let next = (k + 1) % 4;
        quad([k, next, next + 4, k + 4]);
        quad([k + 12, next + 12, next + 8, k + 8]);
        quad([k + 4, next + 4, next + 12, k + 12]);
    }
    surface
}

/// Drawn by hand, walls and all, of 28 triangles: each looks out on more than a skin's place
/// can be told by.
#[test]
fn the_outer_skin_of_a_box_of_few_triangles_is_the_box() {
    let size = [2.0, 1.0, 0.5];
    let drawn = box_with_wall(size, 0.01);
    assert!(drawn.is_balanced() && drawn.faces.len() == 28);
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    put(folder, "box.stl", &drawn);
    let seen = awash(folder, &["inspect", "box.stl", "--mesh-units", "m"]);
    assert!(seen.to_string().contains("--outer-skin"), "{seen}");
    let mended = awash(
        folder,
        &[
            "mend",
            "box.stl",
            "-o",
            "hull.stl",
            "--mesh-units",
            "m",
            "--outer-skin",
            "--upright",
        ],
    );
    let thick = mended["skin_thickness_m"].as_f64().expect("two sides");
    assert!((thick - 0.01).abs() < 5e-4, "{thick}");
    let openings = mended["openings"].as_array().expect("a list");
    assert_eq!(openings.len(), 1, "{mended}");
    let sill_m = openings[0]["lowest_m"][2].as_f64().expect("a height");
    assert!((sill_m - size[2]).abs() < 2e-3, "{sill_m}");
    let hull = folder.join("hull.stl");
    let read = awash::boat::read_mesh(&awash::files::Disk, &hull, Some(1.0), false);
    let surface = read.expect("a mesh").surface;
    for level_m in [0.05, 0.2, 0.45] {
        let share = volume_below(&surface, level_m) / (size[0] * size[1] * level_m) - 1.0;
        assert!(share.abs() < 0.005, "{level_m}: {share:+.4}");
    }
}

/// Two patches of nearly one length in the bottom, and a scan whose rims are smoothed: what
/// `inspect` numbers is what `mend` fills.
#[test]
fn mend_fills_the_hole_that_inspect_numbers() {
    use super::decked::{HOLES, decked};
    use super::make::with_holes;
    let patches = [
        (Vec3::new(1.2, 0.0, 0.0), 0.1),
        (Vec3::new(2.3, 0.0, 0.03), 0.1),
    ];
    let hull = decked(0.02, &HOLES);
    let mut random = Random(951);
    let scan = rough(with_holes(hull.outer, &patches), 0.0008, &mut random);
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    put(folder, "scan.stl", &scan);
    let seen = awash(folder, &["inspect", "scan.stl", "--mesh-units", "m"]);
    let listed = seen["loops"].as_array().expect("a list");
    for line in listed
        .iter()
        .filter(|line| line["middle_m"][2].as_f64() < Some(0.1))
    {
        let number = line["number"].to_string();
        let output = format!("without-{number}.stl");
        let x = line["middle_m"][0].as_f64().expect("a place");
        let mended = awash(
            folder,
            &[
                "mend",
                "scan.stl",
                "-o",
                &output,
                "--mesh-units",
                "m",
                "--upright",
                "--smooth-rims",
                "--fill",
                &number,
            ],
        );
        assert_eq!(line["probably"], "scan_hole");
        let left = mended["openings"].as_array().expect("a list");
        assert_eq!(left.len(), listed.len() - 1);
        // Upright its stern is at zero, within the noise and the hull's own end.
        let off = |other: &Value| (other["middle_m"][0].as_f64().expect("a place") - x).abs();
        let low = |other: &&Value| other["middle_m"][2].as_f64() < Some(0.1);
        assert!(
            left.iter().filter(low).all(|other| off(other) > 0.5),
            "{mended}"
        );
    }
}
