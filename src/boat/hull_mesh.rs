//! One way from a mesh file to a surface in metres, and from that to a closed
//! hull, which every command shares.
use std::path::{Path, PathBuf};

use super::file::{Hull, MeshUnits, point_m};
use super::plausible::{
    EnclosesNothing, check_encloses, doubt_hull_size, doubt_precision, doubt_two_sides,
};
use crate::files::Files;
use crate::mesh::{
    self, Carried, Doubt, DoubtKind, FacetNumbers, MendError, MendRecipe, Mended, MeshError,
    NoLength, Placement, PrepareOptions, Prepared, Surface, UnitGuess,
};

/// A mesh of no known unit is looked at as if it were so long, m: a hull on a floor.
const LOOKED_AT_M: f64 = 5.0;

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
    /// Metres in one unit of the file; `None` where a given length settles the scale.
    pub metres_a_unit: Option<f64>,
    /// What a mesh that was mended before tells of itself, m.
    pub carried: Option<Carried>,
}

/// Reads a mesh file. Without `metres_a_unit` the unit is the format's own
/// (metres in GLB) or else guessed, and the guess becomes a doubt where
/// `guess_matters`.
///
/// # Errors
/// [`MeshError`] with the path when the file cannot be read as a mesh.
pub fn read_mesh(
    files: &dyn Files,
    path: &Path,
    metres_a_unit: Option<f64>,
    guess_matters: bool,
) -> Result<MeshInMetres, MeshError> {
    let mut raw = mesh::read_mesh(files, path)?;
    let mut doubts = std::mem::take(&mut raw.doubts);
    let unit_guess = match metres_a_unit {
        Some(_) => None,
        None => Some(guessed_unit(&raw, guess_matters, &mut doubts)),
    };
    let guessed = unit_guess.as_ref().map(|guess| guess.factor);
    doubts.extend(doubt_precision(&raw.surface));
    let metres_a_unit = metres_a_unit.or(guessed).unwrap_or(1.0);
    let welded = mesh::weld(raw.surface, metres_a_unit);
    doubts.extend(welded.doubts);
    Ok(MeshInMetres {
        surface: welded.surface,
        options: PrepareOptions {
            facets: raw.facets,
            ..PrepareOptions::default()
        },
        doubts,
        unit_guess,
        metres_a_unit: Some(metres_a_unit),
        carried: raw.carried.map(|told| told.scaled(metres_a_unit)),
    })
}

fn guessed_unit(raw: &mesh::RawMesh, guess_matters: bool, doubts: &mut Vec<Doubt>) -> UnitGuess {
    let longest = raw.longest_side();
    let mut guess = mesh::guess_unit(longest);
    if raw.metres_a_unit.is_none() {
        // The floor that a hull was scanned on may be any length; it is looked for near its
        // true size, since a scanner's cove is so many millimetres.
        let near = LOOKED_AT_M / longest;
        let seen = scaled(&raw.surface, near);
        let floor = mesh::without_floor(&seen);
        if let Some((hull, ..)) = &floor {
            guess = mesh::guess_unit(mesh::length_of(hull) / near);
        }
        let hull = floor.map_or(seen, |(hull, ..)| hull);
        let has_two_sides =
            |guess: &UnitGuess| mesh::two_sides(&scaled(&hull, guess.factor / near)).is_some();
        if let Some(other) = guess.other_way()
            && has_two_sides(&other)
            && !has_two_sides(&guess)
        {
            guess = other;
        }
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

fn scaled(surface: &Surface, scale: f64) -> Surface {
    let mut scaled = surface.clone();
    for v in &mut scaled.vertices {
        *v *= scale;
    }
    scaled
}

impl MeshInMetres {
    /// Mends, turns outward and caps it, and gathers all doubts of it in the
    /// order in which they came up.
    ///
    /// # Errors
    /// [`EnclosesNothing`] when what comes of it is no solid.
    pub fn into_hull(self) -> Result<Prepared, EnclosesNothing> {
        let metres_a_unit = self.metres_a_unit;
        let mut prepared = self.into_solid()?;
        let skin = prepared.two_sides().map(doubt_two_sides);
        prepared.doubts.extend(skin);
        let size = doubt_hull_size(&prepared.surface, metres_a_unit);
        prepared.doubts.extend(size);
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

/// How a mesh file becomes a hull in the boat frame.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HullPlan {
    /// The mesh file.
    pub mesh: PathBuf,
    /// Metres in one unit of it, where that is known.
    pub metres_a_unit: Option<f64>,
    /// How it is mended, where it is a raw scan.
    pub mend: Option<MendRecipe>,
    /// How it is turned, scaled and shifted.
    pub placement: Placement,
    /// Holes shorter round than this are scan defects, m.
    pub fill_under_m: Option<f64>,
}

/// Why a mesh file did not become a hull.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum HullError {
    /// It could not be read.
    #[error(transparent)]
    Mesh(#[from] MeshError),
    /// It could not be mended.
    #[error(transparent)]
    Mend(#[from] MendError),
    /// It could not be scaled.
    #[error(transparent)]
    NoLength(#[from] NoLength),
    /// It is no solid.
    #[error(transparent)]
    EnclosesNothing(#[from] EnclosesNothing),
}

impl Hull {
    /// Whether the file says that the hull lies right as it is, whatever its looks, by a
    /// turn of nothing.
    pub(super) fn lies_right(&self) -> bool {
        self.turn.as_ref().is_some_and(|turn| {
            [turn.about_x, turn.about_y, turn.about_z]
                .iter()
                .all(|angle| angle.value == 0.0)
        })
    }

    /// How the file wants its mesh to become the hull.
    #[must_use]
    pub fn plan(&self) -> HullPlan {
        HullPlan {
            mesh: self.mesh.clone(),
            metres_a_unit: self.units.map(MeshUnits::metres),
            mend: self.mend.clone(),
            placement: Placement {
                turn: self.turn.as_ref().map(|turn| {
                    nalgebra::Rotation3::from_euler_angles(
                        turn.about_x.value.to_radians(),
                        turn.about_y.value.to_radians(),
                        turn.about_z.value.to_radians(),
                    )
                }),
                scale_to_length_m: self.scale_to_length.map(|length| length.value),
                origin_m: self.origin.as_ref().map(point_m),
            },
            fill_under_m: self.fill_under.map(|under| under.value),
        }
    }
}

impl HullPlan {
    /// Reads the mesh in metres, not mended or placed.
    ///
    /// # Errors
    /// [`MeshError`] with the path.
    pub fn read(&self, files: &dyn Files) -> Result<MeshInMetres, MeshError> {
        let guess_matters = self.placement.scale_to_length_m.is_none();
        let mut read = read_mesh(files, &self.mesh, self.metres_a_unit, guess_matters)?;
        read.metres_a_unit = read.metres_a_unit.filter(|_| guess_matters);
        if let Some(under_m) = self.fill_under_m {
            read.options.fill_under_m = under_m;
        }
        Ok(read)
    }

    /// Reads, mends and places the mesh, and closes it.
    ///
    /// # Errors
    /// [`HullError`] with the reason.
    pub fn make(&self, files: &dyn Files) -> Result<Prepared, HullError> {
        let mut read = self.read(files)?;
        let (mut errors_m, mut tilt, mut area) = (Vec::new(), None, None);
        match &self.mend {
            Some(recipe) => {
                let mut mended = mesh::mend(
                    read.surface,
                    &read.options.facets,
                    recipe,
                    &self.placement,
                    &|_| {},
                )?;
                mended.keep_what_was_told(read.carried, recipe, &self.placement);
                let Mended {
                    surface,
                    doubts,
                    rim_errors_m,
                    tilt_error,
                    area_share,
                    ..
                } = mended;
                read.surface = surface;
                errors_m = rim_errors_m;
                tilt = tilt_error;
                area = area_share;
                if !recipe.keep.is_empty() {
                    // All that was to be filled is filled.
                    read.options.fill_under_m = 0.0;
                }
                read.options.facets = FacetNumbers::default();
                read.doubts.extend(doubts);
            }
            None => {
                self.placement.apply(&mut read.surface)?;
            }
        }
        let mut hull = read.into_hull()?;
        // Both run from the longest opening to the shortest.
        let open = hull.loops.iter_mut().filter(|capped| !capped.mended);
        for (capped, error) in open.zip(errors_m) {
            capped.height_error_m = error;
        }
        hull.tilt_error = tilt;
        hull.area_share = area;
        Ok(hull)
    }
}
