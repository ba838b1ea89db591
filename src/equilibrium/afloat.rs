//! A boat on the water as its file has it, with what studies ask of it, each made once.
use std::fmt;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock};

use super::energy::Craft;
use super::knock::{Knock, knock, least_knock_near};
use super::rest::{EquilibriumError, Rest};
use super::rose::{self, LeanedOver, LeastLeans, TiltToFlood};
use super::settle::{Settled, settle_worse};
use super::sills::Sills;
use super::sphere::{SphereMap, map_sphere};
use crate::boat::Boat;
use crate::progress::{Progress, Unwatched};

/// A boat in one loading condition, on the water. Its rest, the map of its attitudes, its
/// knocks and its rose are made when first asked for and kept, failures too; clones share
/// them. Studies take one, or a boat of which they make one for themselves.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{boat::Boat, equilibrium::Afloat, study::{float, margins}};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let afloat = Afloat::of(&boat);
/// let (at_rest, leaned) = (float(&afloat)?, margins(&afloat)?);
/// assert_eq!(at_rest.mass_kg, leaned.mass_kg);
/// assert_eq!(afloat.made().rests, 1);
/// # Ok(())
/// # }
/// ```
#[derive(Clone)]
pub struct Afloat<'b> {
    boat: &'b Boat,
    watch: &'b dyn Progress,
    kept: Arc<Kept>,
}

/// What is kept of it.
struct Kept {
    craft: Craft,
    sills: Sills,
    rest: Once<Settled>,
    map: Once<SphereMap>,
    knocks: Once<Vec<Knock>>,
    rose: Once<Vec<(f64, LeanedOver)>>,
    least: Once<Option<(f64, TiltToFlood)>>,
}

/// How often each thing of an [`Afloat`] was worked out: once, or not at all, unless two
/// threads that had nothing yet asked at the same time.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Made {
    /// Searches for the rest of the craft set upright.
    pub rests: usize,
    /// Maps of every attitude of rest.
    pub maps: usize,
    /// Searches for the least knock through each opening.
    pub knocks: usize,
    /// Leans over every bearing.
    pub roses: usize,
    /// Searches for the least lean without a rose.
    pub least_leans: usize,
}

/// A thing that is made once.
struct Once<T> {
    made: OnceLock<Result<T, EquilibriumError>>,
    times: AtomicUsize,
}

impl<T> Once<T> {
    fn new() -> Self {
        Self {
            made: OnceLock::new(),
            times: AtomicUsize::new(0),
        }
    }

    fn times(&self) -> usize {
        self.times.load(Ordering::Relaxed)
    }

    /// The thing, made outside the lock: a thread that waits for others inside it may take
    /// up work that asks for the same. Two at once make it twice, and alike.
    fn get(
        &self,
        make: impl FnOnce() -> Result<T, EquilibriumError>,
    ) -> Result<&T, EquilibriumError> {
        let made = match self.made.get() {
            Some(made) => made,
            None => {
                self.times.fetch_add(1, Ordering::Relaxed);
                let made = make();
                self.made.get_or_init(|| made)
            }
        };
        made.as_ref().map_err(EquilibriumError::clone)
    }
}

impl<'b> Afloat<'b> {
    /// The boat as its file has it.
    #[must_use]
    pub fn of(boat: &'b Boat) -> Self {
        Self {
            boat,
            watch: &Unwatched,
            kept: Arc::new(Kept {
                craft: Craft::of(boat),
                sills: Sills::of(&boat.openings),
                rest: Once::new(),
                map: Once::new(),
                knocks: Once::new(),
                rose: Once::new(),
                least: Once::new(),
            }),
        }
    }

    /// The boat.
    #[must_use]
    pub fn boat(&self) -> &'b Boat {
        self.boat
    }

    /// The same, long studies of it watched.
    #[must_use]
    pub fn watched_by(self, watch: &'b dyn Progress) -> Self {
        Self { watch, ..self }
    }

    /// Who watches long studies of it.
    #[must_use]
    pub fn watch(&self) -> &'b dyn Progress {
        self.watch
    }

    /// The craft.
    #[must_use]
    pub fn craft(&self) -> &Craft {
        &self.kept.craft
    }

    /// The openings that let water in.
    #[must_use]
    pub fn sills(&self) -> &Sills {
        &self.kept.sills
    }

    /// Where it rests, set upright on the water, on the worse of two sides alike; held
    /// upright; and where it may rest as well.
    ///
    /// # Errors
    /// As [`settle_worse`]; a boat too heavy to float [`EquilibriumError::Sinks`].
    pub fn settled(&self) -> Result<&Settled, EquilibriumError> {
        let Kept { craft, sills, .. } = &*self.kept;
        self.kept.rest.get(|| settle_worse(craft, sills))
    }

    /// As [`Self::settled`]; `None` for a boat too heavy to float.
    ///
    /// # Errors
    /// As [`Self::settled`], but sinking is a result.
    pub fn settled_if_afloat(&self) -> Result<Option<&Settled>, EquilibriumError> {
        match self.settled() {
            Ok(settled) => Ok(Some(settled)),
            Err(EquilibriumError::Sinks { .. }) => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Where it rests, as [`Self::settled`] has it.
    ///
    /// # Errors
    /// As [`Self::settled`].
    pub fn rest(&self) -> Result<&Rest, EquilibriumError> {
        Ok(&self.settled()?.rest)
    }

    /// Every attitude of rest, openings taken as sealed.
    ///
    /// # Errors
    /// As [`Self::settled`] and [`map_sphere`].
    pub fn map(&self) -> Result<&SphereMap, EquilibriumError> {
        let rest = self.rest()?;
        let make = || map_sphere(self.craft(), std::slice::from_ref(rest));
        self.kept.map.get(make)
    }

    /// The least knock through each opening, as [`knock`] has it.
    ///
    /// # Errors
    /// As [`Self::map`].
    pub fn knocks(&self) -> Result<&[Knock], EquilibriumError> {
        let (rest, map) = (self.rest()?, self.map()?);
        let make = || Ok(knock(self.craft(), self.sills(), rest, map));
        self.kept.knocks.get(make).map(Vec::as_slice)
    }

    /// The least knock through any opening, m⁴: sought from the map and knocks of a boat
    /// nearly the same where one of those given has the same hull, openings and spaces.
    ///
    /// # Errors
    /// As [`Self::knocks`].
    pub fn least_knock_m4(&self, near: &[&Self]) -> Result<Option<f64>, EquilibriumError> {
        let is_like = |other: &&&Self| {
            Arc::ptr_eq(&other.boat.tree, &self.boat.tree)
                && other.sills() == self.sills()
                && other.craft().displacers.is_like(&self.craft().displacers)
        };
        let Some(other) = near.iter().find(is_like) else {
            let works = self.knocks()?.iter().map(|knock| knock.work_m4);
            return Ok(works.reduce(f64::min));
        };
        let (map, knocks) = (other.map()?, other.knocks()?);
        least_knock_near(self.craft(), self.sills(), self.rest()?, map, knocks)
    }

    /// Bearing, deg, and lean over it, as [`rose::rose`] has them.
    ///
    /// # Errors
    /// As [`Self::settled`] and [`rose::lean_over`].
    pub fn rose(&self) -> Result<&[(f64, LeanedOver)], EquilibriumError> {
        use rayon::iter::ParallelIterator;
        let rest = self.rest()?;
        let make = || {
            rose::rose(self.craft(), self.sills(), rest)
                .map(|(bearing_deg, found)| Ok((bearing_deg, found?)))
                .collect()
        };
        self.kept.rose.get(make).map(Vec::as_slice)
    }

    /// Bearing, deg, of the least lean of the rose that floods it, and that lean.
    ///
    /// # Errors
    /// As [`Self::settled`] and [`rose::least_lean`].
    pub fn least_lean(&self) -> Result<Option<(f64, TiltToFlood)>, EquilibriumError> {
        if let Some(Ok(rose)) = self.kept.rose.made.get() {
            return Ok(LeastLeans::of(rose.iter().cloned()).flood);
        }
        let rest = self.rest()?;
        let make = || rose::least_lean(self.craft(), self.sills(), rest);
        self.kept.least.get(make).cloned()
    }

    /// How often each thing was worked out.
    #[must_use]
    pub fn made(&self) -> Made {
        let kept = &self.kept;
        Made {
            rests: kept.rest.times(),
            maps: kept.map.times(),
            knocks: kept.knocks.times(),
            roses: kept.rose.times(),
            least_leans: kept.least.times(),
        }
    }
}

impl<'b> From<&'b Boat> for Afloat<'b> {
    fn from(boat: &'b Boat) -> Self {
        Self::of(boat)
    }
}

impl<'b> From<&Self> for Afloat<'b> {
    fn from(afloat: &Self) -> Self {
        afloat.clone()
    }
}

impl fmt::Debug for Afloat<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let made = self.made();
        let mut shown = f.debug_struct("Afloat");
        shown.field("boat", &self.boat.name).field("made", &made);
        shown.finish_non_exhaustive()
    }
}
