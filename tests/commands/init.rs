//! `awash init`: what it writes floats, and nothing is overwritten.
use std::fs;
use std::path::Path;

use super::run::{awash, awash_in};

fn boats(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/boats")
        .join(name)
}

#[test]
fn the_written_file_floats_and_says_what_was_guessed() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(boats("hull.stl"), folder.path().join("my hull.stl")).unwrap();
    let told = awash_in(folder.path(), ["init", "my hull.stl", "--format", "json"]).json();
    assert_eq!(told["file"], "my hull.toml");
    assert_eq!(told["unit_guess"]["symbol"], "mm");
    assert_eq!(told["unit_guess"]["confidence"], "likely");
    assert!((told["size_m"][0].as_f64().unwrap() - 3.4).abs() < 1e-3);
    assert_eq!(told["open_edges_m"].as_array().unwrap().len(), 1);
    let text = fs::read_to_string(folder.path().join("my hull.toml")).unwrap();
    assert!(text.contains("mesh = \"my hull.stl\"\nunits = \"mm\""));
    assert!(text.contains("loop = 1"));
    let floated = awash_in(folder.path(), ["float", "my hull.toml", "--format", "json"]).json();
    assert_eq!(floated["floats"], true);
    // The stand-in says that it is a person, with a comment; so its head is looked at.
    assert!(text.contains("\nperson = true "), "{text}");
    assert_eq!(floated["heads"][0]["person"], "person");
    assert_eq!(floated["openings"][0]["name"], "gunwale");
    // Everything is named in the file, so nothing is left to doubt.
    assert_eq!(floated["mesh_doubts"].as_array().unwrap().len(), 0);
}

#[test]
fn an_existing_file_is_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let mine = folder.path().join("mine.toml");
    fs::write(&mine, "keep me").unwrap();
    let hull = boats("hull.stl");
    let arguments = [
        "init".as_ref(),
        hull.as_os_str(),
        "--output".as_ref(),
        mine.as_os_str(),
    ];
    let answer = awash(arguments);
    assert!(
        answer
            .refusal()
            .contains("is already there and is left as it is")
    );
    assert_eq!(fs::read_to_string(&mine).unwrap(), "keep me");
    let left: Vec<_> = fs::read_dir(folder.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "{left:?}");
}

#[test]
fn a_mesh_elsewhere_is_named_in_full_and_a_tall_one_is_turned() {
    let folder = tempfile::tempdir().unwrap();
    let tall = folder.path().join("tall.stl");
    let solid = awash::mesh::solids::cuboid(
        awash::numerics::Vec3::zeros(),
        awash::numerics::Vec3::new(0.8, 0.4, 3.0),
    );
    awash::mesh::write_stl(std::fs::File::create(&tall).expect("a file"), &solid).unwrap();
    let other = tempfile::tempdir().unwrap();
    let file = other.path().join("boat.toml");
    let answer = awash([
        "init".as_ref(),
        tall.as_os_str(),
        "-o".as_ref(),
        file.as_os_str(),
    ]);
    assert_eq!(answer.code, 0, "{answer:?}");
    assert!(answer.stdout.contains("longest along z"), "{answer:?}");
    let floated = awash(["float".as_ref(), file.as_os_str()]);
    assert_eq!(floated.code, 0, "{floated:?}");
    // 3 m now lies along x.
    let text = fs::read_to_string(&file).unwrap();
    assert!(text.contains("turn = { about_y = \"90 deg\" }"), "{text}");
    assert!(
        text.contains("3.00 m long, 0.40 m wide, 0.80 m high"),
        "{text}"
    );
}

#[test]
fn what_is_no_mesh_leaves_no_file() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(
        folder.path().join("photo.stl"),
        b"\xff\xd8\xff\xe0 not a mesh",
    )
    .unwrap();
    let answer = awash_in(folder.path(), ["init", "photo.stl"]);
    assert!(answer.refusal().contains("photo.stl"));
    assert!(!folder.path().join("photo.toml").exists());
}
