//! Openings drawn on the skin by their middle and size: measured along the skin, as a paper
//! pattern laid on it is, or cut along an axis, as a hole saw goes.
use std::collections::HashMap;
use std::f64::consts::TAU;

use nalgebra::Vector2;

use super::SheetLies;
use super::envelope::Envelope;
use super::file::{Hinge, Lifted, OnSkin, Outlined, point_m};
use super::opening::ConvexMark;
use crate::mesh::{FaceRuns, Surface, nearest_on_triangle, solids};
use crate::numerics::{Vec3, least_and_most};

/// Points round a circle, all of them on it: the chords between them lie at most 0.0075 % of
/// its radius inside it. A quarter as many lie on each side of a rectangle.
const DIRECTIONS: u32 = 256;
/// How the skin at a pattern's edge faces its middle, at least: turned by no more than 60°.
/// Ours.
const LEAST_FACING: f64 = 0.5;
/// How far from the skin its middle may be given, m: the tape's error, and a scan's. Ours.
const OFF_SKIN_M: f64 = 0.03;

/// Skin nearer than this along an axis is that of the middle itself, m.
const SAME_SKIN_M: f64 = 1e-6;
/// Share of the way to the middle of its face by which a middle is moved into that.
const INTO_FACE: f64 = 1e-9;

/// A corner of a panel's pattern nearer to its hinge than this share of half the panel is on it.
const AT_HINGE: f64 = 1e-9;

/// How often the way that a pattern faces is taken anew, over what it then covers.
const FACED_ANEW: usize = 2;
/// A lifted panel rises by so many times as much as its skin is off flat, at least: turned up
/// by less, a flat panel would dip under the skin about it. Ours.
const LEAST_RISE: f64 = 3.0;

/// How far a lifted panel's sides reach into the hull, m: enough for a joint that no rounding
/// parts. Ours.
const INTO_M: f64 = 0.01;

/// Why there is no such opening.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NotOnSkin {
    /// The middle is no place on the skin.
    #[error("its `centre` lies {off_mm:.0} mm off the skin: {}", back_to_skin(*up_mm))]
    OffSkin {
        /// How far, mm.
        off_mm: f64,
        /// Where the skin near it lies about level: how much higher that is straight above or
        /// below, mm.
        up_mm: Option<f64>,
    },
    /// The skin runs along the axis that it would be cut along.
    #[error(
        "the skin at its `centre` runs nearly along that axis, so the cut would be a slot: leave `along` out, or name the axis that goes through the skin there"
    )]
    AlongTheSkin,
    /// The pattern goes round a bend.
    #[error(
        "it bends round the hull, so that its edge faces more than 60° away from its middle: move it or make it smaller"
    )]
    RoundTheBend,
    /// A panel to be turned up is too curved to be taken as flat.
    #[error(
        "the skin of the panel is {bulge_mm:.0} mm off flat, and its free edge is turned up by {rise_mm:.0} mm only: a panel is taken as flat between its edges and turns about a straight hinge, so turn it up further, make it smaller, or move it to where the skin is flatter"
    )]
    TooBent {
        /// How far the skin is off flat, mm.
        bulge_mm: f64,
        /// How far its free edge is turned up, mm.
        rise_mm: f64,
    },
    /// The pattern runs over the edge of the skin.
    #[error("it runs over the edge of the skin: move it or make it smaller")]
    OverTheEdge,
}

fn back_to_skin(up_mm: Option<f64>) -> String {
    match up_mm {
        Some(up) => {
            let (way, higher, more) = match up > 0.0 {
                true => ("above", "higher", "more"),
                false => ("below", "lower", "less"),
            };
            let up = up.abs();
            format!(
                "straight {way} it the skin is {up:.0} mm {higher}; give {up:.0} mm {more} in `over_base`, or in z"
            )
        }
        None => "give it by tape with a side alone in `from_middle`, which is on the skin".into(),
    }
}

/// The rim of an opening, in turn round it, boat frame, m; `runs` are those of the envelope's
/// faces.
///
/// # Errors
/// [`NotOnSkin`].
pub fn rim_on_skin(
    envelope: &Envelope,
    runs: &FaceRuns,
    given: &OnSkin,
) -> Result<Vec<Vec3>, NotOnSkin> {
    let (patch, outline, reach_m) = Patch::under(envelope, runs, given)?;
    if let Some(axis) = given.along {
        let (u, v) = [(1, 2), (0, 2), (0, 1)][axis];
        let [u, v] = [u, v].map(|axis| Vec3::ith(axis, 1.0));
        let out = u.cross(&v);
        let next = outline.iter().cycle().skip(1);
        let sides = outline.iter().zip(next).map(|(a, b)| {
            let run = (b - a).normalize();
            let normal = u * run.y - v * run.x;
            (normal, normal.dot(&(patch.middle + u * a.x + v * a.y)))
        });
        let axis = Vec3::ith(axis, 1.0);
        if patch.out.dot(&axis).abs() < LEAST_FACING {
            return Err(NotOnSkin::AlongTheSkin);
        }
        // Half-way to the skin on the other side at most.
        let far_m = (2.0 * reach_m).min(patch.free_m(runs, &axis) / 2.0);
        let ends = [out, -out].map(|way| (way, way.dot(&patch.middle) + far_m));
        let rim = ConvexMark::of_faces(sides.chain(ends).collect()).rim_among(envelope, runs);
        return if rim.is_empty() {
            Err(NotOnSkin::OverTheEdge)
        } else {
            Ok(rim)
        };
    }
    patch.drawn(&outline)
}

/// A pocket cut into the skin.
pub(super) struct Cut {
    /// Its solid, reaching out of the skin.
    pub(super) solid: Surface,
    /// Its edge on the skin, in turn.
    pub(super) rim: Vec<Vec3>,
    /// The edge of its floor, likewise.
    pub(super) floor: Vec<Vec3>,
    /// The pattern that it was drawn by.
    pub(super) pattern: SheetLies,
}

/// A pocket so deep square to the skin.
///
/// # Errors
/// [`NotOnSkin`].
pub(super) fn pocket(
    envelope: &Envelope,
    runs: &FaceRuns,
    given: &OnSkin,
    depth_m: f64,
) -> Result<Cut, NotOnSkin> {
    let (patch, outline, reach_m) = Patch::under(envelope, runs, given)?;
    let rim = patch.drawn(&outline)?;
    // Out past all of the skin that it goes round, however that bulges.
    let highest = rim.iter().map(|p| patch.out.dot(&(p - patch.middle)));
    let out_m = highest.fold(0.0, f64::max) + reach_m;
    let outer = rim.iter().map(|p| {
        let high_m = patch.out.dot(&(p - patch.middle));
        p + patch.out * (out_m - high_m)
    });
    let inner: Vec<Vec3> = rim.iter().map(|p| p - patch.out * depth_m).collect();
    let solid = solids::solid_through(&[&inner, &outer.collect::<Vec<Vec3>>()]);
    Ok(Cut {
        solid,
        rim,
        floor: inner,
        pattern: patch.pattern(outline),
    })
}

/// A panel turned up about one of its sides.
pub(super) struct Raised {
    /// The solid under it, reaching a little into the hull.
    pub(super) solid: Surface,
    /// The room under it, down to a floor across what it opens.
    pub(super) room: Surface,
    /// The sheet that closes its gaps.
    pub(super) gaps: Surface,
    /// The floor.
    pub(super) floor: Surface,
    /// The pattern that the panel was drawn by.
    pub(super) pattern: SheetLies,
    /// How far the skin that it is cut from is off flat, m: the panel is taken as flat
    /// between its edges.
    pub(super) bulge_m: f64,
    turn: Turn,
}

impl Raised {
    /// Where a place of the panel is turned up to, m.
    pub(super) fn turned(&self, p: &Vec3) -> Vec3 {
        self.turn.of(p)
    }
}

/// A turn of the panel.
struct Turn {
    hinge: Vec3,
    /// From the hinge to the free edge, and square out of the skin.
    free: Vec3,
    out: Vec3,
    sin: f64,
    cos: f64,
}

impl Turn {
    fn of(&self, p: &Vec3) -> Vec3 {
        let (along, up) = (self.along(p), self.out.dot(&(p - self.hinge)));
        let (sin, cos) = (self.sin, self.cos);
        p + self.free * (along * cos - up * sin - along) + self.out * (along * sin + up * cos - up)
    }

    fn along(&self, p: &Vec3) -> f64 {
        self.free.dot(&(p - self.hinge))
    }
}

/// A panel turned up about one of its sides.
///
/// # Errors
/// [`NotOnSkin`].
pub(super) fn lifted(
    envelope: &Envelope,
    runs: &FaceRuns,
    given: &Lifted,
) -> Result<Raised, NotOnSkin> {
    let (patch, outline, _) = Patch::under(envelope, runs, &given.panel)?;
    let half = half_of(&outline);
    let rim = patch.drawn(&outline)?;
    let heights = rim.iter().chain([&patch.middle]);
    let (low_m, high_m) = least_and_most(heights.map(|p| patch.out.dot(p)));
    let bulge_m = high_m - low_m;
    let [u, v] = patch.axes();
    let (across, half_m) = match given.hinge {
        Hinge::Aft => (Vector2::x(), half.x),
        Hinge::Forward => (-Vector2::x(), half.x),
        Hinge::Starboard => (Vector2::y(), half.y),
        Hinge::Port => (-Vector2::y(), half.y),
    };
    let free = u * across.x + v * across.y;
    let hinge = patch.middle - free * half_m;
    let (sin, cos) = given.angle.value.to_radians().sin_cos();
    let rise_m = 2.0 * half_m * sin;
    if rise_m < LEAST_RISE * bulge_m {
        return Err(NotOnSkin::TooBent {
            bulge_mm: bulge_m * 1e3,
            rise_mm: rise_m * 1e3,
        });
    }
    let turn = Turn {
        hinge,
        free,
        out: patch.out,
        sin,
        cos,
    };
    // What is curved back beyond the hinge stays.
    let turned = |p: &Vec3| if turn.along(p) > 0.0 { turn.of(p) } else { *p };
    let top: Vec<Vec3> = rim.iter().map(turned).collect();
    let sunk: Vec<Vec3> = rim.iter().map(|p| p - patch.out * INTO_M).collect();
    let room = solids::solid_through(&[&rim, &top]);
    let of_floor = 2 * rim.len()..3 * rim.len() - 2;
    // Round the three sides that are cut, from one end of the hinge to the other.
    let count = outline.len();
    let on_hinge = |k: usize| across.dot(&outline[k % count]) + half_m < AT_HINGE * half_m;
    let first = (0..count).find(|&k| on_hinge(k) && !on_hinge(k + 1));
    let first = first.unwrap_or_default();
    let last = (first + 1..first + count).find(|&k| on_hinge(k));
    let cut = first..=last.unwrap_or(first + count);
    let [foot, edge] =
        [&rim, &top].map(|ring| -> Vec<Vec3> { cut.clone().map(|k| ring[k % count]).collect() });
    let gaps = solids::strip_along(&foot, &edge);
    let mut floor = Surface {
        vertices: room.vertices.clone(),
        faces: room.faces[of_floor].to_vec(),
    };
    floor.drop_unused_vertices();
    Ok(Raised {
        solid: solids::solid_through(&[&sunk, &rim, &top]),
        room,
        gaps,
        floor,
        pattern: patch.pattern(outline),
        bulge_m,
        turn,
    })
}

/// How much higher than a place the nearest skin straight above or below it is, m; `None`
/// where there is none that lies about level.
fn up_to_skin(envelope: &Envelope, runs: &FaceRuns, at: &Vec3) -> Option<f64> {
    let met = along_axis(&envelope.surface, runs, at, 2).filter(|(face, _)| {
        let normal = envelope.surface.face_normal(*face).normalize();
        !envelope.sources[*face].is_bare() && normal.z.abs() > LEAST_FACING
    });
    let ups = met.map(|(_, up_m)| up_m);
    ups.min_by(|a, b| a.abs().total_cmp(&b.abs()))
}

/// The faces that a line along an axis through a place meets, each with how far on from the
/// place, m.
fn along_axis<'a>(
    surface: &'a Surface,
    runs: &'a FaceRuns,
    at: &'a Vec3,
    axis: usize,
) -> impl Iterator<Item = (usize, f64)> + 'a {
    let [u, v] = [(axis + 1) % 3, (axis + 2) % 3];
    let beside =
        move |[lo, hi]: &[Vec3; 2]| [u, v].iter().all(|&k| lo[k] <= at[k] && hi[k] >= at[k]);
    runs.faces(beside).filter_map(move |face| {
        let corners = surface.corners(face);
        let flat = corners.map(|p| Vector2::new(p[u] - at[u], p[v] - at[v]));
        let signs = [0, 1, 2].map(|k| flat[k].perp(&flat[(k + 1) % 3]));
        let is_met = signs.iter().all(|s| *s >= 0.0) || signs.iter().all(|s| *s <= 0.0);
        let normal = surface.face_normal(face);
        let far_m = normal.dot(&(corners[0] - at)) / normal[axis];
        (is_met && far_m.is_finite()).then_some((face, far_m))
    })
}

/// The corners of a pattern round its middle, counter-clockwise, m.
fn outline(outlined: &Outlined) -> Vec<Vector2<f64>> {
    let turned = |middle: Vector2<f64>, radius: f64, from: f64, count: u32, share: f64| {
        (0..=count).map(move |k| {
            let (sin, cos) = (from + share * f64::from(k) / f64::from(count)).sin_cos();
            middle + Vector2::new(cos, sin) * radius
        })
    };
    match outlined {
        Outlined::Circle { diameter } => {
            let radius = diameter.value / 2.0;
            let mut round: Vec<_> =
                turned(Vector2::zeros(), radius, 0.0, DIRECTIONS, TAU).collect();
            round.pop();
            round
        }
        Outlined::Rectangle {
            length,
            height,
            corner,
        } => {
            let half = Vector2::new(length.value, height.value) / 2.0;
            let radius = corner.value;
            let inner = half.map(|side| side - radius);
            let quarter = if radius > 0.0 { DIRECTIONS / 4 } else { 0 };
            let corners = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
            let mut ring = Vec::new();
            for (number, (x, y)) in (0..).zip(corners) {
                let middle = Vector2::new(x * inner.x, y * inner.y);
                match quarter {
                    0 => ring.push(middle),
                    _ => {
                        let from = f64::from(number) * TAU / 4.0;
                        ring.extend(turned(middle, radius, from, quarter, TAU / 4.0));
                    }
                }
                // Along the side to the next corner, so that a bent skin is followed.
                let (x, y) = corners[(number as usize + 1) % 4];
                let last = ring[ring.len() - 1];
                let ahead = Vector2::new(x * inner.x, y * inner.y);
                let run = (ahead - middle) / f64::from(DIRECTIONS / 4);
                ring.extend((1..DIRECTIONS / 4).map(|k| last + run * f64::from(k)));
            }
            ring
        }
    }
}

/// How far a pattern's corners reach along each of its axes, m.
fn half_of(outline: &[Vector2<f64>]) -> Vector2<f64> {
    outline
        .iter()
        .fold(Vector2::zeros(), |most, p| most.sup(&p.abs()))
}

/// Along the boat, or across where a skin faces along it, and square to that up the skin.
pub(crate) fn axes_of(out: &Vec3) -> [Vec3; 2] {
    let across = |axis: &Vec3| axis - out * out.dot(axis);
    let along = across(&Vec3::x());
    let along = if along.norm() > 0.5 {
        along
    } else {
        across(&Vec3::y())
    };
    let along = along.normalize();
    [along, out.cross(&along)]
}

/// The skin about a place.
struct Patch<'a> {
    envelope: &'a Envelope,
    /// The place on the skin that is nearest to the one given, and the face that it lies on.
    middle: Vec3,
    face: usize,
    /// Outward, the mean over the pattern's reach.
    out: Vec3,
    /// Faces by their edges, as they have them.
    by_edge: HashMap<[u32; 2], usize>,
}

impl<'a> Patch<'a> {
    /// The skin that a pattern lies on, with the pattern's corners and how far the farthest
    /// lies from its middle, m.
    fn under(
        envelope: &'a Envelope,
        runs: &FaceRuns,
        given: &OnSkin,
    ) -> Result<(Self, Vec<Vector2<f64>>, f64), NotOnSkin> {
        let outline = outline(&given.outlined);
        let patch = Self::about(envelope, runs, &point_m(&given.centre), &half_of(&outline))?;
        let reach_m = outline.iter().map(Vector2::norm).fold(0.0, f64::max);
        Ok((patch, outline, reach_m))
    }

    fn about(
        envelope: &'a Envelope,
        runs: &FaceRuns,
        at: &Vec3,
        half: &Vector2<f64>,
    ) -> Result<Self, NotOnSkin> {
        let surface = &envelope.surface;
        let reach_m = half.norm();
        let within_m = 2.0 * reach_m + OFF_SKIN_M;
        let is_near = |[lo, hi]: &[Vec3; 2]| {
            let off = (lo - at).sup(&(at - hi)).sup(&Vec3::zeros());
            off.norm() <= within_m
        };
        let mut by_edge = HashMap::new();
        let mut nearest: Option<(f64, Vec3, usize)> = None;
        let mut faces = Vec::new();
        for face in runs.faces(is_near) {
            if envelope.sources[face].is_bare() {
                continue;
            }
            let [a, b, c] = surface.faces[face];
            for edge in [[a, b], [b, c], [c, a]] {
                by_edge.insert(edge, face);
            }
            let place = nearest_on_triangle(at, &surface.corners(face));
            let off_m = (place - at).norm();
            faces.push((face, place));
            if nearest.is_none_or(|(least, ..)| off_m < least) {
                nearest = Some((off_m, place, face));
            }
        }
        // Beside a skin that stands up, straight up leads to none that was meant.
        let is_upright = nearest.is_some_and(|(_, _, face)| {
            surface.face_normal(face).normalize().z.abs() < LEAST_FACING
        });
        let off_skin = |off_m: f64| NotOnSkin::OffSkin {
            off_mm: off_m * 1000.0,
            up_mm: up_to_skin(envelope, runs, at)
                .filter(|_| !is_upright)
                .map(|up_m| up_m * 1000.0),
        };
        let (off_m, middle, face) = nearest.ok_or_else(|| off_skin(within_m))?;
        if off_m > OFF_SKIN_M {
            return Err(off_skin(off_m));
        }
        // Within its face, however little, so that every way begins across that.
        let [a, b, c] = surface.corners(face);
        let middle = middle + ((a + b + c) / 3.0 - middle) * INTO_FACE;
        let facing = surface.face_normal(face);
        let near: Vec<[Vec3; 3]> = faces
            .iter()
            .filter(|(other, place)| {
                let normal = surface.face_normal(*other);
                (place - middle).norm() <= reach_m && normal.dot(&facing) > 0.0
            })
            .map(|(other, _)| surface.corners(*other))
            .collect();
        // By what of each face lies there, however the skin is cut into faces.
        let area = |ring: Vec<Vec3>| -> Vec3 {
            let first = ring.first().copied().unwrap_or_default();
            let sides = ring.windows(2);
            sides
                .map(|side| (side[0] - first).cross(&(side[1] - first)))
                .sum()
        };
        // The mean over the pattern's own breadth and length: what stands beside it does not
        // tilt it.
        let mut out = facing.normalize();
        for _ in 0..FACED_ANEW {
            let [u, v] = axes_of(&out);
            let sides = [(u, half.x), (v, half.y), (out, reach_m)];
            let sides = sides
                .iter()
                .flat_map(|(way, to_m)| [*way, -way].map(|way| (way, way.dot(&middle) + to_m)));
            let about = ConvexMark::of_faces(sides.collect());
            let sum: Vec3 = near.iter().map(|face| area(about.part_of(face))).sum();
            out = sum.try_normalize(0.0).unwrap_or(out);
        }
        Ok(Self {
            envelope,
            middle,
            face,
            out,
            by_edge,
        })
    }

    /// How far the next skin lies from the middle along an axis, either way, m.
    fn free_m(&self, runs: &FaceRuns, axis: &Vec3) -> f64 {
        let surface = &self.envelope.surface;
        let met = along_axis(surface, runs, &self.middle, axis.iamax());
        let others = met.filter(|(face, _)| *face != self.face);
        others
            .map(|(_, far_m)| far_m.abs())
            .filter(|far_m| *far_m > SAME_SKIN_M)
            .fold(f64::INFINITY, f64::min)
    }

    fn axes(&self) -> [Vec3; 2] {
        axes_of(&self.out)
    }

    /// A pattern as a sheet to be cut by it.
    fn pattern(&self, corners: Vec<Vector2<f64>>) -> SheetLies {
        SheetLies::Drawn {
            corners,
            out: self.out,
        }
    }

    /// A pattern laid on it.
    fn drawn(&self, outline: &[Vector2<f64>]) -> Result<Vec<Vec3>, NotOnSkin> {
        let [u, v] = self.axes();
        outline
            .iter()
            .map(|flat| self.walked(&(u * flat.x + v * flat.y)))
            .collect()
    }

    /// The place to which `way`, laid on the skin from the middle, leads in the plane square
    /// to the skin: so far along it as the way is long.
    fn walked(&self, way: &Vec3) -> Result<Vec3, NotOnSkin> {
        let mut left_m = way.norm();
        let Some(ahead) = way.try_normalize(0.0) else {
            return Ok(self.middle);
        };
        let side = self.out.cross(&ahead);
        let height = |p: &Vec3| side.dot(&(p - self.middle));
        let (mut at, mut face) = (self.middle, self.face);
        let mut came_by = None;
        // No face is passed twice on the way.
        for _ in 0..=self.by_edge.len() {
            let corners = self.envelope.surface.faces[face];
            let mut best: Option<(f64, Vec3, [u32; 2])> = None;
            for k in 0..3 {
                let edge = [corners[k], corners[(k + 1) % 3]];
                if came_by == Some([edge[1], edge[0]]) {
                    continue;
                }
                let [a, b] = edge.map(|v| self.envelope.surface.vertices[v as usize]);
                let (from, to) = (height(&a), height(&b));
                if (from < 0.0) == (to < 0.0) {
                    continue;
                }
                let place = a + (b - a) * (from / (from - to));
                // The first face has two ways out: the one ahead.
                let forward = (place - at).dot(&ahead);
                if best.is_none_or(|(most, ..)| forward > most) {
                    best = Some((forward, place, edge));
                }
            }
            let Some((_, place, edge)) = best else {
                return Err(NotOnSkin::OverTheEdge);
            };
            let step_m = (place - at).norm();
            if step_m >= left_m {
                let normal = self.envelope.surface.face_normal(face).normalize();
                if normal.dot(&self.out) < LEAST_FACING {
                    return Err(NotOnSkin::RoundTheBend);
                }
                return Ok(at + (place - at) * (left_m / step_m));
            }
            left_m -= step_m;
            at = place;
            came_by = Some(edge);
            face = *self
                .by_edge
                .get(&[edge[1], edge[0]])
                .ok_or(NotOnSkin::OverTheEdge)?;
        }
        Err(NotOnSkin::OverTheEdge)
    }
}
