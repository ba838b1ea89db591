//! The boat as its owner writes it down: one TOML file with meshes beside it.
//!
//! [`file::BoatFile::read`] turns text into plain numbers and paths; it does no
//! geometry. [`problem::BoatFileError`] lists everything wrong with a file at
//! once, each with its line.
mod fields;
pub mod file;
mod overlay;
pub mod place;
pub mod problem;
mod tree;
pub mod yardsticks;
