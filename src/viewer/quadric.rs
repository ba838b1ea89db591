//! How far a point lies from a set of planes, squared and weighted.
//!
//! By hand: sixty lines, and areas that must stay as they are marked.
use crate::numerics::Vec3;

/// `Σ w (n·x + d)²` as its ten numbers (Garland & Heckbert, SIGGRAPH 1997; from
/// memory).
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Quadric {
    /// `Σ w n nᵀ`: xx, xy, xz, yy, yz, zz.
    squares: [f64; 6],
    /// `Σ w d n`.
    linear: Vec3,
    /// `Σ w d²`.
    constant: f64,
}

impl Quadric {
    /// Adds the plane of a triangle, weighted by its area.
    pub(super) fn add_face(&mut self, corners: &[Vec3; 3]) {
        let [a, b, c] = corners;
        let twice = (b - a).cross(&(c - a));
        let length = twice.norm();
        if length <= 0.0 {
            return;
        }
        let (normal, weight) = (twice / length, length / 2.0);
        let offset = -normal.dot(a);
        let n = normal * weight;
        for (sum, add) in self.squares.iter_mut().zip([
            n.x * normal.x,
            n.x * normal.y,
            n.x * normal.z,
            n.y * normal.y,
            n.y * normal.z,
            n.z * normal.z,
        ]) {
            *sum += add;
        }
        self.linear += n * offset;
        self.constant += weight * offset * offset;
    }

    /// The sum at a point, m⁴.
    pub(super) fn at(&self, p: &Vec3) -> f64 {
        let [xx, xy, xz, yy, yz, zz] = self.squares;
        let quadratic = xx * p.x * p.x
            + yy * p.y * p.y
            + zz * p.z * p.z
            + 2.0 * (xy * p.x * p.y + xz * p.x * p.z + yz * p.y * p.z);
        quadratic + 2.0 * self.linear.dot(p) + self.constant
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_weighted_squared_distance_from_the_plane() {
        let mut quadric = Quadric::default();
        // Area 2 in the plane z = 1.
        let corners = [
            Vec3::new(0.0, 0.0, 1.0),
            Vec3::new(2.0, 0.0, 1.0),
            Vec3::new(0.0, 2.0, 1.0),
        ];
        quadric.add_face(&corners);
        assert!((quadric.at(&Vec3::new(7.0, -3.0, 1.5)) - 2.0 * 0.25).abs() < 1e-12);
        assert!(quadric.at(&Vec3::new(5.0, 5.0, 1.0)).abs() < 1e-12);
    }
}
