//! Invariants of the kernel and of the rest search over random bodies, planes
//! and loads.
//!
//! The same cases run every time, so that no build fails by luck; set
//! `PROPTEST_RNG_SEED` (any number) and `PROPTEST_CASES` to look further.
mod bodies;
mod kernel;
mod leans;
mod rest;
mod swamping;
#[path = "../zoo/mod.rs"]
mod zoo;
