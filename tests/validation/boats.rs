//! Boats made of a box, read from files as a user's are.
use std::path::{Path, PathBuf};

use awash::boat::Boat;
use awash::mesh::{solids, write_stl_binary};
use awash::numerics::Vec3;

/// A box 4 × 1 × 0.5 m, x from −2 to 2, the keel at z = 0, of 1000 kg with the
/// centre of gravity 0.2 m over the keel, in water of 1000 kg/m³: it floats at
/// 0.25 m. `more` is added to its boat file.
pub(crate) fn laden_box(more: &str) -> Boat {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let file = laden_box_file(folder.path(), more);
    Boat::load(&file).expect("a sound boat file")
}

/// Writes its mesh and boat file; `more` goes on from the end of `[hull]`.
pub(crate) fn laden_box_file(folder: &Path, more: &str) -> PathBuf {
    let surface = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    write_stl_binary(&folder.join("box.stl"), &surface).expect("written");
    let text = format!(
        "name = \"box\"\n[water]\ndensity = 1000\n[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = 1000\ncentre = [0, 0, 0.2]\n{more}"
    );
    let file = folder.join("box.toml");
    std::fs::write(&file, text).expect("written");
    file
}
