//! The kernel, the rest search and the studies held against things outside
//! the project: closed forms (derived beside each check), handbooks, a
//! published hull and a general-purpose geometry library.
//!
//! A solid with flat sides is met to rounding. A curved one is an inscribed
//! polyhedron, so its checks refine the mesh and show that the error falls as
//! it must and that what it tends to is the closed form
//! ([`support::converges`]).
mod bar;
mod boats;
mod calibrate;
mod comparison;
mod compartments;
mod cuboid;
mod cutouts;
mod dive;
mod dry_spaces;
mod duisburg;
mod flooding;
mod foam;
mod foam_built_in;
mod handbook;
mod inflow;
mod limits;
mod open_sea;
mod outside;
mod people;
mod places;
mod reference_library;
mod remedies;
mod rests;
mod round;
mod sections;
mod sources;
mod spread;
mod stability;
mod support;
mod table;
mod tape;
mod trapped;
mod wedge;
mod wigley;
#[path = "../zoo/mod.rs"]
mod zoo;
