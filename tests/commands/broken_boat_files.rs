//! Boat files and meshes that cannot be read: each is refused at its place, with
//! what to do.
use std::path::PathBuf;

use super::box_boat::{BOX, float_in, folder_with_hull, holds, instead_of, refused, with};
use super::run::{assert_near, awash, awash_in, number};
use super::stl::{binary, box_facets, mapped};

#[test]
fn meshes_that_can_not_be_read() {
    let relative = "`mesh` is taken as relative to the folder of the boat file";
    refused(
        instead_of("hull.stl", "gone.stl"),
        "boat.toml:2:8",
        &[
            "the mesh of the hull: cannot read gone.stl: No such file",
            relative,
        ],
    );
    refused(
        instead_of("hull.stl", "."),
        "boat.toml:2:8",
        &[
            "the mesh of the hull: cannot read .: Is a directory",
            relative,
        ],
    );
    refused(
        instead_of("hull.stl", "hull.stl/inner.stl"),
        "boat.toml:2:8",
        &["cannot read hull.stl/inner.stl: Not a directory"],
    );
    refused(
        instead_of("hull.stl", "boat.toml"),
        "boat.toml:2:8",
        &["boat.toml: this is a boat file, and a mesh is wanted here"],
    );
    let folder = folder_with_hull();
    let flat = mapped(&box_facets(), |[x, y, _]| [x, y, 0.0]);
    folder.write("flat.stl", binary(&flat));
    holds(
        float_in(&folder, instead_of("hull.stl", "flat.stl")).refusal(),
        "boat.toml:2:8",
        &["the mesh of the hull: the mesh encloses no volume that can be counted"],
    );
    let part = with("[[part]]\nname = \"deck\"\nrole = \"add\"\nmesh = \"flat.stl\"\n");
    holds(
        float_in(&folder, part).refusal(),
        "boat.toml:7:1",
        &["the mesh of part \"deck\": the mesh encloses no volume"],
    );
}

#[test]
fn files_that_are_no_boat_file() {
    let folder = folder_with_hull();
    let answer = |name: &str| awash_in(folder.path(), ["float", name]);
    let help = "help: check the file's name and folder";
    holds(
        answer("gone.toml").refusal(),
        "gone.toml",
        &["cannot read gone.toml: No such file", help],
    );
    std::fs::create_dir(folder.path().join("folder.toml")).expect("a new folder");
    holds(
        answer("folder.toml").refusal(),
        "folder.toml",
        &["cannot read folder.toml: Is a directory", help],
    );
    holds(
        answer("hull.stl/boat.toml").refusal(),
        "hull.stl/boat.toml",
        &["Not a directory", help],
    );
    refused(
        [BOX.as_bytes(), b"# caf\xE9\n"].concat(),
        "boat.toml:7:6",
        &[
            "is not UTF-8 text",
            "help: save the file again with the encoding UTF-8",
        ],
    );
    refused(
        "",
        "boat.toml",
        &["has no `hull`", "help: add [hull] with mesh"],
    );
    refused(
        with("[[item]\nname = \"a\"\n"),
        "boat.toml:7:8",
        &["the file cannot be understood here"],
    );
    refused(
        binary(&box_facets()),
        "boat.toml:1:104",
        &["byte 104 of the file is not UTF-8 text"],
    );
    refused(
        "#".repeat((1 << 20) + 1),
        "boat.toml",
        &["the file is longer than 1048576 bytes"],
    );
}

#[test]
fn files_that_extend_each_other_wrongly() {
    refused(
        "extends = \"boat.toml\"\n",
        "boat.toml:1:11",
        &["`extends` leads back to a file already read: boat.toml → boat.toml"],
    );
    let folder = folder_with_hull();
    folder.write("other.toml", "extends = \"boat.toml\"\n");
    holds(
        float_in(&folder, "extends = \"other.toml\"\n").refusal(),
        "other.toml:1:11",
        &[
            "boat.toml → other.toml → boat.toml",
            "help: let one of these files stand alone",
        ],
    );
    refused(
        "extends = \"gone.toml\"\n",
        "boat.toml:1:11",
        &[
            "cannot read gone.toml",
            "help: `extends` is taken as relative",
        ],
    );
    refused(
        with("[[item]]\nname = \"a\"\nremove = true\n"),
        "boat.toml:7:1",
        &[
            "there is no [[item]] \"a\" to remove",
            "help: `remove` drops an entry of the file named by `extends`",
        ],
    );
}

#[test]
fn a_misspelt_name_is_told_from_a_new_entry() {
    let item = "[[item]]\nname = \"battery\"\nmass = 12\nat = [0.5, 0, 0.2]\n";
    let slip = "name = \"batery\"\nat = [0.4, 0, 0.2]\n";
    let told = [
        "[[item]] \"batery\" has no `mass`",
        "to change \"battery\", give it that name",
    ];
    let folder = folder_with_hull();
    folder.write("before.toml", with(item));
    let extends = format!("extends = \"before.toml\"\n[[item]]\n{slip}");
    holds(float_in(&folder, extends).refusal(), "boat.toml:2:1", &told);
    let condition = format!("{item}[[condition]]\nname = \"c\"\n[[condition.item]]\n{slip}");
    refused(with(&condition), "boat.toml:13:1", &told);
    // Two crates of one file are no slip.
    let crates = ["crate 1", "crate 2"].map(|name| {
        let mass = if name == "crate 1" { "mass = 3\n" } else { "" };
        format!("[[item]]\nname = \"{name}\"\n{mass}at = [0.4, 0, 0.2]\n")
    });
    let message = float_in(&folder_with_hull(), with(&crates.concat()));
    assert!(!message.refusal().contains("new entry"));
}

/// Devices and pipes never end or never begin: they are refused unread.
#[cfg(unix)]
#[test]
fn files_that_may_never_end() {
    let folder = folder_with_hull();
    let pipe = folder.path().join("pipe.stl");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status();
    assert!(made.expect("mkfifo runs").success());
    let refused = "it is a device or a pipe, which may never end; copy what it holds into a file";
    for name in ["/dev/zero", "pipe.stl"] {
        holds(
            float_in(&folder, instead_of("hull.stl", name)).refusal(),
            "boat.toml:2:8",
            &[&format!("cannot read {name}: {refused}")],
        );
        let answer = awash_in(folder.path(), ["inspect", name]);
        let message = answer.refusal();
        assert!(
            message.contains(&format!("cannot read {name}: {refused}")),
            "{message}"
        );
        let answer = awash_in(folder.path(), ["float", name]);
        holds(answer.refusal(), name, &[refused]);
    }
}

/// A file of holes takes no room on the disk and would take 2 GiB of memory.
#[test]
fn a_mesh_past_the_size_limit_is_refused_unread() {
    let folder = folder_with_hull();
    let huge = std::fs::File::create(folder.path().join("huge.stl")).expect("a new file");
    huge.set_len((2 << 30) + 1).expect("a sparse file");
    let answer = awash_in(folder.path(), ["inspect", "huge.stl"]);
    holds(
        answer.refusal(),
        "huge.stl",
        &["the file has 2147483649 bytes; at most 2147483648 are read: reduce the mesh first"],
    );
}

#[cfg(unix)]
#[test]
fn a_file_that_may_not_be_read_or_whose_name_is_no_text() {
    use std::ffi::OsStr;
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::PermissionsExt;

    let folder = folder_with_hull();
    let odd = PathBuf::from(OsStr::from_bytes(b"hull\xFF.stl"));
    std::fs::copy(folder.path().join("hull.stl"), folder.path().join(&odd)).expect("a copy");
    let arguments = [
        "slice",
        "--mesh-units=m",
        "--waterline=0.25",
        "--format=json",
    ];
    let answer = awash_in(
        folder.path(),
        arguments.iter().map(OsStr::new).chain([odd.as_os_str()]),
    );
    assert_near(number(&answer.json(), "displaced_volume_m3"), 0.5, 1e-12);

    let locked = folder.write("locked.toml", BOX);
    std::fs::set_permissions(&locked, std::fs::Permissions::from_mode(0o000)).expect("own file");
    if std::fs::read(&locked).is_ok() {
        println!("not tested: this user may read every file");
        return;
    }
    let answer = awash([OsStr::new("float"), locked.as_os_str()]);
    assert!(answer.refusal().contains("Permission denied"), "{answer:?}");
}
