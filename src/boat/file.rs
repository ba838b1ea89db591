//! The boat file as plain data: what its writer said, in SI numbers with their
//! spreads, before any geometry.
//!
//! | table | holds |
//! |---|---|
//! | top | `name` (text, optional), `extends` (another boat file, optional) |
//! | `[water]` | [`WaterGiven`]; fresh water without it |
//! | `[hull]` | [`Hull`], required |
//! | `[[part]]` | [`Part`], any number |
//! | `[[opening]]` | [`Opening`], any number |
//! | `[[item]]` | [`Item`], any number |
//! | `[[compartment]]` | [`Compartment`], any number; one, the whole inside, without it |
//! | `[[passage]]` | [`Passage`], any number |
//! | `[yardsticks]` | [`Yardsticks`] |
//!
//! **Conditions.** `[[condition]]` names a loading condition: what stands below it, as
//! `[[condition.item]]`, is laid over the file as by `extends` when it is asked for as
//! `boat.toml#name`.
//!
//! **Extending.** A file with `extends = "before.toml"` changes only what it
//! names. Tables merge key by key, lists of tables by `name`: a known name
//! overrides key by key, a new one is appended, `remove = true` beside a name
//! drops it. `extends = "before.toml#name"` starts from that file's loading condition.
//! Where the two files say one thing in different ways (a `mass` here,
//! a `skin` there) the extending file wins. Paths are relative to the folder of
//! the file they stand in.
//!
//! **Numbers** are texts with a unit (`"40 lb"`, `"3'2\""`, `"40 kg ± 2 kg"`).
//! Wherever a point stands, tape readings on the hull may: `{ from_stem = "1.2 m",
//! from_middle = "30 cm port", over_base = "25 cm" }`, see `boat/tape.rs`.
//! A bare number is taken as metres, kilograms, degrees or kg/m³ where that is
//! plain; keys marked "with its unit" refuse it.
use std::path::{Path, PathBuf};
use std::sync::Arc;

use schemars::JsonSchema;
use serde::Serialize;

use super::hull_frame::Lie;
use super::overlay::advise_names;
use super::place::Place;
use super::problem::BoatFileError;
use super::yardsticks::Yardsticks;
use super::{MeasuredWhole, conditions, extends};
use crate::files::{Disk, Files, Memory};
use crate::mesh::{MendRecipe, Prepared, TiltError};
use crate::numerics::Vec3;
use crate::quantity::Quantity;
use crate::water::Water;

mod built;
mod inside;
mod item;
mod item_gas;
mod keys;
mod layup;
mod limits;
mod measured;
mod mend;
mod part;
mod read;
mod shape;
mod shapes;
mod taped;
#[cfg(test)]
mod tests;
mod told;

pub use built::{
    Built, Bulkhead, Deck, Filling, Hinge, Lifted, Pocket, Skeg, Sponson, SponsonSection,
    SponsonSides,
};
pub use item_gas::{AirCylinder, Gives};
pub(crate) use keys::TAPE;
pub use mend::mend_toml;
pub use shape::{BoxShape, Cylinder, Foot, Outline, Shape, Wall};
pub(crate) use taped::read_tables;
pub use told::schema;

pub use inside::{Compartment, Extent, Passage, REST_OF_INSIDE, TankLiquid};

/// A point or three sizes along x, y, z, in metres, each with its spread.
pub type Point = [Quantity; 3];

/// The values of a point without their spreads, in metres.
#[must_use]
pub fn point_m(point: &Point) -> Vec3 {
    Vec3::new(point[0].value, point[1].value, point[2].value)
}

/// A boat as its file describes it, with everything it extends merged in.
#[derive(Debug, Clone, Serialize)]
pub struct BoatFile {
    /// The files read: the one named by the user first, then what it extends.
    pub files: Vec<PathBuf>,
    /// Where they come from, and the meshes that they name.
    #[serde(skip)]
    pub from: Arc<dyn Files>,
    /// `name`: what the boat is called, for headings.
    pub name: Option<String>,
    /// `[water]`: the water it floats in.
    pub water: Water,
    /// `[water]` as it was written.
    pub water_given: WaterGiven,
    /// Where `[water]` stands, if it does.
    pub water_place: Option<Place>,
    /// `[hull]`.
    pub hull: Hull,
    /// `[[part]]`, in file order, those of an extended file first.
    pub parts: Vec<Part>,
    /// `[[opening]]`, in the same order.
    pub openings: Vec<Opening>,
    /// `[[item]]`, in the same order.
    pub items: Vec<Item>,
    /// `[[compartment]]`, in the same order.
    pub compartments: Vec<Compartment>,
    /// `[[passage]]`, in the same order.
    pub passages: Vec<Passage>,
    /// `[yardsticks]`.
    pub yardsticks: Yardsticks,
    /// Where `[yardsticks]` stands, if it does.
    pub yardsticks_place: Option<Place>,
    /// Names of its `[[condition]]`s, in the same order; those of an extended file
    /// among them.
    pub conditions: Vec<String>,
}

impl BoatFile {
    /// A path of the disk as it was given, `boat.toml` or `boat.toml#condition`, as the
    /// file's own and the loading condition asked for.
    #[must_use]
    pub fn path_and_condition(path: &Path) -> (PathBuf, Option<String>) {
        conditions::asked_for(&Disk, path)
    }

    /// As [`Self::read`], the loading condition by its name.
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn read_condition(path: &Path, condition: Option<&str>) -> Result<Self, BoatFileError> {
        Self::read_wanted(path, condition, &disk())
    }

    /// Reads a boat file of the disk and all it extends. Meshes are only named, not
    /// opened, but for the hull's where a place is given by tape.
    ///
    /// # Errors
    /// Everything wrong with the files at once, each with its line and what to
    /// do. A file that cannot be read, or is not TOML, is the only problem told.
    pub fn read(path: &Path) -> Result<Self, BoatFileError> {
        Self::read_from(&disk(), path)
    }

    /// Reads the bytes of a boat file that stands alone: neither what it would extend nor
    /// its meshes are there. `name` is how messages call it.
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn from_bytes(name: &str, bytes: &[u8]) -> Result<Self, BoatFileError> {
        let mut alone = Memory::default();
        alone.add(name, bytes);
        let from: Arc<dyn Files> = Arc::new(alone);
        Self::read_from(&from, Path::new(name))
    }

    /// As [`Self::read`], from elsewhere. Every condition is looked through, whichever is
    /// asked for.
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn read_from(from: &Arc<dyn Files>, path: &Path) -> Result<Self, BoatFileError> {
        let (path, wanted) = conditions::asked_for(&**from, path);
        Self::read_wanted(&path, wanted.as_deref(), from)
    }

    fn read_wanted(
        path: &Path,
        wanted: Option<&str>,
        from: &Arc<dyn Files>,
    ) -> Result<Self, BoatFileError> {
        let mut problems = Vec::new();
        let Some(mut loaded) = extends::load(path, from, &mut problems) else {
            return Err(BoatFileError::new(problems));
        };
        let conditions = conditions::take(&mut loaded, &mut problems);
        let mut held = None;
        let mut boat = taped::read(&loaded, &mut held, &mut problems);
        advise_names(&loaded.root, &mut problems);
        let mut found = wanted.is_none();
        for condition in &conditions {
            if !problems.is_empty() {
                break;
            }
            let laid_over = conditions::laid_over(&loaded, condition, &mut problems);
            let mut changed = taped::read(&laid_over, &mut held, &mut problems);
            advise_names(&laid_over.root, &mut problems);
            if wanted == Some(condition.name.as_str()) {
                if let Some(changed) = &mut changed {
                    let name = changed.name.take();
                    changed.name = name.map(|name| format!("{name}, {}", condition.name));
                }
                boat = changed;
                found = true;
            }
        }
        if let Some(wanted) = wanted.filter(|_| !found && problems.is_empty()) {
            problems.push(conditions::unknown(wanted, &conditions, &loaded.place));
        }
        match boat {
            Some(mut boat) if problems.is_empty() => {
                boat.conditions = conditions
                    .into_iter()
                    .map(|condition| condition.name)
                    .collect();
                Ok(boat)
            }
            _ => Err(BoatFileError::new(problems)),
        }
    }
}

fn disk() -> Arc<dyn Files> {
    Arc::new(Disk)
}

/// `[water]`, one way of three; fresh water when the table is left out.
/// Its keys: [`crate::reference::boat_file`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum WaterGiven {
    /// `kind = "fresh"`.
    Fresh,
    /// `kind = "sea"`.
    Sea,
    /// `kind = "pool"`.
    Pool,
    /// `salinity` and `temperature`.
    Measured {
        /// g/kg.
        salinity: Quantity,
        /// °C.
        temperature: Quantity,
    },
    /// `density`, kg/m³.
    Density(Quantity),
}

/// `[hull]`: the moulded hull as scanned or modelled.
/// Its keys: [`crate::reference::boat_file`].
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Hull {
    /// `mesh`, resolved against the folder of the file that names it.
    pub mesh: PathBuf,
    /// `units` of the mesh.
    pub units: Option<MeshUnits>,
    /// `turn`.
    pub turn: Option<Turn>,
    /// `scale_to.length`, m, more than 0.
    pub scale_to_length: Option<Quantity>,
    /// `origin`, m.
    pub origin: Option<Point>,
    /// `mass` and `centre`, or `skin`.
    pub weight: Weight,
    /// `fill_under`, m, more than 0.
    pub fill_under: Option<Quantity>,
    /// `draught_marks`.
    pub draught_marks: Option<DraughtMarks>,
    /// `mend`.
    pub mend: Option<MendRecipe>,
    /// `measured`; none where a file nearer to the user weighs the hull anew.
    pub measured: Option<MeasuredWhole>,
    /// `scan_error`, m, 0 or more.
    pub scan_error: Option<Quantity>,
    /// `tilt_error`, degrees, each 0 or more.
    pub tilt_error: Option<TiltError>,
    /// `origin_error` along x, y, z, m, each 0 or more.
    pub origin_error: Option<[Quantity; 3]>,
    /// `area_share`, more than 0, at most 1.
    pub area_share: Option<Quantity>,
    /// Where `[hull]` stands.
    pub place: Place,
    /// Where the mesh is named.
    pub mesh_place: Place,
    /// The hull that tape readings of the file were held to, so that it is read once.
    #[serde(skip)]
    pub(super) made: MadeHull,
}

/// A hull that was read for its tape readings, and is kept: nothing that its file says.
#[derive(Debug, Clone, Default)]
pub(super) struct MadeHull(pub(super) Option<Arc<(Prepared, Lie)>>);

impl PartialEq for MadeHull {
    fn eq(&self, _other: &Self) -> bool {
        true
    }
}

/// Unit of the numbers in a mesh file, which does not say it itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum MeshUnits {
    /// `"m"`.
    #[serde(rename = "m")]
    Metre,
    /// `"cm"`.
    #[serde(rename = "cm")]
    Centimetre,
    /// `"mm"`.
    #[serde(rename = "mm")]
    Millimetre,
    /// `"in"`.
    #[serde(rename = "in")]
    Inch,
    /// `"ft"`.
    #[serde(rename = "ft")]
    Foot,
}

impl MeshUnits {
    /// Metres in one unit. The inch is 25.4 mm and the foot 12 inches by
    /// definition (international yard and pound agreement of 1959).
    #[must_use]
    pub fn metres(self) -> f64 {
        match self {
            Self::Metre => 1.0,
            Self::Centimetre => 0.01,
            Self::Millimetre => 0.001,
            Self::Inch => 0.0254,
            Self::Foot => 0.3048,
        }
    }
}

/// `turn`: right-handed turns in degrees about the fixed axes, x first, then y,
/// then z; an axis left out is not turned about.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Turn {
    /// `about_x`, degrees.
    pub about_x: Quantity,
    /// `about_y`, degrees.
    pub about_y: Quantity,
    /// `about_z`, degrees.
    pub about_z: Quantity,
}

/// `draught_marks`: where along the boat draughts are read, m.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DraughtMarks {
    /// x of the forward mark, m; more than `aft`.
    pub forward: Quantity,
    /// x of the aft mark, m.
    pub aft: Quantity,
}

/// What a hull or part weighs and how that is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// Neither `mass` nor `skin` is given: what it weighs is not known. A study
    /// that needs it refuses the hull and warns of a part.
    Unknown,
    /// `mass` and `centre`.
    Weighed {
        /// kg; more than 0 for a hull, 0 or more for a part.
        mass: Quantity,
        /// m; for a part `at` moves it, and `None` means the middle of its
        /// volume.
        centre: Option<Point>,
        /// `density` of its material, kg/m³, more than 0: what it displaces
        /// when water is on both sides of it.
        density: Option<Quantity>,
    },
    /// `skin`, or the skin that a `laminate` makes.
    Skin(Skin),
    /// `foam`; parts only.
    Foam(Foam),
}

/// `foam = { density, laminate }`: solid foam, and what it is glassed over with.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Foam {
    /// kg/m³, all through.
    pub density: Quantity,
    /// `laminate`: over what shows of it.
    pub glass: Option<Skin>,
}

/// `skin = { thickness, density }`: an even skin over the whole surface.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Skin {
    /// m, more than 0; the file must give its unit.
    pub thickness: Quantity,
    /// kg/m³, more than 0.
    pub density: Quantity,
    /// Whether it is of a laminate whose `resin` the file leaves out.
    pub resin_as_usual: bool,
}

/// `[[part]]`: something added to the hull or taken out of it.
/// Its keys: [`crate::reference::boat_file`].
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Part {
    /// `name`, unlike any other part's.
    pub name: String,
    /// `role`.
    pub role: Role,
    /// `mesh`, `box`, `cylinder`, `outline`, `wall`, or what is made from the hull.
    pub shape: Shape,
    /// `at`, m.
    pub at: Point,
    /// `mass`, `skin`, `laminate` or `foam`.
    pub weight: Weight,
    /// Whether the file says nothing of its weight, and `weight` is the usual laminate.
    pub laid_up_as_usual: bool,
    /// `covers`: the opening that a cover closes.
    pub covers: Option<String>,
    /// Where it stands in the file.
    pub place: Place,
}

/// `role` of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// The outer envelope grows by it.
    Add,
    /// The outer envelope loses it and is closed by new skin.
    Recess,
    /// The outer envelope grows by it, and it may stand clear of the hull.
    Attach,
    /// The envelope keeps its shape: a lid over an opening, which it closes.
    Cover,
}

/// `[[opening]]`: where water can come in.
/// Its keys: [`crate::reference::boat_file`].
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Opening {
    /// `name`, unlike any other opening's.
    pub name: String,
    /// `rim = [[x, y, z], …]`: one or more points of its edge, measured by tape,
    /// m. They stand instead of the curve that the mark leaves on the skin.
    pub rim: Option<Vec<Point>>,
    /// `box`, `cylinder`, `outline`, `mesh`, `wall` or `loop`; there where no `rim` is.
    pub mark: Option<Mark>,
    /// `state`; covered where a drain's plug is in.
    pub state: OpeningState,
    /// `plug`, of a drain.
    pub plug: Option<Plug>,
    /// `floods`.
    pub floods: Option<String>,
    /// `discharge`, more than 0, at most 1.
    pub discharge: Option<Quantity>,
    /// `height_error`, m, 0 or more.
    pub height_error: Option<Quantity>,
    /// Where it stands in the file.
    pub place: Place,
}

/// How an opening is marked.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// `box`: its curve on the skin is the rim.
    Box(BoxShape),
    /// `cylinder`: its curve on the skin is the rim.
    Cylinder(Cylinder),
    /// `outline`: its curve on the skin is the rim.
    Outline(Outline),
    /// `mesh`: a closed cutter, whose curve on the skin is the rim.
    Mesh {
        /// Resolved against the folder of the file that names it.
        path: PathBuf,
        /// Unit of its numbers.
        units: Option<MeshUnits>,
    },
    /// `circle` or `rectangle`: drawn on the skin.
    OnSkin(OnSkin),
    /// `wall`: the top edge of a closed wall, by the part's name.
    Wall(String),
    /// `loop = n`: the n-th open edge of the hull's mesh, counted from 1.
    Loop(usize),
}

/// `circle` or `rectangle`: an opening drawn on the skin about its middle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OnSkin {
    /// `centre`, m.
    pub centre: Point,
    /// `diameter`, or `length`, `height` and `corner`.
    pub outlined: Outlined,
    /// `along`: the axis that it is cut along, 0 for x; none, measured on the skin.
    pub along: Option<usize>,
}

/// What is drawn on the skin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outlined {
    /// A circle.
    Circle {
        /// `diameter`, m, more than 0.
        diameter: Quantity,
    },
    /// A rectangle.
    Rectangle {
        /// `length` along the boat, m, more than 0.
        length: Quantity,
        /// `height` up the skin, or across a deck, m, more than 0.
        height: Quantity,
        /// `corner`: the radius of its corners, m, 0 or more.
        corner: Quantity,
    },
}

/// `state` of an opening.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum OpeningState {
    /// Water comes in when the sill is under.
    Open,
    /// Closed watertight.
    Covered,
    /// Meant to let water out.
    Drain,
    /// Meant to let air through.
    Vent,
}

/// `plug` of a drain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Plug {
    /// Closed by it.
    In,
    /// Open.
    Out,
}

/// `[[item]]`: something carried.
/// Its keys: [`crate::reference::boat_file`].
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Item {
    /// `name`, unlike any other item's.
    pub name: String,
    /// `mass`, kg, more than 0.
    pub mass: Quantity,
    /// `at`, m.
    pub at: Point,
    /// `volume` or `density`.
    pub bulk: Option<Bulk>,
    /// `size`, m, each more than 0.
    pub size: Option<Point>,
    /// `sealed`.
    pub sealed: bool,
    /// `volume_at`, m.
    pub volume_at: Option<Point>,
    /// `cylinder`.
    pub cylinder: Option<AirCylinder>,
    /// `gas_volume` or `stiffness`.
    pub gives: Option<Gives>,
    /// `compartment`.
    pub compartment: Option<String>,
    /// `liquid`.
    pub liquid: Option<TankLiquid>,
    /// `person` and `head`.
    pub person: Option<Person>,
    /// Where it stands in the file.
    pub place: Place,
}

impl Item {
    /// Middle and half the size of the box that it fills, m; `None` without a `size`.
    pub(crate) fn box_m(&self) -> Option<(Vec3, Vec3)> {
        let half = point_m(self.size.as_ref()?) / 2.0;
        Some((point_m(&self.volume_at.unwrap_or(self.at)), half))
    }
}

/// Someone aboard: `person = true` and `head`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Person {
    /// `head`: top of the head over `at` along the craft's z, m, more than 0.
    pub head: Quantity,
}

/// What an item displaces when it gets wet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Bulk {
    /// `volume`, m³, more than 0.
    Volume(Quantity),
    /// `density`, kg/m³, more than 0; the volume is the mass over it.
    Density(Quantity),
}
