//! `awash`: how a cut, decked and loaded small hull floats, and how close the
//! water stands to every opening in it.
//!
//! Data flows one way: files → [`mesh`] → [`boat`] → [`immersion`] →
//! [`equilibrium`] → [`study`] → [`present`] and [`viewer`] → [`cli`]. The module graph and
//! the invariants are in `DEVELOPERS.md`.
//!
//! **Boat frame** (everywhere): right-handed, x forward, y to port, z up, fixed
//! to the hull, metres. SI inside, `f64`; every dimensional name carries its
//! unit.
pub mod boat;
pub mod cli;
pub mod equilibrium;
pub mod immersion;
pub mod mesh;
pub mod numerics;
pub mod present;
pub mod quantity;
pub mod study;
pub mod viewer;
pub mod water;
