//! The immersion kernel: what lies under a plane, exactly, and fast.
//!
//! It takes a surface and a plane, not a boat. [`MomentTree`] answers in about
//! the time it takes to walk the waterline; [`immerse_one_pass`] visits every
//! triangle and stays as the oracle that the tree is held to.
mod accumulator;
mod moments;
mod one_pass;
mod plane;
mod sums;
mod tree;

pub use moments::{Immersion, SecondMoments, Waterplane};
pub use one_pass::immerse_one_pass;
pub use plane::{PlaneAxes, WaterPlane};
pub use tree::MomentTree;
