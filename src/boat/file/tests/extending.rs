//! One file laid over another.
use std::path::Path;

use super::*;

const BEFORE: &str = r#"
name = "before"
[water]
kind = "sea"
[hull]
mesh = "hull.stl"
mass = 30
centre = [1.6, 0, 0.2]
[[item]]
name = "battery"
mass = 18
at = [0.6, 0, 0.1]
[[item]]
name = "ballast"
mass = 10
at = [1, 0, 0]
[[part]]
name = "wall"
role = "add"
box = { min = [0, 0, 0], max = [1, 1, 1] }
"#;

#[test]
fn extending_overrides_appends_and_removes() {
    let after = r#"
extends = "before.toml"
name = "after"
[water]
density = 1010
[hull]
mass = 32
[[item]]
name = "motor"
mass = 5
at = [0, 0, 0.3]
[[item]]
name = "battery"
at = [1.2, 0, 0.1]
[[item]]
name = "ballast"
remove = true
[[part]]
name = "wall"
box = { centre = [0, 0, 0], size = [2, 2, 2] }
"#;
    let boat = extended(after, BEFORE).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(boat.name.as_deref(), Some("after"));
    assert_eq!(
        boat.files,
        [Path::new("after.toml"), Path::new("before.toml")]
    );
    // The extending file's way of giving the water wins.
    assert_near(boat.water.density_kg_m3, 1010.0);
    let Weight::Weighed {
        mass,
        centre: Some(centre),
        density: None,
    } = boat.hull.weight
    else {
        panic!("{:?}", boat.hull.weight);
    };
    assert_near(mass.value, 32.0);
    assert_near(centre[0].value, 1.6);
    let items: Vec<(&str, f64, f64)> = boat
        .items
        .iter()
        .map(|item| (item.name.as_str(), item.mass.value, item.at[0].value))
        .collect();
    assert_eq!(items, [("battery", 18.0, 1.2), ("motor", 5.0, 0.0)]);
    let Shape::Box(shape) = boat.parts[0].shape else {
        panic!("{:?}", boat.parts[0].shape);
    };
    assert_eq!(shape.corners_m().0, Vec3::new(-1.0, -1.0, -1.0));
}

#[test]
fn an_empty_extension_is_the_extended_boat() {
    let after = extended("extends = \"before.toml\"\n", BEFORE).unwrap();
    let mut before = serde_json::to_value(good(BEFORE)).unwrap();
    let mut after = serde_json::to_value(after).unwrap();
    // Only the list of files and the places differ.
    let text = after.to_string().replace("before.toml", "boat.toml");
    after = serde_json::from_str(&text).unwrap();
    before["files"] = serde_json::Value::Null;
    after["files"] = serde_json::Value::Null;
    assert_eq!(after, before);
}

#[test]
fn a_skin_replaces_the_extended_files_mass() {
    let after =
        "extends = \"before.toml\"\n[hull]\nskin = { thickness = \"4 mm\", density = 1500 }\n";
    let boat = extended(after, BEFORE).unwrap_or_else(|error| panic!("{error}"));
    assert!(matches!(boat.hull.weight, Weight::Skin(_)));
}

#[test]
fn removing_what_is_not_there_suggests_what_is() {
    let after = "extends = \"before.toml\"\n[[item]]\nname = \"balast\"\nremove = true\n";
    let found = extended(after, BEFORE).unwrap_err();
    assert_eq!(found.problems.len(), 1, "{found}");
    assert_eq!(
        found.problems[0].help.as_deref(),
        Some("did you mean \"ballast\"?")
    );
    assert_eq!(line_and_column(&found.problems[0]), (2, 1));

    let alone = hull_problem("[[item]]\nname = \"ballast\"\nremove = true");
    assert!(matches!(alone.fault, Fault::NothingToRemove { .. }));

    let with_more =
        "extends = \"before.toml\"\n[[item]]\nname = \"ballast\"\nremove = true\nmass = 3\n";
    let found = extended(with_more, BEFORE).unwrap_err();
    assert!(matches!(found.problems[0].fault, Fault::UnusedKey { .. }));
}

#[test]
fn problems_point_into_the_file_they_stand_in() {
    let found = extended(
        "extends = \"before.toml\"\n[hull]\nfoo = 1\n",
        "[hull]\nmesh = \"h.stl\"\n\nunits = \"yards\"\n",
    )
    .unwrap_err();
    let printed: Vec<String> = found.problems.iter().map(|p| p.place.to_string()).collect();
    assert_eq!(printed, ["after.toml:3:1", "before.toml:4:9"]);
}

#[test]
fn meshes_are_beside_the_file_that_names_them() {
    let files: &[(&str, &[u8])] = &[
        ("work/after.toml", b"extends = \"../base/before.toml\"\n[[part]]\nname = \"p\"\nrole = \"add\"\nmesh = \"p.stl\"\n"),
        ("work/../base/before.toml", b"[hull]\nmesh = \"m/h.stl\"\n"),
    ];
    let boat = read_files(files).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(boat.hull.mesh, Path::new("work/../base/m/h.stl"));
    assert_eq!(boat.hull.place.to_string(), "work/../base/before.toml:1:1");
    let Shape::Mesh { path, .. } = &boat.parts[0].shape else {
        panic!("{:?}", boat.parts[0].shape);
    };
    assert_eq!(path, Path::new("work/p.stl"));
}

#[test]
fn a_missing_base_is_pointed_at() {
    let problem = problem("extends = \"befor.toml\"\n");
    assert!(matches!(problem.fault, Fault::Unreadable { .. }));
    assert_eq!(line_and_column(&problem), (1, 11));
    assert!(problem.to_string().contains("befor.toml"), "{problem}");
}

#[test]
fn cycles_and_long_chains_are_refused_with_the_chain() {
    let found = extended(
        "extends = \"before.toml\"\n",
        "\nextends = \"after.toml\"\n",
    )
    .unwrap_err();
    let printed = found.to_string();
    assert!(
        printed.contains("after.toml → before.toml → after.toml"),
        "{printed}"
    );
    assert_eq!(found.problems[0].place.to_string(), "before.toml:2:11");

    let names: Vec<String> = (0..20).map(|n| format!("{n}.toml")).collect();
    let texts: Vec<String> = (1..21)
        .map(|n| format!("extends = \"{n}.toml\"\n"))
        .collect();
    let files: Vec<(&str, &[u8])> = names
        .iter()
        .zip(&texts)
        .map(|(name, text)| (name.as_str(), text.as_bytes()))
        .collect();
    let found = read_files(&files).unwrap_err();
    assert!(matches!(
        found.problems[0].fault,
        Fault::ChainTooLong { limit: 16, .. }
    ));
}

#[test]
fn files_on_disk_are_read_and_their_cycles_seen_through_spellings() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("boat.toml");
    std::fs::write(&path, GOOD).unwrap();
    let boat = BoatFile::read(&path).unwrap();
    assert_eq!(boat.hull.mesh, folder.path().join("meshes/dipper.stl"));

    std::fs::write(&path, "extends = \"./././boat.toml\"\n").unwrap();
    let found = BoatFile::read(&path).unwrap_err();
    assert!(matches!(found.problems[0].fault, Fault::Cycle { .. }));

    std::fs::write(&path, vec![b'#'; crate::boat::tree::MAX_FILE_BYTES + 1]).unwrap();
    let found = BoatFile::read(&path).unwrap_err();
    assert!(matches!(found.problems[0].fault, Fault::TooLong { .. }));

    for missing in [folder.path().join("none.toml"), folder.path().to_owned()] {
        let found = BoatFile::read(&missing).unwrap_err();
        assert!(matches!(found.problems[0].fault, Fault::Unreadable { .. }));
    }
}

/// A part of the file below is given another shape, weight or role: what belonged to the
/// old one goes with it, and what can't stay is told with what to do in the file above.
#[test]
fn a_part_is_changed_by_the_file_that_extends_its_file() {
    const BELOW: &str =
        "[hull]\nmesh = \"hull.stl\"\nmass = 30\n[[opening]]\nname = \"well\"\nloop = 1\n";
    let part = |below: &str, above: &str| {
        let below = format!("{BELOW}[[part]]\nname = \"it\"\n{below}\n");
        let above = format!("extends = \"before.toml\"\n[[part]]\nname = \"it\"\n{above}\n");
        extended(&above, &below)
    };
    let mesh = "role = \"add\"\nmesh = \"it.stl\"\nunits = \"mm\"\nmass = 2\nat = [1, 0, 0]";
    let boxed = "box = { min = [0, 0, 0], max = [1, 1, 1] }";
    let cylinder = "cylinder = { from = [0, 0, 0], to = [1, 0, 0], diameter = \"10 cm\" }";
    for (below, above) in [
        (mesh, boxed),
        (mesh, cylinder),
        (mesh, "skin = { thickness = \"4 mm\", density = 1500 }"),
        (mesh, "foam = { density = \"32 kg/m3\" }"),
        (mesh, "role = \"recess\""),
        (mesh, "mesh = \"other.stl\""),
        (mesh, "at = [0, 0, 0]"),
    ] {
        let boat = part(below, above).unwrap_or_else(|error| panic!("{above}: {error}"));
        let changed = serde_json::to_string(&boat.parts[0]).unwrap();
        let own = good(&format!("{BELOW}[[part]]\nname = \"it\"\n{below}\n"));
        assert_ne!(changed, serde_json::to_string(&own.parts[0]).unwrap());
    }
    let cover = format!("role = \"cover\"\ncovers = \"well\"\nmass = 1\n{boxed}");
    let round = "wall = { round = \"well\", height = \"10 cm\" }\nlaminate = { cloth = \"200 g/m2\", layers = 3, resin = 1.0 }";
    let taped =
        "box = { min = { from_stem = 1, from_middle = 0, over_base = 0 }, max = [9, 9, 9] }";
    for (below, above, words) in [
        (cover.as_str(), "role = \"add\"", "`covers`"),
        (mesh, round, "`at`"),
        (mesh, taped, "`at`"),
    ] {
        let told = part(below, above).unwrap_err().to_string();
        let old = "drop [[part]] \"it\" with `remove = true`";
        for words in [words, old, "stands at before.toml:", "after.toml:"] {
            assert!(told.contains(words), "no {words} in {told}");
        }
    }
}

/// So it is with an opening: a mark by another shape lets go of the cutter's `units`, a
/// drain that is none any more can't keep its plug.
#[test]
fn an_opening_is_changed_by_the_file_that_extends_its_file() {
    let opening = |below: &str, above: &str| {
        let hull = "[hull]\nmesh = \"hull.stl\"\n";
        let below = format!("{hull}[[opening]]\nname = \"it\"\n{below}\n");
        let above = format!("extends = \"before.toml\"\n[[opening]]\nname = \"it\"\n{above}\n");
        extended(&above, &below)
    };
    let cutter = "mesh = \"it.stl\"\nunits = \"mm\"";
    let boat = opening(cutter, "loop = 1").unwrap_or_else(|error| panic!("{error}"));
    assert!(matches!(boat.openings[0].mark, Some(Mark::Loop(1))));
    let drain = "loop = 1\nstate = \"drain\"\nplug = \"in\"";
    let told = opening(drain, "state = \"open\"").unwrap_err().to_string();
    for words in [
        "`plug` stands at before.toml:7",
        "drop [[opening]] \"it\" with",
        "after.toml:2:1",
    ] {
        assert!(told.contains(words), "no {words} in {told}");
    }
}
