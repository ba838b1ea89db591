//! Where a loaded craft comes to rest.
//!
//! The craft holds a list of [`Displacers`] and a weight. One function serves
//! every study: the potential energy of craft and water together, smooth in
//! the attitude and in the level, whose minima are the resting attitudes,
//! whose slope is the righting moment and whose curvature is the metacentric
//! height.
mod displacers;
mod energy;
mod rest;
mod step;

pub use displacers::Displacers;
pub use energy::{Craft, EnergyAt, envelope_tree};
pub use rest::{EquilibriumError, Hold, Rest, find_rest, find_rest_from};
