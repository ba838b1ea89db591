//! From a boat file to a boat: meshes read, parts joined and cut, openings
//! found, masses listed.
use std::collections::HashMap;
use std::ops::Range;
use std::path::Path;

use super::envelope::{AreaMoment, BooleanError, Envelope, FaceSource, Operation};
use super::file::{self, BoatFile, Mark, Role, Shape, Weight, point_m};
use super::hull_mesh::{HullError, read_mesh};
use super::opening::{ConvexMark, Opening};
use super::place::Place;
use super::plausible::plain_metres;
use super::{Boat, BoatError, DraughtMarks, MassEntry, OpeningState};
use crate::mesh::{
    self, Combine, DEFAULT_CELL_M, Doubt, DoubtKind, MeshError, Prepared, Surface, solids,
};
use crate::numerics::Vec3;
use crate::quantity::Quantity;

/// Sides of the prism that stands for a cylindrical part.
const CYLINDER_SIDES: usize = 96;
/// Share of the volume by which a boolean may differ from the column check
/// before it is doubted: the check's own error stays under it.
const CHECK_TOLERANCE: f64 = 2e-4;
/// Share of the hull's volume below which a part counts as changing nothing.
const CHANGES_NOTHING: f64 = 1e-9;
/// How many hull lengths from the hull an item may lie before its place is
/// doubted: most such places are millimetres typed as metres.
const FAR_AWAY_LENGTHS: f64 = 1.0;

/// Reads a boat file and all it names.
pub(super) fn load(path: &Path) -> Result<Boat, BoatError> {
    make(path, &BoatFile::read(path)?)
}

/// The boat of a file that was read from `path`.
pub(super) fn make(path: &Path, file: &BoatFile) -> Result<Boat, BoatError> {
    let mut hull = read_hull(file)?;
    let mut doubts = std::mem::take(&mut hull.doubts);
    // Open edges that the file names are no doubt; the others are told below.
    doubts.retain(|doubt| doubt.kind != DoubtKind::Capped);
    let (hull_lo, hull_hi) = hull.surface.bounds().unwrap_or_default();
    let open_edges = open_edges(&hull);
    let mut envelope = envelope_of(hull);
    // Skin that a later part covers is still there and still weighs.
    let mut buried: HashMap<FaceSource, AreaMoment> = HashMap::new();
    let mut masses = Vec::new();
    let mut cautions = Vec::new();
    for (index, part) in (0..).zip(&file.parts) {
        let solid = read_part(part, &mut doubts)?;
        let centroid = solid.volume_centroid_m();
        envelope = add_part(&envelope, part, index, solid, &mut buried, &mut doubts)?;
        match &part.weight {
            Weight::Weighed { mass, centre } => {
                let at = point_m(&part.at);
                let centre_m = centre.map_or(centroid, |c| point_m(&c) + at);
                masses.push(MassEntry::new(&part.name, *mass, centre_m, centre.as_ref()));
            }
            Weight::Skin(_) => {}
            Weight::Unknown => cautions.push(format!(
                "part \"{}\" has no mass and no skin: it is counted as weightless.",
                part.name
            )),
        }
    }
    let (envelope, skin_faces) = envelope.with_caps_last();
    let areas = envelope.areas();
    let area_of = |source: FaceSource| {
        let visible = areas.get(&source).copied().unwrap_or_default();
        let covered = buried.get(&source).copied().unwrap_or_default();
        visible.plus(&covered)
    };
    let hull_mass = match &file.hull.weight {
        Weight::Weighed { mass, centre } => {
            let at = centre.map_or_else(Vec3::zeros, |c| point_m(&c));
            Some(MassEntry::new("hull", *mass, at, centre.as_ref()))
        }
        Weight::Skin(skin) => MassEntry::of_skin("hull", &area_of(FaceSource::Hull), skin),
        Weight::Unknown => None,
    };
    let skins = (0..).zip(&file.parts).filter_map(|(index, part)| {
        let Weight::Skin(skin) = &part.weight else {
            return None;
        };
        MassEntry::of_skin(&part.name, &area_of(FaceSource::Part(index)), skin)
    });
    let masses: Vec<MassEntry> = hull_mass
        .into_iter()
        .chain(skins)
        .chain(masses)
        .chain(file.items.iter().map(MassEntry::of_item))
        .collect();
    let openings = find_openings(file, &envelope, &open_edges, &mut doubts)?;
    doubt_far_places(file, &hull_lo, &hull_hi, &mut doubts);
    let given = file.hull.draught_marks.as_ref();
    Ok(Boat {
        name: file.name.clone().unwrap_or_else(|| name_of(path)),
        water: file.water.clone(),
        envelope,
        skin_faces,
        openings,
        has_hull_mass: !matches!(file.hull.weight, Weight::Unknown),
        masses,
        marks: DraughtMarks {
            forward_x_m: given.map_or(hull_hi.x, |marks| marks.forward.value),
            aft_x_m: given.map_or(hull_lo.x, |marks| marks.aft.value),
            base_z_m: hull_lo.z,
        },
        hull_box_m: (hull_lo, hull_hi),
        yardsticks: file.yardsticks.clone(),
        scan_error_m: file.hull.scan_error.map(|error| error.value),
        doubts,
        cautions,
    })
}

fn name_of(path: &Path) -> String {
    path.file_stem()
        .map_or_else(|| "boat".into(), |stem| stem.to_string_lossy().into_owned())
}

/// The hull's mesh in the boat frame, closed and outward.
fn read_hull(file: &BoatFile) -> Result<Prepared, BoatError> {
    let hull = &file.hull;
    hull.plan().make().map_err(|source| match source {
        HullError::Mesh(source) => mesh_error("the hull", &hull.mesh_place, source),
        HullError::NoLength(_) => BoatError::NoLength {
            place: hull.place.clone(),
        },
        HullError::Mend(source) => BoatError::Mend {
            place: hull.mesh_place.clone(),
            source: Box::new(source),
        },
        HullError::EnclosesNothing(source) => BoatError::NoSolid {
            what: "the hull".to_owned(),
            place: hull.mesh_place.clone(),
            source,
        },
    })
}

fn mesh_error(what: &str, place: &Place, source: MeshError) -> BoatError {
    BoatError::Mesh {
        what: what.to_owned(),
        place: place.clone(),
        source,
    }
}

/// Where each open edge of the hull was capped, longest first.
fn open_edges(prepared: &Prepared) -> Vec<OpenEdge> {
    prepared
        .loops
        .iter()
        .filter(|capped| !capped.mended)
        .map(|capped| OpenEdge {
            length_m: capped.length_m,
            rim: capped
                .rim
                .iter()
                .map(|&v| prepared.surface.vertices[v as usize])
                .collect(),
        })
        .collect()
}

struct OpenEdge {
    length_m: f64,
    rim: Vec<Vec3>,
}

fn envelope_of(prepared: Prepared) -> Envelope {
    let mut sources = vec![FaceSource::Hull; prepared.surface.faces.len()];
    let caps = prepared.loops.iter().filter(|capped| !capped.mended);
    for (index, capped) in (0..).zip(caps) {
        let cap: Range<usize> = capped.cap.clone();
        sources[cap].fill(FaceSource::Cap(index));
    }
    Envelope {
        surface: prepared.surface,
        sources,
    }
}

/// The closed solid of a part, where it belongs.
fn read_part(part: &file::Part, doubts: &mut Vec<Doubt>) -> Result<Surface, BoatError> {
    let mut surface = match &part.shape {
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
    };
    let at = point_m(&part.at);
    for vertex in &mut surface.vertices {
        *vertex += at;
    }
    Ok(surface)
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
        Role::Add => Operation::Join,
        Role::Recess => Operation::Cut,
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
    if (after - before).abs() <= CHANGES_NOTHING * before {
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
    if !touches {
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
            Operation::Join => Combine::Union,
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

/// The openings that the file names and the open edges that it does not.
fn find_openings(
    file: &BoatFile,
    envelope: &Envelope,
    edges: &[OpenEdge],
    doubts: &mut Vec<Doubt>,
) -> Result<Vec<Opening>, BoatError> {
    let mut openings = Vec::new();
    let mut named = vec![false; edges.len()];
    let mut hidden = Vec::new();
    for given in &file.openings {
        let rim = match &given.mark {
            Mark::Rim(points) => points.iter().map(point_m).collect(),
            Mark::Box(shape) => {
                let (lo, hi) = shape.corners_m();
                ConvexMark::cuboid(&lo, &hi).rim_on(envelope)
            }
            Mark::Cylinder(shape) => ConvexMark::cylinder(
                &point_m(&shape.from),
                &point_m(&shape.to),
                shape.radius.value,
            )
            .rim_on(envelope),
            Mark::Loop(number) => {
                let Some(seen) = number.checked_sub(1).and_then(|i| named.get_mut(i)) else {
                    return Err(BoatError::NoSuchLoop {
                        name: given.name.clone(),
                        place: given.place.clone(),
                        number: *number,
                        lengths_m: edges.iter().map(|edge| edge.length_m).collect(),
                    });
                };
                *seen = true;
                let rim = rim_of_edge(envelope, *number - 1);
                if rim.is_empty() {
                    hidden.push(given.name.clone());
                    continue;
                }
                rim
            }
        };
        if rim.is_empty() {
            return Err(BoatError::MissesTheSurface {
                name: given.name.clone(),
                place: given.place.clone(),
            });
        }
        openings.push(Opening {
            name: given.name.clone(),
            state: given.state,
            rim,
        });
    }
    for name in hidden {
        doubts.push(Doubt::new(
            DoubtKind::Part,
            format!("opening \"{name}\": parts close it over completely; it is left out"),
        ));
    }
    for (index, edge) in edges.iter().enumerate().filter(|(index, _)| !named[*index]) {
        let rim = rim_of_edge(envelope, index);
        if rim.is_empty() {
            continue;
        }
        let number = index + 1;
        doubts.push(Doubt::new(
            DoubtKind::Capped,
            format!(
                "open edge {number} of the hull ({:.2} m round, middle at {}) is not named in the boat file: it is taken as an opening; name it with `loop = {number}`, or mend it with `fill_under`",
                edge.length_m,
                mesh::place_in_text(&middle_of(&edge.rim)),
            ),
        ));
        openings.push(Opening {
            name: format!("open edge {number}"),
            state: OpeningState::Open,
            rim,
        });
    }
    Ok(openings)
}

/// What is left of an open edge's rim once parts have covered or cut it.
fn rim_of_edge(envelope: &Envelope, index: usize) -> Vec<Vec3> {
    u32::try_from(index).map_or_else(
        |_| Vec::new(),
        |index| {
            envelope
                .rim_of(FaceSource::Cap(index))
                .into_iter()
                .flatten()
                .collect()
        },
    )
}

fn middle_of(points: &[Vec3]) -> Vec3 {
    let count = u32::try_from(points.len()).unwrap_or(u32::MAX).max(1);
    points.iter().sum::<Vec3>() / f64::from(count)
}

/// Places far from the hull are most often millimetres typed as metres.
fn doubt_far_places(file: &BoatFile, lo: &Vec3, hi: &Vec3, doubts: &mut Vec<Doubt>) {
    let room = (hi - lo).max() * FAR_AWAY_LENGTHS;
    let mut judge = |what: String, place: &Place, points: &[file::Point]| {
        let outside = points
            .iter()
            .map(|point| (lo - point_m(point)).sup(&(point_m(point) - hi)).max())
            .fold(0.0, f64::max);
        if outside > room {
            let away = plain_metres(outside);
            doubts.push(Doubt::new(
                DoubtKind::Place,
                format!(
                    "{what} ({place}) lies {away} outside the hull's box: bare numbers are metres; write \"1700 mm\" if millimetres are meant"
                ),
            ));
        }
    };
    if let Weight::Weighed {
        centre: Some(centre),
        ..
    } = file.hull.weight
    {
        judge("the hull's centre".into(), &file.hull.place, &[centre]);
    }
    for opening in &file.openings {
        if let Mark::Rim(points) = &opening.mark {
            let what = format!("the rim of opening \"{}\"", opening.name);
            judge(what, &opening.place, points);
        }
    }
    for item in &file.items {
        judge(format!("item \"{}\"", item.name), &item.place, &[item.at]);
    }
}

impl MassEntry {
    fn new(name: &str, mass: Quantity, centre_m: Vec3, given: Option<&file::Point>) -> Self {
        Self {
            name: name.to_owned(),
            mass_kg: mass.value,
            spread_kg: mass.spread,
            centre_m,
            solid_m3: None,
            centre_spread_m: given.map_or_else(Vec3::zeros, |[x, y, z]| {
                Vec3::new(x.spread, y.spread, z.spread)
            }),
        }
    }

    fn of_item(item: &file::Item) -> Self {
        let solid_m3 = item.bulk.as_ref().map(|bulk| match bulk {
            file::Bulk::Volume(volume) => volume.value,
            file::Bulk::Density(density) => item.mass.value / density.value,
        });
        Self {
            solid_m3,
            ..Self::new(&item.name, item.mass, point_m(&item.at), Some(&item.at))
        }
    }

    /// The mass of an even skin; `None` where there is no surface left.
    fn of_skin(name: &str, area: &AreaMoment, skin: &file::Skin) -> Option<Self> {
        let centre_m = area.centroid_m()?;
        let mass_kg = area.area_m2 * skin.thickness.value * skin.density.value;
        let share = |q: &Quantity| q.spread / q.value;
        let spread = share(&skin.thickness).hypot(share(&skin.density));
        Some(Self {
            name: format!("{name} (skin)"),
            mass_kg,
            spread_kg: mass_kg * spread,
            centre_m,
            centre_spread_m: Vec3::zeros(),
            solid_m3: Some(area.area_m2 * skin.thickness.value),
        })
    }
}
