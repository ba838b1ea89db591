//! The spaces inside the envelope, what stands in them, and the holes between
//! them.
use std::sync::{Arc, OnceLock};

use super::BoatError;
use super::envelope::{
    BULKHEAD, BooleanError, Envelope, FaceSource, Joinable, Operation, Searchable,
};
use super::file::{self, BoatFile, Extent, REST_OF_INSIDE};
use super::hull_mesh::read_mesh;
use super::opening::{Opening, OpeningOver, has_area};
use super::ways::{nearest_space, over_several, parts_over, ring, sealed_under};
use crate::files::Files;
use crate::immersion::MomentTree;
use crate::mesh::{Doubt, DoubtKind, Surface, lies_on, solids};
use crate::numerics::Vec3;
use crate::quantity::{litres, sentence};

/// Share of the inside by which compartments may overlap before they are
/// refused: the booleans' own rounding stays far below it.
const OVERLAP_WITHIN: f64 = 1e-6;
/// Share of the inside below which nothing counts as left between compartments.
const NOTHING_LEFT: f64 = 1e-6;
/// An opening of which more than this share lies over sealed spaces is doubted.
const MOST_OF_IT: f64 = 0.5;
/// Least share of a space that water can fill: past it the volumes in the file
/// cannot be right.
const LEAST_PERMEABILITY: f64 = 0.01;
/// Share of a space by which the volumes of what stands in it may exceed it before
/// they cannot be right: rounding of volumes in litres.
const OVER_FULL_WITHIN: f64 = 1e-3;
/// How near foam must lie to the skin to hold the skin that runs through it, m: the
/// rounding of meshes and booleans.
const ON_SKIN_M: f64 = 1e-6;
/// How far a bulkhead's block reaches past the hull, m.
const PAST_THE_HULL_M: f64 = 1.0;

/// A space inside the hull that floods by itself. Boat frame, m.
#[derive(Debug, Clone)]
pub struct Compartment {
    /// Its name; the whole inside, or what the others leave, is "inside".
    pub name: String,
    searchable: Searchable,
    tree: OnceLock<Arc<MomentTree>>,
    /// Share of it that water can fill beside its contents: what the skins and
    /// other solids without a shape leave, over 0 to 1.
    pub permeability: f64,
    /// Stated ± of that share.
    pub permeability_spread: f64,
    /// Whether that share is what skins spread evenly over the inside leave, since the
    /// boat file gives none.
    pub skins_spread: bool,
    /// What stands in it.
    pub contents: Vec<Content>,
    /// No opening leads in.
    pub sealed: bool,
    /// Whether its walls are its own: a closed mesh that lies wholly inside. Else the
    /// hull's skin is one of them.
    pub stands_apart: bool,
    /// Open to the sea now.
    pub flooded: bool,
    /// Full of water when the craft is dived.
    pub free_flooding: bool,
    /// Water loose in it now, m³.
    pub fill_m3: f64,
}

impl Compartment {
    /// Its closed outward surface.
    #[must_use]
    pub fn surface(&self) -> &Surface {
        &self.searchable.envelope().surface
    }

    /// Whether a point lies inside it, m.
    pub(super) fn encloses(&self, point: &Vec3) -> bool {
        self.searchable.encloses(point)
    }

    /// The faces that bound it which are skin from one source.
    #[must_use]
    pub fn skin_of(&self, source: FaceSource) -> Surface {
        self.searchable.envelope().faces_of(source)
    }

    /// Its bulkheads, decks and walls of its own: all that is not skin.
    #[must_use]
    pub fn bulkheads(&self) -> Surface {
        let mut walls = self.skin_of(FaceSource::Part(BULKHEAD));
        walls.drop_unused_vertices();
        walls
    }

    /// Its surface, ready to be asked about any water plane; made at the first call.
    #[must_use]
    pub fn tree(&self) -> Arc<MomentTree> {
        // Made outside the lock: it is made on several threads, and one that waits
        // there may take up other work that asks for the same tree.
        let tree = match self.tree.get() {
            Some(tree) => tree,
            None => {
                let tree = Arc::new(MomentTree::new(self.surface(), &[]));
                self.tree.get_or_init(|| tree)
            }
        };
        Arc::clone(tree)
    }

    /// What water can fill of it, m³.
    #[must_use]
    pub fn capacity_m3(&self) -> f64 {
        let taken: f64 = self.contents.iter().map(|content| content.volume_m3).sum();
        (self.permeability * self.surface().signed_volume_m3() - taken).max(0.0)
    }
}

/// A thing that takes room in a compartment: its volume where it stands.
#[derive(Debug, Clone)]
pub struct Content {
    /// What it is.
    pub name: String,
    /// The room that it is taken to fill, boat frame, m.
    pub surface: Surface,
    /// Share of that room which is solid.
    pub share: f64,
    /// Its volume, m³.
    pub volume_m3: f64,
}

/// Liquid in a tank of its own.
#[derive(Debug, Clone)]
pub struct Tank {
    /// The item's name.
    pub name: String,
    /// The inside of the tank, boat frame, m.
    pub inside: Surface,
    /// How much is in it, m³.
    pub volume_m3: f64,
    /// Density of the liquid, kg/m³.
    pub density_kg_m3: f64,
}

/// A hole in a bulkhead.
#[derive(Debug, Clone)]
pub struct Passage {
    /// Its name.
    pub name: String,
    /// Numbers of the compartments that it joins.
    pub between: [usize; 2],
    /// Its rim, boat frame, m.
    pub rim: Vec<Vec3>,
    /// Discharge coefficient, where the file says.
    pub discharge: Option<f64>,
}

/// The inside of a boat as its file divides it.
#[derive(Debug, Clone, Default)]
pub(super) struct Inside {
    pub(super) compartments: Vec<Compartment>,
    pub(super) passages: Vec<Passage>,
    /// Of each opening the share of its area that lies over each compartment.
    pub(super) under: Vec<Vec<f64>>,
}

impl Inside {
    /// The number of the compartment, among those that stay dry when dived, that a
    /// thing stands in: the one it names, else the one that encloses its place.
    pub(super) fn dry_space(&self, named: Option<&str>, at_m: &Vec3) -> Option<usize> {
        self.compartments.iter().position(|space| {
            let is_home = || match named {
                Some(name) => space.name == name,
                None => space.encloses(at_m),
            };
            !space.free_flooding && is_home()
        })
    }
}

/// A thing with a volume at a place, which may stand inside.
pub(super) struct Solid<'a> {
    pub(super) name: &'a str,
    /// Tells the compartment, where the file does not.
    pub(super) at_m: Vec3,
    /// The room that it takes up.
    pub(super) surface: Surface,
    /// Share of that room which is solid.
    pub(super) share: f64,
    /// Whether it is a part of solid foam.
    pub(super) is_foam: bool,
    pub(super) compartment: Option<&'a str>,
}

/// Divides the inside, puts things with a volume where they stand, and tells
/// each opening where its water goes. `skins_m3` is the volume of the skins and
/// of other solids without a place, spread evenly over the inside; `rooms` are those under
/// lifted panels, by the names of their parts.
pub(super) fn divide(
    file: &BoatFile,
    whole: &Joinable,
    skins_m3: f64,
    (solids, rooms): (Vec<Solid<'_>>, &[(&str, Surface)]),
    openings: &mut [Opening],
    doubts: &mut Vec<Doubt>,
) -> Result<Inside, BoatError> {
    let whole_m3 = whole.envelope().surface.signed_volume_m3();
    let usual = (1.0 - skins_m3 / whole_m3).clamp(LEAST_PERMEABILITY, 1.0);
    let mut compartments = spaces(file, whole, rooms, usual, doubts)?;
    if let Some(error) = to_nothing_left(file, &compartments) {
        return Err(error);
    }
    stow(file, whole, solids, &mut compartments);
    for space in &mut compartments {
        fit(space, doubts);
    }
    let parts = openings.iter();
    let parts = parts.map(|opening| parts_over(&compartments, file, &opening.rim));
    let parts: Vec<Vec<OpeningOver>> = parts.collect();
    let shares = |parts: &Vec<OpeningOver>| parts.iter().map(|part| part.share).collect();
    let under: Vec<Vec<f64>> = parts.iter().map(shares).collect();
    for ((opening, parts), under) in openings.iter_mut().zip(&parts).zip(&under) {
        send_water(file, &compartments, opening, parts, under, doubts)?;
    }
    let passages = passages(file, &compartments);
    Ok(Inside {
        compartments,
        passages,
        under,
    })
}

/// Puts things with a volume where they stand; what stands outside takes no room inside.
fn stow(
    file: &BoatFile,
    whole: &Joinable,
    solids: Vec<Solid<'_>>,
    compartments: &mut [Compartment],
) {
    let home = |point: &Vec3, compartments: &[Compartment]| {
        compartments.iter().position(|space| space.encloses(point))
    };
    let skin = if solids.iter().any(|solid| solid.is_foam) {
        skin_of(whole.envelope(), file)
    } else {
        Surface::default()
    };
    for solid in solids {
        let home = match solid.compartment {
            Some(name) => compartments.iter().position(|space| space.name == name),
            None => home(&solid.at_m, compartments),
        };
        let Some(home) = home else {
            continue; // outside the hull: it takes no room inside
        };
        let mut share = solid.share;
        if solid.is_foam && lies_on(&solid.surface, &skin, ON_SKIN_M) {
            // Foam up to the outer skin holds the skin that runs through it.
            share *= compartments[home].permeability;
        }
        compartments[home].contents.push(Content {
            name: solid.name.to_owned(),
            volume_m3: share * solid.surface.signed_volume_m3(),
            surface: solid.surface,
            share,
        });
    }
}

/// Tells an opening where its water goes; `parts` of it lie over the compartments, with
/// the shares `under`.
fn send_water(
    file: &BoatFile,
    compartments: &[Compartment],
    opening: &mut Opening,
    parts: &[OpeningOver],
    under: &[f64],
    doubts: &mut Vec<Doubt>,
) -> Result<(), BoatError> {
    let given = file.openings.iter().find(|o| o.name == opening.name);
    opening.discharge = given.and_then(|given| given.discharge).map(|d| d.value);
    opening.floods = match given.and_then(|given| given.floods.as_deref()) {
        Some(name) => compartments.iter().position(|space| space.name == name),
        None => nearest_space(compartments, file, &opening.rim, under),
    };
    if !opening.lets_water_in() {
        return Ok(());
    }
    if let Some(sealed) = sealed_under(compartments, under, opening, given) {
        return Err(BoatError::IntoSealed {
            name: opening.name.clone(),
            place: given.map_or_else(|| file.hull.place.clone(), |g| g.place.clone()),
            sealed: compartments[sealed].name.clone(),
        });
    }
    if opening.floods.is_none() {
        doubts.push(Doubt::new(
            DoubtKind::Part,
            format!(
                "opening \"{}\" floods nothing: there is no space inside for its water; give the compartment with `floods`",
                opening.name
            ),
        ));
    }
    if compartments.len() > 1 {
        let is_told = given.is_some_and(|given| given.floods.is_some());
        doubts.extend(over_several(compartments, parts, opening, is_told));
    }
    doubts.extend(mostly_over_sealed(compartments, under, opening));
    if !has_area(&opening.rim) {
        doubts.push(Doubt::new(
            DoubtKind::Part,
            format!(
                "of opening \"{}\" only {} of the rim is known: how fast water comes in is a guess (as over a crest from end to end, 0.1 m at least); give three or more points round it",
                opening.name,
                if opening.rim.len() == 1 { "a point" } else { "a line" },
            ),
        ));
    }
    Ok(())
}

fn passages(file: &BoatFile, compartments: &[Compartment]) -> Vec<Passage> {
    file.passages
        .iter()
        .filter_map(|passage| {
            let number = |name: &str| compartments.iter().position(|c| c.name == name);
            let [one, other] = &passage.between;
            Some(Passage {
                name: passage.name.clone(),
                between: [number(one)?, number(other)?],
                rim: ring(passage, file),
                discharge: passage.discharge.map(|d| d.value),
            })
        })
        .collect()
}

/// What goes to the rest of the inside where the compartments leave none.
fn to_nothing_left(file: &BoatFile, compartments: &[Compartment]) -> Option<BoatError> {
    let is_rest = |name: &String| name == REST_OF_INSIDE;
    if compartments.iter().any(|space| is_rest(&space.name)) {
        return None;
    }
    let openings = file.openings.iter();
    let openings = openings.filter(|o| o.floods.as_ref().is_some_and(is_rest));
    let passages = file.passages.iter();
    let passages = passages.filter(|p| p.between.iter().any(is_rest));
    let items = file.items.iter();
    let items = items.filter(|i| i.compartment.as_ref().is_some_and(is_rest));
    let mut named = openings
        .map(|o| ("opening", &o.name, "floods", &o.place))
        .chain(passages.map(|p| ("passage", &p.name, "between", &p.place)))
        .chain(items.map(|i| ("item", &i.name, "compartment", &i.place)));
    let (table, name, key, place) = named.next()?;
    Some(BoatError::NothingLeftInside {
        owner: format!("`{key}` of {table} \"{name}\""),
        place: place.clone(),
        spaces: compartments.iter().map(|s| s.name.clone()).collect(),
    })
}

/// Keeps what stands in a space within what it holds. What fills it wholly is kept:
/// skins spread over the space then count as part of it. What cannot be is left out.
fn fit(space: &mut Compartment, doubts: &mut Vec<Doubt>) {
    let whole_m3 = space.surface().signed_volume_m3();
    let room_m3 = space.permeability * whole_m3;
    let taken_m3: f64 = space.contents.iter().map(|content| content.volume_m3).sum();
    if taken_m3 > whole_m3 * (1.0 + OVER_FULL_WITHIN) {
        doubts.push(Doubt::new(
            DoubtKind::Part,
            sentence![
                format!("compartment \"{}\" holds ", space.name),
                litres(whole_m3, 1),
                ", but what stands in it takes ",
                litres(taken_m3, 1),
                ": check the volumes; it is counted as without them",
            ],
        ));
        space.contents.clear();
    } else if taken_m3 > room_m3 {
        let share = room_m3 / taken_m3;
        for content in &mut space.contents {
            content.share *= share;
            content.volume_m3 *= share;
        }
    }
}

/// The skins of an envelope: neither the caps over its openings nor the sides of foam,
/// which has none.
fn skin_of(envelope: &Envelope, file: &BoatFile) -> Surface {
    let is_skin = |source: &FaceSource| match source {
        FaceSource::Hull => true,
        FaceSource::Cap(_) => false,
        FaceSource::Part(index) => {
            let part = file.parts.get(*index as usize);
            part.is_none_or(|part| !matches!(part.weight, file::Weight::Foam(_)))
        }
    };
    let faces = envelope.surface.faces.iter().zip(&envelope.sources);
    Surface {
        vertices: envelope.surface.vertices.clone(),
        faces: faces
            .filter(|(_, source)| is_skin(source))
            .map(|(face, _)| *face)
            .collect(),
    }
}

/// The compartments of the file and what they leave.
fn spaces(
    file: &BoatFile,
    whole: &Joinable,
    rooms: &[(&str, Surface)],
    usual: f64,
    doubts: &mut Vec<Doubt>,
) -> Result<Vec<Compartment>, BoatError> {
    let whole_m3 = whole.envelope().surface.signed_volume_m3();
    let mut spaces = Vec::new();
    // `None` before anything is cut from the whole, and when nothing is left.
    let mut rest: Option<Joinable> = None;
    let mut left_m3 = whole_m3;
    let mut taken_m3 = 0.0;
    let mut rest_given = None;
    // Rooms under lifted panels first: bulkheads and decks divide what they leave.
    let is_under = |given: &&file::Compartment| matches!(given.extent, Extent::Under(_));
    let (under, others): (Vec<_>, Vec<_>) = file.compartments.iter().partition(is_under);
    let mut beside: Option<Joinable> = None;
    for (number, given) in under.iter().chain(&others).enumerate() {
        if number == under.len() {
            beside.clone_from(&rest);
        }
        let Some(block) = block(&*file.from, given, whole.envelope(), rooms, doubts)? else {
            rest_given = Some(given);
            continue;
        };
        let fault = |source| BoatError::Compartment {
            name: given.name.clone(),
            place: given.place.clone(),
            source,
        };
        let block_m3 = block.signed_volume_m3();
        let block = Envelope::of_part(block, BULKHEAD);
        let of = beside.as_ref().unwrap_or(whole);
        let space = match of.combine(&block, Operation::Keep) {
            Err(BooleanError::NothingLeft) => {
                return Err(BoatError::NoSuchSpace {
                    name: given.name.clone(),
                    place: given.place.clone(),
                });
            }
            other => other.map_err(fault)?.into_searchable(),
        };
        let space_m3 = space.envelope().surface.signed_volume_m3();
        taken_m3 += space_m3;
        if left_m3 > 0.0 {
            rest = match rest
                .as_ref()
                .unwrap_or(whole)
                .combine(&block, Operation::Cut)
            {
                Err(BooleanError::NothingLeft) => None,
                other => Some(other.map_err(fault)?),
            };
            let surface = rest.as_ref().map(|rest| &rest.envelope().surface);
            left_m3 = surface.map_or(0.0, Surface::signed_volume_m3);
        }
        let doubled_m3 = taken_m3 + left_m3 - whole_m3;
        if doubled_m3 > OVERLAP_WITHIN * whole_m3 {
            return Err(off_hull(file, &whole.envelope().surface).unwrap_or(
                BoatError::SpacesOverlap {
                    name: given.name.clone(),
                    place: given.place.clone(),
                    litres: doubled_m3 * 1e3,
                },
            ));
        }
        let whole_block = space_m3 >= block_m3 * (1.0 - NOTHING_LEFT);
        let mut space = of_file(given, space, usual)?;
        space.stands_apart = whole_block && matches!(given.extent, Extent::Mesh { .. });
        spaces.push(space);
    }
    if left_m3 > NOTHING_LEFT * whole_m3 {
        let rest = rest.unwrap_or_else(|| whole.clone()).into_searchable();
        spaces.push(match rest_given {
            Some(given) => of_file(given, rest, usual)?,
            None => rest_of_inside(rest, usual),
        });
    }
    Ok(spaces)
}

/// What the compartments of the file leave, where it says nothing of that.
fn rest_of_inside(searchable: Searchable, permeability: f64) -> Compartment {
    Compartment {
        name: REST_OF_INSIDE.to_owned(),
        searchable,
        tree: OnceLock::new(),
        permeability,
        permeability_spread: 0.0,
        skins_spread: true,
        contents: Vec::new(),
        sealed: false,
        stands_apart: false,
        flooded: false,
        free_flooding: true,
        fill_m3: 0.0,
    }
}

/// The first bulkhead of the file that does not cut the hull.
fn off_hull(file: &BoatFile, hull: &Surface) -> Option<BoatError> {
    let (low, high) = hull.bounds()?;
    file.compartments.iter().find_map(|given| {
        let (key, axis, plane) = given
            .extent
            .planes()
            .into_iter()
            .find(|(_, axis, plane)| plane.value <= low[*axis] || plane.value >= high[*axis])?;
        Some(BoatError::BulkheadOffHull {
            name: given.name.clone(),
            place: given.place.clone(),
            key,
            axis: ['x', 'y', 'z'][axis],
            at_m: plane.value,
            low_m: low[axis],
            high_m: high[axis],
        })
    })
}

fn of_file(
    given: &file::Compartment,
    searchable: Searchable,
    usual: f64,
) -> Result<Compartment, BoatError> {
    let space = Compartment {
        name: given.name.clone(),
        searchable,
        tree: OnceLock::new(),
        permeability: given.permeability.map_or(usual, |share| share.value),
        permeability_spread: given.permeability.map_or(0.0, |share| share.spread),
        skins_spread: given.permeability.is_none(),
        contents: Vec::new(),
        sealed: given.sealed,
        stands_apart: false,
        flooded: given.flooded,
        free_flooding: given.free_flooding,
        fill_m3: given.fill.map_or(0.0, |fill| fill.value),
    };
    let holds_m3 = space.capacity_m3();
    if space.fill_m3 > holds_m3 {
        return Err(BoatError::OverFull {
            name: given.name.clone(),
            place: given.place.clone(),
            litres: space.fill_m3 * 1e3,
            holds_litres: holds_m3 * 1e3,
        });
    }
    Ok(space)
}

/// The doubt of a rim most of which lies over sealed spaces, though its water is said or
/// found to go elsewhere.
fn mostly_over_sealed(
    compartments: &[Compartment],
    under: &[f64],
    opening: &Opening,
) -> Option<Doubt> {
    let sealed = || {
        compartments
            .iter()
            .zip(under)
            .filter(|(space, _)| space.sealed)
    };
    let share: f64 = sealed().map(|(_, share)| share).sum();
    let most = sealed().max_by(|a, b| a.1.total_cmp(b.1))?;
    (share > MOST_OF_IT).then(|| {
        Doubt::new(
            DoubtKind::Place,
            format!(
                "{:.0} % of opening \"{}\" lies over sealed spaces, most of it over \"{}\", which is taken as tight there: if the opening goes through into it, take away its `sealed`",
                100.0 * share, opening.name, most.0.name
            ),
        )
    })
}

/// The block that a compartment is kept from the envelope with; `None` for what
/// the others leave.
fn block(
    from: &dyn Files,
    given: &file::Compartment,
    envelope: &Envelope,
    rooms: &[(&str, Surface)],
    doubts: &mut Vec<Doubt>,
) -> Result<Option<Surface>, BoatError> {
    let (lo, hi) = envelope.surface.bounds().unwrap_or_default();
    match &given.extent {
        Extent::Rest => Ok(None),
        Extent::Under(part) => {
            let room = rooms.iter().find(|(name, _)| name == part);
            Ok(room.map(|(_, room)| room.clone()))
        }
        Extent::Between { lower, upper } => {
            let far = Vec3::repeat(PAST_THE_HULL_M);
            let mut from = lo - far;
            let mut to = hi + far;
            for axis in 0..3 {
                if let Some(lower) = lower[axis] {
                    from[axis] = lower.value.max(from[axis]);
                }
                if let Some(upper) = upper[axis] {
                    to[axis] = upper.value.min(to[axis]);
                }
            }
            if (0..3).any(|axis| from[axis] >= to[axis]) {
                return Err(BoatError::NoSuchSpace {
                    name: given.name.clone(),
                    place: given.place.clone(),
                });
            }
            Ok(Some(solids::cuboid(from, to)))
        }
        Extent::Mesh { path, units } => {
            let what = || format!("compartment \"{}\"", given.name);
            let read = read_mesh(from, path, units.map(file::MeshUnits::metres), true).map_err(
                |source| BoatError::Mesh {
                    what: what(),
                    place: given.place.clone(),
                    source,
                },
            )?;
            let prepared = read.into_solid().map_err(|source| BoatError::NoSolid {
                what: what(),
                place: given.place.clone(),
                source,
            })?;
            doubts.extend(
                prepared
                    .doubts
                    .into_iter()
                    .map(|doubt| doubt.about(&what())),
            );
            Ok(Some(prepared.surface))
        }
    }
}
