//! From a scan to the first float that can be trusted, by the commands that each
//! answer proposes.
use std::path::Path;

use awash::boat::Boat;
use awash::mesh::{Level, MendRecipe, Surface, write_stl};
use awash::numerics::Vec3;
use serde_json::Value;

use super::decked::{FORM, Form, HOLES, decked, formed, rough, two_skins};
use super::make::{Random, on_a_floor, port_half, with_holes};
use super::skins::{lowest, mended};
use super::{awash, printed};

fn text(value: &Value) -> String {
    value.to_string()
}

/// The hull that is known, levelled as mending levels it: as it stands on a floor.
pub(crate) fn levelled(surface: Surface) -> Surface {
    let recipe = MendRecipe {
        upright: Some(Level::Floor),
        ..MendRecipe::default()
    };
    mended(surface, &recipe).expect("it is sound").surface
}

/// How far heel and pitch are off those of the hull that is known, and their ±, deg.
fn leans(floated: &Value, known: &Value) -> [(f64, f64); 2] {
    ["heel", "pitch"].map(|what| {
        let of = |result: &Value, key: &str| {
            let value = result[format!("{what}{key}")].as_f64();
            value.unwrap_or_else(|| panic!("no {what}{key}"))
        };
        let off = of(floated, "_deg") - of(known, "_deg");
        (off, of(floated, "_error_deg"))
    })
}

/// Moved until its aftmost and lowest points are at zero, as mending leaves a hull.
fn at_origin(mut surface: Surface) -> Surface {
    let (lo, _) = surface.bounds().expect("a hull");
    for v in &mut surface.vertices {
        *v -= Vec3::new(lo.x, 0.0, lo.z);
    }
    surface
}

#[test]
fn the_proposed_commands_lead_from_a_double_skinned_scan_to_its_freeboards() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    let mut random = Random(31);
    let hull = decked(0.02, &HOLES);
    let mut scan = rough(two_skins(&hull, 0.005, 9.0), 0.0008, &mut random);
    random.motion().apply(&mut scan);
    write_stl(
        std::fs::File::create(folder.join("scan.stl")).expect("a file"),
        &scan,
    )
    .expect("written");

    let seen = awash(folder, &["inspect", "scan.stl", "--mesh-units", "m"]);
    assert!(text(&seen["because"]).contains("both sides of the skin are here"));
    let thick = seen["skin_thickness_m"].as_f64().expect("two sides");
    assert!((thick - 0.005).abs() < 5e-4, "{thick}");
    let next = seen["next"].as_array().expect("a list");
    let mend = next
        .iter()
        .filter_map(Value::as_str)
        .find(|line| line.starts_with("awash mend"))
        .expect("a command");
    assert!(!mend.contains("--rebuild"), "{mend}");

    let cut = ["slice", "scan.stl", "--mesh-units", "m", "--waterline", "0"];
    let told = awash(folder, &cut);
    assert!(text(&told["mesh_doubts"]).contains("both sides of the skin are here"));

    let mut words: Vec<&str> = mend.split_whitespace().skip(1).collect();
    words.extend(["--mesh-units", "m", "--boat", "boat.toml"]);
    let mended = awash(folder, &words);
    let recipe = mended["recipe"].as_str().expect("text").to_owned();

    // It is what it should be: nothing more is proposed but to go on.
    let again = awash(folder, &["inspect", "mended.stl", "--mesh-units", "m"]);
    assert!(
        !text(&again["next"]).contains("awash mend"),
        "{}",
        again["next"]
    );

    let floated = awash(folder, &["float", "boat.toml"]);
    assert_eq!(floated["floats"], true);
    assert!(!text(&floated["mesh_doubts"]).contains("both sides"));
    // The same boat on the hull that is known.
    write_stl(
        std::fs::File::create(folder.join("true.stl")).expect("a file"),
        &levelled(hull.outer.clone()),
    )
    .expect("written");
    let boat = std::fs::read_to_string(folder.join("boat.toml")).expect("the boat");
    assert!(boat.contains("thickness = \"5.0 mm\""), "{boat}");
    let known = boat.replace("mended.stl", "true.stl");
    std::fs::write(folder.join("true.toml"), known).expect("written");
    let known = awash(folder, &["float", "true.toml"]);
    for (opening, name) in ["cockpit", "hatch", "hatch 2"].iter().enumerate() {
        let [got, wanted] = [&floated, &known].map(|result| &result["openings"][opening]);
        assert_eq!(got["name"].as_str(), Some(*name));
        assert_eq!(wanted["name"].as_str(), Some(*name));
        let height = |result: &Value| result["freeboard_m"].as_f64().expect("it floats");
        let error = got["freeboard_error_m"].as_f64().expect("a ±");
        let off = height(got) - height(wanted);
        // The person's stand-in sits at the middle of each mesh's own box.
        assert!(off.abs() < error + 1e-3, "{name}: {off} ± {error}");
        assert!(error < 3e-3, "{error}");
    }
    for (off, error) in leans(&floated, &known) {
        assert!(off.abs() < error, "{off}° ± {error}°");
        assert!(error < 0.7, "{error}°");
    }
    let (_, table) = first_line(folder, &["float", "boat.toml"]);
    let heel = table.lines().find(|line| line.contains("starboard down +"));
    assert!(heel.is_some_and(|line| line.contains(" ± ")), "{table}");
    // A ± of the file's own comes before the scan's; GM carries it to the craft.
    let stated = boat.replace("heel = \"", "heel = \"1");
    assert!(stated != boat, "{boat}");
    std::fs::write(folder.join("stated.toml"), stated).expect("written");
    let stated = awash(folder, &["float", "stated.toml"]);
    let [(_, more), _] = leans(&stated, &known);
    assert!(more > 9.0, "{more}°");
    let spread = ["spread", "stated.toml", "--draws", "50"];
    let spread = awash(folder, &spread);
    assert!(
        text(&spread["causes"]).contains("heel of the hull as scanned"),
        "{spread}"
    );

    // The recipe does the same to the byte, from a boat file.
    let (before, mend) = recipe.split_once("[hull.mend]").expect("a recipe");
    let file = format!(
        "[hull]\nmesh = \"scan.stl\"\nunits = \"m\"\nmass = 20\ncentre = [1.8, 0, 0.2]\n{before}[hull.mend]{mend}"
    );
    std::fs::write(folder.join("recipe.toml"), file).expect("written");
    awash(folder, &["mend", "recipe.toml", "-o", "again.stl"]);
    let [first, second] =
        ["mended.stl", "again.stl"].map(|name| std::fs::read(folder.join(name)).expect("a mesh"));
    assert!(first == second, "the recipe gives another mesh");
}

fn first_line(folder: &Path, arguments: &[&str]) -> (String, String) {
    let text = printed(folder, arguments);
    (text.lines().next().unwrap_or_default().to_owned(), text)
}

/// From scan to float by what is proposed, at each noise, on a floor or not: heel, pitch and
/// freeboards of the loaded craft against those of the same boat on the hull that is known.
#[test]
#[ignore = "minutes: cargo test --release --test scans -- --ignored --nocapture matrix_of_paths"]
fn matrix_of_paths() {
    let hull = decked(0.01, &HOLES);
    let mut failed = Vec::new();
    for (noise_m, within_m) in [(0.0008, 0.003), (0.002, 0.006)] {
        for on_floor in [false, true] {
            for seed in [520, 521] {
                let folder = tempfile::tempdir().expect("a folder");
                let folder = folder.path();
                let mut random = Random(seed);
                let mut scan = two_skins(&hull, 0.005, 9.0);
                if on_floor {
                    scan = on_a_floor(&scan, 0.004);
                }
                let mut scan = rough(scan, noise_m, &mut random);
                random.motion().apply(&mut scan);
                write_stl(
                    std::fs::File::create(folder.join("scan.stl")).expect("a file"),
                    &scan,
                )
                .expect("written");
                let seen = awash(folder, &["inspect", "scan.stl", "--mesh-units", "m"]);
                let next = seen["next"].as_array().expect("a list");
                let lines = next.iter().filter_map(Value::as_str);
                let mend = lines.filter(|line| line.starts_with("awash mend"));
                let mend = mend.reduce(|_, last| last).expect("a command").to_owned();
                let mut words: Vec<&str> = mend.split_whitespace().skip(1).collect();
                words.extend(["--mesh-units", "m", "--boat", "boat.toml"]);
                awash(folder, &words);
                let floated = awash(folder, &["float", "boat.toml"]);
                // Where it stood on a floor, that is level.
                let known = if on_floor {
                    at_origin(hull.outer.clone())
                } else {
                    levelled(hull.outer.clone())
                };
                write_stl(
                    std::fs::File::create(folder.join("true.stl")).expect("a file"),
                    &known,
                )
                .expect("written");
                let boat = std::fs::read_to_string(folder.join("boat.toml")).expect("the boat");
                let known = boat.replace("mended.stl", "true.stl");
                std::fs::write(folder.join("true.toml"), known).expect("written");
                let known = awash(folder, &["float", "true.toml"]);
                let [heel, pitch] = leans(&floated, &known);
                let heights = ["cockpit", "hatch", "hatch 2"].map(|name| {
                    let of = |result: &Value, key: &str| {
                        let list = result["openings"].as_array().expect("a list");
                        let one = list.iter().find(|opening| opening["name"] == name);
                        one.and_then(|opening| opening[key].as_f64())
                            .unwrap_or(f64::NAN)
                    };
                    let off = of(&floated, "freeboard_m") - of(&known, "freeboard_m");
                    (off, of(&floated, "freeboard_error_m"))
                });
                let inside = |(off, error): &(f64, f64)| off.abs() < *error;
                let holds = heights.iter().all(|at| inside(at) && at.1 < within_m)
                    && [heel, pitch].iter().all(|at| inside(at) && at.1 < 1.0);
                let line = format!(
                    "noise {:.1} mm, floor {on_floor}, seed {seed}: heel {:+.2} ± {:.2}°, pitch {:+.2} ± {:.2}°, freeboards {}",
                    1e3 * noise_m,
                    heel.0,
                    heel.1,
                    pitch.0,
                    pitch.1,
                    heights
                        .map(|(off, error)| format!("{:+.1} ± {:.1} mm", 1e3 * off, 1e3 * error))
                        .join(", ")
                );
                println!("{line}");
                if !holds {
                    failed.push(line);
                }
            }
        }
    }
    assert!(failed.is_empty(), "{failed:#?}");
}

/// A closed body lies bottom up: nothing in its shape tells, the first line says so, and
/// it is not turned over until the user says so.
#[test]
fn a_guess_stands_in_the_first_line_and_turns_nothing_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    let crowned = Form { over: 0.28, ..FORM };
    let mut body = formed(&crowned, 0.02, &[]).outer;
    for v in &mut body.vertices {
        *v = Vec3::new(v.x, -v.y, -v.z);
    }
    write_stl(
        std::fs::File::create(folder.join("body.stl")).expect("a file"),
        &body,
    )
    .expect("written");
    let mesh = ["body.stl", "--mesh-units", "m"];
    let said = "which way is up is a guess";
    let (first, _) = first_line(folder, &[&["inspect"], &mesh[..]].concat());
    assert!(first.contains(said), "{first}");
    let lies = |file: &str| {
        let read =
            awash::boat::read_mesh(&awash::files::Disk, &folder.join(file), Some(1.0), false);
        let surface = read.expect("a sound mesh").surface;
        let (lo, hi) = surface.bounds().expect("a body");
        surface.volume_centroid_m().z - f64::midpoint(lo.z, hi.z)
    };
    let upright = ["-o", "kept.stl", "--upright"];
    let (first, _) = first_line(folder, &[&["mend"], &mesh[..], &upright[..]].concat());
    assert!(first.contains(said), "{first}");
    assert!((lies("kept.stl") - lies("body.stl")).abs() < 2e-3);
    let over = ["-o", "over.stl", "--upright", "--upside-down"];
    let (first, _) = first_line(folder, &[&["mend"], &mesh[..], &over[..]].concat());
    assert!(!first.contains("guess"), "{first}");
    assert!((lies("over.stl") + lies("body.stl")).abs() < 2e-3);
    assert!(lies("body.stl").abs() > 4e-3, "or nothing is tested");
}

/// A closed hull with a patch of its bottom missing: by its looks the patch is its opening
/// and up. The user says otherwise, and the boat file that is written keeps to it.
#[test]
fn a_hull_set_upright_against_its_looks_stays_so_in_its_boat_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    let patch = [(Vec3::new(1.8, 0.0, 0.0), 0.3)];
    let scan = with_holes(formed(&FORM, 0.02, &[]).outer, &patch);
    write_stl(
        std::fs::File::create(folder.join("scan.stl")).expect("a file"),
        &scan,
    )
    .expect("written");
    let mend = "mend scan.stl -o hull.stl --mesh-units m --upright --upside-down --boat boat.toml";
    awash(folder, &mend.split(' ').collect::<Vec<_>>());
    let by_looks = "init hull.stl -o looks.toml";
    awash(folder, &by_looks.split(' ').collect::<Vec<_>>());
    let patch_lies_low = |file: &str| {
        let boat = Boat::load(&folder.join(file)).expect("a boat");
        let (lo, hi) = boat.hull_box_m;
        let rim = &boat.openings.first().expect("the patch").rim;
        lowest(rim) < f64::midpoint(lo.z, hi.z)
    };
    assert!(patch_lies_low("boat.toml"));
    assert!(!patch_lies_low("looks.toml"), "or nothing is tested");
}

#[test]
fn flat_parts_of_a_halfs_edge_are_numbered_in_the_table_and_the_picture() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    let mut random = Random(33);
    let hull = decked(0.02, &HOLES);
    let mut scan = rough(port_half(&hull.outer), 0.0008, &mut random);
    random.motion().apply(&mut scan);
    write_stl(
        std::fs::File::create(folder.join("half.stl")).expect("a file"),
        &scan,
    )
    .expect("written");
    let look = [
        "inspect",
        "half.stl",
        "--mesh-units",
        "m",
        "--svg",
        "half.svg",
    ];
    let (_, text) = first_line(folder, &look);
    assert!(text.contains("--mirror NUMBER"), "{text}");
    let picture = std::fs::read_to_string(folder.join("half.svg")).expect("a picture");
    assert!(picture.contains(">flat part 1</text>"));
    assert!(!picture.contains(">flat part 3</text>"));
    let mend = [
        "mend",
        "half.stl",
        "-o",
        "whole.stl",
        "--mesh-units",
        "m",
        "--mirror",
        "1",
        "--upright",
        "--smooth-rims",
    ];
    let (_, text) = first_line(folder, &mend);
    assert!(text.contains("centre plane is good to ±"), "{text}");
    // A whole hull has none to be mirrored in.
    let whole = ["inspect", "whole.stl", "--mesh-units", "m"];
    let (_, text) = first_line(folder, &whole);
    for words in ["--mirror cut", "mirror half a hull"] {
        assert!(!text.contains(words), "{text}");
    }
}
