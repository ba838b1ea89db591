//! An opening as one flat sheet.
use nalgebra::{Matrix3, SymmetricEigen, Vector2};

use crate::numerics::{Vec3, convex_hull};

/// An opening as a flat convex sheet: its corners in order.
#[derive(Debug, Clone)]
pub struct Sheet {
    corners: Vec<Vec3>,
}

impl Sheet {
    /// The convex hull of rim points in their best-fit plane. `None` for fewer
    /// than three points, or points in a line: no area is known there.
    #[must_use]
    pub fn of_rim(rim: &[Vec3]) -> Option<Self> {
        let count = f64::from(u32::try_from(rim.len()).ok()?);
        let middle = rim.iter().sum::<Vec3>() / count;
        let spread: Matrix3<f64> = rim
            .iter()
            .map(|p| (p - middle) * (p - middle).transpose())
            .sum();
        let eigen = SymmetricEigen::new(spread);
        let normal: Vec3 = eigen.eigenvectors.column(eigen.eigenvalues.imin()).into();
        let u: Vec3 = eigen.eigenvectors.column(eigen.eigenvalues.imax()).into();
        let v = normal.cross(&u);
        let flat: Vec<Vector2<f64>> = rim
            .iter()
            .map(|p| Vector2::new((p - middle).dot(&u), (p - middle).dot(&v)))
            .collect();
        let hull = convex_hull(flat);
        (hull.len() >= 3).then(|| Self {
            corners: hull.iter().map(|p| middle + u * p.x + v * p.y).collect(),
        })
    }

    /// Its corners in order, boat frame, m.
    #[must_use]
    pub fn corners_m(&self) -> &[Vec3] {
        &self.corners
    }

    /// Area, m².
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        let first = self.corners[0];
        let sum: Vec3 = self
            .corners
            .windows(2)
            .map(|pair| (pair[0] - first).cross(&(pair[1] - first)))
            .sum();
        sum.norm() / 2.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rectangle_has_its_area() {
        let rim = [(-0.2, 0.0), (0.2, 0.0), (0.2, 0.3), (-0.2, 0.3)];
        let points: Vec<Vec3> = rim.iter().map(|&(y, z)| Vec3::new(0.0, y, z)).collect();
        let sheet = Sheet::of_rim(&points).unwrap();
        assert!((sheet.area_m2() - 0.12).abs() < 1e-12);
    }

    #[test]
    fn points_in_a_line_have_no_area() {
        let line: Vec<Vec3> = (0..5).map(|i| Vec3::new(f64::from(i), 0.0, 0.0)).collect();
        assert!(Sheet::of_rim(&line).is_none());
        assert!(Sheet::of_rim(&line[..2]).is_none());
    }
}
