//! Studies: each one function that returns one plain serialisable struct,
//! which tables, JSON, CSV, report and viewer all show.
mod cautions;
mod float;
mod hydrostatics;
mod margins;
mod righting;
mod slice;
mod start;

pub use cautions::CAUTIONS;
pub use float::{FloatResult, MassLine, OpeningResult, RestResult, UprightResult, float};
pub use hydrostatics::Hydrostatics;
pub use margins::{
    BEARINGS, KnockLine, LiftLine, LoadLine, MarginVerdict, MarginsResult, TiltLine,
    direction_in_words, margins,
};
pub use righting::{
    ArmCurve, ArmPoint, AttitudeLine, BarrierLine, FloodPoint, RightingResult, righting,
};
pub use slice::{SliceResult, slice};
pub use start::{StartingFile, starting_file};
