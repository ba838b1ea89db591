//! Parts read, joined to the envelope or cut from it, and weighed.
use std::collections::HashMap;
use std::path::Path;

use super::compartment::{Solid, SolidShape};
use super::envelope::{AreaMoment, BooleanError, Envelope, FaceSource, Operation};
use super::file::{self, BoatFile, Role, Shape, Weight, point_m};
use super::hull_mesh::read_mesh;
use super::load::mesh_error;
use super::opening::Opening;
use super::parts::{moved, outline_solid, plate_mass};
use super::{BoatError, MassEntry, OpeningState, PartAboard};
use crate::mesh::{self, Combine, DEFAULT_CELL_M, Doubt, DoubtKind, Surface, solids};
use crate::numerics::Vec3;
use crate::quantity::Quantity;

/// Sides of the prism that stands for a cylindrical part.
const CYLINDER_SIDES: usize = 96;
/// Share of the volume by which a boolean may differ from the column check
/// before it is doubted: the check's own error stays under it.
const CHECK_TOLERANCE: f64 = 2e-4;
/// Share of the hull's volume below which a part counts as changing nothing.
const CHANGES_NOTHING: f64 = 1e-9;

/// The envelope with every part of the file in it.
pub(super) struct WithParts {
    /// The envelope.
    pub(super) envelope: Envelope,
    /// Skin that later parts cover: it is still there and still weighs.
    pub(super) buried: HashMap<FaceSource, AreaMoment>,
    /// What each part is by itself, in the file's order.
    made: Vec<Made>,
}

/// A part before it was joined.
struct Made {
    centroid_m: Vec3,
    volume_m3: f64,
    /// Mass of the plate that it is, kg, and its centre, m: covers only.
    plate: Option<(f64, Vec3)>,
    /// What it changes of the envelope.
    change: Surface,
    /// Its solid, where it is of foam.
    foam: Option<Surface>,
}

/// Joins and cuts all parts of the file, in its order.
pub(super) fn with_parts(
    file: &BoatFile,
    hull: Envelope,
    doubts: &mut Vec<Doubt>,
) -> Result<WithParts, BoatError> {
    let mut all = WithParts {
        envelope: hull,
        buried: HashMap::new(),
        made: Vec::with_capacity(file.parts.len()),
    };
    for (index, part) in (0..).zip(&file.parts) {
        let solid = read_part(part, doubts)?;
        let mut made = Made {
            centroid_m: solid.volume_centroid_m(),
            volume_m3: solid.signed_volume_m3(),
            plate: None,
            change: Surface::default(),
            foam: matches!(part.weight, Weight::Foam(_)).then(|| solid.clone()),
        };
        if part.role == Role::Cover {
            if let Weight::Skin(skin) = &part.weight {
                made.plate = Some(plate_mass(&solid, skin));
            }
        } else {
            let after = add_part(&all.envelope, part, index, solid, &mut all.buried, doubts)?;
            made.change = mesh::change_between(&all.envelope.surface, &after.surface);
            all.envelope = after;
        }
        all.made.push(made);
    }
    Ok(all)
}

impl WithParts {
    /// The solids of foam, which take the room where they stand.
    pub(super) fn foams<'a>(&mut self, file: &'a BoatFile) -> Vec<Solid<'a>> {
        let made = file.parts.iter().zip(&mut self.made);
        made.filter_map(|(part, made)| {
            Some(Solid {
                name: &part.name,
                at_m: made.centroid_m,
                shape: SolidShape::Surface(made.foam.take()?),
                compartment: None,
            })
        })
        .collect()
    }

    /// What each part weighs and changes; `area_of` gives the skin of a source,
    /// seen and buried.
    pub(super) fn aboard(
        &mut self,
        file: &BoatFile,
        area_of: impl Fn(FaceSource) -> AreaMoment,
    ) -> Vec<PartAboard> {
        (0..)
            .zip(&file.parts)
            .zip(std::mem::take(&mut self.made))
            .map(|((index, part), made)| PartAboard {
                name: part.name.clone(),
                role: part.role,
                mass: made.mass(part, &area_of(FaceSource::Part(index))),
                change: made.change,
            })
            .collect()
    }
}

impl Made {
    fn mass(&self, part: &file::Part, area: &AreaMoment) -> Option<MassEntry> {
        match &part.weight {
            Weight::Weighed { mass, centre } => {
                let at = point_m(&part.at);
                let centre_m = centre.map_or(self.centroid_m, |c| point_m(&c) + at);
                let entry = MassEntry::new(&part.name, *mass, centre_m, centre.as_ref());
                Some(entry)
            }
            Weight::Skin(skin) => match self.plate {
                Some((mass_kg, centre_m)) => {
                    Some(MassEntry::of_laid_up(&part.name, mass_kg, centre_m, skin))
                }
                None => MassEntry::of_skin(&part.name, area, skin),
            },
            Weight::Foam(density) => {
                let mass = Quantity {
                    value: self.volume_m3 * density.value,
                    spread: self.volume_m3 * density.spread,
                };
                Some(MassEntry {
                    solid_m3: Some(self.volume_m3),
                    ..MassEntry::new(&part.name, mass, self.centroid_m, None)
                })
            }
            Weight::Unknown => None,
        }
    }
}

/// The closed solid of a part, where it belongs.
fn read_part(part: &file::Part, doubts: &mut Vec<Doubt>) -> Result<Surface, BoatError> {
    let surface = match &part.shape {
        Shape::Mesh { path, units } => {
            let read =
                read_mesh(path, units.map(file::MeshUnits::metres), true).map_err(|source| {
                    mesh_error(&format!("part \"{}\"", part.name), &part.place, source)
                })?;
            let prepared = read.into_solid().map_err(|source| BoatError::NoSolid {
                what: format!("part \"{}\"", part.name),
                place: part.place.clone(),
                source,
            })?;
            let named = prepared.doubts.into_iter().map(|doubt| {
                Doubt::new(
                    doubt.kind,
                    format!("part \"{}\": {}", part.name, doubt.text),
                )
            });
            doubts.extend(named);
            prepared.surface
        }
        Shape::Box(shape) => {
            let (lo, hi) = shape.corners_m();
            solids::cuboid(lo, hi)
        }
        Shape::Cylinder(shape) => solids::cylinder(
            point_m(&shape.from),
            point_m(&shape.to),
            shape.radius.value,
            CYLINDER_SIDES,
        ),
        Shape::Outline(outline) => outline_solid(outline),
    };
    Ok(moved(surface, &part.at))
}

/// A cutter's closed solid.
pub(super) fn read_cutter(
    opening: &file::Opening,
    path: &Path,
    units: Option<file::MeshUnits>,
) -> Result<Surface, BoatError> {
    let what = || format!("opening \"{}\"", opening.name);
    let read = read_mesh(path, units.map(file::MeshUnits::metres), true)
        .map_err(|source| mesh_error(&what(), &opening.place, source))?;
    let prepared = read.into_solid().map_err(|source| BoatError::NoSolid {
        what: what(),
        place: opening.place.clone(),
        source,
    })?;
    Ok(prepared.surface)
}

/// Closes the openings that covers name.
pub(super) fn close_by_covers(file: &BoatFile, openings: &mut [Opening]) -> Result<(), BoatError> {
    for part in &file.parts {
        let Some(covers) = &part.covers else {
            continue;
        };
        match openings.iter_mut().find(|opening| opening.name == *covers) {
            Some(opening) => opening.state = OpeningState::Covered,
            None => {
                return Err(BoatError::CoversNothing {
                    name: part.name.clone(),
                    place: part.place.clone(),
                    wanted: covers.clone(),
                    openings: openings.iter().map(|o| o.name.clone()).collect(),
                });
            }
        }
    }
    Ok(())
}

/// Joins or cuts one part, checks the volume by columns, and remembers the
/// skin that it covers.
fn add_part(
    envelope: &Envelope,
    part: &file::Part,
    index: u32,
    solid: Surface,
    buried: &mut HashMap<FaceSource, AreaMoment>,
    doubts: &mut Vec<Doubt>,
) -> Result<Envelope, BoatError> {
    let other = Envelope::of_part(solid, index);
    let operation = match part.role {
        Role::Recess => Operation::Cut,
        Role::Add | Role::Attach | Role::Cover => Operation::Join,
    };
    let combined = envelope
        .combine(&other, operation)
        .map_err(|source: BooleanError| BoatError::Part {
            name: part.name.clone(),
            place: part.place.clone(),
            source,
        })?;
    let before = envelope.surface.signed_volume_m3();
    let after = combined.surface.signed_volume_m3();
    // Foam inside the hull is there for when water comes in.
    let may_be_inside = matches!(part.weight, Weight::Foam(_)) && operation == Operation::Join;
    let changes = (after - before).abs() > CHANGES_NOTHING * before;
    if !(changes || may_be_inside) {
        doubts.push(Doubt::new(
            DoubtKind::Part,
            format!(
                "part \"{}\" changes nothing: it lies {}; check its place and units",
                part.name,
                if operation == Operation::Join {
                    "wholly inside the hull"
                } else {
                    "clear of the hull"
                }
            ),
        ));
    }
    let overlaps = after - before < (1.0 - CHANGES_NOTHING) * other.surface.signed_volume_m3();
    // A part set face to face on the hull overlaps nothing and still touches.
    let touches = operation == Operation::Cut
        || overlaps
        || shells(&combined.surface) < shells(&envelope.surface) + shells(&other.surface);
    if !touches && part.role != Role::Attach {
        doubts.push(Doubt::new(
            DoubtKind::Part,
            format!(
                "part \"{}\" does not touch the hull: it floats beside it in these numbers; check its place and units",
                part.name
            ),
        ));
    }
    let check = mesh::combined_volume(
        &envelope.surface,
        &other.surface,
        match operation {
            Operation::Join | Operation::Keep => Combine::Union,
            Operation::Cut => Combine::Difference,
        },
        DEFAULT_CELL_M,
    );
    let off = (after - check).abs() / check.abs().max(f64::MIN_POSITIVE);
    if off > CHECK_TOLERANCE {
        doubts.push(Doubt::new(
            DoubtKind::Part,
            format!(
                "part \"{}\": the volume after it, {:.2} L, differs by {:.2} % from an independent check by columns; the meshes overlap themselves or are not closed",
                part.name,
                after * 1e3,
                off * 100.0
            ),
        ));
    }
    if operation == Operation::Join {
        let now = combined.areas();
        for (source, was) in envelope.areas() {
            let left = now.get(&source).copied().unwrap_or_default();
            let sum = buried.entry(source).or_default();
            *sum = sum.plus(&was.minus(&left));
        }
    }
    Ok(combined)
}

/// How many pieces a surface is made of.
fn shells(surface: &Surface) -> usize {
    mesh::examine(surface).shells.len()
}
