//! Parts read, joined to the envelope or cut from it, and weighed.
use std::collections::{HashMap, HashSet};
use std::path::Path;

use super::compartment::Solid;
use super::envelope::{
    AreaMoment, BooleanError, Combined, Envelope, FaceSource, Joinable, Operation,
};
use super::file::{self, BoatFile, Built, Foot, Role, Shape, Weight, point_m};
use super::hull_mesh::read_mesh;
use super::opening::Opening;
use super::parts::{moved, outline_solid, plate_mass};
use super::shaped::mesh_error;
use super::walls::{foot_of, wall_solid};
use super::{BoatError, FoamBlock, MassEntry, OpeningState, PartAboard, PartSheet, SheetLies};
use crate::files::Files;
use crate::mesh::{self, Combine, DEFAULT_CELL_M, Doubt, DoubtKind, Reach, Surface, solids};
use crate::numerics::Vec3;
use crate::quantity::{Quantity, litres, sentence};

mod from_hull;

/// Sides of the prism that stands for a cylindrical part. Its section has the
/// circle's area, so its corners stand out by 0.005 % of the radius and the middles
/// of its sides lie in by half of that.
const CYLINDER_SIDES: usize = 256;
/// Share of the volume by which a boolean may differ from the column check
/// before it is doubted: the check's own error stays under it.
const CHECK_TOLERANCE: f64 = 2e-4;
/// Share of the hull's volume below which a part counts as changing nothing.
const CHANGES_NOTHING: f64 = 1e-9;
/// Share of a part's volume within which a cut took all of it.
const VOID_WITHIN: f64 = 1e-9;
/// Most pieces of a hull that are joined: past that the mesh is broken rather
/// than made of parts.
const MOST_PIECES: usize = 50;

/// The envelope with every part of the file in it.
#[derive(Clone)]
pub(super) struct WithParts {
    /// The envelope.
    pub(super) envelope: Joinable,
    /// Skin that later parts cover: it is still there and still weighs.
    pub(super) buried: HashMap<FaceSource, AreaMoment>,
    /// What each part is by itself, in the file's order.
    made: Vec<Made>,
    /// Closed walls by name, and the number of the cap over each.
    pub(super) wall_tops: Vec<(String, u32)>,
    /// Openings in the skin that a wall goes round, and the cap over that wall.
    pub(super) coamings: Vec<(String, u32)>,
    /// The rooms of pockets, by the names of their parts.
    pockets: Vec<(String, Surface)>,
    /// The envelope as it was before the first of them.
    before_pockets: Option<Joinable>,
    /// How many caps there are.
    caps: u32,
    /// y of the hull's own middle, m.
    middle_y_m: f64,
    /// Parts that were joined with the whole hull, for what is near them did not do.
    pub(super) whole_joins: usize,
    /// Volume of the envelope, m³.
    volume_m3: f64,
}

/// Volumes round the joining of one part, m³.
struct Volumes {
    /// Of the envelope before.
    before_m3: f64,
    /// Of the part by itself.
    part_m3: f64,
    /// Of what came, less what went.
    change_m3: f64,
}

impl Volumes {
    fn after_m3(&self) -> f64 {
        self.before_m3 + self.change_m3
    }
}

/// A part before it was joined.
#[derive(Clone)]
struct Made {
    centroid_m: Vec3,
    volume_m3: f64,
    /// Mass of the sheet that it is, kg, and its centre, m: covers and walls.
    plate: Option<(f64, Vec3)>,
    /// What it changes of the envelope.
    change: Surface,
    /// Its solid, where it is of foam.
    foam: Option<Surface>,
    /// The sheets that it is made of.
    sheets: Vec<PartSheet>,
    /// The solid of a filling, and how thick its sheets are.
    block: Option<FoamBlock>,
    /// What is glassed of foam, where that does not show on the envelope.
    glassed: Option<AreaMoment>,
    /// The room under a lifted panel, where that is closed.
    room: Option<Surface>,
}

/// Joins and cuts all parts of the file, in its order. The open tops of walls
/// are counted as caps on from those of the hull's `open_edges`; `middle_y_m` is where its own
/// middle lies.
pub(super) fn with_parts(
    file: &BoatFile,
    hull: Joinable,
    (open_edges, middle_y_m): (usize, f64),
    doubts: &mut Vec<Doubt>,
) -> Result<WithParts, BoatError> {
    let mut all = WithParts {
        caps: u32::try_from(open_edges).unwrap_or(u32::MAX),
        volume_m3: hull.envelope().surface.signed_volume_m3(),
        whole_joins: 0,
        envelope: hull,
        buried: HashMap::new(),
        made: Vec::with_capacity(file.parts.len()),
        wall_tops: Vec::new(),
        coamings: Vec::new(),
        pockets: Vec::new(),
        before_pockets: None,
        middle_y_m,
    };
    for (index, part) in (0..).zip(&file.parts) {
        if let Shape::Wall(wall) = &part.shape
            && let Foot::Round(round) = &wall.foot
        {
            let made = all.raise(file, part, index, wall, round, doubts)?;
            all.made.push(made);
            continue;
        }
        if let Shape::Built(built) = &part.shape {
            let made = all.build(file, part, index, built, doubts)?;
            all.made.push(made);
            continue;
        }
        let (solid, top_faces) = read_part(&*file.from, part, doubts)?;
        let mut made = Made::of_solid(&solid);
        made.foam = matches!(part.weight, Weight::Foam(_)).then(|| solid.clone());
        if let Shape::Wall(wall) = &part.shape {
            let foot = foot_of(wall, &point_m(&part.at));
            made.plate = plate_of(part, &foot.sheet(wall.height.value));
            made.sheets = standing(foot.strip(wall.height.value));
        }
        if part.role == Role::Cover {
            if let Weight::Skin(skin) = &part.weight {
                made.plate = Some(plate_mass(&solid, skin));
            }
        } else {
            let mut solid = Envelope::of_part(solid, index);
            if top_faces > 0 {
                let cap = all.next_cap();
                solid.sources[..top_faces].fill(FaceSource::Cap(cap));
                all.wall_tops.push((part.name.clone(), cap));
            }
            made.change = all.add(part, &solid, doubts)?;
        }
        all.made.push(made);
    }
    Ok(all)
}

impl WithParts {
    /// Joins or cuts one part, checks the volume by columns, remembers the skin
    /// that it covers and says what it changed.
    fn add(
        &mut self,
        part: &file::Part,
        other: &Envelope,
        doubts: &mut Vec<Doubt>,
    ) -> Result<Surface, BoatError> {
        let operation = match part.role {
            Role::Recess => Operation::Cut,
            Role::Add | Role::Attach | Role::Cover => Operation::Join,
        };
        let combined = self.envelope.combined(other, operation);
        let combined = combined.map_err(|source: BooleanError| BoatError::Part {
            name: part.name.clone(),
            place: part.place.clone(),
            source,
        })?;
        self.whole_joins += usize::from(matches!(combined, Combined::Whole(_)));
        let before = self.envelope.envelope();
        // What differs: elsewhere the envelope is the same before and after.
        let gone = match &combined {
            Combined::Near(near) => Some(before.piece(&near.gone)),
            Combined::Whole(_) => None,
        };
        let was = gone.as_ref().unwrap_or(before);
        let is = match &combined {
            Combined::Near(near) => &near.came,
            Combined::Whole(whole) => whole.envelope(),
        };
        let change = mesh::change_between(&was.surface, &is.surface);
        let volumes = Volumes {
            before_m3: self.volume_m3,
            part_m3: other.surface.signed_volume_m3(),
            change_m3: change.signed_volume_m3(),
        };
        if operation == Operation::Cut && is_void(&volumes, was, is) {
            doubts.push(Doubt::new(
                DoubtKind::Part,
                format!(
                    "part \"{}\" is a void wholly inside the hull, which no water gets into: it is left out, since it costs no buoyancy; to open it to the water, let it reach through the skin",
                    part.name
                ),
            ));
            return Ok(Surface::default());
        }
        let no_change = doubt_of_no_change(part, operation, &volumes);
        let touch = doubt_of_touch(part, operation, &volumes, was, is);
        let checked_m3 = self.checked_change_m3(other, operation);
        if operation == Operation::Join {
            let now = is.areas();
            for (source, was) in was.areas() {
                let left = now.get(&source).copied().unwrap_or_default();
                let sum = self.buried.entry(source).or_default();
                *sum = sum.plus(&was.minus(&left));
            }
        }
        let holds = match &combined {
            Combined::Near(near) => near.holds_together(was),
            Combined::Whole(_) => false,
        };
        let solids_before = (operation == Operation::Cut && !holds).then(|| solids_of(before));
        let had_skin = shows_hull(before);
        match combined {
            Combined::Near(near) => self.envelope.change(&near),
            Combined::Whole(whole) => self.envelope = whole,
        }
        self.volume_m3 = volumes.after_m3();
        let after = self.envelope.envelope();
        let parted = solids_before.and_then(|before| doubt_of_parting(part, before, after));
        let is_swallowed = operation == Operation::Join && had_skin && !shows_hull(after);
        doubts.extend(no_change);
        doubts.extend(parted);
        doubts.extend(is_swallowed.then(|| doubt_of_swallowing(part)));
        doubts.extend(touch);
        doubts.extend(doubt_of_volume(part, &volumes, checked_m3));
        Ok(change)
    }

    /// What joining or cutting a solid changes of the volume by columns, m³: only those
    /// through the solid are looked at.
    fn checked_change_m3(&self, other: &Envelope, operation: Operation) -> f64 {
        let Some((lo, hi)) = other.surface.bounds() else {
            return 0.0;
        };
        let over = |[least, most]: &Reach| {
            (0..2).all(|k| least[k] <= hi[k] + DEFAULT_CELL_M && most[k] >= lo[k] - DEFAULT_CELL_M)
        };
        let near: Vec<usize> = self.envelope.runs().faces(over).collect();
        mesh::volume_changed(
            &self.envelope.envelope().piece(&near).surface,
            &other.surface,
            match operation {
                Operation::Join | Operation::Keep => Combine::Union,
                Operation::Cut => Combine::Difference,
            },
            DEFAULT_CELL_M,
        )
    }

    /// The solids of foam, which take the room where they stand.
    pub(super) fn foams<'a>(&mut self, file: &'a BoatFile) -> Vec<Solid<'a>> {
        let made = file.parts.iter().zip(&mut self.made);
        made.filter_map(|(part, made)| {
            Some(Solid {
                name: &part.name,
                at_m: made.centroid_m,
                surface: made.foam.take()?,
                share: 1.0,
                is_foam: true,
                compartment: None,
            })
        })
        .collect()
    }

    /// The rooms under lifted panels that are closed, by the names of their parts.
    pub(super) fn rooms<'a>(&mut self, file: &'a BoatFile) -> Vec<(&'a str, Surface)> {
        let made = file.parts.iter().zip(&mut self.made);
        let rooms = made.map(|(part, made)| Some((part.name.as_str(), made.room.take()?)));
        rooms.flatten().collect()
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
                mass: {
                    let source = FaceSource::Part(index);
                    made.mass(part, &area_of(source), source)
                },
                change: made.change,
                sheets: made.sheets,
                block: made.block,
                is_on_skin: matches!(
                    &part.shape,
                    Shape::Built(Built::Sponson(_) | Built::Skeg(_) | Built::Pocket(_))
                ),
            })
            .collect()
    }
}

impl Made {
    /// A solid that has not been joined yet.
    fn of_solid(solid: &Surface) -> Self {
        Self {
            centroid_m: solid.volume_centroid_m(),
            volume_m3: solid.signed_volume_m3(),
            plate: None,
            change: Surface::default(),
            foam: None,
            sheets: Vec::new(),
            block: None,
            glassed: None,
            room: None,
        }
    }

    fn mass(&self, part: &file::Part, area: &AreaMoment, source: FaceSource) -> Option<MassEntry> {
        match &part.weight {
            Weight::Weighed {
                mass,
                centre,
                density,
            } => {
                let at = point_m(&part.at);
                let centre_m = centre.map_or(self.centroid_m, |c| point_m(&c) + at);
                let entry = MassEntry::new(&part.name, *mass, centre_m, centre.as_ref());
                Some(entry.of_material(density.as_ref(), source))
            }
            Weight::Skin(skin) => match self.plate {
                Some((mass_kg, centre_m)) => {
                    Some(MassEntry::of_laid_up(&part.name, mass_kg, centre_m, skin))
                }
                None => MassEntry::of_skin(&part.name, area, skin, source),
            },
            Weight::Foam(foam) => {
                let glass = foam.glass.as_ref().and_then(|skin| {
                    let glass = self.glassed.as_ref().unwrap_or(area);
                    MassEntry::of_skin(&part.name, glass, skin, source)
                });
                let (glass_kg, spread_kg, glass_at) = glass.map_or_else(
                    || (0.0, 0.0, self.centroid_m),
                    |glass| (glass.mass_kg, glass.spread_kg, glass.centre_m),
                );
                let foam_kg = self.volume_m3 * foam.density.value;
                let mass = Quantity {
                    value: foam_kg + glass_kg,
                    spread: (self.volume_m3 * foam.density.spread).hypot(spread_kg),
                };
                let share = glass_kg / mass.value;
                let middle = self.centroid_m + (glass_at - self.centroid_m) * share;
                Some(MassEntry {
                    solid_m3: Some(self.volume_m3),
                    ..MassEntry::new(&part.name, mass, middle, None)
                })
            }
            Weight::Unknown => None,
        }
    }
}

/// The sheets of a wall.
fn standing(strips: Vec<Surface>) -> Vec<PartSheet> {
    let sheets = strips
        .into_iter()
        .map(|strip| PartSheet::outside("wall", SheetLies::Standing(strip)));
    sheets.collect()
}

/// Mass of a sheet that a part is, kg, and its centre, m; none where it is not laid up.
fn plate_of(part: &file::Part, sheet: &AreaMoment) -> Option<(f64, Vec3)> {
    let Weight::Skin(skin) = &part.weight else {
        return None;
    };
    let mass_kg = sheet.area_m2 * skin.thickness.value * skin.density.value;
    Some((mass_kg, sheet.centroid_m()?))
}

/// Makes one skin of a hull whose pieces pass through each other, which would
/// count the room that they share twice: the pieces are joined as parts are.
/// `None`, and the doubt stays, where they are no solids of their own, where
/// the columns say otherwise, or where one piece passes through itself.
pub(super) fn as_one_skin(hull: &Envelope, doubts: &mut Vec<Doubt>) -> Option<Joinable> {
    let pieces = mesh::pieces(&hull.surface);
    if !(2..=MOST_PIECES).contains(&pieces.len()) {
        return None;
    }
    let mut solids: Vec<Envelope> = pieces.iter().map(|faces| hull.piece(faces)).collect();
    let volume = |solid: &Envelope| solid.surface.signed_volume_m3();
    // A hollow in another piece would be filled.
    if solids.iter().any(|solid| volume(solid) <= 0.0) {
        return None;
    }
    solids.sort_by(|a, b| volume(b).total_cmp(&volume(a)));
    let count = solids.len();
    let mut all = solids.into_iter();
    let mut one = Joinable::new(all.next()?);
    for piece in all {
        let joined = one.combine(&piece, Operation::Join).ok()?;
        let surface = &one.envelope().surface;
        let added = mesh::volume_changed(surface, &piece.surface, Combine::Union, DEFAULT_CELL_M);
        let check = surface.signed_volume_m3() + added;
        if (volume(joined.envelope()) - check).abs() > CHECK_TOLERANCE * check {
            return None;
        }
        one = joined;
    }
    if mesh::audit(&one.envelope().surface).is_some_and(|found| found.is_doubled()) {
        return None;
    }
    doubts.retain(|doubt| doubt.kind != DoubtKind::Overlap);
    doubts.push(Doubt::new(
        DoubtKind::Overlap,
        sentence![
            format!(
                "{count} pieces of the hull's mesh pass through each other; they were joined to one skin of "
            ),
            litres(volume(one.envelope()), 2),
            ", where their sum of ",
            litres(volume(hull), 2),
            " counts some room twice; `awash mend --rebuild` writes such a mesh",
        ],
    ));
    Some(one)
}

/// The closed solid of a part, where it belongs, and how many of its faces, the
/// first, are open to the sky.
fn read_part(
    from: &dyn Files,
    part: &file::Part,
    doubts: &mut Vec<Doubt>,
) -> Result<(Surface, usize), BoatError> {
    let mut top_faces = 0;
    let surface = match &part.shape {
        Shape::Mesh { path, units } => {
            let read = read_mesh(from, path, units.map(file::MeshUnits::metres), true).map_err(
                |source| mesh_error(&format!("part \"{}\"", part.name), &part.place, source),
            )?;
            let prepared = read.into_solid().map_err(|source| BoatError::NoSolid {
                what: format!("part \"{}\"", part.name),
                place: part.place.clone(),
                source,
            })?;
            let name = format!("part \"{}\"", part.name);
            let named = prepared.doubts.into_iter().map(|doubt| doubt.about(&name));
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
            shape.radius.value * corner_share(CYLINDER_SIDES),
            CYLINDER_SIDES,
        ),
        Shape::Outline(outline) => outline_solid(outline),
        // What is made from the hull is made where it is joined.
        Shape::OnRim | Shape::Built(_) => Surface::default(),
        Shape::Wall(wall) => {
            let thickness_m = match &part.weight {
                Weight::Skin(skin) => skin.thickness.value,
                _ => 0.0, // refused when the file was read
            };
            // A wall round an opening has no solid of its own: it is raised.
            let (solid, top) = wall_solid(wall, thickness_m).unwrap_or_default();
            top_faces = top;
            solid
        }
    };
    Ok((moved(surface, &part.at), top_faces))
}

/// Radius of the corners of a regular polygon over that of the circle of the same
/// area: `½ n sin(2π/n) R² = π r²`.
fn corner_share(sides: usize) -> f64 {
    let angle = std::f64::consts::TAU / sides as f64;
    (angle / angle.sin()).sqrt()
}

/// A cutter's closed solid.
pub(super) fn read_cutter(
    from: &dyn Files,
    opening: &file::Opening,
    path: &Path,
    units: Option<file::MeshUnits>,
) -> Result<Surface, BoatError> {
    let what = || format!("opening \"{}\"", opening.name);
    let read = read_mesh(from, path, units.map(file::MeshUnits::metres), true)
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

/// A part that leaves the volume as it was.
fn doubt_of_no_change(part: &file::Part, operation: Operation, volumes: &Volumes) -> Option<Doubt> {
    // Foam inside the hull is there for when water comes in.
    let may_be_inside = matches!(part.weight, Weight::Foam(_)) && operation == Operation::Join;
    let changes = volumes.change_m3.abs() > CHANGES_NOTHING * volumes.before_m3;
    let where_it_lies = match operation {
        Operation::Join => "wholly inside the hull",
        Operation::Cut | Operation::Keep => "clear of the hull",
    };
    (!changes && !may_be_inside).then(|| {
        Doubt::new(
            DoubtKind::Part,
            format!(
                "part \"{}\" changes nothing: it lies {where_it_lies}; check its place and units",
                part.name
            ),
        )
    })
}

/// A part that stands clear of the hull. Given what may differ, before and after.
fn doubt_of_touch(
    part: &file::Part,
    operation: Operation,
    volumes: &Volumes,
    was: &Envelope,
    is: &Envelope,
) -> Option<Doubt> {
    let overlaps = volumes.change_m3 < (1.0 - CHANGES_NOTHING) * volumes.part_m3;
    // A part set face to face on the hull overlaps nothing and still touches.
    let touches = operation == Operation::Cut || overlaps || hang_together(was, is);
    (!touches && part.role != Role::Attach).then(|| {
        Doubt::new(
            DoubtKind::Part,
            format!(
                "part \"{}\" does not touch the hull: it floats beside it in these numbers; check its place and units",
                part.name
            ),
        )
    })
}

/// A volume that differs from what the columns make of the part.
fn doubt_of_volume(part: &file::Part, volumes: &Volumes, checked_m3: f64) -> Option<Doubt> {
    let check = volumes.before_m3 + checked_m3;
    let off = (volumes.after_m3() - check).abs() / check.abs().max(f64::MIN_POSITIVE);
    (off > CHECK_TOLERANCE).then(|| {
        Doubt::new(
            DoubtKind::Part,
            sentence![
                format!("part \"{}\": the volume after it, ", part.name),
                litres(volumes.after_m3(), 2),
                format!(
                    ", differs by {:.2} % from an independent check by columns; the meshes overlap themselves or are not closed",
                    off * 100.0
                ),
            ],
        )
    })
}

/// Whether a cut left only a hollow in what was there: all of the part is gone from the
/// volume, and its skin is a piece of its own. Given what may differ, before and after.
fn is_void(volumes: &Volumes, was: &Envelope, is: &Envelope) -> bool {
    if (volumes.change_m3 + volumes.part_m3).abs() > VOID_WITHIN * volumes.part_m3 {
        return false;
    }
    let old: HashSet<FaceSource> = was.sources.iter().copied().collect();
    mesh::pieces(&is.surface).iter().any(|faces| {
        let mut faces = faces.iter();
        faces.len() > 0 && faces.all(|face| !old.contains(&is.sources[*face]))
    })
}

/// How many solids an envelope falls into; hollows are none.
fn solids_of(envelope: &Envelope) -> usize {
    let pieces = mesh::pieces(&envelope.surface);
    let volume = |faces: &Vec<usize>| envelope.piece(faces).surface.signed_volume_m3();
    pieces.iter().filter(|faces| volume(faces) > 0.0).count()
}

fn shows_hull(envelope: &Envelope) -> bool {
    envelope.sources.contains(&FaceSource::Hull)
}

/// A cut that leaves the craft in more pieces than before.
fn doubt_of_parting(part: &file::Part, before: usize, after: &Envelope) -> Option<Doubt> {
    let is = solids_of(after);
    (is > before).then(|| {
        Doubt::new(
            DoubtKind::Part,
            format!(
                "part \"{}\" parts the craft: it falls into {is} pieces, which are floated as if they held together; make the recess smaller, or check its place and units",
                part.name
            ),
        )
    })
}

/// Something added that leaves nothing of the hull's skin to be seen.
fn doubt_of_swallowing(part: &file::Part) -> Doubt {
    Doubt::new(
        DoubtKind::Part,
        format!(
            "part \"{}\" swallows the hull: nothing of the hull's skin is left outside; check its size, place and units",
            part.name
        ),
    )
}

/// Whether a part set on the hull hangs together with it: some piece of what came of
/// them is made of both.
fn hang_together(was: &Envelope, is: &Envelope) -> bool {
    let before: HashSet<FaceSource> = was.sources.iter().copied().collect();
    mesh::pieces(&is.surface).iter().any(|faces| {
        let is_old = |face: &usize| before.contains(&is.sources[*face]);
        faces.iter().any(is_old) && !faces.iter().all(is_old)
    })
}
