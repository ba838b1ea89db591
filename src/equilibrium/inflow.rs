//! Water through an opening: weir while it is partly under, orifice when
//! wholly.
use nalgebra::{Matrix3, SymmetricEigen, Vector2};

use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3, convex_hull};

/// Strips between two corners of the opening, by height.
const STRIPS: u32 = 16;
/// Heights within which an opening counts as level, m.
const LEVEL_WITHIN_M: f64 = 1e-6;

/// An opening as a flat convex sheet: its corners in order.
#[derive(Debug, Clone)]
pub struct Sheet {
    corners: Vec<Vec3>,
    /// Unit normal.
    normal: Vec3,
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
            normal,
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

    /// Flow into the craft, m³/s (negative: out of it), with the water at
    /// `outside_m` and `inside_m` along `up`: `Cd ∫ √(2 g h) dA` over the wet
    /// part, `h` the drop from the higher water to the lower one or to the
    /// place itself, whichever is higher. For a notch that is the weir formula
    /// `⅔ Cd b √(2g) H^(3/2)`, wholly under the orifice formula `Cd A √(2gh)`
    /// (Encyclopaedia Britannica, 11th edition, volume 14, Hydraulics, section 17;
    /// the weir's from memory).
    #[must_use]
    pub fn inflow_m3_s(&self, up: &Vec3, outside_m: f64, inside_m: f64, coefficient: f64) -> f64 {
        let (high, low, sign) = if outside_m >= inside_m {
            (outside_m, inside_m, 1.0)
        } else {
            (inside_m, outside_m, -1.0)
        };
        let speed = |height: f64| {
            let drop = high - height.max(low);
            (2.0 * STANDARD_GRAVITY_M_S2 * drop.max(0.0)).sqrt()
        };
        let heights: Vec<f64> = self.corners.iter().map(|c| up.dot(c)).collect();
        let bottom = heights.iter().copied().fold(f64::INFINITY, f64::min);
        let top = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if top - bottom < LEVEL_WITHIN_M {
            let height = f64::midpoint(bottom, top);
            return sign * coefficient * self.area_m2() * speed(height);
        }
        // dA = chord × dh / sin(tilt of the sheet to the level).
        let slant = self.normal.cross(up).norm();
        let mut cuts = heights.clone();
        cuts.extend([high, low]);
        cuts.retain(|cut| (bottom..=top.min(high)).contains(cut));
        cuts.sort_by(f64::total_cmp);
        let flow: f64 = cuts
            .windows(2)
            .map(|pair| {
                let step = (pair[1] - pair[0]) / f64::from(STRIPS);
                (0..STRIPS)
                    .map(|strip| {
                        let height = pair[0] + (f64::from(strip) + 0.5) * step;
                        self.chord_m(&heights, height) * speed(height) * step
                    })
                    .sum::<f64>()
            })
            .sum();
        sign * coefficient * flow / slant
    }

    /// Length of the level line across the sheet at a height, m.
    fn chord_m(&self, heights: &[f64], height: f64) -> f64 {
        let mut ends = Vec::with_capacity(2);
        for i in 0..self.corners.len() {
            let j = (i + 1) % self.corners.len();
            let (a, b) = (heights[i] - height, heights[j] - height);
            if (a < 0.0) != (b < 0.0) {
                let share = a / (a - b);
                ends.push(self.corners[i] + (self.corners[j] - self.corners[i]) * share);
            }
        }
        match ends.as_slice() {
            [from, to, ..] => (to - from).norm(),
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn notch() -> Sheet {
        let rim = [(-0.2, 0.0), (0.2, 0.0), (0.2, 0.3), (-0.2, 0.3)];
        let points: Vec<Vec3> = rim.iter().map(|&(y, z)| Vec3::new(0.0, y, z)).collect();
        Sheet::of_rim(&points).unwrap()
    }

    /// Weir: ⅔ Cd b √(2g) H^(3/2); b 0.4 m, H 0.1 m, Cd 0.6. The midpoint rule
    /// on 16 strips of a square root errs by 0.2 % at most.
    #[test]
    fn a_notch_partly_under_is_a_weir() {
        let want = 2.0 / 3.0 * 0.6 * 0.4 * (2.0 * 9.806_65_f64).sqrt() * 0.1_f64.powf(1.5);
        let got = notch().inflow_m3_s(&Vec3::z(), 0.1, -1.0, 0.6);
        assert!((got / want - 1.0).abs() < 2e-3, "{got} {want}");
    }

    /// Orifice between two waters both over it: Cd A √(2 g Δ), exactly.
    #[test]
    fn a_notch_under_both_waters_is_an_orifice() {
        let want = 0.6 * 0.12 * (2.0 * 9.806_65 * 0.2_f64).sqrt();
        let sheet = notch();
        assert!((sheet.area_m2() - 0.12).abs() < 1e-12);
        let inward = sheet.inflow_m3_s(&Vec3::z(), 0.8, 0.6, 0.6);
        let outward = sheet.inflow_m3_s(&Vec3::z(), 0.6, 0.8, 0.6);
        assert!((inward / want - 1.0).abs() < 1e-9);
        assert!((outward + inward).abs() < 1e-12);
        assert_eq!(sheet.inflow_m3_s(&Vec3::z(), -0.1, -1.0, 0.6), 0.0);
    }

    #[test]
    fn points_in_a_line_have_no_area() {
        let line: Vec<Vec3> = (0..5).map(|i| Vec3::new(f64::from(i), 0.0, 0.0)).collect();
        assert!(Sheet::of_rim(&line).is_none());
        assert!(Sheet::of_rim(&line[..2]).is_none());
    }
}
