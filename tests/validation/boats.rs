//! Boats made of a box.
use std::path::{Path, PathBuf};

use awash::boat::{Boat, BoatBuilder};
use awash::mesh::{Surface, solids, write_stl};
use awash::numerics::Vec3;

/// A box 4 × 1 × 0.5 m, x from −2 to 2, the keel at z = 0, of 1000 kg with the
/// centre of gravity 0.2 m over the keel, in water of 1000 kg/m³: it floats at
/// 0.25 m. `more` is added to its boat file.
pub(crate) fn laden_box(more: &str) -> Boat {
    made(
        &solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5)),
        &format!("mass = 1000\ncentre = [0, 0, 0.2]\n{more}"),
    )
}

/// A boat in water of 1000 kg/m³; `hull` goes on from the end of `[hull]`.
pub(crate) fn made(surface: &Surface, hull: &str) -> Boat {
    let boat = BoatBuilder::new("box", surface).hull(hull).water(1000.0);
    boat.build().expect("a sound boat")
}

/// Writes its mesh and boat file; `more` goes on from the end of `[hull]`.
pub(crate) fn laden_box_file(folder: &Path, more: &str) -> PathBuf {
    let surface = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    write_stl(
        std::fs::File::create(folder.join("box.stl")).expect("a file"),
        &surface,
    )
    .expect("written");
    let text = format!(
        "name = \"box\"\n[water]\ndensity = 1000\n[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = 1000\ncentre = [0, 0, 0.2]\n{more}"
    );
    let file = folder.join("box.toml");
    std::fs::write(&file, text).expect("written");
    file
}
