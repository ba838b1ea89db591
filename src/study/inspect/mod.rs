//! What a mesh is worth as a hull, and what to do with it.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::hydrostatics::coordinates;
use crate::boat::{MeshInMetres, doubt_hull_size};
use crate::mesh::{
    ColumnAudit, DEFAULT_FILL_UNDER_M, DefectClass, DefectKind, Doubt, FlatEdge, Level, Moved,
    Posture, Prepared, Shell, Surface, Told, UnitGuess, examine, find_posture, flat_edges,
    hanging_lip_m, prepare, rebuild_may_help, rough_edges_m, section_segments, skin_noise_m,
    tell_holes, two_sides, without_floor,
};
use crate::numerics::Vec3;
use crate::progress::Progress;
use crate::quantity::Sentence;

pub use crate::mesh::HoleKind;

mod judge;
mod stand;

/// Shells that are listed one by one, the largest first.
const LISTED_SHELLS: usize = 8;
/// Loops that are listed one by one, the longest first.
const LISTED_LOOPS: usize = 40;
/// A loop of so few corners is a few missing triangles.
const FEW_CORNERS: usize = 6;
/// A loop of so many corners may have been cut on purpose…
const MANY_CORNERS: usize = 12;
/// …when it is as round as this (1 is a circle, 0.79 a square).
const ROUND: f64 = 0.6;
/// Sides that differ by more than this share of the diagonal at one place in ten may be
/// a half and nothing.
const MAY_BE_HALF_SHARE: f64 = 0.003;
/// A flat part of an edge goes on across gaps shorter than this, m.
const BREAK_M: f64 = 0.03;
/// Sections drawn in each view.
const SECTIONS: usize = 9;

/// An open edge that scatters this much about a smooth curve is told as rough, m: its
/// lowest point may then lie 2 mm too low. Corners that the curve rounds off read as up
/// to 0.6 mm on a clean edge.
const NOTICED_ROUGH_M: f64 = 8e-4;
/// Where the skin is rough by so much too, m, it is no corner that makes the edge so: its
/// lowest point lies 1 to 3 mm too low.
const ROUGH_SKIN_M: f64 = 4e-4;

/// Result of [`inspect`]. Points are `[x, y, z]` in metres in the frame of the
/// mesh.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct InspectResult {
    /// The mesh's name.
    pub name: String,
    /// Triangles as they came.
    pub triangles: usize,
    /// Vertices after welding.
    pub vertices: usize,
    /// The unit that its numbers were taken to be in, where that was guessed.
    pub unit_guess: Option<UnitGuess>,
    /// Sides of its box along x, y, z, m.
    pub size_m: [f64; 3],
    /// Area of its faces, m².
    pub area_m2: f64,
    /// Volume that it encloses once its openings are capped, m³; `None` when
    /// it cannot be closed.
    pub volume_m3: Option<f64>,
    /// How many shells it is made of.
    pub shell_count: usize,
    /// The largest of them.
    pub shells: Vec<ShellLine>,
    /// How many loops of open edges it has.
    pub loop_count: usize,
    /// The longest of them.
    pub loops: Vec<LoopLine>,
    /// Defects by class, open loops left out.
    pub defects: Vec<DefectClass>,
    /// How it lies, and how well its sides agree; `None` when that could not
    /// be told.
    pub posture: Option<Posture>,
    /// Why not.
    pub no_posture_because: Option<String>,
    /// How far port and starboard differ, mm: half of the surface by less than
    /// the first, nine tenths by less than the second, and the most.
    pub symmetry_error_mm: Option<[f64; 3]>,
    /// Share of the area that a floor under it takes, where there is one.
    pub floor_share: Option<f64>,
    /// How far what is narrow reaches down under a hull that is far wider at once over it,
    /// m: trestles that are one skin with it, or a deep keel; `None` where nothing does.
    pub stand_under_m: Option<f64>,
    /// Distance between the two sides of its skin, m, where both are there.
    pub skin_thickness_m: Option<f64>,
    /// How far its roughest open edge lies off a smooth curve, m: the standard
    /// deviation; `None` where none is rough or both sides of the skin are there.
    pub rough_edges_m: Option<f64>,
    /// How far the edge of a lip that turns down hangs under its crest at most, m, where one
    /// does.
    #[serde(skip)]
    hanging_lip_m: Option<f64>,
    /// Flat parts of the longest open edge, where the hull does not mirror itself: half of
    /// it may be missing, cut off in one of them.
    pub flat_edges: Vec<FlatEdge>,
    /// How far it can be trusted.
    pub grade: Grade,
    /// Why.
    #[serde(skip)]
    pub because: Vec<Because>,
    /// What to do next, in order.
    #[serde(skip)]
    pub next: Vec<Next>,
    /// Everything that reading and closing it had to forgive.
    pub mesh_doubts: Vec<Doubt>,
    /// Lines of a picture in three views.
    #[serde(skip)]
    pub drawing: Drawing,
    /// Smallest coordinates, m.
    #[serde(skip)]
    least_m: [f64; 3],
    /// Volume that is counted more than once or inside out, m³.
    #[serde(skip)]
    overlap_m3: f64,
    /// Whether making one skin of its pieces may cure that.
    #[serde(skip)]
    rebuild_may_help: bool,
}

/// Why a mesh has its grade.
#[derive(Debug, Clone, PartialEq)]
pub enum Because {
    /// Nothing wrong was found.
    NothingWrong,
    /// It cannot be closed.
    NotClosed,
    /// A doubt about it says so.
    Doubt(Sentence),
    /// Holes that may be defects.
    Holes {
        /// So many look like it.
        defects: usize,
        /// So many may be either.
        unclear: usize,
    },
    /// So many other defects.
    OtherDefects(usize),
    /// A floor is part of it.
    Floor {
        /// Share of the area.
        share: f64,
    },
    /// Something narrow stands under the hull.
    NarrowUnderneath {
        /// How high, m.
        under_m: f64,
    },
    /// Both sides of the skin are there.
    BothSides {
        /// How far apart, m.
        apart_m: f64,
    },
    /// Open edges are rough.
    RoughEdges {
        /// Standard deviation about a smooth curve, m.
        scatter_m: f64,
        /// How far too low their lowest point may lie, m.
        too_low_m: f64,
    },
    /// A lip turns down inside its opening.
    LipHangs {
        /// How far its edge hangs under its crest, m.
        under_m: f64,
    },
    /// The unit is a guess.
    UnitGuessed {
        /// Which.
        unit: String,
        /// How long that makes it, m.
        length_m: f64,
    },
    /// How it lies could not be told, and why.
    HowItLiesNotTold(String),
    /// Port and starboard differ too much at one place in ten.
    SidesDiffer {
        /// m.
        by_m: f64,
    },
    /// They differ more than a fair hull's.
    SidesDifferALittle {
        /// m.
        by_m: f64,
    },
    /// Its centre plane lies off y = 0.
    OffTheMiddle {
        /// m, to starboard negative.
        to_port_m: f64,
    },
    /// It lies off the boat frame.
    OffTheFrame {
        /// deg.
        by_deg: f64,
    },
}

/// What to do next with a mesh.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    /// Mend it elsewhere, or scan it again.
    MendInAnEditor,
    /// Look at holes that may be either.
    LookAtUnclearHoles,
    /// What `--rebuild` costs.
    RebuildTakesTime,
    /// `--rebuild` cannot help.
    CutAway,
    /// Cut off a trestle.
    CropTrestle {
        /// How high it stands, m.
        under_m: f64,
    },
    /// Give a length or the unit.
    MeasureLength,
    /// It can be used though it is not symmetric.
    UseAsItIs {
        /// Or mirrored in a flat cut.
        or_mirror: bool,
    },
    /// Half a hull is mirrored in the flat part with a number that nothing here tells.
    MirrorByNumber,
    /// Look which way is up.
    CheckUp,
    /// Look which end is the bow.
    CheckBow,
    /// Mend it with these options.
    Mend(Vec<&'static str>),
    /// Start a boat file.
    Init,
}

/// How far a mesh can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// Nothing against it.
    Good,
    /// Small things that mending in passing takes care of.
    UsableWithCare,
    /// Its numbers would be wrong.
    MendFirst,
    /// It has no definite inside.
    NotUsable,
}

impl Grade {
    /// The words shown to the user.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::UsableWithCare => "usable with care",
            Self::MendFirst => "mend first",
            Self::NotUsable => "not usable as it is",
        }
    }
}

/// One shell.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ShellLine {
    /// Its faces.
    pub triangles: usize,
    /// Whether it is closed.
    pub closed: bool,
    /// Volume inside, m³, of a closed one.
    pub volume_m3: Option<f64>,
    /// Sides of its box, m.
    pub size_m: [f64; 3],
    /// Middle of its box, m.
    pub middle_m: [f64; 3],
    /// How many others it lies inside of.
    pub inside_of: usize,
}

/// One loop of open edges.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct LoopLine {
    /// Its number, from 1, the longest first.
    pub number: usize,
    /// Length round it, m.
    pub length_m: f64,
    /// Its middle, m.
    pub middle_m: [f64; 3],
    /// Its corners.
    pub corners: usize,
    /// Its longer and its shorter side, m.
    pub long_m: f64,
    /// See there.
    pub broad_m: f64,
    /// Its lowest point over the hull's, m, upright; `None` where that is not known.
    pub lowest_m: Option<f64>,
    /// What it probably is on an upright hull; `None` where it is not known how
    /// the hull lies.
    pub probably: Option<HoleKind>,
    /// What it looks like.
    pub looks_like: LooksLike,
    /// Why.
    pub because: &'static str,
}

/// What a loop of open edges looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LooksLike {
    /// Something that water can come in by.
    Opening,
    /// A hole that only the scan has.
    Defect,
    /// It may be either.
    Unclear,
}

impl LooksLike {
    /// The word shown to the user.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Opening => "opening",
            Self::Defect => "defect",
            Self::Unclear => "look at it",
        }
    }
}

/// A line of a drawing: points with x, y, z in the drawn frame, m.
pub type Polyline = Vec<Vec3>;

/// Lines for a picture, turned upright where that could be told.
#[derive(Debug, Clone, Default)]
pub struct Drawing {
    /// Cuts across z, seen from above; across y, seen from the side; across x,
    /// seen from ahead.
    pub sections: [Vec<[Vec3; 2]>; 3],
    /// Each loop, and what it looks like.
    pub loops: Vec<(Polyline, LooksLike)>,
    /// The flat parts of the longest open edge, each in unbroken stretches.
    pub flat: Vec<Vec<Polyline>>,
    /// Smallest and largest coordinates, m.
    pub bounds: (Vec3, Vec3),
    /// Whether it was turned upright.
    pub upright: bool,
}

/// Looks a mesh over.
#[must_use]
pub fn inspect(name: &str, read: MeshInMetres, watch: &dyn Progress) -> InspectResult {
    let triangles = read.surface.faces.len();
    let vertices = read.surface.vertices.len();
    let (lo, hi) = read.surface.bounds().unwrap_or_default();
    let area_m2 = read.surface.area_m2();
    watch.stage("listing defects and closing");
    let prepared = prepare(read.surface, &read.options);
    let open = prepared.without_caps();
    watch.stage("looking for a floor");
    let floor = without_floor(&open);
    watch.stage("looking for both sides of the skin");
    let hull = floor.as_ref().map_or(&open, |(rest, ..)| rest);
    let skin_thickness_m = two_sides(hull);
    let (hanging_lip_m, rough_edges_m) = match skin_thickness_m {
        None => (hanging_lip_m(hull), noticed_roughness_m(hull)),
        Some(_) => (None, None),
    };
    watch.stage("looking for the centre plane");
    let examined = &prepared.examination;
    let told = Told {
        from_floor: floor.as_ref().map(|(.., way)| *way),
        both_sides: skin_thickness_m.is_some(),
        ..Told::default()
    };
    let edges = match &floor {
        Some((rest, ..)) => examine(rest).loops,
        None => prepared.rims(),
    };
    let (posture, no_posture_because) = match find_posture(hull, &edges, &told, &Level::Floor) {
        Ok(posture) => (Some(posture), None),
        Err(error) => (None, Some(error.to_string())),
    };
    let on_a_stand = posture.as_ref().filter(|_| floor.is_none());
    let stand_under_m = on_a_stand.and_then(|posture| stand::stand_under_m(hull, posture));
    let flat_edges = if posture.as_ref().is_none_or(|at| is_lopsided(hull, at)) {
        flat_edges(hull, &edges, &told)
    } else {
        Vec::new()
    };
    watch.stage("drawing");
    let loops = loop_lines(&prepared, hull, (hi - lo).max(), posture.as_ref());
    let mut drawing = draw(&open, &prepared, &loops, posture.as_ref());
    drawing.mark_flat(&flat_edges, posture.as_ref());
    let mut mesh_doubts = read.doubts;
    mesh_doubts.extend(prepared.doubts.iter().cloned());
    mesh_doubts.extend(doubt_hull_size(hull, read.metres_a_unit));
    let mut result = InspectResult {
        name: name.to_owned(),
        triangles,
        vertices,
        unit_guess: read.unit_guess,
        size_m: coordinates(hi - lo),
        area_m2,
        volume_m3: prepared.closed.then(|| prepared.surface.signed_volume_m3()),
        shell_count: examined.shells.len(),
        shells: shell_lines(&examined.shells),
        loop_count: loops.len(),
        loops,
        defects: examined
            .classes()
            .into_iter()
            .filter(|class| class.kind != DefectKind::OpenLoop)
            .collect(),
        symmetry_error_mm: posture.as_ref().map(symmetry_error_mm),
        posture,
        no_posture_because,
        floor_share: floor.as_ref().map(|(_, share, _)| *share),
        stand_under_m,
        skin_thickness_m,
        rough_edges_m,
        hanging_lip_m,
        flat_edges,
        grade: Grade::Good,
        because: Vec::new(),
        next: Vec::new(),
        mesh_doubts,
        drawing,
        least_m: coordinates(lo),
        rebuild_may_help: examined.audit.as_ref().is_some_and(ColumnAudit::is_doubled)
            && rebuild_may_help(&prepared.surface),
        overlap_m3: examined.audit.as_ref().map_or(0.0, |audit| {
            audit.doubled_volume_m3 + audit.inside_out_volume_m3
        }),
    };
    judge::judge(&mut result);
    result.loops.truncate(LISTED_LOOPS);
    result
}

/// How far its roughest open edge lies off a smooth curve, where that is worth telling.
fn noticed_roughness_m(hull: &Surface) -> Option<f64> {
    rough_edges_m(hull).filter(|rough| {
        *rough > NOTICED_ROUGH_M || *rough > ROUGH_SKIN_M && skin_noise_m(hull) > ROUGH_SKIN_M
    })
}

/// How far port and starboard differ: half of it, nine tenths, the most.
fn symmetry_error_mm(posture: &Posture) -> [f64; 3] {
    let plane = &posture.plane;
    [plane.median_m, plane.nine_tenths_m, plane.worst_m].map(|m| 1e3 * m)
}

/// Whether its sides differ so much that it may be a half and nothing.
fn is_lopsided(hull: &Surface, posture: &Posture) -> bool {
    let (lo, hi) = hull.bounds().unwrap_or_default();
    posture.plane.nine_tenths_m > MAY_BE_HALF_SHARE * (hi - lo).norm()
}

/// The loops of open edges, numbered, on a hull whose longest side is `long_m`; with what
/// each probably is where it is known how the hull lies.
fn loop_lines(
    prepared: &Prepared,
    hull: &Surface,
    long_m: f64,
    posture: Option<&Posture>,
) -> Vec<LoopLine> {
    let size = (prepared.surface.bounds().unwrap_or_default(), long_m);
    let mut loops: Vec<LoopLine> = (1..)
        .zip(&prepared.loops)
        .map(|(number, capped)| {
            let mut line = loop_line(&prepared.surface, &capped.rim, capped.length_m, size);
            line.number = number;
            line
        })
        .collect();
    if let Some(posture) = posture {
        tell_loops(&mut loops, prepared, hull, posture);
    }
    loops
}

/// Adds what each loop probably is on the upright hull.
fn tell_loops(loops: &mut [LoopLine], prepared: &Prepared, hull: &Surface, posture: &Posture) {
    let upright = upright(posture);
    let rims: Vec<Vec<Vec3>> = prepared
        .loops
        .iter()
        .map(|capped| {
            let places = capped.rim.iter();
            places
                .map(|v| upright.point(&prepared.surface.vertices[*v as usize]))
                .collect()
        })
        .collect();
    let mut placed = hull.clone();
    placed.drop_unused_vertices();
    upright.apply(&mut placed);
    let bounds = placed.bounds().unwrap_or_default();
    for (line, hole) in loops.iter_mut().zip(tell_holes(&rims, bounds)) {
        line.lowest_m = Some(hole.lowest_m);
        line.probably = Some(hole.probably);
        if hole.probably == HoleKind::ScanHole && line.looks_like == LooksLike::Opening {
            line.looks_like = LooksLike::Unclear;
            line.because = "does not open upward";
        }
    }
}

/// How points move into the upright frame.
fn upright(posture: &Posture) -> Moved {
    Moved {
        turn: posture.turn,
        scale: 1.0,
        shift_m: -posture.origin_m,
    }
}

fn shell_lines(shells: &[Shell]) -> Vec<ShellLine> {
    let mut largest: Vec<&Shell> = shells.iter().collect();
    largest.sort_by(|a, b| b.diagonal_m().total_cmp(&a.diagonal_m()));
    largest
        .into_iter()
        .take(LISTED_SHELLS)
        .map(|shell| ShellLine {
            triangles: shell.faces,
            closed: shell.closed,
            volume_m3: shell.closed.then_some(shell.volume_m3),
            size_m: coordinates(shell.hi - shell.lo),
            middle_m: coordinates(shell.centre()),
            inside_of: shell.inside_of.len(),
        })
        .collect()
}

/// A loop of a hull whose box and length are given.
fn loop_line(
    surface: &Surface,
    rim: &[u32],
    length_m: f64,
    (bounds, hull_length_m): ((Vec3, Vec3), f64),
) -> LoopLine {
    let points: Vec<Vec3> = rim.iter().map(|v| surface.vertices[*v as usize]).collect();
    let middle = points.iter().sum::<Vec3>() / points.len().max(1) as f64;
    let doubled_area = (0..points.len())
        .map(|k| (points[k] - middle).cross(&(points[(k + 1) % points.len()] - middle)))
        .sum::<Vec3>()
        .norm();
    // A circle of circumference l has the area l²/4π.
    let roundness = std::f64::consts::TAU * doubled_area / (length_m * length_m);
    let (looks_like, because) = if length_m < DEFAULT_FILL_UNDER_M {
        (LooksLike::Defect, "no longer round than a plug would close")
    } else if length_m > hull_length_m {
        (LooksLike::Opening, "runs round most of the hull")
    } else if rim.len() <= FEW_CORNERS {
        (LooksLike::Defect, "a few missing triangles")
    } else if rim.len() >= MANY_CORNERS && roundness >= ROUND {
        (LooksLike::Opening, "round and cleanly edged")
    } else {
        (LooksLike::Unclear, "ragged or long")
    };
    let hole = tell_holes(&[points], bounds);
    LoopLine {
        number: 0,
        length_m,
        middle_m: coordinates(middle),
        corners: rim.len(),
        long_m: hole[0].long_m,
        broad_m: hole[0].broad_m,
        lowest_m: None,
        probably: None,
        looks_like,
        because,
    }
}

fn draw(
    open: &Surface,
    prepared: &Prepared,
    loops: &[LoopLine],
    posture: Option<&Posture>,
) -> Drawing {
    let moved = posture.map_or_else(Moved::default, upright);
    let mut placed = open.clone();
    placed.drop_unused_vertices();
    moved.apply(&mut placed);
    let bounds = placed.bounds().unwrap_or_default();
    // Views from above, the side and ahead are of cuts across z, y and x.
    let sections = [2, 1, 0].map(|axis: usize| {
        let (lo, hi) = (bounds.0[axis], bounds.1[axis]);
        (0..SECTIONS)
            .flat_map(|k| {
                let share = (k as f64 + 0.5) / SECTIONS as f64;
                section_segments(&placed, axis, lo + (hi - lo) * share)
            })
            .collect()
    });
    Drawing {
        sections,
        loops: prepared
            .loops
            .iter()
            .zip(loops)
            .map(|(capped, line)| {
                let points = capped.rim.iter().chain(capped.rim.first());
                let points = points.map(|v| moved.point(&prepared.surface.vertices[*v as usize]));
                (points.collect(), line.looks_like)
            })
            .collect(),
        flat: Vec::new(),
        bounds,
        upright: posture.is_some(),
    }
}

impl Drawing {
    /// Adds the flat parts of an edge, broken where the edge leaves them.
    fn mark_flat(&mut self, edges: &[FlatEdge], posture: Option<&Posture>) {
        let moved = posture.map_or_else(Moved::default, upright);
        self.flat = edges
            .iter()
            .map(|edge| {
                let points: Vec<Vec3> = edge.points.iter().map(|p| moved.point(p)).collect();
                let broken = |a: &Vec3, b: &Vec3| (b - a).norm() < BREAK_M;
                points.chunk_by(broken).map(<[Vec3]>::to_vec).collect()
            })
            .collect();
    }
}
