//! `awash`: how a cut, decked and loaded small hull floats, and how close the
//! water stands to every opening in it.
//!
//! Data flows one way: files → [`mesh`] → [`boat`] → [`immersion`] →
//! [`equilibrium`] → [`study`] → [`present`] and [`viewer`] → the command line. The
//! module graph and the invariants are in `DEVELOPERS.md`.
//!
//! **Boat frame** (everywhere): right-handed, x forward, y to port, z up, fixed
//! to the hull, metres. SI inside, `f64`; every dimensional name carries its
//! unit.
//!
//! A boat file, floated, and its lowest way in:
//!
//! ```
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! use awash::{boat::Boat, study::float};
//!
//! let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
//! let result = float(&boat)?;
//! let sills = result.openings.iter().filter_map(|opening| Some((opening.freeboard_m?, opening)));
//! let (freeboard_m, lowest) = sills.min_by(|a, b| a.0.total_cmp(&b.0)).ok_or("no opening")?;
//! println!("{}: {:.0} mm, {}", lowest.name, 1000.0 * freeboard_m, lowest.place);
//! # assert_eq!(lowest.name, "transom notch");
//! # Ok(())
//! # }
//! ```
//!
//! [`boat::BoatBuilder`] makes a boat in code, without files; [`files::Files`] is where all
//! that is read comes from. The feature `cli`, on unless switched off, brings the program;
//! without it the library needs no argument parser and compiles for
//! `wasm32-unknown-unknown`.
//!
//! What stays as it is from one release to the next is in [`reference::releases`]; the boat
//! file's keys are in [`reference::boat_file`], those of the results in [`reference::results`].
pub mod boat;
// The program's own; a library's user has the studies.
#[cfg(feature = "cli")]
#[doc(hidden)]
pub mod cli;
pub mod equilibrium;
pub mod files;
mod host;
pub mod immersion;
pub mod mesh;
pub mod numerics;
pub mod present;
pub mod progress;
pub mod quantity;
pub mod reference;
pub mod study;
pub mod viewer;
pub mod water;
