//! Indexed surfaces and everything that makes one trustworthy.
//!
//! A mesh comes in as loose facets ([`read_mesh`]), is welded into a
//! [`Surface`] in metres ([`weld`], [`guess_unit`]), and is examined, mended,
//! turned outward and capped ([`prepare`]). [`examine`] lists every defect;
//! [`audit`] and [`volume_changed`] check volumes by a way that does not
//! depend on how faces are joined.
mod border;
mod cap;
mod capping;
mod change;
mod check;
mod clean;
mod columns;
mod doubt;
mod exchange;
mod face_tree;
mod glb;
mod hole;
mod inset;
mod loops;
mod mend;
mod nesting;
mod not_seen;
mod obj;
mod order;
mod pieces;
mod placement;
mod ply;
mod prepare;
mod raw;
mod read;
mod ring;
mod runs;
mod samples;
mod sections;
pub mod solids;
mod stl;
mod stl_text;
mod surface;
mod survey;
mod symmetry;
mod topology;
mod touch;
mod units;
mod unroll;
mod weld;
mod zip;

pub use border::{border_loops, unmatched_edges};
pub(crate) use cap::{ring_area, triangulate_ring};
pub use change::change_between;
pub use check::{
    Defect, DefectClass, DefectKind, Element, Examination, FLAT_HEIGHT_SHARE, Loop, SPECK_SHARE,
    Shell, examine, examine_numbered,
};
pub use columns::{
    AUDIT_COLUMNS, AUDIT_NOTICE_SHARE, ColumnAudit, Columns, Combine, DEFAULT_CELL_M, Grid,
    MAX_COLUMNS, Place, audit, volume_changed,
};
pub(crate) use doubt::at as place_in_text;
pub use doubt::{Doubt, DoubtKind, MeshError};
pub(crate) use exchange::{from_library, to_library};
pub(crate) use face_tree::nearest_on_triangle;
pub use hole::{Hole, HoleKind, tell_holes};
pub use inset::{FlatLoop, common, inset};
pub use mend::{
    Crop, Facing, FlatEdge, Level, MendError, MendRecipe, MendStep, Mended, MeshSummary, Mirror,
    Posture, PostureError, RebuildError, StoodOn, TiltError, Told, find_facing, find_posture,
    flat_edges, hanging_lip_m, mend, part_below, rebuild_may_help, rough_edges_m, skin_noise_m,
    two_sides, without_floor,
};
pub use not_seen::{Carried, NotSeen};
pub use pieces::{falls_apart, pieces};
pub use placement::{Moved, NoLength, Placement, length_of};
pub use prepare::{CappedLoop, DEFAULT_FILL_UNDER_M, PrepareOptions, Prepared, prepare};
pub use raw::{FacetNumbers, RawMesh};
pub use read::{MOST_BYTES, is_named_like_a_mesh, is_utf16, parse_mesh, read_mesh};
pub use runs::{FaceRuns, Reach};
pub use sections::{Section, SectionLoop, Slicer, section_segments};
pub use stl::{MAX_FACETS, parse_stl, write_mended_stl, write_stl};
pub use surface::Surface;
pub(crate) use surface::sum_in_blocks;
pub use symmetry::{MirrorPlane, mirror_plane_near};
pub use touch::{NearSurface, lies_on};
pub use units::{Confidence, UnitGuess, guess_unit};
pub use unroll::{Unrolled, unroll};
pub use weld::{LOOSE_WELD_SHARE, Welded, weld};
