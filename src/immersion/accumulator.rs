//! Exact integration of clipped triangles against one plane.
use super::moments::{Immersion, Waterplane};
use super::plane::{PlaneAxes, WaterPlane};
use super::sums::Sums;
use crate::numerics::Vec3;

/// Running sums for one plane. Points come in relative to `reference`, the
/// apex of every tetrahedron is `foot`, the reference's foot on the plane.
///
/// A corner is wet when `up · x < level`, strictly, so a face that lies in the
/// plane is dry and adds nothing; since the test depends on the corner alone,
/// the cut segments of a closed surface always join into closed loops.
pub(super) struct Accumulator {
    plane: WaterPlane,
    axes: PlaneAxes,
    reference: Vec3,
    /// Level relative to the reference.
    pub(super) level: f64,
    foot: Vec3,
    wet: Sums,
    /// Σ 6 V and Σ 24 M of single triangles, apex and moment about the foot.
    volume6: f64,
    moment24: Vec3,
    waterplane: Waterplane,
    area: f64,
    area_moment: Vec3,
}

impl Accumulator {
    pub(super) fn new(plane: &WaterPlane, reference: Vec3) -> Self {
        let level = -plane.height_m(&reference);
        Self {
            plane: *plane,
            axes: plane.axes(),
            reference,
            level,
            foot: plane.up * level,
            wet: Sums::ZERO,
            volume6: 0.0,
            moment24: Vec3::zeros(),
            waterplane: Waterplane::default(),
            area: 0.0,
            area_moment: Vec3::zeros(),
        }
    }

    /// Height of a point (relative to the reference) over the plane.
    #[inline]
    pub(super) fn height(&self, point: &Vec3) -> f64 {
        self.plane.up.dot(point) - self.level
    }

    /// Adds the sums of a wholly wet set of triangles.
    #[inline]
    pub(super) fn add_wet(&mut self, sums: &Sums) {
        self.wet += sums;
    }

    /// Adds the wet part of one triangle, each corner with its height.
    #[inline]
    pub(super) fn add_triangle(
        &mut self,
        a: (&Vec3, f64),
        b: (&Vec3, f64),
        c: (&Vec3, f64),
        has_skin: bool,
    ) {
        match (a.1 < 0.0, b.1 < 0.0, c.1 < 0.0) {
            (false, false, false) => {}
            (true, true, true) => self.add_piece(a.0, b.0, c.0, has_skin),
            (true, false, false) => self.add_tip(a, b, c, has_skin),
            (false, true, false) => self.add_tip(b, c, a, has_skin),
            (false, false, true) => self.add_tip(c, a, b, has_skin),
            (true, true, false) => self.add_base(a, b, c, has_skin),
            (false, true, true) => self.add_base(b, c, a, has_skin),
            (true, false, true) => self.add_base(c, a, b, has_skin),
        }
    }

    /// `a` wet, `b` and `c` dry.
    fn add_tip(&mut self, a: (&Vec3, f64), b: (&Vec3, f64), c: (&Vec3, f64), has_skin: bool) {
        let ab = crossing(a, b);
        let ac = crossing(a, c);
        self.add_piece(a.0, &ab, &ac, has_skin);
        // The wet face's edge runs ab → ac; the waterplane's, seen from above
        // and counter-clockwise, runs back.
        self.add_cut(&ac, &ab);
    }

    /// `a` and `b` wet, `c` dry.
    fn add_base(&mut self, a: (&Vec3, f64), b: (&Vec3, f64), c: (&Vec3, f64), has_skin: bool) {
        let bc = crossing(b, c);
        let ac = crossing(a, c);
        self.add_piece(a.0, b.0, &bc, has_skin);
        self.add_piece(a.0, &bc, &ac, has_skin);
        self.add_cut(&ac, &bc);
    }

    /// One wholly wet triangle, its tetrahedron's apex at the foot.
    #[inline]
    fn add_piece(&mut self, a: &Vec3, b: &Vec3, c: &Vec3, has_skin: bool) {
        let (qa, qb, qc) = (a - self.foot, b - self.foot, c - self.foot);
        let d = qa.dot(&qb.cross(&qc));
        let s = qa + qb + qc;
        self.volume6 += d;
        self.moment24 += s * d;
        if has_skin {
            let area = (b - a).cross(&(c - a)).norm() / 2.0;
            self.area += area;
            self.area_moment += s * (area / 3.0);
        }
    }

    /// One directed edge of the waterplane (Green's theorem).
    #[inline]
    fn add_cut(&mut self, from: &Vec3, to: &Vec3) {
        let (p, q) = (from - self.foot, to - self.foot);
        let (u1, v1) = (p.dot(&self.axes.forward), p.dot(&self.axes.port));
        let (u2, v2) = (q.dot(&self.axes.forward), q.dot(&self.axes.port));
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
        let (wet_volume, wet_moment) = self.wet.volume_and_moment(&self.foot);
        let cut_volume = self.volume6 / 6.0;
        Immersion {
            plane: self.plane,
            reference_m: self.reference,
            volume_m3: wet_volume + cut_volume,
            volume_moment_m4: wet_moment + self.moment24 / 24.0 + self.foot * cut_volume,
            waterplane: self.waterplane,
            wetted_area_m2: self.wet.area + self.area,
            wetted_moment_m3: self.wet.area_moment + self.area_moment + self.foot * self.area,
        }
    }
}

/// Where the edge from a wet to a dry corner meets the plane. Always taken
/// from the wet end, so that both faces of an edge get the very same point.
#[inline]
fn crossing((wet, wet_height): (&Vec3, f64), (dry, dry_height): (&Vec3, f64)) -> Vec3 {
    wet + (dry - wet) * (wet_height / (wet_height - dry_height))
}
