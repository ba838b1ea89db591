//! The Duisburg Test Case, a container ship's hull published by el Moctar,
//! Shigunov & Zorn, "Duisburg Test Case: Post-Panamax Container Ship for
//! Benchmarking", Ship Technology Research 59(3), 2012, 50–65, at its model
//! scale of 1:59.407.
//!
//! The mesh (116 062 triangles, metres, x forward from the after
//! perpendicular, z up from the keel) is GPL-3+ and not kept here. To run the
//! test, install the Debian package `openfoam-examples`
//! (`sudo apt-get install openfoam-examples`), or unpack it anywhere
//! (`apt-get download openfoam-examples`, then
//! `dpkg -x openfoam-examples_*.deb somewhere`) and point `AWASH_DTC_STL` at
//! `somewhere/usr/share/doc/openfoam-examples/examples/resources/geometry/DTC-scaled.stl.gz`
//! (packed or unpacked). Without it the test says that it did not run.
use std::io::Read as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use awash::immersion::{MomentTree, WaterPlane};
use awash::mesh::{PrepareOptions, parse_stl, prepare, weld};
use awash::study::Hydrostatics;

use crate::support::{bm_transverse, buoyancy_height, near, near_share};

const VARIABLE: &str = "AWASH_DTC_STL";
const INSTALLED: &str =
    "/usr/share/doc/openfoam-examples/examples/resources/geometry/DTC-scaled.stl.gz";
const WATERLINE_M: f64 = 0.244;
const SCALE: f64 = 59.407;
/// The published figures are of the lines, not of this mesh, and given to
/// three or four digits.
const PUBLISHED_SHARE: f64 = 1e-3;

fn mesh_path() -> Option<PathBuf> {
    if let Some(given) = std::env::var_os(VARIABLE).filter(|given| !given.is_empty()) {
        let path = PathBuf::from(given);
        assert!(
            path.is_file(),
            "{VARIABLE} names no file: {}",
            path.display()
        );
        return Some(path);
    }
    let listed = Command::new("dpkg")
        .args(["-L", "openfoam-examples"])
        .output()
        .map(|output| String::from_utf8_lossy(&output.stdout).into_owned())
        .unwrap_or_default();
    let from_package = listed
        .lines()
        .find(|line| line.ends_with("DTC-scaled.stl.gz"))
        .map(PathBuf::from);
    [Some(PathBuf::from(INSTALLED)), from_package]
        .into_iter()
        .flatten()
        .find(|path| path.is_file())
}

fn read(path: &Path) -> Vec<u8> {
    let bytes = std::fs::read(path).expect("the mesh can be read");
    if !bytes.starts_with(&[0x1f, 0x8b]) {
        return bytes;
    }
    let mut unpacked = Vec::new();
    flate2::read::MultiGzDecoder::new(bytes.as_slice())
        .read_to_end(&mut unpacked)
        .expect("a sound gzip file");
    unpacked
}

fn at_its_waterline() -> Option<Hydrostatics> {
    let Some(path) = mesh_path() else {
        eprintln!(
            "NOT RUN: the Duisburg Test Case hull is not here; install openfoam-examples or set {VARIABLE}"
        );
        return None;
    };
    let raw = parse_stl(&read(&path)).expect("an STL file");
    let hull = prepare(weld(raw.surface, 1.0).surface, &PrepareOptions::default());
    assert!(hull.closed && hull.loops.is_empty(), "{:?}", hull.doubts);
    let tree = MomentTree::new(&hull.surface, &[]);
    let plane = WaterPlane::at_attitude(0.0, 0.0, WATERLINE_M);
    Some(Hydrostatics::of(&tree.immerse(&plane), 998.8))
}

#[test]
fn the_published_hull_has_its_published_figures() {
    let Some(cut) = at_its_waterline() else {
        return;
    };
    let lcb = cut.centre_of_buoyancy_m.expect("wet")[0];
    let km = buoyancy_height(&cut) + bm_transverse(&cut);

    // As published: volume and wetted surface at model scale, KM at full scale. LCB is
    // where the package's case DTCHull puts the centre of mass of the model, which floats
    // level there; its digits are not the paper's.
    near_share("volume", cut.displaced_volume_m3, 0.827, PUBLISHED_SHARE);
    near_share("wetted", cut.wetted_area_m2, 6.243, PUBLISHED_SHARE);
    near_share("LCB", lcb, 2.929_541, PUBLISHED_SHARE);
    near_share("KM, full scale", km * SCALE, 24.951, PUBLISHED_SHARE);
}

/// A triangle clipper that this project wrote apart from its kernel and did not keep,
/// on the same file, each to half of its last digit.
#[test]
fn a_clipper_written_apart_agrees() {
    let Some(cut) = at_its_waterline() else {
        return;
    };
    let lcb = cut.centre_of_buoyancy_m.expect("wet")[0];
    let flotation = cut.centre_of_flotation_m.expect("cut")[0];
    near("V", cut.displaced_volume_m3, 0.826_706_5, 5e-8);
    near("wetted", cut.wetted_area_m2, 6.244_795_2, 5e-8);
    near("LCB", lcb, 2.929_989_4, 5e-8);
    near("Aw", cut.waterplane_area_m2, 4.338_582_7, 5e-8);
    near("LCF", flotation, 2.711_117_4, 5e-8);
    near("KB", buoyancy_height(&cut), 0.134_445_6, 5e-8);
    near("IT", cut.second_moment_transverse_m4, 0.235_772_86, 5e-9);
    near("IL", cut.second_moment_longitudinal_m4, 9.780_026_1, 5e-8);
}
