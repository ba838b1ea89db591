//! Roots of what grows (or falls) between two places.
//!
//! By hand: what is looked at carries its state (a whole immersion) to the next look,
//! which root finders of libraries do not.

/// What is found at a place.
#[derive(Debug, Clone, Copy)]
pub struct Look<T> {
    /// How far the value there is over the one wanted: negative under the root, positive
    /// past it.
    pub off: f64,
    /// Its slope there.
    pub slope: f64,
    /// What else was found.
    pub state: T,
}

impl<T> Look<T> {
    /// Where no slope is known: the bracket is halved.
    pub fn without_slope(off: f64, state: T) -> Self {
        Self {
            off,
            slope: 0.0,
            state,
        }
    }
}

/// The root of something that grows from `low`, where it is under, to `high`, where it is
/// over: Newton's steps, and halves where one leaves the bracket (or there is no slope).
///
/// Ends at the first look that `is_done`, told of the bracket too; after `most` looks more
/// than the first with the last, which is the nearest where each look halved the bracket.
/// Nothing is checked at the ends: without a root between them it ends at the nearer one.
pub fn rising_root<T>(
    [mut low, mut high]: [f64; 2],
    start: f64,
    most: usize,
    is_done: impl Fn(&Look<T>, [f64; 2]) -> bool,
    mut look: impl FnMut(f64) -> Look<T>,
) -> Look<T> {
    let mut at = start;
    let mut found = look(at);
    for _ in 0..most {
        if is_done(&found, [low, high]) {
            break;
        }
        if found.off > 0.0 {
            high = at;
        } else {
            low = at;
        }
        let newton = at - found.off / found.slope;
        at = if newton > low && newton < high {
            newton
        } else {
            f64::midpoint(low, high)
        };
        found = look(at);
    }
    found
}

/// Halves a bracket so many times, `is_past` telling of a place whether what is sought lies
/// before it; gives the bracket that is left. Where it tells the same everywhere the bracket
/// closes in on one end.
///
/// # Errors
/// The first error of `is_past`.
pub fn halved<E>(
    [mut low, mut high]: [f64; 2],
    times: usize,
    mut is_past: impl FnMut(f64) -> Result<bool, E>,
) -> Result<[f64; 2], E> {
    for _ in 0..times {
        let middle = f64::midpoint(low, high);
        if is_past(middle)? {
            high = middle;
        } else {
            low = middle;
        }
    }
    Ok([low, high])
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    /// x³ = 2 and x¹⁹ = 0.9 from a bad start; a step of no slope; each root in closed form.
    #[test]
    fn roots_are_found_with_and_without_a_slope() {
        let find = |bracket: [f64; 2], start: f64, f: &dyn Fn(f64) -> (f64, f64)| {
            let look = |x: f64| {
                let (off, slope) = f(x);
                Look {
                    off,
                    slope,
                    state: x,
                }
            };
            rising_root(
                bracket,
                start,
                200,
                |found, _| found.off.abs() < 1e-14,
                look,
            )
            .state
        };
        let cube = |x: f64| (x.powi(3) - 2.0, 3.0 * x * x);
        assert!((find([0.0, 2.0], 0.01, &cube) - 2.0_f64.cbrt()).abs() < 1e-14);
        let steep = |x: f64| (x.powi(19) - 0.9, 19.0 * x.powi(18));
        assert!((find([0.0, 1.0], 0.1, &steep) - 0.9_f64.powf(1.0 / 19.0)).abs() < 1e-14);
        let flat = |x: f64| (x - 0.3, 0.0);
        assert!((find([0.0, 1.0], 0.9, &flat) - 0.3).abs() < 1e-14);
        // A jump is closed in on from both sides.
        let jump = |x: f64| (if x < 0.7 { -1.0 } else { 1.0 }, 0.0);
        assert!((find([0.0, 1.0], 0.5, &jump) - 0.7).abs() < 1e-14);
    }

    #[test]
    fn a_bracket_is_halved_towards_where_it_turns() {
        let halve = |is_past: &dyn Fn(f64) -> bool| {
            let told = |x: f64| Ok::<_, Infallible>(is_past(x));
            halved([0.0, 1.0], 50, told).unwrap()
        };
        let [low, high] = halve(&|x| x * x > 0.5);
        assert!(low * low <= 0.5 && high * high > 0.5 && high - low < 1e-14);
        assert_eq!(halve(&|_| true)[0], 0.0);
        assert_eq!(halve(&|_| false)[1], 1.0);
        assert_eq!(halved([0.0, 1.0], 3, |_| Err(7)), Err(7));
    }
}
