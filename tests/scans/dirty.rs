//! Scans of other people's, defects and all, against what general mesh libraries make of them.
//! None is kept here: `.ci/run` fetches them, and a test whose file is missing says that it
//! did not run.
use std::path::PathBuf;

use awash::boat::{MeshInMetres, read_mesh};
use awash::files::Disk;
use awash::mesh::{MendRecipe, Placement, PrepareOptions, Surface, mend, prepare, write_stl};
use awash::numerics::Vec3;

/// Ours: one part in a hundred.
const WITHIN: f64 = 0.01;

/// A path that a variable names, where the file is there.
fn named_by(variable: &str, what: &str) -> Option<PathBuf> {
    let given = std::env::var_os(variable).filter(|given| !given.is_empty());
    if given.is_none() {
        eprintln!("NOT RUN: {what} is not here; set {variable}");
    }
    given.map(PathBuf::from)
}

/// Holds a scan, capped and mended, to a volume, m³, and tells by how much each is off.
fn check(name: &str, read: MeshInMetres, wanted: f64) {
    let share = |volume: f64| volume / wanted - 1.0;
    let closed = prepare(read.surface.clone(), &read.options);
    assert!(closed.closed, "{name}: {:?}", closed.doubts);
    assert!(!closed.doubts.is_empty(), "{name}: its defects are told");
    let capped = share(closed.surface.signed_volume_m3());

    let recipe = MendRecipe {
        fill_under_m: Some(10.0),
        ..MendRecipe::default()
    };
    let nothing = Placement::default();
    let facets = &read.options.facets;
    let mended = mend(read.surface, facets, &recipe, &nothing, &|_| {}).expect("it can be mended");
    assert!(mended.openings.is_empty(), "{name}: {:?}", mended.steps);
    let again = prepare(mended.surface, &PrepareOptions::default());
    let filled = share(again.surface.signed_volume_m3());
    eprintln!(
        "{name}: capped {:+.3} %, mended {:+.3} % of the library's volume",
        100.0 * capped,
        100.0 * filled
    );
    assert!(
        capped.abs() < WITHIN && filled.abs() < WITHIN,
        "{name}: capped {capped:+.4}, mended {filled:+.4}"
    );
}

/// The bunny of the Stanford Computer Graphics Laboratory (Turk and Levoy, "Zippered polygon
/// meshes from range images", SIGGRAPH 1994), as the Python package `pymeshfix` 0.18.1
/// carries it (package under GPL-3; the scan with Stanford's leave for research and free
/// copies, credit asked): 99 785 triangles, five holes below, 353 open sides and 132 with
/// three faces. By hand: `pip download --no-deps pymeshfix==0.18.1`, unpack the wheel with
/// `python3 -m zipfile -e`, and point `AWASH_BUNNY_PLY` at
/// `pymeshfix/examples/StanfordBunny.ply`.
///
/// The volume is that of `MeshFix(…).repair()` of pymeshfix 0.18.1, by trimesh 5.2.0, in the
/// file's own units. The holes as fans about their middles give 24 973 with trimesh alone.
#[test]
fn a_scan_that_nobody_cleaned_has_the_volume_that_a_general_library_finds() {
    const VOLUME: f64 = 24_956.2;
    // 2.5 m long, as large as a small hull.
    const SCALE: f64 = 0.05;
    let Some(path) = named_by("AWASH_BUNNY_PLY", "the bunny") else {
        return;
    };
    let read = read_mesh(&Disk, &path, Some(SCALE), false).expect("a mesh that can be read");
    check("the bunny", read, VOLUME * SCALE.powi(3));
}

/// Scans of statues that come with the Debian package `libcgal-demo` 5.5.1-2 (by its copyright
/// file, files without a notice of their own, as these, are CC0 1.0), in `data/meshes` of its
/// `data.tar.gz`: a lion's
/// head open where it was cut off (36 open sides), a mannequin's (64, and parts that pass
/// through each other), a dragon with triangles missing. `AWASH_STATUES` names the folder.
///
/// Volumes: `MeshFix(…).repair()` of pymeshfix 0.18.1, by trimesh, in the files' own units.
#[test]
fn statues_that_were_scanned_have_the_volume_that_a_general_library_finds() {
    let Some(folder) = named_by("AWASH_STATUES", "the folder of statues") else {
        return;
    };
    // Scaled to some 2.4 m.
    for (name, volume, scale) in [
        ("lion-head", 0.177_301_3, 2.5_f64),
        ("mannequin-devil", 14_035.40, 0.06),
        ("ChineseDragon-10kv", 230_096.9, 0.02),
    ] {
        let text = std::fs::read_to_string(folder.join(format!("{name}.off"))).expect("a file");
        let stl = tempfile::NamedTempFile::with_suffix(".stl").expect("a file");
        write_stl(stl.as_file(), &off(&text)).expect("written");
        let read = read_mesh(&Disk, stl.path(), Some(scale), false).expect("a sound mesh");
        check(name, read, volume * scale.powi(3));
    }
}

/// A mesh as an OFF file lists it: a word, counts, corners, faces (Geomview's format).
fn off(text: &str) -> Surface {
    let mut words = text.lines().filter(|line| !line.starts_with('#'));
    let mut words = words.by_ref().flat_map(str::split_whitespace);
    assert_eq!(words.next(), Some("OFF"));
    let mut next = || words.next().expect("a number");
    let whole = |word: &str| word.parse::<u32>().expect("a count");
    let [corners, faces, _] = [(); 3].map(|()| whole(next()));
    let mut surface = Surface::default();
    for _ in 0..corners {
        let place = [(); 3].map(|()| next().parse().expect("a coordinate"));
        surface.vertices.push(Vec3::from(place));
    }
    for _ in 0..faces {
        assert_eq!(next(), "3", "a triangle");
        surface.faces.push([(); 3].map(|()| whole(next())));
    }
    surface
}
