//! Exact integration of clipped triangles against one plane.
use super::moments::{Immersion, Waterplane};
use super::plane::{PlaneAxes, WaterPlane};
use super::sums::Sums;
use crate::numerics::Vec3;

/// Running sums for one plane.
///
/// Single triangles are summed in the plane's own frame: u forward and v to
/// port in the plane, h its height over it, origin at the reference point's
/// foot on the plane, which is also the apex of every tetrahedron. There a
/// face with normal `N = (b−a)×(c−a)` and its plane's offset `D = a·N` adds
/// `D/6` of volume, and any part of it adds in proportion to its area.
///
/// A corner is wet when its height is negative, strictly, so a face that lies
/// in the plane is dry and adds nothing; since the test depends on the corner
/// alone, the cut segments of a closed surface always join into closed loops.
pub(super) struct Accumulator {
    plane: WaterPlane,
    axes: PlaneAxes,
    reference: Vec3,
    /// Level relative to the reference.
    level: f64,
    /// Wholly wet sets of faces, about the reference.
    wet: Sums,
    /// Σ 6 V, Σ 24 M, Σ 2 A and Σ 6 ∫ of single triangles, in the frame.
    volume6: f64,
    moment24: Vec3,
    area2: f64,
    area_moment6: Vec3,
    waterplane: Waterplane,
}

impl Accumulator {
    pub(super) fn new(plane: &WaterPlane, reference: Vec3) -> Self {
        Self {
            plane: *plane,
            axes: plane.axes(),
            reference,
            level: -plane.height_m(&reference),
            wet: Sums::ZERO,
            volume6: 0.0,
            moment24: Vec3::zeros(),
            area2: 0.0,
            area_moment6: Vec3::zeros(),
            waterplane: Waterplane::default(),
        }
    }

    /// Level of the plane over the reference point, m.
    pub(super) fn level(&self) -> f64 {
        self.level
    }

    /// Height of a point (relative to the reference) over the plane.
    #[inline]
    pub(super) fn height(&self, point: &Vec3) -> f64 {
        self.plane.up.dot(point) - self.level
    }

    /// A point (relative to the reference) in the plane's frame.
    #[inline]
    pub(super) fn to_frame(&self, point: &Vec3) -> Vec3 {
        Vec3::new(
            self.axes.forward.dot(point),
            self.axes.port.dot(point),
            self.height(point),
        )
    }

    /// Adds the sums of a wholly wet set of triangles.
    #[inline]
    pub(super) fn add_wet(&mut self, sums: &Sums) {
        self.wet += sums;
    }

    /// Adds the wet part of one triangle, its corners in the plane's frame.
    #[inline]
    pub(super) fn add_triangle(&mut self, a: &Vec3, b: &Vec3, c: &Vec3, has_skin: bool) {
        match (a.z < 0.0, b.z < 0.0, c.z < 0.0) {
            (false, false, false) => {}
            (true, true, true) => {
                let n = (b - a).cross(&(c - a));
                self.add(a.dot(&n), doubled_area(&n, has_skin), &(a + b + c));
            }
            (true, false, false) => self.add_tip(a, b, c, has_skin),
            (false, true, false) => self.add_tip(b, c, a, has_skin),
            (false, false, true) => self.add_tip(c, a, b, has_skin),
            (true, true, false) => self.add_base(c, a, b, has_skin),
            (false, true, true) => self.add_base(a, b, c, has_skin),
            (true, false, true) => self.add_base(b, c, a, has_skin),
        }
    }

    /// `a` wet, `b` and `c` dry: the tip at `a`.
    fn add_tip(&mut self, a: &Vec3, b: &Vec3, c: &Vec3, has_skin: bool) {
        let (ab, t_b) = crossing(a, b);
        let (ac, t_c) = crossing(a, c);
        let share = t_b * t_c;
        let n = (b - a).cross(&(c - a));
        let area2 = doubled_area(&n, has_skin);
        self.add(a.dot(&n) * share, area2 * share, &(a + ab + ac));
        // The wet face's edge runs ab → ac; the waterplane's, seen from above
        // and counter-clockwise, runs back.
        self.add_cut(&ac, &ab);
    }

    /// `a` dry, `b` and `c` wet: the whole less the tip at `a`.
    fn add_base(&mut self, a: &Vec3, b: &Vec3, c: &Vec3, has_skin: bool) {
        let (ab, t_b) = crossing(b, a);
        let (ac, t_c) = crossing(c, a);
        let share = (1.0 - t_b) * (1.0 - t_c);
        let n = (b - a).cross(&(c - a));
        let area2 = doubled_area(&n, has_skin);
        let d = a.dot(&n);
        self.add(d, area2, &(a + b + c));
        self.add(-d * share, -area2 * share, &(a + ab + ac));
        self.add_cut(&ab, &ac);
    }

    /// A triangle with offset product `d`, twice its area and the sum of its
    /// corners.
    #[inline]
    fn add(&mut self, d: f64, area2: f64, corner_sum: &Vec3) {
        self.volume6 += d;
        self.moment24 += corner_sum * d;
        self.area2 += area2;
        self.area_moment6 += corner_sum * area2;
    }

    /// One directed edge of the waterplane (Green's theorem).
    #[inline]
    fn add_cut(&mut self, from: &Vec3, to: &Vec3) {
        let (u1, v1, u2, v2) = (from.x, from.y, to.x, to.y);
        let cross = u1 * v2 - u2 * v1;
        let w = &mut self.waterplane;
        w.area_m2 += cross / 2.0;
        w.first_m3[0] += cross * (u1 + u2) / 6.0;
        w.first_m3[1] += cross * (v1 + v2) / 6.0;
        w.second_m4[0] += cross * (u1 * u1 + u1 * u2 + u2 * u2) / 12.0;
        w.second_m4[1] += cross * (u1 * v2 + 2.0 * (u1 * v1 + u2 * v2) + u2 * v1) / 24.0;
        w.second_m4[2] += cross * (v1 * v1 + v1 * v2 + v2 * v2) / 12.0;
    }

    pub(super) fn finish(self) -> Immersion {
        let foot = self.plane.up * self.level;
        let to_boat =
            |v: &Vec3| self.axes.forward * v.x + self.axes.port * v.y + self.plane.up * v.z;
        let (wet_volume, wet_moment) = self.wet.volume_and_moment(&foot);
        let cut_volume = self.volume6 / 6.0;
        let cut_area = self.area2 / 2.0;
        Immersion {
            plane: self.plane,
            reference_m: self.reference,
            volume_m3: wet_volume + cut_volume,
            volume_moment_m4: wet_moment + to_boat(&(self.moment24 / 24.0)) + foot * cut_volume,
            waterplane: self.waterplane,
            wetted_area_m2: self.wet.area + cut_area,
            wetted_moment_m3: self.wet.area_moment
                + to_boat(&(self.area_moment6 / 6.0))
                + foot * cut_area,
        }
    }
}

#[inline]
fn doubled_area(n: &Vec3, has_skin: bool) -> f64 {
    if has_skin { n.norm() } else { 0.0 }
}

/// Where the edge from a wet to a dry corner meets the plane, and how far along
/// it that is. Always taken from the wet end, so that both faces of an edge get
/// the very same point.
#[inline]
fn crossing(wet: &Vec3, dry: &Vec3) -> (Vec3, f64) {
    let t = wet.z / (wet.z - dry.z);
    let mut point = wet + (dry - wet) * t;
    point.z = 0.0;
    (point, t)
}
