//! The viewer: see the water meet the cut, and move things until it does not.
//!
//! [`ViewerState`] holds what is shown and what was changed; it has no window
//! and is tested without one. Numbers come from the kernel over the full
//! envelope; only drawing uses [`DisplayMesh`]. The window, the panel and the
//! pictures need the cargo feature `viewer`.
mod answer;
mod background;
mod beside;
mod cut;
mod display_mesh;
mod edits;
mod ghost;
mod grip;
mod hand;
mod history;
mod holed;
mod inside;
mod lying;
mod made;
mod marks;
mod overlaid;
mod picked;
mod quadric;
mod readings;
mod scan;
mod shades;
mod sheet;
mod shown;
mod state;
mod stowed;
mod subject;
mod tool;
mod view;
mod world;
mod worst;

#[cfg(feature = "viewer")]
mod camera;
#[cfg(feature = "viewer")]
mod drawn_boat;
#[cfg(feature = "viewer")]
mod overlay;
#[cfg(feature = "viewer")]
mod overlay_hand;
#[cfg(feature = "viewer")]
mod paint;
#[cfg(feature = "viewer")]
mod panel;
#[cfg(feature = "viewer")]
mod picture;
#[cfg(feature = "viewer")]
mod scan_window;
#[cfg(feature = "viewer")]
mod scene;
#[cfg(feature = "viewer")]
mod vulkan;
#[cfg(feature = "viewer")]
mod window;

pub use answer::{sentence, to_the_water, weaker};
pub use beside::{HalfSize, Layout, apart, both, larger};
pub use cut::{Cut, cut, section};
pub use display_mesh::{DISPLAY_TRIANGLES, DisplayMesh};
pub use edits::{Edits, ItemEdit};
pub use ghost::Ghost;
pub use grip::{Ray, along_the_hull};
pub use history::History;
pub use holed::holed;
pub use inside::{Room, WaterInside, standing, swamping};
pub use made::{Figure, Is, Kind, LEAST_POINTS, Made};
pub use marks::{Label, Sign, labels, labels_before, metacentre_m, opening_text, title};
pub use picked::Picked;
pub use readings::Readings;
pub use scan::{Mended, ScanState, Step, Wanted};
pub use shades::{Shades, TEXELS};
pub use sheet::{REACH, REACH_BESIDE, Sheet, inside_sheet, water_sheet};
pub use shown::{Asks, Attitude, Before, Held, SectionPlane, Show};
pub use state::{Job, ViewerState};
pub use stowed::{Cargo, Pose, Stowed};
pub use subject::{Subject, SubjectError};
pub use tool::{Chosen, Grip, Handle, Tool};
pub use view::View;
pub use world::World;
pub use worst::{LeastKnock, WorstLean, least_knock, worst_lean};

#[cfg(feature = "viewer")]
pub use panel::{BAND_HEIGHT, Desk, NotSaved, PANEL_WIDTH, panel, scan_panel};
#[cfg(feature = "viewer")]
pub use picture::{PictureError, picture_png};
#[cfg(feature = "viewer")]
pub use vulkan::{NoGraphics, require_graphics};
#[cfg(feature = "viewer")]
pub use window::{Opened, run_window};
