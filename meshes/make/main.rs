//! Makes the meshes of the demo and writes them into the folders of its three craft.
//!
//! ```text
//! cargo run --example demo_meshes             # write them
//! cargo run --example demo_meshes -- --check  # fail if the files differ
//! ```
//!
//! Everything is invented. Frame of the models: x forward, y to port, z up, millimetres. The
//! scan lies as a scanner left it.
#[path = "../../tests/scans/decked.rs"]
#[expect(dead_code, reason = "the tests of scans use more of it")]
mod decked;
#[path = "../../tests/boats/lofting.rs"]
mod lofting;
#[path = "../../tests/scans/make.rs"]
#[expect(dead_code, reason = "the tests of scans use more of it")]
mod make;

mod dabchick;
mod dipper;
mod grebe;

use std::process::ExitCode;

use lofting::model;

fn main() -> ExitCode {
    lofting::run("meshes", || {
        Ok(vec![
            model("dipper/hull.stl", &dipper::hull(), 1)?,
            model("dipper/sponson.stl", &dipper::sponson(), 0)?,
            grebe::scan("grebe/scan.stl")?,
            model("dabchick/body.stl", &dabchick::body(), 1)?,
        ])
    })
}
