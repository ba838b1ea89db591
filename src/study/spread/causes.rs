//! How much of a result's variance goes with one unknown.

/// Bins that an unknown's values are sorted into; even, so that a border falls on the
/// middle, where what counts either way has its corner.
const MOST_BINS: usize = 10;
/// Draws that a bin needs.
const DRAWS_A_BIN: usize = 40;

/// Share of the variance of `results` that goes with `causes`, as far as a result
/// depends on that cause alone (the first-order index of variance-based sensitivity:
/// Saltelli et al., Global Sensitivity Analysis, The Primer, 2008, section 1.2.12,
/// from memory). The draws are sorted by the cause into bins of equal count; in each
/// a straight line is fitted, and what is left of the squares is set against the whole,
/// each over its degrees of freedom. So a cause that lowers the result either way, as
/// |x| does, is seen, and one in proportion gives 1 exactly.
pub(super) fn share_explained(causes: &[f64], results: &[f64]) -> f64 {
    let count = causes.len();
    let bins = (count / DRAWS_A_BIN).clamp(1, MOST_BINS);
    let whole = Line::fitted(causes.iter().copied().zip(results.iter().copied()));
    if whole.squares <= 0.0 || count <= 2 * bins {
        return 0.0;
    }
    let mut pairs: Vec<(f64, f64)> = causes
        .iter()
        .copied()
        .zip(results.iter().copied())
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let left: f64 = (0..bins)
        .map(|bin| &pairs[bin * count / bins..(bin + 1) * count / bins])
        .map(|pairs| Line::fitted(pairs.iter().copied()).left)
        .sum();
    let left = left / (count - 2 * bins) as f64;
    let all = whole.squares / (count - 1) as f64;
    (1.0 - left / all).clamp(0.0, 1.0)
}

/// Sums of squares of a straight line's fit.
struct Line {
    /// Of the values about their mean.
    squares: f64,
    /// Of what the line leaves.
    left: f64,
}

impl Line {
    fn fitted(pairs: impl Iterator<Item = (f64, f64)> + Clone) -> Self {
        let count = pairs.clone().count().max(1) as f64;
        let (sum_x, sum_y) = pairs
            .clone()
            .fold((0.0, 0.0), |(x, y), pair| (x + pair.0, y + pair.1));
        let (mean_x, mean_y) = (sum_x / count, sum_y / count);
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for (x, y) in pairs.clone() {
            xx += (x - mean_x).powi(2);
            xy += (x - mean_x) * (y - mean_y);
            yy += (y - mean_y).powi(2);
        }
        let slope = if xx > 0.0 { xy / xx } else { 0.0 };
        let left = pairs.map(|(x, y)| (y - mean_y - slope * (x - mean_x)).powi(2));
        Self {
            squares: yy,
            left: left.sum(),
        }
    }
}
