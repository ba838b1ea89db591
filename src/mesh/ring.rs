//! A closed row of points: its length, points at even steps along it, and it smoothed.
use crate::numerics::Vec3;

/// Steps along a smoothed row, m.
pub(super) const STEP_M: f64 = 0.005;
/// A row of more steps is of no boat, but of a mesh in the wrong unit: 100 m round.
const MOST_STEPS: usize = 20_000;
/// It is smoothed over this, m, at most this share of its length.
const SMOOTH_M: f64 = 0.03;
const SMOOTH_SHARE: f64 = 0.04;
/// Rounds of smoothing at most.
const ROUNDS: usize = 6;
/// A row that is longer than it is smoothed by more than this factor is ragged.
const RAGGED: f64 = 1.15;
/// So few corners make no rags.
const FEW_CORNERS: usize = 8;

/// Its length, m.
pub(super) fn length_m(points: &[Vec3]) -> f64 {
    let next = points.iter().cycle().skip(1);
    points.iter().zip(next).map(|(a, b)| (b - a).norm()).sum()
}

/// How far it is round, m: of a ragged row as of a tape laid along its middle, since teeth
/// and rags of a torn edge are no part of a hole's size.
pub(super) fn round_m(points: &[Vec3]) -> f64 {
    let whole = length_m(points);
    let smooth = settled(points).map_or(whole, |curve| length_m(&curve));
    if points.len() > FEW_CORNERS && is_ragged(whole, smooth) {
        smooth
    } else {
        whole
    }
}

fn is_ragged(whole_m: f64, smooth_m: f64) -> bool {
    whole_m > RAGGED * smooth_m
}

/// It smoothed, and again where it was ragged until it no longer is, since the first time
/// runs along the teeth; `None` where it is too short or too long for the rim of a boat.
pub(super) fn settled(points: &[Vec3]) -> Option<Vec<Vec3>> {
    let mut curve = smoothed(&evenly_stepped(points)?);
    let (mut was_m, mut now_m) = (length_m(points), length_m(&curve));
    for _ in 1..ROUNDS {
        let Some(even) = evenly_stepped(&curve).filter(|_| is_ragged(was_m, now_m)) else {
            break;
        };
        curve = smoothed(&even);
        (was_m, now_m) = (now_m, length_m(&curve));
    }
    Some(curve)
}

/// Points at equal steps along it; `None` where it is too short or too long for the rim of
/// a boat.
pub(super) fn evenly_stepped(points: &[Vec3]) -> Option<Vec<Vec3>> {
    let whole = length_m(points);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a hull's size"
    )]
    let count = (whole / STEP_M).round() as usize;
    if !(8..=MOST_STEPS).contains(&count) {
        return None;
    }
    let step = whole / count as f64;
    let mut even = Vec::with_capacity(count);
    let (mut summed, mut next) = (0.0, 0.0);
    for (k, a) in points.iter().enumerate() {
        let b = points[(k + 1) % points.len()];
        let side = (b - a).norm();
        while next < summed + side && even.len() < count {
            even.push(a + (b - a) * ((next - summed) / side));
            next += step;
        }
        summed += side;
    }
    Some(even)
}

/// Even points, each the mean of those beside it, weighted as a bell.
fn smoothed(points: &[Vec3]) -> Vec<Vec3> {
    let count = points.len();
    let width = SMOOTH_M.min(SMOOTH_SHARE * length_m(points)) / STEP_M;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few steps"
    )]
    let reach = ((3.0 * width).ceil() as usize).min(count / 2);
    (0..count)
        .map(|i| {
            let mut sum = Vec3::zeros();
            let mut weights = 0.0;
            for k in 0..=2 * reach {
                let off = (k as f64 - reach as f64) / width;
                let weight = (-off * off / 2.0).exp();
                sum += points[(i + count + k - reach) % count] * weight;
                weights += weight;
            }
            sum / weights
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A circle of 0.37 m radius, 2.32 m round, with a rag 30 mm deep at every third corner
    /// is 8 m and more along its edge.
    #[test]
    fn rags_are_no_part_of_the_way_round() {
        let ring = |deep_m: f64| -> Vec<Vec3> {
            let places = (0..360).map(|i| {
                let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / 360.0).sin_cos();
                let off = if i % 3 == 0 { deep_m } else { 0.0 };
                Vec3::new((0.37 + off) * cos, (0.37 + off) * sin, off / 2.0)
            });
            places.collect()
        };
        let round = std::f64::consts::TAU * 0.37;
        assert!(length_m(&ring(0.03)) > 8.0);
        let told = round_m(&ring(0.03));
        // The rags lie outside: their middle is a third of their depth farther out.
        let wanted = std::f64::consts::TAU * 0.38;
        assert!((told / wanted - 1.0).abs() < 0.02, "{told}");
        let clean = ring(0.0);
        assert!((round_m(&clean) - length_m(&clean)).abs() < 1e-12);
        assert!((round_m(&clean) / round - 1.0).abs() < 1e-3);
        let square = [[0.0, 0.0], [0.1, 0.0], [0.1, 0.1], [0.0, 0.1]];
        let square = square.map(|[x, y]| Vec3::new(x, y, 0.0));
        assert!((round_m(&square) - 0.4).abs() < 1e-12);
    }
}
