//! `awash inspect`, `awash mend`, the mesh types, and scans in a boat file.
use std::path::Path;

use serde_json::Value;

use super::run::{Folder, assert_near, awash, awash_in, number};
use super::stl::{binary, box_facets, mapped};
use awash::boat::read_mesh;
use awash::mesh::{Surface, write_stl};
use awash::numerics::Vec3;

const HULL: &str = "tests/boats/hull.stl";

fn hull() -> Surface {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(HULL);
    read_mesh(&awash::files::Disk, &path, Some(0.001), false)
        .expect("the open hull is there")
        .surface
}

/// The open hull in metres, turned about an odd axis and away from the origin.
fn lying_anyhow() -> Surface {
    let turn = nalgebra::Rotation3::from_euler_angles(2.1, 0.4, -1.3);
    let mut surface = hull();
    for v in &mut surface.vertices {
        *v = turn * *v + Vec3::new(1.0, 2.0, 3.0);
    }
    surface
}

fn written(folder: &Folder, name: &str, surface: &Surface) -> String {
    let path = folder.path().join(name);
    write_stl(std::fs::File::create(&path).expect("a file"), surface)
        .expect("the mesh can be written");
    path.to_str().expect("a plain path").to_owned()
}

fn obj(surface: &Surface) -> String {
    let vertices = surface
        .vertices
        .iter()
        .map(|v| format!("v {} {} {}\n", v.x, v.y, v.z));
    let faces = surface
        .faces
        .iter()
        .map(|[a, b, c]| format!("f {} {} {}\n", a + 1, b + 1, c + 1));
    vertices.chain(faces).collect()
}

fn ply(surface: &Surface) -> Vec<u8> {
    let mut bytes = format!(
        "ply\nformat binary_little_endian 1.0\nelement vertex {}\nproperty double x\nproperty double y\nproperty double z\nelement face {}\nproperty list uchar uint vertex_indices\nend_header\n",
        surface.vertices.len(),
        surface.faces.len()
    )
    .into_bytes();
    for v in &surface.vertices {
        bytes.extend(v.iter().flat_map(|c| c.to_le_bytes()));
    }
    for face in &surface.faces {
        bytes.push(3);
        bytes.extend(face.iter().flat_map(|v| v.to_le_bytes()));
    }
    bytes
}

fn slice(mesh: &str) -> Value {
    let arguments = [
        "slice",
        mesh,
        "--mesh-units",
        "m",
        "--waterline",
        "0.15",
        "--format",
        "json",
    ];
    awash(arguments).json()
}

#[test]
fn every_mesh_type_gives_the_same_volume() {
    let folder = Folder::new();
    let surface = hull();
    let stl = slice(&written(&folder, "hull.stl", &surface));
    let volume = number(&stl, "displaced_volume_m3");
    for (name, bytes) in [
        ("hull.obj", obj(&surface).into_bytes()),
        ("hull.ply", ply(&surface)),
    ] {
        let path = folder.write(name, bytes);
        let other = slice(path.to_str().expect("a plain path"));
        // STL keeps single precision: 0.2 µm over 1.5 m² of waterplane.
        assert_near(number(&other, "displaced_volume_m3"), volume, 1e-6);
        assert_eq!(other["triangles"], stl["triangles"], "{name}");
    }
}

#[test]
fn inspect_grades_a_good_hull_and_marks_its_opening() {
    let folder = Folder::new();
    let svg = folder.path().join("hull.svg");
    let svg_name = svg.to_str().expect("a plain path");
    let arguments = [
        "inspect",
        HULL,
        "--mesh-units",
        "mm",
        "--svg",
        svg_name,
        "--format",
        "json",
    ];
    let result = awash(arguments).json();
    assert_eq!(result["grade"], "good");
    assert_eq!(result["triangles"], 24564);
    assert_eq!(result["loop_count"], 1);
    assert_eq!(result["loops"][0]["looks_like"], "opening");
    assert_near(number(&result["loops"][0], "length_m"), 7.45, 0.01);
    let symmetry = &result["symmetry_error_mm"];
    assert!(
        symmetry[2].as_f64().is_some_and(|worst| worst < 0.1),
        "{symmetry}"
    );
    let picture = std::fs::read_to_string(&svg).expect("the picture is there");
    assert!(picture.starts_with("<svg ") && picture.ends_with("</svg>\n"));
    assert_eq!(picture.matches("<polyline").count(), 3);
    let again = awash(arguments);
    assert!(
        again
            .refusal()
            .contains("already there and is left as it is")
    );
    let forced = awash(arguments.into_iter().chain(["--force"]));
    assert_eq!(forced.code, 0, "{forced:?}");
}

#[test]
fn inspect_says_what_is_wrong_and_which_steps_mend_it() {
    let folder = Folder::new();
    let mut scan = lying_anyhow();
    scan.faces.remove(9000);
    let path = written(&folder, "scan.stl", &scan);
    let result = awash(["inspect", &path, "--format", "json"]).json();
    assert_eq!(result["grade"], "mend_first");
    assert_eq!(result["unit_guess"]["symbol"], "m");
    let off = number(&result["posture"], "off_by_deg");
    assert!(off > 10.0, "{off}");
    let steps = result["next"].to_string();
    assert!(steps.contains("--upright"), "{steps}");
    let kinds: Vec<&Value> = result["loops"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|l| &l["looks_like"])
        .collect();
    assert_eq!(kinds, ["opening", "defect"]);
    let table = awash(["inspect", &path]);
    assert!(table.stdout.contains("mend first"), "{table:?}");
    assert!(
        table.stdout.contains("a few missing triangles"),
        "{table:?}"
    );
}

#[test]
fn mend_writes_an_upright_hull_and_leaves_the_scan_alone() {
    let folder = Folder::new();
    let scan = written(&folder, "scan.stl", &lying_anyhow());
    let before = std::fs::read(&scan).expect("the scan");
    let out = folder.path().join("hull.stl");
    let out = out.to_str().expect("a plain path");
    let arguments = [
        "mend",
        &scan,
        "-o",
        out,
        "--upright",
        "--rim-heights",
        "42 cm,36 cm",
        "--format",
        "json",
    ];
    let result = awash(arguments).json();
    assert_near(number(&result, "volume_change_percent"), 0.0, 0.5);
    assert_eq!(result["openings"].as_array().map(Vec::len), Some(1));
    assert!(
        result["recipe"]
            .as_str()
            .is_some_and(|r| r.contains("upright = true"))
    );
    assert_eq!(std::fs::read(&scan).expect("the scan"), before);
    // Upright with its origin it displaces what the model does: 1 mm of height
    // over 1.5 m² is 1.5 L.
    let mended = number(&slice(out), "displaced_volume_m3");
    let model = awash([
        "slice",
        HULL,
        "--mesh-units",
        "mm",
        "--waterline",
        "0.15",
        "--format",
        "json",
    ])
    .json();
    assert_near(mended, number(&model, "displaced_volume_m3"), 1.5e-3);
    assert!(awash(arguments).refusal().contains("already there"));
    let onto_itself = ["mend", &scan, "-o", &scan, "--force"];
    assert!(awash(onto_itself).refusal().contains("the scan itself"));
}

#[test]
fn mend_refuses_with_the_reason() {
    let folder = Folder::new();
    let out = folder.path().join("out.stl");
    let out = out.to_str().expect("a plain path");
    let mend = |steps: &[&str]| {
        let mut arguments = vec!["mend", HULL, "-o", out, "--mesh-units", "mm"];
        arguments.extend(steps);
        let answer = awash(arguments);
        assert!(!Path::new(out).exists());
        answer.refusal().to_owned()
    };
    assert!(mend(&["--drop-floor"]).contains("no floor was found"));
    assert!(mend(&["--mirror", "cut"]).contains("flat"));
    assert!(
        mend(&["--crop-aft", "9"]).contains("nothing is left of the mesh after the step \"crop\"")
    );
    assert!(mend(&["--rim-heights", "1,2"]).contains("--upright"));
}

#[test]
fn a_recipe_in_the_boat_file_does_what_the_command_does() {
    let folder = Folder::new();
    written(&folder, "scan.stl", &lying_anyhow());
    let boat = |mend: &str| {
        format!(
            "name = \"scanned\"\n[hull]\nmesh = \"scan.stl\"\nunits = \"m\"\nscan_error = \"2 mm\"\nskin = {{ thickness = \"4 mm\", density = \"1500 kg/m3\" }}\n{mend}\n[[opening]]\nname = \"cockpit\"\nloop = 1\n"
        )
    };
    let recipe =
        "[hull.mend]\nupright = true\nrim_heights = { bow = \"42 cm\", stern = \"36 cm\" }\n";
    folder.write("boat.toml", boat(recipe));
    let float = |file: &str| awash_in(folder.path(), ["float", file, "--format", "json"]).json();
    let result = float("boat.toml");
    // The open hull floats bare on its own skin: the same as from its model.
    folder.write(
        "model.toml",
        boat("")
            .replace(
                "scan.stl",
                Path::new(env!("CARGO_MANIFEST_DIR"))
                    .join(HULL)
                    .to_str()
                    .expect("a plain path"),
            )
            .replace("\"m\"", "\"mm\""),
    );
    let model = float("model.toml");
    for key in [
        "displaced_volume_m3",
        "waterplane_area_m2",
        "wetted_area_m2",
    ] {
        let wanted = number(&model, key);
        assert_near(number(&result, key), wanted, 2e-3 * wanted);
    }
    assert_near(number(&result, "heel_deg"), 0.0, 0.05);
    let freeboard = |result: &Value| number(&result["openings"][0], "freeboard_m");
    assert_near(freeboard(&result), freeboard(&model), 2e-3);
    // ± e over the wetted area, and that above the waterplane area.
    let band = &result["scan_band"];
    let volume = 0.002 * number(&result, "wetted_area_m2");
    assert_near(number(band, "volume_m3"), volume, 1e-12);
    assert_near(
        number(band, "freeboard_m"),
        volume / number(&result, "waterplane_area_m2"),
        1e-12,
    );
    // The same recipe by `awash mend`, and the hull it writes.
    let mended = awash_in(
        folder.path(),
        ["mend", "boat.toml", "-o", "hull.stl", "--format", "json"],
    )
    .json();
    assert_eq!(mended["openings"].as_array().map(Vec::len), Some(1));
    let text = mended["recipe"].as_str().expect("text");
    folder.write("again.toml", boat(text));
    assert_eq!(
        float("again.toml")["displaced_volume_m3"],
        result["displaced_volume_m3"]
    );
    let refused = awash_in(folder.path(), ["mend", "model.toml", "-o", "x.stl"]);
    assert!(refused.refusal().contains("no [hull.mend]"));
    let both = awash_in(
        folder.path(),
        ["mend", "boat.toml", "-o", "x.stl", "--rebuild"],
    );
    assert!(both.refusal().contains("brings its own recipe"));
}

#[test]
fn mistakes_in_a_recipe_are_told_with_their_line() {
    let folder = Folder::new();
    folder.write("box.stl", binary(&box_facets()));
    for (mend, words) in [
        ("upright = 1", "`upright`"),
        ("upwright = true", "did you mean `upright`"),
        ("mirror = \"left\"", "\"cut\""),
        ("rim_heights = { bow = 1, stern = 1 }", "upright = true"),
        ("crop = { aft = 2, forward = 1 }", "more than `aft`"),
        ("drop_floor = true", "[hull.mend]: no floor was found"),
        ("mirror = \"cut\"", "[hull.mend]: no flat cut"),
    ] {
        let file = format!("[hull]\nmesh = \"box.stl\"\nunits = \"m\"\n[hull.mend]\n{mend}\n");
        folder.write("boat.toml", file);
        let answer = awash_in(folder.path(), ["float", "boat.toml"]);
        let message = answer.refusal();
        assert!(
            message.contains(words),
            "{mend}: no `{words}` in: {message}"
        );
        assert!(message.contains("boat.toml"), "{message}");
    }
}

#[test]
fn long_work_says_nothing_where_stderr_is_no_terminal() {
    let answer = awash(["inspect", HULL, "--mesh-units", "mm"]);
    assert_eq!((answer.code, answer.stderr.as_str()), (0, ""));
}

/// Half an ellipsoid 3 m long, of two sides 6 mm apart, its corners rounded to
/// centimetres and a tenth of its facets lost: closed as it stands it cannot be.
#[test]
fn a_scan_that_can_not_be_closed_is_told_the_steps_that_inspect_proposes() {
    const ALONG: usize = 60;
    const ROUND: usize = 40;
    let side = |in_m: f64| {
        let at = move |i: usize, j: usize| {
            let along = std::f64::consts::PI * (0.02 + 0.96 * i as f64 / ALONG as f64);
            let (sin, cos) = (std::f64::consts::PI * j as f64 / ROUND as f64).sin_cos();
            let point = Vec3::new(
                1.5 - (1.5 - in_m) * along.cos(),
                (0.45 - in_m) * along.sin() * cos,
                0.4 - (0.4 - in_m) * along.sin() * sin,
            );
            #[expect(
                clippy::cast_possible_truncation,
                reason = "a mesh file's own precision"
            )]
            let rounded = |c: f64| (c * 100.0).round() as f32 / 100.0;
            point.map(rounded).into()
        };
        (0..ALONG).flat_map(move |i| {
            (0..ROUND).flat_map(move |j| {
                let [a, b] = [at(i, j), at(i, j + 1)];
                let [c, d] = [at(i + 1, j), at(i + 1, j + 1)];
                [[a, b, d], [a, d, c]]
            })
        })
    };
    let mut random = 12_345_u64;
    let facets: Vec<[[f32; 3]; 3]> = side(0.0)
        .chain(side(0.006).map(|[a, b, c]| [a, c, b]))
        .filter(|_| {
            random = (random * 1_103_515_245 + 12_345) % (1 << 31);
            random * 10 >= 1 << 31
        })
        .collect();
    let folder = Folder::new();
    folder.write("scan.stl", binary(&facets));
    let line = ["mend", "scan.stl", "-o", "out.stl", "--mesh-units", "m"];
    let answer = awash_in(folder.path(), line);
    let message = answer.refusal();
    let steps = "awash mend scan.stl -o mended.stl --outer-skin --upright --mesh-units m";
    assert!(message.contains(steps), "{message}");
    let answer = awash_in(folder.path(), steps.split(' ').skip(1));
    assert_eq!(answer.code, 0, "{answer:?}");
    // Where they were taken already nothing is proposed anew.
    let line = [
        "mend",
        "scan.stl",
        "-o",
        "out.stl",
        "--outer-skin",
        "--drop-floor",
    ];
    let answer = awash_in(folder.path(), line);
    assert!(!answer.refusal().contains("proposes"), "{answer:?}");
}

/// A box of 2000 × 1000 × 500 mm taken for metres.
#[test]
fn a_scan_in_the_wrong_unit_is_doubted_when_looked_at_and_when_mended() {
    let folder = Folder::new();
    let in_mm = mapped(&box_facets(), |corner| corner.map(|x| 1000.0 * x));
    folder.write("scan.stl", binary(&in_mm));
    let look = ["inspect", "scan.stl"];
    let mend = ["mend", "scan.stl", "-o", "out.stl"];
    for line in [&look[..], &mend] {
        let more = ["--mesh-units", "m", "--format", "json"];
        let result = awash_in(folder.path(), line.iter().chain(&more)).json();
        let doubts = result["mesh_doubts"].to_string();
        assert!(
            doubts.contains("which no small craft is"),
            "{line:?}: {doubts}"
        );
    }
}
