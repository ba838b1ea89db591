//! No file is lost: what a run reads, boat files, meshes and measurements stay whatever
//! is forced, and what is written shows no more than it says.
use std::fs;
use std::path::Path;

use super::box_boat::{BOX, folder_with_hull, with};
use super::run::{Folder, awash_in};

const MEASURED: &str = "[[float_mark]]\nat = [0, 0.5, 0.5]\nover_water = \"0.4 m\"\n[[float_mark]]\nat = [2, 0.5, 0.5]\nover_water = \"0.4 m\"\n[[float_mark]]\nat = [1, -0.5, 0.5]\nover_water = \"0.4 m\"\n";

fn folder() -> Folder {
    let folder = folder_with_hull();
    folder.write("boat.toml", BOX);
    folder.write("other.toml", BOX);
    folder.write("measured.toml", MEASURED);
    folder.write("mended.toml", with("[hull.mend]\nlargest_only = true\n"));
    // Named like nothing.
    folder.write("my boat", BOX);
    folder.write("my readings", MEASURED);
    let mesh = fs::read(folder.path().join("hull.stl")).expect("there");
    folder.write("my mesh", mesh);
    folder
}

fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut all: Vec<(String, Vec<u8>)> = fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .map(|path| {
            let name = path
                .file_name()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            (name, fs::read(&path).expect("a file"))
        })
        .collect();
    all.sort();
    all
}

#[test]
fn files_of_another_kind_stay_even_when_forced() {
    let folder = folder();
    let before = contents(folder.path());
    for (line, words) in [
        (
            "curves boat.toml --svg|my boat|--force",
            "it is a boat file",
        ),
        (
            "curves boat.toml --svg|my readings|--force",
            "it is a file of measurements",
        ),
        ("curves boat.toml --svg|my mesh|--force", "it is a mesh"),
        (
            "init hull.stl --output measured.toml --force",
            "it is a file of measurements",
        ),
        ("init hull.stl --output|my mesh|--force", "it is a mesh"),
        (
            "init hull.stl --output hull.stl --force",
            "end its name in .toml",
        ),
        (
            "calibrate boat.toml measured.toml --output measured.toml --force",
            "it is a file of measurements",
        ),
        (
            "calibrate boat.toml measured.toml --output boat.toml --force",
            "is made of",
        ),
        (
            "mend hull.stl --output|my boat|--force",
            "it is a boat file",
        ),
        (
            "mend mended.toml --output out.stl --boat mended.toml --force",
            "is read for this",
        ),
        ("mend hull.stl --output x.obj", "written as STL only"),
        (
            "mend hull.stl --output x.stl --boat y.svg",
            "end its name in .toml",
        ),
        (
            "mend hull.stl --output same --boat ./same",
            "two outputs name the same file",
        ),
        (
            "swamp boat.toml --svg same --csv ./same",
            "two outputs name the same file",
        ),
        (
            "margins boat.toml --svg same --load-svg same",
            "two outputs name the same file",
        ),
        (
            "report boat.toml --output same --sheet same",
            "two outputs name the same file",
        ),
    ] {
        let arguments: Vec<&str> = match line.split('|').collect::<Vec<_>>().as_slice() {
            [all] => all.split(' ').collect(),
            [first, name, last] => first.split(' ').chain([*name, last]).collect(),
            _ => unreachable!("{line}"),
        };
        let answer = awash_in(folder.path(), arguments);
        assert_eq!(answer.code, 2, "{line}: {answer:?}");
        assert!(
            answer.stderr.contains(words),
            "{line}: no `{words}`: {answer:?}"
        );
        assert!(contents(folder.path()) == before, "{line} changed a file");
    }
}

#[test]
fn a_file_that_is_replaced_leaves_its_permissions() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder();
    let target = folder.write("curves.svg", "old");
    fs::set_permissions(&target, fs::Permissions::from_mode(0o640)).expect("mine");
    let run = ["curves", "boat.toml", "--svg", "curves.svg", "--force"];
    assert_eq!(awash_in(folder.path(), run).code, 0);
    let mode = fs::metadata(&target).expect("there").permissions().mode();
    assert_eq!(mode & 0o777, 0o640);
    assert!(
        fs::read_to_string(&target)
            .expect("text")
            .starts_with("<svg")
    );
}

/// The system refuses files longer than 16 KiB: the meshes do not go.
#[test]
fn a_demo_on_a_full_disk_says_what_it_wrote() {
    let folder = Folder::new();
    let script = format!(
        "trap '' XFSZ; ulimit -f 16; exec {} demo d",
        env!("CARGO_BIN_EXE_awash")
    );
    let output = std::process::Command::new("bash")
        .args(["-c", &script])
        .current_dir(folder.path())
        .output()
        .expect("bash runs");
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    // The first folder's boat files stand there, its meshes do not.
    let written: Vec<String> = contents(&folder.path().join("d/dipper"))
        .into_iter()
        .map(|(name, _)| format!("dipper/{name}"))
        .collect();
    assert!(
        !written.is_empty() && written.iter().all(|name| name.ends_with(".toml")),
        "{written:?}"
    );
    assert!(told.contains("written before that into d: "), "{told}");
    for name in written {
        assert!(told.contains(&name), "no {name}: {told}");
    }
}

/// A name that steers a terminal and is a formula, in every way out.
#[test]
fn names_of_a_file_steer_nothing() {
    let folder = folder();
    let name = "=1+2\\u001b[2J\\u009b\\u202e";
    let boat = with(&format!(
        "[[opening]]\nname = \"{name}\"\nrim = [[0.5, -0.2, 0.5], [1.5, -0.2, 0.5], [1, 0.2, 0.5]]\n"
    ));
    folder.write("boat.toml", boat);
    let steers = |text: &str| {
        text.chars()
            .any(|c| (c.is_control() && c != '\n' && c != '\t') || c == '\u{202e}')
    };
    for format in ["table", "json", "csv"] {
        let answer = awash_in(folder.path(), ["float", "boat.toml", "--format", format]);
        assert_eq!(answer.code, 0, "{answer:?}");
        assert!(!steers(&answer.stdout), "{format}: {:?}", answer.stdout);
        if format == "csv" {
            assert!(answer.stdout.contains(".name,'=1+2"), "{answer:?}");
            assert!(!answer.stdout.contains(",=1+2"), "{answer:?}");
        }
    }
    let drawings = [
        "margins",
        "boat.toml",
        "--svg",
        "rose.svg",
        "--load-svg",
        "load.svg",
    ];
    assert_eq!(awash_in(folder.path(), drawings).code, 0);
    let page = [
        "report",
        "boat.toml",
        "--output",
        "page.html",
        "--sheet",
        "sheet.html",
    ];
    assert_eq!(awash_in(folder.path(), page).code, 0);
    for file in ["rose.svg", "load.svg", "page.html", "sheet.html"] {
        let text = fs::read_to_string(folder.path().join(file)).expect("text");
        assert!(!steers(&text), "{file}");
    }
    let refused = awash_in(folder.path(), ["sill", "boat.toml", "\u{1b}[2J"]);
    assert!(!steers(&refused.stderr), "{:?}", refused.stderr);
}

/// Names that a spreadsheet would work out, in both kinds of CSV.
#[test]
fn no_cell_of_a_csv_is_a_formula() {
    let folder = folder();
    let names = ["=1+1", "+1+1", "-1+1", "@SUM(1)"];
    let items: String = names
        .iter()
        .map(|name| format!("[[item]]\nname = \"{name}\"\nmass = 1\nat = [1, 0, 0.2]\n"))
        .collect();
    folder.write("boat.toml", with(&items));
    for line in [
        &["float", "boat.toml"][..],
        &["list", "boat.toml", "weights"],
    ] {
        let more = ["--format", "csv"];
        let answer = awash_in(folder.path(), line.iter().chain(&more));
        assert_eq!(answer.code, 0, "{answer:?}");
        for name in names {
            let shown = format!(",'{name}");
            assert!(answer.stdout.contains(&shown), "{line:?}: no {shown}");
            let bare = format!(",{name}");
            assert!(!answer.stdout.contains(&bare), "{line:?}: {bare}");
        }
    }
}
