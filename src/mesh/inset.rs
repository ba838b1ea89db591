//! The room left inside a section once a skin of stated thickness lines it.
use std::f64::consts::PI;

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use nalgebra::Vector2;

use super::sections::Section;

/// Sides of the half circle about each corner: the skin is too thin there by at
/// most 0.5 % of its thickness.
const ROUND_SIDES: u16 = 16;

/// A closed curve in the axes of a section's plane, m; the inside to its left.
pub type FlatLoop = Vec<[f64; 2]>;

/// What is left of a section's inside when every point nearer to a run than
/// that run's thickness, m, is taken off; a run whose thickness is `None` or not
/// above nought takes off nothing. One list of loops a piece, its outer one
/// first.
#[must_use]
pub fn inset(section: &Section, thickness_m: impl Fn(u32) -> Option<f64>) -> Vec<Vec<FlatLoop>> {
    let flat = |point| {
        let at: Vector2<f64> = section.flat(point);
        [at.x, at.y]
    };
    let whole: Vec<FlatLoop> = section
        .loops
        .iter()
        .map(|one| one.points.iter().map(flat).collect())
        .collect();
    let lining: Vec<FlatLoop> = section
        .runs()
        .filter_map(|([a, b], face)| {
            let thickness = thickness_m(face).filter(|thickness| *thickness > 0.0)?;
            Some(capsule(section.flat(&a), section.flat(&b), thickness))
        })
        .collect();
    whole.overlay(&lining, OverlayRule::Difference, FillRule::NonZero)
}

/// Pieces of one set of loops that also lie in another.
#[must_use]
pub fn common(one: &[Vec<FlatLoop>], other: &[Vec<FlatLoop>]) -> Vec<Vec<FlatLoop>> {
    let list = |pieces: &[Vec<FlatLoop>]| pieces.iter().flatten().cloned().collect::<Vec<_>>();
    list(one).overlay(&list(other), OverlayRule::Intersect, FillRule::NonZero)
}

/// All within a distance of a straight run, as a polygon.
fn capsule(a: Vector2<f64>, b: Vector2<f64>, radius: f64) -> FlatLoop {
    let along = b - a;
    let start = if along.norm() > 0.0 {
        along.x.atan2(-along.y)
    } else {
        0.0
    };
    let half = |about: Vector2<f64>, from: f64| {
        (0..=ROUND_SIDES).map(move |side| {
            let angle = from + PI * f64::from(side) / f64::from(ROUND_SIDES);
            let at = about + Vector2::new(angle.cos(), angle.sin()) * radius;
            [at.x, at.y]
        })
    };
    // `start` points to the left of the run: round its tail, then its head.
    half(a, start).chain(half(b, start + PI)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::{sections::Slicer, solids};
    use crate::numerics::Vec3;

    fn area(pieces: &[Vec<FlatLoop>]) -> f64 {
        let one = |points: &FlatLoop| {
            let next = points.iter().skip(1).chain(points.first());
            let pairs = points.iter().zip(next);
            pairs.map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>() / 2.0
        };
        pieces.iter().flatten().map(one).sum()
    }

    /// A 1 × 1 square lined by d all round leaves (1 − 2d)².
    #[test]
    fn a_lined_square_is_smaller_by_the_lining_on_each_side() {
        let cube = solids::cuboid(Vec3::zeros(), Vec3::new(1.0, 1.0, 1.0));
        let cut = Slicer::of(&cube).section(0, 0.5);
        let left = inset(&cut, |_| Some(0.01));
        assert_eq!(left.len(), 1);
        assert!((area(&left) - 0.98_f64.powi(2)).abs() < 1e-7);
        // Bare: the whole of it.
        assert!((area(&inset(&cut, |_| None)) - 1.0).abs() < 1e-7);
        // Thicker than half: nothing.
        assert!(inset(&cut, |_| Some(0.6)).is_empty());
    }

    /// An L, the square of side 2 less the unit square: area 3, perimeter 8. Each
    /// of its five outer corners is counted by two strips, the inner one is
    /// rounded by a quarter disc: 3 − 8d + 5d² − π/4 d².
    #[test]
    fn the_lining_goes_round_a_corner_that_juts_in() {
        let outline = [
            [0.0, 0.0],
            [2.0, 0.0],
            [2.0, 1.0],
            [1.0, 1.0],
            [1.0, 2.0],
            [0.0, 2.0],
        ];
        let bar = solids::prism_along_x(&outline, 0.0, 1.0);
        let d = 0.1;
        let got = area(&inset(&Slicer::of(&bar).section(0, 0.5), |_| Some(d)));
        let want = 3.0 - 8.0 * d + 5.0 * d * d - PI / 4.0 * d * d;
        // Half of a 32-gon's shortfall of the disc: 0.6 % of π/4 d².
        assert!((got - want).abs() < 6e-5, "{got} {want}");
    }

    #[test]
    fn two_outlines_have_their_common_part() {
        let square = |x: f64| {
            vec![vec![vec![
                [x, 0.0],
                [x + 1.0, 0.0],
                [x + 1.0, 1.0],
                [x, 1.0],
            ]]]
        };
        assert!((area(&common(&square(0.0), &square(0.25))) - 0.75).abs() < 1e-7);
    }
}
