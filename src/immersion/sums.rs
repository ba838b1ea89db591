//! The sums that describe any wholly wet set of triangles for every plane.
use std::ops::AddAssign;

use nalgebra::Matrix3;

use crate::numerics::Vec3;

/// For faces `(a, b, c)` about one point near the mesh, with
/// `N = (b−a)×(c−a)`, `s = a+b+c`, `D = a·(b×c)`:
/// ΣD, ΣN, ΣDs, ΣsNᵀ, the area and the area's first moment.
///
/// With `p` on the water plane (apex of every tetrahedron, so the cap adds
/// nothing): `V = (ΣD − p·ΣN)/6` and
/// `M = (ΣDs + p ΣD − (ΣsNᵀ)p − p(p·ΣN))/24`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sums {
    pub(super) d: f64,
    pub(super) n: Vec3,
    pub(super) ds: Vec3,
    pub(super) sn: Matrix3<f64>,
    pub(super) area: f64,
    pub(super) area_moment: Vec3,
}

impl Sums {
    pub(super) const ZERO: Self = Self {
        d: 0.0,
        n: Vec3::new(0.0, 0.0, 0.0),
        ds: Vec3::new(0.0, 0.0, 0.0),
        sn: Matrix3::new(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
        area: 0.0,
        area_moment: Vec3::new(0.0, 0.0, 0.0),
    };

    /// Sums of one triangle; `has_skin` false leaves its area out.
    pub(super) fn of_triangle([a, b, c]: &[Vec3; 3], has_skin: bool) -> Self {
        let n = (b - a).cross(&(c - a));
        let s = a + b + c;
        let d = a.dot(&b.cross(c));
        let area = if has_skin { n.norm() / 2.0 } else { 0.0 };
        Self {
            d,
            n,
            ds: s * d,
            sn: s * n.transpose(),
            area,
            area_moment: s * (area / 3.0),
        }
    }

    /// Volume and its first moment about the sums' own point, with the apex
    /// of every tetrahedron at `p`.
    pub(super) fn volume_and_moment(&self, p: &Vec3) -> (f64, Vec3) {
        let pn = p.dot(&self.n);
        let volume = (self.d - pn) / 6.0;
        let moment = (self.ds + p * self.d - self.sn * p - p * pn) / 24.0;
        (volume, moment)
    }
}

impl AddAssign<&Sums> for Sums {
    fn add_assign(&mut self, other: &Sums) {
        self.d += other.d;
        self.n += other.n;
        self.ds += other.ds;
        self.sn += other.sn;
        self.area += other.area;
        self.area_moment += other.area_moment;
    }
}
