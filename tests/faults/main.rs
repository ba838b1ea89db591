//! Hard use of the built command: a full disk, a kill in the middle of writing, a
//! folder that cannot be written, several runs at once, links, names that are no
//! text, and much of everything. Each time nothing of the user's is lost, and the
//! message says what is wrong and what to do, with exit code 2.
//!
//! A check that needs rights or programs which are not here says NOT RUN. The hull
//! of ten million triangles takes minutes and is not part of the test command:
//! `cargo test --release --test faults -- --ignored --nocapture`.
#![cfg(unix)]

#[path = "../commands/run.rs"]
#[expect(
    dead_code,
    reason = "shared with the command tests, which use all of it"
)]
mod run;

mod disk;
mod names;
mod size;
mod split;
