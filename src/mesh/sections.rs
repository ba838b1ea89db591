//! Where planes across an axis cut a surface.
use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use nalgebra::Vector2;
use rayon::prelude::*;

use super::loops::{Ring, trace};
use super::runs::{FaceRuns, Reach};
use super::surface::Surface;
use super::weld::mixed;
use crate::numerics::{Vec3, go_round};

/// The curves along which the plane `x[axis] = at_m` cuts a surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// 0, 1, 2: the plane is across x, y, z.
    pub axis: usize,
    /// Where on that axis, m.
    pub at_m: f64,
    /// Closed curves, the longest first.
    pub loops: Vec<SectionLoop>,
    /// Faces whose cut ends at an open edge of the surface and so belongs to no
    /// closed curve.
    pub loose_faces: Vec<u32>,
}

/// One closed curve of a [`Section`]. Seen with the axis pointing at the eye,
/// the inside of the surface lies to its left.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionLoop {
    /// Corners, the first not repeated at the end, boat frame, m.
    pub points: Vec<Vec3>,
    /// The face on which each run from a corner to the next lies.
    pub faces: Vec<u32>,
}

impl Section {
    /// The two axes of the plane, in the order that makes them and the normal
    /// right-handed: y and z for a plane across x.
    #[must_use]
    pub fn axes(&self) -> [usize; 2] {
        [(self.axis + 1) % 3, (self.axis + 2) % 3]
    }

    /// A point in the axes of the plane, m.
    #[must_use]
    pub fn flat(&self, point: &Vec3) -> Vector2<f64> {
        let [u, v] = self.axes();
        Vector2::new(point[u], point[v])
    }

    /// A point of the plane in the boat frame, m.
    #[must_use]
    pub fn in_space(&self, flat: &Vector2<f64>) -> Vec3 {
        let [u, v] = self.axes();
        let mut point = Vec3::zeros();
        point[self.axis] = self.at_m;
        point[u] = flat.x;
        point[v] = flat.y;
        point
    }

    /// Every straight run with the face that it lies on.
    pub fn runs(&self) -> impl Iterator<Item = ([Vec3; 2], u32)> + '_ {
        self.loops.iter().flat_map(SectionLoop::runs)
    }

    /// Area inside the closed curves, holes taken off, m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.loops.iter().map(|one| self.loop_area_m2(one)).sum()
    }

    /// Area inside one curve, negative where it bounds a hole, m².
    #[must_use]
    pub fn loop_area_m2(&self, one: &SectionLoop) -> f64 {
        let about = self.about();
        one.runs()
            .map(|([a, b], _)| (self.flat(&a) - about).perp(&(self.flat(&b) - about)) / 2.0)
            .sum()
    }

    /// Centroid of that area, boat frame, m; `None` without area.
    #[must_use]
    pub fn centroid_m(&self) -> Option<Vec3> {
        let about = self.about();
        let (mut area2, mut moment6) = (0.0, Vector2::zeros());
        for ([a, b], _) in self.runs() {
            let (a, b) = (self.flat(&a) - about, self.flat(&b) - about);
            area2 += a.perp(&b);
            moment6 += (a + b) * a.perp(&b);
        }
        let middle = about + moment6 / (3.0 * area2);
        (middle.x.is_finite() && middle.y.is_finite()).then(|| self.in_space(&middle))
    }

    /// Whether a point near the plane lies inside the curves.
    #[must_use]
    pub fn holds(&self, point: &Vec3) -> bool {
        let runs = self.runs().map(|(ends, _)| ends.map(|end| self.flat(&end)));
        go_round(runs, &self.flat(point))
    }

    /// Length of the curves over the faces that `counts` picks, m.
    #[must_use]
    pub fn girth_m(&self, counts: impl Fn(u32) -> bool) -> f64 {
        self.runs()
            .filter(|(_, face)| counts(*face))
            .map(|([a, b], _)| (b - a).norm())
            .sum()
    }

    /// Area inside the curves on the side where `height` is negative, m², and
    /// the length of the curves there over the faces that `counts` picks, m.
    /// `height` must be linear, and must vanish somewhere on the plane: its zero
    /// line closes what is cut. `zero` is a point of that line.
    #[must_use]
    pub fn below(
        &self,
        height: impl Fn(&Vec3) -> f64,
        zero: &Vec3,
        counts: impl Fn(u32) -> bool,
    ) -> (f64, f64) {
        let about = self.flat(zero);
        let (mut area, mut girth) = (0.0, 0.0);
        for ([a, b], face) in self.runs() {
            let (ha, hb) = (height(&a), height(&b));
            if ha >= 0.0 && hb >= 0.0 {
                continue;
            }
            let cut = |from: Vec3, to: Vec3, h: f64, k: f64| from + (to - from) * (h / (h - k));
            let from = if ha < 0.0 { a } else { cut(a, b, ha, hb) };
            let to = if hb < 0.0 { b } else { cut(a, b, ha, hb) };
            // Seen from a point of the zero line, runs along that line turn
            // through no area: the closing needs no tracing.
            area += (self.flat(&from) - about).perp(&(self.flat(&to) - about)) / 2.0;
            if counts(face) {
                girth += (to - from).norm();
            }
        }
        (area, girth)
    }

    /// A point near the curves, against rounding far from the origin.
    fn about(&self) -> Vector2<f64> {
        let first = self.loops.first().and_then(|one| one.points.first());
        first.map_or_else(Vector2::zeros, |point| self.flat(point))
    }
}

impl SectionLoop {
    /// Every straight run with the face that it lies on.
    pub fn runs(&self) -> impl Iterator<Item = ([Vec3; 2], u32)> + '_ {
        let next = self.points.iter().skip(1).chain(self.points.first());
        let ends = self.points.iter().zip(next).map(|(a, b)| [*a, *b]);
        ends.zip(self.faces.iter().copied())
    }
}

/// A surface ready to be cut across its axes: each cut looks only at runs of faces
/// that reach over both sides of the plane.
#[derive(Debug)]
pub struct Slicer<'a> {
    surface: &'a Surface,
    runs: FaceRuns,
}

impl<'a> Slicer<'a> {
    /// Looks at every face once.
    #[must_use]
    pub fn of(surface: &'a Surface) -> Self {
        Self {
            surface,
            runs: FaceRuns::of(surface),
        }
    }

    /// Cuts the surface at `x[axis] = at_m` into closed curves. A corner that lies in
    /// the plane counts as over it, so that a cut through corners or flat faces
    /// still closes; at the surface's lower end there is then no section, at its
    /// upper end the one just under it. Curves follow the edges that faces share,
    /// not places: a small gap is never jumped.
    #[must_use]
    pub fn section(&self, axis: usize, at_m: f64) -> Section {
        let reaches = |[lo, hi]: &Reach| lo[axis] < at_m && hi[axis] >= at_m;
        let faces = self.runs.faces(reaches);
        let cut = faces.filter_map(|face| crossed(self.surface, face, axis, at_m));
        closed(self.surface, axis, at_m, cut)
    }
}

/// A face that the plane crosses: the edges, as pairs of vertices, where its cut
/// begins and ends.
type CrossedFace = ([(u32, u32); 2], u32);

fn crossed(surface: &Surface, face: usize, axis: usize, at_m: f64) -> Option<CrossedFace> {
    let corners = surface.faces[face];
    let over = corners.map(|v| surface.vertices[v as usize][axis] >= at_m);
    if over[0] == over[1] && over[1] == over[2] {
        return None;
    }
    // Outward faces: from where the edge falls to where it rises.
    let edge = |falls: bool| {
        let k = (0..3).find(|&k| over[k] == falls && over[(k + 1) % 3] != falls)?;
        let (a, b) = (corners[k], corners[(k + 1) % 3]);
        Some((a.min(b), a.max(b)))
    };
    Some(([edge(true)?, edge(false)?], u32::try_from(face).ok()?))
}

/// The curves that crossed faces, in their order, make.
fn closed(
    surface: &Surface,
    axis: usize,
    at_m: f64,
    cut: impl Iterator<Item = CrossedFace>,
) -> Section {
    let cut: Vec<CrossedFace> = cut.collect();
    // A closed cut crosses as many edges as faces.
    let mut numbers: HashMap<(u32, u32), u32, BuildHasherDefault<EdgeHasher>> =
        HashMap::with_capacity_and_hasher(cut.len() + 1, BuildHasherDefault::default());
    let mut points = Vec::with_capacity(cut.len() + 1);
    let mut number = |edge: (u32, u32)| {
        *numbers.entry(edge).or_insert_with(|| {
            let (a, b) = (
                surface.vertices[edge.0 as usize],
                surface.vertices[edge.1 as usize],
            );
            let mut point = a + (b - a) * ((at_m - a[axis]) / (b[axis] - a[axis]));
            point[axis] = at_m;
            points.push(point);
            u32::try_from(points.len() - 1).unwrap_or(u32::MAX)
        })
    };
    let mut edges = Vec::with_capacity(cut.len());
    // Faces that follow each other mostly share an edge: it need not be looked up.
    let (mut last, mut known) = ([(0, 0); 2], [0; 2]);
    for (ends, face) in cut {
        known = ends.map(|end| match last.iter().position(|other| *other == end) {
            Some(k) => known[k],
            None => number(end),
        });
        last = ends;
        edges.push((known[0], known[1], face));
    }
    let traced = trace(edges);
    let closed = |ring: Ring| SectionLoop {
        points: ring.vertices.iter().map(|v| points[*v as usize]).collect(),
        faces: ring.half_edges,
    };
    let mut loops: Vec<SectionLoop> = traced.rings.into_iter().map(closed).collect();
    let length = |one: &SectionLoop| one.runs().map(|([a, b], _)| (b - a).norm()).sum::<f64>();
    if loops.len() > 1 {
        loops.sort_by(|a, b| length(b).total_cmp(&length(a)));
    }
    Section {
        axis,
        at_m,
        loops,
        loose_faces: traced.loose,
    }
}

/// Scatters the two vertices of an edge: the usual hasher, made to withstand chosen keys,
/// takes most of a section's time.
#[derive(Default)]
struct EdgeHasher(u64);

impl Hasher for EdgeHasher {
    fn finish(&self) -> u64 {
        self.0
    }

    fn write(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.write_u32(u32::from(byte));
        }
    }

    fn write_u32(&mut self, vertex: u32) {
        self.0 = mixed(self.0, u64::from(vertex));
    }
}

/// The segments along which the plane `x[axis] = at_m` cuts the faces, in no
/// order, m. A face that lies in the plane gives none.
#[must_use]
pub fn section_segments(surface: &Surface, axis: usize, at_m: f64) -> Vec<[Vec3; 2]> {
    (0..surface.faces.len())
        .into_par_iter()
        .with_min_len(1 << 12)
        .filter_map(|face| {
            let corners = surface.corners(face);
            let over = corners.map(|c| c[axis] >= at_m);
            if over[0] == over[1] && over[1] == over[2] {
                return None;
            }
            let mut ends = (0..3).filter_map(|k| {
                let (a, b) = (corners[k], corners[(k + 1) % 3]);
                (over[k] != over[(k + 1) % 3])
                    .then(|| a + (b - a) * ((at_m - a[axis]) / (b[axis] - a[axis])))
            });
            Some([ends.next()?, ends.next()?])
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solids;

    #[test]
    fn the_section_of_a_box_is_its_outline() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::new(3.0, 2.0, 1.0));
        for (axis, around) in [(0, 6.0), (1, 8.0), (2, 10.0)] {
            let length: f64 = section_segments(&cube, axis, 0.4)
                .iter()
                .map(|[a, b]| (b - a).norm())
                .sum();
            assert!((length - around).abs() < 1e-12);
        }
        assert!(section_segments(&cube, 0, 5.0).is_empty());
    }

    /// Closed forms of the box: sides times each other, middle, way round.
    #[test]
    fn a_box_closes_into_one_loop_across_each_axis() {
        let size = [3.0, 2.0, 1.0];
        let cube = solids::cuboid_subdivided(Vec3::zeros(), Vec3::from(size), [3, 4, 5]);
        for axis in 0..3 {
            // Once between corners, once through them.
            for share in [0.41, 0.5, 1.0] {
                let cut = Slicer::of(&cube).section(axis, size[axis] * share);
                let (u, v) = (size[(axis + 1) % 3], size[(axis + 2) % 3]);
                assert_eq!(cut.loops.len(), 1);
                assert!(cut.loose_faces.is_empty());
                assert!((cut.area_m2() - u * v).abs() < 1e-12);
                assert!((cut.girth_m(|_| true) - 2.0 * (u + v)).abs() < 1e-12);
                let mut middle = Vec3::from(size) / 2.0;
                middle[axis] = size[axis] * share;
                assert!((cut.centroid_m().unwrap() - middle).norm() < 1e-12);
            }
            assert!(Slicer::of(&cube).section(axis, 0.0).loops.is_empty());
        }
    }

    /// Under a line of slope 1 through a corner of the unit square lies half of
    /// it, with two sides.
    #[test]
    fn below_a_slanting_line() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::new(1.0, 1.0, 1.0));
        let cut = Slicer::of(&cube).section(0, 0.3);
        let (area, girth) = cut.below(|p| p.z - p.y, &Vec3::new(0.3, 0.2, 0.2), |_| true);
        assert!((area - 0.5).abs() < 1e-12);
        assert!((girth - 2.0).abs() < 1e-12);
    }

    /// A hollow: the hole's loop counts against the area.
    #[test]
    fn a_hole_is_taken_off() {
        let mut hollow = solids::cuboid(Vec3::zeros(), Vec3::new(1.0, 1.0, 1.0));
        let mut inner = solids::cuboid(Vec3::new(0.25, 0.25, 0.25), Vec3::new(0.75, 0.75, 0.75));
        inner.flip();
        hollow.append(&inner);
        let cut = Slicer::of(&hollow).section(2, 0.5);
        assert_eq!(cut.loops.len(), 2);
        assert!((cut.area_m2() - 0.75).abs() < 1e-12);
        assert!(cut.loop_area_m2(&cut.loops[1]) < 0.0);
    }

    /// A sphere of many runs, cut through corners too.
    #[test]
    fn a_slicer_finds_what_a_walk_over_all_faces_finds() {
        let ball = solids::icosphere(Vec3::new(0.1, 0.2, 0.3), 1.0, 4);
        let slicer = Slicer::of(&ball);
        assert!(slicer.runs.depth() > 2);
        let corners = ball.vertices.iter().step_by(37).map(|v| v.x);
        for at_m in corners.chain([-0.95, -0.4, 0.0, 0.77, 1.2, 5.0]) {
            for axis in 0..3 {
                let all = (0..ball.faces.len()).filter_map(|face| crossed(&ball, face, axis, at_m));
                let walked = closed(&ball, axis, at_m, all);
                assert_eq!(slicer.section(axis, at_m), walked);
            }
        }
    }

    #[test]
    fn an_open_edge_leaves_loose_faces_and_no_loop() {
        let mut open = solids::cuboid(Vec3::zeros(), Vec3::new(1.0, 1.0, 1.0));
        open.faces.retain(|face| {
            let corners = face.map(|v| open.vertices[v as usize]);
            !corners.iter().all(|c| c.z == 1.0)
        });
        let cut = Slicer::of(&open).section(0, 0.5);
        assert!(cut.loops.is_empty() && cut.loose_faces.len() > 2);
    }
}
