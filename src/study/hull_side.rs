//! The outside of one side of the craft at a station, from the keel up to the
//! rim, as a tape is laid along it. Holds no study.
use serde::Serialize;

use super::hydrostatics::coordinates;
use crate::boat::{Boat, FaceSource, Role};
use crate::immersion::WaterPlane;
use crate::mesh::{Section, SectionLoop, Slicer};
use crate::numerics::Vec3;

/// Skin that runs inboard flatter than 45° for at least this far is a deck, and
/// its outer edge the rim; narrower ledges (a rub strake, a spray rail) are part
/// of the side, m. Ours, no source.
const LEAST_DECK_M: f64 = 0.06;

/// Stations of the drawing's outline.
const OUTLINE_STATIONS: u32 = 121;

/// Port or starboard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// +y.
    Port,
    /// −y.
    Starboard,
}

impl Side {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::Port, Self::Starboard];

    /// The sign of y there.
    #[must_use]
    pub fn sign(self) -> f64 {
        match self {
            Self::Port => 1.0,
            Self::Starboard => -1.0,
        }
    }

    /// "port", "starboard".
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Port => "port",
            Self::Starboard => "starboard",
        }
    }
}

/// What the tape is hooked to at its upper end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RimKind {
    /// Where the skin ends at an open edge.
    OpenEdge,
    /// The outer edge of a deck.
    DeckEdge,
    /// The edge of a recess that is cut into the side.
    Recess,
    /// The middle of the top: the side runs up to it.
    Middle,
}

/// What the tape starts from at its lower end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Foot {
    /// The skin at y = 0.
    Keel,
    /// A part's recess, by its number, cuts the bottom before the middle.
    Recess(u32),
    /// An open edge cuts the bottom before the middle.
    OpenEdge,
    /// The section does not reach the middle.
    OffMiddle,
}

/// One side of a station.
#[derive(Debug, Clone)]
pub(super) struct SidePath {
    /// Corners from the foot to the rim, boat frame, m; at least one.
    pub(super) points: Vec<Vec3>,
    pub(super) foot: Foot,
    pub(super) rim: RimKind,
    /// Whether the tape goes straight over a hole in the side.
    pub(super) bridges_a_hole: bool,
    /// Numbers of the outside appendages that the tape goes over.
    pub(super) over_attached: Vec<u32>,
    /// The closed curve of the section that it is a piece of.
    pub(super) of_loop: usize,
}

impl SidePath {
    /// The side's outer skin; `None` where the section has none there. It is
    /// followed from its outermost point down to y = 0 and up to the rim.
    pub(super) fn of(boat: &Boat, cut: &Section, side: Side) -> Option<Self> {
        let sign = side.sign();
        let source = |face: u32| boat.envelope.sources[face as usize];
        let is_side = |face: u32| match source(face) {
            FaceSource::Cap(_) => false,
            FaceSource::Hull => true,
            FaceSource::Part(n) => role(boat, n) == Some(Role::Add),
        };
        // Outermost on that side of all that is hull or was joined to it.
        let (_, of_loop, start) = cut
            .loops
            .iter()
            .enumerate()
            .flat_map(|(number, one)| {
                let runs = upward(one, side);
                let outer = runs.into_iter().enumerate();
                outer
                    .filter(|(_, (_, face))| is_side(*face))
                    .map(move |(run, ([a, b], _))| {
                        if sign * a.y >= sign * b.y {
                            (sign * a.y, number, run)
                        } else {
                            (sign * b.y, number, run + 1)
                        }
                    })
            })
            .filter(|(out, ..)| *out > 0.0)
            .reduce(|best, next| if next.0 > best.0 { next } else { best })?;
        let runs = upward(&cut.loops[of_loop], side);
        let count = runs.len();
        let start = start % count;
        let mut walk = Walk {
            boat,
            sign,
            runs: &runs,
            over_attached: Vec::new(),
        };
        let (mut points, foot) = walk.down(start);
        points.reverse();
        let (above, rim, bridges_a_hole) = walk.up(start);
        points.extend(above);
        let mut over_attached = walk.over_attached;
        over_attached.sort_unstable();
        over_attached.dedup();
        Some(Self {
            points,
            foot,
            rim,
            bridges_a_hole,
            over_attached,
            of_loop,
        })
    }

    /// Distance along the skin from the foot to each corner, m.
    pub(super) fn along_m(&self) -> Vec<f64> {
        let mut gone = 0.0;
        let mut along = vec![0.0];
        for pair in self.points.windows(2) {
            gone += (pair[1] - pair[0]).norm();
            along.push(gone);
        }
        along
    }

    /// From the foot to the rim along the skin, m.
    pub(super) fn length_m(&self) -> f64 {
        let pairs = self.points.windows(2);
        pairs.map(|pair| (pair[1] - pair[0]).norm()).sum()
    }

    /// Where a linear height is nought, from the foot up: distance along the
    /// skin, m, and place. Heights that are negative count as under.
    pub(super) fn crossings(&self, height: impl Fn(&Vec3) -> f64) -> Vec<(f64, Vec3)> {
        let along = self.along_m();
        let pairs = self.points.windows(2).enumerate();
        pairs
            .filter_map(|(number, pair)| {
                let (low, high) = (height(&pair[0]), height(&pair[1]));
                ((low < 0.0) != (high < 0.0)).then(|| {
                    let share = low / (low - high);
                    let length = along[number + 1] - along[number];
                    let place = pair[0] + (pair[1] - pair[0]) * share;
                    (along[number] + length * share, place)
                })
            })
            .collect()
    }

    /// The rim's point, m.
    pub(super) fn rim_m(&self) -> Vec3 {
        self.points.last().copied().unwrap_or_default()
    }

    /// The foot's point, m.
    pub(super) fn foot_m(&self) -> Vec3 {
        self.points.first().copied().unwrap_or_default()
    }
}

/// The craft from the side.
#[derive(Debug, Clone, Default)]
pub struct SideDrawing {
    /// Fore and after ends, lowest and highest of the envelope, m.
    pub box_m: [[f64; 3]; 2],
    /// At each of many stations: x, lowest and highest z, m.
    pub outline: Vec<[f64; 3]>,
    /// The rim, port then starboard: x and z, m.
    pub rims: [Vec<[f64; 2]>; 2],
    /// The waterline on the skin, port then starboard, m.
    pub waters: [Vec<[f64; 2]>; 2],
}

impl SideDrawing {
    /// The craft from both sides, with the line of a water plane on its skin;
    /// `slicer` is of its envelope.
    pub(super) fn of(boat: &Boat, slicer: &Slicer<'_>, plane: Option<&WaterPlane>) -> Self {
        let (lo, hi) = boat.envelope.surface.bounds().unwrap_or_default();
        let mut drawing = Self {
            box_m: [coordinates(lo), coordinates(hi)],
            ..Self::default()
        };
        for number in 0..OUTLINE_STATIONS {
            let share =
                (f64::from(number) / f64::from(OUTLINE_STATIONS - 1)).clamp(1e-4, 1.0 - 1e-4);
            let x = lo.x + (hi.x - lo.x) * share;
            let cut = slicer.section(0, x);
            let z = || {
                cut.loops
                    .iter()
                    .flat_map(|one| one.points.iter().map(|p| p.z))
            };
            if let Some((low, high)) = z().reduce(f64::min).zip(z().reduce(f64::max)) {
                drawing.outline.push([x, low, high]);
            }
            for (which, side) in Side::BOTH.into_iter().enumerate() {
                let Some(path) = SidePath::of(boat, &cut, side) else {
                    continue;
                };
                drawing.rims[which].push([x, path.rim_m().z]);
                if let Some(plane) = plane {
                    let crossings = path.crossings(|point| plane.height_m(point));
                    let highest = crossings.last().map(|(_, place)| [x, place.z]);
                    drawing.waters[which].extend(highest);
                }
            }
        }
        drawing
    }
}

/// The foremost point of the hull without parts, boat frame, m.
pub(super) fn stem_m(boat: &Boat) -> [f64; 3] {
    let envelope = &boat.envelope;
    let own = envelope
        .surface
        .faces
        .iter()
        .zip(&envelope.sources)
        .filter(|(_, source)| **source == FaceSource::Hull)
        .flat_map(|(face, _)| face.map(|v| envelope.surface.vertices[v as usize]));
    let foremost = own.max_by(|a, b| a.x.total_cmp(&b.x)).unwrap_or_default();
    // A part may hide the hull's own foremost point; the station counts from it
    // all the same.
    coordinates(Vec3::new(boat.hull_box_m.1.x, foremost.y, foremost.z))
}

/// What a part does to the envelope.
pub(super) fn role(boat: &Boat, part: u32) -> Option<Role> {
    boat.parts.get(part as usize).map(|part| part.role)
}

/// The runs of a closed curve in the order that climbs the given side.
fn upward(one: &SectionLoop, side: Side) -> Vec<([Vec3; 2], u32)> {
    match side {
        // Inside to the left, x at the eye: up on the port side.
        Side::Port => one.runs().collect(),
        Side::Starboard => {
            let mut runs: Vec<_> = one.runs().map(|([a, b], face)| ([b, a], face)).collect();
            runs.reverse();
            runs
        }
    }
}

struct Walk<'a> {
    boat: &'a Boat,
    sign: f64,
    runs: &'a [([Vec3; 2], u32)],
    /// Outside appendages that were met.
    over_attached: Vec<u32>,
}

impl Walk<'_> {
    /// Corners from the start of a run down to the foot, that start first.
    fn down(&mut self, start: usize) -> (Vec<Vec3>, Foot) {
        let count = self.runs.len();
        let mut points = vec![self.runs[start].0[0]];
        for back in 1..=count {
            let ([to, from], face) = self.runs[(start + count - back) % count];
            match self.boat.envelope.sources[face as usize] {
                FaceSource::Cap(_) => return (points, Foot::OpenEdge),
                FaceSource::Part(n) if role(self.boat, n) == Some(Role::Recess) => {
                    return (points, Foot::Recess(n));
                }
                source => self.note(source),
            }
            if self.sign * to.y <= 0.0 {
                points.push(self.at_middle(&from, &to));
                return (points, Foot::Keel);
            }
            points.push(to);
        }
        // All the way round without the middle: up to its lowest point only.
        let lowest = (0..points.len()).min_by(|&a, &b| points[a].z.total_cmp(&points[b].z));
        points.truncate(lowest.unwrap_or(0) + 1);
        (points, Foot::OffMiddle)
    }

    /// Corners from the start of a run up to the rim, that start left out.
    fn up(&mut self, start: usize) -> (Vec<Vec3>, RimKind, bool) {
        let count = self.runs.len();
        let mut points: Vec<Vec3> = Vec::new();
        let mut bridged = false;
        // Where skin began that may be a deck: how many corners stand before it,
        // and how far it has run.
        let mut deck: Option<(usize, f64)> = None;
        let cut_back = |mut points: Vec<Vec3>, deck: Option<(usize, f64)>, kind: RimKind| {
            if let Some((corners, _)) = deck {
                points.truncate(corners);
                return (points, RimKind::DeckEdge);
            }
            (points, kind)
        };
        for on in 0..count {
            let ([from, to], face) = self.runs[(start + on) % count];
            let inboard = self.sign * (from.y - to.y);
            let rise = to.z - from.z;
            match self.boat.envelope.sources[face as usize] {
                FaceSource::Cap(_) if rise > inboard.abs() => bridged = true,
                FaceSource::Cap(_) => {
                    let (points, kind) = cut_back(points, deck, RimKind::OpenEdge);
                    return (points, kind, bridged);
                }
                FaceSource::Part(n) if role(self.boat, n) == Some(Role::Recess) => {
                    let (points, kind) = cut_back(points, deck, RimKind::Recess);
                    return (points, kind, bridged);
                }
                source => self.note(source),
            }
            // Also skin that comes down again, as on the inner side of a lip.
            let is_flat = inboard > rise && (inboard > 0.0 || rise < 0.0);
            deck = match deck {
                _ if !is_flat => None,
                Some((corners, gone)) => Some((corners, gone + (to - from).norm())),
                None => Some((points.len(), (to - from).norm())),
            };
            if let Some((corners, gone)) = deck
                && gone >= LEAST_DECK_M
            {
                points.truncate(corners);
                return (points, RimKind::DeckEdge, bridged);
            }
            if self.sign * to.y <= 0.0 {
                points.push(self.at_middle(&from, &to));
                let (points, kind) = cut_back(points, deck, RimKind::Middle);
                return (points, kind, bridged);
            }
            points.push(to);
        }
        (points, RimKind::Middle, bridged)
    }

    fn note(&mut self, source: FaceSource) {
        if let FaceSource::Part(n) = source
            && role(self.boat, n) == Some(Role::Attach)
        {
            self.over_attached.push(n);
        }
    }

    fn at_middle(&self, from: &Vec3, to: &Vec3) -> Vec3 {
        let mut point = from + (to - from) * (from.y / (from.y - to.y));
        point.y = 0.0;
        point
    }
}
