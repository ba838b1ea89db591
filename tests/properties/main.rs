//! Invariants of readers, the kernel, the rest search, the map of attitudes and the least
//! knock over random bytes, bodies, planes and loads.
//!
//! The same cases run every time, so that no build fails by luck; set
//! `PROPTEST_RNG_SEED` (any number) and `PROPTEST_CASES` to look further.
mod attitudes;
mod bodies;
mod brute;
mod hulls;
mod joining;
mod kernel;
mod knock;
mod leans;
mod measured;
mod rest;
mod robustness;
mod swamping;
#[path = "../zoo/mod.rs"]
mod zoo;
mod zoo_knocks;
