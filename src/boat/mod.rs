//! The boat: its file, its outer envelope with parts joined and cut, its
//! openings and everything that weighs.
use std::path::Path;
use std::sync::Arc;

use crate::files::Files;
use crate::immersion::MomentTree;
use crate::mesh::{Doubt, MeshError, TiltError};
use crate::numerics::Vec3;
use crate::water::Water;

mod builder;
mod built;
mod bulkheads;
mod changes;
mod compartment;
mod conditions;
mod envelope;
mod extends;
pub(crate) mod fields;
pub mod file;
mod guessed;
mod hull_frame;
mod hull_mesh;
mod joining;
mod load;
mod mass_entry;
mod mass_errors;
mod near;
mod on_skin;
mod opening;
mod outside;
mod overlay;
mod part_aboard;
mod parts;
mod person;
mod place;
mod plausible;
mod problem;
mod rim;
mod sense;
mod shaped;
mod side;
mod tape;
mod tree;
mod under_water;
mod walls;
mod ways;
mod winding;
mod yardsticks;

pub use builder::BoatBuilder;
pub use built::CannotBuild;
pub use bulkheads::Bulkheads;
pub use changes::{Change, ChangeKind, Changed, changes, with_change};
pub use compartment::{Compartment, Content, Passage, Tank};
pub use envelope::{AreaMoment, BooleanError, Envelope, FaceSource, Operation};
pub(crate) use file::REST_OF_INSIDE;
pub use file::{BoatFile, OpeningState, Role};
pub use guessed::LeftOpen;
pub use hull_frame::{HullFrame, Lie, placement_toml};
pub use hull_mesh::{HullError, HullPlan, MeshInMetres, read_mesh};
pub(crate) use mass_errors::lower_factor;
pub use mass_errors::{AboardThen, MassError, MeasuredWhole};
pub(crate) use on_skin::axes_of;
pub use on_skin::{NotOnSkin, rim_on_skin};
pub use opening::{ConvexMark, Opening, OpeningOver, lowest_along};
pub use outside::{Outside, OutsideFinder};
pub use part_aboard::{FoamBlock, PartAboard, PartSheet, SheetLies};
pub use person::{DENSITY_WITHIN, Person};
pub use place::Place;
pub use plausible::EnclosesNothing;
pub use plausible::HULL_LENGTH_M;
pub(crate) use plausible::doubt_hull_size;
pub use problem::{BoatFileError, Fault, Problem};
pub(crate) use rim::edges_of_rim;
pub use sense::{Given, Unlikely, doubt_fill_under};
pub use shaped::BoatMaker;
pub(crate) use side::{Foot, SidePath, Skinned};
pub use side::{RimKind, Side};
pub use tape::{AsTaped, HullOnTape, Readings, Tape, TapeFault, Taped};
pub use under_water::{AirStore, GivesWay, UnderWater};
pub use walls::WallFoot;
pub use yardsticks::{Band, Ceiling, Verdict, Wish, Yardsticks};

/// A boat ready to be studied.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Boat {
    /// What it is called.
    pub name: String,
    /// The water it floats in.
    pub water: Water,
    /// Stated ± of its density, kg/m³.
    pub water_spread_kg_m3: f64,
    /// Its outer surface, closed, caps last.
    pub envelope: Arc<Envelope>,
    /// The same surface ready to be asked about any water plane; its caps have no
    /// skin.
    pub tree: Arc<MomentTree>,
    /// How many faces of the envelope are skin; those after them are caps.
    pub skin_faces: usize,
    /// Where water can come in.
    pub openings: Vec<Opening>,
    /// The spaces inside; at least one where there is an envelope.
    pub compartments: Vec<Compartment>,
    /// Holes in the bulkheads between them.
    pub passages: Vec<Passage>,
    /// Liquids in tanks of their own, on top of `masses`.
    pub tanks: Vec<Tank>,
    /// What was added to the hull and cut from it, in the file's order.
    pub parts: Vec<PartAboard>,
    /// How many of them were joined with the whole hull: what lies near those did not do.
    pub whole_joins: usize,
    /// Everything that weighs, parts included, but loose liquids.
    pub masses: Vec<MassEntry>,
    /// What of the items with a volume stands outside the envelope.
    pub outside: Vec<Outside>,
    /// Whether the file says what the bare hull weighs.
    pub has_hull_mass: bool,
    /// What was measured of all aboard together, and how well.
    pub measured: Option<MeasuredWhole>,
    /// Where draughts are read.
    pub marks: DraughtMarks,
    /// Smallest and largest coordinates of the hull without parts, m.
    pub hull_box_m: (Vec3, Vec3),
    /// What tape readings are counted from.
    pub frame: HullFrame,
    /// The limits that margins are held against.
    pub yardsticks: Yardsticks,
    /// Stated error of the scanned surface, ± m.
    pub scan_error_m: Option<f64>,
    /// How far the frame that a scan gave the hull may be turned from its own, and its
    /// origin lie off.
    pub tilt_error: Option<TiltError>,
    /// Everything that may make the geometry wrong.
    pub doubts: Vec<Doubt>,
    /// What the boat file leaves open.
    pub left_open: Vec<LeftOpen>,
}

/// One thing that weighs.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct MassEntry {
    /// What it is.
    pub name: String,
    /// What table of the boat file it is of.
    pub kind: MassKind,
    /// Its mass, kg.
    pub mass_kg: f64,
    /// Stated ± of that mass, kg.
    pub spread_kg: f64,
    /// Its centre of gravity, boat frame, m.
    pub centre_m: Vec3,
    /// Stated ± of that centre along x, y, z, m.
    pub centre_spread_m: Vec3,
    /// Volume of its material, which no water can fill, m³; `None` where the
    /// file does not say.
    pub solid_m3: Option<f64>,
    /// The faces of the envelope that it is the skin of.
    pub skin_of: Option<FaceSource>,
    /// How it behaves under water.
    pub under_water: UnderWater,
    /// Who it is, where the file marks it as a person.
    pub person: Option<Person>,
    /// The number of the compartment that it stands in, where that stays dry when
    /// the craft is dived: there it adds its mass only.
    pub dry_in: Option<usize>,
}

/// What of a boat file weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MassKind {
    /// The hull.
    Hull,
    /// A part on it.
    Part,
    /// An item aboard.
    Item,
}

/// Stations at which draughts are read, boat frame, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DraughtMarks {
    /// x of the forward mark; the hull's fore end unless the file says.
    pub forward_x_m: f64,
    /// x of the after mark; the hull's after end unless the file says.
    pub aft_x_m: f64,
    /// Height of the base line that draughts count from: the hull's lowest
    /// point.
    pub base_z_m: f64,
}

/// Why a boat could not be made of its file. Every message names the place
/// and says what to do.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum BoatError {
    /// The file itself is wrong.
    #[error(transparent)]
    File(#[from] BoatFileError),
    /// A mesh could not be read.
    #[error("{place}: the mesh of {what}: {source}{}", advice(source))]
    Mesh {
        /// "the hull" or the part.
        what: String,
        /// Where it is named.
        place: Place,
        /// Why.
        source: MeshError,
    },
    /// A mesh that was read is no solid.
    #[error("{place}: the mesh of {what}: {source}")]
    NoSolid {
        /// "the hull" or the part.
        what: String,
        /// Where it is named.
        place: Place,
        /// Why not.
        source: EnclosesNothing,
    },
    /// A scan that could not be mended by its recipe.
    #[error("{place}: [hull.mend]: {source}")]
    Mend {
        /// Where the mesh is named.
        place: Place,
        /// Why not.
        source: Box<crate::mesh::MendError>,
    },
    /// The hull has no extent along x to scale by.
    #[error("{place}: `scale_to` needs a hull that is long along x; turn it first with `turn`")]
    NoLength {
        /// Where the hull stands.
        place: Place,
    },
    /// A part could not be joined or cut.
    #[error("{place}: part \"{name}\": {source}")]
    Part {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// Why.
        source: BooleanError,
    },
    /// An opening's cutter could not be used.
    #[error("{place}: opening \"{name}\": its cutter: {source}")]
    Cutter {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// Why.
        source: BooleanError,
    },
    /// A compartment could not be cut out of the inside.
    #[error("{place}: compartment \"{name}\": {source}")]
    Compartment {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// Why.
        source: BooleanError,
    },
    /// A cover names an opening that is not there.
    #[error(
        "{place}: part \"{name}\" covers \"{wanted}\", but there is no opening of that name (there is: {})",
        openings.join(", ")
    )]
    CoversNothing {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// The opening it names.
        wanted: String,
        /// Those that there are.
        openings: Vec<String>,
    },
    /// A compartment's bulkheads leave nothing of the inside.
    #[error(
        "{place}: compartment \"{name}\": nothing of the hull's inside lies there; check its bulkheads (x grows forward from the origin, bare numbers are metres)"
    )]
    NoSuchSpace {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
    },
    /// Two compartments claim the same room.
    #[error(
        "{place}: compartment \"{name}\" takes {litres:.1} L that the ones before it in the file already have; move a bulkhead so that they only touch"
    )]
    SpacesOverlap {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// How much, L.
        litres: f64,
    },
    /// A bulkhead off the hull, beside compartments that claim the same room.
    #[error(
        "{place}: compartment \"{name}\": its bulkhead at {axis} {at_m:.2} m (`{key}`) does not cut the hull, which lies between {low_m:.2} and {high_m:.2} m there, so it claims room of other compartments; check its figure and unit"
    )]
    BulkheadOffHull {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// The key that says where the bulkhead is.
        key: &'static str,
        /// Along which axis.
        axis: char,
        /// Where it is, m.
        at_m: f64,
        /// Where the hull begins, m.
        low_m: f64,
        /// Where it ends, m.
        high_m: f64,
    },
    /// More water in a compartment than it holds.
    #[error(
        "{place}: compartment \"{name}\": `fill` is {litres:.1} L, but it holds {holds_litres:.1} L; give less, or `flooded = true` if it is open to the water"
    )]
    OverFull {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// The fill, L.
        litres: f64,
        /// What it holds, L.
        holds_litres: f64,
    },
    /// An opening leads into a sealed compartment.
    #[error(
        "{place}: opening \"{name}\" leads into compartment \"{sealed}\", which is `sealed`: cover it with state = \"covered\", move it clear, or take the compartment's `sealed` out"
    )]
    IntoSealed {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// The compartment.
        sealed: String,
    },
    /// Something goes to what the compartments leave of the inside, which is nothing.
    #[error(
        "{place}: {owner} says \"{REST_OF_INSIDE}\", but the compartments leave nothing of the inside: name one of them (\"{}\")",
        spaces.join("\", \"")
    )]
    NothingLeftInside {
        /// Its table and name, with the key.
        owner: String,
        /// Where it stands.
        place: Place,
        /// The compartments.
        spaces: Vec<String>,
    },
    /// An opening that cannot be drawn on the skin.
    #[error("{place}: opening \"{name}\": {source}")]
    NotOnSkin {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// Why not.
        source: NotOnSkin,
    },
    /// A part that the hull does not give.
    #[error("{place}: part \"{name}\": {source}")]
    CannotBuild {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// Why not.
        source: CannotBuild,
    },
    /// A wall whose top is to be level at rest, and nobody has found how the craft lies.
    #[error(
        "{place}: part \"{name}\": its top is to be level at rest (`level_at_rest`), and how the craft lies is not found yet: give the file to `equilibrium::with_level_walls` first"
    )]
    WaitsForRest {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
    },
    /// A wall goes round an opening that has no edge to stand on.
    #[error(
        "{place}: part \"{name}\": there is no edge \"{wanted}\" that faces up to put a wall round: `round` takes the name of an [[opening]] that is an open edge (`loop = n`), the top of the `wall` of a part before this one, or a hole in a deck; for one by `rim` alone, or in an upright side, give the wall's `foot`"
    )]
    NothingToRaise {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// The opening it names.
        wanted: String,
    },
    /// An opening names a wall that is not there.
    #[error(
        "{place}: opening \"{name}\": there is no closed wall \"{wanted}\" (there is: {})",
        if walls.is_empty() { "none".to_owned() } else { walls.join(", ") }
    )]
    NoSuchWall {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// The part it names.
        wanted: String,
        /// The closed walls that there are.
        walls: Vec<String>,
    },
    /// An opening's mark does not meet the envelope.
    #[error(
        "{place}: opening \"{name}\": its mark does not cut the surface of the craft; move it so that it crosses the skin where the hole is{hint}"
    )]
    MissesTheSurface {
        /// What the likely slip is, where there is one.
        hint: String,
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
    },
    /// Places and sizes that could only mislead.
    #[error("{}", in_lines(.0))]
    CanNotBe(Vec<Unlikely>),
    /// `loop = n` where the hull has fewer open edges.
    #[error(
        "{place}: opening \"{name}\": `loop = {number}`, but the hull has {} open edge(s) long enough to be openings{}",
        lengths_m.len(),
        lengths_in_text(lengths_m, size.as_deref())
    )]
    NoSuchLoop {
        /// Its name.
        name: String,
        /// Where it stands.
        place: Place,
        /// The number asked for.
        number: usize,
        /// How long each open edge is, m.
        lengths_m: Vec<f64>,
        /// What is odd about the hull's size, where it is.
        size: Option<String>,
    },
}

impl Boat {
    /// Reads a boat file, its meshes and all it extends. `boat.toml#name` takes
    /// it with the changes of its loading condition of that name.
    ///
    /// # Errors
    /// Everything that keeps the boat from being made, with its place; what
    /// only may make numbers wrong is kept in `doubts`.
    pub fn load(path: &Path) -> Result<Self, BoatError> {
        load::load(path)
    }

    /// As [`Self::load`], from elsewhere than the disk.
    ///
    /// # Errors
    /// As [`Self::load`].
    pub fn load_from(from: &Arc<dyn Files>, path: &Path) -> Result<Self, BoatError> {
        load::make(path, &BoatFile::read_from(from, path)?)
    }

    /// The boat of a file already read from `path`, or of what someone made of
    /// it; its meshes are read anew.
    ///
    /// # Errors
    /// As [`Self::load`].
    pub fn of_file(path: &Path, file: &BoatFile) -> Result<Self, BoatError> {
        load::make(path, file)
    }

    /// Mass of everything aboard, kg.
    #[must_use]
    pub fn mass_kg(&self) -> f64 {
        self.masses.iter().map(|entry| entry.mass_kg).sum()
    }

    /// Centre of gravity of everything aboard, boat frame, m; the origin when
    /// nothing weighs.
    #[must_use]
    pub fn centre_of_gravity_m(&self) -> Vec3 {
        let mass = self.mass_kg();
        if mass > 0.0 {
            let moment = |entry: &MassEntry| entry.centre_m * entry.mass_kg;
            self.masses.iter().map(moment).sum::<Vec3>() / mass
        } else {
            Vec3::zeros()
        }
    }

    /// Where a point of the hull is, in words: "port side, aft".
    #[must_use]
    pub fn place_in_words(&self, point: &Vec3) -> String {
        self.in_words(point, false)
    }

    /// The same of a point that has its like on the other side: "either side, aft".
    #[must_use]
    pub fn place_on_both_sides(&self, point: &Vec3) -> String {
        self.in_words(point, true)
    }

    /// Where an opening's sill is, in words, for an up: on either side where both sides'
    /// lowest points of its rim are as low.
    #[must_use]
    pub fn sill_in_words(&self, opening: &Opening, up: &Vec3) -> String {
        /// Heights that differ by less are one, m: a tape's finest division. Ours.
        const SAME_M: f64 = 5e-4;
        let sill = opening.sill_m(up);
        let (lo, hi) = self.hull_box_m;
        let middle = f64::midpoint(lo.y, hi.y);
        let across = (sill.y - middle).abs();
        // The other side's lowest point lies as far out, but for a tenth of the breadth.
        let mirrored = |point: &&Vec3| {
            let off = (point.y - middle) * (middle - sill.y).signum();
            (off - across).abs() < (hi.y - lo.y) / 10.0
        };
        let others = opening.rim.iter().filter(mirrored);
        let lowest = others.map(|point| up.dot(point)).reduce(f64::min);
        let as_low = lowest.is_some_and(|height| height - up.dot(&sill) < SAME_M);
        self.in_words(&sill, as_low)
    }

    /// Where a point is, in words, and perhaps its like on the other side.
    fn in_words(&self, point: &Vec3, on_both_sides: bool) -> String {
        // Thirds of the length; a tenth of the half breadth counts as middle.
        let (lo, hi) = self.hull_box_m;
        let along = (point.x - lo.x) / (hi.x - lo.x);
        let across = (point.y - f64::midpoint(lo.y, hi.y)) / ((hi.y - lo.y) / 2.0);
        let side = match across {
            y if y.abs() > 0.1 && on_both_sides => "either side",
            y if y > 0.1 => "port side",
            y if y < -0.1 => "starboard side",
            _ => "on the centre line",
        };
        let end = match along {
            x if x < 1.0 / 3.0 => "aft",
            x if x > 2.0 / 3.0 => "forward",
            _ => "amidships",
        };
        format!("{side}, {end}")
    }
}

fn advice(error: &MeshError) -> &'static str {
    match error {
        MeshError::Io { .. } => {
            "; `mesh` is taken as relative to the folder of the boat file it stands in"
        }
        _ => "",
    }
}

fn in_lines(all: &[Unlikely]) -> String {
    let lines: Vec<String> = all.iter().map(Unlikely::to_string).collect();
    lines.join("\n")
}

fn lengths_in_text(lengths_m: &[f64], size: Option<&str>) -> String {
    // In another unit a short edge is a hole of the scan.
    if let Some(size) = size {
        return format!(": {size}");
    }
    if lengths_m.is_empty() {
        return ": its mesh is closed; mark the opening with `rim`, `box` or `cylinder`".into();
    }
    let list: Vec<String> = (1..)
        .zip(lengths_m)
        .map(|(number, length)| format!("{number}: {length:.2} m round"))
        .collect();
    format!(" ({})", list.join(", "))
}
