//! Walls round openings: a cap lifted, or a prism put on the rim of a hole.
use std::collections::{BTreeSet, HashMap, HashSet};

use nalgebra::{Matrix2, Vector2};

use super::{LONGEST_MITRE, WallFoot};
use crate::boat::envelope::{AreaMoment, Envelope, FaceSource, LaidUp};
use crate::boat::file::Wall;
use crate::boat::{PartSheet, SheetLies};
use crate::immersion::WaterPlane;
use crate::mesh::{Surface, ring_area, solids};
use crate::numerics::Vec3;

/// Sine of the angle under which two sides of a rim count as one line, and share of a face's
/// area that looks towards an opening from which it stands up there.
const STRAIGHT_ON: f64 = 1e-3;
const STANDS_UP: f64 = 0.5;
/// Share of a rim's length within which two corners are one.
const ONE_CORNER: f64 = 1e-4;
/// How far a wall round a hole in the skin reaches down into the hull, m: enough for a joint
/// that no rounding parts. Ours.
const INTO_M: f64 = 0.01;

/// How a wall round an opening goes up from its rim.
#[derive(Debug, Clone, Copy)]
pub(in crate::boat) struct Rise {
    pub(super) height_m: f64,
    /// Outward over up.
    pub(super) flare: f64,
    /// What is up where its top is level; none where the top follows the rim.
    pub(super) level: Option<Vec3>,
}

impl Rise {
    pub(in crate::boat) fn of(wall: &Wall) -> Self {
        let level = wall
            .level_at
            .map(|[heel, pitch]| WaterPlane::at_attitude(heel.value, pitch.value, 0.0).up);
        Self {
            height_m: wall.height.value,
            flare: wall.flare.value.to_radians().tan(),
            level,
        }
    }

    /// Whether it is as high all along and upright, so that its foot tells its area.
    fn is_plain(&self) -> bool {
        self.flare == 0.0 && self.level.is_none()
    }

    /// How high its level top lies over a rim, along what is up, m; none where it follows that.
    fn top_m(&self, rim: impl Iterator<Item = Vec3>) -> Option<f64> {
        let up = self.level?;
        let highest = rim.map(|p| up.dot(&p)).fold(f64::NEG_INFINITY, f64::max);
        Some(highest + self.height_m * up.z)
    }

    /// How a place of the rim goes up, m; `out` is where its sides move out by 1.
    fn lift(&self, top_m: Option<f64>, place: &Vec3, out: &Vec3) -> Vec3 {
        let way = Vec3::z() + out * self.flare;
        match (self.level, top_m) {
            (Some(up), Some(top_m)) => way * ((top_m - up.dot(place)) / up.dot(&way)),
            _ => way * self.height_m,
        }
    }
}

/// Outward at a corner of a ring that goes counter-clockwise seen from above, between the
/// corners before and after it, so far that the side before moves out by the first of `moves`
/// and the side after by the second.
fn outward([before, at, after]: [Vec3; 3], moves: [f64; 2]) -> Vec3 {
    let normal = |from: Vec3, to: Vec3| {
        let along = (to - from).xy();
        along
            .try_normalize(0.0)
            .map(|along| Vector2::new(along.y, -along.x))
    };
    let flat = match (normal(before, at), normal(at, after)) {
        (Some(one), Some(other)) => {
            let sides = Matrix2::from_rows(&[one.transpose(), other.transpose()]);
            let solved = sides
                .try_inverse()
                .map(|inverse| inverse * Vector2::from(moves));
            // Nearly in a line, both move as their mean.
            let is_bent = one.perp(&other).abs() > STRAIGHT_ON;
            let mean = (one + other) / (one + other).norm_squared().max(f64::MIN_POSITIVE);
            let together = mean * (moves[0] + moves[1]);
            solved.filter(|_| is_bent).unwrap_or(together)
        }
        (Some(one), None) => one * moves[0],
        (None, Some(other)) => other * moves[1],
        (None, None) => Vector2::zeros(),
    };
    let flat = flat.cap_magnitude(LONGEST_MITRE);
    Vec3::new(flat.x, flat.y, 0.0)
}

/// Puts a wall round what is left of a cap: that is lifted, and the strip between its old rim
/// and its new one closed by the wall's own faces. `None` where nothing of it is left.
pub(in crate::boat) fn raised(
    envelope: &Envelope,
    cap: FaceSource,
    rise: Rise,
    wall: FaceSource,
) -> Option<LaidUp> {
    let cap = Cap::of(envelope, cap);
    let top_m = rise.top_m(cap.rim.iter().map(|[v, _]| cap.place(*v)));
    let is_walled = cap.walled();
    let mut raised = envelope.clone();
    let surface = &mut raised.surface;
    let mut lifted: HashMap<u32, u32> = HashMap::new();
    let mut lift = |surface: &mut Surface, v: u32, by: Vec3| {
        surface.vertices.push(cap.place(v) + by);
        let number = u32::try_from(surface.vertices.len() - 1).unwrap_or(u32::MAX);
        lifted.insert(v, number);
    };
    let before: HashMap<u32, u32> = cap.rim.iter().map(|[a, b]| (*b, *a)).collect();
    let mut lifts_m = 0.0;
    for &[v, to] in &cap.rim {
        let from = before.get(&v).copied().unwrap_or(v);
        let moves = [[from, v], [v, to]].map(|side| f64::from(!is_walled.contains(&side)));
        let out = outward([from, v, to].map(|v| cap.place(v)), moves);
        let by = rise.lift(top_m, &cap.place(v), &out);
        lifts_m += by.z;
        lift(surface, v, by);
    }
    // Corners amid the cap go up as its rim does on the whole.
    let mean_m = lifts_m / cap.rim.len().max(1) as f64;
    for v in cap.amid() {
        lift(surface, v, Vec3::z() * mean_m);
    }
    for &face in &cap.faces {
        surface.faces[face] = envelope.surface.faces[face].map(|v| lifted[&v]);
    }
    let strip = surface.faces.len();
    for [a, b] in &cap.rim {
        let (over_a, over_b) = (lifted[a], lifted[b]);
        surface
            .faces
            .extend([[*a, *b, over_b], [*a, over_b, over_a]]);
    }
    let ends: Vec<Vec3> = cap.rim.iter().flatten().map(|v| cap.place(*v)).collect();
    let foot = WallFoot::round(&ends);
    let sheets = cap.rings().into_iter().map(|ring| {
        let places = |lifts: &HashMap<u32, u32>| -> Vec<Vec3> {
            let numbers = ring.iter().map(|v| lifts.get(v).copied().unwrap_or(*v));
            numbers.map(|v| surface.vertices[v as usize]).collect()
        };
        strip_round(&places(&HashMap::new()), &places(&lifted))
    });
    let sheets = sheets.map(|strip| PartSheet::outside("wall", SheetLies::Standing(strip)));
    let sheets: Vec<PartSheet> = sheets.collect();
    let strips = strip..surface.faces.len();
    let sheet = match rise.is_plain() {
        true => foot.sheet(rise.height_m),
        false => strips.map(|face| AreaMoment::of_face(surface, face)).sum(),
    };
    surface.drop_unused_vertices();
    raised.sources.resize(raised.surface.faces.len(), wall);
    (!foot.is_empty()).then_some(LaidUp {
        envelope: raised,
        sheet,
        sheets,
    })
}

/// What is left of a cap.
struct Cap<'a> {
    envelope: &'a Envelope,
    faces: Vec<usize>,
    /// The sides of its rim, as the cap goes round them, in the order of their corners.
    rim: Vec<[u32; 2]>,
}

impl<'a> Cap<'a> {
    fn of(envelope: &'a Envelope, cap: FaceSource) -> Self {
        let faces = envelope.numbers_of(cap);
        let rim = envelope.border_of(&faces);
        Self {
            envelope,
            faces,
            rim,
        }
    }

    fn place(&self, v: u32) -> Vec3 {
        self.envelope.surface.vertices[v as usize]
    }

    /// The corners of its rim in turn, ring by ring.
    fn rings(&self) -> Vec<Vec<u32>> {
        let mut next: HashMap<u32, u32> = self.rim.iter().map(|[a, b]| (*a, *b)).collect();
        let mut rings = Vec::new();
        for [first, _] in &self.rim {
            let mut ring = Vec::new();
            let mut at = *first;
            while let Some(onward) = next.remove(&at) {
                ring.push(at);
                at = onward;
            }
            if !ring.is_empty() {
                rings.push(ring);
            }
        }
        rings
    }

    /// Its corners off the rim.
    fn amid(&self) -> BTreeSet<u32> {
        let on_rim: HashSet<u32> = self.rim.iter().map(|[v, _]| *v).collect();
        let corners = self
            .faces
            .iter()
            .flat_map(|&f| self.envelope.surface.faces[f]);
        corners.filter(|v| !on_rim.contains(v)).collect()
    }

    /// Sides along which something stands up already and faces the opening, as the end of a
    /// deck does: a wall there goes straight up.
    fn walled(&self) -> HashSet<[u32; 2]> {
        let next: HashMap<u32, u32> = self.rim.iter().map(|[a, b]| (*a, *b)).collect();
        let mut walled = HashSet::new();
        for (face, [a, b, c]) in self.envelope.surface.faces.iter().enumerate() {
            for [b, a] in [[*a, *b], [*b, *c], [*c, *a]] {
                if next.get(&a) != Some(&b) {
                    continue;
                }
                let along = (self.place(b) - self.place(a)).xy().normalize();
                let normal = self.envelope.surface.face_normal(face).normalize();
                if normal.x * along.y - normal.y * along.x < -STANDS_UP {
                    walled.insert([a, b]);
                }
            }
        }
        walled
    }
}

/// A wall round a rim that is no cap.
pub(in crate::boat) struct Standing {
    /// From a little under the rim up to its top.
    pub(in crate::boat) solid: Surface,
    /// How many of its last faces are the top.
    pub(in crate::boat) tops: usize,
    /// Its sheet, on one side.
    pub(in crate::boat) sheet: AreaMoment,
    /// The same, from one upright seam round to itself.
    pub(in crate::boat) strip: Surface,
}

/// The strip between a ring and the one over it, from an upright seam at the ring's aftmost
/// corner round to itself.
pub(in crate::boat) fn strip_round(foot: &[Vec3], top: &[Vec3]) -> Surface {
    let first = (0..foot.len()).min_by(|&a, &b| foot[a].x.total_cmp(&foot[b].x));
    let from_seam = |ring: &[Vec3]| -> Vec<Vec3> {
        let (before, after) = ring.split_at(first.unwrap_or_default().min(ring.len()));
        let round = after.iter().chain(before).chain(after.first());
        round.copied().collect()
    };
    solids::strip_along(&from_seam(foot), &from_seam(top))
}

/// A wall round a rim that is no cap. `None` where the rim makes no ring.
pub(in crate::boat) fn standing_round(rim: &[Vec3], rise: Rise) -> Option<Standing> {
    let foot = WallFoot::round(rim);
    let length_m = foot.length_m();
    let mut ring: Vec<Vec3> = foot.points_m().collect();
    // Corners that the skin's edges left beside each other are one.
    ring.dedup_by(|b, a| (*b - *a).norm() < ONE_CORNER * length_m);
    while ring.len() > 1 && (ring[0] - ring[ring.len() - 1]).norm() < ONE_CORNER * length_m {
        ring.pop();
    }
    if ring.len() < 3 {
        return None;
    }
    if ring_area(&ring).z < 0.0 {
        ring.reverse();
    }
    let count = ring.len();
    let top_m = rise.top_m(ring.iter().copied());
    let top: Vec<Vec3> = (0..count)
        .map(|k| {
            let three = [
                ring[(k + count - 1) % count],
                ring[k],
                ring[(k + 1) % count],
            ];
            ring[k] + rise.lift(top_m, &ring[k], &outward(three, [1.0; 2]))
        })
        .collect();
    let sunk: Vec<Vec3> = ring.iter().map(|p| p - Vec3::z() * INTO_M).collect();
    let wall = solids::strip_through(&[&ring, &top]);
    Some(Standing {
        solid: solids::solid_through(&[&sunk, &ring, &top]),
        tops: count - 2,
        sheet: AreaMoment::of(&wall),
        strip: strip_round(&ring, &top),
    })
}
