//! Where a loaded craft comes to rest.
//!
//! The craft holds a list of [`Displacers`] and a weight. One function serves
//! every study: the potential energy of craft and water together, smooth in
//! the attitude and in the level, whose minima are the resting attitudes,
//! whose slope is the righting moment and whose curvature is the metacentric
//! height.
mod afloat;
mod air;
mod brim;
mod displacers;
mod energy;
mod hunt;
mod inflow;
mod knock;
mod landscape;
mod lean;
mod lean_near;
mod level_walls;
mod liquid;
mod looks;
mod neutral;
mod open_sea;
mod passes;
mod rest;
mod rose;
mod settle;
mod sheet;
mod sills;
mod sphere;

pub use afloat::{Afloat, Made};
pub use air::{AirAt, KeptAir};
pub use displacers::Displacers;
pub use energy::{
    Craft, EnergyAt, lacks_m3, liquid_of, outside_of, space_of, space_without, wholly_flooded,
    without,
};
pub use inflow::{DISCHARGE_COEFFICIENT, Facing, Flow, Inlet};
pub use knock::{Crossed, Knock, KnockState, knock, knock_near, least_knock_near};
pub use landscape::angle;
pub use lean::{Across, Lean, Leaned, lean_to};
pub use lean_near::KnownLeans;
pub use level_walls::{LevelWallsError, with_level_walls};
pub use liquid::{Liquid, StandsIn};
pub use open_sea::{AirIs, FloodStep, OpenSea, Outcome, SpaceAir, Way, is_upright};
pub use rest::{EquilibriumError, Hold, Rest, find_rest, find_rest_from, find_rest_near};
pub use rose::{
    BEARINGS, GoesOver, LeanedOver, LeastLeans, TiltToFlood, bearing_deg, lean_over, least_lean,
    least_leans, rose, tilt_to_flood,
};
pub use settle::{
    Settled, other_side, settle, settle_if_afloat, settle_worse, settle_worse_if_afloat,
};
pub use sheet::Sheet as OpeningSheet;
pub use sills::{Sill, Sills};
pub use sphere::{Pass, RestingAttitude, SphereMap, map_sphere};
