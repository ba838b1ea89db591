//! Which planes across an axis are asked for. Holds no study.

/// Most planes across one axis.
pub const MOST_PLANES: usize = 500;

/// Which planes across one axis.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Planes {
    /// None.
    #[default]
    None,
    /// At these coordinates, m.
    At(Vec<f64>),
    /// So many evenly spaced. Of a section: stations from end to end with both
    /// ends, waterlines and buttocks within the ends. Of tape marks: within the
    /// ends, as far from them as from each other.
    Even(u16),
    /// This far apart, m: of a section from the lower end, of tape marks aft from
    /// the stem.
    Every(f64),
}

/// Most stations that a step chosen for a hull leaves on it.
const MOST_USUAL: f64 = 16.0;

/// The distance between stations when none are asked for, for a hull this long: a round
/// one, 1, 2.5 or 5 times a power of ten, that leaves at most 16 of them, m.
pub(in crate::study) fn usual_step_m(length_m: f64) -> f64 {
    let rough = (length_m / MOST_USUAL).max(1e-3);
    let power = 10.0_f64.powf(rough.log10().floor());
    let steps = [1.0, 2.5, 5.0].map(|times| times * power);
    // A hair less than the step itself is rounding.
    let wide_enough = steps.into_iter().find(|step| *step >= rough * (1.0 - 1e-9));
    wide_enough.unwrap_or(10.0 * power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stations_are_chosen_by_the_length() {
        let steps = [0.5, 1.9, 3.69, 4.0, 4.2, 12.0].map(usual_step_m);
        for (got, want) in steps.into_iter().zip([0.05, 0.25, 0.25, 0.25, 0.5, 1.0]) {
            assert!((got - want).abs() < 1e-12, "{got}, not {want}");
        }
    }
}
