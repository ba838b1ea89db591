//! Why no swamping was followed.
use crate::equilibrium::EquilibriumError;

/// Why no swamping was followed.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SwampError {
    /// The boat is no craft that floats.
    #[error(transparent)]
    Equilibrium(#[from] EquilibriumError),
    /// More water is asked for than the space that it starts in has room for.
    #[error(
        "{asked_litres:.1} L inside do not fit: {name}, where that water would stand, holds {} L{}; {}",
        floored(*holds_litres),
        room_left(*holds_litres, *left_litres),
        rest_goes(others)
    )]
    NoRoom {
        /// The space.
        name: String,
        /// What is asked for, L.
        asked_litres: f64,
        /// What water can fill of it, L.
        holds_litres: f64,
        /// What of that is left over what the boat file has in it, L.
        left_litres: f64,
        /// The other spaces that the boat file can give a `fill`.
        others: Vec<String>,
    },
    /// Water is asked for, and no space takes any.
    #[error("{asked_litres:.1} L inside fit nowhere: every space is sealed, flooded or solid")]
    NoSpace {
        /// What is asked for, L.
        asked_litres: f64,
    },
}

/// A tenth of a litre that certainly fits.
fn floored(litres: f64) -> String {
    format!("{:.1}", ((litres + 1e-6) * 10.0).floor() / 10.0)
}

fn room_left(holds_litres: f64, left_litres: f64) -> String {
    if left_litres < holds_litres {
        format!(", with room for {} L more", floored(left_litres))
    } else {
        String::new()
    }
}

fn rest_goes(others: &[String]) -> String {
    if others.is_empty() {
        "give at most that, there is no other [[compartment]] to `fill`".to_owned()
    } else {
        format!(
            "write the rest as `fill` of the [[compartment]] that it stands in ({})",
            others.join(", ")
        )
    }
}
