//! Indexed surfaces and everything that makes one trustworthy.
mod surface;

pub use surface::Surface;
