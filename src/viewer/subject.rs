//! The boat that is looked at: its file, its envelope and the tree over it.
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use crate::boat::{Boat, BoatError, BoatFile, OpeningState};
use crate::equilibrium::Craft;

/// Why a boat can not be shown.
#[derive(Debug, thiserror::Error)]
pub enum SubjectError {
    /// The boat could not be made.
    #[error(transparent)]
    Boat(#[from] BoatError),
    /// A boat without a weight floats nowhere.
    #[error(
        "{}: [hull] has no mass: weigh the bare hull and give `mass` and `centre`, or give `skin`",
        path.display()
    )]
    NoHullMass {
        /// The boat file.
        path: PathBuf,
    },
}

/// A boat ready to be floated many times a second.
#[derive(Debug, Clone)]
pub struct Subject {
    /// The boat file.
    pub path: PathBuf,
    /// What it says, with everything that it extends.
    pub file: BoatFile,
    /// The boat of it, without the parts taken off.
    pub boat: Boat,
    /// How each opening stands in that boat, covers fitted.
    pub openings_given: BTreeMap<String, OpeningState>,
    /// Openings and covers left out because the part that they need is off.
    pub left_out: Vec<String>,
    /// Displacers and loose liquids, ready for any weights.
    craft: Craft,
}

impl Subject {
    /// Reads a boat.
    ///
    /// # Errors
    /// [`SubjectError::Boat`] as [`Boat::load`], [`SubjectError::NoHullMass`].
    pub fn load(path: &Path) -> Result<Self, SubjectError> {
        let file = BoatFile::read(path).map_err(BoatError::from)?;
        let subject = Self::without_parts(path, &file, &BTreeSet::new())?;
        if subject.boat.has_hull_mass {
            Ok(subject)
        } else {
            Err(SubjectError::NoHullMass {
                path: path.to_owned(),
            })
        }
    }

    /// The boat of a file with some of its parts taken off. Openings whose mark
    /// no longer meets the surface are left out.
    ///
    /// # Errors
    /// [`SubjectError::Boat`] as [`Boat::load`].
    pub fn without_parts(
        path: &Path,
        file: &BoatFile,
        off: &BTreeSet<String>,
    ) -> Result<Self, SubjectError> {
        let mut fewer = file.clone();
        fewer.parts.retain(|part| !off.contains(&part.name));
        let mut left_out = Vec::new();
        let boat = loop {
            match Boat::of_file(path, &fewer) {
                Err(BoatError::MissesTheSurface { name, .. }) if !off.is_empty() => {
                    fewer.openings.retain(|opening| opening.name != name);
                    left_out.push(name);
                }
                Err(BoatError::CoversNothing { name, .. }) if !off.is_empty() => {
                    fewer.parts.retain(|part| part.name != name);
                    left_out.push(name);
                }
                other => break other?,
            }
        };
        Ok(Self {
            path: path.to_owned(),
            file: file.clone(),
            openings_given: boat
                .openings
                .iter()
                .map(|opening| (opening.name.clone(), opening.state))
                .collect(),
            craft: Craft::dry(&boat),
            boat,
            left_out,
        })
    }

    /// The craft with everything that is aboard now, dry.
    #[must_use]
    pub fn craft(&self) -> Craft {
        Craft {
            mass_kg: self.boat.mass_kg(),
            centre_of_gravity_m: self.boat.centre_of_gravity_m(),
            ..self.craft.clone()
        }
    }

    /// Whether a fitted cover part closes an opening that its own table leaves
    /// open: it opens by taking that part off.
    #[must_use]
    pub fn is_closed_by_part(&self, opening: &str) -> bool {
        let given = self.openings_given.get(opening);
        let in_file = self.file.openings.iter().find(|o| o.name == opening);
        given == Some(&OpeningState::Covered)
            && in_file.is_none_or(|o| o.state != OpeningState::Covered)
    }
}
