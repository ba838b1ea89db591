//! One trust-region step on a function of three variables.
//!
//! By hand: the step goes along negative curvature at an unstable rest, and to a stated
//! side; optimisers as libraries keep the whole loop to themselves.
use nalgebra::{Matrix3, SymmetricEigen, Vector3};

use super::roots::{Look, rising_root};

/// Bisections of the shift: each halves the error, so this reaches rounding.
const BISECTIONS: usize = 200;
/// How close to the radius the step's length must come (share of the radius).
const LENGTH_TOLERANCE: f64 = 1e-6;

/// Share of the slope below which its part along the most negative curvature
/// is rounding of the eigenvectors.
const NO_SLOPE: f64 = 1e-12;

/// The step that lowers the model `slope·p + ½ p·curvature·p` most within
/// `|p| ≤ radius`, and by how much (≥ 0).
///
/// Solved in the eigenvectors of the curvature: `(curvature + μ) p = −slope`
/// with the least shift `μ ≥ 0` that leaves no negative curvature and keeps the
/// length (Nocedal & Wright, Numerical Optimization, 2nd ed., §4.3, Theorem
/// 4.1; from memory). Where the slope has no part along the most negative
/// curvature, as at an unstable equilibrium, the step goes along it to the
/// radius, to the side where its largest component is positive.
///
/// The shift is halved until the length is the radius to 1e-6, or to rounding: there is no
/// failing, but a slope or curvature that is no number gives a step that is none.
#[must_use]
pub fn trust_region_step(
    slope: &Vector3<f64>,
    curvature: &Matrix3<f64>,
    radius: f64,
) -> (Vector3<f64>, f64) {
    let eigen = SymmetricEigen::new(*curvature);
    let least = eigen.eigenvalues.imin();
    let lowest = eigen.eigenvalues[least];
    let mut along = eigen.eigenvectors.transpose() * slope;
    if along[least].abs() <= NO_SLOPE * slope.norm() {
        along[least] = 0.0;
    }
    let step_at = |shift: f64| {
        let parts = along.zip_map(&eigen.eigenvalues, |g, value| {
            let stiff = value + shift;
            if g == 0.0 { 0.0 } else { -g / stiff }
        });
        eigen.eigenvectors * parts
    };
    let mut step = None;
    if lowest > 0.0 {
        let newton = step_at(0.0);
        if newton.norm() <= radius {
            step = Some(newton);
        }
    }
    let step = step.unwrap_or_else(|| {
        // Length falls from infinity (or from short, the hard case) to zero as
        // the shift grows from its least value.
        let low = (-lowest).max(0.0);
        let scale = slope.norm() / radius + curvature.norm();
        let high = low + scale.max(f64::MIN_POSITIVE);
        let just_over = low + scale * f64::EPSILON;
        let short = step_at(just_over);
        if short.norm() < radius {
            let mut direction: Vector3<f64> = eigen.eigenvectors.column(least).into();
            let downhill = -along[least];
            if downhill < 0.0 || (downhill == 0.0 && direction[direction.iamax()] < 0.0) {
                direction = -direction;
            }
            let inside = short.dot(&direction);
            let reach = (inside * inside + radius * radius - short.norm_squared()).sqrt() - inside;
            return short + direction * reach;
        }
        let is_done = |found: &Look<_>, _| found.off.abs() <= LENGTH_TOLERANCE * radius;
        let look = |shift: f64| {
            let step = step_at(shift);
            Look::without_slope(radius - step.norm(), step)
        };
        let middle = f64::midpoint(low, high);
        rising_root([low, high], middle, BISECTIONS - 1, is_done, look).state
    });
    let gain = -(slope.dot(&step) + step.dot(&(curvature * step)) / 2.0);
    (step, gain.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bowl_is_solved_in_one_newton_step() {
        let curvature = Matrix3::from_diagonal(&Vector3::new(2.0, 4.0, 8.0));
        let (step, gain) = trust_region_step(&Vector3::new(2.0, 4.0, 8.0), &curvature, 10.0);
        assert!((step - Vector3::repeat(-1.0)).norm() < 1e-12);
        assert!((gain - 7.0).abs() < 1e-12);
    }

    #[test]
    fn a_far_minimum_is_met_at_the_radius() {
        let (step, _) = trust_region_step(&Vector3::x(), &Matrix3::identity(), 0.1);
        assert!((step + Vector3::x() * 0.1).norm() < 1e-6);
    }

    #[test]
    fn a_saddle_is_left_along_its_negative_curvature() {
        let curvature = Matrix3::from_diagonal(&Vector3::new(1.0, 1.0, -1.0));
        let (step, gain) = trust_region_step(&Vector3::zeros(), &curvature, 0.3);
        assert!((step - Vector3::z() * 0.3).norm() < 1e-6);
        assert!((gain - 0.045).abs() < 1e-6);
    }
}
