//! Studies: each one function that returns one plain serialisable struct,
//! which tables, JSON, CSV, report and viewer all show.
mod calibrate;
mod curves;
mod dive;
mod drill;
mod float;
mod flooded;
mod foam;
mod inspect;
mod margins;
mod mend;
mod of_studies;
mod place;
mod righting;
mod section;
mod shared;
mod sill;
mod slice;
mod spread;
mod swamp;
mod tape;
mod template;
mod trapped;
mod whereabouts;

pub use crate::boat::{Band as Limits, Ceiling, HullFrame, Verdict, Wish};
pub use crate::equilibrium::KnockState;
pub use crate::mesh::{Doubt, DoubtKind};
pub use calibrate::{
    ANGLE_DEG, CalibrateError, CalibrateNote, CalibrateResult, Cost, FloatMark, InclineMove,
    MarkPlaces, Measured, Measurement, Push, ResidualLine, SCALE_KG, Scale, TAPE_M, Tipped,
    TwoScales, calibrate, metacentric_height_from_moves,
};
pub use curves::{CurveLine, CurvesResult, curves};
pub use dive::{
    AirLine, BagLine, BalanceResult, CardLine, CylinderState, DiveOptions, DiveResult, EndPiece,
    FOAM_KG_M3, Hangs, LEAD_KG_M3, LEAST_GAP_M, Material, Room, StateGap, ThingLine,
    WANTED_LIFT_KG, WayLine, WayState, dive,
};
pub use drill::{
    Border, BorderPoint, BorderStation, ClassAreas, DrillCase, DrillDrawing, DrillError,
    DrillResult, HoleClass, OpeningClass, SideBorders, drill,
};
pub use float::{
    FloatResult, MassLine, OpeningResult, OpeningVerdict, OutsideLine, RestResult, UprightResult,
    float, opening_at,
};
pub use flooded::{
    AirKept, FloodableSpace, FloodedAir, FloodedCase, FloodedEnd, FloodedRest, FloodedResult,
    FloodedStep, Reaches, USUAL_PERMEABILITY_SPREAD, flooded,
};
pub(crate) use foam::{END_UNDER_M, LEVEL_HEEL_DEG};
pub use foam::{
    FlotationRule, FoamError, FoamFace, FoamPlace, FoamResult, FoamWish, PULL_SHARE, RuleAbout,
    RuleGot, Swamped, foam,
};
pub use inspect::{
    Because, Drawing, Grade, HoleKind, InspectResult, LooksLike, LoopLine, Next, Polyline,
    ShellLine, inspect,
};
pub use margins::{
    EdgeDoes, EdgeLoadLine, FloodsFirst, KnockLine, LiftLine, LoadEnd, LoadLine, MarginAbout,
    MarginVerdict, MarginsResult, PersonLine, TiltLine, WATER_CARRIED_ALONG, direction_in_words,
    margins, persons_capacity_of_edge_load,
};
pub use mend::{MendResult, OpeningLine, mend_scan};
pub use of_studies::comparison::{
    CompareResult, CompareRow, CraftState, EndDoes, FloodedRow, Judgement, OpeningRow, Outcome,
    SpaceEnd, StepEffect, StepLine, StepState, Steps, Way, compare,
};
pub use of_studies::first_boat::{
    AnsweredHole, AnsweredItem, AnsweredOpening, AnsweredState, Answers, ByTape, HullWeight,
    first_boat,
};
pub(crate) use of_studies::list::FOAM_UP_TO_KG_M3;
pub use of_studies::list::{
    ListError, ListKind, ListLine, ListResult, ProposedBy, ProposedFor, ProposedLine, Stuff,
    WorkPlace, list,
};
pub use of_studies::report::{
    About, Assumption, Before, FailedStudy, ReportResult, ReportVerdict, report,
};
pub use of_studies::start::{FromScan, StartingFile, starting_file};
pub use place::{LevelPlace, PlaceCell, PlaceOptions, PlaceResult, place};
pub use righting::{
    ArmCurve, ArmPoint, ArmSide, AttitudeLine, BarrierLine, FloodPoint, RightingResult, TurnsOver,
    Vanishing, righting,
};
pub use section::{
    HalfBreadth, LinesDrawing, SectionCurve, SectionLine, SectionOptions, SectionResult,
    SectionWater, section,
};
pub use shared::answer::{Answer, AsItLies};
pub use shared::attitude::Lies;
pub(crate) use shared::cautions::LEAD_FROM_KG_M3;
pub use shared::cautions::{Caution, HeadsThen, LeftOut, When, WithoutVolume};
pub use shared::fills::NoneOpen;
pub use shared::foam_sheets::FoamSheet;
pub use shared::heads::HeadLine;
pub use shared::hull_side::{RimKind, Side, SideDrawing};
pub use shared::hydrostatics::{Hydrostatics, draughts_m};
pub use shared::named::{NamedError, NoSuchName};
pub use shared::panel::{BevelLine, PanelFace, PanelLine, PanelOptions, Skins};
pub use shared::picture::{
    CraftPicture, RimSeen, Shape, ThingSeen, View, outline_from_above, outline_from_side,
};
pub use shared::planes::{MOST_PLANES, Planes};
pub use shared::scan_band::ScanBand;
pub use shared::yardstick::Yardstick;
pub(crate) use shared::yardstick::{LEAST_DECK_M, MOST_HEEL_DEG};
pub use sill::{RimLies, SillOptions, SillResult, SillRow, sill};
pub use slice::{SliceResult, slice};
pub use spread::{Band, CauseLine, MarginBand, SpreadLine, SpreadResult, TakenAsExact, spread};
pub use swamp::{
    DISCHARGE_COEFFICIENT, EndSill, EndsLying, FilmFrame, Keeper, Knocked, RoomAir, Start,
    SwampAir, SwampBunged, SwampEnd, SwampError, SwampLine, SwampResult, SwampedSpace, film, swamp,
};
pub use tape::{DrownedRim, TapeError, TapeMark, TapeResult, TapeStation, tape};
pub use template::{
    Line, Ordinate, OutBy, Piece, RunOf, TemplateBevel, TemplateError, TemplateOutline,
    TemplateResult, TemplateRun, template, template_of_opening, template_of_part,
};
pub use trapped::{DEEPER_M, PocketLine, TrappedResult, trapped};
pub use whereabouts::{Asked, WherePlace, WhereResult, whereabouts};
