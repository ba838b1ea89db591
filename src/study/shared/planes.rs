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
