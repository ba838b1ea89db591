//! Walls whose tops are level as the craft lies at rest.
use std::path::Path;

use super::afloat::Afloat;
use super::rest::EquilibriumError;
use crate::boat::file::Shape;
use crate::boat::{Boat, BoatError, BoatFile};
use crate::quantity::Quantity;

/// How near two attitudes count as one, degrees: the wall is then level to a micrometre in a
/// metre.
const SAME_DEG: f64 = 1e-4;
/// Boats made at most: what a wall weighs turns the craft by little, and that by less.
const ROUNDS: usize = 8;

/// Why it is not known how a craft lies whose walls are to be level at rest.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LevelWallsError {
    /// There is no such boat.
    #[error(transparent)]
    Boat(#[from] BoatError),
    /// It has no rest.
    #[error("the top of part \"{part}\" is to be level at rest (`level_at_rest`): {source}")]
    Rest {
        /// The wall.
        part: String,
        /// Why not.
        source: EquilibriumError,
    },
    /// The hull's weight is not known.
    #[error(
        "the top of part \"{part}\" is to be level at rest (`level_at_rest`), and [hull] has no mass: give `mass` and `centre`, or `skin`; or say how the craft lies with `level_at`"
    )]
    NoHullMass {
        /// The wall.
        part: String,
    },
}

/// The boat file with the attitude filled in at which its walls with `level_at_rest` are
/// level: that in which the craft rests with everything that the file has aboard, the walls
/// included. A loading condition in `path` (`boat.toml#name`) does not count: a wall is built
/// once. Other files come back as they are.
///
/// Each boat is made with the attitude of the one before, from level on, until it stays within
/// 1e-4°.
///
/// # Errors
/// [`LevelWallsError`] where there is no boat, or no rest.
pub fn with_level_walls(path: &Path, mut file: BoatFile) -> Result<BoatFile, LevelWallsError> {
    let Some(part) = waiting(&file) else {
        return Ok(file);
    };
    let (path, condition) = BoatFile::path_and_condition(path);
    let mut built = match condition {
        Some(_) => BoatFile::read_from(&file.from, &path).map_err(BoatError::from)?,
        None => file.clone(),
    };
    let mut lies = [0.0; 2];
    for _ in 0..ROUNDS {
        fill_in(&mut built, lies);
        let boat = Boat::of_file(&path, &built)?;
        if !boat.has_hull_mass {
            return Err(LevelWallsError::NoHullMass { part });
        }
        let afloat = Afloat::of(&boat);
        let rest = afloat.rest().map_err(|source| LevelWallsError::Rest {
            part: part.clone(),
            source,
        })?;
        let plane = rest.plane();
        let now = [plane.heel_deg(), plane.pitch_deg()];
        let moved = [0, 1].map(|k: usize| (now[k] - lies[k]).abs());
        lies = now;
        if moved.into_iter().all(|by| by < SAME_DEG) {
            break;
        }
    }
    fill_in(&mut file, lies);
    Ok(file)
}

/// The first wall of which it is still to be found how the craft lies.
fn waiting(file: &BoatFile) -> Option<String> {
    let waits = |shape: &Shape| matches!(shape, Shape::Wall(wall) if wall.waits_for_rest());
    let mut parts = file.parts.iter();
    let part = parts.find(|part| waits(&part.shape))?;
    Some(part.name.clone())
}

fn fill_in(file: &mut BoatFile, lies: [f64; 2]) {
    for part in &mut file.parts {
        if let Shape::Wall(wall) = &mut part.shape
            && wall.level_at_rest
        {
            wall.level_at = Some(lies.map(Quantity::exact));
        }
    }
}
