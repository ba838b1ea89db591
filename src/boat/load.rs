//! From a boat file to a boat: meshes read, parts joined and cut, openings
//! found, masses listed.
use std::path::Path;

use super::compartment::{self, Inside, Solid, Tank};
use super::envelope::{AreaMoment, Envelope, FaceSource, Joinable};
use super::file::{self, BoatFile, Foot, Mark, Shape, WaterGiven, Weight, point_m};
use super::guessed::{self, LeftOpen};
use super::joining::{close_by_covers, read_cutter};
use super::on_skin;
use super::opening::{ConvexMark, Opening};
use super::outside::{Block, Lies, Outside, lies, outside};
use super::parts::{cutter_rim, outline_solid};
use super::plausible::doubt_hull_size;
use super::sense::{Loaded, look};
use super::shaped::{OpenEdge, Shaped};
use super::{Boat, BoatError, DraughtMarks, MassEntry, MassKind, OpeningState, PartAboard};
use crate::files::Files;
use crate::mesh::{self, Doubt, DoubtKind, Surface, TiltError, solids};
use crate::numerics::Vec3;
use crate::quantity::{litres, metres, mm, sentence};
use crate::water::Water;

/// Reads a boat file and all it names.
pub(super) fn load(path: &Path) -> Result<Boat, BoatError> {
    make(path, &BoatFile::read(path)?)
}

/// The boat of a file that was read from `path`.
pub(super) fn make(path: &Path, file: &BoatFile) -> Result<Boat, BoatError> {
    fitted(path, file, Shaped::of(file)?)
}

/// The boat of a file whose hull and parts have been made: openings cut, the
/// inside divided, everything weighed.
pub(super) fn fitted(path: &Path, file: &BoatFile, shaped: Shaped) -> Result<Boat, BoatError> {
    let Shaped {
        mut with_parts,
        tree,
        skin_faces,
        open_edges,
        hull_box_m: (hull_lo, hull_hi),
        frame,
        tilt_error,
        area_share,
        mut doubts,
    } = shaped;
    let areas = with_parts.envelope.envelope().areas();
    let buried = std::mem::take(&mut with_parts.buried);
    let area_of = |source: FaceSource| {
        let visible = areas.get(&source).copied().unwrap_or_default();
        let covered = buried.get(&source).copied().unwrap_or_default();
        visible.plus(&covered)
    };
    doubts.extend(guessed::usual_laminates(file));
    doubts.extend(guessed::usual_resin(file));
    doubts.extend(guessed::level_walls(file));
    doubts.extend(with_parts.items_in_pockets(file));
    let hull_mass = hull_mass(file, &area_of(FaceSource::Hull), area_share, &mut doubts);
    let mut openings = find_openings(
        file,
        &with_parts.envelope,
        &open_edges,
        &with_parts.wall_tops,
        &with_parts.coamings,
        &mut doubts,
    )?;
    close_by_covers(file, &mut openings)?;
    let foams = with_parts.foams(file);
    let rooms = with_parts.rooms(file);
    let whole_joins = with_parts.whole_joins;
    let mut parts = with_parts.aboard(file, area_of);
    guessed::lay_covers(file, &openings, &mut parts);
    let weightless = parts.iter().filter(|part| part.mass.is_none());
    let left_open = guessed::plugs(file).chain(weightless.map(|part| LeftOpen::Mass {
        part: part.name.clone(),
    }));
    let left_open = left_open.collect();
    doubts.extend(guessed::wide_marks(file, &(hull_hi - hull_lo)));
    let spread_m3 = spread_m3(file, &parts, hull_mass.as_ref());
    let mut masses: Vec<MassEntry> = hull_mass
        .into_iter()
        .chain(parts.iter().filter_map(|part| part.mass.clone()))
        .chain(
            file.items
                .iter()
                .map(|item| MassEntry::of_item(item, &file.water)),
        )
        .collect();
    let first_item = masses.len() - file.items.len();
    let (stowed, outside) = stand(
        file,
        &with_parts.envelope,
        &masses[first_item..],
        first_item,
    );
    doubts.extend(outside.iter().filter_map(|out| doubt_of_box(out, &masses)));
    doubts.extend(guessed::through_bulkheads(file, &parts));
    doubts.extend(guessed::buried(file, &parts));
    doubts.extend(guessed::long_decks(file, &parts));
    let inside = compartment::divide(
        file,
        &with_parts.envelope,
        spread_m3,
        (stowed.into_iter().chain(foams).collect(), &rooms),
        &mut openings,
        &mut doubts,
    )?;
    stand_dry(file, &inside, &mut masses);
    let looked = look(&Loaded {
        file,
        envelope: with_parts.envelope.envelope(),
        runs: with_parts.envelope.runs(),
        hull_box_m: (hull_lo, hull_hi),
        openings: &openings,
        inside: &inside,
        parts: &parts,
        items: &masses[first_item..],
    });
    doubts.extend(looked.doubts());
    if !looked.refused.is_empty() {
        return Err(BoatError::CanNotBe(looked.refused));
    }
    Ok(Boat {
        name: file.name.clone().unwrap_or_else(|| name_of(path)),
        water_spread_kg_m3: water_spread_kg_m3(file),
        water: file.water.clone(),
        envelope: with_parts.envelope.into_envelope(),
        tree,
        skin_faces,
        openings,
        parts,
        whole_joins,
        compartments: inside.compartments,
        passages: inside.passages,
        tanks: file.items.iter().filter_map(Tank::of_item).collect(),
        has_hull_mass: !matches!(file.hull.weight, Weight::Unknown),
        masses,
        measured: file.hull.measured.clone(),
        outside,
        marks: draught_marks(file, (hull_lo, hull_hi)),
        hull_box_m: (hull_lo, hull_hi),
        frame,
        yardsticks: file.yardsticks.clone(),
        scan_error_m: file.hull.scan_error.map(|error| error.value),
        tilt_error: frame_error(file, tilt_error),
        doubts,
        left_open,
    })
}

/// Where draughts are read: the hull's ends unless the file says.
fn draught_marks(file: &BoatFile, (lo, hi): (Vec3, Vec3)) -> DraughtMarks {
    let given = file.hull.draught_marks.as_ref();
    DraughtMarks {
        forward_x_m: given.map_or(hi.x, |marks| marks.forward.value),
        aft_x_m: given.map_or(lo.x, |marks| marks.aft.value),
        base_z_m: lo.z,
    }
}

/// Volume of the skins, which are spread over the whole inside, m³; foam stands where it is.
fn spread_m3(file: &BoatFile, parts: &[PartAboard], hull_mass: Option<&MassEntry>) -> f64 {
    let parts = parts.iter().zip(&file.parts);
    let skins = parts.filter(|(_, given)| !matches!(given.weight, Weight::Foam(_)));
    let masses = skins.filter_map(|(part, _)| part.mass.as_ref());
    masses
        .chain(hull_mass)
        .filter_map(|entry| entry.solid_m3)
        .sum()
}

/// What the hull weighs and where; `None` where the file does not say. `area` is its
/// skin's, buried or not, `area_share` what mending found of its roughness.
fn hull_mass(
    file: &BoatFile,
    area: &AreaMoment,
    area_share: Option<f64>,
    doubts: &mut Vec<Doubt>,
) -> Option<MassEntry> {
    let entry = match &file.hull.weight {
        Weight::Weighed {
            mass,
            centre,
            density,
        } => {
            let at = centre.as_ref().map(point_m).unwrap_or_else(|| {
                let at = area.centroid_m().unwrap_or_default();
                doubts.push(guessed::hull_centre(&at));
                at
            });
            MassEntry::new("hull", *mass, at, centre.as_ref())
                .of_material(density.as_ref(), FaceSource::Hull)
        }
        Weight::Skin(skin) => {
            let share = file.hull.area_share.map(|share| share.value);
            let area = area.times(share.or(area_share).unwrap_or(1.0));
            MassEntry::of_skin("hull", &area, skin, FaceSource::Hull)?
        }
        Weight::Unknown | Weight::Foam(_) => return None,
    };
    Some(MassEntry {
        kind: MassKind::Hull,
        ..entry
    })
}

/// Notes of every item and of solid foam in which space that stays dry it stands, if in
/// one; `items` are the last of `masses`.
fn stand_dry(file: &BoatFile, inside: &Inside, masses: &mut [MassEntry]) {
    let first_item = masses.len() - file.items.len();
    for (entry, item) in masses[first_item..].iter_mut().zip(&file.items) {
        let at = entry.volume_centre_m();
        entry.dry_in = inside.dry_space(item.compartment.as_deref(), &at);
    }
    let is_foam = |name: &str| {
        let part = file.parts.iter().find(|part| part.name == name);
        part.is_some_and(|part| matches!(part.weight, Weight::Foam(_)))
    };
    for entry in masses.iter_mut().filter(|e| e.kind != MassKind::Item) {
        // Not a hull of the same name, which has a skin.
        if entry.skin_of.is_none() && is_foam(&entry.name) {
            entry.dry_in = inside.dry_space(None, &entry.centre_m);
        }
    }
}

/// What the file states of the frame's error, else what mending found of it.
fn frame_error(file: &BoatFile, found: Option<TiltError>) -> Option<TiltError> {
    let origin_m = file.hull.origin_error.map(|off| off.map(|off| off.value));
    let tilt = file.hull.tilt_error.or(found);
    (tilt.is_some() || origin_m.is_some()).then(|| TiltError {
        origin_m: origin_m.unwrap_or_else(|| found.unwrap_or_default().origin_m),
        ..tilt.unwrap_or_default()
    })
}

fn name_of(path: &Path) -> String {
    path.file_stem()
        .map_or_else(|| "boat".into(), |stem| stem.to_string_lossy().into_owned())
}

/// What is odd about the hull's size, where it is.
fn size_doubt(surface: &Surface, file: &BoatFile) -> Option<String> {
    let plan = file.hull.plan();
    let is_scaled = plan.placement.scale_to_length_m.is_some();
    let metres_a_unit = plan.metres_a_unit.filter(|_| !is_scaled);
    let doubt = doubt_hull_size(surface, metres_a_unit);
    doubt.map(|doubt| doubt.to_string())
}

/// The openings that the file names, the open edges and closed walls that it does not.
fn find_openings(
    file: &BoatFile,
    whole: &Joinable,
    edges: &[OpenEdge],
    wall_tops: &[(String, u32)],
    coamings: &[(String, u32)],
    doubts: &mut Vec<Doubt>,
) -> Result<Vec<Opening>, BoatError> {
    let found = Finder {
        file,
        whole,
        edges,
        wall_tops,
        coamings,
    };
    let mut openings = Vec::new();
    for given in &file.openings {
        match found.named(given)? {
            Some(opening) => openings.push(opening),
            None => doubts.push(Doubt::new(
                DoubtKind::Part,
                format!(
                    "opening \"{}\": parts close it over completely; it is left out",
                    given.name
                ),
            )),
        }
    }
    for (opening, doubt) in found.open_edges().chain(found.wall_tops()) {
        doubts.push(doubt);
        openings.push(opening);
    }
    Ok(openings)
}

/// Where openings may be.
#[derive(Clone, Copy)]
struct Finder<'a> {
    file: &'a BoatFile,
    whole: &'a Joinable,
    edges: &'a [OpenEdge],
    wall_tops: &'a [(String, u32)],
    coamings: &'a [(String, u32)],
}

impl<'a> Finder<'a> {
    /// An opening that the file names; `None` where parts close it over.
    fn named(self, given: &file::Opening) -> Result<Option<Opening>, BoatError> {
        let envelope = self.whole.envelope();
        let by_tape = given.rim.as_ref();
        let by_tape = by_tape.map(|points| points.iter().map(point_m).collect::<Vec<Vec3>>());
        let cap = self.cap(given)?;
        let rim = match (&given.mark, by_tape) {
            (_, Some(by_tape)) => by_tape,
            (Some(_), None) if self.coaming(given).is_some() => match cap {
                Some(FaceSource::Cap(top)) => rim_of_cap(envelope, top),
                _ => Vec::new(),
            },
            (Some(Mark::Loop(number)), None) => rim_of_edge(envelope, *number - 1),
            (Some(Mark::Wall(_)), None) => match cap {
                Some(FaceSource::Cap(top)) => rim_of_cap(envelope, top),
                _ => Vec::new(),
            },
            (Some(mark), None) => marked_rim(&*self.file.from, given, mark, self.whole)?,
            (None, None) => Vec::new(),
        };
        if rim.is_empty() && matches!(given.mark, Some(Mark::Loop(_) | Mark::Wall(_))) {
            return Ok(None);
        }
        if rim.is_empty() {
            return Err(BoatError::MissesTheSurface {
                name: given.name.clone(),
                place: given.place.clone(),
                hint: guessed::wide_mark(given, &envelope.surface).unwrap_or_default(),
            });
        }
        let rim_spread_m = match (&given.mark, given.height_error) {
            (_, Some(error)) => error.value,
            (Some(Mark::Loop(number)), None) if given.rim.is_none() => {
                let edge = self.edges.get(number - 1);
                edge.map_or(0.0, |edge| edge.height_error_m)
            }
            _ => height_spread_m(self.file, given),
        };
        Ok(Some(Opening {
            state: given.state,
            cap,
            ..opening(given.name.clone(), rim, rim_spread_m)
        }))
    }

    /// The cap over an open edge or a wall that an opening names, which must be there.
    fn cap(self, given: &file::Opening) -> Result<Option<FaceSource>, BoatError> {
        if let Some(cap) = self.coaming(given) {
            return Ok(Some(FaceSource::Cap(cap)));
        }
        match &given.mark {
            Some(Mark::Loop(number)) => match number.checked_sub(1) {
                Some(index) if index < self.edges.len() => Ok(cap_of_edge(index)),
                _ => Err(BoatError::NoSuchLoop {
                    name: given.name.clone(),
                    place: given.place.clone(),
                    number: *number,
                    lengths_m: self.edges.iter().map(|edge| edge.length_m).collect(),
                    size: size_doubt(&self.whole.envelope().surface, self.file),
                }),
            },
            Some(Mark::Wall(wall)) => {
                let top = self.wall_tops.iter().find(|(name, _)| name == wall);
                top.map(|(_, cap)| Some(FaceSource::Cap(*cap)))
                    .ok_or_else(|| BoatError::NoSuchWall {
                        name: given.name.clone(),
                        place: given.place.clone(),
                        wanted: wall.clone(),
                        walls: self
                            .wall_tops
                            .iter()
                            .map(|(name, _)| name.clone())
                            .collect(),
                    })
            }
            _ => Ok(None),
        }
    }

    /// The cap over a wall that goes round a hole in the skin.
    fn coaming(self, given: &file::Opening) -> Option<u32> {
        let mut coamings = self.coamings.iter();
        coamings
            .find(|(name, _)| *name == given.name)
            .map(|(_, cap)| *cap)
    }

    fn is_marked(self, mark: &Mark) -> bool {
        let mut openings = self.file.openings.iter();
        openings.any(|opening| opening.mark.as_ref() == Some(mark))
    }

    /// The open edges that the file does not name: taken as openings, and doubted.
    fn open_edges(self) -> impl Iterator<Item = (Opening, Doubt)> + use<'a> {
        let edges = self.edges.iter().enumerate();
        let unnamed = edges.filter(move |(index, _)| !self.is_marked(&Mark::Loop(index + 1)));
        unnamed.filter_map(move |(index, edge)| {
            let rim = rim_of_edge(self.whole.envelope(), index);
            let number = index + 1;
            let doubt = Doubt::new(
                DoubtKind::Capped,
                sentence![
                    format!("open edge {number} of the hull ("),
                    metres(edge.length_m, 2),
                    " round, middle at ",
                    mesh::place_in_text(&middle_of(&edge.rim)),
                    format!(
                        ") is not named in the boat file: it is taken as an opening; name it with `loop = {number}`, or mend it with `fill_under`"
                    ),
                ],
            );
            let opening = Opening {
                cap: cap_of_edge(index),
                ..opening(format!("open edge {number}"), rim, edge.height_error_m)
            };
            (!opening.rim.is_empty()).then_some((opening, doubt))
        })
    }

    /// The same of closed walls.
    fn wall_tops(self) -> impl Iterator<Item = (Opening, Doubt)> + use<'a> {
        let walls = self.wall_tops.iter();
        let unnamed = walls.filter(move |(name, _)| !self.is_marked(&Mark::Wall(name.clone())));
        unnamed.filter_map(move |(name, cap)| {
            let rim = rim_of_cap(self.whole.envelope(), *cap);
            let doubt = Doubt::new(
                DoubtKind::Capped,
                format!(
                    "no opening in the boat file names the wall \"{name}\": what it goes round is taken as open; name it with `wall = \"{name}\"`"
                ),
            );
            let spread_m = wall_spread_m(self.file, name);
            let opening = Opening {
                cap: Some(FaceSource::Cap(*cap)),
                ..opening(format!("inside of {name}"), rim, spread_m)
            };
            (!opening.rim.is_empty()).then_some((opening, doubt))
        })
    }
}

/// An open one, of which no more is known.
fn opening(name: String, rim: Vec<Vec3>, rim_spread_m: f64) -> Opening {
    Opening {
        name,
        state: OpeningState::Open,
        floods: None,
        over: Vec::new(),
        discharge: None,
        rim_spread_m,
        cap: None,
        rim,
    }
}

/// The stated ± of a rim's height, m: the largest of its points', or of its
/// mark's where no tape was held to it.
fn height_spread_m(file: &BoatFile, given: &file::Opening) -> f64 {
    let of = |points: &[file::Point]| points.iter().map(|p| p[2].spread).fold(0.0, f64::max);
    match (&given.rim, &given.mark) {
        (Some(points), _) => of(points),
        (None, Some(Mark::Box(file::BoxShape::Corners { min, max }))) => of(&[*min, *max]),
        (None, Some(Mark::Box(file::BoxShape::Centred { centre, .. }))) => of(&[*centre]),
        (None, Some(Mark::Cylinder(cylinder))) => of(&[cylinder.from, cylinder.to]),
        (None, Some(Mark::Outline(outline))) => of(&outline.points),
        (None, Some(Mark::OnSkin(on_skin))) => of(&[on_skin.centre]),
        (None, Some(Mark::Wall(name))) => wall_spread_m(file, name),
        (None, Some(Mark::Mesh { .. } | Mark::Loop(_)) | None) => 0.0,
    }
}

/// The same of a wall's top: what its feet and its height may be off.
fn wall_spread_m(file: &BoatFile, name: &str) -> f64 {
    let part = file.parts.iter().find(|part| part.name == name);
    let Some(Shape::Wall(wall)) = part.map(|part| &part.shape) else {
        return 0.0;
    };
    let feet = match &wall.foot {
        Foot::Line(foot) | Foot::Ring(foot) => foot.iter().map(|p| p[2].spread).fold(0.0, f64::max),
        Foot::Round(_) => 0.0,
    };
    feet.hypot(wall.height.spread)
}

/// How far off the density of the water may be by the stated ±, kg/m³.
fn water_spread_kg_m3(file: &BoatFile) -> f64 {
    match file.water_given {
        WaterGiven::Density(density) => density.spread,
        WaterGiven::Measured {
            salinity,
            temperature,
        } => {
            // The worse of both ways: fresh water is heaviest at 4 °C.
            let off = |salt: f64, warmth: f64| {
                let [more, less] = [1.0, -1.0].map(|way| {
                    let water = Water::near_salinity(
                        salinity.value + way * salt,
                        temperature.value + way * warmth,
                    );
                    (water.density_kg_m3 - file.water.density_kg_m3).abs()
                });
                more.max(less)
            };
            off(salinity.spread, 0.0).hypot(off(0.0, temperature.spread))
        }
        WaterGiven::Fresh | WaterGiven::Sea | WaterGiven::Pool => 0.0,
    }
}

/// The curve of a mark on the skin.
pub(super) fn marked_rim(
    from: &dyn Files,
    given: &file::Opening,
    mark: &Mark,
    whole: &Joinable,
) -> Result<Vec<Vec3>, BoatError> {
    match mark {
        Mark::Box(shape) => {
            let (lo, hi) = shape.corners_m();
            Ok(ConvexMark::cuboid(&lo, &hi).rim_among(whole.envelope(), whole.runs()))
        }
        Mark::Cylinder(shape) => {
            let (from, to) = (point_m(&shape.from), point_m(&shape.to));
            let mark = ConvexMark::cylinder(&from, &to, shape.radius.value);
            Ok(mark.rim_among(whole.envelope(), whole.runs()))
        }
        Mark::Outline(outline) => cut_rim(given, whole, outline_solid(outline)),
        Mark::Mesh { path, units } => {
            cut_rim(given, whole, read_cutter(from, given, path, *units)?)
        }
        Mark::OnSkin(on_skin) => {
            let rim = on_skin::rim_on_skin(whole.envelope(), whole.runs(), on_skin);
            rim.map_err(|source| BoatError::NotOnSkin {
                name: given.name.clone(),
                place: given.place.clone(),
                source,
            })
        }
        Mark::Loop(_) | Mark::Wall(_) => Ok(Vec::new()),
    }
}

/// The curve of a cutter on the skin.
fn cut_rim(
    opening: &file::Opening,
    whole: &Joinable,
    cutter: Surface,
) -> Result<Vec<Vec3>, BoatError> {
    cutter_rim(whole, cutter).map_err(|source| BoatError::Cutter {
        name: opening.name.clone(),
        place: opening.place.clone(),
        source,
    })
}

/// The cap over the n-th open edge of the hull, from 0.
fn cap_of_edge(index: usize) -> Option<FaceSource> {
    u32::try_from(index).ok().map(FaceSource::Cap)
}

/// What is left of an open edge's rim once parts have covered or cut it.
fn rim_of_edge(envelope: &Envelope, index: usize) -> Vec<Vec3> {
    u32::try_from(index).map_or_else(|_| Vec::new(), |index| rim_of_cap(envelope, index))
}

fn rim_of_cap(envelope: &Envelope, number: u32) -> Vec<Vec3> {
    let rim = envelope.rim_of(FaceSource::Cap(number));
    rim.into_iter().flatten().collect()
}

fn middle_of(points: &[Vec3]) -> Vec3 {
    let count = u32::try_from(points.len()).unwrap_or(u32::MAX).max(1);
    points.iter().sum::<Vec3>() / f64::from(count)
}

/// Items whose volume is known: what of them takes room in the envelope, and what
/// stands outside it. `first` is the number of the first item's entry.
fn stand<'a>(
    file: &'a BoatFile,
    whole: &Joinable,
    entries: &[MassEntry],
    first: usize,
) -> (Vec<Solid<'a>>, Vec<Outside>) {
    let (mut stowed, mut out) = (Vec::new(), Vec::new());
    for (number, (item, entry)) in (first..).zip(file.items.iter().zip(entries)) {
        let Some(volume_m3) = entry.solid_m3 else {
            continue;
        };
        let block = Block::new(entry.volume_centre_m(), volume_m3, entry.under_water.size_m);
        let lies = if item.compartment.is_some() && !block.box_known {
            Lies::Inside // the file says so
        } else {
            lies(whole, &block)
        };
        out.extend(outside(number, &block, &lies));
        let (surface, at_m) = match lies {
            Lies::Outside => continue,
            Lies::Inside => (block.surface(), block.middle_m),
            Lies::Across(inside, _) => {
                let at_m = inside.volume_centroid_m();
                (inside, at_m)
            }
        };
        stowed.push(Solid {
            name: &item.name,
            at_m,
            surface,
            share: block.share(),
            is_foam: false,
            compartment: item.compartment.as_deref(),
        });
    }
    (stowed, out)
}

/// What is doubtful about a thing outside whose box the file does not give.
fn doubt_of_box(out: &Outside, masses: &[MassEntry]) -> Option<Doubt> {
    let thing = &masses[out.entry];
    let volume_m3 = thing.solid_m3?;
    if thing.under_water.size_m.is_some() && !out.box_known {
        return None; // `sense` says that the size is less than the volume
    }
    if thing.person.is_some() && !out.box_known {
        return None; // The reference says what stands for a person
    }
    if out.box_known {
        return out.through_skin.then(|| {
            Doubt::new(
                DoubtKind::Place,
                sentence![
                    format!("item \"{}\" reaches through the hull's skin: ", thing.name),
                    litres(out.volume_m3, 2),
                    " of its ",
                    litres(volume_m3, 2),
                    " stand outside, where they displace; if it is meant to stand inside, move it or make its `size` smaller",
                ],
            )
        });
    }
    Some(Doubt::new(
        DoubtKind::Place,
        sentence![
            format!(
                "item \"{}\" stands outside the hull or in an open well, where it displaces, and the file does not say how large a box its volume fills: it is counted as a cube of ",
                thing.name
            ),
            mm(volume_m3.cbrt(), 0),
            " about its place; give it `size = [x, y, z]`",
        ],
    ))
}

impl Tank {
    /// The liquid of an item, in a box of its size about its place; `None` where
    /// it holds none.
    #[must_use]
    pub fn of_item(item: &file::Item) -> Option<Self> {
        let (liquid, size) = (item.liquid?, point_m(item.size.as_ref()?));
        let at = point_m(&item.at);
        Some(Self {
            name: item.name.clone(),
            inside: solids::cuboid(at - size / 2.0, at + size / 2.0),
            volume_m3: liquid.volume.value,
            density_kg_m3: liquid.density.value,
        })
    }
}
