//! The boat that is looked at: its file, its envelope and the tree over it.
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

use super::display_mesh::{DISPLAY_TRIANGLES, DisplayMesh};
use super::edits::Edits;
use super::made::Made;
use super::overlaid::Overlaid;
use crate::boat::{
    Boat, BoatError, BoatFile, BoatMaker, Opening, OpeningState, Outside, OutsideFinder, Tank,
    rim_on_skin,
};
use crate::equilibrium::{Craft, LevelWallsError, Liquid, StandsIn, liquid_of, with_level_walls};
use crate::files::{Disk, Files};
use crate::mesh::FaceRuns;
use crate::numerics::Vec3;

/// Shapes kept of those joined: to go back a step joins nothing.
const SHAPES_KEPT: usize = 3;
/// What a boat file that is not yet saved is called, in messages too.
const NOT_SAVED: &str = "made here.toml";

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
#[derive(Clone)]
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
    /// The faces of its envelope by place.
    runs: Arc<FaceRuns>,
    /// The hull as it is drawn, once it was.
    drawn: Arc<OnceLock<DisplayMesh>>,
    /// Names of the openings that were made here.
    made_openings: BTreeSet<String>,
    /// Why an opening made here has no rim.
    pub no_rim: Option<String>,
    maker: Arc<BoatMaker>,
    from: Arc<dyn Files>,
}

impl std::fmt::Debug for Subject {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let mut shown = f.debug_struct("Subject");
        shown.field("path", &self.path).finish_non_exhaustive()
    }
}

impl Subject {
    /// Reads a boat; `boat.toml#name` with its loading condition of that name.
    ///
    /// # Errors
    /// [`SubjectError::Boat`] as [`Boat::load`], [`SubjectError::NoHullMass`].
    pub fn load(path: &Path) -> Result<Self, SubjectError> {
        Self::load_from(Arc::new(Disk), path)
    }

    /// As [`Self::load`], from elsewhere.
    ///
    /// # Errors
    /// As [`Self::load`].
    pub fn load_from(from: Arc<dyn Files>, path: &Path) -> Result<Self, SubjectError> {
        let file = BoatFile::read_from(&from, path).map_err(BoatError::from)?;
        let file = with_level_walls(path, file)?;
        let (path, condition) = BoatFile::path_and_condition(path);
        let maker = Arc::new(BoatMaker::keeping(SHAPES_KEPT));
        Self::of(&path, condition, &file, &BTreeSet::new(), maker, from)
    }

    /// The same boat with what was made, put aboard and taken off here. `base` is its file
    /// with the loading condition chosen.
    ///
    /// # Errors
    /// As [`Self::load`].
    pub fn with(&self, base: &BoatFile, edits: &Edits) -> Result<Self, SubjectError> {
        let again = |file: &BoatFile| {
            let (maker, from) = (Arc::clone(&self.maker), Arc::clone(&self.from));
            let condition = edits.condition.clone();
            Self::of(&self.path, condition, file, &edits.parts_off, maker, from)
        };
        if edits.made.is_empty() && edits.stowed().next().is_none() {
            return again(base);
        }
        let name = self.path.file_name().unwrap_or_default().to_string_lossy();
        let extends = match &edits.condition {
            Some(condition) => format!("{name}#{condition}"),
            None => name.into_owned(),
        };
        let path = self.path.with_file_name(NOT_SAVED);
        let overlaid: Arc<dyn Files> = Arc::new(Overlaid {
            under: Arc::clone(&self.from),
            path: path.clone(),
            text: edits.only_made(&extends),
        });
        let file = BoatFile::read_from(&overlaid, &path).map_err(BoatError::from)?;
        let mut file = with_level_walls(&path, file)?;
        file.name.clone_from(&base.name);
        file.files.clone_from(&base.files);
        again(&file)
    }

    /// The boat with its items and openings as they are now: what is aboard takes room
    /// where it is.
    ///
    /// # Errors
    /// As [`Self::load`].
    pub fn as_edited(&self, edits: &Edits) -> Result<Self, SubjectError> {
        let (maker, from) = (Arc::clone(&self.maker), Arc::clone(&self.from));
        let (file, off) = (edits.edited(&self.file), &edits.parts_off);
        let mut made = Self::of(&self.path, edits.condition.clone(), &file, off, maker, from)?;
        for opening in &mut made.boat.openings {
            let changed = edits.openings.get(&opening.name);
            opening.state = *changed.unwrap_or(&opening.state);
        }
        Ok(made)
    }

    /// The same file with another loading condition.
    ///
    /// # Errors
    /// As [`Self::load`].
    pub fn file_in(&self, condition: Option<&str>) -> Result<BoatFile, SubjectError> {
        let mut path = self.path.clone().into_os_string();
        if let Some(condition) = condition {
            path.push(format!("#{condition}"));
        }
        let file = BoatFile::read_from(&self.from, Path::new(&path)).map_err(BoatError::from)?;
        Ok(with_level_walls(Path::new(&path), file)?)
    }

    /// The boat of a file, read with a loading condition, with some of its parts taken
    /// off. Openings whose mark no longer meets the surface are left out.
    fn of(
        path: &Path,
        condition: Option<String>,
        file: &BoatFile,
        off: &BTreeSet<String>,
        maker: Arc<BoatMaker>,
        from: Arc<dyn Files>,
    ) -> Result<Self, SubjectError> {
        let mut fewer = file.clone();
        fewer.parts.retain(|part| !off.contains(&part.name));
        let mut left_out = Vec::new();
        let boat = loop {
            match maker.make(path, &fewer) {
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
            runs: Arc::new(FaceRuns::of(&boat.envelope.surface)),
            drawn: Arc::default(),
            made_openings: BTreeSet::new(),
            no_rim: None,
            boat,
            left_out,
            maker,
            from,
        })
    }

    /// Its faces by place.
    #[must_use]
    pub fn runs(&self) -> &FaceRuns {
        &self.runs
    }

    /// The hull as it is drawn.
    #[must_use]
    pub fn drawn(&self) -> &DisplayMesh {
        self.drawn.get_or_init(|| {
            let surface = &self.boat.envelope.surface;
            DisplayMesh::new(surface, self.boat.skin_faces, DISPLAY_TRIANGLES)
        })
    }

    /// Takes over the drawing of another that has the same hull; says whether it has.
    pub fn drawn_as(&mut self, other: &Self) -> bool {
        let same = Arc::ptr_eq(&self.boat.tree, &other.boat.tree);
        if same {
            self.drawn = Arc::clone(&other.drawn);
        }
        same
    }

    /// Puts the openings made here where they are now: their true rims, at once. What
    /// they flood is known once the boat is made anew.
    pub fn put_openings(&mut self, made: &[Made]) {
        self.no_rim = None;
        let here = made.iter().filter(|m| m.kind.is_opening() && m.is_whole());
        let names: BTreeSet<String> = here.clone().map(|made| made.name.clone()).collect();
        let gone = |name: &String| self.made_openings.contains(name) && !names.contains(name);
        self.boat.openings.retain(|o| !gone(&o.name));
        for made in here {
            let rim = match made.on_skin() {
                None => made.points_m.clone(),
                Some(given) => match rim_on_skin(&self.boat.envelope, &self.runs, &given) {
                    Ok(rim) => rim,
                    Err(why) => {
                        self.no_rim = Some(format!("{}: {why}", made.name));
                        continue;
                    }
                },
            };
            match self.boat.openings.iter_mut().find(|o| o.name == made.name) {
                Some(opening) => opening.rim = rim,
                None => self.boat.openings.push(Opening {
                    name: made.name.clone(),
                    state: made.state,
                    floods: None,
                    over: Vec::new(),
                    discharge: None,
                    rim_spread_m: 0.0,
                    cap: None,
                    rim,
                }),
            }
        }
        self.made_openings = names;
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
