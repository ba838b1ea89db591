//! The outside of one side of a hull or craft at a station, from the keel up to the
//! rim, as a tape is laid along it.
use schemars::JsonSchema;
use serde::Serialize;

use super::{Envelope, FaceSource, PartAboard, Role};
use crate::mesh::{Section, SectionLoop};
use crate::numerics::Vec3;

/// Skin that runs inboard flatter than 45° for at least this far is a deck, and
/// its outer edge the rim; narrower ledges (a rub strake, a spray rail) are part
/// of the side, m. Ours, no source.
const LEAST_DECK_M: f64 = 0.06;

/// A run of a section shorter than this says nothing of how the skin runs, m.
const SLIVER_M: f64 = 1e-7;

/// Port or starboard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
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
pub(crate) enum Foot {
    /// The skin at y = 0.
    Keel,
    /// A part's recess, by its number, cuts the bottom before the middle.
    Recess(u32),
    /// An open edge cuts the bottom before the middle.
    OpenEdge,
    /// The section does not reach the middle.
    OffMiddle,
}

/// What each face of a surface is part of.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Skinned<'a> {
    /// A craft's envelope and its parts.
    Craft(&'a Envelope, &'a [PartAboard]),
    /// A hull alone, its caps from this face on.
    Hull(usize),
}

impl Skinned<'_> {
    fn source(&self, face: u32) -> FaceSource {
        match self {
            Self::Craft(envelope, _) => envelope.sources[face as usize],
            Self::Hull(first_cap) if (face as usize) < *first_cap => FaceSource::Hull,
            Self::Hull(_) => FaceSource::Cap(0),
        }
    }

    fn role(&self, part: u32) -> Option<Role> {
        match self {
            Self::Craft(_, parts) => parts.get(part as usize).map(|part| part.role),
            Self::Hull(_) => None,
        }
    }
}

/// One side of a station.
#[derive(Debug, Clone)]
pub(crate) struct SidePath {
    /// Corners from the foot to the rim, boat frame, m; at least one.
    pub(crate) points: Vec<Vec3>,
    pub(crate) foot: Foot,
    pub(crate) rim: RimKind,
    /// Whether the tape goes straight over a hole in the side.
    pub(crate) bridges_a_hole: bool,
    /// Numbers of the outside appendages that the tape goes over.
    pub(crate) over_attached: Vec<u32>,
    /// The closed curve of the section that it is a piece of.
    pub(crate) of_loop: usize,
}

/// Of closed curves that reach out equally far but for rounding, m, the lower is the side:
/// a deck lies on it.
const SAME_BREADTH_M: f64 = 1e-6;

impl SidePath {
    /// The side's outer skin; `None` where the section has none there. It is
    /// followed from its outermost point down to y = 0 and up to the rim.
    pub(crate) fn of(skin: &Skinned<'_>, cut: &Section, side: Side) -> Option<Self> {
        let sign = side.sign();
        let is_side = |face: u32| match skin.source(face) {
            FaceSource::Cap(_) => false,
            FaceSource::Hull => true,
            FaceSource::Part(n) => skin.role(n) == Some(Role::Add),
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
            .reduce(|best, next| {
                let off = next.0 - best.0;
                let is_level = next.1 != best.1 && off.abs() <= SAME_BREADTH_M;
                let is_better = if is_level {
                    lowest(&cut.loops[next.1]) < lowest(&cut.loops[best.1])
                } else {
                    off > 0.0
                };
                if is_better { next } else { best }
            })?;
        let runs = upward(&cut.loops[of_loop], side);
        let count = runs.len();
        let start = start % count;
        let mut walk = Walk {
            skin,
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
    pub(crate) fn along_m(&self) -> Vec<f64> {
        let mut gone = 0.0;
        let mut along = vec![0.0];
        for pair in self.points.windows(2) {
            gone += (pair[1] - pair[0]).norm();
            along.push(gone);
        }
        along
    }

    /// From the foot to the rim along the skin, m.
    pub(crate) fn length_m(&self) -> f64 {
        let pairs = self.points.windows(2);
        pairs.map(|pair| (pair[1] - pair[0]).norm()).sum()
    }

    /// Where a linear height is nought, from the foot up: distance along the
    /// skin, m, and place. Heights that are negative count as under.
    pub(crate) fn crossings(&self, height: impl Fn(&Vec3) -> f64) -> Vec<(f64, Vec3)> {
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
    pub(crate) fn rim_m(&self) -> Vec3 {
        self.points.last().copied().unwrap_or_default()
    }

    /// The foot's point, m.
    pub(crate) fn foot_m(&self) -> Vec3 {
        self.points.first().copied().unwrap_or_default()
    }
}

fn lowest(one: &SectionLoop) -> f64 {
    one.points.iter().map(|p| p.z).fold(f64::INFINITY, f64::min)
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
    skin: &'a Skinned<'a>,
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
            match self.skin.source(face) {
                FaceSource::Cap(_) => return (points, Foot::OpenEdge),
                FaceSource::Part(n) if self.skin.role(n) == Some(Role::Recess) => {
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
            match self.skin.source(face) {
                FaceSource::Cap(_) if rise > inboard.abs() => bridged = true,
                FaceSource::Cap(_) => {
                    let (points, kind) = cut_back(points, deck, RimKind::OpenEdge);
                    return (points, kind, bridged);
                }
                FaceSource::Part(n) if self.skin.role(n) == Some(Role::Recess) => {
                    let (points, kind) = cut_back(points, deck, RimKind::Recess);
                    return (points, kind, bridged);
                }
                source => self.note(source),
            }
            // A cut through corners of the mesh leaves runs that rounding alone directs.
            if (to - from).norm() < SLIVER_M && self.sign * to.y > 0.0 {
                points.push(to);
                continue;
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
            && self.skin.role(n) == Some(Role::Attach)
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
