//! Symmetric equations whose unknowns only meet those near them in order, solved as they
//! stand: Cholesky's factor within the band.

/// A pivot with less than this share of the largest is none: the equations leave something
/// free.
const LEAST_PIVOT: f64 = 1e-13;

/// The lower half of a symmetric matrix whose entries lie within a band, row by row.
pub(super) struct Banded {
    band: usize,
    count: usize,
    /// Of each row what lies from `band` before its diagonal up to it.
    rows: Vec<f64>,
}

impl Banded {
    pub(super) fn new(count: usize, band: usize) -> Self {
        Self {
            band,
            count,
            rows: vec![0.0; count * (band + 1)],
        }
    }

    /// Adds `weight · (Σ share · x)²` to the form that is minimised: a term over a few
    /// unknowns no farther apart than the band.
    pub(super) fn add(&mut self, weight: f64, terms: &[(usize, f64)]) {
        for &(i, a) in terms {
            for &(j, b) in terms.iter().filter(|(j, _)| *j <= i) {
                self.rows[i * (self.band + 1) + self.band + j - i] += weight * a * b;
            }
        }
    }

    /// Factors it; `None` where it leaves something free.
    pub(super) fn factored(mut self) -> Option<Factor> {
        let (band, wide) = (self.band, self.band + 1);
        let diagonals = (0..self.count).map(|i| self.rows[i * wide + band]);
        let least = LEAST_PIVOT * diagonals.fold(0.0, f64::max);
        for i in 0..self.count {
            let (done, rest) = self.rows.split_at_mut(i * wide);
            let row = &mut rest[..wide];
            let first = i.saturating_sub(band);
            for j in first..i {
                let other = &done[j * wide..(j + 1) * wide];
                // Both begin at the later of their first columns.
                let from = first.max(j.saturating_sub(band));
                let own = &row[from + band - i..j + band - i];
                let its = &other[from + band - j..band];
                let met: f64 = own.iter().zip(its).map(|(a, b)| a * b).sum();
                row[j + band - i] = (row[j + band - i] - met) / other[band];
            }
            let own: f64 = row[..band].iter().map(|a| a * a).sum();
            let pivot = row[band] - own;
            if pivot.is_nan() || pivot <= least {
                return None;
            }
            row[band] = pivot.sqrt();
        }
        Some(Factor(self))
    }
}

/// Cholesky's factor of a matrix within a band.
pub(super) struct Factor(Banded);

impl Factor {
    pub(super) fn solve(&self, mut x: Vec<f64>) -> Vec<f64> {
        let (band, wide) = (self.0.band, self.0.band + 1);
        for i in 0..self.0.count {
            let row = &self.0.rows[i * wide..(i + 1) * wide];
            let first = i.saturating_sub(band);
            let before = x[first..i].iter().zip(&row[first + band - i..band]);
            let met: f64 = before.map(|(x, a)| x * a).sum();
            x[i] = (x[i] - met) / row[band];
        }
        for i in (0..self.0.count).rev() {
            let row = &self.0.rows[i * wide..(i + 1) * wide];
            let first = i.saturating_sub(band);
            x[i] /= row[band];
            let at = x[i];
            let before = x[first..i].iter_mut().zip(&row[first + band - i..band]);
            for (x, a) in before {
                *x -= a * at;
            }
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bar of ten cells clamped at two of them runs on straight from these, and one held at
    /// a single cell may turn about it.
    #[test]
    fn a_bar_held_at_two_cells_is_straight_and_one_held_at_one_is_free() {
        for held in [vec![0, 1], vec![3]] {
            let mut bar = Banded::new(10, 2);
            for k in 1..9 {
                bar.add(1.0, &[(k - 1, 1.0), (k, -2.0), (k + 1, 1.0)]);
            }
            let mut right = vec![0.0; 10];
            for k in &held {
                bar.add(2.0, &[(*k, 1.0)]);
                right[*k] = 2.0 * (3.0 + *k as f64);
            }
            let factor = bar.factored();
            if held.len() == 1 {
                assert!(factor.is_none());
                continue;
            }
            let x = factor.expect("held").solve(right);
            for (k, x) in x.iter().enumerate() {
                assert!((x - 3.0 - k as f64).abs() < 1e-9, "{k}: {x}");
            }
        }
    }
}
