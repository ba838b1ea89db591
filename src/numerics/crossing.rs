//! Where something that falls with a lean or a load first reaches zero.
//!
//! By hand: it walks to the first crossing from a side, each look from the state of the
//! last; root finders of libraries want a bracket and forget the state.

/// Trials inside the bracket after which the crossing is taken as found: the
/// bracket halves at least every third trial.
const MOST_TRIALS: usize = 200;

/// A place where the margin reached zero.
#[derive(Debug, Clone)]
pub struct Crossing<T> {
    /// The place.
    pub at: f64,
    /// What was found there.
    pub state: T,
}

/// Walks from 0 in steps of `step` to `limit` until the margin is below zero,
/// then closes in (false position with the Illinois rule, halving where that
/// lags) until the margin is within `margin_within` of zero or the place is
/// known to `place_within`. `look` gets a place and what was found nearest to
/// it, and gives the margin there and what it found. `None`: the margin stays
/// over zero up to `limit`. Dips under zero narrower than a step may be missed.
/// A margin that jumps past zero gives the place of the jump, and what was
/// found just past it.
///
/// # Errors
/// The first error of `look`.
pub fn first_below<T: Clone, E>(
    start: (f64, T),
    [step, limit]: [f64; 2],
    [place_within, margin_within]: [f64; 2],
    mut look: impl FnMut(f64, &T) -> Result<(f64, T), E>,
) -> Result<Option<Crossing<T>>, E> {
    let (mut low, (mut low_margin, mut low_state)) = (0.0, start);
    if low_margin <= 0.0 {
        return Ok(Some(Crossing {
            at: low,
            state: low_state,
        }));
    }
    let (mut high, mut high_margin, mut high_state);
    loop {
        if low >= limit {
            return Ok(None);
        }
        // The last step ends on the limit, not a rounding before it.
        high = if low + 1.001 * step >= limit {
            limit
        } else {
            low + step
        };
        (high_margin, high_state) = look(high, &low_state)?;
        if high_margin < 0.0 {
            break;
        }
        (low, low_margin, low_state) = (high, high_margin, high_state);
    }
    let (mut low_weight, mut high_weight) = (low_margin, high_margin);
    let mut same_side = 0_i32;
    for _ in 0..MOST_TRIALS {
        if high - low <= place_within || high_margin.abs() <= margin_within {
            break;
        }
        let share = low_weight / (low_weight - high_weight);
        let middle = if same_side.abs() > 3 || !share.is_finite() {
            f64::midpoint(low, high)
        } else {
            low + (high - low) * share
        };
        let nearest = if middle - low < high - middle {
            &low_state
        } else {
            &high_state
        };
        let (margin, state) = look(middle, nearest)?;
        if margin.abs() <= margin_within {
            return Ok(Some(Crossing { at: middle, state }));
        }
        if margin > 0.0 {
            (low, low_weight, low_state) = (middle, margin, state);
            same_side = same_side.max(0) + 1;
            if same_side > 1 {
                high_weight /= 2.0;
            }
        } else {
            (high, high_margin, high_weight, high_state) = (middle, margin, margin, state);
            same_side = same_side.min(0) - 1;
            if same_side < -1 {
                low_weight /= 2.0;
            }
        }
    }
    Ok(Some(Crossing {
        at: high,
        state: high_state,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn find(f: impl Fn(f64) -> f64) -> Option<f64> {
        let look = |x: f64, _: &()| Ok::<_, ()>((f(x), ()));
        first_below((f(0.0), ()), [0.3, 4.0], [1e-12, 0.0], look)
            .unwrap()
            .map(|found| found.at)
    }

    #[test]
    fn it_finds_roots_jumps_and_their_absence() {
        assert!((find(|x| 2.0 - x * x).unwrap() - 2.0_f64.sqrt()).abs() < 1e-11);
        assert!((find(|x| 1.0 - x.powi(9)).unwrap() - 1.0).abs() < 1e-11);
        let jump = find(|x| if x < 1.234 { 1.0 } else { -1e-9 });
        assert!((jump.unwrap() - 1.234).abs() < 1e-11);
        assert_eq!(find(|x| 5.0 - x), None);
        assert_eq!(find(|x| -x), Some(0.0));
        assert!((find(|x| 3.999_999 - x).unwrap() - 3.999_999).abs() < 1e-11);
    }
}
