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
//! # The crate's face
//!
//! - [`Boat`]: a boat in one loading condition, read by [`Boat::load`] or made without files
//!   by [`BoatBuilder`]. [`BoatFile`] is what its file says, [`files::Files`] where all that is
//!   read comes from.
//! - [`Afloat`]: that boat on the water. Its rest, the map of its attitudes, its knocks and
//!   its rose are worked out once and shared by all studies that are given it.
//! - The functions of [`study`], each of which takes a `&Boat` or an `&Afloat` and gives one
//!   plain result in an [`study::Answer`], its fields with their units in their names.
//! - [`present::Present`], [`present::json`] and [`present::csv`] print results.
//! - [`progress::Progress`] watches long studies, and may stop them.
//!
//! A boat file, floated and leaned, and its lowest way in:
//!
//! ```
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! use awash::{Afloat, Boat, present::Present, quantity::UnitSystem, study::{float, margins}};
//!
//! let boat = Boat::load("meshes/dipper/asfitted.toml".as_ref())?;
//! let afloat = Afloat::of(&boat);
//! let result = float(&afloat)?;
//! let sills = result.openings.iter().filter_map(|opening| Some((opening.freeboard_m?, opening)));
//! let (freeboard_m, lowest) = sills.min_by(|a, b| a.0.total_cmp(&b.0)).ok_or("no opening")?;
//! println!("{}: {:.0} mm, {}", lowest.name, 1000.0 * freeboard_m, lowest.place);
//! println!("{}", margins(&afloat)?.summary(UnitSystem::Metric));
//! # assert_eq!(lowest.name, "boarding door");
//! # Ok(())
//! # }
//! ```
//!
//! The feature `cli`, on unless switched off, brings the program; without it the library
//! needs no argument parser and compiles for `wasm32-unknown-unknown`. Results, errors,
//! [`Boat`] and its masses are `#[non_exhaustive]`: fields and reasons may come.
//!
//! What stays as it is from one release to the next is in [`reference::releases`]; the boat
//! file's keys are in [`reference::boat_file`], those of the results in [`reference::results`].
//!
//! # Changes by version
//!
//! **After 0.2.0** (the second number changes with the next release):
//! - studies take an [`Afloat`] as well as a `&Boat`; [`equilibrium::Afloat::of`] no longer
//!   fails, asking it for its rest does;
//! - [`study::drill`] takes names and boats of any kind, [`study::compare`] any list of boats,
//!   [`study::Before`] and [`study::MarkPlaces`] an `Afloat`;
//! - [`boat::BoatMaker::make`] is told where each file was read from;
//! - [`study::inspect`] and [`study::mend_scan`] take a [`progress::Progress`]; studies can
//!   end with [`equilibrium::EquilibriumError::Cancelled`];
//! - solvers stand in [`numerics`]: `first_below` came from [`equilibrium`];
//! - `awash demo` writes three craft, each into a folder of its own;
//! - a doubt's text, and what a water is, keep their amounts as numbers
//!   ([`quantity::Sentence`]) and are said in the units asked for; a doubt may say how far it
//!   puts a sill off; [`mesh::DoubtKind::Twisted`] is new;
//! - cautions go with what is done with an answer: [`study::Caution::USUAL`] was `COMMON`;
//! - the verdict between fail and clear is *marginal*, in JSON too; it was *narrow*;
//! - a mesh file is welded while it is read: [`mesh::RawMesh`] holds a [`mesh::Surface`];
//! - masses say what they are ([`boat::MassKind`]), loose liquids what they stand in;
//! - studies return a [`study::Answer`]: the result, which it reads like, with the boat's name,
//!   its doubts (`mesh_doubts` before) and its cautions, now [`study::Caution`]s; sentences
//!   (`summary`, `notes`, `because` and the like) are [`present::Present::summary`] and the
//!   text of JSON, and follow the units asked for;
//! - [`present::json`] and [`present::csv`] take a [`present::Present`]; in CSV the three of a
//!   band are `p5`, `p50`, `p95`;
//! - a [`present::Sheet`] knows its units, its [`present::Cell`]s hold quantities in base
//!   units, and a label with its value is [`present::Sheet::value`];
//! - [`study::ResidualLine::dimension`] was `unit`, which JSON still has;
//! - [`boat::Boat::left_open`] was `cautions`, in words;
//! - `calibrate` refuses an opening's sill as a float mark where the boat as filed has no
//!   rest; it took the lowest point along z.
//!
//! **0.2.0**: `[[condition]]`, a loading condition, was `[[case]]`.
//!
//! **0.1.0**: the first.
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

pub use boat::{Boat, BoatBuilder, BoatFile};
pub use equilibrium::Afloat;
