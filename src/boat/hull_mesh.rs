//! One way from a mesh file to a surface in metres, and from that to a closed
//! hull, which every command shares.
use std::path::Path;

use super::plausible::{EnclosesNothing, check_encloses, doubt_hull_size, doubt_precision};
use crate::mesh::{
    self, Doubt, DoubtKind, MeshError, PrepareOptions, Prepared, Surface, UnitGuess,
};

/// A mesh file as loose facets, welded and in metres, not yet examined.
#[derive(Debug)]
pub struct MeshInMetres {
    /// The surface, m.
    pub surface: Surface,
    /// How to prepare it: the defaults, and the file's facet numbers.
    pub options: PrepareOptions,
    /// What reading and welding had to forgive.
    pub doubts: Vec<Doubt>,
    /// What unit was guessed, where none was given.
    pub unit_guess: Option<UnitGuess>,
}

/// Reads a mesh file. Without `metres_a_unit` the unit is the format's own
/// (metres in GLB) or else guessed, and the guess becomes a doubt where
/// `guess_matters`.
///
/// # Errors
/// [`MeshError`] with the path when the file can not be read as a mesh.
pub fn read_mesh(
    path: &Path,
    metres_a_unit: Option<f64>,
    guess_matters: bool,
) -> Result<MeshInMetres, MeshError> {
    let raw = mesh::read_mesh(path)?;
    let mut doubts = raw.doubts.clone();
    let unit_guess = match metres_a_unit {
        Some(_) => None,
        None => Some(guessed_unit(&raw, guess_matters, &mut doubts)),
    };
    let guessed = unit_guess.as_ref().map(|guess| guess.factor);
    doubts.extend(doubt_precision(&raw));
    let welded = mesh::weld(&raw, metres_a_unit.or(guessed).unwrap_or(1.0));
    doubts.extend(welded.doubts);
    Ok(MeshInMetres {
        surface: welded.surface,
        options: PrepareOptions {
            facets: raw.facets,
            ..PrepareOptions::default()
        },
        doubts,
        unit_guess,
    })
}

fn guessed_unit(raw: &mesh::RawMesh, guess_matters: bool, doubts: &mut Vec<Doubt>) -> UnitGuess {
    let longest = raw.longest_side();
    let guess = mesh::guess_unit(longest);
    if raw.metres_a_unit.is_none() {
        if guess_matters {
            doubts.push(guess.doubt());
        }
        return guess;
    }
    if guess_matters && guess.factor != 1.0 {
        doubts.push(Doubt::new(
            DoubtKind::Unit,
            format!(
                "the file's type is always in metres, which makes this mesh {longest:.2} m long; {} would make it {:.2} m: give `units` to settle it",
                guess.unit, guess.length_m
            ),
        ));
    }
    UnitGuess {
        length_m: longest,
        ..UnitGuess::metres()
    }
}

impl MeshInMetres {
    /// Mends, turns outward and caps it, and gathers all doubts of it in the
    /// order in which they came up.
    ///
    /// # Errors
    /// [`EnclosesNothing`] when what comes of it is no solid.
    pub fn into_hull(self) -> Result<Prepared, EnclosesNothing> {
        let mut prepared = self.into_solid()?;
        prepared.doubts.extend(doubt_hull_size(&prepared.surface));
        Ok(prepared)
    }

    /// As [`Self::into_hull`], of any size.
    ///
    /// # Errors
    /// [`EnclosesNothing`] when what comes of it is no solid.
    pub fn into_solid(self) -> Result<Prepared, EnclosesNothing> {
        let mut prepared = mesh::prepare(self.surface, &self.options);
        check_encloses(&prepared.surface)?;
        let mut doubts = self.doubts;
        doubts.append(&mut prepared.doubts);
        prepared.doubts = doubts;
        Ok(prepared)
    }
}
