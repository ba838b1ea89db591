//! Studies: each one function that returns one plain serialisable struct,
//! which tables, JSON, CSV, report and viewer all show.
mod cautions;
mod float;
mod hydrostatics;
mod scan_band;
mod slice;

pub use cautions::CAUTIONS;
pub use float::{FloatResult, MassLine, OpeningResult, RestResult, UprightResult, float};
pub use hydrostatics::Hydrostatics;
pub use scan_band::ScanBand;
pub use slice::{SliceResult, slice};
