//! The boat that is looked at: its file, its envelope and the tree over it.
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use crate::boat::{Boat, BoatError, BoatFile, OpeningState, Outside, OutsideFinder, Tank};
use crate::equilibrium::{Craft, LevelWallsError, Liquid, StandsIn, liquid_of, with_level_walls};
use crate::numerics::Vec3;

/// Why a boat cannot be shown.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SubjectError {
    /// The boat could not be made.
    #[error(transparent)]
    Boat(#[from] BoatError),
    /// Walls that are to be level at rest, and no rest.
    #[error(transparent)]
    Level(#[from] LevelWallsError),
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
    /// The loading condition laid over it.
    pub condition: Option<String>,
    /// What it says with that condition and with everything that it extends.
    pub file: BoatFile,
    /// The boat of it, without the parts taken off.
    pub boat: Boat,
    /// How each opening stands in that boat, covers fitted.
    pub openings_given: BTreeMap<String, OpeningState>,
    /// Openings and covers left out because the part that they need is off.
    pub left_out: Vec<String>,
    /// Displacers and loose liquids, those of the tanks first, ready for any
    /// weights.
    craft: Craft,
    finder: OutsideFinder,
}

impl Subject {
    /// Reads a boat; `boat.toml#name` with its loading condition of that name.
    ///
    /// # Errors
    /// [`SubjectError::Boat`] as [`Boat::load`], [`SubjectError::NoHullMass`].
    pub fn load(path: &Path) -> Result<Self, SubjectError> {
        let (path, condition) = BoatFile::path_and_condition(path);
        let file =
            BoatFile::read_condition(&path, condition.as_deref()).map_err(BoatError::from)?;
        let file = with_level_walls(&path, file)?;
        Self::without_parts(&path, condition, &file, &BTreeSet::new())
    }

    /// The boat of a file, read with a loading condition, with some of its parts taken
    /// off. Openings whose mark no longer meets the surface are left out.
    ///
    /// # Errors
    /// As [`Self::load`].
    pub fn without_parts(
        path: &Path,
        condition: Option<String>,
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
        if !boat.has_hull_mass {
            return Err(SubjectError::NoHullMass {
                path: path.to_owned(),
            });
        }
        Ok(Self {
            path: path.to_owned(),
            condition,
            file: file.clone(),
            openings_given: boat
                .openings
                .iter()
                .map(|opening| (opening.name.clone(), opening.state))
                .collect(),
            craft: Craft::of(&boat),
            finder: OutsideFinder::of(&boat),
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

    /// The liquids loose aboard, those of the tanks first, then what stands in
    /// compartments, in their order.
    #[must_use]
    pub fn liquids(&self) -> &[Liquid] {
        &self.craft.liquids
    }

    /// Moves an item, its volume with its weight, or takes it ashore (`None`): the
    /// number is that of its entry among the boat's masses.
    pub fn put_item(&mut self, entry: usize, at_m: Option<Vec3>) {
        let outside = at_m.and_then(|at_m| {
            let thing = &mut self.boat.masses[entry];
            let by_m = at_m - thing.centre_m;
            thing.centre_m = at_m;
            if let Some(middle_m) = &mut thing.under_water.volume_centre_m {
                *middle_m += by_m;
            }
            self.finder.outside(entry, thing, &at_m)
        });
        let there = |thing: &Outside| thing.entry == entry;
        if outside.is_none() && !self.boat.outside.iter().any(there) {
            return;
        }
        self.boat.outside.retain(|thing| !there(thing));
        self.boat.outside.extend(outside);
        self.craft.displacers = Craft::without_fills(&self.boat).displacers;
    }

    /// Puts other tanks in the place of those aboard.
    pub fn put_tanks(&mut self, tanks: Vec<Tank>) {
        let in_tank = |liquid: &Liquid| matches!(liquid.stands_in, Some(StandsIn::Tank(_)));
        let mut fills = std::mem::take(&mut self.craft.liquids);
        fills.retain(|liquid| !in_tank(liquid));
        self.boat.tanks = tanks;
        let in_tanks = self.boat.tanks.iter().enumerate();
        let in_tanks = in_tanks.map(|(number, tank)| liquid_of(number, tank, &self.boat));
        self.craft.liquids = in_tanks.chain(fills).collect();
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
