//! Openings: the points of each rim, and the lowest of them in any attitude.
use std::f64::consts::TAU;

use super::envelope::{Envelope, FaceSource};
use super::file::OpeningState;
use crate::mesh::{FaceRuns, Reach};
use crate::numerics::Vec3;

/// Sides of the prism that stands for a cylinder. Its section has the circle's area,
/// so that the rim is biased neither up nor down: corners stand out by at most
/// 0.005 % of the radius (1.5 µm of a 60 mm hole), the middles of sides lie in by
/// half of that.
const CYLINDER_SIDES: u32 = 256;
/// Share of a rim's length within which its points lie in a line.
const IN_LINE_SHARE: f64 = 1e-6;
/// Share of the hull's size within which a corner counts as on the mark's face.
const ON_FACE: f64 = 1e-9;

/// Where water can come in.
#[derive(Debug, Clone)]
pub struct Opening {
    /// Its name, as in the boat file.
    pub name: String,
    /// Whether it stands open.
    pub state: OpeningState,
    /// Number of the compartment that its water goes into.
    pub floods: Option<usize>,
    /// What of it lies over each compartment, that one first, where it lies over several;
    /// none where the boat file says what it floods.
    pub over: Vec<OpeningOver>,
    /// Discharge coefficient, where the file says.
    pub discharge: Option<f64>,
    /// Stated ± of its rim's height, m.
    pub rim_spread_m: f64,
    /// The cap that closes it in the envelope, where it is an open edge of the
    /// hull's mesh.
    pub cap: Option<FaceSource>,
    /// Points of its rim, boat frame, m; at least one.
    pub rim: Vec<Vec3>,
}

/// What of an opening lies over one of several compartments: cut at their bulkheads.
#[derive(Debug, Clone)]
pub struct OpeningOver {
    /// Number of the compartment.
    pub space: usize,
    /// Share of the opening's area.
    pub share: f64,
    /// Stretches of the rim, boat frame, m: what of its edge is not a bulkhead.
    pub edges: Vec<[Vec3; 2]>,
    /// Its area, boat frame, m.
    pub triangles: Vec<[Vec3; 3]>,
}

impl OpeningOver {
    /// Its area, m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        let double = |[a, b, c]: &[Vec3; 3]| (b - a).cross(&(c - a));
        self.triangles.iter().map(double).sum::<Vec3>().norm() / 2.0
    }

    /// Between which it lies: the ends of its stretches of the rim; of one that has none,
    /// amid the opening, its corners.
    pub fn points(&self) -> impl Iterator<Item = &Vec3> {
        let corners = self.triangles.iter().filter(|_| self.edges.is_empty());
        self.edges.iter().flatten().chain(corners.flatten())
    }
}

impl Opening {
    /// The sill: the lowest rim point when `up` is the world's vertical.
    #[must_use]
    pub fn sill_m(&self, up: &Vec3) -> Vec3 {
        let lowest = self.rim.get(lowest_along(&self.rim, up));
        lowest.copied().unwrap_or_else(Vec3::zeros)
    }

    /// Numbers of the compartments that its water goes into, each with its share.
    pub fn spaces(&self) -> impl Iterator<Item = (usize, f64)> {
        let whole = self.floods.filter(|_| self.over.is_empty());
        let shares = self.over.iter().map(|over| (over.space, over.share));
        whole.map(|space| (space, 1.0)).into_iter().chain(shares)
    }

    /// The points between which the way into a compartment lies, of the rim, or of what of it
    /// lies over that one of several; none where it leads elsewhere.
    pub fn way_into(&self, space: usize) -> impl Iterator<Item = &Vec3> {
        let is_whole = self.over.is_empty() && self.floods == Some(space);
        let whole = self.rim.iter().filter(move |_| is_whole);
        let over = self.over.iter().filter(move |over| over.space == space);
        whole.chain(over.flat_map(OpeningOver::points))
    }

    /// Whether water passes once the sill is under.
    #[must_use]
    pub fn lets_water_in(&self) -> bool {
        self.state != OpeningState::Covered
    }
}

/// Which point of a rim is its lowest when `up` is the vertical, the first of those alike;
/// 0 for a rim without points.
#[must_use]
pub fn lowest_along(rim: &[Vec3], up: &Vec3) -> usize {
    let mut lowest = (0, f64::INFINITY);
    for (number, point) in rim.iter().enumerate() {
        let height_m = up.dot(point);
        if height_m < lowest.1 {
            lowest = (number, height_m);
        }
    }
    lowest.0
}

/// Whether the points of a rim enclose any area: three or more, not in a line.
pub(super) fn has_area(rim: &[Vec3]) -> bool {
    let Some(first) = rim.first() else {
        return false;
    };
    let far = |from: &Vec3| {
        rim.iter()
            .map(|point| point - from)
            .max_by(|a, b| a.norm().total_cmp(&b.norm()))
            .unwrap_or_default()
    };
    let end = first + far(first);
    let along = far(&end);
    let Some(direction) = along.try_normalize(0.0) else {
        return false;
    };
    let off = |point: &Vec3| direction.cross(&(point - end)).norm();
    rim.iter()
        .any(|point| off(point) > IN_LINE_SHARE * along.norm())
}

/// A convex body that marks a patch of the envelope: the points with
/// `normal · x ≤ offset` for every face.
#[derive(Debug, Clone)]
pub struct ConvexMark {
    faces: Vec<(Vec3, f64)>,
}

impl ConvexMark {
    /// A box between two corners, edges along the axes, m.
    #[must_use]
    pub fn cuboid(min: &Vec3, max: &Vec3) -> Self {
        let axes = [Vec3::x(), Vec3::y(), Vec3::z()];
        Self {
            faces: axes
                .iter()
                .flat_map(|axis| [(*axis, axis.dot(max)), (-axis, -axis.dot(min))])
                .collect(),
        }
    }

    /// The points that every given pair of `normal` and `offset` lets in.
    #[must_use]
    pub fn of_faces(faces: Vec<(Vec3, f64)>) -> Self {
        Self { faces }
    }

    /// The part of a convex polygon inside the mark.
    #[must_use]
    pub fn part_of(&self, polygon: &[Vec3]) -> Vec<Vec3> {
        let mut kept = polygon.to_vec();
        for (normal, offset) in &self.faces {
            if kept.iter().any(|point| normal.dot(point) > *offset) {
                kept = clipped(&kept, normal, *offset);
            }
        }
        kept
    }

    /// The shares of the way from `from` to `to` between which it runs inside the
    /// mark; `None` where it does nowhere.
    #[must_use]
    pub fn span_of(&self, from: &Vec3, to: &Vec3) -> Option<[f64; 2]> {
        let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
        for (normal, offset) in &self.faces {
            let (a, b) = (normal.dot(from) - offset, normal.dot(to) - offset);
            if a > 0.0 && b > 0.0 {
                return None;
            }
            if a > 0.0 {
                enters = enters.max(a / (a - b));
            } else if b > 0.0 {
                leaves = leaves.min(a / (a - b));
            }
        }
        (enters <= leaves).then_some([enters, leaves])
    }

    /// How far inside a point lies: the least distance to a face, negative
    /// outside, m for unit normals; and the number of that face.
    #[must_use]
    pub fn depth_of(&self, point: &Vec3) -> (f64, usize) {
        let faces = self.faces.iter().enumerate();
        faces
            .map(|(number, (normal, offset))| (offset - normal.dot(point), number))
            .fold((f64::INFINITY, 0), |least, next| {
                if next.0 < least.0 { next } else { least }
            })
    }

    /// A round cylinder between the middles of its ends, m.
    #[must_use]
    pub fn cylinder(from: &Vec3, to: &Vec3, radius_m: f64) -> Self {
        let axis = (to - from).normalize();
        let across = axis.cross(&Vec3::ith(axis.iamin(), 1.0)).normalize();
        let third = axis.cross(&across);
        // Half the angle of a side: `n a² tan(half) = π r²` for sides at `a`.
        let half = TAU / f64::from(2 * CYLINDER_SIDES);
        let side_m = radius_m * (half / half.tan()).sqrt();
        let sides = (0..CYLINDER_SIDES).map(|i| {
            let (sin, cos) = (TAU * f64::from(i) / f64::from(CYLINDER_SIDES)).sin_cos();
            let normal = across * cos + third * sin;
            (normal, normal.dot(from) + side_m)
        });
        Self {
            faces: sides
                .chain([(axis, axis.dot(to)), (-axis, -axis.dot(from))])
                .collect(),
        }
    }

    /// The rim of the patch of an envelope's skin that lies inside the mark: the
    /// corners of the curve where the mark's faces cut it. Empty when they do
    /// not meet; where the mark crosses the cap of an open edge there is no
    /// skin and no rim.
    #[must_use]
    pub fn rim_on(&self, envelope: &Envelope) -> Vec<Vec3> {
        self.rim_among(envelope, &FaceRuns::of(&envelope.surface))
    }

    /// The same with the runs of the envelope's faces.
    pub(super) fn rim_among(&self, envelope: &Envelope, runs: &FaceRuns) -> Vec<Vec3> {
        let surface = &envelope.surface;
        let Some((lo, hi)) = surface.bounds() else {
            return Vec::new();
        };
        let near = (hi - lo).norm() * ON_FACE;
        // The corner of a box that lies farthest in.
        let may_meet = |[lo, hi]: &Reach| {
            let is_in = |(normal, offset): &(Vec3, f64)| {
                let innermost =
                    normal.zip_zip_map(lo, hi, |n, lo, hi| n * if n > 0.0 { lo } else { hi });
                innermost.sum() <= offset + near
            };
            self.faces.iter().all(is_in)
        };
        let mut rim = Vec::new();
        for face in runs.faces(may_meet) {
            if envelope.sources[face].is_bare() {
                continue;
            }
            let corners = surface.corners(face);
            let outside = |(normal, offset): &(Vec3, f64)| {
                corners.iter().all(|c| normal.dot(c) > offset + near)
            };
            if self.faces.iter().any(outside) {
                continue;
            }
            rim.extend(self.part_of(&corners).into_iter().filter(|point| {
                self.faces
                    .iter()
                    .any(|(normal, offset)| (normal.dot(point) - offset).abs() <= near)
            }));
        }
        rim
    }
}

/// The part of a convex polygon on the inner side of a plane (Sutherland and
/// Hodgman, Communications of the ACM 17, 1974; from memory).
pub(super) fn clipped(polygon: &[Vec3], normal: &Vec3, offset: f64) -> Vec<Vec3> {
    let mut kept = Vec::with_capacity(polygon.len() + 1);
    for (i, point) in polygon.iter().enumerate() {
        let next = &polygon[(i + 1) % polygon.len()];
        let (here, there) = (normal.dot(point) - offset, normal.dot(next) - offset);
        if here <= 0.0 {
            kept.push(*point);
        }
        if (here < 0.0 && there > 0.0) || (here > 0.0 && there < 0.0) {
            kept.push(point + (next - point) * (here / (here - there)));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::super::envelope::Joinable;
    use super::super::parts::cutter_rim;
    use super::*;
    use crate::mesh::solids;

    fn unit_box() -> Envelope {
        Envelope::of_part(solids::cuboid(Vec3::zeros(), Vec3::repeat(1.0)), 0)
    }

    #[test]
    fn a_box_mark_through_a_side_has_the_cut_as_its_rim() {
        let mark = ConvexMark::cuboid(&Vec3::new(0.2, 0.9, 0.4), &Vec3::new(0.5, 1.1, 0.7));
        let opening = Opening {
            name: "port".into(),
            state: OpeningState::Open,
            floods: None,
            over: Vec::new(),
            discharge: None,
            rim_spread_m: 0.0,
            cap: None,
            rim: mark.rim_on(&unit_box()),
        };
        let sill = opening.sill_m(&Vec3::z());
        assert!((sill.z - 0.4).abs() < 1e-12 && (sill.y - 1.0).abs() < 1e-12);
        assert!(opening.lets_water_in());
    }

    #[test]
    fn a_round_hole_in_a_side_has_its_lowest_point_one_radius_down() {
        let (from, to) = (Vec3::new(0.5, 0.8, 0.5), Vec3::new(0.5, 1.2, 0.5));
        let rim = ConvexMark::cylinder(&from, &to, 0.1).rim_on(&unit_box());
        let lowest = rim.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
        // Of the circle's area: corners 5.02e-5 of the radius out, sides half that in.
        assert!((0.4 - lowest).abs() < 0.1 * 5.1e-5);
    }

    /// The clipping of convex marks and the boolean's curve are two ways to the
    /// same rim: they agree on every attitude's lowest point.
    #[test]
    fn a_mark_and_the_same_cutter_leave_the_same_rim() {
        let ball = Envelope::of_part(solids::icosphere(Vec3::zeros(), 1.0, 4), 0);
        let (from, to) = (Vec3::new(0.3, 0.2, 0.0), Vec3::new(0.4, 0.9, 1.1));
        // The mark is given by its sides, the solid by its corners: both of the
        // circle's area, `½ n sin(2π/n) R² = π r²`, they are one but for a turn.
        let sides = usize::try_from(CYLINDER_SIDES).unwrap();
        let angle = TAU / f64::from(CYLINDER_SIDES);
        let around = 0.2 * (angle / angle.sin()).sqrt();
        let tube = solids::cylinder(from, to, around, sides);
        let block = (Vec3::new(-0.3, -1.2, -0.2), Vec3::new(0.2, -0.5, 0.4));
        for (mark, cutter, within) in [
            (
                ConvexMark::cuboid(&block.0, &block.1),
                solids::cuboid(block.0, block.1),
                1e-12,
            ),
            // The two prisms may be turned against each other by less than a
            // side: they differ by the depth of a side's arc.
            (ConvexMark::cylinder(&from, &to, 0.2), tube, 0.2 * 1.6e-4),
        ] {
            let of = |rim| Opening {
                rim_spread_m: 0.0,
                cap: None,
                name: String::new(),
                state: OpeningState::Open,
                floods: None,
                over: Vec::new(),
                discharge: None,
                rim,
            };
            let clipped = of(mark.rim_on(&ball));
            let cut = of(cutter_rim(&Joinable::new(ball.clone()), cutter).unwrap());
            for attitude in 0..40 {
                let turn = f64::from(attitude);
                let up = Vec3::new(turn.sin(), (1.7 * turn).cos(), (0.3 * turn).cos()).normalize();
                let apart = up.dot(&clipped.sill_m(&up)) - up.dot(&cut.sill_m(&up));
                // How steeply the skin runs along the mark stretches it.
                assert!(apart.abs() <= 4.0 * within, "{apart:e} at {up}");
            }
        }
    }

    #[test]
    fn points_in_a_line_have_no_area() {
        let line: Vec<Vec3> = (0..5).map(|i| Vec3::new(f64::from(i), 0.1, 0.3)).collect();
        assert!(!has_area(&[]) && !has_area(&line[..1]) && !has_area(&line));
        assert!(has_area(&[line[0], line[1], Vec3::z()]));
    }

    #[test]
    fn a_mark_off_the_surface_has_no_rim() {
        let inside = ConvexMark::cuboid(&Vec3::repeat(0.4), &Vec3::repeat(0.6));
        assert!(inside.rim_on(&unit_box()).is_empty());
        let around = ConvexMark::cuboid(&Vec3::repeat(-1.0), &Vec3::repeat(2.0));
        assert!(around.rim_on(&unit_box()).is_empty());
    }
}
