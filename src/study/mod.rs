//! Studies: each one function that returns one plain serialisable struct,
//! which tables, JSON, CSV, report and viewer all show.
mod cautions;
mod float;
mod hydrostatics;
mod inspect;
mod mend;
mod scan_band;
mod slice;
mod start;

pub use cautions::CAUTIONS;
pub use float::{FloatResult, MassLine, OpeningResult, RestResult, UprightResult, float};
pub use hydrostatics::Hydrostatics;
pub use inspect::{
    Drawing, Grade, InspectResult, LooksLike, LoopLine, Polyline, ShellLine, inspect,
};
pub use mend::{MendResult, OpeningLine, mend_scan};
pub use scan_band::ScanBand;
pub use slice::{SliceResult, slice};
pub use start::{StartingFile, starting_file};
